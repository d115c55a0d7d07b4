//! How parts and legs are put down, moved, turned, worked and taken away.

use std::collections::BTreeSet;

use halfrow_core::bench::{LegId, PartIx, PlaceError};
use halfrow_core::board::Hole;
use halfrow_core::card::{Card, Range, Value};
use halfrow_core::part::{Depth, Part, Turn};

use super::{Action, Hand, State};
use crate::{clipboard, words};

impl State {
    pub(super) fn press(&mut self, hole: Hole) {
        self.cursor = Some(hole);
        match self.hand.clone() {
            Hand::Empty => match self.bench().occupant(hole) {
                Some(leg) if self.bench().part(leg.part).is_rigid() => {
                    self.apply(Action::Choose(leg.part, false))
                }
                Some(leg) => {
                    self.chosen = BTreeSet::from([leg.part.0]);
                    self.apply(Action::Hold(Hand::Leg(leg)));
                }
                None => self.chosen.clear(),
            },
            Hand::Part { card, legs, turn } => self.put_part(card, legs, turn, hole),
            Hand::Leg(leg) => {
                if self.bench().part(leg.part).legs[leg.pin].hole == Some(hole) {
                    self.hand = Hand::Empty;
                    self.say("Left where it was.");
                } else {
                    let says = words::leg_put(self.bench(), leg, Some(hole));
                    if self.attempt(says, |bench| {
                        bench.put_leg(leg, Some(hole))?;
                        bench.parts[leg.part.0].legs[leg.pin].depth = Depth::Full;
                        Ok(())
                    }) {
                        self.hand = Hand::Empty;
                    }
                }
            }
            Hand::Whole { part, from } => {
                self.hand = Hand::Empty;
                if let (Some(a), Some(b)) = (self.bench().position(from), self.bench().position(hole)) {
                    if !self.chosen.contains(&part.0) {
                        self.chosen = BTreeSet::from([part.0]);
                    }
                    self.shift(b.x - a.x, b.y - a.y);
                }
            }
        }
    }

    fn put_part(&mut self, card: &'static Card, mut legs: Vec<Hole>, turn: Turn, hole: Hole) {
        let rigid = matches!(card.footprint, halfrow_core::card::Footprint::Rigid { .. });
        let mut bench = self.bench().clone();
        let part = PartIx(bench.parts.len());
        let id = bench.next_id(card);
        bench.parts.push(Part::new(id.clone(), card));
        let mut put = || -> Result<(), PlaceError> {
            if rigid {
                bench.place_rigid(part, hole, turn)?;
            } else {
                for (pin, &hole) in legs.iter().chain([&hole]).enumerate() {
                    bench.put_leg(LegId { part, pin }, Some(hole))?;
                }
            }
            bench.check()
        };
        if let Err(error) = put() {
            self.say(error.to_string());
            return;
        }
        legs.push(hole);
        if !rigid && legs.len() < card.pins.len() {
            self.hand = Hand::Part { card, legs, turn };
            let words = words::hand(self);
            self.say(words);
        } else {
            self.hand = Hand::Empty;
            let says = format!("{id} is in.");
            self.change(bench, says, None);
            self.chosen = BTreeSet::from([part.0]);
        }
    }

    pub(super) fn turn(&mut self) {
        if let Hand::Part { turn, .. } = &mut self.hand {
            *turn = turn.next();
            let words = words::hand(self);
            self.say(words);
            return;
        }
        let Some(part) = self.only_chosen() else {
            self.say("Choose one part to turn.");
            return;
        };
        let it = self.bench().part(part).clone();
        if !it.is_rigid() {
            // Turning a loose part swaps its two legs: the way to mend one that is backwards.
            if it.legs.len() == 2 {
                let mut bench = self.bench().clone();
                bench.parts[part.0].legs.swap(0, 1);
                self.change(bench, format!("{} turned round.", it.id), None);
            }
            return;
        }
        let Some(pin1) = it.legs[0].hole else { return };
        // The next turn that fits, about each pin in turn.
        let mut turn = it.turn.next();
        while turn != it.turn {
            let mut bench = self.bench().clone();
            if bench.place_rigid(part, pin1, turn).is_ok() {
                self.change(bench, format!("{} turned to {} degrees.", it.id, turn.degrees()), None);
                return;
            }
            turn = turn.next();
        }
        self.say("There is no room to turn it here.");
    }

