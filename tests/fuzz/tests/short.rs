//! A short run of each target, by mutation of the examples. `HALFROW_FUZZ_SECONDS` sets the time, 2
//! seconds unless told.

use std::time::{Duration, Instant};

use halfrow_file::examples::ALL;

/// Splitmix64 (Steele, Lea and Flood, OOPSLA 2014): the same run each time until the clock ends it.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % below.max(1) as u64) as usize
    }
}

const WORDS: [&str; 12] =
    ["1e400", "null", "\"", "{", "]", "-0", "e5", "L+99", "NaN", "\u{202e}", "999999999999", "/barely"];

fn spoilt(seed: &[u8], other: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut data = seed.to_vec();
    for _ in 0..=dice.roll(4) {
        let at = dice.roll(data.len());
        match dice.roll(5) {
            0 if !data.is_empty() => data[at] = dice.roll(256) as u8,
            1 => data.splice(at..at, WORDS[dice.roll(WORDS.len())].bytes()).for_each(drop),
            2 => data.truncate(at),
            3 => {
                let end = (at + dice.roll(40)).min(data.len());
                data.drain(at..end);
            }
            _ => {
                let from = dice.roll(other.len());
                let piece = other[from..(from + dice.roll(60)).min(other.len())].to_vec();
                data.splice(at..at, piece).for_each(drop);
            }
        }
    }
    data
}

/// Inputs that each target gets at least.
const LEAST: usize = 200;

fn feed(target: fn(&[u8]), seeds: &[Vec<u8>]) {
    let seconds = std::env::var("HALFROW_FUZZ_SECONDS").ok().and_then(|text| text.parse().ok()).unwrap_or(2);
    let end = Instant::now() + Duration::from_secs(seconds);
    let mut dice = Dice(1);
    let mut count = 0;
    // However slow the machine is, some are tried.
    while Instant::now() < end || count < LEAST {
        let (one, other) = (dice.roll(seeds.len()), dice.roll(seeds.len()));
        target(&spoilt(&seeds[one], &seeds[other], &mut dice));
        count += 1;
    }
}

#[test]
fn spoilt_files() {
    feed(halfrow_fuzz::file, &ALL.iter().map(|it| it.text().as_bytes().to_vec()).collect::<Vec<_>>());
}

#[test]
fn spoilt_links() {
    let links =
        ALL.iter().map(|it| halfrow_file::link::encode(&halfrow_file::read(it.text()).unwrap()).into_bytes());
    feed(halfrow_fuzz::link, &links.collect::<Vec<_>>());
}

#[test]
fn spoilt_wiring_lists() {
    let lists = ALL
        .iter()
        .map(|it| halfrow_file::wiring::to_text(&halfrow_file::read(it.text()).unwrap()).into_bytes());
    feed(halfrow_fuzz::wiring, &lists.collect::<Vec<_>>());
}

#[test]
fn spoilt_actions() {
    const ACTIONS: &str = r#"{ "halfrow-actions": 1, "actions": [
        { "at": 0.5, "part": "SB1", "set": { "pressed": true } },
        { "at": 1.0, "part": "R1", "pin": "2", "hole": "e7" },
        { "at": 1.5, "tap": true }, { "at": 2, "replace": "D1" } ] }"#;
    feed(halfrow_fuzz::actions, &[ACTIONS.as_bytes().to_vec()]);
}
