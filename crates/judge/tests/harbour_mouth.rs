//! The lights of a harbour mouth, built right and broken in the ways in which classes break them.

mod support;

use halfrow_judge::Severity;
use support::findings;

const SUPPLY: &str = "BT1 battery L+1 L-1 | W5 wire colour=black L-25 R-25";
const RED: &str = "R1 resistor 220 L+5 b6 | D1 led e6 f6 | W1 wire colour=black h6 R-5";
const QUAY: &str = "R2 resistor 150 L+10 b12 | D2 led colour=white e12 f12 | W2 wire colour=black h12 R-10 \
     | R3 resistor 150 L+15 b18 | D3 led colour=white e18 f18 | W3 wire colour=black h18 R-15";
const GREEN: &str = "R4 resistor 180 L+20 b24 | D4 led colour=green e24 f24 | W4 wire colour=black h24 R-20";

/// The lights with one piece of text put in place of another.
fn lights(old: &str, new: &str) -> String {
    let right = [SUPPLY, RED, QUAY, GREEN].join(" | ");
    assert!(right.contains(old), "{old}");
    right.replace(old, new)
}

#[test]
fn the_right_bench_has_no_finding() {
    assert_eq!(findings(&lights("BT1", "BT1")), []);
    // Nor with the + rails joined, though nothing uses the right one.
    assert_eq!(findings(&lights("L-25 R-25", "L-25 R-25 | W6 wire L+25 R+25")), []);
}

#[test]
fn each_classic_mistake_has_one_finding_with_its_place() {
    let table: &[(&str, &str, &[&str], &str)] = &[
        (
            "wire colour=black h24 R-20",
            "wire colour=black h25 R-20",
            &["leg-alone"],
            "D4’s short leg is in f24; the black wire W4 beside it is in h25, one row down, alone in its row.",
        ),
        ("D4 led colour=green e24 f24", "D4 led colour=green e24 f25", &["leg-alone"], "in f25"),
        ("180 L+20 b24", "180 L+20 b25", &["leg-alone"], "R4’s second leg"),
        (
            "D4 led colour=green e24 f24",
            "D4 led colour=green f24 e24",
            &["backwards"],
            "D4 is backwards: its long leg is in f24",
        ),
        ("D4 led colour=green e24 f24", "D4 led colour=green e24 d24", &["bypassed"], "row 24, left half"),
        ("D4 led colour=green e24 f24", "D4 led colour=green e25 f25", &["part-off"], "one row up"),
        ("L-25 R-25", "L-25 R+25", &["wrong-rail"], "R+25"),
        ("| W5 wire colour=black L-25 R-25", "", &["rail-unpowered"], "right − rail is used"),
        ("battery L+1 L-1", "battery L-1 L+1", &["supply-backwards"], "red lead (+) is in L-1"),
        ("L-25 R-25", "L-25 R-25 | W6 wire L+24 R-24", &["short-circuit"], "W6"),
        (
            "| W4 wire colour=black h24 R-20",
            "",
            &["open-end"],
            "D4’s short leg is alone in row 24, right half",
        ),
        ("D4 led colour=green e24 f24", "D4 led colour=green e24! f24", &["leg-out"], "rests over e24"),
        ("R4 resistor 180 L+20 b24", "R4 resistor 180 a24 b24", &["bypassed"], "R4"),
        ("W4 wire colour=black h24 R-20", "W4 wire colour=black h24 R+20", &["wrong-rail"], "R+20"),
        ("R4 resistor 180 L+20 b24", "R4 resistor 180 L-20 b24", &["wrong-rail"], "L-20"),
        ("R4 resistor 180 L+20 b24", "R4 wire L+20 b24", &["led-no-resistor"], "D4"),
    ];
    let mut wrong = Vec::new();
    for (old, new, codes, text) in table {
        let found = findings(&lights(old, new));
        let found_codes: Vec<&str> = found.iter().map(|it| it.code.word()).collect();
        if found_codes != *codes || !found[0].says.contains(text) {
            let told: Vec<String> =
                found.iter().map(|it| format!("{}: {} >> {}", it.code, it.says, it.remedy)).collect();
            wrong.push(format!("{old} -> {new}: {told:#?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_split_rail_is_told_with_the_holes_at_its_gap() {
    let found = findings(
        "split | BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 f5 | W1 wire colour=black h5 R-5 \
         | R3 resistor 220 L+19 b23 | D3 led e23 f23 | W3 wire colour=black h23 R-11 \
         | W4 wire colour=black L-3 R-3",
    );
    assert_eq!(found.iter().map(|it| it.code.word()).collect::<Vec<_>>(), ["rail-split"]);
    assert!(found[0].says.contains("the rail is split between L+12 and L+13"), "{}", found[0].says);
    assert_eq!(found[0].remedy, "Bridge the gap with a short wire from L+12 to L+13.");
}

#[test]
fn right_benches_have_neither_fault_nor_risk() {
    let table = [
        "",
        "BT1 battery L+1 L-1",
        // Lighthouse with a dimmer.
        "BT1 battery L+1 L-1 | W1 wire L+3 c10 | RV1 potentiometer ohms=1000 b10 | R1 resistor 220 c11 c16 | D1 led e16 f16 | W2 wire colour=black f17 g16 | W3 wire colour=black h17 R-14 | W4 wire colour=black L-25 R-25",
        // Gate: two switches in series, both open.
        "BT1 battery L+1 L-1 | W1 wire L+3 c6 | S1 slide-switch b5 to=3 | W2 wire d5 d11 | S2 slide-switch b10 to=3 | R1 resistor 220 d10 d16 | D1 led e16 f16 | W3 wire colour=black j16 R-14 | W4 wire colour=black L-25 R-25",
        // Stair light: two SPDT switches.
        "BT1 battery L+1 L-1 | W1 wire L+3 c6 | S1 slide-switch b5 | W2 wire d5 d11 | W3 wire e7 e13 | S2 slide-switch b11 | R1 resistor 220 d12 d18 | D1 led e18 f18 | W4 wire colour=black j18 R-16 | W5 wire colour=black L-25 R-25",
        // Frost warning: a divider, its lamp dark when warm.
        "BT1 battery L+1 L-1 | R1 resistor 10000 L+5 a6 | TH1 thermistor b6 b10 celsius=60 | W1 wire colour=black a10 L-9 | R2 resistor 1000 d6 d14 | D1 led e14 f14 | W2 wire colour=black j14 R-12 | W3 wire colour=black L-25 R-25",
        // Fog lamp.
        "BT1 battery L+1 L-1 | R1 resistor 4700 L+5 a6 | LDR1 photoresistor b6 b10 lux=1000 | W1 wire colour=black a10 L-9 | D1 led e6 f6 | W2 wire colour=black j6 R-6 | W3 wire colour=black L-25 R-25",
        // A button with one leg of each pair used, not pressed.
        "BT1 battery L+1 L-1 | W1 wire L+5 a10 | SB1 push-button e10 | R1 resistor 220 j12 j18 | D1 led g18 g20 | W2 wire colour=black j20 R-18 | W3 wire colour=black L-25 R-25",
    ];
    for bench in table {
        let bad: Vec<_> = findings(bench).into_iter().filter(|it| it.severity != Severity::Habit).collect();
        assert!(bad.is_empty(), "{bench}: {bad:#?}");
    }
}
