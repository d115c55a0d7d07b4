//! The meters on the board: their pictures.

use halfrow_core::meter::Dial;
use halfrow_core::shape::n;
use halfrow_draw::meter;
use halfrow_instruments::range::{Quantity, SOUNDS_BELOW_OHMS};
use halfrow_instruments::watch::BATTERY_LOW;
use halfrow_instruments::{Range, range};
use yew::prelude::*;

use crate::model::state::{Hand, State};
use crate::ui::shapes;

/// What the display of a meter shows.
fn display(state: &State, which: usize) -> meter::Display {
    let it = &state.bench().meters[which];
    let range = Range::of(it.dial);
    let reading = state.reading(which);
    let ohms = reading.and_then(|reading| reading.value);
    let continuity = range.is_some_and(|range| range.quantity == Quantity::Continuity);
    let sounds = continuity && ohms.is_some_and(|ohms| ohms < SOUNDS_BELOW_OHMS);
    meter::Display {
        digits: reading.map_or(String::new(), |reading| reading.shown.clone()),
        unit: range.map_or("", |range| range.unit),
        held: state.measuring.held[which].is_some(),
        battery: it.battery_volts < BATTERY_LOW && it.dial != Dial::Off,
        sounds,
    }
}

/// The cases of the meters, below the parts' labels; `turning` is a dial that is being dragged.
pub fn bodies(state: &State, turning: Option<(usize, Dial)>) -> Html {
    let bench = state.bench();
    (0..bench.meters.len())
        .map(|which| {
            let dragged = turning.filter(|it| it.0 == which).map(|it| it.1);
            let dial = dragged.unwrap_or_else(|| state.dial(which));
            let mut turned = None;
            if dial != bench.meters[which].dial {
                let mut bench = bench.clone();
                bench.meters[which].dial = dial;
                turned = Some(bench);
            }
            let bench = turned.as_ref().unwrap_or(bench);
            let focus = (state.measuring.focus == Some(which)).then(|| {
                let at = meter::dial_centre(bench, which);
                html! { <circle class="dial-focus" cx={n(at.x)} cy={n(at.y)} r="36" /> }
            });
            let title = format!("Multimeter, {}", range::name(bench.meters[which].dial));
            let shapes = meter::body(bench, which, &display(state, which));
            html! { <g class="meter"><title>{ title }</title>{ shapes::view(&shapes) }{ focus }</g> }
        })
        .collect()
}

/// The leads, above everything; the tip in hand follows the cursor.
pub fn leads(state: &State, cursor: Option<halfrow_core::board::Hole>) -> Html {
    let mut bench = state.bench().clone();
    if let (Hand::Tip(which, red), Some(hole)) = (&state.selection.hand, cursor) {
        let it = &mut bench.meters[*which];
        let lead = if *red { &mut it.red } else { &mut it.black };
        lead.tip = halfrow_core::meter::Touch::Hole(hole);
    }
    (0..bench.meters.len())
        .map(|which| html! { <g class="leads">{ shapes::view(&meter::leads(&bench, which)) }</g> })
        .collect()
}
