//! Batteries that run down, and parts as they are bought.

use halfrow_core::time::{Care, Run};
use halfrow_outside::desk::desk;

#[test]
fn a_battery_tells_how_long_it_lasts() {
    // A fresh CR2032 holds 225 mAh at 0.2 mA (published tables): 47 days. It doesn't give 10 mA for a day.
    let hours = |text: &str| {
        let it = desk(text);
        let bench = it.run.bench();
        let point = it.run.point();
        point.lasts_seconds(bench, bench.find("V1").expect("a battery")).expect("it gives something") / 3600.0
    };
    let coin = |ohms: f64| {
        hours(&format!("battery V1 cell=cr2032 cells=1 charge=1: v g; resistor ohms={ohms}: v g"))
    };
    assert!((coin(15_500.0) / (225.0 / 0.2) - 1.0).abs() < 0.05, "{}", coin(15_500.0));
    assert!(coin(280.0) < 12.0, "{}", coin(280.0));
    // AA alkaline, 2.5 Ah at 100 mA (from memory): a day at 100 mA.
    let aa = hours("battery V1 cells=1 charge=1: v g; resistor ohms=15.6: v g");
    assert!((20.0..30.0).contains(&aa), "{aa}");
}

#[test]
fn a_battery_runs_down_only_where_that_is_switched_on() {
    let text = "battery V1 cells=4 charge=1: v g; resistor R1 ohms=100: v g; capacitor farads=1e-7: v g";
    let mut still = desk(text);
    let mut falling = desk(text);
    let mut bench = falling.run.bench().clone();
    bench.batteries_run_down = true;
    falling.run.set_bench(&bench);
    let full = still.until(1.0).volts("v");
    still.until(3600.0);
    falling.until(3600.0);
    assert!((still.volts("v") - full).abs() < 1e-9);
    // 62 mA for an hour of some 2.65 Ah: a little more than two hundredths of the charge.
    let battery = falling.run.bench().find("V1").expect("a battery");
    let used = falling.run.memories()[battery.0].kept[0];
    assert!((0.021..0.026).contains(&used), "{used}");
    assert!(falling.volts("v") < full - 0.05, "{} of {full}", falling.volts("v"));
    // An hour later still, at the very rate that it told.
    let point = falling.run.point();
    let lasts = point.lasts_seconds(&bench, battery).expect("it gives");
    falling.until(7200.0);
    let more = falling.run.memories()[battery.0].kept[0] - used;
    assert!((more * lasts / (3600.0 * (1.0 - used)) - 1.0).abs() < 0.02, "{more} {lasts}");
}

#[test]
fn a_shorted_nimh_pack_heats_until_something_gives_and_an_alkaline_one_does_not() {
    let burnt = |cell: &str| {
        let text = format!(
            r#"{{ "halfrow": 1, "boards": [{{ "id": "A", "kind": "half" }}], "parts": [
            {{ "id": "BT1", "kind": "battery", "cell": "{cell}", "pins": {{ "+": "L+1", "-": "L-1" }} }},
            {{ "id": "W1", "kind": "wire", "pins": {{ "1": "L+3", "2": "L-3" }} }} ] }}"#
        );
        let mut run = Run::new(&halfrow_file::read(&text).expect("a bench"), Care::LIVE);
        assert!(run.until(120.0, 400_000) && run.stalled().is_none());
        run.burnt().len()
    };
    assert!(burnt("aa-nimh") >= 1);
    assert_eq!(burnt("aa-alkaline"), 0);
}

#[test]
fn parts_as_bought_stay_within_their_tolerance_and_are_the_same_for_the_same_number() {
    let bench = |number: Option<u32>| {
        let mut text = "supply V1 volts=5 limit_amps=3 ohms=0.001: v g".to_owned();
        for n in 1..=25 {
            text += &format!("; resistor R{n} ohms=10000 tolerance_percent=5: v g");
        }
        let mut bench = desk(&text).run.bench().clone();
        bench.as_bought = number;
        bench
    };
    let ohms = |number: Option<u32>| -> Vec<f64> {
        let bench = bench(number);
        let point = halfrow_core::solve::solve(&bench);
        let of = |n: usize| {
            let it = point.part(bench.find(&format!("R{n}")).expect("a resistor"));
            it.volts_across(0, 1).expect("tied") / it.pins[0].amps
        };
        (1..=25).map(of).collect()
    };
    let exact = ohms(None);
    assert!(exact.iter().all(|x| (x - 10_000.0).abs() < 0.1), "{exact:?}");
    let (seven, again, eight) = (ohms(Some(7)), ohms(Some(7)), ohms(Some(8)));
    assert_eq!(seven, again);
    assert_ne!(seven, eight);
    let off: Vec<f64> = seven.iter().map(|x| x / 10_000.0 - 1.0).collect();
    assert!(off.iter().all(|x| x.abs() < 0.0501), "{off:?}");
    assert!(off.iter().any(|x| *x > 0.015) && off.iter().any(|x| *x < -0.015), "{off:?}");
    let mean = off.iter().sum::<f64>() / 25.0;
    assert!(mean.abs() < 0.015, "{mean}");
}
