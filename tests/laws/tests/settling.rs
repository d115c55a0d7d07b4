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
use halfrow_laws::throw::{Throw, crowd};

/// Newton iterations times unknowns of one bench at rest: a second of one core is some 14 million of them.
const MOST_WORK: u64 = 14_000_000;

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
    let most_work = all.iter().map(|it| it.work).max().unwrap_or_default();
    assert!(most_work <= MOST_WORK, "{what}: {most_work}");
    let most = |restless: bool| {
        let of = all.iter().filter(|it| it.restless == restless);
        of.max_by_key(|it| it.work).map_or((0, 0), |it| (it.work, it.seed))
    };
    println!("{what}: {} benches, {restless} restless", all.len());
    println!("  unsettled {unsettled:?}, stopped at power-on {stalled:?}");
    println!(
        "  most work (iterations x unknowns, seed): at rest {:?}, restless {:?}",
        most(false),
        most(true)
    );
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
fn the_fullest_bench_is_worked_out_within_a_second_of_one_core() {
    let one = come(0, &crowd());
    assert_eq!(tell("crowd", std::slice::from_ref(&one)), 0);
}

#[test]
fn chips_fed_through_their_inputs_settle() {
    let of = |seed| come(seed, &fed::bench(&mut Chance::new(seed)));
    let all: Vec<Came> = (0..count(300)).map(of).collect();
    let lost = tell("fed", &all);
    assert!(lost as u64 <= all.len() as u64 / 2000, "{lost}");
}

#[test]
fn an_op_amp_whose_input_is_wired_before_its_power_is_near_the_supply() {
    for kind in ["lm358", "rail-to-rail"] {
        let text = format!(
            r#"{{ "halfrow": 1, "boards": [{{ "id": "A", "kind": "half" }}], "parts": [
            {{ "id": "BT1", "kind": "battery", "cells": 4, "pins": {{ "+": "L+1", "-": "L-1" }} }},
            {{ "id": "U1", "kind": "op-amp", "type": "{kind}", "pin1": "e5" }},
            {{ "id": "W1", "kind": "wire", "pins": {{ "1": "L+3", "2": "a7" }} }} ] }}"#
        );
        let bench = halfrow_file::read(&text).expect("a bench");
        let point = solve(&bench);
        assert!(point.settled, "{kind}");
        let chip = point.part(bench.find("U1").expect("a chip"));
        let [plus, minus, supply] = [2, 3, 7].map(|pin| chip.pins[pin].volts);
        // Its V+ is a junction without current away, its V− whatever leaks make of it.
        if kind == "rail-to-rail" {
            assert!(plus - supply > 0.0 && plus - supply < 0.7, "{kind}: {plus} {supply}");
        }
        assert!(minus <= plus + 0.7 && minus >= 0.0, "{kind}: {minus}");
        assert_eq!(Run::new(&bench, Care::LIVE).stalled(), None, "{kind}");
    }
}
