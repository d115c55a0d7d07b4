//! Newton's method on a circuit: the voltages at which all currents add up.
//!
//! Four ways, tried in turn until one settles. (1) Plain Newton, with curved laws drawn as straight
//! lines at points that don't jump. (2) Newton steps cut to length: as each law's current rises
//! with its voltage, the currents that are left over are the slope of a convex function (Millar's
//! co-content, Phil. Mag. 42, 1150-1160, 1951), so that a step that goes no farther than the lowest
//! point in its direction always leads on. (3) Conductances to the reference that are taken away
//! step by step (gmin stepping). (4) Sources that are turned up step by step.

use crate::law::{LEAK_SIEMENS, Law};
use crate::linear::{LinearSystem, Unknown};
use crate::network::{Network, Place, Siemens};
use halfrow_equations::branch::{Branch, Node, Work};
use halfrow_equations::law::{limited_step, unskipped};

/// Kirchhoff's current law is met when the currents of a node add up to no more than this, amperes.
/// A tenth of what Halfrow promises, so that the promise has a margin.
const NODE_AMPS: f64 = 1e-10;

/// The same as a share of the largest current at the node.
const NODE_SHARE: f64 = 1e-7;

/// The largest last Newton step, volts. What is left over shrinks with the square of the step, so
/// that the answer is good to a picovolt. Smaller takes an iteration more for nothing; larger leaves
/// the answer dependent on the way to it.
const LAST_STEP_VOLTS: f64 = 1e-7;

/// Newton iterations before another way is tried. Benches settle in fewer than 15.
const MAX_ITERATIONS: u32 = 40;

/// Iterations with steps cut to length. The thousands of random benches of the tests take at most
/// a third of it.
const MAX_CUT_ITERATIONS: u32 = 300;

/// A step that is not this much smaller than the one before is asked whether it is noise. Near the
/// answer Newton's steps shrink far more than that.
const SHRINKING: f64 = 0.1;

/// Voltages and currents of a circuit at rest.
#[derive(Clone, Debug)]
pub struct Settled {
    /// Voltage of each node against its reference, volts.
    pub node_volts: Vec<f64>,
    /// Current of each element from its first node to its second, amperes.
    pub element_amps: Vec<f64>,
    /// Whether the currents add up.
    pub settled: bool,
    /// How much work it was.
    pub work: Work,
}

/// The operating point of a circuit of so many nodes. `references` are nodes that stand at 0 V; each set of nodes
/// that current can flow between needs exactly one.
pub fn settle(nodes: usize, branches: &[Branch], references: &[Node]) -> Settled {
    settle_by(nodes, branches, references, &[Way::Plain, Way::Cut, Way::Leaks, Way::Sources])
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Way {
    Plain,
    Cut,
    Leaks,
    Sources,
}

fn settle_by(nodes: usize, branches: &[Branch], references: &[Node], ways: &[Way]) -> Settled {
    let mut solver = Solver::new(nodes, branches, references);
    let settled = solver.unknowns == 0 || ways.iter().any(|&way| solver.try_way(way));
    let node_volts = solver.node_volts();
    let element_amps = solver.element_amps(&node_volts, 1.0).collect();
    Settled { node_volts, element_amps, settled, work: solver.work }
}

struct Solver<'a> {
    nodes: usize,
    elements: &'a [Branch],
    /// The unknown that is the voltage of each node.
    unknown: Vec<Unknown>,
    /// Elements with a current of their own, and its unknown; in the order of the elements.
    branches: Vec<(usize, usize)>,
    /// Elements whose law is a curve.
    curved: Vec<usize>,
    /// Where each curved element was last drawn as a straight line: a junction's inner voltage, a
    /// limited source's terminal voltage.
    drawn_at: Vec<f64>,
    unknowns: usize,
    equations: Equations,
    x: Vec<f64>,
    next: Vec<f64>,
    work: Work,
}

/// The linear equations of one iteration.
enum Equations {
    /// Conductances only.
    Network { network: Network, places: Vec<Place>, straight: Siemens, values: Siemens },
    /// With branches, for LU with pivoting.
    Dense { straight: LinearSystem, values: LinearSystem },
}

