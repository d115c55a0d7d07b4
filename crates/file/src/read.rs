//! From the text of a bench file to a bench.

use halfrow_core::bench::{Bench, MAX_PARTS, PlaceError, is_name};
use halfrow_core::board::{Board, BoardKind, Hole, MAX_BOARDS, board_letter};
use halfrow_core::card::{Card, Footprint, Range, Value};
use halfrow_core::part::{Depth, Part, Turn};
use halfrow_core::parts;

use crate::error::{FileError, nearest};
use crate::title;
use crate::tree::{Tree, number};

/// The longest text that is read, in bytes. The fullest bench (300 parts) takes about a twentieth of
/// it; a text much longer would freeze a small laptop before it could be refused.
pub const MAX_TEXT_BYTES: usize = 1_000_000;

/// Reads a bench file: JSON in, a bench out that [`Bench::check`] finds nothing wrong with.
///
/// # Errors
/// The first thing that is wrong: with the JSON, the keys, the values, then the places of the parts.
pub fn read(text: &str) -> Result<Bench, FileError> {
    if text.len() > MAX_TEXT_BYTES {
        return Err(FileError::TooLong { bytes: text.len() });
    }
    let tree = Tree::parse(text)?;
    let file = Fields::of("the file", &tree)?;
    // The version first: a file of a newer version may well have keys that are unknown here.
    let version = version(file.need("halfrow")?)?;
    let known = ["halfrow", "title", "boards", "taps", AS_BOUGHT, RUN_DOWN, "parts", "meters", "lesson"];
    let newer = ["meters", "lesson", AS_BOUGHT, RUN_DOWN];
    if version == 1
        && let Some(key) = newer.into_iter().find(|key| file.get(key).is_some())
    {
        return Err(FileError::NeedsVersion { key, version: 2 });
    }
    file.only(&known)?;

    let mut bench = Bench { boards: Vec::new(), ..Bench::new(BoardKind::Half) };
    if let Some(tree) = file.get("title") {
        let text = text_of("title", tree)?;
        title::check(text)?;
        text.clone_into(&mut bench.title);
    }
    bench.boards = boards(file.need("boards")?)?;
    if let Some(tree) = file.get("taps") {
        bench.taps = taps(tree)?;
    }
    bench.as_bought = file.get(AS_BOUGHT).map(as_bought).transpose()?;
    match file.get(RUN_DOWN) {
        None => {}
        Some(Tree::Flag(on)) => bench.batteries_run_down = *on,
        Some(other) => return Err(wrong(RUN_DOWN, other, "true or false")),
    }
    let Tree::List(listed) = file.need("parts")? else {
        return Err(wrong("parts", file.need("parts")?, "a list of parts"));
    };
    if listed.len() > MAX_PARTS {
        let error = PlaceError::TooManyParts { found: listed.len() };
        return Err(FileError::Place { path: "parts".to_owned(), error });
    }
    let mut paths = Vec::with_capacity(listed.len());
    for (index, tree) in listed.iter().enumerate() {
        let (path, part) = part(&bench, index, tree)?;
        paths.push(path);
        bench.parts.push(part);
    }
    check(&bench, &paths, "pins.")?;
    if let Some(tree) = file.get("meters") {
        bench.meters = crate::meters::read(&bench, tree)?;
    }
    if let Some(tree) = file.get("lesson") {
        bench.lesson = crate::lesson::read(tree)?;
    }
    Ok(bench)
}

/// [`Bench::check`], with the place in the text put before what it says. `paths` has one entry a
/// part; a pin stands in the text as its name after `pin_prefix`.
pub(crate) fn check(bench: &Bench, paths: &[String], pin_prefix: &str) -> Result<(), FileError> {
    bench.check().map_err(|error| {
        let (id, pin) = match &error {
            PlaceError::NoSuchHole { id, pin, .. } | PlaceError::Taken { id, pin, .. } => {
                (Some(id), Some(*pin))
            }
            PlaceError::BadId { id }
            | PlaceError::SameId { id }
            | PlaceError::NoHoleUnder { id, .. }
            | PlaceError::TooFar { id, .. } => (Some(id), None),
            PlaceError::BoardCount { .. } | PlaceError::TooManyParts { .. } => (None, None),
        };
        // Of two parts with one name the later is the one to rename.
        let index = id.and_then(|id| bench.parts.iter().rposition(|part| part.id == *id));
        let path = match (index, pin) {
            (Some(index), Some(pin)) if !bench.parts[index].is_rigid() => {
                format!("{} {pin_prefix}{pin}", paths[index])
            }
            (Some(index), _) => paths[index].clone(),
            (None, _) => "the file".to_owned(),
        };
        FileError::Place { path, error }
    })
}

