//! Signal source.

use crate::amount;
use crate::card::{Card, Choice, Footprint, Group, Param, Pin, Range, Source, State, Unit, near, on_paper};
use crate::law::Law;
use crate::memory::{Acts, BLANK, Memory, View};
use crate::part::Part;
use crate::shape::{Anchor, Glance, Point, Sketch, Style};
use crate::stamp::{Stamp, Terminal};

use super::battery::off_board_leads;

const SHAPE: usize = 0;
const HERTZ: usize = 1;
const AMPLITUDE: usize = 2;
const OFFSET: usize = 3;

const SINE: usize = 0;
const SQUARE: usize = 1;

/// Internal resistance, ohms: 50 is what such sources have.
const OHMS: f64 = 50.0;

/// The card.
pub static CARD: Card = Card {
    kind: "signal",
    name: "Signal source",
    also: &["generator", "oscillator", "sine"],
    what: "A voltage that goes up and down: sine, square or triangle, at the frequency you set.",
    prefix: "SG",
    group: Group::Power,
    pins: &[Pin { name: "+", says: "red lead (signal)" }, Pin { name: "-", says: "black lead (ground)" }],
    footprint: Footprint::OffBoard,
    params: &[
        Param {
            key: "shape",
            name: "Shape",
            range: Range::Choice {
                options: &[
                    Choice { word: "sine", name: "sine" },
                    Choice { word: "square", name: "square" },
                    Choice { word: "triangle", name: "triangle" },
                ],
                default: 0,
            },
            live: false,
        },
        Param {
            key: "hertz",
            name: "Frequency",
            range: Range::Number { unit: Unit::Hertz, min: 0.01, max: 1e6, default: 1.0, by_ratio: true },
            live: true,
        },
        Param {
            key: "amplitude_volts",
            name: "Amplitude",
            range: Range::Number { unit: Unit::Volt, min: 0.0, max: 10.0, default: 2.0, by_ratio: false },
            live: true,
        },
        Param {
            key: "offset_volts",
            name: "Offset",
            range: Range::Number { unit: Unit::Volt, min: -10.0, max: 10.0, default: 0.0, by_ratio: false },
            live: true,
        },
    ],
    equation: on_paper("v = offset + amplitude · shape(f · t), behind 50 Ω"),
    sources: on_paper(&["50 Ω, as laboratory sources have: common practice, no source"]),
    // Set by knobs, and yet what the circuit is fed with.
    does_for: |plan, build, param| near(plan, build, param, 0.05),
    source: Some(Source {
        plus: 0,
        minus: 1,
        open_volts: |part| part.number(OFFSET).abs() + part.number(AMPLITUDE),
        own_ohms: |_| OHMS,
        // Into a short it gives what its own 50 Ω allow, and stands that.
        safe_amps: |part| 1e-3 + (part.number(OFFSET).abs() + part.number(AMPLITUDE)) / OHMS,
        is_spent: |_| false,
        charge: None,
        swings: |part| part.number(AMPLITUDE) > part.number(OFFSET).abs(),
    }),
    acts: Some(Acts {
        start: |part| Memory { slow: [0.0, part.number(HERTZ)], ..BLANK },
        look: turn,
        ..Acts::NONE
    }),
    stamp,
    state: |_, _| State::plain("runs"),
    label: |part| amount::value(part.number(HERTZ), Unit::Hertz),
    draw,
    ..Card::BLANK
};

/// How early a corner may be told for rounded numbers, as a share of half a period.
const EARLY: f64 = 1e-6;

/// Begins another half of square and triangle, and goes on in the same phase when the frequency was
/// changed. `slow` is when a period began and how many hertz it has, `shown` is 1 in its first half.
/// A source put down later is in step with those that are there.
fn turn(part: &Part, memory: &mut Memory, view: View<'_>) {
    let hertz = part.number(HERTZ);
    let has_corners = part.index(SHAPE) != SINE;
    let [began, before] = memory.slow;
    let corner_is_due = has_corners && memory.due == f64::INFINITY;
    if hertz == before && !corner_is_due {
        return;
    }
    let turns = (view.time - began) * before;
    let halves = (2.0 * turns + EARLY).floor();
    let whole = (0.5 * halves).floor();
    if hertz != before || whole > 0.0 {
        memory.slow = [view.time - (turns - whole) / hertz, hertz];
    }
    if has_corners {
        memory.shown = u64::from(halves == 2.0 * whole);
        memory.due = view.time + (0.5 * (halves + 1.0) - turns) / hertz;
    }
}

fn stamp(part: &Part, stamp: &mut Stamp<'_>) {
    let (offset, amplitude) = (part.number(OFFSET), part.number(AMPLITUDE));
    let [began, hertz] = stamp.memory.slow;
    let first = stamp.memory.shows(0);
    let law = match part.index(SHAPE) {
        SINE => Law::Sine { offset, amplitude, hertz, since: began, ohms: OHMS },
        SQUARE => Law::Source { volts: offset + if first { amplitude } else { -amplitude }, ohms: OHMS },
        _ => {
            let (start, since) = if first { (-amplitude, began) } else { (amplitude, began + 0.5 / hertz) };
            Law::Ramp { volts: offset + start, rise: -4.0 * start * hertz, since, ohms: OHMS }
        }
    };
    stamp.element(Terminal::Pin(0), Terminal::Pin(1), law);
}

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let at = glance.rest;
    sketch.group(at, 0.0, |body| {
        body.rect(-10.0, 0.0, 110.0, 118.0, 7.0, Style::fill("#dfe5e0").outlined("#7f8b80", 1.2));
        body.rect(0.0, 10.0, 90.0, 46.0, 4.0, Style::fill("#1d2b33"));
        let d = match part.index(SHAPE) {
            SINE => "M8 33C18 4 32 4 45 33S72 62 82 33",
            SQUARE => "M8 46V20H45V46H82V20",
            _ => "M8 33L26 18L63 48L82 33",
        };
        body.path(d, Style::line("#9fe0d8", 2.2));
        let words = (part.card.label)(part);
        body.text(Point::new(45.0, 78.0), 14.0, Anchor::Middle, true, words, Style::fill("#1d2b33"));
        let volts = format!("± {}", amount::value(part.number(AMPLITUDE), Unit::Volt));
        body.text(Point::new(45.0, 100.0), 12.0, Anchor::Middle, false, volts, Style::fill("#1d2b33"));
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