    pub(super) fn work(&mut self, part: PartIx) {
        let it = self.bench().part(part);
        let card = it.card;
        let Some(param) = card.params.iter().position(|p| p.live && !matches!(p.range, Range::Number { .. }))
        else {
            return;
        };
        let value = match it.values[param] {
            Value::Flag(on) => Value::Flag(!on),
            Value::Choice(i) => {
                let Range::Choice { options, .. } = card.params[param].range else { return };
                Value::Choice((i + 1) % options.len() as u8)
            }
            _ => return,
        };
        let mut bench = self.bench().clone();
        bench.parts[part.0].values[param] = value;
        let id = bench.part(part).id.clone();
        self.change(bench, String::new(), None);
        let it = self.bench().part(part);
        let state = (it.card.state)(it, self.solved.point.part(part)).word;
        let said = self.said.clone();
        self.say(format!("{id}: {state}. {said}"));
    }

    pub(super) fn delete(&mut self) {
        if self.chosen.is_empty() {
            if let Some(leg) = self.cursor.and_then(|hole| self.bench().occupant(hole)) {
                self.chosen.insert(leg.part.0);
            } else {
                return;
            }
        }
        let mut bench = self.bench().clone();
        let names: Vec<String> = self.chosen.iter().map(|&i| bench.parts[i].id.clone()).collect();
        let mut index = 0;
        let chosen = std::mem::take(&mut self.chosen);
        bench.parts.retain(|_| {
            index += 1;
            !chosen.contains(&(index - 1))
        });
        self.hand = Hand::Empty;
        self.change(bench, format!("{} taken away.", names.join(", ")), None);
    }

    pub(super) fn nudge(&mut self, dx: i16, dy: i16) {
        self.shift(2 * dx, 2 * dy);
    }

    /// Moves the chosen parts by half pitches; off-board parts stay, their leads move.
    fn shift(&mut self, dx: i16, dy: i16) {
        let chosen = self.chosen.clone();
        if chosen.is_empty() {
            return;
        }
        let says = if chosen.len() == 1 { "Moved." } else { "Moved them." };
        self.attempt(says.into(), |bench| {
            let before = bench.clone();
            for &i in &chosen {
                for leg in &mut bench.parts[i].legs {
                    leg.hole = None;
                }
            }
            for &i in &chosen {
                let part = PartIx(i);
                for (pin, leg) in before.parts[i].legs.iter().enumerate() {
                    let Some(old) = leg.hole else { continue };
                    let at = before.position(old).expect("a leg's hole is on the bench");
                    let moved = halfrow_core::board::HalfPitches { x: at.x + dx, y: at.y + dy };
                    let hole = bench.hole_at(moved).ok_or(PlaceError::NoHoleUnder {
                        id: before.parts[i].id.clone(),
                        pin: before.parts[i].card.pins[pin].name,
                        pin1: old,
                    })?;
                    bench.parts[i].legs[pin].hole = Some(hole);
                }
                bench.check_part(part)?;
            }
            Ok(())
        });
    }

    pub(super) fn paste(&mut self, text: &str) {
        match clipboard::paste(self.bench(), text) {
            Ok((bench, chosen)) => {
                let says = format!("{} parts put down.", chosen.len());
                self.change(bench, says, None);
                self.chosen = chosen;
                self.hand = Hand::Empty;
            }
            Err(why) => self.say(why),
        }
    }
}
