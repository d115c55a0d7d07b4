//! What can be wrong with a text that should hold a bench.

use std::fmt;

use halfrow_core::bench::PlaceError;

use crate::json::TOO_LARGE;
use crate::read::MAX_TEXT_BYTES;
use crate::title::{MAX_TITLE_CHARS, refused};

/// Why a text gives no bench. `path` says where: `parts[3] (R1) pins.2` in a file (counted from 0),
/// `line 4 (R1) 2` in a wiring list.
#[derive(Clone, Debug, PartialEq)]
pub enum FileError {
    /// Longer than [`MAX_TEXT_BYTES`].
    TooLong {
        /// Its length.
        bytes: usize,
    },
    /// Nothing in it.
    Empty,
    /// It does not begin as a file does.
    NoFile {
        /// How it begins.
        begins: String,
    },
    /// Broken JSON.
    NotJson {
        /// Line from 1.
        line: usize,
        /// Column from 1.
        column: usize,
        /// What the parser found.
        says: &'static str,
    },
    /// Something of the wrong sort: a text where a number belongs.
    WrongType {
        /// Where.
        path: String,
        /// What stands there.
        found: String,
        /// What belongs there.
        wanted: String,
    },
    /// A key that must be there and is not.
    Missing {
        /// Where.
        path: String,
        /// The key.
        key: &'static str,
    },
    /// A key twice in one object.
    SameKey {
        /// Where.
        path: String,
        /// The key.
        key: String,
    },
    /// A key that means nothing here.
    UnknownKey {
        /// Where.
        path: String,
        /// The key.
        key: String,
        /// The known key that looks most like it.
        nearest: Option<String>,
        /// All keys that may stand there.
        known: Vec<String>,
    },
    /// A word that is none of those that may stand there.
    UnknownWord {
        /// Where.
        path: String,
        /// The word.
        word: String,
        /// The word that looks most like it.
        nearest: Option<String>,
        /// All words that may stand there.
        known: Vec<String>,
    },
    /// A number outside its limits.
    OutOfRange {
        /// Where.
        path: String,
        /// The number.
        found: String,
        /// What may stand there.
        wanted: String,
    },
    /// Written by a version to come.
    Newer {
        /// Its number.
        version: String,
    },
    /// The version is no version.
    Version {
        /// The key at which the version stands: `halfrow` in a bench file.
        key: &'static str,
        /// What Halfrow writes there.
        current: u32,
        /// What stands there.
        found: String,
    },
    /// A word that is no hole's name.
    NoHole {
        /// Where.
        path: String,
        /// The word.
        name: String,
    },
    /// A board's letter out of order.
    BoardId {
        /// Where.
        path: String,
        /// What stands there.
        found: String,
        /// The letter that belongs there.
        wanted: char,
    },
    /// Longer than [`MAX_TITLE_CHARS`].
    TitleTooLong {
        /// Its length.
        chars: usize,
    },
    /// A character that a title must not hold.
    TitleCharacter {
        /// Which character, from 1.
        position: usize,
        /// The character.
        found: char,
    },
    /// The parts can't stand on the boards like that.
    Place {
        /// Where.
        path: String,
        /// What is wrong.
        error: PlaceError,
    },
    /// The link itself is damaged.
    Link(LinkFault),
    /// A line of a wiring list without a name and a kind.
    NoKind {
        /// Where.
        path: String,
    },
    /// A hole for a pin of a stiff part, whose holes follow from pin 1.
    StiffPin {
        /// Where.
        path: String,
        /// The pin.
        pin: &'static str,
    },
    /// A key of a later version in a file that says it is older.
    NeedsVersion {
        /// The key.
        key: &'static str,
        /// The version that has it.
        version: u32,
    },
    /// A meter's tip is nowhere on the bench.
    NoTip {
        /// Where.
        path: String,
        /// What stands there.
        word: String,
    },
    /// Both leads of a meter in one socket.
    SameSocket {
        /// Where.
        path: String,
        /// Which socket.
        socket: String,
    },
    /// A word of a wiring list that is not `key=value`.
    NoEquals {
        /// Where.
        path: String,
        /// The word.
        word: String,
    },
}

