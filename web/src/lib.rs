//! The Halfrow page.
//!
//! [`model`] is what the page knows and how each action changes it, without a browser. [`run`] drives the
//! clock. [`board`] is the board, [`panel`] what stands around it, [`sheets`] what lies over it, [`paper`] what
//! is printed; all of them are made with [`ui`]. [`platform`] is the browser. [`app`] puts the page together,
//! [`keeping`] keeps the bench on the device.

pub mod app;
pub mod board;
pub mod keeping;
#[cfg(feature = "measure")]
pub mod measure;
pub mod model;
pub mod panel;
pub mod paper;
pub mod platform;
pub mod run;
pub mod sheets;
pub mod ui;

use wasm_bindgen::prelude::*;

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
