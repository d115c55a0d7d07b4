//! The meter on the page: how it is taken, turned, plugged and placed, what it shows, the notebook.

use std::rc::Rc;

use halfrow_core::bench::{Bench, LegId, MAX_METERS, PartIx};
use halfrow_core::meter::{Dial, Kind, Lead, Meter, Socket, Touch};
use halfrow_instruments::measure::Measurement;
use halfrow_instruments::range::{self, Quantity};
use halfrow_instruments::{Finding, Meaning, Range, Reading, Scene, findings, meaning};

use super::{Hand, State, Tab};

mod notebook;
#[cfg(test)]
mod tests;

pub use notebook::{Note, Notebook, amount, notes_csv};

/// What is done with a meter, by its place on the bench.
#[derive(Clone, Debug)]
pub enum Use {
    /// Takes a meter from the list, or speaks what the one that is there shows.
    Take,
    /// Takes one more.
    Second,
    /// Puts the last one away.
    Away,
    /// Turns the dial, and lets it rest there.
    Dial(usize, Dial),
    /// Turns the dial, which may go on turning: it counts where it comes to rest.
    Turn(usize, Dial),
    /// Whoever keeps the time says that this turning has come to rest.
    Rest(u32),
    /// The dial of a meter has the focus, or none has.
    Focus(Option<usize>),
    /// Moves the red plug (or the black one) to a socket.
    Plug(usize, bool, Socket),
    /// Puts the red tip (or the black one) on something.
    Tip(usize, bool, Touch),
    /// The same with what it touches as a word.
    TipWord(usize, bool, String),
    /// Takes the red tip (or the black one) in hand.
    Hold(usize, bool),
    /// Another kind of meter.
    Kind(usize, Kind),
    /// A new small fuse (or large one).
    Fuse(usize, bool),
    /// A new battery.
    Battery(usize),
    /// Holds the number, or lets it go.
    Freeze(usize),
    /// Both tips on the legs of a part.
    Across(PartIx),
    /// Takes the place of a leg, and turns to amperes.
    Series(LegId),
    /// Both tips on the legs of a part, one leg lifted, and turns to ohms.
    Alone(PartIx),
    /// The clock tells what the meters of a bench have measured.
    Read(Rc<Bench>, Rc<Vec<Measurement>>),
    /// Speaks the reading.
    Speak(usize),
    /// Writes the reading down.
    Note(usize),
    /// Forgets what was written down.
    ForgetNotes,
    /// Whether a prediction is asked for before the display shows.
    Predict(bool),
    /// What is predicted.
    Guess(String),
    /// Whether the notebook shows the true values.
    Truths(bool),
    /// What is chosen as the answer to a question of the example.
    Choose(usize, usize),
}

/// What is said of one measurement.
#[derive(Clone, Debug)]
pub struct Said {
    /// What goes wrong, worst first.
    pub findings: Vec<Finding>,
    /// What the number means.
    pub meaning: Meaning,
    /// What there would be without the meter, in SI units.
    pub without_meter: Option<f64>,
}

/// What the page knows of its meters besides the bench.
#[derive(Clone, Debug, Default)]
pub struct Measuring {
    /// What each meter has measured last, and on which bench.
    pub found: Option<(Rc<Bench>, Rc<Vec<Measurement>>)>,
    /// The readings that are held, by meter.
    pub held: [Option<Reading>; MAX_METERS],
    /// What is said of the first meter's measurement.
    pub said: Option<Rc<Said>>,
    /// The bench that this was worked out for, and the number with which fuses were whole; without it holds
    /// for any, since a fuse has just melted.
    said_of: Option<(Rc<Bench>, Option<Shown>)>,
    /// The notebook, with the answers to questions.
    pub notebook: Notebook,
    /// A dial that is being turned by keys or wheel.
    pub turning: Option<Turning>,
    /// How often one was turned so.
    turns: u32,
    /// The meter whose dial has the focus.
    pub focus: Option<usize>,
    /// What was announced last: not twice the same.
    announced: String,
}

/// A dial that has not come to rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turning {
    /// Whose.
    pub which: usize,
    /// Where it points now.
    pub dial: Dial,
    /// Counts the turns, so that an earlier rest isn't taken for this one's.
    pub count: u32,
}

/// What is on a display, and whether the small and the large fuse are whole.
type Shown = (String, bool, bool);

fn shown(found: &Measurement) -> Shown {
    (found.last().shown.clone(), found.small_fuse_whole, found.large_fuse_whole)
}

/// A lead of a meter.
fn lead(meter: &mut Meter, red: bool) -> &mut Lead {
    if red { &mut meter.red } else { &mut meter.black }
}

