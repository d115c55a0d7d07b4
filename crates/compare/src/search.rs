//! The least number of things that have to be put right: labels of strips by branch and bound.
//!
//! Iterative deepening over the number of parts and wires that are wrong. A strip is labelled after the
//! other, those that tell most first; pieces of the build that still fit a piece of the plan are paired by
//! a largest matching, and what can't be paired any more is wrong. That, with wires between different
//! labels and joints that no wire can make, is a bound that no completion of the labels goes below.

use crate::equal::{Half, Same, net_colours, symmetry};
use crate::ground::{Ground, NONE, UNSET};

/// How often a pair of nets is asked for a symmetry before it is left alone. Each asking takes about as
/// long as a hundred labels.
const MAX_ASKED: u8 = 4;

/// What such an asking takes, in labels.
const ASKING: usize = 100;

/// Labels after which a search lets go: about a millisecond on a small laptop.
const PORTION: usize = 100;

/// The plan as one half of a comparison with itself.
fn half<'g>(ground: &'g Ground<'_>) -> Half<'g> {
    Half { form: ground.form, parts: &ground.plan.parts, chains: &[] }
}

/// How much work a search may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Budget {
    /// Labels that are tried, in all.
    pub labels: usize,
    /// The largest number of moves that is looked for.
    pub most: usize,
}

impl Budget {
    /// For who can wait some seconds.
    pub fn thorough() -> Budget {
        Budget { labels: 1_000_000, most: 12 }
    }
}

impl Default for Budget {
    /// Some hundred milliseconds on a small laptop. Ten moves are a circuit to be built anew.
    fn default() -> Budget {
        Budget { labels: 60_000, most: 12 }
    }
}

/// Labels for all strips with what they cost.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Labelled {
    pub labels: Vec<u16>,
    /// For each plan piece the build piece that does for it.
    pub mates: Vec<Option<usize>>,
}

pub(crate) struct Search<'g, 'a> {
    pub ground: &'g Ground<'a>,
    pub left: usize,
    labels: Vec<u16>,
    plan_mate: Vec<Option<usize>>,
    build_mate: Vec<Option<usize>>,
    /// For each strip how much it tells: more is labelled first.
    weight: Vec<i32>,
    /// For each label how many strips have it.
    used: Vec<u16>,
    symmetries: Symmetries,
    /// How much may be wrong on this level.
    most: usize,
    /// The strips that have a label for now, the first one first.
    branches: Vec<Branch>,
    /// Whether the next strip is to be labelled, rather than the last one anew.
    deeper: bool,
    /// Work since it last let go.
    since: usize,
}

/// What is known of the plan's symmetries, as far as it has been asked.
#[derive(Default)]
struct Symmetries {
    /// Where each takes every net.
    known: Vec<Vec<u16>>,
    /// Pairs of nets that have been asked for, with how often in vain.
    asked: Vec<((u16, u16), u8)>,
    /// Colours of the plan's nets: different ones are never exchanged.
    colours: Vec<u32>,
}

/// What a search comes to next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Next {
    /// Labels for all strips that leave at most as much wrong as was asked for.
    Leaf(Labelled),
    /// A portion of work is done, and there is more.
    Portion,
    /// The level has ended.
    Ended(Ended),
}

/// What a level of the deepening ends with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ended {
    /// Everything has been tried.
    Tried,
    /// Who was told of a leaf has had enough.
    Enough,
    /// The budget is spent.
    Spent,
}

/// A strip whose labels are being tried.
struct Branch {
    strip: usize,
    /// The pairs before it was labelled: of the plan, of the build.
    mates: (Vec<Option<usize>>, Vec<Option<usize>>),
    /// The labels that are still to be tried.
    tries: std::vec::IntoIter<u16>,
    done: Vec<u16>,
    /// The one that is being tried.
    now: Option<u16>,
}

