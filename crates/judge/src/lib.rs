//! What is wrong with a bench, in the words of holes and rows.

mod finding;

pub use finding::{Finding, Severity};

use halfrow_core::bench::Bench;
use halfrow_core::solve::OperatingPoint;

/// All findings of a bench, worst first and causes before consequences. `point` is the operating
/// point of the same bench.
pub fn check(bench: &Bench, point: &OperatingPoint) -> Vec<Finding> {
    let _ = (bench, point);
    Vec::new()
}
