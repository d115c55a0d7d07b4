//! What can be done by name: one table for the menu on the board, the search and the sheet of keys.

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::Group;
use halfrow_core::parts::CARDS;
use halfrow_file::examples;
use web_sys::{HtmlElement, HtmlInputElement, MouseEvent};
use yew::prelude::*;

use crate::board::room::zoom_by;
use crate::model::clipboard;
use crate::model::opening::open_example;
use crate::model::sight::whole;
use crate::model::state::{Action, Overlay, Sheet, Solved, State, Tab, Use, empty};
use crate::model::words;
use crate::platform::{files, page as browser, prefs};
use crate::sheets::files::{pick_file, save_file, save_png, save_svg};
use crate::ui::focus as roving;
use crate::ui::page::Handle;

/// What a command works on, and with that where it is offered.
#[derive(Clone, Copy, PartialEq)]
enum Scope {
    /// The chosen parts.
    Chosen,
    /// The one chosen switch or button.
    Switch,
    /// The one chosen part that is burnt.
    Burnt,
    /// The one chosen part with two legs to measure across.
    Measured,
    /// The one chosen part whose legs lift one by one.
    Lifted,
    /// The hole under the cursor.
    Hole,
    /// The board: always in the menu.
    Board,
    /// The page: in the search, not in the menu.
    Page,
}

/// One thing that can be done.
pub struct Command {
    /// Its name.
    pub name: &'static str,
    /// The keys that do it, empty where there are none.
    pub keys: &'static str,
    scope: Scope,
    /// Does it.
    pub run: fn(&Handle),
}

impl Command {
    /// Whether there is something to do it with.
    fn applies(&self, state: &State) -> bool {
        let only = || state.only_chosen();
        match self.scope {
            Scope::Chosen => !state.selection.chosen.is_empty(),
            Scope::Switch => only().is_some_and(|ix| state.bench().part(ix).card.group == Group::Switch),
            Scope::Burnt => only().is_some_and(|ix| state.document.solved.point.part(ix).memory.burnt),
            Scope::Measured => only().is_some_and(|ix| state.bench().part(ix).legs.len() == 2),
            Scope::Lifted => only().is_some_and(|ix| {
                let part = state.bench().part(ix);
                !part.is_rigid() && part.legs.iter().any(|leg| leg.hole.is_some())
            }),
            Scope::Hole => state.selection.cursor.is_some(),
            Scope::Board | Scope::Page => true,
        }
    }
}

const fn command(name: &'static str, keys: &'static str, scope: Scope, run: fn(&Handle)) -> Command {
    Command { name, keys, scope, run }
}

/// Chooses the colours and keeps the choice.
pub fn theme(word: &str) {
    browser::set_theme(word);
    prefs::set("theme", word);
}

