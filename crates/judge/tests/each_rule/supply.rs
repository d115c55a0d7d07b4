//! Supplies, switches, voltages, and too much of something.

use halfrow_judge::Severity::{Fault, Risk};

use crate::Told;

pub const LINES: &[(&str, &[Told])] = &[
    // Supplies.
    (
        "BT1 battery L+1 L-1 | BT2 battery cells=2 L+3 L-3 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("supplies-fight", Fault, "Around it 2.75 V is left over")],
    ),
    (
        "BT1 battery L+1 L-1 | S1 slide-switch b10 to=3 | W1 wire L+8 a10 | W2 wire colour=black L-9 a11",
        &[(
            "short-when-switched",
            Risk,
            "S1 can short-circuit BT1: in one position the path from + to − goes through S1 (b11 and b10)",
        )],
    ),
    (
        "BT1 battery L+1 L-1 | SB1 push-button e10 | W1 wire L+8 a10 | W2 wire colour=black L-9 a12",
        &[("short-when-switched", Risk, "SB1 can short-circuit BT1")],
    ),
    (
        "BT1 battery L+1 L-1 | SB1 push-button e10 pressed=yes | W1 wire L+8 a10 | W2 wire colour=black L-9 a12",
        &[("short-circuit", Fault, "BT1 is short-circuited through W1, SB1 and W2: nothing but metal")],
    ),
    // Switches.
    (
        "BT1 battery L+1 L-1 | SB1 push-button d10/90 | W1 wire L+8 a10 | R1 resistor 220 a13 a16 | D1 led b16 b18 | W2 wire colour=black a18 L-16",
        &[("always-on", Fault, "SB1 is always on: its leg 1 and leg 3 are in one strip (d10 and b10)")],
    ),
    (
        "BT1 battery L+1 L-1 | SB1 push-button e10 | W1 wire L+8 a10 | R1 resistor 220 j10 j16 | D1 led i16 i18 | W2 wire colour=black j18 R-16 | W3 wire colour=black L-25 R-25",
        &[("always-on", Fault, "the circuit uses e10 and f10, which are one piece of metal inside")],
    ),
    (
        "BT1 battery L+1 L-1 | S1 slide-switch b10 | W1 wire L+8 a10 | W3 wire colour=blue c10 c11 | R1 resistor 220 a11 a16 | D1 led b16 b18 | W2 wire colour=black a18 L-16",
        &[("always-on", Fault, "are joined by wire")],
    ),
    (
        "BT1 battery L+1 L-1 | M1 motor L+5 a11 | D1 diode type=1n4001 b11 L+9 | Q1 power-mosfet c10 | R1 resistor 10000 a10 L-8 | R2 resistor 100 b10 b20 | SB1 push-button e20 | W2 wire L-20 j22 | W1 wire colour=black a12 L-12",
        &[("idle-switch", Fault, "SB1 changes nothing: both of its sides lead to − alone")],
    ),
    // Loose ends and parts that are not there.
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8 | W2 wire L+9 a20",
        &[("loose-end", Risk, "W2’s second end is in a20, alone in its row")],
    ),
    (
        "PS1 usb L+1 L-1 | W1 wire L+25 R+25 | W2 wire R+10 j10 | W3 wire colour=black L-14 a16 | C1 capacitor L+12 L-12 | W4 wire colour=black L-8 a10 | W5 wire colour=blue b11 b12 | W6 wire colour=black L-10 a14 | W7 wire colour=black L-25 R-25 | W8 wire colour=black R-8 j11 | W9 wire colour=black R-9 j13 | W10 wire colour=black R-11 j15",
        &[("part-missing", Risk, "end in rows 10 to 16 with nothing else beside them")],
    ),
    (
        "PS1 usb L+1 L-1 | U1 74hc04 e10 | W1 wire L+25 R+25 | W2 wire R+10 j10 | W3 wire colour=black L-14 a16 | C1 capacitor L+12 L-12 | W4 wire L-8 a10 | W5 wire colour=blue b11 b12 | W6 wire colour=black L-10 a14 | W7 wire colour=black L-25 R-25 | W8 wire colour=black R-8 j11 | W9 wire colour=black R-9 j13 | W10 wire colour=black R-11 j15",
        &[("wire-colour", Risk, "W4’s first end is in L-8, in a − rail, and red stands for +")],
    ),
    // Voltage.
    (
        "BT1 battery cells=1 L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[(
            "supply-too-low",
            Fault,
            "D1 can’t light: the path through it needs 1.77 V at least, and BT1 has only 1.38 V",
        )],
    ),
    (
        "BT1 battery cells=3 L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led colour=blue e5 e8 | D2 led colour=blue a8 a10 | W1 wire colour=black b10 L-8",
        &[("supply-too-low", Fault, "D1 and D2 can’t light")],
    ),
    // Too much of something.
    (
        "BT1 battery L+1 L-1 | R1 resistor 47 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        // (5.504 − 1.92 − 0.06) V / 52.8 Ω and some contacts.
        &[("too-much-current", Fault, "66.5 mA flow through D1 (e5 and e8); it takes 30.0 mA at most")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 47 L+5 b5 | W1 wire colour=black a5 L-8",
        // (5.504 V / 48.8 Ω)² · 47 Ω
        &[("too-much-power", Fault, "R1 47 Ω (L+5 and b5) turns 596 mW into heat; it takes 250 mW at most")],
    ),
    (
        "BT1 battery cell=9v-block cells=1 L+1 L-1 | R1 resistor 1000 L+5 b5 | D1 led e8 e5 | W1 wire colour=black a8 L-8",
        &[("backwards", Fault, "its long leg is in e8, towards −")],
    ),
    (
        "BT1 battery cell=cr2032 cells=1 L+1 L-1 | R1 resistor 18 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        // (3.00 − 1.92 − 0.01) V / (20.4 + 18 + 4) Ω, less 0.1 mA: the cell's ohms follow a curve
        &[("source-overloaded", Fault, "BT1 gives 25.1 mA; it is built for 15.0 mA at most")],
    ),
    (
        "PS1 supply volts=5 limit_amps=0.01 L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("source-overloaded", Risk, "PS1 is at its current limit of 10.0 mA")],
    ),
    (
        "BT1 battery L+1 L-1 | SB1 push-button e10 pressed=yes | W1 wire L+8 a10 | R1 resistor 220 d12 d16 | R2 resistor 220 c12 c16 | R3 resistor 220 b12 b16 | W2 wire colour=black a16 L-14",
        // 5.504 V / (220 Ω / 3 + 1.76 Ω)
        &[(
            "too-much-current",
            Fault,
            "73.1 mA flow through SB1 (e10, f10, e12 and f12); it takes 50.0 mA at most",
        )],
    ),
    (
        "BT1 battery L+1 L-1 | TH1 thermistor celsius=125 L+5 b5 | W1 wire colour=black a5 L-8",
        &[("too-much-power", Fault, "it takes 50.0 mW at most")],
    ),
];
