//! Comparator with open-collector outputs, two in a package.

use crate::card::{Card, Duty, Limits, State, Wear, on_paper};
use crate::law::Law;
use crate::logic::level_guard;
use crate::memory::{Acts, Memory, View};
use crate::part::Part;
use crate::stamp::{Stamp, Terminal};

use super::dip::{CHIP, DIP8, chip_pins};

const GROUND: usize = 3;
const POWER: usize = 7;
const COMPARATORS: [[usize; 3]; 2] = [[0, 1, 2], [6, 5, 4]];

const AWAKE: u32 = 2;
/// 1.3 µs of an LM393, from memory.
const DELAY: f64 = 1.3e-6;
/// Half the hysteresis, volts: a design choice, so that a slow input is told once.
const HALF: f64 = 1e-3;

use Duty::{Ground, Input, OpenOutput, Power};

/// The card.
pub static CARD: Card = Card {
    kind: "comparator",
    name: "Comparator",
    also: &["lm393"],
    what: "Compares two voltages: its output pulls to ground while the − input is higher, and lets go otherwise. The output needs a pull-up resistor to the supply.",
    pins: chip_pins!(1 "OUT 1" 2 "IN 1 −" 3 "IN 1 +" 4 "GND" 5 "IN 2 +" 6 "IN 2 −" 7 "OUT 2" 8 "VCC"),
    footprint: DIP8,
    gates: &[&[0, 1, 2], &[6, 5, 4]],
    duties: &[OpenOutput, Input, Input, Ground, Input, Input, OpenOutput, Power],
    supply_volts: Some((2.0, 36.0)),
    equation: on_paper("output low while v− > v+, open otherwise"),
    sources: on_paper(&["LM393: pins, 2 to 36 V, 250 mV at 4 mA, 16 mA, 1.3 µs, 0.4 mA: from memory"]),
    limits: |_| Limits { amps: Some(0.016), ..Limits::default() },
    acts: Some(Acts { guards: 3, guard, look, ..Acts::NONE }),
    wear: Some(Wear {
        strain: |_, reading| {
            let volts = reading.pins[POWER].volts - reading.pins[GROUND].volts;
            if !(-1.0..=37.0).contains(&volts) { 20.0 } else { reading.watts / 0.6 }
        },
        seconds: 2.0,
        burns_at: 2.5,
        says: "it is too hot to touch and no longer compares",
    }),
    stamp: |_, stamp| draw_elements(stamp),
    state: |_, reading| State::plain(if reading.memory.holds(AWAKE) { "works" } else { "without power" }),
    label: |_| "LM393".to_owned(),
    ..CHIP
};

fn guard(_: &Part, memory: &Memory, view: View<'_>, guards: &mut [f64]) {
    for (index, [_, minus, plus]) in COMPARATORS.into_iter().enumerate() {
        let above = view.pins[minus] - view.pins[plus];
        guards[index] = level_guard(memory.holds(index as u32), above, HALF);
    }
    guards[2] = level_guard(memory.holds(AWAKE), view.pins[POWER] - view.pins[GROUND] - 1.8, 0.1);
}

fn look(part: &Part, memory: &mut Memory, view: View<'_>) {
    let mut guards = [1.0; 3];
    guard(part, memory, view, &mut guards);
    for (bit, guard) in guards.into_iter().enumerate() {
        memory.held ^= u64::from(guard <= 0.0) << bit;
    }
    let to_show = if memory.holds(AWAKE) { memory.held & 0b11 } else { 0 };
    if to_show == memory.shown {
        memory.due = f64::INFINITY;
    } else if memory.due == f64::INFINITY {
        if guards.iter().all(|&guard| guard > 0.0) {
            memory.shown = to_show;
        } else {
            memory.due = view.time + DELAY;
        }
    }
}

fn draw_elements(stamp: &mut Stamp<'_>) {
    let memory = stamp.memory;
    let pin = Terminal::Pin;
    stamp.resistance(pin(POWER), pin(GROUND), 12_500.0);
    for (index, [out, minus, plus]) in COMPARATORS.into_iter().enumerate() {
        for input in [minus, plus] {
            stamp.element(pin(input), pin(GROUND), Law::Open);
        }
        stamp.contact(pin(out), pin(GROUND), memory.shows(index as u32), 60.0);
    }
}
