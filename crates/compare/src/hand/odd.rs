//! How little a move looks like a slip of the hand: among repairs that are equally short the likeliest is told.

use halfrow_core::bench::Bench;
use halfrow_core::board::{Hole, Place, Sign};
use halfrow_core::part::Part;

/// How far a slip from one hole to another is: a row is nothing much, five rows are odd.
pub(super) fn apart(bench: &Bench, from: Hole, to: Hole) -> i32 {
    match (from.place, to.place) {
        (Place::Grid { row, .. }, Place::Grid { row: other, .. }) if from.side() == to.side() => {
            (2 * i32::from(row.abs_diff(other))).min(16)
        }
        (Place::Grid { row, .. }, Place::Grid { row: other, .. }) => {
            (3 + 2 * i32::from(row.abs_diff(other))).min(16)
        }
        (Place::Rail { side, .. }, Place::Rail { side: other, .. }) => {
            if side == other {
                2
            } else {
                6
            }
        }
        _ => bench.distance(from, to).map_or(16, |it| (4 + it as i32).min(16)),
    }
}

/// A red wire at a − rail, a black one at a +: the colour says that it is wrong.
pub(super) fn colour_speaks(part: &Part, from: Option<Hole>) -> i32 {
    let Some(Hole { place: Place::Rail { sign, .. }, .. }) = from else { return 0 };
    let label = if part.card.is_wire() { (part.card.label)(part) } else { return 0 };
    match (label.as_str(), sign) {
        ("red", Sign::Minus) | ("black", Sign::Plus) => -4,
        ("red", Sign::Plus) | ("black", Sign::Minus) => 4,
        _ => 0,
    }
}
