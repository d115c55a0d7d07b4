//! What is broken, found by what would mend it.
//!
//! Parts that no closed path with a source runs through are dead. For dead parts, small changes are
//! tried on a copy of the graph (a leg one row over, a part one row over, the other rail, a wire
//! between rails), and the one that brings most of them to life with the least change is the
//! diagnosis. That is what a second pair of eyes does, and it names one cause for all that it
//! keeps dark. Then the search goes on with that mended, until nothing helps.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Place, Side, Sign, Strip, StripPlace};
use halfrow_core::nets::DisjointSets;

use crate::flow::backward_parts;
use crate::graph::{Change, Edge, Graph, Way};
use crate::words::free_hole;

/// What mends the bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Mend {
    /// Join the two parts of a split rail.
    Bridge { powered: Strip, dead: Strip },
    /// Join a rail to the powered one of its sign.
    Feed { powered: Strip, dead: Strip },
    /// Move one leg to another half row or rail.
    Move { leg: LegId, to: Strip },
    /// Move a leg to the other rail of the pair.
    Swap { leg: LegId, to: Strip },
    /// Move a whole part down by so many rows (up when negative).
    Shift { part: PartIx, rows: i8 },
    /// Add a wire from the leg’s strip to another.
    Link { leg: LegId, to: Strip },
}

/// A mend and what comes to life by it.
#[derive(Clone, Debug)]
pub(crate) struct Repair {
    pub mend: Mend,
    pub revived: Vec<PartIx>,
    /// Whether the strip that it leads to had a single leg, waiting too.
    pub partner: Option<LegId>,
    change: Change,
    score: i32,
}

/// Everything that keeps parts dead.
#[derive(Clone, Debug, Default)]
pub(crate) struct Diagnosis {
    /// Whether no source has both leads over the board.
    pub no_supply: bool,
    /// Parts with all legs in one strip, each with what would mend it.
    pub bypassed: Vec<(PartIx, Option<Repair>)>,
    /// The mends, in the order in which they were found: the one that helps most first.
    pub repairs: Vec<Repair>,
    /// What stays dead for no single cause, in groups that hang together.
    pub left: Vec<Vec<PartIx>>,
}

/// Dearer than any sensible number of tries; keeps a bench full of rubbish from taking long.
const MAX_TRIES: usize = 1200;

/// The most single causes that are looked for; a bench with more wants to be built again.
const MAX_REPAIRS: usize = 6;

struct Search<'a> {
    bench: &'a Bench,
    graph: Graph,
    live: Vec<bool>,
    /// Dead and not explained yet.
    dead: Vec<bool>,
    /// Legs over each vertex.
    company: Vec<u32>,
    tries: usize,
}

