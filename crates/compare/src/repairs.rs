//! Repairs: labels become tasks, tasks become moves on a copy, and the copy is compared with the plan again.

use std::future::Future;
use std::pin::Pin;

use halfrow_core::bench::Bench;
use halfrow_core::time::portions::LetGo;

use crate::answer::{Answer, Verdict, names_of};
use crate::equal::{Half, Same, same_in_portions};
use crate::form::{Joined, Shapes};
use crate::ground::Ground;
use crate::hand::Hand;
use crate::harm::harms;
use crate::moves::Move;
use crate::search::{Budget, Ended, Labelled, Next, Search};
use crate::wrong::{Task, Tasks};

/// The repairs that are looked at before one is chosen, at most.
const MAX_REPAIRS: usize = 24;

/// How many tasks are tried in all until an order is found in which each finds its holes.
const MAX_TASKS: usize = 40;

/// What it takes to make a repair and compare again, in labels.
const REPAIR_WORK: usize = 200;

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
pub(crate) struct Repairs<'g, 'a> {
    plan: &'g Joined,
    ground: &'g Ground<'a>,
    shapes: &'g Shapes,
    of_plan: Half<'g>,
    best: Vec<Repair>,
    /// Whether labels have been met that no moves were found for: the bound ends there.
    failed: bool,
    tried: Vec<Labelled>,
}

/// What is proven so far.
struct Proof {
    /// How much may be wrong on the level that is looked through.
    level: usize,
    /// The number of moves below which nothing does it.
    proven: usize,
    /// Whether the level has been looked through to its end.
    exhausted: bool,
}

/// Two things that are wrong can be one exchange: so many wrong things are at least half as many moves.
fn least(wrong: usize) -> usize {
    wrong.div_ceil(2).max(1)
}

impl<'g, 'a> Repairs<'g, 'a> {
    pub fn new(
        plan: &'g Joined,
        ground: &'g Ground<'a>,
        shapes: &'g Shapes,
        of_plan: Half<'g>,
    ) -> Repairs<'g, 'a> {
        Repairs { plan, ground, shapes, of_plan, best: Vec::new(), failed: false, tried: Vec::new() }
    }

    /// Looks for repairs; what comes back is the number of moves below which none exists.
    pub async fn look(&mut self, budget: Budget) -> usize {
        let mut search = Search::new(self.ground, budget.labels);
        // Most builds lie as their plan does, or use its names: what that speaks for is tried first. It is a
        // repair to fall back on, and proves nothing.
        let mut guesses = vec![self.ground.hints.clone()];
        guesses.extend(self.ground.layout.map(|it| self.ground.labels_of_layout(it)));
        for guess in guesses {
            let found = search.complete(&guess);
            self.make_and_keep(&found).await;
        }
        self.failed = false;
        let mut proof = Proof { level: search.bound().max(1), proven: 1, exhausted: true };
        while proof.level <= budget.most {
            // As much again as it took to get here is spent on finding others that are as short.
            let spent = budget.labels - search.left;
            let stop = search.left.saturating_sub(2 * spent + 4000);
            let ended = self.try_level(&mut search, proof.level, stop).await;
            if ended == Ended::Spent {
                proof.exhausted = false;
                break;
            }
            if self.best.first().is_some_and(|it| it.moves.len() <= proof.level) {
                proof.exhausted = ended == Ended::Tried;
                break;
            }
            proof.level += 1;
            if !self.failed {
                proof.proven = least(proof.level).max(proof.proven);
            }
        }
        if let Some(cost) = self.best.first().map(|it| it.moves.len()) {
            self.prove(&mut search, &mut proof, cost).await;
        }
        proof.proven.min(self.best.first().map_or(proof.proven, |it| it.moves.len()))
    }

    /// Makes what is found on a level, until there are enough or little of the budget is left.
    async fn try_level(&mut self, search: &mut Search<'_, '_>, level: usize, stop: usize) -> Ended {
        let mut seen = 0;
        search.begin(level);
        loop {
            match search.next() {
                Next::Portion => LetGo::default().await,
                Next::Ended(ended) => return ended,
                Next::Leaf(found) => {
                    let left = search.left;
                    self.try_labels(&found).await;
                    seen += 1;
                    search.charge(REPAIR_WORK);
                    if seen >= MAX_REPAIRS || !self.best.is_empty() && left < stop {
                        search.stop();
                        return Ended::Enough;
                    }
                }
            }
        }
    }

