//! Chips against their makers' tables, each in a circuit that measures what the table says.

use halfrow_core::circuit::Contacts;
use halfrow_core::solve::solve_with;
use halfrow_outside::stand::{Stand, stand};

/// A 555 with supply, its output loaded.
fn timer(volts: f64, output: &str) -> Stand {
    let (state, load) = output.split_once(' ').unwrap_or((output, ""));
    let level = if state == "LOW" { "v" } else { "g" };
    let mut stand = stand(&format!(
        "supply V1 volts={volts} limit_amps=3 ohms=0.001: v g; 555 U1; wire: U1.1 g; wire: U1.8 v; \
         wire: U1.4 v; wire: U1.2 {level}; wire: U1.6 {level}; {load}"
    ));
    stand.until(1e-4);
    stand
}

fn is_within(what: &str, value: f64, least: f64, most: f64) {
    assert!((least..=most).contains(&value), "{what}: {value} is not within {least} and {most}");
}

#[test]
fn a_555_gives_what_its_table_says_when_high() {
    // NE555 sheet of Wings, page 3, typical: 13.3 V at 100 mA and 12.5 V at 200 mA with 15 V, 3.3 V at
    // 100 mA with 5 V; least 12.75 V and 2.75 V. 0.1 V either way is read off a resistor load.
    for (supply, typical, amps) in [(15.0, 13.3, 0.1), (15.0, 12.5, 0.2), (5.0, 3.3, 0.1)] {
        let stand = timer(supply, &format!("HIGH resistor R1 ohms={}: U1.3 g", typical / amps));
        is_within("output", stand.volts("U1.3"), typical - 0.1, typical + 0.1);
    }
}

#[test]
fn a_555_sinks_no_worse_than_its_table_says_when_low() {
    // The same sheet, greatest: 0.25 V at 10 mA, 0.75 V at 50 mA, 2.5 V at 100 mA with 15 V; 0.35 V at
    // 5 mA with 5 V. Typical at 10 and 50 mA: 0.1 and 0.4 V, and at least half of that.
    let rows =
        [(15.0, 0.01, 0.05, 0.25), (15.0, 0.05, 0.2, 0.75), (15.0, 0.1, 0.5, 2.5), (5.0, 0.005, 0.02, 0.35)];
    for (supply, amps, least, most) in rows {
        let ohms = (supply - least) / amps;
        let stand = timer(supply, &format!("LOW resistor R1 ohms={ohms}: U1.3 v"));
        is_within("output", stand.volts("U1.3"), least, most);
    }
}

#[test]
fn a_555_takes_three_milliamperes_at_5_v_and_ten_at_15_v() {
    // Typical, no load, output low; greatest 6 and 15 mA (from memory).
    for (volts, milliamperes) in [(5.0, 3.0), (15.0, 10.0)] {
        let stand = timer(volts, "LOW");
        is_within("mA", -1e3 * stand.amps("V1", 0), 0.85 * milliamperes, 1.15 * milliamperes);
    }
}

#[test]
fn a_555_discharges_through_little() {
    // SA555N of ST, page 4: 80 mV typical, 200 at most, at 5 V and 4.5 mA; 480 mV at most at 15 mA.
    let low = |supply: f64, amps: f64| {
        timer(supply, &format!("LOW resistor R1 ohms={}: U1.7 v", supply / amps)).volts("U1.7")
    };
    is_within("discharge", low(5.0, 0.0045), 0.06, 0.1);
    is_within("discharge", low(15.0, 0.015), 0.18, 0.48);
}

#[test]
fn a_high_555_lets_go_of_a_load_to_the_supply() {
    // A bipolar output can't take current while it is high: what hangs between it and the supply gets
    // less than its base current (common practice, no source).
    let stand = timer(5.0, "HIGH resistor R1 ohms=100: v U1.3");
    is_within("mA through the load", 1e3 * stand.amps("R1", 0), -1e-3, 0.05);
    is_within("supply mA", -1e3 * stand.amps("V1", 0), 2.0, 4.0);
}

