//! How one bench takes the place of another: by a change, by a step back, at a tick of the clock.

use std::rc::Rc;

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_judge::{Finding, check};

use super::{Hand, Help, Solved, State, UNDO_STEPS};
use crate::model::clock::{Harm, Tick};
use crate::model::lamps::{self, Shine};
use crate::model::words;

/// A bench that can be had back, and which of those opened here it is.
pub(super) type Step = (Rc<Solved>, u32);

/// Whether both are the same finding, each on its own bench.
fn same(a: (&Finding, &Bench), b: (&Finding, &Bench)) -> bool {
    let id = |bench: &Bench, part: PartIx| bench.part(part).id.clone();
    let parts = |(finding, bench): (&Finding, &Bench)| -> Vec<String> {
        finding.parts.iter().map(|&part| id(bench, part)).collect()
    };
    a.0.code == b.0.code && a.0.holes == b.0.holes && parts(a) == parts(b)
}

impl State {
    /// Puts a bench in the place of the one that is open. Whatever points at a part goes on pointing at
    /// the part of that name; what points at a part or a hole that is gone lets go.
    fn take(&mut self, next: Rc<Solved>) {
        let before = std::mem::replace(&mut self.solved, next);
        let (old, new) = (&before.bench, &self.solved.bench);
        let now = |part: PartIx| new.find(&old.parts.get(part.0)?.id);
        self.chosen = self.chosen.iter().filter_map(|&i| Some(now(PartIx(i))?.0)).collect();
        self.pushed = self.pushed.and_then(now);
        self.gesture = self.gesture.and_then(|(part, param)| Some((now(part)?, param)));
        self.clock.blinking =
            self.clock.blinking.iter().filter_map(|&(part, hertz)| Some((now(part)?, hertz))).collect();
        let hand = match std::mem::replace(&mut self.hand, Hand::Empty) {
            Hand::Leg(leg) => now(leg.part)
                .filter(|&part| leg.pin < new.part(part).legs.len())
                .map(|part| Hand::Leg(LegId { part, ..leg })),
            Hand::Whole { part, from } => {
                now(part).filter(|_| new.board_of(from).is_some()).map(|part| Hand::Whole { part, from })
            }
            Hand::Part { legs, .. } if legs.iter().any(|&hole| new.board_of(hole).is_none()) => None,
            hand => Some(hand),
        };
        self.hand = hand.unwrap_or(Hand::Empty);
        self.cursor = self.cursor.filter(|&hole| new.board_of(hole).is_some());
        self.refused.retain(|it| it.id.is_empty() || new.find(&it.id).is_some());
        self.lamps.retain(|(id, _)| new.find(id).is_some());
        self.show_same(&before);
    }

    /// The finding that is pointed at stays pointed at where it is still there, whatever its place.
    fn show_same(&mut self, before: &Solved) {
        let shown = self.shown.and_then(|index| before.findings.get(index));
        self.shown = shown.and_then(|shown| {
            let is_it = |it: &Finding| same((it, &self.solved.bench), (shown, &before.bench));
            self.solved.findings.iter().position(is_it)
        });
    }

    /// Says what was done and what followed: lamps whose state time has no say in, and how many
    /// findings there are, where that has changed. What was said before is past.
    fn tell(&mut self, mut says: String, found_before: usize) {
        let mended = self.is_mended() && found_before > self.solved.findings.len();
        let mut add = |words: String| {
            if !says.is_empty() && !words.is_empty() {
                says.push(' ');
            }
            says += &words;
        };
        if !self.solved.is_timed() {
            let mut now = lamps::at_rest(&self.solved);
            // A burnt one is solved as if it were new; the clock knows better.
            now.retain(|(id, _)| !self.harm.burnt.contains(id));
            add(lamps::news(&mut self.lamps, &now));
        }
        let found = self.solved.findings.len();
        if found != found_before && self.help > Help::Nothing {
            add(match found {
                0 => "No findings.".to_owned(),
                _ => words::count(found, "finding", "findings"),
            });
        }
        if mended {
            add("You found it: it works as it should.".to_owned());
        }
        self.say(says);
    }

