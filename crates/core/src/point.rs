//! The operating point: all voltages and currents of a bench at one moment, and what they mean for its
//! parts and nets.

use std::rc::Rc;

use crate::bench::{Bench, LegId, PartIx};
use crate::board::Strip;
use crate::card::State;
use crate::circuit::{Circuit, Contacts, Node};
use crate::islands::{Island, find_islands};
use crate::memory::{BLANK, Memory};
use crate::nets::{NetIx, Nets};
use crate::readings::{NetReading, PartReading, PinReading};

pub use halfrow_equations::branch::Work;

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

/// What a bench does at one moment or at rest.
#[derive(Clone, Debug)]
pub struct OperatingPoint {
    /// The circuit that was solved.
    pub circuit: Rc<Circuit>,
    /// The nets of the bench.
    pub nets: Rc<Nets>,
    /// Voltage of each node against its island's reference, volts.
    pub node_volts: Vec<f64>,
    /// Current of each element from its first node to its second, amperes.
    pub element_amps: Vec<f64>,
    /// Island of each node: nodes of different islands have no common reference.
    pub node_island: Vec<usize>,
    /// The reference node of each island.
    pub islands: Vec<Island>,
    /// What each part remembers.
    pub memories: Vec<Memory>,
    /// Readings of each part.
    pub parts: Vec<PartReading>,
    /// Readings of each net.
    pub net_readings: Vec<NetReading>,
    /// Whether Newton's method settled. Where it did not, the readings are the last it had, and
    /// [`OperatingPoint::worst`] says where they are wrong.
    pub settled: bool,
    /// Whether the bench never comes to rest (it blinks, counts, sings): the readings are means over
    /// some of its time then, and [`crate::time`] tells the rest.
    pub restless: bool,
    /// Whether a restless bench asked for more work than a second of one core: its means leave out the later
    /// part of the run that they would be taken from.
    pub cut_short: bool,
    /// Why a clock has stopped, if one has.
    pub stall: Option<Stall>,
    /// The node whose currents add up worst and what is left over, amperes; `None` without nodes.
    pub worst: Option<(Node, f64)>,
    /// How much work it was.
    pub work: Work,
}

fn add_to_node(sums: &mut [(f64, f64)], node: Node, amps: f64) {
    let (sum, largest) = &mut sums[node.0];
    *sum += amps;
    *largest = largest.max(amps.abs());
}

/// For each node, what its currents add up to and the largest of them, amperes.
fn node_sums(circuit: &Circuit, element_amps: &[f64]) -> Vec<(f64, f64)> {
    let mut sums = vec![(0.0, 0.0); circuit.nodes];
    for (element, &amps) in circuit.elements.iter().zip(element_amps) {
        add_to_node(&mut sums, element.a, amps);
        add_to_node(&mut sums, element.b, -amps);
    }
    sums
}

/// How far a node's sum misses Kirchhoff's current law, as a share of what [`solve`] promises.
fn missed_by((sum, largest): (f64, f64)) -> f64 {
    sum.abs() / (1e-9 + 1e-6 * largest)
}

/// The node whose currents add up worst, relative to what [`solve`] promises.
pub(crate) fn worst_node(circuit: &Circuit, element_amps: &[f64]) -> Option<(Node, f64)> {
    let sums = node_sums(circuit, element_amps);
    let worst = (0..sums.len()).max_by(|&i, &j| missed_by(sums[i]).total_cmp(&missed_by(sums[j])))?;
    Some((Node(worst), sums[worst].0))
}

impl OperatingPoint {
    /// What there is to show of a bench before anything has been worked out: its own circuit and nets, and
    /// on them the voltages and currents that strips and parts of the same name and kind had on a bench of
    /// `before`, by its point. What is new has none. Not settled.
    pub fn unsolved(bench: &Bench, before: Option<(&OperatingPoint, &Bench)>) -> OperatingPoint {
        let memories: Vec<Memory> = bench.parts.iter().map(Memory::of).collect();
        let circuit = Circuit::with_memories(bench, Contacts::default(), &memories);
        let (islands, node_island) = find_islands(bench, &circuit);
        let mut point = OperatingPoint {
            nets: Rc::new(Nets::of(bench, &circuit)),
            node_volts: vec![0.0; circuit.nodes],
            element_amps: vec![0.0; circuit.elements.len()],
            circuit: Rc::new(circuit),
            node_island,
            islands,
            memories,
            parts: Vec::new(),
            net_readings: Vec::new(),
            settled: false,
            restless: false,
            cut_short: false,
            stall: None,
            worst: None,
            work: Work::default(),
        };
        if let Some((former, before)) = before {
            point.carry_over(bench, former, before);
        }
        point.read(bench);
        point
    }

