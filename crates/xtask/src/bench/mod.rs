//! `cargo xtask bench`: how fast the engine and the page are, against their budgets.
//!
//! Built with its feature `measure`, and with `?measure` in its address, the page offers
//! `window.halfrow_measure`:
//!
//! - `solve60()`: microseconds that one operating point of a 60-part bench on a full board takes.
//! - `lu60()`: microseconds of a dense LU, and [`mod@reference`] has a fixed piece of work on the DOM: budgets of
//!   time are scaled by them.
//! - `spans()`: the milliseconds that each kind of work has taken since it was last asked.
//! - `open(name)`: opens a bench whose clock runs.

mod crowd;
mod drag;
mod reference;

use crate::failure::{Failure, Outcome};
use crate::shots::told;
use crate::test::{need_chromium, wasm_lu};
use crate::tools::{self, cargo, heading, run, say};
use crate::{build, house, npm, serve, squeeze};
use halfrow_browser::browser::Browser;
use halfrow_browser::page::Page;
use halfrow_browser::wire::{Result, Trouble};

/// One line of the table.
struct Measure {
    what: String,
    value: Result<f64>,
    budget: f64,
    unit: &'static str,
    /// Whether more is better: then the budget is the least.
    at_least: bool,
}

impl Measure {
    /// What may be this much and no more.
    fn at_most(what: impl Into<String>, value: Result<f64>, budget: f64, unit: &'static str) -> Measure {
        Measure { what: what.into(), value, budget, unit, at_least: false }
    }
}

/// Measures how long a leg takes to move and to drop, and where a drop's time goes. `fast` uses what the last
/// build of the page with its measuring functions left.
pub fn drags(fast: bool) -> Outcome {
    if !fast {
        build::build_measured()?;
    }
    heading("bench: in the browser");
    need_chromium()?;
    let server = serve::open_folder(&house::target().join("measured"), 0)?;
    let mut browser = Browser::start().map_err(told)?;
    let speed = reference::measure(&mut browser, &server.address()).map_err(told)?;
    let mut rows = Vec::new();
    drag_rows(&mut rows, &mut browser, &server.address(), speed)?;
    for stage in drag::stages().map_err(told)? {
        drag::profile(&mut browser, &server.address(), &stage).map_err(told)?;
    }
    verdict(&rows)
}

/// A row for moves and one for drops on each bench, at full speed and on a slow processor.
fn drag_rows(
    rows: &mut Vec<Measure>,
    browser: &mut Browser,
    address: &str,
    speed: reference::Speed,
) -> Outcome {
    for stage in drag::stages().map_err(told)? {
        for slower in [1.0, 6.0] {
            let millis = if slower == 1.0 || stage.rests { 16.0 } else { 50.0 };
            let drags = drag::measure(browser, address, &stage, slower);

            for what in ["move", "drop"] {
                let value = match &drags {
                    Ok(it) => Ok(quantile(if what == "move" { &it.moves } else { &it.drops }.clone(), 0.95)),
                    Err(trouble) => Err(Trouble(trouble.to_string())),
                };
                let what = format!("{}: a leg's {what} to its frame, p95, {slower} times slower", stage.name);
                rows.push(Measure::at_most(what, value, millis * speed.draws, "ms"));
            }
        }
    }
    Ok(())
}

/// Prints the table; an error where a budget is missed.
fn verdict(rows: &[Measure]) -> Outcome {
    match table(rows) {
        0 => Ok(()),
        missed => Err(Failure::Check(format!("{missed} of {} measures miss their budget", rows.len()))),
    }
}

