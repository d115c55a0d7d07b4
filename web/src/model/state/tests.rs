//! Actions as plain functions.

use std::rc::Rc;

use halfrow_core::bench::LegId;
use halfrow_core::board::Hole;
use halfrow_core::card::{Range, Value};
use halfrow_core::parts;
use halfrow_core::time::{Care, Run};
use halfrow_file::examples;

use super::*;
use crate::model::chosen::Chosen;
use crate::model::clock::{Harm, Tick};
use crate::model::words;

mod fields;
mod silence;

fn hole(name: &str) -> Hole {
    Hole::parse(name).unwrap()
}

fn put(state: &mut State, kind: &str, holes: &[&str]) {
    state.apply(Action::Take(parts::card(kind).unwrap()));
    for name in holes {
        state.apply(Action::Press(hole(name)));
    }
    assert_eq!(state.selection.hand, Hand::Empty, "{}", state.speech.said);
}

fn tick(state: &mut State, run: &Run) {
    let (point, blinking) = run.point_for_the_eye(run.time(), 3.0);
    state.apply(Action::Tick(Rc::new(Tick {
        bench: state.document.solved.bench.clone(),
        point: Rc::new(point),
        blinking,
        time: run.time(),
        timed: true,
        short_of: None,
        harm: Harm::of(run),
    })));
}

fn pier_light() -> State {
    let mut state = State::new(empty());
    put(&mut state, "battery", &["L+1", "L-1"]);
    put(&mut state, "resistor", &["L+5", "b7"]);
    put(&mut state, "led", &["e7", "f7"]);
    put(&mut state, "wire", &["h7", "L-5"]);
    state
}

#[test]
fn a_light_is_built_by_pressing_holes_and_lights() {
    let state = pier_light();
    assert!(state.speech.said.contains("D1 lit"), "{}", state.speech.said);
    let faults =
        state.document.solved.findings.iter().filter(|f| f.severity == halfrow_judge::Severity::Fault);
    assert_eq!(faults.count(), 0, "{:?}", state.document.solved.findings);
}

#[test]
fn a_leg_one_row_off_goes_dark_is_named_and_comes_back_by_undo() {
    let mut state = pier_light();
    state.apply(Action::Press(hole("h7")));
    assert!(matches!(state.selection.hand, Hand::Leg(_)));
    state.apply(Action::Press(hole("h8")));
    assert!(state.speech.said.contains("D1 dark"), "{}", state.speech.said);
    let finding = &state.document.solved.findings[0];
    assert!(finding.says.contains("h8"), "{}", finding.says);
    state.apply(Action::Undo);
    let lit = state.document.solved.point.parts[2].pins[0].amps;
    assert!(lit > 0.01, "{lit}");
}

#[test]
fn what_cannot_be_done_is_said_and_nothing_changes() {
    let mut state = pier_light();
    let before = state.bench().clone();
    state.apply(Action::Take(parts::card("resistor").unwrap()));
    state.apply(Action::Press(hole("e7")));
    assert!(state.speech.said.contains("taken"), "{}", state.speech.said);
    assert_eq!(*state.bench(), before);
    state.apply(Action::Escape);
    assert_eq!(state.selection.hand, Hand::Empty);
}

#[test]
fn one_gesture_of_a_slider_is_one_step_back() {
    let mut state = pier_light();
    for charge in [0.6, 0.5, 0.4] {
        state.apply(Action::SetValue(PartIx(0), 2, Value::Number(charge), true));
    }
    state.apply(Action::Undo);
    assert_eq!(state.bench().parts[0].number(2), 0.7);
}

#[test]
fn copies_find_room_and_parts_move_by_rows() {
    let mut state = pier_light();
    state.apply(Action::ChooseThese([1, 2, 3].into_iter().collect()));
    state.apply(Action::Duplicate);
    assert_eq!(state.bench().parts.len(), 7, "{}", state.speech.said);
    assert!(state.bench().check().is_ok());
    state.apply(Action::ChooseThese(Chosen::one(2)));
    state.apply(Action::Nudge(0, 10));
    assert_eq!(state.bench().parts[2].legs[0].hole, Some(hole("e17")));
}

