//! The card of a part: everything that Halfrow knows about a kind of part, in one value.
//!
//! A part is one file in `parts/` that holds one [`Card`], and one line in `parts/mod.rs` that
//! lists it. The bench file, its schema, the palette, the property strip, the wiring list, the
//! equations and the picture all read the card; none of them knows a part by name.

use crate::logic::Logic;
use crate::memory::{Acts, Memory};
use crate::part::Part;
use crate::readings::PartReading;
use crate::shape::{Glance, Sketch};
use crate::stamp::Stamp;
pub use crate::unit::Unit;

/// Where a kind of part stands in the list of parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// Battery packs and supplies.
    Power,
    /// Wires.
    Join,
    /// Lamps.
    Light,
    /// Fixed and adjustable resistors.
    Resist,
    /// Parts that feel the world.
    Sense,
    /// Parts worked by hand.
    Switch,
    /// Parts that let current through one way.
    OneWay,
    /// Parts that hold charge or current.
    Store,
    /// Transistors.
    Amplify,
    /// Chips.
    Chip,
    /// Parts that turn, hum or pull.
    Move,
}

impl Group {
    /// The heading in the list of parts.
    pub fn name(self) -> &'static str {
        match self {
            Group::Power => "Power",
            Group::Join => "Join",
            Group::Light => "Light",
            Group::Resist => "Resist",
            Group::Sense => "Sense",
            Group::Switch => "Switch",
            Group::OneWay => "One way",
            Group::Store => "Store",
            Group::Amplify => "Amplify",
            Group::Chip => "Chips",
            Group::Move => "Move",
        }
    }
}

/// One pin (leg, lead, terminal) of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pin {
    /// Its name in files and tables: `A`, `K`, `1`, `+`.
    pub name: &'static str,
    /// How a person would point at it: `long leg (anode)`.
    pub says: &'static str,
}

/// How a part meets the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Footprint {
    /// Bendable leads, each in a hole of its own choice.
    Loose {
        /// The farthest that two legs reach apart, in pitches.
        reach: u8,
    },
    /// A stiff body: the pins stand at fixed offsets (x, y in pitches, turn 0) from pin 1.
    Rigid {
        /// One offset a pin; the first is (0, 0).
        offsets: &'static [(i8, i8)],
        /// Whether the body is meant to straddle the channel (a DIP).
        straddles: bool,
    },
    /// Stands beside the board; long flexible leads.
    OffBoard,
}

/// A word that a parameter can take, and how it is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Choice {
    /// In files: `aa-alkaline`.
    pub word: &'static str,
    /// On the screen: `AA alkaline`.
    pub name: &'static str,
}

/// What values a parameter can have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Range {
    /// A number with a unit between two limits (both allowed).
    Number {
        /// Its unit.
        unit: Unit,
        /// Smallest value.
        min: f64,
        /// Largest value.
        max: f64,
        /// Value of a new part.
        default: f64,
        /// Whether a slider moves by ratios rather than by differences.
        by_ratio: bool,
    },
    /// A whole number between two limits.
    Whole {
        /// Smallest value.
        min: u8,
        /// Largest value.
        max: u8,
        /// Value of a new part.
        default: u8,
    },
    /// One of a few words.
    Choice {
        /// All of them.
        options: &'static [Choice],
        /// Index of a new part's.
        default: u8,
    },
    /// Yes or no.
    Flag {
        /// Value of a new part.
        default: bool,
    },
}

/// One parameter of a part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Param {
    /// Its key in the bench file; the unit is in the key where a reader would doubt it.
    pub key: &'static str,
    /// Its name on the screen.
    pub name: &'static str,
    /// What it can be.
    pub range: Range,
    /// Whether it is worked on the bench (a knob, a switch, the light) rather than chosen at the
    /// parts drawer.
    pub live: bool,
}

/// A value of a parameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// Of [`Range::Number`].
    Number(f64),
    /// Of [`Range::Whole`].
    Whole(u8),
    /// Index into the options of [`Range::Choice`].
    Choice(u8),
    /// Of [`Range::Flag`].
    Flag(bool),
}

