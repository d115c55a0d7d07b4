//! Each way alone, ideal sources, and the network against dense LU.

use super::*;
use crate::bench::PartIx;
use crate::circuit::Element;
use crate::sample::sixty_parts;
use crate::solve::solve;

/// A circuit of elements between numbered nodes; node 0 is the reference.
fn circuit(elements: &[(usize, usize, Law)]) -> Circuit {
    let element = |&(a, b, law): &(usize, usize, Law)| Element {
        part: PartIx(0),
        a: Node(a),
        b: Node(b),
        pin_a: None,
        pin_b: None,
        controls: None,
        law,
    };
    let nodes = elements.iter().map(|&(a, b, _)| a.max(b) + 1).max().unwrap_or(0);
    Circuit { nodes, elements: elements.iter().map(element).collect(), ..Circuit::default() }
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
        let plain = settle_by(circuit, &[Node(0)], &[Way::Plain]);
        assert!(plain.settled, "circuit {index}");
        for way in [Way::Cut, Way::Leaks, Way::Sources] {
            let other = settle_by(circuit, &[Node(0)], &[way]);
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
    let settled = settle(&it, &[Node(0)]);
    assert!(settled.settled);
    for (amps, wanted) in settled.element_amps.iter().zip([-2.0, 2.0, 2.0, 2.0]) {
        assert!((amps - wanted).abs() < 1e-12);
    }
}

#[test]
fn two_ideal_sources_against_each_other_have_no_answer_and_say_so() {
    let ideal = |volts| Law::Source { volts, ohms: 0.0 };
    let it = circuit(&[(1, 0, ideal(12.0)), (1, 0, ideal(5.0))]);
    assert!(!settle(&it, &[Node(0)]).settled);
}

#[test]
fn the_network_agrees_with_dense_lu_on_a_crowded_board() {
    let point = solve(&sixty_parts());
    let references: Vec<Node> = point.islands.iter().map(|island| island.reference).collect();
    // An ideal wire from the reference to nowhere forces the dense way.
    let mut dense = point.circuit.clone();
    dense.nodes += 1;
    dense.elements.push(Element {
        part: PartIx(0),
        a: references[0],
        b: Node(dense.nodes - 1),
        pin_a: None,
        pin_b: None,
        controls: None,
        law: ohms(0.0),
    });
    let other = settle(&dense, &references);
    assert!(other.settled && other.work.unknowns == point.work.unknowns + 2);
    let off = largest_difference(&point.node_volts, &other.node_volts[..point.node_volts.len()]);
    // The strips of the dark lamp hang on leaks of a picosiemens, of which LU keeps fewer digits.
    assert!(off < 1e-8, "{off:e} V");
}
