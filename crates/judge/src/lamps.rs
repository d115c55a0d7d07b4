//! Resistors for lamps: what one on this bench would be.

use halfrow_core::amount;
use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::preferred::E12;

/// The current that a classroom LED is run at, amperes (common practice, no source).
const GOOD_AMPS: f64 = 0.015;

/// The open-circuit volts of the strongest source.
pub(crate) fn most_volts(bench: &Bench) -> f64 {
    bench
        .parts
        .iter()
        .filter_map(|part| part.card.source.map(|source| (source.open_volts)(part)))
        .fold(0.0, f64::max)
}

/// The next E12 value at or above.
pub(crate) fn at_least(ohms: f64) -> f64 {
    let mut decade = 1.0;
    loop {
        for value in E12 {
            let value = f64::from(value) * decade;
            if value >= ohms {
                return value;
            }
        }
        decade *= 10.0;
    }
}

/// A resistor for an LED on this bench, in words: `220 Ω`.
pub(crate) fn good_resistor(bench: &Bench, part: PartIx) -> String {
    let it = bench.part(part);
    let forward = it.card.forward_volts.map_or(0.0, |volts| volts(it, GOOD_AMPS));
    let ohms = at_least(((most_volts(bench) - forward) / GOOD_AMPS).max(47.0));
    amount::value(ohms, halfrow_core::card::Unit::Ohm)
}
