//! Packing a bench into a link, by the script that the page brings along for it (`static/deflate.js`).

use halfrow_core::bench::Bench;
use halfrow_file::link;
use js_sys::{Function, Reflect, Uint8Array};
use wasm_bindgen::{JsCast, JsValue};

/// The part of a link that begins with `#`.
pub fn encode(bench: &Bench) -> String {
    // Pure parts of the page are tested natively, where there is no script.
    if cfg!(target_arch = "wasm32") { link::encode_by(bench, deflate) } else { link::encode(bench) }
}

fn deflate(bytes: &[u8]) -> Vec<u8> {
    let packed = Reflect::get(&js_sys::global(), &"halfrow_deflate".into())
        .and_then(JsCast::dyn_into::<Function>)
        .and_then(|pack| pack.call1(&JsValue::NULL, &Uint8Array::from(bytes)));
    packed.map_or_else(|_| Vec::new(), |packed| Uint8Array::new(&packed).to_vec())
}
