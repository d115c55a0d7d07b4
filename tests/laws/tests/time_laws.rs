//! Laws of a bench whose clock runs: charge, energy, what a run must not depend on, and that a step
//! allocates nothing.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole, Place};
use halfrow_core::card::Value;
use halfrow_core::circuit::{Branch, Law, Node};
use halfrow_core::part::Part;
use halfrow_core::parts;
use halfrow_core::sample::{blinker, running_lights};
use halfrow_core::solve::OperatingPoint;
use halfrow_core::time::{Care, Run};
use halfrow_equations::stages::Stages;
use halfrow_equations::system::{Charge, System};

type Line<'a> = (&'a str, &'a [&'a str], &'a [(&'a str, Value)]);

fn bench(lines: &[Line<'_>]) -> Bench {
    let mut bench = Bench::new(BoardKind::Half);
    for (kind, holes, values) in lines {
        let card = parts::card(kind).expect("a kind");
        let part = PartIx(bench.parts.len());
        let mut it = Part::new(bench.next_id(card), card);
        for &(key, value) in *values {
            assert!(it.set(key, value), "{kind} {key}");
        }
        bench.parts.push(it);
        for (pin, hole) in holes.iter().enumerate() {
            bench.put_leg(LegId { part, pin }, Hole::parse(hole)).expect("a free hole");
        }
    }
    bench
}

const SQUARE: (&str, Value) = ("shape", Value::Choice(1));

/// A transistor that a square wave of 500 Hz switches, a coil with a diode beside it as its load.
fn coil_driver() -> Bench {
    bench(&[
        ("battery", &["L+1", "L-1"], &[("cells", Value::Whole(4))]),
        (
            "signal",
            &["a2", "L-2"],
            &[
                SQUARE,
                ("hertz", Value::Number(500.0)),
                ("amplitude_volts", Value::Number(2.5)),
                ("offset_volts", Value::Number(2.5)),
            ],
        ),
        ("resistor", &["b2", "a11"], &[("ohms", Value::Number(2200.0))]),
        ("transistor", &["L-10", "b11", "a12"], &[]),
        ("inductor", &["b12", "L+12"], &[("henries", Value::Number(0.05)), ("ohms", Value::Number(100.0))]),
        ("diode", &["c12", "L+16"], &[("type", Value::Choice(1))]),
    ])
}

/// A sine through a diode, a coil and a capacitor into a load: linear parts, a curve, both kinds of stores.
fn filter() -> Bench {
    bench(&[
        (
            "signal",
            &["L+1", "L-1"],
            &[("hertz", Value::Number(200.0)), ("amplitude_volts", Value::Number(8.0))],
        ),
        ("diode", &["L+5", "a5"], &[]),
        ("inductor", &["b5", "a9"], &[("henries", Value::Number(0.1)), ("ohms", Value::Number(20.0))]),
        ("capacitor", &["b9", "L-9"], &[("farads", Value::Number(4.7e-6))]),
        ("resistor", &["c9", "L-10"], &[("ohms", Value::Number(1000.0))]),
    ])
}

/// The worst sum of currents at any node as a share of 1 nA and a millionth of the largest there.
fn worst_node(point: &OperatingPoint) -> f64 {
    let mut sums = vec![(0.0_f64, 0.0_f64); point.circuit.nodes];
    for (element, &amps) in point.circuit.elements.iter().zip(&point.element_amps) {
        for (node, amps) in [(element.a.0, amps), (element.b.0, -amps)] {
            sums[node].0 += amps;
            sums[node].1 = sums[node].1.max(amps.abs());
        }
    }
    sums.iter().map(|(sum, most)| sum.abs() / (1e-9 + 1e-6 * most)).fold(0.0, f64::max)
}

#[test]
fn no_charge_is_lost_at_any_node_at_any_step() {
    let benches = [blinker(1000.0), running_lights(10.0), coil_driver(), filter()];
    for (bench, seconds) in benches.into_iter().zip([5e-3, 0.3, 5e-3, 1e-2]) {
        let mut run = Run::new(&bench, Care::LIVE);
        let mut steps = 0;
        while run.time() < seconds {
            run.advance();
            let point = run.point();
            let off = worst_node(&point);
            assert!(off < 1.0, "{} at {}: {off}", bench.title, run.time());
            steps += 1;
        }
        assert!(steps > 20, "{steps}");
    }
}

/// What went where in a run, joules.
#[derive(Clone, Copy, Debug, Default)]
struct Joules {
    given: f64,
    heat: f64,
    stored: f64,
    /// What stores took and gave.
    moved: f64,
}

/// Watts that sources give and that turn into heat, and the energy stored, at one moment.
fn power(point: &OperatingPoint, time: f64) -> (f64, f64, f64) {
    let (mut given, mut heat, mut stored) = (0.0, 0.0, 0.0);
    for (element, &amps) in point.circuit.elements.iter().zip(&point.element_amps) {
        let volts = point.node_volts[element.a.0] - point.node_volts[element.b.0];
        match element.law {
            Law::Source { volts: open, ohms } => {
                given -= open * amps;
                heat += ohms * amps * amps;
            }
            Law::Sine { offset, amplitude, hertz, since, ohms } => {
                let turns = hertz * (time - since);
                given -= (offset + amplitude * (std::f64::consts::TAU * turns).sin()) * amps;
                heat += ohms * amps * amps;
            }
            Law::Capacitance { farads, ohms } => {
                let inside = volts - ohms * amps;
                stored += 0.5 * farads * inside * inside;
                heat += ohms * amps * amps;
            }
            Law::Inductance { henries, ohms } => {
                stored += 0.5 * henries * amps * amps;
                heat += ohms * amps * amps;
            }
            _ => heat += volts * amps,
        }
    }
    (given, heat, stored)
}

/// Adds up a run of so many steps of one length by the trapezoidal rule.
fn account(bench: &Bench, step: f64, steps: usize) -> Joules {
    let mut run = Run::new(bench, Care { fixed_seconds: Some(step), ..Care::CLOSE });
    let mut sum = Joules::default();
    let mut before = power(&run.point(), run.time());
    let first = before.2;
    for _ in 0..steps {
        run.advance();
        let now = power(&run.point(), run.time());
        sum.given += 0.5 * step * (before.0 + now.0);
        sum.heat += 0.5 * step * (before.1 + now.1);
        sum.moved += (now.2 - before.2).abs();
        before = now;
    }
    assert_eq!(run.stalled(), None);
    sum.stored = before.2 - first;
    sum
}

#[test]
fn sources_give_what_turns_into_heat_and_what_is_stored() {
    // The miss is the method's error: a quarter of it with half the step.
    let bench = filter();
    let misses: Vec<f64> = [20e-6, 10e-6, 5e-6]
        .into_iter()
        .map(|step| {
            let it = account(&bench, step, (0.02 / step).round() as usize);
            assert!(it.given > 1e-4 && it.heat > 1e-4 && it.moved > 1e-4, "{it:?}");
            (it.given - it.heat - it.stored).abs() / it.given
        })
        .collect();
    assert!(misses[0] < 2e-3 && misses[2] > 1e-9, "{misses:?}");
    for pair in misses.windows(2) {
        assert!((3.0..5.5).contains(&(pair[0] / pair[1])), "{misses:?}");
    }
}

#[test]
fn energy_adds_up_over_a_switching_run_with_steps_of_its_own() {
    let bench = coil_driver();
    let mut run = Run::new(&bench, Care::CLOSE);
    let mut sum = Joules::default();
    let mut before = power(&run.point(), run.time());
    let first = before.2;
    while run.time() < 0.01 {
        let (_, earlier) = run.last_step();
        run.advance();
        let step = run.time() - earlier;
        let now = power(&run.point(), run.time());
        // Voltages jump where the wave does, at the end of a step: its last currents are not the new ones.
        let shown = power(&run.point_at(run.time() - 1e-6 * step), run.time());
        sum.given += 0.5 * step * (before.0 + shown.0);
        sum.heat += 0.5 * step * (before.1 + shown.1);
        before = now;
    }
    sum.stored = before.2 - first;
    assert!(sum.given > 1e-4, "{sum:?}");
    let miss = (sum.given - sum.heat - sum.stored) / sum.given;
    assert!(miss.abs() < 1e-3, "{miss} {sum:?}");
}

/// A coil of 10 mH and a capacitor of 1 µF without any loss, charged to 5 V, after so many steps.
struct Ring {
    system: System,
    stages: Stages,
    charges: Vec<Charge>,
    volts: Vec<f64>,
}

const HENRIES: f64 = 0.01;
const FARADS: f64 = 1e-6;

impl Ring {
    fn new() -> Ring {
        let branch = |law| Branch { a: Node(1), b: Node(0), controls: None, law };
        // A thousandth of a nano-ohm: the laws want more than none.
        let branches = [
            branch(Law::Capacitance { farads: FARADS, ohms: 1e-12 }),
            branch(Law::Inductance { henries: HENRIES, ohms: 1e-12 }),
        ];
        let system = System::new(2, &branches, [Node(0)].into_iter());
        let stages = Stages::new(2, 2);
        let charges = vec![Charge { x: 5.0, rate: 0.0 }, Charge { x: 0.0, rate: 5.0 / HENRIES }];
        Ring { system, stages, charges, volts: vec![0.0, 5.0] }
    }

    fn run(&mut self, steps: u32, step: f64) {
        for number in 0..steps {
            let time = f64::from(number) * step;
            assert!(self.stages.attempt(&mut self.system, &self.charges, &self.volts, time, step));
            self.charges.copy_from_slice(&self.stages.new);
            self.volts.copy_from_slice(&self.stages.volts_new);
        }
    }

    fn joules(&self) -> f64 {
        0.5 * FARADS * self.charges[0].x.powi(2) + 0.5 * HENRIES * self.charges[1].x.powi(2)
    }
}

#[test]
fn a_lossless_ring_loses_only_what_the_method_damps() {
    // Ten periods of 2π·√(L·C) = 628 µs. The method's own damping over a given time falls with the third power of
    // the step, its error with the second.
    let seconds = 10.0 * std::f64::consts::TAU * (HENRIES * FARADS).sqrt();
    let mut lost = Vec::new();
    let mut off = Vec::new();
    for steps in [1000, 2000, 4000] {
        let mut ring = Ring::new();
        let before = ring.joules();
        ring.run(steps, seconds / f64::from(steps));
        lost.push(1.0 - ring.joules() / before);
        off.push((ring.charges[0].x - 5.0).hypot(ring.charges[1].x * (HENRIES / FARADS).sqrt()));
    }
    assert!(lost.iter().all(|&lost| lost > 0.0), "it gains: {lost:?}");
    assert!(lost[0] < 2e-3, "{lost:?}");
    for (lost, off) in lost.windows(2).zip(off.windows(2)) {
        assert!((7.0..9.0).contains(&(lost[0] / lost[1])), "{lost:?}");
        assert!((3.7..4.3).contains(&(off[0] / off[1])), "{off:?}");
    }
}

#[test]
fn a_lossless_ring_run_backwards_comes_back() {
    // Turned round in time a capacitor keeps its volts and a coil's current changes its sign.
    let seconds = 3.3 * std::f64::consts::TAU * (HENRIES * FARADS).sqrt();
    let mut off = Vec::new();
    for steps in [500, 1000, 2000] {
        let step = seconds / f64::from(steps);
        let mut ring = Ring::new();
        ring.run(steps, step);
        ring.charges[0].rate = -ring.charges[0].rate;
        ring.charges[1].x = -ring.charges[1].x;
        ring.run(steps, step);
        off.push((ring.charges[0].x - 5.0).hypot(ring.charges[1].x * (HENRIES / FARADS).sqrt()));
    }
    // What is left is what the method damps both ways: the phase's error is turned round with the time.
    assert!(off[0] < 5e-3, "{off:?}");
    for off in off.windows(2) {
        assert!((7.0..9.0).contains(&(off[0] / off[1])), "{off:?}");
    }
}

/// Currents of all pins at some times, by the parts' places in `order`.
fn readings(bench: &Bench, order: &[usize], times: &[f64]) -> Vec<f64> {
    let mut run = Run::new(bench, Care::CLOSE);
    let mut told = Vec::new();
    for &time in times {
        assert!(run.until(time, 100_000));
        assert_eq!(run.stalled(), None);
        let point = run.point_at(time);
        for &index in order {
            told.extend(point.parts[index].pins.iter().map(|pin| pin.amps));
        }
    }
    told
}

/// Benches, and times of theirs that are no corners of waves.
fn three_benches() -> [(Bench, [f64; 3]); 3] {
    [
        (blinker(1000.0), [0.5e-3, 1.7e-3, 3.15e-3]),
        (coil_driver(), [0.6e-3, 1.5e-3, 2.3e-3]),
        (filter(), [1e-3, 3e-3, 7.7e-3]),
    ]
}

fn is_same(what: &str, one: &[f64], other: &[f64]) {
    assert_eq!(one.len(), other.len());
    for (a, b) in one.iter().zip(other) {
        assert!((a - b).abs() < 1e-6 + 1e-4 * a.abs(), "{what}: {a} and {b}");
    }
}

#[test]
fn names_change_not_a_bit_of_a_run() {
    for (bench, times) in three_benches() {
        let order: Vec<usize> = (0..bench.parts.len()).collect();
        let mut other = bench.clone();
        for (index, part) in other.parts.iter_mut().enumerate() {
            part.id = format!("Z{}", 999 - index);
        }
        assert_eq!(readings(&bench, &order, &times), readings(&other, &order, &times), "{}", bench.title);
    }
}

#[test]
fn the_order_of_the_parts_changes_nothing_in_a_run() {
    for (bench, times) in three_benches() {
        let order: Vec<usize> = (0..bench.parts.len()).collect();
        let mut other = bench.clone();
        other.parts.reverse();
        let back: Vec<usize> = order.iter().rev().copied().collect();
        is_same("reversed", &readings(&bench, &order, &times), &readings(&other, &back, &times));
    }
}

#[test]
fn where_on_the_board_it_stands_changes_nothing_in_a_run() {
    for (bench, times) in three_benches() {
        let order: Vec<usize> = (0..bench.parts.len()).collect();
        let mut other = bench.clone();
        for part in &mut other.parts {
            for leg in &mut part.legs {
                if let Some(Hole { place: Place::Grid { row, .. }, .. }) = &mut leg.hole {
                    *row += 7;
                }
            }
        }
        // A wire's length, and so its resistance, is that between its holes: wires to rails change.
        is_same("moved", &readings(&bench, &order, &times), &readings(&other, &order, &times));
    }
}

#[test]
fn a_run_replayed_gives_the_same_bits() {
    for bench in [blinker(1000.0), running_lights(100.0), coil_driver()] {
        let bits = || {
            let mut run = Run::new(&bench, Care::LIVE);
            let mut told = Vec::new();
            for _ in 0..400 {
                run.advance();
                told.push(run.time().to_bits());
                told.extend(run.point().element_amps.iter().map(|amps| amps.to_bits()));
            }
            told
        };
        assert!(bits() == bits(), "{}", bench.title);
    }
}

#[test]
fn who_looks_at_a_run_does_not_change_it() {
    // One is asked for readings between all steps, the other never.
    let mut looked = Run::new(&blinker(1000.0), Care::LIVE);
    let mut alone = looked.clone();
    for _ in 0..300 {
        looked.advance();
        let (start, end) = looked.last_step();
        let _ = (looked.point_at(0.5 * (start + end)), looked.point_for_the_eye(end, 3.0));
        alone.advance();
    }
    assert_eq!(looked.time().to_bits(), alone.time().to_bits());
    assert_eq!(looked.point().node_volts, alone.point().node_volts);
}

#[test]
fn a_run_rewound_and_resumed_goes_the_same_way() {
    for (bench, _) in three_benches() {
        let mut straight = Run::new(&bench, Care::CLOSE);
        let mut rewound = Run::new(&bench, Care::CLOSE);
        for stop in 1..40 {
            let time = 1.03e-4 * f64::from(stop);
            assert!(straight.until(time, 100_000) && rewound.until(time, 100_000));
            rewound.rewind_to(time);
            assert_eq!(rewound.time(), time);
        }
        let (one, other) = (straight.point_at(4.017e-3), rewound.point_at(4.017e-3));
        for (a, b) in one.node_volts.iter().zip(&other.node_volts) {
            assert!((a - b).abs() < 1e-3, "{}: {a} V and {b} V", bench.title);
        }
    }
}

#[test]
fn capacitors_and_coils_keep_what_they_carry_when_another_part_is_moved() {
    let mut run = Run::new(&filter(), Care::CLOSE);
    run.until(1e-3, 100_000);
    run.rewind_to(1e-3);
    let carried = |run: &Run| {
        let point = run.point();
        let volts = point.parts[3].volts_across(0, 1).expect("one circuit");
        (volts, point.parts[2].pins[0].amps)
    };
    let before = carried(&run);
    assert!(before.0 > 0.1 && before.1.abs() > 1e-5, "{before:?}");
    let mut bench = run.bench().clone();
    bench.put_leg(LegId { part: PartIx(4), pin: 0 }, Hole::parse("d9")).expect("a free hole");
    run.set_bench(&bench);
    let moved = carried(&run);
    assert!((moved.0 - before.0).abs() < 1e-4 && (moved.1 - before.1).abs() < 1e-6, "{before:?} {moved:?}");
    // Its load in the air: the capacitor can't jump either.
    bench.put_leg(LegId { part: PartIx(4), pin: 0 }, None).expect("in the air");
    run.set_bench(&bench);
    assert!((carried(&run).0 - before.0).abs() < 1e-2);
}

#[test]
fn a_step_allocates_nothing() {
    for (bench, warm, steps) in [
        (blinker(1000.0), 300, 3000),
        (running_lights(10.0), 300, 3000),
        (coil_driver(), 300, 2000),
        (filter(), 100, 1000),
    ] {
        let mut run = Run::new(&bench, Care::LIVE);
        for _ in 0..warm {
            run.advance();
        }
        let events = run.effort().events;
        let counted = allocation_counter::measure(|| {
            for _ in 0..steps {
                run.advance();
            }
        });
        assert_eq!(run.stalled(), None);
        assert_eq!(counted.count_total, 0, "{}: {counted:?}", bench.title);
        // Steps with events are among them, where there are any.
        assert!(bench.title.is_empty() || run.effort().events > events + 10, "{}", bench.title);
    }
}

#[test]
fn no_step_of_any_example_allocates_anything() {
    for example in &halfrow_file::examples::ALL {
        let mut bench = halfrow_file::read(example.text()).expect("a bench");
        for part in &mut bench.parts {
            part.set("pressed", Value::Flag(true));
        }
        let mut run = Run::new(&bench, Care::LIVE);
        // What burns makes the equations anew, which is no step.
        let (mut counted, mut burnt) = (0, run.burnt().len());
        for step in 0..1200 {
            let own = allocation_counter::measure(|| run.advance()).count_total;
            if run.burnt().len() > burnt {
                burnt = run.burnt().len();
            } else if step >= 200 {
                counted += own;
            }
        }
        assert_eq!(counted, 0, "{}", example.slug);
    }
}

#[test]
fn the_counter_of_allocations_counts() {
    let counted = allocation_counter::measure(|| drop(Run::new(&filter(), Care::LIVE)));
    assert!(counted.count_total > 20, "{counted:?}");
}