    /// Takes a changed bench: solves it, keeps the old one for undo, says what happened.
    pub(crate) fn change(&mut self, bench: Bench, says: String, gesture: Option<(PartIx, usize)>) {
        self.change_to(Solved::of(bench), says, gesture);
    }

    /// The same for a bench that is solved already.
    pub(super) fn change_to(&mut self, next: Rc<Solved>, says: String, gesture: Option<(PartIx, usize)>) {
        if gesture.is_none() || gesture != self.gesture {
            self.undo.push((self.solved.clone(), self.document));
            if self.undo.len() > UNDO_STEPS {
                self.undo.remove(0);
            }
        }
        self.redo.clear();
        let found = self.solved.findings.len();
        self.take(next);
        self.gesture = gesture;
        self.judged = Some(Harm::default());
        self.changes += 1;
        self.tell(says, found);
    }

    /// Another document: nothing of what happened to the former one holds for it.
    fn begin(&mut self, document: u32) {
        self.document = document;
        self.clock.epoch += 1;
        self.harm = Harm::default();
        self.lamps.clear();
    }

    /// A bench with a mistake to find does not give it away by itself.
    fn hold_back(&mut self) {
        let is_task = self.example().is_some_and(|it| it.twin.is_some());
        self.help = self.help_wanted.min(if is_task { Help::Symptom } else { Help::Remedy });
    }

    /// Opens a bench; the former one can be had back by undo.
    pub(super) fn open(&mut self, bench: Bench, says: String) {
        let former = self.document;
        self.begin(self.clock.epoch + 1);
        self.change(bench, says, None);
        self.hold_back();
        if let Some(step) = self.undo.last_mut() {
            step.1 = former;
        }
    }

    pub(super) fn step_back(&mut self, back: bool) {
        let (from, to) =
            if back { (&mut self.undo, &mut self.redo) } else { (&mut self.redo, &mut self.undo) };
        let Some((solved, document)) = from.pop() else { return };
        to.push((self.solved.clone(), self.document));
        let other = document != self.document;
        if other {
            self.begin(document);
        }
        let found = self.solved.findings.len();
        self.hand = Hand::Empty;
        self.chosen.clear();
        self.gesture = None;
        self.take(solved);
        self.judged = None;
        self.changes += 1;
        if other {
            self.hold_back();
        }
        self.tell(if back { "Undone." } else { "Done again." }.to_owned(), found);
    }

    /// Takes what the clock tells. A tick of a bench that has been changed since is of the past.
    pub(super) fn tick(&mut self, tick: &Tick) {
        if !Rc::ptr_eq(&tick.bench, &self.solved.bench) {
            return;
        }
        let before = self.solved.clone();
        let mut findings = before.findings.clone();
        if self.judged.as_ref() != Some(&tick.harm) {
            let burnt = tick.harm.burnt.iter().any(|id| !self.harm.burnt.contains(id));
            let worse = burnt || (tick.harm.stalled.is_some() && tick.harm.stalled != self.harm.stalled);
            self.harm = tick.harm.clone();
            self.judged = Some(tick.harm.clone());
            findings = Rc::new(check(&tick.bench, &tick.point));
            for id in &tick.harm.burnt {
                self.lamps.retain(|(own, _)| own != id);
                self.lamps.push((id.clone(), Shine::Steady("burnt out")));
            }
            if worse && let Some(first) = findings.first() {
                self.say(if self.help >= Help::Place { &first.says } else { &first.symptom });
            }
        }
        let (bench, point) = (tick.bench.clone(), tick.point.clone());
        self.solved = Rc::new(Solved { bench, point, findings });
        self.show_same(&before);
        self.clock.time = tick.time;
        self.clock.timed = tick.timed;
        self.clock.short_of = tick.short_of;
        self.clock.blinking.clone_from(&tick.blinking);
    }
}