/// All commands; those of the menu first, in its order.
pub const COMMANDS: &[Command] = &[
    command("Switch it (a button stays pressed)", "", Scope::Switch, |page| with_chosen(page, Action::Work)),
    command("Replace by a new one", "", Scope::Burnt, |page| with_chosen(page, Action::Replace)),
    command("Measure across it", "", Scope::Measured, |page| {
        with_chosen(page, |part| Action::Meter(Use::Across(part)));
    }),
    command("Measure in series with it", "", Scope::Lifted, |page| {
        with_chosen(page, |part| Action::Meter(Use::Series(LegId { part, pin: 0 })));
    }),
    command("Measure its resistance alone", "", Scope::Measured, |page| {
        with_chosen(page, |part| Action::Meter(Use::Alone(part)));
    }),
    command("Turn", "T", Scope::Chosen, |page| page.dispatch(Action::Turn)),
    command("Cut", "Ctrl X", Scope::Chosen, |page| {
        copy(page);
        page.dispatch(Action::Delete);
    }),
    command("Copy", "Ctrl C", Scope::Chosen, copy),
    command("Paste", "Ctrl V", Scope::Board, paste),
    command("Duplicate", "Ctrl D", Scope::Chosen, |page| page.dispatch(Action::Duplicate)),
    command("Take away", "Backspace", Scope::Chosen, |page| page.dispatch(Action::Delete)),
    command("Trace this net", "", Scope::Hole, |page| {
        if !page.state.screen.overlays.trace {
            page.dispatch(Action::Toggle(Overlay::Trace));
        }
        read(page, words::net);
    }),
    command("Read this hole", "", Scope::Hole, |page| read(page, words::hole)),
    command("Choose all parts", "Ctrl A", Scope::Board, |page| page.dispatch(Action::ChooseAll)),
    command("Undo", "Ctrl Z", Scope::Page, |page| page.dispatch(Action::Undo)),
    command("Redo", "Ctrl Y", Scope::Page, |page| page.dispatch(Action::Redo)),
    command("Find an action or a part", "Ctrl K", Scope::Page, |page| sheet(page, Sheet::Find)),
    command("Save as a file", "Ctrl S", Scope::Page, save_file),
    command("Open a file", "Ctrl O", Scope::Page, pick_file),
    command("Print", "Ctrl P", Scope::Page, |_| browser::print()),
    command("Keys", "?", Scope::Page, |page| sheet(page, Sheet::Keys)),
    command("Picture (SVG)", "", Scope::Page, save_svg),
    command("Picture (PNG)", "", Scope::Page, save_png),
    command("New bench", "", Scope::Page, |page| {
        page.dispatch(Action::Open(Box::new(empty()), "A new bench.".into()));
    }),
    command("Examples", "", Scope::Page, |page| sheet(page, Sheet::Examples)),
    command("Share a link", "", Scope::Page, |page| sheet(page, Sheet::Share)),
    command("Boards, look, what is kept", "", Scope::Page, |page| sheet(page, Sheet::More)),
    command("Trace on or off", "", Scope::Page, |page| page.dispatch(Action::Toggle(Overlay::Trace))),
    command("Volts on or off", "", Scope::Page, |page| page.dispatch(Action::Toggle(Overlay::Volts))),
    command("Currents on or off", "", Scope::Page, |page| page.dispatch(Action::Toggle(Overlay::Currents))),
    command("Zoom in", "", Scope::Page, |page| zoom_by(page, 0.8)),
    command("Zoom out", "", Scope::Page, |page| zoom_by(page, 1.25)),
    command("Fit: all in sight", "", Scope::Page, |page| {
        page.dispatch(Action::SetView(Some(whole(page.state.bench()))))
    }),
    command("Multimeter: take it, or say what it shows", "M", Scope::Page, |page| {
        page.dispatch(Action::Meter(Use::Take));
    }),
    command("Red tip in hand", "[", Scope::Page, |page| page.dispatch(Action::Meter(Use::Hold(0, true)))),
    command("Black tip in hand", "]", Scope::Page, |page| page.dispatch(Action::Meter(Use::Hold(0, false)))),
    command("Meter", "", Scope::Page, |page| tab(page, Tab::Meter)),
    command("Findings", "", Scope::Page, |page| tab(page, Tab::Findings)),
    command("Readings", "", Scope::Page, |page| tab(page, Tab::Readings)),
    command("Plan", "", Scope::Page, |page| tab(page, Tab::Plan)),
    command("Wiring list", "", Scope::Page, |page| tab(page, Tab::Wiring)),
    command("Nets", "", Scope::Page, |page| tab(page, Tab::Nets)),
    command("Chart", "", Scope::Page, |page| tab(page, Tab::Chart)),
    command("Run or pause the clock", "", Scope::Page, |page| {
        page.dispatch(Action::SetRunning(!page.state.clock.running));
    }),
    command("Tap the board", "", Scope::Page, |page| page.dispatch(Action::Tap)),
    command("Light colours", "", Scope::Page, |_| theme("light")),
    command("Dark colours", "", Scope::Page, |_| theme("dark")),
    command("High contrast", "", Scope::Page, |_| theme("contrast")),
];

fn with_chosen(page: &Handle, action: fn(PartIx) -> Action) {
    if let Some(part) = page.state.only_chosen() {
        page.dispatch(action(part));
    }
}

fn tab(page: &Handle, tab: Tab) {
    page.dispatch(Action::SetTab(tab));
    page.dispatch(Action::Focus(format!("tab-{tab:?}")));
}

fn sheet(page: &Handle, sheet: Sheet) {
    page.dispatch(Action::SetSheet(Some(sheet)));
}

fn read(page: &Handle, words: fn(&Solved, Hole) -> String) {
    if let Some(hole) = page.state.selection.cursor {
        page.dispatch(Action::Say(words(&page.state.document.solved, hole)));
    }
}

