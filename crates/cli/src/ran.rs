//! A bench whose clock runs: a table of what is watched over time.

use std::ffi::OsString;
use std::fmt;

use halfrow_core::amount;
use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Strip};
use halfrow_core::time::{Care, Run, Stall};
use halfrow_file::actions::{Deed, Timed};
use serde_json::{Value, json};

use crate::layout::Table;
use crate::solved::title;

/// The most rows of a table: a million, which a spreadsheet still opens.
const MAX_ROWS: f64 = 1e6;

/// The most readings in all of them: some hundred megabytes of text.
const MAX_READINGS: f64 = 4e6;

/// Steps of the clock before it is asked whether somebody means it.
pub const MAX_STEPS: u64 = 20_000_000;

/// What `run` was asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// The bench file.
    pub bench: OsString,
    /// A file of timed actions.
    pub actions: Option<OsString>,
    /// How long, seconds.
    pub seconds: f64,
    /// A row every so many seconds.
    pub every: f64,
    /// Holes, parts and legs to watch.
    pub watch: Vec<String>,
    /// Rows separated by commas rather than a table.
    pub csv: bool,
    /// As closely as the page computes rather than as closely as is useful.
    pub live: bool,
    /// Steps at most.
    pub steps: u64,
}

/// Why a bench can't be run as asked.
#[derive(Clone, Debug, PartialEq)]
pub enum BadRun {
    /// Nothing to watch by that name.
    Unknown {
        /// The word.
        word: String,
    },
    /// More rows than a table should have.
    TooManyRows,
    /// More readings than a table should have.
    TooManyReadings,
    /// The clock is slower than somebody would wait for.
    TooSlow {
        /// How far it got, seconds.
        reached: f64,
        /// In so many steps.
        steps: u64,
    },
    /// An action can't be done.
    Action {
        /// When, seconds.
        at: f64,
        /// Why.
        says: String,
    },
}

impl fmt::Display for BadRun {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BadRun::Unknown { word } if Hole::parse(word).is_some() => {
                write!(f, "--watch: no leg is in the row of {word}.")
            }
            BadRun::Unknown { word } => write!(
                f,
                "--watch: “{word}” is neither a hole with a leg in its row (e5) nor a part (R1) nor one of its legs (D1.A)."
            ),
            BadRun::TooManyRows => {
                write!(f, "that makes more than {MAX_ROWS} rows. Take a longer --every or a shorter --for.")
            }
            BadRun::TooManyReadings => write!(
                f,
                "that makes more than {MAX_READINGS} readings. Take a longer --every, or watch less."
            ),
            BadRun::TooSlow { reached, steps } => write!(
                f,
                "after {steps} steps the clock stands at {}: the circuit is very fast. Take a shorter --for, or more --steps.",
                amount::time(*reached)
            ),
            BadRun::Action { at, says } => write!(f, "the action at {at} s can’t be done: {says}."),
        }
    }
}

/// What is watched.
enum Probe {
    Volts(Strip),
    Amps(LegId),
}

