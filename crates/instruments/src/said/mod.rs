//! What is said of a measurement: one finding for each mistake, and what the number means.
//!
//! A rule is a function that reads a [`Scene`] and adds its finding; `RULES` lists them, causes before
//! consequences. A rule keeps silent where one before it explains the same number.

mod leads;
mod meaning;
mod reading;
mod words;

use halfrow_core::bench::PartIx;
use halfrow_core::board::Hole;
pub use halfrow_judge::Severity;

use crate::scene::Scene;
pub use meaning::{Meaning, meaning};

/// One thing noticed about a measurement.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What kind.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// The parts that it speaks of.
    pub parts: Vec<PartIx>,
    /// The holes to mark.
    pub holes: Vec<Hole>,
    /// What a student sees.
    pub symptom: String,
    /// What is wrong.
    pub says: String,
    /// Why it matters.
    pub why: String,
    /// What to do.
    pub remedy: String,
}

/// A rule: adds its finding to those before it.
type Rule = fn(&Scene<'_>, &mut Vec<Finding>);

/// Every rule, causes before consequences.
const RULES: [Rule; 18] = [
    leads::fuse_blew,
    leads::fuse_blown,
    leads::lead_in_10a,
    leads::lead_not_in_10a,
    leads::current_across,
    leads::volts_in_series,
    leads::tip_on_nothing,
    leads::one_net,
    reading::live,
    reading::battery_low,
    reading::over,
    reading::dc_for_ac,
    reading::ac_for_dc,
    reading::in_circuit,
    reading::loading,
    reading::burden,
    reading::reversed,
    reading::coarse,
];

/// What is to be said of a measurement, worst first.
pub fn findings(scene: &Scene<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    if scene.range.is_some() || scene.inside() == crate::scene::Inside::Low {
        for rule in RULES {
            rule(scene, &mut findings);
        }
    }
    findings.sort_by_key(|finding| finding.severity);
    findings
}

/// Whether one of some kinds has been found.
fn tells(findings: &[Finding], codes: &[&str]) -> bool {
    findings.iter().any(|finding| codes.contains(&finding.code))
}
