//! A kind of part by itself: a small picture for lists, and which pin is which.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::{Card, Footprint, Group};
use halfrow_core::part::{Part, Turn};
use halfrow_core::shape::{Anchor, Point, Shape, Sketch, Style, Tint};

use crate::layout::{self, Area};
use crate::scene;

/// A new part of a kind on a bench of its own, put down where it has room.
fn alone(card: &'static Card) -> Bench {
    let mut bench = Bench::new(BoardKind::Half);
    bench.parts.push(Part::new("X1", card));
    let part = PartIx(0);
    match card.footprint {
        Footprint::Rigid { .. } => {
            let tried = ["e9", "f9", "d9", "c9", "c15"].into_iter().filter_map(Hole::parse);
            let _ = tried.into_iter().find(|&hole| bench.place_rigid(part, hole, Turn::None).is_ok());
        }
        Footprint::Loose { .. } => {
            // Two legs as far apart as the body asks for, more of them side by side.
            let apart = if card.pins.len() > 2 || card.group == Group::Light { 2 } else { 4 };
            let holes = ('a'..='e').step_by(if card.pins.len() > 2 { 1 } else { apart });
            for (pin, column) in (0..card.pins.len()).zip(holes) {
                let _ = bench.put_leg(LegId { part, pin }, Some(Hole::grid(0, column, 9)));
            }
        }
        Footprint::OffBoard => {}
    }
    bench
}

/// What a kind of part looks like, and the area that its picture takes up.
pub fn portrait(card: &'static Card) -> (Area, Vec<Shape>) {
    let bench = alone(card);
    let part = PartIx(0);
    let shapes = scene::ghost(&bench, part);
    if layout::is_off_board(&bench, part) {
        let rest = layout::rest(&bench, part);
        return (Area { x: rest.x - 4.0, y: rest.y - 8.0, width: 112.0, height: 168.0 }, shapes);
    }
    let legs: Vec<Point> = layout::legs(&bench, part).into_iter().flatten().collect();
    let (wide, high) = match (bench.part(part).is_rigid(), card.group) {
        (true, _) => (16.0, 16.0),
        (_, Group::Join) => (6.0, 12.0),
        (_, Group::Light | Group::Move) => (14.0, 26.0),
        _ => (6.0, 20.0),
    };
    let around = layout::around(&legs, 0.0);
    let area = Area {
        x: around.x - wide,
        y: around.y - high,
        width: around.width + 2.0 * wide,
        height: around.height + 2.0 * high,
    };
    (area, shapes)
}

/// Height of a pin's name, and of a line of them.
const SIZE: f32 = 12.0;

/// Whether people look up which pin of such a part is which: chips, and whatever has three legs that are not
/// alike.
pub fn has_pin_out(card: &Card) -> bool {
    card.chip || card.pins.len() >= 3 && matches!(card.group, Group::Amplify | Group::Chip | Group::Light)
}

