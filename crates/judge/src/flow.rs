//! Which way current can go: from a source's + through parts that let it pass, to its −.

use std::collections::VecDeque;

use halfrow_core::bench::PartIx;

use crate::graph::{Adjacency, Edge, Graph, Way};

/// The + and − vertices of a source.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Poles {
    pub source: PartIx,
    pub plus: usize,
    pub minus: usize,
}

impl Graph {
    /// The poles of each source that has both leads over the board.
    pub fn poles(&self) -> Vec<Poles> {
        let sources = self.edges.iter().filter(|edge| edge.way == Way::Source);
        sources
            .map(|edge| {
                let (plus, minus) = self.vertices_of(edge);
                Poles { source: edge.part, plus, minus }
            })
            .filter(|poles| self.strip(poles.plus).is_some() && self.strip(poles.minus).is_some())
            .collect()
    }
}

impl Graph {
    /// The poles, and for sources that swing through zero the same the other way round.
    pub fn poles_both_ways(&self) -> Vec<Poles> {
        let mut poles = self.poles();
        let swings = |it: &&Poles| self.edges.iter().any(|edge| edge.part == it.source && edge.swings);
        let turned: Vec<Poles> =
            poles.iter().filter(swings).map(|it| Poles { plus: it.minus, minus: it.plus, ..*it }).collect();
        poles.extend(turned);
        poles
    }
}

/// How current may be followed.
pub(crate) struct Trip<'a> {
    pub graph: &'a Graph,
    pub adjacency: &'a Adjacency,
    /// The piece of metal of each vertex.
    pub metal: &'a [usize],
    /// What it costs to go through an edge, `None` where it can't be passed at all. Asked with
    /// whether the edge is entered at its first end.
    pub price: &'a dyn Fn(&Edge, bool) -> Option<f64>,
}

impl Trip<'_> {
    /// The least price of going from a vertex to each other one (infinite where there is no way),
    /// never through the piece of metal `stop`: its vertices can be reached but not left.
    /// `backwards` follows the current to where it comes from.
    pub fn prices(&self, from: usize, stop: usize, backwards: bool) -> Vec<f64> {
        let mut prices = vec![f64::INFINITY; self.graph.vertices];
        let mut waiting = VecDeque::from([from]);
        prices[from] = 0.0;
        let stop = self.metal[stop];
        while let Some(at) = waiting.pop_front() {
            if self.metal[at] == stop {
                // Along the metal itself all is one place.
                for (vertex, &metal) in self.metal.iter().enumerate() {
                    if metal == stop {
                        prices[vertex] = prices[vertex].min(prices[at]);
                    }
                }
                continue;
            }
            for &(edge, other) in self.adjacency.at(at) {
                let edge = &self.graph.edges[edge as usize];
                let at_first = self.graph.ends[edge.from] == at;
                let Some(price) = (self.price)(edge, at_first != backwards) else { continue };
                let (other, price) = (other as usize, prices[at] + price);
                if price < prices[other] {
                    prices[other] = price;
                    waiting.push_back(other);
                }
            }
        }
        prices
    }
}

/// Prices for current as it flows: one-way parts forward only, sources from − to + (or, while they
/// are charged, the other way).
pub(crate) fn one_way(edge: &Edge, forward: bool) -> Option<f64> {
    match edge.way {
        Way::Forward => forward.then_some(0.0),
        _ => Some(0.0),
    }
}

/// Whether current can come from + to one vertex and go on from another to −, given the prices from
/// + and to −. What begins at − or ends at + is no way from + to −: it would have to go around.
pub(crate) fn leads_through(
    metal: &[usize],
    poles: &Poles,
    (from_plus, to_minus): (&[f64], &[f64]),
    (enters, leaves): (usize, usize),
) -> bool {
    metal[enters] != metal[poles.minus]
        && metal[leaves] != metal[poles.plus]
        && from_plus[enters].is_finite()
        && to_minus[leaves].is_finite()
}

/// The live one-way parts that stand the wrong way round: current could pass if they were turned,
/// and can't as they stand.
pub(crate) fn backward_parts(graph: &Graph, live: &[bool]) -> Vec<PartIx> {
    let one_ways: Vec<usize> = (0..graph.edges.len())
        .filter(|&index| graph.edges[index].way == Way::Forward)
        .filter(|&index| live.get(graph.edges[index].part.0).copied().unwrap_or(false))
        .collect();
    if one_ways.is_empty() {
        return Vec::new();
    }
    let adjacency = graph.adjacency();
    let metal = graph.metal();
    let poles = graph.poles_both_ways();
    let trip = Trip { graph, adjacency: &adjacency, metal: &metal, price: &one_way };
    let mut stuck = one_ways;
    for it in &poles {
        let from_plus = trip.prices(it.plus, it.minus, false);
        let to_minus = trip.prices(it.minus, it.plus, true);
        stuck.retain(|&index| {
            let (anode, cathode) = graph.vertices_of(&graph.edges[index]);
            !leads_through(&metal, it, (&from_plus, &to_minus), (anode, cathode))
        });
    }
    let is_stuck = |edge: &Edge| stuck.iter().any(|&index| graph.edges[index].from == edge.from);
    let turned = |index: usize| {
        // The others that are stuck may be turned as well: two in series, both the wrong way.
        let own = graph.edges[index].from;
        let price = move |edge: &Edge, forward: bool| {
            let closed = edge.from == own || !forward && !is_stuck(edge);
            if edge.way == Way::Forward && closed { None } else { Some(0.0) }
        };
        let trip = Trip { graph, adjacency: &adjacency, metal: &metal, price: &price };
        let (anode, cathode) = graph.vertices_of(&graph.edges[index]);
        let mut backward = false;
        for it in &poles {
            let from_plus = trip.prices(it.plus, it.minus, false);
            let to_minus = trip.prices(it.minus, it.plus, true);
            let prices = (from_plus.as_slice(), to_minus.as_slice());
            if leads_through(&metal, it, prices, (anode, cathode)) {
                return false;
            }
            backward |= leads_through(&metal, it, prices, (cathode, anode));
        }
        backward
    };
    stuck.iter().copied().filter(|&index| turned(index)).map(|index| graph.edges[index].part).collect()
}
