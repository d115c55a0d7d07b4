//! `halfrow diagnose`: the likeliest mistake from what somebody reports, and the best next thing to look at
//! or to measure.

use std::ffi::OsString;

use clap::Args;
use halfrow_core::bench::Bench;
use halfrow_core::solve::solve;
use halfrow_diagnose::message::percent;
use halfrow_diagnose::next::{Next, SURE_SHARE};
use halfrow_diagnose::symptom::{self, Probe, spot_word};
use halfrow_diagnose::{Ask, Diagnosis, Dictionary, Group, Step, Symptom, Unclear, sentence};
use halfrow_judge::{Finding, Severity, check};
use serde_json::{Value, json};

use super::compare::value_of;
use super::{Answer, lines};
use crate::Output;
use crate::failure::Failure;
use crate::input;
use crate::layout::paragraph;

/// Finds the likeliest mistakes from what somebody reports of a build, and the best next thing to ask for
///
/// Nobody sees the board: the plan and the report are all there is.
#[derive(Args)]
pub struct Diagnose {
    /// The bench file of the plan; - reads it from standard input.
    #[arg(value_name = "PLAN", value_hint = clap::ValueHint::FilePath)]
    plan: OsString,
    /// What a part does: D2=dark (lit, dim, bright, dark, blinks, blinks-fast, blinks-slowly, moves, still, sounds, silent, hot, cool, smokes, swells)
    #[arg(long, value_name = "SEEN")]
    seen: Vec<String>,
    /// A reading: c16:g16=3.4V (red tip, black tip), R2.2=3.4V (to ground), R2=3.4V (across it), R2=12mA, R2=150Ω; ±0.1V and @cheap may follow
    #[arg(long, value_name = "READING")]
    read: Vec<String>,
    /// What a look found: R2.2=b13, W2.1=loose, R2=right, D2=backwards, W2=missing, U1=moved, R2=other-value
    #[arg(long, value_name = "FOUND")]
    look: Vec<String>,
    /// What has been tried in vain: BT1=exchanged, D2=turned, W2=pushed
    #[arg(long, value_name = "TRIED")]
    tried: Vec<String>,
    /// How a part of the plan is set while this is seen: SB1.pressed=true, RV1.position=0.2
    #[arg(long, value_name = "SETTING")]
    with: Vec<String>,
    /// A mail to read as well; - reads it from standard input
    #[arg(long, value_name = "FILE", value_hint = clap::ValueHint::FilePath)]
    mail: Option<OsString>,
}

impl Answer for Diagnose {
    const NAME: &'static str = "diagnose";

    fn answer(&self, json: bool) -> Result<Output, Failure> {
        if self.plan == "-" && self.mail.as_ref().is_some_and(|mail| mail == "-") {
            return Err(Failure::Refused(
                "the plan and the mail can’t both come from standard input (-). Name a file for one of them."
                    .to_owned(),
            ));
        }
        let mut plan = input::bench(&self.plan)?;
        for words in &self.with {
            set(&mut plan, words)?;
        }
        let wrong: Vec<Finding> =
            check(&plan, &solve(&plan)).into_iter().filter(|it| it.severity == Severity::Fault).collect();
        let mut dictionary = Dictionary::of(&plan);
        let report = self.report(dictionary.plan())?;
        dictionary = dictionary.finish();
        let answer = halfrow_diagnose::diagnose(&mut dictionary, &report.symptoms);
        let told = Told {
            plan_findings: &wrong,
            unclear: &report.unclear,
            dictionary: &dictionary,
            answer: &answer,
        };
        let text = if json { lines(&told.value()) } else { told.text() };
        let is_right = |group: &Group| group.repairs.is_empty() && group.share >= SURE_SHARE;
        let fine = wrong.is_empty() && answer.groups.first().is_some_and(is_right);
        Ok(Output { text, findings: !fine })
    }
}

impl Diagnose {
    /// Everything that was reported.
    fn report(&self, plan: &Bench) -> Result<sentence::Heard, Failure> {
        type Reader = fn(&Bench, &str) -> Result<Symptom, Unclear>;
        let kinds: [(&str, &[String], Reader); 4] = [
            ("--seen", &self.seen, symptom::seen),
            ("--read", &self.read, symptom::read),
            ("--look", &self.look, symptom::look),
            ("--tried", &self.tried, symptom::tried),
        ];
        let mut report = match &self.mail {
            Some(mail) => sentence::read(plan, &input::text(mail)?),
            None => sentence::Heard::default(),
        };
        for (option, words, read) in kinds {
            for word in words {
                let symptom =
                    read(plan, word).map_err(|unclear| Failure::Refused(format!("{option} {unclear}")))?;
                report.symptoms.push(symptom);
            }
        }
        Ok(report)
    }
}

