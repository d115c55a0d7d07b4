//! Buzzer and piezo disc.

use crate::card::{Card, Footprint, Group, Limits, Pin, Polarity, State, on_paper};
use crate::law::{Junction, Law};
use crate::logic::level_guard;
use crate::memory::{Acts, Memory, View};
use crate::part::Part;
use crate::shape::{Anchor, Glance, Point, Sketch, Style};
use crate::stamp::Terminal;

/// The pitch of a buzzer, hertz (from memory: 2 to 4 kHz).
const BUZZER_HERTZ: f32 = 2300.0;

/// The voltage from which a buzzer sounds.
const BUZZES_AT: f64 = 2.0;

/// A buzzer with its own oscillator.
pub static BUZZER: Card = Card {
    kind: "buzzer",
    name: "Buzzer",
    also: &["beeper", "alarm", "speaker", "sound"],
    what: "Hums by itself when it gets 3 to 6 V, + at the long leg.",
    prefix: "LS",
    group: Group::Move,
    sounds: true,
    pins: &[Pin { name: "+", says: "long leg (+)" }, Pin { name: "-", says: "short leg (−)" }],
    footprint: Footprint::Loose { reach: 8 },
    equation: on_paper("i = (v − 0.7 V) / 150 Ω; sounds from 2 V"),
    sources: on_paper(&["30 mA at 5 V, 2.3 kHz, 3 to 7 V: from memory"]),
    polarity: Some(Polarity { anode: 0, cathode: 1 }),
    limits: |_| Limits { amps: Some(0.045), ..Limits::default() },
    stamp: |_, stamp| {
        let junction = Junction { saturation_amps: 1e-12, emission_volts: 0.03, series_ohms: 150.0 };
        stamp.element(Terminal::Pin(0), Terminal::Pin(1), Law::Junction(junction));
    },
    state: |_, reading| {
        if reading.pins[0].volts - reading.pins[1].volts > BUZZES_AT {
            State { tone: BUZZER_HERTZ, ..State::plain("sounds") }
        } else {
            State::plain("silent")
        }
    },
    draw: |_, glance, sketch| draw(glance, sketch, "#2b2f33", "+"),
    ..Card::BLANK
};

/// Place in `held`.
const RISES: u32 = 0;

/// Place in `kept`: from rise to rise, seconds. Before it stands when the last rise was.
const PERIOD: usize = 1;

/// A piezo disc that sounds as it is driven.
pub static PIEZO: Card = Card {
    kind: "piezo",
    name: "Piezo disc",
    also: &["speaker", "beeper", "sound"],
    what: "A disc that bends with the voltage: a voltage that goes up and down a thousand times a second makes it whistle. Either way round works.",
    prefix: "LS",
    group: Group::Move,
    sounds: true,
    pins: &[Pin { name: "1", says: "first leg" }, Pin { name: "2", says: "second leg" }],
    footprint: Footprint::Loose { reach: 8 },
    alike: &[&[0, 1]],
    equation: on_paper("i = C · dv/dt with 20 nF"),
    sources: on_paper(&["20 nF and 200 Ω in series: from memory"]),
    acts: Some(Acts { guards: 1, guard, look, ..Acts::NONE }),
    stamp: |_, stamp| {
        let law = Law::Capacitance { farads: 2e-8, ohms: 200.0 };
        stamp.element(Terminal::Pin(0), Terminal::Pin(1), law);
        stamp.resistance(Terminal::Pin(0), Terminal::Pin(1), 1e7);
    },
    state: |_, reading| {
        let period = reading.memory.kept[PERIOD];
        // What an ear hears.
        if period > 5e-5 && period < 0.05 {
            State { tone: (1.0 / period) as f32, ..State::plain("sings") }
        } else {
            State::plain("silent")
        }
    },
    draw: |_, glance, sketch| draw(glance, sketch, "#c9a24a", ""),
    ..Card::BLANK
};

fn guard(_: &Part, memory: &Memory, view: View<'_>, guards: &mut [f64]) {
    // Either way round: what counts is that it swings.
    let above = view.pins[0] - view.pins[1] - 0.75;
    guards[0] = level_guard(memory.holds(RISES), above, 0.25);
}

fn look(part: &Part, memory: &mut Memory, view: View<'_>) {
    let mut guards = [1.0];
    guard(part, memory, view, &mut guards);
    if guards[0] <= 0.0 {
        memory.held ^= 1 << RISES;
        if memory.holds(RISES) {
            memory.kept = [view.time, view.time - memory.kept[0]];
            // Silent when no further rise comes in time.
            memory.due = view.time + 0.1;
        }
    } else if memory.due == f64::INFINITY {
        memory.kept[PERIOD] = 0.0;
    }
}

fn draw(glance: &Glance<'_>, sketch: &mut Sketch, fill: &'static str, mark: &'static str) {
    sketch.axial(glance.leg(0), glance.leg(1), 30.0, |body| {
        body.circle(0.0, 0.0, 30.0, Style::fill(fill).outlined("#0d0f10", 1.2));
        body.circle(0.0, 0.0, 22.0, Style::line("#ffffff", 1.4).faint(0.3));
        body.circle(0.0, 0.0, 5.5, Style::fill("#0d0f10"));
        let style = Style::fill("#e8e6df");
        body.text(Point::new(-22.0, 5.0), 14.0, Anchor::Middle, true, mark, style);
    });
}
