//! The Halfrow page.

use wasm_bindgen::prelude::*;
use yew::prelude::*;

#[component]
fn Bench() -> Html {
    html! { <main><h1>{ "Halfrow" }</h1></main> }
}

/// Puts the page in place of the still picture in the element `app`.
#[wasm_bindgen]
pub fn run_app() {
    let document = web_sys::window().and_then(|window| window.document());
    if let Some(place) = document.and_then(|document| document.get_element_by_id("app")) {
        yew::Renderer::<Bench>::with_root(place).render();
    }
}
