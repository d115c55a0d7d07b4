//! The operating point: all voltages and currents of a circuit at rest.
//!
//! Modified nodal analysis after Ho, Ruehli and Brennan (IEEE Trans. Circuits and Systems 22,
//! 504-509, 1975): one unknown for each node's voltage, one more for the current of each element
//! that is (nearly) a short, and Kirchhoff's current law at each node. Newton's method with limited
//! junction steps; where that does not settle, conductances to ground that are taken away step by
//! step (gmin stepping), then sources that are turned up step by step.

use crate::bench::{Bench, LegId, PartIx};
use crate::board::Strip;
use crate::circuit::{Circuit, Contacts, Law, Node};
use crate::linear::{LinearSystem, Unknown};
use crate::nets::{DisjointSets, NetIx, Nets};
use crate::readings::{NetReading, PartReading, PinReading};

/// Kirchhoff's current law is met when the currents of a node add up to no more than this, amperes.
/// A tenth of what Halfrow promises, so that the promise has a margin.
const NODE_AMPS: f64 = 1e-10;

/// The same as a share of the largest current at the node.
const NODE_SHARE: f64 = 1e-7;

/// The largest last Newton step, volts. Smaller asks for digits that a double has not got where
/// volts meet nanoamperes; larger leaves the answer dependent on the way to it.
const LAST_STEP_VOLTS: f64 = 1e-9;

/// Newton iterations before another way is tried. Benches settle in fewer than 15.
const MAX_ITERATIONS: u32 = 60;

/// How the operating point was found, and with how much work.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Work {
    /// Newton iterations.
    pub iterations: u32,
    /// Matrices factored.
    pub factorisations: u32,
    /// Steps of gmin or source stepping; 0 when plain Newton settled.
    pub steps: u32,
    /// Number of unknowns.
    pub unknowns: u32,
}

/// The answer of [`solve`].
#[derive(Clone, Debug)]
pub struct OperatingPoint {
    /// The circuit that was solved.
    pub circuit: Circuit,
    /// The nets of the bench.
    pub nets: Nets,
    /// Voltage of each node against its island's reference, volts.
    pub node_volts: Vec<f64>,
    /// Current of each element from its first node to its second, amperes.
    pub element_amps: Vec<f64>,
    /// Island of each node: nodes of different islands have no common reference.
    pub node_island: Vec<usize>,
    /// The reference node of each island.
    pub islands: Vec<Island>,
    /// Readings of each part.
    pub parts: Vec<PartReading>,
    /// Readings of each net.
    pub net_readings: Vec<NetReading>,
    /// Whether Newton's method settled. Where it did not, the readings are the last it had, and
    /// [`OperatingPoint::worst`] says where they are wrong.
    pub settled: bool,
    /// The node whose currents add up worst and what is left over, amperes; `None` without nodes.
    pub worst: Option<(Node, f64)>,
    /// How much work it was.
    pub work: Work,
}

/// A set of nodes that current can flow between.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Island {
    /// The node that counts as 0 V.
    pub reference: Node,
    /// The source whose − pin that is; `None` for an island without a source, which floats.
    pub source: Option<PartIx>,
}

/// The operating point of a bench. Always answers: shorts, loops of sources, floating parts and
/// empty boards have one too.
pub fn solve(bench: &Bench) -> OperatingPoint {
    solve_with(bench, Contacts::default())
}

/// The operating point with other contacts than usual.
pub fn solve_with(bench: &Bench, contacts: Contacts) -> OperatingPoint {
    let circuit = Circuit::of(bench, contacts);
    let nets = Nets::of(bench, &circuit);
    let (islands, node_island) = find_islands(bench, &circuit);
    let mut solver = Solver::new(&circuit, &islands, &node_island);
    let settled = solver.run();
    let node_volts = solver.node_volts();
    let element_amps = solver.element_amps(&node_volts);
    let work = solver.work;
    let worst = worst_node(&circuit, &element_amps);
    let mut point = OperatingPoint {
        circuit,
        nets,
        node_volts,
        element_amps,
        node_island,
        islands,
        parts: Vec::new(),
        net_readings: Vec::new(),
        settled,
        worst,
        work,
    };
    point.parts = (0..bench.parts.len()).map(|part| point.read_part(PartIx(part))).collect();
    point.net_readings = (0..point.nets.all.len()).map(|net| point.read_net(bench, NetIx(net))).collect();
    point
}

