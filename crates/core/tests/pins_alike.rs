//! What a card says of pins that can be exchanged and of gates that do each other's work, against what its
//! equations and its truth table say.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole, Side, Sign};
use halfrow_core::card::{Card, Duty};
use halfrow_core::logic::Seen;
use halfrow_core::part::Part;
use halfrow_core::parts::{self, CARDS};
use halfrow_core::solve::solve;

/// Every exchange that a card allows, as the pin that takes the place of each pin.
fn exchanges(card: &Card) -> Vec<Vec<usize>> {
    let plain: Vec<usize> = (0..card.pins.len()).collect();
    let mut found = Vec::new();
    for group in card.alike {
        for pair in group.windows(2) {
            let mut pins = plain.clone();
            pins.swap(usize::from(pair[0]), usize::from(pair[1]));
            // What is one piece of metal goes along.
            for &(a, b) in card.metal {
                if pair.contains(&a) {
                    let other = pair[usize::from(pair[0] == a)];
                    let partner = card.metal.iter().find(|it| it.0 == other).map(|it| it.1);
                    pins[usize::from(b)] = usize::from(partner.unwrap_or(b));
                }
            }
            found.push(pins);
        }
    }
    for pair in card.gates.windows(2) {
        let mut pins = plain.clone();
        for (&a, &b) in pair[0].iter().zip(pair[1]) {
            pins.swap(usize::from(a), usize::from(b));
        }
        found.push(pins);
    }
    found
}

/// The voltages of rows into which a part's pins are put, each row held by a resistor of its own.
fn volts(card: &'static Card, pins: &[usize]) -> Vec<f64> {
    let mut bench = Bench::new(BoardKind::Full);
    let mut put = |kind: &str, holes: &[Hole]| {
        let mut part = Part::new(format!("X{}", bench.parts.len()), parts::card(kind).unwrap());
        for (leg, &hole) in part.legs.iter_mut().zip(holes) {
            leg.hole = Some(hole);
        }
        if let Some(ohms) = part.card.param("ohms") {
            part.values[ohms] = halfrow_core::card::Value::Number(900.0 + 137.0 * bench.parts.len() as f64);
        }
        bench.parts.push(part);
    };
    let rail = |sign, n| Hole::rail(0, Side::Left, sign, n);
    put("usb", &[rail(Sign::Plus, 1), rail(Sign::Minus, 1)]);
    for pin in 0..pins.len() {
        let row = Hole::grid(0, 'c', pin as u8 + 1);
        let number = pin as u8 + 2;
        match card.duty(pin) {
            Duty::Power => put("wire", &[row, rail(Sign::Plus, number)]),
            Duty::Ground => put("wire", &[row, rail(Sign::Minus, number)]),
            _ if pin % 3 == 0 => put("resistor", &[row, rail(Sign::Plus, number)]),
            _ => put("resistor", &[row, rail(Sign::Minus, number)]),
        }
    }
    let part = PartIx(bench.parts.len());
    bench.parts.push(Part::new("Z1", card));
    for (row, &pin) in pins.iter().enumerate() {
        bench.parts[part.0].legs[pin].hole = Some(Hole::grid(0, 'a', row as u8 + 1));
    }
    let point = solve(&bench);
    pins.iter().map(|&pin| point.parts[part.0].pins[LegId { part, pin }.pin].volts).collect()
}

#[test]
fn exchanged_pins_change_no_voltage() {
    let mut count = 0;
    for card in CARDS.iter().filter(|card| card.logic.is_none()) {
        let plain: Vec<usize> = (0..card.pins.len()).collect();
        for pins in exchanges(card) {
            let (before, after) = (volts(card, &plain), volts(card, &pins));
            for (a, b) in before.iter().zip(&after) {
                assert!((a - b).abs() < 1e-6, "{} {pins:?}: {before:?} {after:?}", card.kind);
            }
            count += 1;
        }
    }
    assert!(count >= 20, "{count}");
}

#[test]
fn pins_that_are_not_alike_are_told_apart() {
    for (kind, pins) in
        [("led", vec![1, 0]), ("transistor", vec![1, 0, 2]), ("op-amp", vec![1, 0, 2, 3, 4, 5, 6, 7])]
    {
        let card = parts::card(kind).unwrap();
        let plain: Vec<usize> = (0..pins.len()).collect();
        let (before, after) = (volts(card, &plain), volts(card, &pins));
        assert!(before.iter().zip(&after).any(|(a, b)| (a - b).abs() > 1e-3), "{kind}");
    }
}

#[test]
fn exchanged_inputs_and_gates_compute_the_same() {
    let mut count = 0;
    for card in CARDS {
        let Some(logic) = card.logic else { continue };
        for pins in exchanges(card) {
            let input = |pin: u8| logic.inputs.iter().position(|&own| own == pin);
            let output = |pin: u8| logic.outputs.iter().position(|&own| own == pin);
            // Before, now, held: each gate of a chip that holds something starts cleared.
            for levels in 0..1_u32 << logic.inputs.len() {
                let moved = (0..logic.inputs.len()).fold(0, |sum, from| {
                    let to = input(pins[usize::from(logic.inputs[from])] as u8).unwrap();
                    sum | (levels >> from & 1) << to
                });
                let follows = |levels| (logic.step)(Seen { levels, before: 0, held: 0 }).high;
                let (plain, other) = (follows(levels), follows(moved));
                for (at, &pin) in logic.outputs.iter().enumerate() {
                    let to = output(pins[usize::from(pin)] as u8).unwrap();
                    assert_eq!(plain >> at & 1, other >> to & 1, "{} {pins:?} {levels:b}", card.kind);
                }
            }
            count += 1;
        }
    }
    assert!(count >= 20, "{count}");
}