impl<'a> Solver<'a> {
    fn new(nodes: usize, elements: &'a [Branch], references: &[Node]) -> Solver<'a> {
        let mut is_reference = vec![false; nodes];
        for reference in references {
            is_reference[reference.0] = true;
        }
        let mut unknowns = 0;
        let mut next = || {
            unknowns += 1;
            unknowns - 1
        };
        let unknown: Vec<Unknown> = is_reference.iter().map(|known| (!known).then(&mut next)).collect();
        let mut branches = Vec::new();
        let mut curved = Vec::new();
        for (index, element) in elements.iter().enumerate() {
            if element.law.branch().is_some() {
                branches.push((index, next()));
            } else if !element.law.is_linear() {
                curved.push(index);
            }
        }
        let equations = if branches.is_empty() {
            let ends = elements.iter().map(|e| (unknown[e.a.0], unknown[e.b.0]));
            let (network, places) = Network::new(unknowns, ends);
            let (straight, values) = (network.zero(), network.zero());
            Equations::Network { network, places, straight, values }
        } else {
            let zero = LinearSystem::new(unknowns);
            Equations::Dense { straight: zero.clone(), values: zero }
        };
        Solver {
            nodes,
            elements,
            unknown,
            branches,
            drawn_at: vec![0.0; curved.len()],
            curved,
            unknowns,
            equations,
            x: vec![0.0; unknowns],
            next: vec![0.0; unknowns],
            work: Work { unknowns: unknowns as u32, ..Work::default() },
        }
    }

    fn try_way(&mut self, way: Way) -> bool {
        self.start_again();
        match way {
            Way::Plain => self.newton(0.0, 1.0),
            Way::Cut => self.newton_with_cut_steps(),
            Way::Leaks => {
                let mut siemens = 1e-2;
                while siemens > 1e-13 && self.newton(siemens, 1.0) {
                    self.work.steps += 1;
                    siemens /= 10.0;
                }
                siemens <= 1e-13 && self.newton(0.0, 1.0)
            }
            Way::Sources => {
                let mut settled = false;
                for step in 1..=20 {
                    self.work.steps += 1;
                    settled = self.newton(0.0, f64::from(step) / 20.0);
                }
                settled
            }
        }
    }

    fn start_again(&mut self) {
        self.x.fill(0.0);
        for (place, &index) in self.curved.iter().enumerate() {
            self.drawn_at[place] = match self.elements[index].law {
                Law::LimitedSource { volts, .. } => volts,
                _ => 0.0,
            };
        }
    }

    fn volts(&self, node: Node) -> f64 {
        self.unknown[node.0].map_or(0.0, |unknown| self.x[unknown])
    }

    /// Voltage from an element's first node to its second.
    fn volts_over(&self, element: usize) -> f64 {
        let element = &self.elements[element];
        self.volts(element.a) - self.volts(element.b)
    }

    /// Writes the part of the equations that does not change from one iteration to the next.
    fn write_straight_part(&mut self, leak_siemens: f64, share: f64) {
        match &mut self.equations {
            Equations::Network { network, places, straight, .. } => {
                *straight = network.zero();
                for unknown in self.unknown.iter().flatten() {
                    straight.add_leak(*unknown, leak_siemens);
                }
                for (element, &place) in self.elements.iter().zip(&*places) {
                    if element.law.is_linear() {
                        let flow = element.law.scaled(share).flow(0.0);
                        straight.add(place, flow.siemens, flow.amps);
                    }
                }
            }
            Equations::Dense { straight, .. } => {
                *straight = LinearSystem::new(self.unknowns);
                for unknown in self.unknown.iter().flatten() {
                    straight.add(Some(*unknown), Some(*unknown), leak_siemens);
                }
                let mut branches = self.branches.iter();
                for element in self.elements {
                    let (a, b) = (self.unknown[element.a.0], self.unknown[element.b.0]);
                    let law = element.law.scaled(share);
                    if let Some((volts, ohms)) = law.branch() {
                        let current = branches.next().map(|&(_, unknown)| unknown);
                        straight.add(a, current, 1.0);
                        straight.add(b, current, -1.0);
                        straight.add(current, a, 1.0);
                        straight.add(current, b, -1.0);
                        straight.add(current, current, -ohms);
                        straight.add_right(current, volts);
                    } else if law.is_linear() {
                        let flow = law.flow(0.0);
                        straight.add_conductance(a, b, flow.siemens, flow.amps);
                    }
                }
            }
        }
    }

    /// Draws each curved law as a straight line at the present voltages, or nearer to where it was
    /// drawn before.
    fn add_curves(&mut self, share: f64, first: bool) {
        for place in 0..self.curved.len() {
            let index = self.curved[place];
            let element = self.elements[index];
            let volts = self.volts_over(index);
            let before = self.drawn_at[place];
            let (volts, flow) = match element.law.scaled(share) {
                Law::Junction(junction) => {
                    let inner = if first {
                        before
                    } else {
                        limited_step(junction.inner_volts(volts), before, &junction)
                    };
                    self.drawn_at[place] = inner;
                    junction.at(inner)
                }
                law @ Law::LimitedSource { volts: open, ohms, limit_amps } => {
                    let drawn = if first { open } else { unskipped(volts, before, open, ohms * limit_amps) };
                    self.drawn_at[place] = drawn;
                    (drawn, law.flow(drawn))
                }
                other => (volts, other.flow(volts)),
            };
            let amps_at_zero = flow.amps - flow.siemens * volts;
            match &mut self.equations {
                Equations::Network { places, values, .. } => {
                    values.add(places[index], flow.siemens, amps_at_zero);
                }
                Equations::Dense { values, .. } => {
                    let (a, b) = (self.unknown[element.a.0], self.unknown[element.b.0]);
                    values.add_conductance(a, b, flow.siemens, amps_at_zero);
                }
            }
        }
    }

    /// Solves the equations into `next`.
    fn solve_linear(&mut self) -> bool {
        self.work.factorisations += 1;
        match &mut self.equations {
            Equations::Network { network, values, .. } => network.solve(values, &mut self.next),
            Equations::Dense { values, .. } => match values.solve() {
                Some(x) => {
                    self.next = x;
                    true
                }
                None => false,
            },
        }
    }

    fn newton(&mut self, leak_siemens: f64, share: f64) -> bool {
        self.write_straight_part(leak_siemens, share);
        let mut last_step = 0.0;
        for iteration in 0..MAX_ITERATIONS {
            match &mut self.equations {
                Equations::Network { straight, values, .. } => values.copy_from(straight),
                Equations::Dense { straight, values } => values.copy_from(straight),
            }
            self.add_curves(share, iteration == 0);
            self.work.iterations += 1;
            if !self.solve_linear() {
                return false;
            }
            let step = largest_difference(&self.x, &self.next);
            std::mem::swap(&mut self.x, &mut self.next);
            // Linear circuits are done after one solve.
            let small = self.curved.is_empty() || step <= LAST_STEP_VOLTS;
            let shrinks = step < SHRINKING * last_step;
            last_step = step;
            if (small || (iteration > 0 && !shrinks && self.step_is_noise(share)))
                && self.currents_add_up(leak_siemens, share)
            {
                return true;
            }
        }
        false
    }

    /// Newton's method with steps cut to length. Not for circuits with branches: the current of a
    /// branch is an unknown of its own, and the argument for convexity is about voltages.
    fn newton_with_cut_steps(&mut self) -> bool {
        if !self.branches.is_empty() {
            return false;
        }
        self.write_straight_part(0.0, 1.0);
        let mut last_step = 0.0;
        for _ in 0..MAX_CUT_ITERATIONS {
            let left_over = self.left_over();
            let Equations::Network { places, straight, values, .. } = &mut self.equations else {
                return false;
            };
            values.copy_from(straight);
            for &index in &self.curved {
                let element = &self.elements[index];
                let at = |node: Node| self.unknown[node.0].map_or(0.0, |unknown| self.x[unknown]);
                values.add(places[index], element.law.flow(at(element.a) - at(element.b)).siemens, 0.0);
            }
            for (unknown, amps) in left_over.iter().enumerate() {
                values.set_right(unknown, -amps);
            }
            self.work.iterations += 1;
            if !self.solve_linear() {
                return false;
            }
            let direction = self.next.clone();
            let length = self.lowest_along(&direction, &left_over);
            let before = self.x.clone();
            let mut step = 0.0_f64;
            for (x, along) in self.x.iter_mut().zip(&direction) {
                *x += length * along;
                step = step.max((length * along).abs());
            }
            self.next.copy_from_slice(&before);
            let shrinks = step < SHRINKING * last_step;
            last_step = step;
            let small = step <= LAST_STEP_VOLTS;
            if (small || (!shrinks && self.step_is_noise(1.0))) && self.currents_add_up(0.0, 1.0) {
                return true;
            }
        }
        false
    }

    /// Whether the rounding of the currents explains the last step (from `next`, which holds the
    /// voltages before it, to `x`). Strips that nothing but leaks ties to the rest are moved by
    /// millivolts by the last bit of an ampere that flows among them. A step of voltages v over
    /// conductances g is worth Σ g·v² watts; a rounding error of i amperes through a leak of g is
    /// worth i²/g.
    fn step_is_noise(&self, share: f64) -> bool {
        let moved = |node: Node| self.unknown[node.0].map_or(0.0, |u| self.x[u] - self.next[u]);
        let (mut watts, mut rounding) = (0.0, 0.0_f64);
        for (index, element) in self.elements.iter().enumerate() {
            if element.law.branch().is_none() {
                let siemens = element.law.scaled(share).flow(self.volts_over(index)).siemens;
                let by = moved(element.a) - moved(element.b);
                watts += siemens * by * by;
                let largest = self.volts(element.a).abs().max(self.volts(element.b).abs());
                rounding = rounding.max(siemens * largest * f64::EPSILON);
            }
        }
        watts <= 4.0 * rounding * rounding / LEAK_SIEMENS
    }

    /// How far to go along a direction: 1, or to near the lowest point of the co-content, which is
    /// where the left-over currents' share along the direction changes its sign.
    fn lowest_along(&mut self, direction: &[f64], left_over: &[f64]) -> f64 {
        let from = self.x.clone();
        let mut slope_at = |length: f64| {
            for ((x, from), along) in self.x.iter_mut().zip(&from).zip(direction) {
                *x = from + length * along;
            }
            dot(&self.left_over(), direction)
        };
        let start = dot(left_over, direction);
        // Near enough: half of the slope is gone. A tighter search costs more than it gains.
        let near = |slope: f64| slope.abs() <= 0.5 * start.abs();
        let (mut low, mut low_slope) = (0.0, start);
        let (mut high, mut high_slope) = (1.0, slope_at(1.0));
        // Still falling as steeply: farther, by doubling.
        while high_slope < 0.0 && !near(high_slope) && high < 1e3 {
            (low, low_slope) = (high, high_slope);
            high *= 2.0;
            high_slope = slope_at(high);
        }
        let mut length = high;
        if high_slope > 0.0 && !near(high_slope) {
            // False position alternating with halving, as the slope may be all in one corner.
            for turn in 0..80 {
                length = if turn % 2 == 0 {
                    low + (high - low) * low_slope / (low_slope - high_slope)
                } else {
                    0.5 * (low + high)
                };
                let slope = slope_at(length);
                if near(slope) {
                    break;
                }
                if slope < 0.0 {
                    (low, low_slope) = (length, slope);
                } else {
                    (high, high_slope) = (length, slope);
                }
            }
        }
        self.x = from;
        length
    }

    /// The current that flows out of each unknown node by the laws themselves.
    fn left_over(&self) -> Vec<f64> {
        let mut sums = vec![0.0; self.unknowns];
        let volts = self.node_volts();
        for (element, amps) in self.elements.iter().zip(self.element_amps(&volts, 1.0)) {
            if let Some(a) = self.unknown[element.a.0] {
                sums[a] += amps;
            }
            if let Some(b) = self.unknown[element.b.0] {
                sums[b] -= amps;
            }
        }
        sums
    }

    /// Whether Kirchhoff's current law holds everywhere, asked of the laws themselves and not of
    /// the equations that were just solved.
    fn currents_add_up(&self, leak_siemens: f64, share: f64) -> bool {
        let volts = self.node_volts();
        let mut sums = vec![(0.0_f64, 0.0_f64); self.nodes];
        for (element, amps) in self.elements.iter().zip(self.element_amps(&volts, share)) {
            for (node, amps) in [(element.a, amps), (element.b, -amps)] {
                let (sum, largest) = &mut sums[node.0];
                *sum += amps;
                *largest = largest.max(amps.abs());
            }
        }
        let nodes = self.unknown.iter().zip(&sums).zip(&volts);
        // The reference has no equation of its own, but the law holds there too: what many nodes with
        // large currents miss may be much at a reference with small ones. The leaks of gmin stepping
        // end there, so that it is not asked meanwhile.
        let asked = |unknown: &Unknown| unknown.is_some() || leak_siemens == 0.0;
        nodes.filter(|((unknown, _), _)| asked(unknown)).all(|((_, &(sum, largest)), &volts)| {
            (sum + leak_siemens * volts).abs() <= NODE_AMPS + NODE_SHARE * largest
        })
    }

    fn node_volts(&self) -> Vec<f64> {
        (0..self.nodes).map(|node| self.volts(Node(node))).collect()
    }

    fn element_amps(&self, volts: &[f64], share: f64) -> impl Iterator<Item = f64> {
        let mut branches = self.branches.iter();
        self.elements.iter().map(move |element| {
            if element.law.branch().is_some() {
                branches.next().map_or(0.0, |&(_, unknown)| self.x[unknown])
            } else {
                element.law.scaled(share).flow(volts[element.a.0] - volts[element.b.0]).amps
            }
        })
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn largest_difference(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests;
