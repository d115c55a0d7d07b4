//! Parts thrown at boards.

use halfrow_core::bench::{Bench, LegId, MAX_PARTS, PartIx};
use halfrow_core::board::{Board, BoardKind, Hole, Place, Strip, StripPlace};
use halfrow_core::card::{Card, Range, Value};
use halfrow_core::circuit::{Circuit, Contacts};
use halfrow_core::part::{Depth, Part, Turn};
use halfrow_core::parts::{self, CARDS};

use crate::chance::Chance;

/// Whether a part's currents depend on nothing but the voltages at its own elements' ends.
fn is_still(card: &'static Card) -> bool {
    let mut bench = Bench::new(BoardKind::Half);
    bench.parts.push(Part::new("X1", card));
    let circuit = Circuit::of(&bench, Contacts::default());
    card.acts.is_none_or(|acts| acts.drift.is_some())
        && !circuit.elements.iter().any(|element| element.law.is_steered())
}

/// How parts are thrown.
#[derive(Clone, Debug)]
pub struct Throw {
    /// The kinds of parts that may come.
    pub kinds: Vec<&'static Card>,
    /// The most parts.
    pub most: usize,
    /// Whether legs may be barely in or out.
    pub depths: bool,
    /// Whether numbers come from the ends of their ranges as often as from between.
    pub extreme: bool,
    /// Whether rails are used.
    pub rails: bool,
    /// Every hole is in rows up to this, where the board has more.
    pub rows: u8,
}

impl Throw {
    /// Everything that comes to rest by the laws of its ends alone: nothing that steers, switches or
    /// counts by itself.
    pub fn anything() -> Throw {
        let mut kinds = CARDS.to_vec();
        kinds.retain(|card| is_still(card));
        Throw { kinds, ..Throw::with_clock() }
    }

    /// Everything there is.
    pub fn with_clock() -> Throw {
        Throw { kinds: CARDS.to_vec(), most: 40, depths: true, extreme: true, rails: true, rows: u8::MAX }
    }

    /// Only such kinds.
    ///
    /// # Panics
    /// When there is no such kind.
    pub fn only(kinds: &[&str]) -> Throw {
        let kinds = kinds.iter().map(|kind| parts::card(kind).expect("a kind")).collect();
        Throw { kinds, ..Throw::anything() }
    }

    /// A bench of this kind. The same chance gives the same bench.
    pub fn bench(&self, chance: &mut Chance) -> Bench {
        let mut bench = Bench::new(chance.of(&BoardKind::ALL));
        bench.boards[0].split_rails = chance.percent(50);
        while bench.boards.len() < 4 && chance.percent(15) {
            bench.boards.push(Board { kind: chance.of(&BoardKind::ALL), split_rails: chance.percent(50) });
        }
        bench.taps = chance.below(8) as u32;
        let places = self.places(&bench, chance);
        let count = 1 + chance.below(self.most);
        for _ in 0..count {
            let card = chance.of(&self.kinds);
            self.throw(&mut bench, card, &places, chance);
        }
        bench
    }

