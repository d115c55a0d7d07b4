//! What a number means, in a sentence; why, in two; and what to predict next.

use halfrow_core::bench::PartIx;

use super::words::{names, tip, value};
use crate::range::{self, Quantity, SOUNDS_BELOW_OHMS};
use crate::scene::{Inside, Scene};

/// The meaning of a reading.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Meaning {
    /// In a sentence.
    pub says: String,
    /// Why, where people go wrong about it; else empty.
    pub why: String,
    /// What to predict next; else empty.
    pub next: String,
}

impl Meaning {
    fn of(says: String) -> Meaning {
        Meaning { says, ..Meaning::default() }
    }
}

/// What the reading of a scene means.
pub fn meaning(scene: &Scene<'_>) -> Meaning {
    let (Some(range), reading) = (scene.range, scene.found.last()) else {
        return Meaning::of("The meter is off.".to_owned());
    };
    if reading.shown.is_empty() {
        return Meaning::of("The display is dark.".to_owned());
    }
    let [red, black] = scene.tips().map(|it| tip(scene.bench, it));
    let between = if scene.across.is_empty() {
        format!("between {red} and {black}")
    } else {
        format!("across {}", names(scene.bench, &scene.across))
    };
    let Some(found) = reading.value else {
        return match range.quantity {
            Quantity::Ohms | Quantity::Continuity => {
                Meaning::of(format!("More than this range shows, or nothing that conducts, {between}."))
            }
            Quantity::Diode => Meaning::of(format!(
                "No current goes that way {between}: it blocks, is open, or needs more than 2 V."
            )),
            _ => Meaning::of(format!("More than {} shows.", range::name(scene.meter.dial))),
        };
    };
    let amount = value(range.quantity, found);
    match range.quantity {
        Quantity::Volts if scene.inside() == Inside::High => volts(scene, found, &amount, &between),
        Quantity::Volts => Meaning::of("Nothing is measured: no plug is where volts come in.".to_owned()),
        Quantity::AcVolts => {
            Meaning::of(format!("{amount} of alternating voltage {between}, if it is a sine."))
        }
        Quantity::Amps => Meaning::of(format!("{amount} flow from {red} through the meter to {black}.")),
        Quantity::Ohms => Meaning::of(format!("{amount} {between}, the leads’ 0.2 Ω included.")),
        Quantity::Continuity if found < SOUNDS_BELOW_OHMS => {
            Meaning::of(format!("It sounds: {red} and {black} are joined ({amount})."))
        }
        Quantity::Continuity => Meaning::of(format!("No sound: {amount} {between}.")),
        Quantity::Diode => Meaning::of(format!("{amount} {between} at 1 mA.")),
    }
}

/// Voltages, and what people get wrong about them.
fn volts(scene: &Scene<'_>, found: f64, amount: &str, between: &str) -> Meaning {
    let says = format!("{amount} {between}.");
    let part = scene.across.first().copied();
    let Some(part) = part else { return Meaning::of(says) };
    let it = scene.bench.part(part);
    let supply = highest_supply(scene);
    if !it.card.contacts.is_empty() && supply > 0.0 {
        let closed = found.abs() < 0.05 * supply;
        let why = if closed {
            "A closed switch is a piece of wire: whatever flows through it, both its sides are at the same voltage. 0 V here doesn’t mean that nothing flows."
        } else {
            "An open switch lets nothing flow, so that nothing drops anywhere else in the loop. The whole voltage is left for the gap."
        };
        let next = if closed {
            "What will it read when you open the switch?"
        } else {
            "What will it read when you close the switch?"
        };
        return Meaning { says, why: why.to_owned(), next: next.to_owned() };
    }
    let idle = it.card.least_ohms.is_some() && found.abs() < 1e-3 * supply.max(1.0);
    if idle && amps(scene, part) < 1e-6 {
        return Meaning {
            says,
            why: "A resistor drops volts only while current flows through it (V = I · R). No current, so no voltage: both its ends are at the same potential.".to_owned(),
            next: format!("What will the black rail against either end of {} read?", it.id),
        };
    }
    Meaning::of(says)
}

/// The largest open voltage among the sources of the bench.
fn highest_supply(scene: &Scene<'_>) -> f64 {
    let volts = |part: &halfrow_core::part::Part| part.card.source.map(|source| (source.open_volts)(part));
    scene.bench.parts.iter().filter_map(volts).fold(0.0, f64::max)
}

/// The current through a part without the meter, amperes.
fn amps(scene: &Scene<'_>, part: PartIx) -> f64 {
    scene.bare.part(part).largest_amps()
}
