//! The equations of one moment: a circuit made ready for many solves with the same pattern.
//!
//! Each element becomes a conductance and a current. What stands still or runs straight is written
//! once a step; what is curved is drawn as a straight line anew in each Newton iteration. Capacitors
//! and inductors obey x = hist + a · dx/dt, where x is their voltage or current and `a` a share of the
//! step: every implicit method says that, with another history. With a = 0 they hold what they have,
//! which is how consistent values are found after a jump.
//!
//! Nothing is allocated once a system stands.

use crate::branch::{Branch, Node};
use crate::law::{Junction, LEAK_SIEMENS, Law, limited_step, unskipped};
use crate::math;
use crate::portions::LetGo;
use crate::sparse::{Matrix, Pattern, Seats, Unknown};

/// The largest change of a curved element's voltage that ends Newton's method, volts. The error left
/// is its square over an emission voltage: below a nanovolt.
pub(crate) const LAST_GAP_VOLTS: f64 = 5e-6;

/// The same for a bench at rest.
const REST_GAP_VOLTS: f64 = 1e-11;

/// Iterations after which laws may be asked how far they are from their lines. Where all goes well it is
/// over before.
const PATIENCE: u32 = 6;

/// A law lies on its line when it is no farther from it, amperes: far below what Halfrow promises, far
/// above the leaks of strips that float.
const OFF_LINE_AMPS: f64 = 1e-13;

/// The same as a share of its current.
const OFF_LINE_SHARE: f64 = 1e-10;

/// Newton iterations of a step before it is taken shorter. Steps settle in one to four.
const MAX_ITERATIONS: u32 = 25;

/// How much work was done since the clock began.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Effort {
    /// Steps taken.
    pub steps: u64,
    /// Steps tried and taken back, because they were too long or passed an event.
    pub retries: u64,
    /// Newton iterations.
    pub iterations: u64,
    /// Matrices factored.
    pub factorisations: u64,
    /// Moments at which a part changed its mind.
    pub events: u64,
    /// Patterns of the matrix that were worked out: one for each bench that the clock was given.
    pub patterns: u64,
}

/// What a capacitor or inductor carries: its voltage or current and how fast that changes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Charge {
    /// Volts of a capacitor (without its series resistance), amperes of an inductor.
    pub x: f64,
    /// dx/dt.
    pub rate: f64,
}

/// An element that carries a charge.
#[derive(Clone, Copy, Debug)]
pub struct Store {
    /// Which branch it is.
    pub element: usize,
    /// Whether it is an inductor.
    coil: bool,
    /// Farads or henries.
    size: f64,
    ohms: f64,
}

/// A moment for which equations are written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Moment {
    /// Everything has come to rest: capacitors leak, inductors are wires.
    Rest,
    /// x = hist + a · rate, with this `a` in seconds (0: x is held).
    Step(f64),
}

/// A circuit made ready for many solves.
#[derive(Clone, Debug)]
pub struct System {
    /// How many voltages are unknown.
    pub unknowns: usize,
    unknown: Vec<Unknown>,
    ends: Vec<[Unknown; 4]>,
    pub(crate) seats: Vec<Seats>,
    pub(crate) pattern: Pattern,
    pub(crate) laws: Vec<Law>,
    /// The branches that carry a charge, in their order.
    pub stores: Vec<Store>,
    waves: Vec<usize>,
    pub(crate) curved: Vec<usize>,
    /// Where each curved element was last drawn, and the line: current at zero volts and slopes.
    pub(crate) drawn_at: Vec<[f64; 4]>,
    lines: Vec<(f64, [f64; 4])>,
    /// Conductance and current at zero volts of each element that is not curved.
    pub(crate) straight: Vec<(f64, f64)>,
    pub(crate) straight_matrix: Matrix,
    /// The same with the unknowns that no curve touches eliminated.
    early_matrix: Matrix,
    pub(crate) straight_right: Vec<f64>,
    /// What `straight_matrix` was written for; `None` when laws have changed since.
    written: Option<Moment>,
    /// Whether its first elimination is sound.
    sound: bool,
    /// `straight_right` carried through the first elimination.
    early_right: Vec<f64>,
    pub(crate) matrix: Matrix,
    pub(crate) right: Vec<f64>,
    /// The voltage of each unknown.
    pub x: Vec<f64>,
    pub(crate) next: Vec<f64>,
    pub(crate) tied_to: Vec<f64>,
    /// The element that kept Newton's method from settling.
    pub worst: usize,
    /// The work done so far.
    pub effort: Effort,
    /// Work between two times that a long solve lets go, in iterations times unknowns.
    pub portion: u64,
    /// The iterations when it last did.
    let_go_at: u64,
}