pub(crate) fn version(tree: &Tree) -> Result<u32, FileError> {
    match tree {
        Tree::Number(x) if (1..=crate::VERSION).any(|known| *x == f64::from(known)) => Ok(*x as u32),
        Tree::Number(x) if *x > f64::from(crate::VERSION) => Err(FileError::Newer { version: number(*x) }),
        other => Err(FileError::Version { key: "halfrow", current: 1, found: other.in_words() }),
    }
}

/// The key of the number that parts as bought are drawn from.
pub(crate) const AS_BOUGHT: &str = "as_bought";

/// The key that lets batteries run down.
pub(crate) const RUN_DOWN: &str = "batteries_run_down";

fn as_bought(tree: &Tree) -> Result<u32, FileError> {
    let wanted = || format!("a whole number from 1 to {}", u32::MAX);
    match tree {
        Tree::Number(x) if x.fract() == 0.0 && (1.0..=f64::from(u32::MAX)).contains(x) => Ok(*x as u32),
        Tree::Number(x) => {
            Err(FileError::OutOfRange { path: AS_BOUGHT.to_owned(), found: number(*x), wanted: wanted() })
        }
        other => Err(wrong(AS_BOUGHT, other, &wanted())),
    }
}

fn taps(tree: &Tree) -> Result<u32, FileError> {
    let wanted = || format!("a whole number from 0 to {}", u32::MAX);
    match tree {
        Tree::Number(x) if x.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(x) => Ok(*x as u32),
        Tree::Number(x) => {
            Err(FileError::OutOfRange { path: "taps".to_owned(), found: number(*x), wanted: wanted() })
        }
        other => Err(wrong("taps", other, &wanted())),
    }
}

fn boards(tree: &Tree) -> Result<Vec<Board>, FileError> {
    let Tree::List(listed) = tree else { return Err(wrong("boards", tree, "a list of boards")) };
    if listed.is_empty() || listed.len() > MAX_BOARDS {
        let error = PlaceError::BoardCount { found: listed.len() };
        return Err(FileError::Place { path: "boards".to_owned(), error });
    }
    let board = |(index, tree)| {
        let path = format!("boards[{index}]");
        let fields = Fields::of(&path, tree)?;
        fields.only(&["id", "kind", "split_rails"])?;
        let letter = board_letter(index as u8);
        let id = fields.need("id")?;
        if !matches!(id, Tree::Text(text) if text.chars().eq([letter])) {
            let path = format!("{path}.id");
            return Err(FileError::BoardId { path, found: id.in_words(), wanted: letter });
        }
        let word = text_of(&format!("{path}.kind"), fields.need("kind")?)?;
        let kind = BoardKind::from_word(word).ok_or_else(|| {
            unknown_word(&format!("{path}.kind"), word, BoardKind::ALL.map(BoardKind::word))
        })?;
        let split_rails = match fields.get("split_rails") {
            None => false,
            Some(Tree::Flag(split)) => *split,
            Some(other) => return Err(wrong(&format!("{path}.split_rails"), other, "true or false")),
        };
        Ok(Board { kind, split_rails })
    };
    listed.iter().enumerate().map(board).collect()
}

/// One part, and where it stands in the file.
pub(crate) fn part(bench: &Bench, index: usize, tree: &Tree) -> Result<(String, Part), FileError> {
    let bare = format!("parts[{index}]");
    let path = match name_of(tree) {
        Some(id) => format!("{bare} ({id})"),
        None => bare.clone(),
    };
    let fields = Fields::of(&path, tree)?;
    let id_path = format!("{bare}.id");
    let id = name(&id_path, text_of(&id_path, fields.need("id")?)?)?;
    let card = card(&format!("{path} kind"), text_of(&format!("{path} kind"), fields.need("kind")?)?)?;
    let rigid = matches!(card.footprint, Footprint::Rigid { .. });
    let where_keys: &[&str] = if rigid { &["pin1", "turn", "depth"] } else { &["pins", "depth"] };
    let known: Vec<&str> = ["id", "kind"]
        .into_iter()
        .chain(card.params.iter().map(|param| param.key))
        .chain(where_keys.iter().copied())
        .collect();
    fields.only(&known)?;

    let mut part = Part::new(id, card);
    for (param, slot) in card.params.iter().zip(&mut part.values) {
        if let Some(tree) = fields.get(param.key) {
            *slot = value(&format!("{path} {}", param.key), &param.range, tree)?;
        }
    }
    if rigid {
        let pin1 = match fields.get("pin1") {
            None => None,
            Some(tree) => hole(&format!("{path} pin1"), tree)?,
        };
        let turn = match fields.get("turn") {
            None => Turn::None,
            Some(tree) => turn(&format!("{path} turn"), tree)?,
        };
        stand(bench, &mut part, pin1, turn)
            .map_err(|error| FileError::Place { path: path.clone(), error })?;
    } else if let Some(tree) = fields.get("pins") {
        for (pin, key, tree) in pins(&format!("{path} pins"), card, tree)? {
            part.legs[pin].hole = hole(&format!("{path} pins.{key}"), tree)?;
        }
    }
    if let Some(tree) = fields.get("depth") {
        for (pin, key, tree) in pins(&format!("{path} depth"), card, tree)? {
            let path = format!("{path} depth.{key}");
            part.legs[pin].depth = depth(&path, text_of(&path, tree)?)?;
        }
    }
    Ok((path, part))
}

