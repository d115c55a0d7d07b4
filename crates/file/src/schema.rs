//! The JSON Schema of the bench file, made from the cards.

use halfrow_core::bench::{Lesson, MAX_ID_CHARS, MAX_METERS, MAX_PARTS, TOLERANCE_PERCENT};
use halfrow_core::board::{BoardKind, MAX_BOARDS, board_letter};
use halfrow_core::card::{Card, Footprint, Param, Range, Unit};
use halfrow_core::meter::{BATTERY_VOLTS, Dial, Kind, Socket};
use halfrow_core::part::{Depth, Turn};
use halfrow_core::parts;
use serde_json::{Map, Value, json};

use crate::read::{AS_BOUGHT, MAX_TEXT_BYTES, RUN_DOWN};
use crate::title::MAX_TITLE_CHARS;
use crate::tree::number;

/// The JSON Schema (draft 2020-12) of a bench file: every kind of part with its pins, its values and
/// their limits. What a schema can't say is checked by [`crate::read()`] alone: that the boards have
/// the holes, that each holds one leg, that leads reach, that names differ, that no key stands twice.
pub fn schema() -> Value {
    let letters: Vec<String> = (0..MAX_BOARDS as u8).map(|board| board_letter(board).to_string()).collect();
    let boards: Vec<Value> = letters
        .iter()
        .map(|letter| json!({ "$ref": "#/$defs/board", "properties": { "id": { "const": letter } } }))
        .collect();
    let mut defs = Map::new();
    defs.insert("board".to_owned(), board(&letters));
    defs.insert("hole".to_owned(), hole());
    defs.insert("meter".to_owned(), meter());
    let depths: Vec<&str> = Depth::ALL.into_iter().map(Depth::word).collect();
    defs.insert(
        "depth".to_owned(),
        json!({ "enum": depths, "description": "How far a leg is pushed in; full where nothing is said." }),
    );
    let mut kinds = Vec::new();
    let mut choices = Vec::new();
    for card in parts::CARDS {
        defs.insert(card.kind.to_owned(), part(card));
        kinds.push(card.kind);
        choices.push(json!({
            "if": { "properties": { "kind": { "const": card.kind } } },
            "then": { "$ref": format!("#/$defs/{}", card.kind) },
        }));
    }
    defs.insert(
        "part".to_owned(),
        json!({
            "type": "object",
            "required": ["id", "kind"],
            "properties": { "kind": { "enum": kinds } },
            "allOf": choices,
        }),
    );
    let newer: Vec<Value> = ["meters", "lesson", AS_BOUGHT, RUN_DOWN]
        .into_iter()
        .map(|key| json!({ "required": [key] }))
        .collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Halfrow bench",
        "description": format!(
            "Boards, parts and where every leg is. At most {MAX_TEXT_BYTES} bytes of JSON; no key twice in one object."
        ),
        "type": "object",
        "required": ["halfrow", "boards", "parts"],
        "additionalProperties": false,
        "properties": {
            "halfrow": {
                "enum": (1..=crate::VERSION).collect::<Vec<u32>>(),
                "description": "The version of the file: 2 where there are meters, a lesson, parts as bought or batteries that run down.",
            },
            "title": {
                "type": "string",
                "maxLength": MAX_TITLE_CHARS,
                "pattern": r"^[^\u0000-\u001f\u007f-\u009f\u2028-\u202e\u2066-\u2069]*$",
                "description": "Plain text on one line.",
            },
            "boards": {
                "type": "array",
                "minItems": 1,
                "maxItems": MAX_BOARDS,
                "prefixItems": boards,
                "description": "From left to right.",
            },
            "taps": taps(),
            (AS_BOUGHT): as_bought(),
            (RUN_DOWN): run_down(),
            "parts": { "type": "array", "maxItems": MAX_PARTS, "items": { "$ref": "#/$defs/part" } },
            "meters": { "type": "array", "maxItems": MAX_METERS, "items": { "$ref": "#/$defs/meter" } },
            "lesson": lesson(),
        },
        "if": { "anyOf": newer },
        "then": { "properties": { "halfrow": { "const": crate::VERSION } } },
        "$defs": defs,
    })
}

