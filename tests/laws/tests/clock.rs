//! Laws of every bench whose clock runs, whatever is thrown at it.

use halfrow_core::bench::Bench;
use halfrow_core::time::{Care, Run, Stall};
use halfrow_laws::chance::Chance;
use halfrow_laws::throw::Throw;

/// Steps that one bench gets: enough for a second of what a person builds. What hums at megahertz gets
/// no farther, and need not.
const MOST_STEPS: u32 = 1500;

/// Newton iterations of one step, or of the moment at which the power comes on, at most. What needs
/// thousands has no voltages at which the currents add up, or hardly; a page lets go of it after each portion
/// and goes on in the next frame.
const MOST_ITERATIONS: u64 = 4000;

/// Steps in which some time must pass.
const STEPS_OF_NO_TIME: u32 = 50;

/// Runs a bench for a second or as far as its steps lead; says what is against it.
fn run(bench: &Bench) -> (Run, Option<String>) {
    let mut run = Run::new(bench, Care::LIVE);
    let (mut iterations, mut steps, mut since) = (0, 0, -1.0);
    for _ in 0..MOST_STEPS {
        let taken = run.effort().iterations - iterations;
        if taken > MOST_ITERATIONS {
            let at = run.time();
            return (run, Some(format!("{taken} iterations at once up to {at}")));
        }
        iterations = run.effort().iterations;
        if run.time() >= 1.0 || run.stalled().is_some() {
            break;
        }
        run.advance();
        steps += 1;
        // Between two moments there are events: a few steps may take none of its time, not many.
        if steps % STEPS_OF_NO_TIME == 0 {
            if run.stalled().is_none() && run.time() <= since {
                return (run, Some(format!("no time passes at {since}")));
            }
            since = run.time();
        }
    }
    let point = run.point();
    let readings = point.parts.iter().flat_map(|part| &part.pins).flat_map(|pin| [pin.volts, pin.amps]);
    let mut numbers = readings.chain(point.node_volts.iter().copied());
    let wrong = numbers.find(|x| !x.is_finite()).map(|x| format!("{x} among the readings at {}", run.time()));
    (run, wrong)
}

/// Runs benches of many seeds; a clock that stops must be rare, and name a part. Of a hundred, so many must
/// come to the end of their second or to a stop within their steps; the rest hum at kilohertz and more.
fn each(throw: &Throw, seeds: std::ops::Range<u64>, most_stalls: usize, least_arrive: usize) {
    let (mut said, mut stalls) = (Vec::new(), Vec::new());
    let mut arrived = 0;
    for seed in seeds.clone() {
        let bench = throw.bench(&mut Chance::new(seed));
        let (run, wrong) = run(&bench);
        arrived += usize::from(run.time() >= 1.0 || run.stalled().is_some());
        if let Some(what) = wrong {
            said.push(format!("seed {seed} ({} parts): {what}", bench.parts.len()));
        }
        if let Some(stall) = run.stalled() {
            let findings = halfrow_judge::check(&bench, &run.point());
            let told = findings.iter().find(|it| it.code.word() == "clock-stopped");
            if told.is_none_or(|it| it.parts != [stall.part()]) {
                said.push(format!("seed {seed}: {stall:?} is not told"));
            }
            stalls.push((seed, stall));
        }
    }
    let shown = said.iter().take(12).cloned().collect::<Vec<_>>().join("\n");
    assert!(said.is_empty(), "{} of {} benches:\n{shown}", said.len(), seeds.end - seeds.start);
    let all = (seeds.end - seeds.start) as usize;
    assert!(100 * arrived >= least_arrive * all, "only {arrived} of {all} come to their end");
    let shown: Vec<&(u64, Stall)> = stalls.iter().take(8).collect();
    assert!(stalls.len() <= most_stalls, "{} of {} stop: {shown:?}", stalls.len(), seeds.end - seeds.start);
}

#[test]
fn every_bench_runs_for_a_second_or_its_clock_names_a_part() {
    // Two stop today. What is allowed is what would still be no loss: nobody builds such benches.
    each(&Throw { most: 25, ..Throw::with_clock() }, 0..1500, 6, 90);
}

#[test]
fn transistors_and_coils_run() {
    let kinds = [
        "battery",
        "supply",
        "wire",
        "resistor",
        "transistor",
        "transistor-cbe",
        "mosfet",
        "power-mosfet",
        "inductor",
        "motor",
        "relay",
        "diode",
        "zener",
        "capacitor",
        "push-button",
    ];
    each(&Throw { most: 16, ..Throw::only(&kinds) }, 0..800, 8, 90);
}

#[test]
fn chips_run() {
    let kinds = [
        "usb",
        "battery",
        "wire",
        "resistor",
        "capacitor",
        "electrolytic",
        "555",
        "op-amp",
        "comparator",
        "74hc00",
        "74hc04",
        "74hc14",
        "74hc74",
        "74hc4017",
        "led",
        "signal",
        "piezo",
    ];
    each(&Throw { most: 18, depths: false, ..Throw::only(&kinds) }, 0..800, 8, 75);
}
