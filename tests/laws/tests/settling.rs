//! Every bench has an answer: how many of those that chance makes stay without one, and how much work the
//! answer is.
//!
//! `HALFROW_BENCHES=10000 cargo test -p halfrow-laws --test settling -- --nocapture` counts as many and says
//! which.

use halfrow_core::bench::Bench;
use halfrow_core::solve::{OperatingPoint, solve};
use halfrow_core::time::{Care, Run};
use halfrow_laws::chance::Chance;
use halfrow_laws::fed;
use halfrow_laws::throw::Throw;

/// What came of one bench.
struct Came {
    seed: u64,
    unsettled: bool,
    stalled: bool,
    restless: bool,
    /// Newton iterations times unknowns.
    work: u64,
}

fn come(seed: u64, bench: &Bench) -> Came {
    let point: OperatingPoint = solve(bench);
    let run = Run::new(bench, Care::LIVE);
    let work = u64::from(point.work.iterations) * u64::from(point.work.unknowns);
    Came { seed, unsettled: !point.settled, stalled: run.stalled().is_some(), restless: point.restless, work }
}

/// How many benches are looked at: a few, or what the environment says.
fn count(few: u64) -> u64 {
    let told = std::env::var("HALFROW_BENCHES").ok().and_then(|it| it.parse().ok());
    told.unwrap_or(few)
}

fn tell(what: &str, all: &[Came]) -> usize {
    let seeds = |of: &dyn Fn(&Came) -> bool| -> Vec<u64> {
        all.iter().filter(|it| of(it)).map(|it| it.seed).collect()
    };
    let (unsettled, stalled) = (seeds(&|it| it.unsettled), seeds(&|it| it.stalled));
    let restless = seeds(&|it| it.restless).len();
    let most = |restless: bool| {
        let of = all.iter().filter(|it| it.restless == restless);
        of.max_by_key(|it| it.work).map_or((0, 0), |it| (it.work, it.seed))
    };
    println!("{what}: {} benches, {restless} restless", all.len());
    println!("  unsettled {unsettled:?}, stopped at power-on {stalled:?}");
    println!("  most work (iterations x unknowns, seed): at rest {:?}, restless {:?}", most(false), most(true));
    unsettled.len().max(stalled.len())
}

#[test]
fn benches_of_chance_settle() {
    let throw = Throw::with_clock();
    let of = |seed| come(seed, &throw.bench(&mut Chance::new(seed)));
    let all: Vec<Came> = (0..count(400)).map(of).collect();
    let lost = tell("anything", &all);
    assert!(lost as u64 <= 2 * all.len() as u64 / 10_000, "{lost}");
}

#[test]
fn chips_fed_through_their_inputs_settle() {
    let of = |seed| come(seed, &fed::bench(&mut Chance::new(seed)));
    let all: Vec<Came> = (0..count(300)).map(of).collect();
    let lost = tell("fed", &all);
    assert!(lost as u64 <= all.len() as u64 / 2000, "{lost}");
}