#[test]
fn an_astable_555_keeps_to_its_formulas() {
    // tH = 0.693·(RA + RB)·C, tL = 0.693·RB·C, f = 1.44 / ((RA + 2·RB)·C): Maplin's NE555N sheet, to one
    // per cent where RA is 10 kΩ or more. They leave out that the discharge pin stands a little above ground
    // (18 Ω): with RA of 1 kΩ that is 0.1 V and tL is 4 % longer, as its closed form says. The thresholds
    // are 2/3 and 1/3 of the supply: SLFS022I.
    let rows = [
        (1000.0, 10_000.0, 1e-7),
        (4700.0, 4700.0, 1e-6),
        (10_000.0, 10_000.0, 1e-7),
        (10_000.0, 47_000.0, 1e-8),
    ];
    for (ra, rb, farads) in rows {
        let mut stand = stand(&format!(
            "supply V1 volts=6 limit_amps=3: v g; 555 U1; wire: U1.1 g; wire: U1.8 v; wire: U1.4 v; \
             wire: U1.2 U1.6; resistor ohms={ra}: v U1.7; resistor ohms={rb}: U1.7 U1.6; \
             capacitor farads={farads}: U1.6 g"
        ));
        let period = 0.693 * (ra + 2.0 * rb) * farads;
        let seen = stand.crossings("U1.3", 2.0, 8.0 * period);
        let rise = seen.up.iter().copied().rfind(|up| *up < seen.down[2]).expect("a rise");
        let (high, low) = (seen.down[2] - rise, rise - seen.down[1]);
        is_within("high", high / (0.693 * (ra + rb) * farads), 0.99, 1.01);
        let stands = 6.0 * 18.0 / (ra + 18.0);
        let closed_form = (rb + ra * 18.0 / (ra + 18.0)) * farads * ((4.0 - stands) / (2.0 - stands)).ln();
        is_within("low", low / closed_form, 0.997, 1.003);
        if ra >= 10_000.0 {
            is_within("low", low / (0.693 * rb * farads), 0.99, 1.01);
            is_within("period", seen.period() / period, 0.99, 1.01);
            is_within("frequency", (ra + 2.0 * rb) * farads / seen.period() / 1.44, 0.99, 1.01);
        }
        let swing = stand.crossings("U1.6", 3.0, 12.0 * period);
        is_within("low threshold", swing.least, 1.98, 2.01);
        is_within("high threshold", swing.most, 3.99, 4.02);
    }
}

#[test]
fn a_monostable_555_is_on_for_1_1_rc() {
    // t = 1.1·R·C: Maplin's NE555N sheet (ln 3 = 1.0986 exactly). Its trigger is a wave that is low for
    // a short half of its period: the resistor pulls it up in time.
    let mut stand = stand(
        "supply V1 volts=5 limit_amps=3: v g; 555 U1; wire: U1.1 g; wire: U1.8 v; wire: U1.4 v; \
         wire: U1.6 U1.7; resistor ohms=100000: v U1.7; capacitor farads=1e-7: U1.7 g; \
         signal shape=square hertz=66 amplitude_volts=2.5 offset_volts=2.5: w g; \
         capacitor farads=1e-8: w U1.2; resistor ohms=10000: U1.2 v",
    );
    let seen = stand.crossings("U1.3", 2.0, 0.07);
    let falls: Vec<f64> = seen.down.iter().copied().filter(|down| *down > seen.up[1]).collect();
    let seconds = falls[0] - seen.up[1];
    is_within("pulse", seconds, 0.985 * 1.1 * 0.01, 1.01 * 1.1 * 0.01);
}

#[test]
fn reset_holds_a_555_low() {
    // Reset below 0.3 V (a sure low by any maker's sheet, from memory) while triggered.
    let mut stand = stand(
        "supply V1 volts=5 limit_amps=3: v g; 555 U1; wire: U1.1 g; wire: U1.8 v; resistor ohms=100: U1.4 g; \
         wire: U1.2 g; wire: U1.6 g",
    );
    is_within("output", stand.until(1e-4).volts("U1.3"), -0.01, 0.1);
}

