//! A bench at rest.

use super::events::Which;
use super::system::Moment;
use super::{Actor, Care, Run};
use crate::bench::Bench;
use crate::circuit::Contacts;
use crate::memory::Memory;
use crate::solve::{OperatingPoint, Work};

/// How often parts may change their minds before a bench counts as one that never comes to rest.
pub(super) const MOST_CHANGES: u32 = 300;

/// The bench at rest: capacitors carry no current, coils drop no voltage, every part that acts has
/// seen what it does and changes no more. A bench that never comes to rest is told by `restless`.
pub fn at_rest(bench: &Bench, contacts: Contacts) -> OperatingPoint {
    let memories = bench.parts.iter().map(Memory::of).collect();
    let mut run = Run::stand(bench, Care::LIVE, contacts, memories, 0.0);
    let mut restless = true;
    for change in 0..MOST_CHANGES {
        run.system.take_laws(&run.circuit);
        run.scratch.hist.fill(0.0);
        if !run.system.solve_hard(Moment::Rest, &run.scratch.hist, run.time) {
            run.stop_here();
            restless = false;
            break;
        }
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
        if any {
            continue;
        }
        let due = run.memories.iter().map(|memory| memory.due).fold(f64::INFINITY, f64::min);
        if due == f64::INFINITY {
            restless = false;
            break;
        }
        // Nothing more happens now: on to what happens next.
        run.time = due;
    }
    run.system.write_amps(&mut run.amps);
    let mut point = run.point();
    let effort = run.effort();
    point.restless = restless;
    point.work = Work {
        iterations: effort.iterations as u32,
        factorisations: effort.factorisations as u32,
        steps: 0,
        unknowns: run.system.unknowns as u32,
    };
    point
}
