//! What of a bench's picture is under a point.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::card::Group;
use halfrow_core::math::sin_cos_turns;
use halfrow_core::shape::{Point, Shape};

use crate::layout::{self, Area};
use crate::scene;

/// What of a part is under a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hit {
    /// The end of a leg.
    Leg(LegId),
    /// The body.
    Body(PartIx),
}

/// The topmost part under a point.
pub fn under(bench: &Bench, at: Point) -> Option<Hit> {
    let ends = bench.legs().filter_map(|(id, leg)| Some((id, layout::hole(bench, leg.hole?)?)));
    let mut end: Option<(f32, LegId)> = None;
    for (id, place) in ends {
        let d = place.distance(at);
        if d < 9.0 && end.is_none_or(|(best, _)| d < best) {
            end = Some((d, id));
        }
    }
    if let Some((_, id)) = end {
        return Some(if bench.part(id.part).is_rigid() { Hit::Body(id.part) } else { Hit::Leg(id) });
    }
    // An LED's flange reaches over the middle of a neighbour, which is the neighbour's, and over wires.
    let order = scene::order(bench);
    let within = |rim| {
        let holding = || order.iter().rev().copied().filter(|&ix| body_holds(bench, ix, at, rim));
        let top = holding().next()?;
        // Where lenses of neighbours overlap, the one whose middle is nearest is meant.
        let is_lamp = |ix: &PartIx| bench.part(*ix).card.group == Group::Light;
        let far = |ix: &PartIx| layout::centre(bench, *ix).distance(at);
        let lamps = holding().filter(|ix| is_lamp(&top) && is_lamp(ix));
        lamps.min_by(|a, b| far(a).total_cmp(&far(b))).or(Some(top))
    };
    within(0.0).filter(|&ix| !bench.part(ix).card.is_wire()).or_else(|| within(4.0)).map(Hit::Body)
}

/// Whether a disc or a rectangle of a picture covers a point: bodies that stand beside their legs, or reach
/// beyond them, are made of these.
fn covers(shapes: &[Shape], at: Point) -> bool {
    shapes.iter().any(|shape| match shape {
        Shape::Circle { at: centre, r, .. } => centre.distance(at) < *r,
        Shape::Rect { at: corner, size, .. } => {
            Area { x: corner.x, y: corner.y, width: size.0, height: size.1 }.holds(at)
        }
        Shape::Group { at: origin, turn, shapes } => {
            let (sin, cos) = sin_cos_turns(f64::from(turn / 360.0));
            let (sin, cos) = (sin as f32, cos as f32);
            let (x, y) = (at.x - origin.x, at.y - origin.y);
            covers(shapes, Point::new(x * cos + y * sin, y * cos - x * sin))
        }
        _ => false,
    })
}

/// Whether the body of a part covers a point, a lamp's with so much of its rim.
fn body_holds(bench: &Bench, ix: PartIx, at: Point, rim: f32) -> bool {
    if covers(&scene::ghost(bench, ix), at) {
        return true;
    }
    let part = bench.part(ix);
    let rest = layout::rest(bench, ix);
    if layout::is_off_board(bench, ix) {
        return layout::shelf(bench, ix).holds(at);
    }
    let legs: Vec<Point> = layout::legs(bench, ix).into_iter().flatten().collect();
    if part.is_rigid() {
        return !legs.is_empty() && layout::around(&legs, 14.0).holds(at);
    }
    match legs.as_slice() {
        [from, to, ..] => {
            let wide = if part.card.is_wire() { 6.0 } else { 9.0 };
            let reach = if part.card.group == Group::Light { 18.0 + rim } else { 18.0 };
            let round = !part.card.is_wire() && layout::centre(bench, ix).distance(at) < reach;
            round || distance_to_line(at, *from, *to) < wide
        }
        [only] => only.distance(at) < 20.0,
        [] => rest.distance(at) < 40.0,
    }
}

