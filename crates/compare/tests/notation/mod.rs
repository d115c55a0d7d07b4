//! Small benches in a short notation.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::Value;
use halfrow_core::part::{Part, Turn};
use halfrow_core::parts::card;

/// `resistor R1 a1 b5 ohms=330; led D1 c5 f5`: stiff parts name the hole of pin 1.
pub fn bench(text: &str) -> Bench {
    let mut bench = Bench::new(BoardKind::Half);
    for line in text.split(';').map(str::trim).filter(|it| !it.is_empty()) {
        let mut words = line.split_whitespace();
        let card = card(words.next().unwrap()).unwrap();
        let ix = PartIx(bench.parts.len());
        bench.parts.push(Part::new(words.next().unwrap(), card));
        let mut pin = 0;
        for word in words {
            if let Some((key, value)) = word.split_once('=') {
                let param = card.param(key).unwrap();
                bench.parts[ix.0].values[param] = Value::Number(value.parse().unwrap());
                continue;
            }
            let hole = Hole::parse(word).unwrap();
            if bench.part(ix).is_rigid() {
                bench.place_rigid(ix, hole, Turn::None).unwrap();
            } else {
                bench.put_leg(LegId { part: ix, pin }, Some(hole)).unwrap();
            }
            pin += 1;
        }
    }
    bench
}
