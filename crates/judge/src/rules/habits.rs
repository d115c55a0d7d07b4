//! Colours that say the opposite of what a wire carries, and a bench that could not be solved.

use halfrow_core::bench::PartIx;
use halfrow_core::board::{Hole, Sign, StripPlace};

use crate::colours::{Mismatch, mismatches};
use crate::finding::{Code, Finding, Severity, tells_of};
use crate::graph::Change;
use crate::judged::Judged;
use crate::rule::{Rule, on_paper};
use crate::words::{capital, free_hole, leg_name, names, other_sign, places, strip_name};

pub(crate) static WIRE_COLOUR: Rule = Rule {
    code: Code::WireColour,
    severity: Severity::Habit,
    what: on_paper("A red wire in a − rail, or a black one in a + rail."),
    run: wire_colour,
};

pub(crate) static LEAD_SIGN: Rule = Rule {
    code: Code::LeadSign,
    severity: Severity::Habit,
    what: on_paper("One lead of a supply is in a rail that bears the other sign."),
    run: lead_sign,
};

pub(crate) static NOT_SETTLED: Rule = Rule {
    code: Code::NotSettled,
    severity: Severity::Risk,
    what: on_paper("The voltages of the bench could not be worked out."),
    run: not_settled,
};

/// Whether a wire would be as well in the rail that its colour speaks for: nothing dies of it and
/// nothing is in danger.
fn may_be_meant(judged: &Judged<'_>, it: &Mismatch) -> bool {
    let Some(to) = judged.graph.vertex(it.beside) else { return false };
    let mut graph = judged.graph.clone();
    graph.apply(&Change::Move(vec![(graph.end(it.leg), Some(to))]));
    let live = graph.live_parts();
    judged.live.iter().zip(&live).all(|(&was, &is)| is || !was) && judged.is_safe(it.leg, it.beside)
}

fn wire_colour(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    let told = |findings: &[Finding], part| {
        tells_of(findings, &[Code::WrongRail, Code::ShortCircuit, Code::IdleSwitch], part)
    };
    let mut habits = Vec::new();
    for it in mismatches(judged.bench) {
        // A wire between rails of both signs is a fault of its own.
        if it.both || told(findings, it.leg.part) {
            continue;
        }
        let colour = if it.own == Sign::Plus { "red" } else { "black" };
        if !may_be_meant(judged, &it) {
            habits.push(it);
            continue;
        }
        let free = free_hole(bench, it.beside, it.hole, Some(it.leg));
        let sign = other_sign(it.own).symbol();
        findings.push(Finding {
            code: WIRE_COLOUR.code,
            severity: Severity::Risk,
            parts: vec![it.leg.part],
            holes: vec![it.hole],
            symptom: "Something may be told the opposite of what was meant.".to_owned(),
            says: format!(
                "{} is in {}, in a {sign} rail, and {colour} stands for {}.",
                capital(&leg_name(bench, it.leg)),
                it.hole,
                it.own.symbol()
            ),
            why: COLOURS.to_owned(),
            remedy: format!(
                "If it was meant for the {} rail beside it, move it to {}. If it belongs where it is, use a {} wire.",
                it.own.symbol(),
                free.map_or_else(|| strip_name(bench, it.beside), |hole| hole.to_string()),
                if it.own == Sign::Plus { "black" } else { "red" }
            ),
        });
    }
    for (own, colour, other) in [(Sign::Plus, "red", "black"), (Sign::Minus, "black", "red")] {
        let mine = || habits.iter().filter(|it| it.own == own);
        let mut parts: Vec<PartIx> = mine().map(|it| it.leg.part).collect();
        parts.dedup();
        let holes: Vec<Hole> = mine().map(|it| it.hole).collect();
        if parts.is_empty() {
            continue;
        }
        let one = parts.len() == 1;
        let sign = other_sign(own).symbol();
        findings.push(Finding {
            code: WIRE_COLOUR.code,
            severity: WIRE_COLOUR.severity,
            symptom: "The colours mislead whoever reads the board.".to_owned(),
            says: format!(
                "{} {} {colour} and {} in a {sign} rail ({}).",
                names(bench, &parts),
                if one { "is" } else { "are" },
                if one { "ends" } else { "end" },
                places(&holes)
            ),
            why: COLOURS.to_owned(),
            remedy: format!("Use {other} for wires to a {sign} rail."),
            parts,
            holes,
        });
    }
}

const COLOURS: &str =
    "Red for + and black for − is what everybody expects, also whoever helps to find a mistake.";

fn lead_sign(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for (index, part) in bench.parts.iter().enumerate() {
        let Some(source) = part.card.source else { continue };
        let told = [Code::ShortCircuit, Code::SuppliesFight, Code::SupplyBackwards];
        if tells_of(findings, &told, PartIx(index)) {
            continue;
        }
        for (pin, own) in [(source.plus, Sign::Plus), (source.minus, Sign::Minus)] {
            let Some(hole) = part.legs[usize::from(pin)].hole else { continue };
            let Some(StripPlace::Rail { sign, .. }) = bench.strip(hole).map(|strip| strip.place) else {
                continue;
            };
            if sign == own {
                continue;
            }
            findings.push(Finding {
                code: LEAD_SIGN.code,
                severity: LEAD_SIGN.severity,
                parts: vec![PartIx(index)],
                holes: vec![hole],
                symptom: "The sign beside a rail says the opposite of what the rail carries.".to_owned(),
                says: format!(
                    "{} is in {hole}, in the {} {} rail.",
                    crate::words::capital(&crate::words::leg_name(
                        bench,
                        halfrow_core::bench::LegId { part: PartIx(index), pin: usize::from(pin) }
                    )),
                    hole.side().word(),
                    sign.symbol()
                ),
                why: "Whoever reads the board trusts the signs beside the rails.".to_owned(),
                remedy: format!("Move it, and what belongs to it, to a {} rail.", own.symbol()),
            });
        }
    }
}

fn not_settled(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    if judged.point.settled {
        return;
    }
    let circuit = &judged.point.circuit;
    let worst = judged.point.worst.and_then(|(node, _)| circuit.strips.get(node.0)).copied();
    let place = worst.map(|strip| crate::words::strip_name(judged.bench, strip));
    let holes = judged
        .bench
        .legs()
        .filter_map(|(_, leg)| leg.hole)
        .filter(|&hole| worst.is_some() && judged.bench.strip(hole) == worst)
        .collect();
    findings.push(Finding {
        code: NOT_SETTLED.code,
        severity: NOT_SETTLED.severity,
        parts: Vec::new(),
        holes,
        symptom: "The voltages shown may be wrong.".to_owned(),
        says: match place {
            Some(place) => format!(
                "The voltages of this bench could not be worked out; they are furthest off in {place}."
            ),
            None => "The voltages of this bench could not be worked out.".to_owned(),
        },
        why: "What is shown is the last guess and no answer.".to_owned(),
        remedy: "Take out the part that was put in last, and tell us about this bench.".to_owned(),
    });
}
