//! A bench as a picture.
//!
//! `bench + operating point + findings -> shapes -> SVG`. [`layout`] says where things stand,
//! [`board`] draws the bare boards, [`scene`] the parts and margin marks, [`labels`] puts the parts'
//! names where they cover nothing, [`mod@svg`] writes shapes as a self-contained picture. The page draws
//! the same shapes with the same code.

pub mod board;
pub mod labels;
pub mod layout;
pub mod palette;
pub mod scene;
pub mod svg;

use halfrow_core::bench::Bench;
use halfrow_core::board::BoardKind;
use halfrow_core::solve::OperatingPoint;
use halfrow_judge::Finding;

/// A self-contained SVG picture of the bench in the light theme, with margin marks for the findings. It
/// holds a link to the bench (see [`svg::HELD`]), so that it can be opened again.
pub fn svg(bench: &Bench, point: &OperatingPoint, findings: &[Finding], link: &str) -> String {
    svg::document(bench, &scene::whole(bench, point, findings), !findings.is_empty(), link)
}

/// An empty half board, for the page before it is alive.
pub fn skeleton_svg() -> String {
    let bench = Bench::new(BoardKind::Half);
    svg::document(&bench, &scene::boards(&bench, 0.0), false, "")
}
