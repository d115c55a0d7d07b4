//! What is written into fields: taken over, or kept beside the reason why not.

use halfrow_core::bench::{LegId, MAX_PARTS, PartIx};
use halfrow_core::card::{Param, Range, Unit, Value};
use halfrow_core::number;

use halfrow_file::title::visible;

use super::State;
use crate::model::wiring::Drafts;
use crate::model::words;

/// The longest text of a wiring list that the field takes, in bytes: 300 lines with as much to remark
/// beside each. Much longer, and the browser takes seconds to lay the lines out.
pub const LONGEST_DRAFT: usize = 100_000;

/// A field of a part that is written into.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Field {
    /// A value, by its place on the card.
    Value(usize),
    /// The hole of a leg.
    Hole(usize),
    /// A cell of the wiring list, by its column.
    Cell(usize),
    /// The level of the chart's trigger, which is no part's.
    Level,
}

/// Stands in the place of a part where a field is no part's.
pub const NO_PART: PartIx = PartIx(usize::MAX);

/// What was written into a field and refused: the bench keeps what was there.
#[derive(Clone, Debug, PartialEq)]
pub struct Refused {
    /// The part's name, empty in the wiring list's row for a new part and where a field is no part's.
    pub id: String,
    /// The field.
    pub field: Field,
    /// What was written.
    pub text: String,
    /// Why it can't be.
    pub why: String,
}

/// What has been written and is not, or not yet, on the bench.
#[derive(Clone, Debug, Default)]
pub struct Writing {
    /// What has been written as the text of the wiring list and not been built.
    pub drafts: Drafts,
    /// What was written into fields and refused.
    pub refused: Vec<Refused>,
}

impl Writing {
    /// What was refused in a field, if anything.
    pub fn refused_at(&self, id: &str, field: Field) -> Option<&Refused> {
        self.refused.iter().find(|it| it.id == id && it.field == field)
    }

    /// Forgets what was refused in a field.
    pub(crate) fn allow(&mut self, id: &str, field: Field) {
        self.refused.retain(|it| it.id != id || it.field != field);
    }

    /// What is written as the text of the wiring list; `None` forgets it.
    /// One that is too long is left out, and that is said: drawing it would hold up the page.
    pub(super) fn set_draft(&mut self, text: Option<String>) {
        match text {
            Some(text) if text.len() > LONGEST_DRAFT => {
                self.drafts.error = Some(format!(
                    "That text is too long: a wiring list has at most {MAX_PARTS} parts, one a line, and this \
                     field takes {LONGEST_DRAFT} characters."
                ));
            }
            text => self.drafts = Drafts { text, error: None },
        }
    }
}

/// What is said of a text that means no number.
fn no_number(text: &str) -> String {
    format!("“{text}” isn’t a number. Write 220, 4.7k or 4k7.")
}

/// The value that a text means.
fn value_of(param: &Param, text: &str) -> Result<Value, String> {
    let value = match param.range {
        Range::Number { unit, .. } => number::read(text, unit).map(Value::Number),
        // What is no whole number of its size stays a number, which the range doesn't allow.
        _ => number::read_bare(text).map(|x| {
            let whole = x as u8;
            if f64::from(whole) == x { Value::Whole(whole) } else { Value::Number(x) }
        }),
    };
    let value = value.ok_or_else(|| no_number(text))?;
    param.range.allows(value).then_some(value).ok_or_else(|| words::not_allowed(param))
}

impl State {
    /// Keeps what was written into a field beside the reason why it can’t be.
    pub(crate) fn refuse(&mut self, id: String, field: Field, text: &str, why: String) {
        self.say(&why);
        self.writing.refused.push(Refused { id, field, text: visible(text), why: visible(&why) });
    }

    /// Takes over what was written into a field of the property strip or of the chart.
    pub(super) fn write(&mut self, part: PartIx, field: Field, text: &str) {
        if field == Field::Level {
            self.writing.allow("", field);
            let level = number::read(text, Unit::Volt).or(number::read(text, Unit::Amp));
            match level.filter(|level| level.is_finite()) {
                Some(level) => self.chart.level = level,
                None => self.refuse(String::new(), field, text, no_number(text)),
            }
            return;
        }
        let it = self.bench().part(part);
        let id = it.id.clone();
        let mut bench = self.bench().clone();
        let done = match field {
            Field::Value(index) => value_of(&it.card.params[index], text).map(|value| {
                bench.parts[part.0].values[index] = value;
                words::value_set(bench.part(part), index)
            }),
            Field::Hole(pin) => {
                let leg = LegId { part, pin };
                words::read_hole(text).and_then(|hole| match bench.put_leg(leg, hole) {
                    Ok(()) => Ok(words::leg_put(&bench, leg, hole)),
                    Err(error) => Err(words::refusal(&error)),
                })
            }
            Field::Cell(column) => return self.set_cell(part.0, column, text),
            Field::Level => return,
        };
        self.writing.allow(&id, field);
        match done {
            Ok(_) if bench == *self.bench() => {}
            Ok(says) => self.change(bench, says, None),
            Err(why) => self.refuse(id, field, text, why),
        }
    }
}
