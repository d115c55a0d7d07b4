//! Where only the meter tells, nothing else does: all words of the model and all texts of the drawing.

use halfrow_core::bench::Lesson;
use halfrow_core::meter::{Dial, Meter, Touch};
use halfrow_core::shape::Shape;
use halfrow_draw::{picture, svg};
use halfrow_instruments::measure;

use super::*;
use crate::model::quiet::ONLY_THE_METER;

/// The figures of volts, amperes and watts in a text, apart from what is printed on the parts. Not by the
/// code that takes them out.
fn figures(text: &str, bench: &Bench) -> Vec<String> {
    let mut text = text.replace(['\u{a0}', '\u{202f}'], " ");
    for part in &bench.parts {
        for printed in [part.title(), (part.card.label)(part), part.card.name.to_owned()] {
            text = text.replace(&printed, "");
        }
    }
    let words: Vec<&str> = text.split([' ', '\n', ';', '(', ')', '·']).collect();
    let is_unit = |word: &str| {
        let word = word.trim_end_matches(['.', ',', ':', '!', '?']);
        ["V", "mV", "µV", "nV", "A", "mA", "µA", "nA", "pA", "W", "mW", "µW", "kV"].contains(&word)
    };
    let pairs =
        words.windows(2).filter(|pair| pair[0].ends_with(|c: char| c.is_ascii_digit()) && is_unit(pair[1]));
    pairs.map(|pair| pair.join(" ")).collect()
}

fn texts_of(shapes: &[Shape], out: &mut Vec<String>) {
    for shape in shapes {
        match shape {
            Shape::Group { shapes, .. } => texts_of(shapes, out),
            other => out.extend(svg::element(other, false).2.map(str::to_owned)),
        }
    }
}

/// All that the page says of a bench anywhere but in the meter's tab.
fn all_words(state: &mut State) -> Vec<String> {
    let solved = state.document.solved.clone();
    let mut out = Vec::new();
    for hole in solved.bench.boards[0].holes(0) {
        out.push(words::hole(&solved, hole));
        out.push(words::net(&solved, hole));
    }
    for part in (0..solved.bench.parts.len()).map(PartIx) {
        out.push(words::part(&solved, part));
        out.push(words::reading(&solved, part, " · "));
        let (volts, amps, now) = words::readings(&solved, part);
        out.extend([volts, amps, now.to_owned()]);
        state.apply(Action::Choose(part, false));
        out.push(state.speech.said.to_string());
    }
    for it in solved.findings.iter() {
        out.extend([&it.symptom, &it.says, &it.why, &it.remedy].map(String::clone));
    }
    texts_of(&picture::whole(&solved.bench, &solved.point, &solved.findings), &mut out);
    for overlay in [Overlay::Volts, Overlay::Currents] {
        state.apply(Action::Toggle(overlay));
        out.push(state.speech.said.to_string());
    }
    out
}

fn with(bench: &Bench, only_meter: bool) -> State {
    State::new(Bench { lesson: Lesson { only_meter, ..Lesson::default() }, ..bench.clone() })
}

#[test]
fn nothing_but_the_meter_tells_figures() {
    let mut told_otherwise = 0;
    for example in &examples::ALL {
        let bench = halfrow_file::read(example.text()).unwrap();
        let mut open = with(&bench, false);
        told_otherwise += all_words(&mut open).iter().filter(|it| !figures(it, &bench).is_empty()).count();
        let mut silent = with(&bench, true);
        for words in all_words(&mut silent) {
            assert!(figures(&words, &bench).is_empty(), "{}: {words}", example.slug);
        }
        assert_eq!(silent.speech.said.as_ref(), ONLY_THE_METER);
        assert_eq!(silent.overlays(), Overlays { trace: true, volts: false, currents: false });
        assert!(open.overlays().volts && open.overlays().currents);
    }
    // What is looked for is there where it may be told.
    assert!(told_otherwise > 2000, "{told_otherwise}");
}

#[test]
fn the_meter_tells_its_reading_and_no_other_figure() {
    let plain = pier_light().bench().clone();
    let mut bench = Bench { lesson: Lesson { only_meter: true, ..Lesson::default() }, ..plain };
    let tip = |pin| Touch::Leg { part: "R1".to_owned(), pin };
    let mut meter = Meter { dial: Dial::Dc20Ma, ..Meter::default() };
    (meter.red.tip, meter.black.tip) = (tip(0), tip(1));
    bench.meters.push(meter);
    let mut state = State::new(bench);
    state.apply(Action::SetTab(Tab::Meter));
    let found = measure(state.bench(), 0, None);
    state.apply(Action::Meter(Use::Read(state.document.solved.bench.clone(), Rc::new(vec![found]))));
    let said = state.measuring.said.clone().unwrap();
    assert!(said.findings.iter().any(|it| it.code == "meter-current-across"), "{said:?}");
    for it in &said.findings {
        assert!(figures(&it.says, state.bench()).is_empty(), "{}", it.says);
    }
    // A lesson that ends tells everything again.
    state.apply(Action::SetLesson(Lesson::default()));
    assert!(words::hole(&state.document.solved, hole("L+5")).contains(" V"));
}
