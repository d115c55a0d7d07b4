//! `cargo xtask test`: all that CI runs, in the order in which it is cheapest to be told.

use crate::failure::{Failure, Outcome, at};
use crate::tally::{Done, Tally, run_each, run_tests};
use crate::tools::{self, cargo, find, run, say};
use crate::wasm::Route;
use crate::{build, house, licences, npm, squeeze};
use halfrow_browser::browser;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// A step: its name after `--only`, what it is, and how it runs.
type Step = (&'static str, &'static str, fn() -> Outcome<Done>);

const STEPS: [Step; 13] = [
    ("fmt", "the house's formatting", fmt),
    ("clippy", "no warning anywhere", clippy),
    ("doc", "no broken link in the documentation", doc),
    ("licences", "what we hand on may be handed on", licences),
    ("native", "tests without a browser", native),
    ("fuzz", "spoilt files and links are refused", fuzz),
    ("outside", "an independent solver agrees", outside),
    ("wasm", "tests inside headless Chromium", wasm),
    ("build", "the optimised page", page),
    ("size", "what a first visit weighs", size),
    ("e2e", "the page used as a student would", e2e),
    ("axe", "the rules of axe-core", axe),
    ("lighthouse", "accessibility and best practices by Lighthouse", lighthouse),
];

/// Steps that look at the built page.
const OF_THE_PAGE: [&str; 4] = ["size", "e2e", "axe", "lighthouse"];

/// Runs all steps, or those named in `only` with commas between.
pub fn test(only: Option<&str>) -> Outcome {
    let chosen: Option<Vec<&str>> = only.map(|names| names.split(',').map(str::trim).collect());
    if let Some(unknown) = chosen.iter().flatten().find(|name| !STEPS.iter().any(|(step, ..)| step == *name))
    {
        let names = STEPS.map(|(name, ..)| name).join(",");
        return Err(Failure::Usage(format!("There is no step {unknown}. The steps are {names}.")));
    }
    let mut tally = Tally::default();
    let mut page_is_stale = false;
    for (name, what, step) in STEPS {
        if chosen.as_ref().is_some_and(|chosen| !chosen.contains(&name)) {
            continue;
        }
        // The page of an earlier build would answer for code that it does not hold.
        if page_is_stale && OF_THE_PAGE.contains(&name) {
            tally.step(name, what, || Err(Failure::Check("not run, since the page was not built".into())));
            continue;
        }
        let held = tally.step(name, what, step);
        page_is_stale |= name == "build" && !held;
    }
    tally.close()
}

/// How long each fuzz target is fed. Longer finds more; this is what a run of all steps can spare.
const FUZZ_SECONDS: &str = "20";

fn fmt() -> Outcome<Done> {
    need_component("fmt", "rustfmt", "rustfmt-web")?;
    run(cargo().args(["fmt", "--all", "--check"])).map(|()| Done::Held)
}

fn clippy() -> Outcome<Done> {
    need_component("clippy", "clippy", "rust-web-clippy")?;
    let words = [
        "clippy",
        "--workspace",
        "--all-targets",
        "--all-features",
        "--locked",
        "--quiet",
        "--",
        "-D",
        "warnings",
    ];
    run(cargo().args(words)).map(|()| Done::Held)
}

/// Formatter and linter come with the Rust in use; a toolchain may lack them.
fn need_component(subcommand: &str, component: &str, package: &str) -> Outcome {
    let there = || tools::ask(cargo().args([subcommand, "--version"])).is_some();
    if there() {
        return Ok(());
    }
    // Rustup's cargo would not look at Debian's program.
    let rustup = find("rustup").is_some();
    if !rustup && tools::can_install() {
        tools::install(&[package])?;
        if there() {
            return Ok(());
        }
    }
    let type_this = match rustup {
        true => format!("rustup component add {component}"),
        false => format!("sudo apt-get install {package}"),
    };
    Err(Failure::Missing { what: format!("`cargo {subcommand}` is not here."), type_this })
}

fn doc() -> Outcome<Done> {
    let mut command = cargo();
    command.env("RUSTDOCFLAGS", "-D warnings");
    run(command.args(["doc", "--workspace", "--no-deps", "--locked", "--quiet"])).map(|()| Done::Held)
}

fn licences() -> Outcome<Done> {
    licences::check().map(|()| Done::Held)
}

fn native() -> Outcome<Done> {
    run_tests(cargo().args(["test", "--workspace", "--locked", "--no-fail-fast"]))
}

