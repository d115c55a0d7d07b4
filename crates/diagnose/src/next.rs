//! The one thing to look at or to measure next: what tells most about the repair for what it costs.
//!
//! The gain of a question is the expected drop of the entropy over repairs (de Kleer and Williams, Artificial
//! Intelligence 32, 1987, for candidates; over repairs, because what is mended in the same way need not be
//! told apart), and the question is chosen by gain a unit of cost. On small cases the whole tree is within a
//! few per cent of the best one (`tests/outside/diagnose.py`).

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Strip};
use halfrow_core::card::Group;
use halfrow_core::math::exp;
use halfrow_core::meter::Kind;

use crate::behaviour::Spot;
use crate::belief::{Belief, entropy_bits, repairs};
use crate::dictionary::{Dictionary, Mistakes};
use crate::fault::Repair;
use crate::likelihood::{Scale, expected, ln_found, ln_normal, ln_seen, to_be_found};
use crate::priors::MISREAD;
use crate::symptom::{Found, Probe, Reading, Sight, Symptom, ground};

/// Something that somebody can be asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ask {
    /// To look where a part is.
    Look(PartIx),
    /// To say what a part does.
    See(PartIx),
    /// To measure.
    Measure(Probe),
    /// To exchange a part for another one and to say whether that helped.
    Exchange(PartIx),
}

impl Ask {
    /// What it costs, in looks: a voltage takes a meter and two tips, a current takes the circuit apart, and
    /// another part has to be found first. The scale; common practice, no source.
    pub fn cost(self) -> f64 {
        match self {
            Ask::Look(_) | Ask::See(_) => 1.0,
            Ask::Measure(Probe::Volts { .. } | Probe::Across(_)) => 2.0,
            Ask::Measure(_) => 6.0,
            Ask::Exchange(_) => 8.0,
        }
    }

    /// Its kind as a word.
    pub fn kind(self) -> &'static str {
        match self {
            Ask::Look(_) => "look",
            Ask::See(_) => "see",
            Ask::Measure(Probe::Volts { .. } | Probe::Across(_)) => "volts",
            Ask::Measure(Probe::Amps(_)) => "amps",
            Ask::Measure(Probe::Ohms(_)) => "ohms",
            Ask::Exchange(_) => "exchange",
        }
    }
}

/// What an answer may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reply {
    /// A reading about so large, with the span within which it counts as this one.
    About {
        /// In the unit of what is measured.
        value: f64,
        /// By how much it may be off, at two standard deviations.
        off: f64,
    },
    /// What a look finds.
    Finds(Found),
    /// What a part does.
    Does(Sight),
    /// Whether the exchange helped.
    Helped(bool),
}

/// One answer with what it would mean.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The answer.
    pub reply: Reply,
    /// How likely it is, as a share.
    pub share: f64,
    /// The repairs that it would leave, likeliest first, with their shares.
    pub means: Vec<(Vec<Repair>, f64)>,
    /// That it would be nothing known here.
    pub unknown_share: f64,
}

/// A question with what it is worth.
#[derive(Clone, Debug)]
pub struct Next {
    /// What to ask for.
    pub ask: Ask,
    /// The expected drop of the entropy over repairs, bits.
    pub gain_bits: f64,
    /// What it costs, in looks.
    pub cost: f64,
    /// What the answers would mean, likeliest first.
    pub outcomes: Vec<Outcome>,
}

/// A gain below this is no reason to ask anybody for anything, bits a look. With half of it a case ends on
/// average one reading later and no more often right.
const LEAST_GAIN_BITS: f64 = 0.01;

/// A repair this likely is proposed without another question, as a share.
pub const SURE_SHARE: f64 = 0.95;

/// Sets below this share aren't asked about: twenty of them together change no choice.
const LEAST_SHARE: f64 = 5e-4;

/// The most sets that a question is weighed on.
const MOST_SETS: usize = 60;

/// The most places that volts are offered at besides those of the suspects.
const MOST_PLACES: usize = 40;

/// What is weighed: the plausible sets with their shares and repairs.
pub(crate) struct Weighed {
    pub sets: Vec<Mistakes>,
    pub shares: Vec<f64>,
    /// For each set the place of its repairs in `repairs`.
    of: Vec<usize>,
    pub repairs: Vec<Vec<Repair>>,
    unknown_share: f64,
}

