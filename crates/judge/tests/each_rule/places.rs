//! Legs, rails and rows, signs and colours, and whatever is in backwards.

use halfrow_judge::Severity::{Fault, Habit, Risk};

use crate::Told;

pub const LINES: &[(&str, &[Told])] = &[
    // Legs. Whether a leg that is barely in touches is settled by its name.
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5~ | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("leg-barely", Risk, "R1’s second leg is barely in b5: its contact comes and goes.")],
    ),
    (
        "BT1 battery L+1 L-1 | R2 resistor 220 L+5~ b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[(
            "leg-barely",
            Fault,
            "R2’s first leg is barely in L+5: its contact comes and goes, and just now it does not touch",
        )],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 _ | W1 wire colour=black a8 L-8",
        &[("leg-in-air", Risk, "D1’s short leg is in the air; its other leg is in e5")],
    ),
    (
        "BT1 battery L+1 _ | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("leg-in-air", Risk, "BT1’s black lead (−) is in the air; its other leg is in L+1")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5! e8 | W1 wire colour=black a8 L-8",
        &[("leg-out", Fault, "D1’s long leg is not pushed in: it rests over e5")],
    ),
    // Of a blinker at rest: what will burn it is told, not that it has burnt.
    (
        "BT1 battery L+1 L-1 | U1 555 e10 | W1 wire colour=black a10 L-9 | W2 wire j10 R+9 | W3 wire L+11 a13 | W4 wire L+25 R+25 | W5 wire colour=yellow b11 g12 | R1 resistor 1000 R+10 j11 | R2 resistor 47000 i11 i12 | C1 electrolytic farads=1e-5 L-13 a11 | C2 capacitor R+12 R-12 | W6 wire colour=black L-25 R-25",
        &[("backwards", Fault, "C1 is backwards: its long leg (+) is in L-13, towards −")],
    ),
    (
        "BT1 battery L+1 L-1 | U1 555 e10 | W1 wire colour=black a10 L-9 | W2 wire j10 R+9 | W3 wire L+11 a13 | W4 wire L+25 R+25 | W5 wire colour=yellow b11 g12 | R1 resistor 1000 R+10 j11 | R2 resistor 47000 i11 i12 | C1 electrolytic farads=1e-5 a11 L-13 | C2 capacitor R+12 R-12 | W6 wire colour=black L-25 R-25 | R3 resistor 220 c11 c18 | D1 led a18 L-18",
        &[(
            "output-idle",
            Risk,
            "D1 hangs at U1’s input, its pin 2 (TRIG) in e11, and nothing is joined to its pin 3 (OUT) in e12",
        )],
    ),
    (
        "SG1 signal shape=square offset_volts=-5 amplitude_volts=0.1 L+1 L-1 | R1 resistor 1000 L+5 a5 | C1 electrolytic b5 L-7",
        &[("too-much-reverse", Fault, "C1 (b5 and L-7) has")],
    ),
    (
        "BT1 battery L+1 L-1 | M1 motor L+5 a11 | D1 diode type=1n4001 b11 L+9 | Q1 power-mosfet c10 type=p | R1 resistor 10000 a10 L-8 | R2 resistor 100 b10 b20 | SB1 push-button e20 | W2 wire L+20 j22 | W1 wire colour=black a12 L-12",
        &[("transistor-sort", Fault, "has its last pin (source) in c12 at −; this sort has it towards +")],
    ),
    (
        "split | BT1 battery L+1 L-1 | R1 resistor 220 L+20 b20 | D1 led e20 e23 | W1 wire colour=black a23 L-22",
        &[
            ("rail-split", Fault, "The lower part of the left + rail has no power"),
            ("rail-split", Fault, "The lower part of the left − rail has no power"),
        ],
    ),
    // Values.
    (
        "BT1 battery L+1 L-1 | SB1 push-button e10 | W2 wire L+8 a10 | R1 resistor 10 a12 a16 | D1 led b16 b18 | W1 wire colour=black a18 L-16",
        &[(
            "too-much-when-worked",
            Risk,
            "can let 220 mA through D1 (b16 and b18); it takes 30.0 mA at most",
        )],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220000 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("too-little-current", Risk, "R1 has 220 kΩ: the 17")],
    ),
    (
        "BT1 battery charge=0.05 L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("pack-empty", Risk, "BT1 is all but empty: 4.20 V are left")],
    ),
    // No supply, no path.
    (
        "R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("no-supply", Habit, "Nothing is connected to a supply yet.")],
    ),
    (
        "BT1 battery _ _ | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("no-supply", Habit, "both leads of BT1 are in the air")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 a20 a25 | D1 led b25 b28",
        &[(
            "no-path",
            Risk,
            "R1 and D1 are not joined to both + and − of a supply. Alone in their rows: R1’s first leg in a20 and D1’s short leg in b28",
        )],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8 | W2 wire L+9 a20 | W3 wire L+11 b20",
        &[(
            "idle-wire",
            Habit,
            "The red wire W2 and the red wire W3 have nothing to do (L+9, a20, L+11 and b20)",
        )],
    ),
    // Signs and colours.
    (
        "BT1 battery R-1 L-1 | R1 resistor 220 R-5 j5 | D1 led f5 e5 | W1 wire colour=blue a5 L-5",
        &[("lead-sign", Habit, "BT1’s red lead (+) is in R-1, in the right − rail")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire a8 L-8",
        &[("wire-colour", Habit, "W1 is red and ends in a − rail (L-8)")],
    ),
    (
        "BT1 battery L+1 L-1 | W2 wire colour=black L+5 a5 | R1 resistor 220 b5 b8 | D1 led e8 e11 | W1 wire colour=black a11 L-8",
        &[("wire-colour", Habit, "W2 is black and ends in a + rail (L+5)")],
    ),
    // Around a part.
    (
        "BT1 battery L+1 L-1 | W2 wire L+5 a5 | R1 resistor 220 b5 b8 | W3 wire colour=blue c5 c8 | D1 led e8 e11 | W1 wire colour=black a11 L-8",
        &[("bypassed", Fault, "R1 (b5 and b8) is bypassed: the blue wire W3 joins its legs")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8 | R2 resistor 220 a20 b20",
        &[("bypassed", Fault, "R2 is bypassed: both legs are in row 20, left half (a20 and b20)")],
    ),
    (
        "BT1 battery L+1 L-1 | BT2 battery L-3 L+3 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("supplies-fight", Fault, "Around it 11.0 V is left over")],
    ),
    // Whoever is the wrong way round.
    (
        "BT1 battery L-1 L+1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("supply-backwards", Fault, "its red lead (+) is in L-1, the left − rail")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D2 diode e8 e5 | D1 led c8 c11 | W1 wire colour=black a11 L-8",
        &[("backwards", Fault, "D2 is backwards: its plain end (anode) is in e8")],
    ),
    // Nothing that limits.
    (
        "BT1 battery L+1 L-1 | W2 wire L+5 a5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("led-no-resistor", Fault, "D1 (e5 and e8) has no resistor")],
    ),
    // Rails.
    (
        "split | BT1 battery L+1 L-1 | R1 resistor 220 L+20 b24 | D1 led e24 e27 | W1 wire colour=black a27 L-12",
        &[("rail-split", Fault, "the rail is split between L+12 and L+13")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 f5 | W1 wire colour=black j5 R-5",
        &[("rail-unpowered", Fault, "The right − rail is used (R-5), and nothing joins it to the supply")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L+8",
        &[("wrong-rail", Fault, "The black wire W1’s second end is in L+8")],
    ),
    // Rows.
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e6 e8 | W1 wire colour=black a8 L-8",
        &[("leg-alone", Fault, "b5")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e6 f6 | R2 resistor 220 j5 j9 | W1 wire colour=black i9 R-7 | W2 wire colour=black L-25 R-25",
        &[("part-off", Fault, "D1 stands in e6 and f6; the legs that it should meet wait one row up")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8",
        &[("open-end", Risk, "D1’s short leg is alone in row 8, left half (e8)")],
    ),
];
