//! The focus on the board: the cell of the cursor has it.

use std::cell::Cell;

use wasm_bindgen::JsCast;
use web_sys::HtmlElement;

thread_local! {
    static ON_BOARD: Cell<bool> = const { Cell::new(false) };
}

/// Notes whether the focus belongs to the board.
pub fn set_on_board(on_board: bool) {
    ON_BOARD.set(on_board);
}

/// Whether the focus belongs to the board. The browser may have taken it away for a moment: a cell that
/// goes loses it, and yew may let further keys come before it runs what gives it to the next cell.
pub fn on_board() -> bool {
    ON_BOARD.get()
}

/// Gives the focus to a cell, without moving the page to it.
pub fn focus_cell(cell: &HtmlElement) {
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

thread_local! {
    /// Whether the pointer drags something over the board.
    static HELD: Cell<bool> = const { Cell::new(false) };
}

/// Whether the pointer drags something over the board: until it is let go the focus stays where it is, since
/// each move of it costs the browser more than all else that a drag changes.
pub fn is_held() -> bool {
    HELD.get()
}

/// The pointer drags, or no more.
pub fn hold(on: bool) {
    HELD.set(on);
}