/// Distance of a point from a stretch of line.
fn distance_to_line(at: Point, from: Point, to: Point) -> f32 {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let length = dx * dx + dy * dy;
    let t = if length > 0.0 { ((at.x - from.x) * dx + (at.y - from.y) * dy) / length } else { 0.0 };
    from.towards(to, t.clamp(0.0, 1.0)).distance(at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::board::{BoardKind, Hole};
    use halfrow_core::card::Footprint;
    use halfrow_core::part::{Part, Turn};
    use halfrow_core::parts;

    /// Where discs and rectangles of a picture are: their middle and points near their edge.
    fn spots(shapes: &[Shape], origin: Point, turn: f32, out: &mut Vec<Point>) {
        let (sin, cos) = sin_cos_turns(f64::from(turn / 360.0));
        let (sin, cos) = (sin as f32, cos as f32);
        let mut put = |x: f32, y: f32| {
            out.push(Point::new(origin.x + x * cos - y * sin, origin.y + x * sin + y * cos));
        };
        for shape in shapes {
            match shape {
                Shape::Circle { at, r, .. } => {
                    for (x, y) in [(0.0, 0.0), (0.9, 0.0), (-0.9, 0.0), (0.0, 0.9), (0.0, -0.9)] {
                        put(at.x + r * x, at.y + r * y);
                    }
                }
                Shape::Rect { at, size, .. } => {
                    for (x, y) in [(0.5, 0.5), (0.05, 0.05), (0.95, 0.05), (0.05, 0.95), (0.95, 0.95)] {
                        put(at.x + size.0 * x, at.y + size.1 * y);
                    }
                }
                _ => {}
            }
        }
        for shape in shapes {
            if let Shape::Group { at, turn: own, shapes } = shape {
                assert!(turn == 0.0, "no group in a turned one");
                spots(shapes, Point::new(origin.x + at.x, origin.y + at.y), *own, out);
            }
        }
    }

    #[test]
    fn each_part_is_hit_all_over_its_body_however_it_is_turned() {
        for card in parts::CARDS {
            for turn in [Turn::None, Turn::Quarter, Turn::Half, Turn::ThreeQuarters] {
                let mut bench = Bench::new(BoardKind::Half);
                bench.parts.push(Part::new("X1", card));
                let ix = PartIx(0);
                let rigid = bench.part(ix).is_rigid();
                let placed = match card.footprint {
                    Footprint::Rigid { .. } => ["e9", "f9", "d9", "c15"]
                        .iter()
                        .any(|from| bench.place_rigid(ix, Hole::parse(from).unwrap(), turn).is_ok()),
                    _ => (0..card.pins.len()).all(|pin| {
                        let hole = Hole::parse(&format!("c{}", 9 + 2 * pin)).unwrap();
                        bench.put_leg(LegId { part: ix, pin }, Some(hole)).is_ok()
                    }),
                };
                if !placed || (!rigid && turn != Turn::None) {
                    assert!(turn != Turn::None, "{}", card.kind);
                    continue;
                }
                let mut all = Vec::new();
                spots(&scene::ghost(&bench, ix), Point::new(0.0, 0.0), 0.0, &mut all);
                assert!(all.len() > 1 || card.is_wire(), "{}", card.kind);
                for at in all {
                    let on = match under(&bench, at) {
                        Some(Hit::Leg(leg)) => leg.part == ix,
                        Some(Hit::Body(part)) => part == ix,
                        None => false,
                    };
                    assert!(on, "{} {turn:?} at {at:?}", card.kind);
                }
            }
        }
    }

    #[test]
    fn an_led_is_hit_at_its_rim_and_a_body_before_the_wire_below_it() {
        let mut bench = Bench::new(BoardKind::Half);
        for (id, kind, holes) in [("D1", "led", ["c5", "c7"]), ("W1", "wire", ["a6", "e6"])] {
            let part = PartIx(bench.parts.len());
            bench.parts.push(Part::new(id, parts::card(kind).unwrap()));
            for (pin, hole) in holes.into_iter().enumerate() {
                bench.put_leg(LegId { part, pin }, Hole::parse(hole)).unwrap();
            }
        }
        let middle = layout::centre(&bench, PartIx(0));
        for x in [-21.0, 0.0, 21.0] {
            let at = Point::new(middle.x + x, middle.y);
            assert_eq!(under(&bench, at), Some(Hit::Body(PartIx(0))), "{x}");
        }
    }
}
