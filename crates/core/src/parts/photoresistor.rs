//! Photoresistor (LDR).

use crate::amount;
use crate::card::{Card, Footprint, Group, Limits, Param, Pin, Range, State, Unit, Wear, on_paper};
use crate::math;
use crate::memory::{Acts, BLANK, Memory, lag};
use crate::part::Part;
use crate::shape::{Glance, Sketch, Style};
use crate::stamp::Terminal;

use super::dip::cracked;

const LUX: usize = 0;

/// Resistance at 10 lx, ohms: the geometric middle of 10 to 20 kΩ.
const OHMS_AT_10_LUX: f64 = 14_000.0;
/// Slope of the law, decades of resistance a decade of light.
const GAMMA: f64 = 0.7;
/// Resistance in the dark, ohms.
const DARK_OHMS: f64 = 1e6;

/// The card.
pub static CARD: Card = Card {
    kind: "photoresistor",
    name: "Light sensor",
    also: &["ldr", "photocell", "photoresistor"],
    what: "A resistor that changes with light: about a megohm in the dark, a few kilohms under a lamp. Either way round works.",
    prefix: "LDR",
    group: Group::Sense,
    pins: &[Pin { name: "1", says: "first leg" }, Pin { name: "2", says: "second leg" }],
    footprint: Footprint::Loose { reach: 12 },
    params: &[Param {
        key: "lux",
        name: "Light on it",
        range: Range::Number { unit: Unit::Lux, min: 0.01, max: 100_000.0, default: 100.0, by_ratio: true },
        live: true,
    }],
    equation: on_paper("R = 14 kΩ · (10 lx / E)^0.7, never above 1 MΩ"),
    sources: on_paper(&[
        "GL5528: 10 to 20 kΩ at 10 lx, 1 MΩ dark, maker's table; γ = log10(R10 / R100), Token photocell note",
        "γ = 0.7, 90 mW: from memory",
    ]),
    alike: &[&[0, 1]],
    limits: |_| Limits { watts: Some(0.09), ..Limits::default() },
    acts: Some(Acts { start, drift: Some(drift), ..Acts::NONE }),
    wear: Some(Wear {
        strain: |_, reading| reading.watts / 0.09,
        seconds: 4.0,
        burns_at: 6.0,
        says: "its face has turned brown",
    }),
    stamp: |part, stamp| {
        // 10 to 20 kΩ at 10 lx.
        let ohms = stamp.memory.slow[0] * (1.0 + 0.33 * part.off(0));
        stamp.resistance(Terminal::Pin(0), Terminal::Pin(1), ohms);
    },
    // In bright daylight indoors.
    least_ohms: Some(|_| ohms_at(1000.0)),
    state: |_, reading| State::plain(if reading.watts > 0.09 { "too hot" } else { "cool" }),
    label: |part| amount::value(part.number(LUX), Unit::Lux),
    draw,
    ..Card::BLANK
};

/// How fast it follows the light, seconds: 20 ms up and 30 ms down, a GL5528's table; the middle.
const LAG: f64 = 0.025;

/// Settled in the light that is set: the resistance.
fn start(part: &Part) -> Memory {
    Memory { slow: [ohms(part), 0.0], ..BLANK }
}

fn drift(part: &Part, memory: &mut Memory, seconds: f64) -> f64 {
    let ohms = ohms(part);
    lag(&mut memory.slow[0], ohms, seconds, LAG, 1e-3 * ohms)
}

/// Resistance at the light that falls on it, ohms.
pub fn ohms(part: &Part) -> f64 {
    ohms_at(part.number(LUX))
}

fn ohms_at(lux: f64) -> f64 {
    let lit = OHMS_AT_10_LUX * math::pow(10.0 / lux, GAMMA);
    lit.min(DARK_OHMS)
}

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    // 5 mm disc; the shade over it follows the light, so that the picture says what the slider does.
    let light = (math::log10(part.number(LUX)).clamp(-1.0, 4.0) + 1.0) as f32 / 5.0;
    sketch.axial(glance.leg(0), glance.leg(1), 19.0, |body| {
        body.path(
            "M-12 -16H12A20 20 0 0 1 12 16H-12A20 20 0 0 1 -12 -16Z",
            Style::fill("#e9d9c2").outlined("#8b7a5c", 1.2),
        );
        body.path(
            "M-12 -9H10Q14 -9 14 -6T10 -3H-9Q-13 -3 -13 0T-9 3H10Q14 3 14 6T10 9H-12",
            Style::line("#b04a24", 2.4),
        );
        body.path(
            "M-12 -16H12A20 20 0 0 1 12 16H-12A20 20 0 0 1 -12 -16Z",
            Style::fill("#0c1216").faint(0.62 * (1.0 - light)),
        );
        if glance.burnt {
            cracked(body, 0.0, 0.0);
        }
    });
}