fn find_islands(bench: &Bench, circuit: &Circuit) -> (Vec<Island>, Vec<usize>) {
    let mut sets = DisjointSets::new(circuit.nodes);
    for element in &circuit.elements {
        sets.join(element.a.0, element.b.0);
    }
    let mut island_of_root = vec![usize::MAX; circuit.nodes];
    let mut islands: Vec<Island> = Vec::new();
    let node_island = (0..circuit.nodes)
        .map(|node| {
            let root = sets.root(node);
            if island_of_root[root] == usize::MAX {
                island_of_root[root] = islands.len();
                islands.push(Island { reference: Node(root), source: None });
            }
            island_of_root[root]
        })
        .collect::<Vec<_>>();
    for (index, part) in bench.parts.iter().enumerate() {
        let Some(source) = part.card.source else { continue };
        let minus = circuit.joins[index][usize::from(source.minus)].node;
        let island = &mut islands[node_island[minus.0]];
        if island.source.is_none() {
            *island = Island { reference: minus, source: Some(PartIx(index)) };
        }
    }
    (islands, node_island)
}

struct Solver<'a> {
    circuit: &'a Circuit,
    /// The unknown that is the voltage of each node.
    unknown: Vec<Unknown>,
    /// Elements with a current of their own, and its unknown; in the order of the elements.
    branches: Vec<(usize, usize)>,
    /// Elements whose law is a curve.
    curved: Vec<usize>,
    /// The junction voltage that each curved element was last drawn as a straight line at.
    drawn_at: Vec<f64>,
    unknowns: usize,
    x: Vec<f64>,
    work: Work,
}

