//! Conductances between nodes, solved by taking one node away after the other.
//!
//! Taking away a node of conductances g₁, g₂ … to its neighbours leaves gᵢ·gⱼ / Σg between each two
//! of them: the star-mesh transformation of circuit theory, which is Gaussian elimination of the
//! nodal equations in other words. Written like this it only ever adds and multiplies positive
//! numbers (Grassmann, Taksar and Heyman, Operations Research 33, 1107-1116, 1985, do the same for
//! Markov chains), so that a leak of a picosiemens beside wires of fifty siemens keeps all its
//! digits and no pivot can come out as zero. Nodes go in the order of fewest neighbours, so that a
//! board, which is nearly a tree, makes hardly any new conductances.

use crate::linear::Unknown;

/// Where an element stands in a [`Network`].
#[derive(Clone, Copy, Debug)]
pub struct Place {
    a: Unknown,
    b: Unknown,
    /// The conductance between its nodes, when both are unknowns and not the same.
    slot: usize,
}

/// The pattern of a network: which nodes are joined, in which order they are taken away.
#[derive(Clone, Debug)]
pub struct Network {
    unknowns: usize,
    slots: usize,
    /// In the order in which they are taken away: the node, and how many neighbours it then has.
    order: Vec<(usize, usize)>,
    /// The neighbours of each node of `order`, one after the other, with their slots.
    neighbours: Vec<(usize, usize)>,
    /// For each two of them the slot between them, in the order of the loops that use it.
    targets: Vec<usize>,
    /// 1 / Σg and the right-hand side of each node taken away; kept to spare an allocation a solve.
    scratch: Vec<f64>,
}

/// The numbers of a network.
#[derive(Clone, Debug)]
pub struct Siemens {
    between: Vec<f64>,
    to_reference: Vec<f64>,
    right: Vec<f64>,
}

impl Network {
    /// The network of elements between unknowns, and each element's place in it.
    pub fn new(unknowns: usize, elements: impl Iterator<Item = (Unknown, Unknown)>) -> (Network, Vec<Place>) {
        // For each node that is still there: its neighbours and the slots between.
        let mut joined: Vec<Vec<(usize, usize)>> = vec![Vec::with_capacity(4); unknowns];
        let mut slots = 0;
        let mut between = |joined: &mut Vec<Vec<(usize, usize)>>, a: usize, b: usize| {
            let (from, to) = if joined[a].len() <= joined[b].len() { (a, b) } else { (b, a) };
            if let Some(&(_, slot)) = joined[from].iter().find(|(node, _)| *node == to) {
                return slot;
            }
            joined[a].push((b, slots));
            joined[b].push((a, slots));
            slots += 1;
            slots - 1
        };
        let places = elements
            .map(|(a, b)| {
                let slot = match (a, b) {
                    (Some(a), Some(b)) if a != b => between(&mut joined, a, b),
                    _ => usize::MAX,
                };
                Place { a, b, slot }
            })
            .collect();
        let mut network = Network {
            unknowns,
            slots: 0,
            order: Vec::with_capacity(unknowns),
            neighbours: Vec::with_capacity(4 * unknowns),
            targets: Vec::with_capacity(8 * unknowns),
            scratch: vec![0.0; unknowns],
        };
        let mut waiting: Vec<usize> = (0..unknowns).collect();
        while !waiting.is_empty() {
            let fewest = (0..waiting.len()).min_by_key(|&i| (joined[waiting[i]].len(), waiting[i]));
            let node = waiting.swap_remove(fewest.unwrap_or(0));
            let star = std::mem::take(&mut joined[node]);
            for (i, &(a, _)) in star.iter().enumerate() {
                joined[a].retain(|&(other, _)| other != node);
                for &(b, _) in &star[..i] {
                    network.targets.push(between(&mut joined, a, b));
                }
            }
            network.order.push((node, star.len()));
            network.neighbours.extend(star);
        }
        network.slots = slots;
        (network, places)
    }

    /// All conductances and currents at zero.
    pub fn zero(&self) -> Siemens {
        Siemens {
            between: vec![0.0; self.slots],
            to_reference: vec![0.0; self.unknowns],
            right: vec![0.0; self.unknowns],
        }
    }

