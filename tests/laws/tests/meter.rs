//! Laws of the meter: as part of the circuit on any bench, and as an instrument.

use std::panic::catch_unwind;

use halfrow_core::bench::{Bench, LegId, MAX_METERS, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::Value;
use halfrow_core::meter::{Dial, Kind, Meter, Socket, Touch};
use halfrow_core::part::Part;
use halfrow_core::parts;
use halfrow_core::readings::PartReading;
use halfrow_core::solve::solve;
use halfrow_core::time::{Care, Run};
use halfrow_instruments::measure::{measure, measure_as};
use halfrow_instruments::{Figures, Range, Scene, findings, meaning, wired};
use halfrow_laws::chance::Chance;
use halfrow_laws::ledger;
use halfrow_laws::throw::Throw;

/// What a tip may touch on a bench.
fn any_touch(bench: &Bench, chance: &mut Chance) -> Touch {
    match chance.below(10) {
        0 => Touch::Air,
        1 => Touch::Socket(chance.of(&Socket::ALL)),
        2 => Touch::Fuse(chance.below(2)),
        3..=5 if !bench.parts.is_empty() => {
            let part = &bench.parts[chance.below(bench.parts.len())];
            Touch::Leg { part: part.id.clone(), pin: chance.below(part.legs.len()) }
        }
        _ => {
            let board = chance.below(bench.boards.len());
            let holes: Vec<Hole> = bench.boards[board].holes(board as u8).collect();
            Touch::Hole(chance.of(&holes))
        }
    }
}

fn any_meter(bench: &Bench, chance: &mut Chance) -> Meter {
    let mut sockets = Socket::ALL;
    chance.shuffle(&mut sockets);
    let mut meter = Meter { kind: chance.of(&Kind::ALL), dial: chance.of(&Dial::ALL), ..Meter::default() };
    // As often as not the plugs are where they belong.
    if chance.percent(50) {
        (meter.red.socket, meter.black.socket) = (sockets[0], sockets[1]);
    }
    meter.red.tip = any_touch(bench, chance);
    meter.black.tip = any_touch(bench, chance);
    meter.small_fuse_whole = !chance.percent(10);
    meter.large_fuse_whole = !chance.percent(10);
    if chance.percent(10) {
        meter.battery_volts = 10.0 * chance.share();
    }
    meter
}

fn metered(throw: &Throw, seed: u64) -> Bench {
    let mut chance = Chance::new(seed);
    let mut bench = throw.bench(&mut chance);
    for _ in 0..1 + chance.below(MAX_METERS) {
        let meter = any_meter(&bench, &mut chance);
        bench.meters.push(meter);
    }
    bench
}

#[test]
fn currents_add_up_with_any_meter_on_any_bench_and_the_parts_keep_their_places() {
    for seed in 0..4000 {
        let bench = metered(&Throw { most: 20, ..Throw::anything() }, seed);
        let wired = wired(&bench);
        assert_eq!(wired.bench.parts[..bench.parts.len()], bench.parts);
        let point = solve(&wired.bench);
        let (worst, node) = ledger::worst_node(&point);
        assert!(point.settled && worst < 1.0 && point.law_missed_by() < 1.0, "{seed}: {worst} at {node}");
        for places in &wired.meters {
            // What goes into one tip comes out of the other, unless a tip touches the meter itself.
            let amps = |part: PartIx| point.part(part).pins[1].amps;
            let own = [places.red, places.black]
                .iter()
                .any(|lead| wired.bench.part(*lead).legs[1].on.is_some_and(|leg| leg.part == places.body));
            let (red, black) = (amps(places.red), amps(places.black));
            let missed = (red + black).abs() / (1e-9 + 1e-6 * red.abs());
            assert!(own || missed < 5.0, "{seed}: {red} in, {black} out");
        }
    }
}

/// What may be said of a reading: it is a number that fits, a lone 1, or nothing.
fn is_honest(bench: &Bench, which: usize, seconds: Option<f64>) -> Result<(), String> {
    let found = measure(bench, which, seconds);
    let dial = bench.meters[which].dial;
    for reading in &found.readings {
        let honest = match (Range::of(dial), reading.value) {
            (None, value) => value.is_none() && reading.shown.is_empty(),
            (Some(_), None) => matches!(reading.shown.as_str(), "" | "1" | "-1"),
            (Some(range), Some(value)) => {
                let shown: f64 = reading.shown.parse().map_err(|_| reading.shown.clone())?;
                value.is_finite() && (shown * range.scale - value).abs() <= 0.5002 * range.step
            }
        };
        if !honest {
            return Err(format!("{dial:?}: {reading:?}"));
        }
    }
    let scene = Scene::of(bench, which, &found);
    let said = findings(&scene);
    let whole = |text: &str| !text.is_empty() && text.ends_with(['.', '!', '?', ':']);
    let complete =
        said.iter().all(|it| [&it.symptom, &it.says, &it.why, &it.remedy].into_iter().all(|it| whole(it)));
    let means = meaning(&scene);
    if !complete || means.says.is_empty() {
        return Err(format!("{said:?} {means:?}"));
    }
    Ok(())
}

#[test]
fn any_dial_sockets_and_tips_give_a_reading_or_an_honest_one() {
    let mut said = Vec::new();
    for seed in 0..2500 {
        let bench = metered(&Throw { most: 14, ..Throw::anything() }, 50_000 + seed);
        match catch_unwind(|| is_honest(&bench, 0, None)) {
            Ok(Ok(())) => {}
            Ok(Err(what)) => said.push(format!("{seed}: {what}")),
            Err(_) => said.push(format!("{seed}: panic")),
        }
    }
    assert!(said.is_empty(), "{}:\n{}", said.len(), said.join("\n"));
}

#[test]
fn what_acts_by_itself_is_measured_too() {
    let mut said = Vec::new();
    for seed in 0..60 {
        let bench = metered(&Throw { most: 8, ..Throw::with_clock() }, 90_000 + seed);
        match catch_unwind(|| is_honest(&bench, 0, Some(0.01))) {
            Ok(Ok(())) => {}
            Ok(Err(what)) => said.push(format!("{seed}: {what}")),
            Err(_) => said.push(format!("{seed}: panic")),
        }
    }
    assert!(said.is_empty(), "{}:\n{}", said.len(), said.join("\n"));
}

/// A bench of a few lines `kind value legs`, and a meter that is off.
fn bench(lines: &[(&str, f64, [&str; 2])]) -> Bench {
    let mut bench = Bench::new(BoardKind::Half);
    for &(kind, value, holes) in lines {
        let card = parts::card(kind).unwrap();
        let part = PartIx(bench.parts.len());
        bench.parts.push(Part::new(bench.next_id(card), card));
        let key = if kind == "supply" { "volts" } else { "ohms" };
        assert!(bench.parts[part.0].set(key, Value::Number(value)));
        if kind == "supply" {
            assert!(bench.parts[part.0].set("limit_amps", Value::Number(3.0)));
        }
        for (pin, hole) in holes.iter().enumerate() {
            bench.put_leg(LegId { part, pin }, Hole::parse(hole)).unwrap();
        }
    }
    bench.meters.push(Meter::default());
    bench
}

/// A ladder of resistors between two ports, `a1`–`a9` and `f1`–`f9`.
fn two_port(chance: &mut Chance) -> Bench {
    let mut ohms = || 100.0 * 1000.0_f64.powf(chance.share());
    bench(&[
        ("resistor", ohms(), ["b1", "b5"]),
        ("resistor", ohms(), ["c5", "c9"]),
        ("resistor", ohms(), ["d5", "g1"]),
        ("resistor", ohms(), ["h1", "h9"]),
        ("resistor", ohms(), ["d9", "g9"]),
    ])
}

fn put(bench: &mut Bench, dial: Dial, red: &str, black: &str) {
    let touch = |word: &str| Touch::parse(bench, word).unwrap();
    let (red, black) = (touch(red), touch(black));
    let meter = &mut bench.meters[0];
    (meter.dial, meter.red.tip, meter.black.tip) = (dial, red, black);
}

#[test]
fn a_two_port_of_resistors_is_reciprocal_through_the_meter() {
    // A source at one port drives as much through a meter at the other as the other way round.
    for seed in 0..40 {
        let read = |source: [&str; 2], meter: [&str; 2]| {
            let mut bench = two_port(&mut Chance::new(seed));
            let card = parts::card("supply").unwrap();
            let part = PartIx(bench.parts.len());
            bench.parts.push(Part::new("PS1", card));
            bench.parts[part.0].set("volts", Value::Number(5.0));
            bench.parts[part.0].set("ohms", Value::Number(0.4065 + 1.0 - 0.04));
            bench.parts[part.0].set("limit_amps", Value::Number(3.0));
            for (pin, hole) in source.iter().enumerate() {
                bench.put_leg(LegId { part, pin }, Hole::parse(hole)).unwrap();
            }
            put(&mut bench, Dial::Dc200Ma, meter[0], meter[1]);
            measure(&bench, 0, None).last().value.unwrap()
        };
        let forward = read(["a1", "a9"], ["f1", "f9"]);
        let back = read(["f1", "f9"], ["a1", "a9"]);
        assert!((forward / back - 1.0).abs() < 2e-4, "{seed}: {forward} {back}");
    }
}

#[test]
fn swapped_tips_or_plugs_turn_the_sign_round_and_nothing_else() {
    for (dial, size) in [(Dial::Dc20V, 5.0 * 2.0 / 3.0), (Dial::Dc2Ma, 5.0 / 3e3)] {
        let lines = [("supply", 5.0, ["L+1", "L-1"]), ("resistor", 1e3, ["L+2", "a5"])];
        let mut bench = if dial == Dial::Dc20V {
            bench(&[lines[0], lines[1], ("resistor", 2e3, ["b5", "L-2"])])
        } else {
            bench(&[lines[0], lines[1], ("resistor", 2e3, ["b6", "L-2"])])
        };
        let [red, black] = if dial == Dial::Dc20V { ["c5", "L-5"] } else { ["c5", "c6"] };
        put(&mut bench, dial, red, black);
        let straight = measure(&bench, 0, None).last().value.unwrap();
        assert!((straight / size - 1.0).abs() < 0.06, "{straight}");
        put(&mut bench, dial, black, red);
        let tips = measure(&bench, 0, None).last().clone();
        let meter = &mut bench.meters[0];
        std::mem::swap(&mut meter.red.socket, &mut meter.black.socket);
        let both = measure(&bench, 0, None).last().value.unwrap();
        assert!((tips.value.unwrap() + straight).abs() < 1e-9 && (both - straight).abs() < 1e-9);
        assert!(tips.shown.starts_with('-'));
    }
}

#[test]
fn readings_tend_to_the_true_value_as_the_input_grows() {
    // One over the reading is a straight line over one over the input: through two loaded readings it
    // leads to what there is without a meter.
    for seed in 0..40 {
        let mut chance = Chance::new(seed);
        let mut ohms = || 1e3 * 1000.0_f64.powf(chance.share());
        let mut bench = bench(&[
            ("supply", 9.0, ["L+1", "L-1"]),
            ("resistor", ohms(), ["L+2", "a5"]),
            ("resistor", ohms(), ["b5", "L-2"]),
        ]);
        put(&mut bench, Dial::Dc20V, "c5", "L-5");
        let read = |input_ohms: f64| {
            let figures = Figures { input_ohms, ..Figures::of(Kind::TenMegohm) };
            measure_as(&bench, 0, &[figures], None).last().value.unwrap()
        };
        let (near, far) = (read(1e5), read(1e6));
        let slope = (1.0 / near - 1.0 / far) / (1e-5 - 1e-6);
        let extrapolated = 1.0 / (1.0 / far - slope * 1e-6);
        let found = measure(&bench, 0, None);
        let truth = Scene::of(&bench, 0, &found).without_meter.unwrap();
        assert!((extrapolated / truth - 1.0).abs() < 1e-5, "{seed}: {extrapolated} {truth}");
        assert!(near < far && far < truth);
    }
}

#[test]
fn a_fuse_that_blows_has_taken_the_energy_that_its_law_says() {
    let mut bench = bench(&[("supply", 3.0, ["L+1", "L-1"])]);
    put(&mut bench, Dial::Dc200Ma, "L+5", "L-5");
    let wired = wired(&bench);
    let fuse = wired.meters[0].small_fuse;
    let mut run = Run::new(&wired.bench, Care::CLOSE);
    let mut reading: PartReading = run.blank_reading(fuse);
    let (mut joules, mut amps) = (0.0, 0.0);
    while run.burnt().is_empty() && run.time() < 5.0 {
        run.advance();
        let (start, end) = run.last_step();
        run.glance(fuse, start, f64::INFINITY, &mut reading);
        amps = reading.pins[0].amps;
        joules += reading.watts * (end - start);
    }
    let &[(time, part)] = run.burnt() else { panic!("one fuse blows") };
    assert_eq!(part, fuse);
    // The lag of half a second that melts at three: -0.5 · ln(1 − 3 / (i / 0.5)²) seconds of i² · R.
    let share = (amps / 0.5) * (amps / 0.5);
    let seconds = -0.5 * (1.0 - 3.0 / share).ln();
    assert!((time / seconds - 1.0).abs() < 0.02, "{time} {seconds}");
    assert!((joules / (amps * amps * 0.2065 * seconds) - 1.0).abs() < 0.02, "{joules}");
    // Nothing more flows, and the energy stays what it was.
    run.until(run.time() + 1.0, 100_000);
    assert!(run.point().part(fuse).largest_amps() < 1e-9);
}

#[test]
fn from_a_few_cells_only_the_largest_small_range_blows_the_fuse() {
    for (dial, blows) in
        [(Dial::Dc200Ma, true), (Dial::Dc20Ma, false), (Dial::Dc2Ma, false), (Dial::Dc200Ua, false)]
    {
        let mut bench = bench(&[("supply", 5.5, ["L+1", "L-1"])]);
        put(&mut bench, dial, "L+5", "L-5");
        let found = measure(&bench, 0, None);
        assert_eq!(!found.small_fuse_whole, blows, "{dial:?}");
        if dial == Dial::Dc20Ma {
            assert!((0.50..0.54).contains(&found.most_amps), "{}", found.most_amps);
        }
    }
}

#[test]
fn a_leg_that_is_touched_is_one_with_its_part_and_its_contact_is_seen() {
    // A leg that is barely in: 15 Ω between the leg and its strip, which tips on both sides read.
    let mut bench = bench(&[("resistor", 100.0, ["a1", "a5"])]);
    bench.parts[0].legs[0].depth = halfrow_core::part::Depth::Barely;
    while !halfrow_core::circuit::barely_touches("R1", 0, bench.taps) {
        bench.taps += 1;
    }
    put(&mut bench, Dial::Ohm200, "b1", "b5");
    let holes = measure(&bench, 0, None).last().value.unwrap();
    put(&mut bench, Dial::Ohm200, "R1.1", "b5");
    let leg = measure(&bench, 0, None).last().value.unwrap();
    put(&mut bench, Dial::Ohm200, "b1", "R1.1");
    let contact = measure(&bench, 0, None).last().value.unwrap();
    assert!((holes - 115.24).abs() < 1e-3, "{holes}");
    assert!((leg - 100.22).abs() < 1e-3 && (contact - 15.22).abs() < 1e-3, "{leg} {contact}");
}

#[test]
fn what_is_done_to_a_meter_makes_at_most_one_pattern_of_the_equations_and_little_work() {
    let plain = halfrow_core::sample::blinker(1.0);
    let mut run = Run::new(&plain, Care::LIVE);
    run.until(0.3, 10_000);
    let mut bench = plain.clone();
    let mut meter = Meter { dial: Dial::Dc20V, ..Meter::default() };
    let leg = |bench: &Bench, part: usize, pin: usize| Touch::Leg { part: bench.parts[part].id.clone(), pin };
    let mut most = 0;
    for step in 0..9 {
        match step {
            // Taken from the cupboard, both tips put down, the dial turned, a plug moved, put away.
            0 => {}
            1 => meter.red.tip = leg(&bench, 0, 0),
            2 => meter.black.tip = leg(&bench, 0, 1),
            3 => meter.dial = Dial::Dc2V,
            4 => meter.dial = Dial::Ac200V,
            5 => meter.dial = Dial::Diode,
            6 => meter.red.tip = leg(&bench, 1, 0),
            7 => (meter.dial, meter.red.socket) = (Dial::Off, Socket::TenAmps),
            _ => {}
        }
        bench.meters = if step == 8 { Vec::new() } else { vec![meter.clone()] };
        let before = run.effort();
        run.set_bench(&wired(&bench).bench);
        let patterns = run.effort().patterns - before.patterns;
        assert!(patterns <= 1, "step {step}: {patterns}");
        run.until(run.time() + 0.05, 10_000);
        assert_eq!(run.stalled(), None);
        let made = run.effort().patterns - before.patterns;
        assert_eq!(made, patterns, "step {step}: none more as time goes on");
        most = most.max(run.effort().iterations - before.iterations);
    }
    // A twentieth of a second of a blinker with all that a change costs: a leg that moves takes as much.
    assert!(most < 600, "{most} Newton iterations");
}
