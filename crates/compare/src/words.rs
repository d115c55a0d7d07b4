//! Moves in sentences: name, leg, hole, in that order.

use halfrow_core::board::{Hole, Place};
use halfrow_core::card::Value;
use halfrow_core::part::Part;

use crate::hand::is_off_board;
use crate::moves::Kind;

/// What a leg meets in the plan.
pub(crate) enum Meets {
    /// Nothing: it stands alone.
    Nothing,
    /// Another leg, in words.
    Leg(String),
}

/// `e14, d14 or c14`.
fn any_of(holes: &[Hole]) -> String {
    let words: Vec<String> = holes.iter().map(Hole::to_string).collect();
    match words.as_slice() {
        [all @ .., last] if !all.is_empty() => format!("{} or {last}", all.join(", ")),
        _ => words.concat(),
    }
}

/// `e14 and f14`.
fn all_of(holes: &[Hole]) -> String {
    let words: Vec<String> = holes.iter().map(Hole::to_string).collect();
    match words.as_slice() {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => words.concat(),
    }
}

/// `One row off.` and the like; empty where nothing plain can be said.
fn off_by(from: Hole, to: Hole) -> String {
    match (from.place, to.place) {
        (Place::Grid { row, .. }, Place::Grid { row: other, .. }) if from.board == to.board => {
            let rows = row.abs_diff(other);
            match (rows, from.side() == to.side()) {
                (0, false) => " It is on the wrong side of the channel.".to_owned(),
                (1, true) => " It is one row off.".to_owned(),
                (2..=6, true) => format!(" It is {} rows off.", count(rows)),
                _ => String::new(),
            }
        }
        (Place::Rail { side, sign, .. }, Place::Rail { side: other, sign: there, .. })
            if side == other && sign != there =>
        {
            " It is in the wrong rail.".to_owned()
        }
        _ => String::new(),
    }
}

fn count(n: u8) -> &'static str {
    ["no", "one", "two", "three", "four", "five", "six"].get(usize::from(n)).copied().unwrap_or("many")
}

fn meets(meets: &Meets) -> String {
    match meets {
        Meets::Nothing => "In the plan nothing else is joined to it.".to_owned(),
        Meets::Leg(words) => format!("In the plan it meets {words}."),
    }
}

pub(crate) fn leg(part: &Part, pin: usize, from: Option<Hole>, to: &[Hole], met: &Meets) -> (String, String) {
    let leg = part.leg_in_words(pin);
    let off = from.zip(to.first()).map_or(String::new(), |(from, &to)| off_by(from, to));
    let says = match from {
        Some(from) => format!("Move {leg} from {from} to {}.", any_of(to)),
        None => format!("Put {leg} into {}.", any_of(to)),
    };
    (says, meets(met) + &off)
}

pub(crate) fn push(part: &Part, pin: usize, hole: Hole, met: &Meets) -> (String, String) {
    let says = format!("Push {} all the way into {hole}.", part.leg_in_words(pin));
    (says, format!("It doesn’t make good contact. {}", meets(met)))
}

pub(crate) fn turned(now: &Part, then: &Part) -> (String, String) {
    let pin = |pin: usize| then.card.pins[pin].says;
    if then.is_rigid() {
        let hole = then.legs[0].hole.map_or(String::new(), |hole| hole.to_string());
        let says = format!("Turn {} round: pin 1 goes in {hole}.", now.id);
        let was = now.legs[0].hole.map_or(String::new(), |hole| format!("Pin 1 is in {hole} now."));
        return (says, was);
    }
    let places: Vec<String> = then
        .legs
        .iter()
        .enumerate()
        .filter_map(|(at, leg)| Some(format!("{} in {}", pin(at), leg.hole?)))
        .collect();
    let places = match places.as_slice() {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => places.concat(),
    };
    let says = match (is_off_board(now), now.legs.len()) {
        (true, _) => format!("Swap the two leads of {}: {places}.", now.id),
        (false, 2) => format!("Turn {} round: {places}.", now.id),
        _ => format!("Put the legs of {} in another order: {places}.", now.id),
    };
    let was = now.legs[0].hole.map_or(String::new(), |hole| format!("Its {} is in {hole} now.", pin(0)));
    (says, was)
}

