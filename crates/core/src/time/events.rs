//! Events: the moment at which a guard falls, and what parts do about it.

use super::{Actor, Run, Stall};
use crate::bench::PartIx;
use crate::memory::View;
use halfrow_equations::stages::GAMMA;
use halfrow_equations::system::Moment;

/// A guard has fallen when it is this far below zero, volts, at the least. Smaller costs more tries to find the
/// moment; larger tells it too late (10 µV is a millionth of the time constant at some volts).
const GUARD_VOLTS: f64 = 1e-5;

/// The same in time, as a share of the step in which it happened.
const GUARD_SHARE: f64 = 1e-9;

/// Tries to find the moment of an event. Secants find it in three to six; halvings alone, where Newton's
/// method fails on one side, reach [`GUARD_SHARE`] in thirty.
const MOST_TRIES: u32 = 40;

/// How often parts may change their minds in one moment before the clock is stopped.
const MOST_LOOKS: u32 = 200;

impl Run {
    /// Shortens the step just tried so that it ends where the first guard falls. Says how long it
    /// is then; `None` when the step can't be found again and a shorter one must be taken.
    pub(super) async fn end_at_event(&mut self, length: f64) -> Option<f64> {
        if self.scratch.guards.is_empty() {
            return Some(length);
        }
        self.write_guards(Which::Mid);
        self.write_guards(Which::New);
        let slack = self.guard_slack();
        let mut share = self.first_fall(slack);
        if share >= 1.0 {
            return Some(length);
        }
        // Known to be too early and known to be too late, as shares of the step, with the guard there.
        let (mut low, mut above) = (0.0, f64::NAN);
        let (mut high, mut below) = (1.0, self.deepest_fall());
        // The last good try, and whether it is what the scratch and the equations hold.
        let (mut last, mut held) = (1.0, true);
        for _ in 0..MOST_TRIES {
            share = share.clamp(low + 0.01 * (high - low), high - 0.01 * (high - low));
            self.system.effort.retries += 1;
            self.system.pause().await;
            held = self.attempt(share * length);
            if !held {
                high = share;
                below = f64::NAN;
                share = 0.5 * (low + high);
                continue;
            }
            self.write_guards(Which::Mid);
            self.write_guards(Which::New);
            last = share;
            let deepest = self.deepest_fall();
            let parabola = share * self.first_fall(slack);
            if deepest > 0.0 {
                (low, above) = (share, deepest);
            } else {
                (high, below) = (share, deepest);
                if deepest >= -2.0 * slack || (high - low) < GUARD_SHARE {
                    break;
                }
            }
            // A secant through both sides where both are known, aimed a little late.
            let secant = low + (high - low) * (above + slack) / (above - below);
            share = if deepest <= 0.0 && above.is_nan() {
                parabola
            } else if secant.is_finite() {
                secant
            } else {
                0.5 * (low + high)
            };
        }
        // The last try may have ended too early by a hair.
        if held && self.deepest_fall() > 0.0 && high < 1.0 && last != high {
            held = self.attempt(high * length);
            if held {
                last = high;
            }
        }
        if !(held || self.attempt(last * length)) {
            return None;
        }
        self.write_guards(Which::Mid);
        self.write_guards(Which::New);
        Some(last * length)
    }

    /// How late an event may be noticed, volts: less than the error of a step.
    pub(super) fn guard_slack(&self) -> f64 {
        GUARD_VOLTS.max(0.2 * self.care.absolute_volts + self.care.relative_error)
    }

    /// The share of the step just tried at which the first guard falls, by a parabola through its
    /// start, middle and end; 1 when no guard has fallen.
    pub(super) fn first_fall(&self, slack: f64) -> f64 {
        let scratch = &self.scratch;
        let mut first = f64::INFINITY;
        for ((&start, &mid), &end) in scratch.guards.iter().zip(&scratch.guards_mid).zip(&scratch.guards_new)
        {
            if start > 0.0 && (end <= 0.0 || mid <= 0.0) {
                // A little late rather than a little early, so that the part sees that it has fallen.
                let late = slack.min(0.5 * start);
                first = first.min(fall(start + late, mid + late, end + late));
            }
        }
        if first.is_finite() { first } else { 1.0 }
    }

    /// The lowest guard of those that stood above zero at the start.
    pub(super) fn deepest_fall(&self) -> f64 {
        let scratch = &self.scratch;
        let pairs = scratch.guards.iter().zip(&scratch.guards_new);
        pairs.filter(|(start, _)| **start > 0.0).fold(f64::INFINITY, |least, (_, &end)| least.min(end))
    }

    pub(super) fn write_guards(&mut self, which: Which) {
        for index in 0..self.actors.len() {
            self.see(index, which);
            let actor = &self.actors[index];
            let part = self.real.part(actor.part);
            let Some(acts) = part.card.acts else { continue };
            let scratch = &mut self.scratch;
            let guards = match which {
                Which::Start => &mut scratch.guards,
                Which::Mid => &mut scratch.guards_mid,
                Which::New => &mut scratch.guards_new,
            };
            let own = &mut guards[actor.first_guard..actor.first_guard + acts.guards];
            if self.memories[actor.part.0].burnt {
                // Nothing can happen to it any more.
                own.fill(1.0);
                continue;
            }
            let view = View { pins: &scratch.pins, inner: &scratch.inner, time: self.time };
            (acts.guard)(part, &self.memories[actor.part.0], view, own);
        }
    }