impl Range {
    /// The value of a new part.
    pub fn default_value(&self) -> Value {
        match *self {
            Range::Number { default, .. } => Value::Number(default),
            Range::Whole { default, .. } => Value::Whole(default),
            Range::Choice { default, .. } => Value::Choice(default),
            Range::Flag { default } => Value::Flag(default),
        }
    }

    /// Whether a value is of the right type and within its limits. NaN and infinities never are.
    pub fn allows(&self, value: Value) -> bool {
        match (*self, value) {
            (Range::Number { min, max, .. }, Value::Number(x)) => (min..=max).contains(&x),
            (Range::Whole { min, max, .. }, Value::Whole(n)) => (min..=max).contains(&n),
            (Range::Choice { options, .. }, Value::Choice(i)) => usize::from(i) < options.len(),
            (Range::Flag { .. }, Value::Flag(_)) => true,
            _ => false,
        }
    }
}

/// What a part stands without harm. `None` where the part sets no such limit.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Limits {
    /// Largest lasting current into any pin, amperes.
    pub amps: Option<f64>,
    /// Largest lasting dissipation, watts.
    pub watts: Option<f64>,
    /// Largest reverse voltage (cathode above anode), volts.
    pub reverse_volts: Option<f64>,
    /// Largest lasting voltage in its own direction (anode above cathode), volts.
    pub forward_volts: Option<f64>,
}

/// A quantity that adds up over several parts: resistance in series, capacitance in parallel. The other way
/// it is the reciprocals that do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sums {
    /// Index of the parameter.
    pub param: u8,
    /// Whether it adds up in series rather than in parallel.
    pub in_series: bool,
}

/// Which way round a part that minds is meant to stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Polarity {
    /// Index of the pin that current enters: anode, +.
    pub anode: u8,
    /// Index of the pin that current leaves: cathode, −.
    pub cathode: u8,
}

/// What a pin of a chip is there for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Duty {
    /// Takes the supply's +.
    Power,
    /// Takes the supply's −.
    Ground,
    /// Only listens, and has to be told something.
    Input,
    /// Only listens, and rests where it does no harm while nothing is joined to it.
    Resting,
    /// Drives its net high and low.
    Output,
    /// Drives its net low or lets go of it.
    OpenOutput,
    /// Feeds others.
    Feed,
    /// Anything else, or nothing.
    Other,
}

/// Two pins that a hand (or a coil) can join.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Contact {
    /// Index of one pin.
    pub a: u8,
    /// Index of the other.
    pub b: u8,
    /// A pin without which it is no switch: the middle leg of a slide switch. Where nothing is joined
    /// to that, the contacts would only pretend to join the outer legs.
    pub common: Option<u8>,
}

impl Contact {
    /// A contact between two pins.
    pub const fn of(a: u8, b: u8) -> Contact {
        Contact { a, b, common: None }
    }

    /// One of two contacts of a changeover switch.
    pub const fn from(common: u8, b: u8) -> Contact {
        Contact { a: common, b, common: Some(common) }
    }
}

/// How a transistor's pins are to be joined.
#[derive(Clone, Copy, Debug)]
pub struct Steers {
    /// Index of base or gate.
    pub control: u8,
    /// Index of collector or drain.
    pub load: u8,
    /// Index of emitter or source.
    pub tail: u8,
    /// Whether it sits on the − side (NPN, N channel).
    pub low_side: fn(&Part) -> bool,
    /// Whether its control takes current and needs a resistor.
    pub base: bool,
}

impl Steers {
    /// Indices of a part's tail, control and load; the first three of a part that steers nothing.
    pub fn pins_of(part: &Part) -> [usize; 3] {
        part.card.steers.map_or([0, 1, 2], |it| [it.tail, it.control, it.load].map(usize::from))
    }
}

