//! What a mend must never bring about.
//!
//! A mend is tried on the graph, where all that counts is whether current could flow. What would
//! burn for it is looked up here: the same places before and after, so that a mend is only blamed
//! for what it adds.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::card::{Duty, Group};

use crate::flow::{Trip, leads_through};
use crate::graph::{Edge, Graph, Way};

/// What something suffers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Hazard {
    /// A supply’s + and − joined by metal and contacts.
    Short(PartIx),
    /// A one-way part with nothing in its path that limits the current.
    Bare(PartIx),
    /// A pin joined to what destroys it: an output to a rail or another output, a base to the
    /// supply, a chip’s power reversed, a transistor with nothing to hold its current back.
    Pin(PartIx, usize),
}

/// Everything on the bench that would be destroyed, sorted.
pub(crate) fn hazards(bench: &Bench, graph: &Graph) -> Vec<Hazard> {
    let poles = graph.poles();
    let metal = graph.metal();
    let switched = graph.joined_by(|way| matches!(way, Way::Metal | Way::Contact));
    let mut found: Vec<Hazard> = poles
        .iter()
        .filter(|it| switched[it.plus] == switched[it.minus])
        .map(|it| Hazard::Short(it.source))
        .collect();
    bare(bench, graph, &metal, &mut found);
    let on = |at: usize, plus: bool| {
        poles.iter().any(|it| metal[at] == metal[if plus { it.plus } else { it.minus }])
    };
    let mut outputs: Vec<(usize, PartIx, usize)> = Vec::new();
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        for pin in 0..it.legs.len() {
            let at = graph.at(LegId { part, pin });
            let (high, low) = (on(at, true), on(at, false));
            let bad = match it.card.duty(pin) {
                Duty::Output => {
                    outputs.push((metal[at], part, pin));
                    high || low
                }
                Duty::OpenOutput => high,
                Duty::Power => low,
                Duty::Ground => high,
                _ => it.card.steers.is_some_and(|steers| {
                    let base = steers.base && usize::from(steers.control) == pin;
                    base && if (steers.low_side)(it) { high } else { low }
                }),
            };
            if bad {
                found.push(Hazard::Pin(part, pin));
            }
        }
        if let Some(steers) = it.card.steers {
            let [control, load, tail] = [steers.control, steers.load, steers.tail]
                .map(|pin| graph.at(LegId { part, pin: usize::from(pin) }));
            // Where its tail belongs, the others are lost.
            let own = !(steers.low_side)(it);
            let across = on(load, true) && on(tail, false) || on(load, false) && on(tail, true);
            if across || on(load, own) {
                found.push(Hazard::Pin(part, usize::from(steers.load)));
            }
            if on(tail, !own) {
                found.push(Hazard::Pin(part, usize::from(steers.tail)));
            }
            if on(control, own) {
                found.push(Hazard::Pin(part, usize::from(steers.control)));
            }
        }
    }
    // A lamp straight at an output has nothing in its path either.
    let drives = |at: usize| outputs.iter().any(|it| switched[it.0] == switched[at]);
    for edge in graph.edges.iter().filter(|edge| edge.way == Way::Forward) {
        let (a, b) = graph.vertices_of(edge);
        let rail = |at: usize| {
            poles.iter().any(|it| [it.plus, it.minus].iter().any(|&pole| switched[pole] == switched[at]))
        };
        let is_light = bench.parts.get(edge.part.0).is_some_and(|it| it.card.group == Group::Light);
        if is_light && (drives(a) && (drives(b) || rail(b)) || drives(b) && rail(a)) {
            found.push(Hazard::Bare(edge.part));
        }
    }
    outputs.sort_unstable();
    for pair in outputs.windows(2).filter(|pair| pair[0].0 == pair[1].0) {
        found.extend(pair.iter().map(|&(_, part, pin)| Hazard::Pin(part, pin)));
    }
    found.sort_unstable();
    found.dedup();
    found
}

/// One-way parts between + and − with nothing on the way that limits the current. Lamps whichever way
/// round: the next thing to be said of one that blocks is to turn it.
fn bare(bench: &Bench, graph: &Graph, metal: &[usize], found: &mut Vec<Hazard>) {
    // A transistor that is fully on limits nothing either.
    let limits = |edge: &Edge| {
        let steers = bench.parts.get(edge.part.0).is_some_and(|it| it.card.steers.is_some());
        !steers || graph.is_control(bench, edge)
    };
    let is_light = |edge: &Edge| bench.parts.get(edge.part.0).is_some_and(|it| it.card.group == Group::Light);
    let price = |edge: &Edge, forward: bool| match edge.way {
        // Nothing steady goes through what holds charge.
        _ if edge.stores => None,
        Way::Source => None,
        Way::Load => (!limits(edge)).then_some(0.0),
        Way::Forward => (forward || is_light(edge)).then_some(0.0),
        _ => Some(0.0),
    };
    let adjacency = graph.adjacency();
    let trip = Trip { graph, adjacency: &adjacency, metal, price: &price };
    for poles in graph.poles() {
        if metal[poles.plus] == metal[poles.minus] {
            continue;
        }
        let plus = trip.prices(poles.plus, poles.minus, false);
        let minus = trip.prices(poles.minus, poles.plus, true);
        // Lamps and diodes; what hums limits itself, and what holds charge passes nothing steady.
        let is_bare = |edge: &&Edge| {
            edge.way == Way::Forward
                && bench
                    .parts
                    .get(edge.part.0)
                    .is_some_and(|it| matches!(it.card.group, Group::Light | Group::OneWay))
        };
        for edge in graph.edges.iter().filter(is_bare) {
            let (a, b) = graph.vertices_of(edge);
            let passes = |ends| leads_through(metal, &poles, (&plus, &minus), ends);
            if passes((a, b)) || is_light(edge) && passes((b, a)) {
                found.push(Hazard::Bare(edge.part));
            }
        }
    }
}

/// Whether a part that only limits or senses stands straight across a supply, where it does nothing
/// for anybody.
pub(crate) fn is_across_the_supply(bench: &Bench, graph: &Graph, metal: &[usize], part: PartIx) -> bool {
    bench.part(part).card.is_idle_across() && {
        let ends = [0, 1].map(|pin| metal[graph.at(LegId { part, pin })]);
        graph.poles().iter().any(|poles| {
            let own = [metal[poles.plus], metal[poles.minus]];
            ends == own || ends == [own[1], own[0]]
        })
    }
}
