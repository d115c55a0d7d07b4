//! Chips that get their power by way of their inputs, or not at all: wired before their supply is.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::{Card, Duty, Range, Value};
use halfrow_core::part::{Part, Turn};
use halfrow_core::parts::{self, CARDS};

use crate::chance::Chance;

/// The chips that listen to something.
pub fn chips() -> Vec<&'static Card> {
    let listens = |card: &Card| {
        card.chip && (0..card.pins.len()).any(|pin| matches!(card.duty(pin), Duty::Input | Duty::Resting))
    };
    CARDS.iter().copied().filter(|card| listens(card)).collect()
}

/// A battery on the rails of a board and one to three chips, some of whose pins are wired, most of the inputs
/// among them and rarely both of the supply's.
pub fn bench(chance: &mut Chance) -> Bench {
    let mut bench = Bench::new(BoardKind::Full);
    bench.boards[0].split_rails = false;
    let battery = add(&mut bench, "battery");
    put(&mut bench, battery, 0, "L+1");
    put(&mut bench, battery, 1, "L-1");
    let chips = chips();
    let mut rail = [1, 1];
    for chip in 0..1 + chance.below(3) {
        let card = chance.of(&chips);
        let it = PartIx(bench.parts.len());
        bench.parts.push(Part::new(bench.next_id(card), card));
        for param in card.params {
            if let Range::Choice { options, .. } = param.range {
                let value = Value::Choice(chance.below(options.len()) as u8);
                assert!(bench.parts[it.0].set(param.key, value), "{} {}", card.kind, param.key);
            }
        }
        let pin1 = Hole::grid(0, 'e', 3 + 20 * chip as u8);
        bench.place_rigid(it, pin1, Turn::None).expect("room for a chip");
        for pin in 0..card.pins.len() {
            let shares = match card.duty(pin) {
                Duty::Power => [20, 20],
                Duty::Ground => [20, 50],
                Duty::Input | Duty::Resting => [55, 70],
                _ => [5, 15],
            };
            let roll = chance.below(100);
            let to = if roll < shares[0] {
                0
            } else if roll < shares[1] {
                1
            } else {
                continue;
            };
            join(&mut bench, LegId { part: it, pin }, to, &mut rail, chance);
        }
    }
    bench
}

fn add(bench: &mut Bench, kind: &str) -> PartIx {
    let card = parts::card(kind).expect("a kind");
    bench.parts.push(Part::new(bench.next_id(card), card));
    PartIx(bench.parts.len() - 1)
}

fn put(bench: &mut Bench, part: PartIx, pin: usize, hole: &str) {
    let hole = Hole::parse(hole).expect("a hole");
    bench.put_leg(LegId { part, pin }, Some(hole)).expect("free");
}

/// Joins a chip's pin to a rail by a wire, a resistor or a lamp.
fn join(bench: &mut Bench, leg: LegId, to: usize, rail: &mut [u8; 2], chance: &mut Chance) {
    let Some(hole) = bench.part(leg.part).legs[leg.pin].hole else { return };
    let strip = bench.strip(hole).expect("a strip");
    let boards = bench.boards[0];
    let free = boards.holes(0).find(|&it| bench.strip(it) == Some(strip) && bench.occupant(it).is_none());
    let Some(free) = free else { return };
    rail[to] += 1;
    let far = Hole::parse(&format!("L{}{}", ['+', '-'][to], rail[to])).expect("a hole");
    let kind = chance.of(&["wire", "wire", "wire", "resistor", "resistor", "led"]);
    let part = add(bench, kind);
    let ends = if kind == "led" && to == 1 { [free, far] } else { [far, free] };
    for (pin, hole) in ends.into_iter().enumerate() {
        let _ = bench.put_leg(LegId { part, pin }, Some(hole));
    }
}
