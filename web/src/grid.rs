//! The board for keyboards and screen readers: a grid with one tab stop and roving focus. Only the
//! row of the cursor is in the page; the picture shows the same cursor.

use halfrow_core::bench::Bench;
use halfrow_core::board::{Hole, Place, RAILS};
use halfrow_core::parts::CARDS;
use wasm_bindgen::JsCast;
use web_sys::HtmlElement;
use yew::prelude::*;

use crate::hooks::use_each;
use crate::page::Handle;
use crate::platform::page::Timer;
use crate::state::{Action, Hand};
use crate::words;

/// The cells of a hole's row, left to right: left rails, a to j, right rails. A rail's cell is its
/// nearest hole.
///
/// Rail holes stand between rows, and some rows share one: `row` is the row that the cursor came from,
/// where it goes back to as long as it is next to that rail hole.
pub fn row_of(bench: &Bench, hole: Hole, row: u8) -> Vec<Hole> {
    let board = &bench.boards[usize::from(hole.board)];
    let y = board.position(hole.place).y;
    let nearest = |side, sign, row: u8| {
        (1..=board.kind.rail_holes())
            .map(|n| Place::Rail { side, sign, n })
            .min_by_key(|&place| (board.position(place).y - 2 * i16::from(row)).abs())
    };
    let row = row.clamp(1, board.kind.rows());
    let row = match hole.place {
        Place::Grid { row, .. } => row,
        Place::Rail { side, sign, .. } if nearest(side, sign, row) == Some(hole.place) => row,
        Place::Rail { .. } => (y / 2).clamp(1, i16::from(board.kind.rows())) as u8,
    };
    let rail = |index: usize| {
        let (side, sign) = RAILS[index];
        let place = match hole.place {
            Place::Rail { n, .. } => Some(Place::Rail { side, sign, n }),
            Place::Grid { .. } => nearest(side, sign, row),
        };
        place.map(|place| Hole { board: hole.board, place })
    };
    let grid = (0..10).map(|column| Hole { board: hole.board, place: Place::Grid { row, column } });
    [rail(0), rail(1)]
        .into_iter()
        .flatten()
        .chain(grid)
        .chain([rail(2), rail(3)].into_iter().flatten())
        .collect()
}

/// The hole that a key leads to.
pub fn step(bench: &Bench, from: Hole, row: u8, key: &str, ctrl: bool) -> Option<Hole> {
    let cells = row_of(bench, from, row);
    let at = cells.iter().position(|&cell| cell == from)?;
    let board = &bench.boards[usize::from(from.board)];
    let down = |rows: i16| -> Hole {
        let place = match from.place {
            Place::Grid { row, column } => Place::Grid {
                row: (i16::from(row) + rows).clamp(1, i16::from(board.kind.rows())) as u8,
                column,
            },
            Place::Rail { side, sign, n } => Place::Rail {
                side,
                sign,
                n: (i16::from(n) + rows).clamp(1, i16::from(board.kind.rail_holes())) as u8,
            },
        };
        Hole { board: from.board, place }
    };
    Some(match (key, ctrl) {
        ("ArrowLeft", _) if at > 0 => cells[at - 1],
        ("ArrowLeft", _) if from.board > 0 => *row_of(bench, other_board(bench, from, -1), row).last()?,
        ("ArrowRight", _) if at + 1 < cells.len() => cells[at + 1],
        ("ArrowRight", _) if usize::from(from.board) + 1 < bench.boards.len() => {
            row_of(bench, other_board(bench, from, 1), row)[0]
        }
        ("ArrowUp", _) => down(-1),
        ("ArrowDown", _) => down(1),
        ("PageUp", _) => down(-5),
        ("PageDown", _) => down(5),
        ("Home", true) => Hole::grid(0, 'a', 1),
        ("End", true) => down(100),
        ("Home", false) => cells[0],
        ("End", false) => *cells.last()?,
        _ => return None,
    })
}

fn other_board(bench: &Bench, from: Hole, by: i8) -> Hole {
    let board = from.board.saturating_add_signed(by);
    let rows = bench.boards[usize::from(board)].kind.rows();
    Hole::grid(board, 'a', from.row().unwrap_or(1).min(rows))
}

fn focus_cell(cell: &HtmlElement) {
    let options = web_sys::FocusOptions::new();
    options.set_prevent_scroll(true);
    let _ = cell.focus_with_options(&options);
}

/// Gives the focus to the cell of the cursor.
pub fn focus() {
    let document = web_sys::window().and_then(|window| window.document());
    let cell = document.and_then(|it| it.query_selector(".grid [tabindex=\"0\"]").ok().flatten());
    if let Some(cell) = cell.and_then(|it| it.dyn_into::<HtmlElement>().ok()) {
        focus_cell(&cell);
    }
}

/// Whether a cell has the focus.
pub fn has_focus() -> bool {
    let active = web_sys::window().and_then(|window| window.document()).and_then(|it| it.active_element());
    active.is_some_and(|it| it.closest(".grid").is_ok_and(|grid| grid.is_some()))
}

/// Properties of [`Grid`].
#[derive(Properties, PartialEq)]
pub struct Props {
    /// The page's state.
    pub page: Handle,
}

