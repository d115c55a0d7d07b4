//! What of the bench is in sight: how it opens, zooms, moves, and follows the cursor.

use halfrow_core::bench::Bench;
use halfrow_core::shape::Point;
use halfrow_draw::board::header_height;
use halfrow_draw::layout;

use crate::model::state::View;

/// Width and height of the board's place on the page, in pixels.
pub type Room = (f32, f32);

/// The smallest type on the board, pixels.
const TYPE: f32 = 12.0;

/// Pixels for a unit below which the bench does not open as a whole: rows, 20 units apart, would have no
/// room for their numbers.
const SMALLEST: f32 = TYPE / 20.0;

/// Pixels for a unit at which it opens instead: labels, in type of 15 units, have room for the parts' values
/// beside them. With more, less of the board would be in sight.
const LEGIBLE: f32 = 0.8;

/// How far inside the edge the cursor is brought, in units: two rows.
const AHEAD: f32 = 40.0;

/// How far the last row can be scrolled up from the lower edge, as a share of what is in sight: the clock's and
/// the zoom's buttons take the lower third of the lowest frame, 640 x 400.
const BELOW: f32 = 0.45;

/// All of the bench.
pub fn whole(bench: &Bench) -> View {
    let area = layout::stage(bench);
    (area.x, area.y, area.width, area.height)
}

/// What is in sight when a bench opens: all of it, or where that would be too small to build on, its
/// upper part.
fn opening(bench: &Bench, room: Room) -> View {
    let all = whole(bench);
    if room.0 <= 0.0 || scale(all, room) >= SMALLEST {
        return all;
    }
    let board = layout::board(bench, 0);
    // Where there is no room for what stands beside the board, the board has the width.
    let narrow = room.0 / LEGIBLE < all.2;
    let scale = if narrow { (room.0 / (board.width + 2.0 * EDGE)).max(LEGIBLE) } else { LEGIBLE };
    let (width, height) = (room.0 / scale, (room.1 / scale).min(all.3));
    let x = if narrow { board.x - EDGE } else { all.0 - (width - all.2) / 2.0 };
    (x, all.1, width, height)
}

/// Left of the board and right of it where it has the width, units.
const EDGE: f32 = 6.0;

/// What is in sight now.
pub fn sight(bench: &Bench, view: Option<View>, room: Room) -> View {
    view.unwrap_or_else(|| opening(bench, room))
}

/// Pixels for a unit.
pub fn scale(view: View, room: Room) -> f32 {
    (room.0 / view.2).min(room.1 / view.3)
}

/// The smallest type for the picture, in units: twelve pixels. In steps, so that not every turn of the
/// wheel draws the board anew; type that is larger than any of the picture's is all the same.
pub fn least_type(view: View, room: Room) -> f32 {
    let scale = scale(view, room);
    if scale > 0.0 { (TYPE / scale * 4.0).ceil().max(24.0) / 4.0 } else { TYPE }
}

/// A view with all that its room shows: the picture is fitted into it and stands in its middle.
pub fn filled(view: View, room: Room) -> View {
    let scale = scale(view, room);
    if scale <= 0.0 {
        return view;
    }
    let (width, height) = (room.0 / scale, room.1 / scale);
    (view.0 - (width - view.2) / 2.0, view.1 - (height - view.3) / 2.0, width, height)
}

/// A view that is `factor` times as wide, about a point.
pub fn zoomed(view: View, factor: f32, about: Point, bench: &Bench) -> View {
    let all = whole(bench);
    let most = all.2.max(all.3 * view.2 / view.3) * 1.6;
    let width = (view.2 * factor).clamp(120.0, most);
    let factor = width / view.2;
    (about.x - (about.x - view.0) * factor, about.y - (about.y - view.1) * factor, width, view.3 * factor)
}

/// The view for another room: as large as it was on the page, with the same upper edge. What was all in sight
/// still is.
pub fn resized(view: View, before: Room, now: Room, bench: &Bench) -> View {
    let (old, new) = (scale(view, before), scale(view, now));
    if view == whole(bench) || !(old > 0.0 && new > 0.0) {
        return view;
    }
    let (x, y, width, _) = filled(view, before);
    let (wide, high) = (now.0 / old, now.1 / old);
    // Who builds looks at the upper edge.
    (x + (width - wide) / 2.0, y, wide, high)
}

/// The shift that brings `low..high` to hold `from..to` as far as it can.
fn shift(low: f32, high: f32, from: f32, to: f32) -> f32 {
    if from < low {
        from - low
    } else if to > high {
        to - high
    } else {
        0.0
    }
}

/// The view moved by as little as brings a point into sight, with some of what is around it.
pub fn follow(view: View, room: Room, at: Point) -> View {
    let now = filled(view, room);
    let (low, high) = (Point::new(now.0, now.1), Point::new(now.0 + now.2, now.1 + now.3));
    // With the frame around it.
    let seen = |at: f32, low: f32, high: f32| at - 10.0 >= low && at + 10.0 <= high;
    // Below the line of letters that stays in sight.
    let under = if low.y > 0.0 { header_height(least_type(view, room)) } else { 0.0 };
    if seen(at.x, low.x, high.x) && seen(at.y, low.y + under, high.y) {
        return view;
    }
    let dx = shift(low.x, high.x, at.x - AHEAD, at.x + AHEAD);
    let dy = shift(low.y, high.y, at.y - AHEAD, at.y + AHEAD);
    (view.0 + dx, view.1 + dy, view.2, view.3)
}