/// An op-amp between `v` and `g` whose first half is wired as told; the other follows ground.
fn amplifier(volts: f64, wiring: &str) -> Stand {
    let (kind, wiring) = wiring.split_once(';').expect("type; wiring");
    // A bench supply ends at 24 V: two of them.
    stand(&format!(
        "supply V1 volts={half} limit_amps=3 ohms=0.001: v m; supply V2 volts={half} limit_amps=3 ohms=0.001: m g; \
         op-amp U1 {kind}; wire: U1.8 v; wire: U1.4 g; wire: U1.5 g; wire: U1.6 U1.7; {wiring}",
        half = volts / 2.0,
    ))
}

#[test]
fn an_lm358_swings_as_its_table_says() {
    // SLOS068R, page 9, at 30 V: 26 V at least into 2 kΩ, 27 least and 28 typical into 10 kΩ; 5 mV typical
    // and 20 at most when low. At 5 V into 2 kΩ 3.3 V least, 3.5 typical (a maker's table).
    let rows = [(30.0, 2000.0, 26.0, 28.5), (30.0, 10_000.0, 27.0, 28.6), (5.0, 2000.0, 3.3, 3.6)];
    for (volts, ohms, least, most) in rows {
        let wiring = format!("type=lm358; wire: U1.3 m; wire: U1.2 g; resistor ohms={ohms}: U1.1 g");
        is_within("high", amplifier(volts, &wiring).until(1e-3).volts("U1.1"), least, most);
        let wiring = format!("type=lm358; wire: U1.3 g; wire: U1.2 m; resistor ohms={ohms}: U1.1 g");
        is_within("low", amplifier(volts, &wiring).until(1e-3).volts("U1.1"), -1e-4, 0.02);
    }
}

#[test]
fn an_lm358_sees_no_input_above_its_common_mode_limit() {
    // SLOS068R: inputs from 0 to VCC − 1.5 V. A follower of 3.8 V at 5 V goes as far as its output can
    // (VCC − 1.35 V without load); two inputs above the limit are the same to it; one that is below is still told from them.
    let follower = |volts: f64| {
        let wiring = format!("type=lm358; supply V3 volts={volts}: k g; wire: U1.3 k; wire: U1.2 U1.1");
        amplifier(5.0, &wiring).until(1e-3).volts("U1.1")
    };
    is_within("2 V", follower(2.0), 1.999, 2.001);
    is_within("3.4 V", follower(3.4), 3.38, 3.41);
    is_within("3.8 V", follower(3.8), 3.3, 3.65);
    let compares = |plus: f64, minus: f64| {
        let wiring = format!(
            "type=lm358; supply V3 volts={plus}: k g; supply V4 volts={minus}: l g; wire: U1.3 k; wire: U1.2 l"
        );
        amplifier(5.0, &wiring).until(2e-3).volts("U1.1")
    };
    assert!(compares(4.2, 3.0) > 3.0 && compares(3.0, 4.2) < 0.1);
    let blind = compares(4.5, 4.3) - compares(4.3, 4.5);
    assert!(blind.abs() < 1.5, "{blind}");
}

#[test]
fn an_lm358_gives_and_takes_what_its_table_says() {
    // SLOS068R, page 9, at 15 V: sources 20 mA at least and 30 typical, sinks 10 mA and 20 typical; at
    // 200 mV it sinks 30 µA typical, 12 at least.
    let shorted = |level: &str, other: &str, wiring: &str| {
        let wiring = format!("type=lm358; wire: U1.3 {level}; wire: U1.2 {other}; {wiring}");
        let mut stand = amplifier(15.0, &wiring);
        1e3 * stand.until(2e-4).amps("U1", 0)
    };
    is_within("sourced mA", -shorted("m", "g", "resistor ohms=1: U1.1 g"), 20.0, 40.0);
    is_within("sunk mA", shorted("g", "m", "resistor ohms=1: U1.1 v"), 10.0, 24.0);
    let low = "supply V3 volts=0.2 ohms=0.001: s g; resistor ohms=1: s U1.1";
    is_within("sunk mA at 200 mV", shorted("g", "m", low), 0.012, 0.06);
}