#[test]
fn a_burnt_lamp_is_told_of_on_the_next_bench_and_after_undo_until_it_is_replaced() {
    let mut state = State::new(empty());
    let mut run = burnt(&mut state, &["L+3", "L-3"]);
    let told =
        |state: &State| state.document.solved.findings.iter().any(|it| it.says.contains("has burnt out"));
    tick(&mut state, &run);
    assert!(told(&state) && state.speech.said.contains("burnt out"), "{}", state.speech.said);
    put(&mut state, "resistor", &["c12", "c15"]);
    run.set_bench(state.bench());
    tick(&mut state, &run);
    assert!(told(&state), "{:?}", state.document.solved.findings);
    assert!(!state.speech.said.contains("burnt out"), "told once: {}", state.speech.said);
    state.apply(Action::Undo);
    run.set_bench(state.bench());
    tick(&mut state, &run);
    assert!(told(&state));
    run.replace(PartIx(1));
    tick(&mut state, &run);
    assert!(!told(&state), "{:?}", state.document.solved.findings);
}

/// Whether all that points at parts or holes points at something that is there.
fn points_at_what_is_there(state: &State) {
    let parts = state.bench().parts.len();
    assert!(state.selection.chosen.iter().all(|&i| i < parts));
    assert!(state.clock.blinking.iter().all(|(part, _)| part.0 < parts));
    assert!(state.selection.cursor.is_none_or(|hole| state.bench().board_of(hole).is_some()));
    let _ = words::hand(state);
    if let Some(hole) = state.selection.cursor {
        put_down(state.bench(), &state.selection.hand, &state.selection.chosen, hole);
    }
}

#[test]
fn what_blinks_is_chosen_or_in_hand_stays_the_same_part_or_is_let_go() {
    let mut state = pier_light();
    let lamp = PartIx(2);
    let again = |state: &mut State| {
        state.clock.blinking = vec![(state.bench().find("D1").unwrap(), 20.0)];
        state.selection.chosen = Chosen::one(state.bench().find("D1").unwrap().0);
    };
    // Taken away: an earlier part, the lamp itself.
    again(&mut state);
    state.selection.chosen = Chosen::one(1);
    state.apply(Action::Delete);
    assert_eq!(state.clock.blinking, [(PartIx(1), 20.0)]);
    state.apply(Action::Undo);
    assert_eq!(state.clock.blinking, [(lamp, 20.0)]);
    again(&mut state);
    state.apply(Action::Delete);
    assert!(state.clock.blinking.is_empty());
    points_at_what_is_there(&state);
    state.apply(Action::Undo);
    // A part that was put down, blinks and is undone.
    put(&mut state, "led", &["c20", "c21"]);
    state.clock.blinking = vec![(PartIx(4), 20.0)];
    state.apply(Action::Undo);
    points_at_what_is_there(&state);
    // Written out of the wiring list while its leg is in hand, or while it is chosen.
    again(&mut state);
    state.apply(Action::Hold(Hand::Leg(LegId { part: PartIx(3), pin: 1 })));
    state.apply(Action::SetCell(1, 0, String::new()));
    assert_eq!(state.selection.hand, Hand::Leg(LegId { part: PartIx(2), pin: 1 }));
    assert_eq!(state.selection.chosen, Chosen::one(1), "still the lamp");
    state.apply(Action::SetCell(2, 0, String::new()));
    assert_eq!(state.selection.hand, Hand::Empty);
    points_at_what_is_there(&state);
    // Of another kind with fewer legs, and on a smaller board.
    let mut state = State::new(empty());
    put(&mut state, "potentiometer", &["a25"]);
    state.apply(Action::Hold(Hand::Leg(LegId { part: PartIx(0), pin: 2 })));
    state.apply(Action::SetCell(0, 1, "resistor".into()));
    points_at_what_is_there(&state);
    let mut state = State::new(empty());
    state.apply(Action::Take(parts::card("resistor").unwrap()));
    state.apply(Action::Press(hole("a25")));
    let mut boards = state.bench().boards.clone();
    boards[0].kind = BoardKind::Mini;
    state.apply(Action::SetBoards(boards));
    points_at_what_is_there(&state);
    assert_eq!(state.selection.hand, Hand::Empty);
}

