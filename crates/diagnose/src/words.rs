//! What is wrong, what to look at and what an answer would mean, in sentences.

use halfrow_core::amount;
use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Place};

use crate::behaviour::Spot;
use crate::dictionary::Dictionary;
use crate::fault::{Change, Fault, Repair};
use crate::likelihood::across;
use crate::next::{Ask, Next, Outcome, Reply};
use crate::priors::Class;
use crate::symptom::{Found, Probe, Sight, Symptom, Tried};

/// `a, b or c`.
pub fn one_of(words: &[String]) -> String {
    match words {
        [all @ .., last] if !all.is_empty() => format!("{} or {last}", all.join(", ")),
        _ => words.concat(),
    }
}

/// `a, b and c`.
pub fn all_of(words: &[String]) -> String {
    match words {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => words.concat(),
    }
}

fn leg_words(plan: &Bench, leg: LegId) -> String {
    plan.part(leg.part).leg_in_words(leg.pin)
}

fn planned(plan: &Bench, leg: LegId) -> String {
    plan.part(leg.part).legs[leg.pin].hole.map_or(String::new(), |hole| hole.to_string())
}

/// What is wrong where one repair mends it; `faults` are those that it mends, likeliest first.
pub fn cause(plan: &Bench, repair: &Repair, faults: &[&Fault]) -> String {
    match repair {
        Repair::Leg(leg) => misplaced(plan, *leg, faults),
        Repair::Part(part) => {
            let id = &plan.part(*part).id;
            match faults.first().map(|fault| fault.class) {
                Some(Class::Turned) if plan.part(*part).card.source.is_some() => {
                    format!("{id}’s two leads have changed places")
                }
                Some(Class::Turned) => format!("{id} is in backwards"),
                Some(Class::Order) => format!("{id}’s legs are in the wrong order"),
                Some(Class::TwoRows) => format!("{id} is two rows off"),
                _ => format!("{id} is one row off"),
            }
        }
        Repair::Swap(one, two) => {
            format!("{} and {} have changed places", leg_words(plan, *one), leg_words(plan, *two))
        }
        Repair::Add(part) => format!("{} is missing", plan.part(*part).title()),
        Repair::Exchange(part) => {
            let mut words: Vec<String> = Vec::new();
            for fault in faults {
                let said = faulty(plan, *part, fault);
                if !words.contains(&said) {
                    words.push(said);
                }
            }
            words.truncate(3);
            format!("{} {}", plan.part(*part).id, one_of(&words))
        }
    }
}

fn faulty(plan: &Bench, part: PartIx, fault: &Fault) -> String {
    let it = plan.part(part);
    match &fault.change {
        Change::Value { .. } if fault.class == Class::Worn => "is nearly empty".to_owned(),
        Change::Value { param, value, .. } => {
            let mut other = it.clone();
            other.values[*param] = *value;
            format!("is {} instead of {}", (other.card.label)(&other), (it.card.label)(it))
        }
        Change::Broken { short: true, .. } => "is shorted inside".to_owned(),
        _ => "is broken inside".to_owned(),
    }
}

fn misplaced(plan: &Bench, leg: LegId, faults: &[&Fault]) -> String {
    let mut holes: Vec<String> = Vec::new();
    let mut out = false;
    for fault in faults {
        match &fault.change {
            Change::Leg { to, .. } => {
                let hole = to.to_string();
                if !holes.contains(&hole) {
                    holes.push(hole);
                }
            }
            _ => out = true,
        }
    }
    holes.truncate(2);
    let (leg, home) = (leg_words(plan, leg), planned(plan, leg));
    match (holes.is_empty(), out) {
        (true, _) => format!("{leg} isn’t pushed into {home}"),
        (false, false) => format!("{leg} is in {} instead of {home}", one_of(&holes)),
        (false, true) => format!("{leg} isn’t in {home}: it’s in {}, or not pushed in", one_of(&holes)),
    }
}

/// What is wrong where a set of repairs mends it.
pub fn causes(plan: &Bench, repairs: &[Repair], faults: &[&Fault]) -> String {
    if repairs.is_empty() {
        return "nothing: the build may be right, and something was misread".to_owned();
    }
    let words: Vec<String> = repairs
        .iter()
        .map(|repair| {
            let own: Vec<&Fault> = faults.iter().copied().filter(|fault| fault.repair() == *repair).collect();
            cause(plan, repair, &own)
        })
        .collect();
    words.join(", and ")
}

/// What a repair is called in half a sentence: `R2’s second leg`, `D2 backwards`.
fn short(plan: &Bench, repairs: &[Repair]) -> String {
    if repairs.is_empty() {
        return "nothing is wrong there".to_owned();
    }
    let words: Vec<String> = repairs
        .iter()
        .map(|repair| match repair {
            Repair::Leg(leg) => format!("{} isn’t in {}", leg_words(plan, *leg), planned(plan, *leg)),
            Repair::Part(part) => format!("{} is in wrong", plan.part(*part).id),
            Repair::Swap(one, two) => {
                format!("{} and {} have changed places", leg_words(plan, *one), leg_words(plan, *two))
            }
            Repair::Add(part) => format!("{} is missing", plan.part(*part).id),
            Repair::Exchange(part) => format!("{} is faulty or of another value", plan.part(*part).id),
        })
        .collect();
    all_of(&words)
}

