//! Places near a hole, and legs that another of the same part stands in for.

use halfrow_core::bench::{Bench, LegId};
use halfrow_core::board::{Hole, Place, Side, Sign, Strip, StripPlace};

use crate::graph::Graph;
use crate::words::other_sign;

/// Whether another leg that is one metal with this one is in use: a push button has two to choose from.
pub(crate) fn is_covered(bench: &Bench, graph: &Graph, leg: LegId) -> bool {
    let it = bench.part(leg.part);
    let used = |pin: usize| {
        let at = graph.at(LegId { part: leg.part, pin });
        graph.ends[..graph.legs()].iter().filter(|&&end| end == at).count() > 1
    };
    !it.card.is_wire()
        && it.card.metal.iter().any(|&(a, b)| {
            let (a, b) = (usize::from(a), usize::from(b));
            a == leg.pin && used(b) || b == leg.pin && used(a)
        })
}

/// How many rows a strip is away from a hole; 0 for a rail.
pub(crate) fn rows_off(hole: Hole, strip: Strip) -> i32 {
    match (hole.row(), strip.place) {
        (Some(from), StripPlace::HalfRow { row, .. }) => (i32::from(row) - i32::from(from)).abs(),
        _ => 0,
    }
}

/// The strips that somebody may have meant who put a leg into `hole`, with how far off each is:
/// up to two rows up or down, across the channel, the rails beside a half row, the other rail of the
/// pair, the half rows beside a rail.
pub(crate) fn near(bench: &Bench, hole: Hole) -> Vec<(Strip, i32)> {
    let (Some(strip), Some(board)) = (bench.strip(hole), bench.board_of(hole)) else { return Vec::new() };
    let board_index = hole.board;
    let at = |place| Strip { board: board_index, place };
    let mut near = Vec::new();
    let rows = board.kind.rows();
    match strip.place {
        StripPlace::HalfRow { row, side } => {
            for (by, cost) in [(-1, 2), (1, 2), (-2, 5), (2, 5)] {
                if let Some(row) = row.checked_add_signed(by).filter(|row| (1..=rows).contains(row)) {
                    near.push((at(StripPlace::HalfRow { row, side }), cost));
                }
            }
            let across = if side == Side::Left { Side::Right } else { Side::Left };
            near.push((at(StripPlace::HalfRow { row, side: across }), 4));
            // From the rail's edge of the half row only: the other columns are no slip away.
            let at_edge = matches!(hole.place, Place::Grid { column, .. } if [0, 1, 8, 9].contains(&column));
            if at_edge && board.kind.rail_holes() > 0 {
                let y = board.position(hole.place).y;
                let lower = board.split_rails && y > i16::from(rows) + 1;
                for sign in [Sign::Plus, Sign::Minus] {
                    near.push((at(StripPlace::Rail { side, sign, lower }), 8));
                }
            }
        }
        StripPlace::Rail { side, sign, lower } => {
            near.push((at(StripPlace::Rail { side, sign: other_sign(sign), lower }), 2));
            let y = board.position(hole.place).y;
            for row in [y / 2, (y + 1) / 2] {
                if let Some(row) = u8::try_from(row).ok().filter(|row| (1..=rows).contains(row)) {
                    near.push((at(StripPlace::HalfRow { row, side }), 12));
                }
            }
        }
    }
    near
}
