//! Potentiometer: a trimmer with three pins in line.

use crate::amount;
use crate::card::{Card, Footprint, Group, Limits, Param, Pin, Range, State, Unit, Wear, on_paper};
use crate::part::Part;
use crate::shape::{Glance, Point, Sketch, Style};
use crate::stamp::{Stamp, Terminal};

use super::dip::cracked;
use super::rigid_frame;

const OHMS: usize = 0;
const POSITION: usize = 1;

/// What is left between wiper and track end at the stop, ohms. From memory; keeps the track's two
/// parts above zero.
const END_OHMS: f64 = 1.0;

/// The card.
pub static CARD: Card = Card {
    kind: "potentiometer",
    name: "Potentiometer",
    also: &["pot", "trimmer", "trimpot", "dial", "variable resistor", "dimmer"],
    what: "A resistor with a sliding contact: pins 1 and 3 are the ends of the track, pin 2 in the middle is the slider that the knob moves.",
    prefix: "RV",
    group: Group::Resist,
    key: Some('p'),
    pins: &[
        Pin { name: "1", says: "first end pin" },
        Pin { name: "2", says: "middle pin (slider)" },
        Pin { name: "3", says: "last end pin" },
    ],
    footprint: Footprint::Rigid { offsets: &[(0, 0), (0, 1), (0, 2)], straddles: false },
    params: &[
        Param {
            key: "ohms",
            name: "Resistance",
            range: Range::Number { unit: Unit::Ohm, min: 10.0, max: 1e7, default: 10_000.0, by_ratio: true },
            live: false,
        },
        Param {
            key: "position",
            name: "Knob",
            range: Range::Number { unit: Unit::Share, min: 0.0, max: 1.0, default: 0.5, by_ratio: false },
            live: true,
        },
    ],
    equation: on_paper("pin 1 to 2: position · R; pin 2 to 3: (1 − position) · R"),
    sources: on_paper(&["Linear track, 1 Ω left at each stop, 0.5 W: from memory"]),
    limits: |part| {
        // Half a watt over the whole track; a part of the track bears its share, which is a limit
        // on the current.
        let amps = (0.5 / part.number(OHMS)).sqrt();
        Limits { amps: Some(amps), watts: Some(0.5), ..Limits::default() }
    },
    handed: &[(0, 2)],
    // With the slider at the end.
    least_ohms: Some(|_| 0.0),
    wear: Some(Wear {
        strain: |part, reading| {
            let amps = reading.largest_amps();
            amps * amps * part.number(OHMS) / 0.5
        },
        seconds: 4.0,
        burns_at: 4.0,
        says: "its track has burnt through",
    }),
    stamp,
    state: |_, reading| State::plain(if reading.watts > 0.5 { "too hot" } else { "cool" }),
    label: |part| amount::value(part.number(OHMS), Unit::Ohm),
    draw,
    ..Card::BLANK
};

/// How far a track is off, as a share: common practice, no source.
const TOLERANCE: f64 = 0.2;

fn stamp(part: &Part, stamp: &mut Stamp<'_>) {
    let (ohms, position) = (part.drawn(OHMS, TOLERANCE), part.number(POSITION));
    stamp.resistance(Terminal::Pin(0), Terminal::Inner(0), END_OHMS + ohms * position);
    stamp.resistance(Terminal::Inner(0), Terminal::Pin(2), END_OHMS + ohms * (1.0 - position));
    stamp.resistance(Terminal::Inner(0), Terminal::Pin(1), END_OHMS);
}

/// A large one with a knob, as it sits in a panel: the same with its pins farther apart.
pub static KNOB: Card = Card {
    kind: "knob",
    name: "Knob",
    also: &["pot", "dial", "variable resistor", "dimmer"],
    what: "A potentiometer with a knob to turn: pins 1 and 3 are the ends of the track, pin 2 in the middle is the slider.",
    key: None,
    footprint: Footprint::Rigid { offsets: &[(0, 0), (0, 2), (0, 4)], straddles: false },
    draw: draw_knob,
    ..CARD
};

fn draw_knob(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let position = part.number(POSITION) as f32;
    rigid_frame(part, glance, sketch, |body| {
        body.rect(-76.0, 0.0, 68.0, 80.0, 8.0, Style::fill("#3c4248").outlined("#15191c", 1.2));
        for y in [0.0, 40.0, 80.0] {
            body.lead(Point::new(-10.0, 40.0 + 0.7 * (y - 40.0)), Point::new(0.0, y));
            body.lead_end(Point::new(0.0, y));
        }
        body.circle(-42.0, 40.0, 31.0, Style::fill("#1d2b33").outlined("#0d0f10", 1.2));
        body.circle(-42.0, 40.0, 24.0, Style::fill("#2e414c"));
        let (y, x) = crate::math::sin_cos_turns(f64::from(-225.0 + 270.0 * position) / 360.0);
        let (x, y) = (x as f32, y as f32);
        let n = crate::shape::n;
        let d = format!(
            "M{} {}L{} {}",
            n(-42.0 + 8.0 * x),
            n(40.0 + 8.0 * y),
            n(-42.0 + 28.0 * x),
            n(40.0 + 28.0 * y)
        );
        body.path(d, Style::line("#f4efe2", 4.0));
        if glance.burnt {
            cracked(body, -42.0, 40.0);
        }
    });
}

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let position = part.number(POSITION) as f32;
    rigid_frame(part, glance, sketch, |body| {
        body.rect(-30.0, -17.0, 48.0, 74.0, 5.0, Style::fill("#2f5f9e").outlined("#173a6b", 1.2));
        body.circle(-6.0, 20.0, 19.0, Style::fill("#e9e4d6").outlined("#8b8576", 1.2));
        // A sweep of 270 degrees, pointing up at half.
        let (y, x) = crate::math::sin_cos_turns(f64::from(-225.0 + 270.0 * position) / 360.0);
        let (x, y) = (x as f32, y as f32);
        let d = format!(
            "M{} {}L{} {}",
            crate::shape::n(-6.0 - 13.0 * x),
            crate::shape::n(20.0 - 13.0 * y),
            crate::shape::n(-6.0 + 16.0 * x),
            crate::shape::n(20.0 + 16.0 * y)
        );
        body.path(d, Style::line("#1d2b33", 4.0));
        if glance.burnt {
            cracked(body, -6.0, 20.0);
        }
        for y in [0.0, 20.0, 40.0] {
            body.lead_end(Point::new(0.0, y));
        }
    });
}
