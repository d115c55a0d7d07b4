//! Worked examples of textbooks and closed forms, with a clock.
//!
//! Where a book's volts, farads or ohms don't fit on a breadboard, the circuit is scaled and its time
//! constant kept; each place says so.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::Value;
use halfrow_core::part::Part;
use halfrow_core::parts;
use halfrow_core::time::{Care, Run};
use halfrow_outside::desk::{Desk, desk};
use halfrow_outside::stand::{Stand, stand};

fn is_within(what: &str, value: f64, least: f64, most: f64) {
    assert!((least..=most).contains(&value), "{what}: {value} is not within {least} and {most}");
}

fn is_near(what: &str, value: f64, wanted: f64, share: f64) {
    let off = share * wanted.abs();
    is_within(what, value, wanted - off, wanted + off);
}

/// When a node of a desk has risen to a level, by halving.
fn rises_to(build: impl Fn() -> Desk, node: &str, level: f64, longest: f64) -> f64 {
    let (mut early, mut late) = (0.0, longest);
    assert!(build().until(longest).volts(node) > level);
    for _ in 0..30 {
        let middle = 0.5 * (early + late);
        if build().until(middle).volts(node) > level { late = middle } else { early = middle }
    }
    late
}

#[test]
fn a_heart_starter_charges_in_the_time_that_a_book_reckons() {
    // OpenStax, University Physics 2, example 10.8: 100 V, 101 Ω, 50 mF to 80 V: 8.13 s. Here a tenth of
    // the volts and a five-hundredth of the farads at 50.5 kΩ: the same 5.05 s.
    let build = || {
        desk(
            "supply V1 volts=10 limit_amps=3 ohms=0.001: v g; resistor ohms=50500: v a; \
             capacitor farads=1e-4: a g",
        )
    };
    is_within("s", rises_to(build, "a", 8.0, 20.0), 8.12, 8.14);
}

#[test]
fn a_wipers_interval_is_what_a_book_reckons() {
    // The same, example 10.9: 12 V and 10 mF reach 10 V after 10 s through 558.11 Ω, after 179.18 s through
    // 10 kΩ. Here a hundredth of the farads and a hundred times the ohms.
    for (ohms, seconds, unit) in [(55_811.0, 10.0, 0.01), (1e6, 179.18, 0.01)] {
        let build = || {
            desk(&format!(
                "supply V1 volts=12 limit_amps=3 ohms=0.001: v g; resistor ohms={ohms}: v a; \
                 capacitor farads=1e-4: a g"
            ))
        };
        is_within("s", rises_to(build, "a", 10.0, 2.0 * seconds), seconds - unit, seconds + unit);
    }
}

#[test]
fn a_defibrillator_discharges_as_a_book_reckons() {
    // OpenStax, College Physics 2e, example 21.7: 8 µF from 10 kV over 1 kΩ: 8.00 ms, and 498 V after 24 ms.
    // Here from 10 V. A button charges it and lets go.
    let mut circuit = desk(
        "supply V1 volts=10 limit_amps=3 ohms=0.001: v g; push-button SB1 pressed=true: v - a -; \
         resistor ohms=1000: a g; capacitor farads=8e-6: a g",
    );
    circuit.until(0.01);
    is_near("volts before", circuit.volts("a"), 10.0, 1e-3);
    circuit.set("SB1", "pressed", "false");
    is_within("volts at 8 ms", circuit.until(0.018).volts("a"), 3.67, 3.69);
    is_within("volts at 24 ms", circuit.until(0.034).volts("a"), 0.497, 0.499);
}

#[test]
fn a_zener_regulates_as_a_book_reckons() {
    // Kuphaldt, Lessons in Electric Circuits III, chapter 3: 45 V, 1 kΩ, zener of 12.6 V: 32.4 mA through
    // it, 7.2 mA with 500 Ω beside it; with 100 kΩ instead of 1 kΩ the load gets 224 mV. Here a 12 V zener
    // and all volts 12/12.6 of the book's, from two supplies. It is sold by its volts at 5 mA and
    // stands 0.25 V or 2 % higher at 30 mA: 0.25 mA.
    let scale = 12.0 / 12.6;
    let half = 22.5 * scale;
    let build = |ohms: u32, load: &str| {
        let mut circuit = desk(&format!(
            "supply V1 volts={half} limit_amps=3: m g; supply V2 volts={half} limit_amps=3: v m; \
             resistor R1 ohms={ohms}: v a; zener D1 volts=12: g a; {load}"
        ));
        circuit.until(0.01);
        circuit
    };
    let milliamperes = |circuit: &Desk| 1e3 * circuit.amps("D1", 1) / scale;
    is_within("alone, mA", milliamperes(&build(1000, "")), 32.15, 32.45);
    is_within("loaded, mA", milliamperes(&build(1000, "resistor ohms=500: a g")), 6.9, 7.25);
    let starved = build(100_000, "resistor ohms=500: a g");
    is_within("starved, volts", starved.volts("a") / scale, 0.223, 0.225);
    assert!(milliamperes(&starved).abs() < 1e-3, "the zener blocks");
}

