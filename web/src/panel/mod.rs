//! What stands around the board: the side panel with findings, readings and nets, whose further pages are
//! the [`mod@wiring`] list and the [`chart`]; the [`drawer`] of parts; the [`properties`] of what is chosen.

pub mod chart;
pub mod drawer;
pub mod meter;
pub mod pictured;
pub mod plan;
pub mod properties;
pub mod wiring;

use halfrow_core::amount;
use halfrow_core::bench::PartIx;
use halfrow_core::card::Group;
use halfrow_core::nets::NetIx;
use halfrow_core::part::Depth;
use web_sys::{Element, HtmlSelectElement};
use yew::prelude::*;

use crate::model::guide;
use crate::model::opening::open_example;
use crate::model::quiet::ONLY_THE_METER;
use crate::model::state::{Action, Hand, Help, State, Tab};
use crate::model::words;
use crate::panel::chart::ChartTab;
use crate::panel::wiring::wiring;
use crate::platform::prefs;
use crate::ui::button::Button;
use crate::ui::focus as roving;
use crate::ui::page::Handle;
use crate::ui::pieces::{Shows, hashed, shared};
use crate::ui::spans::Span;

/// Properties of [`Panel`].
#[derive(Properties)]
pub struct Props {
    /// The page's state.
    pub page: Handle,
    /// What of it the panel shows.
    pub shows: Shows,
}

impl PartialEq for Props {
    fn eq(&self, other: &Props) -> bool {
        self.shows == other.shows
    }
}

/// What of the state the panel shows.
pub fn shown(page: &Handle) -> Shows {
    let state = &page.state;
    let tab = state.screen.tab as u64 + 16 * state.screen.help as u64;
    match state.screen.tab {
        Tab::Findings => [
            tab,
            shared(&state.document.solved.findings),
            // What is said where nothing is found.
            hashed(&state.bench().title)
                + u64::from(is_begun(state))
                + guide::next(state).map_or(0, |(_, words)| hashed(&words)),
            state.selection.shown.map_or(0, |index| index as u64 + 1),
            match &state.selection.hand {
                Hand::Part { .. } => hashed(&words::hand(state)),
                _ => 0,
            },
        ],
        Tab::Wiring | Tab::Plan => [tab, page.still().turn(), 0, 0, 0],
        _ => [tab, page.steady().turn(), 0, 0, 0],
    }
}

/// How far a bench is: empty, with nothing but power on it, or more; and whether a leg is barely in.
fn is_begun(state: &State) -> u8 {
    let parts = &state.bench().parts;
    u8::from(!parts.is_empty())
        + u8::from(!parts.iter().all(|part| part.card.group == Group::Power))
        + 4 * u8::from(is_loose(state))
}

/// Whether a leg is barely in: then a tap on the board may change something.
fn is_loose(state: &State) -> bool {
    state.bench().legs().any(|(_, leg)| leg.depth == Depth::Barely)
}

/// The panel with its tabs.
#[component]
pub fn Panel(props: &Props) -> Html {
    let _span = Span::new("draw");
    let page = &props.page;
    let count = if page.state.screen.help == Help::Nothing { 0 } else { guide::told(&page.state).len() };
    let tabs = [
        (Tab::Findings, "Findings"),
        (Tab::Meter, "Meter"),
        (Tab::Readings, "Readings"),
        (Tab::Plan, "Plan"),
        (Tab::Wiring, "Wiring"),
        (Tab::Nets, "Nets"),
        (Tab::Chart, "Chart"),
    ];
    let open = page.state.screen.tab;
    let buttons = tabs.into_iter().map(|(tab, name)| {
        let chosen = tab == open;
        html! {
            <button role="tab" id={format!("tab-{tab:?}")} aria-selected={chosen.to_string()} aria-controls="tab-page"
                tabindex={if chosen { "0" } else { "-1" }} class={chosen.then_some("on")} onclick={page.on(move |_: MouseEvent| Action::SetTab(tab))}>
                { name }
                // The number has its place even where there is none: no tab moves from under a pointer.
                if tab == Tab::Findings {
                    { " " }<span class="how-many">{ if count == 0 { String::new() } else { count.to_string() } }</span>
                }
            </button>
        }
    });
    let onkeydown = Callback::from(|event: KeyboardEvent| {
        if let Some(tab) = roving::next(&event) {
            let _ = tab.focus();
            tab.click();
        }
    });
    let pulled = use_state_eq(|| false);
    let grip = grip(&pulled);
    html! {
        <section class={classes!("panel", pulled.then_some("pulled"))} aria-label="What the bench does">
            { grip }
            <h2 class="away">{ "What the bench does" }</h2>
            <div role="tablist" class="tabs" aria-label="Pages of the panel" {onkeydown}>{ for buttons }</div>
            <div role="tabpanel" id="tab-page" aria-labelledby={format!("tab-{open:?}")} class="tab-page" tabindex="0">
                { match open {
                    Tab::Findings => findings(page),
                    Tab::Meter => meter::meter(page),
                    Tab::Readings | Tab::Chart if !page.state.bench().may_tell_figures() => {
                        calm("Only the meter tells", ONLY_THE_METER)
                    }
                    Tab::Readings => readings(page),
                    Tab::Plan => plan::plan(page),
                    Tab::Wiring => wiring(page),
                    Tab::Nets => nets(page),
                    Tab::Chart => html! { <ChartTab page={page.clone()} /> },
                } }
            </div>
            <p class="caution">
                <b aria-hidden="true">{ "!" }</b>
                <span>{ "Batteries and small supplies only, never a wall outlet." }<span class="further">{ " Disconnect before you rewire. Keep coin cells away from small children." }</span></span>
            </p>
        </section>
    }
}

