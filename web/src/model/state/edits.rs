//! How values, boards and titles are changed, and what is chosen and shown.

use halfrow_core::bench::{Bench, LegId, Lesson, PartIx, PlaceError};
use halfrow_core::board::Hole;
use halfrow_core::card::{Card, Value};
use halfrow_core::part::{Depth, Turn};
use halfrow_core::probe::Probe;

use super::{COLOUR, Hand, Help, State, Tab};
use crate::model::chosen::Chosen;
use crate::model::words;

impl State {
    /// Tries a change of a copy; where it can't be, says why and leaves all as it was.
    fn attempt(&mut self, says: String, edit: impl FnOnce(&mut Bench) -> Result<(), PlaceError>) -> bool {
        let mut bench = self.bench().clone();
        match edit(&mut bench) {
            Ok(()) => {
                self.change(bench, says, None);
                true
            }
            Err(error) => {
                self.say(words::refusal(&error));
                false
            }
        }
    }

    /// Changes a copy in a way that always fits.
    pub(super) fn edit(&mut self, says: &str, edit: impl FnOnce(&mut Bench)) {
        let mut bench = self.bench().clone();
        edit(&mut bench);
        self.change(bench, says.to_owned(), None);
    }

    pub(super) fn put_leg(&mut self, leg: LegId, hole: Option<Hole>) {
        let says = words::leg_put(self.bench(), leg, hole);
        self.attempt(says, |bench| bench.put_leg(leg, hole));
    }

    pub(super) fn set_depth(&mut self, leg: LegId, depth: Depth) {
        let says = format!("{}: {}.", self.bench().part(leg.part).leg_in_words(leg.pin), words::depth(depth));
        self.edit(&says, |bench| bench.parts[leg.part.0].legs[leg.pin].depth = depth);
    }

    /// Sets a value of a part; `held` says that it comes from a slider that is still held.
    pub(super) fn set_value(&mut self, part: PartIx, param: usize, value: Value, held: bool) {
        let mut bench = self.bench().clone();
        let card = bench.part(part).card;
        if !card.params[param].range.allows(value) {
            return;
        }
        if card.is_wire() && card.params[param].key == COLOUR {
            self.selection.wire_colour = Some(value);
        }
        let it = &mut bench.parts[part.0];
        it.values[param] = value;
        let mut says = words::value_set(it, param);
        if let Some((index, value)) = (card.follows)(it, param) {
            it.values[index] = value;
            says.push(' ');
            says += &words::value_set(it, index);
        }
        // A slider tells its own value as it goes.
        if held {
            says.clear();
        }
        self.change(bench, says, Some((part, param)));
        if !held {
            self.document.slider = None;
        }
    }

    pub(super) fn set_boards(&mut self, boards: Vec<halfrow_core::board::Board>) {
        let done = self.attempt("Board changed.".into(), |bench| {
            bench.boards = boards;
            bench.check()
        });
        if done {
            self.screen.view = None;
        }
    }

    /// What a teacher has set for whoever gets the bench.
    pub(super) fn set_lesson(&mut self, lesson: Lesson) {
        let before = self.bench().lesson;
        let says = match (before.only_meter != lesson.only_meter, lesson.only_meter) {
            (true, true) => "Now only the meter tells.",
            (true, false) => "Readings are shown again.",
            _ => "The lesson is changed.",
        };
        if before != lesson {
            self.edit(says, |bench| bench.lesson = lesson);
            self.judge_now();
        }
    }

    pub(super) fn set_as_bought(&mut self, number: Option<u32>) {
        let said = match number {
            Some(number) => format!("Parts are as bought, from bag {number}: each is a little off."),
            None => "Every part is exactly as printed.".to_owned(),
        };
        self.edit(&said, |bench| bench.as_bought = number);
    }

    pub(super) fn set_run_down(&mut self, on: bool) {
        let said = if on { "Batteries run down as time passes." } else { "Batteries keep their charge." };
        self.edit(said, |bench| bench.batteries_run_down = on);
    }

    pub(super) fn take_card(&mut self, card: &'static Card) {
        self.selection.chosen.clear();
        self.screen.sheet = None;
        let colour = self.selection.wire_colour.filter(|_| card.is_wire());
        self.screen.go_to("");
        self.hold(Hand::Part { card, legs: vec![], turn: Turn::None, colour });
    }

    /// Takes something in hand and says what to do with it.
    pub(super) fn hold(&mut self, hand: Hand) {
        self.selection.hand = hand;
        let words = words::hand(self);
        self.say(words);
    }

    pub(super) fn choose(&mut self, part: PartIx, more: bool) {
        self.selection.toggle(part, more);
        let words = words::part(&self.document.solved, part);
        self.say(words);
    }

    pub(super) fn choose_these(&mut self, parts: Chosen) {
        if !parts.is_empty() {
            self.say(words::count(parts.len(), "part chosen", "parts chosen"));
        }
        self.selection.chosen = parts;
    }

    /// Closes what is open, or else puts back what is in hand, or else lets go of what is chosen.
    pub(super) fn escape(&mut self) {
        if self.screen.sheet.is_some() {
            self.screen.sheet = None;
        } else if self.selection.hand != Hand::Empty {
            self.selection.hand = Hand::Empty;
            self.say("Put back.");
        } else {
            self.selection.chosen.clear();
            self.selection.shown = None;
        }
    }

    /// Chooses a part and points at its first leg.
    pub(super) fn reveal(&mut self, part: PartIx) {
        self.choose(part, false);
        self.selection.cursor = self.first_hole(part);
        self.screen.go_to("");
    }

    /// Points at a finding.
    pub(super) fn show(&mut self, index: usize) {
        self.selection.shown = Some(index);
        if let Some(finding) = self.document.solved.findings.get(index) {
            self.selection.cursor = finding.holes.first().copied().or(self.selection.cursor);
            let words = match self.screen.help {
                Help::Nothing | Help::Symptom => finding.symptom.clone(),
                Help::Place => finding.says.clone(),
                Help::Remedy => format!("{} {}", finding.says, finding.remedy),
            };
            self.say(words);
        }
        self.selection.chosen.clear();
        self.screen.go_to("");
    }

    /// Shows something on the chart and opens it.
    pub(super) fn watch(&mut self, probe: Probe) {
        let place = self.chart.watch(probe.clone());
        self.screen.tab = Tab::Chart;
        let what = words::probe(&self.document.solved, &probe);
        self.say(format!("Trace {} on the chart: {what}.", place + 1));
    }

    /// Puts a new part in the place of a burnt one.
    pub(super) fn replace(&mut self, part: PartIx) {
        let id = self.bench().part(part).id.clone();
        self.say(format!("{id} is replaced with a new one."));
        self.clock.replace(id);
    }
}
