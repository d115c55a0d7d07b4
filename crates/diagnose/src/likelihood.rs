//! How likely a report is if certain mistakes were on the build.
//!
//! Readings of one build depend on each other, because all of them share its parts' tolerances and its
//! battery. Each such doubt is a normal variable of its own, readings are linear in it, and readings are
//! taken in one after the other (a Kalman filter's measurement update, Kalman 1960). Every reading may also be
//! a misreading that says nothing about the build, so that each one doubles the ways to read the report; the
//! likeliest `MOST_WAYS` are kept. Up to six readings nothing is left out
//! (`tests/outside/diagnose.py` enumerates them all with numpy).

use halfrow_core::bench::PartIx;
use halfrow_core::math::{exp, ln};
use halfrow_core::meter::Kind;

use crate::behaviour::{Behaviour, Noticed, Spot};
use crate::dictionary::{Dictionary, Mistakes};
use crate::fault::{Change, Fault};
use crate::priors::{
    EXCHANGED_LEADS, INVENTED, MISREAD, MISSEEN, OVERLOOKED, OVERLOOKED_LARGE, OVERLOOKED_OUT,
    TOUCHED_NOTHING, TRIED_IN_VAIN,
};
use crate::symptom::{Found, Probe, Reading, Sight, Symptom, Tried};

/// The ways to read a report that are kept: 64 are all of six readings. More cost time and change nothing
/// that is seen; with 16 a report with two misreadings among eight gets its third digit wrong.
const MOST_WAYS: usize = 64;

/// What a voltage computed here may be off by, besides what is in [`crate::behaviour::doubts`]: forward
/// voltages of lamps, contacts, temperature. Volts, and a share. Common practice, no source.
const MODEL_VOLTS: f64 = 0.02;
/// See [`MODEL_VOLTS`].
const MODEL_SHARE: f64 = 0.015;
/// The same for a current.
const MODEL_AMPS: f64 = 5e-5;
/// The same for a bench that never rests, whose meter shows now this and now that: volts.
const RESTLESS_VOLTS: f64 = 0.6;
/// The same for a resistance out of the circuit, as a share: fingers and leads.
const OHMS_SHARE: f64 = 0.03;
/// What is wide open reads as this, ohms.
const MOST_OHMS: f64 = 2e6;

/// What a reading would be on a build: its expected value and how far each doubt moves it, in its unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Expected {
    /// The value without any doubt.
    pub value: f64,
    /// By how much a standard deviation of each doubt moves it.
    pub moved: Vec<f64>,
    /// Standard deviation of everything else but the meter.
    pub error: f64,
}

/// What a probe would read with a set of mistakes. `close` asks for the doubts too.
pub(crate) fn expected(
    dictionary: &mut Dictionary,
    set: &Mistakes,
    probe: Probe,
    meter: Kind,
    close: bool,
) -> Expected {
    let value = nominal(dictionary, set, probe, meter);
    let restless = dictionary.known(set).behaviour.restless;
    let error = match probe {
        Probe::Ohms(_) => OHMS_SHARE * value.abs() + 1.0,
        Probe::Amps(_) => MODEL_SHARE * value.abs() + MODEL_AMPS,
        _ if restless => RESTLESS_VOLTS,
        _ => MODEL_VOLTS + MODEL_SHARE * value.abs(),
    };
    if !close || matches!(probe, Probe::Ohms(_)) {
        // Tolerances as a lump.
        let lump = if close { 0.0 } else { 0.05 * value.abs() };
        return Expected { value, moved: Vec::new(), error: (error * error + lump * lump).sqrt() };
    }
    dictionary.off(set);
    let it = dictionary.known(set);
    let plain = plain(&it.behaviour, &it.bench, probe);
    let moved = dictionary.off(set).to_vec();
    let bench = &dictionary.known(set).bench;
    let moved =
        moved.iter().map(|off| off.as_ref().map_or(0.0, |off| self::plain(off, bench, probe) - plain));
    Expected { value, moved: moved.collect(), error }
}

