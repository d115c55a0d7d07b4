//! The bench as a graph of what is meant to be joined.
//!
//! A vertex is a strip with at least one leg over it, an end that hangs in the air, or a point
//! inside a part. Legs count as joined wherever they are put, however deep: a leg that is not
//! pushed in is a finding of its own, and what it breaks would only repeat it. Switches count as
//! closed in every position, since an open switch is no mistake.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Sign, Strip, StripPlace};
use halfrow_core::card::{Duty, Group};
use halfrow_core::nets::DisjointSets;

use crate::flow::{Poles, Trip, one_way};

/// How an edge lets current through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Way {
    /// A piece of metal: a wire, two legs that are one inside.
    Metal,
    /// A contact that somebody can close.
    Contact,
    /// Both ways, at the price of some voltage.
    Load,
    /// From the first end to the second only.
    Forward,
    /// A source: + at the first end.
    Source,
}

/// An edge between two ends; see [`Graph::ends`].
#[derive(Clone, Copy, Debug)]
pub(crate) struct Edge {
    pub part: PartIx,
    pub from: usize,
    pub to: usize,
    pub way: Way,
    /// An end without which the edge leads nowhere: the middle leg of a slide switch. Where
    /// nothing is joined to that leg, the two contacts would only pretend to join the outer legs.
    pub common: Option<usize>,
    /// Whether it holds charge: no way for a steady current.
    pub stores: bool,
    /// Whether it belongs to a signal pin of a chip, which feeds nobody.
    pub signal: bool,
    /// Whether it is a source that swings through zero.
    pub swings: bool,
}

impl Edge {
    fn plain(part: PartIx, from: usize, to: usize, way: Way) -> Edge {
        Edge { part, from, to, way, common: None, stores: false, signal: false, swings: false }
    }
}

/// The graph. Cheap to copy, so that a repair can be tried on a copy.
#[derive(Clone, Debug)]
pub(crate) struct Graph {
    /// The strips under legs, sorted: vertices 0..strips.len().
    pub strips: Vec<Strip>,
    /// Number of vertices.
    pub vertices: usize,
    /// The vertex of each end: first all legs in the order of the parts, then inner points.
    pub ends: Vec<usize>,
    /// The first end of each part, and at last the number of legs.
    pub first_end: Vec<usize>,
    /// The edges, part by part.
    pub edges: Vec<Edge>,
    /// Legs of transistors: each needs a path of its own.
    pub needs: Vec<(PartIx, usize)>,
    /// The power pins of chips: they need a path that no signal pin and no charge makes up.
    fed: Vec<(PartIx, usize)>,
    /// Pins of chips that take the supply's + and its −.
    power: Vec<usize>,
    ground: Vec<usize>,
}

/// A change to try.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Change {
    /// Legs put over other vertices (`None`: over a strip of their own).
    Move(Vec<(usize, Option<usize>)>),
    /// A wire between two vertices.
    Wire(usize, usize),
}

/// Neighbours of each vertex.
pub(crate) struct Adjacency {
    start: Vec<u32>,
    /// Edge and the vertex at its other side.
    items: Vec<(u32, u32)>,
}

impl Adjacency {
    /// The edges at a vertex, each with the vertex at its other side.
    pub fn at(&self, vertex: usize) -> &[(u32, u32)] {
        &self.items[self.start[vertex] as usize..self.start[vertex + 1] as usize]
    }
}