/// What the panel is pulled up by where it is a sheet from below: by a tap, a key, or a drag up or down.
fn grip(pulled: &UseStateHandle<bool>) -> Html {
    const FROM: &str = "data-from";
    let onpointerdown = Callback::from(|event: PointerEvent| {
        let grip: Element = event.target_unchecked_into();
        let _ = grip.set_pointer_capture(event.pointer_id());
        let _ = grip.set_attribute(FROM, &event.client_y().to_string());
    });
    let onpointerup = {
        let pulled = pulled.clone();
        Callback::from(move |event: PointerEvent| {
            let grip: Element = event.target_unchecked_into();
            let from = grip.get_attribute(FROM).and_then(|it| it.parse::<i32>().ok());
            let by = from.map_or(0, |from| event.client_y() - from);
            // A finger that hardly moved taps.
            pulled.set(if by.abs() < 12 { !*pulled } else { by < 0 });
        })
    };
    // Pressed by a key or by a screen reader; what a pointer does is told above.
    let onclick = {
        let pulled = pulled.clone();
        Callback::from(move |event: MouseEvent| {
            if event.detail() == 0 {
                pulled.set(!*pulled);
            }
        })
    };
    html! {
        <button class="grip" aria-expanded={pulled.to_string()} aria-label="Larger panel" {onpointerdown} {onpointerup} {onclick} />
    }
}

fn findings(page: &Handle) -> Html {
    let state = &page.state;
    let onchange = page.on(|event: Event| {
        let index = event.target_unchecked_into::<HtmlSelectElement>().selected_index();
        let (help, word) = Help::ALL[index.clamp(0, 3) as usize];
        prefs::set("help", word);
        Action::SetHelp(help)
    });
    let options = Help::ALL
        .map(|(help, word)| html! { <option selected={help == state.screen.help}>{ word }</option> });
    let findings = guide::told(state);
    let list = findings.iter().enumerate().map(|(index, finding)| {
        let word = finding.severity.word();
        let named = words::severity(finding, state.document.example().is_some());
        let open = state.selection.shown == Some(index);
        html! {
            <li class={classes!("finding", word, open.then_some("shown"))}>
                <span class="number" aria-hidden="true"><b>{ index + 1 }</b></span>
                <div>
                    <h3>{ &finding.symptom }{ " " }<span class="severity">{ named }</span></h3>
                    if state.screen.help >= Help::Place { <p>{ &finding.says }</p> }
                    if state.screen.help >= Help::Remedy { <p class="remedy">{ &finding.remedy }</p> }
                    if state.screen.help >= Help::Place {
                        <details><summary>{ "Why it matters" }</summary><p>{ &finding.why }</p></details>
                        if !finding.holes.is_empty() {
                            { Button::new("Show on the board").does(page, Action::Show(index)) }
                        }
                    }
                </div>
            </li>
        }
    });
    let told = if state.bench().parts.is_empty() {
        html! {
            <div class="calm">
                <h3>{ "An empty board" }</h3>
                <p>
                    { "Take a battery pack from the list of parts" }<span class="narrow">{ " (the Parts button)" }</span>
                    { ". Put its red lead into a + rail and its black lead into the − rail beside it. Or begin with an example:" }
                </p>
                { for ["harbour-mouth", "lighthouse", "harbour-gate"].into_iter().filter_map(halfrow_file::examples::find).map(|it| html! {
                    { Button::new(it.title).view(page.on(move |_: MouseEvent| open_example(it))) }
                }) }
            </div>
        }
    } else if let Some((heading, words)) = guide::next(state).filter(|_| findings.is_empty()) {
        calm(heading, &words)
    } else if state.screen.help == Help::Nothing {
        calm("Findings are off", "The board and the readings show what the bench does.")
    } else if findings.is_empty() && state.is_unjudged() {
        calm("Looking it over…", "What there is to say about this bench comes in a moment.")
    } else if findings.is_empty() {
        calm("Nothing to find", "Every leg is connected, and no part gets more than it can take.")
    } else {
        html! {
            <ol class="findings">{ for list }</ol>
        }
    };
    html! {
        <>
            { in_hand(page) }
            // What is wrong comes first: on a phone there is room for nothing else.
            if findings.is_empty() { { task(page) } }
            { told }
            if !findings.is_empty() { { task(page) } }
            if is_loose(state) {
                <p class="pad">{ Button::new("Tap the board").does(page, Action::Tap) }</p>
            }
            { about(page) }
            if !findings.is_empty() {
                <p class="quiet pad">{ "A fault stops it working or damages something. A risk may go wrong later. A habit works, but there’s a tidier way that others will read more easily." }</p>
            }
            <label class="say-how-much">{ "Findings tell " }<select {onchange}>{ for options }</select></label>
        </>
    }
}

