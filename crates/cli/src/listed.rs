//! Lists: the parts of a bench and the examples.

use halfrow_core::bench::Bench;
use halfrow_file::examples::Example;
use serde_json::{Map, Value, json};

use crate::layout::paragraph;

/// The parts of a bench for programs: each with its kind, its value as people read it, and the hole
/// of each pin (null: in the air).
pub fn parts(bench: &Bench) -> Value {
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

/// The examples for people. It does not tell where the mistakes are.
pub fn examples(all: &[Example]) -> String {
    let width = all.iter().map(|example| example.slug.len()).max().unwrap_or_default();
    let mut text = String::new();
    for example in all {
        text += &paragraph(&format!("{:<width$}  ", example.slug), example.about);
    }
    text + "\nOne of them: halfrow examples NAME\n"
}

/// The examples for programs.
pub fn examples_value(all: &[Example]) -> Value {
    let all: Vec<Value> = all
        .iter()
        .map(|example| {
            json!({
                "slug": example.slug,
                "title": example.title,
                "about": example.about,
                "twin": example.twin,
                "mistake": example.mistake,
            })
        })
        .collect();
    json!({ "examples": all })
}
