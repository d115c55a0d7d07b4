//! Time: a bench whose clock runs.
//!
//! TR-BDF2 (Bank and others, IEEE Trans. Electron Devices 32, 1992-2007, 1985) with the step control
//! of Hosea and Shampine (Applied Numerical Mathematics 20, 21-37, 1996): a trapezoidal stage and a
//! second-order backward difference, both with the same matrix, second order, and what is much
//! faster than a step is damped away. [`halfrow_equations::system`] solves the equations of one moment.
//!
//! Between two events everything is smooth. Each acting part has guards (see [`crate::memory`]); the
//! step in which one falls through zero is taken anew, shorter, until it ends there. Then the part
//! looks, capacitors and inductors hold what they carry while the voltages jump to where they must
//! be, and the clock goes on.
//!
//! The steps depend on the bench and the times of what is done to it and on nothing else, so that a
//! run can be repeated to the bit. Whoever shows a run asks for a time within the last step.

mod edit;
mod events;
mod rest;
mod step;
#[cfg(test)]
mod tests;
mod wear;

use std::rc::Rc;

use crate::bench::{Bench, LegId, PartIx};
use crate::board::Strip;
use crate::card::{Group, State};
use crate::circuit::{Circuit, Contacts, Drawn};
use crate::law::Law;
use crate::memory::Memory;
use crate::nets::Nets;
use crate::readings::PartReading;
use crate::solve::{Island, OperatingPoint, Work, find_islands, worst_node};

pub use halfrow_equations::portions;
use halfrow_equations::portions::finish;
use halfrow_equations::stages::{GAMMA, Stages};
use halfrow_equations::system::System;
pub use halfrow_equations::system::{Charge, Effort};
pub(crate) use rest::at_rest;

/// Seconds between two looks at how hard parts are driven, at most. What gives way fastest, a fuse at
/// ten times its current, takes fifteen milliseconds; more looks cost time and tell nothing new.
const WEAR_TICK: f64 = 1e-3;

/// The first step that is tried, seconds. The error cuts it down at once or lets it grow fourfold a step,
/// so that another first step would cost three steps more or less.
const FIRST_STEP: f64 = 1e-5;

/// How closely a run is computed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Care {
    /// Error of a voltage in one step as a share of the voltage.
    pub relative: f64,
    /// The same in volts; an inductor's current in hundredths of amperes.
    pub absolute: f64,
    /// The longest step, seconds.
    pub longest: f64,
    /// Take steps of this length and ask for no error (to show the order of the method).
    pub fixed: Option<f64>,
}

impl Care {
    /// For an eye on a screen: some thousandths.
    pub const LIVE: Care = Care { relative: 3e-4, absolute: 1e-4, longest: 0.25, fixed: None };
    /// For a table of figures.
    pub const CLOSE: Care = Care { relative: 2e-6, absolute: 4e-7, longest: 0.25, fixed: None };
}

/// Why a clock has stopped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stall {
    /// No voltages were found at which the currents add up.
    NoConvergence {
        /// When, seconds.
        time: f64,
        /// The part whose law was hardest to meet.
        part: PartIx,
    },
    /// Parts change each other's minds without end in one moment.
    Restless {
        /// When, seconds.
        time: f64,
        /// One of them.
        part: PartIx,
    },
}

impl Stall {
    /// The part that it happened to.
    pub fn part(&self) -> PartIx {
        match *self {
            Stall::NoConvergence { part, .. } | Stall::Restless { part, .. } => part,
        }
    }
}

/// A part that acts, and where its guards and nodes are.
#[derive(Clone, Debug)]
struct Actor {
    part: PartIx,
    first_guard: usize,
    pins: Vec<usize>,
    inner: Vec<usize>,
}

/// The light of one junction of a lamp, which may come and go faster than an eye can follow.
#[derive(Clone, Copy, Debug)]
struct Lamp {
    element: usize,
    lit: bool,
    /// Ampere-seconds since the last rise.
    charge: f64,
    last_rise: f64,
    /// From rise to rise, seconds; infinite where it does not blink.
    period: f64,
    /// Mean current of the last period, amperes.
    mean: f64,
    /// Current above which it counts as lit and below which as dark, amperes.
    levels: (f64, f64),
    /// Since when, seconds, and between which currents it has been of late, amperes.
    since: f64,
    range: (f64, f64),
}