#[test]
fn op_amps_are_as_fast_as_they_are_sold() {
    // LM358: 0.3 V/µs and 1 MHz; the ideal one 10 V/µs and 10 MHz: from memory, a design choice.
    for (word, slew, bandwidth) in [("lm358", 0.3e6, 1e6), ("rail-to-rail", 10e6, 10e6)] {
        let step = 2.0 / slew;
        let mut stand = amplifier(
            12.0,
            &format!(
                "type={word}; wire: U1.1 U1.2; resistor ohms=10000: U1.1 g; wire: U1.3 w; \
             signal shape=square hertz={} amplitude_volts=2 offset_volts=4: w g",
                1.0 / (40.0 * step)
            ),
        );
        let low = stand.crossings("U1.1", 3.0, 90.0 * step);
        let mut again = amplifier(
            12.0,
            &format!(
                "type={word}; wire: U1.1 U1.2; resistor ohms=10000: U1.1 g; wire: U1.3 w; \
             signal shape=square hertz={} amplitude_volts=2 offset_volts=4: w g",
                1.0 / (40.0 * step)
            ),
        );
        let high = again.crossings("U1.1", 5.0, 90.0 * step);
        let seconds = high.up[1] - low.up[1];
        is_within("slew", 2.0 / seconds, 0.95 * slew, 1.05 * slew);

        // Eleven times at a hundredth of the bandwidth, and at an eleventh of it 1/√2 of that.
        let swing = |hertz: f64| {
            let mut stand = amplifier(
                12.0,
                &format!(
                    "type={word}; resistor ohms=10000: U1.1 U1.2; resistor ohms=1000: U1.2 m; wire: U1.3 w; \
                 signal hertz={hertz} amplitude_volts=0.01: w m"
                ),
            );
            stand.until(5.0 / hertz + 4.0 / (bandwidth / 11.0));
            let end = stand.run.time() + 2.0 / hertz;
            let seen = stand.crossings("U1.1", 6.0, end);
            (seen.most - seen.least) / 0.02
        };
        is_within("gain", swing(bandwidth / 100.0), 10.7, 11.1);
        is_within("gain at its corner", swing(bandwidth / 11.0) / 11.0 * 2f64.sqrt(), 0.96, 1.04);
    }
}

#[test]
fn op_amps_amplify_as_a_book_says() {
    // Kuphaldt, Lessons in Electric Circuits, volume III, chapter 8.5: 1 kΩ and 1 kΩ make 12 V of 6 V,
    // and −6 V; chapter 8.4: a follower repeats 6 V (5.99997 V with a gain of 200 000).
    let mut follower = amplifier(
        20.0,
        "type=rail-to-rail; supply V3 volts=6 ohms=0.001: w g; wire: U1.3 w; wire: U1.2 U1.1",
    );
    is_within("follower", follower.until(1e-3).volts("U1.1"), 5.9999, 6.0001);
    let mut double = amplifier(
        20.0,
        "type=rail-to-rail; supply V3 volts=6 ohms=0.001: w g; wire: U1.3 w; resistor R1 ohms=1000: U1.1 U1.2; resistor R2 ohms=1000: U1.2 g",
    );
    is_within("non-inverting", double.until(1e-3).volts("U1.1"), 11.999, 12.001);
    is_within("mA in the feedback", 1e3 * double.amps("R2", 0), 5.999, 6.001);
    // Its ground is the middle of the supply.
    let mut inverting = amplifier(
        20.0,
        "type=rail-to-rail; supply V3 volts=6 ohms=0.001: w m; wire: U1.3 m; resistor ohms=1000: U1.1 U1.2; resistor ohms=1000: U1.2 w",
    );
    inverting.until(1e-3);
    is_within("inverting", inverting.volts("U1.1") - inverting.volts("m"), -6.001, -5.999);
}

