//! Places, tips and amounts in words.

use halfrow_core::amount;
use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::meter::Touch;

use crate::range::Quantity;
use crate::scene::Scene;

/// `red` and `black`.
pub const COLOURS: [&str; 2] = ["red", "black"];

/// What a tip touches: `c16`, `R1’s first leg`, `nothing`.
pub fn tip(bench: &Bench, tip: &Touch) -> String {
    match tip {
        Touch::Air => "nothing".to_owned(),
        Touch::Hole(hole) => hole.to_string(),
        Touch::Leg { .. } => match tip.leg(bench) {
            Some(leg) => bench.part(leg.part).leg_in_words(leg.pin),
            None => "nothing".to_owned(),
        },
        Touch::Socket(socket) => format!("the {} socket", socket.name()),
        Touch::Fuse(end) => format!("end {} of the 500 mA fuse", end + 1),
    }
}

/// The hole of a tip, if it is in one.
pub fn hole_of(bench: &Bench, tip: &Touch) -> Option<Hole> {
    match tip {
        Touch::Hole(hole) => Some(*hole),
        Touch::Leg { .. } => tip.leg(bench).and_then(|leg| bench.part(leg.part).legs[leg.pin].hole),
        _ => None,
    }
}

/// The holes of both tips.
pub fn holes(scene: &Scene<'_>) -> Vec<Hole> {
    scene.tips().into_iter().filter_map(|tip| hole_of(scene.bench, tip)).collect()
}

/// Names of parts: `R1`, `R1 and R2`, `R1, R2 and D1`.
pub fn names(bench: &Bench, parts: &[PartIx]) -> String {
    let names: Vec<&str> = parts.iter().map(|&part| bench.part(part).id.as_str()).collect();
    match names.as_slice() {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => names.concat(),
    }
}

/// A value of a quantity with prefix and unit.
pub fn value(quantity: Quantity, value: f64) -> String {
    match quantity {
        Quantity::Volts | Quantity::AcVolts | Quantity::Diode => amount::volts(value),
        Quantity::Amps => amount::amps(value),
        Quantity::Ohms | Quantity::Continuity => amount::value(value, halfrow_core::unit::Unit::Ohm),
    }
}

/// The leg to lift of a part: the one that is easiest to find, its first in a hole.
pub fn leg_to_lift(bench: &Bench, part: PartIx) -> Option<(LegId, Hole)> {
    let legs = bench.part(part).legs.iter().enumerate();
    legs.filter_map(|(pin, leg)| Some((LegId { part, pin }, leg.hole?))).next_back()
}
