//! What the product noticed on a bench.

use halfrow_core::bench::PartIx;
use halfrow_core::board::Hole;

pub use crate::code::Code;

/// How bad a finding is; the worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Severity {
    /// The bench can't do what it is built for, or something gets hurt.
    Fault,
    /// It may work now; it is unfinished, or it will give trouble.
    Risk,
    /// It works; others would find it easier to read.
    Habit,
}

impl Severity {
    /// Every severity, worst first.
    pub const ALL: [Severity; 3] = [Severity::Fault, Severity::Risk, Severity::Habit];

    /// The word in files and on the screen.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Fault => "fault",
            Severity::Risk => "risk",
            Severity::Habit => "habit",
        }
    }
}

/// One thing that the product noticed, in the words of holes and rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What kind of finding: the name of its rule or of a variety of it.
    pub code: Code,
    /// How bad it is.
    pub severity: Severity,
    /// The parts that it speaks of, the one at fault first.
    pub parts: Vec<PartIx>,
    /// The holes to mark, the one at fault first.
    pub holes: Vec<Hole>,
    /// What a student sees, naming no place.
    pub symptom: String,
    /// What is wrong and where, in a sentence or two.
    pub says: String,
    /// Why it matters.
    pub why: String,
    /// What to do, naming the hole.
    pub remedy: String,
}

/// Whether there is a finding of one of these kinds.
pub(crate) fn tells(findings: &[Finding], codes: &[Code]) -> bool {
    findings.iter().any(|it| codes.contains(&it.code))
}

/// Whether a finding of one of these kinds speaks of a part.
pub(crate) fn tells_of(findings: &[Finding], codes: &[Code], part: PartIx) -> bool {
    findings.iter().any(|it| codes.contains(&it.code) && it.parts.contains(&part))
}

/// Adds parts that are not listed yet.
pub(crate) fn add_others(parts: &mut Vec<PartIx>, others: &[PartIx]) {
    for &part in others {
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
}
