//! The page inside a real browser, without the boot script.
#![cfg(target_arch = "wasm32")]

use wasm_bindgen_futures::JsFuture;
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

#[wasm_bindgen_test]
async fn the_page_takes_the_place_of_the_still_picture() {
    let document = web_sys::window().unwrap().document().unwrap();
    let place = document.create_element("div").unwrap();
    place.set_id("app");
    place.set_inner_html("<p class='skeleton'>still</p>");
    document.document_element().unwrap().append_child(&place).unwrap();
    halfrow_web::run_app(String::new());
    // Yew renders in a task of its own; a resolved promise lets it have its turn.
    for _ in 0..10 {
        JsFuture::from(js_sys::Promise::resolve(&wasm_bindgen::JsValue::NULL)).await.unwrap();
    }
    assert!(place.query_selector(".skeleton").unwrap().is_none());
    assert!(place.query_selector("h1").unwrap().is_some());
}
