//! Each mistake in a line: a bench, a meter, and the codes of what is said.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::{Range, Value};
use halfrow_core::meter::{Dial, Kind, Meter, Socket, Touch};
use halfrow_core::part::{Part, Turn};
use halfrow_core::parts;
use halfrow_instruments::{Finding, Meaning, Scene, findings, meaning, measure};

/// `BT1 battery L+1 L-1 | R1 resistor 220 L+2 b5`: parts; then a meter `dc-20v red black`, with
/// `red=10a`, `cheap`, `blown`, `low`, and `lift R1.1` as words more.
fn bench(parts: &str, meter: &str) -> Bench {
    let mut bench = Bench::new(BoardKind::Half);
    for line in parts.split('|') {
        let mut words = line.split_whitespace();
        let card = parts::card(words.nth(1).unwrap()).unwrap();
        let part = PartIx(bench.parts.len());
        bench.parts.push(Part::new(line.split_whitespace().next().unwrap(), card));
        let mut pin = 0;
        for word in words {
            if let Ok(ohms) = word.parse::<f64>() {
                assert!(bench.parts[part.0].set("ohms", Value::Number(ohms)));
            } else if let Some((key, value)) = word.split_once('=') {
                let value = match card.params[card.param(key).unwrap()].range {
                    Range::Number { .. } => Value::Number(value.parse().unwrap()),
                    Range::Whole { .. } => Value::Whole(value.parse().unwrap()),
                    Range::Choice { options, .. } => {
                        Value::Choice(options.iter().position(|it| it.word == value).unwrap() as u8)
                    }
                    Range::Flag { .. } => Value::Flag(value == "yes"),
                };
                assert!(bench.parts[part.0].set(key, value));
            } else if bench.parts[part.0].is_rigid() {
                bench.place_rigid(part, Hole::parse(word).unwrap(), Turn::None).unwrap();
            } else {
                bench.put_leg(LegId { part, pin }, Hole::parse(word)).unwrap();
                pin += 1;
            }
        }
    }
    let mut words = meter.split_whitespace();
    let mut it = Meter { dial: Dial::from_word(words.next().unwrap()).unwrap(), ..Meter::default() };
    let touch = |word: &str| Touch::parse(&bench, word).unwrap();
    it.red.tip = touch(words.next().unwrap());
    it.black.tip = touch(words.next().unwrap());
    let mut lifted = None;
    while let Some(word) = words.next() {
        match word {
            "red=10a" => it.red.socket = Socket::TenAmps,
            "swapped" => (it.red.socket, it.black.socket) = (Socket::Com, Socket::Vom),
            "cheap" => it.kind = Kind::Cheap,
            "blown" => (it.small_fuse_whole, it.large_fuse_whole) = (false, false),
            "low" => it.battery_volts = 5.5,
            "lift" => lifted = touch(words.next().unwrap()).leg(&bench),
            _ => panic!("{word}"),
        }
    }
    if let Some(leg) = lifted {
        bench.put_leg(leg, None).unwrap();
    }
    bench.meters.push(it);
    bench
}

fn said(parts: &str, meter: &str) -> (Vec<Finding>, Meaning) {
    let bench = bench(parts, meter);
    let found = measure(&bench, 0, None);
    let scene = Scene::of(&bench, 0, &found);
    (findings(&scene), meaning(&scene))
}

#[track_caller]
fn says(parts: &str, meter: &str, codes: &[&str]) {
    let (findings, meaning) = said(parts, meter);
    let found: Vec<&str> = findings.iter().map(|it| it.code).collect();
    assert_eq!(found, codes, "{meter}: {findings:#?} {meaning:?}");
}