    /// The voltages; uses up the numbers. False where a node is tied to nothing or a number is not
    /// finite.
    pub fn solve(&mut self, values: &mut Siemens, x: &mut [f64]) -> bool {
        let (mut first, mut target) = (0, 0);
        for &(node, count) in &self.order {
            let star = &self.neighbours[first..first + count];
            first += count;
            let mut sum = values.to_reference[node];
            for &(_, slot) in star {
                sum += values.between[slot];
            }
            let one_over = 1.0 / sum;
            self.scratch[node] = one_over;
            let (leak, right) = (values.to_reference[node], values.right[node]);
            for (i, &(a, slot_a)) in star.iter().enumerate() {
                let share = values.between[slot_a] * one_over;
                values.to_reference[a] += share * leak;
                values.right[a] += share * right;
                for &(_, slot_b) in &star[..i] {
                    values.between[self.targets[target]] += share * values.between[slot_b];
                    target += 1;
                }
            }
        }
        let mut finite = true;
        for &(node, count) in self.order.iter().rev() {
            let star = &self.neighbours[first - count..first];
            first -= count;
            let mut flow = values.right[node];
            for &(other, slot) in star {
                flow += values.between[slot] * x[other];
            }
            x[node] = flow * self.scratch[node];
            finite &= x[node].is_finite();
        }
        finite
    }
}

impl Siemens {
    /// Makes this equal to others of the same network.
    pub fn copy_from(&mut self, other: &Siemens) {
        self.between.copy_from_slice(&other.between);
        self.to_reference.copy_from_slice(&other.to_reference);
        self.right.copy_from_slice(&other.right);
    }

    /// Adds an element: its conductance and the current from its first node to its second that
    /// flows at zero volts.
    pub fn add(&mut self, place: Place, siemens: f64, amps_at_zero: f64) {
        match (place.a, place.b) {
            (Some(a), Some(b)) if a != b => {
                self.between[place.slot] += siemens;
                self.right[a] -= amps_at_zero;
                self.right[b] += amps_at_zero;
            }
            (Some(a), None) => {
                self.to_reference[a] += siemens;
                self.right[a] -= amps_at_zero;
            }
            (None, Some(b)) => {
                self.to_reference[b] += siemens;
                self.right[b] += amps_at_zero;
            }
            // Both ends in one node: whatever flows, flows in a ring.
            _ => {}
        }
    }

    /// Adds a conductance from a node to its reference.
    pub fn add_leak(&mut self, unknown: usize, siemens: f64) {
        self.to_reference[unknown] += siemens;
    }

    /// Sets the current that flows into a node from outside.
    pub fn set_right(&mut self, unknown: usize, amps: f64) {
        self.right[unknown] = amps;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::linear::LinearSystem;

    /// Numbers that look like chance: a linear congruence.
    fn chance(state: &mut u64) -> u64 {
        *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        *state >> 33
    }

    #[test]
    fn agrees_with_dense_lu_on_random_networks() {
        let mut state = 7;
        for round in 0..300 {
            let n = 1 + (chance(&mut state) % 40) as usize;
            let mut elements: Vec<(Unknown, Unknown)> = vec![(Some(0), None)];
            // Each node hangs on an earlier one, so that all are one piece.
            elements.extend((1..n).map(|i| (Some(i), Some((chance(&mut state) % i as u64) as usize))));
            for _ in 0..chance(&mut state) % 30 {
                let mut end = || Some((chance(&mut state) % (n as u64 + 1)) as usize).filter(|&i| i < n);
                elements.push((end(), end()));
            }
            let (mut network, places) = Network::new(n, elements.iter().copied());
            let mut values = network.zero();
            let mut dense = LinearSystem::new(n);
            for (&(a, b), place) in elements.iter().zip(places) {
                let siemens = (chance(&mut state) % 1000 + 1) as f64 / 100.0;
                let amps = (chance(&mut state) % 200) as f64 / 100.0 - 1.0;
                values.add(place, siemens, amps);
                dense.add_conductance(a, b, siemens, amps);
            }
            let mut x = vec![0.0; n];
            assert!(network.solve(&mut values, &mut x));
            let reference = dense.solve().expect("regular");
            for (x, y) in x.iter().zip(reference) {
                assert!((x - y).abs() <= 1e-10 * (1.0 + y.abs()), "round {round}: {x} {y}");
            }
        }
    }

    #[test]
    fn a_leak_beside_wires_keeps_its_digits() {
        // 1 A into three wires in a row whose far end leaks 1 pS: 1e12 V, to the last digits.
        let elements = [(Some(0), Some(1)), (Some(1), Some(2)), (Some(2), None), (None, Some(0))];
        let (mut network, places) = Network::new(3, elements.into_iter());
        let mut values = network.zero();
        for (place, siemens) in places.iter().zip([50.0, 50.0, 1e-12]) {
            values.add(*place, siemens, 0.0);
        }
        values.set_right(0, 1.0);
        let mut x = [0.0; 3];
        assert!(network.solve(&mut values, &mut x));
        assert!((x[2] / 1e12 - 1.0).abs() < 1e-15);
    }

    #[test]
    fn a_node_tied_to_nothing_is_told() {
        let (mut network, _) = Network::new(1, std::iter::empty());
        let mut values = network.zero();
        values.set_right(0, 1.0);
        assert!(!network.solve(&mut values, &mut [0.0]));
    }
}