impl<'a> Solver<'a> {
    fn new(circuit: &'a Circuit, islands: &[Island], node_island: &[usize]) -> Solver<'a> {
        let mut unknowns = 0;
        let mut next = || {
            unknowns += 1;
            unknowns - 1
        };
        let unknown: Vec<Unknown> = (0..circuit.nodes)
            .map(|node| (islands[node_island[node]].reference != Node(node)).then(&mut next))
            .collect();
        let mut branches = Vec::new();
        let mut curved = Vec::new();
        for (index, element) in circuit.elements.iter().enumerate() {
            if element.law.branch().is_some() {
                branches.push((index, next()));
            } else if !element.law.is_linear() {
                curved.push(index);
            }
        }
        Solver {
            circuit,
            unknown,
            branches,
            drawn_at: vec![0.0; curved.len()],
            curved,
            unknowns,
            x: vec![0.0; unknowns],
            work: Work { unknowns: unknowns as u32, ..Work::default() },
        }
    }

    fn run(&mut self) -> bool {
        if self.unknowns == 0 || self.newton(0.0, 1.0) {
            return true;
        }
        // Gmin stepping: each node leaks to its reference, ten times less at each step.
        self.start_again();
        let mut siemens = 1e-2;
        while siemens > 1e-13 && self.newton(siemens, 1.0) {
            self.work.steps += 1;
            siemens /= 10.0;
        }
        if siemens <= 1e-13 && self.newton(0.0, 1.0) {
            return true;
        }
        // Source stepping, a twentieth at a time.
        self.start_again();
        for step in 1..=20 {
            self.work.steps += 1;
            if !self.newton(0.0, f64::from(step) / 20.0) && step == 20 {
                return false;
            }
        }
        true
    }

    fn start_again(&mut self) {
        self.x.fill(0.0);
        self.drawn_at.fill(0.0);
    }

    fn volts(&self, node: Node) -> f64 {
        self.unknown[node.0].map_or(0.0, |unknown| self.x[unknown])
    }

    /// The part of the equations that does not change from one iteration to the next.
    fn straight_part(&self, leak_siemens: f64, share: f64) -> LinearSystem {
        let mut system = LinearSystem::new(self.unknowns);
        for unknown in self.unknown.iter().flatten() {
            system.add(Some(*unknown), Some(*unknown), leak_siemens);
        }
        let mut branches = self.branches.iter();
        for element in &self.circuit.elements {
            let (a, b) = (self.unknown[element.a.0], self.unknown[element.b.0]);
            let law = element.law.scaled(share);
            if let Some((volts, ohms)) = law.branch() {
                let current = branches.next().map(|&(_, unknown)| unknown);
                system.add(a, current, 1.0);
                system.add(b, current, -1.0);
                system.add(current, a, 1.0);
                system.add(current, b, -1.0);
                system.add(current, current, -ohms);
                system.add_right(current, volts);
            } else if law.is_linear() {
                let flow = law.flow(0.0);
                system.add_conductance(a, b, flow.siemens, flow.amps);
            }
        }
        system
    }

    /// Draws each curved law as a straight line at the present voltages. A junction's is drawn at a
    /// voltage that has not risen too far beyond the last one.
    fn add_curves(&mut self, system: &mut LinearSystem, share: f64) {
        for (place, &index) in self.curved.iter().enumerate() {
            let element = &self.circuit.elements[index];
            let volts = self.volts(element.a) - self.volts(element.b);
            let law = element.law.scaled(share);
            let (volts, flow) = match law {
                Law::Junction(junction) => {
                    let wanted = junction.inner_volts(volts);
                    let inner = limited_step(wanted, self.drawn_at[place], &junction);
                    self.drawn_at[place] = inner;
                    junction.at(inner)
                }
                other => (volts, other.flow(volts)),
            };
            system.add_conductance(
                self.unknown[element.a.0],
                self.unknown[element.b.0],
                flow.siemens,
                flow.amps - flow.siemens * volts,
            );
        }
    }

    fn newton(&mut self, leak_siemens: f64, share: f64) -> bool {
        let straight = self.straight_part(leak_siemens, share);
        let mut system = straight.clone();
        for _ in 0..MAX_ITERATIONS {
            system.copy_from(&straight);
            self.add_curves(&mut system, share);
            self.work.iterations += 1;
            self.work.factorisations += 1;
            let Some(next) = system.solve() else { return false };
            let step = self.x.iter().zip(&next).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            self.x = next;
            // Linear circuits are done after one solve.
            if (self.curved.is_empty() || step <= LAST_STEP_VOLTS)
                && self.currents_add_up(leak_siemens, share)
            {
                return true;
            }
        }
        false
    }

    /// Whether Kirchhoff's current law holds everywhere, asked of the laws themselves and not of
    /// the equations that were just solved.
    fn currents_add_up(&self, leak_siemens: f64, share: f64) -> bool {
        let volts = self.node_volts();
        let mut sums = vec![(0.0_f64, 0.0_f64); self.circuit.nodes];
        let mut branches = self.branches.iter();
        for element in &self.circuit.elements {
            let law = element.law.scaled(share);
            let amps = if law.branch().is_some() {
                branches.next().map_or(0.0, |&(_, unknown)| self.x[unknown])
            } else {
                law.flow(volts[element.a.0] - volts[element.b.0]).amps
            };
            add_to_node(&mut sums, element.a, amps);
            add_to_node(&mut sums, element.b, -amps);
        }
        let references = self.unknown.iter().zip(&sums).zip(&volts);
        references.filter(|((unknown, _), _)| unknown.is_some()).all(|((_, &(sum, largest)), &volts)| {
            (sum + leak_siemens * volts).abs() <= NODE_AMPS + NODE_SHARE * largest
        })
    }

    fn node_volts(&self) -> Vec<f64> {
        (0..self.circuit.nodes).map(|node| self.volts(Node(node))).collect()
    }

    fn element_amps(&self, volts: &[f64]) -> Vec<f64> {
        let mut branches = self.branches.iter();
        let laws = self.circuit.elements.iter();
        laws.map(|element| {
            if element.law.branch().is_some() {
                branches.next().map_or(0.0, |&(_, unknown)| self.x[unknown])
            } else {
                element.law.flow(volts[element.a.0] - volts[element.b.0]).amps
            }
        })
        .collect()
    }
}

fn add_to_node(sums: &mut [(f64, f64)], node: Node, amps: f64) {
    let (sum, largest) = &mut sums[node.0];
    *sum += amps;
    *largest = largest.max(amps.abs());
}

/// Limits how far a junction's voltage may rise in one step: freely up to two emission voltages
/// above its critical voltage (or above where it was), by the logarithm beyond, so that the
/// exponential never runs away. Falling is free: the curve only flattens.
fn limited_step(wanted: f64, before: f64, junction: &crate::circuit::Junction) -> f64 {
    let unit = junction.emission_volts;
    let free = before.max(junction.critical_volts()) + 2.0 * unit;
    if wanted <= free { wanted } else { free + unit * crate::math::ln(1.0 + (wanted - free) / unit) }
}

/// The node whose currents add up worst, relative to what [`solve`] promises.
fn worst_node(circuit: &Circuit, element_amps: &[f64]) -> Option<(Node, f64)> {
    let mut sums = vec![(0.0, 0.0); circuit.nodes];
    for (element, &amps) in circuit.elements.iter().zip(element_amps) {
        add_to_node(&mut sums, element.a, amps);
        add_to_node(&mut sums, element.b, -amps);
    }
    let weight = |&(sum, largest): &(f64, f64)| sum.abs() / (1e-9 + 1e-6 * largest);
    let worst = (0..sums.len()).max_by(|&i, &j| weight(&sums[i]).total_cmp(&weight(&sums[j])))?;
    Some((Node(worst), sums[worst].0))
}

impl OperatingPoint {
    fn read_part(&self, part: PartIx) -> PartReading {
        let joins = &self.circuit.joins[part.0];
        let mut amps = vec![0.0; joins.len()];
        // Elements stand part by part, so that a part's are found by bisection.
        let elements = &self.circuit.elements;
        let first = elements.partition_point(|element| element.part < part);
        let own = elements[first..].iter().take_while(|element| element.part == part);
        for (element, &i) in own.zip(&self.element_amps[first..]) {
            if let Some(pin) = element.pin_a {
                amps[pin] += i;
            }
            if let Some(pin) = element.pin_b {
                amps[pin] -= i;
            }
        }
        let pins: Vec<PinReading> = joins
            .iter()
            .zip(amps)
            .map(|(join, amps)| {
                let drop = if join.folded { join.contact_ohms * amps } else { 0.0 };
                let island = self.node_island[join.node.0];
                PinReading {
                    volts: self.node_volts[join.node.0] - drop,
                    amps,
                    island,
                    floating: self.islands[island].source.is_none(),
                    touches: join.strip.is_some(),
                }
            })
            .collect();
        let watts = pins.iter().map(|pin| pin.volts * pin.amps).sum();
        PartReading { pins, watts }
    }