/// The value without a meter in the circuit.
fn plain(behaviour: &Behaviour, bench: &halfrow_core::bench::Bench, probe: Probe) -> f64 {
    match probe {
        Probe::Volts { red, black } => behaviour.volts(bench, red, black),
        Probe::Across(part) => {
            across(bench, part).map_or(0.0, |(red, black)| behaviour.volts(bench, red, black).abs())
        }
        Probe::Amps(part) => behaviour.amps(part),
        Probe::Ohms(_) => 0.0,
    }
}

/// The two legs between which a part's voltage is read.
pub fn across(bench: &halfrow_core::bench::Bench, part: PartIx) -> Option<(Spot, Spot)> {
    let (a, b) = bench.part(part).card.read_across()?;
    let leg = |pin| Spot::Leg(halfrow_core::bench::LegId { part, pin });
    Some((leg(a), leg(b)))
}

fn nominal(dictionary: &mut Dictionary, set: &Mistakes, probe: Probe, meter: Kind) -> f64 {
    let cheap = meter == Kind::Cheap;
    match probe {
        Probe::Volts { red, black } => dictionary.volts(set, red, black, cheap),
        Probe::Across(part) => match across(dictionary.plan(), part) {
            Some((red, black)) => dictionary.volts(set, red, black, cheap).abs(),
            None => 0.0,
        },
        Probe::Amps(part) => dictionary.known(set).behaviour.amps(part),
        Probe::Ohms(part) => {
            let it = dictionary.known(set).bench.part(part);
            it.card.least_ohms.map_or(0.0, |ohms| ohms(it)).min(MOST_OHMS)
        }
    }
}

/// One way to read a report: which readings are misreadings, and what that says of the doubts.
#[derive(Clone, Debug)]
struct Way {
    ln_weight: f64,
    mean: Vec<f64>,
    /// Covariance, row by row.
    cov: Vec<f64>,
}

/// What the readings so far say of a build's doubts.
#[derive(Clone, Debug)]
pub(crate) struct Filter {
    ways: Vec<Way>,
    doubts: usize,
}

/// The logarithm of the normal density.
pub fn ln_normal(x: f64, mean: f64, variance: f64) -> f64 {
    let off = x - mean;
    -0.5 * (off * off / variance + ln(2.0 * core::f64::consts::PI * variance))
}

/// The logarithm of a sum of exponentials.
pub fn ln_sum(terms: &[f64]) -> f64 {
    let most = terms.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY {
        return most;
    }
    most + ln(terms.iter().map(|term| exp(term - most)).sum())
}

impl Filter {
    pub fn new(doubts: usize) -> Filter {
        let mut cov = vec![0.0; doubts * doubts];
        for at in 0..doubts {
            cov[at * doubts + at] = 1.0;
        }
        Filter { ways: vec![Way { ln_weight: 0.0, mean: vec![0.0; doubts], cov }], doubts }
    }

    /// Mean and variance of a value by one way, the meter's own error left out.
    fn predict(&self, way: &Way, expected: &Expected) -> (f64, f64, Vec<f64>) {
        let n = self.doubts.min(expected.moved.len());
        let mut reach = vec![0.0; self.doubts];
        let mut mean = expected.value;
        for (row, reach) in reach.iter_mut().enumerate() {
            for column in 0..n {
                *reach += way.cov[row * self.doubts + column] * expected.moved[column];
            }
        }
        let mut variance = expected.error * expected.error;
        for (at, moved) in expected.moved.iter().enumerate().take(n) {
            mean += moved * way.mean[at];
            variance += moved * reach[at];
        }
        (mean, variance, reach)
    }

    /// The likeliest way's mean and variance of a value.
    pub fn likeliest(&self, expected: &Expected) -> (f64, f64) {
        let (mean, variance, _) = self.predict(&self.ways[0], expected);
        (mean, variance)
    }

