//! The document: the bench that is open with all that follows from it, and the steps back.

use std::rc::Rc;

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::part::Part;
use halfrow_core::solve::{OperatingPoint, solve};
use halfrow_file::examples::{self, Example};
use halfrow_judge::{Finding, Severity};

use super::history::History;
use super::judging::{Judging, find};
use crate::model::clock::Harm;
use crate::model::guide::Beginning;

/// A bench with all that follows from it.
#[derive(Debug)]
pub struct Solved {
    /// The bench.
    pub bench: Rc<Bench>,
    /// What it does.
    pub point: Rc<OperatingPoint>,
    /// What is wrong with it.
    pub findings: Rc<Vec<Finding>>,
    /// Whether that has been found out: the findings are those of before otherwise.
    pub judged: bool,
}

impl Solved {
    /// Solves and judges a bench.
    pub fn of(bench: Bench) -> Rc<Solved> {
        let point = Rc::new(solve(&bench));
        let findings = Rc::new(find(&bench, &point));
        Rc::new(Solved { bench: Rc::new(bench), point, findings, judged: true })
    }

    /// Whether what it does depends on time: then only the clock knows what settles.
    pub fn is_timed(&self) -> bool {
        let acts = |part: &Part| part.card.acts.is_some_and(|acts| acts.drift.is_none());
        self.point.circuit.elements.iter().any(|it| it.law.is_timed()) || self.bench.parts.iter().any(acts)
    }
}

/// The open bench and the steps back.
#[derive(Clone, Debug)]
pub struct Document {
    /// The bench and what follows from it.
    pub solved: Rc<Solved>,
    /// Counts changes of the bench, for saving.
    pub changes: u32,
    pub(super) history: History,
    /// Which of the benches that were opened here this is.
    pub(super) number: u32,
    /// The slider that the last change came from: one pull of it is one step.
    pub(super) slider: Option<(PartIx, usize)>,
    /// Harm that the clock has told of.
    pub(super) harm: Harm,
    /// The harm that the findings know of: a bench that was just changed is judged as if new, one from
    /// the undo steps as it was then (`None`).
    pub(super) judged: Option<Harm>,
    pub(super) judging: Judging,
    /// Whether it is a first circuit that is being built.
    beginning: Beginning,
}

impl Document {
    /// A document that begins with this bench.
    pub fn new(bench: Bench) -> Document {
        let mut document = Document {
            solved: Solved::of(bench),
            changes: 0,
            history: History::default(),
            number: 0,
            slider: None,
            harm: Harm::default(),
            judged: Some(Harm::default()),
            judging: Judging::default(),
            beginning: Beginning::default(),
        };
        document.note_beginning();
        document
    }

    /// Notes how far a first circuit is.
    pub(super) fn note_beginning(&mut self) {
        self.beginning = self.beginning.after(self);
    }

    /// How far a first circuit is.
    pub fn beginning(&self) -> Beginning {
        self.beginning
    }

    /// Which of the benches that were opened here this is.
    pub fn number(&self) -> u32 {
        self.number
    }

    /// The bench that is open.
    pub fn bench(&self) -> &Bench {
        &self.solved.bench
    }

    /// Whether there is something to undo and to redo.
    pub fn can(&self) -> (bool, bool) {
        self.history.can()
    }

    /// Forgets what could be undone: the bench that a page begins with is no change.
    pub fn forget_steps(&mut self) {
        self.history.clear();
        self.changes = 0;
    }

    /// The example that is open.
    pub fn example(&self) -> Option<&'static Example> {
        examples::titled(&self.bench().title)
    }

    /// Whether the mistake of an example is mended: all of its parts are there and work.
    pub fn is_mended(&self) -> bool {
        let begun =
            self.example().filter(|it| it.twin.is_some()).and_then(|it| halfrow_file::read(it.text()).ok());
        let there = |part: &Part| self.bench().find(&part.id).is_some();
        // What has not been judged yet has no findings, and is not mended for that.
        self.solved.judged
            && begun.is_some_and(|begun| begun.parts.iter().all(there))
            && self.solved.findings.iter().all(|it| it.severity == Severity::Habit)
    }

    /// Keeps the open bench for undo, before a change. All that one pull of a slider does is one step.
    pub(super) fn keep_step(&mut self, slider: Option<(PartIx, usize)>) {
        if slider.is_none() || slider != self.slider {
            self.history.keep((self.solved.clone(), self.number));
        }
        self.history.forget_redo();
    }

    /// The step kept last leads back to this document.
    pub(super) fn last_step_is_of(&mut self, number: u32) {
        self.history.last_is_of(number);
    }

    /// Takes the step kept last away where it changed nothing: a button pressed and let go.
    pub(super) fn drop_idle_step(&mut self) {
        self.history.drop_idle(&self.solved.bench);
    }

    /// The open bench as text, and the steps back from it as another, to be kept on the device.
    pub fn record(&self) -> (String, String) {
        let text = halfrow_file::write(self.bench());
        let steps = self.history.record(&text, self.number);
        (text, steps)
    }

    /// Has back the steps that [`record`](Document::record) gave, where they lead to the open bench.
    pub(super) fn restore_steps(&mut self, steps: &str) {
        let text = halfrow_file::write(self.bench());
        if let Some(history) = History::read(steps, &text, self.number) {
            self.history = history;
        }
    }
}