/// Emitter current, milliamperes, of a biased transistor whose base resistor is the book's, scaled by the
/// gain that the transistor has there over the book's gain. As that depends on the current, it is looked up
/// a few times.
fn biased(gain: f64, book_ohms: f64, circuit: impl Fn(f64) -> Desk) -> f64 {
    let mut ohms = book_ohms;
    for _ in 0..12 {
        let mut it = circuit(ohms);
        it.until(0.01);
        ohms = book_ohms * it.amps("Q1", 2) / it.amps("Q1", 1) / gain;
    }
    -1e3 * circuit(ohms).until(0.01).amps("Q1", 0)
}

#[test]
fn base_bias_depends_on_the_gain_as_a_book_reckons() {
    // Kuphaldt, III, chapter 4: 10 V, 910 kΩ: emitter current 1.02 mA with a gain of 100 and 3.07 mA with
    // 300. The book has 0.7 V at the base and takes β + 1 for β: 1.5 % together.
    for (gain, milliamperes) in [(100.0, 1.02), (300.0, 3.07)] {
        let circuit = |ohms: f64| {
            desk(&format!(
                "supply V1 volts=10 limit_amps=3: v g; resistor ohms={ohms}: v b; resistor ohms=470: v c; \
                 transistor Q1: g b c"
            ))
        };
        is_near("mA", biased(gain, 910e3, circuit), milliamperes, 0.015);
    }
}

#[test]
fn feedback_from_the_collector_steadies_the_current_as_a_book_reckons() {
    // The same: 10 V, 4.7 kΩ, 470 kΩ from collector to base: 0.989 mA with a gain of 100, 1.48 mA with 300.
    for (gain, milliamperes) in [(100.0, 0.989), (300.0, 1.48)] {
        let circuit = |ohms: f64| {
            desk(&format!(
                "supply V1 volts=10 limit_amps=3: v g; resistor ohms=4700: v c; resistor ohms={ohms}: c b; \
                 transistor Q1: g b c"
            ))
        };
        is_near("mA", biased(gain, 470e3, circuit), milliamperes, 0.015);
    }
}

#[test]
fn an_op_amp_without_feedback_saturates() {
    // Kuphaldt, III, chapters 8.3 and 8.4: at ± 15 V the output goes to within a volt or two of a rail
    // (its 741: +14 and −13 V), and with a gain of 200 000 75 µV between the inputs are enough for all of it.
    // An LM358 reaches its negative rail (SLOS068R: 20 mV at most) and stays 1.5 V or so below the positive one.
    let output = |kind: &str, millivolts: f64| {
        let mut it = stand(&format!(
            "supply V1 volts=15 limit_amps=1: v m; supply V2 volts=15 limit_amps=1: m g; op-amp U1 type={kind}; \
             wire: U1.8 v; wire: U1.4 g; wire: U1.2 m; signal V3 shape=square amplitude_volts=0 hertz=1 offset_volts={}: p m; \
             wire: U1.3 p; wire: U1.5 m; wire: U1.6 U1.7; resistor ohms=10000: U1.1 m",
            1e-3 * millivolts
        ));
        it.until(0.1);
        it.volts("U1.1") - it.volts("m")
    };
    is_within("LM358 high", output("lm358", 1.0), 12.5, 14.0);
    is_within("LM358 low", output("lm358", -1.0), -15.0, -13.0);
    is_within("rail to rail, 150 µV", output("rail-to-rail", 0.15), 14.8, 15.0);
    is_within("rail to rail, −150 µV", output("rail-to-rail", -0.15), -15.0, -14.8);
}

