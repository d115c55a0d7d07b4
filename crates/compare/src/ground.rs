//! The build strip by strip, and the plan beside it: what the search for the fewest moves goes by.
//!
//! Each strip gets a label: the plan's net that it is meant to be, or none. A piece of the build does for a
//! piece of the plan where its strips are labelled so (and its values will do). What is left over on both
//! sides, and wires between strips of different labels, is what has to be put right.

use halfrow_core::bench::Bench;
use halfrow_core::board::Strip;
use halfrow_core::nets::DisjointSets;
use halfrow_core::part::Part;

use crate::form::{Form, Joined, Piece, Shapes, does_for, touched};

/// Label of a strip that has none yet.
pub(crate) const UNSET: u16 = u16::MAX;
/// Label of a strip that is no net of the plan.
pub(crate) const NONE: u16 = u16::MAX - 1;

/// A piece of the build: its terminals by the strips that their pins touch.
#[derive(Clone, Debug)]
pub(crate) struct Standing {
    pub part: usize,
    pub shape: usize,
    pub strips: Vec<Vec<u16>>,
}

/// A wire, or metal inside a part, between two strips.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Link {
    pub part: usize,
    pub ends: (u16, u16),
    /// Whether it is a wire, which can be moved alone.
    pub wire: bool,
}

/// Plan and build.
#[derive(Clone, Debug)]
pub(crate) struct Ground<'a> {
    pub plan: &'a Joined,
    pub bench: &'a Bench,
    pub form: &'a Form,
    pub shapes: &'a Shapes,
    /// For each shape its orders of terminals.
    pub orders: Vec<Vec<Vec<u8>>>,
    pub strips: Vec<Strip>,
    pub standing: Vec<Standing>,
    pub links: Vec<Link>,
    /// For each strip the build's pieces on it, with the terminal.
    pub on: Vec<Vec<(usize, u8)>>,
    /// For each strip its links.
    pub linked: Vec<Vec<usize>>,
    /// For each shape the plan's pieces and the build's.
    pub of_shape: Vec<(Vec<usize>, Vec<usize>)>,
    /// For each shape whether it is a gate, and how many of them a package has.
    pub kinds: Vec<KindOf>,
    /// For each kind of part, its number of parts in plan and build. Build parts that are joined to nothing
    /// are counted apart.
    pub counts: Vec<Counts>,
    /// Whether a build piece does for a plan piece by its values: plan × build.
    does: Vec<bool>,
    /// Whether their parts have the same name: plan × build.
    named: Vec<bool>,
    /// For each strip the label that names speak for.
    pub hints: Vec<u16>,
    /// The plan's own layout, where it has one: what lies as the plan has it was hardly mistaken.
    pub layout: Option<&'a Bench>,
    /// The wires of that layout.
    pub planned_wires: Vec<PlannedWire>,
}

/// A wire of the plan's layout.
#[derive(Clone, Debug)]
pub(crate) struct PlannedWire {
    pub id: String,
    /// The strips of its ends, pin by pin.
    pub ends: [Strip; 2],
}

impl PlannedWire {
    /// Whether it lies between two strips.
    pub fn joins(&self, a: Strip, b: Strip) -> bool {
        self.ends == [a, b] || self.ends == [b, a]
    }

    fn all(layout: &Bench) -> Vec<PlannedWire> {
        let wires = layout.parts.iter().filter(|it| it.card.is_wire());
        let ends = |wire: &Part| {
            let ends = [touched(layout, wire, 0)?, touched(layout, wire, 1)?];
            Some(PlannedWire { id: wire.id.clone(), ends })
        };
        wires.filter_map(ends).collect()
    }
}

/// To which kind of part a shape belongs.
#[derive(Clone, Copy, Debug)]
pub(crate) struct KindOf {
    /// Index into the counts.
    pub kind: usize,
    /// Gates in a package; 0 for the package itself or a part without gates.
    pub gates: usize,
}

/// How many parts of a kind there are.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Counts {
    pub plan: usize,
    pub build: usize,
    /// Of the build's, those that are joined to nothing.
    pub idle: usize,
}

/// The strips that legs touch, sorted.
fn touched_strips(bench: &Bench) -> Vec<Strip> {
    let mut strips: Vec<Strip> = Vec::new();
    for part in &bench.parts {
        strips.extend((0..part.legs.len()).filter_map(|pin| touched(bench, part, pin)));
    }
    strips.sort_unstable();
    strips.dedup();
    strips
}

/// The number of the strip that a leg touches.
fn strip_at(bench: &Bench, strips: &[Strip], part: usize, pin: usize) -> Option<u16> {
    let strip = touched(bench, &bench.parts[part], pin)?;
    strips.binary_search(&strip).ok().map(|it| it as u16)
}

