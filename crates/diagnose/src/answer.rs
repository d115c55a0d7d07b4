//! From a report to an answer: what may be wrong, what to ask for next, and a message ready to send.

use halfrow_compare::{Budget, Move, Plan, compare};

use crate::belief::{Belief, believe, by_repair, repairs};
use crate::dictionary::{Dictionary, Mistakes};
use crate::fault::{Change, Fault, Repair, as_seen};
use crate::message;
use crate::next::{Next, SURE_SHARE, next, parted, probes};
use crate::report::{checked, danger};
use crate::symptom::Symptom;
use crate::words;

/// Something to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// A move of the hand, as a comparison of the build with the plan gives it.
    Move(Box<Move>),
    /// A part to be exchanged for a sound one.
    Exchange {
        /// Its name.
        part: String,
        /// What to do, in a sentence.
        says: String,
    },
}

impl Step {
    /// What to do, in a sentence.
    pub fn says(&self) -> &str {
        match self {
            Step::Move(it) => &it.says,
            Step::Exchange { says, .. } => says,
        }
    }
}

/// Mistakes that are told as one, because one repair mends them or nothing that is offered tells them apart.
#[derive(Clone, Debug)]
pub struct Group {
    /// How likely it is, as a share.
    pub share: f64,
    /// What is wrong, in half a sentence.
    pub says: String,
    /// What mends it: alternatives, the likeliest first, each one step or several. Empty for the right build.
    pub repairs: Vec<Vec<Step>>,
    /// The mistakes in it, likeliest first.
    pub sets: Vec<Mistakes>,
}

/// The answer to a report.
#[derive(Clone, Debug)]
pub struct Diagnosis {
    /// What comes before anything else where somebody may get hurt.
    pub first: Option<String>,
    /// What is said of the report itself: what contradicts, what can't be.
    pub notes: Vec<String>,
    /// What may be wrong, likeliest first.
    pub groups: Vec<Group>,
    /// That it is nothing known here, as a share.
    pub unknown_share: f64,
    /// What to ask for next; `None` where a repair is sure enough or nothing pays.
    pub next: Option<Next>,
    /// What to do for it, in a sentence or two.
    pub next_says: String,
    /// What each answer would mean.
    pub next_means: Vec<String>,
    /// The whole answer as a message to the one who asked.
    pub message: String,
}

/// Groups below this share are not told: nobody acts on them.
const LEAST_TOLD: f64 = 0.01;
/// The most groups that are told.
const MOST_TOLD: usize = 8;
/// The most alternatives of one group.
const MOST_WAYS: usize = 4;

/// Answers a report. The plan is the dictionary's; parts are numbered as in it.
pub fn diagnose(dictionary: &mut Dictionary, report: &[Symptom]) -> Diagnosis {
    let (report, notes) = checked(dictionary, report);
    let belief = believe(dictionary, &report);
    let groups = groups(dictionary, &belief);
    let told: Vec<Group> = groups
        .into_iter()
        .filter(|it| it.0 >= LEAST_TOLD)
        .take(MOST_TOLD)
        .map(|(share, members)| group(dictionary, &belief, share, &members))
        .collect();
    let sure = told.first().is_some_and(|it| it.share >= SURE_SHARE);
    let next = if sure { None } else { next(dictionary, &belief, &report) };
    let next_says = next.as_ref().map_or(String::new(), |it| words::instruction(dictionary, it.ask));
    let next_means = next.as_ref().map_or(Vec::new(), |it| words::outcomes(dictionary, it));
    let mut answer = Diagnosis {
        first: danger(dictionary, &report),
        notes,
        groups: told,
        unknown_share: belief.unknown_share,
        next,
        next_says,
        next_means,
        message: String::new(),
    };
    answer.message = message::write(dictionary, &report, &answer);
    answer
}

