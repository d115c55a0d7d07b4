//! Laws of every bench, whatever is thrown at it.

use std::panic::catch_unwind;

use halfrow_core::bench::Bench;
use halfrow_core::solve::{OperatingPoint, solve};
use halfrow_laws::chance::Chance;
use halfrow_laws::ledger;
use halfrow_laws::throw::Throw;

/// Solves benches of many seeds and collects what is said against them.
fn each(throw: &Throw, seeds: std::ops::Range<u64>, law: impl Fn(&Bench, &OperatingPoint) -> Option<String>) {
    let mut said = Vec::new();
    for seed in seeds.clone() {
        let bench = throw.bench(&mut Chance::new(seed));
        bench.check().expect("the generator breaks no rule");
        let point = solve(&bench);
        if let Some(what) = law(&bench, &point) {
            said.push(format!("seed {seed} ({} parts): {what}", bench.parts.len()));
        }
    }
    let shown = said.iter().take(12).cloned().collect::<Vec<_>>().join("\n");
    assert!(said.is_empty(), "{} of {} benches:\n{shown}", said.len(), seeds.end - seeds.start);
}

fn settles_and_adds_up(_: &Bench, point: &OperatingPoint) -> Option<String> {
    let (own, node) = ledger::worst_node(point);
    let told = point.law_missed_by();
    let fine = point.settled && own < 1.0 && told < 1.0;
    (!fine).then(|| {
        format!("settled {}, {own:.3e} (told {told:.3e}) at node {node}, {:?}", point.settled, point.work)
    })
}

#[test]
fn every_bench_settles_and_its_currents_add_up_at_every_node() {
    each(&Throw::anything(), 0..6000, settles_and_adds_up);
}

#[test]
fn crowds_settle_too() {
    each(&Throw { most: 150, ..Throw::anything() }, 0..300, settles_and_adds_up);
}

#[test]
fn sources_in_loops_and_shorts_settle() {
    let kinds = ["battery", "usb", "supply", "wire", "diode", "led"];
    each(&Throw { most: 14, ..Throw::only(&kinds) }, 0..3000, settles_and_adds_up);
}

#[test]
fn supplies_against_supplies_settle() {
    let kinds = ["usb", "supply", "wire", "resistor"];
    each(&Throw { most: 10, ..Throw::only(&kinds) }, 0..3000, settles_and_adds_up);
}

#[test]
fn currents_add_up_on_every_strip_by_what_the_legs_read() {
    each(&Throw::anything(), 10_000..12_000, |bench, point| {
        let miss = ledger::worst_strip(bench, point);
        (miss >= 1.0).then(|| format!("{miss:.3e}"))
    });
}

#[test]
fn what_sources_give_the_other_parts_and_the_contacts_take() {
    each(&Throw::anything(), 20_000..22_000, |bench, point| {
        let (balance, turnover) = ledger::energy(bench, point);
        // Kirchhoff's law may be missed by 1e-6 of a current, 1 nA at up to some tens of volts.
        (balance.abs() > 1e-7 + 1e-6 * turnover).then(|| format!("{balance:.3e} W of {turnover:.3e} W"))
    });
}

#[test]
fn no_reading_is_other_than_a_number() {
    each(&Throw::anything(), 30_000..32_000, |_, point| {
        let pins = point.parts.iter().flat_map(|part| &part.pins);
        let nets = point.net_readings.iter().flat_map(|net| [net.volts, net.low_volts, net.high_volts]);
        let all = pins.flat_map(|pin| [pin.volts, pin.amps]).chain(nets);
        all.filter(|x| !x.is_finite()).map(|x| x.to_string()).next()
    });
}

#[test]
fn no_bench_makes_the_judge_panic() {
    let mut said = Vec::new();
    for seed in 40_000..40_800 {
        let bench = Throw::anything().bench(&mut Chance::new(seed));
        let point = solve(&bench);
        if catch_unwind(|| halfrow_judge::check(&bench, &point).len()).is_err() {
            said.push(seed);
        }
    }
    assert!(said.is_empty(), "the judge panics at seeds {said:?}");
}