    fn read_net(&self, bench: &Bench, net: NetIx) -> NetReading {
        let it = self.nets.net(net);
        let nodes: Vec<Node> = it.strips.iter().filter_map(|&strip| self.circuit.node_of(strip)).collect();
        let volts = nodes.iter().map(|node| self.node_volts[node.0]);
        let low = volts.clone().fold(f64::INFINITY, f64::min);
        let high = volts.fold(f64::NEG_INFINITY, f64::max);
        // The voltage that stands for the net is that of the strip with a source's leg, or of its
        // first strip.
        let source = it.legs.iter().find(|leg| bench.part(leg.part).card.source.is_some());
        let main =
            source.and_then(|leg| self.circuit.joins[leg.part.0][leg.pin].strip).or(nodes.first().copied());
        let node = main.expect("a net has a strip");
        let island = self.node_island[node.0];
        NetReading {
            volts: self.node_volts[node.0],
            low,
            high,
            island,
            floating: self.islands[island].source.is_none(),
        }
    }

    /// Voltage of a strip, volts; `None` when no leg touches it or its island floats.
    pub fn strip_volts(&self, strip: Strip) -> Option<f64> {
        let node = self.circuit.node_of(strip)?;
        let island = self.islands[self.node_island[node.0]];
        island.source.map(|_| self.node_volts[node.0])
    }

    /// The reading of a part.
    pub fn part(&self, part: PartIx) -> &PartReading {
        &self.parts[part.0]
    }

    /// The reading of a leg.
    pub fn leg(&self, leg: LegId) -> PinReading {
        self.parts[leg.part.0].pins[leg.pin]
    }

    /// The largest amount by which Kirchhoff's current law is missed at any node, as a share of
    /// what is promised (1 nA and a millionth of the largest current there). Below 1 is right.
    pub fn law_missed_by(&self) -> f64 {
        let mut sums = vec![(0.0, 0.0); self.circuit.nodes];
        for (element, &amps) in self.circuit.elements.iter().zip(&self.element_amps) {
            add_to_node(&mut sums, element.a, amps);
            add_to_node(&mut sums, element.b, -amps);
        }
        sums.iter().map(|(sum, largest)| sum.abs() / (1e-9 + 1e-6 * largest)).fold(0.0, f64::max)
    }
}