impl Graph {
    /// The graph of a bench.
    pub fn of(bench: &Bench) -> Graph {
        let mut leg_strips: Vec<Option<Strip>> = Vec::with_capacity(2 * bench.parts.len());
        let mut first_end = Vec::with_capacity(bench.parts.len() + 1);
        for part in &bench.parts {
            first_end.push(leg_strips.len());
            leg_strips.extend(part.legs.iter().map(|leg| bench.strip(leg.hole?)));
        }
        first_end.push(leg_strips.len());
        let mut strips: Vec<Strip> = leg_strips.iter().flatten().copied().collect();
        strips.sort_unstable();
        strips.dedup();
        let mut vertices = strips.len();
        let mut fresh = || {
            vertices += 1;
            vertices - 1
        };
        let mut ends: Vec<usize> = leg_strips
            .iter()
            .map(|strip| match strip {
                Some(strip) => strips.binary_search(strip).expect("each strip under a leg is listed"),
                None => fresh(),
            })
            .collect();
        let mut edges = Vec::with_capacity(bench.parts.len() + 8);
        let (mut needs, mut fed) = (Vec::new(), Vec::new());
        let (mut power, mut ground) = (Vec::new(), Vec::new());
        for (index, part) in bench.parts.iter().enumerate() {
            let (card, first) = (part.card, first_end[index]);
            let stores = card.group == Group::Store && card.kicks.is_none();
            let swings = card.source.is_some_and(|source| (source.swings)(part));
            let plain = |from, to, way| Edge { stores, swings, ..Edge::plain(PartIx(index), from, to, way) };
            let mut edge = |from, to, way, common| edges.push(Edge { common, ..plain(from, to, way) });
            for pin in 0..card.pins.len() {
                let duty = card.duty(pin);
                if duty == Duty::Power {
                    power.push(first + pin);
                } else if duty == Duty::Ground {
                    ground.push(first + pin);
                }
                if card.steers.is_some() {
                    needs.push((PartIx(index), first + pin));
                }
            }
            for &(a, b) in card.metal {
                edge(first + usize::from(a), first + usize::from(b), Way::Metal, None);
            }
            if let Some(source) = card.source {
                edge(first + usize::from(source.plus), first + usize::from(source.minus), Way::Source, None);
            } else if card.is_wire() {
                // Its metal has been listed.
            } else if card.group == Group::Switch {
                for contact in card.contacts {
                    let [a, b] = [contact.a, contact.b].map(|pin| first + usize::from(pin));
                    edge(a, b, Way::Contact, contact.common.map(|pin| first + usize::from(pin)));
                }
                if let Some((a, b)) = card.kicks {
                    edge(first + usize::from(a), first + usize::from(b), Way::Load, None);
                }
            } else if let (Some(polarity), 2) = (card.polarity, card.pins.len()) {
                let (anode, cathode) = (usize::from(polarity.anode), usize::from(polarity.cathode));
                edge(first + anode, first + cathode, Way::Forward, None);
            } else if card.pins.len() == 2 {
                edge(first, first + 1, Way::Load, None);
            } else {
                let inner = ends.len();
                ends.push(fresh());
                for pin in 0..card.pins.len() {
                    let (part, from) = (PartIx(index), first + pin);
                    let is_fed = matches!(card.duty(pin), Duty::Power | Duty::Ground);
                    if is_fed {
                        fed.push((part, from));
                    }
                    let signal = card.chip && !is_fed;
                    edges.push(Edge { signal, ..plain(from, inner, Way::Load) });
                }
            }
        }
        Graph { strips, vertices, ends, first_end, edges, needs, fed, power, ground }
    }

    /// The end of a leg.
    pub fn end(&self, leg: LegId) -> usize {
        self.first_end[leg.part.0] + leg.pin
    }

    /// The leg of an end; `None` for a point inside a part.
    pub fn leg(&self, end: usize) -> Option<LegId> {
        let part = self.first_end.partition_point(|&first| first <= end).checked_sub(1)?;
        (part + 1 < self.first_end.len())
            .then(|| LegId { part: PartIx(part), pin: end - self.first_end[part] })
    }

    /// Number of legs of all parts.
    pub fn legs(&self) -> usize {
        *self.first_end.last().expect("the number of legs stands at the end")
    }

    /// The vertex that a leg is over.
    pub fn at(&self, leg: LegId) -> usize {
        self.ends[self.end(leg)]
    }

    /// The vertex of a strip, when a leg is over it.
    pub fn vertex(&self, strip: Strip) -> Option<usize> {
        self.strips.binary_search(&strip).ok()
    }

    /// The strip of a vertex; `None` for an end in the air or a point inside a part.
    pub fn strip(&self, vertex: usize) -> Option<Strip> {
        self.strips.get(vertex).copied()
    }

    /// Both vertices of an edge.
    pub fn vertices_of(&self, edge: &Edge) -> (usize, usize) {
        (self.ends[edge.from], self.ends[edge.to])
    }

