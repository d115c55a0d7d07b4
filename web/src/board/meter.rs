//! The meters on the board: their pictures, and what of them is under the pointer.

use halfrow_core::bench::Bench;
use halfrow_core::meter::{Dial, Socket};
use halfrow_core::shape::Point;
use halfrow_draw::{layout, meter};
use halfrow_instruments::range::{Quantity, SOUNDS_BELOW_OHMS};
use halfrow_instruments::watch::BATTERY_LOW;
use halfrow_instruments::{Range, range};
use yew::prelude::*;

use crate::board::shapes;
use crate::model::state::{Action, Hand, State, Use};
use crate::ui::page::Handle;

/// A place of a meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hit {
    /// The red tip (or the black one).
    Tip(usize, bool),
    /// The dial.
    Dial(usize),
    /// A socket.
    Socket(usize, Socket),
    /// The case.
    Case(usize),
}

/// How far from a tip's end or grip the pointer takes it, in units: a finger's width at the usual size.
const REACH: f32 = 16.0;

/// What of the meters lies under a point of the bench.
pub fn under(bench: &Bench, at: Point) -> Option<Hit> {
    for index in 0..bench.meters.len() {
        for red in [true, false] {
            let tip = meter::tip(bench, index, red);
            let grip = Point::new(tip.x - 22.0, tip.y + 24.0);
            if grip.distance(at) < REACH {
                return Some(Hit::Tip(index, red));
            }
        }
        let area = layout::meter(bench, index);
        if !area.holds(at) {
            continue;
        }
        let socket = Socket::ALL.into_iter().find(|&it| meter::socket(bench, index, it).distance(at) < REACH);
        if let Some(socket) = socket {
            return Some(Hit::Socket(index, socket));
        }
        let dial = meter::dial_centre(bench, index).distance(at) < 64.0;
        return Some(if dial { Hit::Dial(index) } else { Hit::Case(index) });
    }
    None
}

/// What a press on a place of a meter does when it is let go there.
pub fn let_go(page: &Handle, hit: Hit, at: Point) {
    let bench = page.state.bench();
    let action = match hit {
        Hit::Dial(which) => Use::Dial(which, meter::dial_towards(bench, which, at)),
        Hit::Socket(which, socket) => {
            let red = bench.meters[which].red.socket != socket;
            // A click on an empty socket takes the red plug there; on the red plug itself, the black one.
            Use::Plug(which, red, socket)
        }
        Hit::Tip(which, red) => Use::Hold(which, red),
        Hit::Case(which) => Use::Speak(which),
    };
    page.dispatch(Action::Meter(action));
}

/// What the display of a meter shows.
fn display(state: &State, which: usize) -> meter::Display {
    let it = &state.bench().meters[which];
    let range = Range::of(it.dial);
    let reading = state.reading(which);
    let ohms = reading.and_then(|reading| reading.value);
    let continuity = range.is_some_and(|range| range.quantity == Quantity::Continuity);
    meter::Display {
        digits: reading.map_or(String::new(), |reading| reading.shown.clone()),
        unit: range.map_or("", |range| range.unit),
        held: state.measuring.held[which].is_some(),
        battery: it.battery_volts < BATTERY_LOW && it.dial != Dial::Off,
        sounds: continuity && ohms.is_some_and(|ohms| ohms < SOUNDS_BELOW_OHMS),
    }
}

/// The cases of the meters, below the parts' labels; `turning` is a dial that is being dragged.
pub fn bodies(state: &State, turning: Option<(usize, Dial)>) -> Html {
    let bench = state.bench();
    (0..bench.meters.len())
        .map(|which| {
            let mut turned = None;
            if let Some((_, dial)) = turning.filter(|it| it.0 == which) {
                let mut bench = bench.clone();
                bench.meters[which].dial = dial;
                turned = Some(bench);
            }
            let bench = turned.as_ref().unwrap_or(bench);
            let title = format!("Multimeter, {}", range::name(bench.meters[which].dial));
            let shapes = meter::body(bench, which, &display(state, which));
            html! { <g class="meter"><title>{ title }</title>{ shapes::view(&shapes) }</g> }
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
