//! Legs that meet nobody, or the wrong ones, and what stays dark for it.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, StripPlace};
use halfrow_core::card::{Duty, Group};
use halfrow_core::nets::shortest_way;

use crate::finding::{Code, Finding, Severity, add_others, tells, tells_of};
use crate::graph::{Edge, Way};
use crate::judged::Judged;
use crate::mend::{Mend, Repair};
use crate::rule::{Rule, on_paper};
use crate::words::{
    capital, dead_symptom, free_hole, hole_if, hole_of, holes, leg_again, leg_name, list, move_leg, names,
    part_name, places, rows_by, strip_name, way,
};

const ONLY_FIVE: &str = "Inside the board only the five holes of one half row are joined. Current can’t cross from one row to another by itself.";

const NO_LOOP: &str =
    "Current flows only around a closed path: out of the supply’s +, through the parts, back into its −.";

pub(crate) static BYPASSED: Rule = Rule {
    code: Code::Bypassed,
    severity: Severity::Fault,
    what: on_paper("Two legs of a part are joined by metal, so that the current goes around the part."),
    run: bypassed,
};

pub(crate) static LEG_ALONE: Rule = Rule {
    code: Code::LegAlone,
    severity: Severity::Fault,
    what: on_paper("A leg is alone in its row, and the row that it was meant for is near."),
    run: leg_alone,
};

pub(crate) static PART_OFF: Rule = Rule {
    code: Code::PartOff,
    severity: Severity::Fault,
    what: on_paper("A whole part stands a row or two from where it would join the circuit."),
    run: part_off,
};

pub(crate) static OPEN_END: Rule = Rule {
    code: Code::OpenEnd,
    severity: Severity::Risk,
    what: on_paper("A leg is alone in its row and something that would carry the current on is missing."),
    run: open_end,
};

pub(crate) static NO_PATH: Rule = Rule {
    code: Code::NoPath,
    severity: Severity::Risk,
    what: on_paper("A group of parts has no path to both sides of a supply."),
    run: no_path,
};

pub(crate) static NO_SUPPLY: Rule = Rule {
    code: Code::NoSupply,
    severity: Severity::Habit,
    what: on_paper("There are parts on the board, and no supply is connected yet."),
    run: no_supply,
};

fn bypassed(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    for (part, repair) in &judged.diagnosis().bypassed {
        findings.push(in_one_strip(judged.bench, *part, repair.as_ref()));
    }
    if judged.diagnosis().no_supply || tells(findings, &[Code::ShortCircuit]) {
        return;
    }
    for (index, part) in judged.bench.parts.iter().enumerate() {
        let part_ix = PartIx(index);
        let listed = judged.diagnosis().bypassed.iter().any(|&(it, _)| it == part_ix);
        let two_legs = part.legs.len() == 2 && part.card.source.is_none() && !part.card.is_wire();
        if listed || !two_legs || part.card.group == Group::Switch {
            continue;
        }
        let legs = [0, 1].map(|pin| LegId { part: part_ix, pin });
        let [a, b] = legs.map(|leg| judged.graph.at(leg));
        if judged.metal[a] != judged.metal[b] {
            continue;
        }
        if a == b {
            findings.push(in_one_strip(judged.bench, part_ix, None));
            continue;
        }
        if judged.diagnosis().repairs.iter().any(|repair| repair.revived.contains(&part_ix)) {
            // Wires that meet in a rail, one of them meant for another: that is told.
            continue;
        }
        let wires: Vec<PartIx> = wires_between(judged, a, b);
        let bench = judged.bench;
        let [first, second] = legs.map(|leg| hole_of(bench, leg));
        let by = match wires.as_slice() {
            &[one] => part_name(bench, one),
            _ => names(bench, &wires),
        };
        findings.push(Finding {
            code: BYPASSED.code,
            severity: BYPASSED.severity,
            parts: [part_ix].into_iter().chain(wires.iter().copied()).collect(),
            holes: [first, second]
                .into_iter()
                .chain(wires.iter().flat_map(|&wire| holes(bench, wire)))
                .collect(),
            symptom: without(bench, part_ix),
            says: format!(
                "{} ({first} and {second}) is bypassed: {} {} its legs.",
                part.id,
                by,
                if wires.len() == 1 { "joins" } else { "join" }
            ),
            why: "Current takes the path of bare metal and leaves the part out.".to_owned(),
            remedy: match wires.first() {
                Some(&wire) => format!(
                    "Take {} out ({}), or move one of {}’s legs to another row.",
                    part_name(bench, wire),
                    places(&holes(bench, wire)),
                    part.id
                ),
                None => format!("Move one of {}’s legs to another row.", part.id),
            },
        });
    }
}