    /// Makes a change.
    pub fn apply(&mut self, change: &Change) {
        match change {
            Change::Move(moves) => {
                for &(end, to) in moves {
                    self.ends[end] = to.unwrap_or(self.vertices);
                    self.vertices += usize::from(to.is_none());
                }
            }
            &Change::Wire(a, b) => {
                let from = self.ends.len();
                self.ends.extend([a, b]);
                // A part number that no part has: the wire is not on the bench yet.
                let part = PartIx(usize::MAX);
                self.edges.push(Edge::plain(part, from, from + 1, Way::Metal));
            }
        }
    }

    /// How many legs are over each vertex. A part that has all of its legs over one vertex joins
    /// nothing and does not count.
    pub fn company(&self) -> Vec<u32> {
        let mut company = vec![0; self.vertices];
        for legs in self.first_end.windows(2) {
            let legs = &self.ends[legs[0]..legs[1]];
            if legs.iter().any(|at| *at != legs[0]) {
                for &at in legs {
                    company[at] += 1;
                }
            }
        }
        // Wires that a repair has added.
        for &at in &self.ends[self.legs()..] {
            company[at] += 1;
        }
        company
    }

    /// Neighbours of each vertex over the edges that can carry current.
    pub fn adjacency(&self) -> Adjacency {
        self.adjacency_at(|vertex| vertex, &[])
    }

    /// The same with some vertices seen as one, and without some edges: `place` says which vertex
    /// stands for each.
    fn adjacency_at(&self, place: impl Fn(usize) -> usize, without: &[usize]) -> Adjacency {
        let company = self.company();
        let mut shut = vec![false; self.edges.len()];
        for &index in without {
            shut[index] = true;
        }
        let mut start = vec![0_u32; self.vertices + 1];
        let usable: Vec<(u32, usize, usize)> = self
            .edges
            .iter()
            .enumerate()
            .filter(|(index, edge)| {
                edge.common.is_none_or(|common| company[self.ends[common]] > 1) && !shut[*index]
            })
            .map(|(index, edge)| (index as u32, place(self.ends[edge.from]), place(self.ends[edge.to])))
            .filter(|&(_, a, b)| a != b)
            .collect();
        for &(_, a, b) in &usable {
            start[a + 1] += 1;
            start[b + 1] += 1;
        }
        for vertex in 0..self.vertices {
            start[vertex + 1] += start[vertex];
        }
        let mut next = start.clone();
        let mut items = vec![(0, 0); start[self.vertices] as usize];
        for (index, a, b) in usable {
            for (at, other) in [(a, b), (b, a)] {
                items[next[at] as usize] = (index, other as u32);
                next[at] += 1;
            }
        }
        Adjacency { start, items }
    }

    /// For each edge, whether it lies on a closed path with a source: whether current could flow
    /// through it. (It shares a block with a source: between any two edges of a block there is a
    /// closed path through both.)
    pub fn live_edges(&self, adjacency: &Adjacency) -> Vec<bool> {
        // Hopcroft and Tarjan (CACM 16, 372-378, 1973), with a stack of its own in place of calls.
        const UNSEEN: u32 = u32::MAX;
        let mut live = vec![false; self.edges.len()];
        let mut found = vec![UNSEEN; self.vertices];
        let mut low = vec![0_u32; self.vertices];
        let mut clock = 0;
        let mut edges: Vec<u32> = Vec::with_capacity(self.edges.len());
        // Vertex, the edge that led to it, how many of its edges have been followed.
        let mut path: Vec<(usize, u32, usize)> = Vec::new();
        for root in 0..self.vertices {
            if found[root] != UNSEEN || adjacency.at(root).is_empty() {
                continue;
            }
            found[root] = clock;
            low[root] = clock;
            clock += 1;
            path.push((root, UNSEEN, 0));
            while let Some(&mut (at, came_by, ref mut followed)) = path.last_mut() {
                if let Some(&(edge, other)) = adjacency.at(at).get(*followed) {
                    *followed += 1;
                    let other = other as usize;
                    if edge == came_by {
                        continue;
                    }
                    if found[other] == UNSEEN {
                        found[other] = clock;
                        low[other] = clock;
                        clock += 1;
                        edges.push(edge);
                        path.push((other, edge, 0));
                    } else if found[other] < found[at] {
                        edges.push(edge);
                        low[at] = low[at].min(found[other]);
                    }
                    continue;
                }
                path.pop();
                let Some(&(before, ..)) = path.last() else { break };
                low[before] = low[before].min(low[at]);
                if low[at] >= found[before] {
                    let first = edges.iter().rposition(|&edge| edge == came_by).expect("on the stack");
                    let block = edges.split_off(first);
                    // A source alone is no closed path.
                    let sourced = block.len() > 1
                        && block.iter().any(|&edge| self.edges[edge as usize].way == Way::Source);
                    for edge in block {
                        live[edge as usize] = sourced;
                    }
                }
            }
        }
        live
    }

