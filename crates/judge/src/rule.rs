//! A rule and what it is made of.

pub use halfrow_core::card::on_paper;

use crate::finding::{Code, Finding, Severity};
use crate::judged::Judged;

/// One thing to look for.
#[derive(Debug)]
pub struct Rule {
    /// The code of its findings.
    pub code: Code,
    /// How bad they are as a rule; a finding says for itself.
    pub severity: Severity,
    /// What it looks for, in a line, [`on_paper`].
    pub what: Option<&'static str>,
    /// Adds its findings to those of the rules before it.
    pub run: fn(&Judged<'_>, &mut Vec<Finding>),
}
