//! Too much of something for a part, with the figures.

use halfrow_core::amount;
use halfrow_core::bench::PartIx;
use halfrow_core::board::Hole;
use halfrow_core::card::VISIBLE_AMPS;
use halfrow_core::card::{Duty, Group};

use crate::finding::{Code, Finding, Severity, tells, tells_of};
use crate::flow::{Trip, leads_through, one_way};
use crate::graph::{Edge, Way};
use crate::hazard::Hazard;
use crate::judged::Judged;
use crate::lamps::{at_least, good_resistor, most_volts};
use crate::rule::{Rule, on_paper};
use crate::words::{holes, places};

pub(crate) static LED_NO_RESISTOR: Rule = Rule {
    code: Code::LedNoResistor,
    severity: Severity::Fault,
    what: on_paper("Nothing limits the current through an LED."),
    run: led_no_resistor,
};

pub(crate) static TOO_MUCH_CURRENT: Rule = Rule {
    code: Code::TooMuchCurrent,
    severity: Severity::Fault,
    what: on_paper("More current flows through a part than it stands."),
    run: too_much_current,
};

pub(crate) static TOO_MUCH_POWER: Rule = Rule {
    code: Code::TooMuchPower,
    severity: Severity::Fault,
    what: on_paper("A part turns more power into heat than it stands."),
    run: too_much_power,
};

pub(crate) static TOO_MUCH_VOLTAGE: Rule = Rule {
    code: Code::TooMuchVoltage,
    severity: Severity::Fault,
    what: on_paper("More voltage stands across a part than it is made for."),
    run: |judged, findings| too_many_volts(judged, findings, true),
};

pub(crate) static TOO_MUCH_REVERSE: Rule = Rule {
    code: Code::TooMuchReverse,
    severity: Severity::Fault,
    what: on_paper("More voltage stands across a one-way part in its blocking direction than it holds."),
    run: |judged, findings| too_many_volts(judged, findings, false),
};

fn led_no_resistor(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let (bench, graph) = (judged.bench, &judged.graph);
    let leds: Vec<&Edge> = graph
        .edges
        .iter()
        .filter(|edge| {
            edge.way == Way::Forward
                && judged.live[edge.part.0]
                && bench.part(edge.part).card.forward_volts.is_some()
        })
        .collect();
    if leds.is_empty() {
        return;
    }
    let price = |edge: &Edge, forward: bool| {
        if matches!(edge.way, Way::Load) { None } else { one_way(edge, forward) }
    };
    let adjacency = graph.adjacency();
    let trip = Trip { graph, adjacency: &adjacency, metal: &judged.metal, price: &price };
    let poles = graph.poles();
    let trips: Vec<_> = poles
        .iter()
        .map(|poles| {
            (trip.prices(poles.plus, poles.minus, false), trip.prices(poles.minus, poles.plus, true))
        })
        .collect();
    for edge in leds {
        let (a, k) = graph.vertices_of(edge);
        let bare = poles
            .iter()
            .zip(&trips)
            .any(|(poles, (plus, minus))| leads_through(&judged.metal, poles, (plus, minus), (a, k)));
        if !bare || explained(judged, findings, edge.part) {
            continue;
        }
        let it = bench.part(edge.part);
        let limit = (it.card.limits)(it).amps.unwrap_or(f64::INFINITY);
        let amps = judged.point.part(edge.part).largest_amps();
        // Burnt out or behind an open switch it is dark; what would flow is then told by the voltage.
        let burnt = tells_of(findings, &[Code::BurntOut], edge.part);
        let would = amps < VISIBLE_AMPS
            && it.card.forward_volts.is_some_and(|volts| most_volts(bench) > volts(it, limit) + 0.3);
        if amps <= limit && !would {
            continue;
        }
        findings.push(bare_led(judged, edge.part, burnt, would));
    }
}