/// Measures all. `fast` uses what the last build of the page with its measuring functions left.
pub fn bench(fast: bool) -> Outcome {
    let native = native();
    let lu = if fast { Ok(()) } else { wasm_lu() };
    if !fast {
        build::build_measured()?;
        build::build(build::Wanted::Optimised)?;
    }
    heading("bench: in the browser");
    need_chromium()?;
    let server = serve::open_folder(&house::target().join("measured"), 0)?;
    let address = server.address();
    let mut rows = sizes()?;
    let mut browser = Browser::start().map_err(told)?;
    let speed = reference::measure(&mut browser, &address).map_err(told)?;
    let solved = solve_in_wasm(&mut browser, &address);
    rows.push(Measure::at_most(
        "60-part operating point in wasm, median",
        solved,
        120.0 * speed.computes,
        "us",
    ));
    drag_rows(&mut rows, &mut browser, &address, speed)?;
    clock_rows(&mut rows, &mut browser, &address, speed);
    crowd_rows(&mut rows, &mut browser, &address, speed);
    drop(browser);
    start_rows(&mut rows, &address, speed);
    let verdict = verdict(&rows);
    native?;
    lu?;
    verdict
}

/// What the page weighs.
fn sizes() -> Outcome<Vec<Measure>> {
    let [wasm, visit] = squeeze::sums(&house::dist())?;
    Ok(vec![
        Measure::at_most("wasm, brotli", Ok(kilo(wasm)), kilo(squeeze::WASM_LIMIT), "kB"),
        Measure::at_most("first visit, brotli", Ok(kilo(visit)), kilo(squeeze::VISIT_LIMIT), "kB"),
    ])
}

/// Rows for benches whose clock runs.
fn clock_rows(rows: &mut Vec<Measure>, browser: &mut Browser, address: &str, speed: reference::Speed) {
    for (name, what, budget) in [
        ("blinker", "555 at 1 kHz: a frame's work, mean, processor 6 times slower", 4.0),
        ("lights", "counter with eight LEDs at 10 Hz: a frame's work, mean, 6 times slower", 2.0),
    ] {
        let [mean, longest, pace] = match frames(browser, address, name) {
            Ok(all) => all.map(Ok),
            Err(trouble) => {
                [Err(Trouble(trouble.to_string())), Err(Trouble(String::new())), Err(Trouble(String::new()))]
            }
        };
        rows.push(Measure::at_most(what, mean, budget * speed.draws, "ms"));
        rows.push(Measure::at_most("the longest of these frames", longest, 50.0 * speed.draws, "ms"));
        rows.push(Measure::at_most("real seconds that ten of its seconds take", pace, 10.5, "s"));
    }
    let what = "the longest frame of all examples, processor 6 times slower";
    rows.push(Measure::at_most(what, longest_of_examples(browser, address), 50.0 * speed.draws, "ms"));
    let what = "the longest frame of 20 benches thrown by chance, processor 6 times slower";
    rows.push(Measure::at_most(what, longest_of_chance(browser, address), 50.0 * speed.draws, "ms"));
}

/// Rows for three hundred parts, and for buttons that are held.
fn crowd_rows(rows: &mut Vec<Measure>, browser: &mut Browser, address: &str, speed: reference::Speed) {
    let tasks = crowd::longest_tasks(browser, address);
    for (place, when) in ["at the start", "when a leg is moved"].into_iter().enumerate() {
        let value = tasks.as_ref().map(|all| all[place]).map_err(|trouble| Trouble(trouble.to_string()));
        let what = format!("the longest task of 300 parts, {when}");
        rows.push(Measure::at_most(what, value, 50.0 * speed.draws, "ms"));
    }
    rows.push(Measure {
        what: "frames a second while a button is held, fewest of all examples, 4 times slower".into(),
        value: crowd::fewest_frames(browser, address, 4.0),
        budget: 50.0,
        unit: "/s",
        at_least: true,
    });
}

/// Rows for the first visit.
fn start_rows(rows: &mut Vec<Measure>, address: &str, speed: reference::Speed) {
    let what = "interactive after, first visit, processor 4 times slower";
    rows.push(Measure::at_most(what, time_to_live(address), 1000.0 * speed.draws, "ms"));
    let points = npm::install().and_then(|()| npm::performance()).map(|score| 100.0 - score);
    let points = points.map_err(|failure| Trouble(failure.to_string()));
    let what = "points of 100 that Lighthouse takes off for speed";
    rows.push(Measure::at_most(what, points, 100.0 - npm::PERFORMANCE_LIMIT, ""));
}

