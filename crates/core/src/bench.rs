//! A bench: boards, parts and where every leg is.

use std::fmt;

use crate::board::{Board, BoardKind, HalfPitches, Hole, MAX_BOARDS, Strip};
use crate::card::{Card, Footprint};
use crate::meter::Meter;
use crate::part::{Leg, Part, Turn};

pub use crate::part::{LegId, PartIx};

/// The most parts that one bench may hold. A bench of this size is still solved within the time
/// that a class would call "at once"; four crowded boards hold fewer.
pub const MAX_PARTS: usize = 300;

/// The most meters on one bench: one for volts and one for amperes at once.
pub const MAX_METERS: usize = 2;

/// The longest name of a part.
pub const MAX_ID_CHARS: usize = 12;

/// Gap between two boards that lie side by side, in half pitches.
const BOARD_GAP: i16 = 6;

/// One document: what stands on the table.
#[derive(Clone, Debug, PartialEq)]
pub struct Bench {
    /// What it is called.
    pub title: String,
    /// The boards from left to right; the first is A.
    pub boards: Vec<Board>,
    /// The parts in the order in which they were put down.
    pub parts: Vec<Part>,
    /// How often the board has been tapped. A leg that is barely in makes or loses contact with
    /// each tap, always in the same way for the same count.
    pub taps: u32,
    /// The meters beside the boards, at most [`MAX_METERS`].
    pub meters: Vec<Meter>,
    /// What a teacher has set for whoever gets the bench.
    pub lesson: Lesson,
    /// The number of the bag that the parts come from: each part's true values are drawn from it, within
    /// their tolerances. `None` for parts that are exactly as printed.
    pub as_bought: Option<u32>,
    /// Whether batteries lose charge as time passes.
    pub batteries_run_down: bool,
}

/// What a teacher has set for whoever gets a bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lesson {
    /// Whether only the meter tells figures of the running bench, so that one has to measure.
    pub only_meter: bool,
    /// Whether a prediction is asked for before a meter shows anything.
    pub predict_first: bool,
    /// By how much a prediction may be off besides the meter's own accuracy, per cent of what is shown.
    pub tolerance_percent: f64,
}

/// Tolerances that a lesson may have, per cent.
pub const TOLERANCE_PERCENT: (f64, f64) = (0.0, 100.0);

impl Default for Lesson {
    /// Everything is told, and a prediction is good within 5 %, the tolerance of the usual resistor.
    fn default() -> Lesson {
        Lesson { only_meter: false, predict_first: false, tolerance_percent: 5.0 }
    }
}

/// Why a part can't stand like that.
#[derive(Clone, Debug, PartialEq)]
pub enum PlaceError {
    /// A bench needs a board and can't have more than [`MAX_BOARDS`].
    BoardCount {
        /// How many there were.
        found: usize,
    },
    /// More than [`MAX_PARTS`].
    TooManyParts {
        /// How many there were.
        found: usize,
    },
    /// A name that is empty, too long or holds other than letters and digits.
    BadId {
        /// The name.
        id: String,
    },
    /// Two parts of one name.
    SameId {
        /// The name.
        id: String,
    },
    /// The board has no such hole.
    NoSuchHole {
        /// The part's name.
        id: String,
        /// The pin's name.
        pin: &'static str,
        /// The hole.
        hole: Hole,
        /// What the bench's boards are, in words.
        boards: String,
    },
    /// Another leg is in the hole.
    Taken {
        /// The part's name.
        id: String,
        /// The pin's name.
        pin: &'static str,
        /// The hole.
        hole: Hole,
        /// Whose leg is there: `R1’s first leg`.
        by: String,
    },
    /// A pin of a stiff part comes down where there is no hole.
    NoHoleUnder {
        /// The part's name.
        id: String,
        /// The pin's name.
        pin: &'static str,
        /// Where pin 1 was to go.
        pin1: Hole,
    },
    /// The legs don't reach so far.
    TooFar {
        /// The part's name.
        id: String,
        /// One hole.
        from: Hole,
        /// The other.
        to: Hole,
        /// How far the legs reach, in pitches.
        reach: u8,
    },
}

