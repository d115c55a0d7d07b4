//! What the chart draws: samples of up to four probes, and what can be measured on them.

use std::collections::VecDeque;

use halfrow_core::board::Hole;
use halfrow_core::time::Run;

use crate::clock::reading;

/// How many probes a chart has.
pub const PROBES: usize = 4;

/// Samples kept. At ten divisions of 100 samples each it is twenty screens; more would only be memory.
const KEPT: usize = 20_000;

/// Looks at a step: its end, and places within it for steps that bend.
const WITHIN: [f64; 4] = [0.25, 0.5, 0.75, 1.0];

/// What a trace shows.
#[derive(Clone, Debug, PartialEq)]
pub enum Probe {
    /// The voltage of a hole's net.
    Hole(Hole),
    /// The current into a part's first pin.
    Part(String),
}

impl Probe {
    /// The unit of what it reads.
    pub fn unit(&self) -> &'static str {
        match self {
            Probe::Hole(_) => "V",
            Probe::Part(_) => "A",
        }
    }

    /// What it is called.
    pub fn name(&self) -> String {
        match self {
            Probe::Hole(hole) => hole.to_string(),
            Probe::Part(id) => id.clone(),
        }
    }
}

/// Samples over time.
#[derive(Debug, Default)]
pub struct Traces {
    /// What is looked at; a place without a probe is off.
    pub probes: [Option<Probe>; PROBES],
    /// When, seconds, rising, with one reading a probe.
    samples: VecDeque<(f64, [f32; PROBES])>,
    /// Stands still: a single shot has been taken, or the reader looks closely.
    pub held: bool,
}

impl Traces {
    /// Forgets all samples.
    pub fn clear(&mut self) {
        self.samples.clear();
        self.held = false;
    }

    /// Looks at other things; what was seen of the old ones is forgotten.
    pub fn watch(&mut self, probes: [Option<Probe>; PROBES]) {
        if probes != self.probes {
            self.probes = probes;
            self.clear();
        }
    }

    fn is_off(&self) -> bool {
        self.held || self.probes.iter().all(Option::is_none)
    }

    /// Takes the samples of the step that the run has just taken.
    pub fn take_step(&mut self, run: &Run) {
        if self.is_off() {
            return;
        }
        let (start, end) = run.last_step();
        // Where the chart already has much of a short time, a step's end is enough.
        let places = if end - start > 1e-3 { &WITHIN[..] } else { &WITHIN[3..] };
        for share in places {
            // A hair before the end, so that what an event changes there comes after it.
            let time = if *share == 1.0 { end } else { start + share * (end - start) };
            if *share == 1.0 && end > start {
                self.push(run, end - 1e-9 * (end - start).min(1e-3));
            }
            self.push(run, time);
        }
    }

    fn push(&mut self, run: &Run, time: f64) {
        if self.samples.back().is_some_and(|last| time < last.0) {
            self.samples.retain(|sample| sample.0 < time);
        }
        let mut readings = [f32::NAN; PROBES];
        for (reading_of, probe) in readings.iter_mut().zip(&self.probes) {
            if let Some(volts) = probe.as_ref().and_then(|probe| reading(run, probe, time)) {
                *reading_of = volts as f32;
            }
        }
        self.samples.push_back((time, readings));
        if self.samples.len() > KEPT {
            self.samples.pop_front();
        }
    }

    /// When the last sample was taken, seconds.
    pub fn end(&self) -> f64 {
        self.samples.back().map_or(0.0, |sample| sample.0)
    }

    /// The samples from one time to another, and one more on either side.
    pub fn between(&self, from: f64, to: f64) -> impl Iterator<Item = &(f64, [f32; PROBES])> {
        let first = self.samples.partition_point(|sample| sample.0 < from).saturating_sub(1);
        let last = (self.samples.partition_point(|sample| sample.0 <= to) + 1).min(self.samples.len());
        self.samples.range(first.min(last)..last)
    }

    /// The reading of a probe at a time, by a straight line between samples.
    pub fn at(&self, probe: usize, time: f64) -> Option<f64> {
        let after = self.samples.partition_point(|sample| sample.0 < time);
        let (right, left) = (self.samples.get(after)?, self.samples.get(after.checked_sub(1)?)?);
        let share = if right.0 > left.0 { (time - left.0) / (right.0 - left.0) } else { 1.0 };
        let (a, b) = (f64::from(left.1[probe]), f64::from(right.1[probe]));
        let value = a + share * (b - a);
        value.is_finite().then_some(value)
    }

    /// The last moment before `latest` at which a probe passed a level the given way.
    pub fn last_pass(&self, probe: usize, level: f64, rising: bool, latest: f64) -> Option<f64> {
        let end = self.samples.partition_point(|sample| sample.0 <= latest);
        (1..end).rev().find_map(|index| {
            let (left, right) = (self.samples[index - 1], self.samples[index]);
            let (a, b) = (f64::from(left.1[probe]) - level, f64::from(right.1[probe]) - level);
            let passes = if rising { a < 0.0 && b >= 0.0 } else { a > 0.0 && b <= 0.0 };
            passes.then(|| left.0 + (right.0 - left.0) * a / (a - b))
        })
    }