#[test]
fn a_555_with_one_resistor_swings_as_a_book_says() {
    // Kuphaldt, VI, chapter 8, a hysteretic oscillator: 10 kΩ from output to both inputs, 100 µF: about
    // 0.7 Hz. With rails reached it is 1 / (2 · ln 2 · R · C) = 0.721 Hz; a bipolar output stays below, so that
    // the way up takes ln((h − 1/3) / (h − 2/3)) with h its share of the supply.
    let mut it: Stand = stand(
        "supply V1 volts=15 limit_amps=1: v g; 555 U1; wire: U1.8 v; wire: U1.1 g; wire: U1.4 v; \
         resistor ohms=10000: U1.3 a; wire: a U1.2; wire: a U1.6; capacitor farads=1e-4: a g",
    );
    let swings = it.crossings("a", 7.5, 8.0);
    let hertz = 1.0 / swings.period();
    is_within("Hz", hertz, 0.6, 0.75);
    is_within("lower threshold", swings.least, 0.0, 5.01);
    is_within("upper threshold", swings.most, 9.99, 10.01);
    // What the output reaches on its way.
    let mut high = 0.0_f64;
    for step in 0..20 {
        it.until(9.0 + 0.1 * f64::from(step));
        high = high.max(it.volts("U1.3"));
    }
    let h = high / 15.0;
    let up = ((h - 1.0 / 3.0) / (h - 2.0 / 3.0)).ln();
    is_near("Hz by its own drop", hertz, 1.0 / (up + 2.0_f64.ln()), 0.02);
}

/// A step of 5 V onto a coil, a capacitor and a resistor in series; 50 Ω are the source's.
fn ringing(ohms: f64) -> Desk {
    desk(&format!(
        "signal V1 shape=square offset_volts=2.5 amplitude_volts=2.5 hertz=0.1: v g; resistor R1 ohms={ohms}: v a; \
         inductor L1 henries=1 ohms=10: a b; capacitor C1 farads=1e-4: b g"
    ))
}

#[test]
fn a_series_rlc_circuit_steps_as_its_closed_form_says() {
    // 1 H and 100 µF: ω₀ = 100 / s, critical at 200 Ω. From the equation L·q″ + R·q′ + q / C = V.
    // Of the ohms 50 are the source's, 10 the winding's; 20 contacts of 20 mΩ and six wires of 5 mΩ are 0.43 Ω.
    for total in [61.0_f64, 120.0, 200.0, 400.0, 1000.0] {
        let mut circuit = ringing(total - 60.43);
        let (a, w) = (total / 2.0, 100.0_f64);
        for step in 1..=30 {
            let t = 4e-3 * f64::from(step);
            let rest = if (a - w).abs() < 1e-9 {
                (-a * t).exp() * (1.0 + a * t)
            } else if a < w {
                let wd = (w * w - a * a).sqrt();
                (-a * t).exp() * ((wd * t).cos() + a / wd * (wd * t).sin())
            } else {
                let d = (a * a - w * w).sqrt();
                let (fast, slow) = (-a - d, -a + d);
                (slow * (fast * t).exp() - fast * (slow * t).exp()) / (slow - fast)
            };
            let exact = 5.0 * (1.0 - rest);
            let told = circuit.until(t).across("C1", 0, 1);
            // The losses beside the winding, 141 kΩ by 1 H, count as 0.07 Ω more.
            assert!((told - exact).abs() < 5e-3, "{total} Ω, {t} s: {told} V, exact {exact} V");
        }
    }
}

#[test]
fn a_coils_current_steps_as_its_closed_form_says() {
    // i = V / R · (1 − exp(−t·R / L)): 1 H, 100 Ω of which 50 Ω are the source's and 10 Ω the winding's; 16 contacts
    // of 20 mΩ and five wires of 5 mΩ are 0.345 Ω.
    let mut circuit = desk(
        "signal V1 shape=square offset_volts=2.5 amplitude_volts=2.5 hertz=0.1: v g; resistor R1 ohms=39.655: v a; \
         inductor L1 henries=1 ohms=10: a g",
    );
    for step in 1..=40 {
        let t = 1e-3 * f64::from(step);
        let exact = 0.05 * (1.0 - (-100.0 * t).exp());
        // The losses beside a winding of 1 H are 141 kΩ: 35 µA at first.
        is_within("amps", circuit.until(t).amps("L1", 0), exact - 4e-5, exact + 4e-5);
    }
}

