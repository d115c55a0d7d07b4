//! The plan, and how far the bench is from it.

use std::rc::Rc;

use halfrow_compare::{Answer, Budget, Plan, Verdict, compare, headline};
use halfrow_core::bench::Bench;
use halfrow_core::board::Hole;

use super::{State, Tab};

/// What the page knows of a plan.
#[derive(Clone, Debug, Default)]
pub struct Planning {
    /// The plan, if one was chosen.
    pub plan: Option<Rc<Bench>>,
    /// The bench that was compared last, with the answer.
    compared: Option<(Rc<Bench>, Rc<Answer>)>,
    /// The move that is shown.
    pub shown: Option<usize>,
}

impl Planning {
    /// The answer for a bench; `None` where it has changed since, or was never asked.
    pub fn answer(&self, bench: &Rc<Bench>) -> Option<&Rc<Answer>> {
        self.compared.as_ref().filter(|it| Rc::ptr_eq(&it.0, bench)).map(|it| &it.1)
    }
}

/// The answer in a sentence or two: the headline, and whether anything shorter does it.
pub fn told(answer: &Answer) -> (String, String) {
    match &answer.verdict {
        Verdict::Equal => ("It is the plan’s circuit.".to_owned(), String::new()),
        Verdict::Equivalent(reasons) => ("It does the same as the plan.".to_owned(), reasons.join(" ")),
        Verdict::Different if !answer.found => (
            "It is another circuit.".to_owned(),
            "It is so far from the plan that no short way there was found.".to_owned(),
        ),
        Verdict::Different => {
            let sure = if answer.is_least() {
                "Nothing shorter does it.".to_owned()
            } else {
                format!("At least {} needed.", halfrow_compare::counted_are(answer.bound))
            };
            (headline(&answer.moves), sure)
        }
    }
}

impl State {
    /// The answer for the bench that is open.
    pub fn compared(&self) -> Option<&Rc<Answer>> {
        self.planning.answer(&self.document.solved.bench)
    }

    pub(super) fn set_plan(&mut self, plan: Option<Bench>) {
        let says = match &plan {
            Some(plan) if plan.title.is_empty() => "The plan is chosen.".to_owned(),
            Some(plan) => format!("The plan is “{}”.", plan.title),
            None => "No plan is chosen.".to_owned(),
        };
        self.planning = Planning { plan: plan.map(Rc::new), ..Planning::default() };
        self.say(says);
        self.compare();
    }

    /// Compares the bench with the plan where that is not done yet.
    pub(super) fn compare(&mut self) {
        let Some(plan) = self.planning.plan.clone() else { return };
        if self.compared().is_some() {
            return;
        }
        let bench = self.document.solved.bench.clone();
        let answer = Rc::new(compare(&Plan::of(&plan), &bench, Budget::default()));
        let (headline, sure) = told(&answer);
        self.planning.compared = Some((bench, answer));
        self.planning.shown = None;
        self.say(format!("{headline} {sure}").trim_end());
    }

    /// Points at a move: at the leg that it moves, or the hole that it goes to.
    pub(super) fn show_move(&mut self, index: usize) {
        let Some(it) = self.compared().and_then(|answer| answer.moves.get(index).cloned()) else { return };
        self.planning.shown = Some(index);
        let at: Option<Hole> = it.from.or(it.to.first().copied()).or(it.ends[0].first().copied());
        self.selection.point(at);
        self.say(it.says);
    }

    /// Does the first of the moves; undo takes it back. What is left is told at once.
    pub(super) fn do_move(&mut self) {
        let Some(answer) = self.compared().cloned() else { return };
        let (Some(done), Some(next)) = (answer.moves.first(), answer.steps.first()) else { return };
        self.edit(&format!("Done: {}", done.says), |bench| bench.clone_from(next));
        if self.screen.tab == Tab::Plan {
            self.compare();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::state::Action;
    use halfrow_core::bench::{LegId, PartIx};
    use halfrow_file::examples;

    #[test]
    fn moves_are_done_one_by_one_and_taken_back() {
        let plan = halfrow_file::read(examples::find("pier-lights").unwrap().text()).unwrap();
        let mut state = State::new(plan.clone());
        state.apply(Action::SetPlan(Some(Box::new(plan.clone()))));
        state.apply(Action::SetTab(Tab::Plan));
        assert_eq!(state.compared().unwrap().verdict, Verdict::Equal);
        let leg = |id: &str, pin| LegId { part: plan.find(id).unwrap(), pin };
        state.apply(Action::PutLeg(leg("R2", 1), Hole::parse("b13")));
        state.apply(Action::PutLeg(leg("R3", 1), Hole::parse("b20")));
        // Nothing is said of a bench that was not compared.
        assert!(state.compared().is_none());
        state.apply(Action::Compare);
        assert_eq!(state.compared().unwrap().moves.len(), 2);
        state.apply(Action::ShowMove(1));
        assert_eq!(state.selection.cursor, Hole::parse("b20"));
        state.apply(Action::DoMove);
        assert_eq!(state.compared().unwrap().moves.len(), 1, "{}", state.speech.said);
        state.apply(Action::DoMove);
        assert_eq!(state.compared().unwrap().verdict, Verdict::Equal);
        state.apply(Action::Undo);
        state.apply(Action::Compare);
        assert_eq!(state.compared().unwrap().moves.len(), 1);
        assert_eq!(state.bench().part(PartIx(0)).id, "BT1");
    }
}
