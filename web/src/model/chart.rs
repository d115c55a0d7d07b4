//! How the chart is set: what it shows, its scales, its trigger.

use halfrow_core::board::Hole;
use halfrow_core::card::{Duty, Group, Value};
use halfrow_core::math;
use halfrow_core::part::Part;
use halfrow_core::probe::Probe;

use crate::model::state::Solved;

/// How many probes a chart has.
pub const PROBES: usize = 4;

/// The steps that a division can be, seconds or volts: 1, 2 and 5 of each power of ten, from 100 ns on.
pub fn step(index: usize) -> f64 {
    [1.0, 2.0, 5.0][index % 3] * math::pow(10.0, (index / 3) as f64 - 7.0)
}

/// How many of them are on offer as seconds, up to 5 s.
pub const SECONDS: usize = 24;
/// The one that a chart begins with, 200 ms: what blinks once a second is seen to do so twice.
const BEGINS: usize = 19;
/// How many are on offer as volts, up to 5 V; a place before them stands for what fits by itself.
pub const VOLTS: usize = 7;

/// Volts a division by their place, 0 where they fit by themselves.
pub fn volts(place: usize) -> f64 {
    if place == 0 { 0.0 } else { step(SECONDS - VOLTS - 1 + place) }
}

/// When the chart begins anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trigger {
    /// Not at all: the newest is at the right edge.
    Free,
    /// When the first trace rises through the level.
    Rise,
    /// When it falls through it.
    Fall,
}

/// How the chart is set; part of the page's state.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// What it shows.
    pub probes: [Option<Probe>; PROBES],
    /// Place of the `step` that a division is.
    pub seconds: usize,
    /// Place of the `volts` that one is upwards.
    pub volts: usize,
    /// When it begins anew.
    pub trigger: Trigger,
    /// Level of the trigger, volts (or amperes).
    pub level: f64,
    /// Whether it stops after one picture.
    pub single: bool,
    /// Places of the two cursors, shares of the width; `None` while they are off.
    pub cursors: Option<(f64, f64)>,
}

impl Default for Chart {
    fn default() -> Chart {
        Chart {
            probes: [const { None }; PROBES],
            seconds: BEGINS,
            volts: 0,
            trigger: Trigger::Free,
            level: 1.0,
            single: false,
            cursors: None,
        }
    }
}

/// What is worth watching on a bench that takes time: the voltage of its largest capacitor, what its chips
/// drive, or else its lamps and motors, and the current into the first of these.
pub fn suggested(solved: &Solved) -> [Option<Probe>; PROBES] {
    let (bench, nets) = (&*solved.bench, &solved.point.nets);
    let mut found: Vec<Probe> = Vec::new();
    if solved.is_timed() {
        let name = |hole: Hole| nets.of_hole(bench, hole).map(|net| nets.net(net).name.as_str());
        // A supply's voltage stays what it is.
        let moves = |hole: &Hole| name(*hole).is_some_and(|name| name.starts_with("net "));
        let of = |groups: &[Group]| {
            let parts = bench.parts.iter().filter(|part| groups.contains(&part.card.group));
            parts.cloned().collect::<Vec<_>>()
        };
        let watch = |part: &Part, found: &mut Vec<Probe>| {
            let hole = part.legs.iter().filter_map(|leg| leg.hole).find(moves);
            let known = |it: &Probe| matches!(it, Probe::Hole(other) if hole.and_then(name) == name(*other));
            if let Some(hole) = hole.filter(|_| !found.iter().any(known)) {
                found.push(Probe::Hole(hole));
            }
        };
        // The largest capacitor sets the pace; what only keeps a supply steady moves nowhere.
        let mut stores = of(&[Group::Store]);
        let size = |part: &Part| match part.values.first() {
            Some(Value::Number(size)) => *size,
            _ => 0.0,
        };
        stores.sort_by(|a, b| size(b).total_cmp(&size(a)));
        let mut stores = stores.iter();
        while let Some(part) = stores.next().filter(|_| found.is_empty()) {
            watch(part, &mut found);
        }
        for (part, pin) in
            bench.parts.iter().flat_map(|part| (0..part.legs.len()).map(move |pin| (part, pin)))
        {
            let drives = matches!(part.card.duties.get(pin), Some(Duty::Output | Duty::OpenOutput));
            if drives && found.len() < PROBES - 1 {
                watch(&Part { legs: vec![part.legs[pin]], ..part.clone() }, &mut found);
            }
        }
        let ends = of(&[Group::Light, Group::Move]);
        for part in ends.iter() {
            if found.len() < 2 {
                watch(part, &mut found);
            }
        }
        found.extend(ends.first().map(|part| Probe::current(part.id.clone())));
    }
    let mut found = found.into_iter();
    std::array::from_fn(|_| found.next())
}

impl Chart {
    /// Watches something more, in the first free place or else in the last one. Says which place that is.
    pub fn watch(&mut self, probe: Probe) -> usize {
        let there = self.probes.iter().position(|it| it.as_ref() == Some(&probe));
        let free = || self.probes.iter().position(Option::is_none);
        let place = there.or_else(free).unwrap_or(PROBES - 1);
        self.probes[place] = Some(probe);
        place
    }

    /// Whether it shows something of this unit.
    pub fn shows(&self, unit: &str) -> bool {
        self.probes.iter().flatten().any(|probe| probe.unit().symbol() == unit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::amount::plain;

    #[test]
    fn what_takes_time_has_something_worth_watching_and_nothing_twice() {
        for example in halfrow_file::examples::ALL {
            let solved = Solved::of(halfrow_file::read(example.text()).unwrap());
            let all: Vec<Probe> = suggested(&solved).into_iter().flatten().collect();
            assert_eq!(all.is_empty(), !solved.is_timed(), "{}", example.slug);
            let nets: Vec<_> = all
                .iter()
                .filter_map(|probe| match probe {
                    Probe::Hole(hole) => solved.point.nets.of_hole(&solved.bench, *hole),
                    Probe::Current { .. } => None,
                })
                .collect();
            for (index, net) in nets.iter().enumerate() {
                assert!(!nets[..index].contains(net), "{}", example.slug);
            }
        }
    }

    #[test]
    fn a_fifth_trace_takes_the_last_place_and_the_same_one_none() {
        let mut chart = Chart::default();
        let names = ["R1", "R2", "R3", "R4", "R5", "R2"];
        assert_eq!(names.map(|name| chart.watch(Probe::current(name))), [0, 1, 2, 3, 3, 1]);
    }

    #[test]
    fn times_on_offer_go_in_steps_of_1_2_5() {
        let words =
            |from: usize| (from..from + 7).map(|it| plain(step(it), "s")).collect::<Vec<_>>().join(", ");
        assert_eq!(words(0), "100 ns, 200 ns, 500 ns, 1 µs, 2 µs, 5 µs, 10 µs");
        assert_eq!(words(SECONDS - 7), "50 ms, 100 ms, 200 ms, 500 ms, 1 s, 2 s, 5 s");
        assert_eq!(plain(step(BEGINS), "s"), "200 ms");
        assert_eq!([0, 1, VOLTS].map(volts).map(|it| plain(it, "V")), ["0 V", "50 mV", "5 V"]);
    }
}
