//! One step: two stages, their error, and what is kept of it.

use super::{Run, Stall};
use crate::bench::PartIx;
use halfrow_equations::system::{Moment, System};

/// 2 − √2: where the trapezoidal stage ends, as a share of the step, so that both stages have the
/// same matrix.
pub(super) const GAMMA: f64 = 2.0 - core::f64::consts::SQRT_2;

/// Steps shorter than this are taken whatever their error, seconds. Nothing on a breadboard is as
/// fast as a picosecond.
pub(super) const SHORTEST: f64 = 1e-12;

impl Run {
    /// Takes one step.
    pub fn advance(&mut self) {
        if self.stalled.is_some() {
            return;
        }
        let due = self.memories.iter().map(|memory| memory.due).fold(f64::INFINITY, f64::min);
        let mut length = self.next_step.min(self.care.longest).min(self.system.longest_step());
        length = length.min(self.wear.longest);
        if let Some(fixed) = self.care.fixed {
            length = fixed;
        }
        let to_due = due - self.time;
        // Two halves rather than a long step and a crumb.
        if to_due <= length * 1.000_001 {
            length = to_due;
        } else if to_due < 2.0 * length && self.care.fixed.is_none() {
            length = 0.5 * to_due;
        }
        if length > 0.0 {
            let Some(taken) = self.take_step(length) else { return };
            length = taken;
        } else {
            self.note_start();
            length = 0.0;
        }
        let at_due = self.time + length >= due - 1e-3 * SHORTEST;
        self.commit(length, if at_due { due } else { self.time + length });
        self.slow_changes(length);
        self.answer_events();
    }

    /// Tries a step and shorter ones until one is good. The answer is in `scratch`; its length comes
    /// back, or nothing when the clock has been stopped.
    pub(super) fn take_step(&mut self, wanted: f64) -> Option<f64> {
        let mut length = wanted;
        loop {
            let settled = self.attempt(length);
            if !settled {
                self.system.effort.retries += 1;
                length *= 0.125;
                if length < 1e-3 * SHORTEST {
                    return self.step_over(1e-3 * SHORTEST);
                }
                continue;
            }
            if self.care.fixed.is_some() {
                break;
            }
            let error = self.error(length);
            // The error of one step goes with the third power of its length.
            let factor = if error > 0.0 { 0.9 / crate::math::cbrt(error) } else { 4.0 };
            if error > 1.0 && length > SHORTEST {
                self.system.effort.retries += 1;
                length *= factor.clamp(0.1, 0.9);
                continue;
            }
            self.next_step = length * factor.clamp(0.3, 4.0);
            if self.event_before {
                self.step_after_event = self.next_step;
            }
            break;
        }
        Some(self.end_at_event(length))
    }

    /// Where no step however short leads on, the voltages jump: a switch that snaps over. Only if
    /// that fails too is the clock stopped.
    pub(super) fn step_over(&mut self, length: f64) -> Option<f64> {
        self.next_step = SHORTEST;
        for (hist, charge) in self.scratch.hist.iter_mut().zip(&self.charges) {
            *hist = charge.x;
        }
        let time = self.time + length;
        self.system.begin_at(&self.volts);
        if !self.system.solve_hard(Moment::Step(length), &self.scratch.hist, time) {
            self.stop_here();
            return None;
        }
        let moment = Moment::Step(length);
        self.system.write_charges(moment, &self.scratch.hist, &mut self.scratch.new);
        self.scratch.mid.copy_from_slice(&self.scratch.new);
        self.system.write_volts(&mut self.scratch.volts_new);
        self.scratch.volts_mid.copy_from_slice(&self.scratch.volts_new);
        Some(length)
    }

    pub(super) fn stop_here(&mut self) {
        let part = self.circuit.elements.get(self.system.worst).map_or(PartIx(0), |it| it.part);
        self.stalled = Some(Stall::NoConvergence { time: self.time, part });
    }

