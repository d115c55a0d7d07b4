//! Measurements inside the page, offered only where the address asks for them (`?measure`).

use halfrow_core::reference::DenseLu;
use halfrow_core::sample::{blinker, running_lights, sixty_parts};
use halfrow_core::solve::solve;
use js_sys::{Function, Object, Reflect};
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

use crate::model::state::Action;
use crate::ui::page::Handle;
use crate::ui::spans::{now, take};

/// Puts `halfrow_measure` on the window: `solve60()` gives microseconds for an operating point of
/// the crowded board, `open(name)` opens the blinker at a kilohertz or the running lights at ten hertz, `lu60()` gives
/// microseconds for the dense LU that tells how fast the machine is, `spans()` the milliseconds that each kind
/// of work has taken since it was last asked.
pub fn offer(page: Handle) {
    let Some(window) = web_sys::window() else { return };
    let offered = Object::new();
    let solve60 = Closure::<dyn Fn() -> f64>::new(|| {
        // The browser's clock is coarse: twenty solutions make a readable time.
        const TIMES: u32 = 20;
        let bench = sixty_parts();
        let start = now();
        for _ in 0..TIMES {
            std::hint::black_box(solve(std::hint::black_box(&bench)));
        }
        (now() - start) * 1000.0 / f64::from(TIMES)
    });
    let lu60 = Closure::<dyn Fn() -> f64>::new(|| {
        const TIMES: u32 = 50;
        let equations = DenseLu::default();
        let start = now();
        for _ in 0..TIMES {
            std::hint::black_box(std::hint::black_box(&equations).solve());
        }
        (now() - start) * 1000.0 / f64::from(TIMES)
    });
    let spans = Closure::<dyn Fn() -> Object>::new(|| {
        let all = Object::new();
        for (name, ms) in take() {
            let _ = Reflect::set(&all, &name.into(), &ms.into());
        }
        all
    });
    let open = Closure::<dyn Fn(String)>::new(move |name: String| {
        let bench = if name == "blinker" { blinker(1000.0) } else { running_lights(10.0) };
        page.dispatch(Action::Open(Box::new(bench), String::new()));
    });
    let _ = Reflect::set(&offered, &"open".into(), open.as_ref().unchecked_ref::<Function>());
    open.forget();
    let _ = Reflect::set(&offered, &"lu60".into(), lu60.as_ref().unchecked_ref::<Function>());
    lu60.forget();
    let _ = Reflect::set(&offered, &"spans".into(), spans.as_ref().unchecked_ref::<Function>());
    spans.forget();
    let _ = Reflect::set(&offered, &"solve60".into(), solve60.as_ref().unchecked_ref::<Function>());
    let _ = Reflect::set(&window, &"halfrow_measure".into(), &offered);
    solve60.forget();
}
