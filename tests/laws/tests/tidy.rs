//! Tidy work: the figures on benches whose distances are known, right examples left in peace, untidy twins
//! that do what the tidy ones do, and each rule seen at work.

use std::collections::BTreeSet;

use halfrow_compare::is_equal;
use halfrow_core::bench::Bench;
use halfrow_core::solve::solve;
use halfrow_file::examples::{ALL, UNTIDY, find};
use halfrow_judge::tidy::{Point, TIDY_RULES, tidy};
use halfrow_judge::{Severity, check};
use halfrow_laws::chance::Chance;
use halfrow_laws::relayout::Relayout;

fn bench(slug: &str) -> Bench {
    halfrow_file::read(find(slug).unwrap().text()).unwrap()
}

/// A bench on a half board, of parts as they are written in a bench file.
fn board(parts: &[&str]) -> Vec<Point> {
    let text = format!(
        r#"{{"halfrow": 1, "title": "", "boards": [{{"id": "A", "kind": "half"}}], "parts": [{}]}}"#,
        parts.join(", ")
    );
    tidy(&halfrow_file::read(&text).unwrap()).points
}

fn said<'p>(points: &'p [Point], code: &str) -> Vec<&'p str> {
    points.iter().filter(|it| it.code == code).map(|it| it.says.as_str()).collect()
}

const PACK: &str = r#"{"id": "BT1", "kind": "battery", "pins": {"+": "L+1", "-": "L-1"}}"#;

fn wire(id: &str, colour: &str, from: &str, to: &str) -> String {
    format!(
        r#"{{"id": "{id}", "kind": "wire", "colour": "{colour}", "pins": {{"1": "{from}", "2": "{to}"}}}}"#
    )
}

