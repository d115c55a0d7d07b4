//! The meters under the pointer: their tips, dials and sockets, and what is done to them.

use halfrow_core::bench::Bench;
use halfrow_core::board::Hole;
use halfrow_core::meter::Socket;
use halfrow_core::shape::Point;
use halfrow_draw::{layout, meter};

use crate::model::state::{Action, Use, dial_id};

/// A place of a meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Hit {
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

/// How far from the centre of a dial its knob reaches, in units.
const KNOB: f32 = 24.0;

/// What of the meters lies under a point of the bench.
pub(super) fn under(bench: &Bench, at: Point) -> Option<Hit> {
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
pub(super) fn click(hit: Hit, at: Point, bench: &Bench) -> Action {
    let action = match hit {
        // A click on the knob itself only takes hold of it: keys and wheel turn it then.
        Hit::Dial(which) if meter::dial_centre(bench, which).distance(at) < KNOB => {
            return Action::Focus(dial_id(which));
        }
        Hit::Dial(which) => Use::Dial(which, meter::dial_towards(bench, which, at)),
        Hit::Socket(which, socket) => {
            let red = bench.meters[which].red.socket != socket;
            // A click on an empty socket takes the red plug there; on the red plug itself, the black one.
            Use::Plug(which, red, socket)
        }
        Hit::Tip(which, red) => Use::Hold(which, red),
        Hit::Case(which) => Use::Speak(which),
    };
    Action::Meter(action)
}

/// What the end of a drag of a place of a meter does, here or at a hole.
pub(super) fn release(hit: Hit, at: Point, hole: Option<Hole>, bench: &Bench) -> Vec<Action> {
    match hit {
        Hit::Tip(..) => vec![hole.map_or(Action::Escape, Action::Press)],
        // A plug that was dragged goes where it is let go.
        Hit::Socket(which, from) => {
            let red = bench.meters[which].red.socket == from;
            let held = red || bench.meters[which].black.socket == from;
            match (held, under(bench, at)) {
                (true, Some(Hit::Socket(_, to))) => vec![Action::Meter(Use::Plug(which, red, to))],
                _ => vec![],
            }
        }
        Hit::Dial(which) => {
            vec![Action::Meter(Use::Dial(which, meter::dial_towards(bench, which, at)))]
        }
        hit => vec![click(hit, at, bench)],
    }
}

/// The dial under a point of the bench, where the meter that has the focus is there: only that one turns by
/// the wheel.
pub(super) fn wheeled(bench: &Bench, at: Point, focus: Option<usize>) -> Option<usize> {
    match under(bench, at) {
        Some(Hit::Dial(which)) if focus == Some(which) => Some(which),
        _ => None,
    }
}
