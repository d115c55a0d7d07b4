//! How odd a bench is: what a right bench hardly ever has, added up.
//!
//! The search for a slip compares benches by it. It reads the graph alone, so that a thousand guesses can
//! be weighed while a bench is looked at; those that weigh best are looked at more closely.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Sign, StripPlace};
use halfrow_core::card::{Duty, Group};

use crate::colours::mismatches;
use crate::flow::backward_parts;
use crate::graph::{Graph, Way};
use crate::hazard::{Hazard, hazards, is_across_the_supply};
use crate::judged::Judged;
use crate::places::is_covered;

/// A part that no current can flow through.
const DEAD: i32 = 10;
/// A wire that carries nothing.
const DEAD_WIRE: i32 = 4;
/// A leg that meets nobody.
const LONE: i32 = 6;
/// Something that would be destroyed.
const HAZARD: i32 = 20;
/// A lamp or diode in backwards.
const BACKWARDS: i32 = 11;
/// A part that metal bypasses.
const BYPASSED: i32 = 12;
/// A wire that joins what is joined anyway.
const SPARE: i32 = 5;
/// A part straight across the supply that does nothing for anybody.
const ACROSS: i32 = 8;
/// A colour that says the opposite.
const COLOUR: i32 = 3;
/// A pin of a chip that hardly ever meets a rail, at one.
const ODD_PIN: i32 = 6;

/// What can be told of a bench at a glance: the oddness is at least this.
pub(crate) fn glance(bench: &Bench, graph: &Graph) -> i32 {
    let metal = graph.metal();
    lone(bench, graph) + joined(bench, graph, &metal) + COLOUR * mismatches(bench).len() as i32 + leads(bench)
}

/// The oddness of a bench, in points of which a lone leg has [`LONE`].
pub(crate) fn oddness(judged: &Judged<'_>) -> i32 {
    let (bench, graph) = (judged.bench, &judged.graph);
    let found = hazards(bench, graph);
    let risks = found.iter().filter(|it| counts(judged, **it)).count() as i32;
    let turned: i32 = backward_parts(graph, &judged.live)
        .into_iter()
        .filter(|&part| bench.part(part).card.group == Group::Light || !judged.catches(part))
        .map(|_| BACKWARDS)
        .sum();
    let across = (0..bench.parts.len())
        .filter(|&part| is_across_the_supply(bench, graph, &judged.metal, PartIx(part)))
        .count() as i32;
    glance(bench, graph) + dead(judged) + HAZARD * risks + turned + ACROSS * across + odd_pins(judged)
}

/// Whether a danger is real: what only a switch could short is looked up position by position where it
/// matters, and gates side by side that say the same don't fight.
fn counts(judged: &Judged<'_>, hazard: Hazard) -> bool {
    match hazard {
        Hazard::Short(source) => judged
            .graph
            .poles()
            .iter()
            .any(|it| it.source == source && judged.metal[it.plus] == judged.metal[it.minus]),
        Hazard::Pin(part, pin) if judged.bench.part(part).card.duty(pin) == Duty::Output => {
            !judged.is_doubled(part, pin)
        }
        _ => true,
    }
}

fn dead(judged: &Judged<'_>) -> i32 {
    let bench = judged.bench;
    let mut sum = 0;
    for (index, part) in bench.parts.iter().enumerate() {
        let is_placed = part.legs.iter().any(|leg| leg.hole.is_some());
        if judged.live[index] || part.card.source.is_some() || !is_placed {
            continue;
        }
        if !part.card.is_wire() {
            sum += DEAD;
            continue;
        }
        let is_bridge = part.legs.iter().all(|leg| leg.hole.is_none_or(|hole| hole.row().is_none()));
        sum += if is_bridge || judged.is_message(PartIx(index)) { 0 } else { DEAD_WIRE };
    }
    sum
}