#[test]
fn a_rectifier_ripples_by_its_current_over_frequency_and_capacitance() {
    // Half wave: between two peaks the load takes I / f out of the capacitor, so the ripple is I / (f·C), less what
    // flows while the diode conducts: a tenth or so. 10 V, 50 Hz, 50 Ω inside, 100 kΩ, 10 µF.
    let mut circuit = desk(
        "signal V1 shape=sine amplitude_volts=10 hertz=50: v g; diode D1 type=1n4148: v a; \
         resistor R1 ohms=100000: a g; capacitor C1 farads=1e-5: a g",
    );
    circuit.until(1.0);
    let (mut least, mut most, mut sum) = (f64::MAX, f64::MIN, 0.0);
    for step in 1..=400 {
        let volts = circuit.until(1.0 + 1e-4 * f64::from(step)).volts("a");
        (least, most, sum) = (least.min(volts), most.max(volts), sum + volts);
    }
    let mean = sum / 400.0;
    is_within("mean", mean, 9.0, 9.6);
    is_within("ripple", (most - least) / (mean / 1e5 / (50.0 * 1e-5)), 0.85, 1.0);
}

/// Kind, holes, values.
type Line<'a> = (&'a str, [&'a str; 2], &'a [(&'a str, f64)]);

/// Parts on a half board, for steps of a fixed length.
fn bench(lines: &[Line<'_>]) -> Bench {
    let mut bench = Bench::new(BoardKind::Half);
    for (kind, holes, values) in lines {
        let card = parts::card(kind).expect("a kind");
        let part = PartIx(bench.parts.len());
        let mut it = Part::new(bench.next_id(card), card);
        for &(key, value) in *values {
            assert!(it.set(key, Value::Number(value)), "{kind} {key}");
        }
        bench.parts.push(it);
        for (pin, hole) in holes.iter().enumerate() {
            bench.put_leg(LegId { part, pin }, Hole::parse(hole)).expect("a free hole");
        }
    }
    bench
}

#[test]
fn halving_the_step_quarters_the_error() {
    // The order of TR-BDF2 is two. Sine into RC, RLC and a rectifier; against steps a sixteenth as long as the
    // shortest. Errors are those of the whole run, not of one step.
    let sine: Line<'_> = ("signal", ["L+1", "L-1"], &[("amplitude_volts", 5.0), ("hertz", 100.0)]);
    let load: Line<'_> = ("resistor", ["c10", "L-7"], &[("ohms", 5000.0)]);
    let rc = bench(&[
        sine,
        ("resistor", ["L+5", "a10"], &[("ohms", 1000.0)]),
        ("capacitor", ["b10", "L-6"], &[("farads", 1e-6)]),
    ]);
    let rlc = bench(&[
        sine,
        ("inductor", ["L+5", "a10"], &[("henries", 1.0), ("ohms", 100.0)]),
        ("capacitor", ["b10", "L-6"], &[("farads", 1e-6)]),
        load,
    ]);
    let rectifier = bench(&[
        sine,
        ("diode", ["L+5", "a10"], &[]),
        ("capacitor", ["b10", "L-6"], &[("farads", 1e-6)]),
        load,
    ]);
    for (name, bench, least) in [("RC", rc, 1.95), ("RLC", rlc, 1.95), ("rectifier", rectifier, 1.7)] {
        let strip = bench.strip(Hole::parse("a10").expect("a hole")).expect("a strip");
        // Volts at 21 places of 20 ms, which are ends of steps of all lengths.
        let volts = |steps: u32| -> Vec<f64> {
            let care = Care { fixed_seconds: Some(1e-3 / f64::from(steps)), ..Care::CLOSE };
            let mut run = Run::new(&bench, care);
            (0..=20)
                .map(|place| {
                    while run.time() < 1e-3 * f64::from(place) - 1e-9 {
                        run.advance();
                    }
                    run.strip_volts(strip, run.time()).expect("tied to a source")
                })
                .collect()
        };
        let finest = volts(2560);
        let errors: Vec<f64> = [20, 40, 80, 160]
            .iter()
            .map(|&steps| {
                let off = volts(steps).iter().zip(&finest).map(|(a, b)| (a - b) * (a - b)).sum::<f64>();
                (off / 21.0).sqrt()
            })
            .collect();
        for pair in errors.windows(2) {
            let order = (pair[0] / pair[1]).log2();
            assert!((least..2.3).contains(&order), "{name}: {order}, errors {errors:?}");
        }
        assert!(errors[3] < 1e-3 && errors[3] > 1e-9, "{name}: {errors:?}");
    }
}