impl PlaceError {
    /// Why, in words that go on after the part's name, or alone where everybody knows which part is meant.
    pub fn why(&self) -> String {
        match self {
            PlaceError::BoardCount { found } => format!("a bench has 1 to {MAX_BOARDS} boards, not {found}"),
            PlaceError::TooManyParts { found } => {
                format!("a bench holds at most {MAX_PARTS} parts, and this one has {found}")
            }
            PlaceError::BadId { id } => format!(
                "“{}” can’t be a part’s name: use a letter, then letters and digits, at most {MAX_ID_CHARS}",
                id.chars().take(24).collect::<String>()
            ),
            PlaceError::SameId { id } => format!("two parts are called {id}; each needs its own name"),
            PlaceError::NoSuchHole { hole, boards, .. } => {
                format!("there’s no hole {hole} on this bench ({boards})")
            }
            PlaceError::Taken { hole, by, .. } => {
                format!("{hole} is taken by {by}; only one leg fits in a hole")
            }
            PlaceError::NoHoleUnder { pin, pin1, .. } => {
                format!("with pin 1 in {pin1}, there’s no hole under pin {pin}")
            }
            PlaceError::TooFar { from, to, reach, .. } => {
                format!("the legs don’t reach from {from} to {to} (at most {reach} holes apart)")
            }
        }
    }
}

impl fmt::Display for PlaceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PlaceError::NoSuchHole { id, pin, .. } | PlaceError::Taken { id, pin, .. } => {
                write!(f, "{id} pin {pin}: {}", self.why())
            }
            PlaceError::NoHoleUnder { id, .. } | PlaceError::TooFar { id, .. } => {
                write!(f, "{id}: {}", self.why())
            }
            _ => f.write_str(&self.why()),
        }
    }
}

impl std::error::Error for PlaceError {}

impl Bench {
    /// An empty bench with one board.
    pub fn new(kind: BoardKind) -> Bench {
        Bench {
            title: String::new(),
            boards: vec![Board { kind, split_rails: false }],
            parts: Vec::new(),
            taps: 0,
            meters: Vec::new(),
            lesson: Lesson::default(),
            as_bought: None,
            batteries_run_down: false,
        }
    }

    /// Whether figures of what the running bench does may be told otherwise than by a meter: whatever
    /// shows a voltage, a current or a power asks here first.
    pub fn may_tell_figures(&self) -> bool {
        !self.lesson.only_meter
    }

    /// The same bench with each part as it truly is, where the parts come from a bag.
    pub fn with_true_parts(&self) -> Option<Bench> {
        let lot = self.as_bought?;
        let mut bench = self.clone();
        for part in &mut bench.parts {
            part.lot = Some(lot);
        }
        Some(bench)
    }

    /// The part of that name.
    pub fn find(&self, id: &str) -> Option<PartIx> {
        self.parts.iter().position(|part| part.id == id).map(PartIx)
    }

    /// The part at an index.
    ///
    /// # Panics
    /// When the index is of another bench.
    pub fn part(&self, part: PartIx) -> &Part {
        &self.parts[part.0]
    }

