//! Everything of a bench in one picture.

use halfrow_core::bench::Bench;
use halfrow_core::shape::Shape;
use halfrow_core::solve::OperatingPoint;
use halfrow_judge::Finding;

use crate::{labels, marks, meter, scene};

/// Boards, parts, labels and marks.
pub fn whole(bench: &Bench, point: &OperatingPoint, findings: &[Finding]) -> Vec<Shape> {
    let mut shapes = scene::boards(bench, 0.0);
    for ix in scene::order(bench) {
        let looks = scene::looks(bench, point, ix);
        shapes.extend(scene::part(bench, ix, &looks));
        shapes.extend(scene::shelf_label(bench, ix, &looks, 0.0));
    }
    shapes.extend(labels::draw(&labels::labels(bench, 0.0, None), 0.0));
    shapes.extend(marks::draw(bench, findings, 0.0));
    for index in 0..bench.meters.len() {
        // On paper the display is dark: what it shows is for whoever measures.
        shapes.extend(meter::body(bench, index, &meter::Display::default()));
        shapes.extend(meter::leads(bench, index));
    }
    shapes
}