impl<'g, 'a> Search<'g, 'a> {
    pub fn new(ground: &'g Ground<'a>, left: usize) -> Search<'g, 'a> {
        let plan = ground.form.pieces.len();
        let build = ground.standing.len();
        let weight = (0..ground.strips.len())
            .map(|strip| {
                let rare: usize = ground.on[strip]
                    .iter()
                    .map(|&(piece, _)| 12 / ground.of_shape[ground.standing[piece].shape].1.len().max(1))
                    .sum();
                (4 * ground.on[strip].len().min(12) + rare) as i32
            })
            .collect();
        let mut search = Search {
            ground,
            left,
            labels: vec![UNSET; ground.strips.len()],
            plan_mate: vec![None; plan],
            build_mate: vec![None; build],
            weight,
            used: vec![0; ground.form.nets],
            symmetries: Symmetries {
                colours: net_colours(half(ground), ground.shapes),
                ..Symmetries::default()
            },
            most: 0,
            branches: vec![],
            deeper: false,
            since: 0,
        };
        for shape in 0..ground.of_shape.len() {
            search.pair(shape);
        }
        search
    }

    /// Some labels with the pairs that they leave; those of strips that are given none are none.
    pub fn complete(&mut self, labels: &[u16]) -> Labelled {
        for (strip, &label) in labels.iter().enumerate() {
            self.set(strip, label);
        }
        let found = Labelled { labels: self.labels.clone(), mates: self.plan_mate.clone() };
        self.labels = vec![UNSET; labels.len()];
        for shape in 0..self.ground.of_shape.len() {
            self.pair(shape);
        }
        found
    }

    /// Begins to try all labels that leave at most so many things wrong.
    pub fn begin(&mut self, most: usize) {
        self.stop();
        self.most = most;
        self.deeper = self.bound() <= most;
    }

    /// Takes so much from the budget for what was done with a leaf.
    pub fn charge(&mut self, work: usize) {
        self.left = self.left.saturating_sub(work);
    }

    /// Leaves the level.
    pub fn stop(&mut self) {
        while self.leave() {}
        self.deeper = false;
    }

    /// Goes on with the level. What it comes to doesn't depend on the portions.
    pub fn next(&mut self) -> Next {
        loop {
            if self.since >= PORTION {
                self.since = 0;
                return Next::Portion;
            }
            if std::mem::take(&mut self.deeper) {
                let Some(strip) = self.next_strip() else {
                    match self.leaf() {
                        Some(found) => return Next::Leaf(found),
                        None => continue,
                    }
                };
                let Some(branch) = self.branch(strip) else {
                    self.labels[strip] = UNSET;
                    self.stop();
                    return Next::Ended(Ended::Spent);
                };
                self.branches.push(branch);
            }
            if self.branches.is_empty() {
                return Next::Ended(Ended::Tried);
            }
            self.deeper = self.try_next();
            if !self.deeper {
                self.leave();
            }
        }
    }

    /// The bound of the labels as they are.
    pub fn bound(&self) -> usize {
        let (bad, joins) = self.ground.wiring(&self.labels);
        self.parts_wrong() + bad.max(joins)
    }

    /// Parts that can't be paired any more.
    fn parts_wrong(&self) -> usize {
        let ground = self.ground;
        // For each kind: unpaired packages and gates of the plan and of the build.
        let mut plan = vec![0_usize; ground.counts.len()];
        let mut build = vec![0_usize; ground.counts.len()];
        for (shape, (of_plan, of_build)) in ground.of_shape.iter().enumerate() {
            let kind = ground.kinds[shape];
            let counts = &ground.counts[kind.kind];
            let paired = of_plan.iter().filter(|&&it| self.plan_mate[it].is_some()).count();
            let per = kind.gates.max(1);
            let parts = |all: usize| (all - paired).div_ceil(per);
            plan[kind.kind] = plan[kind.kind].max(parts(of_plan.len().min(counts.plan * per).max(paired)));
            let busy = of_build.len() - counts.idle * per;
            build[kind.kind] = build[kind.kind].max(parts(busy.max(paired)));
        }
        plan.iter().sum::<usize>().max(build.iter().sum())
    }

    /// Pairs what can still be paired within a shape (augmenting paths).
    fn pair(&mut self, shape: usize) {
        let ground = self.ground;
        for &plan in &ground.of_shape[shape].0 {
            if self.plan_mate[plan].is_none() {
                let mut seen = vec![false; ground.of_shape[shape].1.len()];
                self.augment(plan, shape, &mut seen);
            }
        }
    }