fn without(bench: &Bench, part: PartIx) -> String {
    let it = bench.part(part);
    match it.card.group {
        Group::Light => format!("{} is dark.", it.id),
        _ => format!("{} makes no difference.", it.id),
    }
}

/// The shortest chain of wires (and other metal) from one vertex to another.
fn wires_between(judged: &Judged<'_>, from: usize, to: usize) -> Vec<PartIx> {
    let graph = &judged.graph;
    let metal: Vec<&Edge> = graph.edges.iter().filter(|edge| edge.way == Way::Metal).collect();
    let links: Vec<(usize, usize)> = metal.iter().map(|edge| graph.vertices_of(edge)).collect();
    let way = shortest_way(graph.vertices, &links, from, to).unwrap_or_default();
    let mut parts: Vec<PartIx> = way.into_iter().map(|link| metal[link].part).collect();
    parts.dedup();
    parts
}

fn in_one_strip(bench: &Bench, part: PartIx, repair: Option<&Repair>) -> Finding {
    let it = bench.part(part);
    let legs = holes(bench, part);
    let strip = bench.strip(legs[0]).expect("the leg is over the board");
    let is_wire = it.card.is_wire();
    let both = if it.legs.len() == 2 { "both legs" } else { "all legs" };
    let both = if is_wire { "both ends" } else { both };
    let name = part_name(bench, part);
    let (mut parts, mut marks) = (vec![part], legs.clone());
    let remedy = match repair.map(|repair| (repair.mend, repair)) {
        Some((Mend::Move { leg, to } | Mend::Swap { leg, to }, repair)) => {
            parts.extend(repair.revived.iter().filter(|&&other| other != part));
            marks.extend(repair.partner.and_then(|leg| hole_if(bench, leg)));
            move_leg(bench, leg, to)
        }
        _ if it.is_rigid() => {
            format!("Give {} a quarter turn, so that its legs stand in different rows.", it.id)
        }
        _ => "Leave one leg where it is and move the other to the row where the current is to go on."
            .to_owned(),
    };
    Finding {
        code: BYPASSED.code,
        severity: if is_wire && repair.is_none() { Severity::Habit } else { BYPASSED.severity },
        symptom: match repair {
            Some(repair) => {
                let mut dead = repair.revived.clone();
                dead.push(part);
                dead.sort_unstable();
                dead.dedup();
                dead_symptom(bench, &dead)
            }
            None if is_wire => format!("{} joins nothing new.", it.id),
            None => without(bench, part),
        },
        says: format!(
            "{} is bypassed: {both} are in {} ({}).",
            capital(&name),
            strip_name(bench, strip),
            places(&legs)
        ),
        why: if matches!(strip.place, StripPlace::Rail { .. }) {
            "All holes of a rail are one piece of metal, so the part joins the rail to itself.".to_owned()
        } else {
            "The five holes of a half row are one piece of metal. Current takes the metal and leaves the part out.".to_owned()
        },
        remedy,
        parts,
        holes: marks,
    }
}

fn leg_alone(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for repair in &judged.diagnosis().repairs {
        let Mend::Move { leg, to } = repair.mend else { continue };
        if judged.follows(findings, repair) {
            continue;
        }
        let from = hole_of(bench, leg);
        let alone = judged.company(leg) == 1;
        let mut parts = vec![leg.part];
        let mut marks = vec![from];
        let beside = match to.place {
            StripPlace::HalfRow { .. } => "alone in its row",
            StripPlace::Rail { .. } => "alone there",
        };
        let says = match repair.partner {
            Some(partner) => {
                parts.push(partner.part);
                let meant = hole_of(bench, partner);
                marks.push(meant);
                let partner_name = capital(&leg_name(bench, partner));
                let where_to = way(meant, from);
                let beside = if alone { ", alone in its row" } else { ", among other parts" };
                if bench.part(leg.part).card.is_wire() {
                    format!(
                        "{partner_name} is in {meant}; {} beside it is in {from}, {where_to}{beside}.",
                        part_name(bench, leg.part)
                    )
                } else if alone {
                    format!(
                        "{partner_name} is in {meant}; {} is in {from}, {where_to}{beside}.",
                        leg_name(bench, leg)
                    )
                } else {
                    format!(
                        "{partner_name} is alone in {meant}; {} is in {from}, {where_to}{beside}.",
                        leg_name(bench, leg)
                    )
                }
            }
            None => {
                let there = others_at(judged, to, leg);
                parts.extend(there.iter().map(|leg| leg.part));
                let nearest = there.iter().filter_map(|&leg| hole_if(bench, leg)).min_by(|a, b| {
                    let far = |hole: &Hole| bench.distance(from, *hole).unwrap_or(f64::INFINITY);
                    far(a).total_cmp(&far(b))
                });
                marks.extend(nearest);
                let state = if alone {
                    format!("is in {from}, {beside}")
                } else {
                    format!("is in {from}, joined to the wrong things")
                };
                format!(
                    "{} {state}; {} leads on to {}.",
                    capital(&leg_name(bench, leg)),
                    strip_name(bench, to),
                    names(bench, &distinct(there.iter().map(|leg| leg.part)))
                )
            }
        };
        add_others(&mut parts, &repair.revived);
        findings.push(Finding {
            code: if alone || repair.partner.is_some() { LEG_ALONE.code } else { Code::WrongRow },
            severity: LEG_ALONE.severity,
            parts,
            holes: marks,
            symptom: dead_symptom(bench, &repair.revived),
            says,
            why: ONLY_FIVE.to_owned(),
            remedy: move_leg(bench, leg, to),
        });
    }
}