    /// For each part, whether current could flow through it. Sources among them.
    ///
    /// For metal the strips count as they are; for all else each piece of metal counts as one place,
    /// since what begins and ends on one piece of metal carries nothing.
    pub fn live_parts(&self) -> Vec<bool> {
        let metal = self.metal();
        let between_rails = self.between_rails(&metal);
        let as_metal = self.live_edges(&self.adjacency());
        let mut as_load = self.live_edges(&self.adjacency_at(|vertex| metal[vertex], &between_rails));
        for index in between_rails {
            as_load[index] = true;
        }
        let mut parts = vec![false; self.first_end.len() - 1];
        for (index, edge) in self.edges.iter().enumerate() {
            if let Some(part) = parts.get_mut(edge.part.0) {
                *part |= if edge.way == Way::Metal { as_metal[index] } else { as_load[index] };
            }
        }
        let mut all_live = |ends: &[(PartIx, usize)], live: &[bool]| {
            for &(part, end) in ends {
                let own = self.edges.iter().position(|edge| edge.part == part && edge.from == end);
                parts[part.0] &= own.is_none_or(|edge| live[edge]);
            }
        };
        all_live(&self.needs, &as_load);
        self.unfed(&metal, &mut parts);
        parts
    }

    /// Takes the life from chips whose power pins get nothing from a supply, and from all that hangs at a
    /// rail which gets nothing: what lamps pass on to each other there, or inputs, is no power.
    fn unfed(&self, metal: &[usize], parts: &mut [bool]) {
        let poles = self.poles();
        let is_pole =
            |at: usize| poles.iter().any(|it| metal[it.plus] == metal[at] || metal[it.minus] == metal[at]);
        let rails: Vec<(usize, Sign)> = (0..self.strips.len())
            .filter(|&at| !is_pole(at))
            .filter_map(|at| match self.strips[at].place {
                StripPlace::Rail { sign, .. } => Some((at, sign)),
                StripPlace::HalfRow { .. } => None,
            })
            .collect();
        if rails.is_empty() && self.fed.is_empty() {
            return;
        }
        let (from_plus, to_minus) = self.reach(metal, &poles);
        for &(part, end) in &self.fed {
            let reached = if self.power.contains(&end) { &from_plus } else { &to_minus };
            parts[part.0] &= reached[self.ends[end]];
        }
        let fed = |&(at, sign): &(usize, Sign)| if sign == Sign::Plus { from_plus[at] } else { to_minus[at] };
        let idle: Vec<usize> = rails.iter().filter(|rail| !fed(rail)).map(|rail| metal[rail.0]).collect();
        for (part, legs) in self.first_end.windows(2).enumerate() {
            parts[part] &= !self.ends[legs[0]..legs[1]].iter().any(|&at| idle.contains(&metal[at]));
        }
    }

    /// For each vertex whether power can come to it from a +, and whether it can go on to a −: neither
    /// over the signal pins of chips nor over what only holds charge.
    fn reach(&self, metal: &[usize], poles: &[Poles]) -> (Vec<bool>, Vec<bool>) {
        let shut = |edge: &Edge| edge.stores || edge.signal;
        let without: Vec<usize> = (0..self.edges.len()).filter(|&index| shut(&self.edges[index])).collect();
        let adjacency = self.adjacency_at(|vertex| vertex, &without);
        let trip = Trip { graph: self, adjacency: &adjacency, metal, price: &one_way };
        let mut from_plus = vec![false; self.vertices];
        let mut to_minus = vec![false; self.vertices];
        for poles in poles {
            for (reached, prices, other) in [
                (&mut from_plus, trip.prices(poles.plus, poles.minus, false), poles.minus),
                (&mut to_minus, trip.prices(poles.minus, poles.plus, true), poles.plus),
            ] {
                for (at, price) in prices.into_iter().enumerate() {
                    reached[at] |= price.is_finite() && metal[at] != metal[other];
                }
            }
        }
        (from_plus, to_minus)
    }

