//! Changes to the bench while its clock runs.

use std::rc::Rc;

use super::Run;
use super::events::Which;
use crate::bench::{Bench, PartIx};
use crate::circuit::Element;
use crate::memory::Memory;
use halfrow_equations::system::Charge;

impl Run {
    /// Makes the equations anew for the same or another bench; what elements carry and parts
    /// remember is kept, by the parts' names and kinds.
    pub(super) fn rebuild(&mut self, bench: Option<&Bench>) {
        let bench = bench.unwrap_or(&self.bench);
        let same = |part: &crate::part::Part| {
            let index = self.bench.find(&part.id)?;
            (self.bench.part(index).card == part.card).then_some(index)
        };
        let memories: Vec<Memory> = bench
            .parts
            .iter()
            .map(|part| same(part).map_or_else(|| Memory::of(part), |index| self.memories[index.0]))
            .collect();
        let mut run = Run::stand(bench, self.care, self.contacts, memories, self.time);
        for index in 0..run.system.stores.len() {
            let element = run.system.stores[index].element;
            let part = run.circuit.elements[element].part;
            let Some(before) = same(bench.part(part)) else { continue };
            let nth = place_in_part(&run.circuit.elements, element);
            let found = self.system.stores.iter().position(|store| {
                self.circuit.elements[store.element].part == before
                    && place_in_part(&self.circuit.elements, store.element) == nth
            });
            if let Some(found) = found {
                run.charges[index] = self.charges[found];
            }
        }
        run.burnt = self
            .burnt
            .iter()
            .filter_map(|&(time, part)| Some((time, run.bench.find(&self.bench.part(part).id)?)))
            .filter(|&(_, part)| run.memories[part.0].burnt)
            .collect();
        run.wear = self.wear;
        run.system.effort = self.system.effort;
        run.step_after_event = self.step_after_event.min(1e-4);
        *self = run;
        self.begin();
    }

    /// Takes back what lies after a time within the last step, as if the step had ended there.
    pub fn rewind_to(&mut self, time: f64) {
        let length = time - self.record.start;
        if !self.record.whole || self.stalled.is_some() || length < 0.0 || time >= self.time {
            return;
        }
        self.memories.copy_from_slice(&self.record.memories);
        self.charges.copy_from_slice(&self.record.charges);
        self.volts.copy_from_slice(&self.record.volts[0]);
        self.amps.copy_from_slice(&self.record.amps[0]);
        self.time = self.record.start;
        // Heat is known up to there again, not up to where the clock stood.
        self.wear.since = self.wear.since.min(self.time);
        for index in 0..self.bench.parts.len() {
            let memory = self.memories[index];
            Rc::make_mut(&mut self.circuit).redraw_part(
                &self.bench,
                PartIx(index),
                memory,
                &mut self.scratch.drawn,
            );
        }
        self.burnt.retain(|&(_, part)| self.memories[part.0].burnt);
        if !self.system.take_laws(self.circuit.elements.iter().map(|element| element.law)) {
            self.rebuild(None);
        }
        if length > 0.0 && self.attempt(length) {
            self.commit(length, time);
        }
        self.write_guards(Which::Start);
        self.note_start();
    }

    /// Goes on with another bench: parts of the same name and kind keep their charge and memory.
    pub fn set_bench(&mut self, bench: &Bench) {
        // Heat up to here comes from what was before. The second look adds none, but says how short
        // the next steps must be so that what is too much from now on doesn't burn unseen.
        self.wear_out();
        self.stalled = None;
        self.rebuild(Some(bench));
        self.wear_out();
    }

    /// Puts a new part in the place of one that is burnt out (or any other).
    pub fn replace(&mut self, part: PartIx) {
        self.wear_out();
        self.memories[part.0] = Memory::of(self.bench.part(part));
        self.burnt.retain(|&(_, burnt)| burnt != part);
        for (store, charge) in self.system.stores.iter().zip(&mut self.charges) {
            if self.circuit.elements[store.element].part == part {
                *charge = Charge::default();
            }
        }
        let memory = self.memories[part.0];
        Rc::make_mut(&mut self.circuit).redraw_part(&self.bench, part, memory, &mut self.scratch.drawn);
        self.stalled = None;
        self.rebuild(None);
        self.wear_out();
    }
}

/// Which of its part's elements an element is.
pub(super) fn place_in_part(elements: &[Element], element: usize) -> usize {
    let part = elements[element].part;
    elements[..element].iter().rev().take_while(|it| it.part == part).count()
}
