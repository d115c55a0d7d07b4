//! The whole page.

use halfrow_core::amount;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{DragEvent, HtmlInputElement};
use yew::prelude::*;

use crate::board::clock;
use crate::board::dial;
use crate::board::grid::{self, Grid};
use crate::board::overlays;
use crate::board::room::zoom_by;
use crate::board::view::BoardView;
use crate::keeping;
use crate::model::clipboard;
use crate::model::clock::slow;
use crate::model::opening::{open_example, open_text};
use crate::model::sight::whole;
use crate::model::state::{Action, Help, Overlay, Sheet, State, empty};
use crate::model::words;
use crate::panel::drawer::{self, Drawer};
use crate::panel::properties::{preferred_values, strip};
use crate::panel::{self, Panel};
use crate::paper::printed::{printed, use_printing};
use crate::platform::{files, page as browser, prefs};
use crate::run::clock::use_clock;
use crate::run::judging::use_judging;
use crate::sheets::Sheets;
use crate::sheets::commands;
use crate::sheets::files::open_bytes;
use crate::ui::board_focus;
use crate::ui::button::Button;
use crate::ui::focus::use_focus;
use crate::ui::hooks::use_once;
use crate::ui::page::{Handle, Store};
use crate::ui::pieces::{Shows, hashed, shared};
use crate::ui::spans::Span;
use crate::ui::typed::Typed;

/// The page.
#[component]
pub fn App() -> Html {
    let _span = Span::new("draw");
    let asked = use_memo((), |()| first_bench());
    let preferred = use_memo((), |()| preferred_values());
    let page = Handle::new(use_reducer(|| {
        let mut state = State::new(empty());
        state.judges_later();
        state.clock.running = !browser::prefers_stillness();
        let help = prefs::get("help");
        if let Some(&(help, _)) = Help::ALL.iter().find(|it| Some(it.1) == help.as_deref()) {
            state.apply(Action::SetHelp(help));
        }
        if let Some(action) = (*asked).clone() {
            state.apply(action);
            state.document.forget_steps();
        }
        Store::new(state)
    }));
    let kept = keeping::use_keeping(page.clone(), (*asked).clone());
    let update = use_state_eq(|| false);
    let printing = use_printing();
    use_started(page.clone(), update.clone());
    use_keys(page.clone());
    use_clock(page.clone());
    use_judging(&page);
    dial::use_rest(&page);
    use_focus(&page);
    let ondrop = {
        let page = page.clone();
        Callback::from(move |event: DragEvent| {
            event.prevent_default();
            let done = page.on(|(name, bytes): (String, Vec<u8>)| open_bytes(&name, &bytes));
            files::read_dropped(&event, done, page.on(Action::Say));
        })
    };
    let ondragover = Callback::from(|event: DragEvent| event.prevent_default());
    let (hole, words) = overlays::foot(&page.state);
    let said = page.state.speech.said.clone();
    html! {
        <div class="page" {ondrop} {ondragover}>
            { skip(&page, "To the board", "") }
            { skip(&page, "To the findings", "tab-page") }
            <Header page={page.clone()} shows={shown_in_header(&page.state)} kept={kept.words} />
            <Drawer ..drawer::Props::of(&page) />
            { page.piece([page.steady().turn(), 0, 0, 0, 0], power) }
            <main class="bench" aria-label="Bench">
                { kept.notice }
                if *update {
                    <p class="notice" role="status">{ "A newer version of Halfrow is ready. " }
                        { Button::new("Use it now").view(Callback::from(|_| browser::take_over())) }</p>
                }
                { page.piece([shared(&page.state.document.solved.bench), 0, 0, 0, 0], parts_in_words) }
                <Grid page={page.calm()} />
                { page.piece(dial::shown(&page.state), dial::dials) }
                <BoardView page={page.clone()} {printing} />
                { page.piece([0; 5], zoom) }
                { page.piece([if page.state.overlays().volts { page.steady().turn() } else { 0 }, 0, 0, 0, 0], legend) }
                { page.piece(clock::shown_in_controls(&page.state), clock::controls) }
            </main>
            { page.piece([if page.state.selection.chosen.is_empty() { 0 } else { page.steady().turn() }, 0, 0, 0, 0], strip) }
            <Panel page={page.clone()} shows={panel::shown(&page)} />
            <footer class="foot">
                <b>{ hole }</b><span class="foot-words">{ words }</span>
                if let Some(slow) = slow(&page.state.clock) { <span class="slow">{ slow }</span> }
                // The region stays; what is said anew is a new piece in it, even where the words are the same.
                <span class="said" role="status" aria-live="polite" title={said.to_string()}><span key={(page.state.speech.count % 2).to_string()}>{ said.to_string() }</span></span>
            </footer>
            <Sheets page={page.still()} />
            { (*preferred).clone() }
            if printing { { printed(&page) } }
        </div>
    }
}

