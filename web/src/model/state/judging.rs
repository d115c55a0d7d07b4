//! A changed bench is shown before it is judged. Whoever draws the page judges it in the frames after, a
//! portion at a time, and hands the [`Verdict`] in; until then its findings are those of before, as far as
//! what they speak of is still there. Where nobody does so, a bench is judged as it is changed.

use std::pin::pin;
use std::rc::Rc;

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::solve::{OperatingPoint, solve, solve_in_portions};
use halfrow_core::time::portions::portion;
use halfrow_instruments::wiring::put_back;
use halfrow_judge::{Finding, check};

use super::{Solved, State};
use crate::model::guide;
use crate::model::quiet::silenced;

/// Newton iterations times unknowns that a bench at rest may take to be solved before it is shown: what
/// people build takes a twentieth of it. A bench whose voltages are harder to find is shown without them
/// first.
const AT_ONCE: u64 = 20_000;

/// What judging a bench has given.
#[derive(Debug)]
pub struct Verdict {
    /// The bench.
    pub bench: Rc<Bench>,
    /// What it does at rest.
    pub point: Rc<OperatingPoint>,
    /// What is wrong with it.
    pub findings: Vec<Finding>,
}

/// How far the judging is.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Judging {
    /// Whether changed benches are judged later, by whoever draws the page.
    later: bool,
    /// How many findings there were before what is not judged yet, and how much had been said after it.
    open: Option<(usize, u32)>,
}

impl Solved {
    /// What there is to show of a changed bench at once.
    fn at_once(bench: Bench, before: Option<&Solved>) -> Rc<Solved> {
        let former = before.map(|it| (&*it.point, &*it.bench));
        let shown = Solved {
            point: Rc::new(OperatingPoint::unsolved(&bench, former)),
            findings: before.map_or_else(Rc::default, |before| still_true(before, &bench)),
            bench: Rc::new(bench),
            judged: false,
        };
        if shown.is_timed() {
            return Rc::new(shown);
        }
        let solved = {
            let mut work = pin!(solve_in_portions(&shown.bench, AT_ONCE));
            portion(work.as_mut())
        };
        Rc::new(match solved {
            Some(point) => Solved { point: Rc::new(point), ..shown },
            None => shown,
        })
    }
}

/// The findings of before, on a changed bench, as far as their parts and holes are there.
fn still_true(before: &Solved, bench: &Bench) -> Rc<Vec<Finding>> {
    let now = |part: &PartIx| bench.find(&before.bench.part(*part).id);
    let kept = before.findings.iter().filter_map(|it| {
        let parts: Option<Vec<PartIx>> = it.parts.iter().map(now).collect();
        let there = it.holes.iter().all(|&hole| bench.board_of(hole).is_some());
        parts.filter(|_| there).map(|parts| Finding { parts, ..it.clone() })
    });
    let kept: Vec<Finding> = told(bench, kept.collect());
    // Where they are the same, nothing that shows them has to be drawn again.
    if kept == *before.findings { before.findings.clone() } else { Rc::new(kept) }
}

/// What is wrong with a bench, itself: a leg that is lifted for a meter is no mistake.
pub fn find(bench: &Bench, point: &OperatingPoint) -> Vec<Finding> {
    let findings = match put_back(bench) {
        Some(whole) => check(&whole, &solve(&whole)),
        None => check(bench, point),
    };
    told(bench, findings)
}

/// Findings as they may be told of a bench.
fn told(bench: &Bench, findings: Vec<Finding>) -> Vec<Finding> {
    if bench.may_tell_figures() { findings } else { silenced(findings) }
}

impl State {
    /// From now on changed benches are shown first, and judged by whoever draws the page.
    pub fn judges_later(&mut self) {
        self.document.judging.later = true;
    }

    /// Whether the bench that is open waits for being judged.
    pub fn is_unjudged(&self) -> bool {
        !self.document.solved.judged
    }

    /// What follows from a changed bench, as far as it is worked out at once.
    pub(super) fn follow(&self, bench: Bench) -> Rc<Solved> {
        if self.document.judging.later {
            Solved::at_once(bench, Some(&self.document.solved))
        } else {
            Solved::of(bench)
        }
    }

    /// The same for another bench.
    pub(super) fn follow_anew(&self, bench: Bench) -> Rc<Solved> {
        if self.document.judging.later { Solved::at_once(bench, None) } else { Solved::of(bench) }
    }

    /// How many findings were told of before what is not judged yet.
    pub(super) fn found(&self) -> usize {
        self.document.judging.open.map_or_else(|| guide::told(self).len(), |(found, _)| found)
    }

    /// Notes whether the bench that has just been taken still waits, after so many findings.
    pub(super) fn wait_for_verdict(&mut self, found: usize) {
        self.document.judging.open = self.is_unjudged().then_some((found, self.speech.count));
    }

