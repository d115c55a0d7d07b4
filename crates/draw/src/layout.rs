//! Where things stand, in drawing units of the bench.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Board, Hole};
use halfrow_core::card::{Footprint, Group};
use halfrow_core::math::sin_cos_turns;
use halfrow_core::part::Part;
use halfrow_core::shape::{Point, Shape};

use crate::scene;

/// A rectangle of the bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Left edge.
    pub x: f32,
    /// Upper edge.
    pub y: f32,
    /// Width.
    pub width: f32,
    /// Height.
    pub height: f32,
}

impl Area {
    /// Whether a point lies inside.
    pub fn holds(&self, at: Point) -> bool {
        (self.x..=self.x + self.width).contains(&at.x) && (self.y..=self.y + self.height).contains(&at.y)
    }

    /// How much of it another area covers, square units.
    pub fn common(&self, other: &Area) -> f32 {
        let side =
            |a: f32, a_long: f32, b: f32, b_long: f32| ((a + a_long).min(b + b_long) - a.max(b)).max(0.0);
        side(self.x, self.width, other.x, other.width) * side(self.y, self.height, other.y, other.height)
    }
}

/// Width of the strip beside the boards for margin marks.
const MARGIN: f32 = 74.0;

/// How much height each off-board part takes.
const SHELF: f32 = 196.0;

/// How much height a part in the air takes.
const AIR: f32 = 70.0;

/// Room to the left of the boards for off-board parts.
const LEFT: f32 = 176.0;

/// Where a hole stands; `None` when the bench lacks it.
pub fn hole(bench: &Bench, hole: Hole) -> Option<Point> {
    let at = bench.position(hole)?;
    Some(Point::new(f32::from(at.x) * 10.0, f32::from(at.y) * 10.0))
}

/// Where the body of a board lies.
pub fn board(bench: &Bench, index: usize) -> Area {
    let it: &Board = &bench.boards[index];
    let x = f32::from(bench.board_x(index) + it.left_edge()) * 10.0;
    Area {
        x,
        y: -10.0,
        width: f32::from(it.right_edge() - it.left_edge()) * 10.0,
        height: f32::from(it.kind.rows()) * 20.0 + 40.0,
    }
}

/// Whether a part stands beside the board.
pub fn is_off_board(bench: &Bench, part: PartIx) -> bool {
    bench.part(part).card.footprint == Footprint::OffBoard
}

/// Whether no leg of a part is in a hole.
fn is_in_air(part: &Part) -> bool {
    part.card.footprint != Footprint::OffBoard && part.legs.iter().all(|leg| leg.hole.is_none())
}

/// Where a part's body rests when its legs don't say: in a column to the left, off-board power above,
/// parts in the air below it.
pub fn rest(bench: &Bench, part: PartIx) -> Point {
    let first = board(bench, 0);
    let off_board =
        |parts: &[Part]| parts.iter().filter(|it| it.card.footprint == Footprint::OffBoard).count();
    let before = &bench.parts[..part.0];
    if is_off_board(bench, part) {
        Point::new(first.x - 150.0, 60.0 + SHELF * off_board(before) as f32)
    } else {
        let above = before.iter().filter(|it| is_in_air(it)).count();
        let shelves = SHELF * off_board(&bench.parts) as f32;
        Point::new(first.x - 90.0, 70.0 + shelves + AIR * above as f32)
    }
}

/// Where each leg of a part ends.
pub fn legs(bench: &Bench, part: PartIx) -> Vec<Option<Point>> {
    bench.part(part).legs.iter().map(|leg| leg.hole.and_then(|h| hole(bench, h))).collect()
}

/// Where a part's body is: for its label, for margin lines and for arrows of current.
pub fn centre(bench: &Bench, part: PartIx) -> Point {
    let rest = rest(bench, part);
    if is_off_board(bench, part) {
        return Point::new(rest.x + 40.0, rest.y + 70.0);
    }
    let legs: Vec<Point> = legs(bench, part).into_iter().flatten().collect();
    if legs.is_empty() {
        return rest;
    }
    let count = legs.len() as f32;
    Point::new(legs.iter().map(|p| p.x).sum::<f32>() / count, legs.iter().map(|p| p.y).sum::<f32>() / count)
}

/// The whole picture: boards, margin, off-board parts, parts in the air.
pub fn bounds(bench: &Bench) -> Area {
    let off_board = bench.parts.iter().filter(|it| it.card.footprint == Footprint::OffBoard).count();
    let in_air = bench.parts.iter().filter(|it| is_in_air(it)).count();
    let left = if off_board + in_air > 0 { LEFT } else { 24.0 };
    around_boards(bench, left, SHELF * off_board as f32 + AIR * in_air as f32 + 60.0)
}