    /// Takes in a reading of which so much is expected; `anything` is the density of a misreading.
    pub fn take_in(&mut self, value: f64, error: f64, expected: &Expected, anything: f64) {
        let mut ways = Vec::with_capacity(2 * self.ways.len());
        for way in &self.ways {
            let (mean, variance, reach) = self.predict(way, expected);
            let variance = variance + error * error;
            let off = value - mean;
            let mut after = way.clone();
            after.ln_weight += ln(1.0 - MISREAD) + ln_normal(value, mean, variance);
            for row in 0..self.doubts {
                after.mean[row] += reach[row] / variance * off;
                for column in 0..self.doubts {
                    after.cov[row * self.doubts + column] -= reach[row] * reach[column] / variance;
                }
            }
            ways.push(after);
            let exchanged = EXCHANGED_LEADS * exp(ln_normal(value, -mean, variance));
            let nothing = TOUCHED_NOTHING * exp(ln_normal(value, 0.0, variance));
            let rest = (1.0 - EXCHANGED_LEADS - TOUCHED_NOTHING) * anything;
            let mut after = way.clone();
            after.ln_weight += ln(MISREAD) + ln(exchanged + nothing + rest);
            ways.push(after);
        }
        // Stable, so that of two as likely the one that trusts the reading stays first.
        ways.sort_by(|a, b| b.ln_weight.total_cmp(&a.ln_weight));
        ways.truncate(MOST_WAYS);
        self.ways = ways;
    }

    /// The logarithm of how likely all readings are together.
    pub fn ln_likelihood(&self) -> f64 {
        ln_sum(&self.ways.iter().map(|way| way.ln_weight).collect::<Vec<_>>())
    }
}

/// How bright a lamp looks, beside how bright it is in the plan: shares of dark, dim, lit and bright.
fn levels(is: f64, planned: f64) -> [f64; 4] {
    if is <= 0.0 {
        return [1.0, 0.0, 0.0, 0.0];
    }
    // Where the plan's own lamp is dark, any light is light.
    let ratio = if planned > 0.05 { is / planned } else { 1.0 };
    // Between two knots in a straight line: a third of the brightness is the fifth part of it seen.
    const KNOTS: [(f64, [f64; 4]); 6] = [
        (0.0, [0.9, 0.1, 0.0, 0.0]),
        (0.15, [0.45, 0.55, 0.0, 0.0]),
        (0.5, [0.0, 0.9, 0.1, 0.0]),
        (0.85, [0.0, 0.1, 0.9, 0.0]),
        (1.15, [0.0, 0.0, 0.9, 0.1]),
        (1.6, [0.0, 0.0, 0.2, 0.8]),
    ];
    let last = KNOTS[KNOTS.len() - 1];
    let Some(above) = KNOTS.iter().position(|knot| knot.0 > ratio) else { return last.1 };
    let ((from, low), (to, high)) = (KNOTS[above.max(1) - 1], KNOTS[above]);
    let share = ((ratio - from) / (to - from)).clamp(0.0, 1.0);
    [0, 1, 2, 3].map(|level| low[level] + share * (high[level] - low[level]))
}

