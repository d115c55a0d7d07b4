//! Fast glass fuse.

use crate::card::{Card, Choice, Footprint, Group, Limits, Param, Pin, Range, State, Wear, on_paper};
use crate::shape::Style;
use crate::stamp::Terminal;

const RATED: usize = 0;

/// Rated current and resistance, amperes and ohms.
const TYPES: [(f64, f64); 3] = [(0.5, 0.2065), (0.2, 1.5), (1.0, 0.12)];

/// The card.
pub static CARD: Card = Card {
    kind: "fuse",
    name: "Fuse",
    what: "A thin wire that melts before anything else does. A blown fuse must be replaced.",
    prefix: "F",
    group: Group::Resist,
    pins: &[Pin { name: "1", says: "first end" }, Pin { name: "2", says: "second end" }],
    footprint: Footprint::Loose { reach: 20 },
    params: &[Param {
        key: "amps",
        name: "Rated current",
        range: Range::Choice {
            options: &[
                Choice { word: "0.5", name: "500 mA" },
                Choice { word: "0.2", name: "200 mA" },
                Choice { word: "1", name: "1 A" },
            ],
            default: 0,
        },
        live: false,
    }],
    equation: on_paper("v = i · R until it melts: its heat follows (i / rated)² within half a second"),
    sources: on_paper(&[
        "Fast, IEC 60127-2 sheet 2, as Littelfuse 617: 150 % for an hour, 210 % at most 30 min, 275 % 0.05 to 2 s, 400 % 0.01 to 0.3 s, 1000 % at most 0.02 s",
        "0.2065 Ω at 0.5 A: the same; at 0.2 and 1 A from memory",
    ]),
    alike: &[&[0, 1]],
    limits: |part| Limits { amps: Some(TYPES[part.index(RATED)].0), ..Limits::default() },
    wear: Some(Wear {
        strain: |part, reading| {
            let share = reading.pins[0].amps / TYPES[part.index(RATED)].0;
            share * share
        },
        // One lag that lies within all five bands of the table.
        seconds: 0.5,
        burns_at: 3.0,
        says: "its wire has melted, as it should",
    }),
    stamp: |part, stamp| {
        stamp.resistance(Terminal::Pin(0), Terminal::Pin(1), TYPES[part.index(RATED)].1);
    },
    state: |_, _| State::plain("whole"),
    label: |part| part.choice_name(RATED).to_owned(),
    draw: |_, glance, sketch| {
        sketch.axial(glance.leg(0), glance.leg(1), 40.0, |body| {
            body.rect(
                -40.0,
                -9.0,
                80.0,
                18.0,
                4.0,
                Style::fill("#dfe9ec").faint(0.75).outlined("#8b9a9e", 1.0),
            );
            for x in [-40.0, 26.0] {
                body.rect(x, -10.0, 14.0, 20.0, 2.0, Style::fill("#c9ccd0").outlined("#6b6e70", 0.8));
            }
            let d = if glance.burnt { "M-26 0Q-16 3 -9 1M11 -2Q18 -3 26 0" } else { "M-26 0Q0 4 26 0" };
            body.path(d, Style::line("#7d8082", 1.4));
            if glance.burnt {
                body.circle(1.0, 0.0, 9.0, Style::fill("#3a2a22").faint(0.45));
            }
        });
    },
    ..Card::BLANK
};