fn native() -> Outcome {
    heading("bench: native");
    // What only compares brings its own solver, which nothing else is built with.
    for (program, features) in [("bench_solve", ""), ("bench_time", ""), ("bench_lu", "faer")] {
        let words = ["run", "--quiet", "--locked", "--profile", "fast", "--package", "halfrow-outside"];
        run(cargo().args(words).args(["--bin", program, "--features", features]))?;
    }
    Ok(())
}

/// How often the page is asked for its solving time; the first answers are from before the browser
/// has compiled the module for speed.
const SOLVES: usize = 200;

/// A tab with the page live and its measuring functions there.
fn measuring_page(browser: &mut Browser, address: &str) -> Result<Page> {
    let mut page = browser.page()?;
    page.resize(1366, 768)?;
    page.open(address)?;
    if let Err(trouble) = page.wait_until_live() {
        let said = page.text("#halt-detail").unwrap_or_default();
        return Err(Trouble(format!("{trouble}; {said} {}", page.errors()?.join("; "))));
    }
    if page.evaluate("typeof window.halfrow_measure")? != "object" {
        return Err(Trouble("the page offers no halfrow_measure".into()));
    }
    Ok(page)
}

/// Microseconds for one operating point, as the page's own clock sees it.
fn solve_in_wasm(browser: &mut Browser, address: &str) -> Result<f64> {
    let mut page = measuring_page(browser, &format!("{address}?measure"))?;
    let answer = page.evaluate(&format!(
        "(async () => {{ const times = []; \
         for (let i = 0; i < {SOLVES}; i++) times.push(await halfrow_measure.solve60()); \
         return times.flatMap((time) => Array.from([time].flat(), Number)); }})()"
    ))?;
    page.close()?;
    let times = numbers(&answer);
    if times.is_empty() {
        return Err(Trouble("solve60 gave no times".into()));
    }
    Ok(quantile(times, 0.5))
}

/// Lets `frameTimes` grow by the work of each frame, milliseconds.
const TIME_FRAMES: &str = "(() => { const ask = requestAnimationFrame.bind(window); window.frameTimes = []; \
     window.requestAnimationFrame = (run) => ask((at) => { const from = performance.now(); run(at); \
     Promise.resolve().then(() => {}).then(() => frameTimes.push(performance.now() - from)); }); })()";

/// The longest frame of all examples that take time, milliseconds.
fn longest_of_examples(browser: &mut Browser, address: &str) -> Result<f64> {
    let all = examples()?.into_iter().map(|name| (format!("{address}?example={name}"), name));
    longest_frame("examples", browser, all)
}

/// Links to benches thrown by chance, a line each.
fn thrown(words: &[&str]) -> Result<String> {
    let program = ["run", "--quiet", "--locked", "--package", "halfrow-laws", "--bin", "thrown_links", "--"];
    tools::output(cargo().args(program).args(words)).map_err(|failure| Trouble(failure.to_string()))
}

/// The longest frame of benches of up to forty parts of all kinds, thrown at boards by chance. Many have no
/// voltages that are easy to find, hum at megahertz, or burn.
fn longest_of_chance(browser: &mut Browser, address: &str) -> Result<f64> {
    let links = thrown(&[])?;
    let all = links.lines().map(|line| {
        let (seed, link) = line.split_once(' ').unwrap_or(("?", line));
        (format!("{address}{link}"), format!("seed {seed}"))
    });
    longest_frame("benches thrown by chance", browser, all)
}