impl Weighed {
    pub fn of(dictionary: &Dictionary, belief: &Belief) -> Weighed {
        let mut it = Weighed {
            sets: Vec::new(),
            shares: Vec::new(),
            of: Vec::new(),
            repairs: Vec::new(),
            unknown_share: belief.unknown_share,
        };
        let plausible = belief.candidates.iter().filter(|candidate| candidate.share >= LEAST_SHARE);
        for candidate in plausible.take(MOST_SETS) {
            let own = repairs(dictionary, &candidate.set);
            let at = it.repairs.iter().position(|other| *other == own).unwrap_or_else(|| {
                it.repairs.push(own);
                it.repairs.len() - 1
            });
            it.sets.push(candidate.set.clone());
            it.shares.push(candidate.share);
            it.of.push(at);
        }
        it
    }

    /// The shares of repairs, and of the unknown at the end, where each set's share is multiplied.
    fn after(&self, likely: impl Fn(usize) -> f64, unknown: f64) -> Vec<f64> {
        let mut shares = vec![0.0; self.repairs.len() + 1];
        for (set, &share) in self.shares.iter().enumerate() {
            shares[self.of[set]] += share * likely(set);
        }
        shares[self.repairs.len()] = self.unknown_share * unknown;
        shares
    }

    fn outcome(&self, reply: Reply, after: &[f64]) -> Outcome {
        let sum: f64 = after.iter().sum();
        let share = |it: f64| if sum > 0.0 { it / sum } else { 0.0 };
        let mut means: Vec<(Vec<Repair>, f64)> =
            self.repairs.iter().cloned().zip(after.iter().map(|it| share(*it))).collect();
        means.sort_by(|a, b| b.1.total_cmp(&a.1));
        means.retain(|it| it.1 > 0.02);
        Outcome { reply, share: sum, means, unknown_share: share(after[self.repairs.len()]) }
    }
}

/// The best question after a report; `None` where a repair is sure enough or nothing pays.
pub fn next(dictionary: &mut Dictionary, belief: &Belief, report: &[Symptom]) -> Option<Next> {
    let weighed = Weighed::of(dictionary, belief);
    let now = entropy_bits(&weighed.after(|_| 1.0, 1.0));
    let mut best: Option<Next> = None;
    for ask in offered(dictionary, &weighed, report) {
        let Some(it) = weigh(dictionary, belief, &weighed, ask, now) else { continue };
        let rate = |it: &Next| it.gain_bits / it.cost;
        // A later one has to be better by more than rounding.
        if best.as_ref().is_none_or(|best| rate(&it) > rate(best) * (1.0 + 1e-9)) {
            best = Some(it);
        }
    }
    best.filter(|it| it.gain_bits / it.cost >= LEAST_GAIN_BITS)
}

/// Everything that is offered to be asked for, in a fixed order: looks first, then volts.
pub(crate) fn offered(dictionary: &Dictionary, weighed: &Weighed, report: &[Symptom]) -> Vec<Ask> {
    let plan = dictionary.plan();
    let faults = weighed.sets.iter().flat_map(|set| dictionary.of_set(set));
    let mut suspects: Vec<PartIx> = faults.flat_map(|fault| fault.parts()).collect();
    suspects.sort_unstable();
    suspects.dedup();
    let mut asks: Vec<Ask> = suspects.iter().map(|&part| Ask::Look(part)).collect();
    let does = |part: PartIx| {
        let card = plan.part(part).card;
        card.group == Group::Light || card.sounds || dictionary.right().parts[part.0].state.spin != 0.0
    };
    let parts = (0..plan.parts.len()).map(PartIx);
    asks.extend(parts.clone().filter(|&part| does(part)).map(Ask::See));
    asks.extend(volts(plan, &suspects).into_iter().map(Ask::Measure));
    let two_legs = |part: PartIx| {
        let it = plan.part(part);
        it.legs.len() == 2 && it.card.source.is_none() && it.legs.iter().all(|leg| leg.hole.is_some())
    };
    let in_series =
        suspects.iter().copied().filter(|&part| two_legs(part) && !plan.part(part).card.is_wire());
    asks.extend(in_series.map(|part| Ask::Measure(Probe::Amps(part))));
    let broken = weighed.repairs.iter().flatten().filter_map(|repair| match repair {
        Repair::Exchange(part) => Some(*part),
        _ => None,
    });
    let mut broken: Vec<PartIx> = broken.collect();
    broken.sort_unstable();
    broken.dedup();
    asks.extend(broken.into_iter().map(Ask::Exchange));
    asks.retain(|&ask| !report.iter().any(|symptom| answers(plan, symptom, ask)));
    asks
}

