//! What is wrong with a bench, in the words of holes and rows.
//!
//! `bench + operating point -> graph -> diagnosis -> rules -> findings`. Start with `finding` (what
//! comes out), then `graph` (the bench as it is put together), `flow` (which way current can go),
//! `repair` (what is broken, found by what would mend it: `tries` lists the changes, `hazard` holds
//! back those that would do harm, `mend` is what comes out), [`Judged`] (all of that, for the rules)
//! and `rules` (one small function each, by theme). `words` names places and legs.
//!
//! [`RULES`] is the table. To add a rule: write a `static` of type [`Rule`] and its function in the
//! file of its theme under `rules/`, list it in [`RULES`] behind the rules whose findings explain
//! its own, and add a line to the tables in `tests/`: what finds it, and a right bench that looks
//! alike and must not. A rule reads [`Judged`] and the findings made before it, and keeps silent
//! where one of those is the cause: one cause, one finding. Strings are put together for findings
//! only, so that a right bench costs a few passes over its legs.
//!
//! How bad a finding is: a fault keeps the bench from doing what it is built for, or hurts
//! something; a risk works now, or is a bench that isn't finished; a habit works and reads badly.
//! On a right bench there is no fault and no risk, whatever the position of its switches.

mod catching;
mod code;
mod colours;
mod finding;
mod fix;
mod flow;
mod gates;
mod graph;
mod guess;
mod hazard;
mod hearing;
mod judged;
mod lamps;
mod mend;
mod oddness;
mod places;
mod repair;
mod rule;
mod rules;
mod second;
mod telling;
pub mod tidy;
mod trial;
mod tries;
mod words;

pub use finding::{Code, Finding, Severity};
pub use judged::Judged;
pub use rule::Rule;

use halfrow_core::bench::Bench;
use halfrow_core::solve::{OperatingPoint, solve_in_portions};
use halfrow_core::time::portions::{LetGo, finish};

/// Every rule, in the order in which they are asked: causes before consequences.
pub static RULES: [&Rule; 55] = [
    &rules::harm::CLOCK_STOPPED,
    &rules::harm::BURNT,
    &rules::supply::SHORT,
    &rules::supply::FIGHT,
    &rules::supply::SHORT_WHEN_SWITCHED,
    &rules::polarity::SUPPLY_BACKWARDS,
    &rules::legs::LEG_OUT,
    &rules::legs::LEG_BARELY,
    &rules::legs::LEG_IN_AIR,
    &rules::legs::STRADDLE,
    &rules::chips::CHIP_TURNED,
    &rules::chips::CHIP_REVERSED,
    &rules::chips::CHIP_UNPOWERED,
    &rules::chips::CHIP_SUPPLY,
    &rules::steering::TRANSISTOR_LEGS,
    &rules::idle::PART_MISSING,
    &rules::joins::BYPASSED,
    &rules::rails::RAIL_SPLIT,
    &rules::rails::RAIL_UNPOWERED,
    &rules::rails::WRONG_RAIL,
    &rules::switches::ALWAYS_ON,
    &rules::joins::LEG_ALONE,
    &rules::joins::PART_OFF,
    &rules::signals::OUTPUT_SHORTED,
    &rules::signals::OUTPUTS_FIGHT,
    &rules::steering::TRANSISTOR_SORT,
    &rules::steering::BASE_NO_RESISTOR,
    &rules::steering::NO_FLYBACK,
    &rules::polarity::BACKWARDS,
    &rules::polarity::WRONG_COMMON,
    &rules::idle::LOOSE_END,
    &rules::idle::IDLE_SWITCH,
    &rules::polarity::SUPPLY_TOO_LOW,
    &rules::limits::LED_NO_RESISTOR,
    &rules::limits::TOO_MUCH_CURRENT,
    &rules::limits::TOO_MUCH_POWER,
    &rules::limits::TOO_MUCH_VOLTAGE,
    &rules::limits::TOO_MUCH_REVERSE,
    &rules::supply::OVERLOADED,
    &rules::values::TOO_MUCH_WHEN_WORKED,
    &rules::values::TOO_LITTLE,
    &rules::values::PACK_EMPTY,
    &rules::signals::INPUT_FLOATING,
    &rules::signals::INPUT_LET_GO,
    &rules::joins::OPEN_END,
    &rules::joins::NO_PATH,
    &rules::signals::NO_PULL_UP,
    &rules::signals::OUTPUT_IDLE,
    &rules::habits::NOT_SETTLED,
    &rules::idle::IDLE_WIRE,
    &rules::joins::NO_SUPPLY,
    &rules::signals::INPUT_UNUSED,
    &rules::chips::NO_DECOUPLING,
    &rules::habits::LEAD_SIGN,
    &rules::habits::WIRE_COLOUR,
];

/// All findings of a bench, worst first and causes before consequences. `point` is the operating
/// point of the same bench.
pub fn check(bench: &Bench, point: &OperatingPoint) -> Vec<Finding> {
    finish(check_in_portions(bench, point))
}

/// The same, letting go after each rule and after each of the changes that are tried: for whoever draws a
/// page meanwhile. First the rules look ([`first_look`]); where they find something odd, every small change
/// that could make the bench right is tried out.
pub async fn check_in_portions(bench: &Bench, point: &OperatingPoint) -> Vec<Finding> {
    let judged = Judged::of(bench, point);
    LetGo::default().await;
    judged.prepare().await;
    let mut first = look(&judged).await;
    let verdict = second::look(&judged, &first, weight).await;
    second::verify(&judged, &mut first).await;
    let Some(verdict) = verdict else { return first };
    let point = solve_in_portions(&verdict.after, second::PORTION).await;
    let after = Judged::of(&verdict.after, &point);
    after.prepare().await;
    let then = look(&after).await;
    telling::tell(&judged, first, &verdict, &then)
}

/// What the rules find, without trying anything out.
pub fn first_look(bench: &Bench, point: &OperatingPoint) -> Vec<Finding> {
    finish(look(&Judged::of(bench, point)))
}

async fn look(judged: &Judged<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for rule in RULES {
        (rule.run)(judged, &mut findings);
        LetGo::default().await;
    }
    // Stable: within a severity the order of the rules stays.
    findings.sort_by_key(|finding| finding.severity);
    findings
}

/// How much the rules say against a bench that is tried, in the points of [`oddness`].
fn weight(bench: &Bench, point: &OperatingPoint) -> i32 {
    let judged = Judged::plain(bench, point);
    let points = |it: &Finding| match it.severity {
        Severity::Fault => 12,
        Severity::Risk => 8,
        Severity::Habit => 1,
    };
    finish(look(&judged)).iter().map(points).sum()
}
