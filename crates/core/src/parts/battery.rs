//! Battery packs of one to six cells.

use crate::card::{
    Card, Charge, Choice, Footprint, Group, Param, Pin, Range, Source, State, Unit, Value, Wear, on_paper,
};
use crate::law::Law;
use crate::memory::Memory;
use crate::part::Part;
use crate::readings::PartReading;
use crate::shape::{Anchor, Glance, Paint, Point, Sketch, Style, Tint};
use crate::stamp::{Stamp, Terminal};

use super::cells::TYPES;

const CELL: usize = 0;
const CELLS: usize = 1;
const CHARGE: usize = 2;

/// The place of the 9 V block among the types.
const BLOCK: usize = 3;

/// The card.
pub static CARD: Card = Card {
    kind: "battery",
    name: "Battery pack",
    also: &["battery", "cell", "cells", "9v", "aa", "aaa", "coin cell", "power"],
    what: "Pushes current around the circuit: out of + (red lead), back into − (black lead). Its voltage sags under load and as it empties.",
    prefix: "BT",
    group: Group::Power,
    key: Some('b'),
    pins: &[Pin { name: "+", says: "red lead (+)" }, Pin { name: "-", says: "black lead (−)" }],
    footprint: Footprint::OffBoard,
    params: &[
        Param {
            key: "cell",
            name: "Cells of type",
            range: Range::Choice {
                options: &[
                    Choice { word: "aa-alkaline", name: "AA alkaline" },
                    Choice { word: "aa-nimh", name: "AA NiMH" },
                    Choice { word: "aaa-alkaline", name: "AAA alkaline" },
                    Choice { word: "9v-block", name: "9 V block" },
                    Choice { word: "cr2032", name: "CR2032 coin" },
                ],
                default: 0,
            },
            live: false,
        },
        Param {
            key: "cells",
            name: "Cells in series",
            range: Range::Whole { min: 1, max: 6, default: 4 },
            live: false,
        },
        Param {
            key: "charge",
            name: "Charge left",
            range: Range::Number { unit: Unit::Share, min: 0.0, max: 1.0, default: 0.7, by_ratio: false },
            live: true,
        },
    ],
    // A block and a coin are used one by one; four of them in series are rarely meant.
    follows: |part, param| (param == CELL && part.index(CELL) >= BLOCK).then_some((CELLS, Value::Whole(1))),
    equation: on_paper(
        "v = n · (E − i·r); E falls with the charge along the cell’s curve, r rises in a straight line",
    ),
    sources: on_paper(&[
        "Alkaline, full: 1.58 V open circuit, cell makers' tables; 0.214 Ω by the dual-pulse method, Energizer bulletin (2005)",
        "Alkaline, flat: 0.9 V and some ohms a cell, from memory",
        "9 V block: 1.7 Ω, Duracell MN1604; NiMH: 1.4 V charged, 1.0 V discharged, Panasonic handbook (2005)",
        "CR2032: 3 V nominal, 2.0 V cut-off, 15 mA pulse, 10 to 40 Ω, published tables",
        "Voltage by charge: the shape of makers’ discharge curves at small currents, from memory; at 0.7 the straight line from full to flat",
        "Charge by current, AA and AAA: 2.8 Ah and 1.2 Ah at 25 mA, 2.5 and 1.0 at 100 mA, 1.5 and 0.5 at 500 mA, alkaline makers’ sheets, from memory",
        "9 V block: 0.6 Ah at 25 mA, 0.3 at 300 mA; NiMH: 2.0 Ah at 0.4 A, from memory; CR2032: 225 mAh at 0.2 mA, published tables, 0.1 Ah at 10 mA, from memory",
        "Highest lasting currents, heat that makes a cell vent: common practice, no source",
    ]),
    source: Some(Source {
        plus: 0,
        minus: 1,
        open_volts,
        own_ohms,
        safe_amps: |part| TYPES[part.index(CELL)].safe_amps,
        swings: |_| false,
        is_spent: |part| part.number(CHARGE) < 0.1,
        charge: Some(Charge {
            left,
            share_a_second: |part, amps| TYPES[part.index(CELL)].share_a_second(amps),
        }),
    }),
    wear: Some(Wear {
        strain,
        seconds: 60.0,
        burns_at: 3.0,
        says: "a cell has vented: it is hot and leaks; switch off, keep your hands and eyes away and fetch the teacher",
    }),
    stamp,
    state: |_, reading| {
        State::plain(if reading.pins[1].amps > 1e-6 {
            "giving"
        } else if reading.pins[1].amps < -1e-6 {
            "being charged"
        } else {
            "idle"
        })
    },
    label: |part| format!("{} × {}", part.index(CELLS), TYPES[part.index(CELL)].name),
    draw,
    ..Card::BLANK
};

fn open_volts(part: &Part) -> f64 {
    part.index(CELLS) as f64 * TYPES[part.index(CELL)].open_volts(part.number(CHARGE))
}

fn own_ohms(part: &Part) -> f64 {
    part.index(CELLS) as f64 * TYPES[part.index(CELL)].ohms(part.number(CHARGE))
}

/// What is left of its charge: what it was put down with less what it has given since.
fn left(part: &Part, memory: &Memory) -> f64 {
    part.number(CHARGE) - memory.slow[0]
}

fn stamp(part: &Part, stamp: &mut Stamp<'_>) {
    let (cell, cells) = (&TYPES[part.index(CELL)], part.index(CELLS) as f64);
    let charge = left(part, &stamp.memory);
    let law = Law::Source { volts: cells * cell.open_volts(charge), ohms: cells * cell.ohms(charge) };
    stamp.element(Terminal::Pin(0), Terminal::Pin(1), law);
}

