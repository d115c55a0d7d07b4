//! Where a bench's time comes to rest: the operating point of a bench that has been left alone.
//!
//! Nodal analysis: one unknown for each node's voltage, and Kirchhoff's current law at each node.
//! [`crate::time`] does the work, [`crate::point`] reads off the answer.

use crate::bench::Bench;
use crate::circuit::Contacts;
use crate::time::{at_rest, rest};

pub use crate::point::{OperatingPoint, Work};

/// The operating point of a bench. Always answers: shorts, loops of sources, floating parts and
/// empty boards have one too.
pub fn solve(bench: &Bench) -> OperatingPoint {
    solve_with(bench, Contacts::default())
}

/// The operating point with other contacts than usual.
pub fn solve_with(bench: &Bench, contacts: Contacts) -> OperatingPoint {
    at_rest(bench, contacts)
}

/// [`solve`], letting go after each portion of work, in Newton iterations times unknowns: for whoever draws a
/// page meanwhile. The bits are the same.
pub async fn solve_in_portions(bench: &Bench, portion: u64) -> OperatingPoint {
    rest(bench, Contacts::default(), portion).await
}
