//! Chips: which way they stand and what feeds them.

use halfrow_core::amount;
use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::{Card, Duty};

use crate::finding::{Finding, Severity};
use crate::judged::Judged;
use crate::rule::{Rule, on_paper};
use crate::words::{hole_if, holes, list};

pub(crate) static CHIP_TURNED: Rule = Rule {
    code: "chip-turned",
    severity: Severity::Fault,
    what: on_paper("A chip stands the wrong way round: its notch points to the other end."),
    run: |judged, findings| only(CHIP_TURNED.code, power, judged, findings),
};

pub(crate) static CHIP_REVERSED: Rule = Rule {
    code: "chip-reversed",
    severity: Severity::Fault,
    what: on_paper("A chip’s power pins are joined the wrong way round."),
    run: |judged, findings| only(CHIP_REVERSED.code, power, judged, findings),
};

pub(crate) static CHIP_UNPOWERED: Rule = Rule {
    code: "chip-unpowered",
    severity: Severity::Fault,
    what: on_paper("A chip’s power pin doesn’t reach the supply."),
    run: |judged, findings| only(CHIP_UNPOWERED.code, power, judged, findings),
};

pub(crate) static CHIP_SUPPLY: Rule = Rule {
    code: "chip-supply",
    severity: Severity::Fault,
    what: on_paper("A chip’s supply voltage is more or less than it works with."),
    run: |judged, findings| only(CHIP_SUPPLY.code, power, judged, findings),
};

pub(crate) static NO_DECOUPLING: Rule = Rule {
    code: "no-decoupling",
    severity: Severity::Habit,
    what: on_paper("No capacitor stands between a chip’s power pins."),
    run: decoupling,
};