fn colour(red: bool) -> &'static str {
    if red { "Red" } else { "Black" }
}

/// The id of a meter's dial in the page.
pub fn dial_id(which: usize) -> String {
    format!("dial-of-{which}")
}

impl State {
    /// What a meter shows now; nothing before its first reading of this bench, and nothing while a
    /// prediction is asked for.
    pub fn reading(&self, which: usize) -> Option<&Reading> {
        if let Some(held) = self.measuring.held.get(which).and_then(Option::as_ref) {
            return Some(held);
        }
        let turns = self.measuring.turning.is_some_and(|it| it.which == which);
        self.measured(which).map(Measurement::last).filter(|_| !turns && !self.awaits_guess())
    }

    /// What a meter has measured on the bench that is open.
    pub fn measured(&self, which: usize) -> Option<&Measurement> {
        let (bench, found) = self.measuring.found.as_ref()?;
        // Where only a fuse has melted meanwhile, the reading still holds.
        let same = Rc::ptr_eq(bench, &self.document.solved.bench);
        found.get(which).filter(|_| same)
    }

    /// Where a meter's dial points, at rest or not.
    pub fn dial(&self, which: usize) -> Dial {
        let turning = self.measuring.turning.filter(|it| it.which == which).map(|it| it.dial);
        turning.unwrap_or_else(|| self.bench().meters.get(which).map_or(Dial::Off, |it| it.dial))
    }

    /// The reading in words: `1.93 V`, `1: over range`.
    pub fn reading_in_words(&self, which: usize) -> String {
        let Some(meter) = self.bench().meters.get(which) else { return String::new() };
        match (self.reading(which), Range::of(meter.dial)) {
            _ if self.measuring.turning.is_some_and(|it| it.which == which) => "turning".to_owned(),
            _ if self.awaits_guess() => "predict first".to_owned(),
            (None, _) => "measuring".to_owned(),
            (Some(reading), None) if reading.shown.is_empty() => "off".to_owned(),
            (Some(reading), _) if reading.shown.is_empty() => "dark".to_owned(),
            (Some(reading), _) if reading.over => {
                format!("{}, over range", reading.shown.replace('-', "−"))
            }
            (Some(reading), Some(range)) => format!("{} {}", reading.shown.replace('-', "−"), range.unit),
            (Some(reading), None) => reading.shown.clone(),
        }
    }

    /// Carries out what is done with a meter.
    pub(super) fn use_meter(&mut self, action: Use) {
        match action {
            Use::Take if self.bench().meters.is_empty() => self.take_meter(),
            Use::Take => self.speak_reading(0),
            Use::Second => self.edit("A second meter.", |bench| {
                if bench.meters.len() < MAX_METERS {
                    bench.meters.push(Meter::default());
                }
            }),
            Use::Away => {
                self.selection.hand = Hand::Empty;
                self.edit("The meter is put away.", |bench| drop(bench.meters.pop()));
            }
            Use::Dial(which, dial) => self.set_dial(which, dial),
            Use::Turn(which, dial) => self.turn_dial(which, dial),
            Use::Rest(count) => {
                if let Some(it) = self.measuring.turning.take_if(|it| it.count == count) {
                    self.set_dial(it.which, it.dial);
                }
            }
            Use::Focus(which) => {
                // A dial that is left is at rest.
                if which.is_none()
                    && let Some(it) = self.measuring.turning.take()
                {
                    self.set_dial(it.which, it.dial);
                }
                self.measuring.focus = which;
            }
            Use::Plug(which, red, socket) => self.plug(which, red, socket),
            Use::Tip(which, red, touch) => self.put_tip(which, red, touch),
            Use::TipWord(which, red, word) => match Touch::parse(self.bench(), word.trim()) {
                Some(touch) => self.put_tip(which, red, touch),
                None if word.trim().is_empty() => self.put_tip(which, red, Touch::Air),
                None => self.say(
                    "There’s no such hole or leg. A tip touches a hole such as c16, or a leg such as R1.1.",
                ),
            },
            Use::Hold(which, red) if which < self.bench().meters.len() => self.hold(Hand::Tip(which, red)),
            Use::Hold(..) => self.say("There is no meter on the bench. M takes one."),
            Use::Kind(which, kind) => self.edit_meter(which, "Another meter.", |meter| meter.kind = kind),
            Use::Fuse(which, small) => {
                let says = if small { "A new 500 mA fuse is in." } else { "A new 10 A fuse is in." };
                self.edit_meter(which, says, |meter| {
                    *(if small { &mut meter.small_fuse_whole } else { &mut meter.large_fuse_whole }) = true;
                });
            }
            Use::Battery(which) => {
                self.edit_meter(which, "A new battery is in.", |meter| meter.battery_volts = 9.0);
            }
            Use::Freeze(which) => {
                let now = self.reading(which).cloned();
                if let Some(held) = self.measuring.held.get_mut(which) {
                    *held = if held.is_some() { None } else { now };
                }
            }
            Use::Across(part) => self.measure_across(part),
            Use::Series(leg) => self.measure_in_series(leg),
            Use::Alone(part) => self.measure_alone(part),
            Use::Read(bench, found) => self.read(bench, found),
            Use::Speak(which) => self.speak_reading(which),
            Use::Note(which) => self.note(which),
            Use::ForgetNotes => self.measuring.notebook.notes.clear(),
            Use::Predict(on) => {
                self.measuring.notebook.predicts = on;
                self.work_out_said();
            }
            Use::Guess(text) => self.guess(&text),
            Use::Truths(on) => self.measuring.notebook.truths = on,
            Use::Choose(question, option) => self.choose_answer(question, option),
        }
    }

