//! The meter on the page, without a page.

use std::rc::Rc;

use halfrow_core::bench::{Bench, LegId, Lesson, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::meter::{Dial, Socket, Touch};
use halfrow_file::examples;
use halfrow_file::questions::Answer;
use halfrow_instruments::measure;

use super::{Use, notebook};
use crate::model::opening::open_example;
use crate::model::state::{Action, Help, State, Tab, empty};

fn open(slug: &str) -> State {
    let mut state = State::new(empty());
    state.apply(open_example(examples::find(slug).unwrap()));
    state.apply(Action::SetTab(Tab::Meter));
    state
}

fn act(state: &mut State, action: Use) {
    state.apply(Action::Meter(action));
}

/// What the clock would tell: two readings, the second of which has settled.
fn read(state: &mut State) {
    let bench = state.document.solved.bench.clone();
    let found: Vec<_> = (0..bench.meters.len()).map(|which| measure(&bench, which, None)).collect();
    for _ in 0..2 {
        act(state, Use::Read(bench.clone(), Rc::new(found.clone())));
    }
}

fn tips(state: &mut State, red: &str, black: &str) {
    act(state, Use::TipWord(0, true, red.to_owned()));
    act(state, Use::TipWord(0, false, black.to_owned()));
}

fn codes(state: &State) -> Vec<&'static str> {
    state.measuring.said.as_ref().map_or(Vec::new(), |it| it.findings.iter().map(|it| it.code).collect())
}

#[test]
fn a_dial_counts_where_it_comes_to_rest() {
    let mut state = open("measure-lighthouse");
    tips(&mut state, "BT1.+", "BT1.-");
    // From off towards the left the ranges of current come last: keys pass them all.
    for dial in [Dial::Dc200Ua, Dial::Dc2Ma, Dial::Dc200Ma, Dial::Dc10A, Dial::Continuity] {
        act(&mut state, Use::Turn(0, dial));
        assert_eq!((state.bench().meters[0].dial, state.dial(0)), (Dial::Off, dial));
        assert_eq!(state.reading_in_words(0), "turning");
    }
    let last = state.measuring.turning.unwrap().count;
    act(&mut state, Use::Rest(last - 1));
    assert_eq!(state.bench().meters[0].dial, Dial::Off, "the rest of an earlier turn");
    act(&mut state, Use::Rest(last));
    assert_eq!(state.bench().meters[0].dial, Dial::Continuity);
    read(&mut state);
    assert!(state.bench().meters[0].small_fuse_whole);
    // One that is left is at rest; one step back is the whole turn.
    act(&mut state, Use::Turn(0, Dial::Dc2V));
    act(&mut state, Use::Turn(0, Dial::Dc20V));
    act(&mut state, Use::Focus(None));
    assert_eq!(state.bench().meters[0].dial, Dial::Dc20V);
    state.apply(Action::Undo);
    assert_eq!(state.bench().meters[0].dial, Dial::Continuity);
}

#[test]
fn a_step_back_brings_a_blown_fuse_back() {
    let mut state = open("measure-lighthouse");
    tips(&mut state, "BT1.+", "BT1.-");
    act(&mut state, Use::Dial(0, Dial::Dc200Ma));
    read(&mut state);
    assert!(!state.bench().meters[0].small_fuse_whole);
    assert!(codes(&state).contains(&"meter-fuse-blew"), "{:?}", codes(&state));
    state.apply(Action::Undo);
    assert!(state.bench().meters[0].small_fuse_whole);
    assert_eq!(state.bench().meters[0].dial, Dial::Off);
    read(&mut state);
    assert!(state.bench().meters[0].small_fuse_whole, "it is not across the battery any more");
    state.apply(Action::Redo);
    assert!(!state.bench().meters[0].small_fuse_whole);
}

