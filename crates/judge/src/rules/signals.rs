//! What chips say and hear: outputs against each other, inputs that nothing tells, lamps at inputs.

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::card::Duty;

use crate::finding::{Code, Finding, Severity, tells, tells_of};
use crate::gates::gates;
use crate::graph::Way;
use crate::hazard::Hazard;
use crate::hearing::{Unheard, gate_of};
use crate::judged::Judged;
use crate::rule::{Rule, on_paper};
use crate::words::list;

pub(crate) static OUTPUTS_FIGHT: Rule = Rule {
    code: Code::OutputsFight,
    severity: Severity::Fault,
    what: on_paper("Two outputs drive one net."),
    run: |judged, findings| {
        judged.take(&judged.walks.outputs, outputs, OUTPUTS_FIGHT.code, findings, is_explained)
    },
};

pub(crate) static OUTPUT_SHORTED: Rule = Rule {
    code: Code::OutputShorted,
    severity: Severity::Fault,
    what: on_paper("An output is joined to the supply’s + or − by metal."),
    run: |judged, findings| {
        judged.take(&judged.walks.outputs, outputs, OUTPUT_SHORTED.code, findings, is_explained)
    },
};

pub(crate) static INPUT_FLOATING: Rule = Rule {
    code: Code::InputFloating,
    severity: Severity::Fault,
    what: on_paper("Nothing tells an input that is in use what it should be."),
    run: |judged, findings| {
        judged.take(&judged.walks.inputs, inputs, INPUT_FLOATING.code, findings, is_unheard)
    },
};

pub(crate) static INPUT_LET_GO: Rule = Rule {
    code: Code::InputLetGo,
    severity: Severity::Risk,
    what: on_paper("An input hangs on nothing while a switch is open: a pull-up or pull-down is missing."),
    run: |judged, findings| {
        judged.take(&judged.walks.inputs, inputs, INPUT_LET_GO.code, findings, is_unheard)
    },
};

pub(crate) static OUTPUT_IDLE: Rule = Rule {
    code: Code::OutputIdle,
    severity: Severity::Risk,
    what: on_paper("A lamp or motor hangs at a chip’s input, and the output leads nowhere."),
    run: idle_output,
};

pub(crate) static NO_PULL_UP: Rule = Rule {
    code: Code::NoPullUp,
    severity: Severity::Fault,
    what: on_paper("An output that only pulls down is meant to drive something, and nothing pulls it up."),
    run: no_pull_up,
};

pub(crate) static INPUT_UNUSED: Rule = Rule {
    code: Code::InputUnused,
    severity: Severity::Habit,
    what: on_paper("Inputs of gates that nobody uses are left open."),
    run: |judged, findings| {
        judged.take(&judged.walks.inputs, inputs, INPUT_UNUSED.code, findings, is_unheard)
    },
};

/// Whether what is said of an output follows from a finding made before.
fn is_explained(judged: &Judged<'_>, before: &[Finding], it: &Finding) -> bool {
    let told = [CHIP_TURNED, CHIP_REVERSED, Code::NotStraddling];
    it.parts.iter().any(|&part| tells_of(before, &told, part) || judged.is_brought_to_life(part))
}

const CHIP_TURNED: Code = Code::ChipTurned;
const CHIP_REVERSED: Code = Code::ChipReversed;
const CHIP_UNPOWERED: Code = Code::ChipUnpowered;

/// What outputs meet that they shouldn't.
fn outputs(judged: &Judged<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let bench = judged.bench;
    let (plus, minus) = judged.rails();
    let mut seen: Vec<(usize, PartIx, usize)> = Vec::new();
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        for pin in 0..it.legs.len() {
            let duty = it.card.duty(pin);
            if !matches!(duty, Duty::Output | Duty::OpenOutput | Duty::Feed)
                || it.legs[pin].hole.is_none()
                || judged.is_cured(Hazard::Pin(part, pin))
            {
                continue;
            }
            let own = judged.metal_at(part, pin);
            let (high, low) = (plus.contains(&own), minus.contains(&own));
            if high || (low && duty != Duty::OpenOutput) {
                findings.push(shorted(judged, part, pin, high));
                continue;
            }
            if duty != Duty::Output {
                continue;
            }
            match seen.iter().find(|it| it.0 == own) {
                // Gates of one chip that are told the same say the same: side by side they give more.
                Some(&(_, other, other_pin))
                    if other == part && judged.hears(part, pin) == judged.hears(part, other_pin) => {}
                Some(&(_, other, other_pin)) => {
                    findings.push(fight(judged, [(part, pin), (other, other_pin)]));
                }
                None => seen.push((own, part, pin)),
            }
        }
    }
    findings
}

