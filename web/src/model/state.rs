//! What the page knows, and how each action changes it. No browser in here: every action is tested
//! as a plain function.

use std::rc::Rc;

use halfrow_core::bench::{Bench, PartIx, PlaceError};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::Value;
use halfrow_core::part::{Part, Turn};
use halfrow_core::solve::{OperatingPoint, solve};
use halfrow_file::examples::{self, Example};
use halfrow_judge::{Finding, Severity, check};

use crate::model::chart::Chart;
use crate::model::chosen::Chosen;
use crate::model::clipboard;
use crate::model::clock::{Clock, Harm};
use crate::model::lamps::{self, Lamps};
use crate::model::wiring::Drafts;
use crate::model::words;

mod action;
mod fields;
mod moves;
mod steps;

pub use action::{Action, Hand, Help, Overlay, Overlays, Sheet, Tab, View};
pub use fields::{Field, NO_PART, Refused};
pub use moves::put_down;
use steps::Step;

/// The key of a wire's colour.
const COLOUR: &str = "colour";

/// The key of what springs back when it is let go.
const PRESSED: &str = "pressed";

/// How many steps can be undone.
const UNDO_STEPS: usize = 200;

/// A bench with all that follows from it.
#[derive(Debug)]
pub struct Solved {
    /// The bench.
    pub bench: Rc<Bench>,
    /// What it does.
    pub point: Rc<OperatingPoint>,
    /// What is wrong with it.
    pub findings: Rc<Vec<Finding>>,
}

impl Solved {
    /// Solves and judges a bench.
    pub fn of(bench: Bench) -> Rc<Solved> {
        let point = Rc::new(solve(&bench));
        let findings = Rc::new(check(&bench, &point));
        Rc::new(Solved { bench: Rc::new(bench), point, findings })
    }

    /// Whether what it does depends on time: then only the clock knows what settles.
    pub fn is_timed(&self) -> bool {
        let acts = |part: &Part| part.card.acts.is_some_and(|acts| acts.drift.is_none());
        self.point.circuit.elements.iter().any(|it| it.law.is_timed()) || self.bench.parts.iter().any(acts)
    }
}

/// Everything that the page knows.
#[derive(Clone, Debug)]
pub struct State {
    /// The bench and what follows from it.
    pub solved: Rc<Solved>,
    undo: Vec<Step>,
    redo: Vec<Step>,
    /// Which of the benches that were opened here this is.
    document: u32,
    /// The slider that the last change came from: one gesture is one step.
    gesture: Option<(PartIx, usize)>,
    /// Chosen parts.
    pub chosen: Chosen,
    /// What this page copied last.
    copied: Rc<str>,
    /// The button that is held down.
    pub pushed: Option<PartIx>,
    /// The colour that was last chosen for a wire.
    wire_colour: Option<Value>,
    /// What is in hand.
    pub hand: Hand,
    /// The hole under the cursor.
    pub cursor: Option<Hole>,
    /// The row that the cursor was in last.
    pub row: u8,
    /// Overlays.
    pub overlays: Overlays,
    /// How much findings say.
    pub help: Help,
    /// How much they shall say where nothing speaks against it.
    help_wanted: Help,
    /// Open page of the panel.
    pub tab: Tab,
    /// Open sheet.
    pub sheet: Option<Sheet>,
    /// What the search looks for, and which of what it found is chosen.
    pub find: (String, usize),
    /// The finding that is pointed at.
    pub shown: Option<usize>,
    /// What was said last: for the live region and the foot line.
    pub said: Rc<str>,
    /// Counts what was said, so that the same words twice are two events.
    pub said_count: u32,
    /// What is in sight; `None` for all.
    pub view: Option<View>,
    /// Counts changes of the bench, for saving.
    pub changes: u32,
    /// What has been written as the text of the wiring list and not been built.
    pub drafts: Drafts,
    /// What was written into fields and refused.
    pub refused: Vec<Refused>,
    /// Where the focus shall go: counts how often, and the id of the place, empty for the board.
    pub focus: (u32, Rc<str>),
    /// The clock.
    pub clock: Clock,
    /// The chart.
    pub chart: Chart,
    /// What the lamps were last said to do.
    pub lamps: Lamps,
    /// Harm that the clock has told of.
    harm: Harm,
    /// The harm that the findings know of: a bench that was just changed is judged as if new, one from
    /// the undo steps as it was then (`None`).
    judged: Option<Harm>,
}

