//! A second look: every small change that could make a bench right is tried out on a copy, and the one that
//! leaves least to wonder at is what a hand has done.
//!
//! First the graph of each copy is weighed ([`crate::oddness`]); the best of them are solved and the rules
//! are asked; the best of those are tried in every position of their switches, so that no remedy is told
//! that would burn something. Each portion of the work is a few copies or one position.

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::parts::STAPLES;
use halfrow_core::solve::{OperatingPoint, solve_in_portions};
use halfrow_core::time::portions::LetGo;

use crate::finding::{Code, Finding, Severity, tells};
use crate::fix::{Fix, pushed_in};
use crate::graph::Graph;
use crate::guess::{Guess, Guesses, What};
use crate::judged::Judged;
use crate::mend::Mend;
use crate::oddness::{glance, oddness};
use crate::trial::trial;
use crate::words::{free_hole, hole_if, strip_name};

/// So many guesses are weighed at most: a crowded bench has more, and what slipped is mostly among the first.
const MOST_GUESSES: usize = 4000;
/// So many are solved.
const SOLVED: usize = 32;
/// What speaks for a guess about a part that the first look speaks of, while it is chosen which to solve.
const NEAR: i32 = 5;
/// So many are tried in every position.
const TRIED: usize = 6;
/// What never does anything, in the points of [`crate::oddness`].
const IDLE: i32 = 9;
/// A guess that leaves less to wonder at than this is none, in the same points.
const LEAST_GAIN: i32 = 4;
/// Where the rules are silent a guess has to explain more: right benches are odd at times.
const LEAST_UNTOLD: i32 = 8;
/// A right bench that the rules are silent about is less odd than this.
const LEAST_ODD: i32 = 6;
/// Guesses nearer to each other than this are told as two possibilities, in the same points.
const AS_GOOD: i32 = 2;
/// What speaks for a guess that the first look's own search came to as well.
const AGREED: i32 = 1;
/// Copies weighed before the search lets go: some hundred microseconds’ worth.
const COPIES: usize = 2;
/// Newton iterations times unknowns after which a solution lets go, as for a page’s own.
pub(crate) const PORTION: u64 = 500;

/// What came of the second look.
#[derive(Debug)]
pub(crate) struct Verdict {
    /// The best guess.
    pub guess: Guess,
    /// The bench with it taken back.
    pub after: Bench,
    /// Another that is as good.
    pub other: Option<Guess>,
}

/// A guess under way.
struct Weighed {
    guess: Guess,
    after: Bench,
    /// How odd the bench is with it, and what it costs.
    points: i32,
}

/// Looks for the slip that explains most; `None` where nothing does. `weight` asks the rules.
pub(crate) async fn look(
    judged: &Judged<'_>,
    first: &[Finding],
    weight: fn(&Bench, &OperatingPoint) -> i32,
) -> Option<Verdict> {
    let told = first.iter().any(|it| it.severity != Severity::Habit);
    let own =
        [Code::ClockStopped, Code::BurntOut, Code::LegOut, Code::LegBarely, Code::LegInAir, Code::NoSupply];
    if tells(first, &own) || judged.graph.poles().is_empty() {
        return None;
    }
    let base = pushed_in(judged.bench);
    let odd = oddness(&Judged::plain(&base, judged.point));
    if !told && odd < LEAST_ODD {
        return None;
    }
    let mut weighed: Vec<Weighed> = Vec::new();
    for (at, guess) in Guesses::of(&base).into_iter().take(MOST_GUESSES).enumerate() {
        if at % COPIES == 0 {
            LetGo::default().await;
        }
        let Some(after) = guess.fix.apply(&base) else { continue };
        let agreed = if judged.mends(&guess.what) { AGREED } else { 0 };
        let own = guess.cost - agreed;
        let graph = Graph::of(&after);
        // Most changes do harm that is seen at a glance.
        let enough = weighed.get(SOLVED).map_or(odd + own, |it: &Weighed| it.points.min(odd + own));
        if glance(&after, &graph) + own > enough + NEAR {
            continue;
        }
        let points = oddness(&Judged::plain_with(&after, judged.point, graph)) + own;
        if points <= odd + own {
            let place = weighed.partition_point(|it| it.points <= points);
            weighed.insert(place, Weighed { guess, after, points });
            weighed.truncate(2 * SOLVED);
        }
    }
    // What the first look speaks of is looked at first.
    let spoken: Vec<PartIx> = first
        .iter()
        .filter(|it| it.severity != Severity::Habit)
        .flat_map(|it| it.parts.iter().take(3).copied())
        .collect();
    let is_near = |it: &Weighed| it.guess.part().is_some_and(|part| spoken.contains(&part));
    weighed.sort_by_key(|it| it.points - if is_near(it) { NEAR } else { 0 });
    weighed.truncate(SOLVED);
    weighed.sort_by_key(|it| it.points);
    let before = odd + weight(&base, judged.point);
    // The rules only add points: what has more already than the best with all of them comes no nearer.
    let mut best = before;
    let mut solved: Vec<Weighed> = Vec::new();
    for mut it in weighed {
        if it.points > best + IDLE {
            break;
        }
        it.points += weight(&it.after, &solve_in_portions(&it.after, PORTION).await);
        best = best.min(it.points);
        solved.push(it);
        LetGo::default().await;
    }
    let mut weighed = solved;
    weighed.sort_by_key(|it| it.points);
    let least = if told { LEAST_GAIN } else { LEAST_UNTOLD };
    tried(&base, weighed, before, least).await
}