/// What is wrong with a link before its bench is even read.
#[derive(Clone, Debug, PartialEq)]
pub enum LinkFault {
    /// It holds no bench at all.
    NoBench,
    /// Packed by a version to come.
    Newer {
        /// Its number.
        version: String,
    },
    /// A character that no link holds.
    Character {
        /// Which character of the packed bench, from 1.
        position: usize,
        /// The character.
        found: char,
    },
    /// Cut short or altered.
    Damaged,
    /// It unpacks to more than [`MAX_TEXT_BYTES`].
    TooLong,
    /// What it unpacks to is no text.
    NoText,
}

/// Where, and what is wrong there. Both name the part, and mostly the pin: it is said once.
fn place(f: &mut fmt::Formatter<'_>, path: &str, words: &str) -> fmt::Result {
    if let Some((who, rest)) = words.split_once(": ") {
        let (id, pin) = who.split_at(who.find(' ').unwrap_or(who.len()));
        if path.ends_with(&format!("({id})")) {
            return write!(f, "{path}{pin}: {rest}");
        }
        if path.contains(&format!("({id}) ")) {
            return write!(f, "{path}: {rest}");
        }
    }
    write!(f, "{path}: {words}")
}

/// Somebody else's text as a message may quote it: short, on one line, nothing that reorders.
pub(crate) fn shown(text: &str) -> String {
    const LONGEST: usize = 32;
    let mut short: String =
        text.chars().take(LONGEST).map(|c| if refused(c) { '\u{fffd}' } else { c }).collect();
    if text.chars().nth(LONGEST).is_some() {
        short.push('…');
    }
    short
}

/// The known word that looks most like `word`, when one looks like it at all.
pub(crate) fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    // Longer than any known word and its likely slips: comparing would only cost time.
    if word.len() > 40 {
        return None;
    }
    let word = word.to_ascii_lowercase();
    known
        .into_iter()
        .map(|other| (distance(&word, &other.to_ascii_lowercase()), other))
        .min_by_key(|&(distance, _)| distance)
        .filter(|&(distance, other)| {
            distance <= 1 + other.chars().count() / 4 && distance < other.chars().count()
        })
        .map(|(_, other)| other.to_owned())
}

/// Levenshtein distance: single letters added, dropped or swapped for another.
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, &to) in b.iter().enumerate() {
            let changed = diagonal + usize::from(from != to);
            diagonal = row[j + 1];
            row[j + 1] = changed.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}

/// The most words that a message lists: it has to fit on a screen.
const MOST_LISTED: usize = 12;

/// `Did you mean “ohms”?`, and what may stand there.
fn suggestion(f: &mut fmt::Formatter<'_>, nearest: Option<&String>, known: &[String]) -> fmt::Result {
    if let Some(nearest) = nearest {
        write!(f, "Did you mean “{nearest}”? ")?;
    }
    if known.is_empty() {
        return f.write_str("There’s nothing to set here.");
    }
    let more = known.len().saturating_sub(MOST_LISTED);
    write!(f, "Known here: {}", known[..known.len() - more].join(", "))?;
    if more > 0 { write!(f, " and {more} more.") } else { f.write_str(".") }
}

impl fmt::Display for FileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FileError::TooLong { bytes } => write!(
                f,
                "This text is {bytes} bytes long; a bench has at most {MAX_TEXT_BYTES}. Is it the right file?"
            ),
            FileError::Empty => write!(f, "The file is empty. Is it the right one?"),
            FileError::NoFile { begins } => write!(
                f,
                "This begins with “{}”, but a Halfrow file begins with {{. Is it the right file?",
                shown(begins)
            ),
            FileError::NotJson { line, column, says } if *says == TOO_LARGE => {
                write!(
                    f,
                    "Line {line}, column {column}: this number is too large for any part. Check its zeros."
                )
            }
            FileError::NotJson { line, column, says } => write!(
                f,
                "Line {line}, column {column}: this can’t be read as JSON ({says}). \
                 Look there for a missing comma, quote or bracket."
            ),
            FileError::Newer { version } => write!(
                f,
                "This bench was made by a newer Halfrow (file version {version}; this Halfrow reads {}). \
                 Open it with that one or a later one.",
                crate::VERSION
            ),
            FileError::TitleTooLong { chars } => {
                write!(f, "title: {chars} characters are too many. Shorten it to {MAX_TITLE_CHARS}.")
            }
            FileError::TitleCharacter { position, found } => write!(
                f,
                "title: character {position} (U+{:04X}) is a control character. Take it out.",
                u32::from(*found)
            ),
            FileError::Place { path, error } => place(f, path, &error.to_string()),
            FileError::Link(fault) => fault.fmt(f),
            _ => self.write_place(f),
        }
    }
}

