//! Checks of Halfrow against published values, and the means to state a textbook's circuit in a line.

pub mod book;
pub mod desk;
pub mod dump;
pub mod ivp;
pub mod lu;
#[cfg(feature = "faer")]
pub mod lu_sparse;
pub mod probe;
pub mod stand;

pub use halfrow_core::sample::sixty_parts;
