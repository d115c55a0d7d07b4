//! Circuits in time as plain JSON, for another program to integrate (`ivp.py`).
//!
//! What switches by its own does so there by its own rule; of Halfrow's circuit the elements are taken,
//! and their laws in each state of what switches.

use halfrow_core::bench::PartIx;
use halfrow_core::circuit::{Circuit, Law, Node};
use halfrow_core::time::Run;
use serde_json::{Value, json};

use crate::desk::desk;

/// A circuit, the times at which it is compared, and how it is switched.
#[derive(Debug)]
pub struct Case {
    /// Its name in files.
    pub name: &'static str,
    /// Its notation for a [`crate::desk::Desk`].
    pub text: String,
    /// Seconds, rising; none of them a moment at which something jumps.
    pub times: Vec<f64>,
    /// What switches it.
    pub switch: Switch,
}

/// What changes the laws of a circuit.
#[derive(Clone, Copy, Debug)]
pub enum Switch {
    /// Nothing.
    Nothing,
    /// A square wave: half a period high, half a period low.
    Square {
        /// Seconds of a half.
        half: f64,
    },
    /// A 555 with trigger and threshold at one node: what the name of the chip is.
    Timer {
        /// Its name.
        chip: &'static str,
    },
}

fn evenly(first: f64, step: f64, count: u32) -> Vec<f64> {
    (0..count).map(|n| first + step * f64::from(n)).collect()
}

/// The cases.
pub fn cases() -> Vec<Case> {
    let square = "signal V1 shape=square hertz=2000 amplitude_volts=2.5 offset_volts=2.5";
    vec![
        Case {
            // Gate charges of nanoseconds, a coil of hundreds of microseconds.
            name: "mosfet-and-coil",
            text: format!(
                "battery V2 cells=4: v g; {square}: w g; resistor R1 ohms=10: w a; resistor R2 ohms=100000: a g; \
                 mosfet Q1: g a d; inductor L1 henries=0.01 ohms=40: v d; diode D1 type=1n4148: d v"
            ),
            times: evenly(1.3e-5, 2.5e-5, 60),
            switch: Switch::Square { half: 2.5e-4 },
        },
        Case {
            // A wave that has no corners.
            name: "rectifier",
            text: "signal V1 shape=sine hertz=50 amplitude_volts=9: w g; diode D1 type=1n4001: w a; \
                   capacitor C1 farads=4.7e-6: a g; resistor R1 ohms=10000: a g"
                .to_owned(),
            times: evenly(1.1e-3, 1e-3, 60),
            switch: Switch::Nothing,
        },
        Case {
            name: "astable-555",
            text: "battery V1 cells=4: v g; 555 U1: g a out v - a dis v; resistor ohms=1000: v dis; \
                   resistor ohms=10000: dis a; capacitor farads=1e-8: a g; resistor ohms=470: out d; led: d g"
                .to_owned(),
            times: evenly(5.3e-6, 1.17e-5, 60),
            switch: Switch::Timer { chip: "U1" },
        },
    ]
}

/// The elements of a circuit.
fn elements(circuit: &Circuit) -> Vec<Value> {
    let each = circuit.elements.iter().map(|element| {
        let (Node(a), Node(b)) = (element.a, element.b);
        let law = match element.law {
            Law::Open => json!({ "open": {} }),
            Law::Resistance { ohms } => json!({ "resistance": { "ohms": ohms } }),
            Law::Source { volts, ohms } => json!({ "source": { "volts": volts, "ohms": ohms } }),
            // Waves begin with the clock.
            Law::Sine { offset, amplitude, hertz, since: _, ohms } => json!({
                "sine": { "offset": offset, "amplitude": amplitude, "hertz": hertz, "ohms": ohms }
            }),
            Law::Junction(it) => json!({ "junction": {
                "saturation_amps": it.saturation_amps,
                "emission_volts": it.emission_volts,
                "series_ohms": it.series_ohms
            } }),
            Law::Channel(it) => json!({ "channel": {
                "gate": element.controls.expect("a gate steers it")[0].0,
                "threshold_volts": it.threshold_volts,
                "amps_per_volt2": it.amps_per_volt2,
                "slope_volts": it.slope_volts
            } }),
            Law::Capacitance { farads, ohms } => json!({ "capacitance": { "farads": farads, "ohms": ohms } }),
            Law::Inductance { henries, ohms } => {
                json!({ "inductance": { "henries": henries, "ohms": ohms } })
            }
            other => panic!("{other:?} has no place in a circuit for Python"),
        };
        json!({ "a": a, "b": b, "law": law })
    });
    each.collect()
}

/// A circuit with its laws in all states of what switches it, the state from the first moment first.
fn describe(case: &Case) -> Value {
    let mut it = desk(&case.text);
    let point = it.run.point();
    let reference = point.islands[0].reference.0;
    assert_eq!(point.islands.len(), 1, "{}: one circuit", case.name);
    let mut states = vec![elements(&point.circuit)];
    let switch = match case.switch {
        Switch::Nothing => json!(null),
        Switch::Square { half } => {
            it.run.until(half, 100_000);
            states.push(elements(&it.run.point().circuit));
            assert_ne!(states[0], states[1], "{}: it switches", case.name);
            json!({ "square": { "half": half } })
        }
        Switch::Timer { chip } => {
            let part: PartIx = it.run.bench().find(chip).expect("a chip");
            let shown = |run: &Run| run.memories()[part.0].shown;
            // It goes high a delay after power-on, and then low, and so on.
            for _ in 0..2 {
                let before = shown(&it.run);
                while shown(&it.run) == before {
                    it.run.advance();
                }
                states.push(elements(&it.run.point().circuit));
            }
            let pin = |number: usize| point.circuit.joins[part.0][number - 1].node.0;
            json!({ "timer": {
                "ground": pin(1), "trigger": pin(2), "threshold": pin(6), "control": pin(5),
                "third": point.circuit.inner[part.0][0].0
            } })
        }
    };
    json!({ "nodes": point.circuit.nodes, "reference": reference, "times": case.times, "switch": switch, "states": states })
}

/// All cases as one document.
pub fn document() -> Value {
    Value::Object(cases().iter().map(|case| (case.name.to_owned(), describe(case))).collect())
}
