//! The examples, held against the engine and the judge.

use halfrow_core::bench::{Bench, LegId};
use halfrow_core::card::{Range, Value};
use halfrow_core::solve::solve;
use halfrow_core::time::{Care, Run};
use halfrow_file::examples::{ALL, Example, find};
use halfrow_judge::{Severity, check};

fn bench(slug: &str) -> Bench {
    let example = find(slug).unwrap_or_else(|| panic!("no example {slug}"));
    halfrow_file::read(example.text()).unwrap_or_else(|error| panic!("{slug}: {error}"))
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
            // How empty a battery is, is its age and no position. A motor held fast does get too hot,
            // and a test of its own sees that this is told.
            if !param.live || part.card.source.is_some() || part.card.kind == "motor" {
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
fn fourteen_benches_have_a_twin_each_and_names_are_unique() {
    assert_eq!((right().count(), twins().count()), (14, 14));
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
    let on_cells =
        right().map(|example| (example, bench(example.slug))).filter(|it| it.1.find("BT1").is_some());
    for (example, bench) in on_cells {
        let bench = worked(bench, &[("BT1", "charge", Value::Number(1.0))]);
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
fn the_lights_of_the_harbour_mouth_are_lit_as_a_class_expects() {
    let bench = bench("harbour-mouth");
    for id in ["D1", "D2", "D3", "D4"] {
        // Four partly used AA cells and a resistor that suits the colour: about 15 mA. Common practice,
        // no source.
        let milliamps = led_milliamps(&bench, id);
        assert!((13.0..20.0).contains(&milliamps), "{id}: {milliamps} mA");
        assert_eq!(led_word(&bench, id), "lit");
    }
    let twin = self::bench("harbour-mouth-find-it");
    assert_eq!(["D1", "D2", "D3", "D4"].map(|id| led_word(&twin, id)), ["lit", "lit", "lit", "dark"]);
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

/// A bench whose clock runs, and what has been seen of its lamps.
struct Watched {
    run: Run,
    lamps: Vec<LegId>,
}

impl Watched {
    fn new(bench: &Bench, lamps: &[&str]) -> Watched {
        let leg = |id: &&str| LegId { part: bench.find(id).unwrap_or_else(|| panic!("no {id}")), pin: 0 };
        Watched { run: Run::new(bench, Care::LIVE), lamps: lamps.iter().map(leg).collect() }
    }

    /// Which lamps carry more than a milliampere, a bit each.
    fn lit(&self) -> u32 {
        let lit = |leg: &LegId| u32::from(self.run.pin_amps(*leg, self.run.time()).abs() > 1e-3);
        self.lamps.iter().enumerate().map(|(bit, leg)| lit(leg) << bit).sum()
    }

    /// Runs on until a time; each change of the lamps with its moment.
    fn until(&mut self, time: f64) -> Vec<(f64, u32)> {
        let mut changes = vec![(self.run.time(), self.lit())];
        while self.run.time() < time {
            self.run.advance();
            assert_eq!(self.run.stalled(), None);
            if self.lit() != changes[changes.len() - 1].1 {
                changes.push((self.run.time(), self.lit()));
            }
        }
        assert!(self.run.burnt().is_empty());
        changes
    }

    /// Presses a button or lets it go.
    fn press(&mut self, button: &str, pressed: bool) {
        self.run.set_bench(&worked(self.run.bench().clone(), &[(button, "pressed", Value::Flag(pressed))]));
    }
}

/// The lamps between changes, without the moments, and without what passes in less than a
/// millisecond.
fn order(changes: &[(f64, u32)]) -> Vec<u32> {
    let lasts = |pair: &[(f64, u32)]| pair[1].0 - pair[0].0 > 1e-3;
    changes.windows(2).filter(|pair| lasts(pair)).map(|pair| pair[0].1).collect()
}

#[test]
fn the_lighthouse_blinks_about_once_a_second() {
    let changes = Watched::new(&bench("blinking-lighthouse"), &["D1"]).until(5.0);
    let rises: Vec<f64> = changes.iter().filter(|it| it.1 == 1).map(|it| it.0).collect();
    let falls: Vec<f64> = changes.iter().skip(2).filter(|it| it.1 == 0).map(|it| it.0).collect();
    // 0.693 · (RA + RB) · C on and 0.693 · RB · C off: the usual formulas of the 555's data sheet
    // (NE555, SLFS022I). The real thing discharges through 18 Ω and has some delay.
    let (on, off) = (0.693 * 94e3 * 10e-6, 0.693 * 47e3 * 10e-6);
    for (fall, rise) in falls.iter().zip(&rises[1..]).skip(1) {
        assert!((rise - fall - off).abs() < 0.01 * off, "off for {} s", rise - fall);
    }
    for (rise, fall) in rises.iter().zip(&falls).skip(1) {
        assert!((fall - rise - on).abs() < 0.01 * on, "on for {} s", fall - rise);
    }
    assert!(rises.len() >= 4);
}

#[test]
fn the_fog_horn_sings_while_its_button_is_pressed() {
    let bench = bench("fog-horn");
    let disc = bench.find("LS1").unwrap();
    let mut watched = Watched::new(&bench, &[]);
    let tone = |watched: &Watched| {
        let bench = watched.run.bench();
        (bench.part(disc).card.state)(bench.part(disc), watched.run.point().part(disc)).tone
    };
    watched.until(0.2);
    assert_eq!(tone(&watched), 0.0);
    watched.press("SB1", true);
    watched.until(0.4);
    // 1.44 / ((RA + 2 RB) C) = 320 Hz (NE555, SLFS022I).
    assert!((310.0..330.0).contains(&tone(&watched)), "{} Hz", tone(&watched));
    watched.press("SB1", false);
    watched.until(0.7);
    assert_eq!(tone(&watched), 0.0);
}

#[test]
fn the_crane_turns_while_its_button_is_pressed_and_its_transistor_bears_the_kick() {
    let mut watched = Watched::new(&bench("crane-motor"), &["M1"]);
    let drain = watched.run.bench().find("Q1").unwrap();
    assert_eq!(watched.until(0.2).last().unwrap().1, 0);
    watched.press("SB1", true);
    assert_eq!(watched.until(1.0).last().unwrap().1, 1);
    watched.press("SB1", false);
    let mut highest: f64 = 0.0;
    while watched.run.time() < 1.2 {
        watched.run.advance();
        highest = highest.max(watched.run.point().part(drain).pins[1].volts);
    }
    // The cells' 5.5 V and a diode's drop, no more.
    assert!(highest > 5.0 && highest < 7.5, "{highest} V at the drain");
    watched.until(5.0);
    assert_eq!(watched.lit(), 0);
}

#[test]
fn a_crane_held_fast_is_told() {
    let settings = [("SB1", "pressed", Value::Flag(true)), ("M1", "load", Value::Number(1.0))];
    let bench = worked(bench("crane-motor"), &settings);
    let codes: Vec<&str> = check(&bench, &solve(&bench)).iter().map(|it| it.code.word()).collect();
    assert_eq!(codes, ["too-much-current"]);
}

#[test]
fn the_tide_lamp_lights_from_half_the_height_on() {
    for (knob, word) in
        [(0.0, "dark"), (0.3, "dark"), (0.48, "dark"), (0.52, "lit"), (0.8, "lit"), (1.0, "lit")]
    {
        let bench = worked(bench("tide-gauge"), &[("RV1", "position", Value::Number(knob))]);
        assert_eq!(led_word(&bench, "D1"), word, "{knob}");
    }
}

#[test]
fn the_traffic_light_goes_red_yellow_green_yellow() {
    let changes = Watched::new(&bench("traffic-light"), &["D7", "D8", "D9"]).until(13.0);
    let shown = order(&changes[1..]);
    let (red, yellow, green) = (1, 2, 4);
    assert_eq!(shown[..8], [red, yellow, green, yellow, red, yellow, green, yellow]);
    // A beat is 0.693 · (RA + 2 RB) · C (NE555, SLFS022I): 1.01 s. The first round begins in mid-beat.
    let beat = 0.693 * 146e3 * 10e-6;
    let long: Vec<(f64, u32)> = changes
        .windows(2)
        .filter(|pair| pair[1].0 - pair[0].0 > 1e-3)
        .map(|pair| (pair[1].0 - pair[0].0, pair[0].1))
        .collect();
    for &(seconds, lamps) in &long[2..] {
        let beats = if lamps == yellow { 1.0 } else { 2.0 };
        assert!((seconds - beats * beat).abs() < 0.02 * beat, "{lamps} for {seconds} s");
    }
    let twin = Watched::new(&bench("traffic-light-find-it"), &["D7", "D8", "D9"]).until(9.0);
    assert_eq!(order(&twin[1..])[..5], [red, 0, green, yellow, red]);
}

#[test]
fn the_first_player_locks_the_other_out_until_the_reset() {
    for (first, second, lamp) in [("SB1", "SB2", 1), ("SB2", "SB1", 2)] {
        let mut watched = Watched::new(&bench("quiz-buzzer"), &["D1", "D2"]);
        let mut time = 0.0;
        let mut shows = |watched: &mut Watched, button: &str, pressed: bool| {
            watched.press(button, pressed);
            time += 0.05;
            watched.until(time);
            watched.lit()
        };
        assert_eq!(shows(&mut watched, "SB3", false), 0, "dark when the power comes on");
        for (button, pressed, lamps) in [
            (first, true, lamp),
            (second, true, lamp),
            (first, false, lamp),
            (second, false, lamp),
            (second, true, lamp),
            (second, false, lamp),
            ("SB3", true, 0),
            ("SB3", false, 0),
            (second, true, 3 - lamp),
        ] {
            assert_eq!(shows(&mut watched, button, pressed), lamps, "{first} first: {button} {pressed}");
        }
    }
}

#[test]
fn the_dice_roll_while_pressed_and_rest_on_one_of_six_faces() {
    // Left column from the top, right column, middle: 1 to 6.
    let faces: [u32; 6] = [0b100_0000, 0b010_0001, 0b110_0001, 0b010_1101, 0b110_1101, 0b011_1111];
    let lamps = ["D5", "D6", "D7", "D8", "D9", "D10", "D11"];
    let mut watched = Watched::new(&bench("dice"), &lamps);
    let mut thrown = Vec::new();
    let mut time = 0.0;
    for throw in 0..8 {
        watched.press("SB1", true);
        time += 0.1 + 0.0083 * f64::from(throw);
        let rolled = order(&watched.until(time));
        let rolled: Vec<usize> =
            rolled.iter().filter_map(|lit| faces.iter().position(|face| face == lit)).collect();
        assert!(rolled.len() > 9, "{rolled:?}");
        assert!(rolled.windows(2).all(|pair| pair[1] == (pair[0] + 1) % 6), "{rolled:?}");
        watched.press("SB1", false);
        watched.until(time + 0.01);
        let shown = watched.lit();
        thrown.push(faces.iter().position(|&face| face == shown).unwrap_or_else(|| panic!("{shown:b}")));
        time += 0.3;
        assert_eq!(watched.until(time).len(), 1, "it rests");
    }
    thrown.sort_unstable();
    thrown.dedup();
    assert!(thrown.len() >= 3, "{thrown:?}");
    // The twin counts on to 15, and the two lamps that hang on the wire stay dark.
    let mut twin = Watched::new(&bench("dice-find-it"), &lamps);
    twin.press("SB1", true);
    let shown = order(&twin.until(0.2)[1..]);
    assert!(shown.contains(&0) && shown.iter().all(|lit| lit & 0b001_0010 == 0), "{shown:?}");
}

#[test]
fn the_night_light_lights_in_the_dark_only() {
    for (lux, word) in [(0.1, "lit"), (1.0, "lit"), (10.0, "lit"), (300.0, "dark"), (10_000.0, "dark")] {
        let bench = worked(bench("night-light"), &[("Q1", "lux", Value::Number(lux))]);
        assert_eq!(led_word(&bench, "D1"), word, "{lux} lx");
    }
    // The other way round a transistor amplifies a few times: under a milliampere gets through.
    for (lux, word) in [(0.1, "dim"), (1.0, "dim"), (300.0, "dark")] {
        let bench = worked(bench("night-light-find-it"), &[("Q1", "lux", Value::Number(lux))]);
        assert_eq!(led_word(&bench, "D1"), word, "{lux} lx");
    }
}
