//! What is believed after a report: probabilities of mistakes, of repairs, and of what isn't known here.

use std::collections::BTreeMap;

use halfrow_core::math::{exp, ln};

use crate::dictionary::{Dictionary, Mistakes};
use crate::fault::Repair;
use crate::likelihood::{Filter, Scale, ln_report, ln_sum, ln_symptom, ln_unknown};
use crate::priors::{DOUBLE, RIGHT, UNKNOWN, weight};
use crate::symptom::Symptom;

/// How many sets of mistakes are looked at closely, with every tolerance. Beyond the first hundred none has
/// a thousandth of the probability on any example.
const MOST_CLOSE: usize = 100;

/// Sets below this share of the likeliest are no longer looked at closely. A lump of tolerance in place of
/// each part's own can be wrong by a factor of some hundreds, not by more.
const CLOSE_SHARE: f64 = 1e-6;

/// From how many singles doubles are made: 60 are 1770 pairs, a fifth of a second.
const DOUBLES_OF: usize = 60;

/// Singles that aren't as good as this leave room for doubles: share of the probability that stays unknown.
const ROOM_FOR_DOUBLES: f64 = 0.02;

/// One set of mistakes with its probability.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// The mistakes, by their numbers in the dictionary.
    pub set: Mistakes,
    /// How likely it is, as a share.
    pub share: f64,
    /// What its readings say of tolerances.
    pub(crate) filter: Filter,
}

/// What is believed.
#[derive(Clone, Debug)]
pub struct Belief {
    /// The likeliest sets first; those below a millionth are left out.
    pub candidates: Vec<Candidate>,
    /// That it is nothing known here, as a share.
    pub unknown_share: f64,
}

/// The repairs of a set, sorted.
pub fn repairs(dictionary: &Dictionary, set: &[u16]) -> Vec<Repair> {
    let mut repairs: Vec<Repair> = dictionary.of_set(set).iter().map(|fault| fault.repair()).collect();
    repairs.sort();
    repairs.dedup();
    repairs
}

/// How likely each single mistake is before the report, as logarithms.
fn ln_singles(dictionary: &Dictionary) -> Vec<f64> {
    let weights: Vec<f64> = dictionary.faults().iter().map(|fault| weight(fault.class)).collect();
    let sum: f64 = weights.iter().sum();
    let single = 1.0 - RIGHT - UNKNOWN - DOUBLE;
    weights.iter().map(|own| ln(single * own / sum)).collect()
}

/// What to believe after a report. The dictionary should be done; what isn't in it yet is worked out here.
pub fn believe(dictionary: &mut Dictionary, report: &[Symptom]) -> Belief {
    let scale = Scale::of(dictionary);
    let report = in_order(report);
    let ln_priors = ln_singles(dictionary);
    let mut ln_post: Vec<(Mistakes, f64)> = vec![(Vec::new(), ln(RIGHT))];
    ln_post.extend(ln_priors.iter().enumerate().map(|(at, &prior)| (vec![at as u16], prior)));
    ln_post.retain(|it| dictionary.look_up(&it.0));
    for (set, ln_share) in &mut ln_post {
        *ln_share += ln_report(dictionary, set, &report, scale, false).0;
    }
    let unknown: f64 = report.iter().map(|it| ln_unknown(dictionary, it, scale)).sum();
    let ln_unknown = ln(UNKNOWN) + unknown;
    let close = closely(dictionary, &report, scale, ln_post.clone());
    let singles = normalised(&close, ln_unknown);
    if singles.unknown_share < ROOM_FOR_DOUBLES || report.is_empty() {
        return singles;
    }
    ln_post.extend(doubles(dictionary, &report, scale, &ln_priors, &ln_post));
    let close = closely(dictionary, &report, scale, ln_post);
    normalised(&close, ln_unknown)
}

/// Symptoms in an order of their own, so that nothing depends on which was told first.
fn in_order(report: &[Symptom]) -> Vec<Symptom> {
    let mut report = report.to_vec();
    let key = |symptom: &Symptom| match symptom {
        Symptom::Read(reading) => (1, Some(reading.probe), reading.value.to_bits(), reading.error.to_bits()),
        Symptom::Seen { part, sight } => (0, None, part.0 as u64, *sight as u64),
        Symptom::Look { part, .. } => (2, None, part.0 as u64, 0),
        Symptom::Tried { part, what } => (3, None, part.0 as u64, *what as u64),
    };
    report.sort_by_key(key);
    report
}