/// What to do about something that no move of the hand mends.
pub fn exchange(plan: &Bench, part: PartIx) -> String {
    let it = plan.part(part);
    let name = in_a_sentence(it.card.name);
    if it.card.source.is_some() {
        return format!("Give {} fresh cells.", it.id);
    }
    let round = if it.card.polarity.is_some() || it.legs.len() > 2 { ", the same way round" } else { "" };
    let label = (it.card.label)(it);
    let what = if label.is_empty() { name } else { format!("{name} ({label})") };
    format!("Exchange {} for another {what}{round}.", it.id)
}

/// A name within a sentence: `resistor`, but `LED`.
fn in_a_sentence(name: &str) -> String {
    let capitals = name.chars().take(2).all(|c| c.is_ascii_uppercase() || c.is_ascii_digit());
    if capitals { name.to_owned() } else { name.to_lowercase() }
}

/// A hole for a tip: `c12 (row 12, left half)`, or a rail by its name.
fn tip(plan: &Bench, spot: Spot) -> String {
    match spot {
        Spot::Hole(hole) => hole_words(hole),
        Spot::Leg(leg) => format!("{} itself, wherever it is", leg_words(plan, leg)),
    }
}

fn hole_words(hole: Hole) -> String {
    match hole.place {
        Place::Grid { .. } => format!("{hole} (any free hole of {})", hole.place_in_words()),
        Place::Rail { .. } => format!("a free hole of the {}, such as {hole}", hole.place_in_words()),
    }
}

/// What to do, in words that a twelve-year-old can follow.
pub fn instruction(dictionary: &Dictionary, ask: Ask) -> String {
    let plan = dictionary.plan();
    match ask {
        Ask::Look(part) => look(plan, part),
        Ask::See(part) => {
            let id = &plan.part(part).id;
            let card = plan.part(part).card;
            if card.sounds {
                format!("Listen to {id}: does it sound?")
            } else if card.forward_volts.is_some() {
                format!("Look at {id}: is it lit, dim, dark, or does it blink?")
            } else {
                format!("Look at {id}: does it move?")
            }
        }
        Ask::Measure(Probe::Volts { red, black }) => {
            format!(
                "Turn the dial to DC volts, 20 V; black plug in COM, red plug in V. Touch {} with the red tip and {} with the black one.",
                tip(plan, red),
                tip(plan, black)
            )
        }
        Ask::Measure(Probe::Across(part)) => {
            let legs = across(plan, part);
            let [a, b] = legs.map_or([0, 1], |(a, b)| {
                [a, b].map(|spot| if let Spot::Leg(leg) = spot { leg.pin } else { 0 })
            });
            format!(
                "Turn the dial to DC volts, 20 V; black plug in COM, red plug in V. Touch {} with the red tip and the {} with the black one.",
                plan.part(part).leg_in_words(a),
                plan.part(part).card.pins[b].says
            )
        }
        Ask::Measure(Probe::Amps(part)) => {
            let leg = LegId { part, pin: 1 };
            format!(
                "Take a lead of the supply out. Turn the dial to DC amps, 200 mA; black plug in COM, red plug in mA. Take {} out of {}; one tip on that leg, the other in the hole where it was. Put the supply back and read.",
                leg_words(plan, leg),
                planned(plan, leg)
            )
        }
        Ask::Measure(Probe::Ohms(part)) => {
            format!("Take {} out of the board and measure its ohms.", plan.part(part).id)
        }
        Ask::Exchange(part) => {
            format!("{} Does it work then?", exchange(plan, part))
        }
    }
}

fn look(plan: &Bench, part: PartIx) -> String {
    let it = plan.part(part);
    let legs: Vec<String> = it
        .legs
        .iter()
        .enumerate()
        .filter_map(|(pin, leg)| Some(format!("{} in {}", it.card.pins[pin].says, leg.hole?)))
        .take(if it.is_rigid() { 1 } else { usize::MAX })
        .collect();
    let bands = (it.card.bands)(it).map(|mut bands| {
        if bands.len() > 3 {
            bands.pop();
        }
        format!(", and are its bands {}", bands.join(", "))
    });
    let notch = if it.card.chip { ", its notch at that end" } else { "" };
    format!(
        "Look at {}: is its {}{notch}{}? Press each leg gently: is it all the way in?",
        it.id,
        all_of(&legs),
        bands.unwrap_or_default()
    )
}

