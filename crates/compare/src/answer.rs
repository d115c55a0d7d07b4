//! From plan and build to an answer.

use halfrow_core::bench::Bench;
use halfrow_core::part::Part;

use crate::equal::{Half, Same, same};
use crate::form::{Form, Joined, Shapes};
use crate::ground::Ground;
use crate::hand::Hand;
use crate::harm::harms;
use crate::moves::Move;
use crate::search::{Budget, Ended, Labelled, Reply, Search};
use crate::wrong::{Task, Tasks};

/// How a build is to its plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The same circuit.
    Equal,
    /// Another circuit that does the same, for these reasons.
    Equivalent(Vec<String>),
    /// Another circuit.
    Different,
}

/// The answer.
#[derive(Clone, Debug)]
pub struct Answer {
    /// How the build is to the plan.
    pub verdict: Verdict,
    /// What makes the build the plan's circuit, in the order in which it is to be done; empty where nothing
    /// was found.
    pub moves: Vec<Move>,
    /// The fewest moves that could do, as far as that is proven. Where it is the number of moves, nothing
    /// shorter does it.
    pub bound: usize,
    /// Whether the moves lead to the plan's circuit: they have been made on a copy and compared again. Not
    /// where nothing was found within the budget.
    pub found: bool,
    /// The plan's names with the build's, in the order of the plan.
    pub names: Vec<(String, String)>,
    /// What is other than in the plan and doesn't matter.
    pub notes: Vec<String>,
    /// The build after each of the moves.
    pub steps: Vec<Bench>,
    /// The build after all of them.
    pub mended: Bench,
    /// Whether other moves would do as well, and nothing speaks for one rather than the other.
    pub tied: bool,
    /// Whether some move goes through a moment that overloads a part, whatever the order: power off first.
    pub harmful: bool,
}

impl Answer {
    /// Number of moves.
    pub fn cost(&self) -> usize {
        self.moves.len()
    }

    /// Whether nothing shorter does it.
    pub fn is_least(&self) -> bool {
        self.found && self.bound == self.moves.len()
    }
}

/// What a build is compared with.
#[derive(Clone, Debug)]
pub struct Plan {
    joined: Joined,
    /// Where it has a layout of its own.
    layout: Option<Bench>,
}

impl Plan {
    /// A bench as a plan.
    pub fn of(bench: &Bench) -> Plan {
        Plan { joined: Joined::of(bench), layout: Some(bench.clone()) }
    }

    /// Parts and what is joined, wherever things are put: each joint is a list of part and pin.
    pub fn of_joints(parts: Vec<Part>, joints: &[Vec<(usize, usize)>]) -> Plan {
        Plan { joined: Joined::on_paper(parts, joints), layout: None }
    }
}

impl Plan {
    pub(crate) fn joined(&self) -> &Joined {
        &self.joined
    }
}

/// The repairs that are looked at before one is chosen, at most.
const MAX_REPAIRS: usize = 24;

/// How many tasks are tried in all until an order is found in which each finds its holes.
const MAX_TASKS: usize = 40;

/// What it takes to make a repair and compare again, in labels.
const REPAIR_WORK: usize = 200;

/// Compares a build with its plan.
pub fn compare(plan: &Plan, build: &Bench, budget: Budget) -> Answer {
    let mut shapes = Shapes::default();
    let built = Joined::of(build);
    let plan_form = shapes.form(&plan.joined).at_work();
    let build_form = shapes.form(&built);
    let at_work = build_form.at_work();
    let of_plan = Half { form: &plan_form, parts: &plan.joined.parts, chains: &[] };
    let of_build = Half { form: &at_work, parts: &built.parts, chains: &[] };
    let notes = crate::notes::of(plan.joined.parts.as_slice(), &plan_form, build, &build_form);
    let equal = |verdict, names| Answer {
        verdict,
        moves: vec![],
        bound: 0,
        found: true,
        names,
        notes: notes.clone(),
        steps: vec![],
        mended: build.clone(),
        tied: false,
        harmful: false,
    };
    if let Same::Yes(found) = same(of_plan, of_build, &shapes) {
        return equal(Verdict::Equal, names_of(&plan.joined, &plan_form, build, &at_work, &found.pieces));
    }
    if let Some((reasons, names)) = crate::equivalent::reasons(of_plan, of_build, &shapes) {
        return equal(Verdict::Equivalent(reasons), names);
    }
    let ground = Ground::of(&plan.joined, &plan_form, build, &built, &shapes, &build_form);
    let mut repairs = Repairs {
        plan,
        ground: &ground,
        shapes: &shapes,
        of_plan,
        best: Vec::new(),
        failed: false,
        tried: Vec::new(),
    };
    let bound = repairs.look(budget);
    repairs.answer(bound, notes)
}

