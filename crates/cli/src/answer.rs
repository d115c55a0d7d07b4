//! Which request gets which output.

use std::ffi::OsStr;

use halfrow_core::bench::Bench;
use halfrow_core::solve::solve;
use halfrow_file::{examples, link, wiring};
use serde_json::{Value, json};

use crate::input::{Failure, bench};
use crate::request::{Command, HELP, Request};
use crate::{Output, checked, listed, ran, solved};

/// Does what was asked.
///
/// # Errors
/// When the bench can't be read.
pub fn answer(request: &Request) -> Result<Output, Failure> {
    let json = request.json;
    match &request.command {
        Command::Help => Ok(Output::fine(HELP.to_owned())),
        Command::Version => Ok(Output::fine(format!("halfrow {}\n", env!("CARGO_PKG_VERSION")))),
        Command::Solve(path) => {
            let bench = bench(path)?;
            let point = solve(&bench);
            let text =
                if json { lines(&solved::value(&bench, &point)) } else { solved::text(&bench, &point) };
            // Without an answer there is something to put right, if only in Halfrow.
            Ok(Output { text, findings: !point.settled })
        }
        Command::Check(path) => {
            let bench = bench(path)?;
            let findings = halfrow_judge::check(&bench, &solve(&bench));
            let text = if json {
                lines(&checked::value(&bench, &findings))
            } else {
                checked::text(&bench, &findings)
            };
            Ok(Output { text, findings: !findings.is_empty() })
        }
        Command::Run(wanted) => {
            let bench = bench(&wanted.bench)?;
            let actions = match &wanted.actions {
                Some(path) => crate::input::actions(path, &bench)?,
                None => Vec::new(),
            };
            let ran = ran::run(&bench, &actions, wanted)?;
            let text = if json {
                lines(&ran::value(&ran))
            } else if wanted.csv {
                ran::csv(&ran)
            } else {
                ran::text(&bench, &ran)
            };
            Ok(Output { text, findings: ran.has_events() })
        }
        Command::List(path) => {
            let bench = bench(path)?;
            Ok(Output::fine(if json {
                lines(&listed::parts(&bench))
            } else {
                ended(wiring::to_text(&bench))
            }))
        }
        Command::Link(path) => {
            let link = link::encode(&bench(path)?);
            Ok(Output::fine(if json { lines(&json!({ "link": link })) } else { ended(link) }))
        }
        Command::Open(link) => Ok(Output::fine(ended(halfrow_file::write(&opened(link)?)))),
        Command::Draw(path) => {
            let bench = bench(path)?;
            let point = solve(&bench);
            let svg = halfrow_draw::svg(
                &bench,
                &point,
                &halfrow_judge::check(&bench, &point),
                &link::encode(&bench),
            );
            Ok(Output::fine(if json { lines(&json!({ "svg": svg })) } else { ended(svg) }))
        }
        Command::Schema => Ok(Output::fine(ended(halfrow_file::schema_text()))),
        Command::ActionsSchema => Ok(Output::fine(ended(halfrow_file::actions::schema_text()))),
        Command::Examples => Ok(Output::fine(if json {
            lines(&listed::examples_value(&examples::ALL))
        } else {
            listed::examples(&examples::ALL)
        })),
        Command::Example(slug) => {
            let slug = slug.to_string_lossy();
            let example = examples::find(&slug).ok_or_else(|| Failure::NoExample(slug.into_owned()))?;
            Ok(Output::fine(ended(example.text().to_owned())))
        }
    }
}

/// The bench that a link holds; `-` reads the link from standard input, since a link may be longer
/// than a shell takes.
fn opened(link: &OsStr) -> Result<Bench, Failure> {
    let text = if link == "-" { crate::input::text(link)? } else { link.to_string_lossy().into_owned() };
    link::decode(&text).map_err(|error| Failure::no_bench("the link".to_owned(), error))
}

/// JSON for a program, readable for whoever looks in.
fn lines(value: &Value) -> String {
    ended(format!("{value:#}"))
}

/// With a line end at its end, as a terminal wants it.
fn ended(mut text: String) -> String {
    if !text.ends_with('\n') {
        text.push('\n');
    }
    text
}