    /// What can be measured on a probe from one time to another.
    pub fn measures(&self, probe: usize, from: f64, to: f64) -> Option<Measures> {
        let points: Vec<(f64, f64)> = self
            .between(from, to)
            .map(|sample| (sample.0, f64::from(sample.1[probe])))
            .filter(|(_, value)| value.is_finite())
            .collect();
        Measures::of(&points)
    }
}

/// What can be measured on a trace.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measures {
    /// Lowest and highest.
    pub low: f64,
    /// Highest.
    pub high: f64,
    /// Mean over time.
    pub mean: f64,
    /// Root of the mean square over time.
    pub rms: f64,
    /// Rises through the middle a second, where there are two or more.
    pub hertz: Option<f64>,
    /// Share of a whole number of periods spent above the middle.
    pub duty: Option<f64>,
}

impl Measures {
    /// Of points in order of time; `None` for less than two. Between points the trace is straight.
    pub fn of(points: &[(f64, f64)]) -> Option<Measures> {
        let (first, last) = (points.first()?, points.last()?);
        let whole = last.0 - first.0;
        if whole <= 0.0 {
            return None;
        }
        let low = points.iter().map(|it| it.1).fold(f64::INFINITY, f64::min);
        let high = points.iter().map(|it| it.1).fold(f64::NEG_INFINITY, f64::max);
        let (mut sum, mut squares) = (0.0, 0.0);
        for pair in points.windows(2) {
            let (length, a, b) = (pair[1].0 - pair[0].0, pair[0].1, pair[1].1);
            sum += 0.5 * length * (a + b);
            squares += length * (a * a + a * b + b * b) / 3.0;
        }
        let middle = 0.5 * (low + high);
        // A tenth of the swing on either side has to be passed too, so that ripple is no period.
        let half = 0.1 * (high - low);
        let mut rises: Vec<f64> = Vec::new();
        let mut above_since_first = 0.0;
        let mut above_at_last = 0.0;
        let mut armed = false;
        for pair in points.windows(2) {
            let ((t0, a), (t1, b)) = (pair[0], pair[1]);
            armed |= a < middle - half;
            if !rises.is_empty() {
                above_since_first += (t1 - t0) * share_above(a - middle, b - middle);
            }
            if armed && b > middle + half.min(high - middle - 1e-12) && high > low {
                let passed = if b > a && a < middle { t0 + (t1 - t0) * (middle - a) / (b - a) } else { t0 };
                if rises.is_empty() {
                    above_since_first = t1 - passed;
                    above_at_last = 0.0;
                } else {
                    above_at_last = above_since_first - (t1 - passed);
                }
                rises.push(passed);
                armed = false;
            }
        }
        let periods = rises.len().saturating_sub(1);
        let span = rises.last().zip(rises.first()).map_or(0.0, |(last, first)| last - first);
        let hertz = (periods > 0 && span > 0.0).then(|| periods as f64 / span);
        Some(Measures {
            low,
            high,
            mean: sum / whole,
            rms: (squares / whole).sqrt(),
            hertz,
            duty: hertz.map(|_| (above_at_last / span).clamp(0.0, 1.0)),
        })
    }
}

/// Which share of a straight piece from `a` to `b` lies above zero.
fn share_above(a: f64, b: f64) -> f64 {
    match (a > 0.0, b > 0.0) {
        (true, true) => 1.0,
        (false, false) => 0.0,
        (true, false) => a / (a - b),
        (false, true) => b / (b - a),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wave(periods: usize, shape: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
        (0..=periods * 400).map(|i| f64::from(i as u32) / 400.0).map(|t| (t * 0.01, shape(t))).collect()
    }

    #[test]
    fn a_sine_measures_as_books_say() {
        let it = Measures::of(&wave(5, |t| 1.0 + 2.0 * (t * std::f64::consts::TAU).sin())).unwrap();
        assert!((it.hertz.unwrap() / 100.0 - 1.0).abs() < 1e-3, "{it:?}");
        assert!((it.mean - 1.0).abs() < 1e-3 && (it.rms - 3.0_f64.sqrt()).abs() < 1e-3);
        assert!((it.high - 3.0).abs() < 1e-3 && (it.low + 1.0).abs() < 1e-3);
        assert!((it.duty.unwrap() - 0.5).abs() < 5e-3);
    }

    #[test]
    fn a_pulse_measures_its_duty_cycle() {
        let it = Measures::of(&wave(6, |t| if t.fract() < 0.25 { 5.0 } else { 0.0 })).unwrap();
        assert!((it.hertz.unwrap() / 100.0 - 1.0).abs() < 5e-3, "{it:?}");
        assert!((it.duty.unwrap() - 0.25).abs() < 5e-3, "{it:?}");
        assert!((it.mean - 1.25).abs() < 0.02 && (it.rms - 2.5).abs() < 0.02, "{it:?}");
    }

    #[test]
    fn a_steady_voltage_has_no_frequency() {
        let it = Measures::of(&[(0.0, 3.0), (1.0, 3.0)]).unwrap();
        assert_eq!((it.mean, it.rms, it.hertz, it.duty), (3.0, 3.0, None, None));
        assert_eq!(Measures::of(&[(0.0, 1.0)]), None);
    }
}
