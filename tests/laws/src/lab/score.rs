//! What a second pair of eyes makes of a slip, in figures.

use std::collections::BTreeMap;

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::{Group, Range, Value};
use halfrow_core::part::Part;
use halfrow_core::solve::{OperatingPoint, solve};
use halfrow_judge::{Finding, Severity, check};

use super::remedy::followed;
use super::slips::Slip;

/// The most positions that are tried.
const MOST_POSITIONS: usize = 64;

/// Whether a part is worked by hand or by the weather.
fn is_worked(part: &Part) -> bool {
    part.card.source.is_none() && part.card.group != Group::Move
}

/// The bench in every position of its switches; each knob and each weather at both ends and in the middle
/// besides.
pub fn positions(bench: &Bench) -> Vec<Bench> {
    let mut all = vec![bench.clone()];
    let mut knobs = Vec::new();
    // A supply's own knobs are set and left, and what holds a motor is no knob.
    for (index, part) in bench.parts.iter().enumerate().filter(|it| is_worked(it.1)) {
        for (param, it) in part.card.params.iter().enumerate().filter(|(_, it)| it.live) {
            let values: Vec<Value> = match it.range {
                Range::Flag { .. } => vec![Value::Flag(false), Value::Flag(true)],
                Range::Choice { options, .. } => (0..options.len() as u8).map(Value::Choice).collect(),
                Range::Number { min, max, by_ratio, .. } => {
                    let middle = if by_ratio { (min * max).sqrt() } else { 0.5 * (min + max) };
                    knobs.extend([min, middle, max].map(|it| (index, param, Value::Number(it))));
                    continue;
                }
                Range::Whole { .. } => continue,
            };
            if all.len() * values.len() > MOST_POSITIONS {
                continue;
            }
            all = values
                .iter()
                .flat_map(|&value| {
                    all.iter().cloned().map(move |mut bench| {
                        bench.parts[index].values[param] = value;
                        bench
                    })
                })
                .collect();
        }
    }
    // A source that swings stands still at both of its peaks.
    for (index, part) in bench.parts.iter().enumerate().filter(|it| it.1.card.kind == "signal") {
        let [swing, middle] =
            ["amplitude_volts", "offset_volts"].map(|key| part.card.param(key).expect("a key"));
        let peak = part.number(swing);
        knobs.extend([peak, -peak].map(|it| (index, middle, Value::Number(it))));
    }
    for (index, param, value) in knobs {
        let mut bench = bench.clone();
        bench.parts[index].values[param] = value;
        all.push(bench);
    }
    all
}

