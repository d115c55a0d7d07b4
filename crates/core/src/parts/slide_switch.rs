//! Slide switch, one pole, two ways (SPDT).

use crate::card::{Card, Choice, Contact, Footprint, Group, Limits, Param, Pin, Range, State, on_paper};
use crate::part::Part;
use crate::shape::{Glance, Point, Sketch, Style};
use crate::stamp::Terminal;

use super::rigid_frame;

const TO: usize = 0;

/// Resistance of the closed contact, ohms (from memory).
const CLOSED_OHMS: f64 = 0.03;

/// The card.
pub static CARD: Card = Card {
    kind: "slide-switch",
    name: "Slide switch",
    also: &["spdt", "toggle"],
    what: "Joins its middle leg to one outer leg or the other, never to both.",
    prefix: "S",
    group: Group::Switch,
    key: Some('s'),
    pins: &[
        Pin { name: "1", says: "outer leg 1" },
        Pin { name: "2", says: "middle leg" },
        Pin { name: "3", says: "outer leg 3" },
    ],
    footprint: Footprint::Rigid { offsets: &[(0, 0), (0, 1), (0, 2)], straddles: false },
    params: &[Param {
        key: "to",
        name: "Slid towards",
        range: Range::Choice {
            options: &[Choice { word: "1", name: "leg 1" }, Choice { word: "3", name: "leg 3" }],
            default: 0,
        },
        live: true,
    }],
    equation: on_paper("2–1 joined or 2–3 joined (30 mΩ)"),
    sources: on_paper(&["0.1 inch legs, 0.3 A: from memory"]),
    // From the middle leg to the first: what stands between the outer legs says nothing.
    across: Some((0, 1)),
    handed: &[(0, 2)],
    contacts: &[Contact::from(1, 0), Contact::from(1, 2)],
    limits: |_| Limits { amps: Some(0.3), ..Limits::default() },
    stamp: |part, stamp| {
        let to = if part.index(TO) == 0 { 0 } else { 2 };
        stamp.resistance(Terminal::Pin(1), Terminal::Pin(to), CLOSED_OHMS);
    },
    state: |part, _| State::plain(if part.index(TO) == 0 { "to leg 1" } else { "to leg 3" }),
    draw,
    ..Card::BLANK
};

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let to_first = part.index(TO) == 0;
    rigid_frame(part, glance, sketch, |body| {
        body.rect(-17.0, -26.0, 34.0, 92.0, 4.0, Style::fill("#c4c9cc").outlined("#767c80", 1.2));
        body.rect(-9.0, -6.0, 18.0, 52.0, 2.0, Style::fill("#22292e"));
        let y = if to_first { -4.0 } else { 18.0 };
        body.rect(-8.0, y, 16.0, 26.0, 2.0, Style::fill("#f0ece1").outlined("#55595c", 1.0));
        body.path(
            format!("M-5 {}h10M-5 {}h10M-5 {}h10", y + 7.0, y + 13.0, y + 19.0),
            Style::line("#8b8576", 1.4),
        );
        for y in [0.0, 20.0, 40.0] {
            body.lead_end(Point::new(-13.0, y));
        }
    });
}
