//! Islands: nodes that current can flow between. Voltages of different islands don't compare.

use crate::bench::{Bench, PartIx};
use crate::circuit::{Circuit, Node};
use crate::nets::DisjointSets;

/// A set of nodes that current can flow between.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Island {
    /// The node that counts as 0 V.
    pub reference: Node,
    /// The source whose − pin that is; `None` for an island without a source, which floats.
    pub source: Option<PartIx>,
}

/// The islands of a circuit, and the island of each node. A source's − pin is the reference of its island;
/// where there are several sources, that of the first one on the bench.
pub(crate) fn find_islands(bench: &Bench, circuit: &Circuit) -> (Vec<Island>, Vec<usize>) {
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