#[test]
fn a_comparator_pulls_down_and_lets_go() {
    // LM393: 250 mV typical and 400 at most at 4 mA, about 1.3 µs, 0.4 mA at 5 V: from memory.
    let text = "supply V1 volts=5 limit_amps=3 ohms=0.001: v g; comparator U1; wire: U1.8 v; wire: U1.4 g; \
                resistor ohms=1000: v r; resistor ohms=1000: r g; wire: U1.3 r; wire: U1.5 g; wire: U1.6 g; \
                resistor ohms=1190: v U1.1; wire: U1.2 w; \
                signal shape=triangle hertz=1000 amplitude_volts=2 offset_volts=2.5: w g";
    let out = stand(text).crossings("U1.1", 2.5, 5e-3);
    is_within("low", out.least, 0.15, 0.4);
    is_within("high", out.most, 4.99, 5.001);
    let wave = stand(text).crossings("w", 2.5, 5e-3);
    for (fall, cross) in out.down[1..].iter().zip(&wave.up[1..]) {
        // The hysteresis is a millivolt of a wave that climbs 8 V in a millisecond.
        is_within("delay", fall - cross, 1.2e-6, 1.6e-6);
    }
    assert!(out.down.len() >= 4 && out.up.len() >= 4);
}

#[test]
fn a_regulator_holds_five_volts_while_it_can() {
    // LM78XX rev 1.3.1: 4.80 to 5.20 V, 100 mV over 7 to 25 V and over the load, dropout 2 V typical at
    // 1 A, 5 mA typical (8 at most) for itself, 2.2 A peak.
    let out = |volts: f64, ohms: f64| {
        let mut stand = stand(&format!(
            "supply V1 volts={volts} limit_amps=3 ohms=0.001: v g; regulator U1; wire: U1.IN v; wire: U1.GND g; \
             resistor R1 ohms={ohms}: U1.OUT g; capacitor farads=1e-7: U1.OUT g"
        ));
        stand.until(1e-3);
        (stand.volts("U1.OUT"), -stand.amps("V1", 0) - stand.amps("R1", 0))
    };
    let rows = [(7.0, 500.0), (12.0, 500.0), (24.0, 500.0), (12.0, 10.0), (12.0, 5.0)];
    let volts = rows.map(|(volts, ohms)| out(volts, ohms).0);
    for volts in volts {
        is_within("output", volts, 4.8, 5.2);
    }
    is_within("line", (volts[2] - volts[0]).abs(), 0.0, 0.1);
    is_within("load", (volts[4] - volts[1]).abs(), 0.0, 0.1);
    is_within("own mA", 1e3 * out(12.0, 500.0).1, 4.0, 8.0);
    // 1 A at 2 V less: just out of regulation.
    is_within("short of input", out(6.5, 4.5).0, 4.35, 4.65);
    let mut shorted = stand(
        "supply V1 volts=12 limit_amps=3 ohms=0.001: v g; regulator U1; wire: U1.IN v; wire: U1.GND g; \
         resistor R1 ohms=0.1: U1.OUT g",
    );
    is_within("shorted", shorted.until(1e-3).amps("R1", 0), 2.0, 2.4);
}

#[test]
fn other_regulators_drop_what_their_sheets_say() {
    // Dropout of a 78L05 1.7 V and of an LM2940-5 0.5 V at 1 A: typical, from memory. Fed with 5 V more than a
    // fifth of a volt too little, they give what is left.
    for (kind, drop, amps) in [("78l05", 1.7, 0.04), ("low-drop", 0.5, 1.0)] {
        let mut stand = stand(&format!(
            "supply V1 volts={} limit_amps=3 ohms=0.001: v g; regulator U1 type={kind}; wire: U1.IN v; \
             wire: U1.GND g; resistor R1 ohms={}: U1.OUT g; capacitor farads=1e-7: U1.OUT g",
            4.8 + drop,
            4.8 / amps
        ));
        is_within(kind, stand.until(1e-3).volts("U1.OUT"), 4.72, 4.88);
    }
}

/// A chip of the 74HC family with its supply; what else is wired as told.
fn logic(kind: &str, volts: f64, wiring: &str) -> Stand {
    let [power, ground] = if kind.ends_with("hc00") || kind.ends_with("hc04") || kind.ends_with("hc14") {
        [14, 7]
    } else {
        [16, 8]
    };
    stand(&format!(
        "supply V1 volts={volts} limit_amps=3 ohms=0.001: v g; {kind} U1; wire: U1.{power} v; wire: U1.{ground} g; {wiring}"
    ))
}

