//! Which lamps are lit, dark or blinking, as far as that has settled, and what is said of it.

use halfrow_core::amount;
use halfrow_core::bench::PartIx;
use halfrow_core::card::Group;

use crate::model::state::Solved;

/// What a lamp does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shine {
    /// It stays as this word says.
    Steady(&'static str),
    /// It blinks, so often a second.
    Blinks(f64),
}

/// What lamps do, by their names; those that have not settled are missing.
pub type Lamps = Vec<(String, Shine)>;

/// The most names in one sentence.
const MOST_NAMES: usize = 4;

/// What the lamps of a bench do that has nothing to do with time.
pub fn at_rest(solved: &Solved) -> Lamps {
    let parts = solved.bench.parts.iter().enumerate();
    let lamps = parts.filter(|(_, part)| part.card.group == Group::Light);
    let word = |index| solved.point.state(&solved.bench, PartIx(index)).word;
    lamps.map(|(index, part)| (part.id.clone(), Shine::Steady(word(index)))).collect()
}

/// Takes over what the lamps do now and says what of it is news: `D1 lit.`, `D1, D2 dark.`, `D1 blinks,
/// 1.0 Hz.` A lamp that is new and dark is none.
pub fn news(told: &mut Lamps, now: &[(String, Shine)]) -> String {
    let mut said: Vec<(String, Vec<&str>)> = Vec::new();
    for (id, shine) in now {
        let same = match told.iter_mut().find(|(own, _)| own == id) {
            Some((_, old)) => {
                let same = match (*old, *shine) {
                    (Shine::Blinks(old), Shine::Blinks(new)) => (old - new).abs() < 0.1 * new,
                    (old, new) => old == new,
                };
                if !same {
                    *old = *shine;
                }
                same
            }
            None => {
                told.push((id.clone(), *shine));
                *shine == Shine::Steady("dark")
            }
        };
        if !same {
            let words = match *shine {
                Shine::Steady(word) => word.to_owned(),
                Shine::Blinks(hertz) if hertz < 9.95 => format!("blinks, {hertz:.1} Hz"),
                Shine::Blinks(hertz) => format!("blinks, {}", amount::with_prefix(hertz, "Hz")),
            };
            match said.iter_mut().find(|(own, _)| *own == words) {
                Some((_, names)) => names.push(id),
                None => said.push((words, vec![id])),
            }
        }
    }
    let sentence = |(words, names): &(String, Vec<&str>)| {
        let first = names[..names.len().min(MOST_NAMES)].join(", ");
        let more = names.len().saturating_sub(MOST_NAMES);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        let words = if names.len() > 1 { words.replacen("blinks", "blink", 1) } else { words.clone() };
        format!("{first}{more} {words}.")
    };
    said.iter().map(sentence).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lamps(list: &[(&str, Shine)]) -> Lamps {
        list.iter().map(|&(id, shine)| (id.to_owned(), shine)).collect()
    }

    const LIT: Shine = Shine::Steady("lit");
    const DARK: Shine = Shine::Steady("dark");

    #[test]
    fn only_news_is_said_and_what_is_cut_is_counted() {
        let mut told = lamps(&[("D1", LIT), ("D2", DARK)]);
        assert_eq!(news(&mut told, &lamps(&[("D1", LIT), ("D2", LIT), ("D3", DARK)])), "D2 lit.");
        assert_eq!(news(&mut told, &lamps(&[("D1", LIT), ("D3", DARK)])), "");
        let many: Vec<String> = (1..=7).map(|n| format!("D{n}")).collect();
        let all = |shine| many.iter().map(|id| (id.clone(), shine)).collect::<Lamps>();
        assert_eq!(news(&mut Lamps::new(), &all(LIT)), "D1, D2, D3, D4 and 3 more lit.");
        assert_eq!(news(&mut told, &all(Shine::Blinks(52.4))), "D1, D2, D3, D4 and 3 more blink, 52.4 Hz.");
        // The same words as beside the lamp.
        assert_eq!(news(&mut told, &lamps(&[("D1", Shine::Blinks(98_800.0))])), "D1 blinks, 98.8 kHz.");
        assert_eq!(
            news(&mut told, &lamps(&[("D1", Shine::Blinks(1.02)), ("D2", DARK)])),
            "D1 blinks, 1.0 Hz. D2 dark."
        );
        assert_eq!(news(&mut told, &lamps(&[("D1", Shine::Blinks(1.04))])), "", "about as often as before");
    }
}