    /// Every leg of every part.
    pub fn legs(&self) -> impl Iterator<Item = (LegId, Leg)> + '_ {
        self.parts.iter().enumerate().flat_map(|(part, it)| {
            it.legs.iter().enumerate().map(move |(pin, &leg)| (LegId { part: PartIx(part), pin }, leg))
        })
    }

    /// The leg in a hole, if any.
    pub fn occupant(&self, hole: Hole) -> Option<LegId> {
        self.legs().find(|(_, leg)| leg.hole == Some(hole)).map(|(id, _)| id)
    }

    /// The board that a hole is on, when the bench has that hole.
    pub fn board_of(&self, hole: Hole) -> Option<&Board> {
        self.boards.get(usize::from(hole.board)).filter(|board| board.has(hole.place))
    }

    /// The strip that a hole belongs to, when the bench has that hole.
    pub fn strip(&self, hole: Hole) -> Option<Strip> {
        self.board_of(hole).map(|board| board.strip(hole))
    }

    /// Where board `index` begins: x of its column a, in half pitches of the bench.
    pub fn board_x(&self, index: usize) -> i16 {
        let mut x = 0;
        for (before, board) in self.boards.iter().enumerate().take(index) {
            x += board.right_edge() + BOARD_GAP - self.boards[before + 1].left_edge();
        }
        x
    }

    /// Where a hole stands on the bench, in half pitches; `None` when the bench lacks it.
    pub fn position(&self, hole: Hole) -> Option<HalfPitches> {
        let at = self.board_of(hole)?.position(hole.place);
        Some(HalfPitches { x: at.x + self.board_x(usize::from(hole.board)), y: at.y })
    }

    /// The hole that stands exactly there.
    pub fn hole_at(&self, at: HalfPitches) -> Option<Hole> {
        self.boards.iter().enumerate().find_map(|(index, board)| {
            let local = HalfPitches { x: at.x - self.board_x(index), y: at.y };
            board.hole_at(local).map(|place| Hole { board: index as u8, place })
        })
    }

    /// Distance between two holes in pitches; `None` when the bench lacks one.
    pub fn distance(&self, from: Hole, to: Hole) -> Option<f64> {
        let (from, to) = (self.position(from)?, self.position(to)?);
        let (dx, dy) = (f64::from(to.x - from.x) / 2.0, f64::from(to.y - from.y) / 2.0);
        Some((dx * dx + dy * dy).sqrt())
    }

    /// The holes that the pins of a stiff part come down on; `None` for a pin that finds no hole.
    /// Empty for a part that is not stiff.
    pub fn holes_under(&self, card: &Card, pin1: Hole, turn: Turn) -> Vec<Option<Hole>> {
        let Footprint::Rigid { offsets, .. } = card.footprint else { return Vec::new() };
        let origin = self.position(pin1);
        offsets
            .iter()
            .map(|&(x, y)| {
                let origin = origin?;
                let (x, y) = turn.apply((i16::from(x), i16::from(y)));
                let hole = self.hole_at(HalfPitches { x: origin.x + 2 * x, y: origin.y + 2 * y })?;
                (hole.board == pin1.board).then_some(hole)
            })
            .collect()
    }

    /// Puts a leg of a loose or off-board part into a hole (`None`: into the air).
    ///
    /// # Errors
    /// When the hole is taken or missing, or the legs don't reach; the bench is then as before.
    pub fn put_leg(&mut self, leg: LegId, hole: Option<Hole>) -> Result<(), PlaceError> {
        let before = self.parts[leg.part.0].legs[leg.pin].hole;
        self.parts[leg.part.0].legs[leg.pin].hole = hole;
        let checked = self.check_part(leg.part);
        if checked.is_err() {
            self.parts[leg.part.0].legs[leg.pin].hole = before;
        }
        checked
    }

    /// Turns a stiff part and puts its pins where they come down with pin 1 in a hole. Whether these are
    /// taken, and whether the bench has the hole of pin 1 at all, is left to [`Bench::check_part`].
    ///
    /// # Errors
    /// When another pin finds no hole.
    pub fn stand(&self, part: &mut Part, pin1: Hole, turn: Turn) -> Result<(), PlaceError> {
        part.turn = turn;
        part.legs[0].hole = Some(pin1);
        if self.board_of(pin1).is_none() {
            return Ok(());
        }
        for (pin, hole) in self.holes_under(part.card, pin1, turn).into_iter().enumerate() {
            if hole.is_none() {
                let (id, pin) = (part.id.clone(), part.card.pins[pin].name);
                return Err(PlaceError::NoHoleUnder { id, pin, pin1 });
            }
            part.legs[pin].hole = hole;
        }
        Ok(())
    }

    /// Puts a stiff part down with pin 1 in a hole.
    ///
    /// # Errors
    /// When a pin finds no hole or one that is taken; the bench is then as before.
    pub fn place_rigid(&mut self, part: PartIx, pin1: Hole, turn: Turn) -> Result<(), PlaceError> {
        let before = self.parts[part.0].clone();
        let mut moved = before.clone();
        let placed = self.stand(&mut moved, pin1, turn).and_then(|()| {
            self.parts[part.0] = moved;
            self.check_part(part)
        });
        if placed.is_err() {
            self.parts[part.0] = before;
        }
        placed
    }

    /// A free name for a new part of that kind: R1, R2 and so on.
    pub fn next_id(&self, card: &Card) -> String {
        (1..)
            .map(|n| format!("{}{n}", card.prefix))
            .find(|id| self.find(id).is_none())
            .expect("fewer parts than numbers")
    }

    /// Checks one part's legs against the boards and the other legs.
    ///
    /// # Errors
    /// The first thing that is wrong, in the order of the pins.
    pub fn check_part(&self, part: PartIx) -> Result<(), PlaceError> {
        let it = self.part(part);
        for (pin, leg) in it.legs.iter().enumerate() {
            let Some(hole) = leg.hole else { continue };
            let name = it.card.pins[pin].name;
            if self.board_of(hole).is_none() {
                return Err(PlaceError::NoSuchHole {
                    id: it.id.clone(),
                    pin: name,
                    hole,
                    boards: self.boards_in_words(),
                });
            }
            let me = LegId { part, pin };
            // An instrument's tip goes into a hole beside a leg.
            let takes =
                |id: LegId, l: Leg| l.hole == Some(hole) && id != me && !self.part(id.part).card.instrument;
            if let Some((other, _)) = self.legs().find(|&(id, l)| takes(id, l)) {
                let owner = self.part(other.part);
                return Err(PlaceError::Taken {
                    id: it.id.clone(),
                    pin: name,
                    hole,
                    by: if other.part == part {
                        format!("{}’s other leg", it.id)
                    } else {
                        owner.leg_in_words(other.pin)
                    },
                });
            }
        }
        if let Footprint::Loose { reach } = it.card.footprint {
            let holes: Vec<Hole> = it.legs.iter().filter_map(|leg| leg.hole).collect();
            for (i, &from) in holes.iter().enumerate() {
                for &to in &holes[i + 1..] {
                    if self.distance(from, to).is_some_and(|d| d > f64::from(reach)) {
                        return Err(PlaceError::TooFar { id: it.id.clone(), from, to, reach });
                    }
                }
            }
        }
        Ok(())
    }

    /// Checks the whole bench: names, counts, holes, one leg a hole.
    ///
    /// # Errors
    /// The first thing that is wrong, part by part.
    pub fn check(&self) -> Result<(), PlaceError> {
        if self.boards.is_empty() || self.boards.len() > MAX_BOARDS {
            return Err(PlaceError::BoardCount { found: self.boards.len() });
        }
        if self.parts.len() > MAX_PARTS {
            return Err(PlaceError::TooManyParts { found: self.parts.len() });
        }
        for (index, part) in self.parts.iter().enumerate() {
            if !is_name(&part.id) {
                return Err(PlaceError::BadId { id: part.id.clone() });
            }
            if self.parts[..index].iter().any(|other| other.id == part.id) {
                return Err(PlaceError::SameId { id: part.id.clone() });
            }
            self.check_part(PartIx(index))?;
        }
        Ok(())
    }

    /// `board A: 30 rows with rails`, for messages.
    pub fn boards_in_words(&self) -> String {
        let words: Vec<String> = self
            .boards
            .iter()
            .enumerate()
            .map(|(index, board)| {
                let rails = if board.kind.rail_holes() > 0 {
                    format!("rails of {}", board.kind.rail_holes())
                } else {
                    "no rails".to_owned()
                };
                let letter = crate::board::board_letter(index as u8);
                format!("board {letter} has rows 1 to {} and {rails}", board.kind.rows())
            })
            .collect();
        words.join("; ")
    }
}

