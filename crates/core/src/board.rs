//! Boards, their holes, and which holes are one piece of metal.
//!
//! All lengths here are in pitches (2.54 mm): x grows to the right, y downwards, and hole `a1` of
//! a board stands at (0, 1).

use std::fmt;

/// How many boards one bench may have.
pub const MAX_BOARDS: usize = 4;

/// x of columns `a` to `j`: five holes, the channel (7.62 mm from `e` to `f`), five holes.
const COLUMN_X: [i16; 10] = [0, 1, 2, 3, 4, 7, 8, 9, 10, 11];

/// The three sizes that classrooms have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BoardKind {
    /// 170 tie points: 17 rows, no rails.
    Mini,
    /// 400 tie points: 30 rows, four rails of 25.
    Half,
    /// 830 tie points: 63 rows, four rails of 50.
    Full,
}

impl BoardKind {
    /// Every kind, smallest first.
    pub const ALL: [BoardKind; 3] = [BoardKind::Mini, BoardKind::Half, BoardKind::Full];

    /// The word that stands in a bench file.
    pub fn word(self) -> &'static str {
        match self {
            BoardKind::Mini => "mini",
            BoardKind::Half => "half",
            BoardKind::Full => "full",
        }
    }

    /// The kind that a bench file's word means.
    pub fn from_word(word: &str) -> Option<BoardKind> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// Number of numbered rows.
    pub fn rows(self) -> u8 {
        match self {
            BoardKind::Mini => 17,
            BoardKind::Half => 30,
            BoardKind::Full => 63,
        }
    }

    /// Holes in each of the four rails; 0 on a board without rails.
    pub fn rail_holes(self) -> u8 {
        match self {
            BoardKind::Mini => 0,
            BoardKind::Half => 25,
            BoardKind::Full => 50,
        }
    }

    /// All tie points of the board.
    pub fn tie_points(self) -> usize {
        self.rows() as usize * 10 + 4 * self.rail_holes() as usize
    }

    /// Where the first hole of a rail stands, in half pitches below y = 0. The groups of five are
    /// centred on the board, which puts them between two rows on a half board.
    fn rail_start_half_pitches(self) -> i16 {
        let positions = i16::from(self.rail_holes()) + i16::from(self.rail_holes()) / 5 - 1;
        // Rows run from y = 1 to y = rows; the spans' middles coincide.
        i16::from(self.rows()) + 1 - (positions - 1)
    }
}

/// One board on the bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Board {
    /// Its size.
    pub kind: BoardKind,
    /// Whether each rail is interrupted in its middle.
    pub split_rails: bool,
}

/// Left or right pair of rails.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Side {
    /// Beside column a.
    Left,
    /// Beside column j.
    Right,
}

/// The sign printed beside a rail. It says what the rail is meant for, not what it carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sign {
    /// The red line.
    Plus,
    /// The blue line.
    Minus,
}

/// A hole's place on its board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    /// Column 0 to 9 (a to j) and row from 1.
    Grid {
        /// Row from 1, at the top.
        row: u8,
        /// Column 0 to 9 for a to j.
        column: u8,
    },
    /// The n-th hole (from 1, at the top) of a rail.
    Rail {
        /// Left or right.
        side: Side,
        /// Plus or minus.
        sign: Sign,
        /// Number from 1, at the top.
        n: u8,
    },
}

/// A hole (tie point) of the bench. `board` counts from 0 and is written as a letter: board 0 is
/// `A` and needs no prefix, `B:e12` is on board 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Hole {
    /// Index of the board.
    pub board: u8,
    /// Place on that board.
    pub place: Place,
}

/// A place on a board in pitches, doubled so that the rails' half-pitch offset stays exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct HalfPitches {
    /// To the right of column a.
    pub x: i16,
    /// Below y = 0 (row 1 stands at 2).
    pub y: i16,
}

/// A strip of metal inside a board that joins holes: a half row, or (a part of) a rail.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Strip {
    /// Index of the board.
    pub board: u8,
    /// Which strip of that board.
    pub place: StripPlace,
}

