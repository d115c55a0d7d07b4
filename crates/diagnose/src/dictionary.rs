//! What every known mistake on a plan does: made once, in portions, and kept.

use std::collections::BTreeMap;

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::Strip;
use halfrow_core::card::Value;
use halfrow_core::part::{Depth, Part};
use halfrow_core::parts::STAPLES;
use halfrow_core::solve::solve;

use crate::behaviour::{Behaviour, Doubt, METER_OHMS, Spot, doubts, loaded_volts};
use crate::fault::{Change, Fault, apply_all};
use crate::generate::faults;
use crate::symptom::ground;

/// A set of mistakes that may be on a build, by their numbers: none (the right build), one or two.
pub type Mistakes = Vec<u16>;

/// A voltage that moves by this much when meters are put everywhere is soft: what a meter reads there
/// depends on the meter, volts. Below what any meter here shows apart.
const SOFT_VOLTS: f64 = 0.005;

/// What is known of one set of mistakes.
#[derive(Clone, Debug)]
pub(crate) struct Known {
    pub bench: Bench,
    pub behaviour: Behaviour,
    /// The strips whose voltage a meter changes; worked out when asked for.
    soft: Option<Vec<Strip>>,
    /// The same with each doubt a standard deviation off; worked out when asked for.
    off: Option<Vec<Option<Behaviour>>>,
    loaded: BTreeMap<(Spot, Spot, bool), f64>,
}

impl Known {
    fn of(bench: Bench) -> Known {
        let behaviour = Behaviour::of(&bench);
        Known { bench, behaviour, soft: None, off: None, loaded: BTreeMap::new() }
    }
}

/// The mistakes on a plan and what each does.
#[derive(Clone, Debug)]
pub struct Dictionary {
    plan: Bench,
    faults: Vec<Fault>,
    doubts: Vec<Doubt>,
    known: BTreeMap<Mistakes, Known>,
    /// How many of the single mistakes are done.
    done: usize,
}

impl Dictionary {
    /// The dictionary of a plan, still empty but for the right build. The order of the plan's parts counts for
    /// nothing: they are put into the order of their names first ([`Dictionary::plan`]).
    pub fn of(plan: &Bench) -> Dictionary {
        let plan = in_order(plan);
        let faults = faults(&plan);
        let mut known = BTreeMap::new();
        known.insert(Vec::new(), Known::of(plan.clone()));
        Dictionary { doubts: doubts(&plan), faults, known, done: 0, plan }
    }

    /// Goes on for so many mistakes; says whether that was the last. What it makes is the same to the bit
    /// however it is divided.
    pub fn go_on(&mut self, most: usize) -> bool {
        for _ in 0..most {
            if self.is_done() {
                break;
            }
            self.look_up(&vec![self.done as u16]);
            self.done += 1;
        }
        self.is_done()
    }

    /// Goes on to the end.
    pub fn finish(mut self) -> Dictionary {
        while !self.go_on(usize::MAX) {}
        self
    }

    /// Whether every single mistake is in it.
    pub fn is_done(&self) -> bool {
        self.done == self.faults.len()
    }

    /// How many single mistakes are in it, and how many there are.
    pub fn progress(&self) -> (usize, usize) {
        (self.done, self.faults.len())
    }

    /// The plan, with its parts in the order of their names: symptoms speak of parts by their place in this.
    pub fn plan(&self) -> &Bench {
        &self.plan
    }

    /// The single mistakes.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    /// The mistakes of a set.
    pub fn of_set(&self, set: &[u16]) -> Vec<&Fault> {
        set.iter().map(|&at| &self.faults[usize::from(at)]).collect()
    }

    /// What the right build does.
    pub fn right(&self) -> &Behaviour {
        &self.known[&Vec::new()].behaviour
    }

    /// Works out what a set of mistakes does, if it hasn't been. Says whether it can be made.
    pub(crate) fn look_up(&mut self, set: &Mistakes) -> bool {
        if self.known.contains_key(set) {
            return true;
        }
        let Some(bench) = apply_all(&self.plan, &self.of_set(set)) else { return false };
        self.known.insert(set.clone(), Known::of(bench));
        true
    }

    /// What a set does that has been looked up.
    pub(crate) fn known(&self, set: &Mistakes) -> &Known {
        &self.known[set]
    }