#[test]
fn what_a_fuse_melted_of_is_said_however_the_numbers_go() {
    let mut state = open("measure-lighthouse");
    tips(&mut state, "BT1.+", "BT1.-");
    act(&mut state, Use::Dial(0, Dial::Dc200Ma));
    let bench = state.document.solved.bench.clone();
    let end = measure(&bench, 0, None);
    // As a page tells it: a number while the fuse is whole, the same as it melts, then zeros.
    let whole = halfrow_instruments::Measurement { small_fuse_whole: true, ..end.clone() };
    act(&mut state, Use::Read(bench.clone(), Rc::new(vec![whole])));
    assert!(!codes(&state).contains(&"meter-fuse-blew"));
    act(&mut state, Use::Read(bench, Rc::new(vec![end])));
    assert!(codes(&state).contains(&"meter-fuse-blew"), "{:?}", codes(&state));
    read(&mut state);
    assert!(codes(&state).contains(&"meter-fuse-blew"), "{:?}", codes(&state));
    tips(&mut state, "L+3", "L-3");
    read(&mut state);
    assert_eq!(codes(&state)[0], "meter-fuse-blown");
}

#[test]
fn nothing_is_said_before_the_reading_was_seen_and_no_more_than_the_teacher_wants() {
    let mut state = open("shared-meter");
    act(&mut state, Use::Dial(0, Dial::Dc20V));
    tips(&mut state, "D1.A", "D1.K");
    assert!(codes(&state).is_empty());
    let said = state.speech.said.clone();
    assert!(!said.contains("10 A"), "{said}");
    state.apply(Action::SetHelp(Help::Symptom));
    read(&mut state);
    assert_eq!(codes(&state), ["meter-plug-in-10a"]);
    // Another place: what was said of the last one is gone until this one is read.
    act(&mut state, Use::Plug(0, true, Socket::Vom));
    assert_eq!(state.reading_in_words(0), "measuring");
    read(&mut state);
    assert!(!codes(&state).contains(&"meter-plug-in-10a"));
}

#[test]
fn a_prediction_is_asked_for_and_judged() {
    let mut state = open("measure-lighthouse");
    state.apply(Action::SetLesson(Lesson { predict_first: true, ..Lesson::default() }));
    act(&mut state, Use::Dial(0, Dial::Dc20V));
    tips(&mut state, "D1.A", "D1.K");
    read(&mut state);
    assert_eq!((state.reading(0), state.reading_in_words(0).as_str()), (None, "predict first"));
    assert!(codes(&state).is_empty() && !state.speech.said.contains("shows"));
    act(&mut state, Use::Note(0));
    assert!(state.measuring.notebook.notes.is_empty());
    for wrong in ["2.1", "much", "2 A"] {
        act(&mut state, Use::Guess(wrong.to_owned()));
        assert!(state.awaits_guess() && state.measuring.notebook.refused.is_some(), "{wrong}");
        assert_eq!(state.guess_in_field(), wrong, "what is refused stays in the field");
    }
    act(&mut state, Use::Guess("0.7 V".to_owned()));
    let shown: f64 = state.reading(0).unwrap().value.unwrap();
    assert!(state.verdict().is_some_and(|it| !it.0));
    // A finer range is the same question; another place is not.
    act(&mut state, Use::Guess(format!("{:.2} V", 1.04 * shown)));
    act(&mut state, Use::Dial(0, Dial::Dc200V));
    read(&mut state);
    assert!(state.verdict().is_some_and(|it| it.0), "{:?}", state.verdict());
    act(&mut state, Use::Note(0));
    let note = state.measuring.notebook.notes[0].clone();
    assert_eq!((note.what.as_str(), note.right), ("D1", Some(true)));
    assert!(note.how.contains("DC volts, 200 V") && note.how.contains("red V Ω mA at D1.A"), "{note:?}");
    tips(&mut state, "R1.1", "R1.2");
    assert!(state.awaits_guess());
}

#[test]
fn a_tolerance_of_the_class_decides_besides_the_accuracy() {
    for (tolerance_percent, right) in [(1.0, false), (10.0, true)] {
        let mut state = open("measure-lighthouse");
        let lesson = Lesson { predict_first: true, tolerance_percent, ..Lesson::default() };
        state.apply(Action::SetLesson(lesson));
        act(&mut state, Use::Dial(0, Dial::Dc20V));
        tips(&mut state, "BT1.+", "BT1.-");
        read(&mut state);
        act(&mut state, Use::Guess("1 V".to_owned()));
        let shown = state.reading(0).unwrap().value.unwrap();
        act(&mut state, Use::Guess(format!("{:.2} V", 1.06 * shown)));
        assert_eq!(state.verdict().map(|it| it.0), Some(right), "{tolerance_percent}");
    }
}