/// What came of a run.
#[derive(Debug)]
pub struct Ran {
    every: f64,
    watch: Vec<(String, bool)>,
    seconds: Vec<f64>,
    /// A column a probe; `None` where nothing ties a strip to a supply.
    columns: Vec<Vec<Option<f64>>>,
    /// When, which part, what.
    events: Vec<(f64, String, &'static str, String)>,
    effort: Value,
}

impl Ran {
    /// Whether something went wrong on the bench.
    pub fn has_events(&self) -> bool {
        !self.events.is_empty()
    }
}

/// Runs a bench.
///
/// # Errors
/// When it can't be run as asked.
pub fn run(bench: &Bench, actions: &[Timed], wanted: &Wanted) -> Result<Ran, BadRun> {
    let rows = wanted.seconds / wanted.every;
    if rows > MAX_ROWS {
        return Err(BadRun::TooManyRows);
    }
    if rows * wanted.watch.len() as f64 > MAX_READINGS {
        return Err(BadRun::TooManyReadings);
    }
    let mut run = Run::new(bench, if wanted.live { Care::LIVE } else { Care::CLOSE });
    let probes: Vec<Probe> =
        wanted.watch.iter().map(|word| probe(bench, &run, actions, word)).collect::<Result<_, _>>()?;
    let mut ran = Ran {
        every: wanted.every,
        watch: wanted
            .watch
            .iter()
            .cloned()
            .zip(probes.iter().map(|it| matches!(it, Probe::Volts(_))))
            .collect(),
        seconds: Vec::new(),
        columns: vec![Vec::new(); probes.len()],
        events: Vec::new(),
        effort: Value::Null,
    };
    let mut events = Events { told: Vec::new(), until: wanted.seconds };
    let mut actions = actions.iter().peekable();
    let last_row = (rows + 1e-9).floor() as u64;
    // After the last row, what is left of the time asked for.
    let times = (0..=last_row).map(|row| (time_of_row(row, wanted.every).min(wanted.seconds), true));
    'rows: for (time, is_row) in times.chain([(wanted.seconds, false)]) {
        while let Some(action) = actions.next_if(|action| action.at <= time) {
            until(&mut run, action.at, wanted.steps)?;
            if run.stalled().is_some() {
                break 'rows;
            }
            run.rewind_to(action.at);
            events.collect(&run);
            do_it(&mut run, action)?;
        }
        until(&mut run, time, wanted.steps)?;
        // Where the clock stands still there are no voltages to tell.
        if run.stalled().is_some() && run.time() <= time {
            break;
        }
        if !is_row {
            continue;
        }
        ran.seconds.push(time);
        for (column, probe) in ran.columns.iter_mut().zip(&probes) {
            column.push(match *probe {
                Probe::Volts(strip) => run.strip_volts(strip, time),
                Probe::Amps(leg) => Some(run.pin_amps(leg, time)),
            });
        }
    }
    events.collect(&run);
    for (at, part) in events.told {
        let it = bench.part(part);
        let says = it.card.wear.map_or("", |wear| wear.says);
        ran.events.push((at, it.id.clone(), "burnt", says.to_owned()));
    }
    if let Some(stall) = run.stalled() {
        let part = bench.part(stall.part()).id.clone();
        let (at, says) = match stall {
            Stall::NoConvergence { time, .. } => (time, "no voltages were found that fit together"),
            Stall::Restless { time, .. } => (time, "parts change each other’s minds without end"),
        };
        // The last step may have led past the end.
        if at <= wanted.seconds {
            ran.events.push((at, part, "stopped", says.to_owned()));
        }
    }
    let effort = run.effort();
    ran.effort = json!({
        "steps": effort.steps,
        "retries": effort.retries,
        "iterations": effort.iterations,
        "factorisations": effort.factorisations,
        "events": effort.events,
    });
    Ok(ran)
}

/// What has burnt out so far. A run forgets it with the part that is replaced.
struct Events {
    told: Vec<(f64, PartIx)>,
    /// Nothing later is told, seconds.
    until: f64,
}

impl Events {
    /// Takes down what a run knows and is not told yet. What may still be taken back must not be
    /// among it: the clock has been set back to the moment of the next deed.
    fn collect(&mut self, run: &Run) {
        for &event in run.burnt() {
            if event.0 <= self.until && !self.told.contains(&event) {
                self.told.push(event);
            }
        }
    }
}

/// When a row is, seconds: to fifteen digits, which a product of two numbers keeps and which shows
/// 0.3 rather than 0.30000000000000004.
fn time_of_row(row: u64, every: f64) -> f64 {
    let product = row as f64 * every;
    format!("{product:.14e}").parse().unwrap_or(product)
}

/// Lets the clock run to a time, with so many steps in the whole run.
fn until(run: &mut Run, time: f64, steps: u64) -> Result<(), BadRun> {
    loop {
        // A step back to a deed counts as a step too.
        let left = steps.saturating_sub(run.effort().steps);
        if run.until(time, left.min(10_000) as u32) {
            return Ok(());
        }
        let taken = run.effort().steps;
        if left == 0 {
            return Err(BadRun::TooSlow { reached: run.time(), steps: taken });
        }
    }
}

fn do_it(run: &mut Run, action: &Timed) -> Result<(), BadRun> {
    let mut bench = run.bench().clone();
    match &action.deed {
        Deed::Set(part, values) => {
            for &(param, value) in values {
                bench.parts[part.0].values[param] = value;
            }
        }
        Deed::Move(leg, hole) => bench
            .put_leg(*leg, *hole)
            .map_err(|error| BadRun::Action { at: action.at, says: error.to_string() })?,
        Deed::Tap => bench.taps = bench.taps.wrapping_add(1),
        Deed::Replace(part) => {
            run.replace(*part);
            return Ok(());
        }
    }
    run.set_bench(&bench);
    Ok(())
}

/// What a word of `--watch` means: a hole, a part, a leg of a part.
fn probe(bench: &Bench, run: &Run, actions: &[Timed], word: &str) -> Result<Probe, BadRun> {
    let unknown = || BadRun::Unknown { word: word.to_owned() };
    if let Some(hole) = Hole::parse(word) {
        let strip = bench.strip(hole).ok_or_else(unknown)?;
        let comes =
            |it: &Timed| matches!(it.deed, Deed::Move(_, Some(hole)) if bench.strip(hole) == Some(strip));
        let there = run.strip_is_there(strip) || actions.iter().any(comes);
        return if there { Ok(Probe::Volts(strip)) } else { Err(unknown()) };
    }
    let (id, pin) = word.split_once('.').map_or((word, None), |(id, pin)| (id, Some(pin)));
    let part: PartIx = bench.find(id).ok_or_else(unknown)?;
    let pin = match pin {
        None => 0,
        Some(name) => bench.part(part).card.pin(name).ok_or_else(unknown)?,
    };
    Ok(Probe::Amps(LegId { part, pin }))
}

