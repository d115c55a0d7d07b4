//! Legs that are not in, or barely; stiff parts that stand in the wrong place.

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::{Hole, Side};
use halfrow_core::card::Footprint;
use halfrow_core::part::Depth;

use crate::finding::{Code, Finding, Severity};
use crate::judged::Judged;
use crate::rule::{Rule, on_paper};
use crate::words::{capital, hole_of, leg_again, leg_name, list, names, opposite, places};

pub(crate) static LEG_OUT: Rule = Rule {
    code: Code::LegOut,
    severity: Severity::Fault,
    what: on_paper("A leg rests over its hole and is not pushed in."),
    run: leg_out,
};

pub(crate) static LEG_BARELY: Rule = Rule {
    code: Code::LegBarely,
    severity: Severity::Risk,
    what: on_paper("A leg is barely in: its contact comes and goes."),
    run: leg_barely,
};

pub(crate) static LEG_IN_AIR: Rule = Rule {
    code: Code::LegInAir,
    severity: Severity::Risk,
    what: on_paper("One leg of a part is in the board and another in the air."),
    run: leg_in_air,
};

pub(crate) static STRADDLE: Rule = Rule {
    code: Code::NotStraddling,
    severity: Severity::Fault,
    what: on_paper("A part with two rows of pins does not straddle the channel."),
    run: straddle,
};

fn at_depth(judged: &Judged<'_>, depth: Depth) -> impl Iterator<Item = LegId> {
    judged.bench.legs().filter(move |(_, leg)| leg.hole.is_some() && leg.depth == depth).map(|(id, _)| id)
}

/// What a student sees of a leg without contact.
fn symptom(judged: &Judged<'_>, leg: LegId) -> String {
    let mut graph = judged.meant().clone();
    let before = graph.live_parts();
    graph.apply(&crate::graph::Change::Move(vec![(graph.end(leg), None)]));
    let after = graph.live_parts();
    let mut cut: Vec<PartIx> =
        (0..before.len()).filter(|&part| before[part] && !after[part]).map(PartIx).collect();
    if cut.is_empty() {
        cut.push(leg.part);
    }
    crate::words::dead_symptom(judged.bench, &cut)
}

fn leg_out(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    for leg in at_depth(judged, Depth::Out) {
        let hole = hole_of(judged.bench, leg);
        findings.push(Finding {
            code: LEG_OUT.code,
            severity: LEG_OUT.severity,
            parts: vec![leg.part],
            holes: vec![hole],
            symptom: symptom(judged, leg),
            says: format!("{} is not pushed in: it rests over {hole} and touches nothing.", capital(&leg_name(judged.bench, leg))),
            why: "The metal that joins a row lies some millimetres deep. A leg that rests on the board looks right and is not connected.".to_owned(),
            remedy: format!("Push {} all the way into {hole}.", leg_again(judged.bench, leg)),
        });
    }
}

fn leg_barely(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    for leg in at_depth(judged, Depth::Barely) {
        let hole = hole_of(judged.bench, leg);
        let touches = judged.point.leg(leg).touches;
        findings.push(Finding {
            code: LEG_BARELY.code,
            severity: if touches { LEG_BARELY.severity } else { Severity::Fault },
            parts: vec![leg.part],
            holes: vec![hole],
            symptom: if touches {
                "It works, and when somebody taps the table it does not.".to_owned()
            } else {
                symptom(judged, leg)
            },
            says: format!(
                "{} is barely in {hole}: its contact comes and goes{}.",
                capital(&leg_name(judged.bench, leg)),
                if touches { "" } else { ", and just now it does not touch" }
            ),
            why: "A poor contact works until somebody moves the board. Faults that come and go are the hardest to find.".to_owned(),
            remedy: format!("Push {} all the way into {hole}; straighten its end first if it bends.", leg_again(judged.bench, leg)),
        });
    }
}

fn leg_in_air(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for (index, part) in bench.parts.iter().enumerate() {
        let part_ix = PartIx(index);
        let placed: Vec<Hole> = part.legs.iter().filter_map(|leg| leg.hole).collect();
        if placed.is_empty() || placed.len() == part.legs.len() {
            continue;
        }
        let loose: Vec<LegId> = (0..part.legs.len())
            .filter(|&pin| part.legs[pin].hole.is_none())
            .map(|pin| LegId { part: part_ix, pin })
            .collect();
        let words: Vec<String> = loose.iter().map(|&leg| leg_name(bench, leg)).collect();
        let is = if loose.len() == 1 { "is" } else { "are" };
        findings.push(Finding {
            code: LEG_IN_AIR.code,
            severity: LEG_IN_AIR.severity,
            parts: vec![part_ix],
            symptom: crate::words::dead_symptom(bench, &[part_ix]),
            says: format!(
                "{} {is} in the air; {} is in {}.",
                capital(&list(&words)),
                if placed.len() == 1 { "its other leg" } else { "the rest" },
                places(&placed)
            ),
            why: "A part works only when all of the legs that it needs are in the board.".to_owned(),
            remedy: format!("Put {} into the row where it belongs.", leg_again(bench, loose[0])),
            holes: placed,
        });
    }
}

fn straddle(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for (index, part) in bench.parts.iter().enumerate() {
        let Footprint::Rigid { straddles: true, .. } = part.card.footprint else { continue };
        let holes: Vec<Hole> = part.legs.iter().filter_map(|leg| leg.hole).collect();
        let Some(&pin1) = holes.first() else { continue };
        let on = |side: Side| holes.iter().any(|hole| hole.row().is_some() && hole.side() == side);
        if on(pin1.side()) && on(opposite(pin1.side())) {
            continue;
        }
        // The last of them faces pin 1 where the rows of pins run along the channel.
        let joined = (1..part.legs.len()).rev().find_map(|pin| {
            let hole = part.legs[pin].hole.filter(|hole| hole.row() == pin1.row())?;
            Some((part.card.pins[pin].says, hole))
        });
        findings.push(Finding {
            code: STRADDLE.code,
            severity: STRADDLE.severity,
            parts: vec![PartIx(index)],
            symptom: format!("{} does nothing and may get hot.", part.id),
            says: match joined {
                Some((other, there)) => format!(
                    "{} does not straddle the channel: its {} in {pin1} is in one half row with its {other} in {there}.",
                    part.id,
                    part.card.pins[0].says
                ),
                None => format!("{} does not straddle the channel: all of its pins are on the {} half ({}…).", part.id, pin1.side().word(), pin1),
            },
            why: "On one side of the channel the board joins pins that face each other; over the channel each pin has a row of its own.".to_owned(),
            remedy: format!("Put {} across the channel, with one row of pins in column e and the other in column f.", names(bench, &[PartIx(index)])),
            holes,
        });
    }
}