/// What can be seen and measured of a part: its state and its current.
type Seen = (String, &'static str, f64);

/// What a bench does in every position, and what suffers.
#[derive(Clone, Debug, PartialEq)]
pub struct Deeds {
    seen: Vec<Vec<Seen>>,
    /// Parts that get too much in some position.
    pub hurt: Vec<String>,
    /// Lamps, motors and switches that never do anything in any position.
    pub asleep: Vec<String>,
    /// Legs that meet nobody.
    pub alone: usize,
}

/// Below this, two currents count as none, amperes.
const NOTHING: f64 = 20e-6;

impl Deeds {
    /// Of a bench.
    pub fn of(bench: &Bench) -> Deeds {
        let mut deeds = Deeds { seen: Vec::new(), hurt: Vec::new(), asleep: Vec::new(), alone: alone(bench) };
        for bench in positions(bench) {
            let point = solve(&bench);
            let mut seen: Vec<Seen> = Vec::new();
            for (index, part) in bench.parts.iter().enumerate() {
                let ix = PartIx(index);
                if is_hurt(&bench, &point, ix) && !deeds.hurt.contains(&part.id) {
                    deeds.hurt.push(part.id.clone());
                }
                if !part.card.is_wire() {
                    seen.push((part.id.clone(), point.state(&bench, ix).word, amps(&point, ix)));
                }
            }
            seen.sort_by(|a, b| a.0.cmp(&b.0));
            deeds.seen.push(seen);
        }
        deeds.hurt.sort();
        deeds.asleep = asleep(bench, &deeds.seen);
        deeds
    }

    /// Whether this is another circuit that is sound in itself: nothing suffers, sleeps or hangs alone that
    /// did not before. Without the plan nobody can see that it is not meant.
    pub fn is_sound_beside(&self, meant: &Deeds) -> bool {
        self.hurt.iter().all(|it| meant.hurt.contains(it))
            && self.asleep.iter().all(|it| meant.asleep.contains(it))
            && self.alone <= meant.alone
    }

    /// Whether two benches do the same. Parts that only one of them has don't count, unless they are all
    /// that differs in what the others do.
    pub fn same_as(&self, other: &Deeds) -> bool {
        self.seen.len() == other.seen.len()
            && self.seen.iter().zip(&other.seen).all(|(a, b)| {
                a.iter().all(|one| {
                    b.iter().find(|it| it.0 == one.0).is_none_or(|it| {
                        let (x, y) = (one.2, it.2);
                        it.1 == one.1 && ((x - y).abs() < 0.2 * x.max(y) || x.max(y) < NOTHING)
                    })
                })
            })
    }
}

/// Legs that are alone over their strip.
fn alone(bench: &Bench) -> usize {
    let strips: Vec<_> = bench.legs().map(|(_, leg)| leg.hole.and_then(|hole| bench.strip(hole))).collect();
    strips.iter().filter(|strip| strips.iter().filter(|it| it == strip).count() == 1).count()
}

/// What never changes: a lamp or motor without current in every position, a switch without effect.
fn asleep(bench: &Bench, seen: &[Vec<Seen>]) -> Vec<String> {
    let mut found = Vec::new();
    let all = positions(bench);
    let amps_of = |seen: &[Seen], id: &str| seen.iter().find(|it| it.0 == id).map_or(0.0, |it| it.2);
    for (index, part) in bench.parts.iter().enumerate() {
        let moves = matches!(part.card.group, Group::Light | Group::Move);
        if moves && seen.iter().all(|it| amps_of(it, &part.id) < 3e-4) {
            found.push(part.id.clone());
        }
        let differs = |a: usize, b: usize| {
            let others = |n: usize| seen[n].iter().filter(|it| it.0 != part.id);
            others(a).zip(others(b)).any(|(x, y)| {
                let most = x.2.max(y.2);
                most > NOTHING && (x.2 - y.2).abs() > 0.1 * most
            })
        };
        let only_it = |a: usize, b: usize| {
            let same = |other: usize| all[a].parts[other].values == all[b].parts[other].values;
            all[a].parts[index].values != all[b].parts[index].values
                && (0..bench.parts.len()).all(|other| other == index || same(other))
        };
        let works = (0..all.len()).any(|a| (a + 1..all.len()).any(|b| only_it(a, b) && differs(a, b)));
        if part.card.group == Group::Switch && part.card.params.iter().any(|it| it.live) && !works {
            found.push(part.id.clone());
        }
    }
    found
}

fn amps(point: &OperatingPoint, part: PartIx) -> f64 {
    point.part(part).largest_amps()
}

/// Whether a part gets more than it stands.
pub fn is_hurt(bench: &Bench, point: &OperatingPoint, ix: PartIx) -> bool {
    let part = bench.part(ix);
    let reading = point.part(ix);
    if let Some(source) = part.card.source {
        let amps = reading.pins[usize::from(source.minus)].amps;
        return amps > 1.02 * (source.safe_amps)(part);
    }
    let limits = (part.card.limits)(part);
    if part.card.is_wire() || part.card.group == Group::Switch {
        return false;
    }
    limits.amps.is_some_and(|limit| reading.most_amps(part.card) > 1.02 * limit)
        || limits.watts.is_some_and(|limit| reading.watts > 1.02 * limit)
        || part.card.wear.is_some_and(|wear| (wear.strain)(part, reading) > 1.05)
}

/// The most words that a finding may have before its why is opened.
pub const MOST_WORDS: usize = 45;

/// Figures of many slips.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// Slips that change what the bench does.
    pub matter: usize,
    /// Slips that leave another circuit that is sound in itself, counted apart; and those of them of which
    /// something is told.
    pub sound: usize,
    /// See [`Tally::sound`].
    pub sound_told: usize,
    /// Of those that matter, the ones that are told as a fault or a risk.
    pub noticed: usize,
    /// Slips with a part to name, and those where it comes first.
    pub nameable: usize,
    /// The true part comes first.
    pub part: usize,
    /// The true part comes first, or second where two possibilities are told and the first remedy mends it.
    pub either: usize,
    /// The first hole is in a half row or rail where a leg that slipped is.
    pub hole: usize,
    /// The same, or one of the holes where two possibilities are told and the first remedy mends it.
    pub either_hole: usize,
    /// The first finding speaks of other parts only.
    pub innocent: usize,
    /// Following the first remedy makes the bench do what it should.
    pub healed: usize,
    /// Following a remedy hurts something that was not hurt.
    pub harm: usize,
    /// The most words of a finding before its why.
    pub longest: usize,
    /// Findings that are longer than [`MOST_WORDS`].
    pub wordy: Vec<String>,
    /// Lines for people.
    pub lines: Vec<String>,
}

