//! What is broken, found by what would mend it.
//!
//! Parts that no closed path with a source runs through are dead. For dead parts, small changes are
//! tried on a copy of the graph (a leg one row over, a part one row over, the other rail, a wire
//! between rails), and the one that brings most of them to life with the least change is the
//! diagnosis. That is what a second pair of eyes does, and it names one cause for all that it
//! keeps dark. Then the search goes on with that mended, until nothing helps.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Side, Strip, StripPlace};
use halfrow_core::card::Group;
use halfrow_core::nets::DisjointSets;
use halfrow_core::part::Part;
use halfrow_core::time::portions::LetGo;

use crate::flow::backward_parts;
use crate::graph::{Change, Edge, Graph, Way};
use crate::hazard::{Hazard, hazards, is_across_the_supply};
use crate::mend::{Diagnosis, Mend, Repair, Try};
use crate::places::{near, rows_off};
use crate::words::free_hole;

/// Dearer than any sensible number of tries; keeps a bench full of rubbish from taking long.
const MAX_TRIES: usize = 1200;

/// The same for large benches, in tries times the edges and vertices that each of them walks over: what the
/// slips on the examples need is a third of it at most.
const MAX_WALKED: usize = 50_000;

/// Tries after which the search lets go: a millisecond's worth on a slow laptop.
const PORTION: usize = 8;

/// So many ends alone wait for a part that is missing: chips use this many of their pins at least, and
/// nobody misses his rows so often.
const GAP_ENDS: usize = 5;

/// The rows that a chip of the drawer takes at most.
const GAP_ROWS: u8 = 8;

/// How many of the changes that help most are looked at for harm.
const CLOSER_LOOKS: usize = 16;

/// What a danger that goes away speaks for a mend.
const CURE: i32 = 5;

/// What speaks against a wire where another part is missing.
const LACK: i32 = 15;

/// The most single causes that are looked for; a bench with more wants to be built again.
const MAX_REPAIRS: usize = 6;

pub(crate) struct Search<'a> {
    pub bench: &'a Bench,
    pub graph: Graph,
    live: Vec<bool>,
    /// Dead and not explained yet.
    pub dead: Vec<bool>,
    /// Legs over each vertex.
    pub company: Vec<u32>,
    /// What is in danger already.
    hazards: Vec<Hazard>,
    tries: usize,
}

/// Finds what keeps parts dead. Returns the graph with everything mended. Lets go after so many tries.
pub(crate) async fn diagnose(bench: &Bench, graph: &Graph, live: &[bool]) -> (Diagnosis, Graph) {
    let placed =
        |part: usize| (graph.first_end[part]..graph.first_end[part + 1]).any(|end| on_board(graph, end));
    let metal = graph.metal();
    let dead: Vec<bool> = bench
        .parts
        .iter()
        .enumerate()
        .map(|(index, part)| {
            part.card.source.is_none()
                && !live[index]
                && placed(index)
                && !is_joined_across(graph, &metal, index)
                && !(part.card.is_wire() && is_message(bench, graph, &metal, PartIx(index)))
        })
        .collect();
    let mut diagnosis = Diagnosis::default();
    if !dead.contains(&true) {
        return (diagnosis, graph.clone());
    }
    if graph.poles().is_empty() {
        diagnosis.no_supply = true;
        return (diagnosis, graph.clone());
    }
    if graph.poles().iter().any(|poles| metal[poles.plus] == metal[poles.minus]) {
        // A short circuit comes first; with both poles one place, what else is wrong can't be told.
        return (diagnosis, graph.clone());
    }
    let company = graph.company();
    let (live, hazards) = (live.to_vec(), hazards(bench, graph));
    let mut search = Search { bench, graph: graph.clone(), live, dead, company, hazards, tries: 0 };
    diagnosis.gap = search.gap();
    if !diagnosis.gap.is_empty() {
        // What would join these wires to each other is no help: the part comes first.
        return (diagnosis, search.graph);
    }
    search.parts_in_one_strip(&mut diagnosis).await;
    search.ends_in_the_air();
    let lies_dead = |(dead, part): (&bool, &Part)| *dead && !part.card.is_wire();
    while diagnosis.repairs.len() < MAX_REPAIRS && search.dead.iter().zip(&bench.parts).any(lies_dead) {
        let Some(repair) = search.best().await else { break };
        search.mend(&repair);
        diagnosis.repairs.push(repair);
    }
    if diagnosis.repairs.is_empty() && search.dead.iter().zip(&bench.parts).any(lies_dead) {
        for repair in search.two_rails().await {
            search.mend(&repair);
            diagnosis.repairs.push(repair);
        }
    }
    while diagnosis.repairs.len() < MAX_REPAIRS
        && let Some(repair) = search.loose_wire().await
    {
        search.mend(&repair);
        diagnosis.repairs.push(repair);
    }
    diagnosis.left = search.groups();
    (diagnosis, search.graph)
}