impl System {
    /// The equations of branches between so many nodes; `references` stand at 0 V.
    pub fn new(nodes: usize, branches: &[Branch], references: impl Iterator<Item = Node>) -> System {
        let mut known = vec![false; nodes];
        for reference in references {
            known[reference.0] = true;
        }
        let mut unknowns = 0;
        let unknown: Vec<Unknown> = known
            .iter()
            .map(|known| {
                (!known).then(|| {
                    unknowns += 1;
                    unknowns - 1
                })
            })
            .collect();
        let ends: Vec<[Unknown; 4]> = branches
            .iter()
            .map(|element| {
                let [c, d] = element.controls.unwrap_or([element.a; 2]);
                [element.a, element.b, c, d].map(|node| unknown[node.0])
            })
            .collect();
        let mut late = vec![false; unknowns];
        for (branch, ends) in branches.iter().zip(&ends) {
            if !branch.law.is_linear() {
                for unknown in ends.iter().flatten() {
                    late[*unknown] = true;
                }
            }
        }
        let (pattern, seats) = Pattern::new(unknowns, &ends, &late);
        let count = branches.len();
        let mut system = System {
            unknowns,
            unknown,
            straight_matrix: pattern.zero(),
            early_matrix: pattern.zero(),
            early_right: vec![0.0; unknowns + 1],
            matrix: pattern.zero(),
            straight: vec![(0.0, 0.0); count],
            straight_right: vec![0.0; unknowns + 1],
            right: vec![0.0; unknowns + 1],
            x: vec![0.0; unknowns],
            next: vec![0.0; unknowns],
            tied_to: vec![0.0; unknowns],
            laws: vec![Law::Open; count],
            stores: Vec::new(),
            waves: Vec::new(),
            curved: Vec::new(),
            drawn_at: Vec::new(),
            lines: Vec::new(),
            written: None,
            sound: false,
            worst: 0,
            effort: Effort { patterns: 1, ..Effort::default() },
            portion: u64::MAX,
            let_go_at: 0,
            ends,
            seats,
            pattern,
        };
        for (index, element) in branches.iter().enumerate() {
            system.list(index, element);
        }
        system.drawn_at = vec![[0.0; 4]; system.curved.len()];
        system.lines = vec![(0.0, [0.0; 4]); system.curved.len()];
        for place in 0..system.curved.len() {
            if let Law::LimitedSource { volts, .. } = system.laws[system.curved[place]] {
                system.drawn_at[place][0] = volts;
            }
        }
        system
    }

    fn list(&mut self, index: usize, element: &Branch) {
        self.laws[index] = element.law;
        match element.law {
            Law::Capacitance { farads, ohms } => {
                self.stores.push(Store { element: index, coil: false, size: farads, ohms });
            }
            Law::Inductance { henries, ohms } => {
                self.stores.push(Store { element: index, coil: true, size: henries, ohms });
            }
            Law::Sine { .. } | Law::Ramp { .. } => self.waves.push(index),
            law if !law.is_linear() => self.curved.push(index),
            _ => {}
        }
    }

