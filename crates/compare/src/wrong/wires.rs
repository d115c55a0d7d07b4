//! Wires under given labels: which end belongs elsewhere, which wire is missing or too many.
//!
//! A net in several pieces needs as many wires as it has pieces, less one. A wire between two nets has to be
//! moved anyhow, so it is the first choice; then one that leads from a net to nowhere, then one that holds
//! nothing together as it lies, unless the plan's layout has it there. A new wire is asked for last.

use halfrow_core::board::StripPlace;
use halfrow_core::nets::DisjointSets;
use halfrow_core::part::Depth;

use super::{Task, Tasks};
use crate::ground::{Ground, NONE};
use crate::search::Labelled;

/// A wire of the build.
#[derive(Clone, Copy, Debug)]
struct Wire {
    part: usize,
    /// The strips of its ends: none for one that touches nothing.
    ends: [Option<u16>; 2],
    /// How far it is from doing any good as it lies.
    rank: Rank,
}

/// The order in which wires are taken for a joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    /// It joins two nets, and can't stay.
    Bad,
    /// It leads from a net to nowhere.
    Loose,
    /// It holds nothing together.
    Spare,
}

/// What speaks against an end that the plan's layout does not have there, in rows: more than most slips of the
/// hand are, so that the layout decides between two ends, and less than the width of a board.
const UNPLANNED: u32 = 10;

/// Two pieces of a net that are to be joined: strips of one, and strips of all others.
struct Joint {
    one: Vec<u16>,
    rest: Vec<u16>,
}

/// The wires, and what holds together without those that are out of place.
struct Wiring<'l> {
    labels: &'l [u16],
    wires: Vec<Wire>,
    sets: DisjointSets,
    /// What the sets were made from: wires that stay, metal, joints that are made.
    held: Vec<(Option<usize>, u16, u16)>,
}

impl Wiring<'_> {
    fn hold(&mut self, part: Option<usize>, a: u16, b: u16) {
        self.sets.join(a.into(), b.into());
        self.held.push((part, a, b));
    }

    fn without(&self, part: usize) -> DisjointSets {
        let mut sets = DisjointSets::new(self.labels.len());
        for &(_, a, b) in self.held.iter().filter(|it| it.0 != Some(part)) {
            sets.join(a.into(), b.into());
        }
        sets
    }
}