#[test]
fn logic_outputs_keep_the_levels_of_the_standard() {
    // JESD7A, least high and greatest low at 25 °C: 3.98 V and 0.26 V at 4 mA with 4.5 V, 5.48 V and 0.26 V at
    // 5.2 mA with 6 V, at 20 µA 1.9 V and 0.1 V with 2 V, 4.4 V and 0.1 V with 4.5 V, 5.9 V and 0.1 V with 6 V. Typical at 4 mA: 4.31 V and 0.17 V
    // (TC74HCT00A).
    for (supply, amps, low, high) in [
        (2.0, 20e-6, 0.1, 1.9),
        (4.5, 20e-6, 0.1, 4.4),
        (6.0, 20e-6, 0.1, 5.9),
        (4.5, 0.004, 0.26, 3.98),
        (6.0, 0.0052, 0.26, 5.48),
    ] {
        let mut up = logic("74hc04", supply, &format!("wire: U1.1 g; resistor ohms={}: U1.2 g", high / amps));
        is_within("high", up.until(1e-6).volts("U1.2"), high, supply);
        let mut down = logic(
            "74hc04",
            supply,
            &format!("wire: U1.1 v; resistor ohms={}: U1.2 v", (supply - low) / amps),
        );
        is_within("low", down.until(1e-6).volts("U1.2"), 0.0, low);
    }
    let mut up = logic("74hc04", 4.5, "wire: U1.1 g; resistor ohms=1077.5: U1.2 g");
    is_within("typically high", up.until(1e-6).volts("U1.2"), 4.29, 4.33);
    let mut down = logic("74hc04", 4.5, "wire: U1.1 v; resistor ohms=1082.5: U1.2 v");
    is_within("typically low", down.until(1e-6).volts("U1.2"), 0.16, 0.18);
    // 74HC00, typical at 6 V and 5.2 mA: 5.81 V and 0.16 V (from memory), to 0.02 V.
    let mut up = logic("74hc04", 6.0, "wire: U1.1 g; resistor ohms=1117.3: U1.2 g");
    is_within("typically high at 6 V", up.until(1e-6).volts("U1.2"), 5.79, 5.83);
    let mut down = logic("74hc04", 6.0, "wire: U1.1 v; resistor ohms=1123: U1.2 v");
    is_within("typically low at 6 V", down.until(1e-6).volts("U1.2"), 0.14, 0.18);
}

#[test]
fn a_logic_chip_whose_output_pulls_its_own_supply_down_comes_to_rest() {
    // 270 Ω on the way to VCC and an output into a lamp without a resistor: fewer volts, a weaker output.
    let mut it = stand(
        "supply V1 volts=5: v g; resistor R1 ohms=270: v p; 74hc04 U1; wire: U1.14 p; wire: U1.7 g; wire: U1.1 g; \
         led D1: U1.2 g",
    );
    it.until(0.01);
    assert_eq!(it.run.stalled(), None);
    let steps = it.run.effort().steps;
    assert!(steps < 500, "{steps}");
    is_within("supply", it.volts("U1.14"), 2.0, 3.2);
}

#[test]
fn logic_inputs_know_the_levels_of_the_standard() {
    // JESD7A: 3.15 V is high and 1.35 V low at 4.5 V, 4.2 V and 1.8 V at 6 V, 0.7 and 0.3 of 5 V.
    for (supply, low, high) in [(4.5, 1.35, 3.15), (5.0, 1.5, 3.5), (6.0, 1.8, 4.2)] {
        for (input, output) in [(1, 2), (3, 4), (5, 6), (9, 8), (11, 10), (13, 12)] {
            for kind in ["74hc04", "74hc14"] {
                let level = |volts: f64| {
                    let wiring = format!("supply V2 volts={volts}: w g; wire: w U1.{input}");
                    logic(kind, supply, &wiring).until(1e-6).volts(&format!("U1.{output}")) > 0.5 * supply
                };
                assert!(level(low) && !level(high), "{kind} input {input} at {supply} V");
            }
        }
    }
}

