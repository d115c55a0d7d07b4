//! Chips of text: a few words on a ground of their own.

use halfrow_core::shape::{Anchor, Paint, Point, Sketch, Style, Tint};

use crate::layout::Area;

/// What a chip of text covers.
pub fn area(at: Point, words: &str, size: f32) -> Area {
    let width = words.chars().count() as f32 * size * 0.60 + 8.0;
    Area { x: at.x - width / 2.0, y: at.y - size + 0.5, width, height: size + 4.5 }
}

/// A chip of text on a ground of the sheet's colour.
pub fn draw(sketch: &mut Sketch, at: Point, words: &str, size: f32, bold: bool) {
    let area = area(at, words, size);
    let mut style = Style::tint(Tint::Sheet).faint(0.94);
    style.stroke = Paint::Tint(Tint::Rule);
    style.width = 0.8;
    // Some systems' bold letters are wider; the ground is under all of them, the place is for most.
    let more = if bold { words.chars().count() as f32 * size * 0.03 } else { 0.0 };
    sketch.rect(area.x - more, area.y, area.width + 2.0 * more, area.height, 3.0, style);
    sketch.text(Point::new(at.x, at.y + 1.0), size, Anchor::Middle, bold, words, Style::tint(Tint::Ink));
}