fn lone(bench: &Bench, graph: &Graph) -> i32 {
    let company = graph.company();
    let mut sum = 0;
    for (leg, it) in bench.legs() {
        let (part, at) = (bench.part(leg.part), graph.at(leg));
        let Some(hole) = it.hole else { continue };
        if company[at] != 1 {
            continue;
        }
        sum += match part.card.group {
            Group::Chip => match part.card.duty(leg.pin) {
                Duty::Power | Duty::Ground => LONE,
                Duty::Input => LONE - 1,
                _ => 0,
            },
            Group::Power if is_own_rail(bench, leg) => 0,
            Group::Switch if is_covered(bench, graph, leg) => 0,
            Group::Switch if part.card.contacts.iter().all(|it| it.common != Some(leg.pin as u8)) => 1,
            // A slider alone; an end of its track may well be.
            Group::Resist if part.legs.len() == 3 => i32::from(leg.pin == 1) * LONE / 2,
            Group::Light if part.legs.len() > 2 => i32::from(!part.is_rigid()) * LONE / 2,
            // A rail with a single leg is no sign of anything by itself.
            Group::Join if hole.row().is_none() => LONE / 2,
            _ => LONE,
        };
    }
    sum
}

/// Whether a supply's lead is in a rail of its own sign, where it may wait for others.
fn is_own_rail(bench: &Bench, leg: LegId) -> bool {
    let Some(source) = bench.part(leg.part).card.source else { return false };
    let own = if leg.pin == usize::from(source.plus) { Sign::Plus } else { Sign::Minus };
    let hole = bench.part(leg.part).legs[leg.pin].hole;
    let strip = hole.and_then(|hole| bench.strip(hole)).map(|strip| strip.place);
    matches!(strip, Some(StripPlace::Rail { sign, .. }) if sign == own)
}

/// What metal joins that it shouldn't: parts bypassed, legs of a transistor on one another, wires too many.
fn joined(bench: &Bench, graph: &Graph, metal: &[usize]) -> i32 {
    let mut sum = 0;
    let mut sets = halfrow_core::nets::DisjointSets::new(graph.vertices);
    for edge in &graph.edges {
        let (a, b) = graph.vertices_of(edge);
        match edge.way {
            Way::Metal => {
                if sets.root(a) == sets.root(b) {
                    sum += SPARE;
                }
                sets.join(a, b);
            }
            Way::Load | Way::Forward | Way::Contact if metal[a] == metal[b] => sum += BYPASSED,
            _ => {}
        }
    }
    for (index, part) in bench.parts.iter().enumerate().filter(|it| it.1.card.steers.is_some()) {
        let at = |pin| metal[graph.at(LegId { part: PartIx(index), pin })];
        let pins = part.legs.len();
        let pairs = (0..pins).flat_map(|a| (a + 1..pins).map(move |b| (a, b)));
        sum += BYPASSED * pairs.filter(|&(a, b)| at(a) == at(b)).count() as i32;
    }
    sum
}

/// Pins of chips that are neither power nor signal, at + or −.
fn odd_pins(judged: &Judged<'_>) -> i32 {
    let bench = judged.bench;
    let odd = bench.legs().filter(|(leg, it)| {
        let card = bench.part(leg.part).card;
        let is_odd = card.chip && card.group == Group::Chip && card.duty(leg.pin) == Duty::Other;
        is_odd && it.hole.is_some() && judged.pole(judged.graph.at(*leg)) != (false, false)
    });
    ODD_PIN * odd.count() as i32
}

/// Leads of supplies in rails of the other sign.
fn leads(bench: &Bench) -> i32 {
    let wrong = bench.legs().filter(|(leg, it)| {
        let strip = it.hole.and_then(|hole| bench.strip(hole)).map(|strip| strip.place);
        let in_rail = matches!(strip, Some(StripPlace::Rail { .. }));
        bench.part(leg.part).card.source.is_some() && in_rail && !is_own_rail(bench, *leg)
    });
    COLOUR * wrong.count() as i32
}
