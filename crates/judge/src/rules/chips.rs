//! Chips: power, outputs, inputs.

use halfrow_core::amount;
use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::{Card, Duty};

use crate::finding::{Finding, Severity};
use crate::graph::Way;
use crate::judged::Judged;
use crate::rule::{Rule, on_paper};
use crate::rules::harm::holes;
use crate::words::{hole_if, list};

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

pub(crate) static OUTPUTS_FIGHT: Rule = Rule {
    code: "outputs-fight",
    severity: Severity::Fault,
    what: on_paper("Two outputs drive one net."),
    run: |judged, findings| only(OUTPUTS_FIGHT.code, outputs, judged, findings),
};

pub(crate) static OUTPUT_SHORTED: Rule = Rule {
    code: "output-shorted",
    severity: Severity::Fault,
    what: on_paper("An output is joined to the supply’s + or − by metal."),
    run: |judged, findings| only(OUTPUT_SHORTED.code, outputs, judged, findings),
};

pub(crate) static INPUT_FLOATING: Rule = Rule {
    code: "input-floating",
    severity: Severity::Fault,
    what: on_paper("Nothing tells an input that is in use what it should be."),
    run: |judged, findings| only(INPUT_FLOATING.code, inputs, judged, findings),
};

pub(crate) static INPUT_LET_GO: Rule = Rule {
    code: "input-let-go",
    severity: Severity::Risk,
    what: on_paper("An input hangs on nothing while a switch is open: a pull-up or pull-down is missing."),
    run: |judged, findings| only(INPUT_LET_GO.code, inputs, judged, findings),
};

pub(crate) static INPUT_UNUSED: Rule = Rule {
    code: "input-unused",
    severity: Severity::Habit,
    what: on_paper("Inputs of gates that nobody uses are left open."),
    run: |judged, findings| only(INPUT_UNUSED.code, inputs, judged, findings),
};

pub(crate) static NO_DECOUPLING: Rule = Rule {
    code: "no-decoupling",
    severity: Severity::Habit,
    what: on_paper("No capacitor stands between a chip’s power pins."),
    run: decoupling,
};

