//! The sparse LU of the clock against dense LU in a browser: `cargo xtask bench` builds this optimised
//! throughout; unoptimised the comparison would mean nothing, and it is left out.
#![cfg(all(target_arch = "wasm32", not(debug_assertions)))]

#[path = "../../../tests/outside/src/lu.rs"]
mod lu;

use wasm_bindgen_test::{console_log, wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

#[wasm_bindgen_test]
fn sparse_lu_is_five_times_as_fast_as_dense_lu() {
    // The page's own clock, which tells parts of a millisecond.
    let clock = js_sys::Reflect::get(&js_sys::global(), &"performance".into()).expect("a clock");
    let now = js_sys::Reflect::get(&clock, &"now".into()).expect("its method");
    let now: js_sys::Function = now.into();
    let micros = || now.call0(&clock).ok().and_then(|it| it.as_f64()).unwrap_or(f64::NAN) * 1000.0;
    let (sparse, dense, unknowns) = lu::compare(&micros);
    console_log!(
        "sparse {sparse:.2} us, dense {dense:.2} us, {unknowns} unknowns, ratio {:.1}",
        dense / sparse
    );
    assert!(sparse > 0.0 && dense >= 5.0 * sparse, "{dense} {sparse}");
}