fn names_of(
    plan: &Joined,
    plan_form: &Form,
    build: &Bench,
    build_form: &Form,
    partners: &[usize],
) -> Vec<(String, String)> {
    let mut names: Vec<(usize, usize)> = Vec::new();
    // Packages and parts first: a chip's gates may do the work of several.
    for gates in [false, true] {
        for (piece, &partner) in plan_form.pieces.iter().zip(partners) {
            let (own, other) = (piece.part, build_form.pieces[partner].part);
            if piece.gate == gates && !names.iter().any(|it| it.0 == own || it.1 == other) {
                names.push((own, other));
            }
        }
    }
    names.sort_unstable();
    names
        .into_iter()
        .map(|(own, other)| (plan.parts[own].id.clone(), build.parts[other].id.clone()))
        .collect()
}

/// A way to make it right.
struct Repair {
    moves: Vec<Move>,
    steps: Vec<Bench>,
    mended: Bench,
    oddity: i32,
    names: Vec<(String, String)>,
    harmful: bool,
    /// What it was made from.
    labels: Labelled,
    tasks: Tasks,
}

/// The ways that have been found, best first.
struct Repairs<'g, 'a> {
    plan: &'g Plan,
    ground: &'g Ground<'a>,
    shapes: &'g Shapes,
    of_plan: Half<'g>,
    best: Vec<Repair>,
    /// Whether labels have been met that no moves were found for: the bound ends there.
    failed: bool,
    tried: Vec<Labelled>,
}

impl Repairs<'_, '_> {
    /// Looks for repairs; what comes back is the number of moves below which none exists.
    fn look(&mut self, budget: Budget) -> usize {
        let mut search = Search::new(self.ground, budget.labels);
        // Most builds lie as their plan does, or use its names: what that speaks for is tried first. It is a
        // repair to fall back on, and proves nothing.
        let mut guesses = vec![self.ground.hints.clone()];
        guesses.extend(self.plan.layout.as_ref().map(|it| self.ground.labels_of_layout(it)));
        for guess in guesses {
            let found = search.complete(&guess);
            self.make_and_keep(&found);
        }
        self.failed = false;
        let mut proven = 1;
        let mut level = search.bound().max(1);
        // Two things that are wrong can be one exchange: so many wrong things are at least half as many moves.
        let least = |wrong: usize| wrong.div_ceil(2).max(1);
        let mut exhausted = true;
        while level <= budget.most {
            let mut seen = 0;
            // As much again as it took to get here is spent on finding others that are as short.
            let spent = budget.labels - search.left;
            let stop = search.left.saturating_sub(2 * spent + 4000);
            let ended = search.level(level, &mut |found, left| {
                self.try_labels(found);
                seen += 1;
                Reply {
                    enough: seen >= MAX_REPAIRS || !self.best.is_empty() && left < stop,
                    work: REPAIR_WORK,
                }
            });
            if ended == Ended::Spent {
                exhausted = false;
                break;
            }
            if self.best.first().is_some_and(|it| it.moves.len() <= level) {
                exhausted = ended == Ended::Tried;
                break;
            }
            level += 1;
            if !self.failed {
                proven = least(level).max(proven);
            }
        }
        let Some(best) = self.best.first() else { return proven };
        let cost = best.moves.len();
        // Whether exchanges could do with less: all that leaves up to twice as much wrong is looked through.
        while !self.failed && proven < cost {
            if exhausted {
                level += 1;
                proven = proven.max(least(level).min(cost));
                if proven >= cost {
                    break;
                }
            }
            let ended = search.level(level, &mut |found, _| {
                let could = self.could_do_with(found, cost - 1);
                if could {
                    self.try_labels(found);
                }
                let enough = self.best.first().is_some_and(|it| it.moves.len() < cost);
                Reply { enough, work: if could { REPAIR_WORK } else { REPAIR_WORK / 10 } }
            });
            if ended != Ended::Tried {
                break;
            }
            exhausted = true;
        }
        proven.min(self.best.first().map_or(proven, |it| it.moves.len()))
    }

