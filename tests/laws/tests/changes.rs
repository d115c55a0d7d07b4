//! What a change of the bench must not change, and what linear circuits owe.

use halfrow_equations::portions::finish;
use halfrow_equations::system::{Moment, System};

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole, Place};
use halfrow_core::card::Value;
use halfrow_core::circuit::{Circuit, Contacts, Law, Node};
use halfrow_core::part::Depth;
use halfrow_core::solve::{OperatingPoint, solve};
use halfrow_laws::chance::Chance;
use halfrow_laws::throw::Throw;

/// Equal to 1e-9 of the larger, or to 1e-9 V and A.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * (1.0 + a.abs().max(b.abs()))
}

/// Currents of all pins, and the voltages across parts that carry a microampere or more. The last bit
/// of a current of some amperes is 1e-14 A; over the leaks of picosiemens that tie floating strips
/// together it is millivolts, over a junction at 1 µA (20 µS) half a nanovolt.
fn differs(
    bench: &Bench,
    point: &OperatingPoint,
    other: &Bench,
    other_point: &OperatingPoint,
) -> Option<String> {
    for (index, part) in bench.parts.iter().enumerate() {
        let here = point.part(PartIx(index));
        let there = other_point.part(other.find(&part.id).expect("the same parts"));
        for pin in 0..here.pins.len() {
            let (a, b) = (here.pins[pin].amps, there.pins[pin].amps);
            if !same(a, b) {
                return Some(format!("{} pin {pin}: {a:e} A, {b:e} A", part.id));
            }
            let across = |reading: &halfrow_core::readings::PartReading| reading.volts_across(0, pin);
            if here.pins[pin].amps.abs() > 1e-6
                && here.pins[0].amps.abs() > 1e-6
                && let (Some(a), Some(b)) = (across(here), across(there))
                && !same(a, b)
            {
                return Some(format!("{} pins 1 to {pin}: {a:e} V, {b:e} V", part.id));
            }
        }
    }
    None
}

fn each_changed(throw: &Throw, seeds: std::ops::Range<u64>, change: impl Fn(&mut Bench, &mut Chance)) {
    let mut said = Vec::new();
    let mut changed_any = false;
    for seed in seeds {
        let mut chance = Chance::new(seed);
        let bench = throw.bench(&mut chance);
        let mut other = bench.clone();
        change(&mut other, &mut chance);
        other.check().expect("the change breaks no rule");
        changed_any |= bench != other;
        if let Some(what) = differs(&bench, &solve(&bench), &other, &solve(&other)) {
            said.push(format!("seed {seed}: {what}"));
        }
    }
    assert!(changed_any);
    assert!(said.is_empty(), "{} benches:\n{}", said.len(), said[..said.len().min(10)].join("\n"));
}

#[test]
fn the_order_of_the_parts_changes_nothing() {
    each_changed(&Throw::anything(), 0..2000, |bench, chance| chance.shuffle(&mut bench.parts));
}

#[test]
fn names_change_nothing() {
    // A barely inserted leg's contact hangs on its part's name, so legs are in or out here.
    let throw = Throw { depths: false, ..Throw::anything() };
    let mut said = Vec::new();
    for seed in 3000..4000 {
        let bench = throw.bench(&mut Chance::new(seed));
        let mut other = bench.clone();
        for (index, part) in other.parts.iter_mut().enumerate() {
            part.id = format!("Z{}", 999 - index);
        }
        let (a, b) = (solve(&bench), solve(&other));
        if a.node_volts != b.node_volts || a.element_amps != b.element_amps {
            said.push(seed);
        }
    }
    assert!(said.is_empty(), "not the same bits at {said:?}");
}