/// The legs in a strip, without those of one part.
fn others_at(judged: &Judged<'_>, strip: halfrow_core::board::Strip, but: LegId) -> Vec<LegId> {
    let Some(at) = judged.graph.vertex(strip) else { return Vec::new() };
    let ends = (0..judged.graph.legs()).filter(|&end| judged.graph.ends[end] == at);
    ends.filter_map(|end| judged.graph.leg(end)).filter(|leg| leg.part != but.part).collect()
}

fn distinct(parts: impl Iterator<Item = PartIx>) -> Vec<PartIx> {
    let mut parts: Vec<PartIx> = parts.collect();
    parts.sort_unstable();
    parts.dedup();
    parts
}

fn part_off(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for repair in &judged.diagnosis().repairs {
        let Mend::Shift { part, rows } = repair.mend else { continue };
        if judged.follows(findings, repair) {
            continue;
        }
        let it = bench.part(part);
        let at = holes(bench, part);
        let mut parts = vec![part];
        add_others(&mut parts, &repair.revived);
        let there: Vec<String> = at
            .iter()
            .map(|hole| match hole.place {
                halfrow_core::board::Place::Grid { row, column } => Hole {
                    place: halfrow_core::board::Place::Grid { row: row.saturating_add_signed(rows), column },
                    ..*hole
                }
                .to_string(),
                halfrow_core::board::Place::Rail { .. } => hole.to_string(),
            })
            .collect();
        let here: Vec<String> = at.iter().map(Hole::to_string).collect();
        findings.push(Finding {
            code: PART_OFF.code,
            severity: PART_OFF.severity,
            parts,
            holes: at,
            symptom: dead_symptom(bench, &repair.revived),
            says: format!(
                "{} stands in {}; the legs that it should meet wait {}.",
                capital(&part_name(bench, part)),
                list(&here),
                rows_by(rows)
            ),
            why: ONLY_FIVE.to_owned(),
            // A chip's rows are counted from where it is.
            remedy: if it.legs.len() > 3 {
                format!("Move {} {}.", it.id, rows_by(rows))
            } else {
                let (here, there) = (list(&here), list(&there));
                format!("Move {} {}: from {here} to the rows of {there}.", it.id, rows_by(rows))
            },
        });
    }
}

fn open_end(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for repair in &judged.diagnosis().repairs {
        let Mend::Link { leg, to } = repair.mend else { continue };
        if judged.follows(findings, repair) {
            continue;
        }
        // Pins of chips have rules of their own, and many a pin is rightly left alone.
        let told = tells_of(findings, &[Code::InputFloating], leg.part);
        if told || bench.part(leg.part).card.duty(leg.pin) != Duty::Other || bench.part(leg.part).card.chip {
            continue;
        }
        let from = hole_of(bench, leg);
        let strip = bench.strip(from).expect("the leg is over the board");
        let mut parts = vec![leg.part];
        add_others(&mut parts, &repair.revived);
        let (start, end) = (free_hole(bench, strip, from, None), free_hole(bench, to, from, None));
        let says = match repair.partner {
            Some(partner) => format!(
                "{} is alone in {} ({from}), and {} is alone in {} ({}).",
                capital(&leg_name(bench, leg)),
                strip_name(bench, strip),
                leg_name(bench, partner),
                strip_name(bench, to),
                hole_of(bench, partner)
            ),
            None => format!(
                "{} is alone in {} ({from}): nothing leads on from there.",
                capital(&leg_name(bench, leg)),
                strip_name(bench, strip)
            ),
        };
        let mut marks = vec![from];
        marks.extend(repair.partner.and_then(|leg| hole_if(bench, leg)));
        findings.push(Finding {
            code: OPEN_END.code,
            severity: OPEN_END.severity,
            parts,
            holes: marks,
            symptom: dead_symptom(bench, &repair.revived),
            says,
            why: NO_LOOP.to_owned(),
            remedy: match (start, end) {
                _ if repair.lacks_part => format!(
                    "Look what belongs between {} and {}: a resistor or another part is missing there. A bare wire would burn something.",
                    strip_name(bench, strip),
                    strip_name(bench, to)
                ),
                (Some(start), Some(end)) => format!(
                    "A wire from {start} to {end}, {}, would close the path.",
                    strip_name(bench, to)
                ),
                _ => format!("Join {} to {}.", strip_name(bench, strip), strip_name(bench, to)),
            },
        });
    }
}