/// The same with room kept for what a bench mostly gets: nothing on the page moves when the first two
/// supplies come, or while a part hangs in the air.
pub fn stage(bench: &Bench) -> Area {
    let used = bounds(bench).height - BELOW;
    around_boards(bench, LEFT, used.max(2.0 * SHELF + 60.0))
}

/// Above and below the boards.
const BELOW: f32 = 28.0;

fn around_boards(bench: &Bench, left: f32, column: f32) -> Area {
    let (first, last) = (board(bench, 0), board(bench, bench.boards.len() - 1));
    let boards = (0..bench.boards.len()).map(|i| board(bench, i).height).fold(0.0, f32::max);
    let width = last.x + last.width + MARGIN - first.x + left;
    Area { x: first.x - left, y: -22.0, width, height: boards.max(column) + BELOW }
}

/// The hole nearest to a point, if one is within a pitch.
pub fn nearest_hole(bench: &Bench, at: Point) -> Option<Hole> {
    let mut best: Option<(f32, Hole)> = None;
    for (index, it) in bench.boards.iter().enumerate() {
        let area = board(bench, index);
        let near =
            Area { x: area.x - 10.0, y: area.y - 10.0, width: area.width + 20.0, height: area.height + 20.0 };
        if !near.holds(at) {
            continue;
        }
        for candidate in it.holes(index as u8) {
            let Some(place) = hole(bench, candidate) else { continue };
            let distance = place.distance(at);
            if distance <= 17.0 && best.is_none_or(|(d, _)| distance < d) {
                best = Some((distance, candidate));
            }
        }
    }
    best.map(|(_, hole)| hole)
}

/// What of a part is under a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hit {
    /// The end of a leg.
    Leg(LegId),
    /// The body.
    Body(PartIx),
}

/// The topmost part under a point.
pub fn hit(bench: &Bench, at: Point) -> Option<Hit> {
    let ends = bench.legs().filter_map(|(id, leg)| Some((id, hole(bench, leg.hole?)?)));
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
    let within = |rim| order.iter().rev().copied().find(|&ix| body_holds(bench, ix, at, rim));
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

/// The area around points, wider by a margin on each side; empty at the origin without points.
pub fn around(points: &[Point], margin: f32) -> Area {
    let Some(first) = points.first() else { return Area { x: 0.0, y: 0.0, width: 0.0, height: 0.0 } };
    let (mut low, mut high) = (*first, *first);
    for at in points {
        low = Point::new(low.x.min(at.x), low.y.min(at.y));
        high = Point::new(high.x.max(at.x), high.y.max(at.y));
    }
    let (width, height) = (high.x - low.x + 2.0 * margin, high.y - low.y + 2.0 * margin);
    Area { x: low.x - margin, y: low.y - margin, width, height }
}

/// What the body of a part beside the board takes up.
pub fn shelf(bench: &Bench, part: PartIx) -> Area {
    let rest = rest(bench, part);
    Area { x: rest.x - 10.0, y: rest.y - 36.0, width: 130.0, height: 190.0 }
}

/// Whether the body of a part covers a point, a lamp's with so much of its rim.
fn body_holds(bench: &Bench, ix: PartIx, at: Point, rim: f32) -> bool {
    if covers(&scene::ghost(bench, ix), at) {
        return true;
    }
    let part = bench.part(ix);
    let rest = rest(bench, ix);
    if is_off_board(bench, ix) {
        return shelf(bench, ix).holds(at);
    }
    let legs: Vec<Point> = legs(bench, ix).into_iter().flatten().collect();
    if part.is_rigid() {
        return !legs.is_empty() && around(&legs, 14.0).holds(at);
    }
    match legs.as_slice() {
        [from, to, ..] => {
            let wide = if part.card.is_wire() { 6.0 } else { 9.0 };
            let reach = if part.card.group == Group::Light { 18.0 + rim } else { 18.0 };
            let round = !part.card.is_wire() && centre(bench, ix).distance(at) < reach;
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
    use halfrow_core::board::BoardKind;
    use halfrow_core::part::Turn;
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
                    let on = match hit(&bench, at) {
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
        let middle = centre(&bench, PartIx(0));
        for x in [-21.0, 0.0, 21.0] {
            let at = Point::new(middle.x + x, middle.y);
            assert_eq!(hit(&bench, at), Some(Hit::Body(PartIx(0))), "{x}");
        }
    }

    #[test]
    fn a_point_near_a_hole_finds_it_and_one_off_the_board_finds_none() {
        let bench = Bench::new(BoardKind::Half);
        let e5 = Hole::parse("e5").unwrap();
        let at = hole(&bench, e5).unwrap();
        assert_eq!(nearest_hole(&bench, Point::new(at.x + 6.0, at.y - 5.0)), Some(e5));
        assert_eq!(nearest_hole(&bench, Point::new(-900.0, 0.0)), None);
    }
}