    /// Copies what a part sees into the scratch.
    pub(super) fn see(&mut self, actor: usize, which: Which) {
        let actor = &self.actors[actor];
        let scratch = &mut self.scratch;
        let volts = match which {
            Which::Start => &self.volts,
            Which::Mid => &scratch.stages.volts_mid,
            Which::New => &scratch.stages.volts_new,
        };
        scratch.pins.clear();
        scratch.pins.extend(actor.pins.iter().map(|&node| volts[node]));
        scratch.inner.clear();
        scratch.inner.extend(actor.inner.iter().map(|&node| volts[node]));
    }

    /// Lets the parts look whose guards have fallen or whose time has come, until all is quiet.
    pub(super) async fn answer_events(&mut self) {
        if self.actors.is_empty() || self.stalled.is_some() {
            return;
        }
        let mut any = false;
        for actor in 0..self.actors.len() {
            if self.must_look(actor, true) {
                any |= self.look(actor);
            }
        }
        if any {
            self.after_looks().await;
        } else {
            self.write_guards(Which::Start);
        }
    }

    /// Whether a part's time has come, or one of its guards stood above zero at the start of the step
    /// and does not at its end.
    pub(super) fn must_look(&mut self, actor: usize, with_guards: bool) -> bool {
        let it = &self.actors[actor];
        let part = self.real.part(it.part);
        let memory = &self.memories[it.part.0];
        if memory.burnt {
            return false;
        }
        if memory.due <= self.time {
            return true;
        }
        let guards = part.card.acts.map_or(0, |acts| acts.guards);
        with_guards
            && (it.first_guard..it.first_guard + guards)
                .any(|guard| self.scratch.guards[guard] > 0.0 && self.scratch.guards_new[guard] <= 0.0)
    }

    /// Lets a part look at the present voltages. Says whether its memory changed.
    pub(super) fn look(&mut self, actor: usize) -> bool {
        self.see(actor, Which::Start);
        let index = self.actors[actor].part;
        let part = self.real.part(index);
        let memory = &mut self.memories[index.0];
        if memory.burnt {
            return false;
        }
        let before = *memory;
        if memory.due <= self.time {
            memory.due = f64::INFINITY;
        }
        let view = View { pins: &self.scratch.pins, inner: &self.scratch.inner, time: self.time };
        if let Some(acts) = part.card.acts {
            (acts.look)(part, memory, view);
        }
        self.system.effort.events += 1;
        let memory = *memory;
        // What it only holds inside changes no law: the voltages stay.
        if memory.shown != before.shown || memory.slow != before.slow {
            self.redraw(index);
            self.jumps = true;
        }
        memory != before
    }

    /// After parts have looked: the voltages jump, and parts that see that look again.
    pub(super) async fn after_looks(&mut self) {
        let mut rounds = MOST_LOOKS;
        let mut jumped = false;
        loop {
            if self.jumps {
                jumped = true;
                if !self.jump().await {
                    return;
                }
            }
            self.write_guards(Which::Start);
            let mut again = false;
            let mut culprit = PartIx(0);
            for actor in 0..self.actors.len() {
                let Actor { part, first_guard, .. } = self.actors[actor];
                let guards = self.real.part(part).card.acts.map_or(0, |acts| acts.guards);
                let own = first_guard..first_guard + guards;
                let fallen = self.scratch.guards[own].iter().any(|&guard| guard <= 0.0);
                if fallen || self.must_look(actor, false) {
                    culprit = part;
                    again |= self.look(actor);
                }
            }
            if !again {
                break;
            }
            rounds -= 1;
            if rounds == 0 {
                self.stalled = Some(Stall::Restless { time: self.time, part: culprit });
                return;
            }
        }
        if jumped {
            self.event_before = true;
            self.next_step = self.step_after_event;
        }
    }

    /// The voltages that belong to what is carried and remembered just now. False when there are
    /// none to be found.
    pub(super) async fn jump(&mut self) -> bool {
        self.jumps = false;
        if !self.system.take_laws(self.circuit.elements.iter().map(|element| element.law)) {
            self.rebuild(None).await;
            return self.stalled.is_none();
        }
        self.scratch.stages.hold(&self.charges);
        self.system.begin_at(&self.volts);
        let moment = Moment::Step(0.0);
        if !self.system.solve_hard(moment, &self.scratch.stages.hist, self.time).await {
            self.stop_here();
            return false;
        }
        self.system.write_charges(moment, &self.scratch.stages.hist, &mut self.charges);
        self.system.write_volts(&mut self.volts);
        self.system.write_amps(&mut self.amps);
        true
    }
}

/// Which of the moments of a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Which {
    Start,
    Mid,
    New,
}

/// Where a parabola through (0, start), (γ, mid), (1, end) first falls to zero.
pub(super) fn fall(start: f64, mid: f64, end: f64) -> f64 {
    // Newton's form, start + c·s + d·s·(s − γ); `d` is divided by the whole step, which is 1.
    let c = (mid - start) / GAMMA;
    let d = (end - mid) / (1.0 - GAMMA) - c;
    let (a, b) = (d, c - d * GAMMA);
    let straight = if mid <= 0.0 {
        GAMMA * start / (start - mid)
    } else if end <= 0.0 {
        GAMMA + (1.0 - GAMMA) * mid / (mid - end)
    } else {
        1.0
    };
    let inside = b * b - 4.0 * a * start;
    if inside < 0.0 || a == 0.0 {
        return straight;
    }
    let root = inside.sqrt();
    // The root that does not cancel, and its companion by Vieta.
    let q = -0.5 * (b + if b < 0.0 { -root } else { root });
    let roots = [q / a, if q == 0.0 { f64::INFINITY } else { start / q }];
    let first = roots.into_iter().filter(|&s| s > 0.0 && s <= 1.0).fold(f64::INFINITY, f64::min);
    if first.is_finite() { first } else { straight }
}