/// Sets a part of the plan: `SB1.pressed=true`.
fn set(plan: &mut Bench, words: &str) -> Result<(), Failure> {
    use halfrow_core::card::{Range, Value};
    let refused = || {
        let shown: String =
            words.chars().take(40).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect();
        Failure::Refused(format!(
            "--with {shown}: no part of the plan can be set so. Write it as SB1.pressed=true: part, setting, value."
        ))
    };
    let (place, word) = words.split_once('=').ok_or_else(refused)?;
    let (id, key) = place.split_once('.').ok_or_else(refused)?;
    let part = plan.find(id).ok_or_else(refused)?;
    let part = &mut plan.parts[part.0];
    let param = part.card.param(key).ok_or_else(refused)?;
    let value = match part.card.params[param].range {
        Range::Flag { .. } => word.parse().ok().map(Value::Flag),
        Range::Whole { .. } => word.parse().ok().map(Value::Whole),
        Range::Choice { options, .. } => {
            options.iter().position(|it| it.word == word).map(|at| Value::Choice(at as u8))
        }
        Range::Number { unit, .. } => {
            halfrow_core::number::read(word, unit).or_else(|| word.parse().ok()).map(Value::Number)
        }
    };
    if part.set(key, value.ok_or_else(refused)?) { Ok(()) } else { Err(refused()) }
}

/// What is told.
struct Told<'a> {
    plan_findings: &'a [Finding],
    unclear: &'a [String],
    dictionary: &'a Dictionary,
    answer: &'a Diagnosis,
}

impl Told<'_> {
    /// The answer for people.
    fn text(&self) -> String {
        let answer = self.answer;
        let mut text = String::new();
        if let Some(first) = &answer.first {
            text += &paragraph("", first);
            text.push('\n');
        }
        for finding in self.plan_findings {
            text += &paragraph("The plan itself is wrong: ", &format!("{} {}", finding.says, finding.remedy));
        }
        for note in &answer.notes {
            text += &paragraph("Please check: ", note);
        }
        for piece in self.unclear {
            text += &paragraph("Not understood: ", piece);
        }
        text += "What may be wrong\n";
        for group in &answer.groups {
            text += &paragraph(&format!("  {:>5}  ", percent(group.share)), &capital(&group.says));
            for (at, way) in group.repairs.iter().enumerate() {
                let says: Vec<&str> = way.iter().map(Step::says).collect();
                text += &paragraph(if at == 0 { "           " } else { "           or " }, &says.join(" "));
            }
        }
        text +=
            &paragraph(&format!("  {:>5}  ", percent(answer.unknown_share)), "Something that I don’t know");
        if let Some(next) = &answer.next {
            text += &format!(
                "\nAsk for this next ({:.1} bits for the price of {:.0})\n",
                next.gain_bits, next.cost
            );
            text += &paragraph("  ", &answer.next_says);
            for means in &answer.next_means {
                text += &paragraph("    ", means);
            }
        }
        text += "\nA message to send\n";
        for line in answer.message.lines() {
            text += &paragraph("  ", line);
        }
        text
    }

    /// The answer for programs.
    fn value(&self) -> Value {
        let answer = self.answer;
        let plan_findings: Vec<Value> = self
            .plan_findings
            .iter()
            .map(|it| json!({ "code": it.code.word(), "says": it.says, "remedy": it.remedy }))
            .collect();
        json!({
            "first": answer.first,
            "plan_findings": plan_findings,
            "notes": answer.notes,
            "unclear": self.unclear,
            "groups": answer.groups.iter().map(group).collect::<Vec<Value>>(),
            "unknown": answer.unknown_share,
            "next": answer.next.as_ref().map(|next| self.next(next)),
            "message": answer.message,
        })
    }

    fn next(&self, next: &Next) -> Value {
        let plan = self.dictionary.plan();
        let mut value = json!({
            "kind": next.ask.kind(),
            "gain_bits": next.gain_bits,
            "cost": next.cost,
            "says": self.answer.next_says,
            "means": self.answer.next_means,
        });
        match next.ask {
            Ask::Measure(Probe::Volts { red, black }) => {
                value["red"] = json!(spot_word(plan, red));
                value["black"] = json!(spot_word(plan, black));
            }
            Ask::Measure(Probe::Across(part)) => {
                if let Some((red, black)) = halfrow_diagnose::likelihood::across(plan, part) {
                    value["red"] = json!(spot_word(plan, red));
                    value["black"] = json!(spot_word(plan, black));
                }
                value["part"] = json!(plan.part(part).id);
            }
            Ask::Look(part) | Ask::See(part) | Ask::Exchange(part) => {
                value["part"] = json!(plan.part(part).id)
            }
            Ask::Measure(Probe::Amps(part) | Probe::Ohms(part)) => value["part"] = json!(plan.part(part).id),
        }
        value
    }
}

/// A group: alternatives, a double’s second move under `and`.
fn group(group: &Group) -> Value {
    let ways: Vec<Value> = group
        .repairs
        .iter()
        .filter_map(|way| {
            let (first, rest) = way.split_first()?;
            let mut value = step(first);
            if !rest.is_empty() {
                value["and"] = rest.iter().map(step).collect();
            }
            Some(value)
        })
        .collect();
    json!({ "probability": group.share, "says": group.says, "repairs": ways })
}

fn step(it: &Step) -> Value {
    match it {
        Step::Move(it) => value_of(it),
        Step::Exchange { part, says } => json!({ "kind": "exchange", "part": part, "says": says }),
    }
}

fn capital(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}
