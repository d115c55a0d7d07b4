//! Actions as plain functions.

use super::*;
use crate::clock::{Harm, Tick};
use halfrow_core::bench::LegId;
use halfrow_core::card::Value;
use halfrow_core::parts;
use halfrow_core::time::{Care, Run};

fn hole(name: &str) -> Hole {
    Hole::parse(name).unwrap()
}

fn put(state: &mut State, kind: &str, holes: &[&str]) {
    state.apply(Action::Take(parts::card(kind).unwrap()));
    for name in holes {
        state.apply(Action::Press(hole(name)));
    }
    assert_eq!(state.hand, Hand::Empty, "{}", state.said);
}

fn tick(state: &mut State, run: &Run) {
    let (point, blinking) = run.point_for_the_eye(run.time());
    state.apply(Action::Tick(Rc::new(Tick {
        bench: state.solved.bench.clone(),
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
    assert!(state.said.contains("D1 lit"), "{}", state.said);
    let faults = state.solved.findings.iter().filter(|f| f.severity == halfrow_judge::Severity::Fault);
    assert_eq!(faults.count(), 0, "{:?}", state.solved.findings);
}

#[test]
fn a_leg_one_row_off_goes_dark_is_named_and_comes_back_by_undo() {
    let mut state = pier_light();
    state.apply(Action::Press(hole("h7")));
    assert!(matches!(state.hand, Hand::Leg(_)));
    state.apply(Action::Press(hole("h8")));
    assert!(state.said.contains("D1 dark"), "{}", state.said);
    let finding = &state.solved.findings[0];
    assert!(finding.says.contains("h8"), "{}", finding.says);
    state.apply(Action::Undo);
    let lit = state.solved.point.parts[2].pins[0].amps;
    assert!(lit > 0.01, "{lit}");
}

#[test]
fn what_cannot_be_done_is_said_and_nothing_changes() {
    let mut state = pier_light();
    let before = state.bench().clone();
    state.apply(Action::Take(parts::card("resistor").unwrap()));
    state.apply(Action::Press(hole("e7")));
    assert!(state.said.contains("taken"), "{}", state.said);
    assert_eq!(*state.bench(), before);
    state.apply(Action::Escape);
    assert_eq!(state.hand, Hand::Empty);
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
    assert_eq!(state.bench().parts.len(), 7, "{}", state.said);
    assert!(state.bench().check().is_ok());
    state.apply(Action::ChooseThese(Chosen::one(2)));
    state.apply(Action::Nudge(0, 10));
    assert_eq!(state.bench().parts[2].legs[0].hole, Some(hole("e17")));
}

#[test]
fn a_burnt_lamp_is_told_of_on_the_next_bench_and_after_undo_until_it_is_replaced() {
    let mut state = State::new(empty());
    let mut run = burnt(&mut state, &["L+3", "L-3"]);
    let told = |state: &State| state.solved.findings.iter().any(|it| it.says.contains("has burnt out"));
    tick(&mut state, &run);
    assert!(told(&state) && state.said.contains("burnt out"), "{}", state.said);
    put(&mut state, "resistor", &["c12", "c15"]);
    run.set_bench(state.bench());
    tick(&mut state, &run);
    assert!(told(&state), "{:?}", state.solved.findings);
    assert!(!state.said.contains("burnt out"), "told once: {}", state.said);
    state.apply(Action::Undo);
    run.set_bench(state.bench());
    tick(&mut state, &run);
    assert!(told(&state));
    run.replace(PartIx(1));
    tick(&mut state, &run);
    assert!(!told(&state), "{:?}", state.solved.findings);
}

/// Whether all that points at parts or holes points at something that is there.
fn points_at_what_is_there(state: &State) {
    let parts = state.bench().parts.len();
    assert!(state.chosen.iter().all(|&i| i < parts));
    assert!(state.clock.blinking.iter().all(|(part, _)| part.0 < parts));
    assert!(state.cursor.is_none_or(|hole| state.bench().board_of(hole).is_some()));
    let _ = words::hand(state);
    if let Some(hole) = state.cursor {
        put_down(state.bench(), &state.hand, &state.chosen, hole);
    }
}

#[test]
fn what_blinks_is_chosen_or_in_hand_stays_the_same_part_or_is_let_go() {
    let mut state = pier_light();
    let lamp = PartIx(2);
    let again = |state: &mut State| {
        state.clock.blinking = vec![(state.bench().find("D1").unwrap(), 20.0)];
        state.chosen = Chosen::one(state.bench().find("D1").unwrap().0);
    };
    // Taken away: an earlier part, the lamp itself.
    again(&mut state);
    state.chosen = Chosen::one(1);
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
    assert_eq!(state.hand, Hand::Leg(LegId { part: PartIx(2), pin: 1 }));
    assert_eq!(state.chosen, Chosen::one(1), "still the lamp");
    state.apply(Action::SetCell(2, 0, String::new()));
    assert_eq!(state.hand, Hand::Empty);
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
    assert_eq!(state.hand, Hand::Empty);
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
        assert!(state.said.contains("burnt out"), "{}", state.said);
    }
}

#[test]
fn the_finding_that_is_shown_stays_shown_when_others_come_before_it() {
    let mut state = State::new(empty());
    let run = burnt(&mut state, &["L+3", "L-3"]);
    put(&mut state, "led", &["a5", "a9"]);
    let about = |state: &State, index: usize| state.solved.findings[index].parts.contains(&PartIx(2));
    let index = (0..state.solved.findings.len()).find(|&i| about(&state, i)).unwrap();
    state.apply(Action::Show(index));
    let code = state.solved.findings[index].code;
    let mut run = run;
    run.set_bench(state.bench());
    tick(&mut state, &run);
    let shown = state.shown.unwrap();
    assert!(about(&state, shown) && state.solved.findings[shown].code == code, "{:?}", state.solved.findings);
}

#[test]
fn a_bench_that_was_kept_is_no_change_unless_something_came_before_it() {
    let kept = || Box::new(pier_light().bench().clone());
    let mut state = State::new(empty());
    state.apply(Action::Restore(kept(), "As you left it.".into()));
    assert_eq!((state.changes, state.can()), (0, (false, false)));
    let mut state = State::new(empty());
    put(&mut state, "led", &["e7", "f7"]);
    state.apply(Action::Restore(kept(), "As you left it.".into()));
    assert_eq!((state.changes, state.can()), (2, (true, false)), "the LED can be had back");
}

fn open(state: &mut State, slug: &str) {
    let example = examples::find(slug).unwrap();
    state.apply(Action::Open(Box::new(halfrow_file::read(example.text).unwrap()), "Open.".into()));
}

#[test]
fn a_mistake_to_find_is_not_given_away_and_finding_it_is_told() {
    let mut state = State::new(empty());
    open(&mut state, "pier-lights-find-it");
    assert_eq!(state.help, Help::Symptom);
    assert!(!state.is_mended());
    // The teacher may say more; the next task begins as this one did, and other benches tell all.
    state.apply(Action::SetHelp(Help::Place));
    assert_eq!(state.help, Help::Place);
    open(&mut state, "stair-light-find-it");
    assert_eq!(state.help, Help::Symptom);
    open(&mut state, "pier-lights");
    assert_eq!(state.help, Help::Place);
    state.apply(Action::SetHelp(Help::Nothing));
    open(&mut state, "pier-lights-find-it");
    assert_eq!(state.help, Help::Nothing);
    assert!(!state.said.contains("finding"), "{}", state.said);
    // What is at fault is taken away: that mends nothing. Put where it belongs, it does.
    let lamp = state.bench().find("D2").unwrap();
    state.apply(Action::ChooseThese(Chosen::one(lamp.0)));
    state.apply(Action::Delete);
    assert!(!state.is_mended());
    state.apply(Action::Undo);
    state.apply(Action::PutLeg(LegId { part: lamp, pin: 1 }, Some(hole("f14"))));
    assert!(state.is_mended() && state.said.contains("You found it"), "{}", state.said);
    assert!(!state.said.contains("finding"), "{}", state.said);
}