pub(crate) fn shifted(now: &Part, then: &Part) -> (String, String) {
    let rows = |part: &Part| -> Option<Vec<u8>> { part.legs.iter().map(|leg| leg.hole?.row()).collect() };
    let same_way = match (rows(now), rows(then)) {
        (Some(old), Some(new)) => {
            let by: Vec<i16> = old.iter().zip(&new).map(|(a, b)| i16::from(*b) - i16::from(*a)).collect();
            let same = now.legs.iter().zip(&then.legs).all(|(a, b)| {
                a.hole.zip(b.hole).is_some_and(|(a, b)| a.side() == b.side() && a.board == b.board)
            });
            (same && by.windows(2).all(|pair| pair[0] == pair[1])).then(|| by[0]).filter(|by| *by != 0)
        }
        _ => None,
    };
    let holes: Vec<Hole> = then.legs.iter().filter_map(|leg| leg.hole).collect();
    let to = if then.is_rigid() {
        format!("pin 1 in {}", holes.first().map_or(String::new(), Hole::to_string))
    } else {
        all_of(&holes)
    };
    match same_way {
        Some(by) => {
            let rows = by.unsigned_abs() as u8;
            let way = if by > 0 { "down" } else { "up" };
            let plural = if rows == 1 { "" } else { "s" };
            let number = if rows <= 6 { count(rows).to_owned() } else { rows.to_string() };
            (format!("Move {} {number} row{plural} {way}: {to}.", now.id), String::new())
        }
        None => {
            (format!("Move {} to {to}.", now.id), "None of its legs is where the plan has it.".to_owned())
        }
    }
}

/// What two parts of a kind differ in, in a few words each.
pub(crate) fn values(plan: &Part, build: &Part) -> (String, String) {
    let label = |part: &Part| (part.card.label)(part);
    let (is, meant) = (label(build), label(plan));
    if is != meant {
        return (is, meant);
    }
    // The label doesn't show it.
    let param = (0..plan.values.len()).find(|&it| !(plan.card.does_for)(plan, build, it)).unwrap_or(0);
    let show = |part: &Part| match part.values.get(param) {
        Some(Value::Number(x)) => format!("{x}"),
        Some(Value::Choice(_)) => part.choice_name(param).to_owned(),
        Some(value) => format!("{value:?}"),
        None => String::new(),
    };
    (show(build), show(plan))
}

/// The coloured bands of a part that has them, without the one for its tolerance.
fn bands_of(part: &Part) -> Option<Vec<&'static str>> {
    let mut all = (part.card.bands)(part)?;
    if all.len() > 3 {
        all.pop();
    }
    Some(all)
}

pub(crate) fn value(now: &Part, plan: &Part, is: &str, meant: &str) -> (String, String) {
    let says = format!("{} is {is}; the plan has {meant}.", now.id);
    let because = match (bands_of(now), bands_of(plan)) {
        (Some(own), Some(wanted)) => {
            format!("Its bands are {}; the plan’s are {}.", own.join(", "), wanted.join(", "))
        }
        _ => String::new(),
    };
    (says, because)
}

pub(crate) fn exchanged(now: &Part, then: &Part) -> (String, String) {
    let holes: Vec<Hole> = then.legs.iter().filter_map(|leg| leg.hole).collect();
    let what = then.card.name.to_lowercase();
    let label = (then.card.label)(then);
    let says = format!(
        "Replace {} with {} {what}{}, in {}.",
        now.id,
        article(&what),
        if label.is_empty() { String::new() } else { format!(" ({label})") },
        all_of(&holes)
    );
    (says, format!("{} is {} {}.", now.id, article(now.card.name), now.card.name.to_lowercase()))
}

