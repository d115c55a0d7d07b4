//! A bench whose clock runs, and what was watched meanwhile.

use std::fmt;
use std::ops::ControlFlow;

use halfrow_core::amount;
use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::Unit;
use halfrow_core::probe::Probe;
use halfrow_core::time::{Care, Run, Stall};
use halfrow_file::actions::{Deed, Timed};
use serde_json::{Value, json};

use super::watch::{Verdict, Watch};
use crate::failure::Failure;

/// The most rows of a table: a million, which a spreadsheet still opens.
const MAX_ROWS: f64 = 1e6;

/// The most readings in all of them: some hundred megabytes of text.
const MAX_READINGS: f64 = 4e6;

/// Steps of the clock before it is asked whether somebody means it.
pub const MAX_STEPS: u64 = 20_000_000;

/// What `run` was asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// How long, seconds.
    pub seconds: f64,
    /// A row every so many seconds.
    pub every: f64,
    /// Holes, parts and legs to watch.
    pub watch: Vec<String>,
    /// As closely as the page computes rather than as closely as is useful.
    pub live: bool,
    /// Steps at most.
    pub steps: u64,
    /// How many seconds of the bench's time a second of work must bring.
    pub pace: f64,
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
    /// A second of work brings too little of the bench's time.
    TooFewSeconds {
        /// How far it got, seconds.
        reached: f64,
        /// What a second brought, seconds.
        rate: f64,
        /// What it was to bring, seconds.
        least: f64,
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
            BadRun::TooFewSeconds { reached, rate, least } => write!(
                f,
                "given up at {}: the last 20 s of work brought {} of the bench’s time each, and --pace asks for {}. Take a shorter --for, or a smaller --pace.",
                amount::time(*reached),
                amount::time(*rate),
                amount::time(*least)
            ),
            BadRun::Action { at, says } => write!(f, "the action at {at} s can’t be done: {says}."),
        }
    }
}

impl From<BadRun> for Failure {
    fn from(bad: BadRun) -> Failure {
        Failure::Refused(bad.to_string())
    }
}

/// What came of a run.
#[derive(Debug)]
pub struct Ran {
    /// A row every so many seconds.
    pub every: f64,
    /// What was watched, and whether it has volts rather than amperes.
    pub watch: Vec<(String, bool)>,
    /// When each row is, seconds.
    pub seconds: Vec<f64>,
    /// A column a probe; `None` where nothing ties a strip to a supply.
    pub columns: Vec<Vec<Option<f64>>>,
    /// When, which part, what.
    pub events: Vec<(f64, String, &'static str, String)>,
    /// What the work was, counted.
    pub effort: Value,
    /// Where somebody ended it by Ctrl+C, seconds.
    pub interrupted: Option<f64>,
}

impl Ran {
    /// Whether something went wrong on the bench.
    pub fn has_events(&self) -> bool {
        !self.events.is_empty()
    }
}

impl Ran {
    /// Takes down what happened, and how much work it was.
    fn tell(&mut self, bench: &Bench, run: &Run, events: Events) {
        for &(at, part) in &events.told {
            let it = bench.part(part);
            let says = it.card.wear.map_or("", |wear| wear.says);
            self.events.push((at, it.id.clone(), "burnt", says.to_owned()));
        }
        if let Some(stall) = run.stalled() {
            let part = bench.part(stall.part()).id.clone();
            let (at, says) = match stall {
                Stall::NoConvergence { time, .. } => (time, "no voltages were found that fit together"),
                Stall::Restless { time, .. } => (time, "parts change each other’s minds without end"),
            };
            // The last step may have led past the end.
            if at <= events.until {
                self.events.push((at, part, "stopped", says.to_owned()));
            }
        }
        let effort = run.effort();
        self.effort = json!({
            "steps": effort.steps,
            "retries": effort.retries,
            "iterations": effort.iterations,
            "factorisations": effort.factorisations,
            "events": effort.events,
        });
    }
}

/// Runs a bench.
///
/// # Errors
/// When it can't be run as asked.
pub fn run(bench: &Bench, actions: &[Timed], wanted: &Wanted, watch: &mut Watch) -> Result<Ran, BadRun> {
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
        watch: wanted.watch.iter().cloned().zip(probes.iter().map(|it| it.unit() == Unit::Volt)).collect(),
        seconds: Vec::new(),
        columns: vec![Vec::new(); probes.len()],
        events: Vec::new(),
        effort: Value::Null,
        interrupted: None,
    };
    let mut events = Events { told: Vec::new(), until: wanted.seconds };
    let mut actions = actions.iter().peekable();
    let last_row = (rows + 1e-9).floor() as u64;
    // After the last row, what is left of the time asked for.
    let times = (0..=last_row).map(|row| (time_of_row(row, wanted.every).min(wanted.seconds), true));
    'rows: for (time, is_row) in times.chain([(wanted.seconds, false)]) {
        while let Some(action) = actions.next_if(|action| action.at <= time) {
            if until(&mut run, action.at, wanted, watch)?.is_break() {
                ran.interrupted = Some(run.time());
                break 'rows;
            }
            if run.stalled().is_some() {
                break 'rows;
            }
            run.rewind_to(action.at);
            events.collect(&run);
            do_it(&mut run, action)?;
        }
        if until(&mut run, time, wanted, watch)?.is_break() {
            ran.interrupted = Some(run.time());
            break;
        }
        // Where the clock stands still there are no voltages to tell.
        if run.stalled().is_some() && run.time() <= time {
            break;
        }
        if !is_row {
            continue;
        }
        ran.seconds.push(time);
        for (column, probe) in ran.columns.iter_mut().zip(&probes) {
            column.push(probe.read(&run, time));
        }
    }
    events.collect(&run);
    ran.tell(bench, &run, events);
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

/// Steps of the clock between two looks: some milliseconds of work, a second of it where every step is
/// hard to find.
const STEPS_A_LOOK: u64 = 500;

/// Lets the clock run to a time, with so many steps in the whole run; breaks off at Ctrl+C.
fn until(run: &mut Run, time: f64, wanted: &Wanted, watch: &mut Watch) -> Result<ControlFlow<()>, BadRun> {
    loop {
        match watch.look(run.time().min(time)) {
            Verdict::GoOn => {}
            Verdict::Stop => return Ok(ControlFlow::Break(())),
            Verdict::TooSlow { rate } => {
                return Err(BadRun::TooFewSeconds { reached: run.time(), rate, least: wanted.pace });
            }
        }
        // A step back to a deed counts as a step too.
        let left = wanted.steps.saturating_sub(run.effort().steps);
        if run.until(time, left.min(STEPS_A_LOOK) as u32) {
            return Ok(ControlFlow::Continue(()));
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

/// What a word of `--watch` means. A hole must have a leg in its row, now or by an action to come.
fn probe(bench: &Bench, run: &Run, actions: &[Timed], word: &str) -> Result<Probe, BadRun> {
    let unknown = || BadRun::Unknown { word: word.to_owned() };
    let probe = Probe::parse(bench, word).ok_or_else(unknown)?;
    if let Probe::Hole(hole) = probe {
        let strip = bench.strip(hole).ok_or_else(unknown)?;
        let comes =
            |it: &Timed| matches!(it.deed, Deed::Move(_, Some(hole)) if bench.strip(hole) == Some(strip));
        if !run.strip_is_there(strip) && !actions.iter().any(comes) {
            return Err(unknown());
        }
    }
    Ok(probe)
}

#[cfg(test)]
mod tests {
    use super::*;

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