impl Ground<'_> {
    pub(super) fn wire_tasks(&self, found: &Labelled, tasks: &mut Tasks) {
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
        let mut wiring =
            Wiring { labels, wires: vec![], sets: DisjointSets::new(self.strips.len()), held: vec![] };
        for (at, link) in self.links.iter().enumerate() {
            if !is_bad(at) && labels[usize::from(link.ends.0)] == labels[usize::from(link.ends.1)] {
                wiring.hold(link.wire.then_some(link.part), link.ends.0, link.ends.1);
            }
        }
        let mut bad: Vec<usize> =
            (0..self.links.len()).filter(|&at| self.links[at].wire && is_bad(at)).collect();
        let swapped = self.swap_tasks(labels, &mut bad, tasks);
        swapped.into_iter().for_each(|(a, b)| wiring.hold(None, a, b));
        self.rank_wires(&bad, &mut wiring);
        let to_go: Vec<usize> = bad.iter().map(|&at| self.links[at].part).collect();
        self.push_in(&mut wiring, tasks);
        self.join_pieces(&mut wiring, tasks);
        let left = |part: &usize| wiring.wires.iter().any(|it| it.part == *part);
        tasks.list.extend(to_go.into_iter().filter(left).map(|part| Task::Cut { part }));
    }

    /// Lists the wires that could be taken elsewhere.
    fn rank_wires(&self, bad: &[usize], wiring: &mut Wiring<'_>) {
        let link = |at: usize| (self.links[at].part, self.links[at].ends);
        for (part, (a, b)) in bad.iter().map(|&at| link(at)) {
            wiring.wires.push(Wire { part, ends: [Some(a), Some(b)], rank: Rank::Bad });
        }
        let is_net = |strip: u16| wiring.labels[usize::from(strip)] < NONE;
        for part in (0..self.bench.parts.len()).filter(|&it| self.bench.parts[it].card.is_wire()) {
            // What is exchanged, or bad, is spoken for.
            let link = self.links.iter().position(|it| it.part == part);
            let stays = link.is_some_and(|at| {
                let (a, b) = self.links[at].ends;
                !bad.contains(&at)
                    && is_net(a)
                    && is_net(b)
                    && wiring.labels[usize::from(a)] != wiring.labels[usize::from(b)]
            });
            if stays || wiring.wires.iter().any(|it| it.part == part) || self.as_planned(part) {
                continue;
            }
            let ends = [0, 1].map(|pin| self.strip_of(part, pin));
            let loose = matches!(ends, [Some(a), Some(b)] if is_net(a) != is_net(b));
            wiring.wires.push(Wire { part, ends, rank: if loose { Rank::Loose } else { Rank::Spare } });
        }
    }

    /// Joins the pieces of nets, one joint after the other.
    fn join_pieces(&self, wiring: &mut Wiring<'_>, tasks: &mut Tasks) {
        while let Some((one, rest)) = self.open_joint(wiring.labels, &mut wiring.sets) {
            let joint = Joint { one, rest };
            // One joint at a time: from the piece to the nearest of the others.
            let near =
                joint.rest.iter().map(|&to| (joint.one.iter().map(|&from| self.far(from, to)).min(), to));
            let piece = near.min().map(|it| wiring.sets.root(it.1.into()));
            let nearest: Vec<u16> =
                joint.rest.iter().copied().filter(|&it| Some(wiring.sets.root(it.into())) == piece).collect();
            let bad = wiring.wires.iter().filter(|it| it.rank == Rank::Bad).count();
            let scarce = bad >= self.open_joints(wiring.labels, &mut wiring.sets);
            let task = self
                .end_for(&joint, scarce, wiring)
                .or_else(|| self.wire_for(&joint.one, &nearest, wiring))
                .unwrap_or_else(|| Task::Join { to: [joint.one.clone(), nearest.clone()] });
            let (a, b) = self.ends_of(&task, &joint.one, &nearest);
            if let Task::End { part, .. } | Task::Wire { part, .. } = &task {
                wiring.wires.retain(|it| it.part != *part);
                wiring.held.retain(|it| it.0 != Some(*part));
                wiring.sets = wiring.without(*part);
            }
            wiring.hold(None, a, b);
            tasks.list.push(task);
        }
    }

    /// A wire one end of which makes a joint.
    fn end_for(&self, joint: &Joint, scarce: bool, wiring: &mut Wiring<'_>) -> Option<Task> {
        let mut best: Option<((Rank, u32, usize), Task)> = None;
        for wire in wiring.wires.clone() {
            if scarce && wire.rank > Rank::Bad {
                continue;
            }
            let Some((far, task)) = self.joins_by(&wire, joint, wiring) else { continue };
            // Between a wire in the wrong place and one that leads nowhere distance decides.
            let (rank, far) = match wire.rank {
                Rank::Loose => (Rank::Bad, far + 1),
                rank => (rank, far),
            };
            if wire.rank == Rank::Spare && !self.is_spare(&wire, wiring) {
                continue;
            }
            let key = (rank, far, wire.part);
            if best.as_ref().is_none_or(|it| key < it.0) {
                best = Some((key, task));
            }
        }
        best.map(|it| it.1)
    }

    /// A wire both ends of which make a joint elsewhere: one that can't stay, or does nothing where it lies.
    fn wire_for(&self, one: &[u16], other: &[u16], wiring: &Wiring<'_>) -> Option<Task> {
        let free = |wire: &&Wire| match wire.rank {
            Rank::Bad => true,
            Rank::Loose => false,
            Rank::Spare => self.is_spare(wire, wiring),
        };
        let between = |wire: &Wire| !self.joined_by_name(wire.part, one, other);
        let wire = wiring.wires.iter().filter(free).min_by_key(|it| (it.rank, between(it), it.part))?;
        Some(Task::Wire { part: wire.part, to: [one.to_vec(), other.to_vec()] })
    }

    /// Whether a wire holds nothing together: without it every net is in as many pieces as with it.
    fn is_spare(&self, wire: &Wire, wiring: &Wiring<'_>) -> bool {
        let pieces = |sets: &mut DisjointSets| self.open_joints(wiring.labels, sets);
        pieces(&mut wiring.without(wire.part)) == pieces(&mut wiring.sets.clone())
    }

    /// How many wires nets in several pieces need.
    fn open_joints(&self, labels: &[u16], sets: &mut DisjointSets) -> usize {
        let mut pieces: Vec<(u16, usize)> = (0..self.strips.len())
            .filter(|&it| labels[it] < NONE && !self.on[it].is_empty())
            .map(|it| (labels[it], sets.root(it)))
            .collect();
        pieces.sort_unstable();
        pieces.dedup();
        pieces.windows(2).filter(|pair| pair[0].0 == pair[1].0).count()
    }

    /// Whether the plan's layout has a wire between the strips where this one lies.
    fn as_planned(&self, part: usize) -> bool {
        let ends = [0, 1].map(|pin| self.strip_of(part, pin));
        matches!(ends, [Some(a), Some(b)] if self.planned_wires.iter().any(|it| it.joins(self.strips[usize::from(a)], self.strips[usize::from(b)])))
    }

    /// Whether the plan's layout has the wire of this name between two pieces.
    fn joined_by_name(&self, part: usize, one: &[u16], other: &[u16]) -> bool {
        let named = self.planned_wires.iter().filter(|it| it.id == self.bench.parts[part].id);
        let strip = |at: &u16| self.strips[usize::from(*at)];
        named.into_iter().any(|it| one.iter().any(|a| other.iter().any(|b| it.joins(strip(a), strip(b)))))
    }

    /// The strip that a leg touches.
    fn strip_of(&self, part: usize, pin: usize) -> Option<u16> {
        let strip = crate::form::touched(self.bench, &self.bench.parts[part], pin)?;
        self.strips.binary_search(&strip).ok().map(|it| it as u16)
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
    fn joins_by(&self, wire: &Wire, joint: &Joint, wiring: &mut Wiring<'_>) -> Option<(u32, Task)> {
        let [a, b] = wire.ends;
        let mut best: Option<(u32, Task)> = None;
        for (keep, moved, second) in [(a, b, true), (b, a, false)] {
            let Some(keep) = keep else { continue };
            for (here, there) in [(&joint.one, &joint.rest), (&joint.rest, &joint.one)] {
                if !here.contains(&keep) {
                    continue;
                }
                // Among several pieces of the rest only those that are not joined to it yet.
                let root = wiring.sets.root(keep.into());
                let others: Vec<u16> =
                    there.iter().copied().filter(|&it| wiring.sets.root(it.into()) != root).collect();
                let price = |to: u16| {
                    let far = moved.map_or(0, |from| self.far(from, to));
                    // What the plan's layout has there was meant.
                    let meant = self
                        .planned_wires
                        .iter()
                        .any(|it| it.joins(self.strips[usize::from(keep)], self.strips[usize::from(to)]));
                    if meant { far } else { far + UNPLANNED }
                };
                let Some((far, near)) = others.iter().map(|&it| (price(it), it)).min() else { continue };
                let piece = wiring.sets.root(near.into());
                let to: Vec<u16> =
                    others.into_iter().filter(|&it| wiring.sets.root(it.into()) == piece).collect();
                let shy = u32::from(moved.is_some_and(|it| self.at_home(wire.part, usize::from(second), it)));
                if best.as_ref().is_none_or(|it| far + shy < it.0) {
                    best = Some((far + shy, Task::End { part: wire.part, second, to }));
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

    /// Pushes in what stands out of its hole, wherever that makes a joint.
    fn push_in(&self, wiring: &mut Wiring<'_>, tasks: &mut Tasks) {
        for part in (0..self.bench.parts.len()).filter(|&it| self.bench.parts[it].card.is_wire()) {
            let wire = &self.bench.parts[part];
            let over = |pin: usize| -> Option<u16> {
                let strip = self.bench.strip(wire.legs[pin].hole?)?;
                Some(self.strips.binary_search(&strip).ok()? as u16)
            };
            let out = |pin: usize| wire.legs[pin].depth != Depth::Full;
            let [Some(a), Some(b)] = [0, 1].map(over) else { continue };
            if out(0) == out(1) || wiring.labels[usize::from(a)] != wiring.labels[usize::from(b)] {
                continue;
            }
            let before = self.open_joints(wiring.labels, &mut wiring.sets);
            let mut sets = wiring.sets.clone();
            sets.join(a.into(), b.into());
            if self.open_joints(wiring.labels, &mut sets) < before {
                wiring.hold(None, a, b);
                wiring.wires.retain(|it| it.part != part);
                tasks.list.push(Task::Push { part, pin: usize::from(out(1)) });
            }
        }
    }

    /// Whether the plan's layout has this end of the wire of this name where it is.
    fn at_home(&self, part: usize, pin: usize, strip: u16) -> bool {
        let named = self.planned_wires.iter().find(|it| it.id == self.bench.parts[part].id);
        named.is_some_and(|it| it.ends[pin] == self.strips[usize::from(strip)])
    }

    /// Two strips that a task has joined.
    fn ends_of(&self, task: &Task, one: &[u16], rest: &[u16]) -> (u16, u16) {
        match task {
            Task::End { part, second, to } => {
                let kept = self.strip_of(*part, usize::from(!second));
                (kept.unwrap_or(one[0]), to[0])
            }
            _ => (one[0], rest[0]),
        }
    }
}
