//! Names carry the unit (DEVELOPERS.md, Decisions): where crates meet, a number says what it is counted in.

use std::fs;
use std::path::{Path, PathBuf};

/// How the name of a number may end.
const UNITS: [&str; 19] = [
    "volts", "amps", "ohms", "seconds", "watts", "hertz", "farads", "henries", "siemens", "celsius", "lux",
    "mm", "share", "joules", "volt2", "error", "kelvin", "percent", "coulombs",
];

/// Numbers without a unit in their name, and why that is enough.
const OTHERS: [(&str, &str); 14] = [
    ("time", "a moment: seconds since the clock began"),
    ("due", "a moment: seconds since the clock began"),
    ("since", "a moment: seconds since the clock began"),
    ("slow", "the card says what it counts"),
    ("kept", "the card says what it counts"),
    ("heat", "a share of what a part stands"),
    ("burns_at", "a share of what a part stands"),
    ("min", "in the unit beside it"),
    ("max", "in the unit beside it"),
    ("default", "in the unit beside it"),
    ("offset", "volts of a law that has its unit in its words"),
    ("amplitude", "volts of a law that has its unit in its words"),
    ("rise", "volts a second of a law that has its unit in its words"),
    ("gain", "has none"),
];

fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries.flat_map(|path| if path.is_dir() { files(&path) } else { vec![path] }).collect()
}

/// The public fields of a file that hold numbers.
fn numbers(text: &str) -> Vec<&str> {
    let code = text.split("#[cfg(test)]").next().unwrap();
    code.lines()
        .filter_map(|line| {
            let (name, kind) = line.trim().strip_prefix("pub ")?.split_once(": ")?;
            let number = ["f64,", "Option<f64>,", "Vec<f64>,", "(f64, f64),", "[f64; 2],"].contains(&kind);
            (number && name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_'))
                .then_some(name)
        })
        .collect()
}

#[test]
fn numbers_where_crates_meet_have_their_unit_in_their_names() {
    let root = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../../crates/core/src"));
    let mut seen = 0;
    for path in files(root) {
        let text = fs::read_to_string(&path).unwrap();
        for name in numbers(&text) {
            seen += 1;
            let ends = UNITS.iter().any(|unit| name.ends_with(unit));
            let known = OTHERS.iter().any(|(other, _)| *other == name);
            assert!(ends || known, "{}: what is `{name}` counted in?", path.display());
        }
    }
    // There are 29: a reader that finds hardly any reads past them.
    assert!(seen > 20, "{seen} numbers were found");
}