    /// Whether exchanges could bring labels down to so many moves.
    fn could_do_with(&self, found: &Labelled, most: usize) -> bool {
        let tasks = self.ground.tasks(found);
        let fewer = self.ground.with_swaps(&tasks, &found.labels);
        fewer.is_some_and(|it| it.list.len() <= most)
    }

    /// Makes what labels say, unless that has been tried. Says whether it was work.
    fn try_labels(&mut self, found: &Labelled) -> bool {
        let labels = self.ground.supported(&found.labels, &found.mates);
        let found = &Labelled { labels, mates: found.mates.clone() };
        if self.tried.contains(found) {
            return false;
        }
        self.tried.push(found.clone());
        self.make_and_keep(found);
        true
    }

    fn make_and_keep(&mut self, found: &Labelled) {
        let tasks = self.ground.tasks(found);
        let swapped = self.ground.with_swaps(&tasks, &found.labels);
        let mut done = false;
        for tasks in swapped.iter().chain([&tasks]) {
            if let Some(repair) = self.make(found, tasks, &|_| true) {
                done = true;
                self.keep(repair);
                break;
            }
        }
        self.failed |= !done;
    }

    fn keep(&mut self, repair: Repair) {
        let rank = |it: &Repair| (it.moves.len(), it.harmful, it.oddity);
        let at = self.best.partition_point(|it| rank(it) <= rank(&repair));
        if !self.best.iter().any(|it| says(it) == says(&repair)) {
            self.best.insert(at, repair);
            self.best.truncate(MAX_REPAIRS);
        }
    }

    /// Does all tasks on a copy, in an order that can be done and burns nothing, and compares again.
    fn make(&self, found: &Labelled, tasks: &Tasks, allow: &dyn Fn(&Bench) -> bool) -> Option<Repair> {
        let names = self.names(found, tasks);
        let hand = Hand::new(self.ground, self.plan.layout.as_ref(), &found.labels, &names, &tasks.free);
        let mut list = tasks.list.clone();
        list.sort_by_key(order);
        let (mut moves, mut left) = (Vec::new(), MAX_TASKS);
        let done = in_some_order(&hand, &list, &mut moves, allow, &mut left)?;
        let joined = Joined::of(&done.bench);
        let mut shapes = self.shapes.clone();
        let form = shapes.form(&joined).at_work();
        let half = Half { form: &form, parts: &joined.parts, chains: &[] };
        let Same::Yes(partners) = same(self.of_plan, half, &shapes) else { return None };
        let names = names_of(&self.plan.joined, self.ground.form, &done.bench, &form, &partners.pieces);
        done.bench.check().ok()?;
        let (moves, steps): (Vec<Move>, Vec<Bench>) = moves.into_iter().unzip();
        let oddity = moves.iter().map(|it| it.oddity).sum();
        Some(Repair {
            moves,
            steps,
            mended: done.bench,
            oddity,
            names,
            harmful: false,
            labels: found.clone(),
            tasks: tasks.clone(),
        })
    }