/// What a pin is for: of `pin 3 (OUT)` and of `left leg (emitter)` what is in brackets.
fn purpose(says: &'static str) -> &'static str {
    says.split_once('(').map_or(says, |(_, rest)| rest.trim_end_matches(')'))
}

/// Which pin is which, seen from above: the body with its notch or flat, and beside each pin its name and
/// what it is for. The area that it takes up comes with it.
pub fn pin_out(card: &'static Card) -> (Area, Vec<Shape>) {
    let bench = alone(card);
    let part = PartIx(0);
    let legs: Vec<Point> = layout::legs(&bench, part).into_iter().flatten().collect();
    let body = layout::around(&legs, 0.0);
    let mut sketch = Sketch { shapes: scene::ghost(&bench, part) };
    let rows = body.height > body.width || card.chip;
    let mut text = |at: Point, anchor: Anchor, bold: bool, words: String| {
        sketch.text(at, SIZE, anchor, bold, words, Style::tint(Tint::Ink));
    };
    let mut widest = 0.0_f32;
    for (leg, pin) in legs.iter().zip(card.pins) {
        let what = purpose(pin.says);
        let number = card.chip || pin.name.parse::<u8>().is_ok();
        let words = if number || pin.name != what { format!("{} {what}", pin.name) } else { what.to_owned() };
        widest = widest.max(words.chars().count() as f32 * 0.58 * SIZE);
        let left = rows && leg.x < body.x + body.width / 2.0 && body.width > 0.0;
        let (at, anchor) = match (rows, left) {
            (true, true) => (Point::new(leg.x - 10.0, leg.y + 4.0), Anchor::End),
            (true, false) => (Point::new(leg.x + 12.0, leg.y + 4.0), Anchor::Start),
            // Legs in a line across: one line of words below the other, each under its leg's own rule.
            _ => continue,
        };
        text(at, anchor, false, words);
    }
    if rows {
        let left = if body.width > 0.0 { widest + 14.0 } else { 44.0 };
        let area = Area {
            x: body.x - left,
            y: body.y - 16.0,
            width: body.width + left + widest + 16.0,
            height: body.height + 32.0,
        };
        return (area, sketch.shapes);
    }
    // Under the legs, each on a line of its own, tied to its leg.
    let count = legs.len();
    for (index, (leg, pin)) in legs.iter().zip(card.pins).enumerate() {
        let y = body.y + 34.0 + 17.0 * (count - 1 - index) as f32;
        sketch.line(Point::new(leg.x, body.y + 5.0), Point::new(leg.x, y - 4.0), Style::line("#8b9a9e", 1.0));
        sketch.line(
            Point::new(leg.x, y - 4.0),
            Point::new(legs[count - 1].x + 16.0, y - 4.0),
            Style::line("#8b9a9e", 1.0),
        );
        let what = purpose(pin.says);
        let words = if what.starts_with(pin.name) { what.to_owned() } else { format!("{} {what}", pin.name) };
        widest = widest.max(words.chars().count() as f32 * 0.58 * SIZE);
        let at = Point::new(legs[count - 1].x + 20.0, y);
        sketch.text(at, SIZE, Anchor::Start, false, words, Style::tint(Tint::Ink));
    }
    let area = Area {
        x: body.x - 26.0,
        y: body.y - 28.0,
        width: body.width + 26.0 + 24.0 + widest,
        height: 28.0 + 30.0 + 17.0 * count as f32,
    };
    (area, sketch.shapes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::parts::CARDS;

    fn texts(shapes: &[Shape]) -> Vec<(&str, Point, Anchor)> {
        let text = |shape| match shape {
            &Shape::Text { ref words, at, anchor, .. } => Some((words.as_str(), at, anchor)),
            _ => None,
        };
        shapes.iter().filter_map(text).collect()
    }

    #[test]
    fn every_kind_has_a_picture_inside_its_area() {
        for card in CARDS {
            let (area, shapes) = portrait(card);
            let bench = alone(card);
            let legs: Vec<Point> = layout::legs(&bench, PartIx(0)).into_iter().flatten().collect();
            assert!(!shapes.is_empty(), "{}", card.kind);
            let off_board = layout::is_off_board(&bench, PartIx(0));
            assert!(off_board || legs.len() == card.pins.len(), "{} isn't placed", card.kind);
            assert!(legs.iter().all(|leg| area.holds(*leg)), "{}", card.kind);
            for shape in &shapes {
                if let Shape::Group { at, .. } = shape {
                    assert!(area.holds(*at), "{} at {at:?} outside of {area:?}", card.kind);
                }
            }
        }
    }

    #[test]
    fn a_pin_out_names_every_pin_within_its_area() {
        let mut count = 0;
        for card in CARDS.iter().filter(|card| has_pin_out(card)) {
            let (area, shapes) = pin_out(card);
            let texts = texts(&shapes);
            for pin in card.pins {
                let what = purpose(pin.says);
                let named = |(words, at, anchor): &(&str, Point, Anchor)| {
                    let long = words.chars().count() as f32 * 0.58 * SIZE;
                    let inside = match anchor {
                        Anchor::End => area.holds(Point::new(at.x - long, at.y)),
                        _ => area.holds(Point::new(at.x + long, at.y)),
                    };
                    words.contains(what) && inside
                };
                assert!(texts.iter().any(named), "{} {}: {texts:?}", card.kind, pin.says);
            }
            count += 1;
        }
        assert!(count >= 15, "{count}");
    }
}