    /// The voltage that a meter reads between two spots with a set of mistakes, volts; with the cheap meter
    /// of a megohm or the usual one of ten.
    pub(crate) fn volts(&mut self, set: &Mistakes, red: Spot, black: Spot, cheap: bool) -> f64 {
        let it = &self.known[set];
        if !it.behaviour.joined(&it.bench, red, black) {
            return 0.0;
        }
        if it.soft.is_none() {
            let soft = soft_strips(&it.bench, &it.behaviour, &self.plan);
            self.entry(set).soft = Some(soft);
        }
        let it = self.entry(set);
        let soft = it.soft.as_deref().unwrap_or(&[]);
        let is_soft = |spot: Spot| match place(&it.bench, spot) {
            Some(strip) => soft.binary_search(&strip).is_ok(),
            None => true,
        };
        let plain = it.behaviour.volts(&it.bench, red, black);
        if it.behaviour.restless || !(is_soft(red) || is_soft(black)) {
            return plain;
        }
        if let Some(&volts) = it.loaded.get(&(red, black, cheap)) {
            return volts;
        }
        let ohms = if cheap { METER_OHMS / 10.0 } else { METER_OHMS };
        let volts = loaded_volts(&it.bench, red, black, ohms);
        it.loaded.insert((red, black, cheap), volts);
        volts
    }

    fn entry(&mut self, set: &Mistakes) -> &mut Known {
        self.known.get_mut(set).expect("a set that has been looked up")
    }

    /// What is not known exactly of the plan's parts.
    pub fn doubts(&self) -> &[Doubt] {
        &self.doubts
    }

    /// What a set does with each doubt a standard deviation off; `None` where it makes no difference.
    pub(crate) fn off(&mut self, set: &Mistakes) -> &[Option<Behaviour>] {
        if self.known[set].off.is_none() {
            let changed = self.changed_values(set);
            let bench = &self.known[set].bench;
            let restless = self.known[set].behaviour.restless;
            let off = self.doubts.iter().map(|doubt| {
                let counts = !restless && !changed.contains(&doubt.part());
                counts.then(|| doubt.apply(bench)).flatten().map(|bench| Behaviour::of(&bench))
            });
            let off = off.collect();
            self.entry(set).off = Some(off);
        }
        self.known[set].off.as_deref().unwrap_or(&[])
    }

    /// The parts whose values are no longer the plan's.
    fn changed_values(&self, set: &[u16]) -> Vec<PartIx> {
        let changed = |fault: &&Fault| match fault.change {
            Change::Value { part, .. } | Change::Broken { part, .. } => Some(part),
            _ => None,
        };
        self.of_set(set).iter().filter_map(changed).collect()
    }
}

/// The strip that a spot is on; `None` for a leg in the air.
fn place(bench: &Bench, spot: Spot) -> Option<Strip> {
    match spot {
        Spot::Hole(hole) => bench.strip(hole),
        Spot::Leg(leg) => {
            let at = bench.part(leg.part).legs.get(leg.pin)?;
            if at.depth == Depth::Full { bench.strip(at.hole?) } else { None }
        }
    }
}

/// The strips whose voltage changes when a meter is put between each of them and ground, all at once.
fn soft_strips(bench: &Bench, behaviour: &Behaviour, plan: &Bench) -> Vec<Strip> {
    let card = STAPLES.into_iter().find(|card| card.is_chosen_by_ohms());
    let (Some(card), Some(Spot::Hole(ground))) = (card, ground(plan)) else { return Vec::new() };
    let mut strips: Vec<(Strip, LegId)> = bench
        .legs()
        .filter(|(_, leg)| leg.depth == Depth::Full)
        .filter_map(|(id, leg)| Some((bench.strip(leg.hole?)?, id)))
        .collect();
    strips.sort_unstable();
    strips.dedup_by_key(|it| it.0);
    let mut with = bench.clone();
    for (strip, leg) in &strips {
        if bench.strip(ground) == Some(*strip) {
            continue;
        }
        let mut meter = Part::new("", card);
        meter.values[0] = Value::Number(METER_OHMS);
        meter.legs[0].hole = bench.part(leg.part).legs[leg.pin].hole;
        meter.legs[1].hole = Some(ground);
        with.parts.push(meter);
    }
    let point = solve(&with);
    let reference = point.strip_volts(bench.strip(ground).unwrap_or(strips[0].0)).unwrap_or(0.0);
    let mut soft: Vec<Strip> = Vec::new();
    for (strip, leg) in strips {
        let before = behaviour.volts(bench, Spot::Leg(leg), Spot::Hole(ground));
        let after = point.strip_volts(strip).map_or(0.0, |volts| volts - reference);
        if (before - after).abs() > SOFT_VOLTS {
            soft.push(strip);
        }
    }
    soft
}

/// The bench with its parts in the order of their names, numbers counted as numbers: R2 before R10.
fn in_order(plan: &Bench) -> Bench {
    let mut bench = plan.clone();
    bench.meters.clear();
    let key = |id: &str| {
        let letters: String = id.chars().take_while(|c| !c.is_ascii_digit()).collect();
        let number = id[letters.len()..].parse::<u64>().unwrap_or(0);
        (letters, number, id.to_owned())
    };
    bench.parts.sort_by_cached_key(|part| key(&part.id));
    bench
}
