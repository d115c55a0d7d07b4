//! What a meter shows, against worked examples of textbooks and makers' manuals.
//!
//! Each line is built as a circuit and read off the display. Where a book's meter is a moving coil of so
//! many ohms, a digital one of the same resistance takes its place: loading and burden are the same.

use halfrow_core::card::{Range, Value};
use halfrow_core::meter::{Dial, Kind, Socket};
use halfrow_instruments::Figures;
use halfrow_instruments::range::SOUNDS_BELOW_OHMS;
use halfrow_outside::probe::probe;

/// `value` as printed, to half of its last digit unless another width is given.
#[track_caller]
fn near(source: &str, found: Option<f64>, value: f64, within: f64) {
    let found = found.unwrap_or_else(|| panic!("{source}: over range"));
    assert!((found - value).abs() <= within, "{source}: {found}, printed {value}");
}

/// A divider: supply, upper and lower resistor, the meter over the lower; the reading as printed.
#[track_caller]
fn loaded(source: &str, [supply, upper, lower, input]: [f64; 4], dial: Dial, value: f64, within: f64) {
    let text = format!("V {supply}: a g; R {upper}: a b; R {lower}: b g");
    let found = probe(&text).input(input).at(dial, "b", "g");
    near(source, found.last().value, value, within);
}

#[test]
fn a_voltmeter_loads_what_it_measures() {
    let liec = "Kuphaldt, Lessons in Electric Circuits, DC ch. 8";
    loaded(liec, [24.0, 250e6, 250e6, 10e6], Dial::Dc2V, 0.8889, 5e-5);
    loaded("Kalsi 4.11", [100.0, 10e3, 10e3, 50e3], Dial::Dc200V, 45.45, 5e-3);
    loaded("Kalsi 4.11", [100.0, 10e3, 10e3, 1e6], Dial::Dc200V, 49.75, 5e-3);
    loaded("Kalsi 4.12", [30.0, 25e3, 5e3, 10e3], Dial::Dc20V, 3.529, 5e-4);
    loaded("Kalsi 4.12", [30.0, 25e3, 5e3, 200e3], Dial::Dc20V, 4.898, 5e-4);
    for (range, value) in [(5.0, 4.785), (10.0, 4.890), (30.0, 4.963)] {
        loaded("Kalsi 4.13", [50.0, 45e3, 5e3, 20e3 * range], Dial::Dc20V, value, 5e-4);
    }
    loaded("Bakshi 2.14", [150.0, 100e3, 50e3, 50e3], Dial::Dc200V, 30.0, 5e-3);
    loaded("Bakshi 2.14", [150.0, 100e3, 50e3, 1.25e6], Dial::Dc200V, 48.70, 5e-3);
    loaded("Bakshi 3.14", [250.0, 20e3, 25e3, 75e3], Dial::Dc200V, 120.97, 5e-3);
    loaded("Bakshi 3.14", [250.0, 20e3, 25e3, 1.5e6], Dial::Dc200V, 137.87, 5e-3);
    loaded("Bakshi 3.15", [25.0, 5e3, 1e3, 5e3], Dial::Dc20V, 3.571, 5e-4);
    loaded("Bakshi 3.15", [25.0, 5e3, 1e3, 100e3], Dial::Dc20V, 4.132, 5e-4);
    loaded("Bird 10.5", [100.0, 60e3, 40e3, 160e3], Dial::Dc200V, 34.78, 5e-3);
    loaded("Sawhney 2.26", [100.0, 200e3, 200e3, 1e6], Dial::Dc200V, 45.45, 5e-3);
}