    /// Takes over the laws of a circuit that has the same elements between the same nodes. Elements
    /// may have changed from one kind to another (a part that burns out): `false` asks for a new
    /// system then.
    pub fn take_laws(&mut self, laws: impl Iterator<Item = Law>) -> bool {
        let kind = |law: &Law| (law.is_timed(), law.is_linear());
        let mut same = true;
        for (old, new) in self.laws.iter_mut().zip(laws) {
            same &= kind(old) == kind(&new);
            *old = new;
        }
        self.written = None;
        same
    }

    /// Writes the voltage of every node.
    pub fn write_volts(&self, volts: &mut [f64]) {
        for (volts, unknown) in volts.iter_mut().zip(&self.unknown) {
            *volts = unknown.map_or(0.0, |unknown| self.x[unknown]);
        }
    }

    /// Takes the voltages of the nodes as where to begin.
    pub fn begin_at(&mut self, volts: &[f64]) {
        for (volts, unknown) in volts.iter().zip(&self.unknown) {
            if let Some(unknown) = *unknown {
                self.x[unknown] = *volts;
            }
        }
    }

    pub(crate) fn at(&self, element: usize) -> [f64; 4] {
        self.ends[element].map(|end| end.map_or(0.0, |unknown| self.x[unknown]))
    }

    /// The largest `dt` for which the waves of sources are drawn well.
    pub fn longest_step(&self) -> f64 {
        let step = |&wave: &usize| match self.laws[wave] {
            // Forty points a period: between two of them a sine leaves its parabola by 1e-4.
            Law::Sine { amplitude, hertz, .. } if amplitude != 0.0 => 1.0 / (40.0 * hertz),
            _ => f64::INFINITY,
        };
        self.waves.iter().map(step).fold(f64::INFINITY, f64::min)
    }

    /// Writes what does not change from one iteration to the next. `hist` has one number a store.
    fn write_straight(&mut self, moment: Moment, hist: &[f64], time: f64) {
        let whole = self.written != Some(moment);
        if whole {
            self.straight_matrix.clear();
            for (index, law) in self.laws.iter().enumerate() {
                let flow = match law {
                    Law::Capacitance { .. } | Law::Inductance { .. } => continue,
                    law if law.is_linear() => law.flow(0.0),
                    _ => continue,
                };
                self.straight[index] = (flow.siemens, flow.amps);
                self.straight_matrix.add_conductance(&self.seats[index], flow.siemens);
            }
        }
        for (store, &hist) in self.stores.iter().zip(hist) {
            let (siemens, amps) = match (moment, store.coil) {
                (Moment::Rest, false) => (LEAK_SIEMENS, 0.0),
                (Moment::Rest, true) => (1.0 / store.ohms, 0.0),
                (Moment::Step(a), false) => {
                    let siemens = 1.0 / (store.ohms + a / store.size);
                    (siemens, -siemens * hist)
                }
                (Moment::Step(a), true) => {
                    let share = a / store.size;
                    let one_over = 1.0 / (1.0 + share * store.ohms);
                    (share * one_over, hist * one_over)
                }
            };
            self.straight[store.element] = (siemens, amps);
            if whole {
                self.straight_matrix.add_conductance(&self.seats[store.element], siemens);
            }
        }
        for &wave in &self.waves {
            let (volts, ohms) = match self.laws[wave] {
                Law::Sine { offset, amplitude, hertz, since, ohms } if moment != Moment::Rest => {
                    (offset + amplitude * math::sin_cos_turns(hertz * (time - since)).0, ohms)
                }
                Law::Ramp { volts, rise, since, ohms } if moment != Moment::Rest => {
                    (volts + rise * (time - since), ohms)
                }
                Law::Sine { offset: volts, ohms, .. } | Law::Ramp { volts, ohms, .. } => (volts, ohms),
                _ => continue,
            };
            self.straight[wave].1 = -volts / ohms;
        }
        self.straight_right.fill(0.0);
        for (index, &(_, amps)) in self.straight.iter().enumerate() {
            if amps != 0.0 {
                self.seats[index].add_current(&mut self.straight_right, amps);
            }
        }
        self.written = Some(moment);
    }