    /// The holes that legs fall into: all of them, or those of a few strips so that much meets.
    fn places(&self, bench: &Bench, chance: &mut Chance) -> Vec<Hole> {
        let holes = |keep: &dyn Fn(Strip) -> bool| -> Vec<Hole> {
            let boards = bench.boards.iter().enumerate();
            let all = boards.flat_map(|(index, board)| board.holes(index as u8));
            all.filter(|hole| match hole.place {
                Place::Grid { row, .. } => row <= self.rows,
                Place::Rail { .. } => self.rails,
            })
            .filter(|&hole| keep(bench.strip(hole).expect("a hole of this bench")))
            .collect()
        };
        match chance.below(5) {
            // Few strips: everything meets everything.
            0 | 1 => {
                let mut strips: Vec<Strip> =
                    holes(&|_| true).iter().filter_map(|&hole| bench.strip(hole)).collect();
                strips.dedup();
                chance.shuffle(&mut strips);
                let few = 2 + chance.below(8);
                // Rails hold many legs; a few more of them make the crowds.
                let rail = |strip: &Strip| matches!(strip.place, StripPlace::Rail { .. });
                let extra: Vec<Strip> = strips.iter().filter(|s| rail(s)).take(2).copied().collect();
                strips.truncate(few);
                strips.extend(extra);
                holes(&|strip| strips.contains(&strip))
            }
            // The top rows.
            2 | 3 => {
                let rows = 1 + chance.below(8) as u8;
                holes(&|strip| match strip.place {
                    StripPlace::HalfRow { row, .. } => row <= rows,
                    StripPlace::Rail { .. } => true,
                })
            }
            _ => holes(&|_| true),
        }
    }

    /// Throws one part; where it finds no place its legs stay in the air.
    pub fn throw(&self, bench: &mut Bench, card: &'static Card, places: &[Hole], chance: &mut Chance) {
        let ix = PartIx(bench.parts.len());
        let mut part = Part::new(bench.next_id(card), card);
        for param in card.params {
            let value = self.value(&param.range, chance);
            assert!(part.set(param.key, value), "{} {} {value:?}", card.kind, param.key);
        }
        let rigid = part.is_rigid();
        let legs = part.legs.len();
        bench.parts.push(part);
        // A few tries, as a person would look for a free hole.
        for _ in 0..6 {
            if rigid {
                if bench.place_rigid(ix, chance.of(places), chance.of(&Turn::ALL)).is_ok() {
                    break;
                }
            } else {
                for pin in 0..legs {
                    let leg = LegId { part: ix, pin };
                    if bench.part(ix).legs[pin].hole.is_none() {
                        let _ = bench.put_leg(leg, Some(chance.of(places)));
                    }
                }
            }
        }
        if self.depths {
            for leg in &mut bench.parts[ix.0].legs {
                leg.depth = match chance.below(20) {
                    0 => Depth::Out,
                    1 | 2 => Depth::Barely,
                    _ => Depth::Full,
                };
            }
        }
    }

    fn value(&self, range: &Range, chance: &mut Chance) -> Value {
        match *range {
            Range::Number { min, max, default, by_ratio, .. } => {
                let kind = if self.extreme { chance.below(6) } else { 5 };
                let between = |chance: &mut Chance| {
                    if by_ratio {
                        (min.ln() + (max.ln() - min.ln()) * chance.share()).exp().clamp(min, max)
                    } else {
                        min + (max - min) * chance.share()
                    }
                };
                Value::Number(match kind {
                    0 => min,
                    1 => max,
                    2 => default,
                    // Nearly, but not quite, the same as the usual value.
                    3 => (default * (1.0 + 1e-12)).clamp(min, max),
                    _ => between(chance),
                })
            }
            Range::Whole { min, max, .. } => {
                Value::Whole(min + chance.below(usize::from(max - min) + 1) as u8)
            }
            Range::Choice { options, .. } => Value::Choice(chance.below(options.len()) as u8),
            Range::Flag { .. } => Value::Flag(chance.percent(50)),
        }
    }
}

/// As many parts of all kinds as a bench may have, anywhere on four full boards.
pub fn crowd() -> Bench {
    let throw = Throw { depths: false, extreme: false, ..Throw::with_clock() };
    let mut chance = Chance::new(300);
    let mut bench = Bench::new(BoardKind::Full);
    bench.boards = vec![Board { kind: BoardKind::Full, split_rails: false }; 4];
    let places: Vec<Hole> = (0..4).flat_map(|board| bench.boards[usize::from(board)].holes(board)).collect();
    while bench.parts.len() < MAX_PARTS {
        throw.throw(&mut bench, chance.of(&throw.kinds), &places, &mut chance);
    }
    bench
}