#[test]
fn a_voltmeter_loads_a_source_through_its_own_resistance() {
    for (source_ohms, value) in [(10e3, 4.0), (1e3, 5.714)] {
        let text = format!("V 6: a g; R {source_ohms}: a b");
        let found = probe(&text).input(20e3).at(Dial::Dc20V, "b", "g");
        near("Sawhney 2.24, 2.25", found.last().value, value, 5e-4);
    }
    // Two voltmeters in a row would add up to the supply; one after the other they don't.
    for nodes in [["a", "b"], ["b", "g"]] {
        let found =
            probe("V 30: a g; R 400e3: a b; R 400e3: b g").input(400e3).at(Dial::Dc20V, nodes[0], nodes[1]);
        near("edudirectory, two readings that sum to 20 V", found.last().value, 10.0, 1e-4);
    }
    let found = probe("V 3: e g; R 100: e a; R 250: a b; R 300: b g").input(5e3).at(Dial::Dc2V, "a", "b");
    near("Halliday, Resnick, Walker ch. 27 p. 49", found.last().value, 1.12, 5e-3);
    // A 5 kΩ meter over 100 kΩ makes 4.762 kΩ of it.
    let found = probe("R 5e3: a g; R 100e3: a g").at(Dial::Ohm20K, "a", "g");
    near("US Army text mm03246", found.last().value, 4.762e3, 0.5);
    let found = probe("V 1.585: e g; R 0.1: e b").input(1e3).at(Dial::Dc2V, "b", "g");
    near("OpenStax College Physics 21.4", found.last().value, 1.5848, 5e-5);
    assert_eq!(found.last().shown, "1.585");
    let found = probe("I 1e-5: b g; R 75e3: b g").input(1e6).at(Dial::Dc2V, "b", "g");
    near("OpenStax College Physics 21.4, −6.98 %", found.last().value, 0.75 * (1.0 - 0.0698), 0.75 * 5e-5);
    let found = probe("V 1.9: a g; R 10e3: a b").at(Dial::Dc2V, "b", "g");
    near(
        "Fluke 8020A manual: 10 kΩ loads by less than 0.1 %",
        found.last().value,
        1.9 * (1.0 - 0.000_999),
        2e-6,
    );
}

/// A loop that the meter closes between two nodes; the current as printed.
#[track_caller]
fn burdened(
    source: &str,
    text: &str,
    ohms: f64,
    dial: Dial,
    [red, black]: [&str; 2],
    value: f64,
    within: f64,
) {
    let mut probe = probe(text).burden(ohms);
    if dial == Dial::Dc10A {
        probe.bench.meters[0].red.socket = Socket::TenAmps;
    }
    near(source, probe.at(dial, red, black).last().value, value, within);
}

#[test]
fn an_ammeter_burdens_what_it_measures() {
    let liec = "Kuphaldt, Lessons in Electric Circuits, DC ch. 8";
    burdened(liec, "V 2: a g; R 1.5: a g; R 3: b g", 0.5, Dial::Dc10A, ["a", "b"], 0.5714, 5e-5);
    burdened(liec, "V 2: a g; R 3: a g; R 1.5: b g", 0.5, Dial::Dc10A, ["a", "b"], 1.0, 5e-5);
    burdened(liec, "V 12: a g; R 15e3: b g", 1.0, Dial::Dc2Ma, ["a", "b"], 0.799_95e-3, 5e-9);
    burdened("Bird 10.4", "V 10: a g; R 500: b g", 50.0, Dial::Dc20Ma, ["a", "b"], 18.18e-3, 5e-6);
    let text = "V 10: a g; R 1e3: a b; R 1e3: b g; R 500: b c";
    burdened("Sawhney 2.28", text, 100.0, Dial::Dc20Ma, ["c", "g"], 4.545e-3, 5e-7);
    burdened("Kalsi 4.14", "V 1.5: a g; R 1.5e3: a b", 100.0, Dial::Dc2Ma, ["b", "g"], 0.9375e-3, 5e-8);
    // 14 V through 8.9 Ω and a meter that drops 0.674 V at 1497 mA.
    let (amps, drop) = (1.497, 0.674);
    let text = format!("V 14: a g; R {}: a b", (14.0 - drop) / amps);
    burdened("Fluke 8021B manual", &text, drop / amps, Dial::Dc10A, ["b", "g"], amps, 5e-4);
    burdened("Fluke 8021B manual: +76 mA", &text, 1e-3, Dial::Dc10A, ["b", "g"], amps + 0.076, 5e-4);
    burdened("GW Instek 9060", "V 10: a g; R 10: a b", 0.5, Dial::Dc10A, ["b", "g"], 0.9524, 5e-5);
    burdened("Sefram 7314: −1 %", "V 1: a g; R 1: a b", 0.01, Dial::Dc10A, ["b", "g"], 0.990, 5e-4);
    // A millivolt over the meter at 0.8 µA.
    let text = "V 5e-3: a g; R 5e3: a b";
    burdened("Keithley 6430: −20 %", text, 1e-3 / 0.8e-6, Dial::Dc200Ua, ["b", "g"], 0.8e-6, 1e-12);
    burdened("OpenStax 21.4: −0.20 %", "V 10: a g; R 10: a b", 0.02, Dial::Dc10A, ["b", "g"], 0.9980, 5e-5);
}

