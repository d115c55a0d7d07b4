//! What sounds on the bench, through the page's loudspeaker.

use wasm_bindgen::JsCast;

/// Calls the page's loudspeaker (see `boot.js`): a pitch in hertz, 0 for silence.
fn call_sound(name: &str, value: f64) {
    if let Some(window) = web_sys::window()
        && let Ok(function) = js_sys::Reflect::get(&window, &name.into())
        && let Ok(function) = function.dyn_into::<js_sys::Function>()
    {
        let _ = function.call1(&wasm_bindgen::JsValue::NULL, &value.into());
    }
}

pub(super) fn set_tone(hertz: f32) {
    call_sound("halfrow_tone", f64::from(hertz));
}

/// Turns the loudspeaker on or off; the reader's own doing, as browsers ask.
pub fn set_sound(on: bool) {
    call_sound("halfrow_sound", if on { 1.0 } else { 0.0 });
}
