//! What each rule finds: a line each with the whole list of findings and the hole or figure that
//! each of them names.
//!
//! Figures by hand, from the cards: four AA cells at 0.7 of their charge are
//! 4 · (0.9 + 0.7 · 0.68) = 5.504 V behind 4 · 0.44 = 1.76 Ω; a red LED has about
//! 1.92 V + 0.0517 V · ln(i / 20 mA) + 4 Ω · i; each contact has 0.02 Ω.

mod circuits;
mod made_up;
mod places;
mod supply;
#[path = "../support/mod.rs"]
mod support;

use halfrow_core::solve::solve;
use halfrow_core::time::{Care, Run};
use halfrow_judge::{Finding, RULES, Severity, first_look as check};
use made_up::made_up;
use support::{bench, ruled as findings};

/// Code, severity, and a piece of what the finding says.
type Told = (&'static str, Severity, &'static str);

fn table() -> impl Iterator<Item = (&'static str, &'static [Told])> {
    [supply::LINES, places::LINES, circuits::LINES].into_iter().flatten().copied()
}

#[test]
fn each_line_has_these_findings_and_no_others() {
    let mut wrong = Vec::new();
    for (bench, told) in table() {
        let found = findings(bench);
        if !are(&found, told) {
            wrong.push(format!("{bench}:\n{}", in_words(&found)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn what_no_line_can_make_is_found_too() {
    for (found, told) in made_up() {
        assert!(are(&found, told), "{told:?}:\n{}", in_words(&found));
    }
}

#[test]
fn no_symptom_says_that_a_chip_works_which_has_no_power() {
    let chip = "U1 74hc04 e10 | W1 wire L+25 R+25 | W2 wire R+10 j10 | W3 wire colour=black L-14 a16 | W4 wire L+8 a10";
    for supply in ["", "PS1 usb L+1 _ |", "BT1 battery cells=1 L+1 L-1 |"] {
        let found = findings(&format!("{supply} {chip}"));
        assert!(found.iter().any(|it| it.code.word() == "input-unused"), "{}", in_words(&found));
        assert!(found.iter().all(|it| !it.symptom.starts_with("It works")), "{}", in_words(&found));
    }
}

#[test]
fn a_capacitor_that_has_burst_is_not_told_that_it_may() {
    let backwards = bench("BT1 battery cells=6 L+1 L-1 | C1 electrolytic L-5 L+5");
    let symptom = |found: &[Finding]| {
        found.iter().find(|it| it.code.word() == "backwards").map(|it| it.symptom.clone())
    };
    assert_eq!(
        symptom(&check(&backwards, &solve(&backwards))).unwrap(),
        "C1 gets warm, swells and may burst."
    );
    let mut run = Run::new(&backwards, Care::LIVE);
    run.until(60.0, 1_000_000);
    assert_eq!(symptom(&check(&backwards, &run.point())).unwrap(), "A new C1 will burst as well.");
}

#[test]
fn every_rule_finds_something_in_a_line_here() {
    let lines = table().map(|(_, told)| told);
    let told: Vec<&str> =
        lines.chain(made_up().into_iter().map(|(_, told)| told)).flatten().map(|it| it.0).collect();
    let untold: Vec<&str> =
        RULES.iter().map(|rule| rule.code.word()).filter(|code| !told.contains(code)).collect();
    assert!(untold.is_empty(), "no line for {untold:?}");
}

#[test]
fn the_resistor_that_a_remedy_names_stays_cool() {
    // The pack sags to 3.74 V under 4 Ω; 82 Ω, right for that voltage, would turn some 350 mW into heat.
    for ohms in [4, 47, 100] {
        let found = findings(&format!(
            "BT1 battery L+1 L-1 | R1 resistor {ohms} L+5 b5 | W1 wire colour=black a5 L-8"
        ));
        assert_eq!(found.iter().map(|it| it.code.word()).collect::<Vec<_>>(), ["too-much-power"], "{ohms}");
        assert!(found[0].remedy.contains("180 Ω or more"), "{}", found[0].remedy);
    }
    assert_eq!(findings("BT1 battery L+1 L-1 | R1 resistor 180 L+5 b5 | W1 wire colour=black a5 L-8"), []);
}

#[test]
fn no_remedy_burns_what_it_mends() {
    // The resistor is not there yet, lies in the air, or is bypassed.
    for bench in [
        "BT1 battery L+1 L-1 | D1 led e7 f7 | W1 wire colour=black h7 R-5 | W2 wire colour=black L-25 R-25",
        "BT1 battery L+1 L-1 | R1 resistor 220 a7 c7 | W3 wire L+5 b7 | D1 led e9 f9 | W1 wire colour=black h9 R-5 | W2 wire colour=black L-25 R-25",
    ] {
        for finding in findings(bench) {
            let led_to_rail =
                finding.remedy.contains("to the left + rail") && !finding.remedy.contains("row 9");
            assert!(!led_to_rail, "{bench}: {}", finding.remedy);
        }
    }
    let found = findings(
        "BT1 battery L+1 L-1 | D1 led e7 f7 | W1 wire colour=black h7 R-5 | W2 wire colour=black L-25 R-25",
    );
    assert!(found[0].remedy.contains("a resistor or another part is missing there"), "{}", found[0].remedy);
}

fn are(found: &[Finding], told: &[Told]) -> bool {
    found.len() == told.len()
        && found.iter().zip(told).all(|(it, (code, severity, says))| {
            it.code.word() == *code && it.severity == *severity && it.says.contains(says)
        })
}

fn in_words(found: &[Finding]) -> String {
    let line = |it: &Finding| format!("  {} {}: {}\n", it.severity.word(), it.code, it.says);
    found.iter().map(line).collect()
}

#[test]
fn the_diode_of_a_coil_blocks_while_the_coil_is_on_wherever_the_switch_is() {
    const LOW: &str = "BT1 battery L+1 L-1 | M1 motor L+5 a5 | Q1 transistor e7 e6 e5 | R1 resistor 1000 L+8 a6 | W1 wire colour=black a7 L-7";
    const HIGH: &str = "BT1 battery L+1 L-1 | M1 motor L-5 a12 | Q1 transistor type=2n3906 e10 e11 e12 | R1 resistor 1000 L-8 a11 | W1 wire L+7 a10";
    // What has to be done, the diode put as it is told, and the other way round.
    for (circuit, ring, plain, told, wrong) in [
        (LOW, "+", "the side that Q1 switches", "D1 diode type=1n4001 b5 L+9", "D1 diode type=1n4001 L+9 b5"),
        (
            HIGH,
            "the side that Q1 switches",
            "−",
            "D1 diode type=1n4001 L-9 b12",
            "D1 diode type=1n4001 b12 L-9",
        ),
    ] {
        let found = findings(circuit);
        let remedy = format!("its ringed end to {ring}, its plain end to {plain}.");
        assert!(
            found.iter().any(|it| it.code.word() == "no-flyback" && it.remedy.ends_with(&remedy)),
            "{found:?}"
        );
        let found = findings(&format!("{circuit} | {told}"));
        assert!(!found.iter().any(|it| it.code.word().contains("flyback")), "{found:?}");
        let found = findings(&format!("{circuit} | {wrong}"));
        assert!(
            found.iter().any(|it| it.code.word() == "flyback-backwards" && it.remedy.contains(ring)),
            "{found:?}"
        );
    }
}