#[test]
fn a_step_back_to_another_bench_begins_a_new_clock_and_one_within_a_bench_does_not() {
    let mut state = pier_light();
    state.apply(Action::Open(Box::new(empty()), String::new()));
    put(&mut state, "led", &["e7", "f7"]);
    let epoch = state.clock.epoch;
    state.apply(Action::Undo);
    assert_eq!(state.clock.epoch, epoch, "the same bench");
    state.apply(Action::Undo);
    assert_ne!(state.clock.epoch, epoch, "the former bench");
    let epoch = state.clock.epoch;
    state.apply(Action::Undo);
    assert_eq!(state.clock.epoch, epoch);
    state.apply(Action::Redo);
    assert_eq!(state.clock.epoch, epoch);
    state.apply(Action::Redo);
    assert_ne!(state.clock.epoch, epoch);
}

/// A lamp straight across six cells, burnt.
fn burnt(state: &mut State, led: &[&str]) -> Run {
    put(state, "battery", &["L+1", "L-1"]);
    state.apply(Action::SetValue(PartIx(0), 0, Value::Choice(3), false));
    state.apply(Action::SetValue(PartIx(0), 1, Value::Whole(1), false));
    put(state, "led", led);
    let mut run = Run::new(state.bench(), Care::LIVE);
    while run.burnt().is_empty() && run.time() < 5.0 {
        run.advance();
    }
    run
}

#[test]
fn each_bench_tells_of_its_own_burnt_lamp() {
    let mut state = State::new(empty());
    for led in [["L+3", "L-3"], ["L+5", "L-5"]] {
        state.apply(Action::Open(Box::new(empty()), "Open.".into()));
        let run = burnt(&mut state, &led);
        tick(&mut state, &run);
        assert!(state.speech.said.contains("burnt out"), "{}", state.speech.said);
    }
}

#[test]
fn the_finding_that_is_shown_stays_shown_when_others_come_before_it() {
    let mut state = State::new(empty());
    let run = burnt(&mut state, &["L+3", "L-3"]);
    put(&mut state, "led", &["a5", "a9"]);
    let about =
        |state: &State, index: usize| state.document.solved.findings[index].parts.contains(&PartIx(2));
    let index = (0..state.document.solved.findings.len()).find(|&i| about(&state, i)).unwrap();
    state.apply(Action::Show(index));
    let code = state.document.solved.findings[index].code;
    let mut run = run;
    run.set_bench(state.bench());
    tick(&mut state, &run);
    let shown = state.selection.shown.unwrap();
    assert!(
        about(&state, shown) && state.document.solved.findings[shown].code == code,
        "{:?}",
        state.document.solved.findings
    );
}

#[test]
fn a_bench_that_was_kept_is_no_change_unless_something_came_before_it() {
    let kept = || Box::new(pier_light().bench().clone());
    let mut state = State::new(empty());
    state.apply(Action::Restore(kept(), String::new(), "As you left it.".into()));
    assert_eq!((state.document.changes, state.document.can()), (0, (false, false)));
    let mut state = State::new(empty());
    put(&mut state, "led", &["e7", "f7"]);
    state.apply(Action::Restore(kept(), String::new(), "As you left it.".into()));
    assert_eq!((state.document.changes, state.document.can()), (2, (true, false)), "the LED can be had back");
}

#[test]
fn names_and_pasted_text_cannot_turn_the_line_round() {
    let mut state = State::new(empty());
    put(&mut state, "resistor", &["b5", "b9"]);
    state.apply(crate::model::opening::open_text("lamp\u{202e}nosj", "no bench"));
    assert!(state.speech.said.starts_with("lamp⟨U+202E⟩nosj "), "{}", state.speech.said);
    state.apply(Action::Write(PartIx(0), Field::Value(0), "4\u{202e}7k\u{7}".into()));
    let refused = &state.writing.refused[0];
    assert!(refused.why.contains("4⟨U+202E⟩7k⟨U+0007⟩"), "{}", refused.why);
    assert_eq!(refused.text, "4⟨U+202E⟩7k⟨U+0007⟩");
    state.apply(Action::SetTitle("Quay\nlamps\u{202e}".into()));
    assert_eq!(state.bench().title, "Quay lamps⟨U+202E⟩");
    for text in ["R1 resistor \u{202e}=1", "R1 \u{202e}lamp", "{\"\u{202e}\":1}"] {
        state.apply(Action::SetDraft(Some(text.into())));
        state.apply(Action::BuildDraft);
        let error = state.writing.drafts.error.clone().unwrap_or_default();
        assert!(!error.is_empty() && !error.contains('\u{202e}'), "{error}");
    }
}

