//! The twelve examples, held against the engine and the judge.

use halfrow_core::bench::Bench;
use halfrow_core::card::{Range, Value};
use halfrow_core::solve::solve;
use halfrow_file::examples::{ALL, Example, find};
use halfrow_judge::{Severity, check};

fn bench(slug: &str) -> Bench {
    let example = find(slug).unwrap_or_else(|| panic!("no example {slug}"));
    halfrow_file::read(example.text).unwrap_or_else(|error| panic!("{slug}: {error}"))
}

fn right() -> impl Iterator<Item = &'static Example> {
    ALL.iter().filter(|example| example.twin.is_none())
}

fn twins() -> impl Iterator<Item = &'static Example> {
    ALL.iter().filter(|example| example.twin.is_some())
}

/// The bench with some parts worked: `S1.to` to a value.
fn worked(mut bench: Bench, settings: &[(&str, &str, Value)]) -> Bench {
    for &(id, key, value) in settings {
        let part = bench.find(id).unwrap_or_else(|| panic!("no part {id}"));
        assert!(bench.parts[part.0].set(key, value), "{id} {key} {value:?}");
    }
    bench
}

/// Milliamperes through an LED, in at its long leg.
fn led_milliamps(bench: &Bench, id: &str) -> f64 {
    let part = bench.find(id).unwrap_or_else(|| panic!("no LED {id}"));
    assert_eq!(bench.part(part).card.kind, "led");
    let point = solve(bench);
    assert!(point.settled);
    1000.0 * point.part(part).pins[0].amps
}

/// What an LED shows: `lit`, `dim`, `dark`.
fn led_word(bench: &Bench, id: &str) -> &'static str {
    let part = bench.find(id).unwrap_or_else(|| panic!("no LED {id}"));
    (bench.part(part).card.state)(bench.part(part), solve(bench).part(part)).word
}

const TO_1: Value = Value::Choice(0);
const TO_3: Value = Value::Choice(1);

/// The bench in every position of its switches, and with its knobs and sensors at both ends, in the
/// middle of their range and where they stand.
fn positions(bench: &Bench) -> Vec<(String, Bench)> {
    let mut all = vec![(String::new(), bench.clone())];
    for (index, part) in bench.parts.iter().enumerate() {
        for (at, param) in part.card.params.iter().enumerate() {
            // How empty a battery is, is its age and no position.
            if !param.live || part.card.source.is_some() {
                continue;
            }
            let mut values = match param.range {
                Range::Number { min, max, by_ratio, .. } => {
                    let middle = if by_ratio { (min * max).sqrt() } else { (min + max) / 2.0 };
                    [min, middle, max].map(Value::Number).to_vec()
                }
                Range::Whole { min, max, .. } => (min..=max).map(Value::Whole).collect(),
                Range::Choice { options, .. } => (0..options.len() as u8).map(Value::Choice).collect(),
                Range::Flag { .. } => [false, true].map(Value::Flag).to_vec(),
            };
            if !values.contains(&part.values[at]) {
                values.push(part.values[at]);
            }
            all = all
                .iter()
                .flat_map(|(name, bench)| {
                    values.iter().map(move |&value| {
                        let mut bench = bench.clone();
                        bench.parts[index].values[at] = value;
                        (format!("{name} {}.{}={value:?}", part.id, param.key), bench)
                    })
                })
                .collect();
        }
    }
    all
}

#[test]
fn six_benches_have_a_twin_each_and_names_are_unique() {
    assert_eq!((right().count(), twins().count()), (6, 6));
    for (index, example) in ALL.iter().enumerate() {
        assert!(ALL[index + 1..].iter().all(|other| other.slug != example.slug), "{}", example.slug);
        assert_eq!(bench(example.slug).title, example.title);
        assert_eq!(example.twin.is_some(), example.mistake.is_some(), "{}", example.slug);
    }
    for example in right() {
        let of: Vec<&str> =
            twins().filter(|twin| twin.twin == Some(example.slug)).map(|twin| twin.slug).collect();
        assert_eq!(of, [format!("{}-find-it", example.slug)]);
    }
    assert!(find("pier").is_none());
}

#[test]
fn every_example_comes_back_from_file_and_link() {
    for example in &ALL {
        let bench = bench(example.slug);
        assert_eq!(halfrow_file::read(&halfrow_file::write(&bench)).as_ref(), Ok(&bench), "{}", example.slug);
        let link = halfrow_file::link::encode(&bench);
        assert_eq!(halfrow_file::link::decode(&link).as_ref(), Ok(&bench), "{}", example.slug);
    }
}

#[test]
fn a_right_bench_has_neither_fault_nor_risk_in_any_position() {
    for example in right() {
        for (position, bench) in positions(&bench(example.slug)) {
            let bad: Vec<String> = check(&bench, &solve(&bench))
                .into_iter()
                .filter(|finding| finding.severity != Severity::Habit)
                .map(|finding| finding.says)
                .collect();
            assert!(bad.is_empty(), "{}{position}: {bad:#?}", example.slug);
        }
    }
}

#[test]
fn a_right_bench_as_shipped_has_no_finding_at_all() {
    for example in right() {
        let bench = bench(example.slug);
        assert_eq!(check(&bench, &solve(&bench)), [], "{}", example.slug);
    }
}

#[test]
fn a_right_bench_bears_fresh_cells() {
    for example in right() {
        let bench = worked(bench(example.slug), &[("BT1", "charge", Value::Number(1.0))]);
        for (position, bench) in positions(&bench) {
            let found = check(&bench, &solve(&bench));
            assert!(found.is_empty(), "{}{position}: {found:#?}", example.slug);
        }
    }
}