    /// Takes what judging has given, where the bench is still that.
    pub(super) fn take_verdict(&mut self, verdict: &Verdict) {
        if self.document.solved.judged || !Rc::ptr_eq(&verdict.bench, &self.document.solved.bench) {
            return;
        }
        let (before, before_told) = (self.document.solved.clone(), guide::told(self).len());
        // What takes time is as the clock tells it.
        let point = if before.is_timed() { before.point.clone() } else { verdict.point.clone() };
        // What is drawn by the findings need not be drawn again where they are the same.
        let findings = told(&before.bench, verdict.findings.clone());
        let same = *before.findings == findings;
        let findings = if same { before.findings.clone() } else { Rc::new(findings) };
        self.document.solved = Rc::new(Solved { bench: before.bench.clone(), point, findings, judged: true });
        self.show_same(&before);
        let (found, said) = self.document.judging.open.take().unwrap_or((before_told, self.speech.count));
        let says = if said == self.speech.count { self.speech.said.to_string() } else { String::new() };
        let more = self.what_followed(found);
        if !more.is_empty() {
            self.say(if says.is_empty() { more } else { format!("{says} {more}") });
        }
    }

    /// Judges what waits for it at once: for whoever asks for findings now.
    pub(super) fn judge_now(&mut self) {
        if self.is_unjudged() {
            let bench = self.document.solved.bench.clone();
            let timed = self.document.solved.is_timed() || !self.document.solved.point.settled;
            let point = if timed { Rc::new(solve(&bench)) } else { self.document.solved.point.clone() };
            let findings = find(&bench, &point);
            self.take_verdict(&Verdict { bench, point, findings });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::state::Action;
    use halfrow_core::bench::LegId;
    use halfrow_core::board::{BoardKind, Hole};
    use halfrow_core::sample::{blinker, sixty_parts};

    fn judged(state: &mut State) {
        let bench = state.document.solved.bench.clone();
        let point = Rc::new(solve(&bench));
        let findings = check(&bench, &point);
        state.apply(Action::Judged(Rc::new(Verdict { bench, point, findings })));
    }

    /// A move of the first wire's second leg to a free hole, and back.
    fn moves(bench: &Bench) -> [Action; 2] {
        let part = PartIx(bench.parts.iter().position(|it| it.card.is_wire()).unwrap());
        let leg = LegId { part, pin: 1 };
        let free =
            |hole: &Hole| bench.clone().put_leg(leg, Some(*hole)).is_ok() && bench.occupant(*hole).is_none();
        let hole = bench.boards[0].holes(0).filter(|hole| hole.row().is_some()).find(free);
        [Action::PutLeg(leg, hole), Action::PutLeg(leg, bench.part(part).legs[1].hole)]
    }

    #[test]
    fn what_is_judged_later_is_judged_the_same() {
        for bench in [sixty_parts(), blinker(1.0)] {
            let (mut at_once, mut later) = (State::new(bench.clone()), State::new(bench.clone()));
            later.judges_later();
            for action in moves(&bench).into_iter().chain([Action::Undo, Action::Undo, Action::Redo]) {
                at_once.apply(action.clone());
                later.apply(action);
                let timed = later.document.solved.is_timed();
                assert!(timed || !later.is_unjudged() || later.document.solved.point.settled);
                judged(&mut later);
                assert!(!later.is_unjudged());
                assert_eq!(later.document.solved.findings, at_once.document.solved.findings);
                assert_eq!(later.speech.said, at_once.speech.said);
                assert!(
                    timed
                        || later.document.solved.point.node_volts == at_once.document.solved.point.node_volts
                );
            }
        }
    }

    #[test]
    fn until_then_the_findings_are_those_of_before_as_far_as_they_are_true() {
        let bench = halfrow_file::wiring::from_text(
            "BT1 battery +=L+1 -=L-1\nD1 led A=L+5 K=a5\nW1 wire 1=b5 2=L-5\n",
            &Bench::new(BoardKind::Half),
        );
        let mut state = State::new(bench.unwrap());
        state.judges_later();
        let before = state.document.solved.findings.clone();
        assert!(!before.is_empty());
        let leg = LegId { part: PartIx(2), pin: 1 };
        state.apply(Action::PutLeg(leg, Hole::parse("L-7")));
        assert!(state.is_unjudged());
        assert_eq!(state.document.solved.findings, before);
        // Whoever asks for them gets those of this bench.
        state.apply(Action::SetTab(crate::model::state::Tab::Findings));
        assert!(!state.is_unjudged());
        // A verdict on a bench that is gone is nobody's.
        let verdict = Rc::new(Verdict {
            bench: state.document.solved.bench.clone(),
            point: state.document.solved.point.clone(),
            findings: Vec::new(),
        });
        state.selection.chosen.insert(1);
        state.apply(Action::Delete);
        assert!(state.document.solved.findings.iter().all(|it| !it.parts.contains(&PartIx(2))));
        state.apply(Action::Judged(verdict));
        assert!(state.is_unjudged());
    }
}
