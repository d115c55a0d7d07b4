//! `halfrow compare`: a build beside its plan, and the fewest moves that make it right.

use std::ffi::OsString;

use clap::Args;
use halfrow_compare::{Answer as Compared, Budget, Kind, Move, Plan, Verdict, compare};
use halfrow_core::board::Hole;
use halfrow_file::plan::Planned;
use serde_json::{Map, Value, json};

use super::{Answer, lines};
use crate::Output;
use crate::failure::Failure;
use crate::input;
use crate::layout::paragraph;

/// Says whether a build is the plan's circuit, and if not, the fewest moves that make it so
#[derive(Args)]
pub struct Compare {
    /// The plan: a bench file, or parts and joints on paper; - reads it from standard input.
    #[arg(value_name = "PLAN", value_hint = clap::ValueHint::FilePath)]
    plan: OsString,
    /// The bench file of the build; - reads it from standard input.
    #[arg(value_name = "BUILD", value_hint = clap::ValueHint::FilePath)]
    build: OsString,
}

impl Answer for Compare {
    const NAME: &'static str = "compare";

    fn answer(&self, json: bool) -> Result<Output, Failure> {
        if self.plan == "-" && self.build == "-" {
            return Err(Failure::Refused(
                "the plan and the build can’t both come from standard input (-). Name a file for one of them."
                    .to_owned(),
            ));
        }
        let plan = match input::plan(&self.plan)? {
            Planned::Bench(bench) => Plan::of(&bench),
            Planned::Joints { parts, joints, .. } => Plan::of_joints(parts, &joints),
        };
        let build = input::bench(&self.build)?;
        let compared = compare(&plan, &build, Budget::thorough());
        let text = if json { lines(&value(&compared)) } else { text(&compared) };
        Ok(Output { text, findings: compared.verdict == Verdict::Different })
    }
}

/// The answer for people.
fn text(compared: &Compared) -> String {
    let mut text = match &compared.verdict {
        Verdict::Equal => "The build is the plan’s circuit.\n".to_owned(),
        Verdict::Equivalent(reasons) => {
            format!("The build does the same as the plan. {}\n", reasons.join(" "))
        }
        Verdict::Different => headline(compared),
    };
    for (number, it) in compared.moves.iter().enumerate() {
        text += &paragraph(&format!("  {}. ", number + 1), &it.says);
        if !it.because.is_empty() {
            text += &paragraph("     ", &it.because);
        }
    }
    if compared.harmful {
        text +=
            &paragraph("  ", "Take a lead of the supply out first: on the way a part would be overloaded.");
    }
    for note in &compared.notes {
        text += &paragraph("  Left as it is: ", note);
    }
    text
}

fn headline(compared: &Compared) -> String {
    if !compared.found {
        return format!(
            "The build is another circuit. It takes at least {}; no way to the plan was found in the time allowed.\n",
            halfrow_compare::counted(compared.bound)
        );
    }
    let sure = if compared.is_least() {
        "Nothing shorter does it.".to_owned()
    } else {
        format!("At least {} needed.", halfrow_compare::counted_are(compared.bound))
    };
    format!("{} {sure}\n", halfrow_compare::headline(&compared.moves))
}

fn holes(holes: &[Hole]) -> Value {
    holes.iter().map(Hole::to_string).collect()
}

/// One move as JSON: the fields of its kind, see the schema.
pub(super) fn value_of(it: &Move) -> Value {
    let mut fields = Map::new();
    let mut put = |key: &str, value: Value| {
        if !value.is_null() && value != json!([]) {
            fields.insert(key.to_owned(), value);
        }
    };
    put("kind", json!(it.kind.word()));
    put("part", json!(it.part));
    put("pin", json!(it.pin));
    put("other", json!(it.other.as_ref().map(|it| &it.0)));
    put("other_pin", json!(it.other.as_ref().map(|it| it.1)));
    put("from", json!(it.from.map(|hole| hole.to_string())));
    put("to", holes(&it.to));
    if it.ends.iter().any(|list| !list.is_empty()) {
        put("ends", json!([holes(&it.ends[0]), holes(&it.ends[1])]));
    }
    put("is", json!(it.is));
    put("plan", json!(it.plan));
    put("says", json!(it.says));
    put("because", json!(it.because));
    debug_assert!(Kind::ALL.iter().any(|kind| kind.0 == it.kind));
    Value::Object(fields)
}

