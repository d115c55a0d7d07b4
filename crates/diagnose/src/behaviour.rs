//! What a build does: the voltages of its strips and legs, and what a person sees of its parts.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Strip};
use halfrow_core::card::{Group, Range, State, Unit, Value};
use halfrow_core::part::{Depth, Part};
use halfrow_core::parts::STAPLES;
use halfrow_core::point::OperatingPoint;
use halfrow_core::readings::PinReading;
use halfrow_core::solve::solve;
use halfrow_core::time::{Care, Run};

/// What a tip touches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Spot {
    /// A hole, whatever is in its strip.
    Hole(Hole),
    /// A leg, wherever it is.
    Leg(LegId),
}

/// Resistance of a voltmeter, ohms: the usual hand-held one (Fluke 8020A: 10 MΩ on all ranges).
pub const METER_OHMS: f64 = 10e6;

/// The longest that a bench that never rests is watched, seconds of its time, and the most steps of it. A
/// lamp that blinks once in two seconds is seen to do so; one step takes some tens of microseconds.
const WATCH_SECONDS: f64 = 6.0;
/// See [`WATCH_SECONDS`].
const WATCH_STEPS: u32 = 900;

/// What a person notices of one part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noticed {
    /// Its state.
    pub state: State,
    /// How often its lamp comes on, hertz; 0 where it doesn't blink.
    pub blinks_hertz: f64,
    /// How hard it is driven as a share of what it bears for ever.
    pub strain_share: f64,
}

/// What a build does.
#[derive(Clone, Debug)]
pub struct Behaviour {
    strips: Vec<(Strip, f64, usize)>,
    pins: Vec<Vec<PinReading>>,
    /// What is noticed of each part.
    pub parts: Vec<Noticed>,
    /// Whether it never comes to rest; its voltages are means then.
    pub restless: bool,
}

impl Behaviour {
    /// What a bench does when it has been on for long, or over some seconds where it never rests.
    pub fn of(bench: &Bench) -> Behaviour {
        let point = solve(bench);
        let mut behaviour = Behaviour::at(bench, &point);
        if point.restless {
            behaviour.watch(bench);
        }
        behaviour
    }

    fn at(bench: &Bench, point: &OperatingPoint) -> Behaviour {
        let strips = point.circuit.strips.iter().enumerate();
        let strips =
            strips.map(|(node, &strip)| (strip, point.node_volts[node], point.node_island[node])).collect();
        let parts = (0..bench.parts.len()).map(|index| noticed(bench, point, PartIx(index))).collect();
        let pins = point.parts.iter().map(|reading| reading.pins.clone()).collect();
        Behaviour { strips, pins, parts, restless: point.restless }
    }

    /// How the lamps of a bench that never rests blink.
    fn watch(&mut self, bench: &Bench) {
        let mut run = Run::new(bench, Care::LIVE);
        run.until(WATCH_SECONDS, WATCH_STEPS);
        for (index, noticed) in self.parts.iter_mut().enumerate() {
            if bench.parts[index].card.group == Group::Light {
                noticed.blinks_hertz = run.rhythm(PartIx(index)).unwrap_or(0.0);
            }
        }
    }

    /// Voltage of a spot against its island's reference, volts, and the island. `None` where a tip touches
    /// nothing that a leg is joined to.
    fn at_spot(&self, bench: &Bench, spot: Spot) -> Option<(f64, usize)> {
        match spot {
            Spot::Hole(hole) => self.at_strip(bench.strip(hole)?),
            Spot::Leg(leg) => {
                let at = bench.part(leg.part).legs.get(leg.pin)?;
                match at.hole {
                    Some(hole) if at.depth == Depth::Full => self.at_strip(bench.strip(hole)?),
                    _ => {
                        let pin = self.pins[leg.part.0].get(leg.pin)?;
                        Some((pin.volts, pin.island))
                    }
                }
            }
        }
    }

    fn at_strip(&self, strip: Strip) -> Option<(f64, usize)> {
        let at = self.strips.binary_search_by(|it| it.0.cmp(&strip)).ok()?;
        Some((self.strips[at].1, self.strips[at].2))
    }

    /// What a voltmeter that draws nothing reads between two spots, volts. Between what isn't joined it is 0:
    /// the meter itself pulls one to the other.
    pub fn volts(&self, bench: &Bench, red: Spot, black: Spot) -> f64 {
        match (self.at_spot(bench, red), self.at_spot(bench, black)) {
            (Some((red, own)), Some((black, other))) if own == other => red - black,
            _ => 0.0,
        }
    }

    /// Whether two spots are joined by anything, so that a meter's own current may count.
    pub fn joined(&self, bench: &Bench, red: Spot, black: Spot) -> bool {
        match (self.at_spot(bench, red), self.at_spot(bench, black)) {
            (Some((_, own)), Some((_, other))) => own == other,
            _ => false,
        }
    }

    /// The current through a part, amperes without sign.
    pub fn amps(&self, part: PartIx) -> f64 {
        self.pins[part.0].iter().map(|pin| pin.amps.abs()).fold(0.0, f64::max)
    }
}

