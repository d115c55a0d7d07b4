//! Steps of `cargo xtask test`: run with heading and time, counted, summed up in one line.

use crate::failure::{Failure, Outcome};
use crate::tools::{heading, line_of, say};
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// How a run of steps has gone so far.
#[derive(Default)]
pub struct Tally {
    passed: usize,
    failed: usize,
    lines: Vec<String>,
}

/// What a step that did not fail has to say.
pub enum Done {
    /// One check of its own held.
    Held,
    /// So many tests ran and passed.
    Tests(usize),
    /// It could not run here; the reason.
    Skipped(String),
}

impl Tally {
    /// Runs a step under a heading and counts it. Returns whether it did not fail.
    pub fn step(&mut self, name: &str, what: &str, run: impl FnOnce() -> Outcome<Done>) -> bool {
        heading(&format!("{name}: {what}"));
        let start = Instant::now();
        let outcome = run();
        let took = seconds(start.elapsed());
        let line = match &outcome {
            Ok(Done::Held) => {
                self.passed += 1;
                format!("{name}: holds ({took})")
            }
            Ok(Done::Tests(count)) => {
                self.passed += count;
                format!("{name}: {count} tests passed ({took})")
            }
            Ok(Done::Skipped(why)) => format!("{name}: skipped, {why}"),
            Err(failure) => {
                let (passed, failed) = match failure {
                    Failure::Tests { passed, failed } => (*passed, *failed),
                    _ => (0, 1),
                };
                self.passed += passed;
                self.failed += failed;
                format!("{name}: FAILED, {failure} ({took})")
            }
        };
        say(&line);
        self.lines.push(line);
        outcome.is_ok()
    }

    /// Prints the sum; an error when anything failed.
    pub fn close(self) -> Outcome {
        heading("all together");
        for line in &self.lines {
            println!("   {line}");
        }
        println!("\n{} passed, {} failed", self.passed, self.failed);
        match self.failed {
            0 => Ok(()),
            _ => Err(Failure::Check("Not everything passed.".into())),
        }
    }
}

/// Runs a command that prints test results, on the screen as they come, and counts them.
///
/// # Errors
/// When a test fails, the command does, or no test has run at all: a check that checks nothing.
pub fn run_tests(command: &mut Command) -> Outcome<Done> {
    let mut count = Count::default();
    count.add(command)?;
    count.close()
}

/// The same for several commands, all of which are run.
pub fn run_each(commands: Vec<Command>) -> Outcome<Done> {
    let mut count = Count::default();
    for mut command in commands {
        count.add(&mut command)?;
    }
    count.close()
}

/// How many tests passed and failed, and the first command that failed without a failing test.
#[derive(Default)]
struct Count {
    passed: usize,
    failed: usize,
    broken: Option<Failure>,
}

impl Count {
    fn add(&mut self, command: &mut Command) -> Outcome {
        let line = line_of(command);
        let stopped = |error: std::io::Error| Failure::Command {
            line: line.clone(),
            ended: format!("stopped: {error}"),
        };
        let mut child = command.stdin(Stdio::null()).stdout(Stdio::piped()).spawn().map_err(stopped)?;
        let before = self.failed;
        if let Some(output) = child.stdout.take() {
            for text in BufReader::new(output).split(b'\n') {
                let text = String::from_utf8_lossy(&text.map_err(stopped)?).into_owned();
                println!("{text}");
                if let Some((good, bad)) = result_line(&text) {
                    self.passed += good;
                    self.failed += bad;
                }
            }
        }
        let status = child.wait().map_err(stopped)?;
        if !status.success() && self.failed == before {
            self.broken.get_or_insert(Failure::Command { line, ended: format!("ended with {status}") });
        }
        Ok(())
    }

    fn close(self) -> Outcome<Done> {
        match self {
            Self { passed, failed, .. } if failed > 0 => Err(Failure::Tests { passed, failed }),
            Self { broken: Some(failure), .. } => Err(failure),
            Self { passed: 0, .. } => Err(Failure::Check("no test has run".into())),
            Self { passed, .. } => Ok(Done::Tests(passed)),
        }
    }
}

/// Passed and failed of `test result: ok. 3 passed; 0 failed; ...`.
fn result_line(line: &str) -> Option<(usize, usize)> {
    let counts = line.trim().strip_prefix("test result: ")?.split_once(". ")?.1;
    let count = |word: &str| {
        counts.split(';').find_map(|part| part.trim().strip_suffix(word)?.trim().parse::<usize>().ok())
    };
    Some((count("passed")?, count("failed")?))
}

fn seconds(time: Duration) -> String {
    format!("{:.1} s", time.as_secs_f64())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_are_counted() {
        let line = "test result: FAILED. 12 passed; 3 failed; 1 ignored; 0 measured; 0 filtered out; finished in 0.1s";
        assert_eq!(result_line(line), Some((12, 3)));
        assert_eq!(result_line("test something ... ok"), None);
    }

    #[test]
    fn a_run_without_a_single_test_is_no_success() {
        assert!(run_tests(&mut Command::new("true")).is_err());
    }
}
