//! `halfrow examples`: the benches that come with Halfrow.

use clap::Args;
use halfrow_file::examples;
use serde_json::{Value, json};

use super::{Answer, ended, lines};
use crate::Output;
use crate::failure::Failure;
use crate::layout::paragraph;

/// Lists the examples that come with Halfrow, or prints one
#[derive(Args)]
pub struct Examples {
    /// The example whose bench file to print; without it, all are listed.
    #[arg(value_name = "NAME")]
    name: Option<String>,
}

impl Answer for Examples {
    const NAME: &'static str = "examples";

    fn answer(&self, json: bool) -> Result<Output, Failure> {
        let text = match &self.name {
            Some(slug) => {
                let example = examples::find(slug).ok_or_else(|| Failure::NoExample(slug.clone()))?;
                ended(example.text().to_owned())
            }
            None if json => lines(&value()),
            None => text(),
        };
        Ok(Output::fine(text))
    }
}

/// The examples for people. It does not tell where the mistakes are.
fn text() -> String {
    let width = examples::all().map(|example| example.slug.len()).max().unwrap_or_default();
    let mut text = String::new();
    for example in examples::all() {
        text += &paragraph(&format!("{:<width$}  ", example.slug), example.about);
    }
    text + "\nOne of them: halfrow examples NAME\n"
}

/// The examples for programs.
fn value() -> Value {
    let all: Vec<Value> = examples::all()
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
