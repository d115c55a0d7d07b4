//! Findings for people and for programs, of a bench and of a measurement alike.

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::board::Hole;
use halfrow_judge::Severity;
use serde_json::{Value, json};

use crate::layout::paragraph;

/// A finding of either kind, as it is printed.
pub struct Told<'a> {
    code: &'static str,
    severity: Severity,
    parts: &'a [PartIx],
    holes: &'a [Hole],
    symptom: &'a str,
    says: &'a str,
    why: &'a str,
    remedy: &'a str,
}

/// What makes a [`Told`] of a finding: both kinds have the same fields, and only their codes differ.
macro_rules! told {
    ($kind:ty, $finding:ident => $code:expr) => {
        impl<'a> From<&'a $kind> for Told<'a> {
            fn from($finding: &'a $kind) -> Told<'a> {
                Told {
                    code: $code,
                    severity: $finding.severity,
                    parts: &$finding.parts,
                    holes: &$finding.holes,
                    symptom: &$finding.symptom,
                    says: &$finding.says,
                    why: &$finding.why,
                    remedy: &$finding.remedy,
                }
            }
        }
    };
}

told!(halfrow_judge::Finding, finding => finding.code.word());
told!(halfrow_judge::tidy::Point, point => point.code);
told!(halfrow_instruments::Finding, finding => finding.code);

/// Findings as paragraphs, an empty line before each.
pub fn text<'a>(findings: impl IntoIterator<Item = impl Into<Told<'a>>>) -> String {
    let mut text = String::new();
    for told in findings.into_iter().map(Into::into) {
        text += &format!("\n{}: {}\n", told.severity.word(), told.code);
        text += &paragraph("  What you see:    ", told.symptom);
        text += &paragraph("  What is wrong:   ", told.says);
        text += &paragraph("  Why it matters:  ", told.why);
        text += &paragraph("  What to do:      ", told.remedy);
    }
    text
}

/// Findings as a list for a program.
pub fn value<'a>(bench: &Bench, findings: impl IntoIterator<Item = impl Into<Told<'a>>>) -> Value {
    let one = |told: Told<'a>| {
        let parts: Vec<&str> = told.parts.iter().map(|&part| bench.part(part).id.as_str()).collect();
        let holes: Vec<String> = told.holes.iter().map(Hole::to_string).collect();
        json!({
            "code": told.code,
            "severity": told.severity.word(),
            "parts": parts,
            "holes": holes,
            "symptom": told.symptom,
            "says": told.says,
            "why": told.why,
            "remedy": told.remedy,
        })
    };
    findings.into_iter().map(|finding| one(finding.into())).collect()
}