/// Carries a question's setup out by what a reader does.
fn carry_out(state: &mut State, setup: &halfrow_file::questions::Setup) {
    act(state, Use::Plug(0, true, Socket::Vom));
    act(state, Use::Kind(0, halfrow_core::meter::Kind::from_word(setup.kind).unwrap()));
    act(state, Use::Fuse(0, true));
    let lifted =
        setup.lift.map(|word| Touch::parse(state.bench(), word).unwrap().leg(state.bench()).unwrap());
    match lifted {
        Some(leg) if state.bench().part(leg.part).legs[leg.pin].hole.is_some() => {
            state.apply(Action::PutLeg(leg, None));
        }
        _ => {}
    }
    tips(state, setup.red, setup.black);
    act(state, Use::Dial(0, Dial::from_word(setup.dial).unwrap()));
    read(state);
}

#[test]
fn every_question_of_the_examples_is_answered_by_doing_what_it_says() {
    for example in &examples::MEASURING {
        let count = open(example.slug).questions().len();
        assert!(count >= 2, "{}", example.slug);
        for index in 0..count {
            let mut state = open(example.slug);
            let (question, answered, _) = state.questions()[index];
            assert!(!answered);
            match question.answer {
                Answer::Reading(setup) => {
                    carry_out(&mut state, &setup);
                    act(&mut state, Use::Note(0));
                }
                Answer::Choice { options, right } => {
                    for option in (0..options.len()).filter(|&it| it != right) {
                        act(&mut state, Use::Choose(index, option));
                        assert!(!state.questions()[index].1);
                    }
                    act(&mut state, Use::Choose(index, right));
                }
            }
            let says = &state.speech.said;
            assert!(state.questions()[index].1, "{} {}: {says}", example.slug, index + 1);
            let bad = codes(&state).into_iter().filter(|it| {
                !["meter-coarse", "meter-loading", "meter-burden", "meter-in-circuit"].contains(it)
            });
            assert_eq!(bad.collect::<Vec<_>>(), [""; 0], "{} {}", example.slug, index + 1);
        }
    }
}

#[test]
fn a_reading_from_elsewhere_answers_no_question() {
    let mut state = open("measure-lighthouse");
    act(&mut state, Use::Dial(0, Dial::Dc20V));
    tips(&mut state, "W3.1", "W3.2");
    read(&mut state);
    act(&mut state, Use::Note(0));
    assert_eq!(state.measuring.notebook.notes.len(), 1);
    assert!(state.questions().iter().all(|it| !it.1));
}

#[test]
fn every_expected_reading_fits_its_range() {
    for example in &examples::MEASURING {
        let bench = halfrow_file::read(example.text()).unwrap();
        for question in example.questions() {
            if let Answer::Reading(setup) = question.answer {
                let (_, reading) = notebook::expected(&bench, &setup).unwrap();
                assert!(reading.value.is_some_and(|it| it.abs() > 0.0), "{}: {reading:?}", example.slug);
            }
        }
    }
}

#[test]
fn in_series_is_one_step_and_so_is_the_way_back() {
    let mut state = open("quay-current");
    let before = state.bench().clone();
    let part = before.find("R1").unwrap();
    act(&mut state, Use::Series(LegId { part, pin: 0 }));
    read(&mut state);
    act(&mut state, Use::Note(0));
    let note = &state.measuring.notebook.notes[0];
    assert_eq!(note.what, "in series with R1");
    assert!(note.how.contains("R1.1 lifted"), "{note:?}");
    state.apply(Action::Undo);
    assert_eq!(state.bench(), &before);
}

#[test]
fn hold_keeps_the_number_while_the_tips_move() {
    let mut state = open("measure-lighthouse");
    act(&mut state, Use::Dial(0, Dial::Dc20V));
    tips(&mut state, "BT1.+", "BT1.-");
    read(&mut state);
    let held = state.reading_in_words(0);
    act(&mut state, Use::Freeze(0));
    tips(&mut state, "W3.1", "W3.2");
    read(&mut state);
    assert_eq!(state.reading_in_words(0), held);
    act(&mut state, Use::Freeze(0));
    assert_ne!(state.reading_in_words(0), held);
}

