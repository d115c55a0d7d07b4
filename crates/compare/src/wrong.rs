//! What has to be put right under given labels: parts, values, wires. No holes yet.

use halfrow_core::board::StripPlace;
use halfrow_core::nets::DisjointSets;

use crate::ground::{Ground, NONE, UNSET};
use crate::search::Labelled;

/// One thing to do.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Task {
    /// A part of the build to stand as one of the plan does.
    Stand { plan: usize, build: usize },
    /// Another value.
    Value { plan: usize, build: usize },
    /// Another kind of part in its place.
    Kind { plan: usize, build: usize },
    /// A part that is missing.
    Missing { plan: usize },
    /// A part that is too many.
    Extra { build: usize },
    /// The end of a wire to a strip of another piece of its net.
    End { wire: usize, second: bool, to: Vec<u16> },
    /// Both ends of a wire: each to strips of one piece of a net.
    Wire { wire: usize, to: [Vec<u16>; 2] },
    /// A wire whose leg stands out of its hole.
    Push { part: usize, pin: usize },
    /// A wire to be added between two pieces of a net.
    Join { to: [Vec<u16>; 2] },
    /// A wire to be taken out.
    Cut { part: usize },
    /// Two legs or ends to be exchanged: part and pin of each.
    Swap { one: (usize, usize), other: (usize, usize) },
}

/// All there is to do, and how many moves that takes.
#[derive(Clone, Debug, Default)]
pub(crate) struct Tasks {
    pub list: Vec<Task>,
    /// Gates and parts of the plan that nothing stands for, as pieces.
    pub free: Vec<usize>,
}

