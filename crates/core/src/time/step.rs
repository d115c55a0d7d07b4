//! One step: two stages, their error, and what is kept of it.

use super::{Run, Stall};
use crate::bench::PartIx;
use halfrow_equations::portions::finish;
use halfrow_equations::system::Moment;

/// Steps shorter than this are taken whatever their error, seconds. Nothing on a breadboard is as
/// fast as a picosecond.
pub(super) const SHORTEST: f64 = 1e-12;

impl Run {
    /// Takes one step.
    pub fn advance(&mut self) {
        finish(self.advance_in_portions());
    }

    /// The same, letting go after each portion of work.
    pub async fn advance_in_portions(&mut self) {
        if self.stalled.is_some() {
            return;
        }
        let due = self.memories.iter().map(|memory| memory.due).fold(f64::INFINITY, f64::min);
        let mut length = self.next_step.min(self.care.longest_seconds).min(self.system.longest_step());
        length = length.min(self.wear.longest);
        if let Some(fixed) = self.care.fixed_seconds {
            length = fixed;
        }
        let to_due = due - self.time;
        // Two halves rather than a long step and a crumb.
        if to_due <= length * 1.000_001 {
            length = to_due;
        } else if to_due < 2.0 * length && self.care.fixed_seconds.is_none() {
            length = 0.5 * to_due;
        }
        if length > 0.0 {
            let Some(taken) = self.take_step(length).await else { return };
            length = taken;
        } else {
            self.note_start();
            length = 0.0;
        }
        let at_due = self.time + length >= due - 1e-3 * SHORTEST;
        self.commit(length, if at_due { due } else { self.time + length });
        self.slow_changes(length).await;
        self.answer_events().await;
    }

    /// Tries a step and shorter ones until one is good. The answer is in `scratch`; its length comes
    /// back, or nothing when the clock has been stopped.
    pub(super) async fn take_step(&mut self, wanted: f64) -> Option<f64> {
        // What the error asked for, where something else cuts this step short.
        let natural = self.next_step;
        let cut = wanted < 0.99 * natural;
        let mut length = wanted;
        loop {
            self.system.pause().await;
            if self.attempt(length) {
                if self.care.fixed_seconds.is_none() {
                    let error = self.error(length);
                    // The error of one step goes with the third power of its length.
                    let factor = if error > 0.0 { 0.9 / crate::math::cbrt(error) } else { 4.0 };
                    if error > 1.0 && length > SHORTEST {
                        self.system.effort.retries += 1;
                        length *= factor.clamp(0.1, 0.9);
                        continue;
                    }
                    self.next_step = length * factor.clamp(0.3, 4.0);
                    if cut && length == wanted {
                        self.next_step = self.next_step.max(natural);
                    } else if self.event_before {
                        self.step_after_event = self.next_step;
                    }
                }
                if let Some(taken) = self.end_at_event(length).await {
                    return Some(taken);
                }
            }
            self.system.effort.retries += 1;
            length *= 0.125;
            if length < 1e-3 * SHORTEST {
                return self.step_over(1e-3 * SHORTEST).await;
            }
        }
    }

    /// Where no step however short leads on, the voltages jump: a switch that snaps over. Only if
    /// that fails too is the clock stopped.
    pub(super) async fn step_over(&mut self, length: f64) -> Option<f64> {
        self.next_step = SHORTEST;
        let stages = &mut self.scratch.stages;
        stages.hold(&self.charges);
        let time = self.time + length;
        self.system.begin_at(&self.volts);
        if !self.system.solve_hard(Moment::Step(length), &stages.hist, time).await {
            self.stop_here();
            return None;
        }
        let moment = Moment::Step(length);
        self.system.write_charges(moment, &stages.hist, &mut stages.new);
        stages.mid.copy_from_slice(&stages.new);
        self.system.write_volts(&mut stages.volts_new);
        stages.volts_mid.copy_from_slice(&stages.volts_new);
        Some(length)
    }

    pub(super) fn stop_here(&mut self) {
        let part = self.circuit.elements.get(self.system.worst).map_or(PartIx(0), |it| it.part);
        self.stalled = Some(Stall::NoConvergence { time: self.time, part });
    }

    /// Both stages of a step of that length.
    pub(super) fn attempt(&mut self, length: f64) -> bool {
        self.scratch.stages.attempt(&mut self.system, &self.charges, &self.volts, self.time, length)
    }

    /// The error of the step just tried, as a share of what is allowed.
    pub(super) fn error(&mut self, length: f64) -> f64 {
        let allowed = (self.care.relative_error, self.care.absolute_volts);
        self.scratch.stages.error(&mut self.system, &self.charges, &self.volts, length, allowed)
    }

    /// Makes the step in `scratch` the last step; the clock stands at `time` then.
    pub(super) fn commit(&mut self, length: f64, time: f64) {
        self.note_state();
        let record = &mut self.record;
        record.start = self.time;
        record.length = time - self.time;
        record.whole = true;
        record.volts[0].copy_from_slice(&self.volts);
        record.amps[0].copy_from_slice(&self.amps);
        if length > 0.0 {
            record.volts[1].copy_from_slice(&self.scratch.stages.volts_mid);
            record.volts[2].copy_from_slice(&self.scratch.stages.volts_new);
            self.volts.copy_from_slice(&self.scratch.stages.volts_new);
            self.charges.copy_from_slice(&self.scratch.stages.new);
            self.system.write_amps(&mut self.amps);
            self.system.effort.steps += 1;
        } else {
            record.volts[1].copy_from_slice(&self.volts);
            record.volts[2].copy_from_slice(&self.volts);
        }
        record.amps[1].copy_from_slice(&self.amps);
        self.time = time;
        self.event_before = false;
        for lamp in &mut self.lamps {
            lamp.tell(length, time, record.amps[0][lamp.element], self.amps[lamp.element]);
        }
    }
}
