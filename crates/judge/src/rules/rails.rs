//! Rails without power, split rails, and legs in the wrong rail of a pair.

use halfrow_core::board::{Hole, Place, Sign, Strip, StripPlace};

use crate::finding::{Code, Finding, Severity, add_others};
use crate::judged::Judged;
use crate::mend::Mend;
use crate::rule::{Rule, on_paper};
use crate::words::{capital, dead_symptom, free_hole, hole_of, leg_again, leg_name, names, strip_name};

pub(crate) static RAIL_SPLIT: Rule = Rule {
    code: Code::RailSplit,
    severity: Severity::Fault,
    what: on_paper("A rail is interrupted in its middle, and only one part of it has power."),
    run: rail_split,
};

pub(crate) static RAIL_UNPOWERED: Rule = Rule {
    code: Code::RailUnpowered,
    severity: Severity::Fault,
    what: on_paper("A rail is used and nothing brings power to it."),
    run: rail_unpowered,
};

pub(crate) static WRONG_RAIL: Rule = Rule {
    code: Code::WrongRail,
    severity: Severity::Fault,
    what: on_paper("A leg is in one rail of a pair and would close the circuit in the other."),
    run: wrong_rail,
};

/// The holes of a rail that have legs in them.
fn taken(judged: &Judged<'_>, strip: Strip) -> Vec<Hole> {
    let mut holes: Vec<Hole> = judged
        .bench
        .legs()
        .filter_map(|(_, leg)| leg.hole)
        .filter(|&hole| judged.bench.strip(hole) == Some(strip))
        .collect();
    holes.sort_unstable();
    holes
}

/// Free holes for a wire from one strip to another, near each other.
fn ends(judged: &Judged<'_>, from: Strip, to: Strip, near: Hole) -> Option<(Hole, Hole)> {
    let to = free_hole(judged.bench, to, near, None)?;
    Some((free_hole(judged.bench, from, to, None)?, to))
}

fn rail_split(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    for repair in &judged.diagnosis().repairs {
        let Mend::Bridge { powered, dead } = repair.mend else { continue };
        let Some(board) = judged.bench.boards.get(usize::from(powered.board)) else { continue };
        let StripPlace::Rail { side, sign, .. } = powered.place else { continue };
        let middle = board.kind.rail_holes() / 2;
        let gap = |n| Hole { board: powered.board, place: Place::Rail { side, sign, n } };
        let holes = taken(judged, dead);
        let mut marks = holes.clone();
        marks.extend([gap(middle), gap(middle + 1)]);
        findings.push(Finding {
            code: RAIL_SPLIT.code,
            severity: RAIL_SPLIT.severity,
            parts: repair.revived.clone(),
            symptom: dead_symptom(judged.bench, &repair.revived),
            says: format!(
                "{} has no power: the rail is split between {} and {}, and only the other part is connected.",
                capital(&strip_name(judged.bench, dead)),
                gap(middle),
                gap(middle + 1)
            ),
            why: "On this board each rail is two pieces of metal with a gap in the middle.".to_owned(),
            remedy: match ends(judged, powered, dead, gap(middle + 1)) {
                Some((from, to)) => format!("Bridge the gap with a short wire from {from} to {to}."),
                None => "Bridge the gap with a short wire.".to_owned(),
            },
            holes: marks,
        });
    }
}

fn rail_unpowered(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    for repair in &judged.diagnosis().repairs {
        let Mend::Feed { powered, dead } = repair.mend else { continue };
        let holes = taken(judged, dead);
        let near = holes.last().copied().expect("a rail in the graph has a leg");
        let name = strip_name(judged.bench, dead);
        findings.push(Finding {
            code: RAIL_UNPOWERED.code,
            severity: RAIL_UNPOWERED.severity,
            parts: repair.revived.clone(),
            symptom: dead_symptom(judged.bench, &repair.revived),
            says: format!(
                "{} is used ({}), and nothing joins it to the supply.",
                capital(&name),
                holes.iter().take(4).map(Hole::to_string).collect::<Vec<_>>().join(", ")
            ),
            why: "The signs beside a rail are only printed on. A rail has power when a lead or a wire brings it there; the rails of the two sides are not joined inside the board.".to_owned(),
            remedy: match ends(judged, powered, dead, bottom(judged, dead).unwrap_or(near)) {
                Some((from, to)) => {
                    format!("Put a wire from {from} to {to}: from {} to {name}.", strip_name(judged.bench, powered))
                }
                None => format!("Join {name} to {}.", strip_name(judged.bench, powered)),
            },
            holes,
        });
    }
}

/// The last hole of a rail: wires between rails are tidiest along the board's edge.
fn bottom(judged: &Judged<'_>, strip: Strip) -> Option<Hole> {
    judged.bench.boards.get(usize::from(strip.board))?.holes_of(strip).last().copied()
}

fn wrong_rail(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for repair in &judged.diagnosis().repairs {
        let Mend::Swap { leg, to } = repair.mend else { continue };
        if judged.follows(findings, repair) {
            continue;
        }
        let from = hole_of(bench, leg);
        let strip = bench.strip(from).expect("the leg is over the board");
        let mut parts = vec![leg.part];
        add_others(&mut parts, &repair.revived);
        let free = free_hole(bench, to, from, Some(leg));
        let StripPlace::Rail { sign, .. } = to.place else { continue };
        let side = if sign == Sign::Minus { "−" } else { "+" };
        findings.push(Finding {
            code: WRONG_RAIL.code,
            severity: WRONG_RAIL.severity,
            parts,
            holes: vec![from],
            symptom: dead_symptom(bench, &repair.revived),
            says: format!(
                "{} is in {from}, in {}; {} no path from + to −.",
                capital(&leg_name(bench, leg)),
                strip_name(bench, strip),
                match repair.revived.len() {
                    1 | 2 => format!("it leaves {}", names(bench, &repair.revived)),
                    more => format!("it leaves {more} parts"),
                }
            ),
            why: format!("A path that begins and ends at the same side of the supply carries no current; here the {side} side is missing."),
            remedy: format!(
                "{} {} from {from} to {}.",
                if repair.lacks_part {
                    "First put a resistor into the path, 220 Ω for instance: nothing limits the current there yet. Then move"
                } else {
                    "Move"
                },
                leg_again(bench, leg),
                match free {
                    Some(free) => format!("{free}, {}", strip_name(bench, to)),
                    None => strip_name(bench, to),
                }
            ),
        });
    }
}