/// What is said of an LED without a resistor: burnt out already, or dark just now because a switch is
/// open, or far too bright.
fn bare_led(judged: &Judged<'_>, part: PartIx, burnt: bool, would: bool) -> Finding {
    let it = judged.bench.part(part);
    let amps = judged.point.part(part).largest_amps();
    let limit = (it.card.limits)(it).amps.unwrap_or(f64::INFINITY);
    let (holes, limit) = (holes(judged.bench, part), amount::with_prefix(limit, "A"));
    let bare = format!("{} ({}) has no resistor in its path from + to −", it.id, places(&holes));
    Finding {
        code: LED_NO_RESISTOR.code,
        severity: LED_NO_RESISTOR.severity,
        parts: vec![part],
        symptom: if burnt {
            format!("A new {} will burn out as well.", it.id)
        } else if would {
            format!("{} will flash once and burn out.", it.id)
        } else {
            format!("{} is far too bright and burns out.", it.id)
        },
        says: if burnt {
            format!("{bare}: a new one takes more than {limit} again.")
        } else if would {
            format!("{bare}: as soon as the switch closes, more than {limit} flow.")
        } else {
            format!("{bare}: {} flow, and it takes {limit} at most.", amount::with_prefix(amps, "A"))
        },
        why: "Above its forward voltage an LED takes ever more current. Only a resistor in the same path keeps it to what it stands.".to_owned(),
        remedy: format!(
            "Put a resistor into its path, {} for instance, between {} and what it is joined to now.",
            good_resistor(judged.bench, part),
            holes.first().map_or_else(String::new, Hole::to_string)
        ),
        holes,
    }
}

/// Whether what a part suffers follows from a finding that has been made: it lies on the path of a
/// short circuit, or a bypassed part should have held its current back.
fn explained(judged: &Judged<'_>, findings: &[Finding], part: PartIx) -> bool {
    let told = [
        Code::ShortCircuit,
        Code::SuppliesFight,
        Code::ChipTurned,
        Code::ChipReversed,
        Code::OutputShorted,
        Code::OutputsFight,
        Code::BaseNoResistor,
        Code::FlybackBackwards,
        LED_NO_RESISTOR.code,
    ];
    let supply = [Code::ShortCircuit, Code::SupplyBackwards];
    if tells_of(findings, &told, part)
        || findings.iter().any(|it| supply.contains(&it.code))
        || judged.is_brought_to_life(part)
        || judged.is_cured(Hazard::Bare(part))
    {
        return true;
    }
    let graph = &judged.graph;
    let touched = |part: PartIx| {
        graph.ends[graph.first_end[part.0]..graph.first_end[part.0 + 1]].iter().map(|&at| judged.metal[at])
    };
    findings
        .iter()
        .filter(|finding| {
            finding.code == Code::Bypassed && judged.bench.part(finding.parts[0]).card.group != Group::Light
        })
        .any(|finding| {
            let bypassed: Vec<usize> = touched(finding.parts[0]).collect();
            touched(part).any(|at| bypassed.contains(&at))
        })
}

/// Whether an LED of which too much current is told passes the same current: what the part suffers
/// is cured with it.
fn with_an_led(judged: &Judged<'_>, findings: &[Finding], amps: f64) -> bool {
    findings.iter().filter(|it| it.code == TOO_MUCH_CURRENT.code).any(|it| {
        let led = it.parts[0];
        judged.bench.part(led).card.forward_volts.is_some()
            && (judged.point.part(led).largest_amps() - amps).abs() < 0.01 * amps
    })
}

fn too_much_current(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    let surge = tells(
        findings,
        &[Code::ShortCircuit, Code::SuppliesFight, Code::FlybackBackwards, LED_NO_RESISTOR.code],
    );
    let mut wires: Vec<(PartIx, f64, f64)> = Vec::new();
    // LEDs first: what is in one path with them suffers for the same reason.
    let mut order: Vec<usize> = (0..bench.parts.len()).collect();
    order.sort_by_key(|&index| bench.parts[index].card.forward_volts.is_none());
    for index in order {
        let (part, part_ix) = (&bench.parts[index], PartIx(index));
        let Some(limit) = (part.card.limits)(part).amps else { continue };
        let (amps, limit) = worst_pin(judged, part_ix, limit);
        let is_led = part.card.forward_volts.is_some();
        if amps <= limit
            || explained(judged, findings, part_ix)
            || !is_led && with_an_led(judged, findings, amps)
        {
            continue;
        }
        let carries = part.card.is_wire() || part.card.group == Group::Switch;
        if carries && surge {
            // It only passes on what somebody else takes.
            continue;
        }
        if part.card.is_wire() {
            wires.push((part_ix, amps, limit));
            continue;
        }
        findings.push(overdriven(judged, part_ix, amps, limit));
    }
    findings.extend(warm_wires(judged, &wires));
}