/// Opens the bench in what follows the `#` of the address, if it is one.
fn open_hash(hash: &str) -> Option<Action> {
    let link = format!("#{hash}");
    halfrow_file::link::looks_like(&link).then(|| open_text("The link", &link))
}

/// What the address asks for: a bench in the link, an example by name.
fn first_bench() -> Option<Action> {
    if let Some(action) = open_hash(&browser::hash()) {
        return Some(action);
    }
    let slug = browser::query("example")?;
    halfrow_file::examples::find(&slug).map(open_example)
}

#[hook]
fn use_started(page: Handle, update: UseStateHandle<bool>) {
    let kept = use_mut_ref(|| None);
    use_once(Box::new(move || {
        browser::set_theme(prefs::get("theme").as_deref().unwrap_or("auto"));
        #[cfg(feature = "measure")]
        if browser::query("measure").is_some() {
            crate::measure::offer(page.clone());
        }
        let hash = {
            let page = page.clone();
            browser::on_hash_change(Callback::from(move |hash: String| {
                if let Some(action) = open_hash(&hash) {
                    page.dispatch(action);
                }
            }))
        };
        let waiting = browser::on_update_waiting(Callback::from(move |()| update.set(true)));
        *kept.borrow_mut() = Some((hash, waiting));
    }));
}

/// Whether the focus is in a field where keys mean text.
fn in_a_field() -> bool {
    let active = web_sys::window().and_then(|w| w.document()).and_then(|d| d.active_element());
    active.is_some_and(|element| match element.tag_name().as_str() {
        "TEXTAREA" | "SELECT" => true,
        "INPUT" => element.get_attribute("type").is_none_or(|kind| kind != "range" && kind != "checkbox"),
        _ => false,
    })
}

/// Keys that work everywhere on the page, and the clipboard.
#[hook]
fn use_keys(page: Handle) {
    let latest = use_mut_ref(|| page.clone());
    *latest.borrow_mut() = page;
    use_once(Box::new(move || {
        let Some(document) = web_sys::window().and_then(|window| window.document()) else { return };
        let keys = {
            let latest = latest.clone();
            Closure::<dyn FnMut(KeyboardEvent)>::new(move |event: KeyboardEvent| {
                let page = latest.borrow().clone();
                global_key(&page, &event);
            })
        };
        let _ = document.add_event_listener_with_callback("keydown", keys.as_ref().unchecked_ref());
        keys.forget();
        for kind in ["copy", "cut", "paste"] {
            let latest = latest.clone();
            let listener =
                Closure::<dyn FnMut(web_sys::ClipboardEvent)>::new(move |event: web_sys::ClipboardEvent| {
                    let page = latest.borrow().clone();
                    let Some(data) = event.clipboard_data().filter(|_| !in_a_field()) else { return };
                    if kind == "paste" {
                        let text = data.get_data("text/plain").unwrap_or_default();
                        page.dispatch(Action::Paste(text));
                    } else if !page.state.selection.chosen.is_empty() {
                        page.dispatch(Action::Copy);
                        let _ = data.set_data(
                            "text/plain",
                            &clipboard::copy(page.state.bench(), &page.state.selection.chosen),
                        );
                        if kind == "cut" {
                            page.dispatch(Action::Delete);
                        }
                    } else {
                        return;
                    }
                    event.prevent_default();
                });
            let _ = document.add_event_listener_with_callback(kind, listener.as_ref().unchecked_ref());
            listener.forget();
        }
    }));
}

