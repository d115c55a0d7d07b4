//! Random benches and laws that each of them must obey.
//!
//! [`chance`] is a generator of numbers that look like chance and are always the same, [`throw`]
//! throws parts at boards with it, [`fed`] wires chips before their power, [`ledger`] adds up currents and watts of a solved bench by
//! formulae of its own, [`relayout`] lays a bench out anew as the same circuit, [`slip`] makes one slip of
//! the hand, [`lab`] lays circuits of a lab out in many ways and makes every slip of the hand on them. The
//! laws themselves are the tests of this crate.

pub mod chance;
pub mod fed;
pub mod lab;
pub mod ledger;
pub mod relayout;
pub mod slip;
pub mod throw;