/// Whether a symptom has already answered a question.
fn answers(plan: &Bench, symptom: &Symptom, ask: Ask) -> bool {
    match (*symptom, ask) {
        (Symptom::Look { part, .. }, Ask::Look(asked)) => part == asked,
        (Symptom::Seen { part, .. }, Ask::See(asked)) => part == asked,
        (Symptom::Read(Reading { probe, .. }), Ask::Measure(asked)) => same(plan, probe, asked),
        (Symptom::Tried { part, .. }, Ask::Exchange(asked)) => part == asked,
        _ => false,
    }
}

/// Whether two probes read the same: two holes of one strip are one place.
fn same(plan: &Bench, one: Probe, two: Probe) -> bool {
    let place = |spot: Spot| match spot {
        Spot::Hole(hole) => plan.strip(hole).ok_or(spot),
        Spot::Leg(_) => Err(spot),
    };
    match (one, two) {
        (Probe::Volts { red, black }, Probe::Volts { red: other_red, black: other_black }) => {
            let [one, two] = [(red, black), (other_red, other_black)].map(|it| (place(it.0), place(it.1)));
            one == two || one == (two.1, two.0)
        }
        _ => one == two,
    }
}

/// Where volts are offered: from each strip that has a leg in it to ground, across each part with two legs,
/// from loose legs of suspects to ground.
fn volts(plan: &Bench, suspects: &[PartIx]) -> Vec<Probe> {
    let Some(black) = ground(plan) else { return Vec::new() };
    let Spot::Hole(ground_hole) = black else { return Vec::new() };
    let near = |part: PartIx| suspects.contains(&part);
    let mut strips: Vec<(bool, Strip, Hole)> = plan
        .legs()
        .filter_map(|(leg, at)| Some((!near(leg.part), plan.strip(at.hole?)?, at.hole?)))
        .filter(|it| Some(it.1) != plan.strip(ground_hole))
        .collect();
    strips.sort();
    let mut seen: Vec<Strip> = Vec::new();
    strips.retain(|it| {
        !seen.contains(&it.1) && {
            seen.push(it.1);
            true
        }
    });
    // Those of suspects come first; of the others so many that a crowded board takes no longer.
    let suspected = strips.iter().filter(|it| !it.0).count();
    strips.truncate(suspected.max(MOST_PLACES));
    let mut probes: Vec<Probe> = strips
        .into_iter()
        .map(|(_, strip, hole)| Probe::Volts { red: Spot::Hole(free_or(plan, strip, hole)), black })
        .collect();
    let loose = |part: &PartIx| !plan.part(*part).is_rigid() && plan.part(*part).card.source.is_none();
    for &part in suspects.iter().filter(|part| loose(part)) {
        let it = plan.part(part);
        if it.legs.len() == 2 && it.legs.iter().all(|leg| leg.hole.is_some()) {
            probes.push(Probe::Across(part));
        }
        for pin in 0..it.legs.len() {
            if it.legs[pin].hole.is_some() {
                probes.push(Probe::Volts { red: Spot::Leg(LegId { part, pin }), black });
            }
        }
    }
    probes
}

/// A free hole of a strip for the tip, nearest to a leg; the leg's own hole where all are taken (the tip
/// touches the leg then).
fn free_or(plan: &Bench, strip: Strip, hole: Hole) -> Hole {
    let Some(board) = plan.boards.get(usize::from(strip.board)) else { return hole };
    let mut free: Vec<Hole> =
        board.holes_of(strip).into_iter().filter(|&it| plan.occupant(it).is_none()).collect();
    let far = |it: &Hole| plan.distance(*it, hole).unwrap_or(f64::INFINITY);
    free.sort_by(|a, b| far(a).total_cmp(&far(b)));
    free.first().copied().unwrap_or(hole)
}

/// What a question is worth.
fn weigh(
    dictionary: &mut Dictionary,
    belief: &Belief,
    weighed: &Weighed,
    ask: Ask,
    now: f64,
) -> Option<Next> {
    match ask {
        Ask::Measure(probe) => measured(dictionary, belief, weighed, probe, now),
        _ => {
            let replies = replies(dictionary, weighed, ask);
            if replies.len() < 2 {
                return None;
            }
            let mut outcomes = Vec::new();
            let mut left = 0.0;
            let mut sum = 0.0;
            for reply in &replies {
                let likely: Vec<f64> =
                    weighed.sets.iter().map(|set| answered(dictionary, set, ask, *reply)).collect();
                let unknown = answered_unknown(dictionary, ask, *reply);
                let after = weighed.after(|set| likely[set], unknown);
                let share: f64 = after.iter().sum();
                left += share * entropy_bits(&after);
                sum += share;
                outcomes.push(weighed.outcome(*reply, &after));
            }
            finish(ask, now, left, sum, outcomes)
        }
    }
}

