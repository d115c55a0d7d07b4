//! NTC thermistor, 10 kΩ at 25 °C.

use crate::amount;
use crate::card::{Card, Footprint, Group, Limits, Param, Pin, Range, State, Unit, Wear, on_paper};
use crate::math;
use crate::memory::{Acts, BLANK, Memory, lag};
use crate::part::Part;
use crate::shape::{Glance, Sketch, Style};
use crate::stamp::Terminal;

use super::dip::cracked;

const CELSIUS: usize = 0;

// Steinhart and Hart's coefficients, 1/K.
const A: f64 = 1.129_24e-3;
const B: f64 = 2.341_08e-4;
const C: f64 = 0.877_55e-7;

/// The card.
pub static CARD: Card = Card {
    kind: "thermistor",
    name: "Heat sensor",
    also: &["thermistor", "ntc", "temperature"],
    what: "A resistor with fewer ohms the warmer it gets: 10 kΩ at 25 °C, three times as much at 0 °C. Either way round works.",
    prefix: "TH",
    group: Group::Sense,
    pins: &[Pin { name: "1", says: "first leg" }, Pin { name: "2", says: "second leg" }],
    footprint: Footprint::Loose { reach: 12 },
    params: &[Param {
        key: "celsius",
        name: "Temperature",
        range: Range::Number { unit: Unit::Celsius, min: -40.0, max: 125.0, default: 20.0, by_ratio: false },
        live: true,
    }],
    equation: on_paper("1/T = A + B·ln R + C·(ln R)³"),
    sources: on_paper(&[
        "15 s behind the air: Vishay NTCLE100E3",
        "A 1.12924e-3, B 2.34108e-4, C 0.87755e-7: Steinhart-Hart coefficients of a 10 kΩ, 10K3 curve thermistor",
        "50 mW: from memory (a small bead; others stand 500 mW)",
    ]),
    alike: &[&[0, 1]],
    limits: |_| Limits { watts: Some(0.05), ..Limits::default() },
    acts: Some(Acts { start, drift: Some(drift), ..Acts::NONE }),
    wear: Some(Wear {
        strain: |_, reading| reading.watts / 0.05,
        seconds: 3.0,
        burns_at: 20.0,
        says: "its bead has cracked",
    }),
    stamp: |part, stamp| {
        // ± 5 %: common practice, no source.
        let ohms = ohms(stamp.memory.slow[0]) * (1.0 + 0.05 * part.off(0));
        stamp.resistance(Terminal::Pin(0), Terminal::Pin(1), ohms);
    },
    // In a warm hand.
    least_ohms: Some(|_| ohms(35.0)),
    state: |_, reading| State::plain(if reading.watts > 0.05 { "too hot" } else { "cool" }),
    label: |part| amount::value(part.number(CELSIUS), Unit::Celsius),
    draw,
    ..Card::BLANK
};

/// How fast the bead follows the air, seconds (Vishay NTCLE100E3: 15 s).
const LAG: f64 = 15.0;

/// Settled at the temperature that is set.
fn start(part: &Part) -> Memory {
    Memory { slow: [part.number(CELSIUS), 0.0], ..BLANK }
}

fn drift(part: &Part, memory: &mut Memory, seconds: f64) -> f64 {
    lag(&mut memory.slow[0], part.number(CELSIUS), seconds, LAG, 0.01)
}

/// Resistance at a temperature, ohms: the cubic in ln R has one real root, in closed form.
pub fn ohms(celsius: f64) -> f64 {
    let t = 1.0 / (celsius + 273.15);
    let half = (A - t) / (2.0 * C);
    let third = B / (3.0 * C);
    let root = (third * third * third + half * half).sqrt();
    math::exp(math::cbrt(root - half) - math::cbrt(root + half))
}

fn draw(_: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    sketch.axial(glance.leg(0), glance.leg(1), 13.0, |body| {
        body.path(
            "M-13 0Q-13 -13 0 -13T13 0Q13 13 0 13T-13 0Z",
            Style::fill(if glance.hot { "#7c2d1a" } else { "#2c3640" }).outlined("#11171c", 1.2),
        );
        body.path("M-7 -6Q-3 -9.5 3 -9", Style::line("#ffffff", 2.0).faint(0.4));
        if glance.burnt {
            cracked(body, 0.0, 0.0);
        }
    });
}
