//! What the second look found, in words.

use halfrow_core::amount;
use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::{Hole, Strip, StripPlace};
use halfrow_core::card::{Card, Group, Unit};
use halfrow_core::preferred;

use crate::finding::{Code, Finding, Severity, add_others, tells};
use crate::fix::Fix;
use crate::guess::{Guess, What};
use crate::judged::Judged;
use crate::second::Verdict;
use crate::words::{
    capital, free_hole, hole_if, hole_of, holes, leg_again, leg_name, list, lower, move_leg, names, rows_by,
    strip_name,
};

/// What hurts while somebody reads: the power goes off before anything is moved.
const HOT: [Code; 8] = [
    Code::ShortCircuit,
    Code::SuppliesFight,
    Code::OutputShorted,
    Code::OutputsFight,
    Code::ChipReversed,
    Code::ChipTurned,
    Code::LedNoResistor,
    Code::SupplyBackwards,
];

/// The findings of the first look, with what the second look found first. What is gone when the slip is
/// taken back follows from it, and is not said again: `then` is what is found after that.
pub(crate) fn tell(
    judged: &Judged<'_>,
    first: Vec<Finding>,
    verdict: &Verdict,
    then: &[Finding],
) -> Vec<Finding> {
    let stays = |it: &Finding| {
        it.severity == Severity::Habit
            || then.iter().any(|other| other.code == it.code && other.parts.first() == it.parts.first())
    };
    let agrees = |it: &Finding| agrees(judged, it, &verdict.guess);
    let own = first.iter().find(|it| it.severity != Severity::Habit && agrees(it)).cloned();
    let is_told = own.is_some();
    let mut own = own.unwrap_or_else(|| said(judged, &first, verdict));
    if let Some(other) = &verdict.other {
        or_else(judged, &mut own, other);
    }
    let mut all = vec![own.clone()];
    all.extend(first.into_iter().filter(|it| !(is_told && agrees(it)) && stays(it)));
    all[1..].sort_by_key(|it| it.severity);
    all
}

/// Whether a finding of the first look tells the same slip already.
fn agrees(judged: &Judged<'_>, it: &Finding, guess: &Guess) -> bool {
    let is_first = |part: PartIx| it.parts.first() == Some(&part);
    let mends = judged.mends(&guess.what);
    match guess.what {
        What::Leg { leg, .. } => {
            mends && is_first(leg.part) && it.holes.first() == hole_if(judged.bench, leg).as_ref()
        }
        What::Rows { part, .. } => mends && it.code == Code::PartOff && is_first(part),
        What::Turned { part } => {
            let codes = [Code::Backwards, Code::ChipTurned, Code::SupplyBackwards, Code::FlybackBackwards];
            codes.contains(&it.code) && is_first(part)
        }
        What::Missing { .. } => {
            mends && [Code::OpenEnd, Code::RailSplit, Code::RailUnpowered].contains(&it.code)
        }
        _ => false,
    }
}

/// Adds a second possibility to what is told first.
fn or_else(judged: &Judged<'_>, own: &mut Finding, other: &Guess) {
    let words = Words::of_guess(judged, other);
    let (Some(&part), Some(hole)) = (words.parts.first(), words.holes.first()) else { return };
    // Where both are named already it is enough to say so.
    own.says = if own.holes.contains(hole) {
        format!("{} {EITHER}", own.says)
    } else {
        format!("{}, or else {} in {hole}.", own.says.trim_end_matches('.'), judged.bench.part(part).id)
    };
    own.parts.retain(|it| *it != part);
    own.parts.insert(1, part);
    own.holes.extend(words.holes);
}

/// Of two legs that are both told.
const EITHER: &str = "Either may have slipped.";

/// What is said of a guess.
struct Words {
    code: Code,
    parts: Vec<PartIx>,
    holes: Vec<Hole>,
    says: String,
    why: &'static str,
    remedy: String,
}