/// For programs.
pub fn value(ran: &Ran) -> Value {
    let watch: Vec<Value> = ran
        .watch
        .iter()
        .zip(&ran.columns)
        .map(|((at, volts), column)| json!({ "at": at, (if *volts { "volts" } else { "amps" }): column }))
        .collect();
    let events: Vec<Value> = ran
        .events
        .iter()
        .map(|(at, part, what, says)| json!({ "at": at, "part": part, "what": what, "says": says }))
        .collect();
    json!({
        "every": ran.every,
        "seconds": ran.seconds,
        "watch": watch,
        "events": events,
        "effort": ran.effort,
    })
}

/// Rows for a spreadsheet: seconds, then volts or amperes, with the shortest digits that read back to
/// the same number.
pub fn csv(ran: &Ran) -> String {
    let mut text = String::from("seconds");
    for (at, volts) in &ran.watch {
        text += &format!(",{at} {}", if *volts { "V" } else { "A" });
    }
    text.push('\n');
    for (row, time) in ran.seconds.iter().enumerate() {
        text += &time.to_string();
        for column in &ran.columns {
            text.push(',');
            if let Some(value) = column[row] {
                text += &value.to_string();
            }
        }
        text.push('\n');
    }
    text
}

/// For people.
pub fn text(bench: &Bench, ran: &Ran) -> String {
    let headings: Vec<String> =
        std::iter::once(">Time".to_owned()).chain(ran.watch.iter().map(|(at, _)| format!(">{at}"))).collect();
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    let mut table = Table::new(&headings);
    for (row, time) in ran.seconds.iter().enumerate() {
        let cells = ran.columns.iter().zip(&ran.watch).map(|(column, (_, volts))| match column[row] {
            None => "–".to_owned(),
            Some(value) if *volts => amount::volts(value),
            Some(value) => amount::amps(value),
        });
        table.row(std::iter::once(amount::time(*time)).chain(cells));
    }
    let mut text = format!("{}\n\n{}", title(bench), table.text());
    for (at, part, what, says) in &ran.events {
        let at = amount::time(*at);
        text += &match *what {
            "burnt" => format!("\nAt {at} {part} burns out: {says}.\n"),
            _ => format!("\nAt {at} the clock stops at {part}: {says}.\n"),
        };
    }
    text
}

/// A length of time: `2s`, `10ms`, `5us` or `5µs`, `100ns`, above zero and at most a day.
pub fn seconds(word: &str) -> Option<f64> {
    let split = word.find(|c: char| c.is_ascii_alphabetic() || c == 'µ' || c == 'μ')?;
    let (number, unit) = word.split_at(split);
    // Only digits and a point: "1e3" or "inf" would read as numbers too.
    if !number.chars().all(|c| c.is_ascii_digit() || c == '.') {
        return None;
    }
    // One division rather than a product with a rounded factor: 10ms is 0.01 to the bit.
    let parts = match unit {
        "s" => 1.0,
        "ms" => 1e3,
        "us" | "µs" | "μs" => 1e6,
        "ns" => 1e9,
        _ => return None,
    };
    let seconds = number.parse::<f64>().ok()? / parts;
    (seconds > 0.0 && seconds <= halfrow_file::actions::MAX_SECONDS).then_some(seconds)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_of_time_need_a_unit() {
        for (word, told) in [
            ("2s", Some(2.0)),
            ("10ms", Some(0.01)),
            ("5us", Some(5e-6)),
            ("5µs", Some(5e-6)),
            ("0.5s", Some(0.5)),
            ("100ns", Some(1e-7)),
            ("2", None),
            ("-2s", None),
            ("0s", None),
            ("1e9s", None),
            ("infs", None),
            ("1,5s", None),
            ("90000s", None),
        ] {
            assert_eq!(seconds(word), told, "{word}");
        }
    }

    #[test]
    fn rows_stand_at_the_times_that_a_person_writes() {
        for (row, every, time) in [
            (3, 0.1, 0.3),
            (7, 0.01, 0.07),
            (57, 0.01, 0.57),
            (999_999, 1e-7, 0.099_999_9),
            (86_400, 1.0, 86_400.0),
            (0, 0.1, 0.0),
        ] {
            assert_eq!(time_of_row(row, every), time, "{row} * {every}");
        }
    }
}
