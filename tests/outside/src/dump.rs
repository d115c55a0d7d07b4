//! Circuits as plain JSON, for another program to solve.

use halfrow_core::circuit::{Circuit, Law, Node};
use halfrow_core::solve::{OperatingPoint, solve};
use serde_json::{Value, json};

use crate::book::circuit_times;

/// The circuits that `independent.py` solves too: name and operating point.
pub fn circuits() -> Vec<(&'static str, OperatingPoint)> {
    let book = |text| circuit_times(1.0, text).point;
    vec![
        ("sixty-parts", solve(&crate::sixty_parts())),
        (
            "unbalanced-bridge-with-lamp",
            book("E 9 V 2: a g; R1 150: a b; R2 330: b g; R3 47: a c; R4 1k: c g; D led red: c b"),
        ),
        (
            "lamps-in-parallel",
            book("E 5 V 1: a g; R 47: a b; D1 led red: b g; D2 led blue: b g; D3 diode 1n4148: g b"),
        ),
        ("lamp-without-resistor", book("E battery 3 V: a g; D led white: a g; R 1k: a g")),
        (
            "diode-or",
            book("E1 5 V: a g; E2 battery 6 V: b g; D1 diode 1n4001: a c; D2 diode 1n4001: b c; R 100: c g"),
        ),
        ("nearly-nothing", book("E 1 V: a g; R1 1M: a b; D led green: b g")),
        ("supply-at-its-limit", book("E 24 V 0.05: a g; R 2: a g; D led red: a b; R2 220: b g")),
    ]
}

/// All circuits as one document.
pub fn document() -> Value {
    let all = circuits().into_iter().map(|(name, point)| {
        let references: Vec<usize> = point.islands.iter().map(|island| island.reference.0).collect();
        (name.to_owned(), describe(&point.circuit, &references))
    });
    Value::Object(all.collect())
}

fn describe(circuit: &Circuit, references: &[usize]) -> Value {
    let elements: Vec<Value> = circuit
        .elements
        .iter()
        .map(|element| {
            let (Node(a), Node(b)) = (element.a, element.b);
            match element.law {
                Law::Resistance { ohms } => json!({ "a": a, "b": b, "resistance": { "ohms": ohms } }),
                Law::Source { volts, ohms } => {
                    json!({ "a": a, "b": b, "source": { "volts": volts, "ohms": ohms } })
                }
                Law::LimitedSource { volts, ohms, limit_amps } => json!({
                    "a": a, "b": b,
                    "limited": { "volts": volts, "ohms": ohms, "limit_amps": limit_amps }
                }),
                Law::Junction(it) => json!({
                    "a": a, "b": b,
                    "junction": {
                        "saturation_amps": it.saturation_amps,
                        "emission_volts": it.emission_volts,
                        "series_ohms": it.series_ohms
                    }
                }),
                other => panic!("{other:?} has no place among the benches at rest"),
            }
        })
        .collect();
    json!({ "nodes": circuit.nodes, "references": references, "elements": elements })
}
