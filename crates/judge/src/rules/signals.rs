//! What chips say and hear: outputs against each other, inputs that nothing tells, lamps at inputs.

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::card::{Card, Duty, Group};

use crate::finding::{Finding, Severity};
use crate::graph::Way;
use crate::hazard::Hazard;
use crate::judged::Judged;
use crate::rule::{Rule, on_paper};
use crate::rules::chips::{
    CHIP_REVERSED, CHIP_TURNED, CHIP_UNPOWERED, hole_list, its_pin, metal, only, poles,
};
use crate::words::list;

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

pub(crate) static OUTPUT_IDLE: Rule = Rule {
    code: "output-idle",
    severity: Severity::Risk,
    what: on_paper("A lamp or motor hangs at a chip’s input, and the output leads nowhere."),
    run: idle_output,
};

pub(crate) static NO_PULL_UP: Rule = Rule {
    code: "no-pull-up",
    severity: Severity::Fault,
    what: on_paper("An output that only pulls down is meant to drive something, and nothing pulls it up."),
    run: no_pull_up,
};

pub(crate) static INPUT_UNUSED: Rule = Rule {
    code: "input-unused",
    severity: Severity::Habit,
    what: on_paper("Inputs of gates that nobody uses are left open."),
    run: |judged, findings| only(INPUT_UNUSED.code, inputs, judged, findings),
};

