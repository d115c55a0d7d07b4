//! Linear 5 V regulators.

use crate::card::{Card, Choice, Duty, Footprint, Group, Limits, Param, Pin, Range, State, Wear, on_paper};
use crate::law::{Drive, Law};
use crate::part::Part;
use crate::shape::{Anchor, Glance, Point, Sketch, Style};
use crate::stamp::{Stamp, Terminal};

use super::dip::cracked;
use super::rigid_frame;

const TYPE: usize = 0;
const IN: usize = 0;
const GROUND: usize = 1;
const OUT: usize = 2;

struct Type {
    drop_volts: f64,
    drop_ohms: f64,
    limit_amps: f64,
    rest_amps: f64,
    watts: f64,
}

const TYPES: [Type; 3] = [
    Type { drop_volts: 1.3, drop_ohms: 0.7, limit_amps: 2.2, rest_amps: 0.005, watts: 1.5 },
    Type { drop_volts: 1.5, drop_ohms: 5.0, limit_amps: 0.14, rest_amps: 0.003, watts: 0.6 },
    Type { drop_volts: 0.1, drop_ohms: 0.32, limit_amps: 1.9, rest_amps: 0.01, watts: 1.5 },
];

/// The card.
pub static CARD: Card = Card {
    kind: "regulator",
    name: "5 V regulator",
    also: &["7805"],
    what: "Makes a steady 5 V from a higher voltage and turns the rest into heat.",
    prefix: "U",
    group: Group::Chip,
    pins: &[
        Pin { name: "IN", says: "first pin (IN)" },
        Pin { name: "GND", says: "middle pin (GND)" },
        Pin { name: "OUT", says: "last pin (OUT)" },
    ],
    footprint: Footprint::Rigid { offsets: &[(0, 0), (0, 1), (0, 2)], straddles: false },
    params: &[Param {
        key: "type",
        name: "Type",
        range: Range::Choice {
            options: &[
                Choice { word: "7805", name: "7805" },
                Choice { word: "78l05", name: "78L05" },
                Choice { word: "low-drop", name: "low drop" },
            ],
            default: 0,
        },
        live: false,
    }],
    duties: &[Duty::Power, Duty::Ground, Duty::Feed],
    supply_volts: Some((6.0, 35.0)),
    equation: on_paper("v(out) = 5 V while v(in) is high enough"),
    sources: on_paper(&[
        "7805: 4.80 to 5.20 V, dropout 2 V at 1 A, 5 mA, 2.2 A peak: LM78XX rev 1.3.1",
        "78L05: dropout 1.7 V, low drop: 0.5 V at 1 A (LM2940), heat without a heat sink: from memory",
    ]),
    limits: |part| {
        let it = &TYPES[part.index(TYPE)];
        Limits { amps: Some(it.limit_amps), watts: Some(it.watts), ..Limits::default() }
    },
    wear: Some(Wear {
        // It protects itself by cutting down when hot: only a reversed supply or far too much kills it.
        strain: |_, reading| {
            let volts = reading.pins[IN].volts - reading.pins[GROUND].volts;
            if !(-1.5..=37.0).contains(&volts) { 20.0 } else { 0.0 }
        },
        seconds: 1.0,
        burns_at: 3.0,
        says: "it smells burnt and its output is dead",
    }),
    stamp,
    state: |_, reading| {
        let volts = reading.pins[OUT].volts - reading.pins[GROUND].volts;
        State::plain(if volts > 4.8 { "steady" } else { "input too low" })
    },
    label: |part| part.choice_name(TYPE).to_owned(),
    draw,
    ..Card::BLANK
};

fn stamp(part: &Part, stamp: &mut Stamp<'_>) {
    let it = &TYPES[part.index(TYPE)];
    let pin = Terminal::Pin;
    let pass = Drive {
        // 4.80 to 5.20 V.
        offset_volts: 5.0 * (1.0 + 0.04 * part.off(0)),
        ohms: 0.02,
        drop_volts: it.drop_volts,
        drop_ohms: it.drop_ohms,
        limit_amps: it.limit_amps,
        sinks: false,
        reach_volts: 0.0,
    };
    stamp.steered(pin(IN), pin(OUT), [pin(GROUND); 2], Law::Drive(pass));
    let rest = Law::Gain { siemens: it.rest_amps, limit_amps: it.rest_amps };
    stamp.steered(pin(IN), pin(GROUND), [pin(IN), pin(GROUND)], rest);
    stamp.resistance(pin(OUT), pin(GROUND), 5000.0);
}

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let small = part.index(TYPE) == 1;
    rigid_frame(part, glance, sketch, |body| {
        if !small {
            // The tab at the back, with its hole.
            body.rect(8.0, -20.0, 7.0, 80.0, 1.5, Style::fill("#b9bdc0").outlined("#6b6e70", 0.8));
        }
        let fill = if glance.burnt { "#4a3a30" } else { "#2b2f33" };
        let (top, height) = if small { (-2.0, 44.0) } else { (-20.0, 80.0) };
        body.rect(-9.0, top, 18.0, height, 2.0, Style::fill(fill).outlined("#0d0f10", 1.0));
        for y in [0.0, 20.0, 40.0] {
            body.lead_end(Point::new(0.0, y));
        }
        let style = Style::fill("#e8e6df");
        let words = (part.card.label)(part);
        // As wide as the body allows.
        let size = (24.0 / words.chars().count() as f32).min(6.0);
        body.text(Point::new(0.0, 12.0), size, Anchor::Middle, true, words, style);
        if glance.burnt {
            cracked(body, 0.0, 20.0);
        }
    });
}
