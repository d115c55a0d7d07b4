//! Jumper wire.

use crate::card::{Card, Choice, Footprint, Group, Limits, Param, Pin, Range, State, Unit, Wear, on_paper};
use crate::part::Part;
use crate::shape::{Glance, Point, Sketch, Style, n};
use crate::stamp::{Stamp, Terminal};

const COLOUR: usize = 0;
const LENGTH: usize = 1;

/// Resistance of 22 AWG copper at 20 °C, ohms a metre (52.94 Ω/km).
pub const OHMS_PER_METRE: f64 = 0.05294;

/// What a wire is longer than the straight distance between its holes, millimetres: two stripped
/// ends of 7 mm. Common practice, no source.
const ENDS_MM: f64 = 14.0;

/// Names of the insulation colours with the colour itself and a darker edge.
pub const COLOURS: [(Choice, &str, &str); 9] = [
    (Choice { word: "red", name: "red" }, "#c8281f", "#7e1a14"),
    (Choice { word: "black", name: "black" }, "#33373a", "#0d0f10"),
    (Choice { word: "blue", name: "blue" }, "#2f66b3", "#173a6b"),
    (Choice { word: "green", name: "green" }, "#2f8f4a", "#17512a"),
    (Choice { word: "yellow", name: "yellow" }, "#e5b91d", "#8a6d0b"),
    (Choice { word: "orange", name: "orange" }, "#dd7722", "#8a440c"),
    (Choice { word: "white", name: "white" }, "#f1eee6", "#8b867a"),
    (Choice { word: "violet", name: "violet" }, "#7c52a8", "#452a63"),
    (Choice { word: "brown", name: "brown" }, "#7a4a21", "#43270f"),
];

const OPTIONS: [Choice; 9] = {
    let mut options = [COLOURS[0].0; 9];
    let mut i = 0;
    while i < 9 {
        options[i] = COLOURS[i].0;
        i += 1;
    }
    options
};

/// The card.
pub static CARD: Card = Card {
    kind: "wire",
    name: "Jumper wire",
    also: &["cable", "jumper", "lead", "hook-up"],
    what: "A piece of solid wire with bare ends. It joins two holes that the board doesn’t join.",
    prefix: "W",
    group: Group::Join,
    key: Some('w'),
    pins: &[Pin { name: "1", says: "first end" }, Pin { name: "2", says: "second end" }],
    footprint: Footprint::Loose { reach: 120 },
    params: &[
        Param {
            key: "colour",
            name: "Colour",
            range: Range::Choice { options: &OPTIONS, default: 0 },
            live: false,
        },
        Param {
            key: "length_mm",
            name: "Length (0: cut to fit)",
            range: Range::Number {
                unit: Unit::Millimetre,
                min: 0.0,
                max: 500.0,
                default: 0.0,
                by_ratio: false,
            },
            live: false,
        },
    ],
    equation: on_paper("v = i · (length · 52.94 mΩ/m), plus the contacts at both ends"),
    sources: on_paper(&[
        "22 AWG solid copper, 0.6452 mm, 52.94 Ω/km at 20 °C: wire table",
        "Of 22 AWG: 8 A for ever and melting insulation at 14 A, common practice, no source",
        "At most about 1 A through a board's contacts: from memory, a design choice",
    ]),
    metal: &[(0, 1)],
    limits: |_| Limits { amps: Some(1.0), ..Limits::default() },
    wear: Some(Wear {
        strain: |_, reading| {
            let share = reading.pins[0].amps / 8.0;
            share * share
        },
        seconds: 20.0,
        burns_at: 3.0,
        says: "it glowed, and its insulation has melted",
    }),
    stamp,
    state: |_, _| State::plain("joined"),
    label: |part| part.choice_name(COLOUR).to_owned(),
    draw,
    ..Card::BLANK
};

/// The length in millimetres: as given, or cut to fit a span.
fn length_mm(part: &Part, span_mm: f64) -> f64 {
    let given = part.number(LENGTH);
    let least = span_mm + ENDS_MM;
    if given > least { given } else { least }
}

fn stamp(part: &Part, stamp: &mut Stamp<'_>) {
    let ohms = length_mm(part, stamp.span_mm) / 1000.0 * OHMS_PER_METRE;
    stamp.resistance(Terminal::Pin(0), Terminal::Pin(1), ohms);
}

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let (_, colour, edge) = COLOURS[part.index(COLOUR)];
    let (from, to) = (glance.leg(0), glance.leg(1));
    arc(sketch, from, to, colour, edge);
}

/// An insulated wire that bows a little to one side, so that wires along a row don't hide the holes
/// under them, with bare ends.
pub(super) fn arc(sketch: &mut Sketch, from: Point, to: Point, colour: &'static str, edge: &'static str) {
    let span = from.distance(to).max(1.0);
    let bow = (span * 0.12).min(26.0);
    let middle = from.towards(to, 0.5);
    let bend = Point::new(
        middle.x + (to.y - from.y).abs() / span * bow * if from.x > 300.0 { 1.0 } else { -1.0 },
        middle.y + (to.x - from.x).abs() / span * bow,
    );
    let d = format!("M{} {}Q{} {} {} {}", n(from.x), n(from.y), n(bend.x), n(bend.y), n(to.x), n(to.y));
    sketch.path(d.clone(), Style::line(edge, 6.6));
    sketch.path(d.clone(), Style::line(colour, 4.8));
    sketch.path(d, Style::line("#ffffff", 1.1).faint(0.28));
    sketch.lead_end(from);
    sketch.lead_end(to);
}
