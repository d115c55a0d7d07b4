//! Looks at lamps as time goes on: which have settled, and which blink.

use crate::model::lamps::{Lamps, Shine};

/// How long a lamp stays as it is before that is told, in milliseconds of real time: the pauses of one
/// that blinks once a second are shorter.
const SETTLED_MS: f64 = 900.0;

/// A lamp that is looked at again and again.
#[derive(Debug)]
struct Seen {
    id: String,
    word: &'static str,
    /// When it last changed, simulated seconds, latest first.
    edges: [f64; 4],
    /// When it last changed, real milliseconds.
    since: f64,
}

/// Looks at lamps as time goes on, and tells those that are lit or dark to stay from those that blink.
#[derive(Debug, Default)]
pub struct Watch(Vec<Seen>);

impl Watch {
    /// Looks at a lamp: at this simulated time in seconds and real one in milliseconds.
    pub fn look(&mut self, id: &str, word: &'static str, (time, real): (f64, f64)) {
        match self.0.iter_mut().find(|seen| seen.id == id) {
            Some(seen) if seen.word == word => {}
            Some(seen) => {
                seen.word = word;
                seen.edges.rotate_right(1);
                seen.edges[0] = time;
                seen.since = real;
            }
            None => {
                let edges = [f64::NEG_INFINITY; 4];
                self.0.push(Seen { id: id.to_owned(), word, edges, since: real });
            }
        }
    }

    /// Something was done to the bench: what changes with that is no blinking.
    pub fn disturb(&mut self) {
        self.0.iter_mut().for_each(|seen| seen.edges = [f64::NEG_INFINITY; 4]);
    }

    /// Forgets the lamps that `stays` does not know.
    pub fn keep(&mut self, stays: impl Fn(&str) -> bool) {
        self.0.retain(|seen| stays(&seen.id));
    }

    /// What has settled by this time. `fast` has the frequency of a lamp that blinks faster than it is
    /// looked at, `rhythm` how often any lamp came on lately.
    pub fn settled(
        &self,
        (time, real): (f64, f64),
        fast: impl Fn(&str) -> Option<f64>,
        rhythm: impl Fn(&str) -> Option<f64>,
    ) -> Lamps {
        let shine = |seen: &Seen| {
            if let Some(hertz) = fast(&seen.id) {
                return Some(Shine::Blinks(hertz));
            }
            // From one change to the next of the same kind is a period; two that are alike make it blink.
            let [a, b, c, d] = seen.edges;
            let (last, other) = (a - c, b - d);
            let regular = last.is_finite() && other.is_finite() && (last - other).abs() < 0.3 * last;
            if regular && time - a < 1.5 * last {
                // Looks come late; the run knows when it came on. At the beginning both may differ: a first
                // period is often longer.
                let hertz = rhythm(&seen.id).unwrap_or(1.0 / last);
                return ((hertz * last - 1.0).abs() < 0.15).then_some(Shine::Blinks(hertz));
            }
            (real - seen.since >= SETTLED_MS).then_some(Shine::Steady(seen.word))
        };
        self.0.iter().filter_map(|seen| Some((seen.id.clone(), shine(seen)?))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::lamps::news;

    const DARK: Shine = Shine::Steady("dark");

    #[test]
    fn a_lamp_that_blinks_is_told_from_one_that_has_settled() {
        let mut watch = Watch::default();
        let mut told = Lamps::new();
        let mut said = Vec::new();
        // Half a second lit, half a second dark, five times; then it stays dark.
        for frame in 0..160 {
            let time = f64::from(frame) * 0.06;
            let lit = time < 5.0 && time % 1.0 < 0.5;
            let now = (time, time * 1000.0);
            watch.look("D1", if lit { "lit" } else { "dark" }, now);
            watch.look("D2", "lit", now);
            let words = news(&mut told, &watch.settled(now, |_| None, |_| Some(1.0)));
            if !words.is_empty() {
                said.push(words);
            }
        }
        assert_eq!(said, ["D2 lit.", "D1 blinks, 1.0 Hz.", "D1 dark."]);
        // Switched by hand, however evenly, it does not blink.
        for frame in 0..10 {
            watch.disturb();
            watch.look("D1", if frame % 2 == 0 { "lit" } else { "dark" }, (9.6 + f64::from(frame), 0.0));
        }
        let now = (19.0, 19000.0);
        assert_eq!(watch.settled(now, |_| None, |_| None)[0], ("D1".to_owned(), DARK));
        assert_eq!(
            watch.settled(now, |id| (id == "D2").then_some(97.0), |_| None)[1],
            ("D2".to_owned(), Shine::Blinks(97.0))
        );
    }
}
