//! Where things stand, in drawing units of the bench.

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::board::{Board, Hole};
use halfrow_core::card::Footprint;
use halfrow_core::meter::Touch;
use halfrow_core::part::Part;
use halfrow_core::shape::Point;

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

/// Size of a meter, and how much height it takes with what is below it.
pub const METER: (f32, f32) = (140.0, 270.0);
const METER_SHELF: f32 = 290.0;

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
        let shelves = SHELF * off_board(&bench.parts) as f32 + METER_SHELF * bench.meters.len() as f32;
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
    let meters = bench.meters.len();
    let left = if off_board + in_air + meters > 0 { LEFT } else { 24.0 };
    let column = SHELF * off_board as f32 + METER_SHELF * meters as f32 + AIR * in_air as f32;
    around_boards(bench, left, column + 60.0)
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

/// Where a meter stands: in the column beside the boards, below what gives power.
pub fn meter(bench: &Bench, index: usize) -> Area {
    let above = bench.parts.iter().filter(|it| it.card.footprint == Footprint::OffBoard).count();
    let y = 58.0 + SHELF * above as f32 + METER_SHELF * index as f32;
    Area { x: board(bench, 0).x - 164.0, y, width: METER.0, height: METER.1 }
}

/// Where a tip of a meter is when it touches this; `None` while it touches nothing on the board.
pub fn touched(bench: &Bench, tip: &Touch) -> Option<Point> {
    match tip {
        Touch::Hole(at) => hole(bench, *at),
        Touch::Leg { .. } => {
            let leg = tip.leg(bench)?;
            match bench.part(leg.part).legs[leg.pin].hole {
                Some(at) => hole(bench, at),
                // A lifted leg hangs beside its part.
                None => {
                    let others = legs(bench, leg.part).into_iter().flatten().next();
                    Some(others.map_or(rest(bench, leg.part), |at| Point::new(at.x + 34.0, at.y - 30.0)))
                }
            }
        }
        _ => None,
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::board::BoardKind;

    #[test]
    fn a_point_near_a_hole_finds_it_and_one_off_the_board_finds_none() {
        let bench = Bench::new(BoardKind::Half);
        let e5 = Hole::parse("e5").unwrap();
        let at = hole(&bench, e5).unwrap();
        assert_eq!(nearest_hole(&bench, Point::new(at.x + 6.0, at.y - 5.0)), Some(e5));
        assert_eq!(nearest_hole(&bench, Point::new(-900.0, 0.0)), None);
    }
}