fn global_key(page: &Handle, event: &KeyboardEvent) {
    // The cell that had the focus has just gone, and the next one does not have it yet.
    let target = event.target().and_then(|it| it.dyn_into::<web_sys::HtmlElement>().ok());
    if board_focus::on_board() && target.is_some_and(|it| it.tag_name() == "BODY") {
        board_focus::focus();
        grid::key(page, event);
    }
    let key = event.key().to_ascii_lowercase();
    if key == "escape" {
        page.dispatch(Action::Escape);
        return;
    }
    if !(event.ctrl_key() || event.meta_key()) || event.alt_key() {
        return;
    }
    let letter = match (key.as_str(), event.shift_key()) {
        ("z", true) => "Y".to_owned(),
        (_, true) => return,
        _ => key.to_ascii_uppercase(),
    };
    // These three come as events of the clipboard; in a field, text has its own undo and choice.
    let others = if in_a_field() { "XCVZYA" } else { "XCV" };
    if !others.contains(&letter) && commands::by_letter(page, &letter) {
        event.prevent_default();
    }
}

/// A link for the keys past what comes before. Not by the address, which may hold a bench.
fn skip(page: &Handle, name: &'static str, id: &'static str) -> Html {
    let onclick = page.on(move |event: MouseEvent| {
        event.prevent_default();
        Action::Focus(id.to_owned())
    });
    html! { <a class="skip" href="#tab-page" {onclick}>{ name }</a> }
}

/// What of the state the header shows.
fn shown_in_header(state: &State) -> Shows {
    let (undo, redo) = state.document.can();
    let overlays = state.overlays();
    let silent = !state.bench().may_tell_figures();
    let flags = [undo, redo, overlays.trace, overlays.volts, overlays.currents, silent];
    let flags = flags.iter().fold(0, |bits, &on| 2 * bits + u64::from(on));
    [hashed(&state.bench().title), flags, 0, 0, 0]
}

/// Properties of [`Header`].
#[derive(Properties)]
struct HeaderProps {
    page: Handle,
    shows: Shows,
    /// Whether the bench is kept, in words.
    kept: &'static str,
}

impl PartialEq for HeaderProps {
    fn eq(&self, other: &HeaderProps) -> bool {
        self.shows == other.shows && self.kept == other.kept
    }
}