fn article(word: &str) -> &'static str {
    let vowel = word.chars().next().is_some_and(|it| "aeiouAEIO8".contains(it)) || word.starts_with("LED");
    if vowel { "an" } else { "a" }
}

pub(crate) fn missing(part: &Part) -> (String, String) {
    let legs: Vec<String> = part
        .legs
        .iter()
        .enumerate()
        .filter_map(|(pin, leg)| Some(format!("{} in {}", part.card.pins[pin].says, leg.hole?)))
        .collect();
    let legs = if part.is_rigid() { legs.into_iter().take(1).collect() } else { legs };
    let places = match legs.as_slice() {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => legs.concat(),
    };
    (format!("{} is missing: {places}.", part.title()), String::new())
}

pub(crate) fn extra(part: &Part) -> (String, String) {
    let holes: Vec<Hole> = part.legs.iter().filter_map(|leg| leg.hole).collect();
    let at = if part.is_rigid() { all_of(&holes[..holes.len().min(1)]) } else { all_of(&holes) };
    let why = if part.card.is_wire() {
        "It joins what the plan keeps apart."
    } else {
        "The plan has no such part."
    };
    (format!("Take out {} ({at}).", part.title()), why.to_owned())
}

pub(crate) fn wire(kind: Kind, part: &Part, a: Hole, b: Hole) -> (String, String) {
    match kind {
        Kind::WireMoved => (
            format!("Take out {} and put it between {a} and {b}.", part.id),
            "It joins what the plan keeps apart.".to_owned(),
        ),
        Kind::RailsApart => (
            format!("Put a wire from {a} to {b}, to join the two rails."),
            format!("The {} and the {} are one in the plan.", a.place_in_words(), b.place_in_words()),
        ),
        _ => (format!("Put a wire from {a} to {b}."), "A wire is missing there.".to_owned()),
    }
}

pub(crate) fn swapped(parts: [&Part; 2], pins: [usize; 2], was: [Option<Hole>; 2]) -> (String, String) {
    let words = [0, 1].map(|at| parts[at].leg_in_words(pins[at]));
    let holes = was.map(|hole| hole.map_or(String::new(), |hole| hole.to_string()));
    let says = format!("Swap {} and {}: they go in {} and {}.", words[0], words[1], holes[1], holes[0]);
    (says, "Each is where the other belongs.".to_owned())
}

const NUMBERS: [&str; 13] =
    ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];

fn number(n: usize) -> String {
    NUMBERS.get(n).map_or_else(|| n.to_string(), |it| (*it).to_owned())
}

/// `three moves`.
pub fn counted(moves: usize) -> String {
    format!("{} move{}", number(moves), if moves == 1 { "" } else { "s" })
}

/// `three moves are`.
pub fn counted_are(moves: usize) -> String {
    format!("{} {}", counted(moves), if moves == 1 { "is" } else { "are" })
}

/// `Two moves and one exchange make it the plan’s circuit.`: what is exchanged for another part counts apart.
pub fn headline(moves: &[crate::Move]) -> String {
    let is_exchange = |it: &&crate::Move| matches!(it.kind, Kind::Value | Kind::OtherKind);
    let exchanges = moves.iter().filter(is_exchange).count();
    let plain = moves.len() - exchanges;
    let exchanges_in_words =
        format!("{} exchange{}", number(exchanges), if exchanges == 1 { "" } else { "s" });
    let words = match (plain, exchanges) {
        (_, 0) => counted(plain),
        (0, _) => exchanges_in_words,
        _ => format!("{} and {exchanges_in_words}", counted(plain)),
    };
    let verb = if moves.len() == 1 { "makes" } else { "make" };
    let mut words = format!("{words} {verb} it the plan’s circuit.");
    if let Some(first) = words.get(..1) {
        let first = first.to_uppercase();
        words.replace_range(..1, &first);
    }
    words
}
