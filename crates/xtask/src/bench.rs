//! `cargo xtask bench`: how fast the engine and the page are, against their budgets.
//!
//! With `?measure` in its address the page offers `window.halfrowMeasure`: `solve60(n)` gives
//! microseconds for each of n operating points of a 60-part full board, `moveLeg(n)` moves a leg n
//! times and gives the milliseconds from each action to the frame after.

use crate::failure::{Failure, Outcome};
use crate::shots::told;
use crate::test::need_chromium;
use crate::tools::{cargo, heading, run, say};
use crate::{build, house, serve, squeeze};
use halfrow_e2e::browser::Browser;
use halfrow_e2e::page::Page;
use halfrow_e2e::wire::{Result, Trouble};

/// One line of the table.
struct Measure {
    what: &'static str,
    value: Result<f64>,
    budget: f64,
    unit: &'static str,
}

/// Measures all. `fast` uses what `dist/` holds.
pub fn bench(fast: bool) -> Outcome {
    let native = native();
    if !fast {
        build::build()?;
    }
    heading("bench: in the browser");
    need_chromium()?;
    let server = serve::open(0)?;
    let address = server.address();
    let [wasm, visit] = squeeze::sums(&house::dist())?;
    let mut rows = vec![
        Measure {
            what: "wasm, brotli",
            value: Ok(kilo(wasm)),
            budget: kilo(squeeze::WASM_LIMIT),
            unit: "kB",
        },
        Measure {
            what: "first visit, brotli",
            value: Ok(kilo(visit)),
            budget: kilo(squeeze::VISIT_LIMIT),
            unit: "kB",
        },
    ];
    let mut browser = Browser::start().map_err(told)?;
    rows.push(Measure {
        what: "60-part operating point in wasm, median",
        value: measured(&mut browser, &address, 1.0, "solve60(400)").map(|times| quantile(times, 0.5)),
        budget: 1000.0,
        unit: "us",
    });
    rows.push(Measure {
        what: "leg moved to next paint, p95, processor 6 times slower",
        value: measured(&mut browser, &address, 6.0, "moveLeg(100)").map(|times| quantile(times, 0.95)),
        budget: 50.0,
        unit: "ms",
    });
    drop(browser);
    rows.push(Measure {
        what: "interactive after, first visit, processor 4 times slower",
        value: time_to_live(&address),
        budget: 2000.0,
        unit: "ms",
    });
    let missed = table(&rows);
    native?;
    if missed > 0 {
        return Err(Failure::Check(format!("{missed} of {} measures miss their budget", rows.len())));
    }
    Ok(())
}

fn native() -> Outcome {
    heading("bench: native");
    if !house::root().join("tests/outside/src/bin/bench_solve.rs").exists() {
        say("there is no bench_solve yet");
        return Ok(());
    }
    let words = [
        "run",
        "--quiet",
        "--locked",
        "--profile",
        "fast",
        "--package",
        "halfrow-outside",
        "--bin",
        "bench_solve",
    ];
    run(cargo().args(words))
}

/// What the page measures of itself.
fn measured(browser: &mut Browser, address: &str, slower: f64, call: &str) -> Result<Vec<f64>> {
    let mut page = browser.page()?;
    page.resize(1366, 768)?;
    page.open(&format!("{address}?measure"))?;
    page.wait_until_live()?;
    if page.evaluate("typeof window.halfrowMeasure")? != "object" {
        return Err(Trouble("the page offers no halfrowMeasure".into()));
    }
    page.throttle(slower)?;
    let answer = page.evaluate(&format!(
        "Promise.resolve(halfrowMeasure.{call}).then((times) => Array.from([times].flat(), Number))"
    ))?;
    page.throttle(1.0)?;
    page.close()?;
    let times: Vec<f64> =
        answer.as_array().into_iter().flatten().filter_map(serde_json::Value::as_f64).collect();
    if times.is_empty() {
        return Err(Trouble(format!("{call} gave no times")));
    }
    Ok(times)
}

/// Milliseconds from navigation until the page has taken its first click-ready frame, in a browser
/// that has never seen it; the middle one of three.
fn time_to_live(address: &str) -> Result<f64> {
    let mut times = Vec::new();
    for _ in 0..3 {
        let mut browser = Browser::start()?;
        let mut page: Page = browser.page()?;
        page.resize(1366, 768)?;
        page.throttle(4.0)?;
        page.open(address)?;
        page.wait_until_live()?;
        let mark = page.evaluate("performance.getEntriesByName('halfrow-ready')[0].startTime")?;
        times.push(mark.as_f64().ok_or_else(|| Trouble("the page set no mark".into()))?);
    }
    Ok(quantile(times, 0.5))
}

/// The value below which this share of the times lies.
fn quantile(mut times: Vec<f64>, share: f64) -> f64 {
    times.sort_by(f64::total_cmp);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and the number of times"
    )]
    let place = (share * times.len() as f64).ceil() as usize;
    times[place.clamp(1, times.len()) - 1]
}

fn kilo(bytes: usize) -> f64 {
    bytes as f64 / 1000.0
}

/// Prints the table; how many rows miss their budget.
fn table(rows: &[Measure]) -> usize {
    let mut missed = 0;
    println!("   {:>9} {:>9}        what", "measured", "budget");
    for Measure { what, value, budget, unit } in rows {
        let (shown, verdict) = match value {
            Ok(value) if value <= budget => (format!("{value:.1}"), "holds".to_owned()),
            Ok(value) => (format!("{value:.1}"), "MISSED".to_owned()),
            Err(trouble) => ("-".to_owned(), format!("NOT MEASURED: {trouble}")),
        };
        missed += usize::from(verdict != "holds");
        println!("   {shown:>9} {budget:>9.0} {unit:<6} {what}: {verdict}");
    }
    missed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_are_those_of_the_nearest_rank() {
        let times: Vec<f64> = (1..=100).rev().map(f64::from).collect();
        assert_eq!(quantile(times.clone(), 0.95), 95.0);
        assert_eq!(quantile(times, 0.5), 50.0);
        assert_eq!(quantile(vec![7.0], 0.95), 7.0);
    }

    #[test]
    fn what_was_not_measured_counts_as_missed() {
        let row = |value| Measure { what: "x", value, budget: 1.0, unit: "ms" };
        assert_eq!(table(&[row(Ok(1.0)), row(Ok(1.1)), row(Err(Trouble("gone".into())))]), 2);
    }
}