#[test]
fn a_wiring_list_too_long_for_the_field_is_refused_by_its_limit() {
    let mut state = State::new(empty());
    state.apply(Action::SetDraft(Some("D1 led A=e7 K=f7".into())));
    state.apply(Action::SetDraft(Some("\n".repeat(990_000))));
    let drafts = &state.writing.drafts;
    assert_eq!(drafts.text.as_deref(), Some("D1 led A=e7 K=f7"), "what was there stays");
    assert!(drafts.error.as_ref().is_some_and(|it| it.contains("300 parts")), "{drafts:?}");
}

fn open(state: &mut State, slug: &str) {
    let example = examples::find(slug).unwrap();
    state.apply(Action::Open(Box::new(halfrow_file::read(example.text()).unwrap()), "Open.".into()));
}

#[test]
fn a_mistake_to_find_is_not_given_away_and_finding_it_is_told() {
    let mut state = State::new(empty());
    open(&mut state, "harbour-mouth-find-it");
    assert_eq!(state.screen.help, Help::Symptom);
    assert!(!state.document.is_mended());
    // The teacher may say more; the next task begins as this one did, and other benches tell all.
    state.apply(Action::SetHelp(Help::Place));
    assert_eq!(state.screen.help, Help::Place);
    open(&mut state, "stair-light-find-it");
    assert_eq!(state.screen.help, Help::Symptom);
    open(&mut state, "harbour-mouth");
    assert_eq!(state.screen.help, Help::Place);
    state.apply(Action::SetHelp(Help::Nothing));
    open(&mut state, "harbour-mouth-find-it");
    assert_eq!(state.screen.help, Help::Nothing);
    assert!(!state.speech.said.contains("finding"), "{}", state.speech.said);
    // What is at fault is taken away: that mends nothing. Put where it belongs, it does.
    let resistor = state.bench().find("R4").unwrap();
    state.apply(Action::ChooseThese(Chosen::one(resistor.0)));
    state.apply(Action::Delete);
    assert!(!state.document.is_mended());
    state.apply(Action::Undo);
    state.apply(Action::PutLeg(LegId { part: resistor, pin: 1 }, Some(hole("b24"))));
    assert!(
        state.document.is_mended() && state.speech.said.contains("You found it"),
        "{}",
        state.speech.said
    );
    assert!(!state.speech.said.contains("finding"), "{}", state.speech.said);
}

#[test]
fn to_show_a_finding_chooses_nothing_that_a_key_could_take_away() {
    let mut state = pier_light();
    state.apply(Action::Press(hole("h7")));
    state.apply(Action::Press(hole("h8")));
    let finding = state.document.solved.findings[0].clone();
    state.apply(Action::Show(0));
    assert!(state.selection.chosen.is_empty() && state.stands_out(finding.parts[0]));
    assert_eq!(state.selection.cursor, finding.holes.first().copied());
    assert_eq!(&*state.screen.focus.1, "", "the board has the keys");
}

#[test]
fn what_is_pasted_is_put_down_or_opened() {
    let mut state = State::new(empty());
    state.apply(Action::Paste(String::new()));
    assert_eq!(&*state.speech.said, "You haven’t copied anything yet.");
    state.apply(Action::Paste("good morning".into()));
    assert!(
        state.speech.said.contains("didn’t copy a part, a wiring list, a bench or a link"),
        "{}",
        state.speech.said
    );
    // The limit is told by name of a list that is too long, not of a letter.
    let list = |count: usize| (1..=count).map(|n| format!("R{n} resistor 1=- 2=-\n")).collect::<String>();
    state.apply(Action::Paste(list(301)));
    assert_eq!(&*state.speech.said, "A bench holds at most 300 parts; the copied list has 301.");
    state.apply(Action::Paste("good morning\n".repeat(301)));
    assert!(state.speech.said.contains("didn’t copy"), "{}", state.speech.said);
    state.apply(Action::Paste("R1 resistor 1=a5 2=a9\n".into()));
    assert!(state.speech.said.starts_with("1 part placed."), "{}", state.speech.said);
    let full = halfrow_file::read(examples::find("traffic-light").unwrap().text()).unwrap();
    state.apply(Action::Paste(halfrow_file::write(&full)));
    assert_eq!(state.bench().parts.len(), 1, "{}", state.speech.said);
    state.apply(Action::Undo);
    state.apply(Action::Paste(halfrow_file::write(&full)));
    assert_eq!(*state.bench(), full);
    let light = pier_light();
    let link = halfrow_file::link::encode(light.bench());
    state.apply(Action::Paste(format!("https://class.example/halfrow/{link}")));
    assert_eq!(state.bench(), light.bench());
}

