//! What the page knows, and how each action changes it. No browser in here: every action is tested
//! as a plain function.

use std::rc::Rc;

use halfrow_core::bench::{Bench, LegId, PartIx, PlaceError};
use halfrow_core::board::{Board, BoardKind, Hole};
use halfrow_core::card::{Card, Value};
use halfrow_core::part::{Depth, Turn};
use halfrow_core::solve::{OperatingPoint, solve};
use halfrow_core::time::Stall;
use halfrow_judge::{Finding, check};

use crate::chart::Chart;
use crate::chosen::Chosen;
use crate::clipboard;
use crate::clock::{Clock, Tick};
use crate::wiring::Drafts;
use crate::words;

mod moves;

pub use moves::put_down;

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
}

/// What the pointer or the Enter key does on the board.
#[derive(Clone, Debug, PartialEq)]
pub enum Hand {
    /// Nothing in hand.
    Empty,
    /// A new part that is being put down: the legs so far.
    Part {
        /// Its card.
        card: &'static Card,
        /// Holes of the legs that are in.
        legs: Vec<Hole>,
        /// Turn of a stiff part.
        turn: Turn,
    },
    /// A leg that was pulled out and looks for its hole.
    Leg(LegId),
    /// A whole part that moves: where it was taken hold of.
    Whole {
        /// The part.
        part: PartIx,
        /// The hole under the pointer when it was taken.
        from: Hole,
    },
}

/// How much the findings say, least first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Help {
    /// Nothing.
    Nothing,
    /// What a student sees.
    Symptom,
    /// What is wrong and where.
    Place,
    /// That and what to do.
    Remedy,
}

impl Help {
    /// All, least first, with their words.
    pub const ALL: [(Help, &'static str); 4] = [
        (Help::Nothing, "nothing"),
        (Help::Symptom, "the symptom"),
        (Help::Place, "the place"),
        (Help::Remedy, "the remedy"),
    ];
}

/// Which page of the side panel is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tab {
    /// What is wrong.
    Findings,
    /// Volts, amperes and watts of each part.
    Readings,
    /// The bench as text.
    Wiring,
    /// The nets.
    Nets,
    /// Voltages and currents over time.
    Chart,
}

/// A sheet that lies over the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sheet {
    /// Example benches.
    Examples,
    /// A link to this bench.
    Share,
    /// All keys.
    Keys,
    /// Save, open, pictures, look.
    More,
    /// The parts drawer on a narrow screen.
    Drawer,
    /// The search for actions and parts.
    Find,
    /// The menu on the board, at a point of the window.
    Menu(i32, i32),
}

/// One overlay on the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Overlay {
    /// The net under the cursor.
    Trace,
    /// Potentials.
    Volts,
    /// Currents.
    Currents,
}

/// Which overlays are on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Overlays {
    /// The net under the cursor.
    pub trace: bool,
    /// Potentials.
    pub volts: bool,
    /// Currents.
    pub currents: bool,
}

/// The part of the bench that is in sight: x, y, width, height in drawing units.
pub type View = (f32, f32, f32, f32);

/// Everything that the page knows.
#[derive(Clone, Debug)]
pub struct State {
    /// The bench and what follows from it.
    pub solved: Rc<Solved>,
    undo: Vec<Rc<Solved>>,
    redo: Vec<Rc<Solved>>,
    /// The slider that the last change came from: one gesture is one step.
    gesture: Option<(PartIx, usize)>,
    /// Chosen parts.
    pub chosen: Chosen,
    /// What this page copied last.
    copied: Rc<str>,
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
    /// What has been written into the wiring list and not been built.
    pub drafts: Drafts,
    /// The clock.
    pub clock: Clock,
    /// The chart.
    pub chart: Chart,
    /// Harm that the clock has told of: how much has burnt out, whether it has stopped.
    harm: (usize, Option<Stall>),
    /// The harm that the findings know of: a bench that was just changed is judged as if new, one from
    /// the undo steps as it was then (`None`).
    judged: Option<(usize, Option<Stall>)>,
}

