//! The board: [`view`] is the board with everything on it, [`mod@pointer`] what is done to it; it is made of [`pictures`] of the parts,
//! which are [`shapes`](crate::ui::shapes), and of [`overlays`]; [`grid`] is the same for keyboards and screen readers, [`dial`] the meters’ dials; [`touch`]
//! shows what a finger hides, [`room`] is the place that the page leaves, [`clock`] the controls beside it.

pub mod clock;
pub mod dial;
pub mod grid;
pub mod meter;
pub mod overlays;
pub mod pictures;
pub mod pointer;
pub mod room;
pub mod touch;
pub mod view;
