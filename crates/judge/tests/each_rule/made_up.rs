//! What no line of text can make.

use halfrow_core::bench::PartIx;
use halfrow_core::board::Hole;
use halfrow_core::card::{Card, Footprint, Group, Limits, Pin, State};
use halfrow_core::part::{Part, Turn};
use halfrow_core::solve::solve;
use halfrow_core::stamp::Terminal;
use halfrow_core::time::{Care, Run, Stall};
use halfrow_judge::Severity::{Fault, Risk};
use halfrow_judge::{Finding, first_look as check};

use crate::Told;
use crate::support::bench;

/// A part with two rows of pins, which no kind has yet.
static TWO_ROWS: Card = Card {
    kind: "two-rows",
    name: "Two rows of pins",
    what: "Eight pins in two rows.",
    prefix: "U",
    group: Group::Resist,
    key: None,
    pins: &[
        Pin { name: "1", says: "pin 1" },
        Pin { name: "2", says: "pin 2" },
        Pin { name: "3", says: "pin 3" },
        Pin { name: "4", says: "pin 4" },
        Pin { name: "5", says: "pin 5" },
        Pin { name: "6", says: "pin 6" },
        Pin { name: "7", says: "pin 7" },
        Pin { name: "8", says: "pin 8" },
    ],
    footprint: Footprint::Rigid {
        offsets: &[(0, 0), (0, 1), (0, 2), (0, 3), (3, 3), (3, 2), (3, 1), (3, 0)],
        straddles: true,
    },
    params: &[],
    metal: &[],
    polarity: None,
    source: None,
    limits: |_| Limits::default(),
    stamp: |_, stamp| stamp.resistance(Terminal::Pin(0), Terminal::Pin(3), 1000.0),
    state: |_, _| State::plain("idle"),
    label: |_| String::new(),
    draw: |_, _, _| {},
    ..Card::BLANK
};

/// What is found with a part of two rows of pins at work, its pin 1 in a hole of row 10.
fn with_two_rows(pin1: &str, turn: Turn) -> Vec<Finding> {
    let mut bench = bench("BT1 battery L+1 L-1 | W1 wire L+5 a10 | W2 wire colour=black a13 L-15");
    let part = PartIx(bench.parts.len());
    bench.parts.push(Part::new("U1", &TWO_ROWS));
    bench.place_rigid(part, Hole::parse(pin1).unwrap(), turn).unwrap();
    check(&bench, &solve(&bench))
}

/// What no line of text can make: its findings, and what they should be.
pub fn made_up() -> Vec<(Vec<Finding>, &'static [Told])> {
    let lamp =
        bench("BT1 battery L+1 L-1 | R1 resistor 220 L+5 b5 | D1 led e5 e8 | W1 wire colour=black a8 L-8");
    // No bench is known that the solver leaves unsettled; what it would say of one is made by hand.
    let mut unsettled = solve(&lamp);
    unsettled.settled = false;
    let row_8 = unsettled.circuit.node_of(lamp.strip(Hole::parse("e8").unwrap()).unwrap()).unwrap();
    unsettled.worst = Some((row_8, 0.5));
    let mut stopped = solve(&lamp);
    stopped.stall = Some(Stall::Restless { time: 1.0, part: PartIx(1) });
    // An LED straight on a 9 V block, a second later.
    let bare =
        bench("BT1 battery cell=9v-block cells=1 L+1 L-1 | D1 led L+5 a5 | W1 wire colour=black b5 L-8");
    let mut run = Run::new(&bare, Care::LIVE);
    run.until(1.0, 100_000);
    vec![
        (
            check(&bare, &run.point()),
            &[("burnt-out", Fault, "D1 has burnt out"), ("led-no-resistor", Fault, "")],
        ),
        (check(&lamp, &stopped), &[("clock-stopped", Fault, "change each other without end")]),
        (with_two_rows("e10", Turn::None), &[]),
        (
            with_two_rows("b10", Turn::None),
            &[("not-straddling", Fault, "its pin 1 in b10 is in one half row with its pin 8 in e10")],
        ),
        (
            with_two_rows("e10", Turn::Quarter),
            &[("not-straddling", Fault, "its pin 1 in e10 is in one half row with its pin 4 in b10")],
        ),
        (check(&lamp, &unsettled), &[("not-settled", Risk, "they are furthest off in row 8, left half")]),
    ]
}