/// What a person (or a test) does.
#[derive(Clone, Debug)]
pub enum Action {
    /// Takes a part from the drawer.
    Take(&'static Card),
    /// The pointer or the keys point at a hole.
    Point(Option<Hole>),
    /// Click or Enter at a hole.
    Press(Hole),
    /// Click on a part: chooses it, with more when the flag is set.
    Choose(PartIx, bool),
    /// Chooses these parts.
    ChooseThese(Chosen),
    /// Chooses all parts.
    ChooseAll,
    /// Takes hold of a leg or of a part.
    Hold(Hand),
    /// Lets go of everything.
    Escape,
    /// Puts a leg into a hole, or into the air.
    PutLeg(LegId, Option<Hole>),
    /// Sets how far a leg is in.
    SetDepth(LegId, Depth),
    /// Sets a value of a part; the flag says that it comes from a slider that is still held.
    SetValue(PartIx, usize, Value, bool),
    /// Turns what is in hand, or the chosen stiff parts.
    Turn,
    /// Works a switch, presses or lets go of a button.
    Work(PartIx),
    /// Removes the chosen parts.
    Delete,
    /// Moves the chosen parts by rows and columns.
    Nudge(i16, i16),
    /// A copy of the chosen parts in hand, as near as there is room.
    Duplicate,
    /// Copies the chosen parts.
    Copy,
    /// Puts parts from the clipboard down; an empty text stands for what this page copied.
    Paste(String),
    /// Replaces the bench; the old one can be had back by undo.
    Open(Box<Bench>, String),
    /// Another first board.
    SetBoards(Vec<Board>),
    /// Another title.
    SetTitle(String),
    /// Taps the board once.
    Tap,
    /// One step back.
    Undo,
    /// One step forward again.
    Redo,
    /// Switches an overlay on or off.
    Toggle(Overlay),
    /// How much findings say.
    SetHelp(Help),
    /// Page of the panel.
    SetTab(Tab),
    /// Opens or closes a sheet.
    SetSheet(Option<Sheet>),
    /// What the search looks for, and which of what it found is chosen.
    SetFind(String, usize),
    /// Opens the menu at a point of the window, for a part or a hole.
    OpenMenu((i32, i32), Option<PartIx>, Option<Hole>),
    /// Chooses a part and points at its first leg.
    Reveal(PartIx),
    /// Points at a finding.
    Show(usize),
    /// What is in sight.
    SetView(Option<View>),
    /// Says something.
    Say(String),
    /// The clock tells what the bench does now.
    Tick(Rc<Tick>),
    /// Lets the clock run or pauses it.
    SetRunning(bool),
    /// How fast the clock shall run.
    SetSpeed(f64),
    /// One step of the paused clock.
    StepClock,
    /// Puts a new part in the place of a burnt one.
    Replace(PartIx),
    /// What is written into a cell of the wiring list: row, column, text.
    SetCell(usize, usize, String),
    /// What is written as the text of the wiring list; `None` forgets it.
    SetDraft(Option<String>),
    /// Builds the text of the wiring list.
    BuildDraft,
    /// How the chart is set.
    SetChart(Box<Chart>),
}

impl State {
    /// A page with this bench open.
    pub fn new(bench: Bench) -> State {
        State {
            solved: Solved::of(bench),
            undo: Vec::new(),
            redo: Vec::new(),
            gesture: None,
            chosen: Chosen::new(),
            copied: "".into(),
            hand: Hand::Empty,
            cursor: None,
            row: 1,
            overlays: Overlays { trace: true, volts: false, currents: false },
            help: Help::Remedy,
            tab: Tab::Findings,
            sheet: None,
            find: Default::default(),
            shown: None,
            said: "".into(),
            said_count: 0,
            view: None,
            changes: 0,
            drafts: Drafts::default(),
            clock: Clock::default(),
            chart: Chart::default(),
            harm: (0, None),
            judged: Some((0, None)),
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

    /// The only chosen part.
    pub fn only_chosen(&self) -> Option<PartIx> {
        match self.chosen.len() {
            1 => self.chosen.first().map(|&i| PartIx(i)).filter(|ix| ix.0 < self.bench().parts.len()),
            _ => None,
        }
    }

    pub(crate) fn say(&mut self, words: impl AsRef<str>) {
        self.said = words.as_ref().into();
        self.said_count += 1;
    }

    /// Takes a changed bench: solves it, keeps the old one for undo, says what happened.
    pub(crate) fn change(&mut self, bench: Bench, says: String, gesture: Option<(PartIx, usize)>) {
        let next = Solved::of(bench);
        let events = words::events(&self.solved, &next);
        let same_gesture = gesture.is_some() && gesture == self.gesture;
        if !same_gesture {
            self.undo.push(self.solved.clone());
            if self.undo.len() > UNDO_STEPS {
                self.undo.remove(0);
            }
        }
        self.redo.clear();
        self.gesture = gesture;
        self.solved = next;
        self.judged = Some((0, None));
        self.changes += 1;
        self.shown = None;
        let parts = self.bench().parts.len();
        self.chosen.retain(|&i| i < parts);
        let line = [says, events].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(" ");
        if !line.is_empty() {
            self.say(line);
        }
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
                self.say(error.to_string());
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
                self.hand = Hand::Part { card, legs: vec![], turn: Turn::None };
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
            Action::ChooseThese(parts) => self.chosen = parts,
            Action::ChooseAll => self.chosen = (0..self.bench().parts.len()).collect(),
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
                if card.params[param].range.allows(value) {
                    bench.parts[part.0].values[param] = value;
                    self.change(bench, String::new(), Some((part, param)));
                    if !held {
                        self.gesture = None;
                    }
                } else {
                    self.say(words::not_allowed(card, param));
                }
            }
            Action::Turn => self.turn(),
            Action::Work(part) => self.work(part),
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
                self.clock.epoch += 1;
                self.drafts = Drafts::default();
                self.change(*bench, says, None);
                self.tab = Tab::Findings;
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
            Action::SetHelp(help) => self.help = help,
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
            }
            Action::Show(index) => {
                self.shown = Some(index);
                if let Some(finding) = self.solved.findings.get(index) {
                    self.cursor = finding.holes.first().copied().or(self.cursor);
                    self.chosen = finding.parts.iter().map(|p| p.0).collect();
                }
            }
            Action::SetView(view) => self.view = view,
            Action::Say(text) => self.say(text),
            Action::Tick(tick) => self.tick(&tick),
            Action::SetRunning(running) => {
                self.clock.running = running;
                self.say(if running { "The clock runs." } else { "The clock is paused." });
            }
            Action::SetSpeed(speed) => self.clock.speed = speed,
            Action::StepClock => self.clock.steps += 1,
            Action::Replace(part) => {
                let id = self.bench().part(part).id.clone();
                self.say(format!("{id} is replaced by a new one."));
                let count = self.clock.replaced.as_ref().map_or(0, |it| it.0) + 1;
                self.clock.replaced = Some((count, id));
            }
            Action::SetCell(row, column, text) => self.set_cell(row, column, &text),
            Action::SetDraft(text) => {
                self.drafts.text = text;
                self.drafts.error = None;
            }
            Action::BuildDraft => self.build_text(),
            Action::SetChart(chart) => self.chart = *chart,
        }
    }

    /// Takes what the clock tells. A tick of a bench that has been changed since is of the past.
    fn tick(&mut self, tick: &Tick) {
        if !Rc::ptr_eq(&tick.bench, &self.solved.bench) {
            return;
        }
        let findings = if self.judged == Some(tick.harm) {
            self.solved.findings.clone()
        } else {
            let worse = tick.harm.0 > self.harm.0 || tick.harm.1.is_some();
            self.harm = tick.harm;
            self.judged = Some(tick.harm);
            let findings = check(&tick.bench, &tick.point);
            if worse && let Some(first) = findings.first() {
                self.say(&first.says);
            }
            Rc::new(findings)
        };
        let point = tick.point.clone();
        self.solved = Rc::new(Solved { bench: tick.bench.clone(), point, findings });
        self.clock.time = tick.time;
        self.clock.timed = tick.timed;
        self.clock.short_of = tick.short_of;
        self.clock.blinking.clone_from(&tick.blinking);
    }
}

/// A new bench: one empty half board.
pub fn empty() -> Bench {
    Bench::new(BoardKind::Half)
}

#[cfg(test)]
mod tests;