impl State {
    /// A page with this bench open.
    pub fn new(bench: Bench) -> State {
        State {
            solved: Solved::of(bench),
            undo: Vec::new(),
            redo: Vec::new(),
            document: 0,
            gesture: None,
            chosen: Chosen::new(),
            copied: "".into(),
            pushed: None,
            wire_colour: None,
            hand: Hand::Empty,
            cursor: None,
            row: 1,
            overlays: Overlays { trace: true, volts: false, currents: false },
            help: Help::Remedy,
            help_wanted: Help::Remedy,
            tab: Tab::Findings,
            sheet: None,
            find: Default::default(),
            shown: None,
            said: "".into(),
            said_count: 0,
            view: None,
            changes: 0,
            drafts: Drafts::default(),
            refused: Vec::new(),
            focus: (0, "".into()),
            clock: Clock::default(),
            chart: Chart::default(),
            lamps: Lamps::new(),
            harm: Harm::default(),
            judged: Some(Harm::default()),
        }
    }

    /// The bench that is open.
    pub fn bench(&self) -> &Bench {
        &self.solved.bench
    }

    /// Whether there is something to undo and to redo.
    pub fn can(&self) -> (bool, bool) {
        (!self.undo.is_empty(), !self.redo.is_empty())
    }

    /// Forgets what could be undone: the bench that a page begins with is no change.
    pub fn forget_steps(&mut self) {
        self.undo.clear();
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
        begun.is_some_and(|begun| begun.parts.iter().all(there))
            && self.solved.findings.iter().all(|it| it.severity == Severity::Habit)
    }

    /// The only chosen part.
    pub fn only_chosen(&self) -> Option<PartIx> {
        match self.chosen.len() {
            1 => self.chosen.first().map(|&i| PartIx(i)).filter(|ix| ix.0 < self.bench().parts.len()),
            _ => None,
        }
    }

    /// Whether a part stands out on the board: it is chosen, or the finding that is shown speaks of it.
    pub fn stands_out(&self, part: PartIx) -> bool {
        let shown = self.shown.and_then(|index| self.solved.findings.get(index));
        self.chosen.contains(&part.0) || shown.is_some_and(|it| it.parts.contains(&part))
    }

    /// Gives the focus to the element of this id, or to the board where it is empty.
    pub(crate) fn go_to(&mut self, id: &str) {
        self.focus = (self.focus.0 + 1, id.into());
    }

    fn choose(&mut self, parts: Chosen) {
        if !parts.is_empty() {
            self.say(words::count(parts.len(), "part chosen", "parts chosen"));
        }
        self.chosen = parts;
    }

    pub(crate) fn say(&mut self, words: impl AsRef<str>) {
        self.said = words.as_ref().into();
        self.said_count += 1;
    }

    /// Tries a change of a copy; where it can't be, says why and leaves all as it was.
    fn attempt(&mut self, says: String, edit: impl FnOnce(&mut Bench) -> Result<(), PlaceError>) -> bool {
        let mut bench = self.bench().clone();
        match edit(&mut bench) {
            Ok(()) => {
                self.change(bench, says, None);
                true
            }
            Err(error) => {
                self.say(words::refusal(self.bench(), &error));
                false
            }
        }
    }