fn resistor(id: &str, from: &str, to: &str) -> String {
    format!(r#"{{"id": "{id}", "kind": "resistor", "pins": {{"1": "{from}", "2": "{to}"}}}}"#)
}

#[test]
fn lengths_are_those_of_the_board() {
    // Twenty rows are 50.8 mm; R1 and R2 make the two rows nets that a wire joins.
    let parts = [resistor("R1", "a5", "a9"), resistor("R2", "b25", "b29"), wire("W1", "blue", "c5", "c25")];
    let tidy_way = board(&[PACK, &parts[0], &parts[1], &parts[2]]);
    assert!(said(&tidy_way, "wire-long").is_empty(), "there is no shorter way: {tidy_way:?}");
    let detour = [
        wire("W1", "blue", "c5", "c25"),
        wire("W2", "blue", "d25", "d6"),
        resistor("R1", "a5", "a9"),
        resistor("R2", "b6", "b10"),
    ];
    let points = board(&[PACK, &detour[0], &detour[1], &detour[2], &detour[3]]);
    let says = said(&points, "wire-long").join(" ");
    assert!(says.starts_with("W1 spans 51 mm; from") && says.contains("are 3 mm"), "{says}");
}

#[test]
fn bare_leads_that_cross_are_a_risk_only_between_different_nets() {
    // Two resistors of ten rows whose leads cross at an angle.
    let crossing = board(&[PACK, &resistor("R1", "a5", "d15"), &resistor("R2", "d5", "a15")]);
    let risk = crossing.iter().find(|it| it.code == "leads-near");
    // They cross in the middle, where the bodies are: nothing bare touches.
    assert_eq!(risk, None);
    // R1's first lead lies over a8, where R2's second leg is.
    let over = [PACK, &resistor("R1", "a5", "a20"), &resistor("R2", "b5", "a8")];
    let points = board(&over);
    let says = "Bare leads of R1 and R2 cross, at a5 and a8; they belong to different nets.";
    assert_eq!(said(&points, "leads-near"), [says]);
    let joined = board(&[&over[..], &[&wire("W1", "blue", "c5", "c8")]].concat());
    assert_eq!(said(&joined, "leads-near"), Vec::<&str>::new(), "what is one net may touch");
}

#[test]
fn signals_that_run_back_are_counted() {
    let chips = ["e3", "e13", "e23"].iter().zip(["U1", "U2", "U3"]);
    let chips: Vec<String> =
        chips.map(|(at, id)| format!(r#"{{"id": "{id}", "kind": "74hc14", "pin1": "{at}"}}"#)).collect();
    // From the first to the third twice, from there to the second twice.
    let wires = [("a4", "a23"), ("b6", "a25"), ("a24", "a13"), ("a26", "a15")];
    let wires = wires.iter().enumerate().map(|(at, (from, to))| wire(&format!("W{at}"), "blue", from, to));
    let parts: Vec<String> = chips.into_iter().chain(wires).collect();
    let points = board(&parts.iter().map(String::as_str).collect::<Vec<_>>());
    let says = "Of 4 signals between chips 2 run back, between U2 and U3; the others run down the board.";
    assert_eq!(said(&points, "signal-back"), [says]);
}

#[test]
fn colours_are_held_against_what_a_wire_carries() {
    let points = board(&[
        PACK,
        &wire("W1", "black", "L+3", "a5"),
        &wire("W2", "green", "L-3", "a9"),
        &resistor("R1", "b5", "b9"),
    ]);
    assert_eq!(said(&points, "colour-opposite"), ["W1 is black and is not at −."]);
    assert_eq!(said(&points, "supply-colour"), ["W2 carries − in green."]);
    let right = board(&[
        PACK,
        &wire("W1", "red", "L+3", "a5"),
        &wire("W2", "black", "L-3", "a9"),
        &resistor("R1", "b5", "b9"),
    ]);
    assert_eq!(right, []);
}

#[test]
fn right_examples_are_tidy_and_untidy_twins_do_the_same() {
    for example in ALL.iter().filter(|it| it.twin.is_none()) {
        let tidy = tidy(&bench(example.slug));
        assert!(tidy.score() >= 80, "{} {} {:?}", example.slug, tidy.score(), tidy.points);
        assert!(tidy.points.iter().all(|it| it.severity == Severity::Habit), "{}", example.slug);
    }
    for example in &UNTIDY {
        let (untidy, right) = (bench(example.slug), bench(example.slug.strip_suffix("-messy").unwrap()));
        assert_eq!(is_equal(&right, &untidy), Some(true), "{}", example.slug);
        let findings = check(&untidy, &solve(&untidy));
        assert!(findings.iter().all(|it| it.severity == Severity::Habit), "{findings:?}");
        let (before, after) = (tidy(&right), tidy(&untidy));
        let kinds: BTreeSet<&str> = after.points.iter().map(|it| it.code).collect();
        assert!(after.score() <= 50 && after.score() + 40 <= before.score(), "{}", after.score());
        assert!(kinds.len() >= 6, "{kinds:?}");
        println!("{}: {} instead of {}, {kinds:?}", example.slug, after.score(), before.score());
    }
}

#[test]
fn each_rule_speaks_somewhere_in_few_words_and_never_of_a_fault() {
    let mut chance = Chance::new(11);
    let mut spoken: BTreeSet<&str> = BTreeSet::new();
    for example in ALL.iter().filter(|it| it.twin.is_none()) {
        for _ in 0..6 {
            let Some(build) = Relayout::default().bench(&bench(example.slug), &mut chance) else { continue };
            for point in tidy(&build).points {
                let words =
                    [&point.symptom, &point.says, &point.remedy].map(|it| it.split_whitespace().count());
                assert!(words.iter().sum::<usize>() <= 60, "{point:?}");
                assert_ne!(point.severity, Severity::Fault);
                spoken.insert(point.code);
            }
        }
    }
    let silent: Vec<&str> = TIDY_RULES.iter().map(|it| it.code).filter(|it| !spoken.contains(it)).collect();
    // The layouts have wires of every colour, and too few chips that pass a signal on.
    assert_eq!(silent, ["one-colour", "signal-back"]);
    // The same board in one colour.
    let mut plain = bench("traffic-light");
    let wires: Vec<usize> = (0..plain.parts.len()).filter(|&it| plain.parts[it].card.is_wire()).collect();
    let values = plain.parts[wires[0]].values.clone();
    wires.iter().for_each(|&it| plain.parts[it].values.clone_from(&values));
    assert!(tidy(&plain).points.iter().any(|it| it.code == "one-colour"));
}