fn said(judged: &Judged<'_>, first: &[Finding], verdict: &Verdict) -> Finding {
    let mut words = Words::of(judged, verdict);
    let told = || first.iter().filter(|it| it.severity != Severity::Habit);
    let worst = told().next();
    if tells(first, &HOT) && !words.remedy.starts_with("Disconnect") {
        words.remedy = format!("Disconnect the power. Then {}", lower(&words.remedy));
    }
    for it in told() {
        add_others(&mut words.parts, &it.parts);
    }
    // What the rules say of these is worth more than where the slip is, which the remedy says.
    let own = [Code::ShortCircuit, Code::Bypassed, Code::AlwaysOn];
    if let Some(it) = worst.filter(|it| own.contains(&it.code)) {
        words.holes.extend(it.holes.iter().copied());
        let (parts, holes, remedy) = (words.parts, words.holes, words.remedy);
        return Finding { parts, holes, remedy, ..it.clone() };
    }
    Finding {
        code: words.code,
        severity: worst.map_or(Severity::Risk, |it| it.severity),
        symptom: worst
            .map_or_else(|| "Something here does not do what it could.".to_owned(), |it| it.symptom.clone()),
        parts: words.parts,
        holes: words.holes,
        says: words.says,
        why: words.why.to_owned(),
        remedy: words.remedy,
    }
}

impl Words {
    fn of(judged: &Judged<'_>, verdict: &Verdict) -> Words {
        Words::of_guess(judged, &verdict.guess)
    }

    fn of_guess(judged: &Judged<'_>, guess: &Guess) -> Words {
        match guess.what {
            What::Leg { leg, to } => leg_words(judged, leg, to),
            What::Rows { part, rows } => rows_words(judged, part, rows),
            What::Away { part } => away_words(judged, part, &guess.fix),
            What::Turned { part } => turned_words(judged, part),
            What::Exchanged { legs } => exchanged_words(judged, legs),
            What::Order { part } => order_words(judged, part, &guess.fix),
            What::Value { part, ohms } => value_words(judged, part, ohms),
            What::Missing { ends, card } => missing_words(judged, ends, card, &guess.fix),
        }
    }
}

/// The legs over a strip, without those of one part.
fn legs_over(judged: &Judged<'_>, strip: Strip, but: PartIx) -> Vec<LegId> {
    let over = |hole: Option<Hole>| hole.and_then(|hole| judged.bench.strip(hole)) == Some(strip);
    judged.bench.legs().filter(|(leg, at)| leg.part != but && over(at.hole)).map(|it| it.0).collect()
}

fn company_in_words(judged: &Judged<'_>, legs: &[LegId]) -> String {
    let mut parts: Vec<PartIx> = legs.iter().map(|leg| leg.part).collect();
    parts.dedup();
    names(judged.bench, &parts[..parts.len().min(2)])
}

fn leg_words(judged: &Judged<'_>, leg: LegId, to: Strip) -> Words {
    let bench = judged.bench;
    let hole = hole_of(bench, leg);
    let from = bench.strip(hole).expect("the leg is over the board");
    let is_rail = |strip: Strip| matches!(strip.place, StripPlace::Rail { .. });
    let (here, there) = (legs_over(judged, from, leg.part), legs_over(judged, to, leg.part));
    let name = capital(&leg_name(bench, leg));
    let goal = strip_name(bench, to);
    let says = if here.is_empty() {
        format!(
            "{name} is in {hole}, alone; {} {} in {goal}.",
            company_in_words(judged, &there),
            if there.len() == 1 { "waits" } else { "are" }
        )
    } else if is_rail(from) && is_rail(to) {
        format!("{name} is in {hole}, in {}: the wrong rail.", strip_name(bench, from))
    } else {
        format!(
            "{name} is in {hole}, with {}; it belongs with {}.",
            company_in_words(judged, &here),
            company_in_words(judged, &there)
        )
    };
    let mut parts = vec![leg.part];
    add_others(&mut parts, &there.iter().take(2).map(|leg| leg.part).collect::<Vec<_>>());
    Words {
        code: match (is_rail(from), here.is_empty()) {
            (true, _) => Code::WrongRail,
            (_, true) => Code::LegAlone,
            _ => Code::WrongRow,
        },
        parts,
        holes: [hole]
            .into_iter()
            .chain(there.iter().filter_map(|&leg| hole_if(bench, leg)).take(2))
            .collect(),
        says,
        why: if is_rail(from) {
            "Each rail is one piece of metal, and the four rails are not joined inside the board. A wire in another rail brings another voltage, or none."
        } else {
            "The five holes of a half row are one piece of metal; rows don’t touch each other. One row off, a leg meets other parts or nobody."
        },
        remedy: move_leg(bench, leg, to),
    }
}

