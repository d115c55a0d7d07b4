//! How the clock of the bench is set, and what it tells the page.

use std::rc::Rc;

use halfrow_core::amount;
use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::solve::OperatingPoint;
use halfrow_core::time::{Run, Stall};

/// The speeds on offer, in simulated seconds a second.
pub const SPEEDS: [f64; 9] = [0.001, 0.01, 0.1, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0];

/// How the clock is set and how it does; part of the page's state.
#[derive(Clone, Debug, PartialEq)]
pub struct Clock {
    /// Whether it runs.
    pub running: bool,
    /// Simulated seconds a second that are wanted.
    pub speed: f64,
    /// Whether the reader has turned the sound on.
    pub sound: bool,
    /// Counts openings of benches: a new one begins at zero.
    pub epoch: u32,
    /// Single steps that were asked for.
    pub steps: u32,
    /// Parts that were replaced: by name, with a count that tells one time from the next.
    pub replaced: Option<(u32, String)>,
    /// Seconds since the power came on.
    pub time: f64,
    /// Whether anything on the bench has to do with time.
    pub timed: bool,
    /// What part of the wanted speed is reached, where it is less.
    pub short_of: Option<f64>,
    /// Parts that blink too fast to be drawn blinking, and how often a second.
    pub blinking: Vec<(PartIx, f64)>,
}

impl Default for Clock {
    fn default() -> Clock {
        Clock {
            running: true,
            speed: 1.0,
            sound: false,
            epoch: 0,
            steps: 0,
            replaced: None,
            time: 0.0,
            timed: false,
            short_of: None,
            blinking: Vec::new(),
        }
    }
}

impl Clock {
    /// Asks for a new part in the place of the one of this name.
    pub(super) fn replace(&mut self, id: String) {
        let count = self.replaced.as_ref().map_or(0, |it| it.0) + 1;
        self.replaced = Some((count, id));
    }
}

/// What the clock tells the page.
#[derive(Debug)]
pub struct Tick {
    /// The bench that it was told of.
    pub bench: Rc<Bench>,
    /// What the bench does now, as an eye sees it.
    pub point: Rc<OperatingPoint>,
    /// See [`Clock`].
    pub blinking: Vec<(PartIx, f64)>,
    /// See [`Clock`].
    pub time: f64,
    /// See [`Clock`].
    pub timed: bool,
    /// See [`Clock`].
    pub short_of: Option<f64>,
    /// New findings when it changes.
    pub harm: Harm,
}

/// What has gone wrong since the power came on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Harm {
    /// The names of the parts that are burnt out.
    pub burnt: Vec<String>,
    /// Why the clock has stopped.
    pub stalled: Option<Stall>,
}

impl Harm {
    /// What has gone wrong in a run so far.
    pub fn of(run: &Run) -> Harm {
        // A meter's fuse is the meter's affair.
        let own =
            run.burnt().iter().map(|&(_, part)| run.bench().part(part)).filter(|it| !it.card.instrument);
        let burnt = own.map(|it| it.id.clone()).collect();
        Harm { burnt, stalled: run.stalled() }
    }
}

/// What is said of a clock that does not run as fast as it shall.
pub fn slow(clock: &Clock) -> Option<String> {
    let share = clock.short_of.filter(|_| clock.running && clock.timed)?;
    let times = 1.0 / (share * clock.speed).max(1e-12);
    Some(if times > 1.05 {
        format!("Too fast to follow: {} times slower than real time.", amount::round(times))
    } else {
        format!("This computer can’t keep up: {} times as fast as real time.", amount::round(1.0 / times))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn how_slowly_the_clock_runs_is_said_while_it_runs() {
        let mut clock = Clock { timed: true, short_of: Some(0.5), ..Clock::default() };
        assert_eq!(slow(&clock).as_deref(), Some("Too fast to follow: 2 times slower than real time."));
        clock.speed = 10.0;
        assert_eq!(
            slow(&clock).as_deref(),
            Some("This computer can’t keep up: 5 times as fast as real time.")
        );
        clock.running = false;
        assert_eq!(slow(&clock), None);
    }
}