fn finish(ask: Ask, now: f64, left: f64, sum: f64, mut outcomes: Vec<Outcome>) -> Option<Next> {
    if sum <= 0.0 {
        return None;
    }
    outcomes.iter_mut().for_each(|it| it.share /= sum);
    outcomes.sort_by(|a, b| b.share.total_cmp(&a.share));
    Some(Next { ask, gain_bits: (now - left / sum).max(0.0), cost: ask.cost(), outcomes })
}

/// The answers that a question may have.
fn replies(dictionary: &Dictionary, weighed: &Weighed, ask: Ask) -> Vec<Reply> {
    match ask {
        Ask::Look(part) => {
            let mut found: Vec<Found> =
                weighed.sets.iter().map(|set| to_be_found(part, &dictionary.of_set(set))).collect();
            found.push(Found::Right);
            found.sort();
            found.dedup();
            found.into_iter().map(Reply::Finds).collect()
        }
        Ask::See(part) => {
            let right = &dictionary.right().parts[part.0];
            let card = dictionary.plan().part(part).card;
            let sights: &[Sight] = match card.group {
                Group::Light if right.blinks_hertz > 0.0 || dictionary.right().restless => {
                    &[Sight::Blinks, Sight::Lit, Sight::Dark]
                }
                Group::Light => &[Sight::Lit, Sight::Dim, Sight::Dark],
                _ if card.sounds => &[Sight::Sounds, Sight::Silent],
                _ => &[Sight::Moves, Sight::Still],
            };
            sights.iter().map(|&sight| Reply::Does(sight)).collect()
        }
        _ => vec![Reply::Helped(true), Reply::Helped(false)],
    }
}

/// How likely an answer is with a set of mistakes.
fn answered(dictionary: &Dictionary, set: &Mistakes, ask: Ask, reply: Reply) -> f64 {
    match (ask, reply) {
        (Ask::Look(part), Reply::Finds(found)) => {
            exp(ln_found(found, to_be_found(part, &dictionary.of_set(set)), false))
        }
        (Ask::See(part), Reply::Does(sight)) => {
            let is = &dictionary.known(set).behaviour.parts[part.0];
            exp(ln_seen(sight, is, &dictionary.right().parts[part.0]))
        }
        (Ask::Exchange(part), Reply::Helped(helped)) => {
            let mends = repairs(dictionary, set) == [Repair::Exchange(part)];
            if mends == helped { 0.97 } else { 0.03 }
        }
        _ => 0.0,
    }
}

fn answered_unknown(dictionary: &Dictionary, ask: Ask, reply: Reply) -> f64 {
    let right = Mistakes::new();
    match (ask, reply) {
        (Ask::See(_), _) => 0.4 * answered(dictionary, &right, ask, reply) + 0.25,
        (Ask::Exchange(_), Reply::Helped(helped)) => {
            if helped {
                0.03
            } else {
                0.97
            }
        }
        _ => answered(dictionary, &right, ask, reply),
    }
}

/// Nodes and weights of a normal distribution: exact for polynomials up to the fifth degree (Gauss and
/// Hermite; Abramowitz and Stegun, table 25.10).
const NODES: [(f64, f64); 3] =
    [(-1.732_050_807_568_877_2, 1.0 / 6.0), (0.0, 2.0 / 3.0), (1.732_050_807_568_877_2, 1.0 / 6.0)];

/// Two expected readings are one outcome when they are nearer than this share of their deviation.
const ONE_OUTCOME: f64 = 0.3;

