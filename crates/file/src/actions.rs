//! What is done to a bench while its clock runs, as a file: so that a run can be repeated.
//!
//! ```json
//! { "halfrow-actions": 1, "actions": [
//!   { "at": 0.5, "part": "SB1", "set": { "pressed": true } },
//!   { "at": 1.0, "part": "R1", "pin": "2", "hole": "e7" },
//!   { "at": 1.5, "tap": true },
//!   { "at": 2.0, "replace": "D1" }
//! ] }
//! ```

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::Value;
use serde_json::{Value as Json, json};

use crate::error::FileError;
use crate::read::{Fields, hole, text_of, unknown_word, value, wrong};
use crate::tree::{Tree, number};

/// The version of the file.
pub const VERSION: u32 = 1;

/// The key at which it stands.
const VERSION_KEY: &str = "halfrow-actions";

/// The most actions in one file. A lesson's hour at one a second is a third of it.
pub const MAX_ACTIONS: usize = 10_000;

/// The latest moment, seconds: a day.
pub const MAX_SECONDS: f64 = 86_400.0;

/// Something done at a moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Timed {
    /// When, seconds since the clock began.
    pub at: f64,
    /// What.
    pub deed: Deed,
}

/// What is done.
#[derive(Clone, Debug, PartialEq)]
pub enum Deed {
    /// Values of a part are set, by their places on its card.
    Set(PartIx, Vec<(usize, Value)>),
    /// A leg is moved to a hole or into the air.
    Move(LegId, Option<Hole>),
    /// The board is tapped.
    Tap,
    /// A new part takes the place of an old one.
    Replace(PartIx),
}

/// Reads a file of timed actions for a bench: in the order of their times, those of one moment in the
/// order of the file.
///
/// # Errors
/// The first thing that is wrong, with its place.
pub fn read(text: &str, bench: &Bench) -> Result<Vec<Timed>, FileError> {
    if text.len() > crate::MAX_TEXT_BYTES {
        return Err(FileError::TooLong { bytes: text.len() });
    }
    let tree = Tree::parse(text)?;
    let file = Fields::of("the file", &tree)?;
    file.only(&[VERSION_KEY, "actions"])?;
    match file.need(VERSION_KEY)? {
        Tree::Number(x) if *x == f64::from(VERSION) => {}
        Tree::Number(x) if *x > f64::from(VERSION) => {
            return Err(FileError::Newer { version: number(*x) });
        }
        other => {
            let found = other.in_words();
            return Err(FileError::Version { key: VERSION_KEY, current: VERSION, found });
        }
    }
    let Tree::List(listed) = file.need("actions")? else {
        return Err(wrong("actions", file.need("actions")?, "a list of actions"));
    };
    if listed.len() > MAX_ACTIONS {
        return Err(FileError::OutOfRange {
            path: "actions".to_owned(),
            found: listed.len().to_string(),
            wanted: format!("at most {MAX_ACTIONS} actions"),
        });
    }
    let mut actions = Vec::with_capacity(listed.len());
    for (index, tree) in listed.iter().enumerate() {
        actions.push(action(&format!("actions[{index}]"), bench, tree)?);
    }
    actions.sort_by(|a, b| a.at.total_cmp(&b.at));
    Ok(actions)
}

fn action(path: &str, bench: &Bench, tree: &Tree) -> Result<Timed, FileError> {
    let fields = Fields::of(path, tree)?;
    fields.only(&["at", "part", "set", "pin", "hole", "tap", "replace"])?;
    let at = match fields.need("at")? {
        Tree::Number(x) if (0.0..=MAX_SECONDS).contains(x) => *x,
        Tree::Number(x) => {
            let wanted = format!("a number of seconds from 0 to {MAX_SECONDS}");
            return Err(FileError::OutOfRange { path: format!("{path}.at"), found: number(*x), wanted });
        }
        other => return Err(wrong(&format!("{path}.at"), other, "a number of seconds")),
    };
    let part = |key: &'static str| -> Result<PartIx, FileError> {
        let path = format!("{path}.{key}");
        let id = text_of(&path, fields.need(key)?)?;
        let known = bench.parts.iter().map(|part| part.id.as_str());
        bench.find(id).ok_or_else(|| unknown_word(&path, id, known))
    };
    let deed = if fields.get("tap").is_some() {
        fields.only(&["at", "tap"])?;
        match fields.need("tap")? {
            Tree::Flag(true) => Deed::Tap,
            other => return Err(wrong(&format!("{path}.tap"), other, "true")),
        }
    } else if fields.get("replace").is_some() {
        fields.only(&["at", "replace"])?;
        Deed::Replace(part("replace")?)
    } else if fields.get("set").is_some() {
        fields.only(&["at", "part", "set"])?;
        let part = part("part")?;
        let card = bench.part(part).card;
        let set_path = format!("{path}.set");
        let set = Fields::of(&set_path, fields.need("set")?)?;
        let keys: Vec<&str> = card.params.iter().map(|param| param.key).collect();
        set.only(&keys)?;
        let mut values = Vec::new();
        for (index, param) in card.params.iter().enumerate() {
            if let Some(tree) = set.get(param.key) {
                values.push((index, value(&format!("{set_path}.{}", param.key), &param.range, tree)?));
            }
        }
        Deed::Set(part, values)
    } else {
        fields.only(&["at", "part", "pin", "hole"])?;
        let part = part("part")?;
        let card = bench.part(part).card;
        let pin_path = format!("{path}.pin");
        let name = text_of(&pin_path, fields.need("pin")?)?;
        let known = card.pins.iter().map(|pin| pin.name);
        let pin = card.pin(name).ok_or_else(|| unknown_word(&pin_path, name, known))?;
        if bench.part(part).is_rigid() {
            return Err(FileError::StiffPin { path: pin_path, pin: card.pins[pin].name });
        }
        Deed::Move(LegId { part, pin }, hole(&format!("{path}.hole"), fields.need("hole")?)?)
    };
    Ok(Timed { at, deed })
}

