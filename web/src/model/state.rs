//! What the page knows, and how each action changes it. No browser in here: every action is tested
//! as a plain function.

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::board::BoardKind;

use crate::model::chart::Chart;
use crate::model::clipboard;
use crate::model::clock::Clock;
use crate::model::quiet::ONLY_THE_METER;

mod action;
mod document;
mod edits;
mod fields;
mod history;
mod judging;
pub mod meter;
mod moves;
mod plan;
mod screen;
mod selection;
mod speech;
mod steps;

pub use action::{Action, Hand, Help, Overlay, Overlays, Sheet, Tab, View};
pub use document::{Document, Solved};
pub use fields::{Field, LONGEST_DRAFT, NO_PART, Refused, Writing};
pub use judging::Verdict;
pub use meter::{Measuring, Use, dial_id};
pub use moves::{Preview, preview, put_down};
pub use plan::{Planning, told};
pub use screen::Screen;
pub use selection::Selection;
pub use speech::Speech;

/// The key of a wire's colour.
const COLOUR: &str = "colour";

/// The key of what springs back when it is let go.
const PRESSED: &str = "pressed";

/// Everything that the page knows.
#[derive(Clone, Debug)]
pub struct State {
    /// The bench, what follows from it, and the steps back.
    pub document: Document,
    /// What is in hand, pointed at and chosen.
    pub selection: Selection,
    /// What is open, shown and in sight.
    pub screen: Screen,
    /// What was said last.
    pub speech: Speech,
    /// What is being written.
    pub writing: Writing,
    /// The clock.
    pub clock: Clock,
    /// The chart.
    pub chart: Chart,
    /// The plan that the bench is compared with.
    pub planning: Planning,
    /// What the meters show.
    pub measuring: Measuring,
}

impl State {
    /// A page with this bench open.
    pub fn new(bench: Bench) -> State {
        State {
            document: Document::new(bench),
            selection: Selection::default(),
            screen: Screen::default(),
            speech: Speech::default(),
            writing: Writing::default(),
            clock: Clock::default(),
            chart: Chart::default(),
            planning: Planning::default(),
            measuring: Measuring::default(),
        }
    }

    /// The bench that is open.
    pub fn bench(&self) -> &Bench {
        self.document.bench()
    }

    /// The overlays that are drawn: those that tell figures only where figures may be told.
    pub fn overlays(&self) -> Overlays {
        let on = self.screen.overlays;
        let tells = self.bench().may_tell_figures();
        Overlays { volts: on.volts && tells, currents: on.currents && tells, ..on }
    }

    /// The only chosen part.
    pub fn only_chosen(&self) -> Option<PartIx> {
        let chosen = &self.selection.chosen;
        match chosen.len() {
            1 => chosen.first().map(|&i| PartIx(i)).filter(|ix| ix.0 < self.bench().parts.len()),
            _ => None,
        }
    }

    /// Whether a part stands out on the board: it is chosen, or the finding that is shown speaks of it.
    pub fn stands_out(&self, part: PartIx) -> bool {
        let shown = self.selection.shown.and_then(|index| self.document.solved.findings.get(index));
        self.selection.chosen.contains(&part.0) || shown.is_some_and(|it| it.parts.contains(&part))
    }

    pub(crate) fn say(&mut self, words: impl AsRef<str>) {
        self.speech.say(words);
    }