#[test]
fn the_shunts_drop_what_a_maker_prints() {
    // Fluke 8060A: the burden is I · (200 / range in mA + 0.35) Ω, the last for fuse and wiring. With
    // ours, 0.4065 Ω, in place of the 0.35 Ω a lead of 71.75 mΩ makes the sum the maker's.
    let mut probe = probe("V 15: a g; R 100e3: a b");
    probe.figures.lead_ohms = (0.35 - 0.2065) / 2.0;
    let found = probe.at(Dial::Dc200Ua, "b", "g");
    near("Fluke 8060A manual", found.last().value, 148.51e-6, 5e-9);
    assert_eq!(found.last().shown, "148.5");
    near(
        "Fluke 8060A manual: 1.0003 %",
        Some((150e-6 / found.last().value.unwrap() - 1.0) * 100.0),
        1.0003,
        5e-4,
    );
}

#[test]
fn volts_over_amperes_is_not_the_resistance_where_a_meter_takes_its_part() {
    // The voltmeter over the resistor only: 100 V and 5 mA say 20 kΩ, and 150 kΩ of it are the meter's.
    let mut amps = probe("V 100: a g; R 23.08e3: b g; R 150e3: b g").burden(1e-3);
    near("Helfrick, Cooper 1-7", amps.at(Dial::Dc20Ma, "a", "b").last().value, 5e-3, 5e-6);
    let mut amps = probe("V 40: a g; R 50.017: b g; R 150e3: b g").burden(1.1e-4);
    amps.bench.meters[0].red.socket = Socket::TenAmps;
    near("Helfrick, Cooper 1-8", amps.at(Dial::Dc10A, "a", "b").last().value, 0.8, 5e-4);
    // Gupta 6.3: 15 Ω by volts over amperes, 14.7 Ω without the ammeter's 0.3 Ω.
    let mut amps = probe("V 15: a g; R 14.7: b g").burden(0.3);
    amps.bench.meters[0].red.socket = Socket::TenAmps;
    near("Gupta 6.3", amps.at(Dial::Dc10A, "a", "b").last().value, 1.0, 1e-4);
    // The ammeter within or without: 1000 Ω or 990 Ω, at 500 V.
    let mut within = probe("V 500: a g; R 990: b g").burden(10.0);
    within.bench.meters[0].red.socket = Socket::TenAmps;
    let amps = within.at(Dial::Dc10A, "a", "b").last().value.unwrap();
    near("Bell 7-2", Some(500.0 / amps), 1000.0, 0.01);
    let mut volts = probe("V 500: a g; R 10: a b; R 990: b g").input(1e12);
    let over = volts.at(Dial::Dc600V, "b", "g").last().value.unwrap();
    near("Bell 7-3", Some(over / amps), 990.0, 0.01);
}

#[test]
fn ohms_are_those_of_everything_between_the_tips() {
    let found = probe("R 20e3: a g; R 2.5e3: a g").at(Dial::Ohm20K, "a", "g");
    near("LibreTexts: 20 kΩ beside 2.5 kΩ", found.last().value, 2.22e3, 5.0);
    assert_eq!(found.last().shown, "2.22");
    // A lead pair of 0.2 Ω.
    let found = probe("R 2: a g").at(Dial::Ohm200, "a", "g");
    near("Duncan instruments note: +10 %", found.last().value, 2.2, 1e-6);
    let found = probe("R 10: a g").at(Dial::Ohm200, "a", "g");
    assert_eq!(found.last().shown, "10.2", "Duncan instruments note");
    // Two times 8 feet of 18 AWG add about 0.1 Ω.
    let mut leads = probe("R 10: a g");
    leads.figures.lead_ohms = 8.0 * 0.3048 * 0.020_95;
    near("TEGAM: +0.1 Ω", leads.at(Dial::Ohm200, "a", "g").last().value, 10.1, 0.05);
}

