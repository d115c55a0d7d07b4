//! What leads nowhere or makes no difference: loose ends, idle wires, switches between equals, outputs
//! that nobody listens to.

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::{Hole, Strip, StripPlace};
use halfrow_core::card::{Duty, Group};

use crate::finding::{Code, Finding, Severity, tells, tells_of};
use crate::graph::{Edge, Way};
use crate::hearing::Held;
use crate::judged::Judged;
use crate::places::{is_covered, near, rows_off};
use crate::rule::{Rule, on_paper};
use crate::words::{
    capital, hole_if, hole_of, leg_again, leg_name, list, lower, move_leg, names, part_name, places, way,
    wire_sign,
};

pub(crate) static LOOSE_END: Rule = Rule {
    code: Code::LooseEnd,
    severity: Severity::Risk,
    what: on_paper("A wire’s end is alone in its row, and what it should bring does not arrive."),
    run: loose_end,
};

pub(crate) static PART_MISSING: Rule = Rule {
    code: Code::PartMissing,
    severity: Severity::Risk,
    what: on_paper("Many ends wait around a place where no part stands."),
    run: part_missing,
};

pub(crate) static IDLE_WIRE: Rule = Rule {
    code: Code::IdleWire,
    severity: Severity::Habit,
    what: on_paper("A wire that carries nothing."),
    run: idle_wire,
};

pub(crate) static IDLE_SWITCH: Rule = Rule {
    code: Code::IdleSwitch,
    severity: Severity::Fault,
    what: on_paper("Both sides of a switch are at the same side of the supply, so that it changes nothing."),
    run: idle_switch,
};

fn part_missing(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    let gap = &judged.diagnosis().gap;
    let mut holes: Vec<Hole> = gap.iter().filter_map(|&leg| hole_if(bench, leg)).collect();
    holes.sort_by_key(|hole| (hole.row(), *hole));
    let (Some(first), Some(last)) =
        (holes.first().and_then(|it| it.row()), holes.last().and_then(|it| it.row()))
    else {
        return;
    };
    let mut parts: Vec<PartIx> = gap.iter().map(|leg| leg.part).collect();
    parts.dedup();
    findings.push(Finding {
        code: PART_MISSING.code,
        severity: PART_MISSING.severity,
        parts,
        symptom: "Not everything works yet.".to_owned(),
        says: format!(
            "{} legs and wires end in rows {first} to {last} with nothing else beside them ({}): no part stands there.",
            holes.len(),
            places(&holes)
        ),
        why: "So many ends in neighbouring rows wait for one part, most often a chip across the channel.".to_owned(),
        remedy: format!("Put the part that belongs there across the channel, from row {first} on."),
        holes,
    });
}

/// Wires that nothing which is dead explains, without those that wait for a leg or a chip that is told
/// of, and without tidy ones from rail to rail that nothing uses yet.
fn idle(judged: &Judged<'_>, findings: &[Finding]) -> Vec<PartIx> {
    if tells(findings, &[Code::LegInAir, Code::ChipUnpowered, Code::AlwaysOn]) {
        return Vec::new();
    }
    let bench = judged.bench;
    let is_wire = |part: &PartIx| bench.part(*part).card.is_wire();
    let left = judged.diagnosis().left.iter().filter(|group| group.iter().all(is_wire)).flatten();
    let rails_only = |wire: PartIx| {
        bench.part(wire).legs.iter().all(|leg| leg.hole.is_none_or(|hole| hole.row().is_none()))
    };
    left.copied().filter(|&wire| !rails_only(wire)).collect()
}

/// The end of a wire that is alone in its half row.
fn lone_end(judged: &Judged<'_>, wire: PartIx) -> Option<LegId> {
    (0..2).map(|pin| LegId { part: wire, pin }).find(|&leg| {
        hole_if(judged.bench, leg).is_some_and(|hole| hole.row().is_some()) && judged.company(leg) == 1
    })
}

