//! The changes that are tried: what a hand that slipped may have meant.

use std::cmp::Ordering;

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::{Hole, Side, Sign, Strip, StripPlace};
use halfrow_core::card::Duty;

use crate::gates::gates;
use crate::graph::Change;
use crate::hazard::is_across_the_supply;
use crate::mend::{Mend, Try};
use crate::places::{is_covered, near};
use crate::repair::Search;
use crate::words::{other_sign, wire_sign};

/// A leg that has company where it is was hardly meant for elsewhere: a lone one comes first.
const TORN: i32 = 6;

/// Where a row has company already, one leg more is less likely than where a single one waits.
const CROWDED: i32 = 4;

/// Parts of one kind mostly lie alike.
const ALIKE: i32 = 4;

/// A red wire in a − rail, or a black one in a +, says itself that it slipped; one that is right says
/// that it did not.
const COLOUR: i32 = 9;

impl Search<'_> {
    /// Legs that are alone over their strip and may be meant to meet another.
    pub(crate) fn waiting_legs(&self) -> Vec<(LegId, Strip)> {
        let ends = 0..self.graph.legs();
        ends.filter(|&end| self.company[self.graph.ends[end]] == 1)
            .filter_map(|end| Some((self.graph.leg(end)?, self.graph.strip(self.graph.ends[end])?)))
            .filter(|&(leg, _)| !is_covered(self.bench, &self.graph, leg))
            .filter(|(leg, strip)| {
                // A source's lead in the rail of its own sign waits for nobody.
                let Some(source) = self.bench.part(leg.part).card.source else { return true };
                let plus = leg.pin == usize::from(source.plus);
                !matches!(strip.place, StripPlace::Rail { sign, .. } if (sign == Sign::Plus) == plus)
            })
            .collect()
    }

    /// A try: one leg put over another strip that holds a leg.
    pub(crate) fn moved(&self, end: usize, to: Strip, cost: i32) -> Option<Try> {
        let target = self.graph.vertex(to)?;
        let leg = self.graph.leg(end)?;
        let from = self.graph.strip(self.graph.ends[end])?;
        // In one strip with another of its own legs a part would be bypassed.
        let own = self.graph.first_end[leg.part.0]..self.graph.first_end[leg.part.0 + 1];
        if self.graph.ends[own].contains(&target) {
            return None;
        }
        let is_rail = |strip: Strip| matches!(strip.place, StripPlace::Rail { .. });
        // A push button's second leg of a pair waits for nobody.
        let taken = |target| {
            let mut there = (0..self.graph.legs()).filter(|&end| self.graph.ends[end] == target);
            there.all(|end| self.graph.leg(end).is_some_and(|leg| is_covered(self.bench, &self.graph, leg)))
        };
        let crowded = !is_rail(to) && (self.company[target] > 1 || taken(target));
        let torn = !is_rail(from) && self.company[self.graph.ends[end]] > 1;
        let straight = self.straight(leg, to);
        let change = Change::Move(vec![(end, Some(target))]);
        let mend = if is_rail(to) && is_rail(from) { Mend::Swap { leg, to } } else { Mend::Move { leg, to } };
        let cost = cost + i32::from(crowded) * CROWDED + i32::from(torn) * TORN - straight;
        Some(Try { mend, change, cost: cost + self.against_colour(leg, from, to) })
    }

    /// What the colour of a wire says of a move from one strip to another.
    fn against_colour(&self, leg: LegId, from: Strip, to: Strip) -> i32 {
        let Some(own) = wire_sign(self.bench, leg.part) else { return 0 };
        let fits = |strip: Strip| match strip.place {
            StripPlace::Rail { sign, .. } => Some(sign == own),
            StripPlace::HalfRow { .. } => None,
        };
        // A red wire at a chip's VCC, a black one at its GND, are right there.
        let duty = if own == Sign::Plus { Duty::Power } else { Duty::Ground };
        let serves = self.bench.legs().any(|(other, at)| {
            self.bench.part(other.part).card.duty(other.pin) == duty
                && at.hole.and_then(|hole| self.bench.strip(hole)) == Some(from)
        });
        match (fits(from), fits(to)) {
            (Some(false), Some(true)) => -1,
            (Some(true), _) | (_, Some(false)) => COLOUR,
            _ if serves => COLOUR,
            _ => 0,
        }
    }

    /// What speaks for a move of a leg by how its part lies then: straight across the channel, or as
    /// others of its kind lie. Less where it lies so now.
    fn straight(&self, leg: LegId, to: Strip) -> i32 {
        let part = self.bench.part(leg.part);
        let [a, b] = part.legs.as_slice() else { return 0 };
        let (Some(own), Some(other)) = (part.legs[leg.pin].hole, if leg.pin == 0 { b.hole } else { a.hole })
        else {
            return 0;
        };
        let there = match to.place {
            StripPlace::HalfRow { row, side } => Some((row, side)),
            StripPlace::Rail { .. } => None,
        };
        let half_row = |hole: Hole| hole.row().map(|row| (row, hole.side()));
        let lies = |at: Option<(u8, Side)>| {
            let ((row, side), (other_row, other_side)) = (at?, half_row(other)?);
            Some((row.abs_diff(other_row), side == other_side))
        };
        let (here, there) = (lies(half_row(own)), lies(there));
        let is_straight = |it: Option<(u8, bool)>| i32::from(it.is_some_and(|(rows, _)| rows == 0));
        let alike = |it: Option<(u8, bool)>| {
            let others =
                self.bench.parts.iter().filter(|it| it.card.kind == part.card.kind && it.id != part.id);
            let same = others.filter(|other| match other.legs.as_slice() {
                [a, b] => a
                    .hole
                    .and_then(half_row)
                    .zip(b.hole.and_then(half_row))
                    .is_some_and(|((a, from), (b, to))| it == Some((a.abs_diff(b), from == to))),
                _ => false,
            });
            if part.card.is_wire() { 0 } else { same.count() }
        };
        let habit = match alike(there).cmp(&alike(here)) {
            Ordering::Greater => ALIKE,
            Ordering::Less => -ALIKE,
            Ordering::Equal => 0,
        };
        let is_askew = |it: Option<(u8, bool)>| i32::from(it.is_some_and(|(rows, same)| rows > 0 && !same));
        3 * (is_straight(there) - is_straight(here)) + habit + is_askew(here) - is_askew(there)
    }

    /// Split rails bridged and rails without power fed from the one of their sign.
    pub(crate) fn rails(&self, tries: &mut Vec<Try>) {
        let metal = self.graph.metal();
        let poles = self.graph.poles();
        let powered = |vertex: usize| {
            poles
                .iter()
                .any(|poles| metal[poles.plus] == metal[vertex] || metal[poles.minus] == metal[vertex])
        };
        for (dead_at, &dead) in self.graph.strips.iter().enumerate() {
            let StripPlace::Rail { sign, side, .. } = dead.place else { continue };
            if powered(dead_at) {
                continue;
            }
            for (powered_at, &rail) in self.graph.strips.iter().enumerate() {
                let StripPlace::Rail { sign: other_sign, side: other_side, .. } = rail.place else {
                    continue;
                };
                if other_sign != sign || powered_at == dead_at || !powered(powered_at) {
                    continue;
                }
                let change = Change::Wire(powered_at, dead_at);
                if side == other_side && rail.board == dead.board {
                    tries.push(Try { mend: Mend::Bridge { powered: rail, dead }, change, cost: 2 });
                } else {
                    tries.push(Try { mend: Mend::Feed { powered: rail, dead }, change, cost: 3 });
                }
            }
        }
    }

    /// A wire from a leg that waits to a pole, to another leg that waits, or to an output that nobody
    /// uses of a chip that is told something.
    pub(crate) fn links(&self, waiting: &[(LegId, Strip)], tries: &mut Vec<Try>) {
        // A wire from rail to rail is tidy, and waits for nobody.
        let is_bridge = |part: PartIx| {
            let it = self.bench.part(part);
            it.card.is_wire() && it.legs.iter().all(|leg| leg.hole.is_some_and(|hole| hole.row().is_none()))
        };
        let mine = waiting.iter().filter(|(leg, _)| self.dead[leg.part.0] && !is_bridge(leg.part)).take(12);
        let poles = self.graph.poles();
        let outputs: Vec<usize> = self.idle_outputs(waiting);
        for (place, &(leg, _)) in mine.clone().enumerate() {
            let at = self.graph.at(leg);
            let ends = poles.iter().flat_map(|poles| [poles.plus, poles.minus]).map(|to| (to, 8));
            let others = mine.clone().skip(place + 1).filter(|(other, _)| other.part != leg.part);
            let others = others.map(|(other, _)| (self.graph.at(*other), 8));
            let outputs = outputs.iter().map(|&to| (to, 6));
            for (to, cost) in ends.chain(others).chain(outputs) {
                let (Some(strip), true) = (self.graph.strip(to), to != at) else { continue };
                tries.push(Try { mend: Mend::Link { leg, to: strip }, change: Change::Wire(at, to), cost });
            }
        }
    }

    /// Where outputs wait whose chip, or gate, is told something.
    fn idle_outputs(&self, waiting: &[(LegId, Strip)]) -> Vec<usize> {
        let is_told = |part: PartIx, pin: usize| {
            self.bench.part(part).card.duty(pin) == Duty::Input
                && self.company[self.graph.at(LegId { part, pin })] > 1
        };
        waiting
            .iter()
            .map(|it| it.0)
            .filter(|leg| self.bench.part(leg.part).card.duty(leg.pin) == Duty::Output)
            .filter(|leg| {
                let groups = gates(self.bench.part(leg.part).card);
                groups.iter().any(|it| it.contains(&leg.pin) && it.iter().any(|&pin| is_told(leg.part, pin)))
            })
            .map(|leg| self.graph.at(leg))
            .collect()
    }

    /// Legs in a rail put into the other rail of the pair: all of them, or the wires whose colour
    /// says so.
    pub(crate) fn swaps(&self, by_colour: bool, tries: &mut Vec<Try>) {
        for end in 0..self.graph.legs() {
            let (Some(strip), Some(leg)) = (self.graph.strip(self.graph.ends[end]), self.graph.leg(end))
            else {
                continue;
            };
            let StripPlace::Rail { side, sign, lower } = strip.place else { continue };
            let to = Strip { place: StripPlace::Rail { side, sign: other_sign(sign), lower }, ..strip };
            let told = wire_sign(self.bench, leg.part).is_some_and(|own| own != sign);
            if self.loose(leg.part) && (told || !by_colour) {
                tries.extend(self.moved(end, to, 2));
            }
        }
    }

    /// Each dead part in the grid put some rows further up or down: the stiff ones, or the others.
    pub(crate) fn shifts(&self, stiff: bool, tries: &mut Vec<Try>) {
        for part in (0..self.dead.len()).filter(|&part| self.dead[part] && self.loose(PartIx(part)) != stiff)
        {
            'rows: for rows in [-1_i8, 1, -2, 2] {
                let mut moves = Vec::new();
                for end in self.graph.first_end[part]..self.graph.first_end[part + 1] {
                    let Some(strip) = self.graph.strip(self.graph.ends[end]) else { continue 'rows };
                    let StripPlace::HalfRow { row, side } = strip.place else { continue 'rows };
                    let most = self.bench.boards[usize::from(strip.board)].kind.rows();
                    let Some(row) = row.checked_add_signed(rows).filter(|row| (1..=most).contains(row))
                    else {
                        continue 'rows;
                    };
                    let to = Strip { place: StripPlace::HalfRow { row, side }, ..strip };
                    moves.push((end, self.graph.vertex(to)));
                }
                let torn = |end: &usize| !stiff && self.company[self.graph.ends[*end]] > 1;
                let torn = moves.iter().filter(|it| torn(&it.0)).count() as i32;
                let cost = 2 + 2 * i32::from(rows.abs()) + TORN * torn;
                let (mend, change) = (Mend::Shift { part: PartIx(part), rows }, Change::Move(moves));
                tries.push(Try { mend, change, cost });
            }
        }
    }

    /// Each leg of a dead part that has company put over a strip nearby.
    pub(crate) fn wrong_rows(&self, tries: &mut Vec<Try>) {
        for end in 0..self.graph.legs() {
            let Some(leg) = self.graph.leg(end) else { continue };
            if self.dead[leg.part.0] && self.company[self.graph.ends[end]] > 1 {
                self.nearby(end, tries);
            }
        }
    }

    /// Each leg of a part that stands straight across the supply put over a strip nearby: it lives
    /// there, and does nothing for anybody.
    pub(crate) fn across(&self, tries: &mut Vec<Try>) {
        let metal = self.graph.metal();
        for part in (0..self.dead.len()).filter(|&part| !self.dead[part]) {
            if is_across_the_supply(self.bench, &self.graph, &metal, PartIx(part)) {
                for end in self.graph.first_end[part]..self.graph.first_end[part + 1] {
                    self.nearby(end, tries);
                }
            }
        }
    }

    fn nearby(&self, end: usize, tries: &mut Vec<Try>) {
        let (Some(leg), Some(hole)) = (self.graph.leg(end), self.hole(end)) else { return };
        if self.loose(leg.part) {
            let near = near(self.bench, hole).into_iter();
            tries.extend(near.filter_map(|(to, cost)| self.moved(end, to, cost)));
        }
    }
}
