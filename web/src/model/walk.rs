//! Where the keys lead on the board: from hole to hole, along rows and rails.

use halfrow_core::bench::Bench;
use halfrow_core::board::{Hole, Place, RAILS};

/// The cells of a hole's row, left to right: left rails, a to j, right rails. A rail's cell is its
/// nearest hole.
///
/// Rail holes stand between rows, and some rows share one: `row` is the row that the cursor came from,
/// where it goes back to as long as it is next to that rail hole.
pub fn row_of(bench: &Bench, hole: Hole, row: u8) -> Vec<Hole> {
    let board = &bench.boards[usize::from(hole.board)];
    let y = board.position(hole.place).y;
    let nearest = |side, sign, row: u8| {
        (1..=board.kind.rail_holes())
            .map(|n| Place::Rail { side, sign, n })
            .min_by_key(|&place| (board.position(place).y - 2 * i16::from(row)).abs())
    };
    let row = row.clamp(1, board.kind.rows());
    let row = match hole.place {
        Place::Grid { row, .. } => row,
        Place::Rail { side, sign, .. } if nearest(side, sign, row) == Some(hole.place) => row,
        Place::Rail { .. } => (y / 2).clamp(1, i16::from(board.kind.rows())) as u8,
    };
    let rail = |index: usize| {
        let (side, sign) = RAILS[index];
        let place = match hole.place {
            Place::Rail { n, .. } => Some(Place::Rail { side, sign, n }),
            Place::Grid { .. } => nearest(side, sign, row),
        };
        place.map(|place| Hole { board: hole.board, place })
    };
    let grid = (0..10).map(|column| Hole { board: hole.board, place: Place::Grid { row, column } });
    [rail(0), rail(1)]
        .into_iter()
        .flatten()
        .chain(grid)
        .chain([rail(2), rail(3)].into_iter().flatten())
        .collect()
}

/// The hole that a key leads to.
pub fn step(bench: &Bench, from: Hole, row: u8, key: &str, ctrl: bool) -> Option<Hole> {
    let cells = row_of(bench, from, row);
    let at = cells.iter().position(|&cell| cell == from)?;
    let board = &bench.boards[usize::from(from.board)];
    let down = |rows: i16| -> Hole {
        let place = match from.place {
            Place::Grid { row, column } => Place::Grid {
                row: (i16::from(row) + rows).clamp(1, i16::from(board.kind.rows())) as u8,
                column,
            },
            Place::Rail { side, sign, n } => Place::Rail {
                side,
                sign,
                n: (i16::from(n) + rows).clamp(1, i16::from(board.kind.rail_holes())) as u8,
            },
        };
        Hole { board: from.board, place }
    };
    Some(match (key, ctrl) {
        ("ArrowLeft", _) if at > 0 => cells[at - 1],
        ("ArrowLeft", _) if from.board > 0 => *row_of(bench, other_board(bench, from, -1), row).last()?,
        ("ArrowRight", _) if at + 1 < cells.len() => cells[at + 1],
        ("ArrowRight", _) if usize::from(from.board) + 1 < bench.boards.len() => {
            row_of(bench, other_board(bench, from, 1), row)[0]
        }
        ("ArrowUp", _) => down(-1),
        ("ArrowDown", _) => down(1),
        ("PageUp", _) => down(-5),
        ("PageDown", _) => down(5),
        ("Home", true) => Hole::grid(0, 'a', 1),
        ("End", true) => down(100),
        ("Home", false) => cells[0],
        ("End", false) => *cells.last()?,
        _ => return None,
    })
}

fn other_board(bench: &Bench, from: Hole, by: i8) -> Hole {
    let board = from.board.saturating_add_signed(by);
    let rows = bench.boards[usize::from(board)].kind.rows();
    Hole::grid(board, 'a', from.row().unwrap_or(1).min(rows))
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::board::BoardKind;

    #[test]
    fn keys_walk_over_rows_columns_and_rails() {
        let bench = Bench::new(BoardKind::Half);
        let go = |from: &str, key: &str| {
            step(&bench, Hole::parse(from).unwrap(), 1, key, false).map(|h| h.to_string())
        };
        for (from, key, to) in [
            ("e12", "ArrowRight", "f12"),
            ("a7", "ArrowLeft", "L-6"),
            ("L+5", "ArrowDown", "L+6"),
            ("j30", "ArrowDown", "j30"),
            ("c4", "Home", "L+3"),
            ("c4", "PageDown", "c9"),
        ] {
            assert_eq!(go(from, key).as_deref(), Some(to), "{from} {key}");
        }
        assert_eq!(go("L+3", "ArrowLeft"), None);
        // To a rail and back is the same row.
        for row in 1..=30 {
            for (column, there, back) in [('a', "ArrowLeft", "ArrowRight"), ('j', "ArrowRight", "ArrowLeft")]
            {
                let hole = Hole::grid(0, column, row);
                let rail = step(&bench, hole, row, there, false).unwrap();
                assert_eq!(step(&bench, rail, row, back, false), Some(hole), "{rail}");
            }
        }
        assert_eq!(go("L-6", "ArrowRight").as_deref(), Some("a7"), "also without a row to go back to");
    }
}