#[test]
fn two_meters_measure_volts_and_amperes_at_once() {
    let mut state = open("quay-current");
    let part = state.bench().find("R1").unwrap();
    act(&mut state, Use::Series(LegId { part, pin: 0 }));
    act(&mut state, Use::Second);
    act(&mut state, Use::TipWord(1, true, "R1.1".to_owned()));
    act(&mut state, Use::TipWord(1, false, "R1.2".to_owned()));
    act(&mut state, Use::Dial(1, Dial::Dc20V));
    read(&mut state);
    let value = |which| state.reading(which).unwrap().value.unwrap();
    // Ohm's law at R1, within both accuracies.
    assert!((value(1) / value(0) / 150.0 - 1.0).abs() < 0.02, "{} V, {} A", value(1), value(0));
    act(&mut state, Use::Note(1));
    assert_eq!(state.measuring.notebook.notes[0].what, "R1");
    act(&mut state, Use::Second);
    assert_eq!(state.bench().meters.len(), 2, "no third one");
}

#[test]
fn a_low_battery_is_told_and_a_new_one_reads_right() {
    let mut state = open("measure-lighthouse");
    let mut bench = state.bench().clone();
    bench.meters[0].battery_volts = 5.0;
    state.apply(Action::Open(Box::new(bench), String::new()));
    state.apply(Action::SetTab(Tab::Meter));
    act(&mut state, Use::Dial(0, Dial::Dc20V));
    tips(&mut state, "BT1.+", "BT1.-");
    read(&mut state);
    let high = state.reading(0).unwrap().value.unwrap();
    assert!(codes(&state).contains(&"meter-battery"));
    act(&mut state, Use::Battery(0));
    read(&mut state);
    assert!(
        state.reading(0).unwrap().value.unwrap() < 0.95 * high && !codes(&state).contains(&"meter-battery")
    );
}

#[test]
fn a_table_of_the_notebook_is_safe_to_open_and_tells_true_values_only_on_request() {
    let mut state = open("two-megohm-divider");
    act(&mut state, Use::Dial(0, Dial::Dc20V));
    tips(&mut state, "b5", "L-5");
    read(&mut state);
    act(&mut state, Use::Note(0));
    let notes = &state.measuring.notebook.notes;
    let (without, with) = (notebook::notes_csv(notes, false), notebook::notes_csv(notes, true));
    assert_eq!((without.lines().count(), with.lines().count()), (2, 2));
    assert!(
        !without.contains(&notes[0].truth) && with.contains(&notes[0].truth) && !notes[0].truth.is_empty()
    );
    let note = notebook::Note { what: "=1+1".to_owned(), ..notes[0].clone() };
    assert!(notebook::notes_csv(&[note], false).contains("\"'=1+1\""));
}

#[test]
fn a_sealed_bench_writes_no_true_values() {
    let mut state = open("two-megohm-divider");
    state.apply(Action::SetLesson(Lesson { only_meter: true, ..Lesson::default() }));
    act(&mut state, Use::Dial(0, Dial::Dc20V));
    tips(&mut state, "b5", "L-5");
    read(&mut state);
    act(&mut state, Use::Note(0));
    assert_eq!(state.measuring.notebook.notes[0].truth, "");
}

#[test]
fn tips_follow_their_leg_and_their_part_goes_with_them() {
    let mut state = open("measure-lighthouse");
    tips(&mut state, "R1.1", "d16");
    let part = state.bench().find("R1").unwrap();
    state.apply(Action::PutLeg(LegId { part, pin: 0 }, Hole::parse("d20")));
    assert_eq!(state.bench().meters[0].red.tip.word(state.bench()), "R1.1");
    state.apply(Action::ChooseThese([part.0].into_iter().collect()));
    state.apply(Action::Delete);
    assert_eq!(state.bench().meters[0].red.tip.word(state.bench()), "air");
    let _: &Bench = state.bench();
    assert!(state.bench().parts.get(PartIx(0).0).is_some());
}
