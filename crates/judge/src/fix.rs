//! Changes of a bench that a hand can make, and the bench after them.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::{Card, Value};
use halfrow_core::part::{Depth, Part, Turn};

/// A change of a bench.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Fix {
    /// Legs put into other holes; all of them are lifted first.
    Legs(Vec<(LegId, Hole)>),
    /// A stiff part put down somewhere else, or turned.
    Stiff { part: PartIx, pin1: Hole, turn: Turn },
    /// A part more: a wire, or what may be missing between two holes.
    Part { card: &'static Card, ends: [Hole; 2] },
    /// Another value.
    Value { part: PartIx, param: usize, value: Value },
}

impl Fix {
    /// The bench after the change; `None` where it can't be made.
    pub fn apply(&self, bench: &Bench) -> Option<Bench> {
        let mut after = bench.clone();
        match self {
            Fix::Legs(moves) => {
                for &(leg, _) in moves {
                    after.parts[leg.part.0].legs[leg.pin].hole = None;
                }
                for &(leg, hole) in moves {
                    after.put_leg(leg, Some(hole)).ok()?;
                }
            }
            Fix::Stiff { part, pin1, turn } => after.place_rigid(*part, *pin1, *turn).ok()?,
            Fix::Part { card, ends } => {
                let part = PartIx(after.parts.len());
                after.parts.push(Part::new(after.next_id(card), card));
                for (pin, &hole) in ends.iter().enumerate() {
                    after.put_leg(LegId { part, pin }, Some(hole)).ok()?;
                }
            }
            Fix::Value { part, param, value } => after.parts[part.0].values[*param] = *value,
        }
        Some(after)
    }
}

/// The bench with every leg that is in a hole pushed all the way in: what is loose is told by itself.
pub(crate) fn pushed_in(bench: &Bench) -> Bench {
    let mut after = bench.clone();
    for leg in after.parts.iter_mut().flat_map(|part| &mut part.legs) {
        leg.depth = Depth::Full;
    }
    after
}