    /// Carries out an action.
    pub fn apply(&mut self, action: Action) {
        match action {
            Action::Take(card) => self.take_card(card),
            Action::Point(hole) => self.selection.point(hole),
            Action::Press(hole) => self.press(hole),
            Action::Choose(part, more) => self.choose(part, more),
            Action::ChooseThese(parts) => self.choose_these(parts),
            Action::ChooseAll => self.choose_these((0..self.bench().parts.len()).collect()),
            Action::Hold(hand) => self.hold(hand),
            Action::Escape => self.escape(),
            Action::PutLeg(leg, hole) => self.put_leg(leg, hole),
            Action::SetDepth(leg, depth) => self.set_depth(leg, depth),
            Action::SetValue(part, param, value, held) => self.set_value(part, param, value, held),
            Action::Turn => self.turn(),
            Action::Work(part) => self.work(part),
            Action::Push(part) => self.push(part),
            Action::LetGo => self.let_go(),
            Action::Delete => self.delete(),
            Action::Nudge(dx, dy) => self.nudge(dx, dy),
            Action::Duplicate => self.paste(&clipboard::copy(self.bench(), &self.selection.chosen)),
            Action::Copy => self.copy(),
            Action::Paste(text) if text.is_empty() => self.paste(&self.selection.copied.clone()),
            Action::Paste(text) => self.paste(&text),
            Action::Open(bench, says) => self.open(*bench, says),
            Action::Restore(bench, steps, says) => self.restore(*bench, &steps, says),
            Action::SetBoards(boards) => self.set_boards(boards),
            Action::SetAsBought(number) => self.set_as_bought(number),
            Action::SetRunDown(on) => self.set_run_down(on),
            Action::SetTitle(title) => {
                self.edit("", |bench| bench.title = halfrow_file::title::typed(&title));
            }
            Action::Tap => self.edit("Tapped.", |bench| bench.taps = bench.taps.wrapping_add(1)),
            Action::Undo => self.step_back(true),
            Action::Redo => self.step_back(false),
            Action::Toggle(overlay) if overlay != Overlay::Trace && !self.bench().may_tell_figures() => {
                self.say(ONLY_THE_METER);
            }
            Action::Toggle(overlay) => self.screen.toggle(overlay),
            Action::SetLesson(lesson) => self.set_lesson(lesson),
            Action::SetHelp(help) => self.screen.set_help(help),
            Action::SetTab(tab) => self.set_tab(tab),
            Action::Meter(action) => self.use_meter(action),
            Action::SetSheet(sheet) => self.screen.set_sheet(sheet),
            Action::SetFind(wanted, at) => self.screen.find = (wanted, at),
            Action::OpenMenu(at, part, hole) => self.open_menu(at, part, hole),
            Action::Reveal(part) => self.reveal(part),
            Action::Show(index) => self.show(index),
            Action::SetView(view) => self.screen.view = view,
            Action::Say(text) => self.say(text),
            Action::Tick(tick) => self.tick(&tick),
            Action::Judged(verdict) => self.take_verdict(&verdict),
            Action::Lamps(now) => self.speech.say_lamps(&now),
            Action::SetRunning(running) => {
                self.clock.running = running;
                self.say(if running { "The clock is running." } else { "The clock is paused." });
            }
            Action::SetSpeed(speed) => self.clock.speed = speed,
            Action::SetSound(on) => self.clock.sound = on,
            Action::StepClock => self.clock.steps += 1,
            Action::Replace(part) => self.replace(part),
            Action::Write(part, field, text) => self.write(part, field, &text),
            Action::SetCell(row, column, text) => self.set_cell(row, column, &text),
            Action::Focus(id) => self.screen.go_to(&id),
            Action::SetDraft(text) => self.writing.set_draft(text),
            Action::BuildDraft => self.build_text(),
            Action::SetChart(chart) => self.chart = *chart,
            Action::Watch(probe) => self.watch(probe),
            Action::SetPlan(plan) => self.set_plan(plan.map(|it| *it)),
            Action::Compare => self.compare(),
            Action::ShowMove(index) => self.show_move(index),
            Action::DoMove => self.do_move(),
        }
        self.document.note_beginning();
    }

    fn set_tab(&mut self, tab: Tab) {
        // Whoever asks for the findings gets those of this bench.
        self.judge_now();
        self.screen.tab = tab;
        if tab == Tab::Plan {
            self.compare();
        }
        self.work_out_said();
    }
}

/// A new bench: one empty half board.
pub fn empty() -> Bench {
    Bench::new(BoardKind::Half)
}

#[cfg(test)]
mod tests;