#[test]
fn a_voltage_from_the_circuit_falsifies_ohms_and_swapped_tips_tell() {
    // Fluke 8020A manual: where reversing the leads changes the reading, there is a junction or a
    // voltage in the circuit.
    let mut live = probe("V 1: a g; R 10e3: a b; R 10e3: b g");
    let [one, other] = [["b", "g"], ["g", "b"]].map(|[red, black]| {
        let found = live.at(Dial::Ohm20K, red, black);
        (found.last().value, found.last().over)
    });
    assert!(one != other, "{one:?} {other:?}");
    let mut dead = probe("R 10e3: a b; R 10e3: b g; R 3e3: a g");
    let [one, other] =
        [["b", "g"], ["g", "b"]].map(|[red, black]| dead.at(Dial::Ohm20K, red, black).last().shown.clone());
    assert_eq!(one, other);
}

#[test]
fn the_last_digit_and_the_accuracy_are_those_of_the_books() {
    // SMU laboratory manual: 18.75 V on falling ranges.
    for (dial, shown) in
        [(Dial::Dc600V, "19"), (Dial::Dc200V, "18.8"), (Dial::Dc20V, "18.75"), (Dial::Dc2V, "1")]
    {
        let found = probe("V 18.75: a g").at(dial, "a", "g");
        assert_eq!((found.last().shown.as_str(), found.last().over), (shown, shown == "1"));
    }
    // Gupta 5.8: 2 V at ±(0.5 % + 1), with a digit of 10 mV.
    let found = probe("V 2: a g").at(Dial::Dc20V, "a", "g");
    near("Gupta 5.8 / Rajput 5.2", found.last().accuracy, 0.020, 5e-6);
}

#[test]
fn the_diode_test_reads_what_junctions_drop_at_a_milliampere() {
    // Silicon from 0.5 to 0.8 V: UNI-T UT58D, MY68.
    let found = probe("diode: a k; R 1: k g").at(Dial::Diode, "a", "k");
    assert!((0.5..0.8).contains(&found.last().value.unwrap()), "{:?}", found.last());
    let mut back = probe("diode: a k; R 1: k g");
    assert!(back.at(Dial::Diode, "k", "a").last().over, "reversed: all makers");
    assert!(probe("R 1: a g").at(Dial::Diode, "a", "air").last().over, "open: all makers");
    let shorted = probe("R 0.01: a g").at(Dial::Diode, "a", "g");
    near("shorted: all makers", shorted.last().value, 0.0, 1e-3);
    // A red LED from 1.5 to 2.0 V: Yokogawa 734-02.
    let found = probe("led: a k; R 1: k g").at(Dial::Diode, "a", "k");
    assert!((1.5..2.0).contains(&found.last().value.unwrap()), "{:?}", found.last());
    // Less than 1 kΩ beside it reads low both ways: Sperry DM-4100A.
    for [red, black] in [["a", "k"], ["k", "a"]] {
        let found = probe("diode: a k; R 220: a k").at(Dial::Diode, red, black);
        assert!(found.last().value.unwrap() < 0.3, "{:?}", found.last());
    }
}

#[test]
fn two_of_six_ways_through_a_transistor_conduct() {
    // Lessons in Electric Circuits, Semiconductors, ch. 4: a PNP reads 0.655 V from E to B and 0.621 V from C
    // to B, and nothing the other four ways.
    let mut found = probe("transistor: e b c; R 1e9: e c");
    assert!(found.bench.parts[0].set("type", Value::Choice(1)));
    for (red, black, conducts) in [
        ("e", "b", true),
        ("c", "b", true),
        ("b", "e", false),
        ("b", "c", false),
        ("e", "c", false),
        ("c", "e", false),
    ] {
        let reading = found.at(Dial::Diode, red, black).last().clone();
        assert_eq!(!reading.over, conducts, "{red} to {black}: {reading:?}");
        // Within what makers print for silicon: UNI-T UT58D, MY68.
        assert!(!conducts || reading.value.is_some_and(|it| (0.5..0.8).contains(&it)), "{reading:?}");
    }
}

