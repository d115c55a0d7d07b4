//! What is slow: drift, heat, and lamps that blink faster than an eye follows.

use std::rc::Rc;

use super::{Lamp, Run, WEAR_TICK};
use crate::bench::PartIx;

impl Run {
    /// Heat and drift over the step just taken.
    pub(super) async fn slow_changes(&mut self, length: f64) {
        self.drift(length);
        if self.time - self.wear.since >= self.wear.tick {
            self.wear_out().await;
        }
    }

    /// Drift over the step just taken.
    pub(super) fn drift(&mut self, length: f64) {
        let mut redrawn = false;
        for actor in 0..self.actors.len() {
            let index = self.actors[actor].part;
            let part = self.bench.part(index);
            let Some(drift) = part.card.acts.and_then(|acts| acts.drift) else { continue };
            let memory = &mut self.memories[index.0];
            let before = memory.slow;
            let longest = drift(part, memory, length);
            let moved = memory.slow != before;
            self.next_step = self.next_step.min(longest.max(1e-4));
            if moved {
                self.redraw(index);
                redrawn = true;
            }
        }
        if redrawn {
            self.system.take_laws(self.circuit.elements.iter().map(|element| element.law));
        }
    }

    /// Writes the laws of a part anew after its memory has changed.
    pub(super) fn redraw(&mut self, part: PartIx) {
        let memory = self.memories[part.0];
        Rc::make_mut(&mut self.circuit).redraw_part(&self.bench, part, memory, &mut self.scratch.drawn);
    }

    pub(super) async fn wear_out(&mut self) {
        let seconds = self.time - self.wear.since;
        self.wear.since = self.time;
        self.wear.count = self.wear.count.wrapping_add(1);
        // Uneven ticks, so that they don't fall in step with what blinks: multiples of the golden
        // section, the number worst met by fractions.
        let uneven = f64::from(self.wear.count) * 0.618_033_988_749_895;
        self.wear.tick = WEAR_TICK * (0.5 + uneven - uneven.floor());
        self.wear.longest = f64::INFINITY;
        let mut burnt = false;
        for place in 0..self.scratch.readings.len() {
            let index = self.scratch.readings[place].0;
            let memory = self.memories[index.0];
            let part = self.bench.part(index);
            let (Some(wear), false) = (part.card.wear, memory.burnt) else { continue };
            let reading = &mut self.scratch.readings[place].1;
            reading.memory = memory;
            reading.fill(&self.circuit, &|node| self.volts[node], &|element| self.amps[element], index);
            let strain = (wear.strain)(part, reading).max(0.0);
            let memory = &mut self.memories[index.0];
            memory.heat += (strain - memory.heat) * (1.0 - crate::math::exp(-seconds / wear.seconds));
            if strain > wear.burns_at {
                // Not past the moment at which it burns, if it goes on like this.
                let left = wear.seconds * crate::math::ln((strain - memory.heat) / (strain - wear.burns_at));
                let most = 0.05 * wear.seconds;
                self.wear.longest = self.wear.longest.min(left.clamp(0.1 * WEAR_TICK, most));
            }
            if memory.heat >= wear.burns_at {
                memory.burnt = true;
                memory.due = f64::INFINITY;
                burnt = true;
                self.burnt.push((self.time, index));
            }
        }
        if burnt {
            self.rebuild(None).await;
        }
    }
}

impl Lamp {
    /// Current above which it counts as lit and below which as dark, amperes.
    pub(super) const LIT: (f64, f64) = (2e-4, 1e-4);

    /// Between no currents at all.
    pub(super) const NOWHERE: (f64, f64) = (f64::INFINITY, 0.0);

    /// Seconds after which a lamp's levels are set anew. With three times as many a lamp that a slow clock
    /// shows flickering may do so four times before it is known to; much less, and a slow change looks flat.
    const LOOK_BACK: f64 = 0.1;

    /// By how much a lamp must get darker to blink, as a share of its brightest: the standard's.
    const CHANGE: f64 = 0.1;

    /// Tells it of a step of that length, which ends at a time, and the current before and after.
    pub(super) fn tell(&mut self, length: f64, time: f64, before: f64, after: f64) {
        // What jumps does so between two steps.
        self.see(time - length, before);
        self.charge += 0.5 * length * (before + after);
        self.see(time, after);
        let (low, high) = self.range;
        self.range = (low.min(before).min(after), high.max(before).max(after));
        if time - self.since > Self::LOOK_BACK {
            let (low, high) = self.range;
            // A lamp that flickers without going dark blinks between levels of its own.
            if high > Self::LIT.0 && high - low > Self::CHANGE * high {
                self.levels = (
                    (low + 0.6 * (high - low)).max(Self::LIT.0),
                    (low + 0.4 * (high - low)).max(Self::LIT.1),
                );
            }
            (self.since, self.range) = (time, Self::NOWHERE);
        }
    }

    fn see(&mut self, time: f64, amps: f64) {
        if !self.lit && amps > self.levels.0 {
            self.lit = true;
            self.period = time - self.last_rise;
            self.mean = self.charge / self.period;
            self.last_rise = time;
            self.charge = 0.0;
        } else if self.lit && amps < self.levels.1 {
            self.lit = false;
        }
    }

    /// Whether it blinks more often than `most` times a second. One that is late has stopped: where three
    /// times are the limit, it may be a twentieth of a second late, and less where more is seen.
    pub(super) fn blinks(&self, time: f64, most: f64) -> bool {
        self.period < 1.0 / most && time - self.last_rise < 2.0 * self.period + 0.15 / most
    }
}