#[test]
fn a_new_wire_has_the_colour_of_its_rail_until_a_colour_was_chosen() {
    let mut state = State::new(empty());
    let wire = |state: &mut State, holes: &[&str]| {
        put(state, "wire", holes);
        let part = state.bench().parts.last().unwrap();
        let Range::Choice { options, .. } = part.card.params[0].range else { panic!() };
        options[part.index(0)].word
    };
    assert_eq!(wire(&mut state, &["L-3", "a3"]), "black");
    assert_eq!(wire(&mut state, &["a5", "R-3"]), "black");
    assert_eq!(wire(&mut state, &["L+5", "b5"]), "red");
    state.apply(Action::SetValue(PartIx(0), 0, Value::Choice(2), false));
    assert_eq!(wire(&mut state, &["L-6", "a8"]), "blue");
    assert_eq!(wire(&mut state, &["L+7", "a9"]), "blue");
}

#[test]
fn of_eight_switches_the_one_beside_the_cursor_is_worked() {
    let mut state = State::new(empty());
    put(&mut state, "dip-switch", &["e10"]);
    for at in ["f12", "e17", "e12"] {
        state.apply(Action::Point(Some(hole(at))));
        state.apply(Action::Work(PartIx(0)));
    }
    let on: Vec<usize> = (0..8).filter(|&n| state.bench().parts[0].index(n) == 1).collect();
    assert_eq!(on, [7]);
}

#[test]
fn a_button_is_pressed_while_it_is_held_and_that_is_no_step_back() {
    let mut state = State::new(empty());
    put(&mut state, "push-button", &["e10"]);
    let pressed = |state: &State| state.bench().parts[0].index(0) == 1;
    let button = PartIx(0);
    state.apply(Action::Push(button));
    assert!(pressed(&state) && state.speech.said.starts_with("SB1: pressed."), "{}", state.speech.said);
    assert!(state.selection.chosen == Chosen::one(0), "what is chosen stays");
    state.apply(Action::LetGo);
    assert!(!pressed(&state) && state.speech.said.starts_with("SB1: open."), "{}", state.speech.said);
    // Kept pressed, it stays so until it is pressed again.
    state.apply(Action::Work(button));
    assert!(pressed(&state) && state.speech.said.starts_with("SB1: kept pressed."), "{}", state.speech.said);
    state.apply(Action::LetGo);
    assert!(pressed(&state));
    state.apply(Action::Push(button));
    state.apply(Action::LetGo);
    assert!(!pressed(&state));
    state.apply(Action::Undo);
    assert!(pressed(&state), "kept pressed");
    state.apply(Action::Undo);
    state.apply(Action::Undo);
    assert!(state.bench().parts.is_empty(), "held and let go left no step");
}

#[test]
fn a_title_is_kept_as_the_file_will_hold_it() {
    let mut state = State::new(empty());
    state.apply(Action::SetTitle("Pier\n\u{202e}lights".into()));
    assert_eq!(state.bench().title, "Pier ⟨U+202E⟩lights");
}

#[test]
fn a_hand_on_a_relay_which_has_no_lever_chooses_it() {
    let mut state = State::new(empty());
    put(&mut state, "relay", &["e5"]);
    state.apply(Action::ChooseThese(Default::default()));
    state.apply(Action::Work(PartIx(0)));
    assert_eq!(state.only_chosen(), Some(PartIx(0)));
    assert_eq!(state.document.can(), (true, false));
}

#[test]
fn the_sound_stays_on_when_another_bench_is_opened() {
    let mut state = State::new(empty());
    state.apply(Action::SetSound(true));
    state.apply(Action::Open(Box::new(empty()), String::new()));
    assert!(state.clock.sound);
    state.apply(Action::Undo);
    assert!(state.clock.sound);
}
