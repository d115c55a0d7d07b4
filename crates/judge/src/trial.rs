//! A bench tried out in every position of its switches and knobs: what suffers, and what never does
//! anything.

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::card::{Duty, Group, Range, Value};
use halfrow_core::part::Part;
use halfrow_core::solve::{OperatingPoint, solve_in_portions};
use halfrow_core::time::portions::LetGo;

use crate::second::PORTION;

/// The most positions of switches that are tried in all combinations; beyond that each switch alone.
const MOST: usize = 64;

/// Whether a part is worked by hand or by the weather.
fn is_worked(part: &Part) -> bool {
    part.card.source.is_none() && part.card.group != Group::Move
}

/// Where the switches and knobs stand: parts, which value of theirs, and what it is.
type Position = Vec<(PartIx, usize, Value)>;

/// The positions of a bench: every combination of its switches, and each knob and each weather at both
/// ends and in the middle besides.
pub(crate) fn positions(bench: &Bench) -> Vec<Position> {
    let mut all: Vec<Position> = vec![Vec::new()];
    let mut alone = Vec::new();
    // A supply's own knobs are set and left, and what holds a motor is no knob.
    for (index, part) in bench.parts.iter().enumerate().filter(|it| is_worked(it.1)) {
        for (param, it) in part.card.params.iter().enumerate().filter(|(_, it)| it.live) {
            let own = |value| (PartIx(index), param, value);
            let values: Vec<Value> = match it.range {
                Range::Flag { .. } => vec![Value::Flag(false), Value::Flag(true)],
                Range::Choice { options, .. } => (0..options.len() as u8).map(Value::Choice).collect(),
                Range::Number { min, max, by_ratio, .. } => {
                    let middle = if by_ratio { (min * max).sqrt() } else { 0.5 * (min + max) };
                    alone.extend([min, middle, max].map(|it| vec![own(Value::Number(it))]));
                    continue;
                }
                Range::Whole { .. } => continue,
            };
            if all.len() * values.len() > MOST {
                alone.extend(values.into_iter().map(|value| vec![own(value)]));
                continue;
            }
            let with = |value: &Value| {
                let more = own(*value);
                all.iter().map(move |position| [position.as_slice(), &[more]].concat()).collect::<Vec<_>>()
            };
            all = values.iter().flat_map(with).collect();
        }
    }
    alone.extend(peaks(bench));
    all.extend(alone);
    all
}

/// A source that swings, held at both of its peaks: what blocks in one passes in the other.
fn peaks(bench: &Bench) -> Vec<Position> {
    let mut found = Vec::new();
    for (index, part) in bench.parts.iter().enumerate() {
        let swings = part.card.source.is_some_and(|source| (source.swings)(part));
        let [swing, middle] = ["amplitude_volts", "offset_volts"].map(|key| part.card.param(key));
        let (true, Some(swing), Some(middle)) = (swings, swing, middle) else { continue };
        for sign in [1.0, -1.0] {
            let value = Value::Number(part.number(middle) + sign * part.number(swing));
            if part.card.params[middle].range.allows(value) {
                found.push(vec![(PartIx(index), middle, value)]);
            }
        }
    }
    found
}

/// What came of it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Trial {
    /// Parts that get more than they stand, sorted.
    pub hurt: Vec<PartIx>,
    /// Lamps, motors and sounders that never do anything, and switches that change nothing.
    pub idle: Vec<PartIx>,
}

/// Tries a bench in every position, a portion for each.
pub(crate) async fn trial(bench: &Bench) -> Trial {
    let mut bench = bench.clone();
    let mut hurt = vec![false; bench.parts.len()];
    let mut works = vec![false; bench.parts.len()];
    let mut changes = vec![false; bench.parts.len()];
    let mut seen: Vec<(Position, Vec<f64>)> = Vec::new();
    for position in positions(&bench) {
        let before = bench.parts.iter().map(|part| part.values.clone()).collect::<Vec<_>>();
        for &(part, param, value) in &position {
            bench.parts[part.0].values[param] = value;
        }
        let point = solve_in_portions(&bench, PORTION).await;
        let amps: Vec<f64> =
            (0..bench.parts.len()).map(|part| point.part(PartIx(part)).largest_amps()).collect();
        for index in 0..bench.parts.len() {
            hurt[index] |= is_hurt(&bench, &point, PartIx(index));
            works[index] |= does_something(&bench, &point, PartIx(index));
        }
        // Against each position that differs in one switch alone.
        for (other, others) in &seen {
            let differ: Vec<PartIx> =
                position.iter().zip(other).filter(|(a, b)| a.2 != b.2).map(|(a, _)| a.0).collect();
            let one = position.len() == other.len() && differ.len() == 1;
            if let (true, Some(&switch)) = (one, differ.first()) {
                changes[switch.0] |= differs(&bench, &amps, others, switch);
            }
        }
        if position.len() != 1 || seen.len() < 2 {
            seen.push((position, amps));
        }
        for (part, values) in bench.parts.iter_mut().zip(before) {
            part.values = values;
        }
        LetGo::default().await;
    }
    let is_idle = |index: usize| {
        let part = &bench.parts[index];
        let is_in = part.legs.iter().any(|leg| leg.hole.is_some());
        is_in
            && match part.card.group {
                Group::Light | Group::Move => !works[index],
                Group::Switch => part.card.params.iter().any(|it| it.live) && !changes[index],
                _ => false,
            }
    };
    let which =
        |is: &dyn Fn(usize) -> bool| (0..bench.parts.len()).filter(|&it| is(it)).map(PartIx).collect();
    Trial { hurt: which(&|it| hurt[it]), idle: which(&is_idle) }
}

/// Less than this is no current that anybody notices, amperes.
const NOTHING: f64 = 5e-6;

fn differs(bench: &Bench, amps: &[f64], others: &[f64], switch: PartIx) -> bool {
    (0..bench.parts.len()).filter(|&it| it != switch.0 && !bench.parts[it].card.is_wire()).any(|it| {
        let (a, b) = (amps[it], others[it]);
        a.max(b) > NOTHING && (a - b).abs() > 0.1 * a.max(b)
    })
}

fn does_something(bench: &Bench, point: &OperatingPoint, part: PartIx) -> bool {
    let state = point.state(bench, part);
    state.glow > 0.0 || state.spin != 0.0 || state.tone > 0.0 || point.part(part).largest_amps() > 3e-4
}

/// Whether a part gets more than it stands for long.
pub(crate) fn is_hurt(bench: &Bench, point: &OperatingPoint, ix: PartIx) -> bool {
    let (part, reading) = (bench.part(ix), point.part(ix));
    if let Some(source) = part.card.source {
        return reading.pins[usize::from(source.minus)].amps > (source.safe_amps)(part);
    }
    if part.card.is_wire() || part.card.group == Group::Switch {
        return false;
    }
    let limits = (part.card.limits)(part);
    // A chip's supply pins carry what several outputs give: its wear knows what they stand.
    let counts = |pin: usize| !matches!(part.card.duty(pin), Duty::Power | Duty::Ground);
    let most =
        || (0..reading.pins.len()).filter(|&pin| counts(pin) && !part.card.shared.contains(&(pin as u8)));
    let amps = || most().map(|pin| reading.pins[pin].amps.abs()).fold(0.0, f64::max);
    limits.amps.is_some_and(|limit| amps() > limit)
        || limits.watts.is_some_and(|limit| reading.watts > limit)
        || part.card.wear.is_some_and(|wear| (wear.strain)(part, reading) > 1.0)
}
