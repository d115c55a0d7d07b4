//! Slips of the hand: any bench in, the bench with one slip out, and what slipped.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Place, Sign};
use halfrow_core::card::{Range, Value};
use halfrow_core::part::{Depth, Turn};

use crate::chance::Chance;

/// What a hand does wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Slip {
    /// A leg (or a wire's end) a row up or down.
    Row,
    /// A leg in the row's other half.
    Across,
    /// A leg or a wire's end in the other rail of its pair.
    Rail,
    /// A leg that isn't pushed in.
    Out,
    /// A part or a wire that is missing.
    Missing,
    /// A part turned round: two legs exchanged, a chip the other way up.
    Turned,
    /// A stiff part some rows off.
    Shifted,
    /// A part of another value.
    Value,
    /// The ends of two parts exchanged.
    Swapped,
    /// A wire too many.
    Extra,
}

impl Slip {
    /// All of them.
    pub const ALL: [Slip; 10] = [
        Slip::Row,
        Slip::Across,
        Slip::Rail,
        Slip::Out,
        Slip::Missing,
        Slip::Turned,
        Slip::Shifted,
        Slip::Value,
        Slip::Swapped,
        Slip::Extra,
    ];

    /// The bench with this slip, and the part that slipped. `None` where a few tries found nothing to do it
    /// with.
    pub fn make(self, right: &Bench, chance: &mut Chance) -> Option<(Bench, String)> {
        if right.parts.is_empty() {
            return None;
        }
        (0..40).find_map(|_| self.once(right, chance)).filter(|it| it.0.check().is_ok())
    }

    fn once(self, right: &Bench, chance: &mut Chance) -> Option<(Bench, String)> {
        let mut bench = right.clone();
        let ix = PartIx(chance.below(bench.parts.len()));
        let part = bench.part(ix).clone();
        let pin = chance.below(part.legs.len());
        let leg = LegId { part: ix, pin };
        let id = part.id.clone();
        let place = |place| part.legs[pin].hole.map(|hole| Hole { place, ..hole });
        match self {
            Slip::Row | Slip::Across => {
                let Place::Grid { row, column } = part.legs[pin].hole?.place else { return None };
                let (row, column) = match self {
                    Slip::Across => (row, 9 - column),
                    _ if chance.percent(50) => (row + 1, column),
                    _ => (row.checked_sub(1)?, column),
                };
                put_near(&mut bench, leg, place(Place::Grid { row, column })?)?;
            }
            Slip::Rail => {
                let Place::Rail { side, sign, n } = part.legs[pin].hole?.place else { return None };
                let sign = if sign == Sign::Plus { Sign::Minus } else { Sign::Plus };
                put_near(&mut bench, leg, place(Place::Rail { side, sign, n })?)?;
            }
            Slip::Out => {
                part.legs[pin].hole?;
                bench.parts[ix.0].legs[pin].depth = Depth::Out;
            }
            Slip::Missing => {
                bench.parts.remove(ix.0);
            }
            Slip::Turned if part.is_rigid() => {
                let turn = Turn::from_degrees(f64::from((part.turn.degrees() + 180) % 360))?;
                let last = part.legs.iter().filter_map(|leg| leg.hole).collect::<Vec<_>>();
                let at = chance.of(&last);
                bench.place_rigid(ix, at, turn).ok()?;
            }
            Slip::Turned => {
                if part.card.is_wire() {
                    return None;
                }
                let n = part.legs.len();
                bench.parts[ix.0].legs.swap(0, n - 1);
            }
            Slip::Shifted => {
                let Place::Grid { row, column } = part.legs[0].hole?.place else { return None };
                if !part.is_rigid() {
                    return None;
                }
                let by = chance.of(&[-2_i16, -1, 1, 2]);
                let row = u8::try_from(i16::from(row) + by).ok()?;
                let to = Hole { place: Place::Grid { row, column }, ..part.legs[0].hole? };
                bench.place_rigid(ix, to, part.turn).ok()?;
            }
            Slip::Value => {
                let param = chance.below(part.card.params.len().max(1));
                let value = other_value(&part.card.params.get(param)?.range, part.values[param], chance)?;
                bench.parts[ix.0].values[param] = value;
                if (part.card.does_for)(&part, &bench.parts[ix.0], param) {
                    return None;
                }
            }
            Slip::Swapped => {
                let other = PartIx(chance.below(bench.parts.len()));
                let other_pin = chance.below(bench.part(other).legs.len());
                let there = LegId { part: other, pin: other_pin };
                if other == ix || part.is_rigid() || bench.part(other).is_rigid() {
                    return None;
                }
                let (here, to) = (part.legs[pin].hole?, bench.part(other).legs[other_pin].hole?);
                bench.put_leg(leg, None).ok()?;
                bench.put_leg(there, Some(here)).ok()?;
                bench.put_leg(leg, Some(to)).ok()?;
            }
            Slip::Extra => {
                let wire = right.parts.iter().find(|it| it.card.is_wire())?;
                let mut wire = wire.clone();
                wire.id = bench.next_id(wire.card);
                let id = wire.id.clone();
                wire.legs.iter_mut().for_each(|leg| *leg = Default::default());
                let holes: Vec<Hole> = right.legs().filter_map(|(_, leg)| leg.hole).collect();
                let ends = [chance.of(&holes), chance.of(&holes)];
                let new = PartIx(bench.parts.len());
                bench.parts.push(wire);
                for (pin, end) in ends.into_iter().enumerate() {
                    put_near(&mut bench, LegId { part: new, pin }, end)?;
                }
                return Some((bench, id));
            }
        }
        Some((bench, id))
    }
}

/// Puts a leg into a free hole of the strip that a hole is in, as near to that as can be.
fn put_near(bench: &mut Bench, leg: LegId, wanted: Hole) -> Option<()> {
    let board = bench.board_of(wanted)?;
    let strip = bench.strip(wanted)?;
    if bench.part(leg.part).is_rigid() {
        return None;
    }
    let mut holes = board.holes_of(strip);
    let far = |hole: &Hole| bench.distance(*hole, wanted).unwrap_or(f64::INFINITY);
    holes.sort_by(|a, b| far(a).total_cmp(&far(b)));
    holes.into_iter().find_map(|hole| bench.put_leg(leg, Some(hole)).ok())
}

fn other_value(range: &Range, now: Value, chance: &mut Chance) -> Option<Value> {
    match (*range, now) {
        (Range::Number { min, max, .. }, Value::Number(x)) => {
            Some(Value::Number((x * chance.of(&[0.1, 10.0, 1.5])).clamp(min, max)))
        }
        (Range::Choice { options, .. }, _) => Some(Value::Choice(chance.below(options.len()) as u8)),
        (Range::Whole { min, max, .. }, _) => {
            Some(Value::Whole(min + chance.below(usize::from(max - min) + 1) as u8))
        }
        _ => None,
    }
}