/// The step that ends at the present time.
#[derive(Clone, Debug, Default)]
struct Record {
    start: f64,
    length: f64,
    volts: [Vec<f64>; 3],
    amps: [Vec<f64>; 2],
    charges: Vec<Charge>,
    memories: Vec<Memory>,
    lamps: Vec<Lamp>,
    wear: Wearing,
    /// Whether it can be taken back.
    whole: bool,
}

/// A moment within the last step, as shares of what its record holds.
#[derive(Clone, Copy, Debug)]
struct Within {
    /// Shares of start, middle stage and end: Lagrange's parabola.
    volts: [f64; 3],
    /// Share of the end, on the straight line from the start.
    amps: f64,
}

/// A bench whose clock runs.
#[derive(Clone, Debug)]
pub struct Run {
    bench: Bench,
    care: Care,
    contacts: Contacts,
    circuit: Rc<Circuit>,
    nets: Rc<Nets>,
    islands: Vec<Island>,
    node_island: Vec<usize>,
    system: System,
    memories: Vec<Memory>,
    actors: Vec<Actor>,
    lamps: Vec<Lamp>,
    time: f64,
    next_step: f64,
    step_after_event: f64,
    event_before: bool,
    /// Whether laws have changed since the voltages were found.
    jumps: bool,
    volts: Vec<f64>,
    amps: Vec<f64>,
    charges: Vec<Charge>,
    record: Record,
    wear: Wearing,
    burnt: Vec<(f64, PartIx)>,
    stalled: Option<Stall>,
    scratch: Scratch,
}

/// When wear was last asked, and how often.
#[derive(Clone, Copy, Debug, Default)]
struct Wearing {
    since: f64,
    tick: f64,
    count: u32,
    /// How long the next step may be so that nothing burns unseen, seconds.
    longest: f64,
}

#[derive(Clone, Debug, Default)]
struct Scratch {
    stages: Stages,
    guards: Vec<f64>,
    guards_mid: Vec<f64>,
    guards_new: Vec<f64>,
    pins: Vec<f64>,
    inner: Vec<f64>,
    drawn: Vec<Drawn>,
    /// One reading for each part that wears.
    readings: Vec<(PartIx, PartReading)>,
}

impl Run {
    /// A bench at the moment at which its power comes on: no charge anywhere, no current in coils.
    pub fn new(bench: &Bench, care: Care) -> Run {
        finish(Run::new_in_portions(bench, care, u64::MAX))
    }

    /// The same, letting go after each portion of work, in Newton iterations times unknowns; as do all
    /// functions of this run that are `async`. [`portions`] tells how to go on. What comes of it is the
    /// same to the bit.
    pub async fn new_in_portions(bench: &Bench, care: Care, portion: u64) -> Run {
        let memories = bench.parts.iter().map(Memory::of).collect();
        let mut run = Run::stand(bench, care, Contacts::default(), memories, 0.0);
        run.system.portion = portion;
        run.begin().await;
        run
    }

    /// Everything that follows from a bench and what its parts remember.
    fn stand(bench: &Bench, care: Care, contacts: Contacts, memories: Vec<Memory>, time: f64) -> Run {
        let circuit = Circuit::with_memories(bench, contacts, &memories);
        let nets = Nets::of(bench, &circuit);
        let (islands, node_island) = find_islands(bench, &circuit);
        let system =
            System::new(circuit.nodes, &circuit.branches(), islands.iter().map(|island| island.reference));
        let mut guards = 0;
        let mut actors = Vec::new();
        let mut lamps = Vec::new();
        let mut readings = Vec::new();
        for (index, part) in bench.parts.iter().enumerate() {
            if let Some(acts) = part.card.acts {
                actors.push(Actor {
                    part: PartIx(index),
                    first_guard: guards,
                    pins: circuit.joins[index].iter().map(|join| join.node.0).collect(),
                    inner: circuit.inner[index].iter().map(|node| node.0).collect(),
                });
                guards += acts.guards;
            }
            if part.card.wear.is_some() {
                let reading = PartReading::blank(&circuit, &node_island, &islands, PartIx(index));
                readings.push((PartIx(index), reading));
            }
        }
        for (index, element) in circuit.elements.iter().enumerate() {
            if bench.part(element.part).card.group == Group::Light && matches!(element.law, Law::Junction(_))
            {
                lamps.push(Lamp {
                    element: index,
                    lit: false,
                    charge: 0.0,
                    last_rise: f64::NEG_INFINITY,
                    period: f64::INFINITY,
                    mean: 0.0,
                    levels: Lamp::LIT,
                    since: time,
                    range: Lamp::NOWHERE,
                });
            }
        }
        let wear = Wearing { since: time, tick: WEAR_TICK, count: 0, longest: f64::INFINITY };
        let stores = system.stores.len();
        let (nodes, elements) = (circuit.nodes, circuit.elements.len());
        let record = Record {
            start: time,
            length: 0.0,
            volts: [vec![0.0; nodes], vec![0.0; nodes], vec![0.0; nodes]],
            amps: [vec![0.0; elements], vec![0.0; elements]],
            charges: vec![Charge::default(); stores],
            memories: memories.clone(),
            lamps: lamps.clone(),
            wear,
            whole: false,
        };
        Run {
            bench: bench.clone(),
            care,
            contacts,
            nets: Rc::new(nets),
            islands,
            node_island,
            memories,
            actors,
            lamps,
            time,
            next_step: FIRST_STEP,
            step_after_event: FIRST_STEP,
            event_before: true,
            jumps: false,
            volts: vec![0.0; nodes],
            amps: vec![0.0; elements],
            charges: vec![Charge::default(); stores],
            record,
            wear,
            burnt: Vec::with_capacity(bench.parts.len()),
            stalled: None,
            scratch: Scratch {
                stages: Stages::new(nodes, stores),
                guards: vec![0.0; guards],
                guards_mid: vec![0.0; guards],
                guards_new: vec![0.0; guards],
                pins: Vec::with_capacity(64),
                inner: Vec::with_capacity(64),
                drawn: Vec::with_capacity(64),
                readings,
            },
            circuit: Rc::new(circuit),
            system,
        }
    }