fn loose_end(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for wire in idle(judged, findings) {
        let Some(leg) = lone_end(judged, wire) else { continue };
        let turned = [Code::ChipTurned, Code::ChipReversed, Code::NotStraddling];
        if tells_of(findings, &[Code::LegAlone], wire) || judged.is_beside(findings, &turned, leg) {
            continue;
        }
        let from = hole_of(bench, leg);
        // The nearest leg that waits; an input has to be told something, an output may be left alone.
        let beside = |(strip, cost): (Strip, i32)| {
            let at = judged.graph.vertex(strip).filter(|_| is_half_row(strip))?;
            let end = (0..judged.graph.legs()).find(|&end| judged.graph.ends[end] == at)?;
            let other = judged.graph.leg(end)?;
            let it = bench.part(other.part);
            let idle = it.card.chip && it.card.duty(other.pin) != Duty::Input;
            (other.part != wire).then_some((cost + 3 * i32::from(idle), strip, other))
        };
        let there: Vec<(i32, Strip, LegId)> = near(bench, from).into_iter().filter_map(beside).collect();
        let waits = |it: &&(i32, Strip, LegId)| {
            judged.company(it.2) == 1 && !is_covered(bench, &judged.graph, it.2) && judged.is_safe(leg, it.1)
        };
        let partner = there.iter().filter(waits).min_by_key(|it| it.0).copied();
        // One row up or down with something in it.
        let mut next = there.iter().filter(|it| rows_off(from, it.1) == 1 && judged.is_safe(leg, it.1));
        let only = next.next().filter(|_| next.next().is_none());
        let mut parts = vec![wire];
        let mut holes = vec![from];
        let (code, severity, says, remedy) = match partner {
            Some((_, strip, other)) => {
                let meant = hole_of(bench, other);
                parts.push(other.part);
                holes.push(meant);
                let says = format!(
                    "{} is in {meant}; {} beside it is in {from}, {}, alone in its row.",
                    capital(&leg_name(bench, other)),
                    part_name(bench, wire),
                    way(meant, from)
                );
                (Code::LegAlone, Severity::Fault, says, move_leg(bench, leg, strip))
            }
            None => {
                let says = format!("{} is in {from}, alone in its row.", capital(&leg_name(bench, leg)));
                let remedy = match only {
                    Some(&(_, strip, other)) => format!(
                        "If it was meant for the row of {}, {}: {}",
                        part_name(bench, other.part),
                        way(from, hole_of(bench, other)),
                        lower(&move_leg(bench, leg, strip))
                    ),
                    None => format!(
                        "Look at the rows beside {from}: move {} to the one that it was meant for. If the wire is not needed, take it out.",
                        leg_again(bench, leg)
                    ),
                };
                (LOOSE_END.code, LOOSE_END.severity, says, remedy)
            }
        };
        findings.push(Finding {
            code,
            severity,
            symptom: format!("{} brings nothing.", bench.part(wire).id),
            parts,
            holes,
            says,
            why: "Only the five holes of one half row are joined. A wire that ends in a row of its own joins nothing.".to_owned(),
            remedy,
        });
    }
}

fn is_half_row(strip: Strip) -> bool {
    matches!(strip.place, StripPlace::HalfRow { .. })
}

fn idle_wire(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    let mut wires = idle(judged, findings);
    wires.retain(|&wire| lone_end(judged, wire).is_none());
    if wires.is_empty() {
        return;
    }
    let holes: Vec<Hole> = wires.iter().flat_map(|&wire| crate::words::holes(bench, wire)).collect();
    let one = wires.len() == 1;
    findings.push(Finding {
        code: IDLE_WIRE.code,
        severity: IDLE_WIRE.severity,
        symptom: "A wire carries nothing.".to_owned(),
        says: format!(
            "{} {} nothing to do ({}).",
            capital(&list(&wires.iter().map(|&wire| part_name(bench, wire)).collect::<Vec<_>>())),
            if one { "has" } else { "have" },
            places(&holes)
        ),
        why: "A wire that leads nowhere makes the bench harder to read.".to_owned(),
        remedy: format!(
            "Follow {} from both ends: what should {} join? If nothing, take {} out.",
            names(bench, &wires),
            if one { "it" } else { "they" },
            if one { "it" } else { "them" }
        ),
        holes,
        parts: wires,
    });
}

