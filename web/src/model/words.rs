//! What the page says about holes, parts and events, in words.

use halfrow_core::amount;
use halfrow_core::bench::{Bench, LegId, PartIx, PlaceError};
use halfrow_core::board::Hole;
use halfrow_core::card::{Footprint, Param, Range, Value};
use halfrow_core::nets::{Net, NetIx};
use halfrow_core::part::{Depth, Part};
use halfrow_core::probe::Probe;

use halfrow_draw::layout;
use halfrow_judge::{Finding, Severity};

use crate::model::guide;
use crate::model::state::{Hand, Solved, State};

/// A number of things as a sentence: `1 finding.`, `3 findings.`
pub fn count(count: usize, one: &str, more: &str) -> String {
    format!("{count} {}.", if count == 1 { one } else { more })
}

/// How bad a finding is, in a word. What somebody is still building is not at risk: it isn’t finished.
pub fn severity(finding: &Finding, is_example: bool) -> &'static str {
    if finding.severity == Severity::Risk && !is_example && guide::is_unfinished(finding) {
        "not finished"
    } else {
        finding.severity.word()
    }
}

/// What to do with what is in hand.
pub fn hand(state: &State) -> String {
    match &state.selection.hand {
        Hand::Empty => String::new(),
        Hand::Part { card, legs, turn, .. } => match card.footprint {
            Footprint::Rigid { .. } => format!(
                "{} in hand, turned {} degrees: choose a hole for pin 1. Press T to turn it.",
                card.name,
                turn.degrees()
            ),
            _ => format!("{} in hand: choose a hole for its {}.", card.name, card.pins[legs.len()].says),
        },
        Hand::Leg(leg) => {
            let part = state.bench().part(leg.part);
            format!(
                "{} is out: choose a new hole for it, or press Escape to put it back.",
                part.leg_in_words(leg.pin)
            )
        }
        Hand::Tip(_, red) => format!(
            "The {} tip is in hand: choose a hole for it, or Escape.",
            if *red { "red" } else { "black" }
        ),
        Hand::Whole { part, .. } => {
            format!("{} in hand: choose where it goes.", state.bench().part(*part).id)
        }
    }
}

/// A leg that went somewhere.
pub fn leg_put(bench: &Bench, leg: LegId, hole: Option<Hole>) -> String {
    let who = bench.part(leg.part).leg_in_words(leg.pin);
    match hole {
        Some(hole) => format!("{who} is now in {hole}."),
        None => format!("{who} is now in the air."),
    }
}

/// How far a leg is in.
pub fn depth(depth: Depth) -> &'static str {
    match depth {
        Depth::Full => "pushed in",
        Depth::Barely => "barely in",
        Depth::Out => "not in",
    }
}

/// Why a value is refused.
pub fn not_allowed(param: &Param) -> String {
    match param.range {
        Range::Number { unit, min, max, .. } => {
            format!(
                "{} must be from {} to {}.",
                param.name,
                amount::value(min, unit),
                amount::value(max, unit)
            )
        }
        Range::Whole { min, max, .. } => format!("{} must be from {min} to {max}.", param.name),
        _ => format!("{} can’t have that value.", param.name),
    }
}

/// A value that was set: `R1: Resistance 4.7 kΩ.`
pub fn value_set(part: &Part, param: usize) -> String {
    let it = &part.card.params[param];
    let value = match (it.range, part.values[param]) {
        (Range::Number { unit, .. }, Value::Number(x)) => amount::value(x, unit),
        (Range::Choice { options, .. }, Value::Choice(i)) => options[usize::from(i)].name.to_owned(),
        (_, Value::Whole(n)) => n.to_string(),
        (_, Value::Flag(on)) => if on { "yes" } else { "no" }.to_owned(),
        _ => String::new(),
    };
    format!("{}: {} {value}.", part.id, it.name)
}

/// The hole that a person means: `e12`, `E12`, `L+7`, `l-7`; nothing or a dash stands for the air.
///
/// # Errors
/// A sentence where it is no hole's name.
pub fn read_hole(text: &str) -> Result<Option<Hole>, String> {
    let text = text.trim();
    if matches!(text, "" | "-" | "−" | "–") {
        return Ok(None);
    }
    let (board, name) = text.split_once(':').map_or(("", text), |(board, name)| (board, name));
    let rail = name.contains(['+', '-', '−']);
    let name = if rail { name.to_ascii_uppercase() } else { name.to_ascii_lowercase() };
    let name = if board.is_empty() { name } else { format!("{}:{name}", board.to_ascii_uppercase()) };
    let no_hole = || format!("“{text}” isn’t a hole. Holes are called e12 or L+7.");
    Hole::parse(&name).map(Some).ok_or_else(no_hole)
}

/// Why something can't be put there, as a sentence. Names of holes stay as they are.
pub fn refusal(error: &PlaceError) -> String {
    let why = error.why();
    let (first, rest) = why.split_at(why.chars().next().map_or(0, char::len_utf8));
    let is_hole = why.split(' ').next().is_some_and(|word| Hole::parse(word).is_some());
    format!("{}{rest}.", if is_hole { first.to_owned() } else { first.to_uppercase() })
}

/// A part in a sentence: `R1 220 Ω, 3.39 V, 15.4 mA, cool`.
pub fn part(solved: &Solved, ix: PartIx) -> String {
    let part = solved.bench.part(ix);
    format!("{} {}, {}", part.card.name, part.title(), reading(solved, ix, ", "))
}

