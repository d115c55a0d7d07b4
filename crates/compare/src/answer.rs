//! From plan and build to an answer.

use halfrow_core::bench::Bench;
use halfrow_core::part::Part;
use halfrow_core::time::portions::finish;

use crate::equal::{Half, Same, same_in_portions};
use crate::form::{Form, Joined, Shapes};
use crate::ground::Ground;
use crate::moves::Move;
use crate::repairs::Repairs;
use crate::search::Budget;

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

/// Compares a build with its plan.
pub fn compare(plan: &Plan, build: &Bench, budget: Budget) -> Answer {
    finish(compare_in_portions(plan, build, budget))
}

/// [`compare`], letting go after each portion of work (so many labels, a colouring, a move on a copy), for
/// whoever draws a page meanwhile. The answer is the same, whatever happens between the portions.
pub async fn compare_in_portions(plan: &Plan, build: &Bench, budget: Budget) -> Answer {
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
    if let Same::Yes(found) = same_in_portions(of_plan, of_build, &shapes).await {
        return equal(Verdict::Equal, names_of(&plan.joined, &plan_form, build, &at_work, &found.pieces));
    }
    if let Some((reasons, names)) = crate::equivalent::reasons(of_plan, of_build, &shapes).await {
        return equal(Verdict::Equivalent(reasons), names);
    }
    let ground =
        Ground::of((&plan.joined, plan.layout.as_ref()), &plan_form, build, &built, &shapes, &build_form);
    let mut repairs = Repairs::new(&plan.joined, &ground, &shapes, of_plan);
    let bound = repairs.look(budget).await;
    repairs.answer(bound, notes).await
}

pub(crate) fn names_of(
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