#[test]
fn a_white_lamp_is_more_than_the_diode_test_shows_and_glows_all_the_same() {
    // PeakTech 1080: "1" above 2.0 V even though the LED lights.
    let mut lamp = probe("led: a k; R 1: k g");
    let card = lamp.bench.parts[0].card;
    let Range::Choice { options, .. } = card.params[card.param("colour").unwrap()].range else { panic!() };
    let white = options.iter().position(|it| it.word == "white").unwrap();
    assert!(lamp.bench.parts[0].set("colour", Value::Choice(white as u8)));
    let found = lamp.at(Dial::Diode, "a", "k");
    assert!(found.last().over, "{:?}", found.last());
    // About a milliampere at most, as the makers print for the test.
    assert!((1e-5..1.1e-3).contains(&found.most_amps), "{}", found.most_amps);
}

#[test]
fn what_the_leads_read_when_shorted_is_taken_off() {
    // UNI-T UT33D and Axiomet AX-105: subtract the reading of the shorted leads.
    let shorted = probe("R 1e-6: a g").at(Dial::Ohm200, "a", "g").last().value.unwrap();
    assert!((0.1..0.5).contains(&shorted), "{shorted}");
    for ohms in [1.0, 4.7, 47.0] {
        let read = probe(&format!("R {ohms}: a g")).at(Dial::Ohm200, "a", "g").last().value.unwrap();
        near("UNI-T UT33D", Some(read - shorted), ohms, 1e-4);
    }
}

#[test]
fn a_minus_sign_means_swapped_tips_and_the_number_stays() {
    // Mastech MS8269: a minus sign when the leads are reversed.
    let mut pack = probe("V 5.5: a g");
    assert_eq!(pack.at(Dial::Dc20V, "a", "g").last().shown, "5.50");
    assert_eq!(pack.at(Dial::Dc20V, "g", "a").last().shown, "-5.50");
}

#[test]
fn continuity_sounds_below_fifty_ohms() {
    // PeakTech 1080, P3690; Mastech MS8212A.
    for (ohms, sounds) in [(1.0, true), (49.0, true), (51.0, false), (150.0, false)] {
        let found = probe(&format!("R {ohms}: a g")).at(Dial::Continuity, "a", "g");
        let heard = found.last().value.is_some_and(|it| it < SOUNDS_BELOW_OHMS);
        assert_eq!(heard, sounds, "{ohms}: {:?}", found.last());
    }
}

#[test]
fn where_both_ways_of_volts_over_amperes_are_off_by_as_much() {
    // Gupta 6.2: at √(Ra·Rv), in the book's case 122.5 Ω, both connections err alike.
    let (ammeter, voltmeter) = (1.0, 15e3);
    let ohms = 122.5;
    // The ammeter within: the voltmeter, at the supply, sees its drop too.
    let mut within = probe(&format!("V 12: a g; R {ohms}: b g")).burden(ammeter);
    let inside = 12.0 / within.at(Dial::Dc200Ma, "a", "b").last().value.unwrap();
    // The ammeter without: it counts the voltmeter's current too.
    let text = format!("V 12: a g; R {ohms}: b g; R {voltmeter}: b g");
    let amps = probe(&text).burden(1e-6).at(Dial::Dc200Ma, "a", "b").last().value.unwrap();
    let outside = 12.0 / amps;
    let (more, less) = (inside / ohms - 1.0, 1.0 - outside / ohms);
    near("Gupta 6.2", Some(more / less), 1.0, 0.01);
}

