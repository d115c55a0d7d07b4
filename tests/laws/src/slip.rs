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
        let leg = LegId { part: ix, pin: chance.below(bench.part(ix).legs.len()) };
        let id = bench.part(ix).id.clone();
        match self {
            Slip::Row | Slip::Across | Slip::Rail => self.elsewhere(&mut bench, leg, chance)?,
            Slip::Out => {
                bench.part(ix).legs[leg.pin].hole?;
                bench.parts[ix.0].legs[leg.pin].depth = Depth::Out;
            }
            Slip::Missing => {
                bench.parts.remove(ix.0);
            }
            Slip::Turned => turned(&mut bench, ix, chance)?,
            Slip::Shifted => shifted(&mut bench, ix, chance)?,
            Slip::Value => other_valued(&mut bench, ix, chance)?,
            Slip::Swapped => swapped(&mut bench, leg, chance)?,
            Slip::Extra => return one_more(right, bench, chance),
        }
        Some((bench, id))
    }

    /// A leg put into a hole nearby.
    fn elsewhere(self, bench: &mut Bench, leg: LegId, chance: &mut Chance) -> Option<()> {
        let hole = bench.part(leg.part).legs[leg.pin].hole?;
        let place = match (self, hole.place) {
            (Slip::Across, Place::Grid { row, column }) => Place::Grid { row, column: 9 - column },
            (Slip::Row, Place::Grid { row, column }) if chance.percent(50) => {
                Place::Grid { row: row + 1, column }
            }
            (Slip::Row, Place::Grid { row, column }) => Place::Grid { row: row.checked_sub(1)?, column },
            (Slip::Rail, Place::Rail { side, sign, n }) => {
                let sign = if sign == Sign::Plus { Sign::Minus } else { Sign::Plus };
                Place::Rail { side, sign, n }
            }
            _ => return None,
        };
        put_near(bench, leg, Hole { place, ..hole })
    }
}

fn turned(bench: &mut Bench, ix: PartIx, chance: &mut Chance) -> Option<()> {
    let part = bench.part(ix);
    if part.is_rigid() {
        let turn = Turn::from_degrees(f64::from((part.turn.degrees() + 180) % 360))?;
        let holes: Vec<Hole> = part.legs.iter().filter_map(|leg| leg.hole).collect();
        return bench.place_rigid(ix, chance.of(&holes), turn).ok();
    }
    if part.card.is_wire() {
        return None;
    }
    let last = part.legs.len() - 1;
    bench.parts[ix.0].legs.swap(0, last);
    Some(())
}

fn shifted(bench: &mut Bench, ix: PartIx, chance: &mut Chance) -> Option<()> {
    let part = bench.part(ix);
    let pin1 = part.legs[0].hole?;
    let (Place::Grid { row, column }, true) = (pin1.place, part.is_rigid()) else { return None };
    let by = chance.of(&[-2_i16, -1, 1, 2]);
    let row = u8::try_from(i16::from(row) + by).ok()?;
    let turn = part.turn;
    bench.place_rigid(ix, Hole { place: Place::Grid { row, column }, ..pin1 }, turn).ok()
}

fn other_valued(bench: &mut Bench, ix: PartIx, chance: &mut Chance) -> Option<()> {
    let part = bench.part(ix).clone();
    let param = chance.below(part.card.params.len().max(1));
    let value = other_value(&part.card.params.get(param)?.range, part.values[param], chance)?;
    bench.parts[ix.0].values[param] = value;
    (!(part.card.does_for)(&part, &bench.parts[ix.0], param)).then_some(())
}

fn swapped(bench: &mut Bench, leg: LegId, chance: &mut Chance) -> Option<()> {
    let other = PartIx(chance.below(bench.parts.len()));
    let there = LegId { part: other, pin: chance.below(bench.part(other).legs.len()) };
    if other == leg.part || bench.part(leg.part).is_rigid() || bench.part(other).is_rigid() {
        return None;
    }
    let hole = |bench: &Bench, leg: LegId| bench.part(leg.part).legs[leg.pin].hole;
    let (here, to) = (hole(bench, leg)?, hole(bench, there)?);
    bench.put_leg(leg, None).ok()?;
    bench.put_leg(there, Some(here)).ok()?;
    bench.put_leg(leg, Some(to)).ok()
}

/// A wire more between two holes that are in use, or beside them.
fn one_more(right: &Bench, mut bench: Bench, chance: &mut Chance) -> Option<(Bench, String)> {
    let mut wire = right.parts.iter().find(|it| it.card.is_wire())?.clone();
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
    Some((bench, id))
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