/// What makes a part a source of power.
#[derive(Clone, Copy, Debug)]
pub struct Source {
    /// Index of the + pin.
    pub plus: u8,
    /// Index of the − pin.
    pub minus: u8,
    /// Open-circuit voltage, volts; at its highest, for one that changes.
    pub open_volts: fn(&Part) -> f64,
    /// Whether it swings through zero, so that + and − change places.
    pub swings: fn(&Part) -> bool,
    /// Its own resistance, ohms.
    pub own_ohms: fn(&Part) -> f64,
    /// Highest current that it is built for, amperes (for findings, not for the equations).
    pub safe_amps: fn(&Part) -> f64,
    /// Whether it is all but empty.
    pub is_spent: fn(&Part) -> bool,
    /// Its charge, for one that has only so much.
    pub charge: Option<Charge>,
}

/// The charge of a source that runs down.
#[derive(Clone, Copy, Debug)]
pub struct Charge {
    /// What is left of it, as a share of a full one's.
    pub left: fn(&Part, &Memory) -> f64,
    /// The share that goes in a second while it gives so many amperes; below zero while it is charged.
    pub share_a_second: fn(&Part, f64) -> f64,
}

impl Source {
    /// How long a source lasts at the current that a reading tells, seconds; `None` for one that doesn't run
    /// down, or gives nothing worth telling.
    pub fn lasts_seconds(&self, part: &Part, reading: &PartReading) -> Option<f64> {
        let charge = self.charge?;
        let given = reading.pins[usize::from(self.minus)].amps;
        let rate = (charge.share_a_second)(part, given);
        (given > 1e-6 && rate > 0.0).then(|| (charge.left)(part, &reading.memory).max(0.0) / rate)
    }
}

/// What wears a part out: a body that warms up and gives way.
#[derive(Clone, Copy, Debug)]
pub struct Wear {
    /// How hard it is driven just now, as a share of what it stands for ever (power over rated
    /// power, current over rated current squared). Its heat follows this.
    pub strain: fn(&Part, &PartReading) -> f64,
    /// How fast its heat follows, seconds.
    pub seconds: f64,
    /// The heat at which it burns out.
    pub burns_at: f64,
    /// What a person sees and smells then: `R1 has burnt out` ends with this.
    pub says: &'static str,
}

/// The current from which an eye sees a lamp's light in a lit room, amperes (common practice, no source).
pub const VISIBLE_AMPS: f64 = 0.0001;

/// What a part does just now, for tables, tests and the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// One word: `lit`, `dark`, `closed`, `52 mW` is said elsewhere.
    pub word: &'static str,
    /// How bright it looks, 0 (dark) to 1 (as bright as at its rated current).
    pub glow: f32,
    /// The same for each lamp of a part with several, at most eight.
    pub lights: [f32; 8],
    /// Turns a second of what turns, counted clockwise; 0 where nothing turns.
    pub spin: f32,
    /// Pitch of what sounds, hertz; 0 for silence.
    pub tone: f32,
}

impl State {
    /// A state without light, sound or movement.
    pub const fn plain(word: &'static str) -> State {
        State { word, glow: 0.0, lights: [0.0; 8], spin: 0.0, tone: 0.0 }
    }

    /// A lamp's state.
    pub const fn lamp(word: &'static str, glow: f32) -> State {
        State { glow, ..State::plain(word) }
    }
}