#[test]
fn moving_everything_down_the_board_changes_nothing() {
    let throw = Throw { rails: false, rows: 12, ..Throw::anything() };
    each_changed(&throw, 5000..6500, |bench, chance| {
        let rows = bench.boards.iter().map(|board| board.kind.rows()).min().unwrap_or(17);
        let lowest = bench.legs().filter_map(|(_, leg)| leg.hole?.row()).max().unwrap_or(1);
        let by = chance.below(usize::from(rows.saturating_sub(lowest)) + 1) as u8;
        for part in &mut bench.parts {
            for leg in &mut part.legs {
                if let Some(Hole { place: Place::Grid { row, .. }, .. }) = &mut leg.hole {
                    *row += by;
                }
            }
        }
    });
}

#[test]
fn a_resistor_or_wire_turned_round_changes_nothing() {
    let mut said = Vec::new();
    for seed in 7000..8500 {
        let bench = Throw::anything().bench(&mut Chance::new(seed));
        let mut other = bench.clone();
        let two_ways = ["resistor", "wire", "photoresistor", "thermistor"];
        let turned: Vec<bool> = bench.parts.iter().map(|part| two_ways.contains(&part.card.kind)).collect();
        for (part, &turn) in other.parts.iter_mut().zip(&turned) {
            if turn {
                // The contact of a barely inserted leg hangs on the leg, not on the hole.
                for leg in &mut part.legs {
                    leg.depth = Depth::Full;
                }
                part.legs.swap(0, 1);
            }
        }
        let mut bench = bench;
        for (part, &turn) in bench.parts.iter_mut().zip(&turned) {
            if turn {
                for leg in &mut part.legs {
                    leg.depth = Depth::Full;
                }
            }
        }
        let (here, there) = (solve(&bench), solve(&other));
        for (index, &turn) in turned.iter().enumerate() {
            let (here, there) = (here.part(PartIx(index)), there.part(PartIx(index)));
            for pin in 0..here.pins.len() {
                let mirrored = if turn { 1 - pin } else { pin };
                if !same(here.pins[pin].amps, there.pins[mirrored].amps) {
                    said.push(format!("seed {seed}: {}", bench.parts[index].id));
                }
            }
        }
    }
    assert!(said.is_empty(), "{}:\n{}", said.len(), said[..said.len().min(10)].join("\n"));
}

#[test]
fn a_part_alone_in_its_row_changes_nothing() {
    each_changed(&Throw { rails: false, rows: 12, ..Throw::anything() }, 9000..9800, |bench, _| {
        let rows = bench.boards[0].kind.rows();
        let alone = |row: u8| ('a'..='e').all(|column| bench.occupant(Hole::grid(0, column, row)).is_none());
        if let Some(row) = (1..=rows).rev().find(|&row| alone(row)) {
            let card = halfrow_core::parts::card("resistor").expect("a kind");
            let ix = PartIx(bench.parts.len());
            bench.parts.push(halfrow_core::part::Part::new("Z1", card));
            bench.put_leg(LegId { part: ix, pin: 0 }, Some(Hole::grid(0, 'a', row))).expect("free");
            bench.put_leg(LegId { part: ix, pin: 1 }, Some(Hole::grid(0, 'b', row))).expect("free");
        }
    });
}

/// The current of each element of a circuit at rest.
fn settle(circuit: &Circuit, references: &[Node]) -> Vec<f64> {
    let mut system = System::new(circuit.nodes, &circuit.branches(), references.iter().copied());
    let hist = vec![0.0; system.stores.len()];
    assert!(finish(system.solve_hard(Moment::Rest, &hist, 0.0)));
    let mut amps = vec![0.0; circuit.elements.len()];
    system.write_amps(&mut amps);
    amps
}