/// One walk over the chips finds what several rules are about; each takes what is its own.
pub(super) fn only(
    code: &str,
    walk: fn(&Judged<'_>, &[Finding]) -> Vec<Finding>,
    judged: &Judged<'_>,
    findings: &mut Vec<Finding>,
) {
    let found = walk(judged, findings);
    findings.extend(found.into_iter().filter(|it| it.code == code));
}

/// The piece of metal that a leg is on.
pub(super) fn metal(judged: &Judged<'_>, part: PartIx, pin: usize) -> usize {
    judged.metal[judged.graph.at(LegId { part, pin })]
}

/// The pieces of metal with a supply's + and those with a supply's −.
pub(super) fn poles(judged: &Judged<'_>) -> (Vec<usize>, Vec<usize>) {
    let poles = judged.graph.poles();
    poles.iter().map(|it| (judged.metal[it.plus], judged.metal[it.minus])).unzip()
}

/// Which vertices metal and contacts join to a supply's +, and which to its −.
pub(super) fn fed(judged: &Judged<'_>) -> [Vec<bool>; 2] {
    let poles = judged.graph.poles();
    [true, false].map(|plus| judged.graph.fed_by(&poles, &judged.metal, plus))
}

fn pin_with(card: &Card, duty: Duty) -> Option<usize> {
    (0..card.pins.len()).find(|&pin| card.duty(pin) == duty)
}

/// `its pin 8 (VCC) in f10`.
pub(super) fn its_pin(judged: &Judged<'_>, part: PartIx, pin: usize) -> String {
    let says = judged.bench.part(part).card.pins[pin].says;
    match hole_if(judged.bench, LegId { part, pin }) {
        Some(hole) => format!("its {says} in {hole}"),
        None => format!("its {says}"),
    }
}

pub(super) fn hole_list(judged: &Judged<'_>, part: PartIx, pins: &[usize]) -> Vec<Hole> {
    pins.iter().filter_map(|&pin| hole_if(judged.bench, LegId { part, pin })).collect()
}

/// Whether nothing but wires and capacitors is joined to one of a chip's power pins. Through its inputs
/// it may still get enough to look alive.
fn starved(judged: &Judged<'_>, part: PartIx, pins: [usize; 2]) -> bool {
    let bench = judged.bench;
    pins.into_iter().any(|pin| {
        let own = metal(judged, part, pin);
        !bench.legs().any(|(leg, at)| {
            let card = bench.part(leg.part).card;
            let feeds = !card.is_wire() && !matches!(card.kind, "capacitor" | "electrolytic");
            leg.part != part && at.hole.is_some() && feeds && metal(judged, leg.part, leg.pin) == own
        })
    })
}

fn power(judged: &Judged<'_>, before: &[Finding]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let (bench, graph) = (judged.bench, &judged.graph);
    let poles = graph.poles();
    if poles.is_empty() || poles.iter().any(|it| judged.metal[it.plus] == judged.metal[it.minus]) {
        // With + and − one piece of metal, what a chip gets can't be told.
        return findings;
    }
    let turned = before.iter().any(|it| it.code == "supply-backwards");
    // A switch that is open is no mistake. One that changes over between + and − joins neither to the other.
    let fed = fed(judged);
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let (Some(power), Some(ground)) = (pin_with(it.card, Duty::Power), pin_with(it.card, Duty::Ground))
        else {
            continue;
        };
        let told = ["not-straddling", "leg-out", "leg-in-air"];
        if crate::rules::supply::has(before, &told, part) || it.legs.iter().all(|leg| leg.hole.is_none()) {
            continue;
        }
        let count = it.legs.len();
        let by_wire = |pin: usize, plus: bool| {
            let own = metal(judged, part, pin);
            poles.iter().any(|it| own == judged.metal[if plus { it.plus } else { it.minus }])
        };
        let at = |pin: usize, plus: bool| fed[usize::from(!plus)][graph.at(LegId { part, pin })];
        let by_metal = by_wire(power, true) && by_wire(ground, false);
        let by_switch = at(power, true) && at(ground, false);
        let volts = judged.point.part(part).volts_across(power, ground).unwrap_or(0.0);
        let (least, most) = it.card.supply_volts.unwrap_or((0.0, f64::INFINITY));
        let opposite = |pin: usize| (pin + count / 2) % count;
        let mut finding = |rule: &Rule, pins: &[usize], symptom: String, says, why: &str, remedy| {
            findings.push(Finding {
                code: rule.code,
                severity: rule.severity,
                parts: vec![part],
                holes: hole_list(judged, part, pins),
                symptom,
                says,
                why: why.to_owned(),
                remedy,
            });
        };
        if turned {
            // The supply's leads are told.
        } else if !by_switch && it.card.chip && at(opposite(power), true) && at(opposite(ground), false) {
            let up = it.turn.degrees() == 180;
            finding(
                &CHIP_TURNED,
                &[power, ground],
                format!("{} does nothing and may get hot.", it.id),
                format!(
                    "{} is turned round: + and − lie where {} and {} would be the other way, but {} and {} are there.",
                    it.id,
                    it.card.pins[power].says,
                    it.card.pins[ground].says,
                    it.card.pins[opposite(power)].says,
                    it.card.pins[opposite(ground)].says
                ),
                "Pin 1 is left of the notch. Turned round, a chip gets its power through the wrong pins, and that can destroy it at once.",
                format!(
                    "Disconnect the power and turn {} by half a turn: its notch points {} then.",
                    it.id,
                    if up { "up" } else { "down" }
                ),
            );
        } else if let (false, false, true, Some(out)) = (
            by_switch,
            it.card.chip,
            at(ground, false),
            pin_with(it.card, Duty::Feed).filter(|&out| at(out, true)),
        ) {
            finding(
                &CHIP_TURNED,
                &[power, out],
                format!("{} gives next to nothing.", it.id),
                format!(
                    "{} is turned round: + is at {}, and nothing feeds {}.",
                    it.id,
                    its_pin(judged, part, out),
                    its_pin(judged, part, power)
                ),
                "A regulator takes its power at one end and gives it at the other. The wrong way round it can be destroyed.",
                format!("Disconnect the power and turn {} round: {} to +.", it.id, it.card.pins[power].says),
            );
        } else if at(power, false) && at(ground, true) || volts < -0.5 {
            finding(
                &CHIP_REVERSED,
                &[power, ground],
                format!("{} does nothing and gets hot.", it.id),
                format!(
                    "{} gets its power the wrong way round: {} is at −, {} at +.",
                    it.id,
                    its_pin(judged, part, power),
                    its_pin(judged, part, ground)
                ),
                "A chip with its power reversed conducts like a diode and is destroyed within seconds.",
                format!(
                    "Disconnect the power at once; join {} to + and {} to −.",
                    it.card.pins[power].says, it.card.pins[ground].says
                ),
            );
        } else if by_switch && !by_metal && volts < least {
            // Switched off.
        } else if !by_switch && judged.is_brought_to_life(part) {
            // What keeps its power away is told.
        } else if !by_switch && (volts < 0.9 * least || starved(judged, part, [power, ground])) {
            let lacks: Vec<usize> = [(power, true), (ground, false)]
                .into_iter()
                .filter(|&(pin, plus)| !at(pin, plus))
                .map(|(pin, _)| pin)
                .collect();
            let words: Vec<String> = lacks.iter().map(|&pin| its_pin(judged, part, pin)).collect();
            let to = if lacks == [ground] { "−" } else { "+" };
            finding(
                &CHIP_UNPOWERED,
                &lacks,
                format!("{} does nothing.", it.id),
                format!(
                    "{} has no power: {} {}.",
                    it.id,
                    list(&words),
                    if lacks.len() == 2 {
                        "reach neither + nor −".to_owned()
                    } else {
                        format!("doesn’t reach {to}")
                    }
                ),
                "Every chip needs its two power pins, even where a drawing leaves them out.",
                format!(
                    "Join {} to the + rail and {} to the − rail.",
                    it.card.pins[power].says, it.card.pins[ground].says
                ),
            );
        } else if volts > most {
            finding(
                &CHIP_SUPPLY,
                &[power, ground],
                format!("{} gets hot and may be destroyed.", it.id),
                format!(
                    "{} has {} between its power pins; it takes {most} V at most.",
                    it.id,
                    amount::volts(volts)
                ),
                "More than a chip’s highest supply voltage breaks through its insulation.",
                format!("Give {} {least} to {most} V: fewer cells, or a regulator.", it.id),
            );
        } else if by_metal && volts < least - 0.05 {
            finding(
                &CHIP_SUPPLY,
                &[power, ground],
                format!("{} does not work as it should.", it.id),
                format!(
                    "{} has only {} between its power pins; it needs {least} V.",
                    it.id,
                    amount::volts(volts)
                ),
                "Below its lowest supply voltage a chip does anything or nothing.",
                format!("Give {} {least} to {most} V: more cells, or fresh ones.", it.id),
            );
        }
    }
    // A chip that is turned round pulls the supply down for all of them.
    if findings.iter().any(|it| [CHIP_TURNED.code, CHIP_REVERSED.code].contains(&it.code)) {
        findings.retain(|it| it.code != CHIP_SUPPLY.code);
    }
    findings
}

