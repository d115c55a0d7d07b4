//! Benches on which only the meter tells: what would give figures away otherwise is told without them.
//!
//! [`Bench::may_tell_figures`](halfrow_core::bench::Bench::may_tell_figures) decides. Values that are
//! printed on a part or set by hand (220 Ω, a pack of four cells) are no readings and stay.

use halfrow_judge::Finding;

/// What stands where figures would.
pub const ONLY_THE_METER: &str =
    "On this bench only the meter tells. Take it (M), put its tips on two places, and read.";

/// What the prefixes before a unit are.
const PREFIXES: &str = "pnµumkM";

/// A sentence with a question mark in place of each number of volts, amperes or watts.
pub fn without_figures(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    while at < chars.len() {
        let begins = chars[at].is_ascii_digit() && (at == 0 || !chars[at - 1].is_alphanumeric());
        match begins.then(|| figure(&chars, at)).flatten() {
            Some(end) => {
                // A minus sign would tell the polarity.
                if out.ends_with('−') {
                    out.pop();
                }
                out.push('?');
                at = end;
            }
            None => {
                out.push(chars[at]);
                at += 1;
            }
        }
    }
    out
}

/// Where the number of a figure ends that begins here; `None` for a number of something else.
fn figure(chars: &[char], from: usize) -> Option<usize> {
    let is_number = |c: &char| c.is_ascii_digit() || matches!(c, '.' | ',');
    let length = chars[from..].iter().take_while(|c| is_number(c)).count();
    let end = from + length;
    let mut rest = chars[end..].iter().skip_while(|c| matches!(c, ' ' | '\u{a0}' | '\u{202f}')).peekable();
    rest.next_if(|c| PREFIXES.contains(**c));
    let unit = rest.next()?;
    let ends = rest.next().is_none_or(|c| !c.is_alphanumeric());
    (matches!(unit, 'V' | 'A' | 'W') && ends).then_some(end)
}

/// Findings without their figures.
pub fn silenced(findings: Vec<Finding>) -> Vec<Finding> {
    let quiet = |it: Finding| Finding {
        symptom: without_figures(&it.symptom),
        says: without_figures(&it.says),
        why: without_figures(&it.why),
        remedy: without_figures(&it.remedy),
        ..it
    };
    findings.into_iter().map(quiet).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_numbers_of_volts_amperes_and_watts_go() {
        for (text, wanted) in [
            ("D1 carries 45.2 mA, more than 20 mA.", "D1 carries ? mA, more than ? mA."),
            ("R1 (220 Ω) takes 0.6 W at 5 V", "R1 (220 Ω) takes ? W at ? V"),
            ("U1 74HC14 in e12, 3 findings", "U1 74HC14 in e12, 3 findings"),
            ("−4.2\u{a0}V, 10 Volts, 2 Ah, 3 AA cells", "?\u{a0}V, 10 Volts, 2 Ah, 3 AA cells"),
            ("µA and 3µA, 1,5 V.", "µA and ?µA, ? V."),
        ] {
            assert_eq!(without_figures(text), wanted);
        }
    }
}