/// A pack of four, 330 Ω and a red LED.
const LAMP: &str = "BT1 battery L+1 L-1 | R1 resistor 330 L+2 b5 | D1 led c5 c9 | W1 wire a9 L-9";
/// The same with a switch instead of the LED.
const SWITCH: &str = "BT1 battery L+1 L-1 | R1 resistor 330 L+2 b5 | S1 slide-switch e5 | W1 wire a6 L-9";
/// Two resistors beside each other, no power.
const BESIDE: &str = "R1 resistor 10000 a1 a5 | R2 resistor 10000 b1 b5";
/// A divider of two megohms.
const DIVIDER: &str =
    "BT1 battery cell=9v-block cells=1 L+1 L-1 | R1 resistor 1000000 L+2 b5 | R2 resistor 1000000 c5 L-3";

#[test]
fn what_is_right_is_left_alone() {
    says(LAMP, "dc-2v a5 b9", &[]);
    says(LAMP, "dc-20v L+4 L-4", &[]);
    says(BESIDE, "ohm-20k a1 L+1", &["meter-tip-alone"]);
    says("R1 resistor 10000 a1 a5", "ohm-20k b1 b5", &[]);
    says("R1 resistor 1 a1 a5", "continuity b1 b5", &[]);
    says("D1 diode a1 a5", "diode b1 b5", &[]);
    says("D1 diode a1 a5", "diode b5 b1", &[]);
}

#[test]
fn sockets_and_fuses() {
    says(LAMP, "dc-20v a5 b9 red=10a", &["meter-plug-in-10a"]);
    says(LAMP, "dc-20v L+4 L-4 red=10a", &["meter-plug-in-10a"]);
    says(LAMP, "off L+4 L-4 red=10a cheap", &["meter-plug-in-10a"]);
    says(LAMP, "dc-10a d5 a5", &["meter-plug-not-in-10a", "meter-one-net"]);
    says(LAMP, "dc-200ma L+4 L-4", &["meter-fuse-blew", "meter-current-across"]);
    says(LAMP, "dc-20ma R1.2 d5 lift R1.2 blown", &["meter-fuse-blown"]);
}

#[test]
fn series_and_across() {
    says(LAMP, "dc-200ma a5 b9", &["meter-current-across"]);
    says(LAMP, "dc-20v R1.2 d5 lift R1.2", &["meter-volts-in-series"]);
    says(LAMP, "dc-20ma R1.2 d5 lift R1.2", &["meter-burden"]);
    says(LAMP, "dc-200ua R1.2 d5 lift R1.2", &["meter-start-high"]);
    says(LAMP, "dc-20v a5 d5", &["meter-one-net"]);
    says(LAMP, "dc-20v a5 g9", &["meter-tip-alone"]);
    says(LAMP, "dc-20v a5 air", &["meter-tip-alone"]);
}

#[test]
fn ranges_and_functions() {
    says(LAMP, "dc-200mv a5 b9", &["meter-over"]);
    says(LAMP, "dc-200v a5 b9", &["meter-coarse"]);
    says(LAMP, "dc-2v b9 a5", &["meter-reversed"]);
    says(LAMP, "dc-2v a5 b9 swapped", &["meter-reversed"]);
    says(LAMP, "ac-200v a5 b9", &["meter-ac-for-dc"]);
    says(LAMP, "dc-20v a5 b9 low", &["meter-battery", "meter-loading"]);
    let wave = "G1 signal hertz=50 amplitude_volts=5 L+1 L-1 | R1 resistor 1000 L+2 L-2";
    says(wave, "dc-20v L+4 L-4", &["meter-dc-for-ac"]);
    says(wave, "ac-200v L+4 L-4", &[]);
}

#[test]
fn ohms_in_circuit_and_live() {
    says(LAMP, "ohm-2k L+4 a5", &["meter-live"]);
    says(LAMP, "diode a5 b9", &["meter-live"]);
    says(BESIDE, "ohm-20k c1 c5", &["meter-in-circuit"]);
    let (findings, _) = said(BESIDE, "ohm-20k c1 c5");
    assert!(findings[0].says.contains("R2") && findings[0].remedy.contains("a5"), "{findings:?}");
    says(BESIDE, "ohm-20k R1.1 c5 lift R1.1", &[]);
}

