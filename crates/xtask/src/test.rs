//! `cargo xtask test`: all that CI runs, in the order in which it is cheapest to be told.

use crate::failure::{Failure, Outcome, at};
use crate::tally::{Done, Tally, run_tests};
use crate::tools::{self, cargo, find, run, say};
use crate::wasm::Route;
use crate::{build, house, npm, squeeze};
use halfrow_e2e::browser;
use std::fs;
use std::path::Path;
use std::process::Command;

/// A step: its name after `--only`, what it is, and how it runs.
type Step = (&'static str, &'static str, fn() -> Outcome<Done>);

const STEPS: [Step; 11] = [
    ("fmt", "the house's formatting", fmt),
    ("clippy", "no warning anywhere", clippy),
    ("doc", "no broken link in the documentation", doc),
    ("native", "tests without a browser", native),
    ("outside", "an independent solver agrees", outside),
    ("wasm", "tests inside headless Chromium", wasm),
    ("build", "the optimised page", page),
    ("size", "what a first visit weighs", size),
    ("e2e", "the page used as a student would", e2e),
    ("axe", "the rules of axe-core", axe),
    ("lighthouse", "performance, accessibility, best practices", lighthouse),
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

fn fmt() -> Outcome<Done> {
    run(cargo().args(["fmt", "--all", "--check"])).map(|()| Done::Held)
}

fn clippy() -> Outcome<Done> {
    run(cargo().args([
        "clippy",
        "--workspace",
        "--all-targets",
        "--locked",
        "--quiet",
        "--",
        "-D",
        "warnings",
    ]))
    .map(|()| Done::Held)
}

fn doc() -> Outcome<Done> {
    let mut command = cargo();
    command.env("RUSTDOCFLAGS", "-D warnings");
    run(command.args(["doc", "--workspace", "--no-deps", "--locked", "--quiet"])).map(|()| Done::Held)
}

fn native() -> Outcome<Done> {
    run_tests(cargo().args(["test", "--workspace", "--locked", "--no-fail-fast"]))
}

/// The same circuits by another program, where Python has what it takes.
fn outside() -> Outcome<Done> {
    let script = "tests/outside/independent.py";
    if !house::root().join(script).exists() {
        return Ok(Done::Skipped(format!("there is no {script}")));
    }
    let python = find("python3").is_some()
        && tools::ask(Command::new("python3").args(["-c", "import numpy, scipy"])).is_some();
    if !python {
        return Ok(Done::Skipped(
            "python3 with numpy and scipy is not here (the values that it gave are checked by the native tests)".into(),
        ));
    }
    run(Command::new("python3").current_dir(house::root()).args([script, "--check"])).map(|()| Done::Held)
}

/// Tests marked `#[wasm_bindgen_test]`, in `tests/` of the crates and of the page.
fn wasm() -> Outcome<Done> {
    need_chromium()?;
    tools::need(&["chromedriver"], &["chromium-driver"])?;
    let tests = wasm_tests()?;
    if tests.is_empty() {
        return Err(Failure::Check("there is no wasm test".into()));
    }
    let route = Route::choose()?;
    run(cargo().args(["build", "--package", "wasmtest-runner", "--locked", "--quiet"]))?;
    let runner = house::target().join("debug/wasmtest-runner");
    let driver = house::target().join("webdriver.json");
    let flags = serde_json::json!({ "goog:chromeOptions": { "args": browser::FLAGS } });
    at(&driver, fs::write(&driver, flags.to_string()))?;
    let mut total = 0;
    for (package, name) in tests {
        let mut command = route.cargo("test")?;
        command
            .args(["--package", &package, "--test", &name])
            .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER", &runner)
            .env("CHROMEDRIVER", find("chromedriver").unwrap_or_default())
            .env("WASM_BINDGEN_TEST_WEBDRIVER_JSON", &driver)
            .env("WASM_BINDGEN_TEST_ONLY_WEB", "1")
            .env("WASM_BINDGEN_TEST_TIMEOUT", "120");
        match run_tests(&mut command)? {
            Done::Tests(count) => total += count,
            Done::Held | Done::Skipped(_) => {}
        }
    }
    Ok(Done::Tests(total))
}

/// Package and name of every test file that holds wasm tests.
fn wasm_tests() -> Outcome<Vec<(String, String)>> {
    let root = house::root();
    let crates = root.join("crates");
    let mut packages: Vec<_> =
        at(&crates, fs::read_dir(&crates))?.flatten().map(|entry| entry.path()).collect();
    packages.push(root.join("web"));
    packages.sort();
    let mut found = Vec::new();
    for package in packages {
        let Ok(files) = fs::read_dir(package.join("tests")) else { continue };
        let mut names: Vec<_> =
            files.flatten().map(|entry| entry.path()).filter(|path| path.is_file()).collect();
        names.sort();
        for path in names {
            let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
            if at(&path, fs::read_to_string(&path))?.contains("#[wasm_bindgen_test") {
                found.push((package_name(&package)?, stem));
            }
        }
    }
    Ok(found)
}

fn package_name(package: &Path) -> Outcome<String> {
    let manifest = package.join("Cargo.toml");
    let text = at(&manifest, fs::read_to_string(&manifest))?;
    let name = text.lines().find_map(|line| line.strip_prefix("name = \"")?.strip_suffix('"'));
    name.map(str::to_owned).ok_or_else(|| Failure::Check(format!("{} names no package", manifest.display())))
}

fn page() -> Outcome<Done> {
    build::build().map(|()| Done::Held)
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
    let mut command = cargo();
    command.args(["test", "--package", "halfrow-e2e", "--locked", "--no-fail-fast", "--tests", "--"]);
    run_tests(command.args(["--ignored", "--test-threads=1"]).args(filter))
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
