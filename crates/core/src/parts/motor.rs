//! Small DC motors.

use crate::card::{Card, Choice, Footprint, Group, Limits, Param, Pin, Range, State, Unit, Wear, on_paper};
use crate::law::Law;
use crate::part::Part;
use crate::shape::{Anchor, Glance, Point, Sketch, Style};
use crate::stamp::{Stamp, Terminal};

use super::battery::off_board_leads;
use super::inductor::turns;

const TYPE: usize = 0;
const LOAD: usize = 1;

struct Type {
    ohms: f64,
    henries: f64,
    /// Volts at a radian a second, which is newton metres an ampere.
    constant: f64,
    /// Current that overcomes its friction, amperes.
    friction_amps: f64,
    /// Moment of inertia, kg·m².
    inertia: f64,
    /// Current that it stands for ever, amperes.
    lasting_amps: f64,
    /// The voltage that it is made for.
    volts: f64,
}

const TYPES: [Type; 3] = [
    Type {
        ohms: 16.7,
        henries: 5e-3,
        constant: 2.5e-3,
        friction_amps: 0.02,
        inertia: 1e-8,
        lasting_amps: 0.12,
        volts: 6.0,
    },
    Type {
        ohms: 1.7,
        henries: 8e-4,
        constant: 2.0e-3,
        friction_amps: 0.2,
        inertia: 1.5e-7,
        lasting_amps: 0.9,
        volts: 6.0,
    },
    Type {
        ohms: 0.68,
        henries: 3e-4,
        constant: 1.43e-3,
        friction_amps: 0.2,
        inertia: 1e-7,
        lasting_amps: 0.7,
        volts: 1.5,
    },
];

/// The back voltage over which friction sets in: true friction would jump at a standstill. What is
/// slower than a little more than this counts as standing.
const CREEP_VOLTS: f64 = 0.02;

/// The card.
pub static CARD: Card = Card {
    kind: "motor",
    name: "Motor",
    what: "Turns while current flows, and turns the other way when the current is reversed. Held still, it takes the most current and gets hot; switched off, it kicks back.",
    prefix: "M",
    group: Group::Move,
    pins: &[Pin { name: "+", says: "red lead (+)" }, Pin { name: "-", says: "black lead (−)" }],
    footprint: Footprint::OffBoard,
    params: &[
        Param {
            key: "type",
            name: "Type",
            range: Range::Choice {
                options: &[
                    Choice { word: "micro", name: "micro, 6 V" },
                    Choice { word: "260", name: "260 size, 6 V" },
                    Choice { word: "130", name: "130 size, 1.5 V" },
                ],
                default: 0,
            },
            live: false,
        },
        Param {
            key: "load",
            name: "Load",
            range: Range::Number { unit: Unit::Share, min: 0.0, max: 1.0, default: 0.0, by_ratio: false },
            live: true,
        },
    ],
    equation: on_paper("v = R·i + L·di/dt + k·ω; J·dω/dt = k·i − friction − load"),
    sources: on_paper(&[
        "Micro: 0.02 A free, 0.36 A stalled at 6 V, Pololu micro metal gearmotor LP rev 2.0",
        "260 size: 1.7 Ω, 2.0 mN·m/A, Mabuchi RC-260RA-2670 as in MIT’s 2.007 kit",
        "130 size: 0.20 A free, 2.2 A stalled at 1.5 V; inductances, inertias and lasting currents: from memory",
    ]),
    kicks: Some((0, 1)),
    limits: |part| Limits { amps: Some(TYPES[part.index(TYPE)].lasting_amps), ..Limits::default() },
    wear: Some(Wear {
        strain: |part, reading| {
            let share = reading.pins[0].amps / TYPES[part.index(TYPE)].lasting_amps;
            share * share
        },
        seconds: 20.0,
        burns_at: 5.0,
        says: "its winding smells burnt and it no longer turns",
    }),
    stamp,
    state: |part, reading| {
        let it = &TYPES[part.index(TYPE)];
        let back = reading.inner_volts[0] - reading.pins[1].volts;
        let stands = back.abs() < 1.5 * CREEP_VOLTS;
        let spin = if stands { 0.0 } else { back / it.constant / (2.0 * core::f64::consts::PI) };
        let word = match (stands, reading.pins[0].amps.abs() > 2.0 * it.friction_amps) {
            (true, true) => "stalled",
            (true, false) => "stands",
            (false, _) if spin > 0.0 => "turns",
            (false, _) => "turns backwards",
        };
        State { spin: spin as f32, ..State::plain(word) }
    },
    label: |part| part.choice_name(TYPE).to_owned(),
    draw,
    ..Card::BLANK
};

fn stamp(part: &Part, stamp: &mut Stamp<'_>) {
    let it = &TYPES[part.index(TYPE)];
    let (plus, inner, minus) = (Terminal::Pin(0), Terminal::Inner(0), Terminal::Pin(1));
    stamp.element(plus, inner, Law::Inductance { henries: it.henries, ohms: it.ohms });
    // What turns is to the current what a capacitor is: its voltage is the speed, J / k² its size.
    let farads = it.inertia / (it.constant * it.constant);
    stamp.element(inner, minus, Law::Capacitance { farads, ohms: 1e-3 });
    // Friction takes the same torque at any speed; a load of 1 is more than the motor has.
    let stall = it.volts / it.ohms;
    let drag = it.friction_amps + 1.5 * stall * part.number(LOAD) * part.number(LOAD);
    let law = Law::Gain { siemens: drag / CREEP_VOLTS, limit_amps: drag };
    stamp.steered(inner, minus, [inner, minus], law);
    turns(stamp, plus, minus, it.henries);
}

fn draw(_: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    // Lower than others: its crank stays clear of the figures of what lies above.
    let at = Point::new(glance.rest.x, glance.rest.y + 20.0);
    sketch.group(at, 0.0, |body| {
        body.rect(-4.0, 20.0, 84.0, 66.0, 10.0, Style::fill("#b9bdc0").outlined("#5c6164", 1.2));
        body.rect(4.0, 26.0, 68.0, 8.0, 4.0, Style::fill("#ffffff").faint(0.5));
        body.rect(66.0, 24.0, 16.0, 58.0, 3.0, Style::fill("#33414a"));
        body.rect(30.0, 4.0, 8.0, 18.0, 2.0, Style::fill("#8b9a9e").outlined("#5c6164", 0.8));
        // The crank on its shaft: drawn still, or as a blur with an arrow the way it turns.
        let spin = glance.spin;
        if spin == 0.0 {
            body.rect(14.0, -6.0, 40.0, 9.0, 4.5, Style::fill("#c47a3a").outlined("#6e3f16", 1.0));
        } else {
            let fast = spin.abs().min(3.0);
            body.circle(34.0, 0.0, 20.0, Style::fill("#c47a3a").faint(0.5 - 0.1 * fast));
            let d = if spin > 0.0 {
                "M18 -8A18 18 0 0 1 50 -8m-8 -2l8 2l1 -8"
            } else {
                "M50 -8A18 18 0 0 0 18 -8m8 -2l-8 2l-1 -8"
            };
            body.path(d, Style::line("#6e3f16", 2.2));
        }
        let words = if glance.burnt { "burnt" } else { "M" };
        let style = Style::fill(if glance.burnt { "#8c1c15" } else { "#1d2b33" });
        body.text(Point::new(33.0, 62.0), 18.0, Anchor::Middle, true, words, style);
    });
    off_board_leads(
        glance,
        sketch,
        Point::new(at.x + 80.0, at.y + 40.0),
        Point::new(at.x + 80.0, at.y + 68.0),
    );
}
