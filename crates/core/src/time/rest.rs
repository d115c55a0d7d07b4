//! A bench at rest.

use super::events::Which;
use super::{Actor, Care, Run};
use crate::bench::{Bench, PartIx};
use crate::circuit::Contacts;
use crate::memory::Memory;
use crate::point::{OperatingPoint, Work};
use crate::readings::PartReading;
use halfrow_equations::portions::finish;
use halfrow_equations::system::{Effort, Moment};

/// How often parts may change their minds before a bench counts as one that never comes to rest.
pub(super) const MOST_CHANGES: u32 = 300;

/// Steps of the run whose mean stands for a bench that never comes to rest: some dozens of periods
/// of a blinker, and few enough to be made at each change of the bench.
const TRIAL_STEPS: u32 = 300;

/// The same in steps times elements: a crowded bench gets fewer steps, so that a change of it still
/// shows at once on a slow machine.
const TRIAL_WORK: usize = 20_000;

/// Newton iterations times unknowns that a bench which never comes to rest gets, half of them to see that it
/// doesn't: some seven tenths of a second of one core (0.07 µs each, native, measured on benches of chance of
/// 200 unknowns). The most of ten thousand such benches is a twentieth of it.
const MOST_WORK: u64 = 10_000_000;

/// The bench at rest: capacitors carry no current, coils drop no voltage, every part that acts has
/// seen what it does and changes no more. A bench that never comes to rest is told by `restless`; its
/// readings are means over a run from when its power came on, the first third left out.
pub fn at_rest(bench: &Bench, contacts: Contacts) -> OperatingPoint {
    finish(rest(bench, contacts, u64::MAX))
}

/// [`at_rest`], letting go after each portion of work.
pub(crate) async fn rest(bench: &Bench, contacts: Contacts, portion: u64) -> OperatingPoint {
    let (run, restless) = settle(bench, Care::LIVE, contacts, portion).await;
    let mut effort = run.effort();
    let mut point = if restless {
        let (point, more) = mean(bench, contacts, portion).await;
        effort.iterations += more.iterations;
        effort.factorisations += more.factorisations;
        point
    } else {
        run.point()
    };
    point.cut_short |= restless && run.has_worked(MOST_WORK / 2);
    point.restless = restless;
    point.work = Work {
        iterations: effort.iterations as u32,
        factorisations: effort.factorisations as u32,
        unknowns: run.system.unknowns as u32,
    };
    point
}

impl Run {
    /// Whether so much work has been done, in iterations times unknowns.
    fn has_worked(&self, most: u64) -> bool {
        self.effort().iterations * self.system.unknowns as u64 > most
    }

    /// A bench that has been on for long: at rest, and every capacitor and coil carries what it does
    /// then. `None` for a bench that never comes to rest.
    pub fn from_rest(bench: &Bench, care: Care) -> Option<Run> {
        let (mut run, restless) = finish(settle(bench, care, Contacts::default(), u64::MAX));
        if restless {
            return None;
        }
        run.system.write_charges(Moment::Rest, &run.scratch.stages.hist, &mut run.charges);
        run.wear.since = run.time;
        finish(run.begin());
        Some(run)
    }
}

