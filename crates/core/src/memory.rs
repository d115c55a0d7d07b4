//! What a part remembers from one moment to the next, and when that changes.
//!
//! A capacitor's charge and an inductor's current belong to the elements; a card remembers what is
//! discrete (the outputs of a chip, the armature of a relay) and what drifts slowly (the temperature
//! of a sensor). Between two changes a card's elements keep their laws, so that the equations are
//! smooth; a change happens exactly when a guard falls through zero or a time is due.

use crate::part::Part;

/// What a part remembers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Memory {
    /// What its elements show to the outside: outputs, contacts.
    pub shown: u64,
    /// What it holds inside: registers, levels that it has seen.
    pub held: u64,
    /// When it has to look at itself again, seconds; infinite for never.
    pub due: f64,
    /// Numbers of the card's choosing that its elements depend on: what drifts slowly, when a wave began.
    pub slow: [f64; 2],
    /// Numbers that it keeps to itself: moments to come and gone by.
    pub kept: [f64; 2],
    /// How hot it is, as a share of what it stands for ever.
    pub heat: f64,
    /// Whether it is burnt out; it stays so until it is replaced.
    pub burnt: bool,
}

/// A memory of nothing.
pub const BLANK: Memory =
    Memory { shown: 0, held: 0, due: f64::INFINITY, slow: [0.0; 2], kept: [0.0; 2], heat: 0.0, burnt: false };

impl Memory {
    /// The memory of a part that was just put down.
    pub fn of(part: &Part) -> Memory {
        part.card.acts.map_or(BLANK, |acts| (acts.start)(part))
    }

    /// A bit of what is shown.
    pub fn shows(&self, bit: u32) -> bool {
        self.shown >> bit & 1 == 1
    }

    /// A bit of what is held.
    pub fn holds(&self, bit: u32) -> bool {
        self.held >> bit & 1 == 1
    }
}

/// What a part sees of the circuit when it looks.
#[derive(Clone, Copy, Debug)]
pub struct View<'a> {
    /// Voltage of each pin, volts.
    pub pins: &'a [f64],
    /// Voltage of each inner point, volts.
    pub inner: &'a [f64],
    /// Seconds since the clock began.
    pub time: f64,
}

/// What a part does by itself as time goes on.
#[derive(Clone, Copy, Debug)]
pub struct Acts {
    /// The memory of a new part, with everything slow already settled.
    pub start: fn(&Part) -> Memory,
    /// How many guards it has.
    pub guards: usize,
    /// Writes the guards: each stands above zero while nothing has to change. When one falls to zero
    /// or below, the part looks. A guard that has made it look must stand above zero again after the
    /// look (a threshold with hysteresis, turned round), or the part is asked without end.
    pub guard: fn(&Part, &Memory, View<'_>, &mut [f64]),
    /// Looks at the pins and changes the memory. Called once at the start, when a guard has fallen
    /// and when `due` has come (which is infinite by then).
    pub look: fn(&Part, &mut Memory, View<'_>),
    /// Lets slow quantities drift for some seconds; says how long they may be taken as constant,
    /// seconds (infinite once they have settled).
    pub drift: Option<fn(&Part, &mut Memory, f64) -> f64>,
}

impl Acts {
    /// Whether the part switches by itself, rather than drifts.
    pub fn is_discrete(&self) -> bool {
        self.drift.is_none()
    }

    /// A part without guards that does nothing: to be filled in.
    pub const NONE: Acts =
        Acts { start: |_| BLANK, guards: 0, guard: |_, _, _, _| (), look: |_, _, _| (), drift: None };
}

/// Lets a slow quantity follow what it follows, as a first-order lag: after some seconds it is nearer by
/// their share of `lag`. Says how long it may be taken as constant: till it has moved by a fiftieth of
/// the way, or for ever when it is within `settled` of the end.
pub fn lag(slow: &mut f64, towards: f64, seconds: f64, lag: f64, settled: f64) -> f64 {
    let off = towards - *slow;
    if off.abs() <= settled {
        *slow = towards;
        f64::INFINITY
    } else {
        *slow += off * (1.0 - crate::math::exp(-seconds / lag));
        lag / 50.0
    }
}
