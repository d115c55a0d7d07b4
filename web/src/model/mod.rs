//! What the page knows, and how each action changes it: pure, without a browser, tested as plain functions.
//!
//! [`state`] is everything that the page knows and its reducer, with the actions, the moves of parts and legs
//! and the fields that are written into. [`clock`], [`chart`] and [`wiring`] are parts of it, [`chosen`] and
//! [`clipboard`] what is done with several parts, [`opening`] what can be opened, [`sight`] what of the bench
//! is in view, [`walk`] where keys lead on the board, [`gesture`] what a pointer does there. [`words`] says
//! things, [`lamps`] tells what has become of the lamps, [`guide`] what a first circuit still needs, [`quiet`]
//! keeps figures back where only the meter tells.

pub mod chart;
pub mod chosen;
pub mod clipboard;
pub mod clock;
pub mod gesture;
pub mod guide;
pub mod keeping;
pub mod lamps;
pub mod opening;
pub mod quiet;
pub mod sight;
pub mod state;
pub mod walk;
pub mod wiring;
pub mod words;
