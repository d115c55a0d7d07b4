//! A 5 V USB port with a breakout lead.

use crate::card::{Card, Footprint, Group, Pin, Source, State, on_paper};
use crate::law::Law;
use crate::shape::{Anchor, Glance, Point, Sketch, Style};
use crate::stamp::Terminal;

use super::battery::off_board_leads;

/// Nominal voltage, volts.
const VOLTS: f64 = 5.0;
/// Cable and connector, ohms: a quarter of a volt at half an ampere, the port's allowance.
const OHMS: f64 = 0.25;
/// Five unit loads of 100 mA, amperes.
const LIMIT_AMPS: f64 = 0.5;

/// The card.
pub static CARD: Card = Card {
    kind: "usb",
    name: "USB 5 V",
    also: &["power supply", "phone charger"],
    what: "Five volts from a USB port, half an ampere at most: + on the red lead, − on the black lead.",
    prefix: "USB",
    group: Group::Power,
    key: Some('u'),
    pins: &[Pin { name: "+", says: "red lead (+)" }, Pin { name: "-", says: "black lead (−)" }],
    footprint: Footprint::OffBoard,
    equation: on_paper("v = 5 V − i · 0.25 Ω, until 0.5 A"),
    sources: on_paper(&[
        "USB 2.0, section 7.2.1: 4.75 to 5.25 V at the port, five unit loads of 100 mA (from memory)",
    ]),
    source: Some(Source {
        plus: 0,
        minus: 1,
        open_volts: |_| VOLTS,
        own_ohms: |_| OHMS,
        safe_amps: |_| LIMIT_AMPS,
        swings: |_| false,
        is_spent: |_| false,
        charge: None,
    }),
    stamp: |_, stamp| {
        let law = Law::LimitedSource { volts: VOLTS, ohms: OHMS, limit_amps: LIMIT_AMPS };
        stamp.element(Terminal::Pin(0), Terminal::Pin(1), law);
    },
    state: |_, reading| State::plain(limited_state(reading.pins[1].amps, LIMIT_AMPS)),
    label: |_| "5 V".to_owned(),
    draw,
    ..Card::BLANK
};

/// The state of a source with a current limit.
pub(super) fn limited_state(given_amps: f64, limit_amps: f64) -> &'static str {
    if given_amps > 0.98 * limit_amps {
        "at its limit"
    } else if given_amps > 1e-6 {
        "giving"
    } else {
        "idle"
    }
}

fn draw(_: &crate::part::Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let at = glance.rest;
    sketch.group(at, 0.0, |body| {
        body.rect(14.0, -34.0, 46.0, 46.0, 2.0, Style::fill("#cfd3d5").outlined("#7d8285", 1.2));
        body.rect(22.0, -26.0, 9.0, 9.0, 1.0, Style::fill("#5c6164"));
        body.rect(43.0, -26.0, 9.0, 9.0, 1.0, Style::fill("#5c6164"));
        body.rect(4.0, 8.0, 66.0, 92.0, 9.0, Style::fill("#28333b").outlined("#0f1519", 1.2));
        body.text(Point::new(37.0, 62.0), 17.0, Anchor::Middle, true, "5 V", Style::fill("#f1eee6"));
    });
    off_board_leads(
        glance,
        sketch,
        Point::new(at.x + 68.0, at.y + 30.0),
        Point::new(at.x + 68.0, at.y + 58.0),
    );
}
