//! Relay.

use crate::card::{Card, Contact, Footprint, Group, Limits, Pin, State, on_paper};
use crate::law::Law;
use crate::logic::level_guard;
use crate::memory::{Acts, Memory, View};
use crate::part::Part;
use crate::shape::{Anchor, Glance, Point, Sketch, Style};
use crate::stamp::{Stamp, Terminal};

use super::inductor::turns;
use super::rigid_frame;

const COIL_A: usize = 0;
const COM: usize = 1;
const NORMALLY_OPEN: usize = 2;
const NORMALLY_CLOSED: usize = 3;
const COIL_B: usize = 4;

const COIL_OHMS: f64 = 125.0;
const COIL_HENRIES: f64 = 0.1;
/// It pulls in at 3.6 V and lets go at 1 V: the middle and half of the distance.
const MIDDLE_VOLTS: f64 = 2.3;
const HALF_VOLTS: f64 = 1.3;
/// How long the armature travels, seconds.
const TRAVEL: f64 = 4e-3;

/// The card.
pub static CARD: Card = Card {
    kind: "relay",
    name: "Relay",
    what: "A magnet that moves a switch: current in the coil moves the middle contact from NC to NO. The coil kicks back when it is switched off.",
    prefix: "K",
    group: Group::Switch,
    pins: &[
        Pin { name: "1", says: "pin 1 (coil)" },
        Pin { name: "2", says: "pin 2 (COM)" },
        Pin { name: "3", says: "pin 3 (NO)" },
        Pin { name: "4", says: "pin 4 (NC)" },
        Pin { name: "5", says: "pin 5 (coil)" },
    ],
    footprint: Footprint::Rigid { offsets: &[(0, 0), (0, 2), (0, 4), (3, 4), (3, 0)], straddles: true },
    equation: on_paper("pulls in at 29 mA in the coil, lets go at 8 mA, 4 ms later"),
    sources: on_paper(&[
        "5 V, 125 Ω, 0.1 H, pulls in at 3.6 V, lets go at 1 V, 4 ms, 1 A contacts, pins: from memory; others differ",
    ]),
    alike: &[&[0, 4]],
    contacts: &[Contact::from(1, 2), Contact::from(1, 3)],
    kicks: Some((0, 4)),
    limits: |_| Limits { amps: Some(1.0), ..Limits::default() },
    acts: Some(Acts { guards: 1, guard, look, ..Acts::NONE }),
    stamp,
    state: |_, reading| State::plain(if reading.memory.shows(0) { "pulled in" } else { "at rest" }),
    draw,
    ..Card::BLANK
};

/// The voltage that the coil's current drops over its resistance.
fn pull(view: View<'_>) -> f64 {
    (view.inner[0] - view.pins[COIL_B]).abs()
}

fn guard(_: &Part, memory: &Memory, view: View<'_>, guards: &mut [f64]) {
    guards[0] = level_guard(memory.holds(0), pull(view) - MIDDLE_VOLTS, HALF_VOLTS);
}

fn look(part: &Part, memory: &mut Memory, view: View<'_>) {
    let mut guards = [1.0];
    guard(part, memory, view, &mut guards);
    let fell = guards[0] <= 0.0;
    memory.held ^= u64::from(fell);
    if memory.shown == memory.held {
        memory.due = f64::INFINITY;
    } else if fell {
        memory.due = view.time + TRAVEL;
    } else if memory.due == f64::INFINITY {
        memory.shown = memory.held;
    }
}

fn stamp(_: &Part, stamp: &mut Stamp<'_>) {
    let pin = Terminal::Pin;
    let inner = Terminal::Inner(0);
    stamp.element(pin(COIL_A), inner, Law::Inductance { henries: COIL_HENRIES, ohms: 1.0 });
    stamp.resistance(inner, pin(COIL_B), COIL_OHMS - 1.0);
    turns(stamp, pin(COIL_A), pin(COIL_B), COIL_HENRIES);
    let in_place = stamp.memory.shows(0);
    stamp.contact(pin(COM), pin(NORMALLY_OPEN), in_place, 0.05);
    stamp.contact(pin(COM), pin(NORMALLY_CLOSED), !in_place, 0.05);
    stamp.element(pin(COIL_B), pin(COM), Law::Open);
}

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let pulled = glance.shown & 1 == 1;
    rigid_frame(part, glance, sketch, |body| {
        body.rect(-9.0, -12.0, 78.0, 104.0, 4.0, Style::fill("#2f5f9e").outlined("#173a6b", 1.2));
        body.rect(-5.0, -8.0, 70.0, 96.0, 3.0, Style::fill("#9cc3ee").faint(0.35));
        for y in [2.0, 8.0, 14.0] {
            body.path(format!("M16 {y}H46"), Style::line("#c47a3a", 4.0));
        }
        let end = if pulled { "M12 44L30 76" } else { "M12 44L48 76" };
        body.path(end, Style::line("#e8e6df", 3.4));
        for (x, y, name) in [(0.0, 40.0, "C"), (0.0, 80.0, "NO"), (60.0, 80.0, "NC")] {
            let at = Point::new(if x == 0.0 { 14.0 } else { 46.0 }, y + 4.0);
            body.text(at, 8.5, Anchor::Middle, true, name, Style::fill("#ffffff"));
        }
        for (x, y) in [(0.0, 0.0), (0.0, 40.0), (0.0, 80.0), (60.0, 80.0), (60.0, 0.0)] {
            body.lead_end(Point::new(x, y));
        }
    });
}