/// All that there is to know about a kind of part.
#[derive(Debug)]
pub struct Card {
    /// The word that stands in a bench file.
    pub kind: &'static str,
    /// Its name for people.
    pub name: &'static str,
    /// What it is and does, in a sentence or two for a twelve-year-old.
    pub what: &'static str,
    /// The letter that its names begin with: R1, D2.
    pub prefix: &'static str,
    /// Where it is listed.
    pub group: Group,
    /// The key that takes it from the drawer while the board has the focus.
    pub key: Option<char>,
    /// Its pins; the first of a rigid part is pin 1.
    pub pins: &'static [Pin],
    /// How it meets the board.
    pub footprint: Footprint,
    /// Its parameters, in the order in which files and screens list them.
    pub params: &'static [Param],
    /// What another parameter becomes when one of this index has been chosen: a block is no pack of four.
    pub follows: fn(&Part, usize) -> Option<(usize, Value)>,
    /// The law that it obeys, as a line of text, [`on_paper`].
    pub equation: Option<&'static str>,
    /// Where its figures come from, a line each, [`on_paper`].
    pub sources: Option<&'static [&'static str]>,
    /// Pins through which the currents of several others go: a limit of current is one of the others.
    pub shared: &'static [u8],
    /// Pairs of pins that are one piece of metal inside, whatever the part does.
    pub metal: &'static [(u8, u8)],
    /// Groups of pins that can be exchanged without anybody noticing: the ends of a resistor, the inputs of
    /// a gate.
    pub alike: &'static [&'static [u8]],
    /// Pins of which an exchange only makes it work the other way round for the hand: the ends of a knob.
    pub handed: &'static [(u8, u8)],
    /// Pins that belong to one gate, a list a gate, all in the same order: any gate does the work of any
    /// other. What is in no list (the supply) belongs to the package.
    pub gates: &'static [&'static [u8]],
    /// What adds up where several stand in one another's place.
    pub sums: Option<Sums>,
    /// Whether a part of this kind does for another as far as one parameter goes: the plan's part, the
    /// build's, the parameter's index. What is worked by hand never counts.
    pub does_for: fn(&Part, &Part, usize) -> bool,
    /// What else people call it, in lower case: what a search finds it by.
    pub also: &'static [&'static str],
    /// Whether it can sound (see [`State::tone`]).
    pub sounds: bool,
    /// The two pins between which its voltage is read, where these are not the first and the last.
    pub across: Option<(u8, u8)>,
    /// Whether between a chip's power pins it keeps their voltage steady.
    pub decouples: bool,
    /// The bands of paint that tell its value, as names of colours, first to last; `None` where they can't.
    pub bands: fn(&Part) -> Option<Vec<&'static str>>,
    /// Which way round it is meant to stand, if it minds.
    pub polarity: Option<Polarity>,
    /// The pins of a switch that can be joined.
    pub contacts: &'static [Contact],
    /// Forward voltage of a lamp at a current (amperes), volts.
    pub forward_volts: Option<fn(&Part, f64) -> f64>,
    /// For parts that hold current back: the least resistance from leg to leg, in whatever position and
    /// weather, ohms.
    pub least_ohms: Option<fn(&Part) -> f64>,
    /// Pins of a coil that kicks back when it is switched off.
    pub kicks: Option<(u8, u8)>,
    /// Set for transistors.
    pub steers: Option<Steers>,
    /// Set for sources of power.
    pub source: Option<Source>,
    /// Its limits with these parameters.
    pub limits: fn(&Part) -> Limits,
    /// Whether it is a chip, whose contacts' resistance counts for nothing.
    pub chip: bool,
    /// Whether it belongs to an instrument: its legs are tips that share holes with others and are no
    /// legs of a net.
    pub instrument: bool,
    /// What each pin of a chip is there for; empty for other parts and for logic, which says it
    /// itself. [`Card::duty`] knows both.
    pub duties: &'static [Duty],
    /// The supply voltages that a chip works with, least and most, volts.
    pub supply_volts: Option<(f64, f64)>,
    /// What a logic chip computes.
    pub logic: Option<&'static Logic>,
    /// What it does by itself as time goes on, if anything.
    pub acts: Option<Acts>,
    /// What wears it out, if anything.
    pub wear: Option<Wear>,
    /// Its equations.
    pub stamp: fn(&Part, &mut Stamp<'_>),
    /// What it does just now.
    pub state: fn(&Part, &PartReading) -> State,
    /// Its value in a few characters: `220 Ω`, `red`, `4 × AA`.
    pub label: fn(&Part) -> String,
    /// Its picture from above.
    pub draw: fn(&Part, &Glance<'_>, &mut Sketch),
}

/// What is written for readers of the source, of the schema and of tests: the browser holds none of
/// it, since each kilobyte of wasm is paid for at every first visit.
pub const fn on_paper<T: Copy>(text: T) -> Option<T> {
    if cfg!(target_arch = "wasm32") { None } else { Some(text) }
}

/// Whether two values of one parameter are the same: numbers within a share of the first part's, anything
/// else exactly. A twentieth is the usual tolerance of parts (IEC 60062: a gold band).
pub fn near(plan: &Part, build: &Part, param: usize, share: f64) -> bool {
    match (plan.values[param], build.values[param]) {
        // A little more than the share, for values that lie on its edge: 209 Ω for 220 Ω ± 5 %.
        (Value::Number(a), Value::Number(b)) => (a - b).abs() <= share * a.abs() * (1.0 + 1e-9),
        (a, b) => a == b,
    }
}

impl Card {
    /// A card with nothing on it: a part's own says `..Card::BLANK` for what does not concern it.
    pub const BLANK: Card = Card {
        kind: "",
        name: "",
        what: "",
        prefix: "",
        group: Group::Join,
        key: None,
        pins: &[],
        footprint: Footprint::OffBoard,
        params: &[],
        follows: |_, _| None,
        equation: None,
        sources: None,
        shared: &[],
        metal: &[],
        alike: &[],
        handed: &[],
        gates: &[],
        sums: None,
        does_for: |plan, build, param| plan.card.params[param].live || near(plan, build, param, 0.05),
        also: &[],
        sounds: false,
        across: None,
        decouples: false,
        bands: |_| None,
        polarity: None,
        contacts: &[],
        forward_volts: None,
        least_ohms: None,
        kicks: None,
        steers: None,
        source: None,
        limits: |_| Limits { amps: None, watts: None, reverse_volts: None, forward_volts: None },
        chip: false,
        instrument: false,
        duties: &[],
        supply_volts: None,
        logic: None,
        acts: None,
        wear: None,
        stamp: |_, _| (),
        state: |_, _| State::plain(""),
        label: |_| String::new(),
        draw: |_, _, _| (),
    };

    /// The index of a parameter.
    pub fn param(&self, key: &str) -> Option<usize> {
        self.params.iter().position(|param| param.key == key)
    }

    /// The index of a pin.
    pub fn pin(&self, name: &str) -> Option<usize> {
        self.pins.iter().position(|pin| pin.name == name)
    }

    /// What a pin is there for.
    pub fn duty(&self, pin: usize) -> Duty {
        if let Some(logic) = self.logic {
            let is = |pins: &[u8]| pins.iter().any(|&own| usize::from(own) == pin);
            return match pin {
                _ if is(logic.inputs) => Duty::Input,
                _ if is(logic.outputs) => Duty::Output,
                _ if is(&[logic.power]) => Duty::Power,
                _ if is(&[logic.ground]) => Duty::Ground,
                _ => Duty::Other,
            };
        }
        self.duties.get(pin).copied().unwrap_or(Duty::Other)
    }

    /// The two pins between which a voltage speaks for the whole part; `None` for a chip, of which no such
    /// voltage does.
    pub fn read_across(&self) -> Option<(usize, usize)> {
        let (from, to) = self.across.unwrap_or((0, self.pins.len() as u8 - 1));
        (!self.chip).then_some((usize::from(from), usize::from(to)))
    }

    /// Whether it is chosen at the drawer by its ohms, so that one with more of them can take its place.
    pub fn is_chosen_by_ohms(&self) -> bool {
        let by_ohms =
            |param: &Param| !param.live && matches!(param.range, Range::Number { unit: Unit::Ohm, .. });
        self.least_ohms.is_some() && self.pins.len() == 2 && self.params.first().is_some_and(by_ohms)
    }

    /// Whether the part does nothing for anybody straight across a supply.
    pub fn is_idle_across(&self) -> bool {
        matches!(self.group, Group::Resist | Group::Sense) && self.pins.len() == 2
    }

    /// Whether the part is nothing but a piece of wire.
    pub fn is_wire(&self) -> bool {
        self.group == Group::Join
    }
}

impl PartialEq for Card {
    /// Cards are listed once each, so their kind tells them apart.
    fn eq(&self, other: &Card) -> bool {
        self.kind == other.kind
    }
}