/// The most groups that get a finding each; more become one.
const MAX_GROUPS: usize = 2;

fn no_path(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    if tells(findings, &[Code::SupplyBackwards]) {
        return;
    }
    let groups = judged.diagnosis().left.iter();
    let groups: Vec<&Vec<PartIx>> =
        groups.filter(|group| !group.iter().all(|&part| bench.part(part).card.is_wire())).collect();
    let groups: Vec<Vec<PartIx>> = if groups.len() > MAX_GROUPS {
        vec![groups.into_iter().flatten().copied().collect()]
    } else {
        groups.into_iter().cloned().collect()
    };
    for group in groups {
        let told = [
            Code::AlwaysOn,
            Code::ChipTurned,
            Code::ChipReversed,
            Code::ChipUnpowered,
            Code::NotStraddling,
            Code::InputFloating,
        ];
        let group: Vec<PartIx> = group.into_iter().filter(|&part| !tells_of(findings, &told, part)).collect();
        if group.is_empty() {
            continue;
        }
        let ends = loose_ends(judged, &group);
        let words: Vec<String> = ends
            .iter()
            .take(4)
            .map(|&leg| format!("{} in {}", leg_again(bench, leg), hole_of(bench, leg)))
            .collect();
        let is = if group.len() == 1 { "is" } else { "are" };
        let says = if words.is_empty() {
            format!("{} {is} not joined to both + and − of a supply.", names(bench, &group))
        } else {
            format!(
                "{} {is} not joined to both + and − of a supply. Alone in {}: {}.",
                names(bench, &group),
                if words.len() == 1 { "its row" } else { "their rows" },
                list(&words)
            )
        };
        let mut marks: Vec<Hole> = ends.iter().map(|&leg| hole_of(bench, leg)).collect();
        if marks.is_empty() {
            marks = group.iter().flat_map(|&part| holes(bench, part)).collect();
        }
        findings.push(Finding {
            code: NO_PATH.code,
            severity: NO_PATH.severity,
            symptom: dead_symptom(bench, &group),
            holes: marks,
            says,
            why: NO_LOOP.to_owned(),
            remedy: match ends.first() {
                Some(&leg) => format!(
                    "Follow the path with a finger from + to −. It stops at {}: join {} to what comes next.",
                    hole_of(bench, leg),
                    leg_again(bench, leg)
                ),
                None => "Follow the path with a finger from + to − and join what is missing.".to_owned(),
            },
            parts: group,
        });
    }
}

/// Legs of a group that are alone in their strips.
fn loose_ends(judged: &Judged<'_>, group: &[PartIx]) -> Vec<LegId> {
    let legs = group
        .iter()
        .flat_map(|&part| (0..judged.bench.part(part).legs.len()).map(move |pin| LegId { part, pin }));
    legs.filter(|&leg| hole_if(judged.bench, leg).is_some() && judged.company(leg) == 1).collect()
}

fn no_supply(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    if !judged.diagnosis().no_supply {
        return;
    }
    let bench = judged.bench;
    let source = bench.parts.iter().position(|part| part.card.source.is_some());
    let half_in = source.is_some_and(|part| bench.parts[part].legs.iter().any(|leg| leg.hole.is_some()));
    if half_in {
        // The lead in the air has a finding of its own.
        return;
    }
    let parts = (0..bench.parts.len()).map(PartIx).collect();
    findings.push(Finding {
        code: NO_SUPPLY.code,
        severity: NO_SUPPLY.severity,
        parts,
        holes: Vec::new(),
        symptom: "Nothing happens yet.".to_owned(),
        says: match source {
            Some(part) => format!("Nothing is connected to a supply yet: both leads of {} are in the air.", bench.parts[part].id),
            None => "Nothing is connected to a supply yet.".to_owned(),
        },
        why: NO_LOOP.to_owned(),
        remedy: match source {
            Some(part) => format!(
                "When the rest is ready, put {}’s red lead into a + rail and its black lead into a − rail.",
                bench.parts[part].id
            ),
            None => "When the rest is ready, take a battery pack and put its red lead into a + rail and its black lead into a − rail.".to_owned(),
        },
    });
}
