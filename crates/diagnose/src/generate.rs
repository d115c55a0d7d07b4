//! Every single mistake that a hand, or a part that fails, makes of a plan.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Place, Side, Sign, Strip};
use halfrow_core::card::{Duty, Footprint, Range, Unit, Value};
use halfrow_core::circuit::{Circuit, Contacts};
use halfrow_core::memory::Memory;
use halfrow_core::nets::Nets;
use halfrow_core::part::{Leg, Turn};
use halfrow_core::preferred::E12;

use crate::fault::{Change, Fault};
use crate::priors::Class;

/// The farthest that ends of wires lie apart which somebody exchanges, pitches. Farther ones are seldom
/// pushed in one after the other.
const EXCHANGE_REACH: f64 = 4.0;

/// The charge of a battery that is nearly empty, as a share.
const WORN_SHARE: f64 = 0.05;

/// All single mistakes on a plan, in the order of its parts. What makes the same circuit again is not among
/// them, as far as nets tell: a leg in another hole of its own net.
pub fn faults(plan: &Bench) -> Vec<Fault> {
    let mut it = Faults { plan, found: Vec::new() };
    for index in 0..plan.parts.len() {
        let part = PartIx(index);
        it.legs(part);
        it.whole(part);
        it.stiff(part);
        it.orders(part);
        it.values(part);
        it.broken(part);
    }
    it.exchanged();
    it.found
}

struct Faults<'a> {
    plan: &'a Bench,
    found: Vec<Fault>,
}

/// The free hole of a strip nearest to a hole, into which a leg reaches.
pub fn free_hole(bench: &Bench, leg: LegId, wanted: Hole) -> Option<Hole> {
    let board = bench.board_of(wanted)?;
    let mut holes = board.holes_of(bench.strip(wanted)?);
    let far = |hole: &Hole| bench.distance(*hole, wanted).unwrap_or(f64::INFINITY);
    // Stable: of two that are as near the first stays first.
    holes.sort_by(|a, b| far(a).total_cmp(&far(b)));
    let mut trial = bench.clone();
    holes.into_iter().find(|&hole| trial.put_leg(leg, Some(hole)).is_ok())
}

/// A hole some rows up or down.
fn rows_off(hole: Hole, rows: i8) -> Option<Hole> {
    let Place::Grid { row, column } = hole.place else { return None };
    let row = row.checked_add_signed(rows).filter(|row| *row > 0)?;
    Some(Hole { place: Place::Grid { row, column }, ..hole })
}

/// The nets of a bench without one of its parts.
fn nets_without(plan: &Bench, part: PartIx) -> Nets {
    let mut bench = plan.clone();
    bench.parts[part.0].legs.iter_mut().for_each(|leg| *leg = Leg::default());
    let memories: Vec<Memory> = bench.parts.iter().map(Memory::of).collect();
    Nets::of(&bench, &Circuit::with_memories(&bench, Contacts::default(), &memories))
}

