//! What drives the clock of the bench: [`clock`] lets simulated time follow real time, [`traces`] keeps what
//! the chart draws, [`lamps`] sees which lamps have settled, [`watchers`] are the pictures that are told of
//! changes one by one, [`sound`] is the loudspeaker, [`judging`] judges what has been
//! changed.

pub mod clock;
pub mod judging;
pub mod lamps;
pub mod meters;
pub mod sound;
pub mod traces;
pub mod watchers;
