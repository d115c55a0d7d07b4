//! Transistors and what they switch.

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::{Duty, Group};

use crate::finding::{Code, Finding, Severity, tells, tells_of};
use crate::hazard::Hazard;
use crate::judged::Judged;
use crate::rule::{Rule, on_paper};
use crate::words::{hole_if, holes};

pub(crate) static TRANSISTOR_LEGS: Rule = Rule {
    code: Code::TransistorLegs,
    severity: Severity::Fault,
    what: on_paper("A transistor’s outer legs are swapped, or its legs are in the wrong order."),
    run: legs,
};

pub(crate) static TRANSISTOR_SORT: Rule = Rule {
    code: Code::TransistorSort,
    severity: Severity::Fault,
    what: on_paper("A transistor of the wrong sort for its place, or one whose control carries the load."),
    run: sort,
};

pub(crate) static BASE_NO_RESISTOR: Rule = Rule {
    code: Code::BaseNoResistor,
    severity: Severity::Fault,
    what: on_paper("Nothing limits the current into a transistor’s base."),
    run: base,
};

pub(crate) static NO_FLYBACK: Rule = Rule {
    code: Code::NoFlyback,
    severity: Severity::Risk,
    what: on_paper("No diode catches the kick of a coil or motor that a transistor or chip switches."),
    run: flyback,
};

fn at(judged: &Judged<'_>, part: PartIx, pin: u8) -> Option<Hole> {
    hole_if(judged.bench, LegId { part, pin: usize::from(pin) })
}

fn legs(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let (plus, minus) = judged.rails();
    for (index, it) in judged.bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let Some(steers) = it.card.steers else { continue };
        let own = if (steers.low_side)(it) { &minus } else { &plus };
        let on = |pin: u8| own.contains(&judged.metal_at(part, usize::from(pin)));
        let says = |pin: u8| it.card.pins[usize::from(pin)].says;
        let place = |pin: u8| at(judged, part, pin).map_or(String::new(), |hole| format!(" in {hole}"));
        let rail = if (steers.low_side)(it) { '−' } else { '+' };
        let wrong = if on(steers.load) && !on(steers.tail) {
            Some(steers.load)
        } else if on(steers.control) && !on(steers.tail) && !on(steers.load) {
            Some(steers.control)
        } else {
            None
        };
        let Some(wrong) = wrong else { continue };
        if judged.is_cured(Hazard::Pin(part, usize::from(wrong))) {
            continue;
        }
        // A base held at its own rail by metal with the tail elsewhere: the order of the legs is wrong.
        findings.push(Finding {
            code: TRANSISTOR_LEGS.code,
            severity: TRANSISTOR_LEGS.severity,
            parts: vec![part],
            holes: holes(judged.bench, part),
            symptom: format!(
                "What {} should switch {}.",
                it.id,
                // A MOSFET conducts backwards whatever its gate is told.
                if !steers.base && wrong == steers.load { "is always on" } else { "stays off or hardly works" }
            ),
            says: format!(
                "{}’s legs are in the wrong order: its {}{} is at {rail}, where its {}{} belongs.",
                it.id,
                says(wrong),
                place(wrong),
                says(steers.tail),
                place(steers.tail)
            ),
            why: "Transistors look alike and differ in the order of their legs. The other way round they amplify next to nothing, or conduct all the time.".to_owned(),
            remedy: format!("Look at the letters beside the legs, and put the {} to {rail}.", says(steers.tail)),
        });
    }
}

