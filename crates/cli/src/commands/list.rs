//! `halfrow list`: the wiring list.

use clap::Args;
use halfrow_core::bench::Bench;
use halfrow_file::wiring;
use serde_json::{Map, Value, json};

use super::{Answer, BenchFile, ended, lines};
use crate::Output;
use crate::failure::Failure;

/// Prints the wiring list of a bench, one part a line
#[derive(Args)]
pub struct List {
    #[command(flatten)]
    bench: BenchFile,
}

impl Answer for List {
    const NAME: &'static str = "list";

    fn answer(&self, json: bool) -> Result<Output, Failure> {
        let bench = self.bench.read()?;
        Ok(Output::fine(if json { lines(&value(&bench)) } else { ended(wiring::to_text(&bench)) }))
    }
}

/// The parts of a bench for programs: each with its kind, its value as people read it, and the hole
/// of each pin (null: in the air).
fn value(bench: &Bench) -> Value {
    let parts: Vec<Value> = bench
        .parts
        .iter()
        .map(|part| {
            let pins: Map<String, Value> = part
                .card
                .pins
                .iter()
                .zip(&part.legs)
                .map(|(pin, leg)| (pin.name.to_owned(), json!(leg.hole.map(|hole| hole.to_string()))))
                .collect();
            json!({ "id": part.id, "kind": part.card.kind, "value": (part.card.label)(part), "pins": pins })
        })
        .collect();
    json!({ "title": bench.title, "parts": parts })
}
