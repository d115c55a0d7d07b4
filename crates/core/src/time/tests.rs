use super::*;
use crate::bench::LegId;
use crate::board::{BoardKind, Hole};
use crate::card::{Card, Footprint, Pin, Source, State, Value};
use crate::circuit::{Stamp, Terminal};
use crate::memory::{Acts, BLANK};
use crate::part::Part;
use crate::parts;

/// A capacitor of a microfarad, for tests that need none of the drawer's.
static MICROFARAD: Card = Card {
    kind: "microfarad",
    name: "test capacitor",
    prefix: "C",
    pins: &[Pin { name: "1", says: "first leg" }, Pin { name: "2", says: "second leg" }],
    footprint: Footprint::Loose { reach: 20 },
    stamp: |_, stamp| {
        stamp.element(Terminal::Pin(0), Terminal::Pin(1), Law::Capacitance { farads: 1e-6, ohms: 0.01 });
    },
    state: |_, _| State::plain("holds"),
    ..Card::BLANK
};

/// A coil of ten millihenries with 10 Ω.
static COIL: Card = Card {
    kind: "coil",
    stamp: |_, stamp| {
        stamp.element(Terminal::Pin(0), Terminal::Pin(1), Law::Inductance { henries: 0.01, ohms: 10.0 });
    },
    ..MICROFARAD
};

/// A switch from pin 1 to pin 2 that closes above 4 V at pin 1 and opens below 1 V.
static SNAP: Card = Card {
    kind: "snap",
    prefix: "Q",
    acts: Some(Acts {
        guards: 1,
        guard: |_, memory, view, guards| {
            let volts = view.pins[0] - view.pins[1];
            guards[0] = if memory.shows(0) { volts - 1.0 } else { 4.0 - volts };
        },
        look: |_, memory, view| {
            let volts = view.pins[0] - view.pins[1];
            if volts >= 4.0 {
                memory.shown = 1;
            } else if volts <= 1.0 {
                memory.shown = 0;
            }
        },
        ..Acts::NONE
    }),
    stamp: |_, stamp: &mut Stamp<'_>| {
        stamp.contact(Terminal::Pin(0), Terminal::Pin(1), stamp.memory.shows(0), 100.0);
    },
    ..MICROFARAD
};

/// A part by its card, its holes and its values.
type Put<'a> = (&'static Card, &'a [&'a str], &'a [(&'a str, Value)]);

/// Puts parts on a half board.
fn bench(parts: &[Put<'_>]) -> Bench {
    let mut bench = Bench::new(BoardKind::Half);
    for (card, holes, values) in parts {
        let part = PartIx(bench.parts.len());
        let mut it = Part::new(bench.next_id(card), card);
        for (key, value) in *values {
            assert!(it.set(key, *value), "{key}");
        }
        bench.parts.push(it);
        for (pin, hole) in holes.iter().enumerate() {
            bench.put_leg(LegId { part, pin }, Hole::parse(hole)).unwrap();
        }
    }
    bench
}

fn card(kind: &str) -> &'static Card {
    parts::card(kind).unwrap()
}

/// Five volts behind a milliohm.
static FIVE_VOLTS: Card = Card {
    kind: "five-volts",
    prefix: "PS",
    footprint: Footprint::OffBoard,
    source: Some(Source { plus: 0, minus: 1, open_volts: |_| 5.0, safe_amps: |_| 1.0 }),
    stamp: |_, stamp| {
        stamp.element(Terminal::Pin(0), Terminal::Pin(1), Law::Source { volts: 5.0, ohms: 1e-3 });
    },
    ..MICROFARAD
};

fn volts(run: &Run, hole: &str, time: f64) -> f64 {
    let point = run.point_at(time);
    let strip = run.bench().strip(Hole::parse(hole).unwrap()).unwrap();
    point.strip_volts(strip).unwrap()
}

fn rc(care: Care) -> Run {
    let bench = bench(&[
        (&FIVE_VOLTS, &["L+1", "L-1"], &[]),
        (card("resistor"), &["L+5", "a5"], &[("ohms", Value::Number(1000.0))]),
        (&MICROFARAD, &["b5", "L-5"], &[]),
    ]);
    Run::new(&bench, care)
}

#[test]
fn a_capacitor_charges_through_a_resistor_as_the_closed_form_says() {
    for (care, most) in [(Care::LIVE, 4e-3), (Care::CLOSE, 2e-4)] {
        let mut run = rc(care);
        for percent in 1..=500 {
            let time = f64::from(percent) * 1e-5;
            assert!(run.until(time, 10_000));
            let told = volts(&run, "a5", time);
            // Between the strip and the reference lie the capacitor's hundredth of an ohm and contacts.
            let (all, below) = (1000.091, 0.05);
            let exact = 5.0 - 5.0 * (all - below) / all * (-time / (all * 1e-6)).exp();
            assert!((told - exact).abs() < most, "{time}: {told} {exact}");
        }
    }
}

#[test]
fn halving_the_step_quarters_the_error() {
    let error = |steps: u32| {
        let care = Care { fixed: Some(1e-3 / f64::from(steps)), ..Care::CLOSE };
        let mut run = rc(care);
        run.until(1e-3 - 1e-9, 10_000);
        // The exact answer of the same circuit by steps a hundred times as small.
        volts(&run, "a5", run.time())
    };
    let exact = error(4000);
    let errors: Vec<f64> = [10, 20, 40, 80].iter().map(|&n| (error(n) - exact).abs()).collect();
    for pair in errors.windows(2) {
        let order = (pair[0] / pair[1]).log2();
        assert!((1.9..2.1).contains(&order), "{errors:?}");
    }
}