fn copy(page: &Handle) {
    page.dispatch(Action::Copy);
    let text = clipboard::copy(page.state.bench(), &page.state.selection.chosen);
    // Where the browser refuses, the page's own copy remains.
    files::copy_text(&text, Callback::noop());
}

/// Pastes from the device's clipboard, or what this page copied where the browser keeps that shut.
fn paste(page: &Handle) {
    let page = page.clone();
    wasm_bindgen_futures::spawn_local(async move {
        let text = files::paste_text().await.unwrap_or_default();
        page.dispatch(Action::Paste(text));
    });
}

/// Does what the keys Ctrl and this letter stand for; false where they stand for nothing.
pub fn by_letter(page: &Handle, letter: &str) -> bool {
    let found = COMMANDS.iter().find(|it| it.keys.strip_prefix("Ctrl ") == Some(letter));
    if let Some(command) = found {
        (command.run)(page);
    }
    found.is_some()
}

/// Closes what is open and does something.
fn close_and(page: &Handle, run: impl Fn(&Handle) + 'static) -> Callback<MouseEvent> {
    let page = page.clone();
    Callback::from(move |_: MouseEvent| {
        page.dispatch(Action::SetSheet(None));
        run(&page);
    })
}

/// Puts the menu where it was asked for, or as near as the window has room.
pub fn place_menu(menu: &HtmlElement, (x, y): (i32, i32)) {
    let Some(window) = web_sys::window() else { return };
    let most = |size: Result<wasm_bindgen::JsValue, _>, own: i32| {
        size.ok().and_then(|it| it.as_f64()).unwrap_or(0.0) as i32 - own - 4
    };
    let places = [
        ("left", x, most(window.inner_width(), menu.offset_width())),
        ("top", y, most(window.inner_height(), menu.offset_height())),
    ];
    for (side, wanted, most) in places {
        let _ = menu.style().set_property(side, &format!("{}px", wanted.min(most).max(4)));
    }
}

/// The menu on the board and its parts; `first` is its first item.
pub fn menu(page: &Handle, first: &NodeRef) -> Html {
    let offered = |it: &&Command| it.scope != Scope::Page && it.applies(&page.state);
    let items = COMMANDS.iter().filter(offered).enumerate().map(|(index, it)| {
        let first = if index == 0 { first.clone() } else { NodeRef::default() };
        html! {
            <button role="menuitem" tabindex="-1" ref={first} onclick={close_and(page, it.run)}>
                <span>{ it.name }</span><kbd aria-hidden="true">{ it.keys }</kbd></button>
        }
    });
    // Not by a click: the finger whose long press opened the menu would close it as it goes.
    let close = page.on(|_: PointerEvent| Action::SetSheet(None));
    let stay = Callback::from(|event: PointerEvent| event.stop_propagation());
    let no_other = Callback::from(|event: MouseEvent| event.prevent_default());
    let onkeydown = {
        let page = page.clone();
        Callback::from(move |event: KeyboardEvent| {
            if event.key() == "Tab" {
                event.prevent_default();
                page.dispatch(Action::SetSheet(None));
            } else if let Some(next) = roving::next(&event) {
                let _ = next.focus();
            }
        })
    };
    let name = page.state.only_chosen().map_or("Board".to_owned(), |ix| page.state.bench().part(ix).title());
    html! {
        <section class="menu-ground" aria-label="Menu" onpointerdown={close} oncontextmenu={no_other}>
            <div class="menu" role="menu" aria-label={name} {onkeydown} onpointerdown={stay}>{ for items }</div>
        </section>
    }
}

/// What the search can find.
#[derive(Clone)]
enum Found {
    Command(fn(&Handle)),
    Action(Action),
}

impl Found {
    fn run(&self, page: &Handle) {
        match self {
            Found::Command(run) => run(page),
            Found::Action(action) => page.dispatch(action.clone()),
        }
    }
}