    fn augment(&mut self, plan: usize, shape: usize, seen: &mut [bool]) -> bool {
        let ground = self.ground;
        // Those of the same name first, so that pairs are those that people would make.
        for named in [true, false] {
            for (at, &build) in ground.of_shape[shape].1.iter().enumerate() {
                if seen[at] || ground.named(plan, build) != named || !ground.fits(plan, build, &self.labels) {
                    continue;
                }
                seen[at] = true;
                let free = match self.build_mate[build] {
                    None => true,
                    Some(other) => self.augment(other, shape, seen),
                };
                if free {
                    self.plan_mate[plan] = Some(build);
                    self.build_mate[build] = Some(plan);
                    return true;
                }
            }
        }
        false
    }

    /// Whether a label would only lead to what another one leads to: a symmetry of the plan takes one to the
    /// other and leaves all labels that are in use.
    fn is_twin(&mut self, label: u16, tried: u16) -> bool {
        let is_net = |it: u16| it < NONE && self.used[usize::from(it)] == 0;
        let Symmetries { known, asked, colours } = &mut self.symmetries;
        if !is_net(label) || !is_net(tried) || colours[usize::from(label)] != colours[usize::from(tried)] {
            return false;
        }
        let used = &self.used;
        let leaves = |it: &[u16]| (0..used.len()).all(|net| used[net] == 0 || usize::from(it[net]) == net);
        if known.iter().any(|it| it[usize::from(label)] == tried && leaves(it)) {
            return true;
        }
        let entry = match asked.iter().position(|it| it.0 == (label, tried)) {
            Some(at) => at,
            None => {
                asked.push(((label, tried), 0));
                asked.len() - 1
            }
        };
        if asked[entry].1 >= MAX_ASKED {
            return false;
        }
        asked[entry].1 += 1;
        self.since += ASKING;
        let mut takes: Vec<(usize, usize)> =
            (0..used.len()).filter(|&net| used[net] > 0).map(|net| (net, net)).collect();
        takes.push((label.into(), tried.into()));
        let Same::Yes(found) = symmetry(half(self.ground), self.ground.shapes, &takes) else { return false };
        let there: Vec<u16> = found.nets.iter().map(|&it| it as u16).collect();
        let mut back = vec![0; there.len()];
        for (net, &to) in there.iter().enumerate() {
            back[usize::from(to)] = net as u16;
        }
        known.extend([there, back]);
        true
    }

    /// Labels a strip: pairs that it breaks are made anew.
    fn set(&mut self, strip: usize, label: u16) {
        self.labels[strip] = label;
        let ground = self.ground;
        let mut shapes: Vec<usize> = Vec::new();
        for &(build, _) in &ground.on[strip] {
            if let Some(plan) = self.build_mate[build]
                && !ground.fits(plan, build, &self.labels)
            {
                self.build_mate[build] = None;
                self.plan_mate[plan] = None;
                let shape = ground.standing[build].shape;
                if !shapes.contains(&shape) {
                    shapes.push(shape);
                }
            }
        }
        for shape in shapes {
            self.pair(shape);
        }
    }

    /// The strip that tells most among those without a label.
    fn next_strip(&self) -> Option<usize> {
        let ground = self.ground;
        let score = |strip: usize| {
            let mut score = self.weight[strip];
            for &(piece, _) in &ground.on[strip] {
                let known = ground.standing[piece]
                    .strips
                    .iter()
                    .flatten()
                    .any(|&it| self.labels[usize::from(it)] != UNSET);
                score += if known { 20 } else { 0 };
            }
            for &link in &ground.linked[strip] {
                let (a, b) = ground.links[link].ends;
                let other = usize::from(if usize::from(a) == strip { b } else { a });
                score += if self.labels[other] != UNSET { 60 } else { 0 };
            }
            // What holds no leg is whatever its wires say, once all of them can.
            if ground.on[strip].is_empty() { score - 100_000 } else { score }
        };
        (0..self.labels.len())
            .filter(|&strip| self.labels[strip] == UNSET)
            .max_by_key(|&strip| (score(strip), std::cmp::Reverse(strip)))
    }

