//! What others wrote and we hand on, in the page and in the command line: its licences, asked of
//! `cargo metadata`.

use crate::failure::{Failure, Outcome, at};
use crate::tools::{cargo, output};
use crate::wasm;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::fs;
use std::path::PathBuf;

/// Licences that let us hand their work on under ours. Of a choice ("MIT OR Apache-2.0") one suffices.
const ALLOWED: [&str; 8] =
    ["MIT", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "ISC", "Zlib", "0BSD", "Unicode-3.0"];

/// Crates that come in two versions, each with the reason why that has to be.
const TWICE: [(&str, &str); 1] =
    [("thiserror", "yew's gloo-net and gloo-worker ask for version 1, yew itself for version 2")];

/// A crate that is handed on.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Crate {
    name: String,
    version: String,
    licence: String,
    folder: PathBuf,
}

/// What we hand on: its name, its package, and the one target that it is built for.
const PRODUCTS: [(&str, &str, Option<&str>); 2] =
    [("the page", "halfrow-web", Some(wasm::TARGET)), ("the command line", "halfrow", None)];

/// The crates of others in a package, for one target or for all: what is linked in. Macros and build
/// scripts stay behind.
fn crates(package: &str, target: Option<&str>) -> Outcome<BTreeSet<Crate>> {
    let mut command = cargo();
    command.args(["metadata", "--format-version=1", "--locked"]);
    if let Some(target) = target {
        command.args(["--filter-platform", target]);
    }
    let told: Value = serde_json::from_str(&output(&mut command)?).unwrap_or_default();
    // The metadata name optional crates too where a feature only passes on to them; the tree doesn't.
    let mut tree = cargo();
    tree.args(["tree", "--locked", "--package", package, "--edges", "normal,no-proc-macro"]);
    tree.args(["--prefix", "none", "--format", "{p}", "--target", target.unwrap_or("all")]);
    let tree = output(&mut tree)?;
    let built: BTreeSet<(&str, &str)> = tree
        .lines()
        .filter_map(|line| line.split_once(" v"))
        .map(|(name, rest)| (name, rest.split(' ').next().unwrap_or_default()))
        .collect();
    let mut linked = linked(&told, package);
    linked.retain(|it| built.contains(&(it.name.as_str(), it.version.as_str())));
    Ok(linked)
}

fn linked(told: &Value, package: &str) -> BTreeSet<Crate> {
    let list = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let word = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let packages: HashMap<String, Value> =
        list(&told["packages"]).into_iter().map(|it| (word(&it["id"]), it)).collect();
    let needs: HashMap<String, Value> =
        list(&told["resolve"]["nodes"]).into_iter().map(|it| (word(&it["id"]), it["deps"].clone())).collect();
    let ours = told["workspace_members"].as_array().cloned().unwrap_or_default();
    let first = packages.values().find(|it| it["name"] == package).map(|it| word(&it["id"]));
    let (mut found, mut seen, mut open) = (BTreeSet::new(), BTreeSet::new(), Vec::from_iter(first));
    while let Some(id) = open.pop() {
        let Some(it) = packages.get(&id) else { continue };
        let is_macro = list(&it["targets"]).iter().any(|target| target["kind"][0] == "proc-macro");
        if is_macro || !seen.insert(id.clone()) {
            continue;
        }
        let linked = |need: &Value| list(&need["dep_kinds"]).iter().any(|kind| kind["kind"].is_null());
        let next = list(&needs[&id]);
        open.extend(next.iter().filter(|need| linked(need)).map(|need| word(&need["pkg"])));
        if !ours.contains(&it["id"]) {
            found.insert(Crate {
                name: word(&it["name"]),
                version: word(&it["version"]),
                licence: word(&it["license"]),
                folder: PathBuf::from(word(&it["manifest_path"]))
                    .parent()
                    .map(Into::into)
                    .unwrap_or_default(),
            });
        }
    }
    found
}

/// Whether a licence, or one choice of it, is among those allowed.
fn is_allowed(licence: &str) -> bool {
    // Older manifests write a slash for "or".
    let expression = spdx::Expression::parse_mode(licence, spdx::ParseMode::LAX);
    expression
        .is_ok_and(|it| it.evaluate(|asked| asked.license.id().is_some_and(|id| ALLOWED.contains(&id.name))))
}

/// What is wrong with a list of crates, a line each.
fn complaints(crates: &BTreeSet<Crate>) -> Vec<String> {
    let refused = crates.iter().filter(|it| !is_allowed(&it.licence));
    let mut wrong: Vec<String> = refused
        .map(|it| {
            format!("{} {}: its licence “{}” is not among those allowed", it.name, it.version, it.licence)
        })
        .collect();
    let mut versions: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for it in crates {
        versions.entry(&it.name).or_default().push(&it.version);
    }
    let excused = |name: &str| TWICE.iter().any(|(it, _)| *it == name);
    for (name, versions) in
        versions.into_iter().filter(|(name, versions)| versions.len() > 1 && !excused(name))
    {
        wrong.push(format!("{name} comes in {} versions ({})", versions.len(), versions.join(", ")));
    }
    wrong
}

