//! Inductor.

use crate::amount;
use crate::card::{Card, Footprint, Group, Param, Pin, Range, State, Sums, Unit, on_paper};
use crate::law::Law;
use crate::shape::Style;
use crate::stamp::{Stamp, Terminal};

const HENRIES: usize = 0;
const OHMS: usize = 1;

/// Capacitance between the turns of a winding, farads (from memory: tens of picofarads), and the
/// resistance that it is charged through.
const TURNS_FARADS: f64 = 5e-11;
const TURNS_OHMS: f64 = 50.0;

/// The card.
pub static CARD: Card = Card {
    kind: "inductor",
    name: "Inductor",
    also: &["coil", "choke"],
    what: "A coil: its current can’t jump. Cut the current off and the coil kicks back with a high voltage.",
    prefix: "L",
    group: Group::Store,
    pins: &[Pin { name: "1", says: "first leg" }, Pin { name: "2", says: "second leg" }],
    footprint: Footprint::Loose { reach: 12 },
    params: &[
        Param {
            key: "henries",
            name: "Inductance",
            range: Range::Number { unit: Unit::Henry, min: 1e-7, max: 10.0, default: 0.01, by_ratio: true },
            live: false,
        },
        Param {
            key: "ohms",
            name: "Winding",
            range: Range::Number { unit: Unit::Ohm, min: 0.01, max: 1e4, default: 10.0, by_ratio: true },
            live: false,
        },
    ],
    equation: on_paper("v = L · di/dt + R · i"),
    sources: on_paper(&[
        "50 pF between turns, damped as losses in the core do: from memory; ± 10 %: common practice, no source",
    ]),
    alike: &[&[0, 1]],
    sums: Some(Sums { param: HENRIES as u8, in_series: true }),
    kicks: Some((0, 1)),
    stamp: |part, stamp| {
        let law = Law::Inductance { henries: part.drawn(HENRIES, 0.1), ohms: part.drawn(OHMS, 0.1) };
        stamp.element(Terminal::Pin(0), Terminal::Pin(1), law);
        turns(stamp, Terminal::Pin(0), Terminal::Pin(1), part.number(HENRIES));
    },
    state: |_, reading| State::plain(if reading.pins[0].amps.abs() > 1e-6 { "carries" } else { "idle" }),
    label: |part| amount::value(part.number(HENRIES), Unit::Henry),
    draw: |_, glance, sketch| {
        sketch.axial(glance.leg(0), glance.leg(1), 24.0, |body| {
            body.rect(-24.0, -9.0, 48.0, 18.0, 8.0, Style::fill("#3c4a3f").outlined("#1c241e", 1.1));
            for turn in 0..9 {
                let x = -17.0 + 4.2 * turn as f32;
                body.path(format!("M{} -8.6q3 8.6 0 17.2", crate::shape::n(x)), Style::line("#c47a3a", 2.6));
            }
        });
    },
    ..Card::BLANK
};

/// What a winding has beside its inductance: the turns' capacitance and losses, so that a current cut
/// off dies in a damped swing.
pub(super) fn turns(stamp: &mut Stamp<'_>, from: Terminal, to: Terminal, henries: f64) {
    stamp.element(from, to, Law::Capacitance { farads: TURNS_FARADS, ohms: TURNS_OHMS });
    stamp.resistance(from, to, (henries / TURNS_FARADS).sqrt().max(1000.0));
}