/// The likeliest sets once more, with every part's own tolerance.
fn closely(
    dictionary: &mut Dictionary,
    report: &[Symptom],
    scale: Scale,
    mut ln_post: Vec<(Mistakes, f64)>,
) -> Vec<(Mistakes, f64, Filter)> {
    ln_post.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    let most = ln_post.first().map_or(0.0, |it| it.1);
    ln_post.retain(|it| it.1 > most + ln(CLOSE_SHARE));
    ln_post.truncate(MOST_CLOSE);
    let mut close: Vec<(Mistakes, f64, Filter)> = ln_post
        .into_iter()
        .map(|(set, _)| {
            let (ln_likelihood, filter) = ln_report(dictionary, &set, report, scale, true);
            let prior = ln_prior(dictionary, &set);
            (set, prior + ln_likelihood, filter)
        })
        .collect();
    close.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    close
}

/// The prior of a set.
fn ln_prior(dictionary: &Dictionary, set: &[u16]) -> f64 {
    let sum: f64 = dictionary.faults().iter().map(|fault| weight(fault.class)).sum();
    let own = |at: u16| weight(dictionary.faults()[usize::from(at)].class);
    match *set {
        [] => ln(RIGHT),
        [one] => ln((1.0 - RIGHT - UNKNOWN - DOUBLE) * own(one) / sum),
        [one, two] => ln(DOUBLE * 2.0 * own(one) * own(two) / (sum * sum)),
        _ => f64::NEG_INFINITY,
    }
}

fn normalised(close: &[(Mistakes, f64, Filter)], ln_unknown: f64) -> Belief {
    let mut terms: Vec<f64> = close.iter().map(|it| it.1).collect();
    terms.push(ln_unknown);
    let all = ln_sum(&terms);
    let candidates = close
        .iter()
        .map(|(set, ln_share, filter)| Candidate {
            set: set.clone(),
            share: exp(ln_share - all),
            filter: filter.clone(),
        })
        .filter(|it| it.share > 1e-6)
        .collect();
    Belief { candidates, unknown_share: exp(ln_unknown - all) }
}

/// Pairs of the singles that explain something: each alone may explain one symptom and leave another, so that
/// they are chosen by what they explain better than the right build does, and not by how likely they are.
fn doubles(
    dictionary: &mut Dictionary,
    report: &[Symptom],
    scale: Scale,
    ln_priors: &[f64],
    ln_post: &[(Mistakes, f64)],
) -> Vec<(Mistakes, f64)> {
    let right = Mistakes::new();
    let single = |dictionary: &mut Dictionary, set: &Mistakes, symptom: &Symptom| match symptom {
        Symptom::Read(_) => ln_report(dictionary, set, std::slice::from_ref(symptom), scale, false).0,
        other => ln_symptom(dictionary, set, other),
    };
    let plain: Vec<f64> = report.iter().map(|symptom| single(dictionary, &right, symptom)).collect();
    let mut scored: Vec<(f64, u16)> = Vec::new();
    for (set, _) in ln_post.iter().filter(|it| it.0.len() == 1) {
        let gains = report.iter().zip(&plain);
        let gain: f64 =
            gains.map(|(symptom, plain)| (single(dictionary, set, symptom) - plain).max(0.0)).sum();
        scored.push((gain + ln_priors[usize::from(set[0])], set[0]));
    }
    scored.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    scored.truncate(DOUBLES_OF);
    let mut pairs: Vec<Mistakes> = Vec::new();
    for (at, &(_, one)) in scored.iter().enumerate() {
        for &(_, two) in &scored[at + 1..] {
            let parts = |fault: u16| dictionary.faults()[usize::from(fault)].parts();
            if parts(one).iter().all(|part| !parts(two).contains(part)) {
                pairs.push(vec![one.min(two), one.max(two)]);
            }
        }
    }
    pairs.sort();
    let mut found = Vec::new();
    for set in pairs {
        if dictionary.look_up(&set) {
            let ln_share = ln_prior(dictionary, &set) + ln_report(dictionary, &set, report, scale, false).0;
            found.push((set, ln_share));
        }
    }
    found
}

/// The probability of each set of repairs, likeliest first.
pub fn by_repair(dictionary: &Dictionary, belief: &Belief) -> Vec<(Vec<Repair>, f64)> {
    let mut shares: BTreeMap<Vec<Repair>, f64> = BTreeMap::new();
    for candidate in &belief.candidates {
        *shares.entry(repairs(dictionary, &candidate.set)).or_default() += candidate.share;
    }
    let mut all: Vec<(Vec<Repair>, f64)> = shares.into_iter().collect();
    all.sort_by(|a, b| b.1.total_cmp(&a.1));
    all
}

/// Entropy of shares, bits. Shares of zero count for nothing; they need not add up to 1.
pub fn entropy_bits(shares: &[f64]) -> f64 {
    let sum: f64 = shares.iter().sum();
    if sum <= 0.0 {
        return 0.0;
    }
    let terms = shares.iter().filter(|share| **share > 0.0).map(|share| share / sum);
    -terms.map(|share| share * ln(share)).sum::<f64>() / core::f64::consts::LN_2
}
