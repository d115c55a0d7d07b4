//! Right circuits: those that look like a mistake of which a rule tells, of which nothing is said, and
//! those that a class builds, of which nothing is said but habits.
//!
//! Their figures are those of textbooks (common practice, no source).

mod support;

use halfrow_judge::Severity;
use support::findings;

const B: &str = "BT1 battery L+1 L-1 | X1 wire L+25 R+25 | X2 wire colour=black L-25 R-25";

const CIRCUITS: &[(&str, &str)] = &[
    (
        "a transistor with a light sensor above and a resistor below",
        "LDR1 photoresistor lux=1000 L+5 a10 | R1 resistor 10000 b10 L-8 | R2 resistor 1000 c10 c15 | Q1 transistor a16 a15 a14 | W1 wire colour=black b16 L-14 | D1 led f14 e14 | R3 resistor 220 j14 R+12",
    ),
    (
        "a PNP above its load",
        "Q1 transistor type=2n3906 a10 a11 a12 | W1 wire L+9 b10 | R1 resistor 4700 b11 b18 | SB1 push-button e18 | W2 wire colour=black j20 R-18 | R2 resistor 220 b12 b15 | D1 led a15 L-13",
    ),
    (
        "an emitter follower with a lamp",
        "Q1 transistor a10 a11 a12 | W1 wire L+12 b12 | RV1 potentiometer c14 | W2 wire L+15 b14 | W3 wire colour=black a16 L-16 | R1 resistor 1000 b11 b15 | R2 resistor 220 b10 b6 | D1 led a6 L-5",
    ),
    (
        "a logic-level MOSFET with a lamp",
        "Q1 power-mosfet c10 | R1 resistor 10000 a10 L-8 | SB1 push-button e20 | W1 wire L+18 a20 | W2 wire colour=yellow a22 b10 | W3 wire colour=black a12 L-12 | R2 resistor 220 a11 j11 | D1 led R+11 i11",
    ),
    (
        "two transistors that blink in turn",
        "R1 resistor 220 R+5 j5 | D1 led g5 g8 | R2 resistor 47000 R+6 j12 | R3 resistor 47000 R+12 j17 | R4 resistor 220 R+20 j22 | D2 led g22 g19 | Q1 transistor f10 f9 f8 | W1 wire colour=blue i9 i17 | W2 wire colour=black j10 R-9 | Q2 transistor f21 f20 f19 | W3 wire colour=blue i20 i12 | W4 wire colour=black j21 R-19 | W5 wire colour=yellow h8 h13 | C1 electrolytic farads=1e-5 g13 g17 | W6 wire colour=yellow h19 h16 | C2 electrolytic farads=1e-5 g16 h12",
    ),
    (
        "a capacitor that is charged and lights a lamp",
        "S1 slide-switch b10 | W1 wire L+9 a10 | C1 electrolytic farads=1e-3 a11 L-10 | R1 resistor 1000 a12 a16 | D1 led b16 b18 | W2 wire colour=black a18 L-18",
    ),
    (
        "a zener with a lamp behind",
        "R1 resistor 100 L+5 a8 | D2 zener volts=3.3 L-8 b8 | R2 resistor 100 c8 c12 | D1 led a12 L-12",
    ),
    (
        "a motor with switch, diode and fuse",
        "W1 wire L+5 a5 | F1 fuse b5 b9 | S1 slide-switch d9 | M1 motor a10 a16 | D1 diode type=1n4001 b16 b10 | W2 wire colour=black c16 L-16",
    ),
    (
        "a bridge of resistors",
        "R1 resistor 1000 L+5 a10 | R2 resistor 1000 b10 L-9 | R3 resistor 1000 R+5 j10 | R4 resistor 2200 i10 R-9 | R5 resistor 1000 c10 h10",
    ),
    (
        "lamps one beside the other, one switch",
        "S1 slide-switch b5 | W1 wire L+5 a5 | R1 resistor 220 a6 a10 | D1 led b10 b12 | W2 wire colour=black a12 L-12 | R2 resistor 220 c6 j6 | D2 led colour=green h6 h9 | W3 wire colour=black j9 R-9",
    ),
    (
        "a slide switch that gives a chip's input + or −",
        "U1 74hc04 e10 | W1 wire R+9 j10 | W2 wire colour=black a16 L-16 | C1 capacitor R+8 R-8 | S1 slide-switch c3 | W3 wire L+3 a3 | W4 wire colour=black a5 L-5 | W5 wire colour=yellow a4 a10 | R1 resistor 470 b11 b20 | D1 led e20 f20 | W6 wire colour=black j20 R-18 | W7 wire colour=black a12 L-11 | W8 wire colour=black a14 L-13 | W9 wire colour=black j11 R-11 | W10 wire colour=black j13 R-13 | W11 wire colour=black j15 R-15",
    ),
    (
        "a motor that two slide switches turn either way, beside a chip",
        "U1 74hc04 e20 | W1 wire R+19 j20 | W2 wire colour=black a26 L-20 | C1 capacitor R+8 R-8 | S1 slide-switch c3 | W3 wire L+3 a3 | W4 wire colour=black a5 L-5 | S2 slide-switch c9 | W5 wire L+9 a9 | W6 wire colour=black a11 L-11 | M1 motor a4 a10 | W7 wire colour=black a20 L-14 | W8 wire colour=black a22 L-15 | W9 wire colour=black a24 L-16 | W10 wire colour=black j21 R-11 | W11 wire colour=black j23 R-13 | W12 wire colour=black j25 R-15",
    ),
    (
        "two inverters side by side that light a lamp",
        "U1 74hc04 e10 | W1 wire R+9 j10 | W2 wire colour=black a16 L-16 | C1 capacitor R+8 R-8 | SB1 push-button e3 | W3 wire L+3 a3 | W4 wire colour=yellow a5 a10 | R2 resistor 10000 b10 L-10 | W5 wire colour=yellow c10 c12 | W6 wire colour=yellow b11 b13 | R1 resistor 470 c11 c20 | D1 led e20 f20 | W7 wire colour=black j20 R-18 | W8 wire colour=black a14 L-13 | W9 wire colour=black j11 R-11 | W10 wire colour=black j13 R-13 | W11 wire colour=black j15 R-15",
    ),
    ("a buzzer with a button", "SB1 push-button e10 | W1 wire L+9 a10 | BZ1 buzzer a12 L-12"),
    (
        "a lamp that a knob dims, its track used at both ends",
        "RV1 potentiometer ohms=1000 c10 | W1 wire L+9 a10 | W2 wire colour=black a12 L-12 | R1 resistor 220 a11 a15 | D1 led b15 b18 | W3 wire colour=black a18 L-18",
    ),
    (
        "two lamps against each other on a signal source",
        "SG1 signal hertz=1 amplitude_volts=5 a5 a8 | R1 resistor 220 b5 b12 | D1 led c12 c15 | D2 led d15 d12 | W1 wire colour=black b8 b15",
    ),
    (
        "an op-amp that follows a knob",
        "U1 op-amp e10 | W1 wire R+9 j10 | W2 wire colour=black a13 L-13 | C9 capacitor R+8 R-8 | RV1 potentiometer c20 | W3 wire L+20 a20 | W4 wire colour=black a22 L-22 | W5 wire colour=yellow a21 a12 | W6 wire colour=blue b10 b11 | R1 resistor 470 c10 c16 | D1 led a16 L-16 | W7 wire colour=blue i11 i12 | W8 wire colour=black j13 R-13",
    ),
    (
        "a gate with two buttons and pull-downs",
        "U1 74hc08 e10 | W1 wire R+9 j10 | W2 wire colour=black a16 L-16 | C9 capacitor R+8 R-8 | SB1 push-button e20 | W3 wire L+20 a20 | R1 resistor 10000 a22 L-21 | W4 wire colour=yellow b22 a10 | SB2 push-button e25 | W5 wire L+24 a25 | R2 resistor 10000 a27 L-24 | W6 wire colour=green b27 a11 | R3 resistor 470 c12 c18 | D1 led a18 L-17 | W7 wire colour=black a13 L-12 | W8 wire colour=black a14 L-14 | W9 wire colour=black j11 R-10 | W10 wire colour=black i12 R-11",
    ),
];

