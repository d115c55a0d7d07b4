//! What the chart draws: samples of up to four probes, and what can be measured on them.

use std::cell::RefCell;
use std::collections::VecDeque;

use halfrow_core::probe::Probe;
use halfrow_core::time::Run;

use crate::model::chart::PROBES;

/// Samples kept. At ten divisions of 100 samples each it is twenty screens; more would only be memory.
const KEPT: usize = 20_000;

/// Looks at a step: its end, and places within it for steps that bend.
const WITHIN: [f64; 4] = [0.25, 0.5, 0.75, 1.0];

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
    /// These samples.
    #[cfg(test)]
    pub(crate) fn of(samples: impl Iterator<Item = (f64, [f32; PROBES])>) -> Traces {
        Traces { samples: samples.collect(), ..Traces::default() }
    }

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
            if let Some(volts) = probe.as_ref().and_then(|probe| probe.read(run, time)) {
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

    /// What can be measured on a probe from one time to another. Where that shows less than a period,
    /// what went before tells it, as far as it swings alike.
    pub fn measures(&self, probe: usize, from: f64, to: f64) -> Option<Measures> {
        let mut seen: Option<Measures> = None;
        for back in [0.0, 2.0] {
            let samples = self.between(from - back * (to - from), to);
            let points = samples.map(|sample| (sample.0, f64::from(sample.1[probe])));
            let it = Measures::of(&points.filter(|(_, value)| value.is_finite()).collect::<Vec<_>>())?;
            if seen.is_none_or(|seen| {
                seen.hertz.is_none() && it.hertz.is_some() && seen.high - seen.low > 0.9 * (it.high - it.low)
            }) {
                seen = Some(it);
            }
        }
        seen
    }
}

thread_local! {
    /// What the chart draws: written by the clock, read by the chart's canvas.
    static TRACES: RefCell<Traces> = RefCell::new(Traces::default());
}

/// Looks at the traces.
pub fn with_traces<T>(look: impl FnOnce(&mut Traces) -> T) -> T {
    TRACES.with_borrow_mut(look)
}

/// What can be measured on a trace.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measures {
    /// Lowest and highest.
    pub low: f64,
    /// Highest.
    pub high: f64,
    /// Mean over a whole number of periods, or over all where there is no frequency.
    pub mean: f64,
    /// Root of the mean square over the same.
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
        if last.0 <= first.0 {
            return None;
        }
        let low = points.iter().map(|it| it.1).fold(f64::INFINITY, f64::min);
        let high = points.iter().map(|it| it.1).fold(f64::NEG_INFINITY, f64::max);
        let middle = 0.5 * (low + high);
        // A tenth of the swing on either side has to be passed too, so that ripple is no period.
        let half = 0.1 * (high - low);
        // Time, and the sums over it of the trace, its square and what is above the middle; so far, at the
        // first rise, at the last.
        let (mut all, mut first, mut last) = ([0.0; 4], None, [0.0; 4]);
        let mut rises = 0;
        let mut passed = None;
        for pair in points.windows(2) {
            let (length, a, b) = (pair[1].0 - pair[0].0, pair[0].1, pair[1].1);
            // After a low, a rise is where the trace went through the middle last before it was high.
            if a < middle - half {
                passed = Some(all);
            }
            if passed.is_some() && a < middle && b >= middle {
                passed = Some(plus(all, length * (middle - a) / (b - a), (a, middle), middle));
            }
            all = plus(all, length, (a, b), middle);
            if b > middle + half.min(high - middle - 1e-12)
                && high > low
                && let Some(passed) = passed.take()
            {
                first.get_or_insert(passed);
                last = passed;
                rises += 1;
            }
        }
        let periodic = rises > 1;
        let from = first.filter(|_| periodic).unwrap_or_default();
        let to = if periodic { last } else { all };
        let span = to[0] - from[0];
        let mean = |index: usize| (to[index] - from[index]) / span;
        Some(Measures {
            low,
            high,
            mean: mean(1),
            rms: mean(2).sqrt(),
            hertz: periodic.then(|| f64::from(rises - 1) / span),
            duty: periodic.then(|| mean(3).clamp(0.0, 1.0)),
        })
    }
}

/// The sums with those of one more straight piece, from `a` to `b`.
fn plus(all: [f64; 4], length: f64, (a, b): (f64, f64), middle: f64) -> [f64; 4] {
    let above = share_above(a - middle, b - middle);
    let means = [1.0, 0.5 * (a + b), (a * a + a * b + b * b) / 3.0, above];
    [0, 1, 2, 3].map(|index| all[index] + length * means[index])
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
    fn parts_of_periods_count_for_nothing() {
        // Two and a half periods of a square at 50 Hz, wherever the window begins.
        for shift in 0..20 {
            let square = |t: f64| if (t + f64::from(shift) * 0.05).fract() < 0.3 { 3.0 } else { 0.0 };
            let points: Vec<(f64, f64)> =
                (0..=1000).map(|i| f64::from(i) / 400.0).map(|t| (t * 0.02, square(t))).collect();
            let it = Measures::of(&points).unwrap();
            assert!((it.hertz.unwrap() - 50.0).abs() < 0.3, "{shift}: {it:?}");
            assert!(
                (it.mean - 0.9).abs() < 0.01 && (it.rms - 2.7_f64.sqrt()).abs() < 0.01,
                "{shift}: {it:?}"
            );
            assert!((it.duty.unwrap() - 0.3).abs() < 5e-3, "{shift}: {it:?}");
        }
    }

    #[test]
    fn a_period_longer_than_what_is_in_sight_is_told_from_what_went_before() {
        let lit = |time: f64| if time.fract() < 0.4 { 5.0 } else { 0.0 };
        let samples = (0..=800).map(|i| f64::from(i) * 5e-3).map(|time| (time, [lit(time); PROBES]));
        let mut traces = Traces::of(samples);
        for end in [3.2, 3.5, 3.8, 4.0] {
            let it = traces.measures(0, end - 1.0, end).unwrap();
            assert!((it.hertz.unwrap() - 1.0).abs() < 0.01 && (it.mean - 2.0).abs() < 0.05, "{end}: {it:?}");
        }
        // What is still now does not swing as it did.
        traces.samples.extend([(4.0, [5.0; PROBES]), (5.0, [5.0; PROBES])]);
        assert_eq!(traces.measures(0, 4.1, 5.0).unwrap().hertz, None);
    }

    #[test]
    fn a_steady_voltage_has_no_frequency() {
        let it = Measures::of(&[(0.0, 3.0), (1.0, 3.0)]).unwrap();
        assert_eq!((it.mean, it.rms, it.hertz, it.duty), (3.0, 3.0, None, None));
        assert_eq!(Measures::of(&[(0.0, 1.0)]), None);
    }
}