/// The largest current into a pin of a part and what that pin stands, amperes: a logic chip's supply pins,
/// which carry what several outputs give, stand twice as much (25 mA an output, 50 mA a supply pin: 74HC00
/// rev 7, table 4).
fn worst_pin(judged: &Judged<'_>, part: PartIx, limit: f64) -> (f64, f64) {
    let (card, reading) = (judged.bench.part(part).card, judged.point.part(part));
    let amps = reading.most_amps(card);
    if card.logic.is_none() {
        return (amps, limit);
    }
    let is_supply = |pin: usize| matches!(card.duty(pin), Duty::Power | Duty::Ground);
    let most = |supply: bool| {
        let pins = reading.pins.iter().enumerate().filter(|it| is_supply(it.0) == supply);
        pins.map(|it| it.1.amps.abs()).fold(0.0, f64::max)
    };
    let (signal, supply) = (most(false), most(true));
    if signal > limit || supply < 2.0 * limit { (signal, limit) } else { (supply, 2.0 * limit) }
}

/// The holes of the legs that too much goes through.
fn worst_holes(judged: &Judged<'_>, part_ix: PartIx, amps: f64) -> Vec<Hole> {
    let part = judged.bench.part(part_ix);
    if !part.card.chip {
        return holes(judged.bench, part_ix);
    }
    // Of a chip, the pin that gives or takes most: of those with nearly as much, no power pin, which
    // only passes it on.
    let pins = &judged.point.part(part_ix).pins;
    let passes = |pin: usize| matches!(part.card.duty(pin), Duty::Power | Duty::Ground);
    let most = (0..part.legs.len())
        .filter(|&pin| pins[pin].amps.abs() > 0.7 * amps && !part.card.shared.contains(&(pin as u8)))
        .max_by(|&a, &b| passes(b).cmp(&passes(a)).then(pins[a].amps.abs().total_cmp(&pins[b].amps.abs())));
    most.and_then(|pin| part.legs[pin].hole).into_iter().collect()
}

fn overdriven(judged: &Judged<'_>, part_ix: PartIx, amps: f64, limit: f64) -> Finding {
    let part = judged.bench.part(part_ix);
    let holes = worst_holes(judged, part_ix, amps);
    Finding {
        code: TOO_MUCH_CURRENT.code,
        severity: TOO_MUCH_CURRENT.severity,
        parts: vec![part_ix],
        symptom: if part.card.group == Group::Light {
            format!("{} is too bright and does not last.", part.id)
        } else {
            format!("{} gets hot.", part.id)
        },
        says: format!(
            "{} flow through {} ({}); it takes {} at most.",
            amount::with_prefix(amps, "A"),
            part.id,
            places(&holes),
            amount::with_prefix(limit, "A")
        ),
        why: "More current than a part is made for heats it until it fails.".to_owned(),
        remedy: if part.card.forward_volts.is_some() {
            format!(
                "Use a larger resistor in its path: {} in all keep it bright and safe.",
                good_resistor(judged.bench, part_ix)
            )
        } else if part.card.group == Group::Move {
            "Look what holds it, and let it turn; if it turns, use fewer volts.".to_owned()
        } else {
            "Put more resistance into its path, or use fewer volts.".to_owned()
        },
        holes,
    }
}

fn warm_wires(judged: &Judged<'_>, wires: &[(PartIx, f64, f64)]) -> Option<Finding> {
    let &(worst, amps, limit) = wires.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(Finding {
        code: TOO_MUCH_CURRENT.code,
        severity: TOO_MUCH_CURRENT.severity,
        parts: wires.iter().map(|&(wire, ..)| wire).collect(),
        holes: holes(judged.bench, worst),
        symptom: "A wire gets warm.".to_owned(),
        says: format!(
            "{} flow through {}; a board’s contacts take about {}.",
            amount::with_prefix(amps, "A"),
            crate::words::part_name(judged.bench, worst),
            amount::with_prefix(limit, "A")
        ),
        why: "The springs inside a breadboard are thin. Too much current makes them hot and loose."
            .to_owned(),
        remedy: "Look for what takes that much current and give it more resistance.".to_owned(),
    })
}

