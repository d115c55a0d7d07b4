//! How tidily a bench is built: habits that make it hard to read, each measured, and bare leads that could
//! touch. None of it is a fault: an untidy bench does what a tidy one does.
//!
//! Start with `Layout` (holes in millimetres, nets, supply), then the rules by theme: `wires`, `colours`,
//! `placing`, `leads`. [`TIDY_RULES`] is the table. A rule is a function from the layout to points; it measures
//! first and speaks only past a limit, which stands beside it with its reason. Wires and leads are taken as
//! straight from hole to hole, as a flat wire lies.

mod colours;
mod layout;
mod leads;
mod placing;
mod wires;

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::board::Hole;

use crate::finding::Severity;
use layout::Layout;

/// One thing that could be tidier.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// The name of its rule.
    pub code: &'static str,
    /// A habit, or a risk where metal could touch metal.
    pub severity: Severity,
    /// The parts that it speaks of, the worst first.
    pub parts: Vec<PartIx>,
    /// The holes to mark.
    pub holes: Vec<Hole>,
    /// What is seen at a glance.
    pub symptom: String,
    /// What and where, with its figure.
    pub says: String,
    /// Why it matters.
    pub why: String,
    /// What to do.
    pub remedy: String,
    /// What it takes from a score of a hundred.
    pub costs: u32,
}

/// A rule: what it is called, where it comes from, and what it says of a layout.
pub struct TidyRule {
    /// Its name, in files and on the screen.
    pub code: &'static str,
    /// Where the custom comes from.
    pub source: &'static str,
    run: fn(&Layout<'_>) -> Vec<Point>,
}

/// What every bench-side teacher says and no standard does.
const PRACTICE: &str = "common practice, no source";

/// All rules, in the order in which their points are told.
pub static TIDY_RULES: [TidyRule; 14] = [
    TidyRule { code: "leads-near", source: PRACTICE, run: leads::near },
    TidyRule { code: "rails-unused", source: PRACTICE, run: wires::past_the_rails },
    TidyRule { code: "wire-long", source: PRACTICE, run: wires::long },
    TidyRule { code: "wire-over-part", source: PRACTICE, run: wires::over_parts },
    TidyRule { code: "wires-cross", source: PRACTICE, run: wires::crossing },
    TidyRule { code: "colour-opposite", source: PRACTICE, run: colours::opposite },
    TidyRule { code: "supply-colour", source: PRACTICE, run: colours::of_supply },
    TidyRule { code: "net-colours", source: PRACTICE, run: colours::of_nets },
    TidyRule { code: "one-colour", source: PRACTICE, run: colours::all_one },
    TidyRule { code: "part-stretched", source: PRACTICE, run: placing::stretched },
    TidyRule { code: "chips-turned", source: PRACTICE, run: placing::turned },
    TidyRule { code: "no-room", source: PRACTICE, run: placing::no_room },
    TidyRule {
        code: "decoupling-far",
        source: "from memory: makers’ data sheets of logic chips and timers ask for about 100 nF close to the supply pins; the 20 mm are common practice, no source",
        run: placing::decoupling,
    },
    TidyRule { code: "signal-back", source: PRACTICE, run: placing::signal_back },
];

/// The most that one rule takes from the score: no habit alone makes a bench untidy, all of them together do.
const RULE_COSTS: u32 = 12;

/// How tidy a bench is.
#[derive(Clone, Debug, PartialEq)]
pub struct Tidy {
    /// Everything that could be tidier; risks first.
    pub points: Vec<Point>,
}

impl Tidy {
    /// From 100 for nothing to say down to 0. It orders benches of one class of circuits; it measures
    /// nothing else, and says nothing about whether the circuit is right.
    pub fn score(&self) -> u32 {
        let costs =
            |code: &str| self.points.iter().filter(|it| it.code == code).map(|it| it.costs).sum::<u32>();
        let all = TIDY_RULES.iter().map(|rule| costs(rule.code).min(RULE_COSTS));
        100_u32.saturating_sub(all.sum())
    }
}

/// Looks over a bench.
pub fn tidy(bench: &Bench) -> Tidy {
    let layout = Layout::of(bench);
    let mut points: Vec<Point> = TIDY_RULES.iter().flat_map(|rule| (rule.run)(&layout)).collect();
    points.sort_by_key(|it| it.severity);
    Tidy { points }
}