/// How likely it is that somebody says this of a part.
pub fn ln_seen(sight: Sight, is: &Noticed, planned: &Noticed) -> f64 {
    let yes = |certain: f64| ln(MISSEEN + (1.0 - 2.0 * MISSEEN) * certain);
    let blinks = is.blinks_hertz > 0.0;
    let [dark, dim, lit, bright] = levels(f64::from(is.state.glow), f64::from(planned.state.glow));
    let steady = if blinks { 0.15 } else { 1.0 };
    let soft = |x: f64, half: f64| x * x / (x * x + half * half);
    let ratio = if planned.blinks_hertz > 0.0 { is.blinks_hertz / planned.blinks_hertz } else { 1.0 };
    match sight {
        Sight::Dark => yes(if blinks { 0.0 } else { dark }),
        Sight::Dim => yes((0.9 * dim + 0.04 * dark + 0.06 * lit) * if blinks { 0.4 } else { 1.0 }),
        Sight::Lit => yes((0.9 * lit + 0.9 * bright + 0.25 * dim) * steady),
        Sight::Bright => yes((0.9 * bright + 0.1 * lit) * steady),
        Sight::Blinks => yes(if blinks { 0.95 } else { 0.0 }),
        Sight::BlinksFast => yes(if blinks { soft((ratio - 1.0).max(0.0), 0.3) } else { 0.0 }),
        Sight::BlinksSlow => yes(if blinks { soft((1.0 / ratio - 1.0).max(0.0), 0.3) } else { 0.0 }),
        Sight::Moves => yes(if is.state.spin != 0.0 { 1.0 } else { 0.0 }),
        Sight::Still => yes(if is.state.spin == 0.0 { 1.0 } else { 0.0 }),
        Sight::Sounds => yes(if is.state.tone > 0.0 { 1.0 } else { 0.0 }),
        Sight::Silent => yes(if is.state.tone == 0.0 { 1.0 } else { 0.0 }),
        Sight::Hot => yes(soft(is.strain_share, 0.8)),
        Sight::Cool => yes(1.0 - soft(is.strain_share, 1.0)),
        Sight::Smokes | Sight::Swells => yes(soft(is.strain_share, 2.5)),
    }
}

/// What a look at a part would find if all that can be seen were seen.
pub fn to_be_found(part: PartIx, faults: &[&Fault]) -> Found {
    let own = faults.iter().find(|fault| fault.parts().contains(&part));
    let Some(fault) = own else { return Found::Right };
    match &fault.change {
        Change::Leg { leg, to } => Found::Leg { pin: leg.pin, hole: *to },
        Change::Out { leg } => Found::Loose { pin: leg.pin },
        Change::Missing { .. } => Found::Missing,
        Change::Placed { .. } if fault.class == crate::priors::Class::Shifted => Found::Moved,
        Change::Placed { .. } if fault.class == crate::priors::Class::TwoRows => Found::Moved,
        Change::Placed { .. } => Found::Turned,
        // Which of the two is asked for is enough here: a hole is told by the other's place.
        Change::Swapped { .. } => Found::Moved,
        Change::Value { .. } if fault.class == crate::priors::Class::Worn => Found::Right,
        Change::Value { .. } => Found::OtherValue,
        Change::Broken { .. } => Found::Right,
    }
}

/// How likely it is that a look finds this where that is to be found.
pub fn ln_found(found: Found, is: Found, same_strip: bool) -> f64 {
    let overlooked = match is {
        Found::Right => 1.0 - INVENTED,
        Found::Loose { .. } => OVERLOOKED_OUT,
        Found::Leg { .. } => OVERLOOKED,
        _ => OVERLOOKED_LARGE,
    };
    // What else could be said of a part: some six things.
    const OTHERS: f64 = 6.0;
    let share = match (found, is) {
        (Found::Right, _) => overlooked,
        _ if found == is || same_strip => 1.0 - overlooked - INVENTED,
        // An exchanged end is told as a hole.
        (Found::Leg { .. }, Found::Moved) => 0.3,
        _ => INVENTED / OTHERS,
    };
    ln(share.max(1e-6))
}

/// How much less likely faults are once this has been tried.
fn ln_tried(part: PartIx, what: Tried, faults: &[&Fault]) -> f64 {
    let mended = |fault: &&&Fault| {
        fault.parts().contains(&part)
            && match (&fault.change, what) {
                (Change::Value { .. } | Change::Broken { .. }, Tried::Exchanged) => true,
                (Change::Placed { .. }, Tried::Turned) => fault.class == crate::priors::Class::Turned,
                (Change::Out { .. }, Tried::Pushed | Tried::Exchanged) => true,
                _ => false,
            }
    };
    if faults.iter().any(|fault| mended(&fault)) { ln(TRIED_IN_VAIN) } else { 0.0 }
}

/// The largest voltage and current that readings on a plan may have, for misreadings and for what is unknown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Volts.
    pub volts: f64,
    /// Amperes.
    pub amps: f64,
}