/// The fuzz targets, fed with random mutations for a bounded time: as ordinary tests of the package
/// `halfrow-fuzz`, which read the time from `HALFROW_FUZZ_SECONDS`, since cargo-fuzz itself asks for
/// a nightly compiler.
fn fuzz() -> Outcome<Done> {
    let mut tests = built_tests("tests/fuzz")?;
    for test in &mut tests {
        test.env("HALFROW_FUZZ_SECONDS", FUZZ_SECONDS);
    }
    run_each(tests)
}

/// The test programs of one package, built with the whole workspace: for a package alone cargo would
/// choose other features of what it depends on, and build everything once more.
fn built_tests(folder: &str) -> Outcome<Vec<Command>> {
    let mut command = cargo();
    command.args(["test", "--workspace", "--locked", "--no-run", "--message-format=json-render-diagnostics"]);
    let folder = house::root().join(folder);
    let manifest = folder.join("Cargo.toml");
    let mut programs = Vec::new();
    for line in tools::output(&mut command)?.lines() {
        let Ok(message) = serde_json::from_str::<Value>(line) else { continue };
        let ours = message["manifest_path"].as_str().map(Path::new) == Some(&manifest);
        let is_test = message["target"]["kind"][0] == "test";
        if let (true, true, Some(program)) = (ours, is_test, message["executable"].as_str()) {
            let mut test = Command::new(program);
            // As cargo runs it.
            test.current_dir(&folder);
            programs.push(test);
        }
    }
    Ok(programs)
}

/// The same circuits by another program, where Python has what it takes: every script of
/// `tests/outside`, which with `--check` compares its own results with the golden ones.
fn outside() -> Outcome<Done> {
    let folder = house::root().join("tests/outside");
    let mut scripts: Vec<_> = at(&folder, fs::read_dir(&folder))?.flatten().map(|file| file.path()).collect();
    scripts.retain(|path| path.extension().is_some_and(|extension| extension == "py"));
    scripts.sort();
    if scripts.is_empty() {
        return Ok(Done::Skipped("there is no Python script in tests/outside".into()));
    }
    let python = find("python3").is_some()
        && tools::ask(Command::new("python3").args(["-c", "import numpy, scipy"])).is_some();
    if !python {
        return Ok(Done::Skipped(
            "python3 with numpy and scipy is not here (the values that it gave are checked by the native tests)".into(),
        ));
    }
    for script in scripts {
        run(Command::new("python3").current_dir(house::root()).arg(script).arg("--check"))?;
    }
    Ok(Done::Held)
}

/// Tests marked `#[wasm_bindgen_test]`, wherever in the workspace they stand.
fn wasm() -> Outcome<Done> {
    let tests = wasm_tests()?;
    if tests.is_empty() {
        return Err(Failure::Check("there is no wasm test".into()));
    }
    // One call for all: cargo then compiles what they share once, with one set of features.
    let mut command = wasm_command()?;
    command.arg("--no-fail-fast");
    for WasmTest { package, place } in tests {
        command.args(["--package", &package]).args(&place);
    }
    run_tests(&mut command)
}

/// The comparison of sparse and dense LU in the browser, optimised throughout.
pub fn wasm_lu() -> Outcome {
    let mut command = wasm_command()?;
    command.args(["--profile", "fast", "--package", "halfrow-core", "--test", "lu", "--", "--nocapture"]);
    run(&mut command)
}

/// `cargo test` for the wasm target, in headless Chromium.
fn wasm_command() -> Outcome<Command> {
    need_chromium()?;
    tools::need(&["chromedriver"], &["chromium-driver"])?;
    let route = Route::choose()?;
    run(cargo().args(["build", "--workspace", "--bin", "wasmtest-runner", "--locked", "--quiet"]))?;
    let runner = house::target().join("debug/wasmtest-runner");
    let driver = house::target().join("webdriver.json");
    let flags = serde_json::json!({ "goog:chromeOptions": { "args": browser::FLAGS } });
    at(&driver, fs::write(&driver, flags.to_string()))?;
    let mut command = route.cargo("test")?;
    command
        .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER", &runner)
        .env("CHROMEDRIVER", find("chromedriver").unwrap_or_default())
        .env("WASM_BINDGEN_TEST_WEBDRIVER_JSON", &driver)
        .env("WASM_BINDGEN_TEST_ONLY_WEB", "1")
        // Seconds, and no measure of anything: on a slow machine too.
        .env("WASM_BINDGEN_TEST_TIMEOUT", "1200")
        // Nobody steps through these in a debugger, and without its notes they build in half the time.
        .env("CARGO_PROFILE_DEV_DEBUG", "0");
    Ok(command)
}

