//! Bench supply with a current limit.

use crate::amount;
use crate::card::{Card, Footprint, Group, Param, Pin, Range, Source, State, Unit, near, on_paper};
use crate::law::Law;
use crate::part::Part;
use crate::shape::{Anchor, Glance, Point, Sketch, Style};
use crate::stamp::Terminal;

use super::battery::off_board_leads;
use super::usb::limited_state;

const VOLTS: usize = 0;
const LIMIT: usize = 1;
const OHMS: usize = 2;

/// The card.
pub static CARD: Card = Card {
    kind: "supply",
    name: "Bench supply",
    also: &["power supply", "psu"],
    what: "Holds the voltage you set until the current reaches the limit you set; then it holds the current.",
    prefix: "PS",
    group: Group::Power,
    pins: &[Pin { name: "+", says: "red lead (+)" }, Pin { name: "-", says: "black lead (−)" }],
    footprint: Footprint::OffBoard,
    params: &[
        Param {
            key: "volts",
            name: "Voltage",
            range: Range::Number { unit: Unit::Volt, min: 0.0, max: 24.0, default: 5.0, by_ratio: false },
            live: true,
        },
        Param {
            key: "limit_amps",
            name: "Current limit",
            range: Range::Number { unit: Unit::Amp, min: 0.001, max: 3.0, default: 0.1, by_ratio: true },
            live: true,
        },
        Param {
            key: "ohms",
            name: "Internal resistance",
            range: Range::Number { unit: Unit::Ohm, min: 0.001, max: 1000.0, default: 0.05, by_ratio: true },
            live: false,
        },
    ],
    equation: on_paper("v = V − i · r, until i = limit"),
    sources: on_paper(&[
        "Up to 24 V, since more does not belong on a breadboard: a design choice",
        "50 mΩ of leads and output: from memory",
    ]),
    // Set by a knob, and yet what the circuit is fed with.
    does_for: |plan, build, param| param != VOLTS || near(plan, build, param, 0.05),
    source: Some(Source {
        plus: 0,
        minus: 1,
        open_volts: |part| part.number(VOLTS),
        own_ohms: |part| part.number(OHMS),
        safe_amps: |part| part.number(LIMIT),
        swings: |_| false,
        is_spent: |_| false,
        charge: None,
    }),
    stamp: |part, stamp| {
        let law = Law::LimitedSource {
            volts: part.number(VOLTS),
            ohms: part.number(OHMS),
            limit_amps: part.number(LIMIT),
        };
        stamp.element(Terminal::Pin(0), Terminal::Pin(1), law);
    },
    state: |part, reading| State::plain(limited_state(reading.pins[1].amps, part.number(LIMIT))),
    label: |part| amount::value(part.number(VOLTS), Unit::Volt),
    draw,
    ..Card::BLANK
};

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let at = glance.rest;
    sketch.group(at, 0.0, |body| {
        body.rect(-10.0, 0.0, 110.0, 118.0, 7.0, Style::fill("#e4dfd2").outlined("#8b8576", 1.2));
        body.rect(0.0, 10.0, 90.0, 30.0, 4.0, Style::fill("#1d2b33"));
        let volts = amount::value(part.number(VOLTS), Unit::Volt);
        body.text(Point::new(45.0, 31.0), 17.0, Anchor::Middle, true, volts, Style::fill("#9fe0d8"));
        body.circle(22.0, 66.0, 12.0, Style::fill("#f7f4ec").outlined("#8b8576", 1.4));
        body.path("M22 66L27 57", Style::line("#1d2b33", 2.0));
        body.circle(62.0, 66.0, 12.0, Style::fill("#f7f4ec").outlined("#8b8576", 1.4));
        body.path("M62 66L58 57", Style::line("#1d2b33", 2.0));
        let limit = format!("limit {}", amount::value(part.number(LIMIT), Unit::Amp));
        body.text(Point::new(45.0, 104.0), 12.0, Anchor::Middle, false, limit, Style::fill("#1d2b33"));
        body.circle(96.0, 54.0, 6.0, Style::fill("#c8281f").outlined("#7e1a14", 1.2));
        body.circle(96.0, 82.0, 6.0, Style::fill("#33373a").outlined("#0d0f10", 1.2));
    });
    off_board_leads(
        glance,
        sketch,
        Point::new(at.x + 96.0, at.y + 54.0),
        Point::new(at.x + 96.0, at.y + 82.0),
    );
}