impl Ground<'_> {
    /// What is to be done under some labels.
    pub fn tasks(&self, found: &Labelled) -> Tasks {
        let mut tasks = Tasks::default();
        self.part_tasks(found, &mut tasks);
        self.wire_tasks(found, &mut tasks);
        tasks
    }

    fn part_tasks(&self, found: &Labelled, tasks: &mut Tasks) {
        let mut mate_of_build: Vec<Option<usize>> = vec![None; self.standing.len()];
        for (plan, mate) in found.mates.iter().enumerate() {
            if let Some(build) = mate {
                mate_of_build[*build] = Some(plan);
            }
        }
        self.gather_gates(found, &mut mate_of_build);
        let is_good = |part: usize| {
            self.standing.iter().enumerate().all(|(at, it)| it.part != part || mate_of_build[at].is_some())
        };
        let stands: Vec<usize> =
            (0..self.bench.parts.len()).filter(|&part| !self.bench.parts[part].card.is_wire()).collect();
        let mut bad: Vec<usize> = stands.into_iter().filter(|&part| !is_good(part)).collect();
        // What of the plan is taken by good parts; the packages that are left are the plan's to be made.
        let mut taken = vec![false; self.form.pieces.len()];
        for (at, it) in self.standing.iter().enumerate() {
            if let (Some(plan), true) = (mate_of_build[at], is_good(it.part)) {
                taken[plan] = true;
            }
        }
        tasks.free = (0..taken.len()).filter(|&piece| !taken[piece]).collect();
        let mut wanted: Vec<usize> = Vec::new();
        for kind in self.kinds_at_work() {
            let of_plan: Vec<usize> = self.plan_parts(kind);
            let good = self
                .bench
                .parts
                .iter()
                .enumerate()
                .filter(|it| it.1.card.kind == kind && is_good(it.0))
                .count();
            // Of chips with gates it is the packages that count: those whose own piece is free first.
            let mut open: Vec<usize> = of_plan;
            open.sort_by_key(|&part| {
                let own = self.form.pieces.iter().position(|it| it.part == part && !it.gate);
                own.is_some_and(|piece| taken[piece])
            });
            let left = open.len().saturating_sub(good);
            open.truncate(left);
            wanted.extend(open);
        }
        self.pair_parts(found, &mut wanted, &mut bad, tasks);
    }

    fn kinds_at_work(&self) -> Vec<&'static str> {
        let mut kinds: Vec<&'static str> =
            self.form.pieces.iter().map(|it| self.plan.parts[it.part].card.kind).collect();
        kinds.sort_unstable();
        kinds.dedup();
        kinds
    }

    fn plan_parts(&self, kind: &str) -> Vec<usize> {
        let mut parts: Vec<usize> = self.form.pieces.iter().map(|it| it.part).collect();
        parts.dedup();
        parts.retain(|&part| self.plan.parts[part].card.kind == kind);
        parts
    }

    /// Gates that are left over are to be left over in as few packages as can be: one package after the other
    /// gives its partners away to gates of others that have none.
    fn gather_gates(&self, found: &Labelled, mate_of_build: &mut [Option<usize>]) {
        for (shape, (_, of_build)) in self.of_shape.iter().enumerate() {
            if self.kinds[shape].gates < 2 {
                continue;
            }
            let lost = |mates: &[Option<usize>], part: usize| {
                of_build.iter().filter(|&&it| self.standing[it].part == part && mates[it].is_none()).count()
            };
            let mut packages: Vec<usize> = of_build.iter().map(|&it| self.standing[it].part).collect();
            packages.dedup();
            packages.sort_by_key(|&part| std::cmp::Reverse(lost(mate_of_build, part)));
            for giver in 0..packages.len() {
                for taker in giver + 1..packages.len() {
                    for &gate in of_build.iter().filter(|&&it| self.standing[it].part == packages[taker]) {
                        if mate_of_build[gate].is_some() || lost(mate_of_build, packages[giver]) == 0 {
                            continue;
                        }
                        let given = of_build.iter().copied().find(|&other| {
                            self.standing[other].part == packages[giver]
                                && mate_of_build[other]
                                    .is_some_and(|plan| self.fits(plan, gate, &found.labels))
                        });
                        if let Some(other) = given {
                            mate_of_build[gate] = mate_of_build[other].take();
                        }
                    }
                }
            }
        }
    }

    /// Pairs parts of the plan that nothing stands for with parts of the build that stand for nothing.
    fn pair_parts(&self, found: &Labelled, wanted: &mut Vec<usize>, bad: &mut Vec<usize>, tasks: &mut Tasks) {
        let mut pairs: Vec<(usize, usize, usize)> = Vec::new();
        for &plan in wanted.iter() {
            for &build in bad.iter() {
                let (own, other) = (&self.plan.parts[plan], &self.bench.parts[build]);
                if own.card == other.card {
                    let value = !crate::form::does_for(own, other);
                    let legs = self.wrong_terminals(plan, build, &found.labels).len();
                    let named = own.id == other.id;
                    pairs.push((8 * usize::from(value) + 4 * legs.min(4) + usize::from(!named), plan, build));
                }
            }
        }
        pairs.sort_unstable();
        for (_, plan, build) in pairs {
            if !wanted.contains(&plan) || !bad.contains(&build) {
                continue;
            }
            wanted.retain(|it| *it != plan);
            bad.retain(|it| *it != build);
            let value = !crate::form::does_for(&self.plan.parts[plan], &self.bench.parts[build]);
            if value {
                tasks.list.push(Task::Value { plan, build });
            }
            if !value || !self.wrong_terminals(plan, build, &found.labels).is_empty() {
                tasks.list.push(Task::Stand { plan, build });
            }
        }
        // Parts that are joined to nothing may stay where they lie.
        let idle = |build: usize| {
            self.standing.iter().filter(|it| it.part == build).all(|it| {
                it.strips.iter().flatten().all(|&strip| {
                    let own = usize::from(strip);
                    self.linked[own].is_empty() && self.on[own].len() == 1
                })
            })
        };
        bad.retain(|&build| !idle(build));
        for plan in std::mem::take(wanted) {
            // One of another kind that stands where it should.
            let other = bad.iter().position(|&build| {
                let legs = self.bench.parts[build].legs.len();
                legs == self.plan.parts[plan].legs.len() && self.shares_places(plan, build, &found.labels)
            });
            match other {
                Some(at) => tasks.list.push(Task::Kind { plan, build: bad.remove(at) }),
                None => tasks.list.push(Task::Missing { plan }),
            }
        }
        tasks.list.extend(bad.drain(..).map(|build| Task::Extra { build }));
    }

    /// Whether most terminals of a part of any kind are in nets of a plan's part.
    fn shares_places(&self, plan: usize, build: usize, labels: &[u16]) -> bool {
        let Some(piece) = self.form.pieces.iter().find(|it| it.part == plan && !it.gate) else {
            return false;
        };
        let Some(own) = self.standing.iter().find(|it| it.part == build) else { return false };
        let nets = piece.nets.iter().flatten();
        let met = nets
            .clone()
            .filter(|&&net| {
                own.strips.iter().flatten().any(|&strip| usize::from(labels[usize::from(strip)]) == net)
            })
            .count();
        met > 0 && 2 * met >= nets.count()
    }

    /// The terminals of a part without gates that are in wrong strips, in the order that leaves the fewest:
    /// terminal, the net that it belongs in. For a chip with gates as many as it has pieces that fit nothing.
    pub fn wrong_terminals(&self, plan: usize, build: usize, labels: &[u16]) -> Vec<(usize, Option<usize>)> {
        let pieces: Vec<usize> =
            (0..self.standing.len()).filter(|&it| self.standing[it].part == build).collect();
        let of_plan: Vec<usize> =
            (0..self.form.pieces.len()).filter(|&it| self.form.pieces[it].part == plan).collect();
        if pieces.len() != 1 || of_plan.len() != 1 {
            let fits = |it: &usize| {
                self.of_shape[self.standing[*it].shape].0.iter().any(|&own| self.stands_for(own, *it, labels))
            };
            return pieces.iter().enumerate().filter(|it| !fits(it.1)).map(|it| (it.0, None)).collect();
        }
        let needs = self.needs(of_plan[0], pieces[0], labels);
        needs.into_iter().enumerate().filter(|it| !it.1.1).map(|(terminal, it)| (terminal, it.0)).collect()
    }

    /// For each terminal of a piece of the build the net that it belongs in and whether it is there, in the
    /// order of terminals that leaves the fewest to be moved.
    pub fn needs(&self, plan: usize, build: usize, labels: &[u16]) -> Vec<(Option<usize>, bool)> {
        let (piece, own) = (&self.form.pieces[plan], &self.standing[build]);
        let with = |order: &Vec<u8>| -> Vec<(Option<usize>, bool)> {
            (0..own.strips.len())
                .map(|terminal| {
                    let net = piece.nets[usize::from(order[terminal])];
                    let label = net.map_or(NONE, |net| net as u16);
                    let strips = &own.strips[terminal];
                    let right = strips.iter().all(|&strip| labels[usize::from(strip)] == label)
                        && (net.is_none() || !strips.is_empty());
                    (net, right)
                })
                .collect()
        };
        let wrong = |needs: &Vec<(Option<usize>, bool)>| needs.iter().filter(|it| !it.1).count();
        self.orders[own.shape].iter().map(with).min_by_key(wrong).unwrap_or_default()
    }

    fn wire_tasks(&self, found: &Labelled, tasks: &mut Tasks) {
        let labels = &found.labels;
        let mut mate_of_build: Vec<Option<usize>> = vec![None; self.standing.len()];
        for (plan, mate) in found.mates.iter().enumerate() {
            if let Some(build) = mate {
                mate_of_build[*build] = Some(plan);
            }
        }
        let strays = self.strays(labels, &mate_of_build);
        let is_net = |strip: u16| labels[usize::from(strip)] < NONE;
        let is_bad = |at: usize| {
            let (a, b) = self.links[at].ends;
            is_net(a) && is_net(b) && labels[usize::from(a)] != labels[usize::from(b)] || strays.contains(&at)
        };
        let mut bad: Vec<usize> =
            (0..self.links.len()).filter(|&at| self.links[at].wire && is_bad(at)).collect();
        let mut sets = DisjointSets::new(self.strips.len());
        for (at, link) in self.links.iter().enumerate() {
            if !is_bad(at) && labels[usize::from(link.ends.0)] == labels[usize::from(link.ends.1)] {
                sets.join(link.ends.0.into(), link.ends.1.into());
            }
        }
        self.swap_tasks(labels, &mut bad, &mut sets, tasks);
        // The wires that join nothing as they are: in the air, or from a net to nowhere.
        let mut loose: Vec<usize> = (0..self.links.len())
            .filter(|&at| {
                let (a, b) = self.links[at].ends;
                self.links[at].wire && !bad.contains(&at) && is_net(a) != is_net(b) && !is_bad(at)
            })
            .collect();
        while let Some((one, rest)) = self.open_joint(labels, &mut sets) {
            // One joint at a time: from the piece to the nearest of the others.
            let near = rest.iter().map(|&to| (one.iter().map(|&from| self.far(from, to)).min(), to)).min();
            let piece = near.map(|it| sets.root(it.1.into()));
            let nearest: Vec<u16> =
                rest.iter().copied().filter(|&it| Some(sets.root(it.into())) == piece).collect();
            let options = bad.iter().map(|&at| (at, true)).chain(loose.iter().map(|&at| (at, false)));
            let best = options
                .filter_map(|(at, is_bad)| self.joins_by(at, is_bad, labels, &mut sets.clone(), &one, &rest))
                .min_by_key(|it| it.0);
            let pushed = self.pushed_in(labels, &mut sets, &one, &rest);
            let task = match (best, pushed) {
                (_, Some(task)) => task,
                (Some((_, task)), None) => task,
                (None, None) => match bad.first() {
                    Some(&wire) => Task::Wire { wire, to: [one.clone(), nearest.clone()] },
                    None => Task::Join { to: [one.clone(), nearest.clone()] },
                },
            };
            if let Task::End { wire, .. } | Task::Wire { wire, .. } = &task {
                bad.retain(|it| it != wire);
                loose.retain(|it| it != wire);
            }
            let (a, b) = ends_of(self, &task, &one, &nearest);
            sets.join(a.into(), b.into());
            tasks.list.push(task);
        }
        tasks.list.extend(bad.into_iter().map(|at| Task::Cut { part: self.links[at].part }));
    }

    /// A net in more than one piece: strips of its smallest piece, and those of all others.
    fn open_joint(&self, labels: &[u16], sets: &mut DisjointSets) -> Option<(Vec<u16>, Vec<u16>)> {
        let strips: Vec<u16> =
            (0..self.strips.len() as u16).filter(|&it| labels[usize::from(it)] < NONE).collect();
        for &strip in &strips {
            let label = labels[usize::from(strip)];
            let held = |root: usize, sets: &mut DisjointSets| {
                strips.iter().any(|&it| {
                    labels[usize::from(it)] == label
                        && sets.root(it.into()) == root
                        && !self.on[usize::from(it)].is_empty()
                })
            };
            let root = sets.root(strip.into());
            if !held(root, sets) {
                continue;
            }
            let own: Vec<u16> = strips
                .iter()
                .copied()
                .filter(|&it| labels[usize::from(it)] == label && sets.root(it.into()) == root)
                .collect();
            let mut rest: Vec<u16> = strips
                .iter()
                .copied()
                .filter(|&it| labels[usize::from(it)] == label && sets.root(it.into()) != root)
                .collect();
            rest.retain(|&it| {
                let root = sets.root(it.into());
                held(root, sets)
            });
            if !rest.is_empty() {
                return Some(if own.len() <= rest.len() { (own, rest) } else { (rest, own) });
            }
        }
        None
    }

    /// How a wire can join two pieces of a net by one end, and how far that end goes.
    fn joins_by(
        &self,
        at: usize,
        is_bad: bool,
        labels: &[u16],
        sets: &mut DisjointSets,
        one: &[u16],
        rest: &[u16],
    ) -> Option<(u32, Task)> {
        let (a, b) = self.links[at].ends;
        let mut best: Option<(u32, Task)> = None;
        for (keep, moved, second) in [(a, b, true), (b, a, false)] {
            for (here, there) in [(one, rest), (rest, one)] {
                if !here.contains(&keep) {
                    continue;
                }
                // Among several pieces of the rest only those that are not joined to it yet.
                let root = sets.root(keep.into());
                let others =
                    there.iter().copied().filter(|&it| sets.root(it.into()) != root).collect::<Vec<_>>();
                let Some((far, near)) = others.iter().map(|&it| (self.far(moved, it), it)).min() else {
                    continue;
                };
                let piece = sets.root(near.into());
                let to: Vec<u16> = others.into_iter().filter(|&it| sets.root(it.into()) == piece).collect();
                let shy = if labels[usize::from(moved)] == UNSET { 1 } else { 0 };
                let price = far + shy + if is_bad { 0 } else { 1 };
                if best.as_ref().is_none_or(|it| price < it.0) {
                    best = Some((price, Task::End { wire: at, second, to }));
                }
            }
        }
        best
    }

    /// How far two strips are apart, roughly: in rows, with something for the channel and for other rails.
    pub fn far(&self, from: u16, to: u16) -> u32 {
        let (from, to) = (self.strips[usize::from(from)], self.strips[usize::from(to)]);
        let boards = 40 * u32::from(from.board.abs_diff(to.board));
        boards
            + match (from.place, to.place) {
                (StripPlace::HalfRow { row, side }, StripPlace::HalfRow { row: other, side: there }) => {
                    u32::from(row.abs_diff(other)) + 3 * u32::from(side != there)
                }
                (StripPlace::Rail { side, .. }, StripPlace::Rail { side: other, .. }) => {
                    if side == other {
                        1
                    } else {
                        14
                    }
                }
                (StripPlace::HalfRow { side, .. }, StripPlace::Rail { side: other, .. })
                | (StripPlace::Rail { side, .. }, StripPlace::HalfRow { side: other, .. }) => {
                    if side == other { 3 } else { 12 }
                }
            }
    }

    /// A wire whose end stands out of a hole of one piece while its other end is in the other.
    fn pushed_in(&self, labels: &[u16], sets: &mut DisjointSets, one: &[u16], rest: &[u16]) -> Option<Task> {
        for (part, it) in self.bench.parts.iter().enumerate().filter(|it| it.1.card.is_wire()) {
            let over = |pin: usize| -> Option<u16> {
                let strip = self.bench.strip(it.legs[pin].hole?)?;
                Some(self.strips.binary_search(&strip).ok()? as u16)
            };
            let out = |pin: usize| it.legs[pin].depth != halfrow_core::part::Depth::Full;
            let [Some(a), Some(b)] = [0, 1].map(over) else { continue };
            let joins = (one.contains(&a) && rest.contains(&b)) || (rest.contains(&a) && one.contains(&b));
            if joins && sets.root(a.into()) != sets.root(b.into()) && (out(0) != out(1)) {
                debug_assert_eq!(labels[usize::from(a)], labels[usize::from(b)]);
                return Some(Task::Push { part, pin: usize::from(out(1)) });
            }
        }
        None
    }

    /// Joins two of the tasks into one where two legs have only changed places: every way to do so once.
    pub fn with_swaps(&self, tasks: &Tasks, labels: &[u16]) -> Option<Tasks> {
        let mut list = tasks.list.clone();
        let mut swapped = false;
        'again: loop {
            for index in 0..list.len() {
                for other in index + 1..list.len() {
                    let arcs = [index, other].map(|at| self.arcs(&list[at], labels));
                    for &(one, from, to) in &arcs[0] {
                        for &(two, here, there) in &arcs[1] {
                            if from == there && to == here && one.0 != two.0 {
                                list.remove(other);
                                list[index] = Task::Swap { one, other: two };
                                swapped = true;
                                continue 'again;
                            }
                        }
                    }
                }
            }
            return swapped.then(|| Tasks { list, free: tasks.free.clone() });
        }
    }

    /// From which net to which net a task could take a leg: part and pin, from, to.
    fn arcs(&self, task: &Task, labels: &[u16]) -> Vec<((usize, usize), u16, u16)> {
        let label = |strip: u16| labels[usize::from(strip)];
        match task {
            &Task::Stand { plan, build } => {
                let wrong = self.wrong_terminals(plan, build, labels);
                let [(terminal, Some(net))] = wrong[..] else { return vec![] };
                let Some(own) = self.standing.iter().find(|it| it.part == build) else { return vec![] };
                let [strip] = own.strips[terminal][..] else { return vec![] };
                if own.strips.len() != self.bench.parts[build].legs.len() || label(strip) >= NONE {
                    return vec![];
                }
                vec![((build, terminal), label(strip), net as u16)]
            }
            Task::End { wire, .. } => self.arcs_of_wire(*wire, labels),
            Task::Cut { part } => {
                let wire = self.links.iter().position(|it| it.part == *part);
                wire.map_or(vec![], |wire| self.arcs_of_wire(wire, labels))
            }
            _ => vec![],
        }
    }

    fn arcs_of_wire(&self, wire: usize, labels: &[u16]) -> Vec<((usize, usize), u16, u16)> {
        let (a, b) = self.links[wire].ends;
        let (a, b) = (labels[usize::from(a)], labels[usize::from(b)]);
        if a >= NONE || b >= NONE {
            return vec![];
        }
        let part = self.links[wire].part;
        vec![((part, 0), a, b), ((part, 1), b, a)]
    }

    /// Two wires whose ends have changed places.
    fn swap_tasks(&self, labels: &[u16], bad: &mut Vec<usize>, sets: &mut DisjointSets, tasks: &mut Tasks) {
        'again: loop {
            for (index, &one) in bad.iter().enumerate() {
                for &other in &bad[index + 1..] {
                    for (first, second) in [(true, true), (true, false), (false, true), (false, false)] {
                        let end = |at: usize, second: bool| {
                            let (a, b) = self.links[at].ends;
                            if second { (a, b) } else { (b, a) }
                        };
                        let ((keep, moved), (stays, goes)) = (end(one, first), end(other, second));
                        let label = |strip: u16| labels[usize::from(strip)];
                        if label(keep) < NONE
                            && label(keep) == label(goes)
                            && label(stays) < NONE
                            && label(stays) == label(moved)
                        {
                            sets.join(keep.into(), goes.into());
                            sets.join(stays.into(), moved.into());
                            tasks.list.push(Task::Swap {
                                one: (self.links[one].part, usize::from(first)),
                                other: (self.links[other].part, usize::from(second)),
                            });
                            bad.retain(|&it| it != one && it != other);
                            continue 'again;
                        }
                    }
                }
            }
            return;
        }
    }
}

/// Two strips that a task has joined.
fn ends_of(ground: &Ground<'_>, task: &Task, one: &[u16], rest: &[u16]) -> (u16, u16) {
    match task {
        Task::End { wire, second, to } => {
            let (a, b) = ground.links[*wire].ends;
            (if *second { a } else { b }, to[0])
        }
        Task::Push { part, .. } => {
            let over = |pin: usize| {
                let strip = ground.bench.strip(ground.bench.parts[*part].legs[pin].hole?)?;
                Some(ground.strips.binary_search(&strip).ok()? as u16)
            };
            (over(0).unwrap_or(one[0]), over(1).unwrap_or(rest[0]))
        }
        _ => (one[0], rest[0]),
    }
}