    fn take_meter(&mut self) {
        self.screen.tab = Tab::Meter;
        self.screen.sheet = None;
        self.edit("", |bench| bench.meters.push(Meter { dial: Dial::Dc20V, ..Meter::default() }));
        self.screen.go_to("");
        self.hold(Hand::Tip(0, true));
    }

    fn edit_meter(&mut self, which: usize, says: &str, edit: impl FnOnce(&mut Meter)) {
        if which < self.bench().meters.len() {
            self.edit(says, |bench| edit(&mut bench.meters[which]));
            self.measuring.announced.clear();
        }
    }

    fn set_dial(&mut self, which: usize, dial: Dial) {
        self.measuring.turning = None;
        if self.bench().meters.get(which).is_some_and(|meter| meter.dial != dial) {
            let says = format!("Dial: {}.", range::name(dial));
            self.edit_meter(which, &says, |meter| meter.dial = dial);
        }
    }

    fn turn_dial(&mut self, which: usize, dial: Dial) {
        if which < self.bench().meters.len() {
            let count = self.measuring.turns.wrapping_add(1);
            self.measuring.turns = count;
            self.measuring.turning = Some(Turning { which, dial, count });
        }
    }

    fn plug(&mut self, which: usize, red: bool, socket: Socket) {
        let says = format!("{} plug: {}.", colour(red), socket.name());
        self.edit_meter(which, &says, |meter| {
            let before = std::mem::replace(&mut lead(meter, red).socket, socket);
            // Only one plug fits: the other lead takes its place.
            if lead(meter, !red).socket == socket {
                lead(meter, !red).socket = before;
            }
        });
    }

    pub(super) fn put_tip(&mut self, which: usize, red: bool, touch: Touch) {
        let word = touch.word(self.bench());
        let says = format!("{} tip: {word}.", colour(red));
        let is_new = self.bench().meters.get(which).is_some_and(|meter| meter.black.tip == Touch::Air);
        self.edit_meter(which, &says, |meter| lead(meter, red).tip = touch);
        self.selection.hand = Hand::Empty;
        // The other tip of a new meter wants its place next.
        if red && is_new {
            self.hold(Hand::Tip(which, false));
        }
    }

    /// A meter with its plugs in their usual sockets, taken where there is none.
    fn ready(bench: &mut Bench, socket: Socket) -> &mut Meter {
        if bench.meters.is_empty() {
            bench.meters.push(Meter::default());
        }
        let meter = &mut bench.meters[0];
        (meter.red.socket, meter.black.socket) = (socket, Socket::Com);
        meter
    }

    fn measure_across(&mut self, part: PartIx) {
        let Some([red, black]) = self.ends(part) else { return };
        self.screen.tab = Tab::Meter;
        let id = self.bench().part(part).id.clone();
        self.edit(&format!("The meter is across {id}."), |bench| {
            let meter = State::ready(bench, Socket::Vom);
            if !matches!(
                Range::of(meter.dial).map(|it| it.quantity),
                Some(Quantity::Volts | Quantity::AcVolts)
            ) {
                meter.dial = Dial::Dc20V;
            }
            (meter.red.tip, meter.black.tip) = (red, black);
        });
    }

    /// The first two legs of a part, as tips touch them.
    fn ends(&mut self, part: PartIx) -> Option<[Touch; 2]> {
        let it = self.bench().part(part);
        if it.legs.len() < 2 {
            return None;
        }
        Some([0, 1].map(|pin| Touch::Leg { part: it.id.clone(), pin }))
    }

