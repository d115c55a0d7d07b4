//! Time: a bench whose clock runs.
//!
//! TR-BDF2 (Bank and others, IEEE Trans. Electron Devices 32, 1992-2007, 1985) with the step control
//! of Hosea and Shampine (Applied Numerical Mathematics 20, 21-37, 1996): a trapezoidal stage and a
//! second-order backward difference, both with the same matrix, second order, and what is much
//! faster than a step is damped away. [`system`] solves the equations of one moment.
//!
//! Between two events everything is smooth. Each acting part has guards (see [`crate::memory`]); the
//! step in which one falls through zero is taken anew, shorter, until it ends there. Then the part
//! looks, capacitors and inductors hold what they carry while the voltages jump to where they must
//! be, and the clock goes on.
//!
//! The steps depend on the bench and the times of what is done to it and on nothing else, so that a
//! run can be repeated to the bit. Whoever shows a run asks for a time within the last step.

mod system;
#[cfg(test)]
mod tests;

use crate::bench::{Bench, PartIx};
use crate::card::Group;
use crate::circuit::{Circuit, Contacts, Drawn, Element};
use crate::law::Law;
use crate::memory::{Memory, View};
use crate::nets::Nets;
use crate::readings::PartReading;
use crate::solve::{Island, OperatingPoint, Work, find_islands};

pub use system::{Charge, Effort};
use system::{Moment, System};

/// 2 − √2: where the trapezoidal stage ends, as a share of the step, so that both stages have the
/// same matrix.
const GAMMA: f64 = 2.0 - core::f64::consts::SQRT_2;

/// A guard has fallen when it is this far below zero, volts, at the least. Smaller costs more tries to find the
/// moment; larger tells it too late (0.1 mV is a twenty-thousandth of a logic level).
const GUARD_VOLTS: f64 = 1e-4;

/// The same in time, as a share of the step in which it happened.
const GUARD_SHARE: f64 = 1e-9;

/// Steps shorter than this are taken whatever their error, seconds. Nothing on a breadboard is as
/// fast as a picosecond.
const SHORTEST: f64 = 1e-12;

/// How often parts may change their minds in one moment before the clock is stopped.
const MOST_LOOKS: u32 = 200;

/// Seconds between two looks at how hard parts are driven, at most.
const WEAR_TICK: f64 = 1e-3;

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
    pub const CLOSE: Care = Care { relative: 5e-6, absolute: 1e-6, longest: 0.25, fixed: None };
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
    /// Whether it can be taken back.
    whole: bool,
}