    /// Draws a curved law as a straight line at the present voltages, or nearer to where it was drawn
    /// before.
    fn draw_curve(&mut self, place: usize) {
        let index = self.curved[place];
        let at = self.at(index);
        let before = self.drawn_at[place];
        let (amps, siemens, drawn_at) = match self.laws[index] {
            Law::Junction(junction) => {
                let volts = at[0] - at[1];
                let inner = near_inner_volts(&junction, volts, before);
                let (outer, flow) = junction.at(inner);
                let line = flow.amps - flow.siemens * outer;
                (line, [flow.siemens, -flow.siemens, 0.0, 0.0], [inner, outer, flow.siemens, 1.0])
            }
            law @ Law::LimitedSource { volts: open, ohms, limit_amps } => {
                let volts = at[0] - at[1];
                let drawn = unskipped(volts, before[0], open, ohms * limit_amps);
                let flow = law.flow(drawn);
                let line = flow.amps - flow.siemens * drawn;
                (line, [flow.siemens, -flow.siemens, 0.0, 0.0], [drawn, 0.0, 0.0, 0.0])
            }
            Law::Transport(it) => {
                let junction = it.junction();
                let [forward, reverse] = it.junction_volts(at);
                let drawn = [
                    limited_step(forward, before[0], &junction),
                    limited_step(reverse, before[1], &junction),
                ];
                let pull = it.pull_at(drawn[0], drawn[1]);
                // The line goes through the drawn voltages: slopes times what was cut off.
                let unit = junction_slopes(&pull.siemens, it.pnp);
                let cut = unit[0] * (forward - drawn[0]) - unit[1] * (reverse - drawn[1]);
                let here: f64 = pull.siemens.iter().zip(at).map(|(g, v)| g * v).sum();
                (pull.amps + cut - here, pull.siemens, [drawn[0], drawn[1], 0.0, 0.0])
            }
            law => {
                let pull = law.pull(at);
                let here: f64 = pull.siemens.iter().zip(at).map(|(g, v)| g * v).sum();
                (pull.amps - here, pull.siemens, at)
            }
        };
        self.drawn_at[place] = drawn_at;
        self.lines[place] = (amps, siemens);
    }

    /// How far the present voltages are from where a curved law was last drawn.
    fn gap(&self, place: usize) -> f64 {
        let index = self.curved[place];
        let at = self.at(index);
        let drawn = self.drawn_at[place];
        match self.laws[index] {
            Law::Junction(_) => (at[0] - at[1] - drawn[1]).abs(),
            Law::LimitedSource { .. } => (at[0] - at[1] - drawn[0]).abs(),
            Law::Transport(it) => {
                let [forward, reverse] = it.junction_volts(at);
                (forward - drawn[0]).abs().max((reverse - drawn[1]).abs())
            }
            _ => {
                let moved = at.iter().zip(drawn).map(|(a, b)| (a - at[0]) - (b - drawn[0]));
                moved.fold(0.0_f64, |most, by| most.max(by.abs()))
            }
        }
    }

    /// The voltages at a moment, from where `x` stands. On failure `x` is as before.
    pub fn solve(&mut self, moment: Moment, hist: &[f64], time: f64) -> bool {
        self.tied_to.copy_from_slice(&self.x);
        let settled = self.newton(moment, hist, time);
        if !settled {
            self.x.copy_from_slice(&self.tied_to);
        }
        settled
    }

    /// Goes on counting where the equations of before left off.
    pub fn take_over(&mut self, before: &System) {
        self.effort = Effort { patterns: before.effort.patterns + self.effort.patterns, ..before.effort };
        self.portion = before.portion;
        self.let_go_at = before.let_go_at;
    }