/// What a part reads in one line, or what is seen of it where only the meter tells.
pub fn reading(solved: &Solved, ix: PartIx, between: &str) -> String {
    let (volts, amps, state) = readings(solved, ix);
    if solved.bench.may_tell_figures() {
        [volts.as_str(), &amps, state].join(between)
    } else {
        state.to_owned()
    }
}

/// A part and where its legs are: `Resistor R1 220 Ω: first leg in L+5, second leg in b7`.
pub fn placed(part: &Part) -> String {
    let legs = part.card.pins.iter().zip(&part.legs).map(|(pin, leg)| match leg.hole {
        Some(hole) => format!("{} in {hole}", pin.says),
        None => format!("{} in the air", pin.says),
    });
    format!("{} {}: {}", part.card.name, part.title(), legs.collect::<Vec<_>>().join(", "))
}

/// The parts that stand beside the board, each with its name and what there is to say of it: `4 × AA, 5.45 V,
/// 41.0 mA, to L+1, L-1`.
pub fn beside(solved: &Solved) -> Vec<(PartIx, String, String)> {
    let bench = &solved.bench;
    let parts = (0..bench.parts.len()).map(PartIx).filter(|&ix| layout::is_off_board(bench, ix));
    let line = |ix: PartIx| {
        let part = bench.part(ix);
        let volts = solved.point.part(ix).volts_across(0, 1).map_or(String::new(), amount::volts);
        let pin = usize::from(part.card.source.is_some());
        let amps = amount::amps(solved.point.part(ix).pins[pin].amps);
        let holes = part.legs.iter().map(|leg| leg.hole.map_or("–".to_owned(), |hole| hole.to_string()));
        let holes = holes.collect::<Vec<_>>().join(", ");
        let figures = if bench.may_tell_figures() { format!("{volts}, {amps}, ") } else { String::new() };
        (ix, part.id.clone(), format!("{}, {figures}to {holes}", (part.card.label)(part)))
    };
    parts.map(line).collect()
}

/// Volts across, current and state of a part, as a table shows them; dashes where only the meter tells.
pub fn readings(solved: &Solved, ix: PartIx) -> (String, String, &'static str) {
    let part = solved.bench.part(ix);
    let reading = solved.point.part(ix);
    let across = part.card.read_across().and_then(|(from, to)| reading.volts_across(from, to));
    let volts = across.map_or("–".to_owned(), |v| amount::volts(if v.abs() < 5e-4 { 0.0 } else { v }));
    let amps = amount::amps(reading.largest_amps());
    let [volts, amps] =
        [volts, amps].map(|it| if solved.bench.may_tell_figures() { it } else { "–".to_owned() });
    (volts, amps, solved.point.state(&solved.bench, ix).word)
}

/// A hole with all that there is to say: `e12, row 12, left half, D1’s long leg, 3.20 volts`.
pub fn hole(solved: &Solved, hole: Hole) -> String {
    let mut words = vec![hole.to_string(), hole.place_in_words()];
    if let Some(leg) = solved.bench.occupant(hole) {
        let part = solved.bench.part(leg.part);
        words.push(format!("{} {}", part.title(), part.card.pins[leg.pin].says));
    } else {
        words.push("free".to_owned());
    }
    words.push(net(solved, hole));
    words.join(", ")
}

/// What a net is called by: a supply's side by that, any other by what is on it: `R1, D1 (b7)`.
pub fn net_name(solved: &Solved, net: &Net) -> String {
    let Some(hole) = net.taken_holes(&solved.bench).into_iter().next() else { return net.name.clone() };
    if !net.name.starts_with("net ") {
        return format!("{} ({hole})", net.name);
    }
    let part = |leg: &LegId| solved.bench.part(leg.part);
    // A wire only joins; what it joins says more.
    let mut names: Vec<&str> =
        net.legs.iter().map(part).filter(|part| !part.card.is_wire()).map(|part| part.id.as_str()).collect();
    names.dedup();
    let more = if names.len() > 3 { " …" } else { "" };
    names.truncate(3);
    if names.is_empty() {
        format!("{} ({hole})", net.name)
    } else {
        format!("{}{more} ({hole})", names.join(", "))
    }
}

/// What a trace shows: a net by what is on it, or the current into a part.
pub fn probe(solved: &Solved, probe: &Probe) -> String {
    match probe {
        Probe::Hole(hole) => match solved.point.nets.of_hole(&solved.bench, *hole) {
            Some(net) => net_name(solved, solved.point.nets.net(net)),
            None => hole.to_string(),
        },
        Probe::Current { .. } => format!("current into {}", probe.name()),
    }
}

/// The net of a hole: `net 3: R1, D1; 3.20 V`.
pub fn net(solved: &Solved, hole: Hole) -> String {
    let Some(net) = solved.point.nets.of_hole(&solved.bench, hole) else {
        return "not connected to anything".to_owned();
    };
    let it = solved.point.nets.net(net);
    let mut names: Vec<&str> = it.legs.iter().map(|leg| solved.bench.part(leg.part).id.as_str()).collect();
    names.dedup();
    let more = match names.len().saturating_sub(8) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    names.truncate(8);
    let volts = net_volts(solved, net).map_or(String::new(), |volts| format!(", {volts}"));
    format!("{}: {}{more}{volts}", it.name, names.join(" "))
}

/// The voltage of a net, or that it floats; `None` where only the meter tells.
pub fn net_volts(solved: &Solved, net: NetIx) -> Option<String> {
    let reading = solved.point.net_readings[net.0];
    let words = if reading.floating { "floating".to_owned() } else { amount::volts(reading.volts) };
    solved.bench.may_tell_figures().then_some(words)
}