/// One walk over the chips finds what several rules are about; each takes what is its own.
fn only(
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

fn pin_with(card: &Card, duty: Duty) -> Option<usize> {
    (0..card.pins.len()).find(|&pin| card.duty(pin) == duty)
}

/// `its pin 8 (VCC) in f10`.
fn its_pin(judged: &Judged<'_>, part: PartIx, pin: usize) -> String {
    let says = judged.bench.part(part).card.pins[pin].says;
    match hole_if(judged.bench, LegId { part, pin }) {
        Some(hole) => format!("its {says} in {hole}"),
        None => format!("its {says}"),
    }
}

fn hole_list(judged: &Judged<'_>, part: PartIx, pins: &[usize]) -> Vec<Hole> {
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
    if poles.is_empty() {
        return findings;
    }
    // A switch that is open is no mistake.
    let switched = graph.joined_by(|way| matches!(way, Way::Metal | Way::Contact));
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
        let at = |pin: usize, plus: bool, places: &[usize]| {
            let own = places[graph.at(LegId { part, pin })];
            poles.iter().any(|it| own == places[if plus { it.plus } else { it.minus }])
        };
        let by_metal = at(power, true, &judged.metal) && at(ground, false, &judged.metal);
        let by_switch = at(power, true, &switched) && at(ground, false, &switched);
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
        if !by_switch
            && it.card.chip
            && at(opposite(power), true, &switched)
            && at(opposite(ground), false, &switched)
        {
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
        } else if at(power, false, &switched) && at(ground, true, &switched) || volts < -0.5 {
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
        } else if !by_switch && (volts < 0.9 * least || starved(judged, part, [power, ground])) {
            let lacks: Vec<usize> = [(power, true), (ground, false)]
                .into_iter()
                .filter(|&(pin, plus)| !at(pin, plus, &switched))
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
                format!("{} has {} between its power pins; it stands {most} V.", it.id, amount::volts(volts)),
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
    findings
}

fn outputs(judged: &Judged<'_>, before: &[Finding]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let bench = judged.bench;
    let (plus, minus) = poles(judged);
    let mut seen: Vec<(usize, PartIx, usize)> = Vec::new();
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        if crate::rules::supply::has(before, &[CHIP_TURNED.code, CHIP_REVERSED.code, "not-straddling"], part)
        {
            continue;
        }
        for pin in 0..it.legs.len() {
            let duty = it.card.duty(pin);
            if !matches!(duty, Duty::Output | Duty::OpenOutput) || it.legs[pin].hole.is_none() {
                continue;
            }
            let own = metal(judged, part, pin);
            let (high, low) = (plus.contains(&own), minus.contains(&own));
            if high || (low && duty == Duty::Output) {
                let sign = if high { '+' } else { '−' };
                findings.push(Finding {
                    code: OUTPUT_SHORTED.code,
                    severity: OUTPUT_SHORTED.severity,
                    parts: vec![part],
                    holes: hole_list(judged, part, &[pin]),
                    symptom: format!("{} gets hot, and its output never changes.", it.id),
                    says: format!("{}: {} is joined to {sign} by metal.", it.id, its_pin(judged, part, pin)),
                    why: "An output drives its net itself. Joined to the supply it works against it with all the current it can give.".to_owned(),
                    remedy: if duty == Duty::OpenOutput {
                        format!("Put a resistor of 1 to 10 kΩ between {} and +.", it.card.pins[pin].says)
                    } else {
                        format!("Take away what joins {} to {sign}.", it.card.pins[pin].says)
                    },
                });
                continue;
            }
            if duty == Duty::OpenOutput {
                continue;
            }
            if let Some(&(_, other, other_pin)) = seen.iter().find(|it| it.0 == own) {
                findings.push(Finding {
                    code: OUTPUTS_FIGHT.code,
                    severity: OUTPUTS_FIGHT.severity,
                    parts: vec![part, other],
                    holes: [hole_list(judged, part, &[pin]), hole_list(judged, other, &[other_pin])].concat(),
                    symptom: "A level is neither high nor low, and chips get warm.".to_owned(),
                    says: format!(
                        "Two outputs are joined: {} {} and {} {}.",
                        it.id,
                        its_pin(judged, part, pin),
                        bench.part(other).id,
                        its_pin(judged, other, other_pin)
                    ),
                    why: "While one drives high and the other low, both work against each other with all the current they can give.".to_owned(),
                    remedy: "Take them apart; where either shall decide, let a gate (OR, AND) join them.".to_owned(),
                });
            } else {
                seen.push((own, part, pin));
            }
        }
    }
    findings
}

/// The pins that belong together: gates, amplifiers, or the whole chip.
fn groups(card: &Card) -> Vec<Vec<usize>> {
    let pins: Vec<usize> = (0..card.pins.len()).collect();
    let with = |duties: &[Duty]| -> Vec<usize> {
        pins.iter().copied().filter(|&pin| duties.contains(&card.duty(pin))).collect()
    };
    if let Some(logic) = card.logic {
        let (ins, outs) = (logic.inputs.len(), logic.outputs.len());
        if outs >= 4 && (ins == outs || ins == 2 * outs) {
            let each = ins / outs;
            return (0..outs)
                .map(|gate| {
                    let inputs = &logic.inputs[gate * each..(gate + 1) * each];
                    inputs.iter().chain([&logic.outputs[gate]]).map(|&pin| usize::from(pin)).collect()
                })
                .collect();
        }
    }
    let half = card.pins.len() / 2;
    let all = with(&[Duty::Input, Duty::Output, Duty::OpenOutput]);
    if all.len() == 6 && with(&[Duty::Input]).len() == 4 {
        return vec![
            all.iter().copied().filter(|&pin| pin < half).collect(),
            all.iter().copied().filter(|&pin| pin >= half).collect(),
        ];
    }
    vec![all]
}

/// What is joined to a leg by metal besides wires: whether anything, whether anything but inputs, and
/// whether anything but inputs and open contacts.
fn company(judged: &Judged<'_>, part: PartIx, pin: usize) -> (bool, bool, bool) {
    let (bench, own) = (judged.bench, metal(judged, part, pin));
    let (mut any, mut told, mut held) = (false, false, false);
    for (leg, at) in bench.legs() {
        let it = bench.part(leg.part);
        if (leg.part == part && leg.pin == pin)
            || it.card.is_wire()
            || at.hole.is_none()
            || judged.metal[judged.graph.at(leg)] != own
        {
            continue;
        }
        any = true;
        let listens = it.card.duty(leg.pin) == Duty::Input
            || it.card.steers.is_some_and(|steers| !steers.base && usize::from(steers.control) == leg.pin);
        let coil = it.card.kicks.is_some_and(|(a, b)| [a, b].map(usize::from).contains(&leg.pin));
        let contact = !it.card.contacts.is_empty() && !coil;
        // A changeover switch has one of its two sides at any time.
        let always = it.card.contacts.iter().filter(|it| it.common == Some(leg.pin as u8)).count() == 2;
        told |= !listens;
        held |= !listens && (!contact || always);
    }
    (any, told, held)
}

fn inputs(judged: &Judged<'_>, before: &[Finding]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let bench = judged.bench;
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let told = [CHIP_TURNED.code, CHIP_REVERSED.code, CHIP_UNPOWERED.code, "not-straddling", "leg-alone"];
        if crate::rules::supply::has(before, &told, part) || it.legs.iter().all(|leg| leg.hole.is_none()) {
            continue;
        }
        let gate = it.card.steers.filter(|steers| !steers.base).map(|steers| usize::from(steers.control));
        let groups = match gate {
            Some(gate) => vec![vec![gate]],
            None => groups(it.card),
        };
        let (mut floating, mut let_go, mut unused) = (Vec::new(), Vec::new(), Vec::new());
        for group in groups {
            let used = gate.is_some() || group.iter().any(|&pin| company(judged, part, pin).0);
            for pin in group {
                if gate.is_none() && it.card.duty(pin) != Duty::Input {
                    continue;
                }
                let (_, told, held) = company(judged, part, pin);
                match (used, told, held) {
                    (true, false, _) => floating.push(pin),
                    (true, true, false) => let_go.push(pin),
                    (false, false, _) => unused.push(pin),
                    _ => {}
                }
            }
        }
        let words =
            |pins: &[usize]| list(&pins.iter().map(|&pin| its_pin(judged, part, pin)).collect::<Vec<_>>());
        let what = if gate.is_some() {
            "A gate takes no current and keeps whatever charge it has"
        } else {
            "An input takes next to no current"
        };
        if !floating.is_empty() {
            let one = floating.len() == 1;
            findings.push(Finding {
                code: INPUT_FLOATING.code,
                severity: INPUT_FLOATING.severity,
                parts: vec![part],
                holes: hole_list(judged, part, &floating),
                symptom: format!(
                    "{} does things that nobody told it, and changes when a hand comes near.",
                    it.id
                ),
                says: format!(
                    "{}: {} {}; nothing tells {} high or low.",
                    it.id,
                    words(&floating),
                    if one { "hangs in the air" } else { "hang in the air" },
                    if one { "it" } else { "them" }
                ),
                why: format!(
                    "{what}. Left open it picks up hum and charge from around and reads as nonsense."
                ),
                remedy: format!(
                    "Join {} to what should steer {}, or through 10 kΩ to + or −.",
                    if one { it.card.pins[floating[0]].says } else { "each of them" },
                    "it"
                ),
            });
        }
        if !let_go.is_empty() {
            findings.push(Finding {
                code: INPUT_LET_GO.code,
                severity: INPUT_LET_GO.severity,
                parts: vec![part],
                holes: hole_list(judged, part, &let_go),
                symptom: format!("{} works while the switch is closed and does anything while it is open.", it.id),
                says: format!("{}: {} is joined to a switch alone; while that is open nothing holds it.", it.id, words(&let_go)),
                why: format!("{what}. An open switch leaves it in the air, and it reads as nonsense."),
                remedy: "Add 10 kΩ from it to the other rail: a pull-down where the switch leads to +, a pull-up where it leads to −.".to_owned(),
            });
        }
        if !unused.is_empty() {
            findings.push(Finding {
                code: INPUT_UNUSED.code,
                severity: INPUT_UNUSED.severity,
                parts: vec![part],
                holes: hole_list(judged, part, &unused),
                symptom: "It works; the chip takes more current than it needs.".to_owned(),
                says: format!(
                    "{}: {} {} in the air, in a part of it that nobody uses.",
                    it.id,
                    words(&unused),
                    if unused.len() == 1 { "hangs" } else { "hang" }
                ),
                why: "An open input wanders between high and low, and its gate switches along and takes current.".to_owned(),
                remedy: "Join them to the − rail.".to_owned(),
            });
        }
    }
    findings
}

fn decoupling(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
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
        if crate::rules::supply::has(findings, &told, part) {
            continue;
        }
        let (plus, minus) = (metal(judged, part, power), metal(judged, part, ground));
        let has_one = bench.parts.iter().enumerate().any(|(other, it)| {
            let ends = [0, 1]
                .map(|pin| if it.legs.len() == 2 { metal(judged, PartIx(other), pin) } else { usize::MAX });
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
        holes: holes(judged, first).into_iter().take(1).collect(),
        symptom: "It works here; on a long lead it may act up now and then.".to_owned(),
        says: format!("No capacitor stands between + and − of {names}."),
        why: "When outputs switch they take current in pulses. A capacitor close by gives it at once, before the supply at the end of its leads can.".to_owned(),
        remedy: format!("Put 100 nF between the power pins of {names}, as near as there is room."),
        parts: bare,
    });
}
