//! The equations of a bench: what current flows at what voltage, and the voltages at which all
//! currents add up.
//!
//! `branches -> equations -> voltages`. Start with [`branch`] (nodes and what stands between them) and
//! [`law`] (what each does), then [`system`] (one moment of a circuit in time, by [`sparse`]) and
//! [`stages`] (a step of time). [`portions`] lets long work be done a little at a time. [`math`] is the
//! one place where transcendental functions come from.
//!
//! Nothing here knows what a board is. This crate is compiled for speed, what stands on it for size.

pub mod branch;
mod hard;
pub mod law;
pub mod math;
pub mod portions;
#[cfg(feature = "measure")]
pub mod reference;
pub mod sparse;
pub mod stages;
pub mod system;
