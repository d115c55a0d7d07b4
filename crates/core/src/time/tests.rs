use super::*;
use crate::bench::LegId;
use crate::board::{BoardKind, Hole};
use crate::card::{Card, Footprint, Pin, Source, State, Value};
use crate::memory::{Acts, BLANK};
use crate::part::Part;
use crate::parts;
use crate::stamp::{Stamp, Terminal};

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
    source: Some(Source {
        plus: 0,
        minus: 1,
        open_volts: |_| 5.0,
        own_ohms: |_| 1.0,
        safe_amps: |_| 1.0,
        swings: |_| false,
        is_spent: |_| false,
        charge: None,
    }),
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
        let care = Care { fixed_seconds: Some(1e-3 / f64::from(steps)), ..Care::CLOSE };
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

/// A signal source over 1 kΩ.
fn waving(shape: u8, hertz: f64) -> Bench {
    let wave = [
        ("shape", Value::Choice(shape)),
        ("hertz", Value::Number(hertz)),
        ("amplitude_volts", Value::Number(2.0)),
    ];
    bench(&[
        (card("signal"), &["L+1", "L-1"], &wave),
        (card("resistor"), &["L+5", "L-5"], &[("ohms", Value::Number(1000.0))]),
    ])
}

/// Turns the knob of a source at a time, as the page does.
fn turn_knob(run: &mut Run, time: f64, key: &str, value: f64) {
    assert!(run.until(time, 1_000_000));
    run.rewind_to(time);
    let mut bench = run.bench().clone();
    assert!(bench.parts[0].set(key, Value::Number(value)));
    run.set_bench(&bench);
    assert_eq!(run.time(), time);
}

/// Times at which the voltage of the source rises through zero from now on, so many.
fn rises(run: &mut Run, most: usize) -> Vec<f64> {
    let mut rises = Vec::new();
    let mut before = (run.time(), volts(run, "L+1", run.time()));
    while rises.len() < most {
        run.advance();
        let now = (run.time(), volts(run, "L+1", run.time()));
        if before.1 < 0.0 && now.1 >= 0.0 {
            // A square is there at once; the others go straight between two steps, or nearly.
            let square = run.bench().parts[0].values[0] == Value::Choice(1);
            let share = if square { 1.0 } else { before.1 / (before.1 - now.1) };
            rises.push(before.0 + share * (now.0 - before.0));
        }
        before = now;
    }
    rises
}

#[test]
fn a_wave_goes_on_in_its_phase_when_its_frequency_is_changed() {
    // What each shape is worth in its phase, at ±2 V behind 50 Ω.
    let shapes: [fn(f64) -> f64; 3] = [
        |turns| 2.0 * (std::f64::consts::TAU * turns).sin(),
        |turns| if turns.fract() < 0.5 { 2.0 } else { -2.0 },
        |turns| 8.0 * (0.5 - (turns.fract() - 0.5).abs()) - 2.0,
    ];
    for (shape, at) in shapes.into_iter().enumerate() {
        for (from, to) in [(1.0, 1000.0), (0.1, 100.0), (1.0, 1.05), (50.0, 0.2), (7.0, 7.0)] {
            let mut run = Run::new(&waving(shape as u8, from), Care::LIVE);
            let share = 1000.0 / (1050.0 + 2.0 * crate::circuit::CONTACT_OHMS);
            for turns in [1.1, 2.35, 5.9] {
                let time = turns / from;
                turn_knob(&mut run, time, "hertz", from);
                let told = volts(&run, "L+1", time);
                assert!((told - share * at(turns)).abs() < 2e-3, "{shape} {from}: {told} {}", at(turns));
            }
            let time = run.time();
            turn_knob(&mut run, time, "hertz", to);
            for more in [0.0, 0.05, 0.3, 0.8, 1.15, 4.35] {
                let time = time + more / to;
                run.until(time, 1_000_000);
                let told = volts(&run, "L+1", time);
                let wanted = share * at(5.9 + more);
                assert!((told - wanted).abs() < 2e-3, "{shape} {from} to {to}, {more}: {told} {wanted}");
            }
        }
    }
}