/// The name of a part that may yet turn out to be wrong, for the place in a message.
fn name_of(tree: &Tree) -> Option<&str> {
    let Tree::Object(pairs) = tree else { return None };
    pairs.iter().find_map(|(key, tree)| match tree {
        Tree::Text(id) if key == "id" && is_name(id) => Some(id.as_str()),
        _ => None,
    })
}

/// An object with a pin's name for each key: index of the pin, its name, what stands there.
fn pins<'a>(
    path: &str,
    card: &'static Card,
    tree: &'a Tree,
) -> Result<Vec<(usize, &'static str, &'a Tree)>, FileError> {
    let fields = Fields::of(path, tree)?;
    let names: Vec<&str> = card.pins.iter().map(|pin| pin.name).collect();
    fields.only(&names)?;
    let given = card.pins.iter().enumerate();
    Ok(given.filter_map(|(index, pin)| Some((index, pin.name, fields.get(pin.name)?))).collect())
}

/// A part's name.
pub(crate) fn name<'a>(path: &str, id: &'a str) -> Result<&'a str, FileError> {
    if is_name(id) {
        return Ok(id);
    }
    let id = crate::error::shown(id);
    Err(FileError::Place { path: path.to_owned(), error: PlaceError::BadId { id } })
}

/// The card of a kind.
pub(crate) fn card(path: &str, kind: &str) -> Result<&'static Card, FileError> {
    parts::card(kind).ok_or_else(|| unknown_word(path, kind, parts::CARDS.iter().map(|card| card.kind)))
}

/// A depth by its word.
pub(crate) fn depth(path: &str, word: &str) -> Result<Depth, FileError> {
    Depth::from_word(word).ok_or_else(|| unknown_word(path, word, Depth::ALL.map(Depth::word)))
}

/// A hole's name, or null for a leg in the air.
pub(crate) fn hole(path: &str, tree: &Tree) -> Result<Option<Hole>, FileError> {
    match tree {
        Tree::Null => Ok(None),
        Tree::Text(name) => Hole::parse(name)
            .map(Some)
            .ok_or_else(|| FileError::NoHole { path: path.to_owned(), name: name.clone() }),
        other => Err(wrong(path, other, "a hole’s name such as \"e12\", or null")),
    }
}

/// A quarter turn in degrees.
pub(crate) fn turn(path: &str, tree: &Tree) -> Result<Turn, FileError> {
    const WANTED: &str = "0, 90, 180 or 270";
    match tree {
        Tree::Number(degrees) => Turn::from_degrees(*degrees).ok_or_else(|| FileError::OutOfRange {
            path: path.to_owned(),
            found: number(*degrees),
            wanted: WANTED.to_owned(),
        }),
        other => Err(wrong(path, other, WANTED)),
    }
}

/// Puts a stiff part down as a file says; one without a hole for pin 1 stays in the air.
pub(crate) fn stand(
    bench: &Bench,
    part: &mut Part,
    pin1: Option<Hole>,
    turn: Turn,
) -> Result<(), PlaceError> {
    part.turn = turn;
    pin1.map_or(Ok(()), |pin1| bench.stand(part, pin1, turn))
}

