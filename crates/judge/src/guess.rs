//! What a hand that slipped may have done, taken back: every small change that could make a bench right.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Place, Strip, StripPlace};
use halfrow_core::card::{Card, Duty, Footprint, Group, Range, Unit, Value};
use halfrow_core::part::{Leg, Part, Turn};
use halfrow_core::parts::STAPLES;

use crate::fix::Fix;
use crate::places::near;
use crate::words::{free_hole, opposite};

/// What slipped.
#[derive(Clone, Copy, Debug)]
pub(crate) enum What {
    /// A leg is in the wrong strip.
    Leg { leg: LegId, to: Strip },
    /// A whole part is some rows off.
    Rows { part: PartIx, rows: i8 },
    /// Both legs of a part are far from where they belong.
    Away { part: PartIx },
    /// A part is in backwards.
    Turned { part: PartIx },
    /// Ends of two wires, or of a wire and another part, are exchanged.
    Exchanged { legs: [LegId; 2] },
    /// The legs of a transistor are in the wrong order.
    Order { part: PartIx },
    /// A resistor of another decade.
    Value { part: PartIx, ohms: f64 },
    /// Something is missing between two strips.
    Missing { ends: [Strip; 2], card: &'static Card },
}

/// A guess.
#[derive(Clone, Debug)]
pub(crate) struct Guess {
    pub what: What,
    pub fix: Fix,
    /// How unlikely such a slip is, in the points of [`crate::oddness`].
    pub cost: i32,
}

/// What another wire, or another part, costs more than a leg that is moved.
const MISSING: i32 = 7;
/// The same between rows that are so near that a leg of one has rather slipped into the other.
const MISSING_NEAR: i32 = 9;
/// What a leg costs that has company where it is.
const TORN: i32 = 1;
/// How unlikely it is that somebody took a resistor of another decade.
const DECADE: i32 = 7;
/// Two ends exchanged.
const EXCHANGED: i32 = 5;
/// The farthest that ends lie apart which somebody exchanges, pitches.
const EXCHANGE_REACH: f64 = 5.0;
/// So many others of a kind that lie alike speak for a place, a point each.
const MOST_ALIKE: i32 = 2;
/// The farthest that a whole part is looked for, rows.
const FAR_ROWS: i8 = 5;

/// The parts of a bench that may have slipped, with what is near them.
pub(crate) struct Guesses<'a> {
    bench: &'a Bench,
    /// The strips under legs, sorted, with how many legs each has.
    strips: Vec<(Strip, u32)>,
    found: Vec<Guess>,
}