    /// Looks whether exchanges could do with fewer moves than so many: all that leaves up to twice as much
    /// wrong is looked through.
    async fn prove(&mut self, search: &mut Search<'_, '_>, proof: &mut Proof, cost: usize) {
        while !self.failed && proof.proven < cost {
            if proof.exhausted {
                proof.level += 1;
                proof.proven = proof.proven.max(least(proof.level).min(cost));
                if proof.proven >= cost {
                    break;
                }
            }
            search.begin(proof.level);
            let ended = loop {
                match search.next() {
                    Next::Portion => LetGo::default().await,
                    Next::Ended(ended) => break ended,
                    Next::Leaf(found) => {
                        let could = self.could_do_with(&found, cost - 1);
                        if could {
                            self.try_labels(&found).await;
                        }
                        search.charge(if could { REPAIR_WORK } else { REPAIR_WORK / 10 });
                        if self.best.first().is_some_and(|it| it.moves.len() < cost) {
                            search.stop();
                            break Ended::Enough;
                        }
                    }
                }
            };
            if ended != Ended::Tried {
                break;
            }
            proof.exhausted = true;
        }
    }

    /// Whether exchanges could bring labels down to so many moves.
    fn could_do_with(&self, found: &Labelled, most: usize) -> bool {
        let tasks = self.ground.tasks(found);
        let fewer = self.ground.with_swaps(&tasks, &found.labels);
        fewer.is_some_and(|it| it.list.len() <= most)
    }

    /// Makes what labels say, unless that has been tried. Says whether it was work.
    async fn try_labels(&mut self, found: &Labelled) -> bool {
        let labels = self.ground.supported(&found.labels, &found.mates);
        let found = &Labelled { labels, mates: found.mates.clone() };
        if self.tried.contains(found) {
            return false;
        }
        self.tried.push(found.clone());
        self.make_and_keep(found).await;
        true
    }