/// What a reading is worth.
fn measured(
    dictionary: &mut Dictionary,
    belief: &Belief,
    weighed: &Weighed,
    probe: Probe,
    now: f64,
) -> Option<Next> {
    let scale = Scale::of(dictionary);
    let readings: Vec<(f64, f64)> = weighed
        .sets
        .iter()
        .enumerate()
        .map(|(at, set)| {
            let expected = expected(dictionary, set, probe, Kind::default(), true);
            let (mean, variance) = belief.candidates[at].filter.likeliest(&expected);
            let meter = 0.01 + 0.003 * mean.abs();
            let meter = if matches!(probe, Probe::Amps(_)) { 1e-4 + 0.005 * mean.abs() } else { meter };
            (mean, variance + meter * meter)
        })
        .collect();
    let anything = match probe {
        Probe::Amps(_) => 1.0 / scale.amps,
        _ => 0.5 / scale.volts,
    };
    let clusters = clusters(&readings, &weighed.shares);
    // One value for all tells nothing.
    if clusters.len() < 2 {
        return None;
    }
    let mut left = 0.0;
    let mut sum = 0.0;
    let mut outcomes = Vec::new();
    for &(at, share) in &clusters {
        let (mean, variance) = readings[at];
        let deviation = variance.sqrt();
        for (node, weight) in NODES {
            let value = mean + node * deviation;
            let likely = |set: usize| {
                let (mean, variance) = readings[set];
                (1.0 - MISREAD) * exp(ln_normal(value, mean, variance)) + MISREAD * anything
            };
            let after = weighed.after(likely, anything);
            left += share * weight * entropy_bits(&after);
            sum += share * weight;
            if node == 0.0 {
                let mut outcome = weighed.outcome(Reply::About { value, off: 2.0 * deviation }, &after);
                outcome.share = share;
                outcomes.push(outcome);
            }
        }
    }
    let after_misreading = MISREAD * now + (1.0 - MISREAD) * left / sum;
    finish(Ask::Measure(probe), now, after_misreading, 1.0, together(outcomes))
}

/// Outcomes that are within each other's span are one for people.
fn together(mut outcomes: Vec<Outcome>) -> Vec<Outcome> {
    let about = |it: &Outcome| match it.reply {
        Reply::About { value, off } => (value, off),
        _ => (0.0, 0.0),
    };
    outcomes.sort_by(|a, b| b.share.total_cmp(&a.share));
    let mut kept: Vec<Outcome> = Vec::new();
    for it in outcomes {
        let (value, off) = about(&it);
        match kept.iter_mut().find(|own| (about(own).0 - value).abs() < off.max(about(own).1)) {
            Some(own) => own.share += it.share,
            None => kept.push(it),
        }
    }
    kept
}

/// Sets whose readings are alike, by the likeliest of each, with their shares together.
fn clusters(readings: &[(f64, f64)], shares: &[f64]) -> Vec<(usize, f64)> {
    let mut clusters: Vec<(usize, f64)> = Vec::new();
    for (at, (mean, variance)) in readings.iter().enumerate() {
        let near = |own: usize| {
            let (other, wide) = readings[own];
            (mean - other).abs() < ONE_OUTCOME * variance.min(wide).sqrt()
        };
        match clusters.iter_mut().find(|cluster| near(cluster.0)) {
            Some(cluster) => cluster.1 += shares[at],
            None => clusters.push((at, shares[at])),
        }
    }
    clusters
}

/// Whether some reading that is offered parts two sets by two standard deviations, or a look shows them apart.
pub(crate) fn parted(
    dictionary: &mut Dictionary,
    belief: &Belief,
    probes: &[Probe],
    one: usize,
    two: usize,
) -> bool {
    let sets = [one, two].map(|at| belief.candidates[at].set.clone());
    let faults = [0, 1].map(|at| dictionary.of_set(&sets[at]));
    let parts = faults.iter().flatten().flat_map(|fault| fault.parts());
    if parts.into_iter().any(|part| to_be_found(part, &faults[0]) != to_be_found(part, &faults[1])) {
        return true;
    }
    probes.iter().any(|&probe| {
        let [one, two] = [(one, &sets[0]), (two, &sets[1])].map(|(at, set)| {
            let expected = expected(dictionary, set, probe, Kind::default(), true);
            belief.candidates[at].filter.likeliest(&expected)
        });
        (one.0 - two.0).abs() > 2.0 * (one.1 + two.1).sqrt()
    })
}

/// The readings that are offered after a report.
pub(crate) fn probes(dictionary: &Dictionary, belief: &Belief) -> Vec<Probe> {
    let weighed = Weighed::of(dictionary, belief);
    let asks = offered(dictionary, &weighed, &[]);
    let probes = asks.into_iter().filter_map(|ask| match ask {
        Ask::Measure(probe) => Some(probe),
        _ => None,
    });
    probes.collect()
}
