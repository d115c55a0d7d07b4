//! An edit that changes nothing changes nothing, however often and whenever it comes.

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::memory::Memory;
use halfrow_core::time::{Care, Run};
use halfrow_laws::chance::Chance;
use halfrow_laws::throw::Throw;

/// Seconds that each bench runs.
const SECONDS: f64 = 0.3;

/// Steps that a bench gets: what hums fast is left out.
const MOST_STEPS: u32 = 4000;

/// Edits in that time: one in five milliseconds.
const EDITS: usize = 60;

/// Runs a bench whose knobs, light and warmth have just been changed; with edits it is taken back to some moments of its own steps and told of the same
/// bench again, as the page does at each click. `None` for benches that hum too fast or stop.
fn run(bench: &Bench, edits: Option<&mut Chance>) -> Option<Run> {
    let mut before = bench.clone();
    for part in &mut before.parts {
        for (value, param) in part.values.iter_mut().zip(part.card.params) {
            if param.live {
                *value = param.range.default_value();
            }
        }
    }
    let mut run = Run::new(&before, Care::CLOSE);
    run.set_bench(bench);
    let edits: Vec<f64> = match edits {
        Some(chance) => {
            let mut times: Vec<f64> = (0..EDITS).map(|_| SECONDS * chance.share()).collect();
            times.sort_by(f64::total_cmp);
            times
        }
        None => Vec::new(),
    };
    for time in edits {
        run.until(time, MOST_STEPS);
        run.rewind_to(time);
        run.set_bench(bench);
    }
    let there = run.until(SECONDS, MOST_STEPS) && run.stalled().is_none();
    there.then(|| {
        run.rewind_to(SECONDS);
        // Heat is known up to now after a change only.
        run.set_bench(bench);
        run
    })
}

/// How far two runs are apart: the worst of the voltages that something holds, of what drifts and of heat.
fn apart(bench: &Bench, one: &Run, other: &Run) -> Option<String> {
    let (one_point, other_point) = (one.point(), other.point());
    for (index, part) in bench.parts.iter().enumerate() {
        let (a, b): (&Memory, &Memory) = (&one.memories()[index], &other.memories()[index]);
        let is_as_hot = (a.heat - b.heat).abs() <= 1e-3 + 0.03 * a.heat;
        if a.burnt != b.burnt || !(a.burnt || is_as_hot) {
            return Some(format!("{}: heat {} and {}", part.id, a.heat, b.heat));
        }
        let drifts = part.card.acts.is_some_and(|acts| acts.drift.is_some());
        if drifts && (a.slow[0] - b.slow[0]).abs() > 1e-3 * (1.0 + a.slow[0].abs()) {
            return Some(format!("{}: {} and {}", part.id, a.slow[0], b.slow[0]));
        }
        let (a, b) = (one_point.part(PartIx(index)), other_point.part(PartIx(index)));
        let (Some(a), Some(b)) = (a.volts_across(0, 1), b.volts_across(0, 1)) else { continue };
        if (a - b).abs() > 2e-3 * (1.0 + a.abs()) {
            return Some(format!("{}: {a} V and {b} V", part.id));
        }
    }
    None
}

fn each(throw: &Throw, seeds: std::ops::Range<u64>, least: usize) {
    let (mut said, mut counted) = (Vec::new(), 0);
    for seed in seeds {
        let mut chance = Chance::new(seed);
        let bench = throw.bench(&mut chance);
        let (Some(untouched), Some(edited)) = (run(&bench, None), run(&bench, Some(&mut chance))) else {
            continue;
        };
        counted += 1;
        if let Some(what) = apart(&bench, &untouched, &edited) {
            said.push(format!("seed {seed}: {what}"));
        }
    }
    assert!(counted >= least, "{counted} benches");
    assert!(said.is_empty(), "{} of {counted}:\n{}", said.len(), said[..said.len().min(10)].join("\n"));
}

#[test]
fn an_edit_that_changes_nothing_changes_nothing() {
    // Whatever does not hum, count or switch by itself: what does so is late by another hair each time.
    let kinds = [
        "battery",
        "supply",
        "usb",
        "signal",
        "wire",
        "fuse",
        "resistor",
        "photoresistor",
        "thermistor",
        "led",
        "diode",
        "zener",
        "capacitor",
        "electrolytic",
        "inductor",
        "motor",
    ];
    each(&Throw { most: 14, extreme: false, ..Throw::only(&kinds) }, 0..120, 80);
}