/// The answer for programs.
fn value(compared: &Compared) -> Value {
    let names: Map<String, Value> =
        compared.names.iter().map(|(plan, build)| (plan.clone(), json!(build))).collect();
    let mended: Value = serde_json::from_str(&halfrow_file::write(&compared.mended)).unwrap_or(Value::Null);
    let (equivalent, reasons) = match &compared.verdict {
        Verdict::Equal => (true, vec![]),
        Verdict::Equivalent(reasons) => (true, reasons.clone()),
        Verdict::Different => (false, vec![]),
    };
    json!({
        "equal": compared.verdict == Verdict::Equal,
        "equivalent": equivalent,
        "reasons": reasons,
        "found": compared.found,
        "cost": compared.cost(),
        "bound": compared.bound,
        "tied": compared.tied,
        "harmful": compared.harmful,
        "moves": compared.moves.iter().map(value_of).collect::<Vec<_>>(),
        "notes": compared.notes,
        "names": names,
        "mended": mended,
    })
}

/// Prints the JSON schema of what compare --json prints
#[derive(Args)]
pub struct CompareSchema {}

impl Answer for CompareSchema {
    const NAME: &'static str = "compare-schema";

    fn answer(&self, _: bool) -> Result<Output, Failure> {
        Ok(Output::fine(lines(&schema())))
    }
}

/// What each field of a move is.
const FIELDS: [(&str, &str); 11] = [
    ("part", "the build’s name of the part; the plan’s of one that is missing"),
    ("pin", "the pin that moves"),
    ("other", "the other part of an exchange"),
    ("other_pin", "its pin"),
    ("from", "the hole of the leg now; of a whole part its first"),
    ("to", "where it goes: holes that all do, the nearest first; of a whole part one for each pin"),
    ("ends", "holes that do for each end of a wire"),
    ("is", "what it is"),
    ("plan", "what the plan has"),
    ("says", "what to do"),
    ("because", "why"),
];

fn schema() -> Value {
    let hole = json!({ "type": "string", "examples": ["e12", "L+7", "B:j3"] });
    let holes = json!({ "type": "array", "items": hole });
    let type_of = |field: &str| match field {
        "from" => hole.clone(),
        "to" => holes.clone(),
        "ends" => json!({ "type": "array", "items": holes, "minItems": 2, "maxItems": 2 }),
        _ => json!({ "type": "string" }),
    };
    let moves: Vec<Value> = Kind::ALL
        .iter()
        .map(|(_, word, fields)| {
            let mut properties = Map::new();
            properties.insert("kind".to_owned(), json!({ "const": word }));
            for (field, what) in FIELDS {
                if fields.contains(&field) || ["part", "says", "because"].contains(&field) {
                    let mut field_schema = type_of(field);
                    field_schema["description"] = json!(what);
                    properties.insert(field.to_owned(), field_schema);
                }
            }
            json!({ "properties": properties, "required": ["kind", "part", "says"], "description": "Cost 1." })
        })
        .collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "What halfrow compare --json prints",
        "type": "object",
        "properties": {
            "equal": { "type": "boolean", "description": "the same circuit" },
            "equivalent": { "type": "boolean", "description": "equal, or another circuit that does the same for the reasons" },
            "reasons": { "type": "array", "items": { "type": "string" } },
            "found": { "type": "boolean", "description": "whether the moves lead to the plan’s circuit; not where none were found in time" },
            "cost": { "type": "integer", "description": "number of moves; each costs 1" },
            "bound": { "type": "integer", "description": "fewer moves than this can’t do; where it is the cost, nothing shorter does it" },
            "tied": { "type": "boolean", "description": "whether other moves would do as well" },
            "harmful": { "type": "boolean", "description": "whether a part is overloaded on the way: power off first" },
            "moves": {
                "type": "array",
                "description": "in the order in which they are to be done; the kinds are listed in the order that is kept where nothing burns by it",
                "items": { "type": "object", "oneOf": moves },
            },
            "notes": { "type": "array", "items": { "type": "string" }, "description": "what is other than in the plan and doesn’t matter" },
            "names": { "type": "object", "description": "the plan’s names with the build’s" },
            "mended": { "type": "object", "description": "the build after the moves: a bench file" },
        },
    })
}