impl Guesses<'_> {
    /// All guesses about a bench, the likeliest kinds first.
    pub fn of(bench: &Bench) -> Vec<Guess> {
        let mut under: Vec<Strip> = bench.legs().filter_map(|(_, leg)| bench.strip(leg.hole?)).collect();
        under.sort_unstable();
        let mut strips: Vec<(Strip, u32)> = Vec::new();
        for strip in under {
            match strips.last_mut() {
                Some((last, count)) if *last == strip => *count += 1,
                _ => strips.push((strip, 1)),
            }
        }
        let mut it = Guesses { bench, strips, found: Vec::new() };
        it.legs();
        it.whole_parts();
        it.turned();
        it.orders();
        it.exchanged();
        it.values();
        it.missing();
        it.found
    }

    fn company(&self, strip: Strip) -> u32 {
        self.strips.binary_search_by_key(&strip, |it| it.0).map_or(0, |at| self.strips[at].1)
    }

    fn strip_of(&self, leg: LegId) -> Option<Strip> {
        self.bench.strip(self.bench.part(leg.part).legs[leg.pin].hole?)
    }

    fn add(&mut self, what: What, fix: Fix, cost: i32) {
        let torn = match what {
            What::Leg { leg, .. } => self.strip_of(leg).is_some_and(|from| self.company(from) > 2),
            _ => false,
        };
        self.found.push(Guess { what, fix, cost: cost + if torn { TORN } else { 0 } });
    }

    /// Each leg over a strip nearby that has legs; one that is alone, or beside another of its own part, also
    /// over any strip where a leg waits.
    fn legs(&mut self) {
        let bench = self.bench;
        let waiting: Vec<Strip> = self.strips.iter().filter(|it| it.1 == 1).map(|it| it.0).collect();
        for (leg, it) in bench.legs() {
            let Some(hole) = it.hole else { continue };
            let Some(from) = bench.strip(hole) else { continue };
            if bench.part(leg.part).is_rigid() {
                continue;
            }
            let mut targets: Vec<(Strip, i32)> = near(bench, hole);
            if let StripPlace::Rail { side, sign, lower } = from.place {
                let over = StripPlace::Rail { side: opposite(side), sign, lower };
                // The leads of a supply mostly go into one pair of rails.
                let is_beside_its_own = |other: &Leg| other.hole.is_some_and(|it| it.side() != hole.side());
                let is_split = bench.part(leg.part).legs.iter().any(is_beside_its_own);
                let cost = match (bench.part(leg.part).card.source, is_split) {
                    (Some(_), false) => 12,
                    (Some(_), true) => 4,
                    (None, _) => 3,
                };
                targets.push((Strip { place: over, ..from }, cost));
            }
            let its: Vec<Strip> = (0..bench.part(leg.part).legs.len())
                .filter(|&pin| pin != leg.pin)
                .filter_map(|pin| self.strip_of(LegId { pin, ..leg }))
                .collect();
            let own = |strip: Strip| its.contains(&strip);
            if self.company(from) == 1 || own(from) {
                let known: Vec<Strip> = targets.iter().map(|it| it.0).collect();
                let others = if own(from) {
                    let is_far = |it: Strip| rows_apart(bench, hole, it) > 9 && !waiting.contains(&it);
                    self.strips.iter().map(|it| it.0).filter(|&it| !is_far(it)).collect()
                } else {
                    waiting.clone()
                };
                let far = others.into_iter().filter(|it| *it != from && !known.contains(it));
                targets.extend(far.map(|it| (it, 5 + rows_apart(bench, hole, it).min(14) / 2)));
            }
            for (to, cost) in targets {
                // In one strip with another of its own legs a part would be bypassed.
                if self.company(to) == 0 || own(to) {
                    continue;
                }
                if let Some(free) = free_hole(bench, to, hole, Some(leg)) {
                    let cost = (cost + self.habit(leg, hole, free)).max(0);
                    self.add(What::Leg { leg, to }, Fix::Legs(vec![(leg, free)]), cost);
                }
            }
        }
    }

    /// Parts that lie straight, or as others of their kind, are likelier meant so: what speaks against a leg's
    /// move, less where it lies oddly now.
    fn habit(&self, leg: LegId, from: Hole, to: Hole) -> i32 {
        let part = self.bench.part(leg.part);
        if part.legs.len() != 2 {
            return 0;
        }
        let Some(other) = part.legs[1 - leg.pin].hole else { return 0 };
        let odd = |hole: Hole| Lie::of(self.bench, hole, other).map_or(0, Lie::odd);
        let alike = |hole: Hole| {
            let lie = self.alike(leg.part, Lie::of(self.bench, hole, other));
            lie.min(MOST_ALIKE) + self.in_same_role(leg, hole).min(MOST_ALIKE)
        };
        odd(to) - odd(from) + alike(from) - alike(to)
    }

    /// How many other parts of a kind have this leg in a rail of the sign that a hole has.
    fn in_same_role(&self, leg: LegId, hole: Hole) -> i32 {
        let bench = self.bench;
        let card = bench.part(leg.part).card;
        let sign = |hole: Hole| match bench.strip(hole)?.place {
            StripPlace::Rail { sign, .. } => Some(sign),
            StripPlace::HalfRow { .. } => None,
        };
        let (Some(own), false) = (sign(hole), card.is_wire()) else { return 0 };
        let minds = card.polarity.is_some();
        let same = |other: &Part| {
            let legs = other.legs.iter().enumerate().filter(|(pin, _)| !minds || *pin == leg.pin);
            legs.filter_map(|(_, leg)| sign(leg.hole?)).any(|it| it == own)
        };
        let others = bench.parts.iter().enumerate().filter(|it| it.0 != leg.part.0).map(|it| it.1);
        others.filter(|other| other.card.kind == card.kind && same(other)).count() as i32
    }

    /// How many other parts of a kind lie in a way. Wires go everywhere.
    fn alike(&self, part: PartIx, lie: Option<Lie>) -> i32 {
        let bench = self.bench;
        let kind = bench.part(part).card;
        if kind.is_wire() || lie.is_none() {
            return 0;
        }
        let others = (0..bench.parts.len()).map(PartIx).filter(|&it| it != part);
        others
            .filter(|&it| bench.part(it).card.kind == kind.kind)
            .filter(|&it| match bench.part(it).legs.as_slice() {
                [a, b] => a.hole.zip(b.hole).and_then(|(a, b)| Lie::of(bench, a, b)) == lie,
                _ => false,
            })
            .count() as i32
    }

    /// Whole parts some rows up or down; lamps and the like between any two ends that wait.
    fn whole_parts(&mut self) {
        for index in 0..self.bench.parts.len() {
            let ix = PartIx(index);
            let part = self.bench.part(ix);
            if part.card.source.is_some() || part.legs.iter().any(|leg| leg.hole.is_none()) {
                continue;
            }
            // Both ends of a wire seldom slip alike.
            let more = if part.card.is_wire() { 4 } else { 0 };
            for rows in (-FAR_ROWS..=FAR_ROWS).filter(|&rows| rows != 0) {
                let cost = more + 2 + 2 * i32::from(rows.abs()).min(4);
                if let Some(fix) = self.shift(ix, rows) {
                    self.add(What::Rows { part: ix, rows }, fix, cost);
                }
            }
            let alone = (0..part.legs.len())
                .all(|pin| self.strip_of(LegId { part: ix, pin }).is_some_and(|it| self.company(it) <= 2));
            if part.legs.len() == 2 && !part.is_rigid() && alone {
                self.away(ix);
            }
        }
    }

    fn shift(&self, ix: PartIx, rows: i8) -> Option<Fix> {
        let bench = self.bench;
        let part = bench.part(ix);
        let there = |hole: Hole| match hole.place {
            Place::Grid { row, column } => {
                let row = row.checked_add_signed(rows).filter(|row| *row > 0)?;
                Some(Hole { place: Place::Grid { row, column }, ..hole })
            }
            Place::Rail { .. } => None,
        };
        if part.is_rigid() {
            return Some(Fix::Stiff { part: ix, pin1: there(part.legs[0].hole?)?, turn: part.turn });
        }
        let mut moves = Vec::new();
        for (pin, leg) in part.legs.iter().enumerate() {
            let strip = bench.strip(there(leg.hole?)?)?;
            let leg_id = LegId { part: ix, pin };
            moves.push((leg_id, free_hole(bench, strip, there(leg.hole?)?, None)?));
        }
        let mut holes: Vec<Hole> = moves.iter().map(|it| it.1).collect();
        holes.dedup();
        (holes.len() == moves.len()).then_some(Fix::Legs(moves))
    }

    /// A part put between any two ends that wait: both ways round.
    fn away(&mut self, ix: PartIx) {
        let bench = self.bench;
        let own: Vec<Strip> = (0..2).filter_map(|pin| self.strip_of(LegId { part: ix, pin })).collect();
        let waiting: Vec<Strip> = self
            .strips
            .iter()
            .filter(|it| it.1 <= 2 && matches!(it.0.place, StripPlace::HalfRow { .. }))
            .map(|it| it.0)
            .filter(|it| !own.contains(it))
            .filter(|&it| self.is_waiting(it))
            .take(8)
            .collect();
        let rails = self.rails();
        for &one in &waiting {
            let others = waiting.iter().chain(&rails).copied();
            let others: Vec<Strip> = others.filter(|&two| self.parts_between(one, two)).collect();
            for two in others {
                for [a, b] in [[one, two], [two, one]] {
                    let near = bench.part(ix).legs[0].hole;
                    let Some(near) = near else { continue };
                    let (Some(a), Some(b)) =
                        (free_hole(bench, a, near, None), free_hole(bench, b, near, None))
                    else {
                        continue;
                    };
                    let legs = [0, 1].map(|pin| LegId { part: ix, pin });
                    self.add(What::Away { part: ix }, Fix::Legs(vec![(legs[0], a), (legs[1], b)]), 9);
                }
            }
        }
    }

    /// The rails that are in use.
    fn rails(&self) -> Vec<Strip> {
        let is_rail = |it: &Strip| matches!(it.place, StripPlace::Rail { .. });
        self.strips.iter().map(|it| it.0).filter(is_rail).collect()
    }

    /// Whether a strip has a single leg that should meet another.
    fn is_waiting(&self, strip: Strip) -> bool {
        self.who_waits(strip).is_some_and(|part| !self.bench.part(part).card.chip)
    }

    /// The part whose leg is alone in a strip.
    fn who_waits(&self, strip: Strip) -> Option<PartIx> {
        let in_strip = |at: &Leg| at.hole.and_then(|hole| self.bench.strip(hole)) == Some(strip);
        let alone = self.company(strip) == 1;
        self.bench.legs().find(|(_, at)| alone && in_strip(at)).map(|(leg, _)| leg.part)
    }

    /// Whether something between two strips would join one thing to another: two strips in which the two
    /// legs of one part are alone wait for others, not for something beside that part.
    fn parts_between(&self, one: Strip, two: Strip) -> bool {
        let waits = self.who_waits(one);
        one != two && (waits.is_none() || waits != self.who_waits(two))
    }

    /// Parts that mind, supplies and chips the other way round.
    fn turned(&mut self) {
        for (index, part) in self.bench.parts.iter().enumerate() {
            let ix = PartIx(index);
            let holes: Vec<Hole> = part.legs.iter().filter_map(|leg| leg.hole).collect();
            if holes.len() != part.legs.len() {
                continue;
            }
            let fix = if part.is_rigid() {
                let Footprint::Rigid { straddles, .. } = part.card.footprint else { continue };
                let turn = match part.turn {
                    Turn::None => Turn::Half,
                    Turn::Half => Turn::None,
                    Turn::Quarter => Turn::ThreeQuarters,
                    Turn::ThreeQuarters => Turn::Quarter,
                };
                if !part.card.chip && holes.len() != 3 {
                    continue;
                }
                let pin1 = if straddles { holes[holes.len() / 2] } else { holes[holes.len() - 1] };
                Fix::Stiff { part: ix, pin1, turn }
            } else if holes.len() == 2 && (part.card.polarity.is_some() || part.card.source.is_some()) {
                let legs = [0, 1].map(|pin| LegId { part: ix, pin });
                Fix::Legs(vec![(legs[0], holes[1]), (legs[1], holes[0])])
            } else {
                continue;
            };
            self.found.push(Guess { what: What::Turned { part: ix }, fix, cost: 3 });
        }
    }

    /// The legs of transistors in every other order.
    fn orders(&mut self) {
        for (index, part) in self.bench.parts.iter().enumerate() {
            let ix = PartIx(index);
            let holes: Vec<Hole> = part.legs.iter().filter_map(|leg| leg.hole).collect();
            if part.card.steers.is_none() || part.is_rigid() || holes.len() != 3 {
                continue;
            }
            // Turned round is the likeliest; two neighbours exchanged the next.
            for (order, cost) in
                [([2, 1, 0], 3), ([0, 2, 1], 4), ([1, 0, 2], 4), ([1, 2, 0], 6), ([2, 0, 1], 6)]
            {
                let moves = (0..3)
                    .filter(|&pin| order[pin] != pin)
                    .map(|pin| (LegId { part: ix, pin }, holes[order[pin]]))
                    .collect();
                self.found.push(Guess { what: What::Order { part: ix }, fix: Fix::Legs(moves), cost });
            }
        }
    }

    /// The ends of two wires exchanged.
    fn exchanged(&mut self) {
        let bench = self.bench;
        let ends: Vec<(LegId, Hole)> = bench
            .legs()
            .filter(|(leg, _)| bench.part(leg.part).card.is_wire())
            .filter_map(|(leg, at)| Some((leg, at.hole?)))
            .collect();
        for (at, &(one, a)) in ends.iter().enumerate() {
            for &(two, b) in &ends[at + 1..] {
                let far = bench.distance(a, b).unwrap_or(f64::INFINITY);
                if one.part == two.part || far > EXCHANGE_REACH || bench.strip(a) == bench.strip(b) {
                    continue;
                }
                let fix = Fix::Legs(vec![(one, b), (two, a)]);
                self.add(What::Exchanged { legs: [one, two] }, fix, EXCHANGED);
            }
        }
    }

    /// Resistors of a decade more or less.
    fn values(&mut self) {
        for (index, part) in self.bench.parts.iter().enumerate() {
            let ohms = part
                .card
                .params
                .iter()
                .position(|it| matches!(it.range, Range::Number { unit: Unit::Ohm, .. }) && !it.live);
            let (Some(param), 2) = (ohms, part.legs.len()) else { continue };
            let Some(&Value::Number(is)) = part.values.get(param) else { continue };
            if part.card.least_ohms.is_none() || !is_banded(part) {
                continue;
            }
            for (times, cost) in [(10.0, DECADE), (0.1, DECADE), (100.0, DECADE + 6), (0.01, DECADE + 6)] {
                let value = Value::Number(is * times);
                if part.card.params[param].range.allows(value) {
                    let (part, ohms) = (PartIx(index), is * times);
                    let fix = Fix::Value { part, param, value };
                    self.found.push(Guess { what: What::Value { part, ohms }, fix, cost });
                }
            }
        }
    }

    /// A wire, a resistor or a lamp missing between two ends that wait, or between one and a rail.
    fn missing(&mut self) {
        let bench = self.bench;
        let waiting: Vec<Strip> =
            self.strips.iter().map(|it| it.0).filter(|&it| self.is_waiting(it)).take(8).collect();
        let told: Vec<Strip> = bench
            .legs()
            .filter(|(leg, _)| bench.part(leg.part).card.duty(leg.pin) != Duty::Other)
            .filter(|(leg, _)| bench.part(leg.part).card.chip)
            .filter_map(|(_, at)| bench.strip(at.hole?))
            .filter(|&it| self.company(it) == 1)
            .take(12)
            .collect();
        let rails = self.rails();
        let mut pairs: Vec<[Strip; 2]> = Vec::new();
        for (at, &one) in waiting.iter().enumerate() {
            pairs.extend(waiting[at + 1..].iter().chain(&rails).chain(&told).map(|&two| [one, two]));
        }
        for (at, &one) in told.iter().enumerate() {
            pairs.extend(told[at + 1..].iter().chain(&rails).map(|&two| [one, two]));
        }
        for (at, &one) in rails.iter().enumerate() {
            pairs.extend(rails[at + 1..].iter().map(|&two| [one, two]));
        }
        pairs.retain(|ends| self.parts_between(ends[0], ends[1]));
        for ends in pairs {
            let middle = bench.boards[usize::from(ends[0].board)].holes_of(ends[0])[0];
            let (Some(a), Some(b)) =
                (free_hole(bench, ends[0], middle, None), free_hole(bench, ends[1], middle, None))
            else {
                continue;
            };
            let rows = rows_apart(bench, a, ends[1]);
            let cost = if rows <= 2 { MISSING_NEAR } else { MISSING + rows.min(12) / 6 };
            for card in STAPLES {
                let (both_ways, more) = (card.polarity.is_some(), i32::from(!card.is_wire()));
                let what = What::Missing { ends, card };
                self.add(what, Fix::Part { card, ends: [a, b] }, cost + more);
                if both_ways {
                    self.add(what, Fix::Part { card, ends: [b, a] }, cost + more);
                }
            }
        }
    }
}

