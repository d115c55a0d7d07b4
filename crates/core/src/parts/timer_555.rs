//! 555 timer.

use crate::card::{Card, Duty, Limits, State, Wear, on_paper};
use crate::law::{Junction, Law};
use crate::logic::level_guard;
use crate::memory::{Acts, Memory, View};
use crate::part::Part;
use crate::stamp::{Stamp, Terminal};

use super::dip::{CHIP, DIP8, chip_pins};

const GROUND: usize = 0;
const TRIGGER: usize = 1;
const OUT: usize = 2;
const RESET: usize = 3;
const CONTROL: usize = 4;
const THRESHOLD: usize = 5;
const DISCHARGE: usize = 6;
const POWER: usize = 7;

// Bits of `held`: what the comparators see, and the flip-flop. `shown` has the last two.
const TRIGGERED: u32 = 2;
const FULL: u32 = 3;
const FREE: u32 = 4;
const SET: u64 = 1;
const AWAKE: u32 = 1;

/// From a comparator to the output, seconds: 0.1 µs of a bipolar 555, from memory.
const DELAY: f64 = 1e-7;

/// Half the hysteresis of the comparators, volts: enough not to be asked twice.
const HALF: f64 = 5e-4;

/// The upper half of the output: two base-emitter junctions in a row, 0.9 V at 100 mA (with the 8 Ω
/// behind them 13.3 V of 15, 12.5 V at 200 mA).
const FOLLOWER: Junction = Junction { saturation_amps: 3e-9, emission_volts: 0.052, series_ohms: 0.01 };

use Duty::{Ground, Input, Other, Output, Power, Resting};

/// The card.
pub static CARD: Card = Card {
    kind: "555",
    name: "555 timer",
    also: &["ne555", "timer"],
    what: "Switches its output on when pin 2 falls below a third of the supply, and off when pin 6 rises above two thirds. With two resistors and a capacitor it blinks or hums.",
    pins: chip_pins!(1 "GND" 2 "TRIG" 3 "OUT" 4 "RESET" 5 "CV" 6 "THR" 7 "DIS" 8 "VCC"),
    footprint: DIP8,
    duties: &[Ground, Input, Output, Resting, Other, Input, Other, Power],
    supply_volts: Some((4.5, 16.0)),
    equation: on_paper("on below VCC/3 at TRIG, off above 2·VCC/3 at THR; f = 1.44 / ((RA + 2·RB)·C)"),
    sources: on_paper(&[
        "Thresholds 2/3 and 1/3 of VCC, 200 mA, 4.5 to 16 V: NE555, SLFS022I",
        "Output: 0.4 V at 50 mA sunk, 13.3 V at 100 mA sourced with 15 V: NE555 typical values",
        "Discharge 80 mV at 4.5 mA, 5 V: SA555N typical; supply 3 mA at 5 V, 10 mA at 15 V typical",
        "Delay 0.1 µs and 50 kΩ inside RESET: from memory",
    ]),
    limits: |_| Limits { amps: Some(0.2), ..Limits::default() },
    acts: Some(Acts { guards: 4, guard, look, ..Acts::NONE }),
    wear: Some(Wear {
        // 0.6 W for the package; more than 18 V or the wrong way round kills it at once.
        strain: |_, reading| {
            let volts = reading.pins[POWER].volts - reading.pins[GROUND].volts;
            (reading.watts / 0.6).max(if (-1.0..=18.0).contains(&volts) { 0.0 } else { 30.0 })
        },
        seconds: 2.0,
        burns_at: 2.5,
        says: "it smells burnt and has a bump on top",
    }),
    stamp,
    state: |_, reading| {
        let memory = reading.memory;
        State::plain(match (memory.shows(AWAKE), memory.shows(0)) {
            (false, _) => "without power",
            (_, true) => "output high",
            (_, false) => "output low",
        })
    },
    label: |_| "555".to_owned(),
    ..CHIP
};

fn guard(_: &Part, memory: &Memory, view: View<'_>, guards: &mut [f64]) {
    let at = |pin: usize| view.pins[pin] - view.pins[GROUND];
    let third = view.inner[0] - view.pins[GROUND];
    guards[0] = level_guard(memory.holds(AWAKE), at(POWER) - 2.5, 0.1);
    guards[1] = level_guard(memory.holds(TRIGGERED), third - at(TRIGGER), HALF);
    guards[2] = level_guard(memory.holds(FULL), at(THRESHOLD) - at(CONTROL), HALF);
    guards[3] = level_guard(memory.holds(FREE), at(RESET) - 0.7, 0.05);
}

fn look(part: &Part, memory: &mut Memory, view: View<'_>) {
    let mut guards = [1.0; 4];
    guard(part, memory, view, &mut guards);
    for (guard, bit) in guards.into_iter().zip([AWAKE, TRIGGERED, FULL, FREE]) {
        memory.held ^= u64::from(guard <= 0.0) << bit;
    }
    let set = if !memory.holds(AWAKE) || !memory.holds(FREE) {
        false
    } else if memory.holds(TRIGGERED) {
        true
    } else {
        memory.holds(0) && !memory.holds(FULL)
    };
    memory.held = memory.held & !SET | u64::from(set);
    let to_show = memory.held & 0b11;
    if to_show == memory.shown {
        memory.due = f64::INFINITY;
    } else if guards.iter().all(|&guard| guard > 0.0) && memory.due == f64::INFINITY {
        // Its time has come.
        memory.shown = to_show;
    } else if memory.due == f64::INFINITY {
        memory.due = view.time + DELAY;
    }
}

fn stamp(_: &Part, stamp: &mut Stamp<'_>) {
    let memory = stamp.memory;
    let (awake, high) = (memory.shows(AWAKE), memory.shows(0));
    let pin = Terminal::Pin;
    for (from, to) in
        [(pin(POWER), pin(CONTROL)), (pin(CONTROL), Terminal::Inner(0)), (Terminal::Inner(0), pin(GROUND))]
    {
        stamp.resistance(from, to, 5000.0);
    }
    stamp.resistance(pin(POWER), pin(GROUND), 1750.0);
    stamp.resistance(pin(POWER), pin(RESET), 50_000.0);
    for input in [TRIGGER, THRESHOLD] {
        stamp.element(pin(input), pin(GROUND), Law::Open);
    }
    // A follower: it gives and can't take. What hangs between the supply and a high output gets nothing.
    stamp.element(pin(POWER), Terminal::Inner(1), Law::Junction(FOLLOWER));
    // Some bias while it is off: Newton’s method has less far to go when it switches on.
    stamp.resistance(Terminal::Inner(1), pin(GROUND), 100_000.0);
    stamp.contact(Terminal::Inner(1), pin(OUT), awake && high, 8.0);
    stamp.contact(pin(OUT), pin(GROUND), awake && !high, 10.0);
    stamp.contact(pin(DISCHARGE), pin(GROUND), awake && !high, 18.0);
}
