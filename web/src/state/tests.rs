//! Actions as plain functions.

use super::*;
use halfrow_core::parts;

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
    use halfrow_core::time::{Care, Run};
    let mut state = State::new(empty());
    put(&mut state, "battery", &["L+1", "L-1"]);
    state.apply(Action::SetValue(PartIx(0), 0, Value::Choice(3), false));
    state.apply(Action::SetValue(PartIx(0), 1, Value::Whole(1), false));
    put(&mut state, "led", &["L+3", "L-3"]);
    let mut run = Run::new(state.bench(), Care::LIVE);
    while run.burnt().is_empty() && run.time() < 5.0 {
        run.advance();
    }
    let tick = |state: &mut State, run: &Run| {
        let (point, blinking) = run.point_for_the_eye(run.time());
        state.apply(Action::Tick(Rc::new(Tick {
            bench: state.solved.bench.clone(),
            point: Rc::new(point),
            blinking,
            time: run.time(),
            timed: true,
            short_of: None,
            harm: (run.burnt().len(), run.stalled()),
        })));
    };
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

#[test]
fn a_title_is_kept_as_the_file_will_hold_it() {
    let mut state = State::new(empty());
    state.apply(Action::SetTitle("Pier\n\u{202e}lights".into()));
    assert_eq!(state.bench().title, "Pierlights");
}
