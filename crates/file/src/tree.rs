//! JSON as a tree that keeps every key of an object, so that a key that stands twice is noticed
//! (a map would quietly keep the last).

use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};

use crate::error::{FileError, shown};

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
    /// Reads JSON. Nesting is limited (to 128 levels) by the parser.
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
        serde_json::from_str(text).map_err(|error| {
            let whole = error.to_string();
            let says = whole.rsplit_once(" at line ").map_or(whole.as_str(), |(says, _)| says);
            let says = match says {
                _ if error.is_eof() => "the text ends too early",
                "number out of range" => "the number is too large",
                "recursion limit exceeded" => "brackets are nested too deeply",
                "expected ident" | "expected value" => "what stands there is neither a number nor in quotes",
                "key must be a string" => "a key stands there without quotes",
                "trailing characters" => "something follows the last bracket",
                _ if says.starts_with("control character") => "a line ends within quotes",
                _ if says.contains("hex escape") => "\\u names half a character",
                other => other,
            };
            FileError::NotJson { line: error.line(), column: error.column(), says: says.to_owned() }
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

impl<'de> Deserialize<'de> for Tree {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Tree, D::Error> {
        from.deserialize_any(TreeVisitor)
    }
}

struct TreeVisitor;

impl<'de> Visitor<'de> for TreeVisitor {
    type Value = Tree;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E>(self) -> Result<Tree, E> {
        Ok(Tree::Null)
    }

    fn visit_bool<E>(self, on: bool) -> Result<Tree, E> {
        Ok(Tree::Flag(on))
    }

    fn visit_i64<E>(self, n: i64) -> Result<Tree, E> {
        Ok(Tree::Number(n as f64))
    }

    fn visit_u64<E>(self, n: u64) -> Result<Tree, E> {
        Ok(Tree::Number(n as f64))
    }

    fn visit_f64<E>(self, x: f64) -> Result<Tree, E> {
        Ok(Tree::Number(x))
    }

    fn visit_str<E>(self, text: &str) -> Result<Tree, E> {
        Ok(Tree::Text(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Tree, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        Ok(Tree::List(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut pairs: A) -> Result<Tree, A::Error> {
        let mut object = Vec::new();
        while let Some(pair) = pairs.next_entry()? {
            object.push(pair);
        }
        Ok(Tree::Object(object))
    }
}
