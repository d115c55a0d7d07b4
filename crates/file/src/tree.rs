//! JSON as a tree that keeps every key of an object, so that a key that stands twice is noticed
//! (a map would quietly keep the last).

use crate::error::{FileError, shown};
use crate::json;

/// A JSON value.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Tree {
    Null,
    Flag(bool),
    Number(f64),
    Text(String),
    List(Vec<Tree>),
    Object(Vec<(String, Tree)>),
}

impl Tree {
    /// Reads JSON that is an object.
    pub(crate) fn parse(text: &str) -> Result<Tree, FileError> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let begins = text.trim_start();
        if begins.is_empty() {
            return Err(FileError::Empty);
        }
        if !begins.starts_with('{') {
            // A word is enough to know the file by.
            let begins = begins.split_whitespace().next().unwrap_or_default();
            return Err(FileError::NoFile { begins: begins.to_owned() });
        }
        json::read(text).map_err(|fault| {
            let before = &text[..fault.at];
            let line = before.rsplit_once('\n').map_or(before, |(_, line)| line);
            FileError::NotJson {
                line: before.matches('\n').count() + 1,
                column: line.chars().count() + 1,
                says: fault.says,
            }
        })
    }

    /// What this is, for messages: `the text “red”`, `a list`.
    pub(crate) fn in_words(&self) -> String {
        match self {
            Tree::Null => "null".to_owned(),
            Tree::Flag(on) => on.to_string(),
            Tree::Number(x) => number(*x),
            Tree::Text(text) => format!("the text “{}”", shown(text)),
            Tree::List(_) => "a list".to_owned(),
            Tree::Object(_) => "an object".to_owned(),
        }
    }
}

/// A number as files and messages write it: the shortest that reads back to the same bits.
pub(crate) fn number(x: f64) -> String {
    // Beyond these sizes a row of zeros is harder to read than an exponent.
    if x.fract() == 0.0 && x.abs() < 1e15 { format!("{x}") } else { format!("{x:?}") }
}
