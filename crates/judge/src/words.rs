//! Places, legs and parts in words.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Place, Side, Sign, Strip, StripPlace, board_letter};
use halfrow_core::card::Group;

/// `D2`, or `the black wire W3`.
pub(crate) fn part_name(bench: &Bench, part: PartIx) -> String {
    let it = bench.part(part);
    if it.card.is_wire() { format!("the {} wire {}", (it.card.label)(it), it.id) } else { it.id.clone() }
}

/// `D2’s short leg`, `the black wire W3’s first end`.
pub(crate) fn leg_name(bench: &Bench, leg: LegId) -> String {
    let it = bench.part(leg.part);
    format!("{}’s {}", part_name(bench, leg.part), it.card.pins[leg.pin].says)
}

/// `W3’s first end`: short, for the second mention.
pub(crate) fn leg_again(bench: &Bench, leg: LegId) -> String {
    bench.part(leg.part).leg_in_words(leg.pin)
}

/// The hole of a leg.
///
/// # Panics
/// When the leg is in the air.
pub(crate) fn hole_of(bench: &Bench, leg: LegId) -> Hole {
    bench.part(leg.part).legs[leg.pin].hole.expect("the leg is over the board")
}

/// The hole of a leg, if it has one.
pub(crate) fn hole_if(bench: &Bench, leg: LegId) -> Option<Hole> {
    bench.part(leg.part).legs[leg.pin].hole
}

/// The holes that a part's legs are in.
pub(crate) fn holes(bench: &Bench, part: PartIx) -> Vec<Hole> {
    bench.part(part).legs.iter().filter_map(|leg| leg.hole).collect()
}

/// `e5, e6 and f7`.
pub(crate) fn places(holes: &[Hole]) -> String {
    list(&holes.iter().map(Hole::to_string).collect::<Vec<_>>())
}

/// The first letter in capitals, for a sentence.
pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or_else(String::new, |first| [first.to_ascii_uppercase()].into_iter().chain(chars).collect())
}

/// The first letter small, after a colon.
pub(crate) fn lower(text: &str) -> String {
    text.chars().enumerate().map(|(at, c)| if at == 0 { c.to_ascii_lowercase() } else { c }).collect()
}

/// `D1`, `D1 and D2`, `D1, D2 and D3`.
pub(crate) fn list<S: AsRef<str>>(words: &[S]) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [most @ .., last] => {
            let most: Vec<&str> = most.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", most.join(", "), last.as_ref())
        }
    }
}

/// Names of parts, at most four of them.
pub(crate) fn names(bench: &Bench, parts: &[PartIx]) -> String {
    let mut words: Vec<String> = parts.iter().take(4).map(|&part| bench.part(part).id.clone()).collect();
    if parts.len() > 4 {
        let more = parts.len() - 4;
        words.push(format!("{more} more part{}", if more == 1 { "" } else { "s" }));
    }
    list(&words)
}

fn on_board(board: u8) -> String {
    if board == 0 { String::new() } else { format!(" of board {}", board_letter(board)) }
}

/// `row 14, right half`; `the right − rail`; `the lower part of the left + rail`.
pub(crate) fn strip_name(bench: &Bench, strip: Strip) -> String {
    match strip.place {
        StripPlace::HalfRow { row, side } => {
            format!("row {row}, {} half{}", side.word(), on_board(strip.board))
        }
        StripPlace::Rail { side, sign, lower } => {
            let split = bench.boards.get(usize::from(strip.board)).is_some_and(|board| board.split_rails);
            let part = match (split, lower) {
                (false, _) => "",
                (true, false) => "upper part of the ",
                (true, true) => "lower part of the ",
            };
            format!("the {part}{} {} rail{}", side.word(), sign.symbol(), on_board(strip.board))
        }
    }
}

fn count(n: u8) -> String {
    match n {
        1 => "one row".to_owned(),
        2 => "two rows".to_owned(),
        3 => "three rows".to_owned(),
        n => format!("{n} rows"),
    }
}

/// Rows down (or up) in words: `one row down`.
pub(crate) fn rows_by(rows: i8) -> String {
    format!("{} {}", count(rows.unsigned_abs()), if rows > 0 { "down" } else { "up" })
}