#[test]
fn loading() {
    says(DIVIDER, "dc-20v d5 L-5", &["meter-loading"]);
    says(DIVIDER, "dc-20v d5 L-5 cheap", &["meter-loading"]);
    let (findings, _) = said(DIVIDER, "dc-20v d5 L-5 cheap");
    assert!(findings[0].remedy.contains("10 MΩ"));
}

#[test]
fn current_reasoning_is_told_where_people_err() {
    let (_, closed) = said(SWITCH, "dc-20v c5 b6");
    let (_, open) = said(&SWITCH.replace("S1 slide-switch", "S1 slide-switch to=3"), "dc-20v c5 b6");
    assert!(closed.why.contains("closed switch") && open.why.contains("open switch"), "{closed:?} {open:?}");
    let idle = LAMP.replace(" | W1 wire a9 L-9", "");
    let (_, none) = said(&idle, "dc-20v L+4 a5");
    assert!(none.why.contains("only while current flows"), "{none:?}");
}

#[test]
fn a_resistor_in_a_row_with_another_meter_at_volts_drops_nothing_and_why_is_told() {
    // The wire's far end is lifted, and a second meter of 10 MΩ takes its place.
    let mut bench = bench(LAMP, "dc-20v L+4 d5 lift W1.2");
    let leg = Touch::parse(&bench, "W1.2").unwrap();
    let mut second = Meter { dial: Dial::Dc20V, ..Meter::default() };
    (second.red.tip, second.black.tip) = (leg, Touch::parse(&bench, "L-9").unwrap());
    bench.meters.push(second);
    let found = [0, 1].map(|which| measure(&bench, which, None));
    let meaning = meaning(&Scene::of(&bench, 0, &found[0]));
    assert_eq!(found[0].last().shown, "0.00");
    assert!(meaning.why.contains("only while current flows") && !meaning.next.is_empty(), "{meaning:?}");
    let scene = Scene::of(&bench, 1, &found[1]);
    let codes: Vec<&str> = findings(&scene).iter().map(|it| it.code).collect();
    assert!(codes.contains(&"meter-volts-in-series"), "{codes:?}");
    // What it stops is seen: nearly all of the supply stands over it.
    assert!(found[1].last().value.unwrap() > 3.0, "{:?}", found[1].last());
}

#[test]
fn only_the_meter_tells_keeps_what_it_does_not_show_out_of_the_findings() {
    let mut bench = bench(DIVIDER, "dc-20v d5 L-5");
    let found = measure(&bench, 0, None);
    let told = |bench: &Bench| findings(&Scene::of(bench, 0, &found))[0].says.clone();
    let open = told(&bench);
    bench.lesson.only_meter = true;
    let silent = told(&bench);
    assert!(!open.contains("? V") && silent.contains("? V without"), "{open} {silent}");
    assert!(silent.starts_with(open.split(',').next().unwrap()), "what the display shows stays");
}

#[test]
fn a_finding_is_short_enough_to_be_read() {
    for (parts, meter) in [
        (LAMP, "dc-20v a5 b9 red=10a"),
        (LAMP, "dc-200ma L+4 L-4"),
        (LAMP, "dc-20v R1.2 d5 lift R1.2"),
        (LAMP, "dc-200mv a5 b9"),
        (BESIDE, "ohm-20k c1 c5"),
        (DIVIDER, "dc-20v d5 L-5"),
        (LAMP, "ohm-2k L+4 a5"),
        (LAMP, "dc-20v a5 g9"),
    ] {
        for it in said(parts, meter).0 {
            let words = |text: &str| text.split_whitespace().count();
            let all = words(&it.symptom) + words(&it.says) + words(&it.remedy);
            assert!(all <= 60, "{}: {all} words", it.code);
        }
    }
}