fn rows_words(judged: &Judged<'_>, part: PartIx, rows: i8) -> Words {
    let bench = judged.bench;
    let at = holes(bench, part);
    let id = &bench.part(part).id;
    Words {
        code: Code::PartOff,
        parts: vec![part],
        says: format!(
            "{id} is {} from where its neighbours wait: its first leg is in {}.",
            rows_by(-rows),
            at[0]
        ),
        holes: at,
        why: "Rows don’t touch each other. A part that is off by a row meets the wrong neighbours with every leg.",
        remedy: format!("Move {id} {}.", rows_by(rows)),
    }
}

fn away_words(judged: &Judged<'_>, part: PartIx, fix: &Fix) -> Words {
    let bench = judged.bench;
    let at = holes(bench, part);
    let Fix::Legs(moves) = fix else { unreachable!("legs are moved") };
    let id = &bench.part(part).id;
    let steps: Vec<String> = moves
        .iter()
        .map(|&(leg, to)| {
            format!("its {} from {} to {to}", bench.part(part).card.pins[leg.pin].says, hole_of(bench, leg))
        })
        .collect();
    let ends: Vec<String> = moves
        .iter()
        .map(|it| it.1)
        .filter_map(|hole| bench.strip(hole))
        .map(|it| strip_name(bench, it))
        .collect();
    let mut marks = at.clone();
    marks.extend(moves.iter().map(|it| it.1));
    Words {
        code: Code::PartOff,
        parts: vec![part],
        holes: marks,
        says: format!("{id} is in {} and {}; {} wait for it.", at[0], at[1], list(&ends)),
        why: "Two ends that meet nobody wait for one part. Where it is now, it has no path from + to −.",
        remedy: format!("Move {}.", steps.join("; ")),
    }
}

fn turned_words(judged: &Judged<'_>, part: PartIx) -> Words {
    let bench = judged.bench;
    let it = bench.part(part);
    let at = holes(bench, part);
    let says = |pin: usize| it.card.pins[pin].says;
    let (code, told, remedy) = if it.card.source.is_some() {
        (
            Code::SupplyBackwards,
            format!("{} is backwards: its {} is in {}, its {} in {}.", it.id, says(0), at[0], says(1), at[1]),
            format!("Swap the leads: {} to {}, {} to {}.", says(0), at[1], says(1), at[0]),
        )
    } else if it.is_rigid() {
        let code = if it.card.chip { Code::ChipTurned } else { Code::TransistorLegs };
        (
            code,
            format!("{} is turned round: its {} is in {}.", it.id, says(0), at[0]),
            format!("Disconnect the power and turn {} by half a turn.", it.id),
        )
    } else {
        (
            Code::Backwards,
            format!(
                "{} is in backwards: its {} is in {}, its {} in {}.",
                it.id,
                says(0),
                at[0],
                says(1),
                at[1]
            ),
            format!("Turn {} round: {} to {}, {} to {}.", it.id, says(0), at[1], says(1), at[0]),
        )
    };
    Words {
        code,
        parts: vec![part],
        holes: at,
        says: told,
        why: "This part works one way round only. The other way it blocks, or takes current where it should not.",
        remedy,
    }
}

