//! Phototransistor.

use crate::amount;
use crate::card::{Card, Footprint, Group, Limits, Param, Pin, Polarity, Range, State, Unit, on_paper};
use crate::law::{Junction, Law};
use crate::shape::Style;
use crate::stamp::Terminal;

const LUX: usize = 0;

/// Current at a lux, amperes (from memory: some hundred microamperes at a hundred lux), and what is
/// left in the dark.
const AMPS_PER_LUX: f64 = 3.5e-6;
const DARK_AMPS: f64 = 3e-9;

/// The card.
pub static CARD: Card = Card {
    kind: "phototransistor",
    name: "Phototransistor",
    what: "The more light falls on it, the more current it carries: in at the short leg by the flat side (collector), out at the long leg (emitter).",
    prefix: "Q",
    group: Group::Sense,
    pins: &[
        Pin { name: "C", says: "short leg by the flat side (collector)" },
        Pin { name: "E", says: "long leg (emitter)" },
    ],
    footprint: Footprint::Loose { reach: 10 },
    params: &[Param {
        key: "lux",
        name: "Light",
        range: Range::Number { unit: Unit::Lux, min: 0.1, max: 10_000.0, default: 300.0, by_ratio: true },
        live: true,
    }],
    equation: on_paper("i = 3.5 µA · lux while some tenths of a volt stand across it"),
    sources: on_paper(&["3.5 µA a lux, 3 nA in the dark, 20 mA, 6 V in reverse: from memory"]),
    polarity: Some(Polarity { anode: 0, cathode: 1 }),
    limits: |_| Limits { amps: Some(0.02), reverse_volts: Some(6.0), ..Limits::default() },
    stamp: |part, stamp| {
        let limit_amps = DARK_AMPS + AMPS_PER_LUX * part.number(LUX);
        let (collector, inner, emitter) = (Terminal::Pin(0), Terminal::Inner(0), Terminal::Pin(1));
        let law = Law::Gain { siemens: limit_amps / 0.08, limit_amps };
        stamp.steered(collector, inner, [collector, inner], law);
        stamp.element(collector, inner, Law::Open);
        // Nothing flows the other way.
        let junction = Junction { saturation_amps: 2e-6, emission_volts: 0.026, series_ohms: 5.0 };
        stamp.element(inner, emitter, Law::Junction(junction));
    },
    state: |_, reading| State::plain(if reading.pins[0].amps > 1e-5 { "conducts" } else { "blocks" }),
    label: |part| amount::value(part.number(LUX), Unit::Lux),
    draw: |_, glance, sketch| {
        let (collector, emitter) = (glance.leg(0), glance.leg(1));
        sketch.axial(collector, emitter, 15.0, |body| {
            body.path(
                "M-13.5 -11A17.4 17.4 0 1 1 -13.5 11Z",
                Style::fill("#9fb8c4").outlined("#4d6570", 1.1),
            );
            body.circle(0.0, 0.0, 12.0, Style::fill("#dfeef4").faint(0.7));
            body.rect(-4.0, -4.0, 8.0, 8.0, 1.0, Style::fill("#1d2b33"));
            body.path("M-9 -6Q-5 -10.5 1 -10.8", Style::line("#ffffff", 2.0).faint(0.7));
        });
    },
    ..Card::BLANK
};
