//! Common practice, no source: what every bench in a school shows.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::Value;
use halfrow_core::part::{Part, Turn};
use halfrow_core::parts;
use halfrow_core::solve::solve;

fn put(bench: &mut Bench, kind: &str, holes: &[&str], values: &[(&str, Value)]) -> PartIx {
    let card = parts::card(kind).expect("a kind");
    let ix = PartIx(bench.parts.len());
    let mut part = Part::new(bench.next_id(card), card);
    for &(key, value) in values {
        assert!(part.set(key, value));
    }
    let rigid = part.is_rigid();
    bench.parts.push(part);
    if rigid {
        bench.place_rigid(ix, Hole::parse(holes[0]).expect("a hole"), Turn::None).expect("free");
    } else {
        for (pin, hole) in holes.iter().enumerate() {
            bench.put_leg(LegId { part: ix, pin }, Hole::parse(hole)).expect("free");
        }
    }
    ix
}

#[test]
fn four_used_cells_light_a_red_lamp_through_220_ohms() {
    let mut bench = Bench::new(BoardKind::Half);
    let pack = put(&mut bench, "battery", &["L+1", "L-1"], &[("charge", Value::Number(0.7))]);
    let resistor = put(&mut bench, "resistor", &["L+5", "b5"], &[]);
    let lamp = put(&mut bench, "led", &["e5", "f5"], &[]);
    put(&mut bench, "wire", &["h5", "L-5"], &[]);
    let point = solve(&bench);
    let volts = |part| point.part(part).volts_across(0, 1).expect("one circuit");
    assert!((volts(pack) - 5.5).abs() < 0.1, "pack {}", volts(pack));
    assert!((volts(lamp) - 2.0).abs() < 0.1, "lamp {}", volts(lamp));
    // The figures are rounded and disagree by 0.1 V among themselves: 5.5 V less 2 V is 3.5 V, 15 mA
    // through 220 Ω 3.3 V.
    assert!((volts(resistor) - 3.4).abs() < 0.15, "resistor {}", volts(resistor));
    let amps = point.part(lamp).pins[0].amps;
    assert!((amps - 0.015).abs() < 0.001, "{amps}");
}

#[test]
fn the_far_side_of_a_resistor_stands_at_3_v_before_an_open_switch_and_at_0_when_it_closes() {
    // Two cells of 1.5 V, between 1.48 V at nine tenths of their charge and 1.58 V full; resistor from + to row 10, switch from row 10 to −.
    for (to, far_side, over_switch) in [(1, 3.0, 3.0), (0, 0.0, 0.0)] {
        let mut bench = Bench::new(BoardKind::Half);
        let charge = Value::Number(0.92);
        put(&mut bench, "battery", &["L+1", "L-1"], &[("cells", Value::Whole(2)), ("charge", charge)]);
        let resistor = put(&mut bench, "resistor", &["L+5", "b10"], &[("ohms", Value::Number(1000.0))]);
        // Legs 1, 2, 3 in rows 9, 10, 11; leg 1 to −.
        let switch = put(&mut bench, "slide-switch", &["d9"], &[("to", Value::Choice(to))]);
        put(&mut bench, "wire", &["a9", "L-5"], &[]);
        let point = solve(&bench);
        let row_10 = bench.strip(Hole::parse("b10").expect("a hole")).expect("a strip");
        let volts = point.strip_volts(row_10).expect("tied to the pack");
        assert!((volts - far_side).abs() < 0.001, "slid to {to}: {volts}");
        let across = point.part(switch).volts_across(1, 0).expect("one circuit");
        assert!((across - over_switch).abs() < 0.001, "over the switch: {across}");
        let drop = point.part(resistor).volts_across(0, 1).expect("one circuit");
        assert!((drop - (3.0 - far_side)).abs() < 0.01, "over the resistor: {drop}");
    }
}