#[test]
fn an_open_logic_input_reads_something_and_the_same_each_time() {
    let read = || {
        let mut stand = logic("74hc04", 5.0, "");
        stand.until(1e-6);
        [2, 4, 6, 8, 10, 12].map(|output| stand.volts(&format!("U1.{output}")) > 2.5)
    };
    let first = read();
    assert!(first.contains(&true) && first.contains(&false), "{first:?}");
    assert_eq!(first, read());
}

#[test]
fn two_gates_remember_a_bit() {
    // A latch of two NAND gates: set by a short low at S, and it stays so. Pulses through capacitors.
    let mut stand = logic(
        "74hc00",
        5.0,
        "wire: U1.3 U1.5; wire: U1.6 U1.2; resistor ohms=10000: U1.1 v; resistor ohms=10000: U1.4 v; \
         signal shape=square hertz=1000 amplitude_volts=2.5 offset_volts=2.5: w g; \
         74hc04 U2; wire: U2.14 v; wire: U2.7 g; wire: U2.1 w; \
         capacitor farads=1e-9: w U1.1; capacitor farads=1e-9: U2.2 U1.4",
    );
    let seen = stand.crossings("U1.3", 2.5, 4.2e-3);
    // High from a fall of the wave to its rise: half of the time, once a period.
    is_within("period", seen.period(), 0.99e-3, 1.01e-3);
    let high = seen.down.iter().find(|down| **down > seen.up[1]).expect("a fall") - seen.up[1];
    is_within("high", high, 0.49e-3, 0.51e-3);
}

#[test]
fn latches_come_to_rest_on_one_side_when_power_comes_on() {
    // Both inputs idle, in one chip and over two: nothing says which side, but it is one of the two.
    let one = "wire: U1.3 U1.5; wire: U1.6 U1.2; resistor ohms=10000: U1.1 v; resistor ohms=10000: U1.4 v";
    let two = "74hc00 U2; wire: U2.14 v; wire: U2.7 g; wire: U1.3 U2.2; wire: U2.3 U1.2; \
               resistor ohms=10000: U1.1 v; resistor ohms=10000: U2.1 v";
    for (wiring, other) in [(one, "U1.6"), (two, "U2.3")] {
        let mut stand = logic("74hc00", 5.0, wiring);
        assert!(!solve_with(stand.run.bench(), Contacts::default()).restless);
        stand.until(1e-6);
        let events = stand.run.effort().events;
        let sides = [stand.volts("U1.3"), stand.volts(other)].map(|volts| volts > 2.5);
        assert_ne!(sides[0], sides[1], "{wiring}");
        stand.until(1e-3);
        assert_eq!(sides, [stand.volts("U1.3"), stand.volts(other)].map(|volts| volts > 2.5));
        assert_eq!(stand.run.effort().events, events, "it rests");
    }
}

#[test]
fn inverters_in_a_ring_swing_by_their_delay() {
    // Each half period is three delays of 9 ns (from memory), so 18.5 MHz; a chip's delay differs from
    // the next one's by up to 4 %. A second ring in the same chip doesn't change the first by more than
    // the delays of gates that switch at the same time.
    let ring = "wire: U1.2 U1.3; wire: U1.4 U1.5; wire: U1.6 U1.1";
    let seen = logic("74hc04", 5.0, ring).crossings("U1.6", 2.5, 1e-6);
    is_within("period", seen.period(), 0.95 * 54e-9, 1.05 * 54e-9);
    let both = format!("{ring}; wire: U1.8 U1.11; wire: U1.10 U1.13; wire: U1.12 U1.9");
    let seen = logic("74hc04", 5.0, &both).crossings("U1.6", 2.5, 1e-6);
    is_within("period", seen.period(), 0.95 * 54e-9, 1.2 * 54e-9);
    // Over three chips.
    let mut chips = logic(
        "74hc04",
        5.0,
        "74hc04 U2; wire: U2.14 v; wire: U2.7 g; 74hc04 U3; wire: U3.14 v; wire: U3.7 g; \
         wire: U1.2 U2.1; wire: U2.2 U3.1; wire: U3.2 U1.1",
    );
    is_within("period", chips.crossings("U1.2", 2.5, 1e-6).period(), 0.95 * 54e-9, 1.05 * 54e-9);
}

