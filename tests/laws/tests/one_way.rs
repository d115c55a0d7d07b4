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
    assert_eq!(drawing.len(), 13);
    for (name, targets) in drawing {
        let folder = if name == "web" { "web".to_owned() } else { format!("crates/{name}") };
        assert_eq!(uses(&folder), targets, "{name}");
    }
}

#[test]
fn nothing_stands_on_the_tests() {
    let rooms = fs::read_dir(root().join("crates")).unwrap().map(|entry| entry.unwrap().path());
    for room in rooms.chain([root().join("web")]) {
        let manifest = fs::read_to_string(room.join("Cargo.toml")).unwrap();
        for tests in fs::read_dir(root().join("tests")).unwrap() {
            let name = tests.unwrap().file_name().into_string().unwrap();
            assert!(!manifest.contains(&format!("halfrow-{name}")), "{}: {name}", room.display());
        }
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

/// The floors of a folder in DEVELOPERS.md, lowest first: what stands on one line may know each other.
fn floors(folder: &str) -> Vec<Vec<String>> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let heading = format!("```text floors of {folder}\n");
    let block = text.split(&heading).nth(1).expect(folder).split("```").next().unwrap();
    let names = |line: &str| line.split(',').map(|name| name.trim().to_owned()).collect();
    block.lines().map(names).collect()
}

/// The modules of this crate that a piece of code names: `crate::layout::Area`, `crate::{a, b::c}`.
fn named(code: &str) -> Vec<String> {
    let ident = |text: &str| -> String {
        text.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect()
    };
    let mut names = Vec::new();
    for after in code.split("crate::").skip(1) {
        let Some(group) = after.strip_prefix('{') else {
            names.push(ident(after));
            continue;
        };
        let (mut depth, mut start) = (0, true);
        for (at, c) in group.char_indices() {
            match c {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' => start |= depth == 0,
                c if c.is_whitespace() => {}
                _ if start && depth == 0 => {
                    names.push(ident(&group[at..]));
                    start = false;
                }
                _ => {}
            }
        }
    }
    names
}

/// Where a module of a folder knows one of a higher floor, and what its floors in DEVELOPERS.md leave out.
fn upward(folder: &str) -> Vec<String> {
    let floors = floors(folder);
    let floor = |name: &str| floors.iter().position(|floor| floor.iter().any(|it| it == name));
    let mut wrong = Vec::new();
    let mut seen = BTreeSet::new();
    for entry in fs::read_dir(root().join(folder)).unwrap() {
        let path = entry.unwrap().path();
        let module = path.file_stem().unwrap().to_str().unwrap().to_owned();
        if module == "lib" || (!path.is_dir() && path.extension().is_none_or(|it| it != "rs")) {
            continue;
        }
        let Some(own) = floor(&module) else {
            wrong.push(format!("{folder}/{module} has no floor in DEVELOPERS.md"));
            continue;
        };
        for name in code_of(&path).iter().flat_map(|code| named(code)) {
            if floor(&name).is_some_and(|other| other > own) {
                wrong.push(format!("{folder}: {module} knows {name}, which is above it"));
            }
        }
        seen.insert(module);
    }
    let gone = floors.iter().flatten().filter(|name| !seen.contains(*name));
    wrong.extend(gone.map(|name| format!("{folder}: DEVELOPERS.md has {name}, which is gone")));
    wrong
}

/// The code of a file or of all files of a folder, tests and comments left out.
fn code_of(path: &Path) -> Vec<String> {
    if path.is_dir() {
        return fs::read_dir(path).unwrap().flat_map(|entry| code_of(&entry.unwrap().path())).collect();
    }
    let is_test = path.ends_with("tests.rs") || path.parent().is_some_and(|folder| folder.ends_with("tests"));
    if is_test || path.extension().is_none_or(|it| it != "rs") {
        return Vec::new();
    }
    let text = fs::read_to_string(path).unwrap();
    let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
    let lines = code.lines().filter(|line| !line.trim_start().starts_with("//"));
    vec![lines.collect::<Vec<_>>().join("\n")]
}

#[test]
fn the_engine_s_modules_know_only_what_is_below_them() {
    let wrong = upward("crates/core/src");
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn pictures_stand_on_geometry_and_never_the_reverse() {
    let wrong = upward("crates/draw/src");
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_folders_of_the_page_know_only_what_is_below_them() {
    let mut wrong = upward("web/src");
    // The one other way out of a folder.
    let climbs = |code: &String| code.contains("super::super");
    let folders = floors("web/src").into_iter().flatten();
    let folders = folders.map(|name| root().join("web/src").join(name)).filter(|path| path.is_dir());
    wrong.extend(folders.filter_map(|path| {
        code_of(&path).iter().any(climbs).then(|| format!("{}: super::super", path.display()))
    }));
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_model_of_the_page_knows_no_browser() {
    let words = [
        "yew",
        "web_sys",
        "js_sys",
        "wasm_bindgen",
        "Html",
        "std::fs",
        "std::time",
        "std::env",
        "std::io",
        "thread",
    ];
    let found = found(&["web/src/model"], &words);
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn modules_are_found_in_every_way_to_name_them() {
    let code = "use crate::a::B;\nuse crate::{c, d::{E, F}, g::H};\nlet x = crate::i::j(crate::k::L);";
    assert_eq!(named(code), ["a", "c", "d", "g", "i", "k"]);
}

/// What stands in quotes in a piece of code.
fn quoted(code: &str) -> Vec<&str> {
    code.split('"').skip(1).step_by(2).collect()
}

#[test]
fn nothing_outside_its_own_folder_knows_a_part_by_name() {
    let kinds: Vec<&str> = halfrow_core::parts::CARDS.iter().map(|card| card.kind).collect();
    let mut found = Vec::new();
    let mut folders = ["core", "judge", "diagnose", "draw", "file", "cli"]
        .map(|name| format!("crates/{name}/src"))
        .to_vec();
    folders.push("web/src".to_owned());
    for folder in folders {
        for entry in fs::read_dir(root().join(folder)).unwrap() {
            let path = entry.unwrap().path();
            // The cards themselves, and benches to measure with, which are made of parts.
            if path.ends_with("core/src/parts") || path.ends_with("core/src/sample.rs") {
                continue;
            }
            for code in code_of(&path) {
                let names = quoted(&code).into_iter().filter(|word| kinds.contains(word));
                found.extend(names.map(|word| format!("{}: “{word}”", path.display())));
                if code.contains("parts::") {
                    let after = code.split("parts::").skip(1);
                    let own = |after: &&str| {
                        !["CARDS", "STAPLES", "card(", "card;", "{CARDS, card}"]
                            .iter()
                            .any(|it| after.starts_with(it))
                    };
                    found.extend(
                        after.filter(own).map(|after| format!("{}: parts::{:.12}", path.display(), after)),
                    );
                }
            }
        }
    }
    // Words of the meter, which is there whatever parts there are: on its dial, and what is put into it.
    found.retain(|it| {
        !it.ends_with("core/src/meter.rs: “diode”") && !it.ends_with("cli/src/commands: “fuse”")
    });
    assert!(found.is_empty(), "{found:#?}");
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
    let folders = ["equations", "core", "judge", "compare", "diagnose", "draw", "file"]
        .map(|name| format!("crates/{name}/src"));
    let mut found = found(&folders.each_ref().map(String::as_str), &words);
    found.retain(|it| !it.contains("crates/equations/src/math.rs"));
    assert!(found.is_empty(), "{found:?}");
    for name in ["core", "judge", "draw", "file", "cli"] {
        let manifest = fs::read_to_string(root().join("crates").join(name).join("Cargo.toml")).unwrap();
        assert!(!manifest.contains("libm"), "{name}");
    }
}
