//! The commands, one file each, and what they share.
//!
//! A command is a struct of its words (`#[derive(clap::Args)]`, whose comments are its help) that
//! [`Answer`]s, its module below, and its line in [`ALL`]. [`link`] is a short one to begin with.

pub mod check;
pub mod compare;
pub mod completions;
pub mod diagnose;
pub mod draw;
pub mod examples;
pub mod link;
pub mod list;
pub mod measure;
pub mod open;
pub mod run;
pub mod schema;
pub mod solve;

use std::ffi::OsString;

use clap::{ArgMatches, Args};
use halfrow_core::bench::Bench;
use serde_json::Value;

use crate::Output;
use crate::failure::Failure;
use crate::input;

/// What a command does with its words.
pub trait Answer: Args {
    /// What it is called.
    const NAME: &'static str;

    /// Does what was asked; `json` for a program that reads the answer.
    ///
    /// # Errors
    /// When it can't be answered: the bench can't be read, or not be run as asked.
    fn answer(&self, json: bool) -> Result<Output, Failure>;
}

/// A command as the table holds it.
pub struct Entry {
    /// Its name.
    pub name: &'static str,
    /// What it takes, for clap.
    pub describe: fn() -> clap::Command,
    /// Reads its words and answers them.
    pub answer: fn(&ArgMatches, bool) -> Result<Output, Failure>,
}

const fn entry<C: Answer>() -> Entry {
    Entry {
        name: C::NAME,
        describe: || C::augment_args(clap::Command::new(C::NAME)),
        answer: |words, json| C::from_arg_matches(words).map_err(Failure::words)?.answer(json),
    }
}

/// All commands, as the help lists them.
pub const ALL: [Entry; 15] = [
    entry::<solve::Solve>(),
    entry::<check::Check>(),
    entry::<compare::Compare>(),
    entry::<compare::CompareSchema>(),
    entry::<diagnose::Diagnose>(),
    entry::<run::Run>(),
    entry::<measure::Measure>(),
    entry::<list::List>(),
    entry::<link::Link>(),
    entry::<open::Open>(),
    entry::<draw::Draw>(),
    entry::<schema::Schema>(),
    entry::<schema::ActionsSchema>(),
    entry::<examples::Examples>(),
    entry::<completions::Completions>(),
];

/// A bench file among a command's words.
#[derive(Args, Clone, Debug)]
pub struct BenchFile {
    /// The bench file; - reads it from standard input.
    #[arg(value_name = "BENCH", value_hint = clap::ValueHint::FilePath)]
    pub path: OsString,
}

impl BenchFile {
    /// The bench in it.
    ///
    /// # Errors
    /// When it can't be read or holds no bench.
    pub fn read(&self) -> Result<Bench, Failure> {
        input::bench(&self.path)
    }
}

/// JSON for a program, readable for whoever looks in.
pub fn lines(value: &Value) -> String {
    ended(format!("{value:#}"))
}

/// With a line end at its end, as a terminal wants it.
pub fn ended(mut text: String) -> String {
    if !text.ends_with('\n') {
        text.push('\n');
    }
    text
}