fn noticed(bench: &Bench, point: &OperatingPoint, part: PartIx) -> Noticed {
    let it = bench.part(part);
    let reading = point.part(part);
    let worn = it.card.wear.map_or(0.0, |wear| (wear.strain)(it, reading));
    let limits = (it.card.limits)(it);
    let over = |is: f64, limit: Option<f64>| limit.map_or(0.0, |limit| is.abs() / limit);
    let source = it.card.source.map_or(0.0, |source| reading.largest_amps() / (source.safe_amps)(it));
    let strain_share = worn
        .max(over(reading.most_amps(it.card), limits.amps))
        .max(over(reading.watts, limits.watts))
        .max(source);
    Noticed { state: point.state(bench, part), blinks_hertz: 0.0, strain_share }
}

/// What a voltmeter reads with its own resistance in the circuit, volts.
pub fn loaded_volts(bench: &Bench, red: Spot, black: Spot, meter_ohms: f64) -> f64 {
    let Some(card) = STAPLES.into_iter().find(|card| card.is_chosen_by_ohms()) else { return 0.0 };
    let mut with = bench.clone();
    let mut meter = Part::new("", card);
    meter.values[0] = Value::Number(meter_ohms);
    for (leg, spot) in meter.legs.iter_mut().zip([red, black]) {
        match spot {
            Spot::Hole(hole) => leg.hole = Some(hole),
            Spot::Leg(on) => {
                let at = bench.part(on.part).legs[on.pin];
                // A leg that is in its hole is as good as the hole.
                if at.hole.is_some() && at.depth == Depth::Full {
                    leg.hole = at.hole
                } else {
                    leg.on = Some(on)
                }
            }
        }
    }
    with.parts.push(meter);
    let point = solve(&with);
    let pins = &point.parts[bench.parts.len()].pins;
    pins[0].amps * meter_ohms
}

/// One thing about a part that nobody knows exactly: its value within its tolerance, a battery's charge.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubt {
    part: PartIx,
    param: usize,
    value: Value,
}

impl Doubt {
    /// The bench with this one off by its standard deviation.
    pub fn apply(&self, bench: &Bench) -> Option<Bench> {
        let mut off = bench.clone();
        let part = &mut off.parts[self.part.0];
        // What is broken or of another value has no such tolerance.
        let fits = part.card.params.get(self.param).is_some_and(|param| param.range.allows(self.value));
        if !fits || part.legs.iter().all(|leg| leg.hole.is_none()) {
            return None;
        }
        part.values[self.param] = self.value;
        Some(off)
    }

    /// The part.
    pub fn part(&self) -> PartIx {
        self.part
    }
}

/// A battery's charge is guessed to be off by this share: nobody knows how long it has been used.
const CHARGE_SHARE: f64 = 0.15;
/// A supply's own voltage, as a share (USB: 4.75 to 5.25 V, half of that as a standard deviation).
const SUPPLY_SHARE: f64 = 0.025;
/// A part without a tolerance of its own, as a share (10 % parts, even distribution).
const USUAL_SHARE: f64 = 0.06;
/// Light, heat and positions of knobs: as a ratio, or as a share of the range. Nobody sees to it.
const LIVE_RATIO: f64 = 1.2;
/// See [`LIVE_RATIO`].
const LIVE_SHARE: f64 = 0.04;

/// What is not known exactly of a plan's parts, each off by one standard deviation.
pub fn doubts(plan: &Bench) -> Vec<Doubt> {
    let mut doubts = Vec::new();
    for (index, part) in plan.parts.iter().enumerate() {
        for (param, own) in part.card.params.iter().enumerate() {
            let (Range::Number { unit, min, max, by_ratio, .. }, Value::Number(is)) =
                (own.range, part.values[param])
            else {
                continue;
            };
            let is_source = part.card.source.is_some();
            let off = match (unit, is_source, own.live) {
                (Unit::Share, true, _) => {
                    if is > 0.5 {
                        is - CHARGE_SHARE
                    } else {
                        is + CHARGE_SHARE
                    }
                }
                (Unit::Volt, true, _) => is * (1.0 + SUPPLY_SHARE),
                (_, true, _) => continue,
                (Unit::Ohm, _, false) => is * (1.0 + tolerance_share(part)),
                (_, _, true) if by_ratio => is * LIVE_RATIO,
                (_, _, true) => {
                    if is + LIVE_SHARE * (max - min) <= max {
                        is + LIVE_SHARE * (max - min)
                    } else {
                        is - LIVE_SHARE * (max - min)
                    }
                }
                _ => continue,
            };
            let value = Value::Number(off.clamp(min, max));
            if off != is {
                doubts.push(Doubt { part: PartIx(index), param, value });
            }
        }
    }
    doubts
}

/// Standard deviation of a part's value as a share: its tolerance, evenly distributed.
fn tolerance_share(part: &Part) -> f64 {
    // Of what a card gives as a tolerance in per cent: the word of the choice is the number.
    let percent = part.card.params.iter().enumerate().find_map(|(param, own)| {
        let (Range::Choice { options, .. }, true) = (own.range, own.key.ends_with("_percent")) else {
            return None;
        };
        options[part.index(param)].word.parse::<f64>().ok()
    });
    percent.map_or(USUAL_SHARE, |percent| 0.01 * percent / 1.732_050_807_568_877_2)
}
