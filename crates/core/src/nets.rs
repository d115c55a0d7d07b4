//! Nets: which strips are one piece of metal, through wires and through parts that are metal inside.

use std::collections::VecDeque;

use crate::bench::{Bench, LegId, PartIx};
use crate::board::{Hole, Strip};
use crate::circuit::Circuit;

/// Disjoint sets over 0..n with path halving and union by smaller root, so that the root of a set is
/// its smallest member whatever the order of the unions.
#[derive(Clone, Debug)]
pub struct DisjointSets {
    parent: Vec<usize>,
}

impl DisjointSets {
    /// `n` sets of one member each.
    pub fn new(n: usize) -> DisjointSets {
        DisjointSets { parent: (0..n).collect() }
    }

    /// The smallest member of the set that `i` is in.
    pub fn root(&mut self, mut i: usize) -> usize {
        while self.parent[i] != i {
            self.parent[i] = self.parent[self.parent[i]];
            i = self.parent[i];
        }
        i
    }

    /// Joins the sets of `i` and `j`.
    pub fn join(&mut self, i: usize, j: usize) {
        let (i, j) = (self.root(i), self.root(j));
        self.parent[i.max(j)] = i.min(j);
    }
}

/// The shortest way between two places over links that can be gone both ways: the links in their order, or
/// `None` where there is none. Of equally short ways the one that is found first in the order of the links.
pub fn shortest_way(places: usize, links: &[(usize, usize)], from: usize, to: usize) -> Option<Vec<usize>> {
    // Breadth first: for each place, where it was reached from and over which link.
    let mut came: Vec<Option<(usize, usize)>> = vec![None; places];
    let mut waiting = VecDeque::from([from]);
    while let Some(at) = waiting.pop_front() {
        if at == to {
            break;
        }
        for (link, &(a, b)) in links.iter().enumerate() {
            let other = match (a == at, b == at) {
                (true, _) => b,
                (_, true) => a,
                _ => continue,
            };
            if other != from && came[other].is_none() {
                came[other] = Some((at, link));
                waiting.push_back(other);
            }
        }
    }
    let mut way = Vec::new();
    let mut at = to;
    while at != from {
        let (before, link) = came[at]?;
        way.push(link);
        at = before;
    }
    way.reverse();
    Some(way)
}

/// A net of the bench, by its place in [`Nets::all`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NetIx(pub usize);

/// One net.
#[derive(Clone, Debug, PartialEq)]
pub struct Net {
    /// What it is called: `BT1 +`, `BT1 −`, or `net 3` by reading order.
    pub name: String,
    /// Its strips, in reading order. One that only a tip of an instrument touches is among them.
    pub strips: Vec<Strip>,
    /// The legs that touch it, in the order of the parts. A leg that is not in far enough is not
    /// among them.
    pub legs: Vec<LegId>,
    /// The wires (and other metal) within it.
    pub wires: Vec<PartIx>,
}

/// All nets that at least one leg touches.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Nets {
    /// The nets, in reading order of their first strips.
    pub all: Vec<Net>,
    /// The strips that are touched, sorted, each with its net.
    of_strip: Vec<(Strip, NetIx)>,
}

impl Nets {
    /// The nets of a bench; `circuit` is the circuit of the same bench.
    pub fn of(bench: &Bench, circuit: &Circuit) -> Nets {
        let strips = &circuit.strips;
        let mut sets = DisjointSets::new(strips.len());
        let touch = |leg: LegId| circuit.joins[leg.part.0][leg.pin].strip.map(|node| node.0);
        let mut metal: Vec<(PartIx, usize)> = Vec::new();
        for (index, part) in bench.parts.iter().enumerate() {
            let part_ix = PartIx(index);
            for &(a, b) in part.card.metal {
                let ends = (
                    touch(LegId { part: part_ix, pin: usize::from(a) }),
                    touch(LegId { part: part_ix, pin: usize::from(b) }),
                );
                if let (Some(a), Some(b)) = ends {
                    sets.join(a, b);
                    metal.push((part_ix, a));
                }
            }
        }
        let mut nets = Nets::default();
        let mut net_of_root = vec![usize::MAX; strips.len()];
        for (node, &strip) in strips.iter().enumerate() {
            let root = sets.root(node);
            if net_of_root[root] == usize::MAX {
                net_of_root[root] = nets.all.len();
                nets.all.push(Net { name: String::new(), strips: vec![], legs: vec![], wires: vec![] });
            }
            let net = NetIx(net_of_root[root]);
            nets.all[net.0].strips.push(strip);
            nets.of_strip.push((strip, net));
        }
        for (leg, _) in bench.legs().filter(|(leg, _)| !bench.part(leg.part).card.instrument) {
            if let Some(node) = touch(leg) {
                let net = nets.of_strip[node].1;
                nets.all[net.0].legs.push(leg);
            }
        }
        for (part, node) in metal {
            let net = nets.of_strip[node].1;
            if nets.all[net.0].wires.last() != Some(&part) {
                nets.all[net.0].wires.push(part);
            }
        }
        nets.name(bench);
        nets
    }

    fn name(&mut self, bench: &Bench) {
        let mut count = 0;
        for net in &mut self.all {
            let source = net.legs.iter().find_map(|leg| {
                let part = bench.part(leg.part);
                let source = part.card.source?;
                if leg.pin == usize::from(source.minus) {
                    Some(format!("{} −", part.id))
                } else {
                    (leg.pin == usize::from(source.plus)).then(|| format!("{} +", part.id))
                }
            });
            net.name = source.unwrap_or_else(|| {
                count += 1;
                format!("net {count}")
            });
        }
    }

    /// The net of a strip, when a leg touches it.
    pub fn of_strip(&self, strip: Strip) -> Option<NetIx> {
        let at = self.of_strip.binary_search_by(|(s, _)| s.cmp(&strip)).ok()?;
        Some(self.of_strip[at].1)
    }

    /// The net of a hole, when a leg touches its strip.
    pub fn of_hole(&self, bench: &Bench, hole: Hole) -> Option<NetIx> {
        self.of_strip(bench.strip(hole)?)
    }

    /// The net at an index.
    ///
    /// # Panics
    /// When the index is of other nets.
    pub fn net(&self, net: NetIx) -> &Net {
        &self.all[net.0]
    }
}

impl Net {
    /// Every hole of the net, taken or free, in reading order.
    pub fn holes(&self, bench: &Bench) -> Vec<Hole> {
        self.strips
            .iter()
            .filter_map(|&strip| Some((strip, bench.boards.get(usize::from(strip.board))?)))
            .flat_map(|(strip, board)| board.holes_of(strip))
            .collect()
    }

    /// The holes of the net that have a touching leg in them, in the order of the parts.
    pub fn taken_holes(&self, bench: &Bench) -> Vec<Hole> {
        self.legs.iter().filter_map(|leg| bench.part(leg.part).legs[leg.pin].hole).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shortest_way_is_found_and_none_where_there_is_none() {
        let links = [(0, 1), (2, 1), (2, 3), (0, 3), (5, 6)];
        assert_eq!(shortest_way(7, &links, 0, 2), Some(vec![0, 1]));
        assert_eq!(shortest_way(7, &links, 3, 1), Some(vec![2, 1]));
        assert_eq!(shortest_way(7, &links, 4, 4), Some(vec![]));
        assert_eq!(shortest_way(7, &links, 0, 6), None);
    }
}