/// The share of each group, with its candidates by their places in the belief. Repairs are merged only where
/// none of what is offered parts any of the one from any of the other (complete linkage).
pub fn groups(dictionary: &mut Dictionary, belief: &Belief) -> Vec<(f64, Vec<usize>)> {
    let offered = probes(dictionary, belief);
    let mut groups: Vec<(f64, Vec<Vec<usize>>)> = Vec::new();
    for (own, share) in by_repair(dictionary, belief) {
        let members: Vec<usize> = (0..belief.candidates.len())
            .filter(|&at| repairs(dictionary, &belief.candidates[at].set) == own)
            .collect();
        let mut home = None;
        if share >= LEAST_TOLD {
            for (at, group) in groups.iter().enumerate().take(MOST_TOLD) {
                // A repair stands for itself by its likeliest mistake.
                let apart =
                    group.1.iter().any(|other| parted(dictionary, belief, &offered, members[0], other[0]));
                if !apart {
                    home = Some(at);
                    break;
                }
            }
        }
        match home {
            Some(at) => {
                groups[at].0 += share;
                groups[at].1.push(members);
            }
            None => groups.push((share, vec![members])),
        }
    }
    groups.sort_by(|a, b| b.0.total_cmp(&a.0));
    groups.into_iter().map(|(share, members)| (share, members.concat())).collect()
}

fn group(dictionary: &Dictionary, belief: &Belief, share: f64, members: &[usize]) -> Group {
    let plan = dictionary.plan();
    let mut members = members.to_vec();
    members.sort_by(|&a, &b| belief.candidates[b].share.total_cmp(&belief.candidates[a].share));
    let sets: Vec<Mistakes> = members.iter().map(|&at| belief.candidates[at].set.clone()).collect();
    let likeliest = sets.first().map_or(Vec::new(), |set| repairs(dictionary, set));
    let alike: Vec<&Mistakes> = members
        .iter()
        .filter(|&&at| belief.candidates[at].share >= 0.05 * share)
        .map(|&at| &belief.candidates[at].set)
        .collect();
    let mut all: Vec<Vec<Repair>> = Vec::new();
    for set in &alike {
        let own = repairs(dictionary, set);
        if !all.contains(&own) {
            all.push(own);
        }
    }
    let told: Vec<String> = all
        .iter()
        .map(|own| {
            let faults: Vec<&Fault> = alike
                .iter()
                .filter(|set| repairs(dictionary, set) == *own)
                .flat_map(|set| dictionary.of_set(set))
                .collect();
            words::causes(plan, own, &faults)
        })
        .collect();
    let mut ways: Vec<Vec<Step>> = Vec::new();
    if !likeliest.is_empty() {
        for set in alike.iter().take(MOST_WAYS) {
            let steps = steps(dictionary, set);
            if !steps.is_empty() && !ways.contains(&steps) {
                ways.push(steps);
            }
        }
    }
    Group { share, says: told.join("; or "), repairs: ways, sets }
}

/// What mends a set of mistakes: moves that a comparison with the plan finds and has tried, and exchanges.
pub fn steps(dictionary: &Dictionary, set: &[u16]) -> Vec<Step> {
    let plan = dictionary.plan();
    let faults = dictionary.of_set(set);
    let by_hand = |fault: &&Fault| {
        !matches!(fault.change, Change::Broken { .. }) && fault.class != crate::priors::Class::Worn
    };
    let moved: Vec<&Fault> = faults.iter().copied().filter(by_hand).collect();
    let mut steps = Vec::new();
    if let (false, Some(build)) = (moved.is_empty(), as_seen(plan, &moved)) {
        let answer = compare(&Plan::of(plan), &build, Budget::default());
        steps.extend(answer.moves.into_iter().map(|it| Step::Move(Box::new(it))));
    }
    for fault in faults.iter().filter(|fault| !by_hand(fault)) {
        if let Repair::Exchange(part) = fault.repair() {
            let says = words::exchange(plan, part);
            steps.push(Step::Exchange { part: plan.part(part).id.clone(), says });
        }
    }
    steps
}