    /// Carries out an action.
    pub fn apply(&mut self, action: Action) {
        match action {
            Action::Take(card) => {
                self.chosen.clear();
                self.sheet = None;
                let colour = self.wire_colour.filter(|_| card.is_wire());
                self.hand = Hand::Part { card, legs: vec![], turn: Turn::None, colour };
                self.go_to("");
                let words = words::hand(self);
                self.say(words);
            }
            Action::Point(hole) => {
                self.row = hole.and_then(Hole::row).unwrap_or(self.row);
                self.cursor = hole;
            }
            Action::Press(hole) => self.press(hole),
            Action::Choose(part, more) => {
                if !more {
                    self.chosen.clear();
                }
                if !self.chosen.remove(&part.0) {
                    self.chosen.insert(part.0);
                }
                self.hand = Hand::Empty;
                let words = words::part(&self.solved, part);
                self.say(words);
            }
            Action::ChooseThese(parts) => self.choose(parts),
            Action::ChooseAll => self.choose((0..self.bench().parts.len()).collect()),
            Action::Hold(hand) => {
                self.hand = hand;
                let words = words::hand(self);
                self.say(words);
            }
            Action::Escape => {
                if self.sheet.is_some() {
                    self.sheet = None;
                } else if self.hand != Hand::Empty {
                    self.hand = Hand::Empty;
                    self.say("Put back.");
                } else {
                    self.chosen.clear();
                    self.shown = None;
                }
            }
            Action::PutLeg(leg, hole) => {
                let says = words::leg_put(self.bench(), leg, hole);
                self.attempt(says, |bench| bench.put_leg(leg, hole));
            }
            Action::SetDepth(leg, depth) => {
                let mut bench = self.bench().clone();
                bench.parts[leg.part.0].legs[leg.pin].depth = depth;
                let says =
                    format!("{}: {}.", bench.part(leg.part).leg_in_words(leg.pin), words::depth(depth));
                self.change(bench, says, None);
            }
            Action::SetValue(part, param, value, held) => {
                let mut bench = self.bench().clone();
                let card = bench.part(part).card;
                if !card.params[param].range.allows(value) {
                    return;
                }
                if card.is_wire() && card.params[param].key == COLOUR {
                    self.wire_colour = Some(value);
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
                    self.gesture = None;
                }
            }
            Action::Turn => self.turn(),
            Action::Work(part) => self.work(part),
            Action::Push(part) => self.push(part),
            Action::LetGo => self.let_go(),
            Action::Delete => self.delete(),
            Action::Nudge(dx, dy) => self.nudge(dx, dy),
            Action::Duplicate => {
                let text = clipboard::copy(self.bench(), &self.chosen);
                self.paste(&text);
            }
            Action::Copy => {
                self.copied = clipboard::copy(self.bench(), &self.chosen).into();
                self.say("Copied.");
            }
            Action::Paste(text) if text.is_empty() => self.paste(&self.copied.clone()),
            Action::Paste(text) => self.paste(&text),
            Action::Open(bench, says) => {
                self.chosen.clear();
                self.hand = Hand::Empty;
                self.cursor = None;
                self.view = None;
                self.sheet = None;
                self.drafts = Drafts::default();
                self.refused.clear();
                self.open(*bench, says);
                self.tab = Tab::Findings;
            }
            Action::Restore(bench, says) => {
                let begun = self.changes > 0;
                self.apply(Action::Open(bench, says));
                if !begun {
                    self.forget_steps();
                }
            }
            Action::SetBoards(boards) => {
                let done = self.attempt("Another board.".into(), |bench| {
                    bench.boards = boards;
                    bench.check()
                });
                if done {
                    self.view = None;
                }
            }
            Action::SetTitle(title) => {
                let mut bench = self.bench().clone();
                bench.title = halfrow_file::title::fitting(&title);
                self.change(bench, String::new(), None);
            }
            Action::Tap => {
                let mut bench = self.bench().clone();
                bench.taps = bench.taps.wrapping_add(1);
                self.change(bench, "Tapped.".into(), None);
            }
            Action::Undo => self.step_back(true),
            Action::Redo => self.step_back(false),
            Action::Toggle(overlay) => {
                let on = match overlay {
                    Overlay::Trace => &mut self.overlays.trace,
                    Overlay::Volts => &mut self.overlays.volts,
                    Overlay::Currents => &mut self.overlays.currents,
                };
                *on = !*on;
            }
            Action::SetHelp(help) => (self.help, self.help_wanted) = (help, help),
            Action::SetTab(tab) => self.tab = tab,
            Action::SetSheet(sheet) => {
                self.sheet = sheet;
                self.find = Default::default();
            }
            Action::SetFind(wanted, at) => self.find = (wanted, at),
            Action::OpenMenu((x, y), part, hole) => {
                self.open_menu(part, hole);
                self.sheet = Some(Sheet::Menu(x, y));
            }
            Action::Reveal(part) => {
                self.chosen.clear();
                self.apply(Action::Choose(part, false));
                self.cursor = self.first_hole(part);
                self.go_to("");
            }
            Action::Show(index) => {
                self.shown = Some(index);
                if let Some(finding) = self.solved.findings.get(index) {
                    self.cursor = finding.holes.first().copied().or(self.cursor);
                }
                self.chosen.clear();
                self.go_to("");
            }
            Action::SetView(view) => self.view = view,
            Action::Say(text) => self.say(text),
            Action::Tick(tick) => self.tick(&tick),
            Action::Lamps(now) => {
                let words = lamps::news(&mut self.lamps, &now);
                if !words.is_empty() {
                    self.say(words);
                }
            }
            Action::SetRunning(running) => {
                self.clock.running = running;
                self.say(if running { "The clock runs." } else { "The clock is paused." });
            }
            Action::SetSpeed(speed) => self.clock.speed = speed,
            Action::SetSound(on) => self.clock.sound = on,
            Action::StepClock => self.clock.steps += 1,
            Action::Replace(part) => {
                let id = self.bench().part(part).id.clone();
                self.say(format!("{id} is replaced by a new one."));
                let count = self.clock.replaced.as_ref().map_or(0, |it| it.0) + 1;
                self.clock.replaced = Some((count, id));
            }
            Action::Write(part, field, text) => self.write(part, field, &text),
            Action::SetCell(row, column, text) => self.set_cell(row, column, &text),
            Action::Focus(id) => self.go_to(&id),
            Action::SetDraft(text) => {
                self.drafts.text = text;
                self.drafts.error = None;
            }
            Action::BuildDraft => self.build_text(),
            Action::SetChart(chart) => self.chart = *chart,
        }
    }
}

/// A new bench: one empty half board.
pub fn empty() -> Bench {
    Bench::new(BoardKind::Half)
}

#[cfg(test)]
mod tests;
