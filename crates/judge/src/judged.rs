//! What every rule may ask about a bench, worked out once.

use std::cell::OnceCell;

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::solve::OperatingPoint;

use crate::flow::backward_parts;
use crate::graph::Graph;
use crate::repair::{Diagnosis, diagnose};

/// A bench with its operating point and what follows from both.
#[derive(Debug)]
pub struct Judged<'a> {
    /// The bench.
    pub bench: &'a Bench,
    /// Its operating point.
    pub point: &'a OperatingPoint,
    /// The bench as it is put together.
    pub(crate) graph: Graph,
    /// For each part, whether a closed path with a source runs through it.
    pub(crate) live: Vec<bool>,
    /// For each vertex of the graph, its piece of metal.
    pub(crate) metal: Vec<usize>,
    diagnosis: OnceCell<(Diagnosis, Graph)>,
    backward: OnceCell<Vec<PartIx>>,
}

impl<'a> Judged<'a> {
    /// Prepares a bench for the rules.
    pub fn of(bench: &'a Bench, point: &'a OperatingPoint) -> Judged<'a> {
        let graph = Graph::of(bench);
        let live = graph.live_parts();
        let metal = graph.metal();
        let (diagnosis, backward) = (OnceCell::new(), OnceCell::new());
        Judged { bench, point, graph, live, metal, diagnosis, backward }
    }

    /// What keeps parts dead.
    pub(crate) fn diagnosis(&self) -> &Diagnosis {
        &self.diagnosed().0
    }

    /// The graph with all that is dead mended: what the bench is meant to be.
    pub(crate) fn meant(&self) -> &Graph {
        &self.diagnosed().1
    }

    fn diagnosed(&self) -> &(Diagnosis, Graph) {
        self.diagnosis.get_or_init(|| diagnose(self.bench, &self.graph, &self.live))
    }

    /// One-way parts that stand the wrong way round, in the bench as it is meant.
    pub(crate) fn backward(&self) -> &[PartIx] {
        self.backward.get_or_init(|| {
            let meant = self.meant();
            backward_parts(meant, &meant.live_parts())
        })
    }
}
