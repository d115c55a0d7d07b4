//! The wiring list: the bench as text, one part a line.
//!
//! ```text
//! # name kind, then key=value in any order; what follows a # is a remark
//! R1 resistor ohms=4.7k 1=L+5 2=b5
//! D1 led A=e5/barely K=-
//! S1 slide-switch to=3 pin1=c10 turn=90 2=/out
//! ```
//!
//! A meter has a line too, after the parts: `meter1 multimeter dial=dc-20v red=c16 black=g16`, with the keys
//! of the bench file. A list without one leaves the meters as they are.
//!
//! A value has the card's key, and its number may end in a prefix from `p` to `G`; a leg its pin's name
//! and a hole, `-` in the air, and after a slash how far it is in. A stiff part gives the hole of pin 1
//! and its turn; the holes of the others follow, so that only their depth can be told. Words stand apart by spaces or tabs: a column of a table
//! pastes as well. Boards, title and taps are not in the list; they stay as they are.

use halfrow_core::bench::{Bench, MAX_PARTS, PlaceError};
use halfrow_core::card::Unit::{self, Amp, Farad, Henry, Hertz, Ohm, Volt};
use halfrow_core::card::{Range, Value};
use halfrow_core::number;
use halfrow_core::part::{Depth, Part, Turn};

use crate::error::FileError;
use crate::meters;
use crate::read::{self, MAX_TEXT_BYTES};
use crate::tree::Tree;
use crate::write::word;

/// The wiring list of a bench: of each part what it was bought as (its ohms, its colour), and of all else
/// what is not as the card has it. [`from_text`] reads it back.
pub fn to_text(bench: &Bench) -> String {
    let parts = bench.parts.iter().map(line);
    let meters = bench.meters.iter().enumerate().map(|(index, it)| meters::line(bench, index, it));
    parts.chain(meters).map(|line| line + "\n").collect()
}

/// The line of one part.
pub fn line(part: &Part) -> String {
    let mut words = vec![part.id.clone(), part.card.kind.to_owned()];
    for (index, (param, &value)) in part.card.params.iter().zip(&part.values).enumerate() {
        if (index == 0 && !param.live) || value != param.range.default_value() {
            words.push(format!("{}={}", param.key, in_list(&param.range, value)));
        }
    }
    let rigid = part.is_rigid();
    let hole = |pin: usize| part.legs[pin].hole.map_or("-".to_owned(), |hole| hole.to_string());
    if rigid {
        words.push(format!("pin1={}", hole(0)));
        if part.turn != Turn::None {
            words.push(format!("turn={}", part.turn.degrees()));
        }
    }
    for (pin, (it, leg)) in part.card.pins.iter().zip(&part.legs).enumerate() {
        let hole = if rigid { String::new() } else { hole(pin) };
        match leg.depth {
            Depth::Full if rigid => {}
            Depth::Full => words.push(format!("{}={hole}", it.name)),
            shallow => words.push(format!("{}={hole}/{}", it.name, shallow.word())),
        }
    }
    words.join(" ")
}

/// Reads a wiring list on to the boards of `base`, whose title, taps and lesson stay too; its parts go, and
/// so do its meters where the list has any.
///
/// # Errors
/// The first thing that is wrong, with its line.
pub fn from_text(text: &str, base: &Bench) -> Result<Bench, FileError> {
    if text.len() > MAX_TEXT_BYTES {
        return Err(FileError::TooLong { bytes: text.len() });
    }
    let lines: Vec<(usize, &str)> = text
        .strip_prefix('\u{feff}')
        .unwrap_or(text)
        .lines()
        .enumerate()
        .map(|(index, line)| (index + 1, line.split('#').next().unwrap_or_default().trim()))
        .filter(|(_, line)| !line.is_empty())
        .collect();
    let is_meter = |line: &str| line.split_whitespace().nth(1) == Some(meters::KIND);
    let (metered, lines): (Vec<_>, Vec<_>) = lines.into_iter().partition(|(_, line)| is_meter(line));
    if let Some((number, _)) = lines.get(MAX_PARTS) {
        let error = PlaceError::TooManyParts { found: lines.len() };
        return Err(FileError::Place { path: format!("line {number}"), error });
    }
    let mut bench = Bench { parts: Vec::new(), ..base.clone() };
    let mut paths = Vec::with_capacity(lines.len());
    for (number, line) in lines {
        let (path, part) = part(&bench, number, line)?;
        paths.push(path);
        bench.parts.push(part);
    }
    read::check(&bench, &paths, "")?;
    if !metered.is_empty() {
        bench.meters = meters::from_lines(&bench, &metered)?;
    }
    Ok(bench)
}

