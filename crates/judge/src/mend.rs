//! What would mend a bench.

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::Strip;

use crate::graph::Change;

/// What mends the bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Mend {
    /// Join the two parts of a split rail.
    Bridge { powered: Strip, dead: Strip },
    /// Join a rail to the powered one of its sign.
    Feed { powered: Strip, dead: Strip },
    /// Move one leg to another half row or rail.
    Move { leg: LegId, to: Strip },
    /// Move a leg to the other rail of the pair.
    Swap { leg: LegId, to: Strip },
    /// Move a whole part down by so many rows (up when negative).
    Shift { part: PartIx, rows: i8 },
    /// Add a wire from the leg’s strip to another.
    Link { leg: LegId, to: Strip },
}

/// A mend and what comes to life by it.
#[derive(Clone, Debug)]
pub(crate) struct Repair {
    pub mend: Mend,
    pub revived: Vec<PartIx>,
    /// Whether the strip that it leads to had a single leg, waiting too.
    pub partner: Option<LegId>,
    /// Whether it would burn something as it is: a part that limits the current is missing.
    pub lacks_part: bool,
    pub change: Change,
    pub score: i32,
}

/// Everything that keeps parts dead.
#[derive(Clone, Debug, Default)]
pub(crate) struct Diagnosis {
    /// Whether no source has both leads over the board.
    pub no_supply: bool,
    /// Parts with all legs in one strip, each with what would mend it.
    pub bypassed: Vec<(PartIx, Option<Repair>)>,
    /// Wires that wait around a part that is not there.
    pub gap: Vec<LegId>,
    /// The mends, in the order in which they were found: the one that helps most first.
    pub repairs: Vec<Repair>,
    /// What stays dead for no single cause, in groups that hang together.
    pub left: Vec<Vec<PartIx>>,
}

/// A change to try.
#[derive(Clone, Debug)]
pub(crate) struct Try {
    pub mend: Mend,
    pub change: Change,
    /// How unlikely a slip it would be.
    pub cost: i32,
}