fn taps() -> Value {
    json!({
        "type": "integer",
        "minimum": 0,
        "maximum": u32::MAX,
        "default": 0,
        "description": "How often the board has been tapped: settles the contact of legs that are barely in.",
    })
}

fn as_bought() -> Value {
    json!({
        "type": "integer",
        "minimum": 1,
        "maximum": u32::MAX,
        "description": "The number of the bag that the parts come from: each part’s true values are drawn from it \
                        and the part’s name, within their tolerances. Left out: parts are exactly as printed.",
    })
}

fn run_down() -> Value {
    json!({
        "type": "boolean",
        "default": false,
        "description": "Whether batteries lose charge as time passes.",
    })
}

/// The schema as the text of its file.
pub fn schema_text() -> String {
    format!("{:#}\n", schema())
}

fn board(letters: &[String]) -> Value {
    let kinds: Vec<&str> = BoardKind::ALL.into_iter().map(BoardKind::word).collect();
    let sizes: Vec<String> = BoardKind::ALL
        .into_iter()
        .map(|kind| format!("{}: {} tie points", kind.word(), kind.tie_points()))
        .collect();
    json!({
        "type": "object",
        "required": ["id", "kind"],
        "additionalProperties": false,
        "properties": {
            "id": { "enum": letters },
            "kind": { "enum": kinds, "description": sizes.join("; ") },
            "split_rails": {
                "type": "boolean",
                "default": false,
                "description": "Whether each rail is interrupted in its middle.",
            },
        },
    })
}

fn hole() -> Value {
    json!({
        "type": ["string", "null"],
        "pattern": r"^([A-D]:)?([a-j][1-9][0-9]?|[LR][+\u2212-][1-9][0-9]?)$",
        "description": "Column and row (e12), or rail and number (L+7, R-7), on a second board after its \
                        letter (B:e12); null for a leg in the air.",
    })
}

fn meter() -> Value {
    let tip = json!({
        "type": ["string", "null"],
        "description": "What the tip touches: a hole (e12), a leg (R1.1), the inside of a socket (10a), an \
                        end of the 500 mA fuse (500ma.1); null or air for nothing.",
    });
    let socket = |usual: Socket| json!({ "enum": Socket::ALL.map(Socket::word), "default": usual.word() });
    let fuse = json!({ "enum": crate::meters::FUSES, "default": crate::meters::FUSES[0] });
    json!({
        "title": "Multimeter",
        "description": "A hand-held meter of 2000 counts beside the boards. Both leads need sockets of their own.",
        "type": "object",
        "additionalProperties": false,
        "properties": {
            "kind": {
                "enum": Kind::ALL.map(Kind::word),
                "default": Kind::default().word(),
                "description": "10m: 10 MΩ at volts; cheap: 1 MΩ, and a 10 A socket without a fuse.",
            },
            "dial": { "enum": Dial::ALL.map(Dial::word), "default": Dial::default().word() },
            "red": tip,
            "black": tip,
            "red_socket": socket(Socket::Vom),
            "black_socket": socket(Socket::Com),
            "fuse_500ma": fuse,
            "fuse_10a": fuse,
            "battery_volts": {
                "type": "number",
                "minimum": BATTERY_VOLTS.0,
                "maximum": BATTERY_VOLTS.1,
                "default": 9,
                "description": "Voltage of the meter's own battery, V",
            },
        },
    })
}

fn lesson() -> Value {
    let usual = Lesson::default();
    json!({
        "title": "Lesson",
        "description": "What a teacher has set for whoever gets the bench.",
        "type": "object",
        "additionalProperties": false,
        "properties": {
            "only_meter": {
                "type": "boolean",
                "default": usual.only_meter,
                "description": "Whether the page tells voltages and currents only by a meter.",
            },
            "predict_first": {
                "type": "boolean",
                "default": usual.predict_first,
                "description": "Whether a prediction is asked for before a meter shows anything.",
            },
            "tolerance_percent": {
                "type": "number",
                "minimum": plain(TOLERANCE_PERCENT.0),
                "maximum": plain(TOLERANCE_PERCENT.1),
                "default": plain(usual.tolerance_percent),
                "description": "By how much a prediction may be off besides the meter's accuracy, % of the reading",
            },
        },
    })
}