    /// Both stages of a step of that length.
    pub(super) fn attempt(&mut self, length: f64) -> bool {
        let a = 0.5 * GAMMA * length;
        let moment = Moment::Step(a);
        let scratch = &mut self.scratch;
        self.system.begin_at(&self.volts);
        for (hist, charge) in scratch.hist.iter_mut().zip(&self.charges) {
            *hist = charge.x + a * charge.rate;
        }
        if !self.system.solve(moment, &scratch.hist, self.time + GAMMA * length) {
            return false;
        }
        self.system.write_charges(moment, &scratch.hist, &mut scratch.mid);
        self.system.write_volts(&mut scratch.volts_mid);
        const OF_MID: f64 = 1.0 / (GAMMA * (2.0 - GAMMA));
        const OF_START: f64 = (1.0 - GAMMA) * (1.0 - GAMMA) * OF_MID;
        for ((hist, mid), start) in scratch.hist.iter_mut().zip(&scratch.mid).zip(&self.charges) {
            *hist = OF_MID * mid.x - OF_START * start.x;
        }
        if !self.system.solve(moment, &scratch.hist, self.time + length) {
            return false;
        }
        self.system.write_charges(moment, &scratch.hist, &mut scratch.new);
        self.system.write_volts(&mut scratch.volts_new);
        true
    }

    /// The error of the step just tried, as a share of what is allowed: the difference to a method of
    /// third order, filtered by the step's own matrix so that what is too fast to see does not count.
    pub(super) fn error(&mut self, length: f64) -> f64 {
        const K: f64 = (-3.0 * GAMMA * GAMMA + 4.0 * GAMMA - 2.0) / (12.0 * (2.0 - GAMMA));
        let a = 0.5 * GAMMA * length;
        let scratch = &mut self.scratch;
        for (index, error) in scratch.errors.iter_mut().enumerate() {
            let (start, mid, new) = (self.charges[index], scratch.mid[index], scratch.new[index]);
            let difference =
                start.rate / GAMMA - mid.rate / (GAMMA * (1.0 - GAMMA)) + new.rate / (1.0 - GAMMA);
            let amps = System::error_amps(&self.system.stores[index], a, 2.0 * K * length * difference);
            *error = amps;
        }
        let mut worst = 0.0_f64;
        for (store, (&amps, charge)) in self.system.stores.iter().zip(scratch.errors.iter().zip(&scratch.new))
        {
            if System::is_coil(store) {
                let allowed = 0.01 * self.care.absolute + self.care.relative * charge.x.abs();
                worst = worst.max(amps.abs() / allowed);
            }
        }
        let (before, after) = (&self.volts, &scratch.volts_new);
        let largest = before.iter().chain(after).fold(0.0_f64, |most, volts| most.max(volts.abs()));
        let allowed = self.care.absolute + self.care.relative * largest.min(30.0);
        for off in self.system.respond(scratch.errors.iter().copied()) {
            worst = worst.max(off.abs() / allowed);
        }
        // NaN counts as too large.
        if worst.is_nan() { f64::INFINITY } else { worst }
    }

    /// Makes the step in `scratch` the last step; the clock stands at `time` then.
    pub(super) fn commit(&mut self, length: f64, time: f64) {
        let record = &mut self.record;
        record.start = self.time;
        record.length = time - self.time;
        record.whole = true;
        record.volts[0].copy_from_slice(&self.volts);
        record.amps[0].copy_from_slice(&self.amps);
        record.charges.copy_from_slice(&self.charges);
        record.memories.copy_from_slice(&self.memories);
        if length > 0.0 {
            record.volts[1].copy_from_slice(&self.scratch.volts_mid);
            record.volts[2].copy_from_slice(&self.scratch.volts_new);
            self.volts.copy_from_slice(&self.scratch.volts_new);
            self.charges.copy_from_slice(&self.scratch.new);
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
