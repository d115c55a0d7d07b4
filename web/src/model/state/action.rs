//! What can be in hand, open and switched on, and what a person can do.

use std::rc::Rc;

use halfrow_core::bench::{Bench, LegId, Lesson, PartIx};
use halfrow_core::board::{Board, Hole};
use halfrow_core::card::{Card, Value};
use halfrow_core::part::{Depth, Turn};
use halfrow_core::probe::Probe;

use super::fields::Field;
use super::judging::Verdict;
use super::meter::Use;
use crate::model::chart::Chart;
use crate::model::chosen::Chosen;
use crate::model::clock::Tick;
use crate::model::lamps::Lamps;

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
        /// The colour that a wire shall have; without, the rail that it ends in says which.
        colour: Option<Value>,
    },
    /// A leg that was pulled out and looks for its hole.
    Leg(LegId),
    /// The red tip (or the black one) of a meter, which looks for something to touch.
    Tip(usize, bool),
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
    /// The multimeter.
    Meter,
    /// Volts, amperes and watts of each part.
    Readings,
    /// The bench beside its plan.
    Plan,
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
    /// The bench file as text to copy.
    Text,
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
    /// Works a switch; a button stays pressed or let go.
    Work(PartIx),
    /// Presses a button for as long as it is held.
    Push(PartIx),
    /// Lets go of the button that is held.
    LetGo,
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
    /// Has back the bench that was kept, with the steps back from it as text, and says so: no change,
    /// unless something has been done before it came.
    Restore(Box<Bench>, String, String),
    /// Another first board.
    SetBoards(Vec<Board>),
    /// The number of the bag that the parts come from, or parts exactly as printed.
    SetAsBought(Option<u32>),
    /// Whether batteries run down as time passes.
    SetRunDown(bool),
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
    /// The bench that waited for it has been judged.
    Judged(Rc<Verdict>),
    /// What the lamps do, as far as it has settled.
    Lamps(Lamps),
    /// Lets the clock run or pauses it.
    SetRunning(bool),
    /// How fast the clock shall run.
    SetSpeed(f64),
    /// Whether what sounds on the bench is heard.
    SetSound(bool),
    /// One step of the paused clock.
    StepClock,
    /// Puts a new part in the place of a burnt one.
    Replace(PartIx),
    /// What is written into a field of a part.
    Write(PartIx, Field, String),
    /// Gives the focus to the element of this id, or to the board.
    Focus(String),
    /// What is written into a cell of the wiring list: row, column, text.
    SetCell(usize, usize, String),
    /// What is written as the text of the wiring list; `None` forgets it.
    SetDraft(Option<String>),
    /// Builds the text of the wiring list.
    BuildDraft,
    /// How the chart is set.
    SetChart(Box<Chart>),
    /// Shows something on the chart and opens it.
    Watch(Probe),
    /// The plan that the bench is compared with.
    SetPlan(Option<Box<Bench>>),
    /// Compares the bench with the plan, if that is not done yet.
    Compare,
    /// Points at a move.
    ShowMove(usize),
    /// Does the first of the moves.
    DoMove,
    /// Something is done with a meter.
    Meter(Use),
    /// What a teacher sets for whoever gets the bench.
    SetLesson(Lesson),
}
