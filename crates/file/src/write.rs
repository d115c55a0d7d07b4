//! From a bench to the text of its file.

use halfrow_core::bench::{Bench, Lesson};
use halfrow_core::board::board_letter;
use halfrow_core::card::{Range, Value};
use halfrow_core::part::{Depth, Part, Turn};

use crate::json::quoted;
use crate::lesson;
use crate::meters;
use crate::read;
use crate::title;
use crate::tree::number;

/// Writes a bench file that people can read: one part a line, in the order of the bench, what is as
/// the card has it left out. [`crate::read()`] gives the same bench back, except that characters
/// which a title can't hold are left out of it.
pub fn write(bench: &Bench) -> String {
    let list = |items: Vec<String>| {
        if items.is_empty() { "[]".to_owned() } else { format!("[\n    {}\n  ]", items.join(",\n    ")) }
    };
    let mut lines = vec![
        format!("\"halfrow\": {}", crate::version(bench)),
        format!("\"title\": {}", quoted(&title::fitting(&bench.title))),
        format!("\"boards\": [{}]", boards(bench).map(|pairs| spaced(&pairs)).collect::<Vec<_>>().join(", ")),
    ];
    if bench.taps > 0 {
        lines.push(format!("\"taps\": {}", bench.taps));
    }
    lines.extend(settings(bench).into_iter().map(|(key, value)| format!("{}: {value}", quoted(key))));
    lines.push(format!(
        "\"parts\": {}",
        list(bench.parts.iter().map(|part| spaced(&pairs(part, spaced))).collect())
    ));
    if !bench.meters.is_empty() {
        let meters = bench.meters.iter().map(|meter| spaced(&meters::pairs(bench, meter)));
        lines.push(format!("\"meters\": {}", list(meters.collect())));
    }
    if bench.lesson != Lesson::default() {
        lines.push(format!("\"lesson\": {}", spaced(&lesson::pairs(&bench.lesson))));
    }
    format!("{{\n  {}\n}}\n", lines.join(",\n  "))
}

/// The same file without a space too many, for a link.
pub(crate) fn compact(bench: &Bench) -> String {
    let join = |items: Vec<String>| format!("[{}]", items.join(","));
    let mut pairs_of_file = vec![("halfrow", crate::version(bench).to_string())];
    let title = title::fitting(&bench.title);
    if !title.is_empty() {
        pairs_of_file.push(("title", quoted(&title)));
    }
    pairs_of_file.push(("boards", join(boards(bench).map(|pairs| tight(&pairs)).collect())));
    if bench.taps > 0 {
        pairs_of_file.push(("taps", bench.taps.to_string()));
    }
    pairs_of_file.extend(settings(bench));
    pairs_of_file.push(("parts", join(bench.parts.iter().map(|part| tight(&pairs(part, tight))).collect())));
    if !bench.meters.is_empty() {
        let meters = bench.meters.iter().map(|meter| tight(&meters::pairs(bench, meter)));
        pairs_of_file.push(("meters", join(meters.collect())));
    }
    if bench.lesson != Lesson::default() {
        pairs_of_file.push(("lesson", tight(&lesson::pairs(&bench.lesson))));
    }
    tight(&pairs_of_file)
}

/// Keys with their values as JSON.
type Pairs = Vec<(&'static str, String)>;

/// What is switched on for the whole bench.
fn settings(bench: &Bench) -> Pairs {
    let mut pairs = Pairs::new();
    if let Some(number) = bench.as_bought {
        pairs.push((read::AS_BOUGHT, number.to_string()));
    }
    if bench.batteries_run_down {
        pairs.push((read::RUN_DOWN, "true".to_owned()));
    }
    pairs
}

fn boards(bench: &Bench) -> impl Iterator<Item = Pairs> + '_ {
    bench.boards.iter().enumerate().map(|(index, board)| {
        let mut pairs =
            vec![("id", quoted(&board_letter(index as u8).to_string())), ("kind", quoted(board.kind.word()))];
        if board.split_rails {
            pairs.push(("split_rails", "true".to_owned()));
        }
        pairs
    })
}

fn pairs(part: &Part, object: fn(&Pairs) -> String) -> Pairs {
    let hole = |pin: usize| part.legs[pin].hole.map_or("null".to_owned(), |hole| quoted(&hole.to_string()));
    let mut pairs = vec![("id", quoted(&part.id)), ("kind", quoted(part.card.kind))];
    for (param, &value) in part.card.params.iter().zip(&part.values) {
        if value != param.range.default_value() {
            let word = word(&param.range, value);
            let is_text = matches!(value, Value::Choice(_));
            pairs.push((param.key, if is_text { quoted(&word) } else { word }));
        }
    }
    let pins = part.card.pins.iter().enumerate();
    if part.is_rigid() {
        pairs.push(("pin1", hole(0)));
        if part.turn != Turn::None {
            pairs.push(("turn", part.turn.degrees().to_string()));
        }
    } else {
        pairs.push(("pins", object(&pins.clone().map(|(pin, it)| (it.name, hole(pin))).collect())));
    }
    let shallow: Pairs = pins
        .filter(|&(pin, _)| part.legs[pin].depth != Depth::Full)
        .map(|(pin, it)| (it.name, quoted(part.legs[pin].depth.word())))
        .collect();
    if !shallow.is_empty() {
        pairs.push(("depth", object(&shallow)));
    }
    pairs
}

/// A parameter's value as files and wiring lists write it, without quotes.
pub(crate) fn word(range: &Range, value: Value) -> String {
    match (range, value) {
        (Range::Choice { options, .. }, Value::Choice(index)) => {
            options.get(usize::from(index)).map_or(String::new(), |option| option.word.to_owned())
        }
        (_, Value::Number(x)) => number(x),
        (_, Value::Whole(n) | Value::Choice(n)) => n.to_string(),
        (_, Value::Flag(on)) => on.to_string(),
    }
}

fn spaced(pairs: &Pairs) -> String {
    let inner: Vec<String> = pairs.iter().map(|(key, value)| format!("{}: {value}", quoted(key))).collect();
    format!("{{ {} }}", inner.join(", "))
}

fn tight(pairs: &Pairs) -> String {
    let inner: Vec<String> = pairs.iter().map(|(key, value)| format!("{}:{value}", quoted(key))).collect();
    format!("{{{}}}", inner.join(","))
}
