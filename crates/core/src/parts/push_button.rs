//! Push button with four legs.

use crate::card::{Card, Contact, Footprint, Group, Limits, Param, Pin, Range, State, on_paper};
use crate::part::Part;
use crate::shape::{Glance, Point, Sketch, Style};
use crate::stamp::{Stamp, Terminal};

use super::rigid_frame;

const PRESSED: usize = 0;

/// Resistance of the metal between two joined legs, and of the closed contact, ohms.
const METAL_OHMS: f64 = 0.01;
const CLOSED_OHMS: f64 = 0.05;

/// The card.
pub static CARD: Card = Card {
    kind: "push-button",
    name: "Push button",
    also: &["button", "key", "tact switch"],
    what: "Closed while it is pressed. Its four legs are two pairs: 1 and 2 are always joined, 3 and 4 are always joined; pressing joins the pairs.",
    prefix: "SB",
    group: Group::Switch,
    key: Some('k'),
    pins: &[
        Pin { name: "1", says: "leg 1" },
        Pin { name: "2", says: "leg 2" },
        Pin { name: "3", says: "leg 3" },
        Pin { name: "4", says: "leg 4" },
    ],
    footprint: Footprint::Rigid { offsets: &[(0, 0), (3, 0), (0, 2), (3, 2)], straddles: false },
    params: &[Param { key: "pressed", name: "Pressed", range: Range::Flag { default: false }, live: true }],
    equation: on_paper("1–2 and 3–4 joined; pressed: 1–3 joined (50 mΩ)"),
    sources: on_paper(&["6 mm tactile switch, legs 6.5 by 4.5 mm apart, 50 mA: common practice, no source"]),
    metal: &[(0, 1), (2, 3)],
    alike: &[&[0, 2]],
    contacts: &[Contact::of(0, 2)],
    limits: |_| Limits { amps: Some(0.05), ..Limits::default() },
    stamp,
    state: |part, _| State::plain(if part.index(PRESSED) == 1 { "pressed" } else { "open" }),
    draw,
    ..Card::BLANK
};

fn stamp(part: &Part, stamp: &mut Stamp<'_>) {
    stamp.resistance(Terminal::Pin(0), Terminal::Pin(1), METAL_OHMS);
    stamp.resistance(Terminal::Pin(2), Terminal::Pin(3), METAL_OHMS);
    if part.index(PRESSED) == 1 {
        stamp.resistance(Terminal::Pin(0), Terminal::Pin(2), CLOSED_OHMS);
    }
}

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let pressed = part.index(PRESSED) == 1;
    rigid_frame(part, glance, sketch, |body| {
        for (x, y) in [(0.0, 0.0), (60.0, 0.0), (0.0, 40.0), (60.0, 40.0)] {
            let inward = if x == 0.0 { 10.0 } else { 50.0 };
            body.lead(Point::new(x, y), Point::new(inward, y));
            body.lead_end(Point::new(x, y));
        }
        body.rect(6.0, -4.0, 48.0, 48.0, 4.0, Style::fill("#34393d").outlined("#121517", 1.2));
        body.rect(9.0, -1.0, 42.0, 42.0, 3.0, Style::fill("#c9cdd0"));
        for (x, y) in [(13.0, 3.0), (47.0, 3.0), (13.0, 37.0), (47.0, 37.0)] {
            body.circle(x, y, 2.4, Style::fill("#5c6164"));
        }
        let (r, fill) = if pressed { (11.5, "#1b2227") } else { (13.0, "#3a464e") };
        body.circle(30.0, 20.0, r, Style::fill(fill).outlined("#0d1114", 1.4));
        if !pressed {
            body.path("M22 14Q26 9 32 9.4", Style::line("#ffffff", 1.8).faint(0.4));
        }
    });
}
