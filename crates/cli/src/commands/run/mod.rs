//! `halfrow run`: a bench whose clock runs, as a table of what is watched over time.
//!
//! [`clock`] lets it run, [`watch`] looks on, [`table`] tells what came of it.

mod clock;
mod table;
mod watch;

use std::ffi::OsString;
use std::io::Write;

use clap::Args;
use halfrow_core::number;
use halfrow_instruments::wired;

use super::{Answer, BenchFile, lines};
use crate::failure::Failure;
use crate::request::BadRequest;
use crate::{Output, input};
use clock::{MAX_STEPS, Wanted};
use watch::Watch;

/// Runs a bench over time, from when its power comes on
#[derive(Args)]
pub struct Run {
    #[command(flatten)]
    bench: BenchFile,
    /// How long: s, ms, us or ns, up to a day
    #[arg(long = "for", value_name = "TIME", value_parser = seconds, allow_hyphen_values = true)]
    seconds: f64,
    /// How long from one row to the next
    #[arg(long, value_name = "TIME", value_parser = seconds, allow_hyphen_values = true, default_value = "10ms")]
    every: f64,
    /// Holes (their voltage), parts and legs (the current into them): e5,R1,D1.K
    #[arg(long, value_name = "PLACES", value_delimiter = ',')]
    watch: Vec<String>,
    /// What is done meanwhile: buttons, legs and knobs at their times
    #[arg(long, value_name = "FILE", value_hint = clap::ValueHint::FilePath)]
    actions: Option<OsString>,
    /// Print rows for a spreadsheet
    #[arg(long)]
    csv: bool,
    /// Compute as closely as the page does; otherwise about a hundred times closer
    #[arg(long)]
    live: bool,
    /// Give up after this many steps
    #[arg(long, value_name = "COUNT", default_value_t = MAX_STEPS)]
    steps: u64,
    /// Give up when a second of work brings less of the bench’s time than this
    #[arg(long, value_name = "TIME", value_parser = seconds, allow_hyphen_values = true, default_value = "1us")]
    pace: f64,
}

impl Answer for Run {
    const NAME: &'static str = "run";

    fn answer(&self, json: bool) -> Result<Output, Failure> {
        if self.bench.path == "-" && self.actions.as_ref().is_some_and(|it| it == "-") {
            return Err(BadRequest::TwoInputs.into());
        }
        let mut watch = Watch::new(self.seconds, self.pace);
        // A meter on the bench is part of its circuit.
        let bench = wired(&self.bench.read()?).bench;
        let actions = match &self.actions {
            Some(path) => input::actions(path, &bench)?,
            None => Vec::new(),
        };
        let wanted = Wanted {
            seconds: self.seconds,
            every: self.every,
            watch: self.watch.iter().filter(|it| !it.is_empty()).cloned().collect(),
            live: self.live,
            steps: self.steps,
            pace: self.pace,
        };
        let ran = clock::run(&bench, &actions, &wanted, &mut watch);
        watch.close();
        let ran = ran?;
        if let Some(words) = table::interrupted(&ran) {
            // With standard error closed there is nobody to tell.
            let _ = std::io::stderr().write_all(words.as_bytes());
        }
        let text = if json {
            lines(&table::value(&ran))
        } else if self.csv {
            table::csv(&ran)
        } else {
            table::text(&bench, &ran)
        };
        Ok(Output { text, findings: ran.has_events() })
    }
}

/// A length of time: `2s`, `10ms`, `5us` or `5µs`, `100ns`, above zero and at most a day.
pub fn seconds(word: &str) -> Result<f64, String> {
    length_of_time(word).ok_or_else(|| "not a length of time".to_owned())
}

fn length_of_time(word: &str) -> Option<f64> {
    let seconds = number::read_time(word)?;
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
            ("1,5s", Some(1.5)),
            ("90000s", None),
        ] {
            assert_eq!(length_of_time(word), told, "{word}");
        }
    }
}