/// A bench whose clock runs.
#[derive(Clone, Debug)]
pub struct Run {
    bench: Bench,
    care: Care,
    circuit: Circuit,
    nets: Nets,
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
    mid: Vec<Charge>,
    new: Vec<Charge>,
    hist: Vec<f64>,
    errors: Vec<f64>,
    volts_mid: Vec<f64>,
    volts_new: Vec<f64>,
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
        let memories = bench.parts.iter().map(Memory::of).collect();
        let mut run = Run::stand(bench, care, memories, 0.0);
        run.begin();
        run
    }

    /// Everything that follows from a bench and what its parts remember.
    fn stand(bench: &Bench, care: Care, memories: Vec<Memory>, time: f64) -> Run {
        let circuit = Circuit::with_memories(bench, Contacts::default(), &memories);
        let nets = Nets::of(bench, &circuit);
        let (islands, node_island) = find_islands(bench, &circuit);
        let system = System::new(&circuit, islands.iter().map(|island| island.reference));
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
                readings.push((PartIx(index), empty_reading(part.legs.len(), &circuit, index)));
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
                });
            }
        }
        let stores = system.stores.len();
        let (nodes, elements) = (circuit.nodes, circuit.elements.len());
        Run {
            bench: bench.clone(),
            care,
            nets,
            islands,
            node_island,
            memories,
            actors,
            lamps,
            time,
            next_step: 1e-5,
            step_after_event: 1e-5,
            event_before: true,
            volts: vec![0.0; nodes],
            amps: vec![0.0; elements],
            charges: vec![Charge::default(); stores],
            record: Record {
                start: time,
                length: 0.0,
                volts: [vec![0.0; nodes], vec![0.0; nodes], vec![0.0; nodes]],
                amps: [vec![0.0; elements], vec![0.0; elements]],
                charges: vec![Charge::default(); stores],
                memories: vec![crate::memory::BLANK; bench.parts.len()],
                whole: false,
            },
            wear: Wearing { since: time, tick: WEAR_TICK, count: 0, longest: f64::INFINITY },
            burnt: Vec::with_capacity(bench.parts.len()),
            stalled: None,
            scratch: Scratch {
                mid: vec![Charge::default(); stores],
                new: vec![Charge::default(); stores],
                hist: vec![0.0; stores],
                errors: vec![0.0; stores],
                volts_mid: vec![0.0; nodes],
                volts_new: vec![0.0; nodes],
                guards: vec![0.0; guards],
                guards_mid: vec![0.0; guards],
                guards_new: vec![0.0; guards],
                pins: Vec::with_capacity(64),
                inner: Vec::with_capacity(64),
                drawn: Vec::with_capacity(64),
                readings,
            },
            circuit,
            system,
        }
    }

    /// Finds consistent values and lets each part look once.
    fn begin(&mut self) {
        if self.jump() {
            for actor in 0..self.actors.len() {
                self.look(actor);
            }
            self.after_looks();
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

    fn heat_is_settled(&self) -> bool {
        self.wear.longest == f64::INFINITY
    }

    /// Takes steps until the clock has reached a time or stops, at most so many. Says whether it is
    /// there.
    pub fn until(&mut self, time: f64, most_steps: u32) -> bool {
        for _ in 0..most_steps {
            if self.time >= time || self.stalled.is_some() {
                return true;
            }
            self.advance();
        }
        self.time >= time || self.stalled.is_some()
    }

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
    fn take_step(&mut self, wanted: f64) -> Option<f64> {
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
    fn step_over(&mut self, length: f64) -> Option<f64> {
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

    fn stop_here(&mut self) {
        let part = self.circuit.elements.get(self.system.worst).map_or(PartIx(0), |it| it.part);
        self.stalled = Some(Stall::NoConvergence { time: self.time, part });
    }

    /// Both stages of a step of that length.
    fn attempt(&mut self, length: f64) -> bool {
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
    fn error(&mut self, length: f64) -> f64 {
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

    /// Shortens the step just tried so that it ends where the first guard falls. Says how long it
    /// is then.
    fn end_at_event(&mut self, length: f64) -> f64 {
        if self.scratch.guards.is_empty() {
            return length;
        }
        self.write_guards(Which::Mid);
        self.write_guards(Which::New);
        let slack = self.guard_slack();
        let mut share = self.first_fall(slack);
        if share >= 1.0 {
            return length;
        }
        // Known to be too early and known to be too late, as shares of the step, with the guard there.
        let (mut low, mut above) = (0.0, f64::NAN);
        let (mut high, mut below) = (1.0, self.deepest_fall());
        let mut last = 1.0;
        for _ in 0..40 {
            share = share.clamp(low + 0.01 * (high - low), high - 0.01 * (high - low));
            self.system.effort.retries += 1;
            if !self.attempt(share * length) {
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
        if self.deepest_fall() > 0.0 && high < 1.0 && last != high && self.attempt(high * length) {
            self.write_guards(Which::Mid);
            self.write_guards(Which::New);
            last = high;
        }
        last * length
    }

    /// How late an event may be noticed, volts: less than the error of a step.
    fn guard_slack(&self) -> f64 {
        GUARD_VOLTS.max(0.1 * self.care.absolute + 0.5 * self.care.relative)
    }

    /// The share of the step just tried at which the first guard falls, by a parabola through its
    /// start, middle and end; 1 when no guard has fallen.
    fn first_fall(&self, slack: f64) -> f64 {
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
    fn deepest_fall(&self) -> f64 {
        let scratch = &self.scratch;
        let pairs = scratch.guards.iter().zip(&scratch.guards_new);
        pairs.filter(|(start, _)| **start > 0.0).fold(f64::INFINITY, |least, (_, &end)| least.min(end))
    }

    fn write_guards(&mut self, which: Which) {
        for index in 0..self.actors.len() {
            self.see(index, which);
            let actor = &self.actors[index];
            let part = self.bench.part(actor.part);
            let Some(acts) = part.card.acts else { continue };
            let scratch = &mut self.scratch;
            let guards = match which {
                Which::Start => &mut scratch.guards,
                Which::Mid => &mut scratch.guards_mid,
                Which::New => &mut scratch.guards_new,
            };
            let own = &mut guards[actor.first_guard..actor.first_guard + acts.guards];
            let view = View { pins: &scratch.pins, inner: &scratch.inner, time: self.time };
            (acts.guard)(part, &self.memories[actor.part.0], view, own);
        }
    }

    /// Copies what a part sees into the scratch.
    fn see(&mut self, actor: usize, which: Which) {
        let actor = &self.actors[actor];
        let scratch = &mut self.scratch;
        let volts = match which {
            Which::Start => &self.volts,
            Which::Mid => &scratch.volts_mid,
            Which::New => &scratch.volts_new,
        };
        scratch.pins.clear();
        scratch.pins.extend(actor.pins.iter().map(|&node| volts[node]));
        scratch.inner.clear();
        scratch.inner.extend(actor.inner.iter().map(|&node| volts[node]));
    }

    /// Makes the step in `scratch` the last step; the clock stands at `time` then.
    fn commit(&mut self, length: f64, time: f64) {
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

    /// Heat and drift over the step just taken.
    fn slow_changes(&mut self, length: f64) {
        let mut redrawn = false;
        for actor in 0..self.actors.len() {
            let index = self.actors[actor].part;
            let part = self.bench.part(index);
            let Some(drift) = part.card.acts.and_then(|acts| acts.drift) else { continue };
            let memory = &mut self.memories[index.0];
            let before = memory.slow;
            let longest = drift(part, memory, length);
            self.next_step = self.next_step.min(longest.max(1e-4));
            if memory.slow != before {
                let memory = *memory;
                self.circuit.redraw_part(&self.bench, index, memory, &mut self.scratch.drawn);
                redrawn = true;
            }
        }
        if redrawn {
            self.system.take_laws(&self.circuit);
        }
        if self.time - self.wear.since >= self.wear.tick {
            self.wear_out();
        }
    }

    fn wear_out(&mut self) {
        let seconds = self.time - self.wear.since;
        self.wear.since = self.time;
        self.wear.count = self.wear.count.wrapping_add(1);
        // Uneven ticks, so that they don't fall in step with what blinks: multiples of the golden
        // section, the number worst met by fractions.
        let uneven = f64::from(self.wear.count) * 0.618_033_988_749_895;
        self.wear.tick = WEAR_TICK * (0.5 + uneven - libm::floor(uneven));
        self.wear.longest = f64::INFINITY;
        let mut burnt = false;
        for place in 0..self.scratch.readings.len() {
            let index = self.scratch.readings[place].0;
            let memory = self.memories[index.0];
            let part = self.bench.part(index);
            let (Some(wear), false) = (part.card.wear, memory.burnt) else { continue };
            let reading = &mut self.scratch.readings[place].1;
            reading.memory = memory;
            write_reading(&self.circuit, &self.volts, &self.amps, index, reading);
            let strain = (wear.strain)(part, reading).max(0.0);
            let memory = &mut self.memories[index.0];
            memory.heat += (strain - memory.heat) * (1.0 - crate::math::exp(-seconds / wear.seconds));
            if strain > wear.burns_at {
                self.wear.longest = self.wear.longest.min(0.05 * wear.seconds);
            }
            if memory.heat >= wear.burns_at {
                memory.burnt = true;
                memory.due = f64::INFINITY;
                burnt = true;
                self.burnt.push((self.time, index));
            }
        }
        if burnt {
            self.rebuild(None);
        }
    }

    /// Lets the parts look whose guards have fallen or whose time has come, until all is quiet.
    fn answer_events(&mut self) {
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
            self.after_looks();
        } else {
            self.write_guards(Which::Start);
        }
    }

    /// Whether a part's time has come, or one of its guards stood above zero at the start of the step
    /// and does not at its end.
    fn must_look(&mut self, actor: usize, with_guards: bool) -> bool {
        let it = &self.actors[actor];
        let part = self.bench.part(it.part);
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
    fn look(&mut self, actor: usize) -> bool {
        self.see(actor, Which::Start);
        let index = self.actors[actor].part;
        let part = self.bench.part(index);
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
        if memory.shown != before.shown || memory.held != before.held || memory.slow != before.slow {
            let memory = *memory;
            self.circuit.redraw_part(&self.bench, index, memory, &mut self.scratch.drawn);
            return true;
        }
        *memory != before
    }

    /// After parts have looked: the voltages jump, and parts that see that look again.
    fn after_looks(&mut self) {
        let mut rounds = MOST_LOOKS;
        loop {
            if !self.jump() {
                return;
            }
            self.write_guards(Which::Start);
            let mut again = false;
            let mut culprit = PartIx(0);
            for actor in 0..self.actors.len() {
                let Actor { part, first_guard, .. } = self.actors[actor];
                let guards = self.bench.part(part).card.acts.map_or(0, |acts| acts.guards);
                let own = first_guard..first_guard + guards;
                let fallen = self.scratch.guards[own].iter().any(|&guard| guard <= 0.0);
                if (fallen && !self.memories[part.0].burnt) || self.must_look(actor, false) {
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
        self.event_before = true;
        self.next_step = self.step_after_event;
    }

    /// The voltages that belong to what is carried and remembered just now. False when there are
    /// none to be found.
    fn jump(&mut self) -> bool {
        if !self.system.take_laws(&self.circuit) {
            self.rebuild(None);
            return self.stalled.is_none();
        }
        for (hist, charge) in self.scratch.hist.iter_mut().zip(&self.charges) {
            *hist = charge.x;
        }
        self.system.begin_at(&self.volts);
        let moment = Moment::Step(0.0);
        if !self.system.solve_hard(moment, &self.scratch.hist, self.time) {
            self.stop_here();
            return false;
        }
        self.system.write_charges(moment, &self.scratch.hist, &mut self.charges);
        self.system.write_volts(&mut self.volts);
        self.system.write_amps(&mut self.amps);
        true
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
        record.charges.copy_from_slice(&self.charges);
        record.memories.copy_from_slice(&self.memories);
    }

    /// Makes the equations anew for the same or another bench; what elements carry and parts
    /// remember is kept, by the parts' names and kinds.
    fn rebuild(&mut self, bench: Option<&Bench>) {
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
        let mut run = Run::stand(bench, self.care, memories, self.time);
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
        for index in 0..self.bench.parts.len() {
            let memory = self.memories[index];
            self.circuit.redraw_part(&self.bench, PartIx(index), memory, &mut self.scratch.drawn);
        }
        self.burnt.retain(|&(_, part)| self.memories[part.0].burnt);
        if !self.system.take_laws(&self.circuit) {
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
        self.stalled = None;
        self.rebuild(Some(bench));
    }

    /// Puts a new part in the place of one that is burnt out (or any other).
    pub fn replace(&mut self, part: PartIx) {
        self.memories[part.0] = Memory::of(self.bench.part(part));
        self.burnt.retain(|&(_, burnt)| burnt != part);
        for (store, charge) in self.system.stores.iter().zip(&mut self.charges) {
            if self.circuit.elements[store.element].part == part {
                *charge = Charge::default();
            }
        }
        let memory = self.memories[part.0];
        self.circuit.redraw_part(&self.bench, part, memory, &mut self.scratch.drawn);
        self.stalled = None;
        self.rebuild(None);
    }

    /// Voltages and currents at a time within the last step (or at its nearer end).
    fn blend(&self, time: f64, volts: &mut [f64], amps: &mut [f64]) {
        let record = &self.record;
        let share = if record.length > 0.0 { (time - record.start) / record.length } else { 1.0 };
        if share >= 1.0 {
            volts.copy_from_slice(&self.volts);
            amps.copy_from_slice(&self.amps);
            return;
        }
        let s = share.max(0.0);
        // Lagrange's parabola through start, middle stage and end.
        let start = (s - GAMMA) * (s - 1.0) / GAMMA;
        let mid = s * (s - 1.0) / (GAMMA * (GAMMA - 1.0));
        let end = s * (s - GAMMA) / (1.0 - GAMMA);
        for (index, volts) in volts.iter_mut().enumerate() {
            let [v0, v1, v2] = [0, 1, 2].map(|at: usize| record.volts[at][index]);
            *volts = start * v0 + mid * v1 + end * v2;
        }
        for (index, amps) in amps.iter_mut().enumerate() {
            *amps = record.amps[0][index] + s * (record.amps[1][index] - record.amps[0][index]);
        }
    }

    /// Everything that there is to read, at a time within the last step.
    pub fn point_at(&self, time: f64) -> OperatingPoint {
        let mut point = OperatingPoint {
            circuit: self.circuit.clone(),
            nets: self.nets.clone(),
            node_volts: vec![0.0; self.volts.len()],
            element_amps: vec![0.0; self.amps.len()],
            node_island: self.node_island.clone(),
            islands: self.islands.clone(),
            memories: self.memories.clone(),
            parts: Vec::new(),
            net_readings: Vec::new(),
            settled: self.stalled.is_none(),
            worst: None,
            work: Work::default(),
        };
        self.blend(time, &mut point.node_volts, &mut point.element_amps);
        point.read(&self.bench);
        point
    }

    /// The same at the end of the last step.
    pub fn point(&self) -> OperatingPoint {
        self.point_at(self.time)
    }

    /// The same, with lamps that blink faster than three times a second at their mean current, as an
    /// eye sees them, and how often each such part blinks, hertz.
    pub fn point_for_the_eye(&self, time: f64) -> (OperatingPoint, Vec<(PartIx, f64)>) {
        let mut point = self.point_at(time);
        let mut blinking: Vec<(PartIx, f64)> = Vec::new();
        for lamp in &self.lamps {
            if lamp.blinks(time) {
                point.element_amps[lamp.element] = lamp.mean;
                let part = self.circuit.elements[lamp.element].part;
                if blinking.last().is_none_or(|(last, _)| *last != part) {
                    blinking.push((part, 1.0 / lamp.period));
                }
            }
        }
        if !blinking.is_empty() {
            point.read(&self.bench);
        }
        (point, blinking)
    }
}

/// Which of the moments of a step.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Which {
    Start,
    Mid,
    New,
}

impl Lamp {
    /// Current above which it counts as lit and below which as dark, amperes.
    const LIT: (f64, f64) = (2e-4, 1e-4);

    fn tell(&mut self, length: f64, time: f64, before: f64, after: f64) {
        self.charge += 0.5 * length * (before + after);
        if !self.lit && after > Self::LIT.0 {
            self.lit = true;
            self.period = time - self.last_rise;
            self.mean = self.charge / self.period;
            self.last_rise = time;
            self.charge = 0.0;
        } else if self.lit && after < Self::LIT.1 {
            self.lit = false;
        }
    }

    /// Whether it blinks more than three times a second: the limit on flashes of WCAG 2.2, 2.3.1.
    fn blinks(&self, time: f64) -> bool {
        self.period < 1.0 / 3.0 && time - self.last_rise < 2.0 * self.period + 0.05
    }
}

/// Where a parabola through (0, start), (γ, mid), (1, end) first falls to zero.
fn fall(start: f64, mid: f64, end: f64) -> f64 {
    // Newton's form: start + c·s + d·s·(s − γ).
    let c = (mid - start) / GAMMA;
    let d = ((end - mid) / (1.0 - GAMMA) - c) / 1.0;
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
    let root = crate::math::sqrt(inside);
    // The root that does not cancel, and its companion by Vieta.
    let q = -0.5 * (b + if b < 0.0 { -root } else { root });
    let roots = [q / a, if q == 0.0 { f64::INFINITY } else { start / q }];
    let first = roots.into_iter().filter(|&s| s > 0.0 && s <= 1.0).fold(f64::INFINITY, f64::min);
    if first.is_finite() { first } else { straight }
}

/// Which of its part's elements an element is.
fn place_in_part(elements: &[Element], element: usize) -> usize {
    let part = elements[element].part;
    elements[..element].iter().rev().take_while(|it| it.part == part).count()
}

fn empty_reading(pins: usize, circuit: &Circuit, part: usize) -> PartReading {
    let nothing =
        crate::readings::PinReading { volts: 0.0, amps: 0.0, island: 0, floating: false, touches: true };
    PartReading {
        pins: vec![nothing; pins],
        inner: vec![0.0; circuit.inner[part].len()],
        memory: crate::memory::BLANK,
        watts: 0.0,
    }
}

/// Writes volts and amperes of a part into a reading that is there.
fn write_reading(circuit: &Circuit, volts: &[f64], amps: &[f64], part: PartIx, reading: &mut PartReading) {
    for (pin, join) in reading.pins.iter_mut().zip(&circuit.joins[part.0]) {
        pin.volts = volts[join.node.0];
        pin.amps = 0.0;
    }
    let first = circuit.elements.partition_point(|element| element.part < part);
    let own = circuit.elements[first..].iter().take_while(|element| element.part == part);
    for (element, &i) in own.zip(&amps[first..]) {
        if let Some(pin) = element.pin_a {
            reading.pins[pin].amps += i;
        }
        if let Some(pin) = element.pin_b {
            reading.pins[pin].amps -= i;
        }
    }
    for (inner, node) in reading.inner.iter_mut().zip(&circuit.inner[part.0]) {
        *inner = volts[node.0];
    }
    reading.watts = reading.pins.iter().map(|pin| pin.volts * pin.amps).sum();
}