/// Holds what is handed on against the allowed licences, and against coming twice.
pub fn check() -> Outcome {
    let mut wrong = BTreeSet::new();
    let mut all = BTreeSet::new();
    for (_, package, target) in PRODUCTS {
        let crates = crates(package, target)?;
        wrong.extend(complaints(&crates));
        all.extend(crates);
    }
    for (name, _) in TWICE {
        if all.iter().filter(|it| it.name == name).count() < 2 {
            wrong.insert(format!("{name} comes only once: its reason in licences.rs can go"));
        }
    }
    if wrong.is_empty() {
        return Ok(());
    }
    Err(Failure::Check(Vec::from_iter(wrong).join("\n")))
}

/// Prints what is handed on, with each licence.
pub fn list() -> Outcome {
    for (product, package, target) in PRODUCTS {
        println!("In {product}, beside the Rust standard library (MIT OR Apache-2.0):");
        for Crate { name, version, licence, .. } in crates(package, target)? {
            println!("  {:<32} {licence}", format!("{name} {version}"));
        }
    }
    Ok(())
}

/// The notices that go along with the page: every crate in it with its licence, and each licence text
/// once.
pub fn notices() -> Outcome<String> {
    let mut text = String::from(
        "Halfrow is MIT or Apache-2.0, as you like. The page holds these works of others, and the Rust\n\
         standard library (MIT OR Apache-2.0):\n\n",
    );
    let mut bodies: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for it in crates("halfrow-web", Some(wasm::TARGET))? {
        text += &format!("{} {}: {}\n", it.name, it.version, it.licence);
        let mut files: Vec<PathBuf> =
            at(&it.folder, fs::read_dir(&it.folder))?.flatten().map(|entry| entry.path()).collect();
        files.retain(|path| {
            let name = path.file_name().unwrap_or_default().to_string_lossy().to_ascii_lowercase();
            // Where there is a choice, the shorter text.
            path.is_file()
                && ["license", "licence", "copying", "notice"].iter().any(|word| name.starts_with(word))
                && !name.contains("apache")
        });
        files.sort();
        for file in files {
            let body = at(&file, fs::read(&file))?;
            let body = String::from_utf8_lossy(&body).trim().replace("\r\n", "\n");
            bodies.entry(body).or_default().push(it.name.clone());
        }
    }
    for (body, names) in bodies {
        text += &format!("\n---- {}\n\n{body}\n", names.join(", "));
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn made(name: &str, version: &str, licence: &str) -> Crate {
        Crate { name: name.into(), version: version.into(), licence: licence.into(), folder: PathBuf::new() }
    }

    #[test]
    fn one_allowed_choice_suffices_and_every_part_of_a_sum_is_needed() {
        for licence in ["MIT", "Apache-2.0/MIT", "GPL-3.0-only OR MIT", "(MIT OR Apache-2.0) AND Unicode-3.0"]
        {
            assert!(is_allowed(licence), "{licence}");
        }
        for licence in ["", "GPL-3.0-only", "MIT AND GPL-3.0-only", "no licence"] {
            assert!(!is_allowed(licence), "{licence}");
        }
    }

    #[test]
    fn a_refused_licence_and_a_second_version_are_named() {
        let crates = BTreeSet::from([
            made("a", "1.0.0", "MIT"),
            made("a", "2.0.0", "MIT"),
            made("b", "1.0.0", "GPL-3.0-only"),
            made("thiserror", "1.0.0", "MIT"),
            made("thiserror", "2.0.0", "MIT"),
        ]);
        let told = complaints(&crates);
        assert!(
            told.len() == 2 && told[0].contains("b 1.0.0") && told[1].contains("1.0.0, 2.0.0"),
            "{told:?}"
        );
    }

    #[test]
    fn macros_tests_and_our_own_crates_are_left_out() {
        let package = |id: &str, kind: &str| {
            serde_json::json!({ "id": id, "name": id, "version": "1.0.0", "license": "MIT",
                "manifest_path": "/x/Cargo.toml", "targets": [{ "kind": [kind] }] })
        };
        let need =
            |id: &str, kind: Option<&str>| serde_json::json!({ "pkg": id, "dep_kinds": [{ "kind": kind }] });
        let told = serde_json::json!({
            "packages": [package("ours", "lib"), package("linked", "lib"), package("macro", "proc-macro"),
                package("of-macro", "lib"), package("of-tests", "lib")],
            "workspace_members": ["ours"],
            "resolve": { "nodes": [
                { "id": "ours", "deps": [need("linked", None), need("macro", None), need("of-tests", Some("dev"))] },
                { "id": "macro", "deps": [need("of-macro", None)] },
                { "id": "linked", "deps": [] },
            ] },
        });
        let names: Vec<String> = linked(&told, "ours").into_iter().map(|it| it.name).collect();
        assert_eq!(names, ["linked"]);
    }
}