    /// Lets go when a portion of work has been done since the last time.
    pub async fn pause(&mut self) {
        if (self.effort.iterations - self.let_go_at).saturating_mul(self.unknowns as u64) >= self.portion {
            self.let_go_at = self.effort.iterations;
            LetGo::default().await;
        }
    }

    /// Writes what no iteration changes, and eliminates it.
    #[inline(never)]
    pub(crate) fn write(&mut self, moment: Moment, hist: &[f64], time: f64) {
        let whole = self.written != Some(moment);
        self.write_straight(moment, hist, time);
        if whole {
            self.early_matrix.copy_from(&self.straight_matrix);
            self.effort.factorisations += 1;
            self.sound = self.pattern.factor_early(&mut self.early_matrix);
        }
    }

    fn newton(&mut self, moment: Moment, hist: &[f64], time: f64) -> bool {
        self.write(moment, hist, time);
        if !self.sound {
            return false;
        }
        self.early_right.copy_from_slice(&self.straight_right);
        self.pattern.forward_early(&self.early_matrix, &mut self.early_right);
        let mut settled = self.curved.is_empty();
        let mut last_gap = f64::INFINITY;
        for iteration in 0..MAX_ITERATIONS {
            self.effort.iterations += 1;
            if self.curved.is_empty() {
                break;
            }
            self.effort.factorisations += 1;
            self.matrix.copy_from(&self.early_matrix);
            self.right.copy_from_slice(&self.early_right);
            self.add_curves();
            self.pattern.factor_late(&mut self.matrix);
            self.pattern.forward_late(&self.matrix, &mut self.right);
            if !self.pattern.back_late(&self.matrix, &self.right, &mut self.x) {
                return false;
            }
            let gap = self.gap_left();
            settled = gap <= LAST_GAP_VOLTS || (iteration >= PATIENCE && self.lines_hold());
            // At rest what is asked for is the last digit, as far as rounding allows.
            if settled
                && (moment != Moment::Rest || gap <= REST_GAP_VOLTS || (gap >= last_gap && self.lines_hold()))
            {
                break;
            }
            last_gap = gap;
        }
        settled && self.pattern.back_early(&self.early_matrix, &self.early_right, &mut self.x)
    }

    #[inline(never)]
    pub(crate) fn add_curves(&mut self) {
        for place in 0..self.curved.len() {
            self.draw_curve(place);
            let (amps, siemens) = self.lines[place];
            let index = self.curved[place];
            let seats = &self.seats[index];
            if self.laws[index].is_steered() {
                self.matrix.add_slopes(seats, siemens);
            } else {
                self.matrix.add_conductance(seats, siemens[0]);
            }
            seats.add_current(&mut self.right, amps);
        }
    }

    /// Whether all curved laws lie on their lines at the present voltages, however far those are from where
    /// the lines were drawn: strips that nothing but leaks ties to the rest are moved by millivolts by the
    /// last bit of an ampere that flows among them.
    #[cold]
    #[inline(never)]
    pub(crate) fn lines_hold(&self) -> bool {
        let holds = |place: usize| {
            let (index, (at_zero, siemens)) = (self.curved[place], self.lines[place]);
            let at = self.at(index);
            let line = at_zero + siemens.iter().zip(at).map(|(g, v)| g * v).sum::<f64>();
            let amps = match self.laws[index] {
                law if law.is_steered() => law.pull(at).amps,
                law => law.flow(at[0] - at[1]).amps,
            };
            (amps - line).abs() <= OFF_LINE_AMPS + OFF_LINE_SHARE * amps.abs()
        };
        // The one that is farthest from where it was drawn is the likeliest not to.
        let worst = self.curved.iter().position(|&index| index == self.worst);
        worst.is_none_or(holds) && (0..self.curved.len()).all(holds)
    }

