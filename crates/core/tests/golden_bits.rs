//! The same bits natively and in a browser: the constants here are checked in both. In the browser
//! each test is a `#[wasm_bindgen_test]`. A change of the engine that changes them on purpose takes
//! the new ones from the message of the native run, and then has to hold them in the browser.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::Value;
use halfrow_core::circuit::Contacts;
use halfrow_core::fnv::fnv;
use halfrow_core::part::{Depth, Part};
use halfrow_core::parts;
use halfrow_core::sample::{blinker, running_lights, sixty_parts};
use halfrow_core::solve::{OperatingPoint, solve, solve_with};
use halfrow_core::time::{Care, Run};

#[cfg(target_arch = "wasm32")]
use wasm_bindgen_test::{wasm_bindgen_test as test, wasm_bindgen_test_configure};

#[cfg(target_arch = "wasm32")]
wasm_bindgen_test_configure!(run_in_browser);

/// A number for the bits of numbers.
fn hash(numbers: impl IntoIterator<Item = f64>) -> u64 {
    fnv(numbers.into_iter().flat_map(|x| x.to_bits().to_le_bytes()))
}

fn point_hash(point: &OperatingPoint) -> u64 {
    assert!(point.settled);
    let readings = point.parts.iter().map(|part| part.watts);
    hash(point.node_volts.iter().chain(&point.element_amps).copied().chain(readings))
}

/// Kind, holes, values.
type Line<'a> = (&'a str, &'a [&'a str], &'a [(&'a str, Value)]);

/// A board with parts of a few lines `kind hole hole key=value`.
fn bench(lines: &[Line<'_>]) -> Bench {
    let mut bench = Bench::new(BoardKind::Half);
    for (kind, holes, values) in lines {
        let card = parts::card(kind).expect("a kind");
        let part = PartIx(bench.parts.len());
        let mut it = Part::new(bench.next_id(card), card);
        for &(key, value) in *values {
            assert!(it.set(key, value));
        }
        bench.parts.push(it);
        for (pin, hole) in holes.iter().enumerate() {
            bench.put_leg(LegId { part, pin }, Hole::parse(hole)).expect("free");
        }
    }
    bench
}

#[test]
fn a_crowded_board() {
    assert_eq!(point_hash(&solve(&sixty_parts())), CROWDED, "the bits changed");
}

#[test]
fn a_crowded_board_with_ideal_contacts() {
    let point = solve_with(&sixty_parts(), Contacts { contact_ohms: 1e-6 });
    assert_eq!(point_hash(&point), IDEAL, "the bits changed");
}

#[test]
fn supplies_against_each_other_a_short_and_a_loose_leg() {
    let mut bench = bench(&[
        ("supply", &["L+1", "L-1"], &[("volts", Value::Number(12.0)), ("limit_amps", Value::Number(0.5))]),
        ("usb", &["L+2", "L-2"], &[]),
        ("battery", &["a1", "L-3"], &[]),
        ("resistor", &["L+4", "b1"], &[("ohms", Value::Number(10.0))]),
        ("led", &["L+5", "a5"], &[("colour", Value::Choice(3))]),
        ("diode", &["b5", "L-5"], &[("type", Value::Choice(1))]),
        ("wire", &["a10", "a12"], &[]),
        ("usb", &["b10", "b12"], &[]),
    ]);
    bench.parts[3].legs[1].depth = Depth::Barely;
    bench.taps = 3;
    assert_eq!(point_hash(&solve(&bench)), AGAINST, "the bits changed");
}

#[test]
fn laws_of_sensors_over_their_whole_range() {
    let celsius = (-40..=125).map(|t| parts::thermistor::ohms(f64::from(t)));
    let lux = (0..=70).map(|step| {
        let mut part = Part::new("LDR1", parts::card("photoresistor").expect("a kind"));
        part.set("lux", Value::Number(0.01 * halfrow_core::math::pow(10.0, f64::from(step) / 10.0)));
        parts::photoresistor::ohms(&part)
    });
    assert_eq!(hash(celsius.chain(lux)), SENSORS, "the bits changed");
}

/// The time of every step, and all voltages and currents at its end.
fn run_hash(bench: &Bench, care: Care, seconds: f64) -> u64 {
    let mut run = Run::new(bench, care);
    let mut steps = Vec::new();
    while run.time() < seconds {
        run.advance();
        assert_eq!(run.stalled(), None);
        let point = run.point();
        let numbers = point.node_volts.iter().chain(&point.element_amps).map(|x| x.to_bits());
        let bits = numbers.fold(0_u64, |sum, bits| sum.rotate_left(7) ^ bits);
        steps.extend([run.time(), f64::from((bits >> 32) as u32), f64::from(bits as u32)]);
    }
    assert!(steps.len() > 300, "{} steps", steps.len() / 3);
    hash(steps)
}

#[test]
fn a_blinker_runs() {
    assert_eq!(run_hash(&blinker(1000.0), Care::LIVE, 0.05), BLINKER, "the bits changed");
}

#[test]
fn lights_run() {
    assert_eq!(run_hash(&running_lights(10.0), Care::LIVE, 1.0), LIGHTS, "the bits changed");
}

#[test]
fn a_transistor_switches_a_coil() {
    let wave = [
        ("shape", Value::Choice(1)),
        ("hertz", Value::Number(500.0)),
        ("amplitude_volts", Value::Number(2.5)),
        ("offset_volts", Value::Number(2.5)),
    ];
    let coil = [("henries", Value::Number(0.05)), ("ohms", Value::Number(100.0))];
    let bench = bench(&[
        ("battery", &["L+1", "L-1"], &[("cells", Value::Whole(4))]),
        ("signal", &["a2", "L-2"], &wave),
        ("resistor", &["b2", "a11"], &[("ohms", Value::Number(2200.0))]),
        ("transistor", &["L-10", "b11", "a12"], &[]),
        ("inductor", &["b12", "L+12"], &coil),
        ("diode", &["c12", "L+16"], &[("type", Value::Choice(1))]),
    ]);
    assert_eq!(run_hash(&bench, Care::CLOSE, 0.01), COIL, "the bits changed");
}

const CROWDED: u64 = 0x74d8_2f73_2ac9_3c7a;
const IDEAL: u64 = 0x97be_f057_e058_e2be;
const AGAINST: u64 = 0xe734_13d9_5da4_6428;
const SENSORS: u64 = 0xe97a_ec1c_d8b5_c237;
const BLINKER: u64 = 0x26c9_b43c_db29_d969;
const LIGHTS: u64 = 0x90fe_a498_9415_df06;
const COIL: u64 = 0x747f_3219_6abb_3197;