/// A transistor whose tail is at the other side of the supply: of the wrong sort, or turned round. One whose
/// control carries the load: its legs are swapped.
fn sort(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let (plus, minus) = judged.rails();
    for (index, it) in judged.bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let Some(steers) = it.card.steers else { continue };
        if tells_of(findings, &[TRANSISTOR_LEGS.code, Code::LegAlone, Code::WrongRow], part)
            || tells(findings, &[Code::ShortCircuit, Code::SupplyBackwards])
        {
            continue;
        }
        let low = (steers.low_side)(it);
        let other = if low { &plus } else { &minus };
        let tail = judged.metal_at(part, usize::from(steers.tail));
        let says = |pin: u8| it.card.pins[usize::from(pin)].says;
        let place = |pin: u8| at(judged, part, pin).map_or(String::new(), |hole| format!(" in {hole}"));
        let (is, wants) = if low { ('+', '−') } else { ('−', '+') };
        let hangs = |pin: u8| judged.load_at(part, usize::from(pin));
        let finding = |says: String, remedy: String, load: Option<PartIx>| {
            Finding {
            code: TRANSISTOR_SORT.code,
            severity: TRANSISTOR_SORT.severity,
            parts: [part].into_iter().chain(load).collect(),
            holes: holes(judged.bench, part),
            symptom: format!("{} doesn’t switch what it should.", it.id),
            says,
            why: "An NPN or N type stands between the load and −, a PNP or P type between + and the load. The other way it can’t be steered.".to_owned(),
            remedy,
        }
        };
        if other.contains(&tail) {
            findings.push(finding(
                format!(
                    "{} has its {}{} at {is}; this sort has it towards {wants}.",
                    it.title(),
                    says(steers.tail),
                    place(steers.tail)
                ),
                format!(
                    "Read the print on {}: take the other sort, or put it on the side of {wants}.",
                    it.id
                ),
                None,
            ));
        } else if let (Some(load), None, None) =
            (hangs(steers.control), hangs(steers.load), hangs(steers.tail))
        {
            findings.push(finding(
                format!(
                    "{} hangs at {}’s {}{}; nothing that it could switch is at its {}{}.",
                    judged.bench.part(load).id,
                    it.id,
                    says(steers.control),
                    place(steers.control),
                    says(steers.load),
                    place(steers.load)
                ),
                format!(
                    "Look at the letters beside the legs: swap the {} and the {}.",
                    says(steers.control),
                    says(steers.load)
                ),
                Some(load),
            ));
        }
    }
}

fn base(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    let (plus, minus) = judged.rails();
    let fed = judged.fed();
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let Some(steers) = it.card.steers.filter(|steers| steers.base) else { continue };
        if tells_of(findings, &[TRANSISTOR_LEGS.code], part) {
            continue;
        }
        let (own, other) = if (steers.low_side)(it) { (&minus, &plus) } else { (&plus, &minus) };
        // With a resistor at the emitter the base limits itself.
        if !own.contains(&judged.metal_at(part, usize::from(steers.tail))) {
            continue;
        }
        let at_base = judged.graph.at(LegId { part, pin: usize::from(steers.control) });
        let base = judged.metal[at_base];
        let by_metal = other.contains(&base);
        // Over a button or switch alone it gets as much.
        let by_rail = fed[usize::from(!(steers.low_side)(it))][at_base];
        let by_output = bench.legs().any(|(leg, at)| {
            at.hole.is_some()
                && bench.part(leg.part).card.duty(leg.pin) == Duty::Output
                && judged.metal[judged.graph.at(leg)] == base
        });
        if !by_rail && !by_output {
            continue;
        }
        let place = at(judged, part, steers.control);
        findings.push(Finding {
            code: BASE_NO_RESISTOR.code,
            severity: if by_rail { Severity::Fault } else { Severity::Risk },
            parts: vec![part],
            holes: place.into_iter().collect(),
            symptom: format!("{} gets hot, and what drives it too.", it.id),
            says: format!(
                "Nothing limits the current into {}’s {}{}: it is joined to {}.",
                it.id,
                it.card.pins[usize::from(steers.control)].says,
                place.map_or(String::new(), |hole| format!(" in {hole}")),
                match (by_metal, by_rail) {
                    (true, _) => "the supply by metal",
                    (_, true) => "the supply by nothing but a switch",
                    _ => "a chip’s output by metal",
                }
            ),
            why: "From base to emitter a transistor is a diode: above 0.7 V it takes all the current it can get.".to_owned(),
            remedy: "Put a resistor of 1 to 10 kΩ between the base and what drives it.".to_owned(),
        });
    }
}