fn outputs(judged: &Judged<'_>, before: &[Finding]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let bench = judged.bench;
    let (plus, minus) = poles(judged);
    let mut seen: Vec<(usize, PartIx, usize)> = Vec::new();
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let told = [CHIP_TURNED.code, CHIP_REVERSED.code, "not-straddling"];
        if crate::rules::supply::has(before, &told, part) || judged.is_brought_to_life(part) {
            continue;
        }
        for pin in 0..it.legs.len() {
            let duty = it.card.duty(pin);
            if !matches!(duty, Duty::Output | Duty::OpenOutput | Duty::Feed) || it.legs[pin].hole.is_none() {
                continue;
            }
            let own = metal(judged, part, pin);
            let (high, low) = (plus.contains(&own), minus.contains(&own));
            if judged.is_cured(Hazard::Pin(part, pin)) {
                continue;
            }
            if high || (low && duty != Duty::OpenOutput) {
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
            if duty != Duty::Output {
                continue;
            }
            if let Some(&(_, other, other_pin)) = seen.iter().find(|it| it.0 == own) {
                if other == part && hears(judged, part, pin) == hears(judged, part, other_pin) {
                    // Gates of one chip that are told the same say the same: side by side they give more.
                    continue;
                }
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
pub(crate) fn groups(card: &Card) -> Vec<Vec<usize>> {
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
    let all = with(&[Duty::Input, Duty::Resting, Duty::Output, Duty::OpenOutput]);
    if all.len() == 6 && with(&[Duty::Input]).len() == 4 {
        return vec![
            all.iter().copied().filter(|&pin| pin < half).collect(),
            all.iter().copied().filter(|&pin| pin >= half).collect(),
        ];
    }
    vec![all]
}

/// What the inputs of an output's gate are joined to by metal; nothing where the chip has no gates.
fn hears(judged: &Judged<'_>, part: PartIx, output: usize) -> Result<Vec<usize>, usize> {
    let card = judged.bench.part(part).card;
    let mut groups = groups(card);
    if groups.len() < 2 {
        return Err(output);
    }
    groups.retain(|group| group.contains(&output));
    let mut heard: Vec<usize> = groups
        .concat()
        .into_iter()
        .filter(|&pin| card.duty(pin) == Duty::Input)
        .map(|pin| metal(judged, part, pin))
        .collect();
    heard.sort_unstable();
    Ok(heard)
}

/// Whether anything but wires is joined to a leg by metal.
fn is_joined(judged: &Judged<'_>, part: PartIx, pin: usize) -> bool {
    let (bench, own) = (judged.bench, metal(judged, part, pin));
    bench.legs().any(|(leg, at)| {
        (leg.part != part || leg.pin != pin)
            && at.hole.is_some()
            && !bench.part(leg.part).card.is_wire()
            && metal(judged, leg.part, leg.pin) == own
    })
}

/// Whether something tells a pin high or low: a supply, an output, a transistor, over whatever lets a
/// steady current through. With `open`, all contacts are open but those of changeover switches, which have
/// one of their two sides at any time.
fn is_told(judged: &Judged<'_>, part: PartIx, pin: usize, open: bool) -> bool {
    let (bench, graph) = (judged.bench, &judged.graph);
    let (mut pole, mut driven) = (false, false);
    let company = graph.company();
    graph.walk(
        vec![graph.at(LegId { part, pin })],
        &mut |at| {
            pole |= judged.pole(at) != (false, false);
            !pole
        },
        &mut |edge, at| {
            let Some(it) = bench.parts.get(edge.part.0) else { return true };
            let own_pin = edge.from - graph.first_end[edge.part.0];
            if it.card.chip {
                let duty = it.card.duty(own_pin);
                driven |= matches!(duty, Duty::Output | Duty::OpenOutput | Duty::Power | Duty::Ground);
                return false;
            }
            if let Some(steers) = it.card.steers {
                driven |= own_pin != usize::from(steers.control);
                return false;
            }
            // A changeover switch tells its middle leg in both positions, if something is at both sides.
            let changes = edge.common.is_some_and(|common| graph.ends[common] == at)
                && graph.edges.iter().all(|it| {
                    it.part != edge.part
                        || it.common != edge.common
                        || [it.from, it.to].iter().all(|&end| company[graph.ends[end]] > 1)
                });
            !edge.stores && (!open || edge.way != Way::Contact || changes)
        },
    );
    pole || driven
}

fn inputs(judged: &Judged<'_>, before: &[Finding]) -> Vec<Finding> {
    let mut findings = Vec::new();
    if before.iter().any(|it| ["short-circuit", "part-missing"].contains(&it.code)) {
        return findings;
    }
    let bench = judged.bench;
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let told = [CHIP_TURNED.code, CHIP_REVERSED.code, CHIP_UNPOWERED.code, "not-straddling", "leg-alone"];
        if crate::rules::supply::has(before, &told, part)
            || judged.is_brought_to_life(part)
            || it.legs.iter().all(|leg| leg.hole.is_none())
        {
            continue;
        }
        let gate = it.card.steers.filter(|steers| !steers.base).map(|steers| usize::from(steers.control));
        let groups = match gate {
            Some(gate) => vec![vec![gate]],
            None => groups(it.card),
        };
        let (mut floating, mut let_go, mut unused) = (Vec::new(), Vec::new(), Vec::new());
        for group in groups {
            let used = gate.is_some() || group.iter().any(|&pin| is_joined(judged, part, pin));
            for pin in group {
                let duty = it.card.duty(pin);
                let rests = duty == Duty::Resting;
                if gate.is_none() && duty != Duty::Input && !(rests && is_joined(judged, part, pin)) {
                    continue;
                }
                match (used, is_told(judged, part, pin, false), is_told(judged, part, pin, true)) {
                    (true, false, _) if !rests => floating.push(pin),
                    (true, true, false) => let_go.push(pin),
                    (false, false, _) if !rests => unused.push(pin),
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
                symptom: "While the chip works it takes more current than it needs.".to_owned(),
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

/// What is meant to shine or move and hangs at a pin: reached over parts that let current through.
pub(super) fn hangs(judged: &Judged<'_>, part: PartIx, pin: usize) -> Option<PartIx> {
    let (bench, graph) = (judged.bench, &judged.graph);
    let mut load = None;
    graph.walk(
        vec![graph.at(LegId { part, pin })],
        &mut |at| judged.pole(at) == (false, false),
        &mut |edge, _| {
            let Some(it) = bench.parts.get(edge.part.0) else { return true };
            if it.legs.len() == 2 && matches!(it.card.group, Group::Light | Group::Move) {
                load = load.or(Some(edge.part));
            }
            !it.card.chip && it.card.steers.is_none() && edge.way != Way::Contact && !edge.stores
        },
    );
    load
}

fn no_pull_up(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let (bench, graph) = (judged.bench, &judged.graph);
    if findings.iter().any(|it| ["short-circuit", "part-missing", "supply-backwards"].contains(&it.code)) {
        return;
    }
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let told = [CHIP_TURNED.code, CHIP_REVERSED.code, CHIP_UNPOWERED.code, "not-straddling", "leg-alone"];
        if crate::rules::supply::has(findings, &told, part) || judged.is_brought_to_life(part) {
            continue;
        }
        for pin in (0..it.legs.len()).filter(|&pin| it.card.duty(pin) == Duty::OpenOutput) {
            if !is_joined(judged, part, pin) || poles(judged).1.contains(&metal(judged, part, pin)) {
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
            let load = hangs(judged, part, pin);
            if at_plus || high || !(listens || load.is_some()) {
                continue;
            }
            let says = it.card.pins[pin].says;
            findings.push(Finding {
                code: NO_PULL_UP.code,
                severity: NO_PULL_UP.severity,
                parts: [part].into_iter().chain(load).collect(),
                holes: hole_list(judged, part, &[pin]),
                symptom: match load {
                    Some(load) => crate::words::dead_symptom(bench, &[load]),
                    None => format!("What {} should tell stays low.", it.id),
                },
                says: format!("{}: {} can only pull down, and nothing pulls it up.", it.id, its_pin(judged, part, pin)),
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
    let (plus, minus) = poles(judged);
    let tied = |at: usize| plus.contains(&at) || minus.contains(&at);
    for (index, it) in bench.parts.iter().enumerate() {
        let part = PartIx(index);
        let told = [
            CHIP_TURNED.code,
            CHIP_REVERSED.code,
            CHIP_UNPOWERED.code,
            INPUT_FLOATING.code,
            INPUT_LET_GO.code,
            "not-straddling",
            "leg-alone",
            "wrong-row",
            "open-end",
        ];
        if crate::rules::supply::has(findings, &told, part) || judged.is_brought_to_life(part) {
            continue;
        }
        for group in groups(it.card) {
            // Where an output drives that net, it drives the lamp too.
            let driven = |at: usize| {
                bench.legs().any(|(leg, _)| {
                    matches!(bench.part(leg.part).card.duty(leg.pin), Duty::Output | Duty::OpenOutput)
                        && metal(judged, leg.part, leg.pin) == at
                })
            };
            let listens = |&pin: &usize| {
                let at = metal(judged, part, pin);
                it.card.duty(pin) == Duty::Input && is_joined(judged, part, pin) && !tied(at) && !driven(at)
            };
            let outs: Vec<usize> = group
                .iter()
                .copied()
                .filter(|&pin| matches!(it.card.duty(pin), Duty::Output | Duty::OpenOutput))
                .collect();
            if outs.is_empty() || outs.iter().any(|&pin| is_joined(judged, part, pin)) {
                continue;
            }
            let driver =
                group.iter().copied().filter(listens).find_map(|pin| Some((pin, hangs(judged, part, pin)?)));
            let Some((pin, load)) = driver else { continue };
            let words = list(&outs.iter().take(3).map(|&pin| its_pin(judged, part, pin)).collect::<Vec<_>>());
            findings.push(Finding {
                code: OUTPUT_IDLE.code,
                severity: OUTPUT_IDLE.severity,
                parts: vec![part, load],
                holes: [hole_list(judged, part, &outs), hole_list(judged, part, &[pin])].concat(),
                symptom: crate::words::dead_symptom(bench, &[load]),
                says: format!(
                    "{} hangs at {}’s input, {}, and nothing is joined to {words}.",
                    bench.part(load).id,
                    it.id,
                    its_pin(judged, part, pin)
                ),
                why: "A chip drives lamps and motors by its outputs; its inputs only listen.".to_owned(),
                remedy: format!(
                    "Move what leads to {} from the row of {} to that of {}.",
                    bench.part(load).id,
                    it.card.pins[pin].says,
                    it.card.pins[outs[0]].says
                ),
            });
        }
    }
}