/// Whether wires join a part across.
///
/// A part that wires join across carries no current and is not cut off: a rule of its own tells
/// of it, and to move a leg of it would name another cause for the same thing. Wires that meet in
/// a rail don't count: there one of them may be in the wrong rail.
fn is_joined_across(graph: &Graph, metal: &[usize], part: usize) -> bool {
    let is_rail = |at: usize| matches!(graph.strip(at), Some(Strip { place: StripPlace::Rail { .. }, .. }));
    let own = || graph.edges.iter().filter(move |edge| edge.part.0 == part && edge.way != Way::Metal);
    let joined = |edge: &Edge| {
        let (a, b) = graph.vertices_of(edge);
        a != b && metal[a] == metal[b]
    };
    if !own().any(joined) {
        return false;
    }
    let legs = &graph.ends[graph.first_end[part]..graph.first_end[part + 1]];
    let mut sets = DisjointSets::new(graph.vertices);
    for edge in graph.edges.iter().filter(|edge| edge.way == Way::Metal) {
        let (a, b) = graph.vertices_of(edge);
        if edge.part.0 == part || [a, b].iter().all(|at| !is_rail(*at) || legs.contains(at)) {
            sets.join(a, b);
        }
    }
    own().any(|edge| {
        let (a, b) = graph.vertices_of(edge);
        a != b && sets.root(a) == sets.root(b)
    })
}

/// Whether a wire leads from one pin of a chip to another, with no end of its own in the air: no path
/// of current, but a message.
pub(crate) fn is_message(bench: &Bench, graph: &Graph, metal: &[usize], wire: PartIx) -> bool {
    let own = metal[graph.at(LegId { part: wire, pin: 0 })];
    let pins = bench.legs().filter(|&(leg, at)| {
        at.hole.is_some() && bench.part(leg.part).card.chip && metal[graph.at(leg)] == own
    });
    let company = graph.company();
    pins.count() > 1 && (0..2).all(|pin| company[graph.at(LegId { part: wire, pin })] > 1)
}

fn on_board(graph: &Graph, end: usize) -> bool {
    graph.strip(graph.ends[end]).is_some()
}

