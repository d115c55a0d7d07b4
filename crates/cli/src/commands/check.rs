//! `halfrow check`: the findings of a bench, as paragraphs and as JSON.

use clap::Args;
use halfrow_core::bench::Bench;
use halfrow_core::board::Hole;
use halfrow_core::solve::solve;
use halfrow_judge::{Finding, Severity};
use serde_json::{Value, json};

use super::{Answer, BenchFile, lines};
use crate::Output;
use crate::failure::Failure;
use crate::layout::{paragraph, title};

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
    let mut text = format!("{}: {}.\n", title(bench), counts(findings));
    for finding in findings {
        text += &format!("\n{}: {}\n", finding.severity.word(), finding.code);
        text += &paragraph("  What you see:    ", &finding.symptom);
        text += &paragraph("  What is wrong:   ", &finding.says);
        text += &paragraph("  Why it matters:  ", &finding.why);
        text += &paragraph("  What to do:      ", &finding.remedy);
    }
    text
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
    let findings: Vec<Value> = findings
        .iter()
        .map(|finding| {
            let parts: Vec<&str> = finding.parts.iter().map(|&part| bench.part(part).id.as_str()).collect();
            let holes: Vec<String> = finding.holes.iter().map(Hole::to_string).collect();
            json!({
                "code": finding.code.word(),
                "severity": finding.severity.word(),
                "parts": parts,
                "holes": holes,
                "symptom": finding.symptom,
                "says": finding.says,
                "why": finding.why,
                "remedy": finding.remedy,
            })
        })
        .collect();
    json!({ "findings": findings })
}