fn too_much_power(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    for (index, part) in bench.parts.iter().enumerate() {
        let part_ix = PartIx(index);
        let Some(limit) = (part.card.limits)(part).watts else { continue };
        let watts = judged.point.part(part_ix).watts;
        if watts <= limit
            || explained(judged, findings, part_ix)
            || tells_of(findings, &[TOO_MUCH_CURRENT.code], part_ix)
            || with_an_led(judged, findings, judged.point.part(part_ix).largest_amps())
        {
            continue;
        }
        let holes = holes(bench, part_ix);
        let volts = judged.point.part(part_ix).volts_across(0, part.legs.len() - 1).unwrap_or(0.0).abs();
        // What sags under this load comes back with a larger value.
        let volts = volts.max(most_volts(bench));
        let ohms = at_least(volts * volts / (0.8 * limit));
        findings.push(Finding {
            code: TOO_MUCH_POWER.code,
            severity: TOO_MUCH_POWER.severity,
            parts: vec![part_ix],
            symptom: format!("{} gets hot.", part.id),
            says: format!(
                "{} ({}) turns {} into heat; it takes {} at most.",
                part.title(),
                places(&holes),
                amount::with_prefix(watts, "W"),
                amount::with_prefix(limit, "W")
            ),
            why:
                "A part that gets more power than it is made for burns fingers, changes its value and fails."
                    .to_owned(),
            remedy: if part.card.is_chosen_by_ohms() {
                format!(
                    "Use a larger value, {} or more, or fewer volts.",
                    amount::value(ohms, halfrow_core::card::Unit::Ohm)
                )
            } else {
                "Put a resistor into its path, or use fewer volts.".to_owned()
            },
            holes,
        });
    }
}

/// More volts across a part that minds its way round than it stands, in its own direction or against it.
fn too_many_volts(judged: &Judged<'_>, findings: &mut Vec<Finding>, forward: bool) {
    let bench = judged.bench;
    if !forward && tells(findings, &[Code::SupplyBackwards, Code::ShortCircuit]) {
        return;
    }
    let rule = if forward { &TOO_MUCH_VOLTAGE } else { &TOO_MUCH_REVERSE };
    for (index, part) in bench.parts.iter().enumerate() {
        let part_ix = PartIx(index);
        let limits = (part.card.limits)(part);
        let limit = if forward { limits.forward_volts } else { limits.reverse_volts };
        let (Some(limit), Some(polarity)) = (limit, part.card.polarity) else { continue };
        let ends = [polarity.anode, polarity.cathode].map(usize::from);
        let across = judged.point.part(part_ix).volts_across(ends[0], ends[1]);
        let across = across.map(|volts| if forward { volts } else { -volts });
        let Some(volts) = across.filter(|&volts| volts > limit) else { continue };
        if tells_of(findings, &[Code::Backwards], part_ix) {
            // It is to be turned round anyway.
            continue;
        }
        let holes = holes(bench, part_ix);
        let it = format!("{} ({})", part.id, places(&holes));
        let [volts, limit] = [volts, limit].map(|volts| amount::with_prefix(volts, "V"));
        let (symptom, says, why, remedy) = if forward {
            (
                if tells_of(findings, &[Code::BurntOut], part_ix) {
                    format!("A new {} will burst as well.", part.id)
                } else {
                    format!("{} swells and may burst.", part.id)
                },
                format!("{it} has {volts} across it; it is made for {limit} at most."),
                "The thin layer inside that holds the charge breaks through, and what is inside turns to gas.",
                format!("Disconnect the power and put in one for more volts than {volts}."),
            )
        } else {
            (
                format!("{} may be damaged for good.", part.id),
                format!("{it} has {volts} across it against its direction; it holds {limit}."),
                "A one-way part blocks only up to its reverse voltage; beyond it breaks down.",
                format!("Turn {} round, or use fewer volts.", part.id),
            )
        };
        findings.push(Finding {
            code: rule.code,
            severity: rule.severity,
            parts: vec![part_ix],
            symptom,
            says,
            why: why.to_owned(),
            remedy,
            holes,
        });
    }
}
