//! Currents and watts of a solved bench, added up by formulae of their own.
//!
//! Nothing here calls the solver's laws: a junction is solved by bisection, a limited source is
//! written out from its description, currents are added leg by leg from the board's own strips.

use std::collections::BTreeMap;

use halfrow_core::bench::{Bench, LegId};
use halfrow_core::board::Strip;
use halfrow_core::circuit::{CONTACT_OHMS, Law, contact};
use halfrow_core::law::{Junction, LEAK_SIEMENS};
use halfrow_core::part::Depth;
use halfrow_core::solve::OperatingPoint;

/// Current of a law at a voltage; `None` where so small a resistance stands that a voltage tells
/// no current.
pub fn amps(law: Law, volts: f64) -> Option<f64> {
    match law {
        Law::Resistance { ohms } | Law::Source { ohms, .. } if ohms < 5e-4 => None,
        Law::Resistance { ohms } => Some(volts / ohms),
        Law::Source { volts: open, ohms } => Some((volts - open) / ohms),
        Law::Junction(junction) => Some(junction_amps(junction, volts)),
        Law::LimitedSource { volts: open, ohms, limit_amps } => {
            Some(-limited_amps(open - volts, ohms, limit_amps))
        }
        // At rest a capacitor or an open contact is the leak, an inductor its winding.
        Law::Open | Law::Capacitance { .. } => Some(volts * LEAK_SIEMENS),
        Law::Inductance { ohms, .. } => Some(volts / ohms),
        Law::Sine { offset, ohms, .. } => Some((volts - offset) / ohms),
        Law::Ramp { volts: at, ohms, .. } => Some((volts - at) / ohms),
        Law::Tail { amps } => Some(amps * (volts / 0.01).tanh() + volts * LEAK_SIEMENS),
        Law::Transport(_) | Law::Channel(_) | Law::Gain { .. } | Law::Pair(_) | Law::Drive(_) => None,
    }
}

/// By bisection on the junction's own voltage: the current through it and the current that drops
/// the rest over the series resistance differ in sign at the two ends.
fn junction_amps(junction: Junction, volts: f64) -> f64 {
    let through =
        |u: f64| junction.saturation_amps * (u / junction.emission_volts).exp_m1() + LEAK_SIEMENS * u;
    if junction.series_ohms == 0.0 {
        return through(volts);
    }
    let (mut low, mut high) = (volts.min(0.0), volts.max(0.0));
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if through(middle) < (volts - middle) / junction.series_ohms {
            low = middle;
        } else {
            high = middle;
        }
    }
    // Whichever of the two tells the current with less cancellation.
    let u = 0.5 * (low + high);
    let slope = junction.saturation_amps / junction.emission_volts * (u / junction.emission_volts).exp();
    if slope * junction.series_ohms > 1.0 { (volts - u) / junction.series_ohms } else { through(u) }
}

/// What a limited source gives when its terminals stand `drop` below the open-circuit voltage: the
/// lesser of drop/ohms and the limit, rounded by a hyperbola a thousandth of the limit wide; of that
/// no less than nothing, rounded over a hundred-thousandth; what is pushed back meets 2 kΩ instead of
/// `ohms`; and a ten-thousandth of the limit more for each volt beyond the drop over `ohms`.
fn limited_amps(drop: f64, ohms: f64, limit: f64) -> f64 {
    let width = limit / 1000.0;
    let wanted = drop / ohms;
    let lesser = 0.5 * (wanted + limit) - (0.5 * (wanted - limit)).hypot(width);
    let back = limit / 1e5;
    let given = 0.5 * lesser + 0.5 * lesser.hypot(back) - 0.5 * back;
    given + (lesser - given) * ohms / 2000.0 + 1e-4 * limit * (drop - lesser * ohms)
}

/// The worst miss of Kirchhoff's current law at any node, as a share of 1 nA + 1e-6 of the largest
/// current there, with currents from the formulae above; and which node.
pub fn worst_node(point: &OperatingPoint) -> (f64, usize) {
    let mut sums = vec![(0.0_f64, 0.0_f64); point.circuit.nodes];
    for (element, &told) in point.circuit.elements.iter().zip(&point.element_amps) {
        let volts = point.node_volts[element.a.0] - point.node_volts[element.b.0];
        let amps = amps(element.law, volts).unwrap_or(told);
        for (node, amps) in [(element.a.0, amps), (element.b.0, -amps)] {
            sums[node].0 += amps;
            sums[node].1 = sums[node].1.max(amps.abs());
        }
    }
    let miss = |&(sum, largest): &(f64, f64)| sum.abs() / (1e-9 + 1e-6 * largest);
    let worst = (0..sums.len()).max_by(|&i, &j| miss(&sums[i]).total_cmp(&miss(&sums[j])));
    worst.map_or((0.0, 0), |node| (miss(&sums[node]), node))
}

/// The worst miss over the strips of the boards, counting only what the legs' readings say.
pub fn worst_strip(bench: &Bench, point: &OperatingPoint) -> f64 {
    let mut sums: BTreeMap<Strip, (f64, f64)> = BTreeMap::new();
    for (id, leg) in bench.legs() {
        let reading = point.leg(id);
        if !reading.touches {
            continue;
        }
        let strip = bench.strip(leg.hole.expect("a leg that touches is in a hole")).expect("a strip");
        let sum = sums.entry(strip).or_default();
        sum.0 += reading.amps;
        sum.1 = sum.1.max(reading.amps.abs());
    }
    sums.values().map(|(sum, largest)| sum.abs() / (1e-9 + 1e-6 * largest)).fold(0.0, f64::max)
}

/// What the parts and the contacts take in together, watts, and the sum of the sizes.
pub fn energy(bench: &Bench, point: &OperatingPoint) -> (f64, f64) {
    let (mut balance, mut turnover) = (0.0, 0.0);
    for (index, part) in point.parts.iter().enumerate() {
        balance += part.watts;
        for (pin, reading) in part.pins.iter().enumerate() {
            let leg = LegId { part: halfrow_core::bench::PartIx(index), pin };
            let ohms = contact(bench, leg, halfrow_core::circuit::Contacts { contact_ohms: CONTACT_OHMS });
            // A chip's good contacts are taken as perfect.
            let it = bench.part(leg.part);
            let perfect = it.card.chip && it.legs[pin].depth == Depth::Full;
            let ohms = if perfect { 0.0 } else { ohms.unwrap_or(0.0) };
            balance += ohms * reading.amps * reading.amps;
            turnover += (reading.volts * reading.amps).abs();
        }
    }
    (balance, turnover)
}