/// The JSON Schema (draft 2020-12) of such a file. Which parts, pins, values and holes there are
/// depends on the bench and is checked by [`read`].
pub fn schema() -> Json {
    let at = json!({ "type": "number", "minimum": 0, "maximum": MAX_SECONDS });
    let name = json!({ "type": "string" });
    let kind = |keys: Json, required: &[&str]| json!({ "type": "object", "properties": keys, "required": required, "additionalProperties": false });
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Timed actions on a Halfrow bench",
        "type": "object",
        "required": [VERSION_KEY, "actions"],
        "additionalProperties": false,
        "properties": {
            VERSION_KEY: { "const": VERSION, "description": "The version of the file." },
            "actions": {
                "type": "array",
                "maxItems": MAX_ACTIONS,
                "items": { "oneOf": [
                    kind(json!({ "at": at, "part": name, "set": { "type": "object",
                        "description": "Values by the keys of the bench file." } }), &["at", "part", "set"]),
                    kind(json!({ "at": at, "part": name, "pin": name,
                        "hole": { "type": ["string", "null"] } }), &["at", "part", "pin", "hole"]),
                    kind(json!({ "at": at, "tap": { "const": true } }), &["at", "tap"]),
                    kind(json!({ "at": at, "replace": name }), &["at", "replace"]),
                ] },
            },
        },
    })
}

/// The schema as the text of its file.
pub fn schema_text() -> String {
    format!("{:#}\n", schema())
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::sample::sixty_parts;

    fn said(actions: &str) -> String {
        let text = format!(r#"{{ "halfrow-actions": 1, "actions": [{actions}] }}"#);
        match read(&text, &sixty_parts()) {
            Ok(actions) => format!("{} fine", actions.len()),
            Err(error) => error.to_string(),
        }
    }

    #[test]
    fn actions_are_read_and_mistakes_are_told_with_their_place() {
        for (actions, says) in [
            (r#"{"at":1,"tap":true},{"at":0.5,"replace":"D1"}"#, "2 fine"),
            (r#"{"at":1,"part":"R1","set":{"ohms":330}}"#, "1 fine"),
            (r#"{"at":1,"part":"R1","pin":"2","hole":null}"#, "1 fine"),
            (r#"{"at":-1,"tap":true}"#, "actions[0].at: -1 is out of range"),
            (r#"{"at":1,"part":"R1","set":{"ohm":330}}"#, "Did you mean “ohms”?"),
            (r#"{"at":1,"part":"R1","set":{"ohms":1e30}}"#, "actions[0].set.ohms"),
            (r#"{"at":1,"part":"R1","pin":"7","hole":"e1"}"#, "actions[0].pin: Halfrow doesn’t know “7”"),
            (r#"{"at":1,"part":"Q99","set":{}}"#, "actions[0].part: Halfrow doesn’t know “Q99”"),
            (r#"{"at":1,"tap":false}"#, "actions[0].tap: this needs true"),
            (r#"{"at":1}"#, "“part” is missing"),
            (r#"{"at":1,"part":"R1","set":{},"tap":true}"#, "means nothing here"),
        ] {
            assert!(said(actions).contains(says), "{actions}: {}", said(actions));
        }
    }

    #[test]
    fn a_version_that_is_none_is_told_by_the_key_of_this_file() {
        let said = |version: &str| {
            let text = format!(r#"{{ "halfrow-actions": {version}, "actions": [] }}"#);
            read(&text, &sixty_parts()).map(|it| it.len()).map_err(|error| error.to_string())
        };
        assert_eq!(said("1"), Ok(0));
        for (version, says) in [
            ("0", "halfrow-actions: 0 isn’t a file version. Write \"halfrow-actions\": 1."),
            ("null", "Write \"halfrow-actions\": 1."),
            ("2", "newer Halfrow (file version 2"),
        ] {
            let error = said(version).unwrap_err();
            assert!(error.contains(says), "{version}: {error}");
        }
    }

    /// `HALFROW_WRITE_SCHEMA=1 cargo test -p halfrow-file` writes the published file anew.
    #[test]
    fn the_published_schema_is_the_one_that_is_made_here() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../static/actions.schema.json");
        if std::env::var_os("HALFROW_WRITE_SCHEMA").is_some() {
            std::fs::write(path, schema_text()).expect("the static folder can be written");
        }
        let published = std::fs::read_to_string(path).expect("static/actions.schema.json");
        assert!(
            published == schema_text(),
            "actions have changed: HALFROW_WRITE_SCHEMA=1 cargo test -p halfrow-file writes the schema anew"
        );
    }

    #[test]
    fn they_come_in_the_order_of_their_times() {
        let text = r#"{ "halfrow-actions": 1, "actions": [
            {"at":2,"tap":true},{"at":1,"replace":"D1"},{"at":1,"tap":true}] }"#;
        let actions = read(text, &sixty_parts()).unwrap();
        assert_eq!(actions.iter().map(|it| it.at).collect::<Vec<_>>(), [1.0, 1.0, 2.0]);
        assert_eq!(actions[1].deed, Deed::Tap);
    }
}
