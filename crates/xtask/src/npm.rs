//! Checks of the page that come as npm packages: axe-core and Lighthouse.

use crate::failure::{Failure, Outcome, at};
use crate::tools::{need, run, say};
use crate::{house, serve};
use halfrow_browser::browser;
use serde_json::Value;
use std::fs;
use std::path::PathBuf;
use std::process::Command;

/// What Lighthouse must give, of 100, for what no machine is too slow for.
const SCORE_LIMIT: f64 = 100.0;
/// What it must give for speed, where nothing else keeps the machine busy.
pub const PERFORMANCE_LIMIT: f64 = 95.0;
/// How long the page may take to load, milliseconds: on a machine ten times slower too.
const LOAD_LIMIT_MS: u32 = 300_000;
/// Runs of Lighthouse at most for a figure of speed. Other work on the machine can only make the page
/// look slower than it is, so that the best run is the nearest to the truth; more than three would
/// hide a slow page.
const RUNS: usize = 3;

fn folder() -> PathBuf {
    house::root().join("tests/e2e")
}

/// Makes `node_modules` what the lock file says.
pub fn install() -> Outcome {
    need(&["node", "npm"], &["nodejs", "npm"])?;
    // npm writes this file last; older than the lock, it belongs to an older lock.
    let changed = |path: PathBuf| fs::metadata(path).and_then(|data| data.modified()).ok();
    let installed = changed(folder().join("node_modules/.package-lock.json"));
    if installed.is_some() && installed >= changed(folder().join("package-lock.json")) {
        return Ok(());
    }
    say("installing the npm packages of tests/e2e");
    run(Command::new("npm").current_dir(folder()).args(["ci", "--ignore-scripts", "--no-progress"]))
}

/// Holds the page against what Lighthouse checks apart from speed.
pub fn lighthouse() -> Outcome {
    let categories = ["accessibility", "best-practices"];
    let report = lighthouse_report(&categories)?;
    let scores = categories.map(|category| score(&report, category));
    if scores.iter().all(|score| *score >= SCORE_LIMIT) {
        return Ok(());
    }
    Err(Failure::Check(format!("Lighthouse gives {scores:.0?} for {categories:?}; {SCORE_LIMIT} is asked")))
}

/// What Lighthouse gives for speed, of 100: the best of a few runs.
pub fn performance() -> Outcome<f64> {
    let mut best = 0.0_f64;
    for _ in 0..RUNS {
        best = best.max(score(&lighthouse_report(&["performance"])?, "performance"));
        if best >= PERFORMANCE_LIMIT {
            break;
        }
    }
    Ok(best)
}

/// Runs Lighthouse on the built page; says which audits cost points.
fn lighthouse_report(categories: &[&str]) -> Outcome<Value> {
    let server = serve::open(0)?;
    let report_file = house::target().join("lighthouse.json");
    let flags = browser::FLAGS.join(" ");
    run(Command::new("node")
        .current_dir(folder())
        .env("CHROME_PATH", browser::find().unwrap_or_default())
        .args(["node_modules/lighthouse/cli/index.js", &server.address(), "--quiet", "--output=json"])
        .args(["--no-enable-error-reporting", &format!("--only-categories={}", categories.join(","))])
        .arg(format!("--max-wait-for-load={LOAD_LIMIT_MS}"))
        .arg(format!("--output-path={}", report_file.display()))
        .arg(format!("--chrome-flags={flags}")))?;
    let text = at(&report_file, fs::read_to_string(&report_file))?;
    let report: Value = serde_json::from_str(&text).unwrap_or_default();
    for category in categories {
        say(&format!("{category} {:.0}", score(&report, category)));
        for audit in report["categories"][category]["auditRefs"].as_array().into_iter().flatten() {
            let found = &report["audits"][audit["id"].as_str().unwrap_or_default()];
            let costs = audit["weight"].as_f64().unwrap_or(0.0) > 0.0;
            if costs && found["score"].as_f64().is_some_and(|score| score < 0.9) {
                let value = found["displayValue"].as_str().unwrap_or_default();
                say(&format!("{category}: {} {value}", found["title"].as_str().unwrap_or_default()));
            }
        }
    }
    Ok(report)
}

/// A category's score, of 100. One that was not measured counts as nothing.
fn score(report: &Value, category: &str) -> f64 {
    100.0 * report["categories"][category]["score"].as_f64().unwrap_or(0.0)
}