/// How to get from one hole to another: `one row down`, `across the channel`, `in the rail beside`.
pub(crate) fn way(from: Hole, to: Hole) -> String {
    match (from.place, to.place) {
        _ if from.board != to.board => "on the other board".to_owned(),
        (Place::Grid { row: a, .. }, Place::Grid { row: b, .. }) => {
            let rows = b as i16 - a as i16;
            let across = from.side() != to.side();
            match (rows, across) {
                (0, true) => "across the channel".to_owned(),
                (0, false) => "in the same half row".to_owned(),
                (rows, false) => rows_by(rows as i8),
                (rows, true) => format!("across the channel and {}", rows_by(rows as i8)),
            }
        }
        (Place::Rail { side: a, .. }, Place::Rail { side: b, .. }) if a == b => {
            "in the rail beside it".to_owned()
        }
        (_, Place::Rail { .. }) => "in a rail".to_owned(),
        (Place::Rail { .. }, Place::Grid { .. }) => "in the rows beside the rail".to_owned(),
    }
}

/// A free hole of a strip, the nearest to `near` (a wire is not pulled across the board), that the
/// leg reaches.
pub(crate) fn free_hole(bench: &Bench, strip: Strip, near: Hole, leg: Option<LegId>) -> Option<Hole> {
    let board = bench.boards.get(usize::from(strip.board))?;
    let other = leg.and_then(|leg| {
        let part = bench.part(leg.part);
        let (_, other) = part.legs.iter().enumerate().find(|&(pin, _)| pin != leg.pin)?;
        let reach = match part.card.footprint {
            halfrow_core::card::Footprint::Loose { reach } => f64::from(reach),
            _ => f64::INFINITY,
        };
        Some((other.hole?, reach))
    });
    // Once for all holes: every slip that is tried asks for free ones.
    let taken: Vec<Hole> = bench
        .legs()
        .filter_map(|(_, leg)| leg.hole)
        .filter(|hole| hole.board == strip.board && board.strip(*hole) == strip)
        .collect();
    let mut best: Option<(f64, Hole)> = None;
    for hole in board.holes_of(strip) {
        if taken.contains(&hole) {
            continue;
        }
        let far = bench.distance(near, hole).unwrap_or(f64::INFINITY);
        if other.is_some_and(|(other, reach)| bench.distance(other, hole).is_none_or(|d| d > reach)) {
            continue;
        }
        if best.is_none_or(|(least, _)| far < least) {
            best = Some((far, hole));
        }
    }
    best.map(|(_, hole)| hole)
}

/// What a student sees when no current can flow through these parts.
pub(crate) fn dead_symptom(bench: &Bench, parts: &[PartIx]) -> String {
    let lights: Vec<PartIx> =
        parts.iter().copied().filter(|&part| bench.part(part).card.group == Group::Light).collect();
    if !lights.is_empty() {
        return format!("{} {} dark.", names(bench, &lights), if lights.len() == 1 { "is" } else { "are" });
    }
    let others: Vec<PartIx> =
        parts.iter().copied().filter(|&part| !bench.part(part).card.is_wire()).collect();
    if others.is_empty() {
        return "Nothing happens.".to_owned();
    }
    format!("{} {} nothing.", names(bench, &others), if others.len() == 1 { "does" } else { "do" })
}

/// The other side.
pub(crate) fn opposite(side: Side) -> Side {
    if side == Side::Left { Side::Right } else { Side::Left }
}

/// The other sign.
pub(crate) fn other_sign(sign: Sign) -> Sign {
    if sign == Sign::Plus { Sign::Minus } else { Sign::Plus }
}

/// The sign that a wire's colour stands for: red +, black −.
pub(crate) fn wire_sign(bench: &Bench, part: PartIx) -> Option<Sign> {
    let it = bench.part(part);
    match (it.card.label)(it).as_str() {
        "red" if it.card.is_wire() => Some(Sign::Plus),
        "black" if it.card.is_wire() => Some(Sign::Minus),
        _ => None,
    }
}

/// `Move W3’s first end from h15 to g14, row 14, right half.`
pub(crate) fn move_leg(bench: &Bench, leg: LegId, to: Strip) -> String {
    let from = hole_of(bench, leg);
    let what = leg_again(bench, leg);
    match free_hole(bench, to, from, Some(leg)) {
        Some(free) => {
            format!("Move {what} from {from} to {free}, {}.", strip_name(bench, to))
        }
        None => {
            format!("Move {what} from {from} to {}; make a hole free there first.", strip_name(bench, to))
        }
    }
}