fn reply_words(dictionary: &Dictionary, ask: Ask, reply: Reply) -> String {
    let plan = dictionary.plan();
    match (reply, ask) {
        (Reply::About { value, .. }, Ask::Measure(Probe::Amps(_))) => {
            format!("About {}", amount::amps(round(value)))
        }
        (Reply::About { value, .. }, _) => format!("About {}", amount::volts(round(value))),
        (Reply::Finds(found), Ask::Look(part)) => found_words(plan, part, found),
        (Reply::Does(sight), Ask::See(part)) => {
            format!("If {} {}", plan.part(part).id, sight_words(sight))
        }
        (Reply::Helped(true), _) => "If it works then".to_owned(),
        (Reply::Helped(false), _) => "If it’s no better".to_owned(),
        _ => String::new(),
    }
}

/// A few millivolts are none for people.
fn round(value: f64) -> f64 {
    if value.abs() < 0.02 { 0.0 } else { value }
}

fn found_words(plan: &Bench, part: PartIx, found: Found) -> String {
    let it = plan.part(part);
    match found {
        Found::Right => format!("If {} is as in the plan", it.id),
        Found::Leg { pin, hole } => format!("If {} is in {hole}", it.leg_in_words(pin)),
        Found::Loose { pin } => format!("If {} is loose", it.leg_in_words(pin)),
        Found::Missing => format!("If {} isn’t there", it.id),
        Found::Turned => format!("If {} is the other way round", it.id),
        Found::Moved => format!("If {} is in other rows", it.id),
        Found::OtherValue => format!("If {} has other bands or another value", it.id),
    }
}

/// `stays dark`.
pub fn sight_words(sight: Sight) -> &'static str {
    match sight {
        Sight::Lit => "is lit",
        Sight::Dim => "is dim",
        Sight::Bright => "is too bright",
        Sight::Dark => "stays dark",
        Sight::Blinks => "blinks",
        Sight::BlinksFast => "blinks too fast",
        Sight::BlinksSlow => "blinks too slowly",
        Sight::Moves => "moves",
        Sight::Still => "stands still",
        Sight::Sounds => "sounds",
        Sight::Silent => "is silent",
        Sight::Hot => "gets hot",
        Sight::Cool => "stays cool",
        Sight::Smokes => "smokes",
        Sight::Swells => "swells",
    }
}

/// What each answer would mean, a sentence each.
pub fn outcomes(dictionary: &Dictionary, next: &Next) -> Vec<String> {
    let plan = dictionary.plan();
    let means = |outcome: &Outcome| {
        let likely = outcome.means.iter().filter(|it| it.1 >= 0.15).take(2);
        let likely: Vec<String> = likely.map(|(repairs, _)| short(plan, repairs)).collect();
        if likely.is_empty() { "it’s something else".to_owned() } else { likely.join(", or ") }
    };
    let said = |outcome: &Outcome| {
        format!("{}: {}.", reply_words(dictionary, next.ask, outcome.reply), means(outcome))
    };
    if let Ask::Look(_) = next.ask {
        // What a look finds is plain; what it means where it finds nothing isn't.
        let right = next.outcomes.iter().find(|it| it.reply == Reply::Finds(Found::Right));
        let mut told =
            vec!["If anything there is different, you have found it: put it as in the plan.".to_owned()];
        told.extend(right.map(said));
        return told;
    }
    next.outcomes.iter().filter(|it| it.share >= 0.02).take(4).map(said).collect()
}

/// A symptom as the message repeats it: `D2 stays dark`.
pub fn symptom(dictionary: &Dictionary, symptom: &Symptom) -> String {
    let plan = dictionary.plan();
    let id = |part: PartIx| plan.part(part).id.clone();
    match *symptom {
        Symptom::Seen { part, sight } => format!("{} {}", id(part), sight_words(sight)),
        Symptom::Read(reading) => {
            let shown = |value: f64, probe: Probe| match probe {
                Probe::Amps(_) => amount::amps(value),
                Probe::Ohms(_) => amount::value(value, halfrow_core::unit::Unit::Ohm),
                _ => amount::volts(value),
            };
            let value = shown(reading.value, reading.probe);
            match reading.probe {
                Probe::Volts { red, black } => {
                    let word = |spot| crate::symptom::spot_word(plan, spot);
                    format!("{value} from {} to {}", word(red), word(black))
                }
                Probe::Across(part) => format!("{value} across {}", id(part)),
                Probe::Amps(part) => format!("{value} through {}", id(part)),
                Probe::Ohms(part) => format!("{} measures {value}", id(part)),
            }
        }
        Symptom::Look { part, found } => {
            let words = found_words(plan, part, found);
            words.strip_prefix("If ").unwrap_or(&words).to_owned()
        }
        Symptom::Tried { part, what } => {
            let done = match what {
                Tried::Exchanged => "exchanging",
                Tried::Turned => "turning",
                Tried::Pushed => "pushing in",
            };
            format!("{done} {} didn’t help", id(part))
        }
    }
}