fn shorted(judged: &Judged<'_>, part: PartIx, pin: usize, high: bool) -> Finding {
    let it = judged.bench.part(part);
    let sign = if high { '+' } else { '−' };
    let says = it.card.pins[pin].says;
    Finding {
        code: OUTPUT_SHORTED.code,
        severity: OUTPUT_SHORTED.severity,
        parts: vec![part],
        holes: judged.holes_of(part, &[pin]),
        symptom: format!("{} gets hot, and its output never changes.", it.id),
        says: format!("{}: {} is joined to {sign} by metal.", it.id, judged.its_pin(part, pin)),
        why: "An output drives its net itself. Joined to the supply it works against it with all the current it can give.".to_owned(),
        remedy: if it.card.duty(pin) == Duty::OpenOutput {
            format!("Put a resistor of 1 to 10 kΩ between {says} and +.")
        } else {
            format!("Take away what joins {says} to {sign}.")
        },
    }
}

fn fight(judged: &Judged<'_>, [(part, pin), (other, other_pin)]: [(PartIx, usize); 2]) -> Finding {
    Finding {
        code: OUTPUTS_FIGHT.code,
        severity: OUTPUTS_FIGHT.severity,
        parts: vec![part, other],
        holes: [judged.holes_of(part, &[pin]), judged.holes_of(other, &[other_pin])].concat(),
        symptom: "A level is neither high nor low, and chips get warm.".to_owned(),
        says: format!(
            "Two outputs are joined: {} {} and {} {}.",
            judged.bench.part(part).id,
            judged.its_pin(part, pin),
            judged.bench.part(other).id,
            judged.its_pin(other, other_pin)
        ),
        why: "While one drives high and the other low, both work against each other with all the current they can give.".to_owned(),
        remedy: "Take them apart; where either shall decide, let a gate (OR, AND) join them.".to_owned(),
    }
}

/// Whether what is said of an input follows from a finding made before.
fn is_unheard(judged: &Judged<'_>, before: &[Finding], it: &Finding) -> bool {
    let told = [CHIP_TURNED, CHIP_REVERSED, CHIP_UNPOWERED, Code::NotStraddling, Code::LegAlone];
    tells(before, &[Code::ShortCircuit, Code::PartMissing])
        || tells_of(before, &told, it.parts[0])
        || judged.is_brought_to_life(it.parts[0])
}

fn inputs(judged: &Judged<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (index, it) in judged.bench.parts.iter().enumerate() {
        if it.legs.iter().all(|leg| leg.hole.is_none()) {
            continue;
        }
        let part = PartIx(index);
        let found = Unheard::of(judged, part);
        let what = if gate_of(it).is_some() {
            "A gate takes no current and keeps whatever charge it has"
        } else {
            "An input takes next to no current"
        };
        findings.extend(floating(judged, part, &found.floating, what));
        findings.extend(let_go(judged, part, &found.let_go, what));
        findings.extend(unused(judged, part, &found.unused));
    }
    findings
}

fn input_finding(
    rule: &Rule,
    judged: &Judged<'_>,
    part: PartIx,
    pins: &[usize],
    words: [String; 4],
) -> Finding {
    let [symptom, says, why, remedy] = words;
    let holes = judged.holes_of(part, pins);
    Finding { code: rule.code, severity: rule.severity, parts: vec![part], holes, symptom, says, why, remedy }
}