impl Strip {
    /// A number that stands for it and rises in reading order: strips are sorted and looked up at each change
    /// of a bench.
    pub(crate) fn number(self) -> u32 {
        let place = match self.place {
            StripPlace::HalfRow { row, side } => u32::from(row) << 1 | side as u32,
            StripPlace::Rail { side, sign, lower } => {
                1 << 15 | (side as u32) << 2 | (sign as u32) << 1 | u32::from(lower)
            }
        };
        u32::from(self.board) << 16 | place
    }
}

impl PartialOrd for Strip {
    fn partial_cmp(&self, other: &Strip) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Strip {
    fn cmp(&self, other: &Strip) -> std::cmp::Ordering {
        self.number().cmp(&other.number())
    }
}

/// Which strip of a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum StripPlace {
    /// Columns a to e (left) or f to j (right) of a row.
    HalfRow {
        /// Row from 1.
        row: u8,
        /// Which half.
        side: Side,
    },
    /// A rail, or one part of a split rail.
    Rail {
        /// Left or right pair.
        side: Side,
        /// Plus or minus.
        sign: Sign,
        /// Whether this is the lower part of a split rail.
        lower: bool,
    },
}

impl Hole {
    /// A hole of the grid. `column` is `'a'` to `'j'`.
    ///
    /// # Panics
    /// When `column` is no letter from a to j.
    pub fn grid(board: u8, column: char, row: u8) -> Hole {
        assert!(('a'..='j').contains(&column), "columns run from a to j");
        Hole { board, place: Place::Grid { row, column: column as u8 - b'a' } }
    }

    /// A hole of a rail.
    pub fn rail(board: u8, side: Side, sign: Sign, n: u8) -> Hole {
        Hole { board, place: Place::Rail { side, sign, n } }
    }

    /// Reads a name such as `e12`, `L+7`, `L−7` or `B:j3`. Nothing is checked against a board.
    pub fn parse(name: &str) -> Option<Hole> {
        let (board, rest) = match name.split_once(':') {
            Some((letter, rest)) => {
                let mut chars = letter.chars();
                let letter = chars.next().filter(|c| c.is_ascii_uppercase())?;
                if chars.next().is_some() {
                    return None;
                }
                (letter as u8 - b'A', rest)
            }
            None => (0, name),
        };
        if usize::from(board) >= MAX_BOARDS {
            return None;
        }
        let mut chars = rest.chars();
        let first = chars.next()?;
        let number = |text: &str| -> Option<u8> {
            // A leading zero or sign would give one hole two names.
            let plain = text.bytes().all(|b| b.is_ascii_digit()) && !text.starts_with('0');
            if plain { text.parse().ok() } else { None }
        };
        match first {
            'a'..='j' => Some(Hole::grid(board, first, number(chars.as_str())?)),
            'L' | 'R' => {
                let side = if first == 'L' { Side::Left } else { Side::Right };
                let sign = match chars.next()? {
                    '+' => Sign::Plus,
                    '-' | '\u{2212}' => Sign::Minus,
                    _ => return None,
                };
                Some(Hole::rail(board, side, sign, number(chars.as_str())?))
            }
            _ => None,
        }
    }

    /// The row a person would say: the numbered row for a grid hole, none for a rail.
    pub fn row(self) -> Option<u8> {
        match self.place {
            Place::Grid { row, .. } => Some(row),
            Place::Rail { .. } => None,
        }
    }

    /// Left or right of the channel, or which pair of rails.
    pub fn side(self) -> Side {
        match self.place {
            Place::Grid { column, .. } => {
                if column < 5 {
                    Side::Left
                } else {
                    Side::Right
                }
            }
            Place::Rail { side, .. } => side,
        }
    }

    /// Where the hole is in words: `row 12, left half` or `left + rail`.
    pub fn place_in_words(self) -> String {
        let side = self.side().word();
        let on =
            if self.board == 0 { String::new() } else { format!("board {}, ", board_letter(self.board)) };
        match self.place {
            Place::Grid { row, .. } => format!("{on}row {row}, {side} half"),
            Place::Rail { sign, .. } => format!("{on}{side} {} rail", sign.symbol()),
        }
    }
}

impl Side {
    /// `left` or `right`.
    pub fn word(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }
}