fn flyback(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let (bench, graph) = (judged.bench, &judged.graph);
    let fed = judged.fed();
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let Some((a, b)) = it.card.kicks else { continue };
        let at = [a, b].map(|pin| graph.at(LegId { part, pin: usize::from(pin) }));
        let ends = at.map(|at| judged.metal[at]);
        if ends[0] == ends[1] || !judged.live[index] {
            continue;
        }
        let switch = bench.legs().find(|(leg, at)| {
            let other = bench.part(leg.part);
            let switches = other.card.steers.is_some_and(|steers| usize::from(steers.load) == leg.pin)
                || matches!(other.card.duty(leg.pin), Duty::Output | Duty::OpenOutput);
            switches && at.hole.is_some() && ends.contains(&judged.metal[graph.at(*leg)])
        });
        let Some((switch, _)) = switch else { continue };
        // The end that is not switched, and whether that is at + or at −; neither where both are switched.
        let still = usize::from(ends[0] == judged.metal[graph.at(switch)]);
        let [plus, minus] = [0, 1].map(|pole| fed[pole][at[still]]);
        let across = |other: usize| {
            let it = &bench.parts[other];
            let pin = |pin| if it.legs.len() == 2 { judged.metal_at(PartIx(other), pin) } else { usize::MAX };
            [pin(0), pin(1)]
        };
        let catcher = (0..bench.parts.len()).find(|&other| {
            let across = across(other);
            bench.parts[other].card.group == Group::OneWay && (across == ends || across == [ends[1], ends[0]])
        });
        let by = &bench.part(switch.part).id;
        let coil = &it.id;
        let switched = format!("the side that {by} switches");
        let (ringed, plain) = if plus { ("+", &*switched) } else { (&*switched, "−") };
        if let Some(other) = catcher {
            let it = &bench.parts[other];
            let anode = it.card.polarity.map_or(0, |polarity| usize::from(polarity.anode));
            let at_still = across(other)[anode] == ends[still];
            if plus != minus && at_still == plus {
                findings.push(Finding {
                    code: Code::FlybackBackwards,
                    severity: Severity::Fault,
                    parts: vec![PartIx(other), switch.part, part],
                    holes: holes(judged.bench, PartIx(other)),
                    symptom: format!("{coil} hardly moves, and {} and {by} get hot.", it.id),
                    says: format!(
                        "{} across {coil} is the wrong way round: its {} end is at {}, so that it shorts what {by} switches.",
                        it.id,
                        if plus { "plain" } else { "ringed" },
                        if plus { "+" } else { "−" }
                    ),
                    why: "A flyback diode blocks while the coil is on and only conducts the kick. The other way round it takes all the current.".to_owned(),
                    remedy: format!("Turn {} round: its ringed end to {ringed}.", it.id),
                });
            }
            continue;
        }
        if judged.is_caught_at_the_rails(ends) {
            continue;
        }
        findings.push(Finding {
            code: NO_FLYBACK.code,
            severity: NO_FLYBACK.severity,
            parts: vec![part, switch.part],
            holes: [holes(judged.bench, part), holes(judged.bench, switch.part)].concat(),
            symptom: format!("It works for a while; then {by} fails."),
            says: format!("No diode stands across {coil}, which {by} switches."),
            why: "The current in a coil can’t stop at once. Switched off it drives its voltage up until something gives way: a spark, or the transistor.".to_owned(),
            remedy: if plus == minus {
                format!("Put a diode (1N4001) from each end of {coil} to +, its ringed end at +, and one from − to each end, its plain end at −.")
            } else {
                format!("Put a diode (1N4001) across {coil}: its ringed end to {ringed}, its plain end to {plain}.")
            },
        });
    }
}