fn pins_in_words(judged: &Judged<'_>, part: PartIx, pins: &[usize]) -> String {
    list(&pins.iter().map(|&pin| judged.its_pin(part, pin)).collect::<Vec<_>>())
}

fn floating(judged: &Judged<'_>, part: PartIx, pins: &[usize], what: &str) -> Option<Finding> {
    let &first = pins.first()?;
    let it = judged.bench.part(part);
    let one = pins.len() == 1;
    let words = [
        format!("{} acts on its own.", it.id),
        format!(
            "{}: {} {}; nothing tells {} high or low.",
            it.id,
            pins_in_words(judged, part, pins),
            if one { "floats" } else { "float" },
            if one { "it" } else { "them" }
        ),
        format!("{what}. Left open it picks up hum and charge from around and reads as nonsense."),
        format!(
            "Join {} to what should steer it, or through 10 kΩ to + or −.",
            if one { it.card.pins[first].says } else { "each of them" }
        ),
    ];
    Some(input_finding(&INPUT_FLOATING, judged, part, pins, words))
}

fn let_go(judged: &Judged<'_>, part: PartIx, pins: &[usize], what: &str) -> Option<Finding> {
    pins.first()?;
    let it = judged.bench.part(part);
    let one = pins.len() == 1;
    let words = [
        format!("While the switch is open, {} does as it likes.", it.id),
        format!(
            "{}: {} {} joined to a switch alone; nothing holds {} while that is open.",
            it.id,
            pins_in_words(judged, part, pins),
            if one { "is" } else { "are" },
            if one { "it" } else { "them" }
        ),
        format!("{what}. An open switch leaves it in the air, and it reads as nonsense."),
        "Add 10 kΩ from it to −; or to +, if the switch leads to −.".to_owned(),
    ];
    Some(input_finding(&INPUT_LET_GO, judged, part, pins, words))
}

fn unused(judged: &Judged<'_>, part: PartIx, pins: &[usize]) -> Option<Finding> {
    pins.first()?;
    let it = judged.bench.part(part);
    let words = [
        "While the chip works it takes more current than it needs.".to_owned(),
        format!(
            "{}: {} {} in the air, in a part of it that nobody uses.",
            it.id,
            pins_in_words(judged, part, pins),
            if pins.len() == 1 { "hangs" } else { "hang" }
        ),
        "An open input wanders between high and low, and its gate switches along and takes current."
            .to_owned(),
        "Join them to the − rail.".to_owned(),
    ];
    Some(input_finding(&INPUT_UNUSED, judged, part, pins, words))
}

fn no_pull_up(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let (bench, graph) = (judged.bench, &judged.graph);
    if tells(findings, &[Code::ShortCircuit, Code::PartMissing, Code::SupplyBackwards]) {
        return;
    }
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let told = [CHIP_TURNED, CHIP_REVERSED, CHIP_UNPOWERED, Code::NotStraddling, Code::LegAlone];
        if tells_of(findings, &told, part) || judged.is_brought_to_life(part) {
            continue;
        }
        for pin in (0..it.legs.len()).filter(|&pin| it.card.duty(pin) == Duty::OpenOutput) {
            if !judged.is_joined(part, pin) || judged.rails().1.contains(&judged.metal_at(part, pin)) {
                continue;
            }
            // Back along the current to a +, or to what may drive high.
            let (mut at_plus, mut high, mut listens) = (false, false, false);
            graph.walk(
                vec![graph.at(LegId { part, pin })],
                &mut |at| {
                    at_plus |= judged.pole(at).0;
                    judged.pole(at) == (false, false)
                },
                &mut |edge, at| {
                    let Some(other) = bench.parts.get(edge.part.0) else { return true };
                    let own_pin = edge.from - graph.first_end[edge.part.0];
                    if other.card.chip || other.card.steers.is_some() {
                        let control = other.card.steers.is_some_and(|it| usize::from(it.control) == own_pin);
                        let duty = other.card.duty(own_pin);
                        listens |= control || matches!(duty, Duty::Input | Duty::Resting);
                        high |= duty == Duty::Output || other.card.steers.is_some() && !control;
                        return false;
                    }
                    !edge.stores && (edge.way != Way::Forward || graph.ends[edge.to] == at)
                },
            );
            let load = judged.load_at(part, pin);
            if at_plus || high || !(listens || load.is_some()) {
                continue;
            }
            let says = it.card.pins[pin].says;
            findings.push(Finding {
                code: NO_PULL_UP.code,
                severity: NO_PULL_UP.severity,
                parts: [part].into_iter().chain(load).collect(),
                holes: judged.holes_of(part, &[pin]),
                symptom: match load {
                    Some(load) => crate::words::dead_symptom(bench, &[load]),
                    None => format!("What {} should tell stays low.", it.id),
                },
                says: format!("{}: {} can only pull down, and nothing pulls it up.", it.id, judged.its_pin(part, pin)),
                why: "An open collector is a switch to −. When it lets go, only a resistor to + brings its net up.".to_owned(),
                remedy: match load {
                    Some(load) => format!("Put {} with its resistor between + and {says}, or 1 to 10 kΩ from {says} to + for an input.", bench.part(load).id),
                    None => format!("Put a resistor of 1 to 10 kΩ between {says} and +."),
                },
            });
        }
    }
}