fn idle_switch(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let (bench, graph) = (judged.bench, &judged.graph);
    if tells(findings, &[Code::ShortCircuit]) {
        return;
    }
    for (index, it) in bench.parts.iter().enumerate() {
        let switch = PartIx(index);
        let told = [
            Code::AlwaysOn,
            Code::Bypassed,
            Code::LegAlone,
            Code::WrongRow,
            Code::WrongRail,
            Code::PartOff,
            Code::NotStraddling,
        ];
        if it.card.group != Group::Switch || tells_of(findings, &told, switch) {
            continue;
        }
        let contacts: Vec<&Edge> =
            graph.edges.iter().filter(|edge| edge.part == switch && edge.way == Way::Contact).collect();
        let sides: Vec<[Held; 2]> = contacts
            .iter()
            .map(|edge| {
                let (a, b) = graph.vertices_of(edge);
                [a, b].map(|at| judged.held(at, switch))
            })
            .collect();
        // Every contact in use lies between equals.
        let (only_plus, only_minus) =
            (Held { plus: true, ..Held::default() }, Held { minus: true, ..Held::default() });
        let used = || sides.iter().filter(|sides| sides.iter().all(|side| *side != Held::default()));
        let equal = [only_plus, only_minus]
            .into_iter()
            .find(|own| used().next().is_some() && used().all(|sides| sides == &[*own, *own]));
        let Some(own) = equal else { continue };
        let sign = if own.plus { '+' } else { '−' };
        // What brings that side of the supply to either of its sides.
        let pole = |at: usize| if own.plus { judged.pole(at).0 } else { judged.pole(at).1 };
        let places = || (0..it.legs.len()).map(|pin| graph.at(LegId { part: switch, pin }));
        let mut ends: Vec<LegId> = Vec::new();
        for (leg, at) in bench.legs() {
            let part = bench.part(leg.part);
            let in_rail = at.hole.is_some_and(|hole| hole.row().is_none());
            if !in_rail || part.card.source.is_some() || part.legs.len() != 2 || !pole(graph.at(leg)) {
                continue;
            }
            let other = graph.at(LegId { part: leg.part, pin: 1 - leg.pin });
            let beside =
                |place: usize| place == other || judged.metal[place] == judged.metal[other] && !pole(other);
            if places().any(beside) {
                ends.push(leg);
            }
        }
        let in_words =
            if own.plus { halfrow_core::board::Sign::Plus } else { halfrow_core::board::Sign::Minus };
        ends.sort_by_key(|leg| wire_sign(bench, leg.part).is_none_or(|sign| sign == in_words));
        let words: Vec<String> =
            ends.iter().map(|&leg| format!("{} in {}", leg_name(bench, leg), hole_of(bench, leg))).collect();
        let mut holes: Vec<Hole> = ends.iter().map(|&leg| hole_of(bench, leg)).collect();
        holes.extend(crate::words::holes(bench, switch));
        findings.push(Finding {
            code: IDLE_SWITCH.code,
            severity: IDLE_SWITCH.severity,
            parts: [switch].into_iter().chain(ends.iter().map(|leg| leg.part)).collect(),
            holes,
            symptom: format!("Working {} changes nothing.", it.id),
            says: format!("{} changes nothing: both of its sides lead to {sign} alone.", it.id),
            why: "A switch joins its two sides. Where both are at the same side of the supply already, no current flows and nothing changes.".to_owned(),
            remedy: if words.is_empty() {
                "One of its sides belongs to the other side of the supply.".to_owned()
            } else {
                format!("Look at {}: one of them belongs into the other rail.", list(&words))
            },
        });
    }
}
