//! The fewest moves that make a build its plan's circuit: never more than slips were made, after them equal,
//! and the leg or part that slipped is the one that is named.
//!
//! `HALFROW_MOVES=20 cargo test -p halfrow-laws --test moves -- --nocapture` makes twenty builds of each
//! example and number of slips instead of one, and tells of each that misses.

use halfrow_compare::{Answer, Budget, Plan, Verdict, compare, is_equal};
use halfrow_core::bench::Bench;
use halfrow_file::examples::ALL;
use halfrow_laws::chance::Chance;
use halfrow_laws::relayout::Relayout;
use halfrow_laws::slip::Slip;

/// Builds of each example and number of slips.
fn builds() -> usize {
    std::env::var("HALFROW_MOVES").ok().and_then(|it| it.parse().ok()).unwrap_or(1)
}

/// A build with so many slips, and what they were.
fn with_slips(right: &Bench, slips: usize, chance: &mut Chance) -> (Bench, Vec<(Slip, String)>) {
    let mut build = right.clone();
    let mut made = Vec::new();
    while made.len() < slips {
        let slip = chance.of(&Slip::ALL);
        if let Some((next, id)) = slip.make(&build, chance) {
            build = next;
            made.push((slip, id));
        }
    }
    (build, made)
}

#[derive(Default, Debug)]
struct Tally {
    different: usize,
    /// No moves within the budget.
    unfound: usize,
    /// More moves than slips.
    more: usize,
    /// Nothing shorter does it.
    proven: usize,
    /// Every part that slipped is named.
    named: usize,
    /// Fewer moves than slips: some slip changed nothing, or undid another.
    fewer: usize,
    /// As many moves as slips, and after them every leg that slipped is where it was: in the same strip, whichever hole.
    exact: usize,
    /// Not named, but others would do as well.
    tied: usize,
}

impl Tally {
    fn count(&mut self, right: &Bench, slips: &[(Slip, String)], answer: &Answer) -> &'static str {
        self.different += 1;
        if !answer.found {
            self.unfound += 1;
            return "UNFOUND";
        }
        self.proven += usize::from(answer.is_least());
        if answer.cost() > slips.len() {
            self.more += 1;
            return "MORE";
        }
        let named = |id: &String| {
            let other = |it: &halfrow_compare::Move| it.other.as_ref().is_some_and(|it| it.0 == *id);
            answer.moves.iter().any(|it| it.part == *id || other(it))
        };
        let exact = as_before(right, &answer.mended);
        self.exact += usize::from(exact && answer.cost() == slips.len());
        self.fewer += usize::from(answer.cost() < slips.len());
        if slips.iter().all(|it| named(&it.1)) {
            self.named += 1;
            return if exact { "" } else { "ELSEWHERE" };
        }
        // Fewer moves than slips, or as many others: the slips undid each other, or nobody can tell.
        if answer.tied || answer.cost() < slips.len() {
            self.tied += 1;
            return if exact { "" } else { "TIED" };
        }
        "MISSED"
    }
}

/// What lies between which strips: kind, values, and a strip for each leg; for parts whose legs are alike in
/// the order of the strips. Names of wires don't count.
fn lies(bench: &Bench) -> Vec<String> {
    let mut lies: Vec<String> = bench
        .parts
        .iter()
        .map(|part| {
            let mut strips: Vec<String> = part
                .legs
                .iter()
                .map(|leg| format!("{:?} {:?}", leg.hole.and_then(|it| bench.strip(it)), leg.depth))
                .collect();
            if part.card.is_wire() || !part.card.alike.is_empty() && part.legs.len() == 2 {
                strips.sort();
            }
            let values = if part.card.is_wire() { vec![] } else { part.values.clone() };
            format!("{} {values:?} {strips:?}", part.card.kind)
        })
        .collect();
    lies.sort();
    lies
}

/// Whether everything lies in the strips in which it lay.
fn as_before(right: &Bench, mended: &Bench) -> bool {
    lies(right) == lies(mended)
}

/// Builds of every example with so many slips; in the plan's layout or in another one.
fn tally(slips: usize, same_layout: bool, chance: &mut Chance) -> Tally {
    let mut tally = Tally::default();
    for example in ALL.iter().filter(|it| it.twin.is_none()) {
        let plan = halfrow_file::read(example.text()).unwrap();
        for _ in 0..builds() {
            let right = if same_layout {
                plan.clone()
            } else {
                let layout = Relayout { rename: false, ..Relayout::default() };
                layout.bench(&plan, chance).expect("it fits")
            };
            let (build, made) = with_slips(&right, slips, chance);
            let answer = compare(&Plan::of(&plan), &build, Budget::default());
            if answer.verdict != Verdict::Different {
                continue;
            }
            assert_ne!(is_equal(&plan, &build), Some(true));
            if answer.found {
                assert_eq!(is_equal(&plan, &answer.mended), Some(true), "{} {made:?}", example.slug);
                answer.mended.check().unwrap();
            }
            let missed = tally.count(&right, &made, &answer);
            if !missed.is_empty() && std::env::var("HALFROW_MOVES").is_ok() {
                let says: Vec<&str> = answer.moves.iter().map(|it| it.says.as_str()).collect();
                println!("{missed} {slips} {} {made:?} at least {}: {says:?}", example.slug, answer.bound);
                if std::env::var("HALFROW_BENCHES").is_ok() {
                    println!("{}", halfrow_file::write(&build));
                }
            }
        }
    }
    println!("{slips} slips, same layout {same_layout}: {tally:?}");
    tally
}

#[test]
fn builds_that_lie_as_their_plan_are_put_right() {
    let mut chance = Chance::new(3);
    let tallies: Vec<Tally> = (1..=4).map(|slips| tally(slips, true, &mut chance)).collect();
    for (slips, tally) in (1..).zip(&tallies) {
        assert_eq!((tally.unfound, tally.more), (0, 0), "{slips}: {tally:?}");
    }
    let single = &tallies[0];
    assert_eq!(single.named + single.tied, single.different, "{single:?}");
    assert_eq!(single.proven, single.different, "{single:?}");
    // What is put elsewhere than it was is one of several places that do.
    for (tally, percent) in tallies.iter().zip([95, 90]) {
        assert!(100 * tally.exact >= percent * (tally.different - tally.fewer), "{tally:?}");
    }
}

#[test]
fn builds_in_other_layouts_are_put_right() {
    let mut chance = Chance::new(5);
    let tallies: Vec<Tally> = (1..=2).map(|slips| tally(slips, false, &mut chance)).collect();
    for (slips, tally) in (1..).zip(&tallies) {
        // Chips among wires are hard to put back where nothing says where they stood.
        assert!(10 * (tally.unfound + tally.more) <= 2 * tally.different, "{slips}: {tally:?}");
    }
}
