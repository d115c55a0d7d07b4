//! `halfrow check`: the findings of a bench, as paragraphs and as JSON.

use clap::Args;
use halfrow_core::bench::Bench;
use halfrow_core::solve::solve;
use halfrow_judge::tidy::{Tidy, tidy};
use halfrow_judge::{Finding, Severity};
use serde_json::{Value, json};

use super::{Answer, BenchFile, lines};
use crate::Output;
use crate::failure::Failure;
use crate::layout::title;
use crate::told;

/// Says what is wrong with a bench, where, and what to do
#[derive(Args)]
pub struct Check {
    #[command(flatten)]
    bench: BenchFile,
    /// Says instead what could be built more tidily, and a score from 0 to 100
    #[arg(long)]
    tidy: bool,
}

impl Answer for Check {
    const NAME: &'static str = "check";

    fn answer(&self, json: bool) -> Result<Output, Failure> {
        let bench = self.bench.read()?;
        if self.tidy {
            let tidy = tidy(&bench);
            let text = if json { lines(&tidy_value(&bench, &tidy)) } else { tidy_text(&bench, &tidy) };
            return Ok(Output { text, findings: !tidy.points.is_empty() });
        }
        let findings = halfrow_judge::check(&bench, &solve(&bench));
        let text = if json { lines(&value(&bench, &findings)) } else { text(&bench, &findings) };
        Ok(Output { text, findings: !findings.is_empty() })
    }
}

/// The findings for people.
fn text(bench: &Bench, findings: &[Finding]) -> String {
    if findings.is_empty() {
        return format!("{}: nothing is wrong.\n", title(bench));
    }
    format!("{}: {}.\n", title(bench), counts(findings)) + &told::text(findings)
}

/// How tidy it is, for people.
fn tidy_text(bench: &Bench, tidy: &Tidy) -> String {
    if tidy.points.is_empty() {
        return format!("{}: built tidily, {} of 100.\n", title(bench), tidy.score());
    }
    let count = tidy.points.len();
    let plural = if count == 1 { "" } else { "s" };
    let head = format!("{}: {count} point{plural}, tidiness {} of 100.\n", title(bench), tidy.score());
    head + &told::text(&tidy.points)
}

/// The same for programs.
fn tidy_value(bench: &Bench, tidy: &Tidy) -> Value {
    json!({ "tidiness": tidy.score(), "points": told::value(bench, &tidy.points) })
}

/// `1 fault and 2 habits`.
fn counts(findings: &[Finding]) -> String {
    let words: Vec<String> = Severity::ALL
        .into_iter()
        .map(|severity| (severity, findings.iter().filter(|it| it.severity == severity).count()))
        .filter(|&(_, count)| count > 0)
        .map(|(severity, count)| format!("{count} {}{}", severity.word(), if count == 1 { "" } else { "s" }))
        .collect();
    match words.as_slice() {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        _ => words.concat(),
    }
}

/// The answer for programs.
fn value(bench: &Bench, findings: &[Finding]) -> Value {
    json!({ "findings": told::value(bench, findings) })
}