impl Search<'_> {
    /// Wires that end alone in the rows on both sides of the channel where no stiff part stands: so many
    /// of them wait for a part, and for no neighbour.
    fn gap(&self) -> Vec<LegId> {
        let row_of = |leg: LegId| self.hole(self.graph.end(leg)).and_then(Hole::row);
        // What lies about unjoined waits for nothing yet.
        let comes_from = |leg: LegId| {
            let mut others = self.graph.first_end[leg.part.0]..self.graph.first_end[leg.part.0 + 1];
            others.any(|end| self.company[self.graph.ends[end]] > 1)
        };
        let ends: Vec<(u8, LegId)> = self
            .waiting_legs()
            .into_iter()
            .map(|it| it.0)
            .filter(|leg| self.loose(leg.part) && self.bench.part(leg.part).card.source.is_none())
            .filter(|leg| comes_from(*leg))
            .filter_map(|leg| Some((row_of(leg)?, leg)))
            .collect();
        let near =
            |row: u8| ends.iter().filter(move |it| (row..row + GAP_ROWS).contains(&it.0)).map(|it| it.1);
        let is_on =
            |leg: LegId, side: Side| self.hole(self.graph.end(leg)).is_some_and(|hole| hole.side() == side);
        let most = ends.iter().map(|it| it.0).max_by_key(|&row| near(row).count());
        let gap: Vec<LegId> = most.map_or_else(Vec::new, |row| near(row).collect());
        let both = [Side::Left, Side::Right].iter().all(|&side| gap.iter().any(|&leg| is_on(leg, side)));
        let stiff = (0..self.graph.legs())
            .filter_map(|end| self.graph.leg(end))
            .any(|leg| !self.loose(leg.part) && gap.iter().any(|it| row_of(*it) == row_of(leg)));
        if both && !stiff && gap.len() >= GAP_ENDS { gap } else { Vec::new() }
    }

    /// Parts with all legs in one strip explain what they keep dead.
    async fn parts_in_one_strip(&mut self, diagnosis: &mut Diagnosis) {
        for part in 0..self.dead.len() {
            let ends = self.graph.first_end[part]..self.graph.first_end[part + 1];
            let at = self.graph.ends[ends.start];
            if !self.dead[part]
                || !ends.clone().all(|end| self.graph.ends[end] == at)
                || !on_board(&self.graph, ends.start)
            {
                continue;
            }
            let group = self.group_of(part);
            let mut tries = Vec::new();
            if !self.bench.parts[part].is_rigid() {
                for end in ends {
                    let Some(hole) = self.hole(end) else { continue };
                    let mut targets: Vec<(Strip, i32)> = near(self.bench, hole);
                    targets.extend(
                        self.graph
                            .poles()
                            .iter()
                            .flat_map(|poles| [poles.plus, poles.minus].map(|at| (self.graph.strips[at], 9))),
                    );
                    let waiting = self.waiting_legs().into_iter();
                    targets.extend(
                        waiting
                            .filter(|(leg, _)| !self.bench.part(leg.part).card.chip)
                            .map(|(_, strip)| (strip, 3 + rows_off(hole, strip))),
                    );
                    tries
                        .extend(targets.into_iter().filter_map(|(strip, cost)| self.moved(end, strip, cost)));
                }
            }
            let best = self.best_of(tries, works(self.bench)).await;
            if let Some(repair) = &best {
                self.mend(repair);
            }
            self.dead[part] = false;
            if best.is_none() {
                for part in group {
                    self.dead[part.0] = false;
                }
            }
            diagnosis.bypassed.push((PartIx(part), best));
        }
    }

    /// What hangs together with an end in the air waits for that end.
    fn ends_in_the_air(&mut self) {
        for part in 0..self.dead.len() {
            let mut ends = self.graph.first_end[part]..self.graph.first_end[part + 1];
            if self.dead[part] && ends.any(|end| !on_board(&self.graph, end)) {
                for part in self.group_of(part) {
                    self.dead[part.0] = false;
                }
            }
        }
    }

    pub(crate) fn hole(&self, end: usize) -> Option<Hole> {
        let leg = self.graph.leg(end)?;
        self.bench.part(leg.part).legs[leg.pin].hole
    }

    /// The best single mend, if any helps.
    async fn best(&mut self) -> Option<Repair> {
        let waiting = self.waiting_legs();
        let mut tries = Vec::new();
        for &(leg, strip) in &waiting {
            let end = self.graph.end(leg);
            let is_source = self.bench.part(leg.part).card.source.is_some();
            if (self.dead[leg.part.0] || is_source) && self.loose(leg.part) {
                let hole = self.hole(end);
                let near = hole.map_or_else(Vec::new, |hole| near(self.bench, hole));
                tries.extend(near.into_iter().filter_map(|(to, cost)| self.moved(end, to, cost)));
            }
            for other in 0..self.graph.legs() {
                let Some(hole) = self.hole(other) else { continue };
                let Some(other_leg) = self.graph.leg(other) else { continue };
                if other_leg.part == leg.part || !self.loose(other_leg.part) {
                    continue;
                }
                let Some((_, cost)) = near(self.bench, hole).into_iter().find(|&(to, _)| to == strip) else {
                    continue;
                };
                tries.extend(self.moved(other, strip, cost + 1));
            }
        }
        self.rails(&mut tries);
        self.swaps(true, &mut tries);
        self.shifts(true, &mut tries);
        self.across(&mut tries);
        self.links(&waiting, &mut tries);
        let works = works(self.bench);
        let total = self.weight_of_dead();
        let mut best = self.best_of(tries, &works).await;
        if best.as_ref().is_none_or(|repair| {
            self.gain(&repair.revived) < total || matches!(repair.mend, Mend::Link { .. })
        }) {
            let mut tries = Vec::new();
            self.swaps(false, &mut tries);
            self.shifts(false, &mut tries);
            self.wrong_rows(&mut tries);
            let other = self.best_of(tries, &works).await;
            // Among equals the likelier slip, which was tried first.
            if best.as_ref().map(|repair| repair.score) < other.as_ref().map(|repair| repair.score) {
                best = other;
            }
        }
        best
    }

    pub(crate) fn loose(&self, part: PartIx) -> bool {
        self.bench.parts.get(part.0).is_some_and(|part| !part.is_rigid())
    }

    fn weight_of_dead(&self) -> i32 {
        let dead: Vec<PartIx> = (0..self.dead.len()).filter(|&part| self.dead[part]).map(PartIx).collect();
        self.gain(&dead)
    }

    /// Wires count less than what they lead to.
    fn gain(&self, parts: &[PartIx]) -> i32 {
        parts.iter().map(|&part| if self.bench.part(part).card.is_wire() { 1 } else { 3 }).sum()
    }

    /// Two rails that get no power, neither of which helps without the other: both are told.
    async fn two_rails(&mut self) -> Vec<Repair> {
        let works = works(self.bench);
        let mut first = Vec::new();
        self.rails(&mut first);
        for Try { mend, change, cost } in first {
            let before = self.graph.clone();
            self.graph.apply(&change);
            let mut second = Vec::new();
            self.rails(&mut second);
            let found = self.best_of(second, &works).await;
            self.graph = before;
            if let Some(second) = found {
                let (revived, partner, lacks_part) = (second.revived.clone(), None, false);
                return vec![Repair { mend, revived, partner, lacks_part, change, score: -cost }, second];
            }
        }
        Vec::new()
    }

    /// A wire with an end alone beside another leg that is alone: a way that switches, inputs or the
    /// weather may open, and that nothing which is dead now tells of.
    async fn loose_wire(&mut self) -> Option<Repair> {
        let waiting: Vec<(LegId, Strip)> =
            self.waiting_legs().into_iter().filter(|(leg, _)| !self.bench.part(leg.part).card.chip).collect();
        let mut tries = Vec::new();
        for &(leg, _) in waiting.iter().filter(|(leg, _)| self.dead[leg.part.0]) {
            let (true, Some(hole)) =
                (self.bench.part(leg.part).card.is_wire(), self.hole(self.graph.end(leg)))
            else {
                continue;
            };
            let near = near(self.bench, hole).into_iter();
            tries.extend(
                near.filter(|&(to, _)| waiting.iter().any(|&(_, strip)| strip == to))
                    .filter_map(|(to, cost)| self.moved(self.graph.end(leg), to, cost)),
            );
        }
        self.best_of(tries, |_| true).await
    }

    /// The best of some tries: most parts brought to life, least change, and nothing burnt for it.
    /// `counts` says whether what a try brings to life is worth telling.
    async fn best_of(&mut self, tries: Vec<Try>, counts: impl Fn(&[PartIx]) -> bool) -> Option<Repair> {
        let mut helpful: Vec<Repair> = Vec::new();
        for Try { mend, change, cost } in tries {
            self.tries += 1;
            if self.tries.is_multiple_of(PORTION) {
                LetGo::default().await;
            }
            let size = self.graph.edges.len() + self.graph.vertices;
            if self.tries > MAX_TRIES.min(MAX_WALKED / size.max(1)) {
                break;
            }
            let Some((revived, penalty)) = self.effect(&change) else { continue };
            if counts(&revived) {
                let score = 10 * self.gain(&revived) - cost - penalty;
                helpful.push(Repair { mend, revived, partner: None, lacks_part: false, change, score });
            }
        }
        helpful.retain(|repair| self.reaches(repair.mend));
        // What helps least is not worth a closer look.
        helpful.sort_by_key(|repair| -repair.score);
        helpful.truncate(CLOSER_LOOKS);
        for repair in &mut helpful {
            LetGo::default().await;
            let (new, cured) = self.harm(repair);
            repair.lacks_part = new;
            repair.score += CURE * cured - if new { LACK } else { 0 };
        }
        // Stable: among equals the first try stays first.
        helpful.sort_by_key(|repair| -repair.score);
        // Where a bare wire would burn something a part is missing; a leg that would is none to move,
        // if another mend helps as well.
        let safe = helpful.iter().position(|it| !it.lacks_part || matches!(it.mend, Mend::Link { .. }));
        let swap = || helpful.iter().position(|it| matches!(it.mend, Mend::Swap { .. }));
        let at = safe.or_else(swap)?;
        let mut best = helpful.swap_remove(at);
        best.partner = self.partner(&best);
        Some(best)
    }

    /// Whether a mend brings something into danger, or puts something across the supply for nothing, and
    /// how many dangers it takes away.
    fn harm(&self, repair: &Repair) -> (bool, i32) {
        let mut graph = self.graph.clone();
        graph.apply(&repair.change);
        let metal = graph.metal();
        let idle = |part: &PartIx| is_across_the_supply(self.bench, &graph, &metal, *part);
        let after = hazards(self.bench, &graph);
        let new = after.iter().any(|hazard| !self.hazards.contains(hazard));
        let cured = self.hazards.iter().filter(|hazard| !after.contains(hazard)).count();
        (new || repair.revived.iter().any(idle), cured as i32)
    }

    /// Whether a leg that is to be moved reaches a free hole there.
    fn reaches(&self, mend: Mend) -> bool {
        let (Mend::Move { leg, to } | Mend::Swap { leg, to }) = mend else { return true };
        let hole = self.bench.part(leg.part).legs[leg.pin].hole;
        hole.is_some_and(|hole| free_hole(self.bench, to, hole, Some(leg)).is_some())
    }

    /// What a change brings to life; `None` when it helps nobody, cuts something off, joins a part
    /// to itself or makes a short circuit.
    fn effect(&self, change: &Change) -> Option<(Vec<PartIx>, i32)> {
        let mut graph = self.graph.clone();
        graph.apply(change);
        let live = graph.live_parts();
        let mut revived = Vec::new();
        for (part, &now) in live.iter().enumerate() {
            if self.live[part] && !now {
                return None;
            }
            if now && self.dead[part] {
                revived.push(PartIx(part));
            }
        }
        if revived.is_empty() {
            return None;
        }
        let metal = graph.metal();
        if graph.poles().iter().any(|poles| metal[poles.plus] == metal[poles.minus]) {
            return None;
        }
        let joined = graph.edges.iter().any(|edge| {
            let (a, b) = graph.vertices_of(edge);
            matches!(edge.way, Way::Load | Way::Forward)
                && self.dead.get(edge.part.0) == Some(&true)
                && metal[a] == metal[b]
                && revived.contains(&edge.part)
        });
        if joined {
            return None;
        }
        // Other one-way parts may stand against the current to catch a coil's kick.
        let dark =
            |part: &&PartIx| revived.contains(part) && self.bench.part(**part).card.group == Group::Light;
        let backward = backward_parts(&graph, &live).iter().filter(dark).count();
        Some((revived, 15 * backward as i32))
    }

    /// The leg that waits in the strip that a mend leads to or, where the mend brings another leg to
    /// a strip that waits, the nearest leg there.
    fn partner(&self, repair: &Repair) -> Option<LegId> {
        let (Mend::Move { leg, to } | Mend::Swap { leg, to } | Mend::Link { leg, to }) = repair.mend else {
            return None;
        };
        let at = self.graph.vertex(to)?;
        let end =
            (0..self.graph.legs()).find(|&end| self.graph.ends[end] == at && end != self.graph.end(leg))?;
        (self.company[at] == 1).then(|| self.graph.leg(end)).flatten()
    }

    fn mend(&mut self, repair: &Repair) {
        self.graph.apply(&repair.change);
        self.live = self.graph.live_parts();
        self.company = self.graph.company();
        self.hazards = hazards(self.bench, &self.graph);
        for part in &repair.revived {
            self.dead[part.0] = false;
        }
    }

    /// Dead parts in groups that hang together. What hangs at one pole of a source only is not
    /// joined by it: each branch there is a case of its own.
    fn groups(&self) -> Vec<Vec<PartIx>> {
        let metal = self.graph.metal();
        let mut apart = vec![false; self.graph.vertices];
        for poles in self.graph.poles() {
            for at in [poles.plus, poles.minus] {
                apart[metal[at]] = true;
            }
        }
        let ends = |part: usize| &self.graph.ends[self.graph.first_end[part]..self.graph.first_end[part + 1]];
        for part in (0..self.dead.len()).filter(|&part| self.live[part]) {
            for &at in ends(part) {
                apart[metal[at]] = true;
            }
        }
        let mut sets = DisjointSets::new(self.dead.len());
        let mut first_at = vec![usize::MAX; self.graph.vertices];
        for part in (0..self.dead.len()).filter(|&part| self.dead[part]) {
            for &at in ends(part) {
                if apart[metal[at]] {
                    continue;
                }
                if first_at[metal[at]] == usize::MAX {
                    first_at[metal[at]] = part;
                }
                sets.join(first_at[metal[at]], part);
            }
        }
        let mut groups: Vec<Vec<PartIx>> = Vec::new();
        let mut group_of_root = vec![usize::MAX; self.dead.len()];
        for part in (0..self.dead.len()).filter(|&part| self.dead[part]) {
            let root = sets.root(part);
            if group_of_root[root] == usize::MAX {
                group_of_root[root] = groups.len();
                groups.push(Vec::new());
            }
            groups[group_of_root[root]].push(PartIx(part));
        }
        groups
    }

    fn group_of(&self, part: usize) -> Vec<PartIx> {
        self.groups().into_iter().find(|group| group.contains(&PartIx(part))).unwrap_or_default()
    }
}

/// Whether more than wires comes to life.
fn works(bench: &Bench) -> impl Fn(&[PartIx]) -> bool {
    move |revived| revived.iter().any(|&part| !bench.part(part).card.is_wire())
}