    /// The labels that a strip may have: nets in which a piece of the plan stands like one that is here,
    /// labels at the other ends of its wires, none.
    fn choices(&self, strip: usize, most: usize) -> Vec<u16> {
        let ground = self.ground;
        let mut choices: Vec<u16> = vec![NONE];
        self.spoken_for(strip, &mut choices);
        // Along wires, as far as strips go that hold no leg; where every leg could be wrong, what legs at
        // the other ends of the wires speak for too.
        let mut parts: Vec<usize> = ground.on[strip].iter().map(|it| ground.standing[it.0].part).collect();
        parts.dedup();
        let (mut seen, mut next) = (vec![strip], 0);
        while let Some(&at) = seen.get(next) {
            next += 1;
            for &link in &ground.linked[at] {
                let (a, b) = ground.links[link].ends;
                let other = usize::from(if usize::from(a) == at { b } else { a });
                if self.labels[other] != UNSET {
                    choices.push(self.labels[other]);
                } else if !seen.contains(&other) {
                    if ground.on[other].is_empty() {
                        seen.push(other);
                    } else if parts.len() <= most {
                        self.spoken_for(other, &mut choices);
                    }
                }
            }
        }
        choices.sort_unstable();
        choices.dedup();
        choices
    }

    /// The nets in which a piece of the plan stands like a leg of this strip.
    fn spoken_for(&self, strip: usize, choices: &mut Vec<u16>) {
        let ground = self.ground;
        for &(build, terminal) in &ground.on[strip] {
            let shape = ground.standing[build].shape;
            let roles = &ground.shapes.0[shape].roles;
            for &plan in &ground.of_shape[shape].0 {
                let nets = ground.form.pieces[plan].nets.iter().zip(roles);
                let alike = nets.filter(|it| *it.1 == roles[usize::from(terminal)]);
                choices.extend(alike.filter_map(|it| it.0.map(|net| net as u16)));
            }
        }
    }

    /// The labels as they are, where they leave no more wrong than is asked for.
    fn leaf(&self) -> Option<Labelled> {
        let (bad, joins) = self.ground.wiring(&self.labels);
        let bad = bad + self.ground.strays(&self.labels, &self.build_mate).len();
        let cost = self.parts_wrong() + bad.max(joins);
        (cost <= self.most).then(|| Labelled { labels: self.labels.clone(), mates: self.plan_mate.clone() })
    }

    /// The labels that a strip could have, the likeliest first. `None` where the budget ends.
    fn branch(&mut self, strip: usize) -> Option<Branch> {
        let mates = (self.plan_mate.clone(), self.build_mate.clone());
        let mut tries: Vec<(usize, bool, u16)> = Vec::new();
        for label in self.choices(strip, self.most) {
            if self.left == 0 {
                return None;
            }
            self.left -= 1;
            self.since += 1;
            self.set(strip, label);
            let bound = self.bound();
            if bound <= self.most {
                tries.push((bound, label != self.ground.hints[strip], label));
            }
            (self.plan_mate, self.build_mate) = mates.clone();
        }
        if tries.is_empty() {
            // Where a search ends in vain it should begin the next time (Boussemart and others, ECAI 2004).
            self.weight[strip] += 16;
        }
        tries.sort_unstable();
        let tries: Vec<u16> = tries.into_iter().map(|it| it.2).collect();
        Some(Branch { strip, mates, tries: tries.into_iter(), done: vec![], now: None })
    }

    /// Gives the last strip its next label. `false` where there is none.
    fn try_next(&mut self) -> bool {
        let Some(mut branch) = self.branches.pop() else { return false };
        self.take_back(&mut branch);
        let next = loop {
            let Some(label) = branch.tries.next() else { break None };
            if !branch.done.iter().any(|&tried| self.is_twin(label, tried)) {
                break Some(label);
            }
        };
        if let Some(label) = next {
            branch.done.push(label);
            branch.now = Some(label);
            self.set(branch.strip, label);
            if label < NONE {
                self.used[usize::from(label)] += 1;
            }
        }
        self.branches.push(branch);
        next.is_some()
    }

    /// Takes back the label that is being tried.
    fn take_back(&mut self, branch: &mut Branch) {
        if let Some(label) = branch.now.take() {
            if label < NONE {
                self.used[usize::from(label)] -= 1;
            }
            (self.plan_mate, self.build_mate) = branch.mates.clone();
        }
    }

    /// Leaves the last strip without a label. `false` where there is none.
    fn leave(&mut self) -> bool {
        let Some(mut branch) = self.branches.pop() else { return false };
        self.take_back(&mut branch);
        (self.plan_mate, self.build_mate) = branch.mates;
        self.labels[branch.strip] = UNSET;
        true
    }
}