/// Benches whose right + rail has something before it.
const RAILS: &[(&str, &str)] = &[
    ("a master switch", "S1 slide-switch b10 | W1 wire L+10 a10 | W2 wire colour=yellow a11 R+8"),
    ("a diode against turned supplies", "W1 wire L+10 a10 | D2 diode type=1n4001 b10 b14 | W2 wire a14 R+9"),
    ("a fuse", "W1 wire L+10 a10 | F1 fuse b10 b14 | W2 wire a14 R+9"),
    (
        "a regulator",
        "W1 wire L+10 a10 | U1 regulator type=low-drop b10 | W2 wire colour=black a11 L-11 | W3 wire a12 R+9 | C1 capacitor farads=1e-6 d10 d11 | C2 electrolytic farads=1e-5 d12 c11",
    ),
    (
        "a transistor that switches it",
        "Q1 mosfet type=tp0610l c10 c11 c12 | W1 wire L+10 a10 | R2 resistor 10000 b10 b11 | W2 wire a12 R+9 | SB1 push-button e11 | W3 wire colour=black a13 L-13",
    ),
];

#[test]
fn what_a_class_builds_is_right() {
    let mut wrong = Vec::new();
    let rails = RAILS.iter().map(|(what, parts)| {
        let lamp = "R1 resistor 220 R+5 j5 | D1 led g5 g8 | X3 wire colour=black j8 R-8";
        (what, format!("BT1 battery cells=6 L+1 L-1 | X2 wire colour=black L-25 R-25 | {lamp} | {parts}"))
    });
    let circuits = CIRCUITS.iter().map(|(what, parts)| (what, format!("{B} | {parts}")));
    for (what, bench) in circuits.chain(rails) {
        for found in findings(&bench) {
            if found.severity != Severity::Habit {
                wrong.push(format!("{what}: {}: {} {}", found.code, found.says, found.remedy));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Right benches that look like a line of the table and must have no finding at all.
const RIGHT: &[&str] = &[
    // Two equal packs side by side; two packs in series.
    "BT1 battery L+1 L-1 | BT2 battery L+3 L-3 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
    "BT1 battery cells=2 L+1 a20 | BT2 battery cells=2 b20 L-3 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
    // A switch between + and −, which it never joins.
    "BT1 battery L+1 L-1 | W1 wire L+8 a10 | W2 wire colour=black L-10 a12 | S1 slide-switch b10 | R1 resistor 220 a11 a16 | D1 led b16 b18 | W3 wire colour=black a18 L-16",
    "BT1 battery L+1 L-1 | W1 wire L+8 a10 | W2 wire colour=black L-10 a12 | S1 slide-switch b10 to=3 | R1 resistor 220 a11 a16 | D1 led b16 b18 | W3 wire colour=black a18 L-16",
    // Two cells are enough for red; three for blue.
    "BT1 battery cells=2 L+1 L-1 | R1 resistor 47 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
    "BT1 battery cells=3 L+1 L-1 | R1 resistor 100 L+5 b5 | D1 led colour=blue e5 e8 | W1 wire colour=black a8 L-8",
    // 5.504 V across 150 Ω are 200 mW.
    "BT1 battery L+1 L-1 | R1 resistor 150 L+5 b5 | W1 wire colour=black a5 L-8",
    // A diode holds what an LED does not, and one that catches stands right.
    "BT1 battery cell=9v-block cells=1 L+1 L-1 | R1 resistor 1000 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8 | D2 diode c8 c5",
    // The supply's limit is above what the lamp takes.
    "PS1 supply volts=5 limit_amps=0.03 L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
    // A coin cell and an LED: what the cell can't give keeps it whole.
    "BT1 battery cell=cr2032 cells=1 L+1 L-1 | R1 resistor 100 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
    // A potentiometer as a rheostat: two of its pins joined by a wire.
    "BT1 battery L+1 L-1 | W1 wire L+5 a10 | RV1 potentiometer ohms=1000 b10 | W2 wire colour=blue c11 c12 | R1 resistor 220 a12 a16 | D1 led b16 b18 | W3 wire colour=black a18 L-16",
    // A chip whose unused inputs are tied; a motor with its diode; a capacitor the right way round.
    "PS1 usb L+1 L-1 | U1 74hc04 e10 | W1 wire L+25 R+25 | W2 wire R+10 j10 | W3 wire colour=black L-14 a16 | C1 capacitor L+12 L-12 | W4 wire colour=black L-8 a10 | W5 wire colour=black L-9 a12 | W6 wire colour=black L-10 a14 | W7 wire colour=black L-25 R-25 | W8 wire colour=black R-8 j11 | W9 wire colour=black R-9 j13 | W10 wire colour=black R-11 j15",
    "BT1 battery L+1 L-1 | M1 motor L+5 a5 | D1 diode type=1n4001 b5 L+7 | Q1 transistor e7 e6 e5 | R1 resistor 1000 L+8 a6 | W1 wire colour=black a7 L-7",
    "BT1 battery L+1 L-1 | R2 resistor 220 L+5 a5 | C1 electrolytic b5 L-7",
    // A chip behind a switch that is off.
    "BT1 battery L+1 L-1 | S1 slide-switch b20 | W4 wire L+20 a21 | W5 wire a20 R+20 | U1 555 e10 | W2 wire R+10 j10 | W3 wire colour=black L-9 a10 | C1 capacitor R+12 R-12 | W8 wire colour=black L-25 R-25 | W6 wire colour=black L-8 a11 | W7 wire colour=blue c11 h12",
    // An output that feeds an input of the same chip.
    "PS1 usb L+1 L-1 | U1 74hc04 e10 | W1 wire L+25 R+25 | W2 wire R+10 j10 | W3 wire colour=black L-14 a16 | C1 capacitor L+12 L-12 | W4 wire colour=black L-8 a10 | W5 wire colour=blue b11 b12 | W6 wire colour=black L-10 a14 | W7 wire colour=black L-25 R-25 | W8 wire colour=black R-8 j11 | W9 wire colour=black R-9 j13 | W10 wire colour=black R-11 j15",
    // A large MOSFET: gate, drain, source, its source at −.
    "BT1 battery L+1 L-1 | M1 motor L+5 a11 | D1 diode type=1n4001 b11 L+9 | Q1 power-mosfet c10 | R1 resistor 10000 a10 L-8 | R2 resistor 100 b10 b20 | SB1 push-button e20 | W2 wire L+20 j22 | W1 wire colour=black a12 L-12",
    // Leads of a supply in rows, where no sign is printed.
    "BT1 battery a1 a20 | R1 resistor 220 b1 b5 | D1 led e5 e8 | W1 wire colour=black a8 b20",
];

#[test]
fn right_benches_that_look_alike_have_no_finding() {
    for bench in RIGHT {
        let found = findings(bench);
        assert!(
            found.is_empty(),
            "{bench}:\n{}",
            found.iter().map(|it| format!("  {}: {}\n", it.code, it.says)).collect::<String>()
        );
    }
}