/// Where wasm tests stand: the package, and what cargo calls the place.
struct WasmTest {
    package: String,
    place: Vec<String>,
}

/// Finds every test file, and every library, that holds wasm tests.
fn wasm_tests() -> Outcome<Vec<WasmTest>> {
    let root = house::root();
    let mut packages = vec![root.join("web")];
    for rooms in [root.join("crates"), root.join("tests")] {
        packages.extend(at(&rooms, fs::read_dir(&rooms))?.flatten().map(|entry| entry.path()));
    }
    packages.retain(|package| package.join("Cargo.toml").exists());
    packages.sort();
    let mut found = Vec::new();
    for package in packages {
        let name = package_name(&package)?;
        // These speak of such tests without having any.
        if [env!("CARGO_PKG_NAME"), "wasmtest-runner"].contains(&name.as_str()) {
            continue;
        }
        if rust_files(&package.join("src"))?.iter().any(|(_, text)| text.contains(WASM_MARK)) {
            found.push(WasmTest { package: name.clone(), place: vec!["--lib".into()] });
        }
        for (path, text) in rust_files(&package.join("tests"))? {
            if !text.contains(WASM_MARK) {
                continue;
            }
            // A folder below `tests` is a module of several files, and no place of its own to cargo.
            if path.parent() != Some(&package.join("tests")) {
                return Err(Failure::Check(format!(
                    "{}: a wasm test must stand in tests/*.rs",
                    path.display()
                )));
            }
            let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
            found.push(WasmTest { package: name.clone(), place: vec!["--test".into(), stem] });
        }
    }
    Ok(found)
}

/// The attribute of wasm tests, which may stand alone, with options, or under a condition: whoever
/// names it has such tests.
const WASM_MARK: &str = "wasm_bindgen_test";

/// All Rust files below a folder with their text; none if there is no such folder.
fn rust_files(folder: &Path) -> Outcome<Vec<(PathBuf, String)>> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_owned()];
    while let Some(folder) = open.pop() {
        let Ok(entries) = fs::read_dir(&folder) else { continue };
        for path in entries.flatten().map(|entry| entry.path()) {
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                found.push((path.clone(), at(&path, fs::read_to_string(&path))?));
            }
        }
    }
    found.sort();
    Ok(found)
}

fn package_name(package: &Path) -> Outcome<String> {
    let manifest = package.join("Cargo.toml");
    let text = at(&manifest, fs::read_to_string(&manifest))?;
    let name = text.lines().find_map(|line| line.strip_prefix("name = \"")?.strip_suffix('"'));
    name.map(str::to_owned).ok_or_else(|| Failure::Check(format!("{} names no package", manifest.display())))
}

fn page() -> Outcome<Done> {
    build::build(build::Wanted::Optimised).map(|()| Done::Held)
}

fn size() -> Outcome<Done> {
    need_page()?;
    squeeze::check(&house::dist()).map(|()| Done::Held)
}

fn e2e() -> Outcome<Done> {
    in_the_browser(&["--skip", "axe_"])
}

fn axe() -> Outcome<Done> {
    npm::install()?;
    in_the_browser(&["axe_"])
}

/// One at a time: two browsers on two cores would disturb each other's clocks.
fn in_the_browser(filter: &[&str]) -> Outcome<Done> {
    need_page()?;
    need_chromium()?;
    let mut tests = built_tests("tests/e2e")?;
    for test in &mut tests {
        test.args(["--ignored", "--test-threads=1"]).args(filter);
    }
    run_each(tests)
}

fn lighthouse() -> Outcome<Done> {
    need_page()?;
    need_chromium()?;
    npm::install()?;
    npm::lighthouse().map(|()| Done::Held)
}

fn need_page() -> Outcome {
    if build::built() {
        return Ok(());
    }
    Err(Failure::Missing { what: "There is no page yet.".into(), type_this: "cargo xtask build".into() })
}

/// Chromium, installed where we may.
pub fn need_chromium() -> Outcome {
    if browser::find().is_some() {
        return Ok(());
    }
    say("Chromium is not on the search path");
    tools::need(&["chromium"], &["chromium"])
}