#[test]
fn the_fuses_melt_within_the_times_of_the_standard() {
    // IEC 60127-2 sheet 2 as printed on a Littelfuse 617 sheet: least and most seconds at multiples of
    // the rated current, at 0.5 A and at 10 A.
    let bands = [
        (1.5, Some(3600.0), None),
        (2.1, None, Some(1800.0)),
        (2.75, Some(0.05), Some(2.0)),
        (4.0, Some(0.01), Some(0.3)),
        (10.0, None, Some(0.02)),
    ];
    for (dial, socket, rated) in [(Dial::Dc200Ma, Socket::Vom, 0.5), (Dial::Dc10A, Socket::TenAmps, 10.0)] {
        for (times, least, most) in bands {
            let mut probe = probe(&format!("I {}: a g", times * rated));
            let meter = &mut probe.bench.meters[0];
            (meter.red.socket, meter.dial) = (socket, dial);
            let found = probe.melts(1801.0);
            let seconds = found.unwrap_or(f64::INFINITY);
            // An hour at 1.5 times is the same as half an hour here: its heat has long settled.
            assert!(least.is_none_or(|least| seconds >= least), "{rated} A × {times}: {seconds}");
            assert!(most.is_none_or(|most| seconds <= most), "{rated} A × {times}: {seconds}");
        }
    }
}

#[test]
fn a_blown_fuse_shows_nothing_and_stops_the_circuit() {
    // Lessons in Electric Circuits, Experiments: the display shows 0 and the lamp is dark.
    let mut probe = probe("V 5: a g; R 330: b g");
    assert_eq!(probe.at(Dial::Dc20Ma, "a", "b").last().shown, "14.69");
    probe.bench.meters[0].small_fuse_whole = false;
    let found = probe.at(Dial::Dc20Ma, "a", "b");
    assert_eq!((found.last().shown.as_str(), found.small_fuse_whole), ("0.00", false));
    assert!(found.most_amps < 1e-9);
}

#[test]
fn a_meter_tells_its_own_fuses_by_its_ohms() {
    // Fluke 179 manual: below half an ohm at the 10 A socket, and "over" when it is blown.
    let mut meter = probe("R 1e6: a g");
    meter.bench.meters[0].black.tip = halfrow_core::meter::Touch::Air;
    let found = meter.at(Dial::Ohm200, "10a", "air");
    assert!(found.last().value.is_some_and(|ohms| ohms < 0.5), "{:?}", found.last());
    meter.bench.meters[0].large_fuse_whole = false;
    assert!(meter.at(Dial::Ohm200, "10a", "air").last().over);
    // The small one sits behind the socket that the ohms come from: the case has to be opened.
    let found = meter.at(Dial::Ohm200, "500ma.1", "500ma.2");
    assert!(found.last().value.is_some_and(|ohms| (0.2..0.5).contains(&ohms)), "{:?}", found.last());
    meter.bench.meters[0].small_fuse_whole = false;
    assert!(meter.at(Dial::Ohm200, "500ma.1", "500ma.2").last().over);
}

#[test]
fn a_sine_reads_its_rms_and_other_shapes_read_wrong() {
    // Fluke 8020A manual, table of waves: a square reads 11.1 % high, a triangle 3.8 % low; a direct
    // voltage is blocked.
    let waves = [
        ("sine", 1.0 / 2.0_f64.sqrt(), 0.0),
        ("square", 1.0, 0.111),
        ("triangle", 1.0 / 3.0_f64.sqrt(), -0.038),
    ];
    for (shape, rms, wrong) in waves {
        let mut probe = probe("R 1e3: a g");
        probe.add("signal", &[("hertz", "50"), ("amplitude_volts", "10"), ("shape", shape)], ["a", "g"]);
        let loaded = 1e3 / (1e3 + 50.0 + 0.04);
        let found = probe.at(Dial::Ac200V, "a", "g");
        near(shape, found.last().value, 10.0 * loaded * rms * (1.0 + wrong), 0.02);
    }
    let mut direct = probe("V 9: a g");
    assert_eq!(direct.at(Dial::Ac200V, "a", "g").last().shown, "0.0");
}

#[test]
fn the_cheap_one_has_a_megohm_and_no_large_fuse() {
    let cheap = Figures::of(Kind::Cheap);
    assert_eq!((cheap.input_ohms, cheap.large_fuse), (1e6, None));
}