/// The grid.
#[component]
pub fn Grid(props: &Props) -> Html {
    let page = &props.page;
    let state = &page.state;
    let bench = state.bench();
    let inside = use_mut_ref(|| false);
    // Another row replaces the cells; the browser then takes the focus off a cell that goes.
    let drawing = use_mut_ref(|| false);
    *drawing.borrow_mut() = true;
    let current = use_node_ref();
    let home = state.cursor.filter(|&hole| bench.board_of(hole).is_some()).unwrap_or(Hole::grid(0, 'a', 1));
    {
        let (inside, drawing, current) = (inside.clone(), drawing.clone(), current.clone());
        use_each(Box::new(move || {
            if *inside.borrow()
                && let Some(cell) = current.cast::<HtmlElement>()
            {
                focus_cell(&cell);
            }
            *drawing.borrow_mut() = false;
        }));
    }
    let onkeydown = {
        let page = page.clone();
        Callback::from(move |event: KeyboardEvent| key(&page, home, &event))
    };
    let onfocusin = {
        let (page, inside) = (page.clone(), inside.clone());
        Callback::from(move |_: FocusEvent| {
            *inside.borrow_mut() = true;
            if page.state.cursor != Some(home) {
                page.dispatch(Action::Point(Some(home)));
            }
        })
    };
    let onfocusout = {
        let page = page.clone();
        Callback::from(move |_: FocusEvent| {
            if !*drawing.borrow() {
                *inside.borrow_mut() = false;
                if page.state.pushed.is_some() {
                    page.dispatch(Action::LetGo);
                }
            }
        })
    };
    let letting_go = use_mut_ref(|| None::<Timer>);
    let onkeyup = {
        let page = page.clone();
        Callback::from(move |event: KeyboardEvent| {
            if event.key() == " " && page.state.pushed.is_some() {
                *letting_go.borrow_mut() = Some(crate::touch::let_go(&page));
            }
        })
    };
    let cells = row_of(bench, home, state.row).into_iter().enumerate().map(|(index, hole)| {
        let here = hole == home;
        html! {
            <div role="gridcell" key={hole.to_string()} ref={if here { current.clone() } else { NodeRef::default() }}
                tabindex={if here { "0" } else { "-1" }} aria-colindex={(index + 1).to_string()}
                aria-label={if here { words::hole(&state.solved, hole) } else { hole.to_string() }}
                aria-selected={here.to_string()} />
        }
    });
    let row = home.row().unwrap_or(1);
    html! {
        <div role="grid" class="grid" aria-label="Board. Arrow keys move from hole to hole, Enter puts or takes a leg."
            aria-rowcount={bench.boards[0].kind.rows().to_string()} aria-colcount="14" {onkeydown} {onkeyup} {onfocusin} {onfocusout}>
            <div role="row" aria-rowindex={row.to_string()}>{ for cells }</div>
        </div>
    }
}

fn key(page: &Handle, home: Hole, event: &KeyboardEvent) {
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
    if let Some(hole) = step(state.bench(), home, state.row, &key, command) {
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
        " " => match occupant.filter(|_| state.hand == Hand::Empty) {
            Some(part)
                if !event.shift_key()
                    && state.bench().part(part).card.group == halfrow_core::card::Group::Switch =>
            {
                if state.springs_back(part) { Action::Push(part) } else { Action::Work(part) }
            }
            Some(part) => Action::Choose(part, event.shift_key()),
            None if state.hand == Hand::Empty => {
                Action::Say(format!("{home} is free. A letter takes a part; ? shows the keys."))
            }
            None => Action::Press(home),
        },
        "Delete" | "Backspace" => Action::Delete,
        "t" | "T" => {
            if let (true, Some(part), Hand::Empty) = (state.chosen.is_empty(), occupant, &state.hand) {
                page.dispatch(Action::Choose(part, false));
            }
            Action::Turn
        }
        "?" => Action::SetSheet(Some(crate::state::Sheet::Keys)),
        other => {
            let mut chars = other.chars();
            let (Some(letter), None) = (chars.next(), chars.next()) else { return };
            match CARDS.iter().find(|card| card.key == Some(letter.to_ascii_lowercase())) {
                Some(card) => Action::Take(card),
                None if letter.is_ascii_alphabetic() => Action::Say(format!(
                    "No part has the key {}. ? shows the keys.",
                    letter.to_ascii_uppercase()
                )),
                None => return,
            }
        }
    };
    event.prevent_default();
    page.dispatch(action);
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::board::BoardKind;

    #[test]
    fn keys_walk_over_rows_columns_and_rails() {
        let bench = Bench::new(BoardKind::Half);
        let go = |from: &str, key: &str| {
            step(&bench, Hole::parse(from).unwrap(), 1, key, false).map(|h| h.to_string())
        };
        for (from, key, to) in [
            ("e12", "ArrowRight", "f12"),
            ("a7", "ArrowLeft", "L-6"),
            ("L+5", "ArrowDown", "L+6"),
            ("j30", "ArrowDown", "j30"),
            ("c4", "Home", "L+3"),
            ("c4", "PageDown", "c9"),
        ] {
            assert_eq!(go(from, key).as_deref(), Some(to), "{from} {key}");
        }
        assert_eq!(go("L+3", "ArrowLeft"), None);
        // To a rail and back is the same row.
        for row in 1..=30 {
            for (column, there, back) in [('a', "ArrowLeft", "ArrowRight"), ('j', "ArrowRight", "ArrowLeft")]
            {
                let hole = Hole::grid(0, column, row);
                let rail = step(&bench, hole, row, there, false).unwrap();
                assert_eq!(step(&bench, rail, row, back, false), Some(hole), "{rail}");
            }
        }
        assert_eq!(go("L-6", "ArrowRight").as_deref(), Some("a7"), "also without a row to go back to");
    }
}
