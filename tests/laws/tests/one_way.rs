//! Dependencies run one way, as DEVELOPERS.md draws them.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

/// The crates of this house that a manifest names under `[dependencies]`.
fn uses(folder: &str) -> BTreeSet<String> {
    let manifest = fs::read_to_string(root().join(folder).join("Cargo.toml")).unwrap();
    let section = manifest.split("[dependencies]").nth(1).unwrap().split("\n[").next().unwrap();
    let names = section.lines().filter_map(|line| line.strip_prefix("halfrow-"));
    names.map(|name| name.split(['.', ' ', '=']).next().unwrap().to_owned()).collect()
}

/// The drawing in DEVELOPERS.md: lines such as `draw -> core, judge` in its first code block.
fn drawn() -> Vec<(String, BTreeSet<String>)> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let block =
        text.split("```text dependencies\n").nth(1).expect("the drawing").split("```").next().unwrap();
    block
        .lines()
        .map(|line| {
            let (from, to) = line.split_once("->").expect(line);
            let to = to.split(',').map(|name| name.trim().to_owned()).filter(|name| name != "nothing");
            (from.trim().to_owned(), to.collect())
        })
        .collect()
}

#[test]
fn the_drawing_is_the_code() {
    let drawing = drawn();
    assert_eq!(drawing.len(), 7);
    for (name, targets) in drawing {
        let folder = if name == "web" { "web".to_owned() } else { format!("crates/{name}") };
        assert_eq!(uses(&folder), targets, "{name}");
    }
}

/// Where the sources of folders hold one of some words, tests and comments aside.
fn found(folders: &[&str], words: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    let mut paths: Vec<_> = folders.iter().map(|folder| root().join(folder)).collect();
    while let Some(path) = paths.pop() {
        if path.is_dir() {
            paths.extend(fs::read_dir(path).unwrap().map(|entry| entry.unwrap().path()));
        } else if !path.ends_with("tests.rs") {
            let text = fs::read_to_string(&path).unwrap();
            let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
            let lines = code.lines().filter(|line| !line.trim_start().starts_with("//"));
            for line in lines {
                let held = words.iter().filter(|word| line.contains(**word));
                found.extend(held.map(|word| format!("{}: {word}", path.display())));
            }
        }
    }
    found
}

#[test]
fn the_engine_knows_no_screen_file_clock_or_chance() {
    let words =
        ["std::fs", "std::time", "std::env", "std::io", "web_sys", "js_sys", "println!", "rand::", "thread"];
    let found = found(&["crates/core/src", "crates/equations/src"], &words);
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn functions_whose_last_bit_differs_come_from_one_module() {
    let words = [
        ".exp()",
        ".exp2()",
        ".exp_m1()",
        ".ln()",
        ".ln_1p()",
        ".log2()",
        ".log10()",
        ".powf(",
        ".powi(",
        ".cbrt()",
        ".hypot(",
        ".sin()",
        ".cos()",
        ".tan()",
        ".sin_cos()",
        ".atan2(",
        ".atan()",
        ".tanh()",
        "libm::",
    ];
    let folders = ["equations", "core", "judge", "draw", "file"].map(|name| format!("crates/{name}/src"));
    let mut found = found(&folders.each_ref().map(String::as_str), &words);
    found.retain(|it| !it.contains("crates/equations/src/math.rs"));
    assert!(found.is_empty(), "{found:?}");
    for name in ["core", "judge", "draw", "file", "cli"] {
        let manifest = fs::read_to_string(root().join("crates").join(name).join("Cargo.toml")).unwrap();
        assert!(!manifest.contains("libm"), "{name}");
    }
}
