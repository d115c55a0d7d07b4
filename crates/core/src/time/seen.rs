//! What a run shows at a time within its last step.

use halfrow_equations::stages::GAMMA;

use super::Run;
use super::lamp::Lamp;
use crate::bench::{LegId, PartIx};
use crate::board::Strip;
use crate::card::State;
use crate::memory::Memory;
use crate::point::{OperatingPoint, Work, worst_node};
use crate::readings::PartReading;

/// A moment within the last step, as shares of what its record holds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Within {
    /// Shares of start, middle stage and end: Lagrange's parabola.
    volts: [f64; 3],
    /// Share of the end, on the straight line from the start.
    amps: f64,
}

impl Run {
    /// Where a time lies within the last step. `None` at its end and later, where what counts is what
    /// came of its events.
    fn within(&self, time: f64) -> Option<Within> {
        let record = &self.record;
        if record.length <= 0.0 || time >= record.start + record.length {
            return None;
        }
        let s = ((time - record.start) / record.length).max(0.0);
        let start = (s - GAMMA) * (s - 1.0) / GAMMA;
        let mid = s * (s - 1.0) / (GAMMA * (GAMMA - 1.0));
        let end = s * (s - GAMMA) / (1.0 - GAMMA);
        Some(Within { volts: [start, mid, end], amps: s })
    }

    fn node_volts(&self, at: Option<Within>, node: usize) -> f64 {
        let volts = &self.record.volts;
        at.map_or(self.volts[node], |at| (0..3).map(|stage| at.volts[stage] * volts[stage][node]).sum())
    }

    /// Events come at the end of a step only.
    fn memories_at(&self, at: Option<Within>) -> &[Memory] {
        if at.is_some() { &self.record.memories } else { &self.memories }
    }

    fn element_amps(&self, at: Option<Within>, element: usize) -> f64 {
        let [start, end] = &self.record.amps;
        at.map_or(self.amps[element], |at| start[element] + at.amps * (end[element] - start[element]))
    }

    /// When the last step began and ended, seconds.
    pub fn last_step(&self) -> (f64, f64) {
        (self.record.start, self.time)
    }

    /// Whether a leg touches a strip.
    pub fn strip_is_there(&self, strip: Strip) -> bool {
        self.circuit.node_of(strip).is_some()
    }

    /// Voltage of a strip at a time within the last step; `None` when no leg touches it or nothing
    /// ties it to a source.
    pub fn strip_volts(&self, strip: Strip, time: f64) -> Option<f64> {
        let node = self.circuit.node_of(strip)?;
        self.islands[self.node_island[node.0]].source?;
        Some(self.node_volts(self.within(time), node.0))
    }

    /// Current into a part at a pin, at a time within the last step, amperes.
    pub fn pin_amps(&self, leg: LegId, time: f64) -> f64 {
        let at = self.within(time);
        let own = self.circuit.elements_of(leg.part);
        own.map(|(index, element)| {
            let amps = self.element_amps(at, index);
            let into = |pin: Option<usize>| if pin == Some(leg.pin) { amps } else { 0.0 };
            into(element.pin_a) - into(element.pin_b)
        })
        .sum()
    }

    /// Everything that there is to read, at a time within the last step.
    pub fn point_at(&self, time: f64) -> OperatingPoint {
        let at = self.within(time);
        let mut point = OperatingPoint {
            circuit: self.circuit.clone(),
            nets: self.nets.clone(),
            node_volts: (0..self.volts.len()).map(|node| self.node_volts(at, node)).collect(),
            element_amps: (0..self.amps.len()).map(|element| self.element_amps(at, element)).collect(),
            node_island: self.node_island.clone(),
            islands: self.islands.clone(),
            memories: self.memories_at(at).to_vec(),
            parts: Vec::new(),
            net_readings: Vec::new(),
            settled: self.stalled.is_none(),
            restless: false,
            cut_short: false,
            stall: self.stalled,
            worst: worst_node(&self.circuit, &self.amps),
            work: Work::default(),
        };
        point.read(&self.bench);
        point
    }

    /// The same at the end of the last step.
    pub fn point(&self) -> OperatingPoint {
        self.point_at(self.time)
    }

    /// The same, with lamps that blink more often than `most` times a second at their mean current, as an
    /// eye shall see them, and how often each such part blinks, hertz. `most` is in simulated time: where
    /// that runs slowly, an eye follows more.
    pub fn point_for_the_eye(&self, time: f64, most: f64) -> (OperatingPoint, Vec<(PartIx, f64)>) {
        let mut point = self.point_at(time);
        let blinking = self.blinking(time, most);
        if !blinking.is_empty() {
            for lamp in self.lamps.iter().filter(|lamp| lamp.blinks(time, most)) {
                point.element_amps[lamp.element] = lamp.mean;
            }
            point.read(&self.bench);
        }
        (point, blinking)
    }

    /// The parts with a lamp that blinks more often than `most` times a second, and how often, hertz.
    pub fn blinking(&self, time: f64, most: f64) -> Vec<(PartIx, f64)> {
        let mut blinking: Vec<(PartIx, f64)> = Vec::new();
        for lamp in self.lamps.iter().filter(|lamp| lamp.blinks(time, most)) {
            let part = self.circuit.elements[lamp.element].part;
            if blinking.last().is_none_or(|(last, _)| *last != part) {
                blinking.push((part, 1.0 / lamp.period));
            }
        }
        blinking
    }

    /// How often the lamps of a part came on lately, hertz, by the last two times; `None` for one that did
    /// not come on twice.
    pub fn rhythm(&self, part: PartIx) -> Option<f64> {
        let own = |lamp: &&Lamp| self.circuit.elements[lamp.element].part == part;
        let lamp = self.lamps.iter().filter(own).find(|lamp| lamp.period.is_finite())?;
        Some(1.0 / lamp.period)
    }

    /// A reading of a part to be filled by [`Run::glance`].
    pub fn blank_reading(&self, part: PartIx) -> PartReading {
        PartReading::blank(&self.circuit, &self.node_island, &self.islands, part)
    }

    /// What a part does at a time within the last step, as an eye shall see it (see
    /// [`Run::point_for_the_eye`]): nothing but its own reading is worked out, and nothing allocated.
    pub fn glance(&self, part: PartIx, time: f64, most: f64, reading: &mut PartReading) -> State {
        let at = self.within(time);
        let memory = self.memories_at(at)[part.0];
        if memory.burnt {
            return State::plain("burnt out");
        }
        let amps = |element: usize| {
            let blinks = self.lamps.iter().find(|lamp| lamp.element == element && lamp.blinks(time, most));
            blinks.map_or_else(|| self.element_amps(at, element), |lamp| lamp.mean)
        };
        reading.memory = memory;
        reading.fill(&self.circuit, &|node| self.node_volts(at, node), &amps, part);
        let it = self.bench.part(part);
        (it.card.state)(it, reading)
    }
}
