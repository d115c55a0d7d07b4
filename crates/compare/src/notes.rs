//! What is other than in the plan and doesn't matter.

use halfrow_core::bench::Bench;
use halfrow_core::nets::DisjointSets;
use halfrow_core::part::Part;

use crate::form::{Form, touched};

/// Sentences about what was left alone.
pub(crate) fn of(plan: &[Part], plan_form: &Form, build: &Bench, build_form: &Form) -> Vec<String> {
    let mut notes = Vec::new();
    let list = |ids: Vec<&str>| match ids.as_slice() {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => ids.concat(),
    };
    let idle: Vec<&str> = build_form.unjoined.iter().map(|&it| build.parts[it].id.as_str()).collect();
    if !idle.is_empty() {
        let verb = if idle.len() == 1 { "is" } else { "are" };
        notes.push(format!("{} {verb} joined to nothing else.", list(idle)));
    }
    let unused: Vec<&str> = plan_form.unjoined.iter().map(|&it| plan[it].id.as_str()).collect();
    if !unused.is_empty() {
        notes.push(format!("In the plan {} joined to nothing else, so it may be left out.", list(unused)));
    }
    let spare = spare_wires(build);
    if !spare.is_empty() {
        let verb = if spare.len() == 1 { "joins" } else { "join" };
        notes.push(format!("{} {verb} what is joined anyway.", list(spare)));
    }
    notes
}

/// Wires between strips that other metal joins already.
fn spare_wires(build: &Bench) -> Vec<&str> {
    let mut strips = Vec::new();
    for part in &build.parts {
        strips.extend((0..part.legs.len()).filter_map(|pin| touched(build, part, pin)));
    }
    strips.sort_unstable();
    strips.dedup();
    let mut sets = DisjointSets::new(strips.len());
    let mut spare = Vec::new();
    for part in &build.parts {
        for &(a, b) in part.card.metal {
            let [Some(a), Some(b)] = [a, b].map(|pin| touched(build, part, pin.into())) else { continue };
            let [a, b] = [a, b].map(|strip| strips.binary_search(&strip).expect("listed above"));
            if sets.root(a) == sets.root(b) && part.card.is_wire() {
                spare.push(part.id.as_str());
            }
            sets.join(a, b);
        }
    }
    spare
}
