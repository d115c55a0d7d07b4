//! One file is one concept, and one function fits on a screen.

use std::fs;
use std::path::{Path, PathBuf};

/// Lines of a file with its tests: a longer one is two concepts.
const FILE: usize = 600;

/// Lines of a function from its first to its last: a longer one does two things.
const FUNCTION: usize = 80;

fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

/// All Rust files of the project, with their text.
fn sources() -> Vec<(PathBuf, String)> {
    let mut sources = Vec::new();
    let mut open: Vec<PathBuf> = ["crates", "tests", "web"].map(|folder| root().join(folder)).into();
    while let Some(path) = open.pop() {
        if path.ends_with("target") || path.ends_with("node_modules") {
            continue;
        }
        if path.is_dir() {
            open.extend(fs::read_dir(path).unwrap().map(|entry| entry.unwrap().path()));
        } else if path.extension().is_some_and(|it| it == "rs") {
            let text = fs::read_to_string(&path).unwrap();
            sources.push((path, text));
        }
    }
    sources.sort();
    sources
}

/// The name of the function that begins on this line, if one does.
fn function(line: &str) -> Option<&str> {
    let mut rest = line.trim_start();
    for word in ["pub(crate) ", "pub(super) ", "pub ", "const ", "async ", "unsafe "] {
        rest = rest.strip_prefix(word).unwrap_or(rest);
    }
    let name = rest.strip_prefix("fn ")?;
    name.split(|c: char| !c.is_alphanumeric() && c != '_').next()
}

/// The functions of a text that are longer than allowed, with how many lines each has. The text is laid out
/// by rustfmt: what a line opens is closed by the first line of the same indent that begins with a brace.
fn long_functions(text: &str) -> Vec<(String, usize)> {
    let lines: Vec<&str> = text.lines().collect();
    let mut long = Vec::new();
    for (first, line) in lines.iter().enumerate() {
        let Some(name) = function(line) else { continue };
        let indent = &line[..line.len() - line.trim_start().len()];
        let closes = |line: &&str| line.strip_prefix(indent).is_some_and(|rest| rest.starts_with('}'));
        // One without a body, or with all of it on one line.
        if line.trim_end().ends_with(['}', ';']) {
            continue;
        }
        let Some(after) = lines[first + 1..].iter().position(closes) else { continue };
        let length = after + 2;
        if length > FUNCTION {
            long.push((name.to_owned(), length));
        }
    }
    long
}

#[test]
fn no_file_and_no_function_is_too_long() {
    let mut long: Vec<(String, usize)> = Vec::new();
    for (path, text) in sources() {
        let name = path.strip_prefix(root()).unwrap().display().to_string();
        let functions = long_functions(&text).into_iter();
        long.extend(functions.map(|(function, lines)| (format!("{name}: {function}"), lines)));
        let lines = text.lines().count();
        if lines > FILE {
            long.push((name, lines));
        }
    }
    assert!(long.is_empty(), "at most {FILE} lines a file and {FUNCTION} a function: {long:#?}");
}

#[test]
fn long_functions_are_found_and_short_ones_are_not() {
    let body = |lines| "        call();\n".repeat(lines);
    let text = format!(
        "impl A {{\n    pub fn short(&self) {{\n{}    }}\n\n    pub(crate) async fn long(\n        &self,\n    ) {{\n{}    }}\n}}\n\
         fn one() -> u8 {{ 1 }}\ntrait B {{\n    fn none();\n}}\n",
        body(FUNCTION - 2),
        body(FUNCTION - 3),
    );
    assert_eq!(long_functions(&text), [("long".to_owned(), FUNCTION + 1)]);
}