    /// The capacitors that stand between + and −: they steady a supply and feed nobody, however the
    /// rails that they stand in are joined.
    fn between_rails(&self, metal: &[usize]) -> Vec<usize> {
        let mut signs = vec![(false, false); self.vertices];
        for (vertex, strip) in self.strips.iter().enumerate() {
            if let StripPlace::Rail { sign, .. } = strip.place {
                let own = &mut signs[metal[vertex]];
                *if sign == Sign::Plus { &mut own.0 } else { &mut own.1 } = true;
            }
        }
        for &end in &self.power {
            signs[metal[self.ends[end]]].0 = true;
        }
        for &end in &self.ground {
            signs[metal[self.ends[end]]].1 = true;
        }
        let stands = |edge: &Edge| {
            let (a, b) = self.vertices_of(edge);
            let (a, b) = (signs[metal[a]], signs[metal[b]]);
            edge.stores
                && (a == (true, false) && b == (false, true) || a == (false, true) && b == (true, false))
        };
        (0..self.edges.len()).filter(|&index| stands(&self.edges[index])).collect()
    }

    /// Whether an edge leads to the control of a transistor.
    pub fn is_control(&self, bench: &Bench, edge: &Edge) -> bool {
        let steers = bench.parts.get(edge.part.0).and_then(|it| it.card.steers);
        steers
            .is_some_and(|it| edge.from == self.end(LegId { part: edge.part, pin: usize::from(it.control) }))
    }

    /// Walks from some vertices to all that can be come to. Each vertex is asked once whether to go on from
    /// there, then each edge at it whether it can be passed.
    pub fn walk(
        &self,
        mut waiting: Vec<usize>,
        goes_on: &mut dyn FnMut(usize) -> bool,
        passes: &mut dyn FnMut(&Edge, usize) -> bool,
    ) {
        let mut seen = vec![false; self.vertices];
        while let Some(at) = waiting.pop() {
            if std::mem::replace(&mut seen[at], true) || !goes_on(at) {
                continue;
            }
            for edge in &self.edges {
                let (a, b) = self.vertices_of(edge);
                if (a == at || b == at) && passes(edge, at) {
                    waiting.push(if a == at { b } else { a });
                }
            }
        }
    }

    /// Which vertices metal and contacts join to a + (or a −), without going through the other pole: of two
    /// contacts that would join both, one is open.
    pub fn fed_by(&self, poles: &[Poles], metal: &[usize], plus: bool) -> Vec<bool> {
        let mut fed = vec![false; self.vertices];
        let pole = |it: &Poles, plus: bool| if plus { it.plus } else { it.minus };
        for own in poles {
            let start = pole(own, plus);
            let stops = |at: usize| {
                metal[at] != metal[start] && poles.iter().any(|it| metal[at] == metal[pole(it, !plus)])
            };
            self.walk(
                vec![start],
                &mut |at| {
                    fed[at] |= !stops(at);
                    !stops(at)
                },
                &mut |edge, _| matches!(edge.way, Way::Metal | Way::Contact),
            );
        }
        fed
    }

    /// Which vertices are one piece of metal: the smallest vertex of each piece.
    pub fn metal(&self) -> Vec<usize> {
        self.joined_by(|way| way == Way::Metal)
    }

    /// Which vertices are joined by edges of some ways: the smallest vertex of each set.
    pub fn joined_by(&self, ways: impl Fn(Way) -> bool) -> Vec<usize> {
        let mut sets = DisjointSets::new(self.vertices);
        for edge in self.edges.iter().filter(|edge| ways(edge.way)) {
            let (a, b) = self.vertices_of(edge);
            sets.join(a, b);
        }
        (0..self.vertices).map(|vertex| sets.root(vertex)).collect()
    }
}

/// The least voltage that a one-way part must have across it to carry a milliampere, volts; 0 for
/// parts whose curve is not known here.
pub(crate) fn forward_volts(bench: &Bench, part: PartIx) -> f64 {
    let part = bench.part(part);
    part.card.forward_volts.map_or(0.0, |volts| volts(part, 1e-3))
}