    fn measure_in_series(&mut self, leg: LegId) {
        let it = self.bench().part(leg.part);
        let (id, rigid) = (it.id.clone(), it.is_rigid());
        let Some(hole) = it.legs[leg.pin].hole.filter(|_| !rigid) else {
            self.say("Its legs don’t lift one by one. Lift a leg or a wire beside it instead.");
            return;
        };
        let says = format!("{} is lifted; the meter is in its place.", it.leg_in_words(leg.pin));
        self.screen.tab = Tab::Meter;
        self.edit(&says, |bench| {
            bench.parts[leg.part.0].legs[leg.pin].hole = None;
            let meter = State::ready(bench, Socket::Vom);
            if Range::of(meter.dial).map(|it| it.quantity) != Some(Quantity::Amps) {
                meter.dial = Dial::Dc200Ma;
            }
            if meter.dial == Dial::Dc10A {
                meter.red.socket = Socket::TenAmps;
            }
            meter.red.tip = Touch::Hole(hole);
            meter.black.tip = Touch::Leg { part: id, pin: leg.pin };
        });
    }

    fn measure_alone(&mut self, part: PartIx) {
        let Some([red, black]) = self.ends(part) else { return };
        let it = self.bench().part(part);
        let rigid = it.is_rigid();
        let says = if rigid {
            format!("The meter is across {}.", it.id)
        } else {
            format!("{} is lifted, and the meter is across {}.", it.leg_in_words(1), it.id)
        };
        self.screen.tab = Tab::Meter;
        self.edit(&says, |bench| {
            if !rigid {
                bench.parts[part.0].legs[1].hole = None;
            }
            let meter = State::ready(bench, Socket::Vom);
            if Range::of(meter.dial).map(|it| it.quantity) != Some(Quantity::Ohms) {
                meter.dial = Dial::Ohm2M;
            }
            (meter.red.tip, meter.black.tip) = (red, black);
        });
    }

    /// Takes what the meters have measured. A fuse that has melted stays melted, and nobody is told: it
    /// has to be found out.
    fn read(&mut self, bench: Rc<Bench>, found: Rc<Vec<Measurement>>) {
        if !Rc::ptr_eq(&bench, &self.document.solved.bench) {
            return;
        }
        let settled = self.measured(0).map(|it| it.last().shown.clone());
        self.measuring.found = Some((bench.clone(), found.clone()));
        self.work_out_said();
        let words = self.reading_in_words(0);
        if settled == found.first().map(|it| it.last().shown.clone())
            && self.measuring.announced != words
            && !self.awaits_guess()
            && Range::of(self.bench().meters[0].dial).is_some()
        {
            self.say(format!("The meter shows {words}."));
            self.measuring.announced = words;
        }
        let melted = |(meter, found): (&Meter, &Measurement)| {
            (meter.small_fuse_whole && !found.small_fuse_whole)
                || (meter.large_fuse_whole && !found.large_fuse_whole)
        };
        if bench.meters.iter().zip(&*found).any(melted) {
            self.melt(&found);
        }
    }

    /// The bench remembers what has melted; what was said of it stays till something is changed. Nobody
    /// has done that: a step back leads to before what made it melt.
    fn melt(&mut self, found: &Rc<Vec<Measurement>>) {
        let said = self.measuring.said.clone();
        let mut bench = self.bench().clone();
        for (meter, found) in bench.meters.iter_mut().zip(&**found) {
            meter.small_fuse_whole = found.small_fuse_whole;
            meter.large_fuse_whole = found.large_fuse_whole;
        }
        self.amend(bench);
        let bench = self.document.solved.bench.clone();
        self.measuring.said_of = Some((bench.clone(), None));
        self.measuring.found = Some((bench, found.clone()));
        self.measuring.said = said;
    }

    /// Works out what is to be said of the first meter, where its tab is open and its number is new.
    pub(super) fn work_out_said(&mut self) {
        let Some(measured) = self.measured(0).cloned() else {
            self.measuring.said = None;
            return;
        };
        if self.screen.tab != Tab::Meter || self.awaits_guess() {
            return;
        }
        let bench = self.document.solved.bench.clone();
        let now = shown(&measured);
        let of = self.measuring.said_of.as_ref().filter(|it| Rc::ptr_eq(&it.0, &bench));
        if of.is_some_and(|it| it.1.as_ref().is_none_or(|it| *it == now)) {
            return;
        }
        let scene = Scene::of(&bench, 0, &measured);
        let (findings, meaning) = (findings(&scene), meaning(&scene));
        self.measuring.said = Some(Rc::new(Said { findings, meaning, without_meter: scene.without_meter }));
        self.measuring.said_of = Some((bench, Some(now)));
    }

    fn speak_reading(&mut self, which: usize) {
        let Some(meter) = self.bench().meters.get(which) else { return };
        let words = format!("{}: {}.", range::name(meter.dial), self.reading_in_words(which));
        self.say(words);
    }
}