/// The part of one line, and where it stands: `line 3 (R1)`.
fn part(bench: &Bench, number: usize, line: &str) -> Result<(String, Part), FileError> {
    let bare = format!("line {number}");
    let mut words = line.split_whitespace();
    let id = read::name(&bare, words.next().unwrap_or_default())?;
    let path = format!("{bare} ({id})");
    let kind = words.next().ok_or_else(|| FileError::NoKind { path: path.clone() })?;
    let card = read::card(&path, kind)?;
    let mut part = Part::new(id, card);
    let rigid = part.is_rigid();
    let (mut pin1, mut turn) = (None, Turn::None);
    // At most the keys that a card knows: the first that it doesn't know ends the walk.
    let mut seen: Vec<&str> = Vec::new();
    for word in words {
        let (key, value) = word
            .split_once('=')
            .ok_or_else(|| FileError::NoEquals { path: path.clone(), word: word.to_owned() })?;
        let at = format!("{path} {}", crate::error::shown(key));
        if seen.contains(&key) {
            return Err(FileError::SameKey { path, key: key.to_owned() });
        }
        seen.push(key);
        if let Some(index) = card.param(key) {
            let range = &card.params[index].range;
            part.values[index] = read::value(&at, range, &tree(range, value))?;
        } else if rigid && key == "pin1" {
            pin1 = hole(&at, value)?;
        } else if rigid && key == "turn" {
            turn = read::turn(&at, &number_or_text(value))?;
        } else if let Some(pin) = card.pin(key) {
            let (name, depth) = match value.split_once('/') {
                Some((name, depth)) => (name, read::depth(&at, depth)?),
                None => (value, Depth::Full),
            };
            part.legs[pin].depth = depth;
            if !rigid {
                part.legs[pin].hole = hole(&at, name)?;
            } else if !name.is_empty() {
                return Err(FileError::StiffPin { path: at, pin: card.pins[pin].name });
            }
        } else {
            let mut known: Vec<&str> = card.params.iter().map(|param| param.key).collect();
            if rigid {
                known.extend(["pin1", "turn"]);
            }
            known.extend(card.pins.iter().map(|pin| pin.name));
            return Err(read::unknown_key(&path, key, &known));
        }
    }
    if rigid {
        read::stand(bench, &mut part, pin1, turn)
            .map_err(|error| FileError::Place { path: path.clone(), error })?;
    }
    Ok((path, part))
}

fn hole(path: &str, name: &str) -> Result<Option<halfrow_core::board::Hole>, FileError> {
    let air = matches!(name, "-" | "\u{2212}" | "–");
    read::hole(path, &if air { Tree::Null } else { Tree::Text(name.to_owned()) })
}

/// A value as the list has it: `47k`, `10n`; the same digits as in a file.
fn in_list(range: &Range, value: Value) -> String {
    let prefixed = match (range, value) {
        (Range::Number { unit: Ohm | Volt | Amp | Farad | Henry | Hertz, .. }, Value::Number(x)) => {
            number::exact(x)
        }
        _ => None,
    };
    prefixed.unwrap_or_else(|| word(range, value))
}

/// A word as the value that a parameter of this range would have in a file.
fn tree(range: &Range, word: &str) -> Tree {
    match (range, word) {
        (&Range::Number { unit, .. }, _) if unit != Unit::Share || word.ends_with('%') => {
            number::read(word, unit).map_or_else(|| Tree::Text(word.to_owned()), Tree::Number)
        }
        (Range::Number { .. } | Range::Whole { .. }, _) => number_or_text(word),
        (Range::Flag { .. }, "true") => Tree::Flag(true),
        (Range::Flag { .. }, "false") => Tree::Flag(false),
        _ => Tree::Text(word.to_owned()),
    }
}

fn number_or_text(word: &str) -> Tree {
    number::read_bare(word).map_or_else(|| Tree::Text(word.to_owned()), Tree::Number)
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::parts;

    #[test]
    fn numbers_stand_with_their_prefixes_and_units_are_read_where_they_fit() {
        let ohms = &parts::card("resistor").unwrap().params[0].range;
        assert_eq!(in_list(ohms, Value::Number(4700.0)), "4.7k");
        assert_eq!(in_list(ohms, Value::Number(470.0)), "470");
        for text in ["4.7k", "4k7", "4700", "4.7kΩ", "4,7k"] {
            assert_eq!(tree(ohms, text), Tree::Number(4700.0), "{text}");
        }
        for text in ["k", "4.7kk", "12x", "1e3k", "5V"] {
            assert_eq!(tree(ohms, text), Tree::Text(text.to_owned()), "{text}");
        }
        let charge = &parts::card("battery").unwrap().params[2].range;
        for text in ["0.7", "70%"] {
            assert_eq!(tree(charge, text), Tree::Number(0.7), "{text}");
        }
    }
}