/// The best of some guesses that burns nothing in any position.
async fn tried(base: &Bench, weighed: Vec<Weighed>, before: i32, least: i32) -> Option<Verdict> {
    if weighed.first().is_none_or(|it| before - it.points < least - IDLE) {
        return None;
    }
    let now = trial(base).await;
    let before = before + IDLE * now.idle.len() as i32;
    let mut sound: Vec<Weighed> = Vec::new();
    for mut it in weighed.into_iter().take(TRIED) {
        let best = sound.iter().map(|it| it.points).min().unwrap_or(before - least);
        // What is nearly as good is told as well.
        if it.points > best + AS_GOOD {
            break;
        }
        let then = trial(&it.after).await;
        let is_new = |part: &PartIx| !now.hurt.contains(part);
        // What is missing is no remedy that is followed to the letter: a part is named.
        // Nor is a part sent far away to where it does nothing: that only ends what it does here.
        let is_for_nothing = matches!(it.guess.what, What::Away { part } if then.idle.contains(&part));
        if then.hurt.iter().any(is_new) || is_for_nothing {
            continue;
        }
        it.points += IDLE * then.idle.len() as i32;
        sound.push(it);
    }
    sound.sort_by_key(|it| it.points);
    let mut sound = sound.into_iter().filter(|it| before - it.points >= least);
    let best = sound.next()?;
    // Somebody who can't tell two apart says so; a third is left out.
    let is_other = |it: &Guess| it.part().is_some() && it.part() != best.guess.part();
    let other = sound
        .take_while(|it| it.points - best.points <= AS_GOOD)
        .map(|it| it.guess)
        .find(|it| best.guess.part().is_some() && is_other(it));
    Some(Verdict { guess: best.guess, after: best.after, other })
}

impl Judged<'_> {
    /// Whether the search of the first look came to the same.
    pub(crate) fn mends(&self, what: &What) -> bool {
        let bench = self.bench;
        let same = |mend: Mend| match (*what, mend) {
            (
                What::Leg { leg, to },
                Mend::Move { leg: own, to: there } | Mend::Swap { leg: own, to: there },
            ) => own == leg && there == to,
            (What::Rows { part, rows }, Mend::Shift { part: own, rows: by }) => own == part && by == rows,
            (What::Missing { ends, .. }, Mend::Link { leg, to }) => {
                let from = hole_if(bench, leg).and_then(|hole| bench.strip(hole));
                ends.contains(&to) && from.is_some_and(|from| ends.contains(&from))
            }
            (What::Missing { ends, .. }, Mend::Bridge { powered, dead } | Mend::Feed { powered, dead }) => {
                ends.contains(&powered) && ends.contains(&dead)
            }
            _ => false,
        };
        self.diagnosis().repairs.iter().any(|repair| same(repair.mend))
    }
}

/// Takes back what a remedy of the first look says where it would burn something in any position of the
/// switches: it is tried like every guess.
pub(crate) async fn verify(judged: &Judged<'_>, findings: &mut [Finding]) {
    let bench = judged.bench;
    let mut now = None;
    for repair in &judged.diagnosis().repairs {
        let (Mend::Move { leg, to } | Mend::Swap { leg, to } | Mend::Link { leg, to }) = repair.mend else {
            continue;
        };
        let Some(hole) = hole_if(bench, leg) else { continue };
        let is_its =
            |it: &&mut Finding| it.parts.first() == Some(&leg.part) && it.holes.first() == Some(&hole);
        let Some(finding) = findings.iter_mut().find(is_its) else { continue };
        let fix = match repair.mend {
            Mend::Link { .. } => bench.strip(hole).and_then(|from| {
                let from = free_hole(bench, from, hole, None)?;
                let to = free_hole(bench, to, hole, None)?;
                Some(Fix::Part { card: STAPLES[0], ends: [from, to] })
            }),
            _ => free_hole(bench, to, hole, Some(leg)).map(|to| Fix::Legs(vec![(leg, to)])),
        };
        let Some(after) = fix.and_then(|fix| fix.apply(bench)) else { continue };
        let before = match now {
            Some(ref hurt) => hurt,
            None => now.insert(trial(bench).await.hurt),
        };
        if trial(&after).await.hurt.iter().any(|part| !before.contains(part)) {
            let there = strip_name(bench, to);
            finding.remedy = format!(
                "Look at your plan: what belongs between {hole} and {there}? A bare wire would burn something."
            );
        }
    }
}

impl Guess {
    /// The part that slipped, if one did.
    pub fn part(&self) -> Option<PartIx> {
        match self.what {
            What::Leg { leg, .. } => Some(leg.part),
            What::Exchanged { legs } => Some(legs[0].part),
            What::Rows { part, .. }
            | What::Away { part }
            | What::Turned { part }
            | What::Order { part }
            | What::Value { part, .. } => Some(part),
            What::Missing { .. } => None,
        }
    }
}