    /// How far the voltages are from where the curved laws were drawn, at most, volts.
    #[inline(never)]
    pub(crate) fn gap_left(&mut self) -> f64 {
        let mut largest = 0.0;
        for place in 0..self.curved.len() {
            let gap = self.gap(place);
            // A gap that is no number is the largest of all.
            if gap > largest || gap.is_nan() {
                largest = gap;
                self.worst = self.curved[place];
                if gap.is_nan() {
                    break;
                }
            }
        }
        largest
    }

    /// Solves for other right-hand sides with the factors of the last iteration: what a current in
    /// each store does to the voltages. Used by the error estimate.
    pub fn respond(&mut self, amps: &[f64]) -> &[f64] {
        self.right.fill(0.0);
        for (store, &amps) in self.stores.iter().zip(amps) {
            self.seats[store.element].add_current(&mut self.right, amps);
        }
        self.pattern.forward_early(&self.early_matrix, &mut self.right);
        self.pattern.forward_late(&self.matrix, &mut self.right);
        self.pattern.back_late(&self.matrix, &self.right, &mut self.next);
        self.pattern.back_early(&self.early_matrix, &self.right, &mut self.next);
        &self.next
    }

    /// The current of each element from its first node to its second, by the lines last drawn.
    pub fn write_amps(&self, amps: &mut [f64]) {
        for (index, &(siemens, at_zero)) in self.straight.iter().enumerate() {
            let [a, b, ..] = self.at(index);
            amps[index] = siemens * (a - b) + at_zero;
        }
        for (&index, (at_zero, siemens)) in self.curved.iter().zip(&self.lines) {
            amps[index] = at_zero + siemens.iter().zip(self.at(index)).map(|(g, v)| g * v).sum::<f64>();
        }
    }

    /// The charges of the stores at the present voltages.
    pub fn write_charges(&self, moment: Moment, hist: &[f64], charges: &mut [Charge]) {
        for ((store, &hist), charge) in self.stores.iter().zip(hist).zip(charges) {
            let [from, to, ..] = self.at(store.element);
            let (siemens, at_zero) = self.straight[store.element];
            let (volts, amps) = (from - to, siemens * (from - to) + at_zero);
            *charge = match (moment, store.coil) {
                (Moment::Rest, false) => Charge { x: volts, rate: 0.0 },
                (Moment::Rest, true) => Charge { x: amps, rate: 0.0 },
                (Moment::Step(a), false) => {
                    let rate = amps / store.size;
                    Charge { x: hist + a * rate, rate }
                }
                (Moment::Step(a), true) => {
                    let rate = (volts - store.ohms * amps) / store.size;
                    Charge { x: hist + a * rate, rate }
                }
            };
        }
    }

    /// The current that an error of a store's `x` amounts to.
    pub fn error_amps(store: &Store, a: f64, error: f64) -> f64 {
        if store.coil {
            error / (1.0 + a * store.ohms / store.size)
        } else {
            -error / (store.ohms + a / store.size)
        }
    }

    /// Whether a store is an inductor.
    pub fn is_coil(store: &Store) -> bool {
        store.coil
    }
}

/// The slopes of a transport current over its two junctions, from those over its nodes.
fn junction_slopes(siemens: &[f64; 4], pnp: bool) -> [f64; 2] {
    if pnp { [siemens[0], -siemens[1]] } else { [-siemens[1], siemens[0]] }
}

/// The inner voltage of a junction near where it was drawn before, one Newton step towards the
/// terminals' voltage, or the exact one when that is far.
fn near_inner_volts(junction: &Junction, volts: f64, before: [f64; 4]) -> f64 {
    let [inner, outer, siemens, drawn] = before;
    // The slope at the terminals over the slope of the junction proper is du/dv = 1 − R·g.
    let step = (volts - outer) * (1.0 - junction.series_ohms * siemens);
    if drawn == 1.0 && step.abs() < junction.emission_volts {
        inner + step
    } else if volts < 0.0 {
        volts
    } else {
        limited_step(junction.inner_volts(volts), inner, junction)
    }
}