#[test]
fn a_snap_switch_over_a_capacitor_makes_a_saw() {
    let bench = bench(&[
        (&FIVE_VOLTS, &["L+1", "L-1"], &[]),
        (card("resistor"), &["L+5", "a5"], &[("ohms", Value::Number(10_000.0))]),
        (&MICROFARAD, &["b5", "L-5"], &[]),
        (&SNAP, &["c5", "L-6"], &[]),
    ]);
    for (care, most) in [(Care::LIVE, 4e-3), (Care::CLOSE, 2e-4)] {
        let mut run = Run::new(&bench, care);
        let mut falls = Vec::new();
        let mut was = false;
        while run.time() < 0.2 && falls.len() < 8 {
            run.advance();
            let shows = run.memories()[3].shows(0);
            if shows && !was {
                falls.push(run.time());
            }
            was = shows;
        }
        assert_eq!(run.stalled(), None);
        let period = (falls[7] - falls[0]) / 7.0;
        let tau = 10_000.04 * 1e-6;
        let end: f64 = 5.0 * 100.09 / 10_100.13;
        let (up, down) = (tau * (4.0f64).ln(), tau * 100.09 / 10_100.0 * ((4.0 - end) / (1.0 - end)).ln());
        let off = period / (up + down) - 1.0;
        assert!(off.abs() < most, "{off} {:?}", run.effort());
    }
}

#[test]
fn a_coil_and_a_capacitor_ring_at_their_frequency_and_lose_what_the_winding_takes() {
    let bench = bench(&[
        (&FIVE_VOLTS, &["L+1", "L-1"], &[]),
        (&COIL, &["L+5", "a5"], &[]),
        (&MICROFARAD, &["b5", "L-5"], &[]),
    ]);
    let mut run = Run::new(&bench, Care::CLOSE);
    let (l, c, r) = (0.01, 1e-6, 10.093_f64);
    let alpha = r / (2.0 * l);
    let omega = (1.0 / (l * c) - alpha * alpha).sqrt();
    for step in 1..100 {
        let t = f64::from(step) * 2e-5;
        run.until(t, 100_000);
        let exact =
            5.0 * (1.0 - (-alpha * t).exp() * ((omega * t).cos() + alpha / omega * (omega * t).sin()));
        let told = volts(&run, "b5", t);
        assert!((told - exact).abs() < 1e-2, "{t}: {told} {exact}");
    }
}

#[test]
fn a_run_rewound_is_as_if_its_last_step_had_ended_there() {
    let mut run = rc(Care::LIVE);
    run.until(1e-3, 1000);
    let there = run.time();
    let time = 1e-3;
    assert!(there > time);
    let before = volts(&run, "a5", time);
    run.rewind_to(time);
    assert_eq!(run.time(), time);
    assert!((volts(&run, "a5", time) - before).abs() < 5e-3);
    let memory = BLANK;
    assert_eq!(run.memories()[0], memory);
    let mut again = rc(Care::LIVE);
    again.until(1e-3, 1000);
    again.rewind_to(time);
    assert_eq!(volts(&again, "a5", time).to_bits(), volts(&run, "a5", time).to_bits());
}

#[test]
fn a_capacitor_keeps_its_charge_when_another_part_is_moved() {
    let mut run = rc(Care::LIVE);
    run.until(1e-3, 1000);
    run.rewind_to(1e-3);
    let before = volts(&run, "a5", 1e-3);
    let mut bench = run.bench().clone();
    bench.put_leg(LegId { part: PartIx(1), pin: 1 }, Hole::parse("a9")).unwrap();
    run.set_bench(&bench);
    assert!((volts(&run, "b5", 1e-3) - before).abs() < 1e-4, "held, but for the drop over its legs");
    run.until(0.5, 1000);
    assert!((volts(&run, "b5", run.time()) - before).abs() < 1e-4, "only its leak drains it");
}

#[test]
fn a_new_part_burns_as_fast_as_the_old_one_whenever_it_comes() {
    let bench = bench(&[
        (
            card("supply"),
            &["L+1", "L-1"],
            &[("volts", Value::Number(9.0)), ("limit_amps", Value::Number(3.0))],
        ),
        (card("led"), &["L+5", "L-5"], &[]),
    ]);
    let mut run = Run::new(&bench, Care::CLOSE);
    run.until(0.5, 100_000);
    let &[(first, part)] = run.burnt() else { panic!("{:?}", run.burnt()) };
    // The clock has gone on in long steps; the deed falls into the middle of one.
    run.until(2.0, 100_000);
    let (start, end) = run.last_step();
    assert!(end - start > 2e-3, "a long step");
    let deed = 0.5 * (start + end);
    run.rewind_to(deed);
    run.replace(part);
    run.until(deed + 2.0 * first, 100_000);
    let &[(second, _)] = run.burnt() else { panic!("{:?}", run.burnt()) };
    // Heat is looked at twenty times within its time constant at the most seldom.
    assert!((second - deed - first).abs() < 0.06 * first, "{first} s, then {} s", second - deed);
}