/// Heat in each cell, as a share of what it stands for ever.
fn strain(part: &Part, reading: &PartReading) -> f64 {
    let cell = &TYPES[part.index(CELL)];
    let amps = reading.pins[1].amps;
    amps * amps * cell.ohms(left(part, &reading.memory)) / cell.lasting_watts
}

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let cell = &TYPES[part.index(CELL)];
    let cells = part.index(CELLS);
    let at = glance.rest;
    // A block is as wide as three cells; many of them share the room of the largest pack.
    let block = part.index(CELL) == BLOCK;
    let pitch = if block { (120.0 / cells as f32).min(60.0) } else { 20.0 };
    let width = 10.0 + pitch * cells as f32;
    // Not to scale: an AA cell is twenty pitches long; the pack is drawn at a third of its length.
    sketch.group(at, 0.0, |body| {
        body.rect(0.0, 0.0, width, 150.0, 8.0, Style::fill("#232d34").outlined("#0f1519", 1.2));
        for index in 0..cells {
            let x = 6.0 + pitch * index as f32;
            let wide = pitch - 3.0;
            let up = block || index % 2 == 0;
            let high = if block { 8.0 } else { 4.0 };
            body.rect(x, 14.0, wide, 122.0, 3.5, Style::fill(cell.case));
            let (tip, nub) = if up { (14.0, 14.0 - high) } else { (104.0, 136.0) };
            body.rect(x, tip, wide, 32.0, 3.5, Style::fill(cell.tip));
            body.rect(x + 3.0, 18.0, 3.0, 114.0, 1.5, Style::fill("#ffffff").faint(0.22));
            let sign_at = if up { 34.0 } else { 124.0 };
            let style = Style::fill("#1d2b33");
            // The snaps of a block: the narrow one is +, the wide one −.
            let (from, size) = if block { (0.15 * wide, 0.22 * wide) } else { (5.0, 7.0) };
            let poles = [("+", from, size), ("−", 0.53 * wide, 0.32 * wide)];
            for (sign, from, size) in poles.into_iter().take(1 + usize::from(block)) {
                let left = x + from;
                body.rect(left, nub, size, high, 1.0, Style::fill("#d6d8d9"));
                body.text(Point::new(left + 0.5 * size, sign_at), 12.0, Anchor::Middle, true, sign, style);
            }
        }
    });
    off_board_leads(
        glance,
        sketch,
        Point::new(at.x + width - 4.0, at.y + 26.0),
        Point::new(at.x + width - 4.0, at.y + 56.0),
    );
}

/// Red and black flexible leads from an off-board body to their holes.
pub(super) fn off_board_leads(glance: &Glance<'_>, sketch: &mut Sketch, plus: Point, minus: Point) {
    // The black one's edge is the theme's, so that it is seen on a dark ground too.
    let leads =
        [(0, plus, "#c8281f", Paint::Fixed("#7e1a14")), (1, minus, "#33373a", Paint::Tint(Tint::Soft))];
    for (pin, from, colour, edge) in leads {
        let to = match glance.legs[pin] {
            Some(to) => to,
            // In the air: a short end that hangs out of the body.
            None => Point::new(from.x + 34.0, from.y + 30.0),
        };
        let out = Point::new(from.x + 30.0, from.y - 10.0);
        let d = format!(
            "M{} {}C{} {} {} {} {} {}",
            crate::shape::n(from.x),
            crate::shape::n(from.y),
            crate::shape::n(out.x),
            crate::shape::n(out.y),
            crate::shape::n(to.x - 40.0),
            crate::shape::n(to.y + 6.0),
            crate::shape::n(to.x),
            crate::shape::n(to.y)
        );
        sketch.path(d.clone(), Style { stroke: edge, ..Style::line(colour, 6.2) });
        sketch.path(d.clone(), Style::line(colour, 4.4));
        sketch.path(d, Style::line("#ffffff", 1.0).faint(0.28));
        sketch.circle(from.x, from.y, 2.8, Style { fill: edge, ..Style::fill(colour) });
        sketch.lead_end(to);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::Shape;

    /// The signs and the bits of bare metal that are drawn of a battery.
    fn poles(word: &str, cells: u8) -> (String, usize) {
        let mut part = Part::new("BT1", &CARD);
        part.set("cells", Value::Whole(cells));
        let Range::Choice { options, .. } = CARD.params[CELL].range else { unreachable!() };
        let index = options.iter().position(|it| it.word == word).unwrap();
        part.set("cell", Value::Choice(index as u8));
        let mut sketch = Sketch::default();
        let glance = Glance {
            legs: &[None, None],
            rest: Point::new(0.0, 0.0),
            glow: 0.0,
            lights: [0.0; 8],
            spin: 0.0,
            hot: false,
            burnt: false,
            shown: 0,
        };
        draw(&part, &glance, &mut sketch);
        let Some(Shape::Group { shapes, .. }) = sketch.shapes.first() else { panic!("a group") };
        let metal = Paint::Fixed("#d6d8d9");
        let signs = shapes.iter().filter_map(|it| match it {
            Shape::Text { words, .. } => Some(words.as_str()),
            _ => None,
        });
        let bare = shapes.iter().filter(|it| matches!(it, Shape::Rect { style, .. } if style.fill == metal));
        (signs.collect(), bare.count())
    }

    #[test]
    fn a_block_has_two_snaps_and_a_cell_one_tip() {
        assert_eq!(poles("aa-alkaline", 4), ("++++".to_owned(), 4));
        assert_eq!(poles("9v-block", 1), ("+−".to_owned(), 2));
        assert_eq!(poles("9v-block", 2), ("+−+−".to_owned(), 4));
    }
}