/// The view moved by the wheel: not beyond the bench, so that the wheel goes on to the page where there
/// is nothing more to see.
pub fn scrolled(view: View, room: Room, bench: &Bench, dx: f32, dy: f32) -> View {
    let (now, all) = (filled(view, room), whole(bench));
    let along = |by: f32, low: f32, long: f32, from: f32, far: f32| {
        by.clamp((from - low).min(0.0), (from + far - low - long).max(0.0))
    };
    let dx = along(dx, now.0, now.2, all.0, all.2);
    // What covers the lower edge, a clock and buttons, is scrolled past where there is something to scroll.
    let below = if all.3 > now.3 * 1.001 { BELOW * now.3 } else { 0.0 };
    let dy = along(dy, now.1, now.3, all.1, all.3 + below);
    (view.0 + dx, view.1 + dy, view.2, view.3)
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::bench::PartIx;
    use halfrow_core::board::{BoardKind, Hole};
    use halfrow_core::part::Part;
    use halfrow_core::parts;

    /// The rooms that a school laptop, the same scaled up, an embed and a phone leave to the board.
    const ROOMS: [Room; 4] = [(804.0, 692.0), (544.0, 424.0), (374.0, 330.0), (360.0, 330.0)];

    #[test]
    fn nothing_that_is_put_down_moves_what_is_in_sight() {
        for kind in [BoardKind::Mini, BoardKind::Half, BoardKind::Full] {
            let empty = Bench::new(kind);
            for second in ["supply", "resistor"] {
                let mut bench = empty.clone();
                for name in ["battery", second] {
                    bench.parts.push(Part::new(name, parts::card(name).unwrap()));
                    for room in ROOMS {
                        assert_eq!(sight(&bench, None, room), sight(&empty, None, room), "{name}");
                    }
                }
                // What hangs in the air is in sight too.
                assert!(layout::stage(&bench).holds(layout::rest(&bench, PartIx(1))));
            }
        }
    }

    #[test]
    fn a_bench_opens_as_a_whole_or_legibly() {
        for (kind, room, all) in [
            (BoardKind::Half, ROOMS[0], true),
            (BoardKind::Half, ROOMS[1], true),
            (BoardKind::Half, ROOMS[2], false),
            (BoardKind::Half, ROOMS[3], false),
            (BoardKind::Full, ROOMS[0], false),
            (BoardKind::Full, ROOMS[1], false),
            (BoardKind::Full, ROOMS[3], false),
        ] {
            let bench = Bench::new(kind);
            let view = sight(&bench, None, room);
            assert_eq!(view == whole(&bench), all, "{kind:?} {room:?}");
            assert!(all || scale(view, room) >= LEGIBLE - 0.01, "{kind:?} {room:?}");
            // Every row has room for its number in the smallest type.
            assert!(least_type(view, room) <= 20.25, "{kind:?} {room:?}");
            // The first row is in sight on both sides.
            for hole in ["a1", "j1"] {
                let at = layout::hole(&bench, Hole::parse(hole).unwrap()).unwrap();
                assert_eq!(follow(view, room, at), view, "{hole} {room:?}");
            }
        }
    }

    #[test]
    fn a_phone_gives_the_board_its_width() {
        for kind in [BoardKind::Half, BoardKind::Full] {
            let bench = Bench::new(kind);
            let (board, view) = (layout::board(&bench, 0), sight(&bench, None, ROOMS[3]));
            assert!(board.width * scale(view, ROOMS[3]) > 0.95 * ROOMS[3].0, "{view:?}");
            assert!(view.0 <= board.x && board.x + board.width <= view.0 + view.2, "{view:?}");
        }
    }

    #[test]
    fn another_room_changes_how_much_is_in_sight_and_not_how_large() {
        let bench = Bench::new(BoardKind::Full);
        let view = (-80.0, 300.0, 400.0, 500.0);
        for now in ROOMS {
            let next = resized(view, ROOMS[0], now, &bench);
            assert!((scale(next, now) - scale(view, ROOMS[0])).abs() < 1e-3, "{next:?}");
        }
        assert_eq!(resized(whole(&bench), ROOMS[0], ROOMS[3], &bench), whole(&bench));
    }

    #[test]
    fn the_view_follows_to_each_hole_and_not_before_it_must() {
        let bench = Bench::new(BoardKind::Half);
        let room = ROOMS[0];
        let view = (0.0, 0.0, 160.0, 140.0);
        for hole in bench.boards[0].holes(0) {
            let at = layout::hole(&bench, hole).unwrap();
            let next = filled(follow(view, room, at), room);
            assert!((next.0..=next.0 + next.2).contains(&at.x), "{hole}");
            assert!((next.1..=next.1 + next.3).contains(&at.y), "{hole}");
        }
        assert_eq!(follow(view, room, Point::new(80.0, 70.0)), view);
    }

    #[test]
    fn the_wheel_is_the_pages_where_there_is_nothing_more_to_see() {
        let bench = Bench::new(BoardKind::Full);
        let all = whole(&bench);
        assert_eq!(scrolled(all, ROOMS[0], &bench, 30.0, 30.0), all);
        let upper = sight(&bench, None, ROOMS[0]);
        assert!(upper.3 < all.3);
        let upper = sight(&bench, None, ROOMS[1]);
        assert_eq!(scrolled(upper, ROOMS[1], &bench, 0.0, -30.0), upper);
        let down = scrolled(upper, ROOMS[1], &bench, 0.0, 1e6);
        assert!((down.1 + down.3 - all.1 - all.3 - BELOW * down.3).abs() < 1.0, "{down:?} {all:?}");
    }
}
