//! What has to be put right under given labels: parts and values; [`wires`]; what has only changed places
//! ([`swaps`]). No holes yet.

mod swaps;
mod wires;

use crate::ground::{Ground, NONE};
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
    End { part: usize, second: bool, to: Vec<u16> },
    /// Both ends of a wire: each to strips of one piece of a net.
    Wire { part: usize, to: [Vec<u16>; 2] },
    /// A wire whose leg stands out of its hole.
    Push { part: usize, pin: usize },
    /// A wire to be added between two pieces of a net.
    Join { to: [Vec<u16>; 2] },
    /// A wire to be taken out.
    Cut { part: usize },
    /// Two legs or ends to be exchanged: part and pin of each.
    Swap { one: (usize, usize), other: (usize, usize) },
}

impl Task {
    /// Whether it moves nothing but wires.
    pub fn is_of_wires(&self) -> bool {
        use Task::{Cut, End, Join, Push, Wire};
        matches!(self, End { .. } | Wire { .. } | Push { .. } | Join { .. } | Cut { .. })
    }
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
}