impl Sign {
    /// `+` or `−` (a true minus, for people; files use `-`).
    pub fn symbol(self) -> &'static str {
        match self {
            Sign::Plus => "+",
            Sign::Minus => "−",
        }
    }
}

/// The letter of a board: 0 is A.
pub fn board_letter(board: u8) -> char {
    char::from(b'A' + board)
}

impl fmt::Display for Hole {
    /// The name as a file writes it, so that it can be read back: `e12`, `L-7`, `B:j3`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.board > 0 {
            write!(f, "{}:", board_letter(self.board))?;
        }
        match self.place {
            Place::Grid { row, column } => write!(f, "{}{row}", char::from(b'a' + column)),
            Place::Rail { side, sign, n } => {
                let side = if side == Side::Left { 'L' } else { 'R' };
                let sign = if sign == Sign::Plus { '+' } else { '-' };
                write!(f, "{side}{sign}{n}")
            }
        }
    }
}

impl fmt::Display for Strip {
    /// In words: `row 12 left`, `left + rail`, `lower left − rail`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.board > 0 {
            write!(f, "board {}, ", board_letter(self.board))?;
        }
        match self.place {
            StripPlace::HalfRow { row, side } => write!(f, "row {row} {}", side.word()),
            StripPlace::Rail { side, sign, lower } => {
                write!(f, "{}{} {} rail", if lower { "lower " } else { "" }, side.word(), sign.symbol())
            }
        }
    }
}

impl Board {
    /// Whether this board has such a hole.
    pub fn has(&self, place: Place) -> bool {
        match place {
            Place::Grid { row, column } => (1..=self.kind.rows()).contains(&row) && column < 10,
            Place::Rail { n, .. } => (1..=self.kind.rail_holes()).contains(&n),
        }
    }

    /// All holes, row by row, then rail by rail.
    pub fn holes(&self, board: u8) -> impl Iterator<Item = Hole> + use<> {
        let kind = self.kind;
        let grid = (1..=kind.rows()).flat_map(move |row| {
            (0..10).map(move |column| Hole { board, place: Place::Grid { row, column } })
        });
        let rails = RAILS.into_iter().flat_map(move |(side, sign)| {
            (1..=kind.rail_holes()).map(move |n| Hole { board, place: Place::Rail { side, sign, n } })
        });
        grid.chain(rails)
    }

    /// All strips of this board.
    pub fn strips(&self, board: u8) -> Vec<Strip> {
        let mut strips: Vec<Strip> = self.holes(board).map(|hole| self.strip(hole)).collect();
        strips.sort_unstable();
        strips.dedup();
        strips
    }

    /// The strip that a hole of this board belongs to.
    pub fn strip(&self, hole: Hole) -> Strip {
        let place = match hole.place {
            Place::Grid { row, .. } => StripPlace::HalfRow { row, side: hole.side() },
            Place::Rail { side, sign, n } => {
                StripPlace::Rail { side, sign, lower: self.split_rails && n > self.kind.rail_holes() / 2 }
            }
        };
        Strip { board: hole.board, place }
    }

    /// The holes of one strip, in order.
    pub fn holes_of(&self, strip: Strip) -> Vec<Hole> {
        let board = strip.board;
        match strip.place {
            StripPlace::HalfRow { row, side } => {
                let columns = if side == Side::Left { 0..5 } else { 5..10 };
                columns.map(|column| Hole { board, place: Place::Grid { row, column } }).collect()
            }
            StripPlace::Rail { side, sign, .. } => (1..=self.kind.rail_holes())
                .map(|n| Hole { board, place: Place::Rail { side, sign, n } })
                .filter(|&hole| self.strip(hole) == strip)
                .collect(),
        }
    }

    /// Where a hole stands on the board.
    pub fn position(&self, place: Place) -> HalfPitches {
        match place {
            Place::Grid { row, column } => {
                HalfPitches { x: 2 * COLUMN_X[usize::from(column)], y: 2 * i16::from(row) }
            }
            Place::Rail { side, sign, n } => {
                let x = match (side, sign) {
                    (Side::Left, Sign::Plus) => -3,
                    (Side::Left, Sign::Minus) => -2,
                    (Side::Right, Sign::Plus) => 13,
                    (Side::Right, Sign::Minus) => 14,
                };
                // Groups of five with one pitch left out between them.
                let step = i16::from(n) - 1 + (i16::from(n) - 1) / 5;
                HalfPitches { x: 2 * x, y: self.kind.rail_start_half_pitches() + 2 * step }
            }
        }
    }