/// The pieces of a build with the strips of their terminals.
fn standing(bench: &Bench, strips: &[Strip], built: &Form) -> Vec<Standing> {
    let standing = |piece: &Piece| {
        let at = |pin: &usize| strip_at(bench, strips, piece.part, *pin);
        let strips = piece.pins.iter().map(|pins| pins.iter().filter_map(at).collect()).collect();
        Standing { part: piece.part, shape: piece.shape, strips }
    };
    built.pieces.iter().map(standing).collect()
}

/// Wires and metal inside parts, between different strips.
fn links(bench: &Bench, strips: &[Strip]) -> Vec<Link> {
    let mut links = Vec::new();
    for (index, part) in bench.parts.iter().enumerate() {
        for &(a, b) in part.card.metal {
            let ends = [a, b].map(|pin| strip_at(bench, strips, index, pin.into()));
            if let [Some(a), Some(b)] = ends
                && a != b
            {
                links.push(Link { part: index, ends: (a, b), wire: part.card.is_wire() });
            }
        }
    }
    links
}

impl<'a> Ground<'a> {
    /// Puts plan and build beside each other.
    pub fn of(
        (plan, layout): (&'a Joined, Option<&'a Bench>),
        form: &'a Form,
        bench: &'a Bench,
        joined: &Joined,
        shapes: &'a Shapes,
        built: &Form,
    ) -> Ground<'a> {
        let strips = touched_strips(bench);
        let standing = standing(bench, &strips, built);
        let links = links(bench, &strips);
        let mut on = vec![Vec::new(); strips.len()];
        for (index, piece) in standing.iter().enumerate() {
            for (terminal, own) in piece.strips.iter().enumerate() {
                for &strip in own {
                    on[usize::from(strip)].push((index, terminal as u8));
                }
            }
        }
        let mut linked = vec![Vec::new(); strips.len()];
        for (index, link) in links.iter().enumerate() {
            linked[usize::from(link.ends.0)].push(index);
            linked[usize::from(link.ends.1)].push(index);
        }
        let pairs = |does: &dyn Fn(&Piece, &Standing) -> bool| -> Vec<bool> {
            let pairs = form.pieces.iter().flat_map(|own| standing.iter().map(move |other| (own, other)));
            pairs.map(|(own, other)| does(own, other)).collect()
        };
        let parts = |own: &Piece, other: &Standing| (&plan.parts[own.part], &joined.parts[other.part]);
        let does = pairs(&|own, other| {
            let (part, with) = parts(own, other);
            own.shape == other.shape && does_for(part, with)
        });
        let named = pairs(&|own, other| {
            let (part, with) = parts(own, other);
            part.id == with.id
        });
        let mut ground = Ground {
            plan,
            bench,
            form,
            shapes,
            orders: shapes.0.iter().map(|it| it.orders()).collect(),
            strips,
            standing,
            links,
            on,
            linked,
            of_shape: Vec::new(),
            kinds: Vec::new(),
            counts: Vec::new(),
            does,
            named,
            hints: Vec::new(),
            layout,
            planned_wires: layout.map_or(vec![], PlannedWire::all),
        };
        ground.sort_by_shape(built);
        ground.hints = ground.hints_of_names();
        ground
    }

    fn sort_by_shape(&mut self, built: &Form) {
        let mut kinds: Vec<&'static str> = Vec::new();
        let mut number = |kind: &'static str| match kinds.iter().position(|it| *it == kind) {
            Some(at) => at,
            None => {
                kinds.push(kind);
                kinds.len() - 1
            }
        };
        self.of_shape = vec![(Vec::new(), Vec::new()); self.shapes.0.len()];
        self.kinds = vec![KindOf { kind: 0, gates: 0 }; self.shapes.0.len()];
        for (index, piece) in self.form.pieces.iter().enumerate() {
            let card = self.plan.parts[piece.part].card;
            self.of_shape[piece.shape].0.push(index);
            let gates = if piece.gate { card.gates.len() } else { 0 };
            self.kinds[piece.shape] = KindOf { kind: number(card.kind), gates };
        }
        for (index, piece) in built.pieces.iter().enumerate() {
            let card = self.bench.parts[piece.part].card;
            self.of_shape[piece.shape].1.push(index);
            let gates = if piece.gate { card.gates.len() } else { 0 };
            self.kinds[piece.shape] = KindOf { kind: number(card.kind), gates };
        }
        let mut counts = vec![Counts::default(); kinds.len()];
        for part in self.plan.parts.iter().filter(|it| !it.card.is_wire()) {
            if let Some(at) = kinds.iter().position(|it| *it == part.card.kind) {
                counts[at].plan += 1;
            }
        }
        for (index, part) in self.bench.parts.iter().enumerate().filter(|it| !it.1.card.is_wire()) {
            if let Some(at) = kinds.iter().position(|it| *it == part.card.kind) {
                counts[at].build += 1;
                counts[at].idle += usize::from(built.unjoined.contains(&index));
            }
        }
        // Parts of the plan that are joined to nothing need not be there.
        for &part in &self.form.unjoined {
            if let Some(at) = kinds.iter().position(|it| *it == self.plan.parts[part].card.kind) {
                counts[at].plan -= 1;
            }
        }
        self.counts = counts;
    }

    /// The label that parts of the same names speak for. Names decide nothing; they say where to look first.
    fn hints_of_names(&self) -> Vec<u16> {
        let partner = |piece: usize| {
            let own = &self.standing[piece];
            let id = &self.bench.parts[own.part].id;
            let same: Vec<usize> = self.of_shape[own.shape]
                .0
                .iter()
                .copied()
                .filter(|&it| self.plan.parts[self.form.pieces[it].part].id == *id)
                .collect();
            // Gates of one chip come in the same order.
            let nth = (0..piece)
                .filter(|&it| self.standing[it].part == own.part && self.standing[it].shape == own.shape)
                .count();
            same.get(nth).copied()
        };
        self.on
            .iter()
            .map(|pins| {
                let mut votes: Vec<(u16, usize)> = Vec::new();
                for &(piece, terminal) in pins {
                    let Some(partner) = partner(piece) else { continue };
                    let Some(net) = self.form.pieces[partner].nets[usize::from(terminal)] else { continue };
                    match votes.iter_mut().find(|it| usize::from(it.0) == net) {
                        Some(own) => own.1 += 1,
                        None => votes.push((net as u16, 1)),
                    }
                }
                votes.into_iter().max_by_key(|it| it.1).map_or(NONE, |it| it.0)
            })
            .collect()
    }

    /// Whether values of a build piece do for a plan piece.
    pub fn values_do(&self, plan: usize, build: usize) -> bool {
        self.does[plan * self.standing.len() + build]
    }

    /// Whether a build piece's part has the name of a plan piece's.
    pub fn named(&self, plan: usize, build: usize) -> bool {
        self.named[plan * self.standing.len() + build]
    }

    /// Whether a terminal's strips can all be a net.
    fn can_be(&self, net: Option<usize>, strips: &[u16], labels: &[u16]) -> bool {
        let wanted = net.map_or(NONE, |net| net as u16);
        (net.is_none() || !strips.is_empty())
            && strips.iter().all(|&strip| {
                let label = labels[usize::from(strip)];
                label == UNSET || label == wanted
            })
    }

    /// Whether a build piece can stand where a plan piece does, labels as they are, whatever its values.
    pub fn stands_for(&self, plan: usize, build: usize, labels: &[u16]) -> bool {
        let (piece, own) = (&self.form.pieces[plan], &self.standing[build]);
        piece.shape == own.shape
            && self.orders[own.shape].iter().any(|order| {
                order
                    .iter()
                    .zip(&own.strips)
                    .all(|(&at, strips)| self.can_be(piece.nets[usize::from(at)], strips, labels))
            })
    }

    /// Whether a build piece does for a plan piece.
    pub fn fits(&self, plan: usize, build: usize, labels: &[u16]) -> bool {
        self.values_do(plan, build) && self.stands_for(plan, build, labels)
    }

    /// Wires between strips of different nets, and joints that are missing: the least of both that labels
    /// leave open.
    pub fn wiring(&self, labels: &[u16]) -> (usize, usize) {
        let is_net = |label: u16| label < NONE;
        let mut bad = 0;
        let mut sets = DisjointSets::new(self.strips.len());
        for link in &self.links {
            let (a, b) = (usize::from(link.ends.0), usize::from(link.ends.1));
            if is_net(labels[a]) && is_net(labels[b]) && labels[a] != labels[b] {
                bad += usize::from(link.wire);
            } else if (labels[a] == NONE) == (labels[b] == NONE) || labels[a] == UNSET || labels[b] == UNSET {
                sets.join(a, b);
            }
        }
        // Pieces of metal that hold pins of one net.
        let mut pieces: Vec<(u16, usize)> = (0..self.strips.len())
            .filter(|&strip| is_net(labels[strip]) && !self.on[strip].is_empty())
            .map(|strip| (labels[strip], sets.root(strip)))
            .collect();
        pieces.sort_unstable();
        pieces.dedup();
        let joins = pieces.windows(2).filter(|pair| pair[0].0 == pair[1].0).count();
        (bad, joins)
    }

    /// Wires at strips without a label that have to go: a leg stands there that the plan joins to nothing.
    pub fn strays(&self, labels: &[u16], build_mate: &[Option<usize>]) -> Vec<usize> {
        let alone = |strip: usize| {
            self.on[strip].iter().any(|&(build, terminal)| {
                build_mate[build].is_some_and(|plan| {
                    let nets = &self.form.pieces[plan].nets;
                    let roles = &self.shapes.0[self.standing[build].shape].roles;
                    let role = roles[usize::from(terminal)];
                    nets.iter().zip(roles).any(|(net, &own)| own == role && net.is_none())
                })
            })
        };
        let mut strays = Vec::new();
        for strip in (0..self.strips.len()).filter(|&strip| labels[strip] == NONE) {
            if self.linked[strip].is_empty() || !alone(strip) {
                continue;
            }
            // What is reached over strips without a label.
            let (mut seen, mut next) = (vec![strip], 0);
            while let Some(&at) = seen.get(next) {
                next += 1;
                for &link in &self.linked[at] {
                    let (a, b) = self.links[link].ends;
                    let other = usize::from(if usize::from(a) == at { b } else { a });
                    if labels[other] == NONE {
                        if !seen.contains(&other) {
                            seen.push(other);
                        }
                        if alone(other) && self.links[link].wire {
                            strays.push(link);
                        }
                    } else if self.links[link].wire {
                        strays.push(link);
                    }
                }
            }
        }
        strays.sort_unstable();
        strays.dedup();
        strays
    }

    /// Labels without those that no leg speaks for: a piece of metal on which no leg is right is nothing yet.
    pub fn supported(&self, labels: &[u16], mates: &[Option<usize>]) -> Vec<u16> {
        let mut sets = DisjointSets::new(self.strips.len());
        for link in &self.links {
            let (a, b) = (usize::from(link.ends.0), usize::from(link.ends.1));
            if labels[a] == labels[b] {
                sets.join(a, b);
            }
        }
        let mut held = vec![false; self.strips.len()];
        for build in mates.iter().flatten() {
            for &strip in self.standing[*build].strips.iter().flatten() {
                held[sets.root(usize::from(strip))] = true;
            }
        }
        // Legs of parts that are wrong elsewhere may be right here: one of two.
        for (build, own) in self.standing.iter().enumerate() {
            if mates.contains(&Some(build)) {
                continue;
            }
            // Or only its value is wrong.
            let mut free = self.of_shape[own.shape].0.iter().filter(|&&plan| mates[plan].is_none());
            if free.any(|&plan| self.stands_for(plan, build, labels)) {
                for &strip in own.strips.iter().flatten() {
                    held[sets.root(usize::from(strip))] = true;
                }
            }
            if own.strips.len() > 3 {
                continue;
            }
            for &strip in own.strips.iter().flatten() {
                if self.on[usize::from(strip)].len() >= 2 {
                    continue;
                }
                let label = labels[usize::from(strip)];
                let speaks = self.of_shape[own.shape].0.iter().any(|&plan| {
                    mates[plan].is_none()
                        && self.form.pieces[plan]
                            .nets
                            .iter()
                            .any(|it| it.map(|net| net as u16) == Some(label))
                });
                if speaks {
                    held[sets.root(usize::from(strip))] = true;
                }
            }
        }
        (0..labels.len()).map(|strip| if held[sets.root(strip)] { labels[strip] } else { NONE }).collect()
    }

    /// The labels of a build that lies as the plan's layout does: each strip is what it is there.
    pub fn labels_of_layout(&self, layout: &Bench) -> Vec<u16> {
        let mut labels = vec![NONE; self.strips.len()];
        for (strip, label) in self.strips.iter().zip(&mut labels) {
            for piece in &self.form.pieces {
                let part = &self.plan.parts[piece.part];
                for (pins, net) in piece.pins.iter().zip(&piece.nets) {
                    let here = pins.iter().any(|&pin| touched(layout, part, pin) == Some(*strip));
                    if let (Some(net), true) = (net, here) {
                        *label = *net as u16;
                    }
                }
            }
        }
        // Strips that only wires join to a net.
        loop {
            let mut changed = false;
            for part in layout.parts.iter().filter(|it| it.card.is_wire()) {
                let ends = [0, 1].map(|pin| {
                    let strip = touched(layout, part, pin)?;
                    self.strips.binary_search(&strip).ok()
                });
                let [Some(a), Some(b)] = ends else { continue };
                for (from, to) in [(a, b), (b, a)] {
                    if labels[from] != NONE && labels[to] == NONE {
                        labels[to] = labels[from];
                        changed = true;
                    }
                }
            }
            if !changed {
                return labels;
            }
        }
    }
}
