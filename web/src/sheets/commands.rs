//! What can be done by name: one table for the menu on the board, the search and the sheet of keys.

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::Group;
use halfrow_core::probe::Probe;
use web_sys::MouseEvent;
use yew::prelude::*;

use crate::board::room::zoom_by;
use crate::model::clipboard;
use crate::model::sight::whole;
use crate::model::state::{Action, Overlay, Sheet, Solved, State, Tab, Use, empty};
use crate::model::words;
use crate::platform::{files, page as browser, prefs};
use crate::sheets::files::{pick_file, save_file, save_png, save_svg};
use crate::ui::page::Handle;

/// What a command works on, and with that where it is offered.
#[derive(Clone, Copy, PartialEq)]
pub enum Scope {
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
    /// The one chosen part, into which a current can flow.
    Flowing,
    /// The hole under the cursor.
    Hole,
    /// The net of the hole under the cursor.
    Net,
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
    /// What it works on.
    pub scope: Scope,
    /// Does it.
    pub run: fn(&Handle),
}

impl Command {
    /// Whether there is something to do it with.
    pub fn applies(&self, state: &State) -> bool {
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
            Scope::Flowing => only().is_some(),
            Scope::Net => state
                .selection
                .cursor
                .is_some_and(|hole| state.document.solved.point.nets.of_hole(state.bench(), hole).is_some()),
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
    command("Replace with a new one", "", Scope::Burnt, |page| with_chosen(page, Action::Replace)),
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
    command("Remove", "Backspace", Scope::Chosen, |page| page.dispatch(Action::Delete)),
    command("Trace this net", "", Scope::Hole, |page| {
        if !page.state.screen.overlays.trace {
            page.dispatch(Action::Toggle(Overlay::Trace));
        }
        read(page, words::net);
    }),
    command("Read this hole", "", Scope::Hole, |page| read(page, words::hole)),
    command("Watch its current on the chart", "", Scope::Flowing, |page| {
        if let Some(part) = page.state.only_chosen() {
            page.dispatch(Action::Watch(Probe::current(page.state.bench().part(part).id.clone())));
        }
    }),
    command("Watch its voltage on the chart", "", Scope::Net, |page| {
        if let Some(hole) = page.state.selection.cursor {
            page.dispatch(Action::Watch(Probe::Hole(hole)));
        }
    }),
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
    command("Boards, colours, what’s kept", "", Scope::Page, |page| sheet(page, Sheet::More)),
    command("Trace on or off", "", Scope::Page, |page| page.dispatch(Action::Toggle(Overlay::Trace))),
    command("Volts on or off", "", Scope::Page, |page| page.dispatch(Action::Toggle(Overlay::Volts))),
    command("Currents on or off", "", Scope::Page, |page| page.dispatch(Action::Toggle(Overlay::Currents))),
    command("Zoom in", "", Scope::Page, |page| zoom_by(page, 0.8)),
    command("Zoom out", "", Scope::Page, |page| zoom_by(page, 1.25)),
    command("Fit: show everything", "", Scope::Page, |page| {
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
pub fn close_and(page: &Handle, run: impl Fn(&Handle) + 'static) -> Callback<MouseEvent> {
    let page = page.clone();
    Callback::from(move |_: MouseEvent| {
        page.dispatch(Action::SetSheet(None));
        run(&page);
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_commands_share_a_name_or_keys() {
        for (i, a) in COMMANDS.iter().enumerate() {
            for b in &COMMANDS[i + 1..] {
                assert!(a.name != b.name && (a.keys != b.keys || a.keys.is_empty()), "{} {}", a.name, b.name);
            }
        }
    }
}
