//! A line of text for a bench, so that a test is a line: `BT1 battery L+1 L-1 | R1 resistor 220 a1 a5`.
//! Words after the kind are `key=value` (or ohms for a resistor), the rest are holes; `_` is the
//! air, `hole~` barely in, `hole!` not pushed in. `split` alone splits the rails. `pin1/90` places a
//! stiff part with a turn.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::{Range, Value};
use halfrow_core::part::{Depth, Part, Turn};
use halfrow_core::{parts, solve};
use halfrow_judge::{Finding, check, first_look};

pub fn bench(text: &str) -> Bench {
    let mut bench = Bench::new(BoardKind::Half);
    for line in text.split('|').map(str::trim).filter(|line| !line.is_empty()) {
        if line == "split" {
            bench.boards[0].split_rails = true;
            continue;
        }
        let mut words = line.split_whitespace();
        let (id, kind) = (words.next().unwrap(), words.next().unwrap());
        let card = parts::card(kind).unwrap_or_else(|| panic!("no kind {kind}"));
        let part = PartIx(bench.parts.len());
        bench.parts.push(Part::new(id, card));
        let mut pin = 0;
        for word in words {
            if let Some((key, value)) = word.split_once('=') {
                let index = card.param(key).unwrap_or_else(|| panic!("{kind} has no {key}"));
                let value = match card.params[index].range {
                    Range::Number { .. } => Value::Number(value.parse().unwrap()),
                    Range::Whole { .. } => Value::Whole(value.parse().unwrap()),
                    Range::Choice { options, .. } => {
                        Value::Choice(options.iter().position(|it| it.word == value).unwrap() as u8)
                    }
                    Range::Flag { .. } => Value::Flag(value == "yes"),
                };
                assert!(bench.parts[part.0].set(key, value), "{line}");
            } else if let Ok(ohms) = word.parse::<f64>() {
                assert!(bench.parts[part.0].set("ohms", Value::Number(ohms)), "{line}");
            } else if bench.parts[part.0].is_rigid() {
                let (pin1, turn) = word.split_once('/').unwrap_or((word, "0"));
                let turn = Turn::from_degrees(turn.parse().unwrap()).unwrap();
                bench.place_rigid(part, Hole::parse(pin1).unwrap(), turn).unwrap();
            } else {
                let depth = match word.chars().last() {
                    Some('~') => Depth::Barely,
                    Some('!') => Depth::Out,
                    _ => Depth::Full,
                };
                let name = word.trim_end_matches(['~', '!']);
                let hole = (name != "_").then(|| Hole::parse(name).unwrap_or_else(|| panic!("hole {name}")));
                bench.put_leg(LegId { part, pin }, hole).unwrap();
                bench.parts[part.0].legs[pin].depth = depth;
                pin += 1;
            }
        }
    }
    bench
}

#[allow(dead_code, reason = "not every test takes the second look")]
pub fn findings(text: &str) -> Vec<Finding> {
    let bench = bench(text);
    check(&bench, &solve::solve(&bench))
}

/// What the rules alone find.
#[allow(dead_code, reason = "not every test asks the rules alone")]
pub fn ruled(text: &str) -> Vec<Finding> {
    let bench = bench(text);
    first_look(&bench, &solve::solve(&bench))
}
