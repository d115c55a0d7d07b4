//! What every rule may ask about a bench, worked out once.

use std::cell::OnceCell;

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Strip};
use halfrow_core::card::Group;
use halfrow_core::solve::OperatingPoint;
use halfrow_core::time::portions::finish;

use crate::finding::{Code, Finding, tells_of};
use crate::flow::backward_parts;
use crate::graph::{Change, Graph, Way};
use crate::hazard::{Hazard, hazards};
use crate::mend::{Diagnosis, Mend, Repair};
use crate::repair::{diagnose, is_message};
use crate::words::hole_if;

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
    fed: OnceCell<[Vec<bool>; 2]>,
    pub(crate) walks: Walks,
}

/// What several rules take their findings from, found at one walk over the bench.
#[derive(Debug, Default)]
pub(crate) struct Walks {
    /// What chips get as their power.
    pub power: OnceCell<Vec<Finding>>,
    /// What outputs meet.
    pub outputs: OnceCell<Vec<Finding>>,
    /// What inputs hear.
    pub inputs: OnceCell<Vec<Finding>>,
}

impl<'a> Judged<'a> {
    /// Prepares a bench for the rules.
    pub fn of(bench: &'a Bench, point: &'a OperatingPoint) -> Judged<'a> {
        Judged::with(bench, point, Graph::of(bench))
    }

    fn with(bench: &'a Bench, point: &'a OperatingPoint, graph: Graph) -> Judged<'a> {
        let live = graph.live_parts();
        let metal = graph.metal();
        Judged {
            bench,
            point,
            graph,
            live,
            metal,
            diagnosis: OnceCell::new(),
            left: OnceCell::new(),
            backward: OnceCell::new(),
            fed: OnceCell::new(),
            walks: Walks::default(),
        }
    }

    /// Finds what keeps parts dead, which takes longest, in portions: whoever asks for it later has it.
    pub(crate) async fn prepare(&self) {
        let found = diagnose(self.bench, &self.graph, &self.live).await;
        let _ = self.diagnosis.set(found);
    }

    /// The same without a search for what would mend it: for benches that are tried.
    pub(crate) fn plain(bench: &'a Bench, point: &'a OperatingPoint) -> Judged<'a> {
        Judged::plain_with(bench, point, Graph::of(bench))
    }

    /// The same of a graph that is there already.
    pub(crate) fn plain_with(bench: &'a Bench, point: &'a OperatingPoint, graph: Graph) -> Judged<'a> {
        let judged = Judged::with(bench, point, graph);
        let known = judged.diagnosis.set((Diagnosis::default(), judged.graph.clone()));
        debug_assert!(known.is_ok(), "nothing has asked before");
        judged
    }

    /// Whether a wire leads from pin to pin of chips: no path of current, but a message.
    pub(crate) fn is_message(&self, wire: PartIx) -> bool {
        is_message(self.bench, &self.graph, &self.metal, wire)
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
        self.diagnosis.get_or_init(|| finish(diagnose(self.bench, &self.graph, &self.live)))
    }

    /// One-way parts that stand the wrong way round, in the bench as it is meant.
    pub(crate) fn backward(&self) -> &[PartIx] {
        self.backward.get_or_init(|| {
            let meant = self.meant();
            backward_parts(meant, &meant.live_parts())
        })
    }

    /// The pieces of metal with a supply's + and those with a supply's −.
    pub(crate) fn rails(&self) -> (Vec<usize>, Vec<usize>) {
        let poles = self.graph.poles();
        poles.iter().map(|it| (self.metal[it.plus], self.metal[it.minus])).unzip()
    }

    /// Which vertices metal and contacts join to a supply's +, and which to its −.
    pub(crate) fn fed(&self) -> &[Vec<bool>; 2] {
        self.fed.get_or_init(|| {
            let poles = self.graph.poles();
            [true, false].map(|plus| self.graph.fed_by(&poles, &self.metal, plus))
        })
    }

    /// Adds those findings of a walk that are of one kind and that nothing else explains.
    pub(crate) fn take(
        &self,
        walk: &OnceCell<Vec<Finding>>,
        find: fn(&Judged<'_>) -> Vec<Finding>,
        code: Code,
        findings: &mut Vec<Finding>,
        explained: impl Fn(&Judged<'_>, &[Finding], &Finding) -> bool,
    ) {
        let found = walk.get_or_init(|| find(self));
        let mine = found.iter().filter(|it| it.code == code && !explained(self, findings, it));
        let mine: Vec<Finding> = mine.cloned().collect();
        findings.extend(mine);
    }

    /// The piece of metal that a leg is on.
    pub(crate) fn metal_at(&self, part: PartIx, pin: usize) -> usize {
        self.metal[self.graph.at(LegId { part, pin })]
    }

    /// `its pin 8 (VCC) in f10`.
    pub(crate) fn its_pin(&self, part: PartIx, pin: usize) -> String {
        let says = self.bench.part(part).card.pins[pin].says;
        match hole_if(self.bench, LegId { part, pin }) {
            Some(hole) => format!("its {says} in {hole}"),
            None => format!("its {says}"),
        }
    }

    pub(crate) fn holes_of(&self, part: PartIx, pins: &[usize]) -> Vec<Hole> {
        pins.iter().filter_map(|&pin| hole_if(self.bench, LegId { part, pin })).collect()
    }

    /// What is meant to shine or move and hangs at a pin: reached over parts that let current through.
    pub(crate) fn load_at(&self, part: PartIx, pin: usize) -> Option<PartIx> {
        let (bench, graph) = (self.bench, &self.graph);
        let mut load = None;
        graph.walk(
            vec![graph.at(LegId { part, pin })],
            &mut |at| self.pole(at) == (false, false),
            &mut |edge, _| {
                let Some(it) = bench.parts.get(edge.part.0) else { return true };
                if it.legs.len() == 2 && matches!(it.card.group, Group::Light | Group::Move) {
                    load = load.or(Some(edge.part));
                }
                !it.card.chip && it.card.steers.is_none() && edge.way != Way::Contact && !edge.stores
            },
        );
        load
    }

    /// Whether a mend only follows from what is told of a part that stands the wrong way: it is to bring that
    /// part to life, or to lead a leg to or from the rows where the part should stand.
    pub(crate) fn follows(&self, findings: &[Finding], repair: &Repair) -> bool {
        let told = [Code::ChipTurned, Code::ChipReversed, Code::NotStraddling, Code::AlwaysOn];
        repair.revived.iter().any(|&part| tells_of(findings, &told[..3], part))
            || match repair.mend {
                Mend::Move { leg, .. } | Mend::Link { leg, .. } => self.is_beside(findings, &told, leg),
                _ => false,
            }
    }

    /// Whether a leg ends in the rows of a part that one of these findings is about.
    pub(crate) fn is_beside(&self, findings: &[Finding], codes: &[Code], leg: LegId) -> bool {
        let bench = self.bench;
        let Some(row) = hole_if(bench, leg).and_then(|hole| hole.row()) else { return false };
        findings.iter().filter(|it| codes.contains(&it.code)).filter_map(|it| it.parts.first()).any(|&part| {
            let legs = &bench.part(part).legs;
            let rows = || legs.iter().filter_map(|leg| leg.hole?.row());
            let (Some(first), Some(last)) = (rows().min(), rows().max()) else { return false };
            // However it is turned about its first pin.
            let length = legs.len() as u8 / 2;
            (first.saturating_sub(length)..=last.saturating_add(length)).contains(&row)
        })
    }

    /// How many legs are over the strip of a leg.
    pub(crate) fn company(&self, leg: LegId) -> usize {
        let at = self.graph.at(leg);
        self.graph.ends[..self.graph.legs()].iter().filter(|&&other| other == at).count()
    }
}
