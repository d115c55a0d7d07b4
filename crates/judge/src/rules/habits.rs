//! Colours that say the opposite of what a wire carries, and a bench that could not be solved.

use halfrow_core::bench::PartIx;
use halfrow_core::board::{Hole, Sign, StripPlace};
use halfrow_core::parts::wire;

use crate::finding::{Finding, Severity};
use crate::judged::Judged;
use crate::rule::{Rule, on_paper};
use crate::words::{list, names};

pub(crate) static WIRE_COLOUR: Rule = Rule {
    code: "wire-colour",
    severity: Severity::Habit,
    what: on_paper("A red wire in a − rail, or a black one in a + rail."),
    run: wire_colour,
};

pub(crate) static LEAD_SIGN: Rule = Rule {
    code: "lead-sign",
    severity: Severity::Habit,
    what: on_paper("One lead of a supply is in a rail that bears the other sign."),
    run: lead_sign,
};

pub(crate) static NOT_SETTLED: Rule = Rule {
    code: "not-settled",
    severity: Severity::Risk,
    what: on_paper("The voltages of the bench could not be worked out."),
    run: not_settled,
};

fn wire_colour(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for (colour, sign, other) in [("red", Sign::Minus, "black"), ("black", Sign::Plus, "red")] {
        let mut parts = Vec::new();
        let mut holes: Vec<Hole> = Vec::new();
        for (index, part) in bench.parts.iter().enumerate() {
            let told = crate::rules::supply::has(findings, &["wrong-rail", "short-circuit"], PartIx(index));
            if told || part.card.kind != wire::CARD.kind || (part.card.label)(part) != colour {
                continue;
            }
            let strips = || part.legs.iter().filter_map(|leg| Some((leg.hole?, bench.strip(leg.hole?)?)));
            let is = |place: StripPlace, sign: Sign| matches!(place, StripPlace::Rail { sign: own, .. } if own == sign);
            // A wire between rails of both signs is a fault of its own.
            if strips().any(|(_, strip)| is(strip.place, sign))
                && !strips().any(|(_, strip)| is(strip.place, opposite(sign)))
            {
                parts.push(PartIx(index));
                holes.extend(strips().filter(|(_, strip)| is(strip.place, sign)).map(|(hole, _)| hole));
            }
        }
        if parts.is_empty() {
            continue;
        }
        let one = parts.len() == 1;
        findings.push(Finding {
            code: WIRE_COLOUR.code,
            severity: WIRE_COLOUR.severity,
            symptom: "It works; the colours mislead whoever reads the board.".to_owned(),
            says: format!(
                "{} {} {colour} and {} in a {} rail ({}).",
                names(bench, &parts),
                if one { "is" } else { "are" },
                if one { "ends" } else { "end" },
                sign.symbol(),
                list(&holes.iter().map(Hole::to_string).collect::<Vec<_>>())
            ),
            why: "Red for + and black for − is what everybody expects, also whoever helps to find a mistake."
                .to_owned(),
            remedy: format!("Use {other} for wires to a {} rail.", sign.symbol()),
            parts,
            holes,
        });
    }
}

fn opposite(sign: Sign) -> Sign {
    if sign == Sign::Plus { Sign::Minus } else { Sign::Plus }
}

fn lead_sign(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for (index, part) in bench.parts.iter().enumerate() {
        let Some(source) = part.card.source else { continue };
        let told = ["short-circuit", "supplies-fight", "supply-backwards"];
        if crate::rules::supply::has(findings, &told, PartIx(index)) {
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
