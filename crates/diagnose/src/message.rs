//! The answer as a message to the one who asked.

use crate::answer::Diagnosis;
use crate::dictionary::Dictionary;
use crate::next::SURE_SHARE;
use crate::symptom::Symptom;
use crate::words;

/// The most symptoms that are repeated: a message with two hundred readings in it is read by nobody.
const MOST_REPEATED: usize = 6;

/// From here on we say that nothing known fits, as a share.
const NOTHING_FITS_SHARE: f64 = 0.5;

/// Writes the message.
pub fn write(dictionary: &Dictionary, report: &[Symptom], answer: &Diagnosis) -> String {
    let mut lines: Vec<String> = Vec::new();
    lines.extend(answer.first.clone());
    if report.is_empty() {
        lines.push("You haven’t said yet what you see. Which lamps are lit, dim or dark?".to_owned());
    } else {
        let told: Vec<String> =
            report.iter().take(MOST_REPEATED).map(|it| words::symptom(dictionary, it)).collect();
        let more = report.len().saturating_sub(MOST_REPEATED);
        let more = if more > 0 { format!("; and {more} more") } else { String::new() };
        lines.push(format!("You write: {}{more}.", told.join("; ")));
    }
    lines.extend(answer.notes.iter().cloned());
    match answer.groups.first() {
        Some(best) if answer.unknown_share < NOTHING_FITS_SHARE => {
            let percent = percent(best.share);
            let sure = if best.share >= SURE_SHARE { "Almost certainly" } else { "Most likely" };
            lines.push(format!("{sure} ({percent}): {}.", best.says));
            if answer.next.is_none() || best.share > 0.8 {
                if let Some(steps) = best.repairs.first() {
                    lines.push("Take a lead of the supply out before you move anything.".to_owned());
                    lines.extend(steps.iter().map(|step| step.says().to_owned()));
                }
            } else if let Some(second) = answer.groups.get(1) {
                lines.push(format!("Or ({}): {}.", self::percent(second.share), second.says));
            }
        }
        _ => lines.push(
            "Nothing that I know fits what you write. Please read once more, or send a photo.".to_owned(),
        ),
    }
    if answer.next.is_some() {
        lines.push(format!("To be sure, please do this. {}", answer.next_says));
        lines.extend(answer.next_means.iter().cloned());
        lines.push("Write back what you find.".to_owned());
    }
    lines.join("\n")
}

/// `91 %`; never 0 or 100, which nobody is.
pub fn percent(share: f64) -> String {
    format!("{:.0} %", (100.0 * share).round().clamp(1.0, 99.0))
}