/// The longest frame of these addresses, milliseconds. Each runs for three seconds on a processor a sixth as
/// fast.
fn longest_frame(
    what: &str,
    browser: &mut Browser,
    all: impl Iterator<Item = (String, String)>,
) -> Result<f64> {
    let mut longest = (0.0, String::new());
    for (address, name) in all {
        let mut page = browser.page()?;
        page.resize(1366, 768)?;
        page.open(&address)?;
        page.wait_until_live()?;
        page.evaluate(TIME_FRAMES)?;
        page.evaluate("new Promise((done) => setTimeout(done, 1000))")?;
        page.throttle(6.0)?;
        let answer = page.evaluate(
            "(async () => { frameTimes.length = 0; await new Promise((done) => setTimeout(done, 3000)); return frameTimes; })()",
        )?;
        page.throttle(1.0)?;
        page.close()?;
        let worst = numbers(&answer).into_iter().fold(0.0, f64::max);
        if worst > longest.0 {
            longest = (worst, name);
        }
    }
    say(&format!("the longest frame of all {what}: {:.1} ms, {}", longest.0, longest.1));
    Ok(longest.0)
}

/// The names of the examples.
fn examples() -> Result<Vec<String>> {
    let folder = house::root().join("crates/file/src/examples");
    let files = std::fs::read_dir(&folder).map_err(|error| Trouble(error.to_string()))?;
    let names = files.flatten().filter_map(|file| {
        let name = file.file_name().to_string_lossy().into_owned();
        name.strip_suffix(".json").map(str::to_owned)
    });
    let mut names: Vec<String> = names.collect();
    names.sort();
    if names.is_empty() { Err(Trouble("there are no examples".into())) } else { Ok(names) }
}

/// How long the frames of a running bench work: the mean and the longest, milliseconds, and
/// how many real seconds ten simulated ones take. A frame's work is what its callback does and what
/// that sets off at once, such as drawing the page anew.
fn frames(browser: &mut Browser, address: &str, bench: &str) -> Result<[f64; 3]> {
    let mut page = measuring_page(browser, &format!("{address}?measure"))?;
    page.evaluate(TIME_FRAMES)?;
    page.evaluate(&format!("halfrow_measure.open('{bench}')"))?;
    // Unhurried first, so that the module is compiled for speed.
    page.evaluate("new Promise((done) => setTimeout(done, 2000))")?;
    page.throttle(6.0)?;
    let answer = page.evaluate(
        "(async () => { const wait = (ms) => new Promise((done) => setTimeout(done, ms)); \
         await wait(1000); frameTimes.length = 0; \
         const clock = () => parseFloat(document.getElementById('clock-time').textContent); \
         const [from, shown] = [performance.now(), clock()]; await wait(6000); \
         const pace = (performance.now() - from) / 100 / Math.max(clock() - shown, 1e-3); \
         return [pace, ...frameTimes]; })()",
    )?;
    page.throttle(1.0)?;
    page.close()?;
    let mut times = numbers(&answer);
    if times.len() < 60 {
        return Err(Trouble("too few frames were drawn".into()));
    }
    let pace = times.remove(0);
    say(&format!(
        "frames of the {bench}: median {:.1} ms, 95 % within {:.1} ms",
        quantile(times.clone(), 0.5),
        quantile(times.clone(), 0.95)
    ));
    let mean = times.iter().sum::<f64>() / times.len() as f64;
    Ok([mean, quantile(times, 1.0), pace])
}

fn numbers(answer: &serde_json::Value) -> Vec<f64> {
    answer.as_array().into_iter().flatten().filter_map(serde_json::Value::as_f64).collect()
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
    for Measure { what, value, budget, unit, at_least } in rows {
        let (shown, verdict) = match value {
            Ok(value) if (value <= budget) != *at_least || value == budget => {
                (format!("{value:.1}"), "holds".to_owned())
            }
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
        let row = |value| Measure { what: "x".into(), value, budget: 1.0, unit: "ms", at_least: false };
        assert_eq!(table(&[row(Ok(1.0)), row(Ok(1.1)), row(Err(Trouble("gone".into())))]), 2);
    }
}
