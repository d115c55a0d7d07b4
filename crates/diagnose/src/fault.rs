//! One mistake on a build: what it changes on the bench, and what puts it right.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::Value;
use halfrow_core::part::{Depth, Leg, Part, Turn};
use halfrow_core::parts::STAPLES;

use crate::priors::Class;

/// The resistance of a part that is broken inside, ohms: it lets less through than a voltmeter does.
const OPEN_OHMS: f64 = 1e9;
/// The resistance of a part that has failed short, ohms: some tenths are usual, from memory.
const SHORT_OHMS: f64 = 0.2;

/// What is other than in the plan.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// A leg is in another hole.
    Leg {
        /// Which.
        leg: LegId,
        /// Where it is.
        to: Hole,
    },
    /// A leg isn't pushed in.
    Out {
        /// Which.
        leg: LegId,
    },
    /// A part isn't there.
    Missing {
        /// Which.
        part: PartIx,
    },
    /// A part stands elsewhere or the other way round.
    Placed {
        /// Which.
        part: PartIx,
        /// The hole of each leg.
        holes: Vec<Option<Hole>>,
        /// The turn of a stiff part.
        turn: Turn,
    },
    /// Two legs have changed places.
    Swapped {
        /// Which.
        legs: [LegId; 2],
    },
    /// Another value.
    Value {
        /// Of which part.
        part: PartIx,
        /// Index of the parameter.
        param: usize,
        /// What it is.
        value: Value,
    },
    /// Broken inside: some of its pins are joined by so many ohms, and nothing else is.
    Broken {
        /// Which.
        part: PartIx,
        /// The two pins.
        pins: [usize; 2],
        /// Whether they are joined.
        short: bool,
    },
}

/// What a hand does to put something right. Two faults with the same repair need not be told apart.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Repair {
    /// A leg goes where the plan has it.
    Leg(LegId),
    /// A whole part goes where the plan has it, and the right way round.
    Part(PartIx),
    /// Two legs change places.
    Swap(LegId, LegId),
    /// A part is put in that is missing.
    Add(PartIx),
    /// A part is exchanged for another one.
    Exchange(PartIx),
}

/// A mistake.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// How common it is.
    pub class: Class,
    /// What it changes.
    pub change: Change,
}

impl Fault {
    /// The bench with this mistake. `None` where it can't be made (the hole is taken by now).
    pub fn apply(&self, bench: &Bench) -> Option<Bench> {
        let mut after = bench.clone();
        match &self.change {
            Change::Leg { leg, to } => after.put_leg(*leg, Some(*to)).ok()?,
            Change::Out { leg } => {
                let it = &mut after.parts[leg.part.0].legs[leg.pin];
                it.hole?;
                it.depth = Depth::Out;
            }
            Change::Missing { part } => {
                after.parts[part.0].legs.iter_mut().for_each(|leg| *leg = Leg::default());
            }
            Change::Placed { part, holes, turn } => {
                let it = &mut after.parts[part.0];
                it.turn = *turn;
                for (leg, hole) in it.legs.iter_mut().zip(holes) {
                    leg.hole = *hole;
                }
                after.check_part(*part).ok()?;
            }
            Change::Swapped { legs: [one, two] } => {
                let hole = |leg: &LegId| bench.part(leg.part).legs[leg.pin].hole;
                after.parts[one.part.0].legs[one.pin].hole = hole(two);
                after.parts[two.part.0].legs[two.pin].hole = hole(one);
            }
            Change::Value { part, param, value } => after.parts[part.0].values[*param] = *value,
            Change::Broken { part, pins, short } => {
                let ohms = if *short { SHORT_OHMS } else { OPEN_OHMS };
                after.parts[part.0] = stand_in(bench.part(*part), *pins, ohms)?;
            }
        }
        Some(after)
    }

    /// What puts it right.
    pub fn repair(&self) -> Repair {
        match &self.change {
            Change::Leg { leg, .. } | Change::Out { leg } => Repair::Leg(*leg),
            Change::Missing { part } => Repair::Add(*part),
            Change::Placed { part, .. } => Repair::Part(*part),
            Change::Swapped { legs: [one, two] } => Repair::Swap(*one.min(two), *one.max(two)),
            Change::Value { part, .. } | Change::Broken { part, .. } => Repair::Exchange(*part),
        }
    }

    /// The parts that it touches.
    pub fn parts(&self) -> Vec<PartIx> {
        match &self.change {
            Change::Leg { leg, .. } | Change::Out { leg } => vec![leg.part],
            Change::Missing { part }
            | Change::Placed { part, .. }
            | Change::Value { part, .. }
            | Change::Broken { part, .. } => vec![*part],
            Change::Swapped { legs } => legs.iter().map(|leg| leg.part).collect(),
        }
    }
}

/// A part that is broken inside, as the equations see it: a resistance between two of its pins. The other
/// legs end in it without touching anything.
fn stand_in(part: &Part, pins: [usize; 2], ohms: f64) -> Option<Part> {
    let card = STAPLES.into_iter().find(|card| card.is_chosen_by_ohms())?;
    let mut broken = Part::new(part.id.clone(), card);
    broken.values[0] = Value::Number(ohms);
    for (leg, pin) in broken.legs.iter_mut().zip(pins) {
        *leg = part.legs[pin];
    }
    Some(broken)
}

/// The bench with several mistakes at once.
pub fn apply_all(bench: &Bench, faults: &[&Fault]) -> Option<Bench> {
    let mut after = bench.clone();
    for fault in faults {
        after = fault.apply(&after)?;
    }
    Some(after)
}

/// The build as somebody sees it on the table: missing parts are gone, and what is broken inside looks whole.
pub fn as_seen(plan: &Bench, faults: &[&Fault]) -> Option<Bench> {
    let visible: Vec<&Fault> =
        faults.iter().copied().filter(|it| !matches!(it.change, Change::Broken { .. })).collect();
    let mut bench = apply_all(plan, &visible)?;
    let gone = |part: usize| {
        visible.iter().any(|it| matches!(it.change, Change::Missing { part: gone } if gone.0 == part))
    };
    let mut index = 0;
    bench.parts.retain(|_| {
        index += 1;
        !gone(index - 1)
    });
    Some(bench)
}