impl Scale {
    /// The scale of a plan: all its sources in series, and a tenth more.
    pub fn of(dictionary: &Dictionary) -> Scale {
        let plan = dictionary.plan();
        let sources = plan.parts.iter().filter_map(|part| Some((part.card.source?.open_volts)(part).abs()));
        let currents = (0..plan.parts.len()).map(|part| dictionary.right().amps(PartIx(part)));
        Scale {
            volts: 1.1 * sources.sum::<f64>() + 0.5,
            amps: (2.0 * currents.fold(0.0, f64::max)).max(0.02),
        }
    }

    /// The density of a reading that may be anything, in its unit to the power of −1.
    pub fn anything(&self, reading: &Reading) -> f64 {
        match reading.probe {
            Probe::Volts { .. } => 0.5 / self.volts,
            Probe::Across(_) => 1.0 / self.volts,
            Probe::Amps(_) => 1.0 / self.amps,
            // Evenly over five decades.
            Probe::Ohms(_) => 1.0 / (11.5 * reading.value.abs().max(1.0)),
        }
    }
}

/// How likely a report is with a set of mistakes: the logarithm, and the filter that its readings leave.
pub(crate) fn ln_report(
    dictionary: &mut Dictionary,
    set: &Mistakes,
    report: &[Symptom],
    scale: Scale,
    close: bool,
) -> (f64, Filter) {
    let doubts = if close { dictionary.doubts().len() } else { 0 };
    let mut filter = Filter::new(doubts);
    let mut sum = 0.0;
    for symptom in report {
        match symptom {
            Symptom::Read(reading) => {
                let expected = expected(dictionary, set, reading.probe, reading.meter, close);
                let value = as_read(reading);
                filter.take_in(value, reading.error, &expected, scale.anything(reading));
            }
            other => sum += ln_symptom(dictionary, set, other),
        }
    }
    (sum + filter.ln_likelihood(), filter)
}

/// A reading without a sign where none is meant.
pub(crate) fn as_read(reading: &Reading) -> f64 {
    match reading.probe {
        Probe::Volts { .. } => reading.value,
        _ => reading.value.abs().min(MOST_OHMS),
    }
}

/// How likely one symptom that is no reading is with a set of mistakes.
pub(crate) fn ln_symptom(dictionary: &Dictionary, set: &Mistakes, symptom: &Symptom) -> f64 {
    let it = dictionary.known(set);
    match *symptom {
        Symptom::Seen { part, sight } => {
            ln_seen(sight, &it.behaviour.parts[part.0], &dictionary.right().parts[part.0])
        }
        Symptom::Look { part, found } => {
            let is = to_be_found(part, &dictionary.of_set(set));
            let same = match (found, is) {
                (Found::Leg { pin, hole }, Found::Leg { pin: own, hole: there }) => {
                    pin == own && dictionary.plan().strip(hole) == dictionary.plan().strip(there)
                }
                _ => false,
            };
            ln_found(found, is, same)
        }
        Symptom::Tried { part, what } => ln_tried(part, what, &dictionary.of_set(set)),
        Symptom::Read(_) => 0.0,
    }
}

/// How likely a symptom is where something is wrong that nobody knows here: half as planned, half anything.
pub(crate) fn ln_unknown(dictionary: &mut Dictionary, symptom: &Symptom, scale: Scale) -> f64 {
    let right = Mistakes::new();
    match symptom {
        Symptom::Read(reading) => {
            let expected = expected(dictionary, &right, reading.probe, reading.meter, false);
            let variance = expected.error * expected.error + reading.error * reading.error;
            let value = as_read(reading);
            let planned = exp(ln_normal(value, expected.value, variance));
            let nothing = exp(ln_normal(value, 0.0, variance));
            ln(0.35 * planned + 0.15 * nothing + 0.5 * scale.anything(reading))
        }
        Symptom::Seen { .. } => {
            let planned = exp(ln_symptom(dictionary, &right, symptom));
            ln(0.4 * planned + 0.6 * 0.4)
        }
        Symptom::Look { .. } => ln_symptom(dictionary, &right, symptom),
        Symptom::Tried { .. } => 0.0,
    }
}
