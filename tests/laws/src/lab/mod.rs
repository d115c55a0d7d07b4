//! A lab full of benches: right circuits in many layouts, every single slip of the hand on them, and what a
//! second pair of eyes should make of each.
//!
//! `circuits -> layout -> slips -> score`.

pub mod circuits;
pub mod layout;
pub mod remedy;
pub mod score;
pub mod slips;
