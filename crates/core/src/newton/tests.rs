//! Each way alone, ideal sources, and the network against dense LU.

use super::*;
use crate::law::Junction;

/// A circuit of branches between numbered nodes; node 0 is the reference.
type Circuit = (usize, Vec<Branch>);

fn circuit(branches: &[(usize, usize, Law)]) -> Circuit {
    let nodes = branches.iter().map(|&(a, b, _)| a.max(b) + 1).max().unwrap_or(0);
    let branch = |&(a, b, law): &(usize, usize, Law)| Branch { a: Node(a), b: Node(b), controls: None, law };
    (nodes, branches.iter().map(branch).collect())
}

const LED: Law = Law::Junction(Junction { saturation_amps: 1e-18, emission_volts: 0.0517, series_ohms: 4.0 });

fn ohms(ohms: f64) -> Law {
    Law::Resistance { ohms }
}

fn lamps() -> [Circuit; 4] {
    let battery = |volts| Law::Source { volts, ohms: 0.5 };
    let supply = |volts| Law::LimitedSource { volts, ohms: 0.05, limit_amps: 0.02 };
    [
        circuit(&[(1, 0, battery(6.0)), (1, 2, ohms(220.0)), (2, 0, LED)]),
        circuit(&[(1, 0, battery(6.0)), (1, 2, LED), (0, 2, LED), (2, 3, ohms(1e6)), (3, 0, ohms(10.0))]),
        circuit(&[(1, 0, supply(5.0)), (1, 2, ohms(1.0)), (2, 0, LED), (0, 2, LED)]),
        circuit(&[(1, 0, supply(5.0)), (1, 2, ohms(0.1)), (2, 0, battery(9.0)), (2, 3, LED), (3, 0, LED)]),
    ]
}

#[test]
fn every_way_leads_to_the_same_point() {
    for (index, circuit) in lamps().iter().enumerate() {
        let plain = settle_by(circuit.0, &circuit.1, &[Node(0)], &[Way::Plain]);
        assert!(plain.settled, "circuit {index}");
        for way in [Way::Cut, Way::Leaks, Way::Sources] {
            let other = settle_by(circuit.0, &circuit.1, &[Node(0)], &[way]);
            assert!(other.settled, "circuit {index} by {way:?}");
            let off = largest_difference(&plain.node_volts, &other.node_volts);
            assert!(off < 1e-8, "circuit {index} by {way:?}: {off:e} V");
            assert_eq!(other.work.steps > 0, matches!(way, Way::Leaks | Way::Sources));
        }
    }
}

#[test]
fn ideal_sources_and_wires_without_resistance_have_a_current() {
    let it = circuit(&[
        (1, 0, Law::Source { volts: 12.0, ohms: 0.0 }),
        (1, 2, ohms(0.0)),
        (2, 3, ohms(0.0)),
        (3, 0, ohms(6.0)),
    ]);
    let settled = settle(it.0, &it.1, &[Node(0)]);
    assert!(settled.settled);
    for (amps, wanted) in settled.element_amps.iter().zip([-2.0, 2.0, 2.0, 2.0]) {
        assert!((amps - wanted).abs() < 1e-12);
    }
}

#[test]
fn two_ideal_sources_against_each_other_have_no_answer_and_say_so() {
    let ideal = |volts| Law::Source { volts, ohms: 0.0 };
    let it = circuit(&[(1, 0, ideal(12.0)), (1, 0, ideal(5.0))]);
    assert!(!settle(it.0, &it.1, &[Node(0)]).settled);
}
