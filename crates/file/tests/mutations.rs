//! Thousands of damaged texts: none makes the reader panic, and whatever it still takes is a bench
//! that may be and comes back the same.

use halfrow_core::bench::Bench;
use halfrow_core::sample::sixty_parts;
use halfrow_file::{FileError, link, read, wiring, write};

/// xorshift64 (Marsaglia 2003, from memory): the same run on every machine.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n as u64) as usize
    }
}

/// Words that stand somewhere in a text of ours, or would hurt there.
const WORDS: [&str; 24] = [
    "null",
    "true",
    "-1",
    "0",
    "1e400",
    "NaN",
    "\"e12\"",
    "\"B:j30\"",
    "{}",
    "[[[[",
    "\u{202e}",
    "💡",
    "\"",
    "\\u0000",
    "L+1",
    "=",
    "/barely",
    "#",
    "\n",
    "turn=90",
    "99999999999",
    "2.5",
    "\"id\":\"R1\",",
    ".",
];

/// A few small injuries, most often one.
fn damage(text: &str, dice: &mut Dice) -> String {
    let mut chars: Vec<char> = text.chars().collect();
    for _ in 0..1 + dice.below(4) / 2 {
        let at = dice.below(chars.len() + 1);
        let end = (at + 1 + dice.below(12)).min(chars.len());
        match dice.below(6) {
            0 => drop(chars.drain(at..end)),
            1 => chars.splice(at..at, WORDS[dice.below(WORDS.len())].chars()).for_each(drop),
            2 => chars.splice(at..end, WORDS[dice.below(WORDS.len())].chars()).for_each(drop),
            3 => {
                let copied = chars[at..end].to_vec();
                let to = dice.below(chars.len() + 1);
                chars.splice(to..to, copied).for_each(drop);
            }
            4 if at < chars.len() => chars[at] = char::from(b' ' + dice.below(95) as u8),
            5 => {
                // A digit for a digit: the injury most likely to leave a text that can be read.
                if let Some(digit) = chars[at..].iter_mut().find(|c| c.is_ascii_digit()) {
                    *digit = char::from(b'0' + dice.below(10) as u8);
                }
            }
            _ => chars.truncate(at),
        }
    }
    chars.into_iter().collect()
}

/// Damages a text over and over; gives how many of the damaged texts that differ were taken, and
/// how many not.
fn run(text: &str, rounds: usize, parse: impl Fn(&str) -> Result<Bench, FileError>) -> (usize, usize) {
    let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
    let (mut taken, mut refused) = (0, 0);
    for _ in 0..rounds {
        let damaged = damage(text, &mut dice);
        match parse(&damaged) {
            Ok(bench) => {
                assert_eq!(bench.check(), Ok(()), "{damaged}");
                assert_eq!(read(&write(&bench)).as_ref(), Ok(&bench), "{damaged}");
                assert_eq!(link::decode(&link::encode(&bench)).as_ref(), Ok(&bench), "{damaged}");
                let list = wiring::to_text(&bench);
                assert_eq!(wiring::from_text(&list, &bench).as_ref(), Ok(&bench), "{damaged}");
                taken += usize::from(damaged != text);
            }
            Err(error) => {
                let message = error.to_string();
                assert!(message.len() < 1000 && !message.contains(['\n', '\u{202e}']), "{message}");
                refused += 1;
            }
        }
    }
    (taken, refused)
}

/// A bench of eighteen parts, so that the rounds are many rather than long.
fn some_parts() -> Bench {
    let mut bench = sixty_parts();
    bench.parts.drain(..27);
    bench.parts.truncate(18);
    bench
}

#[test]
fn damaged_files_are_refused_or_make_sense() {
    let (taken, refused) = run(&write(&some_parts()), 8000, read);
    assert!(taken > 200 && refused > 2000, "the damage is neither too mild nor too bad: {taken} {refused}");
}

#[test]
fn damaged_links_are_refused_or_make_sense() {
    let (_, refused) = run(&link::encode(&some_parts()), 6000, link::decode);
    assert!(refused > 3000, "{refused}");
}

#[test]
fn damaged_wiring_lists_are_refused_or_make_sense() {
    let bench = some_parts();
    let base = Bench { parts: Vec::new(), ..bench.clone() };
    let (taken, refused) = run(&wiring::to_text(&bench), 8000, |text| wiring::from_text(text, &base));
    assert!(taken > 200 && refused > 2000, "{taken} {refused}");
}
