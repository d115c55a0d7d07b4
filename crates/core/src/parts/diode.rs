//! Small diodes.

use crate::card::{
    Card, Choice, Footprint, Group, Limits, Param, Pin, Polarity, Range, State, Wear, on_paper,
};
use crate::law::{Junction, Law};
use crate::part::Part;
use crate::shape::{Glance, Sketch, Style};
use crate::stamp::Terminal;

use super::dip::cracked;

const TYPE: usize = 0;

struct Type {
    junction: Junction,
    max_amps: f64,
    reverse_volts: f64,
}

// Fitted to the typical points "from memory": 1N4148 0.60 V at 1 mA, 0.72 V at 10 mA, 0.87 V at
// 100 mA; 1N4001 0.65 V at 10 mA, 0.75 V at 100 mA, 0.93 V at 1 A.
const TYPES: [Type; 2] = [
    Type {
        junction: Junction { saturation_amps: 6.6e-9, emission_volts: 0.0503, series_ohms: 0.38 },
        max_amps: 0.15,
        reverse_volts: 75.0,
    },
    Type {
        junction: Junction { saturation_amps: 3.3e-9, emission_volts: 0.0435, series_ohms: 0.08 },
        max_amps: 1.0,
        reverse_volts: 50.0,
    },
];

/// The card.
pub static CARD: Card = Card {
    kind: "diode",
    name: "Diode",
    also: &["1n4148", "1n4001", "rectifier"],
    what: "Carries current one way: in at the plain end, out at the end with the ring.",
    prefix: "D",
    group: Group::OneWay,
    key: Some('d'),
    pins: &[Pin { name: "A", says: "plain end (anode)" }, Pin { name: "K", says: "ringed end (cathode)" }],
    footprint: Footprint::Loose { reach: 20 },
    params: &[Param {
        key: "type",
        name: "Type",
        range: Range::Choice {
            options: &[Choice { word: "1n4148", name: "1N4148" }, Choice { word: "1n4001", name: "1N4001" }],
            default: 0,
        },
        live: false,
    }],
    equation: on_paper("i = Is · (exp((v − i·Rs) / nVt) − 1)"),
    sources: on_paper(&[
        "1N4148: at most 1.0 V at 10 mA, 150 mA, 75 V, Panjit rev 0.2; typical points from memory",
        "1N4001: at most 1.1 V at 1 A, 1 A, Comchip; 50 V and typical points from memory",
    ]),
    polarity: Some(Polarity { anode: 0, cathode: 1 }),
    limits: |part| {
        let it = &TYPES[part.index(TYPE)];
        Limits { amps: Some(it.max_amps), reverse_volts: Some(it.reverse_volts), ..Limits::default() }
    },
    wear: Some(Wear {
        strain: |part, reading| reading.largest_amps() / TYPES[part.index(TYPE)].max_amps,
        seconds: 2.0,
        burns_at: 4.0,
        says: "it has cracked",
    }),
    stamp: |part, stamp| {
        stamp.element(Terminal::Pin(0), Terminal::Pin(1), Law::Junction(TYPES[part.index(TYPE)].junction));
    },
    state: |_, reading| State::plain(if reading.pins[0].amps > 1e-6 { "conducts" } else { "blocks" }),
    label: |part| part.choice_name(TYPE).to_owned(),
    draw,
    ..Card::BLANK
};

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let big = part.index(TYPE) == 1;
    // DO-35 glass (3.9 by 1.9 mm) or DO-41 black (5.2 by 2.7 mm).
    let half = if big { 20.5 } else { 15.5 };
    sketch.axial(glance.leg(0), glance.leg(1), half, |body| {
        if big {
            body.rect(-20.5, -10.5, 41.0, 21.0, 3.0, Style::fill("#2b2e31").outlined("#101112", 1.0));
            body.rect(10.5, -10.5, 5.5, 21.0, 0.5, Style::fill("#c9ccd0"));
            body.rect(-18.0, -8.0, 26.0, 2.4, 1.2, Style::fill("#ffffff").faint(0.18));
        } else {
            body.rect(-15.5, -7.5, 31.0, 15.0, 6.0, Style::fill("#d9793f").outlined("#8a4318", 1.0));
            body.rect(-4.5, -4.0, 9.0, 8.0, 1.5, Style::fill("#5b3a2a").faint(0.7));
            body.rect(7.0, -7.2, 4.6, 14.4, 0.5, Style::fill("#1e1e1e"));
            body.rect(-11.0, -5.2, 16.0, 2.0, 1.0, Style::fill("#ffffff").faint(0.4));
        }
        if glance.burnt {
            cracked(body, 0.0, 0.0);
        } else if glance.hot {
            body.path("M-8 -4L4 4M4 -4L-8 4", Style::line("#401008", 2.2).faint(0.8));
        }
    });
}
