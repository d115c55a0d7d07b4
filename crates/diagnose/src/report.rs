//! What a report says of itself: danger first, then what contradicts and what can't be.

use halfrow_core::card::Group;

use crate::dictionary::Dictionary;
use crate::likelihood::Scale;
use crate::symptom::{Probe, Sight, Symptom};
use crate::words;

/// What is said first where a part gets hot, smokes or swells.
pub fn danger(dictionary: &Dictionary, report: &[Symptom]) -> Option<String> {
    let plan = dictionary.plan();
    report.iter().find_map(|symptom| match *symptom {
        Symptom::Seen { part, sight } if sight.is_danger() => {
            let id = &plan.part(part).id;
            let what = words::sight_words(sight);
            let cell = plan.part(part).card.source.is_some();
            let more = match sight {
                Sight::Swells if cell => " Don’t touch a swollen cell; get an adult.",
                _ => " Let it cool before you touch it.",
            };
            Some(format!("{id} {what}: disconnect the supply now, before you do or measure anything.{more}"))
        }
        _ => None,
    })
}

/// The symptoms that count, and what is said of the others and of those that contradict each other.
pub fn checked(dictionary: &Dictionary, report: &[Symptom]) -> (Vec<Symptom>, Vec<String>) {
    let scale = Scale::of(dictionary);
    let mut notes = Vec::new();
    let mut kept: Vec<Symptom> = Vec::new();
    for symptom in report {
        if let Some(note) = impossible(dictionary, symptom, scale) {
            notes.push(note);
            continue;
        }
        if let Some(other) = kept.iter().find(|other| contradict(other, symptom)) {
            notes.push(format!(
                "These two contradict each other, so one of them is a slip: {}, and {}. Both are weighed; please check.",
                words::symptom(dictionary, other),
                words::symptom(dictionary, symptom)
            ));
        }
        if kept.contains(symptom) {
            // The same words twice are no second reading.
            continue;
        }
        kept.push(*symptom);
    }
    (kept, notes)
}

/// Why a symptom can't be, and that it is left out.
fn impossible(dictionary: &Dictionary, symptom: &Symptom, scale: Scale) -> Option<String> {
    let plan = dictionary.plan();
    let said = words::symptom(dictionary, symptom);
    match *symptom {
        Symptom::Read(reading) => {
            let most = match reading.probe {
                Probe::Volts { .. } | Probe::Across(_) => 1.5 * scale.volts,
                Probe::Amps(_) => 20.0,
                Probe::Ohms(_) => f64::INFINITY,
            };
            (reading.value.abs() > most).then(|| {
                format!("{said}: nothing on this plan gives that much, so it’s left out. Is the point or the unit right?")
            })
        }
        Symptom::Seen { part, sight } => {
            let card = plan.part(part).card;
            let wrong = match sight {
                Sight::Lit | Sight::Dim | Sight::Bright | Sight::Dark => card.group != Group::Light,
                Sight::Blinks | Sight::BlinksFast | Sight::BlinksSlow => card.group != Group::Light,
                Sight::Sounds | Sight::Silent => !card.sounds,
                Sight::Moves | Sight::Still => card.group != Group::Move || card.sounds,
                _ => false,
            };
            let does = match sight {
                Sight::Sounds | Sight::Silent => "makes no sound",
                Sight::Moves | Sight::Still => "doesn’t move",
                _ => "gives no light",
            };
            wrong.then(|| format!("{said}: {} {does} at any time, so it’s left out.", plan.part(part).id))
        }
        _ => None,
    }
}

/// Whether two symptoms can't both be right.
fn contradict(one: &Symptom, two: &Symptom) -> bool {
    match (one, two) {
        (Symptom::Seen { part, sight }, Symptom::Seen { part: other, sight: too }) => {
            let kind = |sight: Sight| match sight {
                Sight::Lit | Sight::Dim | Sight::Bright | Sight::Dark => 0,
                Sight::Blinks | Sight::BlinksFast | Sight::BlinksSlow => 1,
                Sight::Moves | Sight::Still => 2,
                Sight::Sounds | Sight::Silent => 3,
                _ => 4,
            };
            let light = |sight| kind(sight) <= 1;
            let both_hot = sight.is_danger() && too.is_danger();
            let same_kind = kind(*sight) == kind(*too)
                || light(*sight) && light(*too) && [*sight, *too].contains(&Sight::Dark);
            part == other && sight != too && same_kind && !both_hot && !(kind(*sight) == 1 && kind(*too) == 1)
        }
        (Symptom::Read(one), Symptom::Read(two)) => {
            let off = (one.value - two.value).abs();
            let error = (one.error * one.error + two.error * two.error).sqrt();
            one.probe == two.probe && off > 4.0 * error + 0.05 * one.value.abs()
        }
        (Symptom::Look { part, found }, Symptom::Look { part: other, found: too }) => {
            part == other && found != too
        }
        _ => false,
    }
}