/// Everything whose name holds all the words, the commands first.
fn search(state: &State, wanted: &str) -> Vec<(String, &'static str, Found)> {
    let wanted = wanted.to_ascii_lowercase();
    let fits = |name: &str| {
        let name = name.to_ascii_lowercase();
        wanted.split_whitespace().all(|word| name.contains(word))
    };
    let mut found = Vec::new();
    let mut add = |name: String, hint, what: Found| {
        if found.len() < 12 && fits(&name) {
            found.push((name, hint, what));
        }
    };
    for it in COMMANDS.iter().filter(|it| it.applies(state)) {
        add(it.name.to_owned(), it.keys, Found::Command(it.run));
    }
    for (i, part) in state.bench().parts.iter().enumerate() {
        let name = format!("{}, {}", part.title(), part.card.name);
        add(name, "on the board", Found::Action(Action::Reveal(PartIx(i))));
    }
    for card in CARDS {
        add(card.name.to_owned(), "take a part", Found::Action(Action::Take(card)));
    }
    for example in &examples::ALL {
        if fits(example.title) {
            add(example.title.to_owned(), "example", Found::Action(open_example(example)));
        }
    }
    found
}

/// One field that finds actions, parts and examples.
pub fn find(page: &Handle, first: &NodeRef) -> Html {
    let (wanted, at) = &page.state.screen.find;
    let found = search(&page.state, wanted);
    let (here, count) = (*at, found.len());
    let oninput = page.on(|event: InputEvent| {
        Action::SetFind(event.target_unchecked_into::<HtmlInputElement>().value(), 0)
    });
    let onkeydown = {
        let page = page.clone();
        Callback::from(move |event: KeyboardEvent| {
            let to = match event.key().as_str() {
                "ArrowDown" => here + 1,
                "ArrowUp" => here + count - 1,
                "Enter" => {
                    // What is wanted now: the list on the screen may be a picture behind.
                    let (wanted, at) = &page.state.screen.find;
                    if let Some((.., it)) = search(&page.state, wanted).get(*at) {
                        page.dispatch(Action::SetSheet(None));
                        it.run(&page);
                    }
                    here
                }
                _ => return,
            };
            event.prevent_default();
            if to != here && count > 0 {
                page.dispatch(Action::SetFind(page.state.screen.find.0.clone(), to % count));
            }
        })
    };
    let rows = found.iter().enumerate().map(|(index, (name, hint, it))| {
        let on = index == here;
        let it = it.clone();
        let onclick = close_and(page, move |page| it.run(page));
        html! {
            <li role="option" id={format!("found-{index}")} aria-selected={on.to_string()} class={on.then_some("on")} {onclick}>
                <span>{ name }</span><kbd>{ *hint }</kbd></li>
        }
    });
    html! {
        <>
            <input class="find" role="combobox" aria-expanded="true" aria-controls="found" aria-autocomplete="list"
                aria-activedescendant={(!found.is_empty()).then(|| format!("found-{here}"))}
                aria-label="Find an action or a part" ref={first.clone()} value={wanted.clone()} {oninput} {onkeydown} />
            <ul class="found" id="found" role="listbox" aria-label="Found">{ for rows }</ul>
            <p class={if count == 0 { "quiet" } else { "away" }} role="status">
                { if count == 0 { "Nothing of that name.".to_owned() } else { words::count(count, "found", "found") } }
            </p>
        </>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(state: &State, wanted: &str) -> Vec<String> {
        search(state, wanted).into_iter().map(|(name, ..)| name).collect()
    }

    #[test]
    fn search_finds_actions_parts_and_examples_by_any_words() {
        let Action::Open(bench, _) = open_example(&examples::ALL[0]) else { panic!("an example opens") };
        let state = State::new(*bench);
        for (wanted, first) in [
            ("undo", "Undo"),
            ("volts", "Volts on or off"),
            ("file save", "Save as a file"),
            ("potentio", "Potentiometer"),
        ] {
            assert_eq!(names(&state, wanted).first().map(String::as_str), Some(first), "{wanted}");
        }
        assert!(names(&state, "r1").iter().any(|name| name.starts_with("R1 ")));
        assert!(names(&state, examples::ALL[0].title).contains(&examples::ALL[0].title.to_owned()));
        assert!(names(&state, "teapot").is_empty());
        // With nothing chosen there is nothing to turn.
        assert!(!names(&state, "turn").contains(&"Turn".to_owned()));
    }

    #[test]
    fn no_two_commands_share_a_name_or_keys() {
        for (i, a) in COMMANDS.iter().enumerate() {
            for b in &COMMANDS[i + 1..] {
                assert!(a.name != b.name && (a.keys != b.keys || a.keys.is_empty()), "{} {}", a.name, b.name);
            }
        }
    }
}