    async fn make_and_keep(&mut self, found: &Labelled) {
        let tasks = self.ground.tasks(found);
        let swapped = self.ground.with_swaps(&tasks, &found.labels);
        let mut done = false;
        for tasks in swapped.iter().chain([&tasks]) {
            if let Some(repair) = self.make(found, tasks, None).await {
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
    async fn make(&self, found: &Labelled, tasks: &Tasks, spared: Option<&Spared>) -> Option<Repair> {
        let names = self.names(found, tasks);
        let hand = Hand::new(self.ground, &found.labels, &names, &tasks.free);
        let mut list = tasks.list.clone();
        list.sort_by_key(order);
        let mut ways = Vec::new();
        if list.iter().any(|it| self.is_stiff(it)) {
            ways.extend(self.in_two_stages(&hand, &names, &list, spared).await);
        }
        let (mut moves, mut left) = (Vec::new(), MAX_TASKS);
        if let Some(done) = in_some_order(&hand, &list, &mut moves, spared, &mut left).await {
            ways.push((moves, done.bench));
        }
        ways.sort_by_key(|it| it.0.len());
        for (moves, bench) in ways {
            let repair = self.checked(found, tasks, moves, bench).await;
            if repair.is_some() {
                return repair;
            }
        }
        None
    }

    /// Parts first; then what wires have to do is worked out anew, since a stiff part opens and joins rows
    /// that nothing was in.
    async fn in_two_stages(
        &self,
        hand: &Hand<'_, '_>,
        names: &[Option<String>],
        list: &[Task],
        spared: Option<&Spared>,
    ) -> Option<(Vec<(Move, Bench)>, Bench)> {
        let of_parts: Vec<Task> = list.iter().filter(|it| !it.is_of_wires()).cloned().collect();
        let (mut moves, mut left) = (Vec::new(), MAX_TASKS);
        let hand = hand.clone().with_wires_later();
        let hand = in_some_order(&hand, &of_parts, &mut moves, spared, &mut left).await?;
        let bench = hand.bench.clone();
        let joined = Joined::of(&bench);
        let mut shapes = self.shapes.clone();
        let built = shapes.form(&joined);
        let plan = (self.plan, self.ground.layout);
        let ground = Ground::of(plan, self.ground.form, &bench, &joined, &shapes, &built);
        let labels = hand.labels_of(&ground.strips);
        let found = Search::new(&ground, 0).complete(&labels);
        let tasks = ground.tasks(&found);
        // Whatever else there is would be another way to put the parts.
        if !tasks.list.iter().all(Task::is_of_wires) {
            return None;
        }
        let hand = Hand::new(&ground, &labels, names, &tasks.free);
        let mut list = tasks.list.clone();
        list.sort_by_key(order);
        let done = in_some_order(&hand, &list, &mut moves, spared, &mut left).await?;
        Some((moves, done.bench))
    }

    /// A repair, where its bench is the plan's circuit.
    async fn checked(
        &self,
        found: &Labelled,
        tasks: &Tasks,
        moves: Vec<(Move, Bench)>,
        bench: Bench,
    ) -> Option<Repair> {
        let joined = Joined::of(&bench);
        let mut shapes = self.shapes.clone();
        let form = shapes.form(&joined).at_work();
        let half = Half { form: &form, parts: &joined.parts, chains: &[] };
        let Same::Yes(partners) = same_in_portions(self.of_plan, half, &shapes).await else { return None };
        let names = names_of(self.plan, self.ground.form, &bench, &form, &partners.pieces);
        bench.check().ok()?;
        let (moves, steps): (Vec<Move>, Vec<Bench>) = moves.into_iter().unzip();
        let unlike = crate::alike::unlike(self.ground, &bench);
        let oddity = moves.iter().map(|it| it.oddity).sum::<i32>() + unlike;
        Some(Repair {
            moves,
            steps,
            mended: bench,
            oddity,
            names,
            harmful: false,
            labels: found.clone(),
            tasks: tasks.clone(),
        })
    }

    /// Whether a task puts a stiff part somewhere.
    fn is_stiff(&self, task: &Task) -> bool {
        match *task {
            Task::Stand { build, .. } => self.ground.bench.parts[build].is_rigid(),
            Task::Missing { plan } | Task::Kind { plan, .. } => self.plan.parts[plan].is_rigid(),
            _ => false,
        }
    }

    /// What each part of the plan is called in the build.
    fn names(&self, found: &Labelled, tasks: &Tasks) -> Vec<Option<String>> {
        let mut names: Vec<Option<String>> = vec![None; self.plan.parts.len()];
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

    pub async fn answer(mut self, bound: usize, notes: Vec<String>) -> Answer {
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
        let before = harms(build).await;
        for index in 0..self.best.len().min(3) {
            let repair = &self.best[index];
            // What the plan itself does to a part is no fault of the moves.
            let spared = Spared([before.clone(), harms(&repair.mended).await].concat());
            let (labels, tasks) = (repair.labels.clone(), repair.tasks.clone());
            match self.make(&labels, &tasks, Some(&spared)).await {
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

/// What is overloaded before the moves or after them: nothing else may be on the way.
struct Spared(Vec<String>);

impl Spared {
    async fn allows(&self, bench: &Bench) -> bool {
        harms(bench).await.iter().all(|it| self.0.contains(it))
    }
}

/// Does tasks in the first order in which each finds its holes.
fn in_some_order<'f, 'g, 'a>(
    hand: &'f Hand<'g, 'a>,
    list: &'f [Task],
    moves: &'f mut Vec<(Move, Bench)>,
    spared: Option<&'f Spared>,
    left: &'f mut usize,
) -> Pin<Box<dyn Future<Output = Option<Hand<'g, 'a>>> + 'f>> {
    Box::pin(async move {
        if list.is_empty() {
            return Some(hand.clone());
        }
        // A task that can't be done now may be later; beyond a few tries it is given up.
        for at in 0..list.len().min(4) {
            if *left == 0 {
                return None;
            }
            *left -= 1;
            LetGo::default().await;
            let mut next = hand.clone();
            let Some(done) = next.act(&list[at]) else { continue };
            if let Some(spared) = spared
                && !spared.allows(&next.bench).await
            {
                continue;
            }
            let count = done.len();
            moves.extend(done.into_iter().map(|it| (it, next.bench.clone())));
            let rest: Vec<Task> =
                list.iter().enumerate().filter(|it| it.0 != at).map(|it| it.1.clone()).collect();
            if let Some(found) = in_some_order(&next, &rest, moves, spared, left).await {
                return Some(found);
            }
            moves.truncate(moves.len() - count);
        }
        None
    })
}
