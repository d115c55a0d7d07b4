//! The dials of the meters for keyboards and screen readers: a slider each, whose picture is on the board.
//! A dial that is turned by keys or wheel counts where it comes to rest.

use std::cell::RefCell;
use std::rc::Rc;

use halfrow_core::meter::Dial;
use halfrow_instruments::range;
use yew::prelude::*;

use crate::model::state::{Action, State, Use, dial_id};
use crate::platform::page::{Timer, after};
use crate::ui::hooks::use_when;
use crate::ui::page::Handle;

/// How long a dial stays where it is until that counts, in milliseconds.
const REST_MS: i32 = 600;

/// What of the state the dials show.
pub fn shown(state: &State) -> [u64; 5] {
    let place = |which| state.dial(which).place() as u64;
    [state.bench().meters.len() as u64, place(0), place(1), 0, 0]
}

/// Keeps the time for a dial that is being turned.
#[hook]
pub fn use_rest(page: &Handle) {
    let timer: Rc<RefCell<Option<Timer>>> = use_mut_ref(|| None);
    let count = page.state.measuring.turning.map(|it| it.count);
    let page = page.clone();
    use_when(
        count.map_or(0, |count| u64::from(count) + 1),
        Box::new(move || {
            *timer.borrow_mut() = count.map(|count| {
                let page = page.clone();
                after(REST_MS, move || page.dispatch(Action::Meter(Use::Rest(count))))
            });
        }),
    );
}

/// The dials.
pub fn dials(page: &Handle) -> Html {
    let meters = page.state.bench().meters.len();
    (0..meters).map(|which| dial(page, which, meters > 1)).collect()
}

fn dial(page: &Handle, which: usize, several: bool) -> Html {
    let dial = page.state.dial(which);
    let onkeydown = {
        let page = page.clone();
        Callback::from(move |event: KeyboardEvent| {
            let dial = page.state.dial(which);
            let turned = match event.key().as_str() {
                "ArrowRight" | "ArrowDown" => dial.turned(1),
                "ArrowLeft" | "ArrowUp" => dial.turned(-1),
                "Home" => Dial::Off,
                "End" => dial.turned(i32::MAX),
                "m" | "M" => {
                    page.dispatch(Action::Meter(Use::Speak(which)));
                    return;
                }
                _ => return,
            };
            event.prevent_default();
            page.dispatch(Action::Meter(Use::Turn(which, turned)));
        })
    };
    let focus = |on: bool| {
        let page = page.clone();
        Callback::from(move |_: FocusEvent| page.dispatch(Action::Meter(Use::Focus(on.then_some(which)))))
    };
    let name = if several { format!("Dial of meter {}", which + 1) } else { "Dial of the meter".to_owned() };
    html! {
        <div class="away" role="slider" tabindex="0" id={dial_id(which)} aria-label={name} aria-valuemin="0"
            aria-valuemax={(Dial::ALL.len() - 1).to_string()} aria-valuenow={dial.place().to_string()}
            aria-valuetext={range::name(dial)} {onkeydown} onfocus={focus(true)} onblur={focus(false)} />
    }
}
