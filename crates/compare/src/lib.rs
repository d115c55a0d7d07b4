//! Whether a build is its plan's circuit, and the fewest moves of the hand that make it so.
//!
//! `plan, build -> forms -> equal? -> labels of strips -> tasks -> moves -> answer`. Start with [`form`]
//! (what of a bench counts), then `equal` (colour refinement and a bijection that is checked), `ground` and
//! [`search`] (labels of strips by branch and bound), `wrong` (what has to be put right), `hand` (into which
//! holes), `harm` (what burns on the way), `alike` (what lies as the plan does), `repairs` (which of all that does
//! it is told), [`moves`] and `words`. [`answer`] puts it together.
//!
//! Nothing is answered that was not checked: an equality by its bijection, moves by making them on a copy and
//! comparing again.

mod alike;
pub mod answer;
mod equal;
mod equivalent;
pub mod form;
mod ground;
mod hand;
mod harm;
pub mod moves;
mod notes;
mod repairs;
pub mod search;
mod words;
mod wrong;

pub use answer::{Answer, Plan, Verdict, compare, compare_in_portions};
pub use moves::{Kind, Move};
pub use search::Budget;
pub use words::{counted, counted_are, headline};

use halfrow_core::bench::Bench;

/// Whether two benches are the same circuit, whatever their layout. `None` where that was given up.
pub fn is_equal(plan: &Bench, build: &Bench) -> Option<bool> {
    same_circuit(&Plan::of(plan), &Plan::of(build))
}

/// Whether two plans are the same circuit. `None` where that was given up.
pub fn same_circuit(plan: &Plan, build: &Plan) -> Option<bool> {
    let mut shapes = form::Shapes::default();
    let forms = [plan, build].map(|it| shapes.form(it.joined()).at_work());
    let halves = [(plan, &forms[0]), (build, &forms[1])].map(|(plan, form)| equal::Half {
        form,
        parts: &plan.joined().parts,
        chains: &[],
    });
    match equal::same(halves[0], halves[1], &shapes) {
        equal::Same::Yes(_) => Some(true),
        equal::Same::No => Some(false),
        equal::Same::Unknown => None,
    }
}