    /// Finds consistent values and lets each part look once.
    async fn begin(&mut self) {
        if self.jump().await {
            for actor in 0..self.actors.len() {
                self.look(actor);
            }
            self.after_looks().await;
        }
        self.note_start();
    }

    /// The seconds since the clock began, at the end of the last step.
    pub fn time(&self) -> f64 {
        self.time
    }

    /// The bench.
    pub fn bench(&self) -> &Bench {
        &self.bench
    }

    /// Why the clock has stopped, if it has.
    pub fn stalled(&self) -> Option<Stall> {
        self.stalled
    }

    /// The work done so far.
    pub fn effort(&self) -> Effort {
        self.system.effort
    }

    /// The parts that have burnt out, with the time, oldest first.
    pub fn burnt(&self) -> &[(f64, PartIx)] {
        &self.burnt
    }

    /// What each part remembers.
    pub fn memories(&self) -> &[Memory] {
        &self.memories
    }

    /// Whether nothing on the bench changes by itself: no capacitor, coil, wave or chip, and nothing
    /// that gets hot.
    pub fn is_still(&self) -> bool {
        self.actors.is_empty()
            && !self.circuit.elements.iter().any(|element| element.law.is_timed())
            && self.heat_is_settled()
    }

    /// Whether the bench has a clock worth showing: something on it stores, waves, counts or turns.
    pub fn is_timed(&self) -> bool {
        self.circuit.elements.iter().any(|element| element.law.is_timed())
            || self.bench.parts.iter().any(|part| part.card.acts.is_some_and(|acts| acts.is_discrete()))
    }

    fn heat_is_settled(&self) -> bool {
        self.wear.longest == f64::INFINITY
    }

    /// Takes steps until the clock has reached a time or stops, at most so many. Says whether there is
    /// nothing more to do: it is there, or [`Run::stalled`] tells why it never will be.
    pub fn until(&mut self, time: f64, most_steps: u32) -> bool {
        for _ in 0..most_steps {
            if self.time >= time || self.stalled.is_some() {
                return true;
            }
            self.advance();
        }
        self.time >= time || self.stalled.is_some()
    }

    /// Makes the present moment the whole of the last step.
    fn note_start(&mut self) {
        let record = &mut self.record;
        record.start = self.time;
        record.length = 0.0;
        record.whole = false;
        for volts in &mut record.volts {
            volts.copy_from_slice(&self.volts);
        }
        for amps in &mut record.amps {
            amps.copy_from_slice(&self.amps);
        }
        self.note_state();
    }

    /// Notes what is carried and remembered as what the last step began with.
    fn note_state(&mut self) {
        let record = &mut self.record;
        record.charges.copy_from_slice(&self.charges);
        record.memories.copy_from_slice(&self.memories);
        record.lamps.copy_from_slice(&self.lamps);
        record.wear = self.wear;
    }

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
