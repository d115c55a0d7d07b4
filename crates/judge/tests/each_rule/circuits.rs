//! Causes and what follows from them, chips, transistors and what they drive.

use halfrow_judge::Severity::{Fault, Habit, Risk};

use crate::Told;

pub const LINES: &[(&str, &[Told])] = &[
    // One cause, one finding.
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | D2 led d8 d5 | W1 wire colour=black a8 L-8",
        &[("backwards", Fault, "D2 is backwards: its long leg is in d8, towards −")],
    ),
    (
        "BT1 battery L+1 L-1 | W2 wire L+5 a5 | D1 led e5 e8 | W1 wire a8 L+8",
        &[("wrong-rail", Fault, "The red wire W1’s second end is in L+8")],
    ),
    (
        "BT1 battery L+1 L-1 | W2 wire L+5 a5 | R1 resistor 220 b5 b8 | W3 wire colour=blue c5 c15 | W4 wire colour=blue d15 d8 | D1 led e8 e11 | W1 wire colour=black a11 L-8",
        &[("bypassed", Fault, "W3 and W4 join its legs")],
    ),
    (
        "BT1 battery cell=9v-block cells=1 L-1 L+1 | R1 resistor 1000 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("supply-backwards", Fault, "its red lead (+) is in L-1")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8 | W9 wire colour=blue a20 b20",
        &[("bypassed", Habit, "both ends are in row 20, left half (a20 and b20)")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 22 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("too-much-current", Fault, "mA flow through D1 (e5 and e8); it takes 30.0 mA at most")],
    ),
    (
        "BT1 battery L+1 L-1 | W1 wire L+3 a10 | RV1 potentiometer ohms=1000 position=0 b10 | D1 led c11 c14 | W2 wire colour=black a14 L-12",
        &[("too-much-current", Fault, "mA flow through D1 (c11 and c14)")],
    ),
    ("BT1 battery L+1 L-1 | SB1 push-button d10/90", &[("always-on", Fault, "(d10 and b10)")]),
    // A supply of another circuit does not help.
    (
        "BT1 battery cells=1 L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8 | BT2 battery R+1 R-1 | R2 resistor 220 R+5 i5 | D2 led f5 f8 | W2 wire colour=black j8 R-8",
        &[(
            "supply-too-low",
            Fault,
            "D1 can’t light: the path through it needs 1.77 V at least, and BT1 has only 1.38 V",
        )],
    ),
    // Chips. Pin 1 at e10, then down; the last pin at f10.
    (
        "PS1 usb L+1 L-1 | U1 74hc00 f16/180 | W1 wire L+25 R+25 | W2 wire R+10 j10 | W3 wire colour=black L-14 a16 | C1 capacitor L+12 L-12",
        &[("chip-turned", Fault, "U1 is turned round")],
    ),
    (
        "PS1 usb L+1 L-1 | U1 555 e10 | W1 wire L+25 R+25 | W2 wire L+8 a10 | W3 wire colour=black L-25 R-25 | W4 wire colour=black R-8 j10 | C1 capacitor L+12 L-12",
        &[("chip-reversed", Fault, "its pin 8 (VCC) in f10 is at −, its pin 1 (GND) in e10 at +")],
    ),
    (
        "PS1 usb L+1 L-1 | U1 555 e10 | W3 wire colour=black L-9 a10 | C1 capacitor L+12 L-12 | R1 resistor 1000 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("chip-unpowered", Fault, "U1 has no power: its pin 8 (VCC) in f10 doesn’t reach +")],
    ),
    // The wire to its power pin is a row off; a pull-up at an input keeps it half alive.
    (
        "PS1 usb L+1 L-1 | U1 74hc04 e10 | W1 wire L+25 R+25 | W3 wire colour=black L-14 a16 | C1 capacitor R+12 R-12 | R1 resistor 1000 L+8 a10 | W5 wire colour=blue b11 b12 | W6 wire colour=black L-10 a14 | W7 wire colour=black L-25 R-25 | W8 wire colour=black R-8 j11 | W9 wire colour=black R-9 j13 | W10 wire colour=black R-11 j15",
        &[("chip-unpowered", Fault, "U1 has no power: its pin 14 (VCC) in f10 doesn’t reach +")],
    ),
    (
        "PS1 usb L+1 L-1 | U1 74hc04 e10 | W1 wire L+25 R+25 | W2 wire R+10 j9 | W3 wire colour=black L-14 a16 | C1 capacitor R+12 R-12 | R1 resistor 1000 L+8 a10 | W5 wire colour=blue b11 b12 | W6 wire colour=black L-10 a14 | W7 wire colour=black L-25 R-25 | W8 wire colour=black R-8 j11 | W9 wire colour=black R-9 j13 | W10 wire colour=black R-11 j15",
        &[(
            "leg-alone",
            Fault,
            "U1’s pin 14 (VCC) is in f10; the red wire W2 beside it is in j9, one row up",
        )],
    ),
    (
        "BT1 battery cell=9v-block cells=1 L+1 L-1 | U1 74hc04 e10 | W1 wire L+25 R+25 | W2 wire R+10 j10 | W3 wire colour=black L-14 a16 | C1 capacitor L+12 L-12 | W4 wire colour=black L-8 a10 | W5 wire colour=black L-9 a12 | W6 wire colour=black L-10 a14 | W7 wire colour=black L-25 R-25 | W8 wire colour=black R-8 j11 | W9 wire colour=black R-9 j13 | W10 wire colour=black R-11 j15",
        // 8.28 V behind 1.9 Ω, less what the chip takes.
        &[("chip-supply", Fault, "between its power pins; it takes 6 V at most")],
    ),
    (
        "PS1 usb L+1 L-1 | U1 74hc04 e10 | W1 wire L+25 R+25 | W2 wire R+10 j10 | W3 wire colour=black L-14 a16 | C1 capacitor L+12 L-12 | W4 wire colour=blue b11 b13 | W7 wire L+5 a10 | W8 wire colour=black L-10 a12 | R1 resistor 330 c11 c20 | D1 led d20 d22 | W9 wire colour=black a22 L-20",
        &[
            ("outputs-fight", Fault, "its pin 4 (2Y) in e13 and U1 its pin 2 (1Y) in e11"),
            ("input-unused", Habit, "its pin 5 (3A) in e14"),
        ],
    ),
    (
        "PS1 usb L+1 L-1 | U1 74hc04 e10 | W1 wire L+25 R+25 | W2 wire R+10 j10 | W3 wire colour=black L-14 a16 | R1 resistor 330 c11 c20 | D1 led d20 d22 | W9 wire colour=black a22 L-20",
        &[
            ("input-floating", Fault, "its pin 1 (1A) in e10 floats"),
            ("input-unused", Habit, "its pin 13 (6A) in f11"),
            ("no-decoupling", Habit, "between + and − of U1"),
        ],
    ),
    (
        "PS1 usb L+1 L-1 | U1 74hc04 e10 | W1 wire L+25 R+25 | W2 wire R+10 j10 | W3 wire colour=black L-14 a16 | C1 capacitor L+12 L-12 | S1 push-button b1 | W4 wire L+3 a1 | W5 wire colour=blue c3 c10 | R1 resistor 330 c11 c20 | D1 led d20 d22 | W9 wire colour=black a22 L-20",
        &[
            ("input-let-go", Risk, "its pin 1 (1A) in e10 is joined to a switch alone"),
            ("input-unused", Habit, "its pin 3 (2A) in e12"),
        ],
    ),
    (
        "PS1 usb L+1 L-1 | U1 comparator e10 | W1 wire L+25 R+25 | W2 wire R+10 j10 | W3 wire colour=black L-14 a13 | W4 wire L+9 a10 | C1 capacitor L+12 L-12",
        &[
            ("output-shorted", Fault, "its pin 1 (OUT 1) in e10 is joined to + by metal"),
            ("input-floating", Fault, "its pin 2 (IN 1 −) in e11 and its pin 3 (IN 1 +) in e12 float"),
            ("input-unused", Habit, "its pin 5 (IN 2 +) in f13"),
        ],
    ),
    // A comparator whose output lets go into nothing, a regulator turned round, a digit of the other sort.
    (
        "PS1 usb L+1 L-1 | U1 comparator e10 | W1 wire L+25 R+25 | W2 wire R+9 j10 | W3 wire colour=black a13 L-13 | C1 capacitor R+8 R-8 | W4 wire colour=black L-25 R-25 | R1 resistor 10000 L+11 a11 | R2 resistor 10000 b11 L-11 | R3 resistor 1000 L+12 a12 | R4 resistor 220 b10 b5 | D1 led a5 L-5 | W5 wire colour=black j11 R-11 | W6 wire colour=black j12 R-12 | W7 wire j13 R+13",
        &[("no-pull-up", Fault, "U1: its pin 1 (OUT 1) in e10 can only pull down, and nothing pulls it up")],
    ),
    (
        "BT1 battery cell=9v-block cells=1 L+1 L-1 | U1 regulator e10 | W1 wire L+9 a12 | W2 wire colour=black L-9 a11 | R1 resistor 1000 b10 b16 | D1 led a16 L-16",
        &[("chip-turned", Fault, "U1 is turned round: + is at its last pin (OUT) in e12")],
    ),
    (
        "BT1 battery L+1 L-1 | D1 rgb-led common=anode e10 e11 e12 e13 | W1 wire colour=black a11 L-9 | R1 resistor 220 L+12 a10 | R2 resistor 220 L+13 a12 | R3 resistor 220 L+14 a13",
        &[("wrong-common", Fault, "D1’s longest leg (common) is at −; this sort has it at +")],
    ),
    // Three colours at 10 mA each are no 30 mA.
    (
        "BT1 battery L+1 L-1 | D1 rgb-led e10 e11 e12 e13 | W1 wire colour=black a11 L-9 | R1 resistor 220 L+12 a10 | R2 resistor 220 L+13 a12 | R3 resistor 220 L+14 a13",
        &[],
    ),
    (
        "BT1 battery cell=9v-block cells=1 L+1 L-1 | C1 electrolytic farads=1e-5 volts=6.3 L+5 L-5 | R1 resistor 1000 L+7 b7 | D1 led e7 e9 | W1 wire colour=black a9 L-9",
        &[("too-much-voltage", Fault, "C1 (L+5 and L-5) has 8.")],
    ),
    // A base over a button alone, and a slide switch with nothing at one of its sides.
    (
        "BT1 battery L+1 L-1 | R2 resistor 220 L+5 a5 | D1 led b5 b9 | Q1 transistor e11 e10 e9 | SB1 push-button e20 | W1 wire L+18 a20 | W2 wire a22 a10 | W3 wire colour=black a11 L-9",
        &[("base-no-resistor", Fault, "it is joined to the supply by nothing but a switch")],
    ),
    (
        "BT1 battery L+1 L-1 | X1 wire L+25 R+25 | X2 wire colour=black L-25 R-25 | U1 74hc04 e10 | W1 wire R+9 j10 | W2 wire colour=black a16 L-16 | C1 capacitor R+8 R-8 | S1 slide-switch c3 | W3 wire L+3 a3 | W5 wire colour=yellow a4 a10 | R1 resistor 470 b11 b20 | D1 led e20 f20 | W6 wire colour=black j20 R-18 | W7 wire colour=black a12 L-11 | W8 wire colour=black a14 L-13 | W9 wire colour=black j11 R-11 | W10 wire colour=black j13 R-13 | W11 wire colour=black j15 R-15",
        &[("input-let-go", Risk, "U1: its pin 1 (1A) in e10 is joined to a switch alone")],
    ),
    // Transistors.
    (
        "BT1 battery L+1 L-1 | M1 motor L+5 a5 | Q1 transistor e7 e6 e5 | R1 resistor 1000 L+8 a6 | W1 wire colour=black a7 L-7",
        &[("no-flyback", Risk, "No diode stands across M1, which Q1 switches")],
    ),
    (
        "BT1 battery L+1 L-1 | M1 motor L+5 a5 | D1 diode type=1n4001 L+7 b5 | Q1 transistor e7 e6 e5 | R1 resistor 1000 L+8 a6 | W1 wire colour=black a7 L-7",
        &[("flyback-backwards", Fault, "D1 across M1 is the wrong way round")],
    ),
    // More than an ampere flows through wires then; that is no other story.
    (
        "BT1 battery L+1 L-1 | M1 motor L+5 a11 | D1 diode type=1n4001 L+9 b11 | Q1 power-mosfet c10 | R1 resistor 10000 a10 L-8 | W2 wire L+20 b10 | W1 wire colour=black a12 L-12",
        &[("flyback-backwards", Fault, "D1 across M1 is the wrong way round")],
    ),
    (
        "BT1 battery L+1 L-1 | R2 resistor 220 L+5 a5 | D1 led b5 b9 | Q1 transistor e9 e10 e11 | R1 resistor 4700 L+8 a10 | W1 wire colour=black a11 L-9",
        &[(
            "transistor-legs",
            Fault,
            "its right leg (collector) in e11 is at −, where its left leg (emitter) in e9 belongs",
        )],
    ),
    (
        "BT1 battery L+1 L-1 | R2 resistor 220 L+5 a5 | D1 led b5 b9 | Q1 transistor e11 e10 e9 | W2 wire L+8 a10 | W1 wire colour=black a11 L-9",
        &[("base-no-resistor", Fault, "Q1’s middle leg (base) in e10: it is joined to the supply by metal")],
    ),
    (
        "BT1 battery L+1 L-1 | R2 resistor 220 L+5 a5 | D1 led b5 b9 | Q1 mosfet e11 e10 e9 | W1 wire colour=black a11 L-9",
        &[("input-floating", Fault, "its middle leg (gate) in e10 floats")],
    ),
    // Capacitors.
    (
        "BT1 battery L+1 L-1 | R2 resistor 220 L+5 a5 | C1 electrolytic L-7 b5",
        &[("backwards", Fault, "its long leg (+) is in L-7")],
    ),
];
