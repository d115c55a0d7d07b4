//! Measurements inside the page, offered only where the address asks for them (`?measure`).

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::sample::{blinker, running_lights, sixty_parts};
use halfrow_core::solve::solve;
use js_sys::{Array, Function, Object, Promise, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, future_to_promise};

use crate::model::state::Action;
use crate::ui::page::Handle;

fn now() -> f64 {
    web_sys::window().and_then(|window| window.performance()).map_or(0.0, |clock| clock.now())
}

/// Resolves when the next frame has been painted: a task that the frame's own callback sets off runs
/// after the painting.
async fn painted() {
    let frame = Promise::new(&mut |resolve: Function, _| {
        let after = Closure::once_into_js(move || {
            if let Some(window) = web_sys::window() {
                let _ = window.set_timeout_with_callback(&resolve);
            }
        });
        if let Some(window) = web_sys::window() {
            let _ = window.request_animation_frame(after.unchecked_ref());
        }
    });
    let _ = JsFuture::from(frame).await;
}

/// Puts `halfrow_measure` on the window: `solve60()` gives microseconds for an operating point of
/// the crowded board, `move_leg(n)` a list of milliseconds from a leg's move to the frame after it,
/// `open(name)` opens the blinker at a kilohertz or the running lights at ten hertz.
pub fn offer(page: Handle) {
    let Some(window) = web_sys::window() else { return };
    let offered = Object::new();
    let for_time = page.clone();
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
    let move_leg = Closure::<dyn Fn(u32) -> Promise>::new(move |count: u32| {
        let page = page.clone();
        future_to_promise(async move {
            let bench = sixty_parts();
            // A wire's end that goes back and forth between two free holes.
            let free = bench.boards[0]
                .holes(0)
                .filter(|&hole| bench.occupant(hole).is_none() && hole.row().is_some());
            let free: Vec<Hole> = free.collect();
            let part = bench.parts.iter().position(|part| part.card.is_wire()).unwrap_or(0);
            page.dispatch(Action::Open(Box::new(bench), String::new()));
            painted().await;
            let times = Array::new();
            for turn in 0..count {
                let start = now();
                let leg = LegId { part: PartIx(part), pin: 1 };
                page.dispatch(Action::PutLeg(leg, free.get(turn as usize % 2).copied()));
                painted().await;
                times.push(&JsValue::from_f64(now() - start));
            }
            Ok(times.into())
        })
    });
    let open = Closure::<dyn Fn(String)>::new(move |name: String| {
        let bench = if name == "blinker" { blinker(1000.0) } else { running_lights(10.0) };
        for_time.dispatch(Action::Open(Box::new(bench), String::new()));
    });
    let _ = Reflect::set(&offered, &"open".into(), open.as_ref().unchecked_ref::<Function>());
    open.forget();
    let _ = Reflect::set(&offered, &"solve60".into(), solve60.as_ref().unchecked_ref::<Function>());
    let _ = Reflect::set(&offered, &"move_leg".into(), move_leg.as_ref().unchecked_ref::<Function>());
    let _ = Reflect::set(&window, &"halfrow_measure".into(), &offered);
    solve60.forget();
    move_leg.forget();
}
