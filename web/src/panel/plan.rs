//! The tab **Plan**: which plan the bench is compared with, and the moves that are missing.

use halfrow_compare::{Answer, Move, Verdict};
use halfrow_file::examples;
use web_sys::{HtmlSelectElement, HtmlTextAreaElement};
use yew::prelude::*;

use crate::model::opening::open_text;
use crate::model::state::{Action, Help, told};
use crate::platform::files;
use crate::ui::button::Button;
use crate::ui::page::Handle;

/// What is read as a plan: the bench that it holds, or why it holds none.
fn as_plan(name: &str, text: &str) -> Action {
    match open_text(name, text) {
        Action::Open(bench, _) => Action::SetPlan(Some(bench)),
        other => other,
    }
}

fn pick_file(page: &Handle) {
    let done = page.on(|(name, bytes): (String, Vec<u8>)| match String::from_utf8(bytes) {
        Ok(text) => as_plan(&name, &text),
        Err(_) => Action::Say(format!("{name} is no bench file.")),
    });
    files::pick(".json,.svg,application/json", done, page.on(Action::Say));
}

/// Where a plan comes from.
fn choose(page: &Handle) -> Html {
    let right: Vec<_> = examples::ALL.iter().filter(|it| it.twin.is_none()).collect();
    let names: Vec<&'static str> = right.iter().map(|it| it.title).collect();
    let onchange = page.on(move |event: Event| {
        let index = event.target_unchecked_into::<HtmlSelectElement>().selected_index();
        let chosen = usize::try_from(index - 1).ok().and_then(|index| right.get(index).copied());
        chosen.map_or(Action::Say(String::new()), |it| as_plan(it.title, it.text()))
    });
    let pasted = page.on(|event: Event| {
        as_plan("What was pasted", &event.target_unchecked_into::<HtmlTextAreaElement>().value())
    });
    let own = page.state.bench().clone();
    let file = {
        let page = page.clone();
        Callback::from(move |_: MouseEvent| pick_file(&page))
    };
    html! {
        <div class="choose-plan">
            <label class="say-how-much">{ "An example " }
                <select {onchange}>
                    <option selected=true>{ "choose" }</option>
                    { for names.into_iter().map(|name| html! { <option>{ name }</option> }) }
                </select>
            </label>
            <div class="row">
                { Button::new("This bench as it is now").does(page, Action::SetPlan(Some(Box::new(own)))) }
                { Button::new("A file…").view(file) }
            </div>
            <label for="plan-link">{ "A link, or the text of a bench file" }</label>
            <textarea id="plan-link" rows="2" spellcheck="false" onchange={pasted} />
        </div>
    }
}

/// The place of a move, without what is to be done there.
fn place(it: &Move) -> String {
    let at = it.from.or(it.to.first().copied()).or(it.ends[0].first().copied());
    let at = at.map_or(String::new(), |hole| format!(", {hole}"));
    match it.pin {
        Some(pin) => format!("Look at {} pin {pin}{at}.", it.part),
        None => format!("Look at {}{at}.", it.part),
    }
}

/// All of it as a message to send.
fn message(page: &Handle, answer: &Answer) -> String {
    let (headline, sure) = told(answer);
    let mut text = format!("{headline} {sure}\n").trim_start().to_owned();
    for (number, it) in answer.moves.iter().enumerate() {
        let words = if page.state.screen.help >= Help::Remedy {
            format!("{} {}", it.says, it.because)
        } else {
            place(it)
        };
        text += &format!("{}. {}\n", number + 1, words.trim_end());
    }
    text
}

fn moves(page: &Handle, answer: &Answer) -> Html {
    let help = page.state.screen.help;
    let list = answer.moves.iter().enumerate().map(|(index, it)| {
        let shown = page.state.planning.shown == Some(index);
        html! {
            <li class={classes!("finding", "fault", shown.then_some("shown"))}>
                <span class="number" aria-hidden="true"><b>{ index + 1 }</b></span>
                <div>
                    if help >= Help::Remedy {
                        <h3>{ &it.says }</h3>
                        <p>{ &it.because }</p>
                    } else {
                        <h3>{ place(it) }</h3>
                    }
                    { Button::new("Show").does(page, Action::ShowMove(index)) }
                    if index == 0 && help >= Help::Remedy {
                        { " " }{ Button::new("Do it for me").does(page, Action::DoMove) }
                    }
                </div>
            </li>
        }
    });
    html! { <ol class="findings">{ for list }</ol> }
}

fn answered(page: &Handle, answer: &Answer) -> Html {
    let help = page.state.screen.help;
    if help == Help::Nothing {
        return html! { <div class="calm"><p>{ "Findings tell nothing just now, and the plan neither." }</p></div> };
    }
    let (headline, sure) = told(answer);
    html! {
        <>
            <div class="calm">
                <h3>{ headline }</h3>
                <p>{ "Where you put things is your own affair: only what is joined to what counts. " }{ sure }</p>
                if answer.harmful {
                    <p class="remedy">{ "Take a lead of the supply out first: on the way a part would be overloaded." }</p>
                }
            </div>
            if help >= Help::Place && answer.verdict == Verdict::Different {
                { moves(page, answer) }
            }
            if !answer.notes.is_empty() {
                <p class="quiet pad">{ "Left as it is: " }{ answer.notes.join(" ") }</p>
            }
            if help >= Help::Place && !answer.moves.is_empty() {
                <details class="pad">
                    <summary>{ "As a message" }</summary>
                    <textarea aria-label="The message" rows="6" readonly=true value={message(page, answer)} />
                </details>
            }
        </>
    }
}

/// The tab.
pub fn plan(page: &Handle) -> Html {
    let state = &page.state;
    let Some(plan) = &state.planning.plan else {
        return html! {
            <>
                <div class="calm">
                    <h3>{ "Compare this bench with its plan" }</h3>
                    <p>{ "It names the moves that are missing, in whatever rows you have built. Which plan?" }</p>
                </div>
                { choose(page) }
            </>
        };
    };
    let title = if plan.title.is_empty() {
        "a plan without a title".to_owned()
    } else {
        format!("“{}”", plan.title)
    };
    html! {
        <>
            { match state.compared() {
                Some(answer) => answered(page, answer),
                None => html! {
                    <div class="calm"><h3>{ "The bench has changed" }</h3>{ Button::new("Check again").does(page, Action::Compare) }</div>
                },
            } }
            <div class="pad">
                <p class="quiet">{ format!("Compared with {title}, {} parts.", plan.parts.len()) }</p>
                <details><summary>{ "Choose another plan" }</summary>{ choose(page) }</details>
                { Button::new("No plan").does(page, Action::SetPlan(None)) }
            </div>
        </>
    }
}
