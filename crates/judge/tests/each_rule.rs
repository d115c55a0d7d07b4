//! What each rule finds: a line each with the whole list of findings and the hole or figure that
//! each of them names.
//!
//! Figures by hand, from the cards: four AA cells at 0.7 of their charge are
//! 4 · (0.9 + 0.7 · 0.68) = 5.504 V behind 4 · 0.44 = 1.76 Ω; a red LED has about
//! 1.92 V + 0.0517 V · ln(i / 20 mA) + 4 Ω · i; each contact has 0.02 Ω.

mod support;

use halfrow_judge::{Finding, Severity};
use support::findings;

/// Code, severity, and a piece of what the finding says.
type Told = (&'static str, Severity, &'static str);

use Severity::{Fault, Habit, Risk};

const TABLE: &[(&str, &[Told])] = &[
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
        &[("short-circuit", Fault, "– L+8 – the red wire W1 – a10 – e10 – SB1 – e12 –")],
    ),
    // Switches.
    (
        "BT1 battery L+1 L-1 | SB1 push-button d10/90 | W1 wire L+8 a10 | R1 resistor 220 a13 a16 | D1 led b16 b18 | W2 wire colour=black a18 L-16",
        &[("always-on", Fault, "SB1 is always on: its leg 1 and leg 3 are in one strip (d10 and b10)")],
    ),
    (
        "BT1 battery L+1 L-1 | SB1 push-button e10 | W1 wire L+8 a10 | R1 resistor 220 j10 j16 | D1 led i16 i18 | W2 wire colour=black j18 R-16 | W3 wire colour=black L-25 R-25",
        &[("always-on", Fault, "the circuit goes in at e10 and out at f10")],
    ),
    (
        "BT1 battery L+1 L-1 | S1 slide-switch b10 | W1 wire L+8 a10 | W3 wire colour=blue c10 c11 | R1 resistor 220 a11 a16 | D1 led b16 b18 | W2 wire colour=black a18 L-16",
        &[("always-on", Fault, "are joined by wire")],
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
        &[("too-much-current", Fault, "66.5 mA flow through D1 (e5 and e8); it stands 30.0 mA")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 47 L+5 b5 | W1 wire colour=black a5 L-8",
        // (5.504 V / 48.8 Ω)² · 47 Ω
        &[("too-much-power", Fault, "R1 47 Ω (L+5 and b5) turns 596 mW into heat; it stands 250 mW")],
    ),
    (
        "BT1 battery cell=9v-block cells=1 L+1 L-1 | R1 resistor 1000 L+5 b5 | D1 led e8 e5 | W1 wire colour=black a8 L-8",
        // 5.4 V + 0.7 · 4.08 V, and no current that would drop any of it.
        &[
            ("backwards", Fault, "its long leg is in e8, towards −"),
            (
                "too-much-reverse",
                Fault,
                "D1 (e8 and e5) has 8.26 V across it against its direction; it holds 6.00 V",
            ),
        ],
    ),
    (
        "BT1 battery cell=cr2032 cells=1 L+1 L-1 | R1 resistor 10 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        // (2.77 − 1.92 − 0.01) V / (20.4 + 10 + 4) Ω
        &[("source-overloaded", Fault, "BT1 gives 24.3 mA; it is built for 15.0 mA at most")],
    ),
    (
        "PS1 supply volts=5 limit_amps=0.01 L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8",
        &[("source-overloaded", Risk, "PS1 is at its current limit of 10.0 mA")],
    ),
    (
        "BT1 battery L+1 L-1 | SB1 push-button e10 pressed=yes | W1 wire L+8 a10 | R1 resistor 220 d12 d16 | R2 resistor 220 c12 c16 | R3 resistor 220 b12 b16 | W2 wire colour=black a16 L-14",
        // 5.504 V / (220 Ω / 3 + 1.76 Ω)
        &[("too-much-current", Fault, "73.1 mA flow through SB1 (e10, f10, e12 and f12); it stands 50.0 mA")],
    ),
    (
        "BT1 battery L+1 L-1 | TH1 thermistor celsius=125 L+5 b5 | W1 wire colour=black a5 L-8",
        &[("too-much-power", Fault, "it stands 50.0 mW")],
    ),
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
        "BT1 battery L+1 L-1 | W1 wire L+5 a20",
        &[("idle-wire", Habit, "The red wire W1 has nothing to do (L+5 and a20)")],
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
        &[("bypassed", Fault, "R1 (b5 and b8) is bypassed: the blue wire W3 joins both of its legs")],
    ),
    (
        "BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8 | R2 resistor 220 a20 b20",
        &[("bypassed", Fault, "R2 is bypassed: both legs are in row 20, left half (a20 and b20)")],
    ),
];

#[test]
fn each_line_has_these_findings_and_no_others() {
    let mut wrong = Vec::new();
    for (bench, told) in TABLE {
        let found = findings(bench);
        if !are(&found, told) {
            wrong.push(format!("{bench}:\n{}", in_words(&found)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn are(found: &[Finding], told: &[Told]) -> bool {
    found.len() == told.len()
        && found.iter().zip(told).all(|(it, (code, severity, says))| {
            it.code == *code && it.severity == *severity && it.says.contains(says)
        })
}

fn in_words(found: &[Finding]) -> String {
    let line = |it: &Finding| format!("  {} {}: {}\n", it.severity.word(), it.code, it.says);
    found.iter().map(line).collect()
}
