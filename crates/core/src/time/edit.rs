//! Changes to the bench while its clock runs.

use std::future::Future;
use std::pin::Pin;

use super::events::Which;
use super::{Lamp, Run};
use crate::bench::{Bench, PartIx};
use crate::circuit::Element;
use crate::memory::Memory;
use halfrow_equations::portions::finish;
use halfrow_equations::system::Charge;

impl Run {
    /// Makes the equations anew for the same or another bench; what elements carry and parts
    /// remember is kept, by the parts' names and kinds.
    pub(super) async fn rebuild(&mut self, bench: Option<&Bench>) {
        let bench = bench.unwrap_or(&self.bench);
        // Which part of before each part is.
        let same: Vec<Option<PartIx>> = bench
            .parts
            .iter()
            .map(|part| self.bench.find(&part.id).filter(|&index| self.bench.part(index).card == part.card))
            .collect();
        let memories: Vec<Memory> = bench
            .parts
            .iter()
            .zip(&same)
            .map(|(part, same)| same.map_or_else(|| Memory::of(part), |index| self.memories[index.0]))
            .collect();
        let mut run = Run::stand(bench, self.care, self.contacts, memories, self.time);
        // Whether an element of before is the same of the same part.
        let circuit = &run.circuit;
        let is_same = |before: usize, element: usize| {
            same[circuit.elements[element].part.0] == Some(self.circuit.elements[before].part)
                && place_in_part(&self.circuit.elements, before) == place_in_part(&circuit.elements, element)
        };
        for (store, charge) in run.system.stores.iter().zip(&mut run.charges) {
            let mut before = self.system.stores.iter().zip(&self.charges);
            if let Some((_, found)) = before.find(|(old, _)| is_same(old.element, store.element)) {
                *charge = *found;
            }
        }
        for lamp in &mut run.lamps {
            if let Some(found) = self.lamps.iter().find(|old| is_same(old.element, lamp.element)) {
                *lamp = Lamp { element: lamp.element, ..*found };
            }
        }
        run.burnt = self
            .burnt
            .iter()
            .filter_map(|&(time, part)| Some((time, run.bench.find(&self.bench.part(part).id)?)))
            .filter(|&(_, part)| run.memories[part.0].burnt)
            .collect();
        run.wear = self.wear;
        run.system.take_over(&self.system);
        run.step_after_event = self.step_after_event.min(1e-4);
        *self = run;
        // A beginning may ask for another one: a part that burns in the first moment.
        let begin: Pin<Box<dyn Future<Output = ()>>> = Box::pin(self.begin());
        begin.await;
    }

    /// Takes back what lies after a time within the last step, as if the step had ended there.
    pub fn rewind_to(&mut self, time: f64) {
        finish(self.rewind_in_portions(time));
    }

    /// Goes on with another bench: parts of the same name and kind keep their charge and memory.
    pub fn set_bench(&mut self, bench: &Bench) {
        finish(self.set_bench_in_portions(bench));
    }

    /// Puts a new part in the place of one that is burnt out (or any other).
    pub fn replace(&mut self, part: PartIx) {
        finish(self.replace_in_portions(part));
    }

    /// [`Run::rewind_to`], letting go after each portion of work.
    pub async fn rewind_in_portions(&mut self, time: f64) {
        let length = time - self.record.start;
        if !self.record.whole || self.stalled.is_some() || length < 0.0 || time >= self.time {
            return;
        }
        self.memories.copy_from_slice(&self.record.memories);
        self.lamps.copy_from_slice(&self.record.lamps);
        self.wear = self.record.wear;
        self.charges.copy_from_slice(&self.record.charges);
        self.volts.copy_from_slice(&self.record.volts[0]);
        self.amps.copy_from_slice(&self.record.amps[0]);
        self.time = self.record.start;
        for index in 0..self.bench.parts.len() {
            self.redraw(PartIx(index));
        }
        self.burnt.retain(|&(_, part)| self.memories[part.0].burnt);
        if !self.system.take_laws(self.circuit.elements.iter().map(|element| element.law)) {
            self.rebuild(None).await;
        }
        if length > 0.0 && self.attempt(length) {
            self.commit(length, time);
            self.drift(length);
            self.drain(length);
        }
        self.write_guards(Which::Start);
        self.note_start();
    }

    /// [`Run::set_bench`], letting go after each portion of work.
    pub async fn set_bench_in_portions(&mut self, bench: &Bench) {
        // Heat up to here comes from what was before. The second look adds none, but says how short
        // the next steps must be so that what is too much from now on doesn't burn unseen.
        self.wear_out().await;
        self.stalled = None;
        self.rebuild(Some(bench)).await;
        self.wear_out().await;
    }

    /// [`Run::replace`], letting go after each portion of work.
    pub async fn replace_in_portions(&mut self, part: PartIx) {
        self.wear_out().await;
        self.memories[part.0] = Memory::of(self.real.part(part));
        self.burnt.retain(|&(_, burnt)| burnt != part);
        for (store, charge) in self.system.stores.iter().zip(&mut self.charges) {
            if self.circuit.elements[store.element].part == part {
                *charge = Charge::default();
            }
        }
        self.redraw(part);
        self.stalled = None;
        self.rebuild(None).await;
        self.wear_out().await;
    }
}

/// Which of its part's elements an element is.
pub(super) fn place_in_part(elements: &[Element], element: usize) -> usize {
    let part = elements[element].part;
    elements[..element].iter().rev().take_while(|it| it.part == part).count()
}
