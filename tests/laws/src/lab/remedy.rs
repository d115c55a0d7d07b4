//! A remedy followed to the letter: what its words say is done on a copy of the bench.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Place};
use halfrow_core::card::Value;
use halfrow_core::part::{Depth, Part, Turn};
use halfrow_core::parts;

/// The holes that a text names, in its order.
pub fn holes_in(text: &str) -> Vec<Hole> {
    let apart = |c: char| " ,;.():?".contains(c);
    text.split(apart).filter_map(Hole::parse).collect()
}

/// The bench after a remedy; `None` where its words are no move that can be followed without thinking.
pub fn followed(bench: &Bench, parts: &[PartIx], words: &str) -> Option<Bench> {
    let has = |what: &str| words.contains(what);
    if has("wap ") && has(" and ") && !has("lead") {
        return exchanged(bench, words);
    }
    if has("ove ") && (has(" row up") || has(" row down") || has(" rows up") || has(" rows down")) {
        return shifted(bench, parts, words);
    }
    if has("ove ") && (has(" from ") || has(" to ")) {
        return moved(bench, words);
    }
    if has("wire from ") {
        return wired(bench, words);
    }
    if has("half a turn") {
        return half_turned(bench, *parts.first()?);
    }
    if has("urn ") && has(" round") || has("wap the leads") || has("the other way round") {
        return turned(bench, *parts.first()?);
    }
    if has("Push ") {
        let hole = *holes_in(words).first()?;
        let mut bench = bench.clone();
        let leg = bench.occupant(hole)?;
        bench.parts[leg.part.0].legs[leg.pin].depth = Depth::Full;
        return Some(bench);
    }
    if has("Replace ") || has("meant") {
        return replaced(bench, *parts.first()?, words);
    }
    None
}

/// `Move D1’s long leg from e5 to …, g6 for instance`; with several moves, one after the other.
fn moved(bench: &Bench, words: &str) -> Option<Bench> {
    let from = words.find("ove ")?;
    let mut bench = bench.clone();
    let mut moves: Vec<(LegId, Hole)> = Vec::new();
    for step in words[from..].split("; ").flat_map(|it| it.split(", and ")) {
        let holes = holes_in(step);
        let (&from, &to) = (holes.first()?, holes.last()?);
        if from == to {
            return None;
        }
        moves.push((bench.occupant(from)?, to));
    }
    // All of them out first, so that legs may change places.
    for &(leg, _) in &moves {
        bench.parts[leg.part.0].legs[leg.pin].hole = None;
    }
    for (leg, to) in moves {
        bench.put_leg(leg, Some(to)).ok()?;
    }
    Some(bench)
}

/// `Swap W1’s end in a5 and W2’s end in a7`.
fn exchanged(bench: &Bench, words: &str) -> Option<Bench> {
    let holes = holes_in(words);
    let (&one, &two) = (holes.first()?, holes.get(1)?);
    let (a, b) = (bench.occupant(one)?, bench.occupant(two)?);
    let mut bench = bench.clone();
    bench.parts[a.part.0].legs[a.pin].hole = Some(two);
    bench.parts[b.part.0].legs[b.pin].hole = Some(one);
    bench.check().ok()?;
    Some(bench)
}

/// `Move U1 one row down`.
fn shifted(bench: &Bench, parts: &[PartIx], words: &str) -> Option<Bench> {
    let numbers = ["no", "one row", "two rows", "three rows", "four rows", "five rows", "six rows"];
    let rows = numbers.iter().rposition(|it| words.contains(it))? as i8;
    let rows = if words.contains(" up") { -rows } else { rows };
    let ix = *parts.first()?;
    let there = |hole: Hole| match hole.place {
        Place::Grid { row, column } => {
            Some(Hole { place: Place::Grid { row: row.checked_add_signed(rows)?, column }, ..hole })
        }
        Place::Rail { .. } => None,
    };
    let mut after = bench.clone();
    let it = bench.part(ix);
    if it.is_rigid() {
        after.place_rigid(ix, there(it.legs[0].hole?)?, it.turn).ok()?;
        return Some(after);
    }
    for pin in 0..it.legs.len() {
        after.put_leg(LegId { part: ix, pin }, None).ok()?;
    }
    for (pin, leg) in it.legs.iter().enumerate() {
        let (bench, _) = super::slips::put(&after, LegId { part: ix, pin }, there(leg.hole?)?)?;
        after = bench;
    }
    Some(after)
}

fn wired(bench: &Bench, words: &str) -> Option<Bench> {
    let mut bench = bench.clone();
    let part = PartIx(bench.parts.len());
    bench.parts.push(Part::new("W99", parts::card("wire")?));
    let holes = holes_in(words);
    for pin in 0..2 {
        bench.put_leg(LegId { part, pin }, Some(*holes.get(pin)?)).ok()?;
    }
    Some(bench)
}

fn half_turned(bench: &Bench, part: PartIx) -> Option<Bench> {
    let it = bench.part(part);
    let count = it.legs.len();
    let mut after = bench.clone();
    let turn = if it.turn == Turn::None { Turn::Half } else { Turn::None };
    let far = if it.card.chip { it.legs[count / 2].hole? } else { it.legs[count - 1].hole? };
    after.place_rigid(part, far, turn).ok()?;
    Some(after)
}

fn turned(bench: &Bench, part: PartIx) -> Option<Bench> {
    let it = bench.part(part);
    if it.is_rigid() {
        return half_turned(bench, part);
    }
    let mut after = bench.clone();
    let legs = &mut after.parts[part.0].legs;
    if legs.len() != 2 {
        return None;
    }
    (legs[0], legs[1]) = (legs[1], legs[0]);
    Some(after)
}

/// `was 220 Ω meant`, `Replace R3 with 4.7 kΩ`.
fn replaced(bench: &Bench, part: PartIx, words: &str) -> Option<Bench> {
    let at = words.find("was ").map(|at| at + 4).or(words.find("with ").map(|at| at + 5))?;
    let mut tokens = words[at..].split_whitespace();
    let number: f64 = tokens.next()?.parse().ok()?;
    let times = match tokens.next()?.chars().next()? {
        'k' => 1e3,
        'M' => 1e6,
        _ => 1.0,
    };
    let mut after = bench.clone();
    after.parts[part.0].set("ohms", Value::Number(number * times)).then_some(after)
}
