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
mod lamp;
mod rest;
mod seen;
mod step;
#[cfg(test)]
mod tests;
mod wear;

use std::rc::Rc;

use crate::bench::{Bench, PartIx};
use crate::card::Group;
use crate::circuit::{Circuit, Contacts, Element};
use crate::islands::{Island, find_islands};
use crate::law::Law;
use crate::memory::Memory;
use crate::nets::Nets;
use crate::readings::PartReading;
use crate::stamp::Drawn;

pub use crate::point::Stall;
pub use halfrow_equations::portions;
use halfrow_equations::portions::finish;
use halfrow_equations::stages::Stages;
use halfrow_equations::system::System;
pub use halfrow_equations::system::{Charge, Effort};
use lamp::Lamp;
pub(crate) use rest::{at_rest, rest};

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
    pub relative_error: f64,
    /// The same in volts; an inductor's current in hundredths of amperes.
    pub absolute_volts: f64,
    /// The longest step, seconds.
    pub longest_seconds: f64,
    /// Take steps of this length and ask for no error (to show the order of the method).
    pub fixed_seconds: Option<f64>,
}

impl Care {
    /// For an eye on a screen: some thousandths.
    pub const LIVE: Care =
        Care { relative_error: 3e-4, absolute_volts: 1e-4, longest_seconds: 0.25, fixed_seconds: None };
    /// For a table of figures.
    pub const CLOSE: Care =
        Care { relative_error: 2e-6, absolute_volts: 4e-7, longest_seconds: 0.25, fixed_seconds: None };
}

/// A part that acts, and where its guards and nodes are.
#[derive(Clone, Debug)]
struct Actor {
    part: PartIx,
    first_guard: usize,
    pins: Vec<usize>,
    inner: Vec<usize>,
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

/// A bench whose clock runs.
#[derive(Clone, Debug)]
pub struct Run {
    /// The bench as it was given.
    bench: Rc<Bench>,
    /// Its parts as they truly are: the same, unless they are as bought.
    real: Rc<Bench>,
    /// Sources that can run down, each with its element.
    cells: Vec<(PartIx, usize)>,
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

impl Actor {
    /// The parts of a bench that act, and how many guards they have in all.
    fn all(bench: &Bench, circuit: &Circuit) -> (Vec<Actor>, usize) {
        let mut guards = 0;
        let mut actors = Vec::new();
        for (index, part) in bench.parts.iter().enumerate() {
            let Some(acts) = part.card.acts else { continue };
            actors.push(Actor {
                part: PartIx(index),
                first_guard: guards,
                pins: circuit.joins[index].iter().map(|join| join.node.0).collect(),
                inner: circuit.inner[index].iter().map(|node| node.0).collect(),
            });
            guards += acts.guards;
        }
        (actors, guards)
    }
}

impl Scratch {
    /// Room for everything that a step works with, so that it allocates nothing.
    fn new(nodes: usize, stores: usize, guards: usize) -> Scratch {
        Scratch {
            stages: Stages::new(nodes, stores),
            guards: vec![0.0; guards],
            guards_mid: vec![0.0; guards],
            guards_new: vec![0.0; guards],
            pins: Vec::with_capacity(64),
            inner: Vec::with_capacity(64),
            drawn: Vec::with_capacity(64),
            readings: Vec::new(),
        }
    }
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
        let given = Rc::new(bench.clone());
        let real = bench.with_true_parts().map_or_else(|| given.clone(), Rc::new);
        let circuit = Circuit::with_memories(&real, contacts, &memories);
        let nets = Nets::of(bench, &circuit);
        let (islands, node_island) = find_islands(bench, &circuit);
        let system =
            System::new(circuit.nodes, &circuit.branches(), islands.iter().map(|island| island.reference));
        let (actors, guards) = Actor::all(bench, &circuit);
        let is_lamp = |element: &Element| {
            bench.part(element.part).card.group == Group::Light && matches!(element.law, Law::Junction(_))
        };
        let elements = circuit.elements.iter().enumerate().filter(|(_, element)| is_lamp(element));
        let lamps: Vec<Lamp> = elements.map(|(index, _)| Lamp::dark(index, time)).collect();
        let wear = Wearing { since: time, tick: WEAR_TICK, count: 0, longest: f64::INFINITY };
        let runs_down = |part: &PartIx| bench.part(*part).card.source.is_some_and(|it| it.charge.is_some());
        let sources = (0..bench.parts.len()).map(PartIx).filter(runs_down);
        let cells = sources.filter_map(|part| Some((part, circuit.elements_of(part).last()?.0)));
        let cells = if bench.batteries_run_down { cells.collect() } else { Vec::new() };
        let stores = system.stores.len();
        let (nodes, elements) = (circuit.nodes, circuit.elements.len());
        Run {
            bench: given,
            real,
            cells,
            care,
            contacts,
            nets: Rc::new(nets),
            islands,
            node_island,
            actors,
            time,
            next_step: FIRST_STEP,
            step_after_event: FIRST_STEP,
            event_before: true,
            jumps: false,
            volts: vec![0.0; nodes],
            amps: vec![0.0; elements],
            charges: vec![Charge::default(); stores],
            record: Record {
                start: time,
                length: 0.0,
                volts: [vec![0.0; nodes], vec![0.0; nodes], vec![0.0; nodes]],
                amps: [vec![0.0; elements], vec![0.0; elements]],
                charges: vec![Charge::default(); stores],
                memories: memories.clone(),
                lamps: lamps.clone(),
                wear,
                whole: false,
            },
            memories,
            lamps,
            wear,
            burnt: Vec::with_capacity(bench.parts.len()),
            stalled: None,
            scratch: Scratch::new(nodes, stores, guards),
            circuit: Rc::new(circuit),
            system,
        }
    }

    /// Finds consistent values and lets each part look once.
    async fn begin(&mut self) {
        // Only what runs wears out.
        let wearing = |part: &PartIx| self.bench.part(*part).card.wear.is_some();
        let wearing = (0..self.bench.parts.len()).map(PartIx).filter(wearing);
        self.scratch.readings = wearing.map(|part| (part, self.blank_reading(part))).collect();
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
            && self.cells.is_empty()
            && !self.circuit.elements.iter().any(|element| element.law.is_timed())
            && self.heat_is_settled()
    }

    /// Whether the bench has a clock worth showing: something on it stores, waves, counts or turns.
    pub fn is_timed(&self) -> bool {
        self.circuit.elements.iter().any(|element| element.law.is_timed())
            || !self.cells.is_empty()
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
}
