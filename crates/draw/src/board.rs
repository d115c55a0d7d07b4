//! Bare boards from above.

use halfrow_core::bench::Bench;
use halfrow_core::board::{Board, Hole, Place, RAILS, Side, Sign, board_letter};
use halfrow_core::shape::{Anchor, Paint, Point, Shape, Sketch, Style, Tint, n};

use crate::layout;

const RED: &str = "#c0392b";
const BLUE: &str = "#27507a";

/// The largest type for which there is room between two rows.
const LARGEST: f32 = 20.5;

/// Draws one board: body, channel, rails' lines, print and holes. All holes are one path, so that a
/// board is a few dozen shapes whatever its size. No type is smaller than `least`: where it would be,
/// it is drawn larger, and left out where there is no room for that.
pub fn draw(bench: &Bench, index: usize, least: f32, sketch: &mut Sketch) {
    let board = &bench.boards[index];
    let area = layout::board(bench, index);
    let x0 = f32::from(bench.board_x(index)) * 10.0;
    sketch.rect(area.x + 3.0, area.y + 4.0, area.width, area.height, 9.0, Style::fill("#000000").faint(0.10));
    let mut body = Style::tint(Tint::Board);
    body.stroke = Paint::Tint(Tint::Rule);
    body.width = 1.2;
    sketch.rect(area.x, area.y, area.width, area.height, 9.0, body);
    sketch.rect(x0 + 100.0, area.y + 1.0, 20.0, area.height - 2.0, 0.0, Style::tint(Tint::Channel));

    let bottom = area.y + area.height;
    for y in [6.5, bottom - 8.0] {
        letters(bench, index, y, least, sketch);
    }
    let size = least.max(11.0);
    // Large ones stand between the rail's line and the holes without room to spare.
    let beside = if size > 13.0 { 6.0 } else { 11.0 };
    for row in (1..=board.kind.rows()).filter(|_| size <= LARGEST) {
        let bold = row == 1 || row % 5 == 0;
        let y = f32::from(row) * 20.0 + 0.36 * size;
        let style = Style::tint(Tint::Print);
        sketch.text(Point::new(x0 - beside, y), size, Anchor::End, bold, row.to_string(), style);
        sketch.text(Point::new(x0 + 220.0 + beside, y), size, Anchor::Start, bold, row.to_string(), style);
    }
    if board.kind.rail_holes() > 0 {
        for (side, sign) in RAILS {
            rail(board, x0, (side, sign), sketch);
        }
    }
    if bench.boards.len() > 1 {
        let letter = board_letter(index as u8);
        let at = Point::new(x0 + 110.0, area.y + 15.0);
        sketch.text(at, 13.0, Anchor::Middle, true, letter, Style::tint(Tint::Ink));
    }
    sketch.path(holes(bench, index), Style::tint(Tint::Hole));
}

/// The columns' letters and the rails' signs, on a line at this height.
fn letters(bench: &Bench, index: usize, y: f32, least: f32, sketch: &mut Sketch) {
    let board = &bench.boards[index];
    let x = |place: Place| f32::from(bench.board_x(index) + board.position(place).x) * 10.0;
    let size = least.max(11.5);
    for (column, letter) in ('a'..='j').enumerate().filter(|_| size <= LARGEST) {
        let at = Point::new(x(Place::Grid { row: 1, column: column as u8 }), y);
        sketch.text(at, size, Anchor::Middle, false, letter, Style::tint(Tint::Print));
    }
    if board.kind.rail_holes() > 0 {
        for (side, sign) in RAILS {
            let at = Point::new(x(Place::Rail { side, sign, n: 1 }), y + 4.5);
            let (size, colour) = (least.clamp(15.0, LARGEST), colour(sign));
            sketch.text(at, size, Anchor::Middle, true, sign.symbol(), Style::fill(colour));
        }
    }
}

/// How high the line is that stays in sight, see [`header`], with type of this size.
pub fn header_height(least: f32) -> f32 {
    least.clamp(15.0, LARGEST) + 7.0
}

/// Letters and rails' signs of the boards whose own have gone out of sight above the line `top`, below it;
/// nothing where there are none.
pub fn header(bench: &Bench, top: f32, least: f32) -> Vec<Shape> {
    let mut sketch = Sketch::default();
    let height = header_height(least);
    for index in 0..bench.boards.len() {
        let area = layout::board(bench, index);
        if !(area.y + 5.0..area.y + area.height - 2.0 * height).contains(&top) {
            continue;
        }
        let mut ground = Style::tint(Tint::Board);
        ground.stroke = Paint::Tint(Tint::Rule);
        ground.width = 1.2;
        sketch.rect(area.x, top - 2.0, area.width, height + 2.0, 0.0, ground);
        letters(bench, index, top + height - 8.5, least, &mut sketch);
    }
    sketch.shapes
}

fn colour(sign: Sign) -> &'static str {
    if sign == Sign::Plus { RED } else { BLUE }
}

fn rail(board: &Board, x0: f32, (side, sign): (Side, Sign), sketch: &mut Sketch) {
    let rows = f32::from(board.kind.rows());
    let x = x0 + f32::from(board.position(Place::Rail { side, sign, n: 1 }).x) * 10.0;
    let (colour, offset) = (colour(sign), if sign == Sign::Plus { -11.0 } else { 11.0 });
    let (top, bottom) = (22.0, rows * 20.0 + 8.0);
    let line = x + offset;
    let half = (top + bottom) / 2.0;
    let style = Style::line(colour, 2.0);
    if board.split_rails {
        sketch.path(format!("M{line} {top}V{}M{line} {}V{bottom}", half - 11.0, half + 11.0), style);
    } else {
        sketch.path(format!("M{line} {top}V{bottom}"), style);
    }
}

/// All holes of a board as one path of small squares.
fn holes(bench: &Bench, index: usize) -> String {
    let mut d = String::new();
    for hole in bench.boards[index].holes(index as u8) {
        if let Some(at) = layout::hole(bench, hole) {
            d.push_str(&format!("M{} {}h6v6h-6z", n(at.x - 3.0), n(at.y - 3.0)));
        }
    }
    d
}

/// The rectangle around the holes of one strip, for ribbons and shading.
pub fn strip_area(bench: &Bench, holes: &[Hole]) -> Option<layout::Area> {
    let points: Vec<Point> = holes.iter().filter_map(|&hole| layout::hole(bench, hole)).collect();
    let first = points.first()?;
    let last = points.last()?;
    Some(layout::Area {
        x: first.x.min(last.x) - 8.0,
        y: first.y.min(last.y) - 8.0,
        width: (last.x - first.x).abs() + 16.0,
        height: (last.y - first.y).abs() + 16.0,
    })
}
