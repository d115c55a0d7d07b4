//! What a run gave: for programs, for spreadsheets, for people.

use halfrow_core::amount;
use halfrow_core::bench::Bench;
use serde_json::{Value, json};

use super::clock::Ran;
use crate::layout::{Table, title};

/// For programs.
pub fn value(ran: &Ran) -> Value {
    let watch: Vec<Value> = ran
        .watch
        .iter()
        .zip(&ran.columns)
        .map(|((at, volts), column)| json!({ "at": at, (if *volts { "volts" } else { "amps" }): column }))
        .collect();
    let events: Vec<Value> = ran
        .events
        .iter()
        .map(|(at, part, what, says)| json!({ "at": at, "part": part, "what": what, "says": says }))
        .collect();
    let mut told = json!({
        "every": ran.every,
        "seconds": ran.seconds,
        "watch": watch,
        "events": events,
        "effort": ran.effort,
    });
    if let Some(at) = ran.interrupted {
        told["interrupted"] = json!(at);
    }
    told
}

/// Rows for a spreadsheet: seconds, then volts or amperes, with the shortest digits that read back to
/// the same number.
pub fn csv(ran: &Ran) -> String {
    let mut text = String::from("seconds");
    for (at, volts) in &ran.watch {
        text += &format!(",{at} {}", if *volts { "V" } else { "A" });
    }
    text.push('\n');
    for (row, time) in ran.seconds.iter().enumerate() {
        text += &time.to_string();
        for column in &ran.columns {
            text.push(',');
            if let Some(value) = column[row] {
                text += &value.to_string();
            }
        }
        text.push('\n');
    }
    text
}

/// For people.
pub fn text(bench: &Bench, ran: &Ran) -> String {
    let headings: Vec<String> =
        std::iter::once(">Time".to_owned()).chain(ran.watch.iter().map(|(at, _)| format!(">{at}"))).collect();
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    let mut table = Table::new(&headings);
    for (row, time) in ran.seconds.iter().enumerate() {
        let cells = ran.columns.iter().zip(&ran.watch).map(|(column, (_, volts))| match column[row] {
            None => "–".to_owned(),
            Some(value) if *volts => amount::volts(value),
            Some(value) => amount::amps(value),
        });
        table.row(std::iter::once(amount::time(*time)).chain(cells));
    }
    let mut text = format!("{}\n\n{}", title(bench), table.text());
    for (at, part, what, says) in &ran.events {
        let at = amount::time(*at);
        text += &match *what {
            "burnt" => format!("\nAt {at} {part} burns out: {says}.\n"),
            _ => format!("\nAt {at} the clock stops at {part}: {says}.\n"),
        };
    }
    text
}

/// What a person is told of a run that was ended early.
pub fn interrupted(ran: &Ran) -> Option<String> {
    let at = amount::time(ran.interrupted?);
    Some(format!("halfrow: stopped by Ctrl+C at {at}; what it has so far is told.\n"))
}