/// What is told as a fault or a risk.
pub fn told(bench: &Bench) -> Vec<Finding> {
    let mut found = check(bench, &solve(bench));
    found.retain(|it| it.severity != Severity::Habit);
    found
}

impl Tally {
    /// Adds a slip on a bench whose right deeds are known.
    pub fn add(&mut self, slip: &Slip, meant: &Deeds, right: &Bench, family: &str) {
        let deeds = Deeds::of(&slip.bench);
        if deeds.same_as(meant) && deeds.hurt == meant.hurt {
            return;
        }
        if deeds.is_sound_beside(meant) {
            self.sound += 1;
            self.sound_told += usize::from(!told(&slip.bench).is_empty());
            return;
        }
        self.matter += 1;
        let found = told(&slip.bench);
        let words =
            |text: &str| text.split_whitespace().filter(|it| it.chars().any(char::is_alphanumeric)).count();
        for it in &found {
            let count = words(&it.symptom) + words(&it.says) + words(&it.remedy);
            self.longest = self.longest.max(count);
            if count > MOST_WORDS {
                self.wordy.push(format!("{count} {}: {} {} {}", it.code, it.symptom, it.says, it.remedy));
            }
        }
        let mut note = |what: &str| {
            let words = |it: &Finding| format!("{}: {} >> {}", it.code, it.says, it.remedy);
            let all: Vec<String> = found.iter().take(3).map(words).collect();
            self.lines.push(format!("{what} | {family} | {}\n      {}", slip.name, all.join("\n      ")));
        };
        let Some(first) = found.first() else {
            note("SILENT");
            if !slip.parts.is_empty() {
                self.nameable += 1;
            }
            return;
        };
        self.noticed += 1;
        let id = |part: &PartIx| &slip.bench.part(*part).id;
        // The holes of a strip are one: of a part with both legs in it, either may be moved.
        let strips: Vec<_> = slip.at.iter().map(|&hole| slip.bench.strip(hole)).collect();
        let is_there = |hole: &Hole| strips.contains(&slip.bench.strip(*hole));
        if !slip.parts.is_empty() {
            self.nameable += 1;
            let is_true = first.parts.first().is_some_and(|part| slip.parts.contains(id(part)));
            self.part += usize::from(is_true);
            let exact = first.holes.first().is_some_and(&is_there) && is_true;
            self.hole += usize::from(exact);
            // Two possibilities, told as such, of which the first remedy mends what the other did.
            let is_second = (first.says.contains(" or else ") || first.says.contains("Either may"))
                && first.parts.get(1).is_some_and(|part| slip.parts.contains(id(part)))
                && heals(first, slip, meant);
            self.either += usize::from(is_true || is_second);
            self.either_hole += usize::from(exact || is_second && first.holes.iter().any(is_there));
            if !first.parts.iter().any(|part| slip.parts.contains(id(part))) {
                self.innocent += 1;
                note("INNOCENT");
            } else if !is_true && !is_second {
                note("PART");
            } else if !exact && !is_second {
                note("HOLE");
            }
        }
        let mut healed = fills(first, slip, right);
        for (place, finding) in found.iter().enumerate() {
            let Some(after) = followed(&slip.bench, &finding.parts, &finding.remedy) else { continue };
            let then = Deeds::of(&after);
            healed |= place == 0 && then.same_as(meant) && then.hurt == meant.hurt;
            if let Some(hurt) =
                then.hurt.iter().find(|it| !deeds.hurt.contains(it) && !meant.hurt.contains(it))
            {
                self.harm += 1;
                note(&format!("HARM to {hurt} by {place}"));
                break;
            }
        }
        self.healed += usize::from(healed);
        if !healed {
            note("REMEDY");
        }
    }