/// A parameter's value.
pub(crate) fn value(path: &str, range: &Range, tree: &Tree) -> Result<Value, FileError> {
    let value = match (range, tree) {
        (Range::Number { .. }, Tree::Number(x)) => Value::Number(*x),
        // A fraction has no neighbour that would be meant: it is outside the limits too.
        (Range::Whole { .. }, Tree::Number(x)) => {
            let n = *x as u8;
            if f64::from(n) != *x {
                return Err(out_of_range(path, range, *x));
            }
            Value::Whole(n)
        }
        (Range::Choice { options, .. }, Tree::Text(_) | Tree::Number(_)) => {
            let word = match tree {
                Tree::Text(word) => word.clone(),
                // "5" per cent may as well be written without quotes.
                Tree::Number(x) => number(*x),
                _ => String::new(),
            };
            match options.iter().position(|option| option.word == word) {
                Some(index) => Value::Choice(index as u8),
                None => return Err(unknown_word(path, &word, options.iter().map(|option| option.word))),
            }
        }
        (Range::Flag { .. }, Tree::Flag(on)) => Value::Flag(*on),
        (range, other) => return Err(wrong(path, other, &wanted(range))),
    };
    match tree {
        Tree::Number(x) if !range.allows(value) => Err(out_of_range(path, range, *x)),
        _ => Ok(value),
    }
}

fn out_of_range(path: &str, range: &Range, x: f64) -> FileError {
    FileError::OutOfRange { path: path.to_owned(), found: number(x), wanted: wanted(range) }
}

/// What a parameter can be, in words.
fn wanted(range: &Range) -> String {
    match range {
        Range::Number { unit, min, max, .. } => {
            // A share is shown in per cent but written from 0 to 1.
            let unit = match unit {
                halfrow_core::card::Unit::Share => "",
                unit => unit.symbol(),
            };
            format!("a number from {} to {} {unit}", number(*min), number(*max)).trim_end().to_owned()
        }
        Range::Whole { min, max, .. } => format!("a whole number from {min} to {max}"),
        Range::Choice { options, .. } => {
            let words: Vec<&str> = options.iter().map(|option| option.word).collect();
            format!("one of the words {}", words.join(", "))
        }
        Range::Flag { .. } => "true or false".to_owned(),
    }
}

pub(crate) fn wrong(path: &str, found: &Tree, wanted: &str) -> FileError {
    FileError::WrongType { path: path.to_owned(), found: found.in_words(), wanted: wanted.to_owned() }
}

pub(crate) fn text_of<'a>(path: &str, tree: &'a Tree) -> Result<&'a str, FileError> {
    match tree {
        Tree::Text(text) => Ok(text),
        other => Err(wrong(path, other, "a text in quotes")),
    }
}

/// A word that is none of the known ones.
pub(crate) fn unknown_word<'a>(
    path: &str,
    word: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> FileError {
    let known: Vec<String> = known.into_iter().map(str::to_owned).collect();
    let nearest = nearest(word, known.iter().map(String::as_str));
    FileError::UnknownWord { path: path.to_owned(), word: word.to_owned(), nearest, known }
}

/// A key that is none of the known ones.
pub(crate) fn unknown_key(path: &str, key: &str, known: &[&str]) -> FileError {
    FileError::UnknownKey {
        path: path.to_owned(),
        key: key.to_owned(),
        nearest: nearest(key, known.iter().copied()),
        known: known.iter().map(|&key| key.to_owned()).collect(),
    }
}

/// An object whose keys stand there once each.
pub(crate) struct Fields<'p, 'a> {
    path: &'p str,
    pairs: &'a [(String, Tree)],
}

impl<'p, 'a> Fields<'p, 'a> {
    pub(crate) fn of(path: &'p str, tree: &'a Tree) -> Result<Fields<'p, 'a>, FileError> {
        let Tree::Object(pairs) = tree else { return Err(wrong(path, tree, "an object in braces")) };
        let mut keys: Vec<&str> = pairs.iter().map(|(key, _)| key.as_str()).collect();
        keys.sort_unstable();
        match keys.windows(2).find(|pair| pair[0] == pair[1]) {
            Some(pair) => Err(FileError::SameKey { path: path.to_owned(), key: pair[0].to_owned() }),
            None => Ok(Fields { path, pairs }),
        }
    }

    /// Refuses any key but these.
    pub(crate) fn only(&self, known: &[&str]) -> Result<(), FileError> {
        match self.pairs.iter().find(|(key, _)| !known.contains(&key.as_str())) {
            Some((key, _)) => Err(unknown_key(self.path, key, known)),
            None => Ok(()),
        }
    }

    pub(crate) fn get(&self, key: &str) -> Option<&'a Tree> {
        self.pairs.iter().find(|(other, _)| other == key).map(|(_, tree)| tree)
    }

    pub(crate) fn need(&self, key: &'static str) -> Result<&'a Tree, FileError> {
        self.get(key).ok_or_else(|| FileError::Missing { path: self.path.to_owned(), key })
    }
}
