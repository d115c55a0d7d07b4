//! Values that are typed: into fields, the wiring list, the chart.

use super::*;

#[test]
fn what_is_written_into_a_field_is_taken_or_stays_there_with_the_reason() {
    let mut state = pier_light();
    let (ohms, leg) = (Field::Value(0), Field::Hole(1));
    let mut write = |field, text: &str| {
        state.apply(Action::Write(PartIx(1), field, text.into()));
        (
            state.writing.refused_at("R1", field).map(|it| it.text.clone()),
            state.speech.said.to_string(),
            state.document.changes,
        )
    };
    let (refused, said, before) = write(ohms, "abc");
    assert!(refused.as_deref() == Some("abc") && said.contains("isn’t a number"), "{said}");
    let (refused, said, _) = write(ohms, "0");
    assert!(refused.is_some() && said.starts_with("Resistance must be from"), "{said}");
    let (refused, said, after) = write(ohms, "4k7");
    assert!(refused.is_none() && said.starts_with("R1: Resistance 4.7 kΩ."), "{said}");
    assert_eq!(after, before + 1);
    assert_eq!(write(ohms, "4.7 kΩ").2, after, "the same value is no change");
    let (refused, said, _) = write(leg, "h99");
    assert!(refused.as_deref() == Some("h99") && said.contains("no hole h99"), "{said}");
    let (refused, said, _) = write(leg, "e7");
    assert!(refused.is_some() && said.starts_with("e7 is taken by D1’s long leg"), "{said}");
    let (refused, said, _) = write(leg, "C7");
    assert!(refused.is_none() && said.starts_with("R1’s second leg is now in c7."), "{said}");
    assert_eq!(state.bench().parts[1].number(0), 4700.0);
}

#[test]
fn a_value_stands_in_the_wiring_list_as_it_was_typed() {
    let mut state = pier_light();
    put(&mut state, "capacitor", &["a20", "a22"]);
    for text in ["22n", "470n", "10u", "4n7", "1,5 µF", "33p", "8.2n"] {
        state.apply(Action::Write(PartIx(4), Field::Value(0), text.into()));
        let typed = text.replace('u', "µ").replace("4n7", "4.7n").replace(',', ".").replace([' ', 'F'], "");
        let line = halfrow_file::wiring::line(&state.bench().parts[4]);
        assert!(line.contains(&format!("={typed} ")), "{text}: {line}");
    }
}

#[test]
fn a_trigger_level_that_is_no_number_stays_in_its_field_with_the_reason() {
    let mut state = pier_light();
    let mut write = |text: &str| {
        state.apply(Action::Write(NO_PART, Field::Level, text.into()));
        (state.writing.refused_at("", Field::Level).map(|it| it.text.clone()), state.chart.level)
    };
    assert_eq!(write("2,5"), (None, 2.5));
    assert_eq!(write("abc"), (Some("abc".to_owned()), 2.5));
    assert_eq!(write("20m"), (None, 0.02));
    write("x");
    assert_eq!(&*state.speech.said, "“x” isn’t a number. Write 220, 4.7k or 4k7.");
    state.apply(Action::SetTitle("Pier".to_owned()));
    assert!(state.writing.refused_at("", Field::Level).is_some(), "another change leaves it there");
}

#[test]
fn a_block_that_is_chosen_in_the_place_of_cells_is_one() {
    let mut state = pier_light();
    let cells = |state: &State| state.bench().parts[0].values[1];
    assert_eq!(cells(&state), Value::Whole(4));
    state.apply(Action::SetValue(PartIx(0), 0, Value::Choice(2), false));
    assert_eq!(cells(&state), Value::Whole(4), "from one cell to another the pack stays");
    state.apply(Action::SetValue(PartIx(0), 0, Value::Choice(3), false));
    assert_eq!(cells(&state), Value::Whole(1));
    assert!(
        state.speech.said.contains("BT1: Cells of type 9 V block. BT1: Cells in series 1."),
        "{}",
        state.speech.said
    );
    state.apply(Action::Undo);
    assert_eq!((cells(&state), state.bench().parts[0].values[0]), (Value::Whole(4), Value::Choice(2)));
    // Who wants two of them has two.
    state.apply(Action::Redo);
    state.apply(Action::SetValue(PartIx(0), 1, Value::Whole(2), false));
    assert_eq!(cells(&state), Value::Whole(2));
}

#[test]
fn why_a_leg_can_not_be_there_is_told_in_words_of_legs_and_holes() {
    let mut state = pier_light();
    state.apply(Action::Take(parts::card("resistor").unwrap()));
    state.apply(Action::Press(hole("a12")));
    state.apply(Action::Press(hole("e7")));
    assert_eq!(&*state.speech.said, "e7 is taken by D1’s long leg; only one leg fits in a hole.");
    state.apply(Action::Press(hole("a12")));
    assert_eq!(&*state.speech.said, "a12 is taken by R2’s other leg; only one leg fits in a hole.");
}

#[test]
fn what_a_cell_of_the_wiring_list_does_is_said() {
    let mut state = pier_light();
    for (row, column, text, says) in [
        (1, 1, "resistor ohms=1000", "R1: resistor ohms=1k."),
        (1, 3, "c7", "R1’s second leg is now in c7."),
        (1, 0, "R7", "R1 is now called R7."),
        (4, 1, "LED", "D2 is new. Its legs are still in the air."),
        (1, 0, "", "R7 removed."),
    ] {
        state.apply(Action::SetCell(row, column, text.into()));
        assert!(state.speech.said.starts_with(says), "{}", state.speech.said);
    }
    assert_eq!(&*state.screen.focus.1, "cell-4-2", "the new part's first leg is written next");
    state.apply(Action::SetCell(0, 2, "zz9".into()));
    assert!(state.writing.refused_at("BT1", Field::Cell(2)).is_some());
}
