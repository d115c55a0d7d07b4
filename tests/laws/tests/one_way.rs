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

#[test]
fn the_engine_knows_no_screen_file_clock_or_chance() {
    fn walk(folder: &Path, found: &mut Vec<String>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, found);
                continue;
            }
            let text = fs::read_to_string(&path).unwrap();
            for word in [
                "std::fs",
                "std::time",
                "std::env",
                "std::io",
                "web_sys",
                "js_sys",
                "println!",
                "rand::",
                "thread",
            ] {
                if text.lines().any(|line| !line.trim_start().starts_with("//") && line.contains(word)) {
                    found.push(format!("{}: {word}", path.display()));
                }
            }
        }
    }
    let mut found = Vec::new();
    walk(&root().join("crates/core/src"), &mut found);
    walk(&root().join("crates/equations/src"), &mut found);
    assert!(found.is_empty(), "{found:?}");
}
