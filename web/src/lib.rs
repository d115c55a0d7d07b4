//! The Halfrow page.
//!
//! [`state`] is what the page knows and how each action changes it, without a browser; [`page`] hands
//! it to the components; [`app`] is the whole page, [`board_view`], [`pictures`] and [`overlays`] the
//! board, [`sight`] what of it is in view, [`paper`] what is printed, [`touch`] fingers on it, [`grid`] the
//! board for keyboards and screen readers, [`drawer`], [`properties`] and [`panel`] what stands around it,
//! [`wiring`] the wiring list, [`sheets`] what lies over it, [`commands`] what can be done by name.
//! [`clock`] lets time pass, [`chart`] draws what it did, [`lamps`] tells what has become of the lamps.
//! [`words`] says things, [`numbers`] reads and writes them, [`button`] is every plain button, [`roving`]
//! moves the focus, [`keeping`] keeps the bench on the device, [`platform`] is the browser.

pub mod app;
pub mod board_view;
pub mod button;
pub mod chart;
pub mod chosen;
pub mod clipboard;
pub mod clock;
pub mod commands;
pub mod drawer;
pub mod grid;
pub mod hooks;
pub mod keeping;
pub mod lamps;
#[cfg(feature = "measure")]
pub mod measure;
pub mod numbers;
pub mod overlays;
pub mod page;
pub mod panel;
pub mod paper;
pub mod pictures;
pub mod platform;
pub mod png;
pub mod properties;
pub mod roving;
pub mod shapes;
pub mod sheets;
pub mod sight;
pub mod state;
pub mod touch;
pub mod wiring;
pub mod words;

use wasm_bindgen::prelude::*;

/// The address of the page without what stands after `#` or `?`.
pub fn address() -> String {
    let location = web_sys::window().map(|window| window.location());
    let part = |get: fn(&web_sys::Location) -> Result<String, JsValue>| {
        location.as_ref().and_then(|l| get(l).ok()).unwrap_or_default()
    };
    format!("{}{}", part(web_sys::Location::origin), part(web_sys::Location::pathname))
}

/// Puts the page in place of the still picture in the element `app`. `examples` are the bench files of the
/// examples, see [`halfrow_file::examples::give`].
#[wasm_bindgen]
pub fn run_app(examples: String) {
    halfrow_file::examples::give(examples);
    let document = web_sys::window().and_then(|window| window.document());
    if let Some(place) = document.and_then(|document| document.get_element_by_id("app")) {
        yew::Renderer::<app::App>::with_root(place).render();
    }
}