impl FileError {
    /// The words for what is wrong at one place of the file.
    fn write_place(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FileError::WrongType { path, found, wanted } => {
                write!(f, "{path}: this needs {wanted}, not {found}.")
            }
            FileError::Missing { path, key: "halfrow" } if path == "the file" => write!(
                f,
                "This is JSON, but not a bench: “halfrow” is missing. Add \"halfrow\": 1 at the top."
            ),
            FileError::Missing { path, key } => write!(f, "{path}: “{key}” is missing. Add it."),
            FileError::SameKey { path, key } => {
                write!(f, "{path}: “{}” is there twice. Take one out.", shown(key))
            }
            FileError::UnknownKey { path, key, nearest, known } => {
                write!(f, "{path}: “{}” means nothing here. ", shown(key))?;
                suggestion(f, nearest.as_ref(), known)
            }
            FileError::UnknownWord { path, word, nearest, known } => {
                write!(f, "{path}: Halfrow doesn’t know “{}”. ", shown(word))?;
                suggestion(f, nearest.as_ref(), known)
            }
            FileError::OutOfRange { path, found, wanted } => {
                write!(f, "{path}: {found} is out of range. Use {wanted}.")
            }
            FileError::Version { key, current, found } => {
                write!(f, "{key}: {found} isn’t a file version. Write \"{key}\": {current}.")
            }
            FileError::NoHole { path, name } => write!(
                f,
                "{path}: “{}” isn’t a hole. Holes are called e12, L+7 or R-7, and B:e12 on a second board.",
                shown(name)
            ),
            FileError::BoardId { path, found, wanted } => write!(
                f,
                "{path}: this should be “{wanted}”, not {found}. Boards are called A, B, C, D in order."
            ),
            FileError::NoKind { path } => {
                write!(f, "{path}: a line begins with a name and a kind, for example: R1 resistor 1=a1 2=a5")
            }
            FileError::StiffPin { path, pin } => write!(
                f,
                "{path}: this part is stiff, so pin1 and turn already say where its pins go. \
                 To set only the depth, write {pin}=/barely or {pin}=/out."
            ),
            FileError::NeedsVersion { key, version } => {
                write!(f, "“{key}” belongs to version {version} of the file. Write \"halfrow\": {version}.")
            }
            FileError::NoTip { path, word } => write!(
                f,
                "{path}: “{}” isn’t on this bench. A tip touches a hole such as c16 or a leg such as R1.1.",
                shown(word)
            ),
            FileError::SameSocket { path, socket } => write!(
                f,
                "{path}: both leads are in the socket {socket}. Only one plug fits; move one of them."
            ),
            FileError::NoEquals { path, word } => write!(
                f,
                "{path}: “{}” should look like key=value, for example ohms=220 or 1=b5.",
                shown(word)
            ),
            // The others speak of the file as a whole.
            _ => Ok(()),
        }
    }
}

impl fmt::Display for LinkFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LinkFault::NoBench => {
                write!(f, "This link has no bench in it. Copy it again, with everything after the # sign.")
            }
            LinkFault::Newer { version } => write!(
                f,
                "This link was made by a newer Halfrow (link version {version}). \
                 Open it with that one or a later one."
            ),
            LinkFault::Character { position, found } => write!(
                f,
                "This link is damaged: character {position} after the # sign’s “1.” (U+{:04X}) can’t be part of it. \
                 Copy it again.",
                u32::from(*found)
            ),
            LinkFault::Damaged => {
                write!(
                    f,
                    "This link is damaged: it was cut short or changed on the way. Copy the whole link again."
                )
            }
            LinkFault::TooLong => write!(
                f,
                "This link unpacks to more than {MAX_TEXT_BYTES} bytes, and no bench is that large. Ask for the file instead."
            ),
            LinkFault::NoText => {
                write!(f, "What’s in this link isn’t text. Copy the whole link again.")
            }
        }
    }
}

impl std::error::Error for FileError {}
