//! Diodes that are there to block: what catches the kick of a coil or a supply turned round.

use halfrow_core::bench::PartIx;
use halfrow_core::card::Group;

use crate::flow::{Trip, one_way};
use crate::graph::{Edge, Way};
use crate::judged::Judged;

impl Judged<'_> {
    /// Whether a diode that blocks is meant to: another way leads around it from its cathode to its
    /// anode, so that it only catches what a coil or a turned supply would do.
    pub(crate) fn catches(&self, part: PartIx) -> bool {
        let graph = self.meant();
        let Some(edge) = graph.edges.iter().find(|edge| edge.part == part && edge.way == Way::Forward) else {
            return false;
        };
        let (anode, cathode) = graph.vertices_of(edge);
        let (adjacency, metal) = (graph.adjacency(), graph.metal());
        let price = |edge: &Edge, forward: bool| {
            if edge.part == part || edge.way == Way::Source { None } else { one_way(edge, forward) }
        };
        let trip = Trip { graph, adjacency: &adjacency, metal: &metal, price: &price };
        graph.poles().iter().any(|poles| {
            let stop = if metal[cathode] == metal[poles.minus] { poles.plus } else { poles.minus };
            metal[cathode] != metal[stop] && trip.prices(cathode, stop, false)[anode].is_finite()
        })
    }

    /// Whether diodes lead from both ends of a coil to + and from − to both ends, or do so at the end that
    /// is not at a rail itself: the four diodes of a bridge.
    pub(crate) fn is_caught_at_the_rails(&self, ends: [usize; 2]) -> bool {
        let (plus, minus) = self.rails();
        let diode = |from: &dyn Fn(usize) -> bool, to: &dyn Fn(usize) -> bool| {
            self.graph.edges.iter().filter(|edge| edge.way == Way::Forward).any(|edge| {
                let (a, k) = self.graph.vertices_of(edge);
                let is_diode = self.bench.part(edge.part).card.group == Group::OneWay;
                is_diode && from(self.metal[a]) && to(self.metal[k])
            })
        };
        ends.iter().all(|&end| {
            let at_rail = plus.contains(&end) || minus.contains(&end);
            at_rail
                || diode(&|a| a == end, &|k| plus.contains(&k))
                    && diode(&|a| minus.contains(&a), &|k| k == end)
        })
    }
}
