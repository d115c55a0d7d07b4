//! Checks of the page that come as npm packages: axe-core and Lighthouse.

use crate::failure::{Failure, Outcome, at};
use crate::tools::{need, run, say};
use crate::{house, serve};
use halfrow_e2e::browser;
use serde_json::Value;
use std::fs;
use std::path::PathBuf;
use std::process::Command;

/// What each category of Lighthouse must reach, of 100.
const SCORE_LIMIT: f64 = 95.0;
const CATEGORIES: [&str; 3] = ["performance", "accessibility", "best-practices"];
/// Runs of Lighthouse at most. Other work on the machine can only make the page look slower than it
/// is, so that the best run is the nearest to the truth; more than three would hide a slow page.
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

/// Holds the page against Lighthouse.
pub fn lighthouse() -> Outcome {
    let server = serve::open(0)?;
    let report_file = house::target().join("lighthouse.json");
    let mut best = [0.0_f64; CATEGORIES.len()];
    for _ in 0..RUNS {
        let flags = browser::FLAGS.join(" ");
        run(Command::new("node")
            .current_dir(folder())
            .env("CHROME_PATH", browser::find().unwrap_or_default())
            .args(["node_modules/lighthouse/cli/index.js", &server.address(), "--quiet", "--output=json"])
            .args(["--no-enable-error-reporting", &format!("--only-categories={}", CATEGORIES.join(","))])
            .arg(format!("--output-path={}", report_file.display()))
            .arg(format!("--chrome-flags={flags}")))?;
        let text = at(&report_file, fs::read_to_string(&report_file))?;
        let report: Value = serde_json::from_str(&text).unwrap_or_default();
        for (score, category) in best.iter_mut().zip(CATEGORIES) {
            // A category without a score was not measured, and counts as nothing.
            *score = score.max(100.0 * report["categories"][category]["score"].as_f64().unwrap_or(0.0));
            say(&format!("{category} {score:.0}"));
        }
        if best.iter().all(|score| *score >= SCORE_LIMIT) {
            return Ok(());
        }
        say_what_lacks(&report);
    }
    Err(Failure::Check(format!("Lighthouse gives {best:.0?} for {CATEGORIES:?}; {SCORE_LIMIT} is asked")))
}

/// The audits that cost points.
fn say_what_lacks(report: &Value) {
    for category in CATEGORIES {
        for audit in report["categories"][category]["auditRefs"].as_array().into_iter().flatten() {
            let found = &report["audits"][audit["id"].as_str().unwrap_or_default()];
            let costs = audit["weight"].as_f64().unwrap_or(0.0) > 0.0;
            if costs && found["score"].as_f64().is_some_and(|score| score < 0.9) {
                let value = found["displayValue"].as_str().unwrap_or_default();
                say(&format!("{category}: {} {value}", found["title"].as_str().unwrap_or_default()));
            }
        }
    }
}
