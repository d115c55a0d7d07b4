//! A bench as a picture.
//!
//! `bench + operating point + findings -> shapes -> SVG`. [`layout`] says where things are and
//! [`palette`] what colour they have; [`mod@chip`] and [`labels`] put words where they cover nothing,
//! [`board`] draws the bare boards, [`scene`] the parts, [`marks`] the findings' numbers in the margin.
//! [`portrait`] is a kind of part by itself, with its pins. [`hit`] tells what is under a point; [`picture`] and [`mod@svg`] make a self-contained picture of it all.
//! Each knows only what comes before it. The page draws the same shapes with the same code.

pub mod board;
pub mod chip;
pub mod hit;
pub mod labels;
pub mod layout;
pub mod marks;
pub mod meter;
pub mod palette;
pub mod picture;
pub mod portrait;
pub mod scene;
pub mod svg;

use halfrow_core::bench::Bench;
use halfrow_core::board::BoardKind;
use halfrow_core::solve::OperatingPoint;
use halfrow_judge::Finding;

/// A self-contained SVG picture of the bench in the light theme, with margin marks for the findings. It
/// holds a link to the bench (see [`svg::HELD`]), so that it can be opened again.
pub fn svg(bench: &Bench, point: &OperatingPoint, findings: &[Finding], link: &str) -> String {
    svg::document(bench, &picture::whole(bench, point, findings), !findings.is_empty(), link)
}

/// An empty half board, for the page before it is alive.
pub fn skeleton_svg() -> String {
    let bench = Bench::new(BoardKind::Half);
    svg::document(&bench, &scene::boards(&bench, 0.0), false, "")
}