    /// The hole that stands exactly there, if there is one.
    pub fn hole_at(&self, at: HalfPitches) -> Option<Place> {
        if at.x % 2 == 0
            && at.y % 2 == 0
            && let Some(column) = COLUMN_X.iter().position(|&x| 2 * x == at.x)
        {
            let row = u8::try_from(at.y / 2).ok()?;
            let place = Place::Grid { row, column: column as u8 };
            return self.has(place).then_some(place);
        }
        let (side, sign) = RAILS
            .into_iter()
            .find(|&(side, sign)| self.position(Place::Rail { side, sign, n: 1 }).x == at.x)?;
        let offset = at.y - self.kind.rail_start_half_pitches();
        if offset < 0 || offset % 2 != 0 || (offset / 2) % 6 == 5 {
            return None;
        }
        let step = offset / 2;
        let place = Place::Rail { side, sign, n: u8::try_from(step - step / 6 + 1).ok()? };
        self.has(place).then_some(place)
    }
}

/// The four rails from left to right.
pub const RAILS: [(Side, Sign); 4] = [
    (Side::Left, Sign::Plus),
    (Side::Left, Sign::Minus),
    (Side::Right, Sign::Plus),
    (Side::Right, Sign::Minus),
];

#[cfg(test)]
mod tests {
    use super::*;

    fn board(kind: BoardKind, split_rails: bool) -> Board {
        Board { kind, split_rails }
    }

    #[test]
    fn strips_are_in_the_order_of_their_places() {
        let boards = [0_u8, 1, 3].map(|board| (board, Board { kind: BoardKind::Full, split_rails: true }));
        let holes =
            boards.iter().flat_map(|(index, board)| board.holes(*index).map(|hole| board.strip(hole)));
        let strips: Vec<Strip> = holes.collect();
        for a in &strips {
            for b in &strips {
                assert_eq!(a.cmp(b), (a.board, a.place).cmp(&(b.board, b.place)), "{a:?} {b:?}");
            }
        }
    }

    #[test]
    fn every_hole_reads_back_by_its_name_and_by_its_place() {
        for kind in BoardKind::ALL {
            let board = board(kind, false);
            let mut count = 0;
            for hole in board.holes(1) {
                assert_eq!(Hole::parse(&hole.to_string()), Some(hole));
                assert_eq!(board.hole_at(board.position(hole.place)), Some(hole.place));
                count += 1;
            }
            assert_eq!(count, kind.tie_points());
        }
    }

    #[test]
    fn strips_are_fives_and_rails() {
        for (kind, split, strips) in [
            (BoardKind::Mini, false, 34),
            (BoardKind::Half, false, 64),
            (BoardKind::Half, true, 68),
            (BoardKind::Full, false, 130),
            (BoardKind::Full, true, 134),
        ] {
            let board = board(kind, split);
            let all = board.strips(0);
            assert_eq!(all.len(), strips);
            let holes: usize = all.iter().map(|&strip| board.holes_of(strip).len()).sum();
            assert_eq!(holes, kind.tie_points());
        }
    }

    #[test]
    fn names_that_are_no_holes_are_refused() {
        for name in [
            "", "k1", "a", "a0", "a01", "a+1", "L1", "L*1", "L+", "B:", "b:a1", "AB:a1", "Z:a1", "a999", "é1",
        ] {
            assert_eq!(Hole::parse(name), None, "{name}");
        }
    }

    #[test]
    fn rails_are_centred_beside_the_rows() {
        let half = board(BoardKind::Half, false);
        let at = |n| half.position(Place::Rail { side: Side::Left, sign: Sign::Plus, n }).y;
        assert_eq!((at(1), at(5), at(6), at(25)), (3, 11, 15, 59));
        let full = board(BoardKind::Full, false);
        let at = |n| full.position(Place::Rail { side: Side::Right, sign: Sign::Minus, n }).y;
        assert_eq!((at(1), at(50)), (6, 122));
    }
}
