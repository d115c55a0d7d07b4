//! How one bench takes the place of another: by a change, by a step back, at a tick of the clock.

use std::rc::Rc;

use halfrow_core::bench::{Bench, PartIx};
use halfrow_judge::Finding;

use super::judging::find;

use super::{Hand, Help, Solved, State, Tab, Writing};
use crate::model::chart::suggested;
use crate::model::clock::{Harm, Tick};
use crate::model::guide;
use crate::model::lamps::{self, Shine};

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
        let before = std::mem::replace(&mut self.document.solved, next);
        let (old, new) = (&before.bench, &self.document.solved.bench);
        let now = |part: PartIx| new.find(&old.parts.get(part.0)?.id);
        self.selection.follow(new, now);
        self.document.slider = self.document.slider.and_then(|(part, param)| Some((now(part)?, param)));
        let blinking = self.clock.blinking.iter();
        self.clock.blinking = blinking.filter_map(|&(part, hertz)| Some((now(part)?, hertz))).collect();
        self.writing.refused.retain(|it| it.id.is_empty() || new.find(&it.id).is_some());
        self.speech.lamps.retain(|(id, _)| new.find(id).is_some());
        self.show_same(&before);
    }

    /// The finding that is pointed at stays pointed at where it is still there, whatever its place.
    pub(super) fn show_same(&mut self, before: &Solved) {
        let shown = self.selection.shown.and_then(|index| before.findings.get(index));
        self.selection.shown = shown.and_then(|shown| {
            let is_it = |it: &Finding| same((it, &self.document.solved.bench), (shown, &before.bench));
            self.document.solved.findings.iter().position(is_it)
        });
    }

    /// Says what was done and what followed. What was said before is past.
    fn tell(&mut self, mut says: String, found_before: usize) {
        let more = if self.is_unjudged() { self.lamps_at_rest() } else { self.what_followed(found_before) };
        if !says.is_empty() && !more.is_empty() {
            says.push(' ');
        }
        self.say(says + &more);
    }

    /// What has become of lamps whose state time has no say in, where the bench is solved.
    fn lamps_at_rest(&mut self) -> String {
        let solved = &self.document.solved;
        if solved.is_timed() || (self.is_unjudged() && !solved.point.settled) {
            return String::new();
        }
        let mut now = lamps::at_rest(solved);
        // A burnt one is solved as if it were new; the clock knows better.
        now.retain(|(id, _)| !self.document.harm.burnt.contains(id));
        lamps::news(&mut self.speech.lamps, &now)
    }

    /// That, and how many findings there are, where that has changed.
    pub(super) fn what_followed(&mut self, found_before: usize) -> String {
        let mut words = vec![self.lamps_at_rest()];
        let told = guide::told(self);
        let found = told.len();
        if found != found_before && self.screen.help > Help::Nothing {
            words.push(match found {
                0 => "No findings.".to_owned(),
                1 => format!("1 finding: {}", told[0].symptom),
                _ => format!("{found} findings. The first: {}", told[0].symptom),
            });
        }
        if self.document.is_mended() && found_before > found {
            words.push("You found it! It works as it should.".to_owned());
        }
        words.retain(|it| !it.is_empty());
        words.join(" ")
    }

    /// Takes a changed bench: solves it, keeps the old one for undo, says what happened.
    pub(crate) fn change(&mut self, bench: Bench, says: String, slider: Option<(PartIx, usize)>) {
        self.change_to(self.follow(bench), says, slider);
    }

    /// The same for a bench that is solved already.
    pub(super) fn change_to(&mut self, next: Rc<Solved>, says: String, slider: Option<(PartIx, usize)>) {
        self.document.keep_step(slider);
        let found = self.found();
        self.take(next);
        self.document.slider = slider;
        self.document.judged = Some(Harm::default());
        self.document.changes += 1;
        self.tell(says, found);
        self.wait_for_verdict(found);
    }

    /// Puts a bench in the place of the open one that differs from it by what has happened, not by what
    /// somebody has done: no step back of its own.
    pub(super) fn amend(&mut self, bench: Bench) {
        let found = self.found();
        let next = self.follow(bench);
        self.take(next);
        self.document.changes += 1;
        self.wait_for_verdict(found);
    }

    /// Another document: nothing of what happened to the former one holds for it.
    fn begin(&mut self, document: u32) {
        self.document.number = document;
        self.clock.epoch += 1;
        self.document.harm = Harm::default();
        self.speech.lamps.clear();
    }

    /// A bench with a mistake to find does not give it away by itself.
    fn hold_back(&mut self) {
        self.screen.hold_back(self.document.example().is_some_and(|it| it.twin.is_some()));
    }

    /// Opens a bench; the former one can be had back by undo.
    pub(super) fn open(&mut self, bench: Bench, says: String) {
        self.selection.drop_all();
        self.screen.view = None;
        self.screen.sheet = None;
        self.writing = Writing::default();
        let former = self.document.number;
        self.begin(self.clock.epoch + 1);
        self.change_to(self.follow_anew(bench), says, None);
        self.hold_back();
        self.document.last_step_is_of(former);
        self.chart.probes = suggested(&self.document.solved);
        self.screen.tab = Tab::Findings;
    }

    /// Has back the bench that was kept: no change, unless something has been done before it came.
    pub(super) fn restore(&mut self, bench: Bench, steps: &str, says: String) {
        let begun = self.document.changes > 0;
        self.open(bench, says);
        if !begun {
            self.document.forget_steps();
            self.document.restore_steps(steps);
        }
    }

    pub(super) fn step_back(&mut self, back: bool) {
        let open = (self.document.solved.clone(), self.document.number);
        let mut history = std::mem::take(&mut self.document.history);
        let step = history.step(back, open, &|bench| self.follow_anew(bench));
        self.document.history = history;
        let Some((solved, document)) = step else { return };
        let other = document != self.document.number;
        if other {
            self.begin(document);
        }
        let found = self.found();
        self.selection.hand = Hand::Empty;
        self.selection.chosen.clear();
        self.document.slider = None;
        self.take(solved);
        self.document.judged = None;
        self.document.changes += 1;
        if other {
            self.hold_back();
        }
        self.tell(if back { "Undone." } else { "Done again." }.to_owned(), found);
        self.wait_for_verdict(found);
    }

    /// Takes what the clock tells. A tick of a bench that has been changed since is of the past.
    pub(super) fn tick(&mut self, tick: &Tick) {
        if !Rc::ptr_eq(&tick.bench, &self.document.solved.bench) {
            return;
        }
        let before = self.document.solved.clone();
        let (mut findings, mut judged) = (before.findings.clone(), before.judged);
        if self.document.judged.as_ref() != Some(&tick.harm) {
            let burnt = tick.harm.burnt.iter().any(|id| !self.document.harm.burnt.contains(id));
            let worse =
                burnt || (tick.harm.stalled.is_some() && tick.harm.stalled != self.document.harm.stalled);
            self.document.harm = tick.harm.clone();
            self.document.judged = Some(tick.harm.clone());
            (findings, judged) = (Rc::new(find(&tick.bench, &tick.point)), true);
            for id in &tick.harm.burnt {
                self.speech.lamps.retain(|(own, _)| own != id);
                self.speech.lamps.push((id.clone(), Shine::Steady("burnt out")));
            }
            if worse && let Some(first) = findings.first() {
                self.say(if self.screen.help >= Help::Place { &first.says } else { &first.symptom });
            }
        }
        let (bench, point) = (tick.bench.clone(), tick.point.clone());
        self.document.solved = Rc::new(Solved { bench, point, findings, judged });
        self.show_same(&before);
        self.clock.time = tick.time;
        self.clock.timed = tick.timed;
        self.clock.short_of = tick.short_of;
        self.clock.blinking.clone_from(&tick.blinking);
    }
}
