//! The room that the page leaves to the board.

use halfrow_core::shape::Point;
use wasm_bindgen::JsCast;
use web_sys::Element;
use yew::prelude::*;

use crate::model::sight::{Room, sight, zoomed};
use crate::model::state::Action;
use crate::platform::page::on_resize;
use crate::ui::page::Handle;

/// The board's place on the page as it is now; nothing before the page is drawn.
pub fn room() -> Room {
    let document = web_sys::window().and_then(|window| window.document());
    let board = document.and_then(|it| it.query_selector("svg.board").ok().flatten());
    let board = board.and_then(|it| it.dyn_into::<Element>().ok());
    board.map_or((0.0, 0.0), |it| (it.client_width() as f32, it.client_height() as f32))
}

/// Zooms about the middle of what is in sight.
pub fn zoom_by(page: &Handle, factor: f32) {
    let bench = page.state.bench();
    let now = sight(bench, page.state.screen.view, room());
    let middle = Point::new(now.0 + now.2 / 2.0, now.1 + now.3 / 2.0);
    page.dispatch(Action::SetView(Some(zoomed(now, factor, middle, bench))));
}

/// The room that a board has, as it changes.
#[hook]
pub fn use_room(svg: &NodeRef) -> Room {
    let place = use_state_eq(|| (0.0, 0.0));
    let (set, svg) = (place.setter(), svg.clone());
    use_effect_with((), move |()| {
        let board = svg.cast::<Element>();
        let watch = board.and_then(|board| on_resize(&board, move || set.set(room())));
        move || drop(watch)
    });
    *place
}