#[test]
fn a_wave_stays_within_its_amplitude_and_takes_its_new_period_whatever_is_turned() {
    for shape in 0..3 {
        let mut run = Run::new(&waving(shape, 3.0), Care::LIVE);
        let knobs = [
            ("hertz", 200.0),
            ("amplitude_volts", 0.5),
            ("hertz", 0.5),
            ("offset_volts", 1.0),
            ("hertz", 90.0),
            ("amplitude_volts", 3.0),
            ("offset_volts", 0.0),
            ("hertz", 20.0),
        ];
        let (mut amplitude, mut offset) = (2.0, 0.0);
        for (turn, (key, value)) in knobs.into_iter().enumerate() {
            let time = 0.137 * (turn + 1) as f64;
            while run.time() < time {
                run.advance();
                let told = volts(&run, "L+1", run.time());
                assert!(
                    (told - offset * 0.9523).abs() <= amplitude * 0.9523 + 1e-3,
                    "{shape} {}: {told}",
                    run.time()
                );
            }
            turn_knob(&mut run, time, key, value);
            match key {
                "amplitude_volts" => amplitude = value,
                "offset_volts" => offset = value,
                _ => {}
            }
        }
        let rises = rises(&mut run, 4);
        for pair in rises.windows(2) {
            assert!((pair[1] - pair[0] - 0.05).abs() < 1e-4, "{shape}: {rises:?}");
        }
        // Another shape goes on where the old one was.
        let mut bench = run.bench().clone();
        for other in [2, 0, 1, 0] {
            bench.parts[0].set("shape", Value::Choice(other));
            run.set_bench(&bench);
            let later = self::rises(&mut run, 1)[0];
            let turns = (later - rises[0]) / 0.05;
            // A triangle rises through zero a quarter of a period after its corner.
            let phase = if shape == 2 { -0.25 } else { 0.0 } + if other == 2 { 0.25 } else { 0.0 };
            let off = turns - phase - (turns - phase).round();
            assert!(off.abs() < 2e-3, "{shape} to {other}: {turns}");
        }
    }
}

#[test]
fn a_bad_contact_heats_itself_and_not_the_part() {
    // The tap at which R1's first leg touches, through 15 Ω.
    let mut bench = bench(&[
        (&FIVE_VOLTS, &["L+1", "L-1"], &[]),
        (card("resistor"), &["L+5", "L-5"], &[("ohms", Value::Number(15.0))]),
    ]);
    bench.parts[1].legs[0].depth = crate::part::Depth::Barely;
    while !crate::circuit::barely_touches("R1", 0, bench.taps) {
        bench.taps += 1;
    }
    let rest = crate::solve::solve(&bench);
    let amps = 5.0 / 30.0;
    assert!((rest.parts[1].watts - 15.0 * amps * amps).abs() < 4e-3, "{}", rest.parts[1].watts);
    let mut run = Run::new(&bench, Care::LIVE);
    let mut glanced = run.blank_reading(PartIx(1));
    run.glance(PartIx(1), 0.0, 3.0, &mut glanced);
    for reading in [&run.point().parts[1], &glanced] {
        for (pin, wanted) in reading.pins.iter().zip(&rest.parts[1].pins) {
            assert!((pin.volts - wanted.volts).abs() < 1e-9 && (pin.amps - wanted.amps).abs() < 1e-9);
        }
        assert_eq!(reading.pins[0].island, rest.parts[1].pins[0].island);
        assert!((reading.watts - rest.parts[1].watts).abs() < 1e-9);
    }
    // It is a quarter of a watt's part at 0.42 W, which it does not stand; its heat is what counts.
    run.until(1.0, 100_000);
    run.rewind_to(1.0);
    run.set_bench(&bench);
    let strain = rest.parts[1].watts / 0.25;
    let seconds = bench.parts[1].card.wear.unwrap().seconds;
    let wanted = strain * (1.0 - (-1.0 / seconds).exp());
    let heat = run.memories()[1].heat;
    assert!((heat / wanted - 1.0).abs() < 1e-3, "{heat} {wanted}");
}

#[test]
fn a_sensor_warms_up_as_fast_while_knobs_are_turned() {
    let bench = bench(&[
        (&FIVE_VOLTS, &["L+1", "L-1"], &[]),
        (card("thermistor"), &["L+5", "L-5"], &[("celsius", Value::Number(20.0))]),
        (card("resistor"), &["L+6", "L-6"], &[("ohms", Value::Number(1000.0))]),
    ]);
    let warmed = |deeds: u32| {
        let mut run = Run::new(&bench, Care::LIVE);
        let mut bench = bench.clone();
        bench.parts[1].set("celsius", Value::Number(80.0));
        run.set_bench(&bench);
        for deed in 1..=deeds {
            let time = 4.0 * f64::from(deed) / f64::from(deeds);
            run.until(time, 100_000);
            run.rewind_to(time);
            bench.parts[2].set("ohms", Value::Number(1000.0 + f64::from(deed)));
            run.set_bench(&bench);
        }
        assert!((run.time() - 4.0).abs() < 1e-12);
        run.memories()[1].slow[0]
    };
    let untouched = warmed(1);
    assert!((30.0..79.0).contains(&untouched), "{untouched}");
    for deeds in [7, 80, 400] {
        assert!((warmed(deeds) - untouched).abs() < 1e-3, "{deeds}: {} {untouched}", warmed(deeds));
    }
}