#[test]
fn linear_circuits_superpose() {
    let kinds = ["battery", "wire", "resistor", "potentiometer", "slide-switch", "push-button", "thermistor"];
    let throw = Throw::only(&kinds);
    let mut with_two_sources = 0;
    for seed in 0..2000 {
        let bench = throw.bench(&mut Chance::new(seed));
        let point = solve(&bench);
        let references: Vec<Node> = point.islands.iter().map(|island| island.reference).collect();
        let sources: Vec<usize> = (0..point.circuit.elements.len())
            .filter(|&i| matches!(point.circuit.elements[i].law, Law::Source { .. }))
            .collect();
        with_two_sources += usize::from(sources.len() >= 2);
        let mut sum = vec![0.0; point.element_amps.len()];
        let mut largest = vec![0.0_f64; sum.len()];
        for &on in &sources {
            let mut circuit: Circuit = (*point.circuit).clone();
            for &source in sources.iter().filter(|&&source| source != on) {
                if let Law::Source { volts, .. } = &mut circuit.elements[source].law {
                    *volts = 0.0;
                }
            }
            let alone = settle(&circuit, &references);
            for (i, amps) in alone.iter().enumerate() {
                sum[i] += amps;
                largest[i] = largest[i].max(amps.abs());
            }
        }
        for (i, &amps) in point.element_amps.iter().enumerate() {
            assert!((sum[i] - amps).abs() <= 1e-9 + 1e-9 * largest[i], "seed {seed}: {} {amps}", sum[i]);
        }
    }
    assert!(with_two_sources > 500, "only {with_two_sources} benches had two sources");
}

#[test]
fn a_network_without_sources_is_dead_and_takes_no_less_than_nothing() {
    let passive = ["wire", "resistor", "potentiometer", "led", "diode", "photoresistor", "push-button"];
    for seed in 0..1000 {
        let bench = Throw::only(&passive).bench(&mut Chance::new(seed));
        let point = solve(&bench);
        assert!(point.element_amps.iter().all(|amps| amps.abs() < 1e-15), "seed {seed}");
    }
    for seed in 1000..3000 {
        let bench = Throw::anything().bench(&mut Chance::new(seed));
        let point = solve(&bench);
        for (index, part) in bench.parts.iter().enumerate() {
            let watts = point.part(PartIx(index)).watts;
            // Currents are good to a nanoampere and a millionth, voltages to some tens of volts.
            let slack = 1e-7 + 1e-6 * point.part(PartIx(index)).largest_amps() * 30.0;
            assert!(
                part.card.source.is_some() || watts >= -slack,
                "seed {seed}: {} gives {watts:e} W",
                part.id
            );
        }
    }
}

#[test]
fn a_higher_source_never_lowers_the_current_that_it_gives() {
    for seed in 0..600 {
        let mut chance = Chance::new(seed);
        let mut bench =
            Throw { most: 20, ..Throw::only(&["wire", "resistor", "led", "diode", "potentiometer"]) }
                .bench(&mut chance);
        let card = halfrow_core::parts::card("supply").expect("a kind");
        let ix = PartIx(bench.parts.len());
        bench.parts.push(halfrow_core::part::Part::new("PS1", card));
        let free: Vec<Hole> = bench
            .boards
            .iter()
            .enumerate()
            .flat_map(|(index, board)| board.holes(index as u8))
            .filter(|&hole| bench.occupant(hole).is_none())
            .collect();
        for pin in 0..2 {
            let _ = bench.put_leg(LegId { part: ix, pin }, Some(chance.of(&free)));
        }
        let mut before = f64::NEG_INFINITY;
        for step in 0..8 {
            assert!(bench.parts[ix.0].set("volts", Value::Number(3.0 * f64::from(step))));
            let given = solve(&bench).part(ix).pins[1].amps;
            assert!(given >= before - 1e-9, "seed {seed}: {before} then {given}");
            before = given;
        }
    }
}

#[test]
fn an_empty_board_of_each_kind_has_an_operating_point() {
    for kind in BoardKind::ALL {
        let point = solve(&Bench::new(kind));
        assert!(point.settled && point.law_missed_by() == 0.0 && point.worst.is_none());
        let circuit = Circuit::of(&Bench::new(kind), Contacts::default());
        assert_eq!(circuit.nodes, 0);
    }
}