    /// Adds another tally.
    pub fn and(&mut self, other: &Tally) {
        self.matter += other.matter;
        self.sound += other.sound;
        self.sound_told += other.sound_told;
        self.noticed += other.noticed;
        self.nameable += other.nameable;
        self.part += other.part;
        self.hole += other.hole;
        self.either += other.either;
        self.either_hole += other.either_hole;
        self.innocent += other.innocent;
        self.healed += other.healed;
        self.harm += other.harm;
        self.longest = self.longest.max(other.longest);
        self.wordy.extend(other.wordy.iter().cloned());
        self.lines.extend(other.lines.iter().cloned());
    }

    /// Shares in per cent: noticed, part, hole, innocent, healed, either, either's hole.
    pub fn shares(&self) -> [f64; 7] {
        let share = |part: usize, all: usize| 100.0 * part as f64 / all.max(1) as f64;
        [
            share(self.noticed, self.matter),
            share(self.part, self.nameable),
            share(self.hole, self.nameable),
            share(self.innocent, self.nameable),
            share(self.healed, self.matter),
            share(self.either, self.nameable),
            share(self.either_hole, self.nameable),
        ]
    }
}

/// Whether following a remedy makes a bench do what it should.
fn heals(finding: &Finding, slip: &Slip, meant: &Deeds) -> bool {
    followed(&slip.bench, &finding.parts, &finding.remedy).is_some_and(|after| {
        let then = Deeds::of(&after);
        then.same_as(meant) && then.hurt == meant.hurt
    })
}

/// Whether a finding says where a missing part belongs: its first two holes are in the half rows or rails
/// that its legs were in, or in rows that metal joins to those.
fn fills(finding: &Finding, slip: &Slip, right: &Bench) -> bool {
    if slip.gap.is_empty() {
        return false;
    }
    let nets = crate::relayout::nets(right);
    let net_of = |hole: Hole| -> Option<usize> {
        let strip = right.strip(hole)?;
        right.legs().find_map(|(leg, it)| {
            (right.strip(it.hole?) == Some(strip)).then(|| nets[leg.part.0][leg.pin])?
        })
    };
    let wanted: Vec<Option<usize>> = slip.gap.iter().map(|&hole| net_of(hole)).collect();
    let named: Vec<Option<usize>> = super::remedy::holes_in(&finding.remedy)
        .into_iter()
        .chain(finding.holes.iter().copied())
        .take(2)
        .map(net_of)
        .collect();
    if slip.gap.len() > 3 {
        // A chip: any hole that it had.
        return finding.holes.iter().any(|&hole| wanted.contains(&net_of(hole)));
    }
    named.len() == 2 && named.iter().all(|net| net.is_some() && wanted.contains(net))
}

/// Figures by kind of slip or by family.
pub type Table = BTreeMap<String, Tally>;