/// The line above all: title, steps back, what is shown, sheets.
#[component]
fn Header(HeaderProps { page, kept, .. }: &HeaderProps) -> Html {
    let state = &page.state;
    let (undo, redo) = state.document.can();
    let overlays = state.overlays();
    let toggle = |name: &'static str, title: &'static str, on: bool, overlay: Overlay| {
        let silent = overlay != Overlay::Trace && !state.bench().may_tell_figures();
        let title = if silent { "Only the meter tells on this bench" } else { title };
        Button::new(name)
            .title(title)
            .class("second overlay")
            .pressed(on)
            .off(silent)
            .does(page, Action::Toggle(overlay))
    };
    let sheet = |name: &'static str, sheet: Sheet, class: &'static str| {
        Button::new(name).class(class).does(page, Action::SetSheet(Some(sheet)))
    };
    let onchange =
        page.on(|event: Event| Action::SetTitle(event.target_unchecked_into::<HtmlInputElement>().value()));
    html! {
        <header class="head">
            <h1 class="away">{ "Halfrow" }</h1>
            { sheet("Parts", Sheet::Drawer, "narrow") }
            <Typed class="title" label="Bench title" placeholder="Untitled bench"
                title={state.bench().title.clone()} value={state.bench().title.clone()} {onchange} />
            if !kept.is_empty() { <span class="kept-state">{ *kept }</span> }
            <span class="gap" />
            { Button::new("Undo").title("Undo (Ctrl+Z)").off(!undo).does(page, Action::Undo) }
            { Button::new("Redo").title("Redo (Ctrl+Y)").class("second").off(!redo).does(page, Action::Redo) }
            <span class="space" />
            { toggle("Trace", "Show the net under the pointer", overlays.trace, Overlay::Trace) }
            { toggle("Volts", "Shade every net by its voltage", overlays.volts, Overlay::Volts) }
            { toggle("Currents", "Show currents as arrows and figures", overlays.currents, Overlay::Currents) }
            <span class="space" />
            { sheet("Examples", Sheet::Examples, "second") }
            { sheet("Share", Sheet::Share, "second") }
            { sheet("Find", Sheet::Find, "wide second") }
            { sheet("Keys", Sheet::Keys, "wide second") }
            { sheet("More", Sheet::More, "") }
        </header>
    }
}

fn zoom(page: &Handle) -> Html {
    let step = |factor: f32| {
        let page = page.clone();
        Callback::from(move |_: MouseEvent| zoom_by(&page, factor))
    };
    let fit = {
        let page = page.clone();
        Callback::from(move |_: MouseEvent| page.dispatch(Action::SetView(Some(whole(page.state.bench())))))
    };
    html! {
        <div class="zoom" role="group" aria-label="Board size">
            <button aria-label="Larger" title="Larger" onclick={step(0.8)}>{ "+" }</button>
            <button aria-label="Smaller" title="Smaller" onclick={step(1.25)}>{ "−" }</button>
            { Button::new("Fit").title("Show everything").view(fit) }
        </div>
    }
}

/// The parts as things of their own for a screen reader, which sees nothing of the picture.
fn parts_in_words(page: &Handle) -> Html {
    let parts = page.state.bench().parts.iter().map(words::placed);
    html! { <ul class="away" aria-label="Parts on the bench">{ for parts.map(|it| html! { <li>{ it }</li> }) }</ul> }
}

/// The parts beside the board in a line, for a phone, whose width is the board's.
fn power(page: &Handle) -> Html {
    let lines = words::beside(&page.state.document.solved);
    if lines.is_empty() {
        // The line keeps its place, so that the board stays in its own when power comes.
        return html! { <div class="power" role="region" aria-label="Beside the board"><p>{ "Nothing gives power yet." }</p></div> };
    }
    let lines = lines.into_iter().map(|(part, name, figures)| {
        html! {
            <button onclick={page.on(move |_: MouseEvent| Action::Choose(part, false))}>
                <i aria-hidden="true" /><b>{ name }</b>{ " " }<span>{ figures }</span></button>
        }
    });
    html! { <div class="power" role="region" aria-label="Beside the board">{ for lines }</div> }
}

fn legend(page: &Handle) -> Html {
    if !page.state.overlays().volts {
        return html! {};
    }
    let (low, high) = overlays::span(&page.state);
    let steps = (0..=20).map(|i| {
        let share = f64::from(i) / 20.0;
        html! { <rect x={(i * 6).to_string()} y="0" width="6.5" height="12" fill={overlays::scale(share)} /> }
    });
    html! {
        <div class="legend">
            <span>{ amount::volts(low) }</span>
            <svg width="126" height="12" viewBox="0 0 126 12" preserveAspectRatio="none" role="img" aria-label="Colours from the lowest to the highest voltage">{ for steps }</svg>
            <span>{ amount::volts(high) }</span>
        </div>
    }
}
