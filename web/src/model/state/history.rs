//! The steps back and forward from the open bench, in the page and as text for the next time it is loaded.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use halfrow_core::bench::Bench;

use super::Solved;

/// How many steps can be undone.
const UNDO_STEPS: usize = 200;

/// How many bytes of steps are kept on the device, forward steps a quarter of it. More would cost a slow
/// laptop time at each save; this is 100 steps of a bench of 20 parts.
const LONGEST: usize = 192 * 1024;

/// Between steps, and between what a step consists of. No bench file holds them: JSON escapes them.
const RECORD: char = '\u{1e}';
const FIELD: char = '\u{1f}';

/// A bench that can be had back, and which of those opened here it is.
#[derive(Clone, Debug)]
struct Step {
    /// Absent after the page was loaded again: then it is worked out from the text when it is wanted.
    solved: Option<Rc<Solved>>,
    /// The bench as text, once it was needed; one for all copies of the page's state.
    text: Rc<OnceCell<Rc<str>>>,
    number: u32,
}

impl Step {
    fn new((solved, number): (Rc<Solved>, u32)) -> Step {
        Step { solved: Some(solved), text: Rc::default(), number }
    }

    fn text(&self) -> &str {
        let write = |solved: &Rc<Solved>| halfrow_file::write(&solved.bench).into();
        self.text.get_or_init(|| self.solved.as_ref().map_or_else(|| "".into(), write))
    }

    /// The bench with what follows from it; `None` where a kept text can't be read.
    fn solved(self, follow: &dyn Fn(Bench) -> Rc<Solved>) -> Option<(Rc<Solved>, u32)> {
        let read = || halfrow_file::read(self.text()).ok().map(follow);
        let solved = self.solved.clone().or_else(read)?;
        Some((solved, self.number))
    }
}

/// The steps back and forward.
#[derive(Clone, Debug, Default)]
pub(super) struct History {
    undo: Vec<Step>,
    redo: Vec<Step>,
}

impl History {
    /// Whether there is something to undo and to redo.
    pub fn can(&self) -> (bool, bool) {
        (!self.undo.is_empty(), !self.redo.is_empty())
    }

    /// Forgets what could be undone.
    pub fn clear(&mut self) {
        self.undo.clear();
    }

    /// Keeps a bench for undo. What was undone before can't be done again from here.
    pub fn keep(&mut self, step: (Rc<Solved>, u32)) {
        self.undo.push(Step::new(step));
        if self.undo.len() > UNDO_STEPS {
            self.undo.remove(0);
        }
    }

    /// Forgets what could be done again.
    pub fn forget_redo(&mut self) {
        self.redo.clear();
    }

    /// The step kept last leads back to this document.
    pub fn last_is_of(&mut self, number: u32) {
        if let Some(step) = self.undo.last_mut() {
            step.number = number;
        }
    }

    /// Takes the step kept last away where it leads to the same bench.
    pub fn drop_idle(&mut self, bench: &Bench) {
        let former = self.undo.last().and_then(|it| it.solved.as_ref());
        if former.is_some_and(|it| *it.bench == *bench) {
            self.undo.pop();
        }
    }

    /// The bench one step back, or forward again; `open` is kept for the other direction. What follows from
    /// a step that was only kept as text says `follow`; one that can't be read is passed over.
    pub fn step(
        &mut self,
        back: bool,
        open: (Rc<Solved>, u32),
        follow: &dyn Fn(Bench) -> Rc<Solved>,
    ) -> Option<(Rc<Solved>, u32)> {
        let (from, to) =
            if back { (&mut self.undo, &mut self.redo) } else { (&mut self.redo, &mut self.undo) };
        let step = std::iter::from_fn(|| from.pop()).find_map(|it| it.solved(follow))?;
        to.push(Step::new(open));
        Some(step)
    }

    /// The steps as one text, for the bench `open` of the document `number`; the newest, as far as they
    /// fit.
    pub fn record(&self, open: &str, number: u32) -> String {
        let mut out = format!("{number}{FIELD}{open}");
        for (kind, steps, longest) in [('u', &self.undo, LONGEST), ('r', &self.redo, LONGEST / 4)] {
            let mut length = 0;
            for step in steps.iter().rev() {
                length += step.text().len();
                if length > longest {
                    break;
                }
                out += &format!("{RECORD}{kind}{}{FIELD}{}", step.number, step.text());
            }
        }
        out
    }