fn decoupling(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    // As it is meant: a rail that nothing feeds yet is told.
    let meant = judged.meant();
    let places = meant.metal();
    let metal = |part, pin| places[meant.at(LegId { part, pin })];
    let mut bare: Vec<PartIx> = Vec::new();
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let (Some(power), Some(ground), true) =
            (pin_with(it.card, Duty::Power), pin_with(it.card, Duty::Ground), it.card.chip)
        else {
            continue;
        };
        let told =
            [CHIP_TURNED.code, CHIP_REVERSED.code, CHIP_UNPOWERED.code, CHIP_SUPPLY.code, "not-straddling"];
        if crate::rules::supply::has(findings, &told, part) || judged.is_brought_to_life(part) {
            continue;
        }
        let (plus, minus) = (metal(part, power), metal(part, ground));
        let has_one = bench.parts.iter().enumerate().any(|(other, it)| {
            let ends =
                [0, 1].map(|pin| if it.legs.len() == 2 { metal(PartIx(other), pin) } else { usize::MAX });
            matches!(it.card.kind, "capacitor" | "electrolytic")
                && (ends == [plus, minus] || ends == [minus, plus])
        });
        if !has_one {
            bare.push(part);
        }
    }
    let Some(&first) = bare.first() else { return };
    let names = crate::words::names(bench, &bare);
    findings.push(Finding {
        code: NO_DECOUPLING.code,
        severity: NO_DECOUPLING.severity,
        holes: holes(judged.bench, first).into_iter().take(1).collect(),
        symptom: "On a long lead the chip may act up now and then.".to_owned(),
        says: format!("No capacitor stands between + and − of {names}."),
        why: "When outputs switch they take current in pulses. A capacitor close by gives it at once, before the supply at the end of its leads can.".to_owned(),
        remedy: format!("Put 100 nF between the power pins of {names}, as near as there is room."),
        parts: bare,
    });
}
