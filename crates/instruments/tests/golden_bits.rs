//! The same bits natively and in a browser, as the engine's own: what a meter measures. In the browser each
//! test is a `#[wasm_bindgen_test]`. A change that changes the constants on purpose takes the new ones from
//! the message of the native run, and then has to hold them in the browser.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::Value;
use halfrow_core::fnv::fnv;
use halfrow_core::meter::{Dial, Kind, Meter, Touch};
use halfrow_core::part::Part;
use halfrow_core::parts;
use halfrow_core::sample::blinker;
use halfrow_instruments::{Scene, measure};

#[cfg(target_arch = "wasm32")]
use wasm_bindgen_test::{wasm_bindgen_test as test, wasm_bindgen_test_configure};

#[cfg(target_arch = "wasm32")]
wasm_bindgen_test_configure!(run_in_browser);

/// A number for the bits of numbers.
fn hash(numbers: impl IntoIterator<Item = f64>) -> u64 {
    fnv(numbers.into_iter().flat_map(|x| x.to_bits().to_le_bytes()))
}

/// A pack, a resistor and a red LED in a loop, with a meter.
fn lamp(dial: Dial, kind: Kind, red: &str, black: &str) -> Bench {
    let mut bench = Bench::new(BoardKind::Half);
    for (kind, holes) in [
        ("battery", ["L+1", "L-1"]),
        ("resistor", ["L+2", "b5"]),
        ("led", ["c5", "c9"]),
        ("wire", ["a9", "L-9"]),
    ] {
        let card = parts::card(kind).expect("a kind");
        let part = PartIx(bench.parts.len());
        bench.parts.push(Part::new(bench.next_id(card), card));
        for (pin, hole) in holes.into_iter().enumerate() {
            bench.put_leg(LegId { part, pin }, Hole::parse(hole)).expect("free");
        }
    }
    assert!(bench.parts[1].set("ohms", Value::Number(330.0)));
    let mut meter = Meter { dial, kind, ..Meter::default() };
    meter.red.tip = Touch::parse(&bench, red).expect("on the bench");
    meter.black.tip = Touch::parse(&bench, black).expect("on the bench");
    bench.meters.push(meter);
    bench
}

/// All that a measurement gives, and what there would be without the meter.
fn measured(bench: &Bench, seconds: Option<f64>) -> Vec<f64> {
    let found = measure(bench, 0, seconds);
    let scene = Scene::of(bench, 0, &found);
    let readings = found.readings.iter().flat_map(|it| [it.time, it.value.unwrap_or(-1.0)]);
    readings.chain([found.most_amps, scene.without_meter.unwrap_or(-1.0)]).collect()
}

#[test]
fn readings_of_a_bench_at_rest() {
    let mut numbers = Vec::new();
    for kind in Kind::ALL {
        for dial in Dial::ALL {
            numbers.extend(measured(&lamp(dial, kind, "L+4", "a5"), None));
            numbers.extend(measured(&lamp(dial, kind, "d5", "b9"), None));
        }
    }
    assert_eq!(hash(numbers), AT_REST, "the bits changed");
}

#[test]
fn a_fuse_that_melts() {
    let bench = lamp(Dial::Dc200Ma, Kind::TenMegohm, "L+4", "L-4");
    assert!(!measure(&bench, 0, Some(2.0)).small_fuse_whole);
    assert_eq!(hash(measured(&bench, Some(2.0))), FUSE, "the bits changed");
}

#[test]
fn readings_of_a_blinker() {
    let mut bench = blinker(2.0);
    let lamp = bench.parts.iter().find(|part| part.card.kind == "led").expect("a lamp").id.clone();
    let tip = |pin| Touch::Leg { part: lamp.clone(), pin };
    let mut meter = Meter { dial: Dial::Dc20V, ..Meter::default() };
    (meter.red.tip, meter.black.tip) = (tip(0), tip(1));
    bench.meters.push(meter);
    let found = measure(&bench, 0, Some(4.0));
    assert_eq!(found.readings.len(), 10);
    assert_eq!(hash(measured(&bench, Some(4.0))), BLINKER, "the bits changed");
}

const AT_REST: u64 = 0x299e_746a_fc66_7a34;
const FUSE: u64 = 0x0d79_bc95_a23a_5317;
const BLINKER: u64 = 0xd529_3b7b_fd69_632a;