#[test]
fn a_schmitt_inverter_blinks_with_a_resistor_and_a_capacitor() {
    // From 0.4 to 0.6 of the supply and back: T = 2·R·C·ln(0.6 / 0.4) = 0.811·R·C. Its thresholds are off by
    // at most 3 % of the supply, which changes T by 2 %.
    let mut stand = logic("74hc14", 5.0, "resistor ohms=10000: U1.2 U1.1; capacitor farads=1e-7: U1.1 g");
    let seen = stand.crossings("U1.2", 2.5, 8e-3);
    is_within("period", seen.period(), 0.97 * 0.811e-3, 1.03 * 0.811e-3);
}

#[test]
fn counters_divide_their_clock() {
    // HEF4017B rev 9: the carry is low in 5 to 9, so a tenth of the clock with half of it low. A binary
    // counter's last output is a sixteenth.
    let clock = "signal shape=square hertz=100000 amplitude_volts=2.5 offset_volts=2.5: w g";
    let mut decade = logic("74hc4017", 5.0, &format!("{clock}; wire: w U1.14; wire: U1.13 g; wire: U1.15 g"));
    let carry = decade.crossings("U1.12", 2.5, 4.5e-4);
    is_within("carry", carry.period(), 0.9999e-4, 1.0001e-4);
    let low = carry.up[2] - carry.down.iter().copied().rfind(|down| *down < carry.up[2]).expect("a fall");
    is_within("low", low, 0.4999e-4, 0.5001e-4);
    let mut binary = logic(
        "74hc163",
        5.0,
        &format!(
            "{clock}; wire: w U1.2; wire: U1.1 v; wire: U1.7 v; wire: U1.9 v; wire: U1.10 v; wire: U1.3 g; \
                  wire: U1.4 g; wire: U1.5 g; wire: U1.6 g"
        ),
    );
    let last = binary.crossings("U1.11", 2.5, 7e-4);
    is_within("last output", last.period(), 1.5999e-4, 1.6001e-4);
}

#[test]
fn chips_die_of_reversed_power_and_of_too_much() {
    for (kind, power, ground, most) in [
        ("555", 8, 1, 20.0),
        ("op-amp", 8, 4, 0.0),
        ("comparator", 8, 4, 0.0),
        ("74hc04", 14, 7, 9.0),
        ("74hc595", 16, 8, 9.0),
    ] {
        let wired = |volts: f64, plus: u8, minus: u8| {
            let mut stand = stand(&format!(
                "supply V1 volts={volts} limit_amps=3: v g; {kind} U1; wire: U1.{plus} v; wire: U1.{minus} g"
            ));
            stand.until(5.0).is_burnt("U1")
        };
        assert!(!wired(5.0, power, ground), "{kind}");
        assert!(wired(5.0, ground, power), "{kind} reversed");
        assert!(most == 0.0 || wired(most, power, ground), "{kind} at {most} V");
    }
}

#[test]
fn logic_outputs_stand_25_milliamperes_and_not_each_other() {
    // 74HC00 rev 7, table 4: 25 mA a pin and 7 V at the most. That two outputs against each other spoil
    // themselves within seconds: common practice, no source.
    let burns = |volts: f64, wiring: &str| logic("74hc04", volts, wiring).until(10.0).is_burnt("U1");
    assert!(!burns(5.0, "wire: U1.1 g; resistor ohms=155: U1.2 g"), "25 mA");
    assert!(burns(5.0, "wire: U1.1 g; wire: U1.3 v; wire: U1.2 U1.4"), "output against output");
    assert!(burns(5.0, "wire: U1.1 g; wire: U1.2 g"), "output shorted");
    assert!(!burns(6.9, "wire: U1.1 g") && burns(7.2, "wire: U1.1 g"));
}
