//! What every rule may ask about a bench, worked out once.

use std::cell::OnceCell;

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::Strip;
use halfrow_core::solve::OperatingPoint;

use crate::flow::backward_parts;
use crate::graph::{Change, Graph};
use crate::hazard::{Hazard, hazards};
use crate::mend::{Diagnosis, Mend};
use crate::repair::diagnose;

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
    left: OnceCell<Vec<Hazard>>,
    backward: OnceCell<Vec<PartIx>>,
}

impl<'a> Judged<'a> {
    /// Prepares a bench for the rules.
    pub fn of(bench: &'a Bench, point: &'a OperatingPoint) -> Judged<'a> {
        let graph = Graph::of(bench);
        let live = graph.live_parts();
        let metal = graph.metal();
        let (diagnosis, left, backward) = (OnceCell::new(), OnceCell::new(), OnceCell::new());
        Judged { bench, point, graph, live, metal, diagnosis, left, backward }
    }

    /// What keeps parts dead.
    pub(crate) fn diagnosis(&self) -> &Diagnosis {
        &self.diagnosed().0
    }

    /// The graph with all that is dead mended: what the bench is meant to be.
    pub(crate) fn meant(&self) -> &Graph {
        &self.diagnosed().1
    }

    /// Whether a mend that is told brings a part to life.
    pub(crate) fn is_brought_to_life(&self, part: PartIx) -> bool {
        let told = |mend| !matches!(mend, Mend::Link { .. });
        self.diagnosis().repairs.iter().any(|repair| told(repair.mend) && repair.revived.contains(&part))
    }

    /// Whether a vertex is one metal with a supply's +, and whether with a −.
    pub(crate) fn pole(&self, at: usize) -> (bool, bool) {
        let mut found = (false, false);
        for poles in self.graph.poles() {
            found.0 |= self.metal[poles.plus] == self.metal[at];
            found.1 |= self.metal[poles.minus] == self.metal[at];
        }
        found
    }

    /// Whether a leg can be moved over a strip that has legs without harm to anything.
    pub(crate) fn is_safe(&self, leg: LegId, to: Strip) -> bool {
        let Some(at) = self.graph.vertex(to) else { return false };
        let mut graph = self.graph.clone();
        graph.apply(&Change::Move(vec![(graph.end(leg), Some(at))]));
        let before = hazards(self.bench, &self.graph);
        hazards(self.bench, &graph).iter().all(|hazard| before.contains(hazard))
    }

    /// Whether what endangers a part is cured by the mends that are told.
    pub(crate) fn is_cured(&self, hazard: Hazard) -> bool {
        let left = || hazards(self.bench, self.meant());
        !self.diagnosis().repairs.is_empty() && !self.left.get_or_init(left).contains(&hazard)
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