    /// What each part of the plan is called in the build.
    fn names(&self, found: &Labelled, tasks: &Tasks) -> Vec<Option<String>> {
        let mut names: Vec<Option<String>> = vec![None; self.plan.joined.parts.len()];
        let id = |build: usize| Some(self.ground.bench.parts[build].id.clone());
        for (piece, mate) in found.mates.iter().enumerate() {
            if let Some(build) = mate {
                names[self.ground.form.pieces[piece].part] = id(self.ground.standing[*build].part);
            }
        }
        for task in &tasks.list {
            match *task {
                Task::Stand { plan, build } | Task::Value { plan, build } => names[plan] = id(build),
                _ => {}
            }
        }
        names
    }

    fn answer(mut self, bound: usize, notes: Vec<String>) -> Answer {
        let build = self.ground.bench;
        if self.best.is_empty() {
            return Answer {
                verdict: Verdict::Different,
                moves: vec![],
                bound,
                found: false,
                names: vec![],
                notes,
                steps: vec![],
                mended: build.clone(),
                tied: false,
                harmful: false,
            };
        }
        let least = self.best[0].moves.len();
        self.best.retain(|it| it.moves.len() == least);
        // Harm is looked for in the likeliest few only: each step is solved.
        let before = harms(build);
        for index in 0..self.best.len().min(3) {
            let repair = &self.best[index];
            // What the plan itself does to a part is no fault of the moves.
            let after = harms(&repair.mended);
            let allow =
                |bench: &Bench| harms(bench).iter().all(|it| before.contains(it) || after.contains(it));
            let (labels, tasks) = (repair.labels.clone(), repair.tasks.clone());
            match self.make(&labels, &tasks, &allow) {
                Some(gentle) => self.best[index] = gentle,
                None => self.best[index].harmful = true,
            }
        }
        self.best.sort_by_key(|it| (it.harmful, it.oddity));
        let tied = self.best.get(1).is_some_and(|it| it.oddity == self.best[0].oddity);
        let best = self.best.swap_remove(0);
        Answer {
            verdict: Verdict::Different,
            moves: best.moves,
            bound,
            found: true,
            names: best.names,
            notes,
            steps: best.steps,
            mended: best.mended,
            tied,
            harmful: best.harmful,
        }
    }
}

fn says(repair: &Repair) -> Vec<&str> {
    let mut says: Vec<&str> = repair.moves.iter().map(|it| it.says.as_str()).collect();
    says.sort_unstable();
    says
}

/// In which order things are done where nothing else is asked for: first out, then exchanged, then moved,
/// then in.
fn order(task: &Task) -> u8 {
    match task {
        Task::Cut { .. } | Task::Extra { .. } => 0,
        Task::Kind { .. } | Task::Value { .. } => 1,
        Task::Swap { .. } | Task::Stand { .. } | Task::End { .. } | Task::Wire { .. } => 2,
        Task::Missing { .. } | Task::Join { .. } => 3,
        Task::Push { .. } => 4,
    }
}

/// Does tasks in the first order in which each finds its holes.
fn in_some_order<'g, 'a>(
    hand: &Hand<'g, 'a>,
    list: &[Task],
    moves: &mut Vec<(Move, Bench)>,
    allow: &dyn Fn(&Bench) -> bool,
    left: &mut usize,
) -> Option<Hand<'g, 'a>> {
    if list.is_empty() {
        return Some(hand.clone());
    }
    // A task that can't be done now may be later; beyond a few tries it is given up.
    for at in 0..list.len().min(4) {
        if *left == 0 {
            return None;
        }
        *left -= 1;
        let mut next = hand.clone();
        let Some(done) = next.act(&list[at]) else { continue };
        if !allow(&next.bench) {
            continue;
        }
        let count = done.len();
        moves.extend(done.into_iter().map(|it| (it, next.bench.clone())));
        let rest: Vec<Task> =
            list.iter().enumerate().filter(|it| it.0 != at).map(|it| it.1.clone()).collect();
        if let Some(found) = in_some_order(&next, &rest, moves, allow, left) {
            return Some(found);
        }
        moves.truncate(moves.len() - count);
    }
    None
}