fn part(card: &'static Card) -> Value {
    let mut properties = Map::new();
    properties.insert(
        "id".to_owned(),
        json!({
            "type": "string",
            "pattern": format!("^[A-Za-z][A-Za-z0-9]{{0,{}}}$", MAX_ID_CHARS - 1),
            "description": "Its name, unique on the bench.",
        }),
    );
    properties.insert("kind".to_owned(), json!({ "const": card.kind }));
    for param in card.params {
        properties.insert(param.key.to_owned(), value(param));
    }
    let pins = |target: &str| {
        let each = card.pins.iter().map(|pin| {
            (pin.name.to_owned(), json!({ "$ref": format!("#/$defs/{target}"), "description": pin.says }))
        });
        json!({ "type": "object", "additionalProperties": false, "properties": each.collect::<Map<_, _>>() })
    };
    if matches!(card.footprint, Footprint::Rigid { .. }) {
        properties.insert("pin1".to_owned(), json!({ "$ref": "#/$defs/hole" }));
        let turns: Vec<u16> = Turn::ALL.into_iter().map(Turn::degrees).collect();
        properties.insert(
            "turn".to_owned(),
            json!({ "enum": turns, "default": 0, "description": "Degrees clockwise about pin 1." }),
        );
    } else {
        properties.insert("pins".to_owned(), pins("hole"));
    }
    properties.insert("depth".to_owned(), pins("depth"));
    let comment: Vec<&str> =
        card.equation.into_iter().chain(card.sources.into_iter().flatten().copied()).collect();
    json!({
        "title": card.name,
        "description": card.what,
        "$comment": comment.join("; "),
        "type": "object",
        "required": ["id", "kind"],
        "additionalProperties": false,
        "properties": properties,
    })
}

fn value(param: &Param) -> Value {
    match param.range {
        Range::Number { unit, min, max, default, .. } => {
            let unit = if unit == Unit::Share { "a share from 0 to 1" } else { unit.symbol() };
            json!({
                "type": "number",
                "minimum": plain(min),
                "maximum": plain(max),
                "default": plain(default),
                "description": format!("{}, {unit}", param.name),
            })
        }
        Range::Whole { min, max, default } => json!({
            "type": "integer",
            "minimum": min,
            "maximum": max,
            "default": default,
            "description": param.name,
        }),
        Range::Choice { options, default } => {
            let words = options.iter().map(|option| Value::from(option.word));
            // A word that is a number may stand there without quotes.
            let numbers = options.iter().filter_map(|option| {
                let x: f64 = option.word.parse().ok()?;
                (number(x) == option.word).then(|| plain(x))
            });
            json!({
                "enum": words.chain(numbers).collect::<Vec<Value>>(),
                "default": options[usize::from(default)].word,
                "description": param.name,
            })
        }
        Range::Flag { default } => {
            json!({ "type": "boolean", "default": default, "description": param.name })
        }
    }
}

/// A number without a needless `.0`.
fn plain(x: f64) -> Value {
    if x.fract() == 0.0 && x.abs() < 1e15 { Value::from(x as i64) } else { Value::from(x) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `HALFROW_WRITE_SCHEMA=1 cargo test -p halfrow-file` writes the published file anew.
    #[test]
    fn the_published_schema_is_the_one_that_the_cards_make() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../static/bench.schema.json");
        if std::env::var_os("HALFROW_WRITE_SCHEMA").is_some() {
            std::fs::write(path, schema_text()).expect("the static folder can be written");
        }
        let published: Value =
            serde_json::from_str(&std::fs::read_to_string(path).expect("static/bench.schema.json")).unwrap();
        assert!(
            published == schema(),
            "the cards have changed: HALFROW_WRITE_SCHEMA=1 cargo test -p halfrow-file writes the schema anew"
        );
    }

    #[test]
    fn no_parameter_has_a_key_that_the_file_uses_itself() {
        for card in parts::CARDS {
            for param in card.params {
                assert!(
                    !["id", "kind", "pins", "pin1", "turn", "depth"].contains(&param.key),
                    "{}",
                    card.kind
                );
                assert!(card.pin(param.key).is_none(), "{} {}", card.kind, param.key);
            }
        }
    }
}
