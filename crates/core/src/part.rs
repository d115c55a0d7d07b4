//! A part on the bench: its card, its values and where its legs are.

use crate::board::Hole;
use crate::card::{Card, Footprint, Range, Value};
use crate::fnv::fnv;

/// A part of the bench, by its place in the bench's list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PartIx(pub usize);

/// A leg: which part, which pin of its card.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct LegId {
    /// The part.
    pub part: PartIx,
    /// Index of the pin on the part's card.
    pub pin: usize,
}

/// How far a leg is pushed into its hole.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Depth {
    /// All the way: a good contact.
    #[default]
    Full,
    /// Barely: the contact comes and goes when the board is tapped.
    Barely,
    /// Not in: the leg rests beside or over its hole and touches nothing.
    Out,
}

impl Depth {
    /// Every depth, deepest first.
    pub const ALL: [Depth; 3] = [Depth::Full, Depth::Barely, Depth::Out];

    /// The word in files and on the screen.
    pub fn word(self) -> &'static str {
        match self {
            Depth::Full => "full",
            Depth::Barely => "barely",
            Depth::Out => "out",
        }
    }

    /// The depth that a word means.
    pub fn from_word(word: &str) -> Option<Depth> {
        Self::ALL.into_iter().find(|depth| depth.word() == word)
    }
}

/// One leg of a part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Leg {
    /// The hole that it is in; `None` while it is in the air.
    pub hole: Option<Hole>,
    /// How far it is pushed in.
    pub depth: Depth,
    /// The leg of a part listed before that it touches or is clipped to, instead of a hole. Parts of
    /// the board have none; an instrument's leads and insides do.
    pub on: Option<LegId>,
}

/// Quarter turns, clockwise as seen from above.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Turn {
    /// As the card shows it.
    #[default]
    None,
    /// 90 degrees.
    Quarter,
    /// 180 degrees.
    Half,
    /// 270 degrees.
    ThreeQuarters,
}

impl Turn {
    /// All four, in order.
    pub const ALL: [Turn; 4] = [Turn::None, Turn::Quarter, Turn::Half, Turn::ThreeQuarters];

    /// Degrees clockwise.
    pub fn degrees(self) -> u16 {
        90 * self as u16
    }

    /// The turn of so many degrees.
    pub fn from_degrees(degrees: f64) -> Option<Turn> {
        Self::ALL.into_iter().find(|turn| f64::from(turn.degrees()) == degrees)
    }

    /// The next turn clockwise.
    pub fn next(self) -> Turn {
        Self::ALL[(self as usize + 1) % 4]
    }

    /// Turns an offset (x to the right, y down) clockwise about the origin.
    pub fn apply(self, (x, y): (i16, i16)) -> (i16, i16) {
        match self {
            Turn::None => (x, y),
            Turn::Quarter => (-y, x),
            Turn::Half => (-x, -y),
            Turn::ThreeQuarters => (y, -x),
        }
    }
}

/// A part on the bench.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its name, unique on the bench: `R1`.
    pub id: String,
    /// What it is.
    pub card: &'static Card,
    /// One value for each parameter of the card, in its order.
    pub values: Vec<Value>,
    /// One leg for each pin of the card, in its order. A rigid part's follow from pin 1 and
    /// `turn`; [`crate::bench::Bench::place_rigid`] keeps them so.
    pub legs: Vec<Leg>,
    /// Quarter turns of a rigid part.
    pub turn: Turn,
    /// The number that this very specimen's values are drawn from; `None` for one that is exactly as its
    /// card and its print say.
    pub lot: Option<u32>,
}

impl Part {
    /// A new part with the card's values and all legs in the air.
    pub fn new(id: impl Into<String>, card: &'static Card) -> Part {
        Part {
            id: id.into(),
            card,
            values: card.params.iter().map(|param| param.range.default_value()).collect(),
            legs: vec![Leg::default(); card.pins.len()],
            turn: Turn::None,
            lot: None,
        }
    }

    /// How far one of this specimen's values is from what is printed on it, as a share of its tolerance from
    /// −1 to 1: near 0 more often than at the ends (the mean of two draws, a design choice; makers tell only the
    /// ends). 0 for a part that is as its card says. The same for the same number, name and `which`, to the bit
    /// on every machine: whole numbers only, and one exact division.
    pub fn off(&self, which: u8) -> f64 {
        let Some(lot) = self.lot else { return 0.0 };
        // A number for number, name and value, then the mixing function of SplitMix64 (Steele, Lea and Flood,
        // OOPSLA 2014), since the last bytes have hardly reached the upper bits.
        let bytes = lot.to_le_bytes().into_iter().chain(self.id.bytes()).chain([0, which]);
        let mut hash = fnv(bytes);
        hash = (hash ^ hash >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        hash = (hash ^ hash >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        hash ^= hash >> 31;
        let (one, two) = ((hash >> 32) as u32, hash as u32);
        (f64::from(one) + f64::from(two)) / f64::from(u32::MAX) - 1.0
    }

    /// A number parameter as this specimen has it, when its tolerance is such a share either way.
    pub fn drawn(&self, param: usize, tolerance: f64) -> f64 {
        self.number(param) * (1.0 + tolerance * self.off(param as u8))
    }

    /// A number parameter by its index; the card's own code knows the type.
    ///
    /// # Panics
    /// When the parameter is not a number.
    pub fn number(&self, param: usize) -> f64 {
        match self.values[param] {
            Value::Number(x) => x,
            other => panic!("{} parameter {param} is no number but {other:?}", self.card.kind),
        }
    }

    /// A whole-number, choice or flag parameter by its index (a flag is 0 or 1).
    ///
    /// # Panics
    /// When the parameter is a number with a unit.
    pub fn index(&self, param: usize) -> usize {
        match self.values[param] {
            Value::Whole(n) | Value::Choice(n) => usize::from(n),
            Value::Flag(on) => usize::from(on),
            Value::Number(_) => panic!("{} parameter {param} is a number", self.card.kind),
        }
    }

    /// The name of what a choice parameter is set to; empty for other parameters.
    pub fn choice_name(&self, param: usize) -> &'static str {
        match (self.card.params[param].range, self.values[param]) {
            (Range::Choice { options, .. }, Value::Choice(chosen)) => options[usize::from(chosen)].name,
            _ => "",
        }
    }

    /// Sets a parameter when the card allows the value; says whether it did.
    pub fn set(&mut self, key: &str, value: Value) -> bool {
        match self.card.param(key) {
            Some(index) if self.card.params[index].range.allows(value) => {
                self.values[index] = value;
                true
            }
            _ => false,
        }
    }

    /// Whether the part stands on the board with a stiff body.
    pub fn is_rigid(&self) -> bool {
        matches!(self.card.footprint, Footprint::Rigid { .. })
    }

    /// `R1 220 Ω`, or the name alone where there is no value to tell.
    pub fn title(&self) -> String {
        let label = (self.card.label)(self);
        if label.is_empty() { self.id.clone() } else { format!("{} {label}", self.id) }
    }

    /// `D2's short leg (cathode)`.
    pub fn leg_in_words(&self, pin: usize) -> String {
        format!("{}’s {}", self.id, self.card.pins[pin].says)
    }
}
