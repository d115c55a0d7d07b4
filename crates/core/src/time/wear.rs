//! What is slow: drift and heat.

use std::rc::Rc;

use super::{Run, WEAR_TICK};
use crate::bench::PartIx;
use crate::memory::BLANK;

/// How much of its charge a cell gives before its law is written anew: a ten-thousandth is at most a tenth of
/// a millivolt. Less costs a factorisation each time and shows nothing.
const NOTED_CHARGE: f64 = 1e-4;

impl Run {
    /// Heat and drift over the step just taken.
    pub(super) async fn slow_changes(&mut self, length: f64) {
        self.drift(length);
        self.drain(length);
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

    /// Takes from the cells what they gave in the step just taken, where they run down.
    pub(super) fn drain(&mut self, length: f64) {
        let mut redrawn = false;
        for place in 0..self.cells.len() {
            let (index, element) = self.cells[place];
            let part = self.real.part(index);
            let Some(charge) = part.card.source.and_then(|source| source.charge) else { continue };
            // From + through the source to −: what it gives has the other sign.
            let given = -0.5 * (self.record.amps[0][element] + self.record.amps[1][element]);
            let left = (charge.left)(part, &BLANK);
            let memory = &mut self.memories[index.0];
            let used = &mut memory.kept[0];
            *used = (*used + length * (charge.share_a_second)(part, given)).clamp(left - 1.0, left);
            if (memory.kept[0] - memory.slow[0]).abs() > NOTED_CHARGE {
                memory.slow[0] = memory.kept[0];
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
        Rc::make_mut(&mut self.circuit).redraw_part(&self.real, part, memory, &mut self.scratch.drawn);
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
            let part = self.real.part(index);
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
