//! The Meter tab: what it shows and what that means, everything on it as plain controls, the notebook.

use halfrow_core::bench::{LegId, MAX_METERS};
use halfrow_core::meter::{Dial, Kind, Socket};
use halfrow_file::questions::{Answer, Question};
use halfrow_instruments::range::Accuracy;
use halfrow_instruments::{Range, range};
use web_sys::{HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

use crate::model::state::meter::{amount, notes_csv};
use crate::model::state::{Action, Help, Use};
use crate::paper::notebook::written;
use crate::platform::{files, page as browser};
use crate::ui::button::Button;
use crate::ui::page::Handle;
use crate::ui::typed::Typed;

fn does(page: &Handle, name: impl Into<AttrValue>, action: Use) -> Html {
    Button::new(name).does(page, Action::Meter(action))
}

/// The tab.
pub fn meter(page: &Handle) -> Html {
    let meters = &page.state.bench().meters;
    if meters.is_empty() {
        return html! {
            <div class="calm">
                <h3>{ "No meter on the bench" }</h3>
                <p>{ "Take the multimeter, put its red and black tip on two holes, and read what lies between them. M takes it too, while the board has the focus." }</p>
                { does(page, "Take the multimeter", Use::Take) }
            </div>
        };
    }
    html! {
        <>
            { shown(page) }
            { questions(page) }
            { for (0..meters.len()).map(|which| controls(page, which)) }
            { findings(page) }
            { notebook(page) }
        </>
    }
}

/// The number, large, and what it means.
fn shown(page: &Handle) -> Html {
    let state = &page.state;
    let meter = &state.bench().meters[0];
    let tips = [&meter.red.tip, &meter.black.tip].map(|tip| match tip.word(state.bench()) {
        word if word == "air" => "in the air".to_owned(),
        word => format!("at {word}"),
    });
    let said = state.measuring.said.as_ref().filter(|_| !state.awaits_guess());
    let accuracy = Range::of(meter.dial).and_then(|range| {
        let off = state.reading(0)?.accuracy?;
        let Accuracy { percent, digits } = range.accuracy;
        Some(format!("± {} ({percent} % + {digits})", amount(range.quantity, off)))
    });
    html! {
        <div class="meter-shown">
            <p><b class="meter-number">{ state.reading_in_words(0) }</b>{ " " }<span class="quiet">{ format!("red {}, black {}", tips[0], tips[1]) }</span></p>
            if let Some(accuracy) = accuracy { <p class="quiet">{ accuracy }</p> }
            if let Some(said) = said {
                <p>{ &said.meaning.says }</p>
                if !said.meaning.why.is_empty() && state.screen.help >= Help::Place {
                    <details><summary>{ "Why?" }</summary><p>{ &said.meaning.why }</p><p><i>{ &said.meaning.next }</i></p></details>
                }
            }
            if state.predicts() { { prediction(page) } }
            <div class="row">
                { Button::new("Write it down").off(state.reading(0).is_none_or(|it| it.shown.is_empty())).does(page, Action::Meter(Use::Note(0))) }
                { Button::new("Hold").pressed(state.measuring.held[0].is_some()).does(page, Action::Meter(Use::Freeze(0))) }
                { Button::new("Say it").title("Speaks the reading (M)").does(page, Action::Meter(Use::Speak(0))) }
                { Button::new("Predict first").pressed(state.predicts()).off(state.bench().lesson.predict_first).does(page, Action::Meter(Use::Predict(!state.predicts()))) }
            </div>
        </div>
    }
}

/// The field for a prediction, and how good it was.
fn prediction(page: &Handle) -> Html {
    let state = &page.state;
    let refused = state.measuring.notebook.refused.as_ref().map(|it| it.1.clone());
    let onchange = page.on(|event: Event| {
        Action::Meter(Use::Guess(event.target_unchecked_into::<HtmlInputElement>().value()))
    });
    let verdict = state.verdict();
    html! {
        <>
            <div class="meter-row"><label for="guess">{ "You expect" }</label>
                <span><Typed id="guess" class="hole" placeholder="2.1 V" value={state.guess_in_field()}
                    why={refused.as_ref().map(|_| "guess-why".to_owned())} {onchange} /></span></div>
            if let Some(why) = refused { <p class="error" id="guess-why">{ why }</p> }
            if let Some((_, says)) = verdict { <p class="verdict" role="status">{ says }</p> }
        </>
    }
}

/// What the example that is open asks.
fn questions(page: &Handle) -> Html {
    let questions = page.state.questions();
    if questions.is_empty() {
        return html! {};
    }
    let open = questions.iter().filter(|it| !it.1).count();
    let all = questions.len();
    // In full: the first open one, and the one before it with what its answer teaches.
    let now = questions.iter().position(|it| !it.1).unwrap_or(all);
    let shown = |index: usize| index == now || index + 1 == now;
    let item = |index: usize, (question, answered, chosen): (&Question, bool, Option<usize>)| {
        let options = match question.answer {
            Answer::Choice { options, .. } => options,
            Answer::Reading(_) => &[],
        };
        let buttons = options.iter().enumerate().map(|(option, words)| {
            let button = Button::new(*words).pressed(chosen == Some(option));
            button.does(page, Action::Meter(Use::Choose(index, option)))
        });
        html! {
            <li class={answered.then_some("done")} value={(index + 1).to_string()}>
                <p>{ question.ask }{ if answered { " ✓ answered" } else { "" } }</p>
                if !options.is_empty() { <div class="row" role="group" aria-label={format!("Answers to question {}", index + 1)}>{ for buttons }</div> }
                if answered && !question.told.is_empty() { <p class="quiet">{ question.told }</p> }
                if !answered && chosen.is_some() { <p class="quiet">{ "Not quite. Try another answer." }</p> }
                if !answered && options.is_empty() { <p class="quiet">{ "Write the reading down to answer." }</p> }
            </li>
        }
    };
    let (first, rest): (Vec<_>, Vec<_>) = questions.into_iter().enumerate().partition(|it| shown(it.0));
    let list = |items: Vec<(usize, _)>| html! { <ol class="questions">{ for items.into_iter().map(|(index, it)| item(index, it)) }</ol> };
    html! {
        <section class="meter-questions">
            <h3 class="pad">{ if open == 0 { "All questions answered".to_owned() } else { format!("Questions ({open} open)") } }</h3>
            { list(first) }
            if !rest.is_empty() { <details class="pad"><summary>{ format!("All {all} questions") }</summary>{ list(rest) }</details> }
        </section>
    }
}

/// Dial, sockets, tips, kind, fuses and battery.
fn controls(page: &Handle, which: usize) -> Html {
    let state = &page.state;
    let meter = &state.bench().meters[which];
    let several = state.bench().meters.len() > 1;
    let on_dial = page.on(move |event: Event| {
        let place = event.target_unchecked_into::<HtmlSelectElement>().selected_index();
        let dial = Dial::ALL[usize::try_from(place).unwrap_or(0).min(Dial::ALL.len() - 1)];
        Action::Meter(Use::Turn(which, dial))
    });
    let points = state.dial(which);
    let dials =
        Dial::ALL.map(|dial| html! { <option selected={dial == points}>{ range::name(dial) }</option> });
    let leads = [(true, "Red", &meter.red), (false, "Black", &meter.black)].map(|(red, name, lead)| {
        let sockets = Socket::ALL.map(|socket| {
            let button = Button::new(socket.name()).pressed(lead.socket == socket);
            button.does(page, Action::Meter(Use::Plug(which, red, socket)))
        });
        let onchange = page.on(move |event: Event| {
            let word = event.target_unchecked_into::<HtmlInputElement>().value();
            Action::Meter(Use::TipWord(which, red, word))
        });
        let tip = lead.tip.word(state.bench());
        html! {
            <>
                <div class="meter-row" role="group" aria-label={format!("{name} plug")}><span>{ format!("{name} plug in") }</span><span>{ for sockets }</span></div>
                <div class="meter-row"><label for={format!("tip-{which}-{name}")}>{ format!("{name} tip at") }</label>
                    <span><Typed class="hole" id={format!("tip-{which}-{name}")} value={tip} {onchange} />
                    { Button::new(if red { "Place red" } else { "Place black" }).title("Then choose a hole on the board").does(page, Action::Meter(Use::Hold(which, red))) }</span></div>
            </>
        }
    });
    let kinds = Kind::ALL.map(|kind| {
        let name = if kind == Kind::Cheap { "1 MΩ, cheap" } else { "10 MΩ" };
        let button = Button::new(name).pressed(meter.kind == kind);
        button.does(page, Action::Meter(Use::Kind(which, kind)))
    });
    html! {
        <div class="meter-controls">
            if several {
                <h3>{ format!("Meter {}: {}", which + 1, state.reading_in_words(which)) }</h3>
                if which > 0 {
                    <div class="row">
                        { Button::new(format!("Write {} down", which + 1)).off(state.reading(which).is_none()).does(page, Action::Meter(Use::Note(which))) }
                        { Button::new(format!("Hold {}", which + 1)).pressed(state.measuring.held[which].is_some()).does(page, Action::Meter(Use::Freeze(which))) }
                        { Button::new(format!("Say {}", which + 1)).does(page, Action::Meter(Use::Speak(which))) }
                    </div>
                }
            }
            <div class="meter-row"><label for={format!("dial-{which}")}>{ "Dial" }</label>
                <select id={format!("dial-{which}")} onchange={on_dial}>{ for dials }</select></div>
            { for leads }
            if which == 0 { { in_series(page) } }
            <details class="meter-more"><summary>{ "Kind, fuses, battery" }</summary>
                <div class="meter-row" role="group" aria-label="Kind of meter"><span>{ "Kind" }</span><span>{ for kinds }</span></div>
                <div class="row">
                    { does(page, "Open the case: tips on the 500 mA fuse", Use::TipWord(which, true, "500ma.1".into())) }
                    { does(page, "New 500 mA fuse", Use::Fuse(which, true)) }
                    { does(page, "New 10 A fuse", Use::Fuse(which, false)) }
                    { does(page, "New battery", Use::Battery(which)) }
                    if state.bench().meters.len() < MAX_METERS { { does(page, "A second meter", Use::Second) } }
                    { does(page, "Put it away", Use::Away) }
                </div>
            </details>
        </div>
    }
}

/// Which leg the meter takes the place of.
fn in_series(page: &Handle) -> Html {
    let bench = page.state.bench();
    let legs: Vec<(LegId, String)> = bench
        .legs()
        .filter(|(leg, at)| at.hole.is_some() && !bench.part(leg.part).is_rigid())
        .map(|(leg, _)| {
            let part = bench.part(leg.part);
            (leg, format!("{}.{}", part.id, part.card.pins[leg.pin].name))
        })
        .collect();
    let options = legs.iter().map(|(_, name)| html! { <option>{ name }</option> });
    let onchange = {
        let (page, legs) = (page.clone(), legs.iter().map(|it| it.0).collect::<Vec<LegId>>());
        Callback::from(move |event: Event| {
            let place = event.target_unchecked_into::<HtmlSelectElement>().selected_index();
            let leg = usize::try_from(place - 1).ok().and_then(|place| legs.get(place));
            if let Some(&leg) = leg {
                page.dispatch(Action::Meter(Use::Series(leg)));
            }
        })
    };
    html! {
        <div class="meter-row"><label for="in-series">{ "In series" }</label>
            <select id="in-series" {onchange}><option selected=true>{ "lift a leg…" }</option>{ for options }</select></div>
    }
}

/// What could be done better, at the level of help that is set.
fn findings(page: &Handle) -> Html {
    let state = &page.state;
    let (Some(said), true) = (&state.measuring.said, state.screen.help > Help::Nothing) else {
        return html! {};
    };
    let list = said.findings.iter().enumerate().map(|(index, finding)| {
        let word = finding.severity.word();
        html! {
            <li class={classes!("finding", word)}>
                <span class="number" aria-hidden="true"><b>{ index + 1 }</b></span>
                <div>
                    <h3>{ &finding.symptom }{ " " }<span class="severity">{ word }</span></h3>
                    if state.screen.help >= Help::Place { <p>{ &finding.says }</p> }
                    if state.screen.help >= Help::Remedy { <p class="remedy">{ &finding.remedy }</p> }
                    if state.screen.help >= Help::Place {
                        <details><summary>{ "Why it matters" }</summary><p>{ &finding.why }</p></details>
                    }
                </div>
            </li>
        }
    });
    html! { <ol class="findings" aria-label="About this measurement">{ for list }</ol> }
}

/// What was written down.
fn notebook(page: &Handle) -> Html {
    let notebook = &page.state.measuring.notebook;
    let notes = &notebook.notes;
    if notes.is_empty() {
        return html! {};
    }
    let tells = page.state.bench().may_tell_figures();
    let truths = notebook.truths && tells;
    let csv = {
        let (text, page) = (notes_csv(notes, truths), page.clone());
        Callback::from(move |_: MouseEvent| {
            let name = "notebook.csv";
            let done = files::download(name, "text/csv", text.as_bytes());
            page.dispatch(Action::Say(done.words(name)));
        })
    };
    let copy = {
        let (text, page) = (notes_csv(notes, truths), page.clone());
        Callback::from(move |_: MouseEvent| {
            let said = page.on(|done: bool| Action::Say(files::copied(done).into()));
            files::copy_text(&text, said);
        })
    };
    html! {
        <div class="notebook">
            <h3>{ "Notebook" }</h3>
            { written(notes, truths) }
            <div class="row">
                if tells { { Button::new("True values").title("What there would be without the meter").pressed(truths).does(page, Action::Meter(Use::Truths(!truths))) } }
                { Button::new("Copy").view(copy) }
                { Button::new("Save as CSV").view(csv) }
                { Button::new("Print").title("With the bench").view(Callback::from(|_: MouseEvent| browser::print())) }
                { does(page, "Tear it out", Use::ForgetNotes) }
            </div>
        </div>
    }
}