/// A chip, or one gate of it, whose input drives what its output should.
fn idle_output(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let bench = judged.bench;
    let fed = judged.graph.poles().iter().any(|it| judged.metal[it.plus] != judged.metal[it.minus]);
    if !fed {
        return;
    }
    let (plus, minus) = judged.rails();
    let tied = |at: usize| plus.contains(&at) || minus.contains(&at);
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let told = [
            CHIP_TURNED,
            CHIP_REVERSED,
            CHIP_UNPOWERED,
            INPUT_FLOATING.code,
            INPUT_LET_GO.code,
            Code::NotStraddling,
            Code::LegAlone,
            Code::WrongRow,
            Code::OpenEnd,
        ];
        if tells_of(findings, &told, part) || judged.is_brought_to_life(part) {
            continue;
        }
        for group in gates(it.card) {
            // Where an output drives that net, it drives the lamp too.
            let driven = |at: usize| {
                bench.legs().any(|(leg, _)| {
                    matches!(bench.part(leg.part).card.duty(leg.pin), Duty::Output | Duty::OpenOutput)
                        && judged.metal_at(leg.part, leg.pin) == at
                })
            };
            let listens = |&pin: &usize| {
                let at = judged.metal_at(part, pin);
                it.card.duty(pin) == Duty::Input && judged.is_joined(part, pin) && !tied(at) && !driven(at)
            };
            let outs: Vec<usize> = group
                .iter()
                .copied()
                .filter(|&pin| matches!(it.card.duty(pin), Duty::Output | Duty::OpenOutput))
                .collect();
            if outs.is_empty() || outs.iter().any(|&pin| judged.is_joined(part, pin)) {
                continue;
            }
            let driver =
                group.iter().copied().filter(listens).find_map(|pin| Some((pin, judged.load_at(part, pin)?)));
            let Some((pin, load)) = driver else { continue };
            let words = list(&outs.iter().take(3).map(|&pin| judged.its_pin(part, pin)).collect::<Vec<_>>());
            findings.push(Finding {
                code: OUTPUT_IDLE.code,
                severity: OUTPUT_IDLE.severity,
                parts: vec![part, load],
                holes: [judged.holes_of(part, &outs), judged.holes_of(part, &[pin])].concat(),
                symptom: crate::words::dead_symptom(bench, &[load]),
                says: format!(
                    "{} hangs at {}’s input, {}, and nothing is joined to {words}.",
                    bench.part(load).id,
                    it.id,
                    judged.its_pin(part, pin)
                ),
                why: "A chip drives lamps and motors by its outputs; its inputs only listen.".to_owned(),
                remedy: format!(
                    "Move what powers {} from the row of {} to that of {}.",
                    bench.part(load).id,
                    it.card.pins[pin].says,
                    it.card.pins[outs[0]].says
                ),
            });
        }
    }
}
