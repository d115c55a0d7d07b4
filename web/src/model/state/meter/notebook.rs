//! What is predicted and written down, and which questions of an example that answers.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use halfrow_core::bench::Bench;
use halfrow_core::meter::{Dial, Kind, Lead, Meter, Touch};
use halfrow_core::number;
use halfrow_core::unit::Unit;
use halfrow_file::questions::{Answer, Question, Setup};
use halfrow_instruments::range::{self, Quantity};
use halfrow_instruments::wiring::put_back;
use halfrow_instruments::{Range, Reading, Scene, measure};

use crate::model::state::State;

/// A line of the notebook.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// What was measured: `D1`, or between what the tips were.
    pub what: String,
    /// Dial, sockets, tips, and what was lifted.
    pub how: String,
    /// What was predicted; empty for nothing.
    pub predicted: String,
    /// Whether that was right.
    pub right: Option<bool>,
    /// What was shown, with its unit.
    pub shown: String,
    /// The true value without a meter, if there is one and it may be told.
    pub truth: String,
}

/// The notebook, and what belongs to it.
#[derive(Clone, Debug, Default)]
pub struct Notebook {
    /// Its lines.
    pub notes: Vec<Note>,
    /// Whether the true values stand beside them.
    pub truths: bool,
    /// Whether a prediction is asked for, whatever the bench's lesson says.
    pub predicts: bool,
    /// What is predicted, in SI units, and for which measurement.
    guess: Option<(f64, String, Rc<Bench>)>,
    /// What was written as a prediction and isn't one, and why.
    pub refused: Option<(String, String)>,
    /// The questions that were answered by what was written down, by example and place.
    answered: BTreeSet<(&'static str, usize)>,
    /// What was chosen as answers.
    chosen: BTreeMap<(&'static str, usize), usize>,
}

/// The unit that a quantity is read in.
fn unit(quantity: Quantity) -> Unit {
    match quantity {
        Quantity::Amps => Unit::Amp,
        Quantity::Ohms | Quantity::Continuity => Unit::Ohm,
        Quantity::Volts | Quantity::AcVolts | Quantity::Diode => Unit::Volt,
    }
}

/// A value of a quantity with prefix and unit.
pub fn amount(quantity: Quantity, value: f64) -> String {
    use halfrow_core::amount;
    match quantity {
        Quantity::Amps => amount::amps(value),
        Quantity::Ohms | Quantity::Continuity => amount::value(value, Unit::Ohm),
        _ => amount::volts(value),
    }
}

/// What the dial of the first meter measures.
fn quantity(bench: &Bench) -> Option<Quantity> {
    Range::of(bench.meters.first()?.dial).map(|range| range.quantity)
}

/// Whether a prediction for one bench is one for another: only the range may be another.
fn same_question(a: &Bench, b: &Bench) -> bool {
    let leads = |bench: &Bench| bench.meters.first().map(|it| (it.red.clone(), it.black.clone()));
    quantity(a) == quantity(b) && leads(a) == leads(b) && a.parts == b.parts
}

impl State {
    /// Whether a prediction is asked for before the display shows.
    pub fn predicts(&self) -> bool {
        self.bench().lesson.predict_first || self.measuring.notebook.predicts
    }

    /// Whether the display waits for a prediction: the dial measures something, and both tips touch.
    pub fn awaits_guess(&self) -> bool {
        let touches = |meter: &Meter| meter.red.tip != Touch::Air && meter.black.tip != Touch::Air;
        self.predicts()
            && quantity(self.bench()).is_some()
            && self.bench().meters.first().is_some_and(touches)
            && self.guessed().is_none()
    }

    /// What is predicted for what is measured now: the value and the words.
    pub fn guessed(&self) -> Option<(f64, &str)> {
        let (value, words, of) = self.measuring.notebook.guess.as_ref()?;
        same_question(of, self.bench()).then_some((*value, words.as_str()))
    }

    /// What of a prediction is in its field.
    pub fn guess_in_field(&self) -> String {
        let refused = self.measuring.notebook.refused.as_ref().map(|it| it.0.clone());
        refused.or_else(|| Some(self.guessed()?.1.to_owned())).unwrap_or_default()
    }

    /// Takes a prediction: a number with its unit.
    pub(super) fn guess(&mut self, text: &str) {
        let text = text.trim();
        let Some(quantity) = quantity(self.bench()) else { return };
        let has_unit = text.ends_with(|c: char| c.is_alphabetic());
        let value = number::read(text, unit(quantity)).filter(|value| has_unit && value.is_finite());
        let bench = self.document.solved.bench.clone();
        let notebook = &mut self.measuring.notebook;
        match value {
            Some(value) => {
                notebook.guess = Some((value, text.to_owned(), bench));
                notebook.refused = None;
                self.say("Predicted.");
            }
            None => {
                let example = match quantity {
                    Quantity::Amps => "15 mA",
                    Quantity::Ohms | Quantity::Continuity => "2.2 kΩ",
                    _ => "2.1 V",
                };
                let why = format!("Give a number with its unit, such as {example}.");
                notebook.guess = None;
                notebook.refused = (!text.is_empty()).then(|| (text.to_owned(), why.clone()));
                self.say(why);
            }
        }
        self.work_out_said();
    }

    /// Whether what was predicted is right within the meter's accuracy and the class's tolerance, and so
    /// in words; nothing where nothing was predicted, or no number is shown.
    pub fn verdict(&self) -> Option<(bool, String)> {
        let (guess, words) = self.guessed()?;
        let reading = self.reading(0)?;
        let quantity = quantity(self.bench())?;
        let tolerance = self.bench().lesson.tolerance_percent;
        let right = is_right(guess, reading, tolerance)?;
        let value = reading.value?;
        let off = amount(quantity, (guess - value).abs());
        let says = if right {
            format!("You predicted {words}: right, within {tolerance} % and the meter’s accuracy.")
        } else {
            format!("You predicted {words}: off by {off}. What did you take for granted that isn’t so?")
        };
        Some((right, says))
    }

    /// The questions of the example that is open: each with whether it is answered, and what was chosen.
    pub fn questions(&self) -> Vec<(&'static Question, bool, Option<usize>)> {
        let Some(example) = self.document.example() else { return Vec::new() };
        let notebook = &self.measuring.notebook;
        let state = |(index, question): (usize, &'static Question)| {
            let chosen = notebook.chosen.get(&(example.slug, index)).copied();
            let answered = match question.answer {
                Answer::Reading(_) => notebook.answered.contains(&(example.slug, index)),
                Answer::Choice { right, .. } => chosen == Some(right),
            };
            (question, answered, chosen)
        };
        example.questions().iter().enumerate().map(state).collect()
    }

    pub(super) fn choose_answer(&mut self, question: usize, option: usize) {
        let Some(example) = self.document.example() else { return };
        let Some(it) = example.questions().get(question) else { return };
        self.measuring.notebook.chosen.insert((example.slug, question), option);
        let right = matches!(it.answer, Answer::Choice { right, .. } if right == option);
        self.say(if right {
            format!("Right. {}", it.told)
        } else {
            "Not quite. Try another answer.".to_owned()
        });
    }

    /// Writes the reading of a meter down.
    pub(super) fn note(&mut self, which: usize) {
        let Some(meter) = self.bench().meters.get(which).cloned() else { return };
        let (Some(reading), Some(found)) = (self.reading(which).cloned(), self.measured(which).cloned())
        else {
            let why = if self.awaits_guess() {
                "Predict first, then write it down."
            } else {
                "Nothing to write down yet."
            };
            self.say(why);
            return;
        };
        let bench = self.document.solved.bench.clone();
        let scene = Scene::of(&bench, which, &found);
        let quantity = scene.quantity();
        let guess = self.guessed().filter(|_| which == 0);
        let truth = scene.without_meter.zip(quantity).filter(|_| bench.may_tell_figures());
        let note = Note {
            what: what(&scene),
            how: how(&bench, &meter),
            predicted: guess.map_or(String::new(), |it| it.1.to_owned()),
            right: guess.and_then(|it| is_right(it.0, &reading, bench.lesson.tolerance_percent)),
            shown: self.reading_in_words(which),
            truth: truth.map_or(String::new(), |(value, quantity)| amount(quantity, value)),
        };
        self.measuring.notebook.notes.push(note);
        let answered = quantity.map_or(Vec::new(), |quantity| self.answers(quantity, &reading));
        let more = answered.iter().map(|(number, told)| format!(" That answers question {number}. {told}"));
        let says = format!("Written down.{}", more.collect::<String>());
        self.say(says);
    }

    /// Which open questions a reading answers, and what is told then; they are open no more.
    fn answers(&mut self, quantity: Quantity, reading: &Reading) -> Vec<(usize, &'static str)> {
        let Some(example) = self.document.example() else { return Vec::new() };
        let mut answered = Vec::new();
        for (index, (question, done, _)) in self.questions().into_iter().enumerate() {
            let Answer::Reading(setup) = question.answer else { continue };
            let wanted = || expected(&halfrow_file::read(example.text()).ok()?, &setup);
            if !done && wanted().is_some_and(|wanted| agrees(quantity, reading, &wanted)) {
                self.measuring.notebook.answered.insert((example.slug, index));
                answered.push((index + 1, question.told));
            }
        }
        answered
    }
}

/// Whether a prediction is right; nothing where no number is shown.
fn is_right(guess: f64, reading: &Reading, tolerance_percent: f64) -> Option<bool> {
    let (value, accuracy) = (reading.value?, reading.accuracy?);
    Some((guess - value).abs() <= accuracy + 0.01 * tolerance_percent * value.abs())
}

/// A bench with a whole meter as a question's setup has it; `None` where that names what isn't there.
fn set_up(bench: &Bench, setup: &Setup) -> Option<Bench> {
    // The meter of the file may stand in the place of a leg: that goes back.
    let mut bench = put_back(bench).unwrap_or_else(|| bench.clone());
    let (dial, kind) = (Dial::from_word(setup.dial)?, Kind::from_word(setup.kind)?);
    let mut meter = Meter { kind, dial, ..Meter::default() };
    meter.red.tip = Touch::parse(&bench, setup.red)?;
    meter.black.tip = Touch::parse(&bench, setup.black)?;
    if let Some(word) = setup.lift {
        let leg = Touch::parse(&bench, word)?.leg(&bench)?;
        bench.put_leg(leg, None).ok()?;
    }
    bench.meters = vec![meter];
    Some(bench)
}

/// What the meter shows where a question's setup is carried out on its example.
pub(super) fn expected(bench: &Bench, setup: &Setup) -> Option<(Quantity, Reading)> {
    let bench = set_up(bench, setup)?;
    let quantity = Range::of(bench.meters[0].dial)?.quantity;
    Some((quantity, measure(&bench, 0, None).last().clone()))
}

/// Whether a reading is the one that was asked for, as well as both are known; swapped tips do no harm.
fn agrees(quantity: Quantity, reading: &Reading, (wanted, expected): &(Quantity, Reading)) -> bool {
    let same = |a: Quantity, b: Quantity| a == b || (unit(a) == Unit::Ohm && unit(b) == Unit::Ohm);
    let both = reading.value.zip(expected.value);
    let off = reading.accuracy.zip(expected.accuracy).map_or(0.0, |(a, b)| a + b);
    same(quantity, *wanted) && both.is_some_and(|(a, b)| (a.abs() - b.abs()).abs() <= off)
}

/// What is measured: a part, or between what the tips are.
fn what(scene: &Scene<'_>) -> String {
    let bench = scene.bench;
    if let Some((_, leg)) = scene.lifted() {
        let part = bench.part(leg.part);
        let other = scene
            .tips()
            .into_iter()
            .any(|tip| tip.leg(bench).is_some_and(|it| it.part == leg.part && it != leg));
        return if other { part.id.clone() } else { format!("in series with {}", part.id) };
    }
    let names: Vec<&str> = scene.across.iter().map(|&part| bench.part(part).id.as_str()).collect();
    if names.is_empty() {
        let [red, black] = scene.tips().map(|tip| tip.word(bench));
        format!("{red} to {black}")
    } else {
        names.join(", ")
    }
}

/// Dial, sockets, tips, and what is lifted.
fn how(bench: &Bench, meter: &Meter) -> String {
    let lead = |name: &str, lead: &Lead| format!("{name} {} at {}", lead.socket.name(), lead.tip.word(bench));
    let lifted = [&meter.red.tip, &meter.black.tip].into_iter().find_map(|tip| {
        let leg = tip.leg(bench)?;
        bench.part(leg.part).legs[leg.pin].hole.is_none().then(|| format!("; {} lifted", tip.word(bench)))
    });
    format!(
        "{}; {}; {}{}",
        range::name(meter.dial),
        lead("red", &meter.red),
        lead("black", &meter.black),
        lifted.unwrap_or_default()
    )
}

/// The notebook as rows for a spreadsheet, with the true values where they are shown. A cell that a
/// spreadsheet would take for a formula gets an apostrophe before it.
pub fn notes_csv(notes: &[Note], truths: bool) -> String {
    let cell = |text: &str| {
        let guard = if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { "'" } else { "" };
        format!("\"{guard}{}\"", text.replace('"', "\"\""))
    };
    let row = |cells: [&str; 6]| {
        let cells = if truths { &cells[..] } else { &cells[..5] };
        cells.iter().map(|it| cell(it)).collect::<Vec<_>>().join(",") + "\n"
    };
    let mut text = row(["what", "how", "predicted", "as predicted", "shown", "without the meter"]);
    for it in notes {
        let right = it.right.map_or("", |right| if right { "yes" } else { "no" });
        text += &row([&it.what, &it.how, &it.predicted, right, &it.shown, &it.truth]);
    }
    text
}