#[test]
fn the_mean_of_a_bench_that_never_rests_leaves_a_bad_contact_s_heat_out_too() {
    let mut bench = waving(1, 10.0);
    bench.parts[1].set("ohms", Value::Number(10.0));
    bench.parts[1].legs[0].depth = crate::part::Depth::Barely;
    while !crate::circuit::barely_touches("R1", 0, bench.taps) {
        bench.taps += 1;
    }
    let point = crate::solve::solve(&bench);
    assert!(point.restless);
    // 2 V either way through 50, 15 and 10 Ω.
    let wanted = 10.0 * (2.0_f64 / 75.0).powi(2);
    assert!((point.parts[1].watts / wanted - 1.0).abs() < 5e-3, "{} {wanted}", point.parts[1].watts);
}

#[test]
fn a_lamp_that_blinks_goes_on_blinking_over_an_edit() {
    let mut bench = waving(1, 20.0);
    bench.parts[0].set("offset_volts", Value::Number(2.0));
    let part = PartIx(bench.parts.len());
    bench.parts.push(Part::new("D1", card("led")));
    for (pin, hole) in ["L+7", "a7"].iter().enumerate() {
        bench.put_leg(LegId { part, pin }, Hole::parse(hole)).unwrap();
    }
    bench.put_leg(LegId { part: PartIx(1), pin: 0 }, Hole::parse("b7")).unwrap();
    let mut run = Run::new(&bench, Care::LIVE);
    run.until(1.02, 100_000);
    let mean = |run: &Run, time: f64| run.point_for_the_eye(time, 3.0).0.leg(LegId { part, pin: 0 }).amps;
    let steady = mean(&run, 1.02);
    for edit in 1..8 {
        let time = 1.02 + 0.007 * f64::from(edit);
        run.until(time, 100_000);
        run.rewind_to(time);
        run.set_bench(&bench);
        let &[(_, hertz)] = run.blinking(time, 3.0).as_slice() else { panic!("{time}: it blinks") };
        assert!((hertz - 20.0).abs() < 0.05, "{time}: {hertz}");
        assert!((mean(&run, time) / steady - 1.0).abs() < 0.01, "{time}: {}", mean(&run, time));
    }
}

#[test]
fn a_moment_before_an_event_knows_nothing_of_it() {
    let bench = bench(&[
        (&FIVE_VOLTS, &["L+1", "L-1"], &[]),
        (card("resistor"), &["L+5", "a5"], &[("ohms", Value::Number(10_000.0))]),
        (&MICROFARAD, &["b5", "L-5"], &[]),
        (&SNAP, &["c5", "L-6"], &[]),
    ]);
    let mut run = Run::new(&bench, Care::LIVE);
    while !run.memories()[3].shows(0) {
        run.advance();
    }
    let (start, end) = run.last_step();
    assert!(run.point_at(end).memories[3].shows(0));
    assert!(!run.point_at(0.5 * (start + end)).memories[3].shows(0));
}

#[test]
fn what_is_burnt_out_takes_no_more_steps() {
    let mut bench = waving(0, 50.0);
    let part = PartIx(bench.parts.len());
    bench.parts.push(Part::new("Q1", &SNAP));
    let effort = |bench: &Bench, burnt: bool| {
        let mut run = Run::new(bench, Care::LIVE);
        if burnt {
            run.memories[part.0].burnt = true;
        }
        run.until(0.2, 100_000);
        (run.effort().steps, run.effort().retries)
    };
    let alone = {
        let mut run = Run::new(&waving(0, 50.0), Care::LIVE);
        run.until(0.2, 100_000);
        (run.effort().steps, run.effort().retries)
    };
    bench.parts[0].set("amplitude_volts", Value::Number(10.0));
    for (pin, hole) in ["L+7", "L-7"].iter().enumerate() {
        bench.put_leg(LegId { part, pin }, Hole::parse(hole)).unwrap();
    }
    assert!(effort(&bench, false) > alone);
    assert_eq!(effort(&bench, true), alone);
}
