//! Who looks on while a bench runs: shows how far it is, stops it at Ctrl+C, gives up where it gets on
//! too slowly.

use std::collections::VecDeque;
use std::io::{IsTerminal, Write, stderr};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use halfrow_core::amount;

/// How long a run may be slow before it is given up. Shorter, and a stubborn second of a bench that is
/// fast otherwise would end it; longer, and somebody waits for nothing.
const PATIENCE: Duration = Duration::from_secs(20);

/// How often the line with the progress is written.
const EVERY: Duration = Duration::from_millis(250);

/// What is to become of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Verdict {
    /// It goes on.
    GoOn,
    /// Somebody has pressed Ctrl+C: it ends with what it has.
    Stop,
    /// A second's work brings only so many seconds of the bench's time.
    TooSlow {
        /// Seconds of the bench's time a second.
        rate: f64,
    },
}

/// Looks on.
pub struct Watch {
    began: Instant,
    seconds: f64,
    least_rate: f64,
    interrupted: Arc<AtomicBool>,
    shows: bool,
    shown: Instant,
    /// How far the run was, and when, over the last of [`PATIENCE`].
    past: VecDeque<(Instant, f64)>,
}

impl Watch {
    /// Looks on from now, for a run of so many seconds that is to get on by `least_rate` seconds a
    /// second. Ctrl+C ends the run from here on, and pressed once more the program.
    pub fn new(seconds: f64, least_rate: f64) -> Watch {
        let interrupted = Arc::new(AtomicBool::new(false));
        let told = interrupted.clone();
        // Where the system has no such signal, Ctrl+C ends the program as ever.
        let _ = ctrlc::set_handler(move || {
            if told.swap(true, Ordering::Relaxed) {
                std::process::exit(130);
            }
        });
        let now = Instant::now();
        Watch {
            began: now,
            seconds,
            least_rate,
            interrupted,
            shows: stderr().is_terminal(),
            shown: now,
            past: VecDeque::new(),
        }
    }

    /// Looks at a run that has come so far, seconds.
    pub fn look(&mut self, reached: f64) -> Verdict {
        let now = Instant::now();
        if self.shows && now.duration_since(self.shown) > EVERY {
            self.shown = now;
            let line = progress(reached, self.seconds, now.duration_since(self.began));
            // With standard error closed there is nobody to show it to.
            let _ = write!(stderr(), "\r\u{1b}[K{line}");
        }
        if self.interrupted.load(Ordering::Relaxed) { Verdict::Stop } else { self.judge(now, reached) }
    }

    fn judge(&mut self, now: Instant, reached: f64) -> Verdict {
        self.past.push_back((now, reached));
        let mut rate = f64::INFINITY;
        // The last that lies so far back is kept, so that there always is one.
        while let [first, second, ..] = *self.past.make_contiguous() {
            let _ = second;
            let age = now.duration_since(first.0);
            if age < PATIENCE {
                break;
            }
            rate = (reached - first.1) / age.as_secs_f64();
            self.past.pop_front();
        }
        if rate < self.least_rate { Verdict::TooSlow { rate } } else { Verdict::GoOn }
    }

    /// Takes the line with the progress away.
    pub fn close(&mut self) {
        if self.shows {
            let _ = write!(stderr(), "\r\u{1b}[K");
            self.shows = false;
        }
    }
}

/// How far a run is, and how long it will still take if it gets on as it did.
fn progress(reached: f64, seconds: f64, took: Duration) -> String {
    let share = (reached / seconds).clamp(0.0, 1.0);
    let so_far = format!("{} of {}", amount::time(reached), amount::time(seconds));
    if share < 1e-3 {
        return so_far;
    }
    format!("{so_far}, about {} to go", amount::time(took.as_secs_f64() * (1.0 - share) / share))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn watch(least_rate: f64) -> Watch {
        Watch {
            began: Instant::now(),
            seconds: 10.0,
            least_rate,
            interrupted: Arc::default(),
            shows: false,
            shown: Instant::now(),
            past: VecDeque::new(),
        }
    }

    /// What is said of a run that is looked at every second and comes so far each time.
    fn verdicts(least_rate: f64, steps: &[f64]) -> Vec<Verdict> {
        let mut watch = watch(least_rate);
        let (start, mut reached) = (Instant::now(), 0.0);
        let looks = steps.iter().enumerate().map(|(second, step)| {
            reached += step;
            watch.judge(start + Duration::from_secs(second as u64), reached)
        });
        looks.collect()
    }

    #[test]
    fn a_run_is_given_up_only_after_it_was_slow_for_long() {
        let slow = verdicts(0.1, &[0.01; 25]);
        assert!(slow[..20].iter().all(|it| *it == Verdict::GoOn), "{slow:?}");
        assert!(matches!(slow[20], Verdict::TooSlow { rate } if (rate - 0.01).abs() < 1e-9), "{slow:?}");
        assert!(verdicts(0.1, &[0.2; 60]).iter().all(|it| *it == Verdict::GoOn));
        // A stubborn ten seconds between quick ones.
        let mut uneven = vec![1.0; 20];
        uneven.extend([0.0; 10]);
        uneven.extend([1.0; 20]);
        assert!(verdicts(0.1, &uneven).iter().all(|it| *it == Verdict::GoOn));
    }

    #[test]
    fn ctrl_c_comes_first() {
        let mut watch = watch(1.0);
        watch.interrupted.store(true, Ordering::Relaxed);
        assert_eq!(watch.look(0.0), Verdict::Stop);
    }

    #[test]
    fn progress_says_how_far_and_how_long() {
        assert_eq!(progress(0.5, 2.0, Duration::from_secs(3)), "500 ms of 2.00 s, about 9.00 s to go");
        assert_eq!(progress(0.0, 2.0, Duration::from_secs(3)), "0 s of 2.00 s");
    }
}