    /// Takes over what strips and parts had at the point of a former bench.
    fn carry_over(&mut self, bench: &Bench, former: &OperatingPoint, before: &Bench) {
        let circuit = self.circuit.clone();
        for (node, &strip) in circuit.strips.iter().enumerate() {
            self.node_volts[node] = former.circuit.node_of(strip).map_or(0.0, |old| former.node_volts[old.0]);
        }
        for (index, part) in bench.parts.iter().enumerate() {
            // A part mostly stands where it stood.
            let at = before.parts.get(index).filter(|it| it.id == part.id).map(|_| PartIx(index));
            let old = at.or_else(|| before.find(&part.id)).filter(|&old| before.part(old).card == part.card);
            let Some(old) = old else { continue };
            self.memories[index] = former.memories[old.0];
            let own = circuit.elements_of(PartIx(index));
            for ((new, element), (old, was)) in own.zip(former.circuit.elements_of(old)) {
                self.element_amps[new] = former.element_amps[old];
                // Points inside a part.
                for (node, was) in [(element.a, was.a), (element.b, was.b)] {
                    if node.0 >= circuit.strips.len() {
                        self.node_volts[node.0] = former.node_volts[was.0];
                    }
                }
            }
        }
    }

    /// Reads parts and nets off the voltages and currents.
    pub(crate) fn read(&mut self, bench: &Bench) {
        self.parts = (0..bench.parts.len()).map(|part| self.read_part(PartIx(part))).collect();
        self.net_readings = (0..self.nets.all.len()).map(|net| self.read_net(bench, NetIx(net))).collect();
    }

    fn read_part(&self, part: PartIx) -> PartReading {
        let mut reading = PartReading::blank(&self.circuit, &self.node_island, &self.islands, part);
        reading.memory = self.memories[part.0];
        reading.fill(&self.circuit, &|node| self.node_volts[node], &|index| self.element_amps[index], part);
        reading
    }

    fn read_net(&self, bench: &Bench, net: NetIx) -> NetReading {
        let it = self.nets.net(net);
        let mut nodes = it.strips.iter().filter_map(|&strip| self.circuit.node_of(strip)).peekable();
        let first = nodes.peek().copied();
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for node in nodes {
            low = low.min(self.node_volts[node.0]);
            high = high.max(self.node_volts[node.0]);
        }
        // The voltage that stands for the net is that of the strip with a source's leg, or of its
        // first strip.
        let source = it.legs.iter().find(|leg| bench.part(leg.part).card.source.is_some());
        let main = source.and_then(|leg| self.circuit.joins[leg.part.0][leg.pin].strip).or(first);
        let node = main.expect("a net has a strip");
        let island = self.node_island[node.0];
        NetReading {
            volts: self.node_volts[node.0],
            low_volts: low,
            high_volts: high,
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

    /// What a part of the bench does just now.
    pub fn state(&self, bench: &Bench, part: PartIx) -> State {
        let it = bench.part(part);
        if self.part(part).memory.burnt {
            return State::plain("burnt out");
        }
        (it.card.state)(it, self.part(part))
    }

    /// How long a source goes on giving what it gives just now, seconds; `None` for one that doesn't run down
    /// or gives nothing worth telling.
    pub fn lasts_seconds(&self, bench: &Bench, part: PartIx) -> Option<f64> {
        let it = bench.part(part);
        it.card.source?.lasts_seconds(it, self.part(part))
    }

    /// The reading of a leg.
    pub fn leg(&self, leg: LegId) -> PinReading {
        self.parts[leg.part.0].pins[leg.pin]
    }

    /// The largest amount by which Kirchhoff's current law is missed at any node, as a share of
    /// what is promised (1 nA and a millionth of the largest current there). Below 1 is right.
    pub fn law_missed_by(&self) -> f64 {
        node_sums(&self.circuit, &self.element_amps).into_iter().map(missed_by).fold(0.0, f64::max)
    }
}

impl PartReading {
    /// A reading of a part in which everything stands that no voltage changes.
    pub(crate) fn blank(
        circuit: &Circuit,
        node_island: &[usize],
        islands: &[Island],
        part: PartIx,
    ) -> PartReading {
        let pins = circuit.joins[part.0].iter().map(|join| {
            let island = node_island[join.node.0];
            let floating = islands[island].source.is_none();
            PinReading { volts: 0.0, amps: 0.0, island, floating, touches: join.strip.is_some() }
        });
        let inner_volts = vec![0.0; circuit.inner[part.0].len()];
        PartReading { pins: pins.collect(), inner_volts, memory: BLANK, watts: 0.0 }
    }

    /// Writes volts, amperes and watts of a part, asking for the voltage of each node and the current of
    /// each element. What drops over its contacts is not the part's.
    pub(crate) fn fill(
        &mut self,
        circuit: &Circuit,
        volts: &dyn Fn(usize) -> f64,
        amps: &dyn Fn(usize) -> f64,
        part: PartIx,
    ) {
        for pin in &mut self.pins {
            pin.amps = 0.0;
        }
        for (index, element) in circuit.elements_of(part) {
            let i = amps(index);
            if let Some(pin) = element.pin_a {
                self.pins[pin].amps += i;
            }
            if let Some(pin) = element.pin_b {
                self.pins[pin].amps -= i;
            }
        }
        for (pin, join) in self.pins.iter_mut().zip(&circuit.joins[part.0]) {
            let drop = if join.folded { join.contact_ohms * pin.amps } else { 0.0 };
            pin.volts = volts(join.node.0) - drop;
        }
        for (inner, node) in self.inner_volts.iter_mut().zip(&circuit.inner[part.0]) {
            *inner = volts(node.0);
        }
        self.watts = self.pins.iter().map(|pin| pin.volts * pin.amps).sum();
    }
}