/// A run whose voltages are those at rest, and whether it never comes to rest.
async fn settle(bench: &Bench, care: Care, contacts: Contacts, portion: u64) -> (Run, bool) {
    let memories = bench.parts.iter().map(Memory::of).collect();
    let mut run = Run::stand(bench, care, contacts, memories, 0.0);
    run.system.portion = portion;
    let mut restless = true;
    // Signatures of what was remembered each time that only the clock led on: twice the same is a ring.
    let mut seen: Vec<u64> = Vec::new();
    for change in 0..MOST_CHANGES {
        run.system.take_laws(run.circuit.elements.iter().map(|element| element.law));
        run.scratch.stages.hist.fill(0.0);
        if !run.system.solve_hard(Moment::Rest, &run.scratch.stages.hist, run.time).await {
            run.stop_here();
            restless = false;
            break;
        }
        run.system.pause().await;
        run.system.write_volts(&mut run.volts);
        run.write_guards(Which::Start);
        let mut any = false;
        for actor in 0..run.actors.len() {
            let Actor { part, first_guard, .. } = run.actors[actor];
            let guards = bench.part(part).card.acts.map_or(0, |acts| acts.guards);
            let own = first_guard..first_guard + guards;
            let fallen = run.scratch.guards[own].iter().any(|&guard| guard <= 0.0);
            if change == 0 || fallen || run.must_look(actor, false) {
                any |= run.look(actor);
            }
        }
        if run.has_worked(MOST_WORK / 2) {
            break;
        }
        if any {
            continue;
        }
        let due = run.memories.iter().map(|memory| memory.due).fold(f64::INFINITY, f64::min);
        if due == f64::INFINITY {
            restless = false;
            break;
        }
        let now = signature(&run.memories);
        if seen.iter().filter(|&&before| before == now).count() >= 2 {
            break;
        }
        seen.push(now);
        // Nothing more happens now: on to what happens next.
        run.time = due;
    }
    run.system.write_amps(&mut run.amps);
    (run, restless)
}

/// A number for all that is shown and held.
fn signature(memories: &[Memory]) -> u64 {
    // FNV-1a over whole words.
    memories
        .iter()
        .flat_map(|memory| [memory.shown, memory.held])
        .fold(0xcbf2_9ce4_8422_2325, |hash, word| {
            (hash ^ word).wrapping_mul(0x0000_0100_0000_01b3).rotate_left(23)
        })
}

/// The mean of a run: volts, amperes and watts.
async fn mean(bench: &Bench, contacts: Contacts, portion: u64) -> (OperatingPoint, Effort) {
    let memories = bench.parts.iter().map(Memory::of).collect();
    let mut run = Run::stand(bench, Care::LIVE, contacts, memories, 0.0);
    run.system.portion = portion;
    // A bench at rest burns nothing: it is asked what flows, not what comes of it.
    run.wear.tick = f64::INFINITY;
    run.begin().await;
    let mut seconds = 0.0;
    let (mut volts, mut amps) = (vec![0.0; run.volts.len()], vec![0.0; run.amps.len()]);
    let mut readings: Vec<(PartReading, f64)> =
        (0..bench.parts.len()).map(|part| (run.blank_reading(PartIx(part)), 0.0)).collect();
    let steps = TRIAL_STEPS.min((TRIAL_WORK / run.amps.len().max(1)) as u32).max(60);
    let mut cut_short = false;
    for step in 0..steps {
        cut_short = run.has_worked(MOST_WORK / 2);
        if cut_short {
            break;
        }
        run.advance_in_portions().await;
        run.system.pause().await;
        if run.stalled.is_some() {
            break;
        }
        let record = &run.record;
        // What comes first is left out, unless that may be all there is.
        let early = step < steps / 3 && !run.has_worked(MOST_WORK / 6);
        if early || record.amps[0].len() != amps.len() {
            continue;
        }
        let half = 0.5 * record.length;
        seconds += record.length;
        for (sum, (before, after)) in volts.iter_mut().zip(record.volts[0].iter().zip(&record.volts[2])) {
            *sum += half * (before + after);
        }
        for (sum, (before, after)) in amps.iter_mut().zip(record.amps[0].iter().zip(&record.amps[1])) {
            *sum += half * (before + after);
        }
        for (part, (reading, joules)) in readings.iter_mut().enumerate() {
            for (volts, amps) in [(&record.volts[0], &record.amps[0]), (&record.volts[2], &record.amps[1])] {
                reading.fill(&run.circuit, &|node| volts[node], &|element| amps[element], PartIx(part));
                *joules += half * reading.watts;
            }
        }
    }
    let mut point = run.point();
    point.cut_short = cut_short;
    if seconds > 0.0 {
        point.node_volts = volts.into_iter().map(|sum| sum / seconds).collect();
        point.element_amps = amps.into_iter().map(|sum| sum / seconds).collect();
        point.read(bench);
        for (reading, (_, joules)) in point.parts.iter_mut().zip(readings) {
            reading.watts = joules / seconds;
        }
    }
    (point, run.effort())
}
