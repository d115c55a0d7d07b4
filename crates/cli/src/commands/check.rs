//! `halfrow check`: the findings of a bench, as paragraphs and as JSON.

use clap::Args;
use halfrow_core::bench::Bench;
use halfrow_core::solve::solve;
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
}

impl Answer for Check {
    const NAME: &'static str = "check";

    fn answer(&self, json: bool) -> Result<Output, Failure> {
        let bench = self.bench.read()?;
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