fn exchanged_words(judged: &Judged<'_>, legs: [LegId; 2]) -> Words {
    let bench = judged.bench;
    let [one, two] = legs.map(|leg| hole_of(bench, leg));
    let [a, b] = legs.map(|leg| leg_again(bench, leg));
    Words {
        code: Code::EndsSwapped,
        parts: legs.map(|leg| leg.part).to_vec(),
        holes: vec![one, two],
        says: format!("{} in {one} and {b} in {two} have changed places.", capital(&a)),
        why: "Each of the two wires brings what the other should. Both look tidy, and neither ends where it is needed.",
        remedy: format!("Swap {a} in {one} and {b} in {two}."),
    }
}

fn order_words(judged: &Judged<'_>, part: PartIx, fix: &Fix) -> Words {
    let bench = judged.bench;
    let it = bench.part(part);
    let Fix::Legs(moves) = fix else { unreachable!("legs are moved") };
    let name = |pin: usize| {
        let says = it.card.pins[pin].says;
        says.split_once('(').map_or(says, |(_, name)| name.trim_end_matches(')'))
    };
    let steps: Vec<String> = moves
        .iter()
        .map(|&(leg, to)| format!("the {} from {} to {to}", name(leg.pin), hole_of(bench, leg)))
        .collect();
    Words {
        code: Code::TransistorLegs,
        parts: vec![part],
        holes: moves.iter().map(|&(leg, _)| hole_of(bench, leg)).collect(),
        says: format!("{}’s legs are in the wrong order.", it.id),
        why: "Transistors look alike and differ in the order of their legs. In the wrong order one hardly amplifies, or is on all the time.",
        remedy: format!("Move {}.", steps.join("; ")),
    }
}

fn value_words(judged: &Judged<'_>, part: PartIx, ohms: f64) -> Words {
    let bench = judged.bench;
    let it = bench.part(part);
    let is = it.card.least_ohms.map_or(0.0, |least| least(it));
    let bands = |ohms: f64| {
        preferred::bands(ohms, 5.0).map_or_else(String::new, |bands| bands[..bands.len() - 1].join(", "))
    };
    let (is_value, meant) = (amount::value(is, Unit::Ohm), amount::value(ohms, Unit::Ohm));
    Words {
        code: Code::WrongValue,
        parts: vec![part],
        holes: holes(bench, part),
        says: format!("{} is {is_value}: {}.", it.id, bands(is)),
        why: "The third band says how many zeros follow. One colour misread makes ten times as much, or a tenth.",
        remedy: format!("Read its bands again: was {meant} meant ({})? Then replace it.", bands(ohms)),
    }
}

fn missing_words(judged: &Judged<'_>, ends: [Strip; 2], card: &'static Card, fix: &Fix) -> Words {
    let bench = judged.bench;
    let Fix::Part { ends: [a, b], .. } = *fix else { unreachable!("a part is added") };
    let near: Vec<LegId> = ends
        .iter()
        .filter_map(|&strip| legs_over(judged, strip, PartIx(usize::MAX)).first().copied())
        .collect();
    let [one, two] = ends.map(|strip| strip_name(bench, strip));
    // A wire is as short as the strips allow.
    let (a, b) = (a, free_hole(bench, ends[1], a, None).unwrap_or(b));
    let remedy = if card.is_wire() {
        format!("Put a wire from {a} to {b}.")
    } else if card.group == Group::Light {
        format!("Look at your plan: a lamp between {a} and {b} would close the path.")
    } else {
        format!("Look at your plan: a resistor between {a} and {b} would close the path.")
    };
    Words {
        code: Code::OpenEnd,
        parts: near.iter().map(|leg| leg.part).collect(),
        holes: near.iter().filter_map(|&leg| hole_if(bench, leg)).chain([a, b]).collect(),
        says: format!("Nothing joins {one} and {two}."),
        why: "Current flows only around a closed path, from + through the parts to −. Here the path has a gap.",
        remedy,
    }
}
