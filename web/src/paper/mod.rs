//! What leaves the page: [`printed`] is what paper shows, [`png`] holds a bench in a picture.

pub mod notebook;
pub mod png;
pub mod printed;