/// How a part with two legs lies on its board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Lie {
    /// Rows between its legs.
    rows: i16,
    /// Whether it crosses the channel.
    across: bool,
    /// Whether a leg is in a rail.
    in_rail: bool,
}

impl Lie {
    fn of(bench: &Bench, a: Hole, b: Hole) -> Option<Lie> {
        let (one, two) = (bench.position(a)?, bench.position(b)?);
        let in_rail = a.row().is_none() || b.row().is_none();
        // Holes of rails lie between rows as well: half a row is level.
        let rows = (one.y - two.y).abs() / 2;
        Some(Lie { rows, across: a.side() != b.side(), in_rail })
    }

    /// How oddly somebody has laid it who lays parts straight across the channel or level with a rail.
    fn odd(self) -> i32 {
        match self {
            Lie { rows: 0, .. } => -1,
            Lie { across: true, in_rail: false, .. } => 1,
            _ => 0,
        }
    }
}

/// Rows between a hole and a strip; a few for a rail.
fn rows_apart(bench: &Bench, hole: Hole, strip: Strip) -> i32 {
    let y = |hole: Hole| bench.position(hole).map_or(0, |it| i32::from(it.y) / 2);
    match strip.place {
        StripPlace::HalfRow { row, side } => {
            (i32::from(row) - y(hole)).abs() + i32::from(side != hole.side()) * 3
        }
        StripPlace::Rail { .. } => 4,
    }
}

/// Whether a part's value is told by coloured bands.
fn is_banded(part: &Part) -> bool {
    part.card.group == Group::Resist && part.card.contacts.is_empty() && part.legs.len() == 2
}