#[test]
fn the_one_finding_of_a_twin_names_the_part_at_fault_in_every_position() {
    for example in twins() {
        let mistake = example.mistake.unwrap();
        for (position, bench) in positions(&bench(example.slug)) {
            let found = check(&bench, &solve(&bench));
            let [only] = found.as_slice() else {
                panic!("{}{position}: {found:#?}", example.slug);
            };
            assert_eq!(only.severity, Severity::Fault, "{}{position}", example.slug);
            assert_eq!(bench.part(only.parts[0]).id, mistake, "{}{position}: {}", example.slug, only.says);
            assert!(only.says.contains(mistake), "{}{position}: {}", example.slug, only.says);
        }
    }
}

/// A twin is the right bench with one part changed. The gate's button is the exception: a quarter
/// turn puts its legs three rows apart in place of two, so that the resistor behind it follows.
#[test]
fn a_twin_differs_from_the_right_bench_by_the_part_at_fault() {
    for example in twins() {
        let (twin, right) = (bench(example.slug), bench(example.twin.unwrap()));
        let changed: Vec<&str> = twin
            .parts
            .iter()
            .zip(&right.parts)
            .filter(|(twin, right)| twin != right)
            .map(|(twin, _)| twin.id.as_str())
            .collect();
        let expected = if example.slug == "harbour-gate-find-it" {
            vec!["SB1", "R1"]
        } else {
            vec![example.mistake.unwrap()]
        };
        assert_eq!(changed, expected, "{}", example.slug);
        assert_eq!(twin.parts.len(), right.parts.len());
    }
}

#[test]
fn the_pier_lights_are_lit_as_a_class_expects() {
    let bench = bench("pier-lights");
    for id in ["D1", "D2", "D3"] {
        // Four partly used AA cells, 220 ohms, a red LED: about 15 mA. Common practice, no source.
        let milliamps = led_milliamps(&bench, id);
        assert!((14.0..17.0).contains(&milliamps), "{id}: {milliamps} mA");
        assert_eq!(led_word(&bench, id), "lit");
    }
    let twin = self::bench("pier-lights-find-it");
    assert_eq!(["D1", "D2", "D3"].map(|id| led_word(&twin, id)), ["lit", "dark", "lit"]);
}

#[test]
fn the_lighthouse_gets_brighter_all_the_way_and_never_too_bright() {
    let mut last = 0.0;
    for step in 0..=10 {
        let knob = Value::Number(f64::from(step) / 10.0);
        let bench = worked(bench("lighthouse"), &[("RV1", "position", knob)]);
        let milliamps = led_milliamps(&bench, "D1");
        assert!(milliamps > last, "at {step}: {milliamps} mA after {last} mA");
        assert_eq!(led_word(&bench, "D1"), "lit");
        last = milliamps;
    }
    assert!((15.0..20.0).contains(&last), "{last} mA");
    let weakest = worked(bench("lighthouse"), &[("RV1", "position", Value::Number(0.0))]);
    assert!(led_milliamps(&weakest, "D1") < last / 4.0);
}

#[test]
fn the_fog_lamp_lights_in_the_dark_and_not_by_day() {
    for (lux, word) in
        [(0.01, "lit"), (1.0, "lit"), (10.0, "lit"), (500.0, "dark"), (10_000.0, "dark"), (100_000.0, "dark")]
    {
        let bench = worked(bench("fog-lamp"), &[("LDR1", "lux", Value::Number(lux))]);
        assert_eq!(led_word(&bench, "D1"), word, "{lux} lx: {} mA", led_milliamps(&bench, "D1"));
    }
}

#[test]
fn the_gate_lamp_needs_switch_and_button() {
    for (to, pressed, word) in
        [(TO_1, true, "lit"), (TO_1, false, "dark"), (TO_3, true, "dark"), (TO_3, false, "dark")]
    {
        let settings = [("S1", "to", to), ("SB1", "pressed", Value::Flag(pressed))];
        assert_eq!(led_word(&worked(bench("harbour-gate"), &settings), "D1"), word, "{to:?} {pressed}");
        // In the twin the button makes no difference.
        let twin = worked(bench("harbour-gate-find-it"), &settings);
        assert_eq!(led_word(&twin, "D1"), if to == TO_1 { "lit" } else { "dark" }, "{to:?} {pressed}");
    }
}

#[test]
fn either_switch_of_the_stairs_turns_the_lamp_on_and_off() {
    let word = |first, second| {
        led_word(&worked(bench("stair-light"), &[("S1", "to", first), ("S2", "to", second)]), "D1")
    };
    assert_eq!([word(TO_1, TO_1), word(TO_3, TO_3)], ["lit", "lit"]);
    assert_eq!([word(TO_1, TO_3), word(TO_3, TO_1)], ["dark", "dark"]);
}

#[test]
fn the_frost_warning_glows_in_the_cold_only() {
    for (celsius, word) in [(-40.0, "dim"), (-10.0, "dim"), (0.0, "dim"), (15.0, "dark"), (25.0, "dark")] {
        let bench = worked(bench("frost-warning"), &[("TH1", "celsius", Value::Number(celsius))]);
        assert_eq!(led_word(&bench, "D1"), word, "{celsius} °C: {} mA", led_milliamps(&bench, "D1"));
    }
}

#[test]
fn in_a_twin_whose_lamp_is_dark_it_is_dark_in_every_position() {
    for slug in ["lighthouse-find-it", "fog-lamp-find-it", "stair-light-find-it", "frost-warning-find-it"] {
        for (position, bench) in positions(&bench(slug)) {
            assert_eq!(led_word(&bench, "D1"), "dark", "{slug}{position}");
        }
    }
}
