//! Lamps that blink faster than an eye follows.

/// The light of one junction of a lamp, which may come and go faster than an eye can follow.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lamp {
    pub(super) element: usize,
    pub(super) lit: bool,
    /// Ampere-seconds since the last rise.
    pub(super) charge: f64,
    pub(super) last_rise: f64,
    /// From rise to rise, seconds; infinite where it does not blink.
    pub(super) period: f64,
    /// Mean current of the last period, amperes.
    pub(super) mean: f64,
    /// Current above which it counts as lit and below which as dark, amperes.
    pub(super) levels: (f64, f64),
    /// Since when, seconds, and between which currents it has been of late, amperes.
    pub(super) since: f64,
    pub(super) range: (f64, f64),
}

impl Lamp {
    /// Current above which it counts as lit and below which as dark, amperes.
    pub(super) const LIT: (f64, f64) = (2e-4, 1e-4);

    /// Between no currents at all.
    pub(super) const NOWHERE: (f64, f64) = (f64::INFINITY, 0.0);

    /// Seconds after which a lamp's levels are set anew. With three times as many a lamp that a slow clock
    /// shows flickering may do so four times before it is known to; much less, and a slow change looks flat.
    const LOOK_BACK: f64 = 0.1;

    /// By how much a lamp must get darker to blink, as a share of its brightest: the standard's.
    const CHANGE: f64 = 0.1;

    /// A lamp that has been dark as long as anybody knows.
    pub(super) fn dark(element: usize, time: f64) -> Lamp {
        Lamp {
            element,
            lit: false,
            charge: 0.0,
            last_rise: f64::NEG_INFINITY,
            period: f64::INFINITY,
            mean: 0.0,
            levels: Lamp::LIT,
            since: time,
            range: Lamp::NOWHERE,
        }
    }

    /// Tells it of a step of that length, which ends at a time, and the current before and after.
    pub(super) fn tell(&mut self, length: f64, time: f64, before: f64, after: f64) {
        // What jumps does so between two steps.
        self.see(time - length, before);
        self.charge += 0.5 * length * (before + after);
        self.see(time, after);
        let (low, high) = self.range;
        self.range = (low.min(before).min(after), high.max(before).max(after));
        if time - self.since > Self::LOOK_BACK {
            let (low, high) = self.range;
            // A lamp that flickers without going dark blinks between levels of its own.
            if high > Self::LIT.0 && high - low > Self::CHANGE * high {
                self.levels = (
                    (low + 0.6 * (high - low)).max(Self::LIT.0),
                    (low + 0.4 * (high - low)).max(Self::LIT.1),
                );
            }
            (self.since, self.range) = (time, Self::NOWHERE);
        }
    }

    fn see(&mut self, time: f64, amps: f64) {
        if !self.lit && amps > self.levels.0 {
            self.lit = true;
            self.period = time - self.last_rise;
            self.mean = self.charge / self.period;
            self.last_rise = time;
            self.charge = 0.0;
        } else if self.lit && amps < self.levels.1 {
            self.lit = false;
        }
    }

    /// Whether it blinks more often than `most` times a second. One that is late has stopped: where three
    /// times are the limit, it may be a twentieth of a second late, and less where more is seen.
    pub(super) fn blinks(&self, time: f64, most: f64) -> bool {
        self.period < 1.0 / most && time - self.last_rise < 2.0 * self.period + 0.15 / most
    }
}
