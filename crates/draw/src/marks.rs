//! Numbered marks in the margin, one for each finding.

use halfrow_core::bench::Bench;
use halfrow_core::shape::{Anchor, Paint, Point, Shape, Sketch, Style};
use halfrow_judge::{Finding, Severity};

use crate::layout;

/// The paint of a finding's mark.
pub fn mark_colour(severity: Severity) -> &'static str {
    match severity {
        Severity::Fault => "#b83a0b",
        Severity::Risk => "#7a5f00",
        Severity::Habit => "#55616a",
    }
}

/// Numbered marks in the margin with dashed lines to the holes that the findings speak of. Fault, risk
/// and habit differ by shape too: a disc, a square, a diamond. Their type is not smaller than `least`.
pub fn draw(bench: &Bench, findings: &[Finding], least: f32) -> Vec<Shape> {
    let size = least.clamp(13.5, 24.0);
    let half = size - 1.0;
    let mut sketch = Sketch::default();
    let last = layout::board(bench, bench.boards.len() - 1);
    let x = last.x + last.width + 40.0;
    let mut placed: Vec<(usize, Point, Option<Point>)> = findings
        .iter()
        .enumerate()
        .map(|(index, finding)| {
            let hole = finding.holes.first().and_then(|&hole| layout::hole(bench, hole));
            let part = finding.parts.first().map(|&part| layout::centre(bench, part));
            let target = hole.or(part);
            (index, Point::new(x, target.map_or(30.0, |t| t.y - 16.0)), hole)
        })
        .collect();
    placed.sort_by(|a, b| a.1.y.total_cmp(&b.1.y));
    let mut floor = f32::MIN;
    for (_, at, _) in &mut placed {
        at.y = at.y.max(floor + 2.2 * size).max(14.0);
        floor = at.y;
    }
    for (index, at, hole) in placed {
        let finding = &findings[index];
        let colour = mark_colour(finding.severity);
        if let Some(hole) = hole {
            let ring = Style { fill: Paint::None, stroke: Paint::Fixed(colour), width: 2.4, opacity: 1.0 };
            sketch.circle(hole.x, hole.y, 11.0, ring);
            sketch.path(dashes(Point::new(hole.x + 11.0, hole.y), at), Style::line(colour, 1.6));
        }
        match finding.severity {
            Severity::Fault => sketch.circle(at.x, at.y, half, Style::fill(colour)),
            Severity::Risk => {
                sketch.rect(at.x - half, at.y - half, 2.0 * half, 2.0 * half, 3.0, Style::fill(colour));
            }
            Severity::Habit => {
                let d = format!("M{} {}l{size} {size}l-{size} {size}l-{size} -{size}z", at.x, at.y - size);
                sketch.path(d, Style::fill(colour));
            }
        }
        let number = (index + 1).to_string();
        let middle = Point::new(at.x, at.y + 0.36 * size);
        sketch.text(middle, size, Anchor::Middle, true, number, Style::fill("#ffffff"));
    }
    sketch.shapes
}

/// A dashed line as separate strokes, so that it needs no dash attribute.
fn dashes(from: Point, to: Point) -> String {
    let length = from.distance(to).max(1.0);
    let count = (length / 7.0).floor() as usize;
    (0..count)
        .map(|i| {
            let (a, b) = (i as f32 * 7.0 / length, (i as f32 * 7.0 + 4.0) / length);
            let (a, b) = (from.towards(to, a), from.towards(to, b.min(1.0)));
            let [ax, ay, bx, by] = [a.x, a.y, b.x, b.y].map(f64::from);
            format!("M{ax:.1} {ay:.1}L{bx:.1} {by:.1}")
        })
        .collect()
}
