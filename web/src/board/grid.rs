//! The board for keyboards and screen readers: a grid with one tab stop and roving focus. Only the
//! row of the cursor is in the page; the picture shows the same cursor.

use halfrow_core::board::Hole;
use halfrow_core::card::Group;
use halfrow_core::parts::CARDS;
use web_sys::HtmlElement;
use yew::prelude::*;

use crate::board::touch::let_go;
use crate::model::state::{Action, Hand, Sheet, State, Use};
use crate::model::walk::{row_of, step};
use crate::model::words;
use crate::platform::page::Timer;
use crate::ui::board_focus::{self, focus_cell, on_board, set_on_board};
use crate::ui::hooks::use_each;
use crate::ui::page::Handle;
use crate::ui::spans::Span;

/// Properties of [`Grid`].
#[derive(Properties)]
pub struct Props {
    /// The page's state.
    pub page: Handle,
}

impl PartialEq for Props {
    /// While the pointer drags, the grid stays as it is: it goes along when that is over.
    fn eq(&self, other: &Props) -> bool {
        board_focus::is_held() || self.page == other.page
    }
}

/// The grid.
#[component]
pub fn Grid(props: &Props) -> Html {
    let _span = Span::new("draw");
    let page = &props.page;
    let state = &page.state;
    let bench = state.bench();
    // Another row replaces the cells; the browser then takes the focus off a cell that goes.
    let drawing = use_mut_ref(|| false);
    *drawing.borrow_mut() = true;
    let current = use_node_ref();
    let home = home(page);
    {
        let (drawing, current) = (drawing.clone(), current.clone());
        use_each(Box::new(move || {
            if on_board()
                && let Some(cell) = current.cast::<HtmlElement>()
            {
                focus_cell(&cell);
            }
            *drawing.borrow_mut() = false;
        }));
    }
    let onkeydown = {
        let page = page.clone();
        Callback::from(move |event: KeyboardEvent| key(&page, &event))
    };
    let onfocusin = {
        let page = page.clone();
        Callback::from(move |_: FocusEvent| {
            set_on_board(true);
            let home = self::home(&page);
            if page.state.selection.cursor != Some(home) {
                page.dispatch(Action::Point(Some(home)));
            }
        })
    };
    let onfocusout = {
        let page = page.clone();
        Callback::from(move |_: FocusEvent| {
            if !*drawing.borrow() {
                set_on_board(false);
                if page.state.selection.pushed.is_some() {
                    page.dispatch(Action::LetGo);
                }
            }
        })
    };
    let letting_go = use_mut_ref(|| None::<Timer>);
    let onkeyup = {
        let page = page.clone();
        Callback::from(move |event: KeyboardEvent| {
            if event.key() == " " && page.state.selection.pushed.is_some() {
                *letting_go.borrow_mut() = Some(let_go(&page));
            }
        })
    };
    let cells = row_of(bench, home, state.selection.row).into_iter().enumerate().map(|(index, hole)| {
        let here = hole == home;
        html! {
            <div role="gridcell" key={hole.to_string()} ref={if here { current.clone() } else { NodeRef::default() }}
                tabindex={if here { "0" } else { "-1" }} aria-colindex={(index + 1).to_string()}
                aria-label={if here { words::hole(&state.document.solved, hole) } else { hole.to_string() }}
                aria-selected={here.to_string()} />
        }
    });
    let row = home.row().unwrap_or(1);
    html! {
        <div role="grid" class="grid" aria-label="Board. Arrow keys move from hole to hole. Enter puts a leg in or pulls it out."
            aria-rowcount={bench.boards[0].kind.rows().to_string()} aria-colcount="14" {onkeydown} {onkeyup} {onfocusin} {onfocusout}>
            <div role="row" aria-rowindex={row.to_string()}>{ for cells }</div>
        </div>
    }
}

/// The hole of the cursor, where keys do something.
fn home(page: &Handle) -> Hole {
    let cursor = page.state.selection.cursor;
    cursor.filter(|&hole| page.state.bench().board_of(hole).is_some()).unwrap_or(Hole::grid(0, 'a', 1))
}

/// A key on the board. Where the cursor is now counts, not where it was when the board was last drawn:
/// on a slow machine keys come faster than pictures.
pub fn key(page: &Handle, event: &KeyboardEvent) {
    let home = home(page);
    let key = event.key();
    let state = &page.state;
    let command = event.ctrl_key() || event.meta_key();
    if event.alt_key() && key.starts_with("Arrow") {
        let (dx, dy) = match key.as_str() {
            "ArrowLeft" => (-1, 0),
            "ArrowRight" => (1, 0),
            "ArrowUp" => (0, -1),
            _ => (0, 1),
        };
        event.prevent_default();
        page.dispatch(Action::Nudge(dx, dy));
        return;
    }
    if key == "ContextMenu" || (key == "F10" && event.shift_key()) {
        event.prevent_default();
        let document = web_sys::window().and_then(|window| window.document());
        let drawn = document.and_then(|it| it.query_selector(".board .cursor").ok().flatten());
        let at = drawn.map_or((60, 60), |it| {
            let place = it.get_bounding_client_rect();
            (place.right() as i32, place.bottom() as i32)
        });
        let part = state.bench().occupant(home).map(|leg| leg.part);
        page.dispatch(Action::OpenMenu(at, part.or_else(|| state.only_chosen()), Some(home)));
        return;
    }
    if let Some(hole) = step(state.bench(), home, state.selection.row, &key, command) {
        event.prevent_default();
        page.dispatch(Action::Point(Some(hole)));
        return;
    }
    if command || event.alt_key() {
        return;
    }
    let occupant = state.bench().occupant(home).map(|leg| leg.part);
    let action = match key.as_str() {
        "Enter" => Action::Press(home),
        // A key that is held down comes again and again.
        " " if event.repeat() => return event.prevent_default(),
        " " => space(state, home, event.shift_key()),
        "Delete" | "Backspace" => Action::Delete,
        "t" | "T" => {
            if let (true, Some(part), Hand::Empty) =
                (state.selection.chosen.is_empty(), occupant, &state.selection.hand)
            {
                page.dispatch(Action::Choose(part, false));
            }
            Action::Turn
        }
        "?" => Action::SetSheet(Some(Sheet::Keys)),
        "m" | "M" => Action::Meter(Use::Take),
        "[" | "]" if !state.bench().meters.is_empty() => Action::Meter(Use::Hold(0, key == "[")),
        other => {
            let mut chars = other.chars();
            let (Some(letter), None) = (chars.next(), chars.next()) else { return };
            match CARDS.iter().find(|card| card.key == Some(letter.to_ascii_lowercase())) {
                Some(card) => Action::Take(card),
                None if letter.is_ascii_alphabetic() => Action::Say(format!(
                    "No part uses the key {}. Press ? to see the keys.",
                    letter.to_ascii_uppercase()
                )),
                None => return,
            }
        }
    };
    event.prevent_default();
    page.dispatch(action);
}

/// What the space bar does at a hole: it works a switch, chooses a part, puts down what is in hand.
fn space(state: &State, home: Hole, more: bool) -> Action {
    if state.selection.hand != Hand::Empty {
        return Action::Press(home);
    }
    let Some(part) = state.bench().occupant(home).map(|leg| leg.part) else {
        return Action::Say(format!("{home} is free. Press a letter to take a part, or ? to see the keys."));
    };
    match state.bench().part(part).card.group {
        Group::Switch if more => Action::Choose(part, more),
        Group::Switch if state.springs_back(part) => Action::Push(part),
        Group::Switch => Action::Work(part),
        _ => Action::Choose(part, more),
    }
}
