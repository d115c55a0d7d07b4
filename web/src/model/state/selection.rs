//! What is in hand, pointed at and chosen.

use std::rc::Rc;

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::Value;

use super::Hand;
use crate::model::chosen::Chosen;

/// What is in hand, pointed at and chosen.
#[derive(Clone, Debug)]
pub struct Selection {
    /// Chosen parts.
    pub chosen: Chosen,
    /// What is in hand.
    pub hand: Hand,
    /// The hole under the cursor.
    pub cursor: Option<Hole>,
    /// The row that the cursor was in last.
    pub row: u8,
    /// The button that is held down.
    pub pushed: Option<PartIx>,
    /// The finding that is pointed at.
    pub shown: Option<usize>,
    /// What this page copied last.
    pub(super) copied: Rc<str>,
    /// The colour that was last chosen for a wire.
    pub(super) wire_colour: Option<Value>,
}

impl Default for Selection {
    fn default() -> Selection {
        Selection {
            chosen: Chosen::new(),
            hand: Hand::Empty,
            cursor: None,
            row: 1,
            pushed: None,
            shown: None,
            copied: "".into(),
            wire_colour: None,
        }
    }
}

impl Selection {
    /// Points at a hole.
    pub(super) fn point(&mut self, hole: Option<Hole>) {
        self.row = hole.and_then(Hole::row).unwrap_or(self.row);
        self.cursor = hole;
    }

    /// Chooses a part that was not, lets go of one that was; `more` keeps the others.
    pub(super) fn toggle(&mut self, part: PartIx, more: bool) {
        if !more {
            self.chosen.clear();
        }
        if !self.chosen.remove(&part.0) {
            self.chosen.insert(part.0);
        }
        self.hand = Hand::Empty;
    }

    /// Nothing is in hand, pointed at or chosen: another bench is opened.
    pub(super) fn drop_all(&mut self) {
        self.chosen.clear();
        self.hand = Hand::Empty;
        self.cursor = None;
    }

    /// Goes over to another bench, on which `now` finds the parts of the former one: what points at a part
    /// or a hole that is gone lets go.
    pub(super) fn follow(&mut self, new: &Bench, now: impl Fn(PartIx) -> Option<PartIx>) {
        self.chosen = self.chosen.iter().filter_map(|&i| Some(now(PartIx(i))?.0)).collect();
        self.pushed = self.pushed.and_then(&now);
        let hand = match std::mem::replace(&mut self.hand, Hand::Empty) {
            Hand::Leg(leg) => now(leg.part)
                .filter(|&part| leg.pin < new.part(part).legs.len())
                .map(|part| Hand::Leg(LegId { part, ..leg })),
            Hand::Whole { part, from } => {
                now(part).filter(|_| new.board_of(from).is_some()).map(|part| Hand::Whole { part, from })
            }
            Hand::Tip(which, _) if which >= new.meters.len() => None,
            Hand::Part { legs, .. } if legs.iter().any(|&hole| new.board_of(hole).is_none()) => None,
            hand => Some(hand),
        };
        self.hand = hand.unwrap_or(Hand::Empty);
        self.cursor = self.cursor.filter(|&hole| new.board_of(hole).is_some());
    }
}