    /// Reads [`record`](History::record) back, where it belongs to the bench `open`, which is now the
    /// document `number`. Other documents get numbers that no bench opened here has.
    pub fn read(record: &str, open: &str, number: u32) -> Option<History> {
        let mut records = record.split(RECORD);
        let (kept_number, text) = records.next()?.split_once(FIELD)?;
        if text != open {
            return None;
        }
        let mut numbers = BTreeMap::from([(kept_number.to_owned(), number)]);
        let mut history = History::default();
        for it in records {
            let (head, text) = it.split_once(FIELD)?;
            let steps = if head.starts_with('u') { &mut history.undo } else { &mut history.redo };
            let next = u32::MAX - numbers.len() as u32;
            let number = *numbers.entry(head.get(1..)?.to_owned()).or_insert(next);
            steps.push(Step { solved: None, text: Rc::new(OnceCell::from(Rc::from(text))), number });
        }
        history.undo.truncate(UNDO_STEPS);
        history.undo.reverse();
        history.redo.reverse();
        Some(history)
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Action, State, empty};
    use crate::model::opening::open_example;
    use halfrow_core::board::Hole;
    use halfrow_core::parts;
    use halfrow_file::examples;

    fn put(state: &mut State, kind: &str, holes: [&str; 2]) {
        state.apply(Action::Take(parts::card(kind).unwrap()));
        for name in holes {
            state.apply(Action::Press(Hole::parse(name).unwrap()));
        }
    }

    #[test]
    fn steps_back_survive_a_reload_and_lead_to_the_bench_they_came_from() {
        let mut state = State::new(empty());
        put(&mut state, "led", ["e7", "f7"]);
        state.apply(open_example(examples::find("lighthouse").unwrap()));
        put(&mut state, "wire", ["a29", "j29"]);
        put(&mut state, "wire", ["b29", "i29"]);
        state.apply(Action::Undo);
        let (text, steps) = state.document.record();
        let bench = halfrow_file::read(&text).unwrap();

        let mut loaded = State::new(empty());
        loaded.apply(Action::Restore(Box::new(bench), steps.clone(), "As you left it.".into()));
        assert_eq!((loaded.document.changes, loaded.document.can()), (0, (true, true)));
        assert_eq!(loaded.document.record().0, text);
        // The same on both, step by step.
        for action in [Action::Redo, Action::Undo, Action::Undo, Action::Undo, Action::Undo, Action::Redo] {
            state.apply(action.clone());
            loaded.apply(action);
            assert_eq!(state.bench(), loaded.bench());
            assert_eq!(state.document.can(), loaded.document.can());
        }
        // A step to another document is told apart from a change: the clock begins anew.
        let mut once = State::new(empty());
        once.apply(Action::Restore(Box::new(halfrow_file::read(&text).unwrap()), steps, "Back.".into()));
        let epoch = once.clock.epoch;
        once.apply(Action::Undo);
        assert_eq!(once.clock.epoch, epoch, "within the lighthouse");
        once.apply(Action::Undo);
        assert_ne!(once.clock.epoch, epoch, "back to the LED");
    }

    #[test]
    fn steps_of_another_bench_or_damaged_ones_are_left_alone() {
        let mut state = State::new(empty());
        put(&mut state, "led", ["e7", "f7"]);
        let (_, steps) = state.document.record();
        let mut other = State::new(empty());
        other.apply(Action::Restore(Box::new(halfrow_core::sample::sixty_parts()), steps, "Back.".into()));
        assert_eq!(other.document.can(), (false, false));
        // One that can't be read is passed over.
        put(&mut state, "wire", ["a9", "b9"]);
        let (text, steps) = state.document.record();
        let damaged = steps.replacen("\"led\"", "\"lantern\"", 2).replacen("\"lantern\"", "\"led\"", 1);
        assert_ne!(damaged, steps);
        let mut loaded = State::new(empty());
        let bench = halfrow_file::read(&text).unwrap();
        loaded.apply(Action::Restore(Box::new(bench), damaged, "Back.".into()));
        loaded.apply(Action::Undo);
        assert_eq!(loaded.bench(), &empty());
        loaded.apply(Action::Undo);
        assert_eq!(loaded.bench(), &empty());
    }

    #[test]
    fn the_record_of_many_large_steps_stays_short() {
        let mut state = State::new(halfrow_core::sample::sixty_parts());
        for taps in 0..250 {
            state.apply(Action::SetTitle(format!("Step {taps}")));
        }
        let (text, steps) = state.document.record();
        assert!(steps.len() < 300 * 1024, "{} bytes of a bench of {}", steps.len(), text.len());
        assert!(steps.contains("Step 248") && !steps.contains("Step 1\""), "the newest are kept");
    }
}