/// Finds what keeps parts dead. Returns the graph with everything mended.
pub(crate) fn diagnose(bench: &Bench, graph: &Graph, live: &[bool]) -> (Diagnosis, Graph) {
    let placed =
        |part: usize| (graph.first_end[part]..graph.first_end[part + 1]).any(|end| on_board(graph, end));
    let metal = graph.metal();
    // A part that wires join across carries no current and is not cut off: a rule of its own tells
    // of it, and to move a leg of it would name another cause for the same thing. Wires that meet in
    // a rail don't count: there one of them may be in the wrong rail.
    let is_rail = |at: usize| matches!(graph.strip(at), Some(Strip { place: StripPlace::Rail { .. }, .. }));
    let is_joined_across = |part: usize| {
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
    };
    let dead: Vec<bool> = bench
        .parts
        .iter()
        .enumerate()
        .map(|(index, part)| {
            part.card.source.is_none() && !live[index] && placed(index) && !is_joined_across(index)
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
    let mut search = Search { bench, graph: graph.clone(), live: live.to_vec(), dead, company, tries: 0 };
    search.parts_in_one_strip(&mut diagnosis);
    search.ends_in_the_air();
    while diagnosis.repairs.len() < MAX_REPAIRS
        && search.dead.iter().zip(&bench.parts).any(|(&dead, part)| dead && !part.card.is_wire())
    {
        let Some(repair) = search.best() else { break };
        search.mend(&repair);
        diagnosis.repairs.push(repair);
    }
    diagnosis.left = search.groups();
    (diagnosis, search.graph)
}

fn on_board(graph: &Graph, end: usize) -> bool {
    graph.strip(graph.ends[end]).is_some()
}

impl Search<'_> {
    /// Parts with all legs in one strip explain what they keep dead.
    fn parts_in_one_strip(&mut self, diagnosis: &mut Diagnosis) {
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
                            .flat_map(|poles| [poles.plus, poles.minus].map(|at| (self.graph.strips[at], 4))),
                    );
                    targets.extend(self.waiting_legs().iter().map(|&(_, strip)| (strip, 3)));
                    tries
                        .extend(targets.into_iter().filter_map(|(strip, cost)| self.moved(end, strip, cost)));
                }
            }
            let best = self.best_of(tries);
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

    fn hole(&self, end: usize) -> Option<Hole> {
        let leg = self.graph.leg(end)?;
        self.bench.part(leg.part).legs[leg.pin].hole
    }

    /// Legs that are alone over their strip and may be meant to meet another.
    fn waiting_legs(&self) -> Vec<(LegId, Strip)> {
        let ends = 0..self.graph.legs();
        ends.filter(|&end| self.company[self.graph.ends[end]] == 1)
            .filter_map(|end| Some((self.graph.leg(end)?, self.graph.strip(self.graph.ends[end])?)))
            .filter(|(leg, strip)| {
                // A source's lead in the rail of its own sign waits for nobody.
                let Some(source) = self.bench.part(leg.part).card.source else { return true };
                let plus = leg.pin == usize::from(source.plus);
                !matches!(strip.place, StripPlace::Rail { sign, .. } if (sign == Sign::Plus) == plus)
            })
            .collect()
    }

    /// A try: one leg put over another strip that holds a leg.
    fn moved(&self, end: usize, to: Strip, cost: i32) -> Option<(Mend, Change, i32)> {
        let target = self.graph.vertex(to)?;
        if self.graph.ends[end] == target {
            return None;
        }
        let leg = self.graph.leg(end)?;
        let is_rail = matches!(to.place, StripPlace::Rail { .. });
        let crowded = i32::from(!is_rail && self.company[target] > 1) * 4;
        let straight = self.straight(leg, to) * 3;
        let change = Change::Move(vec![(end, Some(target))]);
        let from_rail = matches!(self.graph.strip(self.graph.ends[end])?.place, StripPlace::Rail { .. });
        let mend = if is_rail && from_rail { Mend::Swap { leg, to } } else { Mend::Move { leg, to } };
        Some((mend, change, cost + crowded - straight))
    }

    /// 1 where a part with two legs gets straight by the move (both in one row, across the
    /// channel), −1 where it no longer is.
    fn straight(&self, leg: LegId, to: Strip) -> i32 {
        let part = self.bench.part(leg.part);
        let [a, b] = part.legs.as_slice() else { return 0 };
        let (Some(own), Some(other)) = (part.legs[leg.pin].hole, if leg.pin == 0 { b.hole } else { a.hole })
        else {
            return 0;
        };
        let row = match to.place {
            StripPlace::HalfRow { row, .. } => Some(row),
            StripPlace::Rail { .. } => None,
        };
        let same = |row: Option<u8>| i32::from(row.is_some() && row == other.row());
        same(row) - same(own.row())
    }

    /// The best single mend, if any helps.
    fn best(&mut self) -> Option<Repair> {
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
        self.links(&waiting, &mut tries);
        let total = self.weight_of_dead();
        let mut best = self.best_of(tries);
        if best.as_ref().is_none_or(|repair| {
            self.gain(&repair.revived) < total || matches!(repair.mend, Mend::Link { .. })
        }) {
            let mut tries = Vec::new();
            self.swaps(&mut tries);
            self.shifts(&mut tries);
            self.wrong_rows(&mut tries);
            best = [best, self.best_of(tries)].into_iter().flatten().max_by_key(|repair| repair.score);
        }
        best
    }

    fn loose(&self, part: PartIx) -> bool {
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

    /// Split rails bridged and rails without power fed from the one of their sign.
    fn rails(&self, tries: &mut Vec<(Mend, Change, i32)>) {
        let metal = self.graph.metal();
        let poles = self.graph.poles();
        let powered = |vertex: usize| {
            poles
                .iter()
                .any(|poles| metal[poles.plus] == metal[vertex] || metal[poles.minus] == metal[vertex])
        };
        for (dead_at, &dead) in self.graph.strips.iter().enumerate() {
            let StripPlace::Rail { sign, side, .. } = dead.place else { continue };
            if powered(dead_at) {
                continue;
            }
            for (powered_at, &rail) in self.graph.strips.iter().enumerate() {
                let StripPlace::Rail { sign: other_sign, side: other_side, .. } = rail.place else {
                    continue;
                };
                if other_sign != sign || powered_at == dead_at || !powered(powered_at) {
                    continue;
                }
                let change = Change::Wire(powered_at, dead_at);
                if side == other_side && rail.board == dead.board {
                    tries.push((Mend::Bridge { powered: rail, dead }, change, 2));
                } else {
                    tries.push((Mend::Feed { powered: rail, dead }, change, 3));
                }
            }
        }
    }

    /// A wire from a leg that waits to a pole or to another leg that waits.
    fn links(&self, waiting: &[(LegId, Strip)], tries: &mut Vec<(Mend, Change, i32)>) {
        let mine = waiting.iter().filter(|(leg, _)| self.dead[leg.part.0]).take(12);
        let poles = self.graph.poles();
        for (place, &(leg, _)) in mine.clone().enumerate() {
            let at = self.graph.at(leg);
            let ends = poles.iter().flat_map(|poles| [poles.plus, poles.minus]);
            let others = mine.clone().skip(place + 1).filter(|(other, _)| other.part != leg.part);
            for to in ends.chain(others.map(|(other, _)| self.graph.at(*other))) {
                let (Some(strip), true) = (self.graph.strip(to), to != at) else { continue };
                tries.push((Mend::Link { leg, to: strip }, Change::Wire(at, to), 8));
            }
        }
    }

    /// Each leg in a rail put into the other rail of the pair.
    fn swaps(&self, tries: &mut Vec<(Mend, Change, i32)>) {
        for end in 0..self.graph.legs() {
            let (Some(strip), Some(leg)) = (self.graph.strip(self.graph.ends[end]), self.graph.leg(end))
            else {
                continue;
            };
            let StripPlace::Rail { side, sign, lower } = strip.place else { continue };
            let sign = if sign == Sign::Plus { Sign::Minus } else { Sign::Plus };
            let to = Strip { place: StripPlace::Rail { side, sign, lower }, ..strip };
            if let (Some((_, change, cost)), true) = (self.moved(end, to, 2), self.loose(leg.part)) {
                tries.push((Mend::Swap { leg, to }, change, cost));
            }
        }
    }

    /// Each dead part in the grid put some rows further up or down.
    fn shifts(&self, tries: &mut Vec<(Mend, Change, i32)>) {
        for part in (0..self.dead.len()).filter(|&part| self.dead[part]) {
            'rows: for rows in [-1_i8, 1, -2, 2] {
                let mut moves = Vec::new();
                for end in self.graph.first_end[part]..self.graph.first_end[part + 1] {
                    let Some(strip) = self.graph.strip(self.graph.ends[end]) else { continue 'rows };
                    let StripPlace::HalfRow { row, side } = strip.place else { continue 'rows };
                    let most = self.bench.boards[usize::from(strip.board)].kind.rows();
                    let Some(row) = row.checked_add_signed(rows).filter(|row| (1..=most).contains(row))
                    else {
                        continue 'rows;
                    };
                    let to = Strip { place: StripPlace::HalfRow { row, side }, ..strip };
                    moves.push((end, self.graph.vertex(to)));
                }
                let cost = 5 + 2 * i32::from(rows.abs());
                tries.push((Mend::Shift { part: PartIx(part), rows }, Change::Move(moves), cost));
            }
        }
    }

    /// Each leg of a dead part put over a strip nearby.
    fn wrong_rows(&self, tries: &mut Vec<(Mend, Change, i32)>) {
        for end in 0..self.graph.legs() {
            let (Some(leg), Some(hole)) = (self.graph.leg(end), self.hole(end)) else { continue };
            if self.dead[leg.part.0] && self.loose(leg.part) && self.company[self.graph.ends[end]] > 1 {
                tries.extend(
                    near(self.bench, hole).into_iter().filter_map(|(to, cost)| self.moved(end, to, cost + 2)),
                );
            }
        }
    }

    /// The best of some tries: most parts brought to life, least change.
    fn best_of(&mut self, tries: Vec<(Mend, Change, i32)>) -> Option<Repair> {
        let mut best: Option<Repair> = None;
        for (mend, change, cost) in tries {
            self.tries += 1;
            if self.tries > MAX_TRIES {
                break;
            }
            let Some((revived, penalty)) = self.effect(&change) else { continue };
            let score = 10 * self.gain(&revived) - cost - penalty;
            if best.as_ref().is_none_or(|best| score > best.score) && self.reaches(mend) {
                best = Some(Repair { mend, revived, partner: None, change, score });
            }
        }
        let mut best = best?;
        best.partner = self.partner(&best);
        Some(best)
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
        if !revived.iter().any(|&part| !self.bench.part(part).card.is_wire()) {
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
        let backward = backward_parts(&graph, &live).iter().filter(|part| revived.contains(part)).count();
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

/// The strips that somebody may have meant who put a leg into `hole`, with how far off each is:
/// up to two rows up or down, across the channel, the rails beside a half row, the other rail of the
/// pair, the half rows beside a rail.
pub(crate) fn near(bench: &Bench, hole: Hole) -> Vec<(Strip, i32)> {
    let (Some(strip), Some(board)) = (bench.strip(hole), bench.board_of(hole)) else { return Vec::new() };
    let board_index = hole.board;
    let at = |place| Strip { board: board_index, place };
    let mut near = Vec::new();
    let rows = board.kind.rows();
    match strip.place {
        StripPlace::HalfRow { row, side } => {
            for (by, cost) in [(-1, 2), (1, 2), (-2, 5), (2, 5)] {
                if let Some(row) = row.checked_add_signed(by).filter(|row| (1..=rows).contains(row)) {
                    near.push((at(StripPlace::HalfRow { row, side }), cost));
                }
            }
            let across = if side == Side::Left { Side::Right } else { Side::Left };
            near.push((at(StripPlace::HalfRow { row, side: across }), 4));
            // From the rail's edge of the half row only: the other columns are no slip away.
            let at_edge = matches!(hole.place, Place::Grid { column, .. } if [0, 1, 8, 9].contains(&column));
            if at_edge && board.kind.rail_holes() > 0 {
                let y = board.position(hole.place).y;
                let lower = board.split_rails && y > i16::from(rows) + 1;
                for sign in [Sign::Plus, Sign::Minus] {
                    near.push((at(StripPlace::Rail { side, sign, lower }), 5));
                }
            }
        }
        StripPlace::Rail { side, sign, lower } => {
            let sign = if sign == Sign::Plus { Sign::Minus } else { Sign::Plus };
            near.push((at(StripPlace::Rail { side, sign, lower }), 2));
            let y = board.position(hole.place).y;
            for row in [y / 2, (y + 1) / 2] {
                if let Some(row) = u8::try_from(row).ok().filter(|row| (1..=rows).contains(row)) {
                    near.push((at(StripPlace::HalfRow { row, side }), 6));
                }
            }
        }
    }
    near
}