/// Whether a word can name a part: a letter, then letters and digits, not too long.
pub fn is_name(id: &str) -> bool {
    id.len() <= MAX_ID_CHARS
        && id.bytes().all(|b| b.is_ascii_alphanumeric())
        && id.bytes().next().is_some_and(|b| b.is_ascii_alphabetic())
}

impl Board {
    /// The board's left edge, in half pitches from its column a.
    pub fn left_edge(&self) -> i16 {
        if self.kind.rail_holes() > 0 { -8 } else { -3 }
    }

    /// The board's right edge, in half pitches from its column a.
    pub fn right_edge(&self) -> i16 {
        if self.kind.rail_holes() > 0 { 30 } else { 25 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts;

    fn put(bench: &mut Bench, kind: &str, holes: &[&str]) -> Result<PartIx, PlaceError> {
        let card = parts::card(kind).unwrap();
        let part = PartIx(bench.parts.len());
        bench.parts.push(Part::new(bench.next_id(card), card));
        if matches!(card.footprint, Footprint::Rigid { .. }) {
            bench.place_rigid(part, Hole::parse(holes[0]).unwrap(), Turn::None)?;
        } else {
            for (pin, hole) in holes.iter().enumerate() {
                bench.put_leg(LegId { part, pin }, Hole::parse(hole))?;
            }
        }
        Ok(part)
    }

    #[test]
    fn one_leg_a_hole_and_the_bench_stays_as_it_was() {
        let mut bench = Bench::new(BoardKind::Half);
        put(&mut bench, "resistor", &["a1", "a5"]).unwrap();
        let error = put(&mut bench, "resistor", &["a5", "a9"]).unwrap_err();
        assert_eq!(
            error.to_string(),
            "R2 pin 1: a5 is taken by R1’s second leg; only one leg fits in a hole"
        );
        assert_eq!(bench.parts[1].legs[0].hole, None);
    }

    #[test]
    fn holes_that_the_board_lacks_and_legs_too_short_are_named() {
        let mut bench = Bench::new(BoardKind::Mini);
        let says = |r: Result<PartIx, PlaceError>| r.unwrap_err().to_string();
        assert!(says(put(&mut bench, "led", &["a18", "a2"])).contains("no hole a18"));
        assert!(says(put(&mut bench, "led", &["L+1", "a2"])).contains("no rails"));
        assert!(says(put(&mut bench, "led", &["a1", "a16"])).contains("don’t reach from a1 to a16"));
        assert!(says(put(&mut bench, "push-button", &["e17"])).contains("there’s no hole under pin 3"));
    }

    #[test]
    fn a_push_button_straddles_the_channel_and_turns_about_pin_1() {
        let bench = Bench::new(BoardKind::Half);
        let card = parts::card("push-button").unwrap();
        let under = |pin1: &str, turn| -> Vec<String> {
            let pin1 = Hole::parse(pin1).unwrap();
            bench
                .holes_under(card, pin1, turn)
                .iter()
                .map(|h| h.map_or("-".into(), |h| h.to_string()))
                .collect()
        };
        assert_eq!(under("e10", Turn::None), ["e10", "f10", "e12", "f12"]);
        assert_eq!(under("f12", Turn::Half), ["f12", "e12", "f10", "e10"]);
        assert_eq!(under("e10", Turn::Quarter), ["e10", "e13", "c10", "c13"]);
        assert_eq!(under("d10", Turn::None)[1], "-");
    }

    #[test]
    fn boards_lie_side_by_side_without_overlap() {
        let mut bench = Bench::new(BoardKind::Half);
        bench.boards.push(Board { kind: BoardKind::Mini, split_rails: false });
        bench.boards.push(Board { kind: BoardKind::Full, split_rails: true });
        for (index, board) in bench.boards.iter().enumerate() {
            for hole in board.holes(index as u8) {
                assert_eq!(bench.hole_at(bench.position(hole).unwrap()), Some(hole));
            }
        }
    }
}