/// A few words under a heading.
fn calm(heading: &'static str, words: &str) -> Html {
    html! { <div class="calm"><h3>{ heading }</h3><p>{ words }</p></div> }
}

/// The part in hand: what it is for, and where it goes.
fn in_hand(page: &Handle) -> Html {
    let Hand::Part { card, .. } = &page.state.selection.hand else { return html! {} };
    let words = format!("{} {}", card.what, words::hand(&page.state));
    html! { <>{ calm(card.name, &words) }<div class="pad">{ pictured::pins(card) }</div></> }
}

/// What is to be found on the example that is open.
fn task(page: &Handle) -> Html {
    let example = page.state.document.example().filter(|it| it.twin.is_some());
    let Some(example) = example else { return html! {} };
    let (heading, more) = if page.state.document.is_mended() {
        ("You found it", "It works as it should now.")
    } else {
        ("Your task", "Find it and fix it on the board.")
    };
    calm(heading, &format!("{} {more}", example.about))
}

/// What the example that is open is meant to do. It stands below what the bench does now, which may be
/// something else.
fn about(page: &Handle) -> Html {
    let example = page.state.document.example().filter(|it| it.twin.is_none());
    let Some(example) = example else { return html! {} };
    let more = "Move a leg or change a value and see what happens. Undo takes it back.";
    calm("What it should do", &format!("{} {more}", example.about))
}

fn readings(page: &Handle) -> Html {
    let solved = &page.state.document.solved;
    let rows = solved.bench.parts.iter().enumerate().map(|(i, part)| {
        let (volts, amps, now) = words::readings(solved, PartIx(i));
        let watts = solved.point.parts[i].watts.abs();
        // Less warms nothing that a hand could feel.
        let watts = if watts < 1e-3 { "< 1 mW".to_owned() } else { amount::watts(watts) };
        let lasts = solved.point.lasts_seconds(&solved.bench, PartIx(i));
        let now = lasts.map_or(now.to_owned(), |seconds| format!("{now}; lasts {}", amount::about(seconds)));
        html! {
            <tr class={page.state.selection.chosen.contains(&i).then_some("on")} key={part.id.clone()}>
                <th scope="row">{ Button::new(part.title()).class("plain").does(page, Action::Choose(PartIx(i), false)) }</th>
                <td>{ volts }</td><td>{ amps }</td><td>{ watts }</td><td>{ now }</td>
            </tr>
        }
    });
    html! {
        <table class="readings">
            <thead><tr><th scope="col">{ "Part" }</th><th scope="col">{ "Volts" }</th><th scope="col">{ "Current" }</th><th scope="col">{ "Power" }</th><th scope="col">{ "Now" }</th></tr></thead>
            <tbody>{ for rows }</tbody>
        </table>
    }
}

fn nets(page: &Handle) -> Html {
    let solved = &page.state.document.solved;
    let tells = solved.bench.may_tell_figures();
    let rows = solved.point.nets.all.iter().enumerate().map(|(index, net)| {
        let holes = net.taken_holes(&solved.bench);
        let first = holes.first().copied();
        let list = holes.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ");
        let volts = words::net_volts(solved, NetIx(index)).map(|volts| html! { <td>{ volts }</td> });
        html! {
            <tr>
                <th scope="row">{ Button::new(words::net_name(solved, net)).class("plain").does(page, Action::Point(first)) }</th>
                { for volts }<td class="words">{ list }</td>
            </tr>
        }
    });
    html! {
        <table class="readings">
            <thead><tr><th scope="col">{ "Net" }</th>if tells { <th scope="col">{ "Volts" }</th> }<th scope="col">{ "Legs in" }</th></tr></thead>
            <tbody>{ for rows }</tbody>
        </table>
    }
}