impl Faults<'_> {
    fn add(&mut self, class: Class, change: Change) {
        let fault = Fault { class, change };
        if fault.apply(self.plan).is_some() && !self.found.iter().any(|it| it.change == fault.change) {
            self.found.push(fault);
        }
    }

    /// Each leg of a part with loose legs: a row off, across, in another rail, not pushed in.
    fn legs(&mut self, part: PartIx) {
        let plan = self.plan;
        let it = plan.part(part);
        if it.is_rigid() {
            return;
        }
        let nets = nets_without(plan, part);
        let same_net =
            |a: Strip, b: Strip| a == b || nets.of_strip(a).is_some_and(|net| nets.of_strip(b) == Some(net));
        for pin in 0..it.legs.len() {
            let leg = LegId { part, pin };
            let Some(hole) = it.legs[pin].hole else { continue };
            let mut wanted: Vec<(Class, Hole)> = Vec::new();
            match hole.place {
                Place::Grid { row, column } => {
                    for (class, rows) in
                        [(Class::Row, -1), (Class::Row, 1), (Class::TwoRows, -2), (Class::TwoRows, 2)]
                    {
                        wanted.extend(rows_off(hole, rows).map(|it| (class, it)));
                    }
                    wanted.push((
                        Class::Across,
                        Hole { place: Place::Grid { row, column: 9 - column }, ..hole },
                    ));
                }
                Place::Rail { side, sign, n } => {
                    let other = if sign == Sign::Plus { Sign::Minus } else { Sign::Plus };
                    let over = if side == Side::Left { Side::Right } else { Side::Left };
                    let place = |side, sign| Hole { place: Place::Rail { side, sign, n }, ..hole };
                    wanted.push((Class::WrongRail, place(side, other)));
                    wanted.push((Class::FarRail, place(over, sign)));
                }
            }
            let others = (0..it.legs.len()).filter(|&other| other != pin && it.legs.len() <= 3);
            wanted.extend(others.filter_map(|other| Some((Class::BothInOne, it.legs[other].hole?))));
            let home = plan.strip(hole);
            for (class, wanted) in wanted {
                let there = plan.strip(wanted);
                let (Some(home), Some(there)) = (home, there) else { continue };
                if same_net(home, there) {
                    continue;
                }
                if let Some(to) = free_hole(plan, leg, wanted) {
                    self.add(class, Change::Leg { leg, to });
                }
            }
            self.add(Class::Out, Change::Out { leg });
        }
    }

    /// Whole parts: missing, turned round, with both legs a row off.
    fn whole(&mut self, part: PartIx) {
        let it = self.plan.part(part);
        let holes: Vec<Option<Hole>> = it.legs.iter().map(|leg| leg.hole).collect();
        let all = holes.iter().all(Option::is_some);
        if it.card.source.is_none() && holes.iter().any(Option::is_some) {
            self.add(Class::Missing, Change::Missing { part });
        }
        if it.is_rigid() || holes.len() != 2 || !all {
            return;
        }
        if it.card.polarity.is_some() || it.card.source.is_some() {
            let holes = vec![holes[1], holes[0]];
            self.add(Class::Turned, Change::Placed { part, holes, turn: it.turn });
        }
        for rows in [-1, 1] {
            let moved: Option<Vec<Hole>> = holes.iter().map(|hole| rows_off((*hole)?, rows)).collect();
            let Some(moved) = moved else { continue };
            let mut trial = self.plan.clone();
            trial.parts[part.0].legs.iter_mut().for_each(|leg| leg.hole = None);
            let put = moved.into_iter().enumerate().map(|(pin, hole)| {
                let leg = LegId { part, pin };
                let free = free_hole(&trial, leg, hole)?;
                trial.put_leg(leg, Some(free)).ok()?;
                Some(Some(free))
            });
            if let Some(holes) = put.collect::<Option<Vec<_>>>() {
                self.add(Class::Shifted, Change::Placed { part, holes, turn: it.turn });
            }
        }
    }

    /// Stiff parts some rows off or turned round.
    fn stiff(&mut self, part: PartIx) {
        let plan = self.plan;
        let it = plan.part(part);
        let (Footprint::Rigid { straddles, .. }, Some(pin1)) = (it.card.footprint, it.legs[0].hole) else {
            return;
        };
        let place = |pin1: Hole, turn: Turn| {
            let mut bench = plan.clone();
            bench.place_rigid(part, pin1, turn).ok()?;
            let holes = bench.part(part).legs.iter().map(|leg| leg.hole).collect();
            Some(Change::Placed { part, holes, turn })
        };
        for (class, rows) in
            [(Class::Shifted, -1), (Class::Shifted, 1), (Class::TwoRows, -2), (Class::TwoRows, 2)]
        {
            if let Some(change) = rows_off(pin1, rows).and_then(|pin1| place(pin1, it.turn)) {
                self.add(class, change);
            }
        }
        let count = it.legs.len();
        let far = if straddles { it.legs[count / 2].hole } else { it.legs[count - 1].hole };
        let minds = it.card.chip || count == 3 || it.card.polarity.is_some();
        if let (Some(far), true) = (far, minds) {
            let turn = it.turn.next().next();
            if let Some(change) = place(far, turn) {
                self.add(Class::Turned, change);
            }
        }
        // A quarter turn is a slip of parts as wide as they are long: a button that is always on.
        if !it.card.contacts.is_empty() && count == 4 {
            for turn in [it.turn.next(), it.turn.next().next().next()] {
                let mut holes = it.legs.iter().filter_map(|leg| leg.hole);
                if let Some(change) = holes.find_map(|hole| place(hole, turn)) {
                    self.add(Class::Turned, change);
                    break;
                }
            }
        }
    }

    /// Three loose legs in every other order.
    fn orders(&mut self, part: PartIx) {
        let it = self.plan.part(part);
        let holes: Vec<Option<Hole>> = it.legs.iter().map(|leg| leg.hole).collect();
        if it.is_rigid() || holes.len() != 3 || holes.iter().any(Option::is_none) {
            return;
        }
        for (class, order) in [
            (Class::Turned, [2, 1, 0]),
            (Class::Order, [0, 2, 1]),
            (Class::Order, [1, 0, 2]),
            (Class::Order, [1, 2, 0]),
            (Class::Order, [2, 0, 1]),
        ] {
            let holes = order.iter().map(|&from| holes[from]).collect();
            self.add(class, Change::Placed { part, holes, turn: it.turn });
        }
    }

    /// Values a decade or a step of E12 off, and batteries that are nearly empty.
    fn values(&mut self, part: PartIx) {
        let it = self.plan.part(part);
        for (param, own) in it.card.params.iter().enumerate() {
            let (Range::Number { unit, .. }, Value::Number(is)) = (own.range, it.values[param]) else {
                continue;
            };
            if it.card.source.is_some() {
                if unit == Unit::Share && is > 2.0 * WORN_SHARE {
                    self.add(Class::Worn, Change::Value { part, param, value: Value::Number(WORN_SHARE) });
                }
                continue;
            }
            if own.live || !matches!(unit, Unit::Ohm | Unit::Farad | Unit::Henry) {
                continue;
            }
            let steps = [(Class::Decade, 10.0), (Class::Decade, 0.1)]
                .map(|(class, times)| (class, is * times))
                .into_iter()
                .chain(neighbours(is).map(|value| (Class::Step, value)));
            for (class, value) in steps {
                let value = Value::Number(value);
                let mut other = it.clone();
                other.values[param] = value;
                if own.range.allows(value) && !(it.card.does_for)(it, &other, param) {
                    self.add(class, Change::Value { part, param, value });
                }
            }
        }
    }

    /// Parts that are broken inside.
    fn broken(&mut self, part: PartIx) {
        let it = self.plan.part(part);
        if it.card.source.is_some() || it.legs.iter().all(|leg| leg.hole.is_none()) {
            return;
        }
        let duty = |wanted: Duty| (0..it.legs.len()).find(|&pin| it.card.duty(pin) == wanted);
        let pins = match (it.card.steers, it.card.contacts.first()) {
            (Some(steers), _) => [steers.load, steers.tail].map(usize::from),
            (_, Some(contact)) => [contact.a, contact.b].map(usize::from),
            _ if it.card.chip => match (duty(Duty::Power), duty(Duty::Ground)) {
                (Some(power), Some(ground)) => [power, ground],
                _ => [0, it.legs.len() - 1],
            },
            _ => it.card.read_across().map_or([0, 1], |(a, b)| [a, b]),
        };
        self.add(Class::Open, Change::Broken { part, pins, short: false });
        if !it.card.is_wire() && !it.card.chip {
            self.add(Class::Short, Change::Broken { part, pins, short: true });
        }
    }

    /// Ends of two wires nearby exchanged.
    fn exchanged(&mut self) {
        let plan = self.plan;
        let ends: Vec<(LegId, Hole)> = plan
            .legs()
            .filter(|(leg, _)| plan.part(leg.part).card.is_wire())
            .filter_map(|(leg, at)| Some((leg, at.hole?)))
            .collect();
        for (at, &(one, a)) in ends.iter().enumerate() {
            for &(two, b) in &ends[at + 1..] {
                let near = plan.distance(a, b).is_some_and(|far| far <= EXCHANGE_REACH);
                if one.part != two.part && near && plan.strip(a) != plan.strip(b) {
                    self.add(Class::Swapped, Change::Swapped { legs: [one, two] });
                }
            }
        }
    }
}

/// The values beside one in the series E12.
fn neighbours(value: f64) -> impl Iterator<Item = f64> {
    let decade = halfrow_core::math::pow(10.0, halfrow_core::math::log10(value).floor() - 1.0);
    let mut below = 0.0;
    let mut above = f64::INFINITY;
    for times in [0.1, 1.0, 10.0] {
        for digits in E12 {
            let listed = f64::from(digits) * times * decade;
            // A thousandth forgives the rounding of the powers.
            if listed < value * 0.999 && listed > below {
                below = listed;
            }
            if listed > value * 1.001 && listed < above {
                above = listed;
            }
        }
    }
    [below, above].into_iter().filter(|value| *value > 0.0 && value.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_neighbours_of_a_value_are_its_series() {
        let rounded = |value: f64| neighbours(value).map(|it| it.round()).collect::<Vec<_>>();
        assert_eq!(rounded(220.0), [180.0, 270.0]);
        assert_eq!(rounded(1000.0), [820.0, 1200.0]);
        assert_eq!(rounded(82.0), [68.0, 100.0]);
        assert_eq!(rounded(200.0), [180.0, 220.0]);
    }
}
