//! What is written reads back to the same bench, whatever its values.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Board, BoardKind, Hole};
use halfrow_core::card::{Card, Range, Value};
use halfrow_core::part::{Depth, Part, Turn};
use halfrow_core::parts::CARDS;
use halfrow_file::{examples, link, read, wiring, write};

/// Values at and just inside the limits, and numbers that are hard to write.
fn odd_values(range: &Range) -> Vec<Value> {
    match *range {
        Range::Number { min, max, .. } => {
            [min, max, min.next_up(), max.next_down(), 1.0 / 3.0, 0.1 + 0.2, 5e-324, 1e15, 123_456_789.125]
                .into_iter()
                .map(Value::Number)
                .filter(|&value| range.allows(value))
                .collect()
        }
        Range::Whole { min, max, .. } => (min..=max).map(Value::Whole).collect(),
        Range::Choice { options, .. } => (0..options.len() as u8).map(Value::Choice).collect(),
        Range::Flag { .. } => vec![Value::Flag(false), Value::Flag(true)],
    }
}

/// A bench with one part of the card, standing on a second board.
fn bench_with(card: &'static Card, turn: Turn) -> Bench {
    let mut bench = Bench::new(BoardKind::Mini);
    bench.boards.push(Board { kind: BoardKind::Half, split_rails: true });
    let part = PartIx(0);
    bench.parts.push(Part::new("X1", card));
    if bench.parts[0].is_rigid() {
        let hole = if turn == Turn::None { "B:e10" } else { "B:f14" };
        let placed = bench.place_rigid(part, Hole::parse(hole).unwrap(), turn);
        if placed.is_err() {
            bench.parts[0].turn = turn;
        }
    } else {
        for (pin, hole) in ["B:L-1", "B:a1"].into_iter().enumerate() {
            bench.put_leg(LegId { part, pin }, Hole::parse(hole)).unwrap();
        }
    }
    bench
}

fn comes_back(bench: &Bench) {
    bench.check().expect("a bench that may be");
    assert_eq!(read(&write(bench)).as_ref(), Ok(bench), "{}", write(bench));
    assert_eq!(link::decode(&link::encode(bench)).as_ref(), Ok(bench));
    let text = wiring::to_text(bench);
    assert_eq!(wiring::from_text(&text, bench).as_ref(), Ok(bench), "{text}");
}

#[test]
fn every_card_comes_back_with_odd_values() {
    for card in CARDS {
        for (index, param) in card.params.iter().enumerate() {
            let values = odd_values(&param.range);
            assert!(values.len() >= 2, "{} {}", card.kind, param.key);
            for value in values {
                let mut bench = bench_with(card, Turn::None);
                bench.parts[0].values[index] = value;
                comes_back(&bench);
            }
        }
    }
}

#[test]
fn every_card_comes_back_in_every_turn_and_depth_and_in_the_air() {
    for card in CARDS {
        for turn in Turn::ALL {
            let mut bench = bench_with(card, turn);
            comes_back(&bench);
            for pin in 0..card.pins.len() {
                bench.parts[0].legs[pin].depth = Depth::ALL[1 + pin % 2];
                comes_back(&bench);
            }
            for leg in &mut bench.parts[0].legs {
                leg.hole = None;
            }
            comes_back(&bench);
        }
    }
}

#[test]
fn boards_title_and_taps_come_back() {
    let mut bench = Bench::new(BoardKind::Full);
    bench.title = "Häfen <b>&amp;</b> \"Lichter\" \\ 💡 مرفأ".to_owned();
    bench.taps = u32::MAX;
    for kind in [BoardKind::Mini, BoardKind::Half, BoardKind::Full] {
        bench.boards.push(Board { kind, split_rails: true });
    }
    comes_back(&bench);
    bench.title = "x".repeat(120);
    comes_back(&bench);
}

#[test]
fn a_title_that_no_file_can_hold_is_made_to_fit_so_that_what_is_saved_can_be_opened() {
    let mut bench = Bench::new(BoardKind::Mini);
    bench.title = format!("Pier\n\u{202e}lights\u{0}{}", "!".repeat(200));
    let back = read(&write(&bench)).unwrap();
    assert!(back.title.starts_with("Pierlights!") && back.title.chars().count() == 120, "{}", back.title);
}

#[test]
fn the_examples_are_bench_files() {
    for example in &examples::ALL {
        let bench = read(example.text()).unwrap_or_else(|error| panic!("{}: {error}", example.slug));
        comes_back(&bench);
    }
}

#[test]
fn a_file_is_one_part_a_line_and_says_nothing_that_the_card_says() {
    let mut bench = Bench::new(BoardKind::Half);
    let text = "R1 resistor ohms=220 1=L+5 2=b5\nR2 resistor ohms=0.5 1=a8 2=-\n\
                S1 slide-switch to=3 pin1=c10 turn=180 2=/out\n";
    bench = wiring::from_text(text, &bench).unwrap();
    bench.title = "Pier".to_owned();
    assert_eq!(wiring::to_text(&bench), text);
    let file = r#"{
  "halfrow": 1,
  "title": "Pier",
  "boards": [{ "id": "A", "kind": "half" }],
  "parts": [
    { "id": "R1", "kind": "resistor", "pins": { "1": "L+5", "2": "b5" } },
    { "id": "R2", "kind": "resistor", "ohms": 0.5, "pins": { "1": "a8", "2": null } },
    { "id": "S1", "kind": "slide-switch", "to": "3", "pin1": "c10", "turn": 180, "depth": { "2": "out" } }
  ]
}
"#;
    assert_eq!(write(&bench), file);
}

#[test]
fn what_people_write_by_hand_is_understood() {
    let file = |part: &str| {
        read(&format!(r#"{{"halfrow":1,"boards":[{{"id":"A","kind":"half"}}],"parts":[{part}]}}"#)).unwrap()
    };
    let tolerance = |text: &str| {
        file(&format!(r#"{{"id":"R1","kind":"resistor","tolerance_percent":{text}}}"#)).parts[0].values[1]
    };
    assert_eq!(tolerance("5"), tolerance("\"5\""));
    assert_eq!(tolerance("20"), Value::Choice(4));
    assert_ne!(tolerance("1"), tolerance("5"));
    let bench = file(r#"{"id":"W1","kind":"wire","pins":{"2":"L−3"}}"#);
    assert_eq!(bench.parts[0].legs[0].hole, None, "a pin that is not told is in the air");
    assert_eq!(bench.parts[0].legs[1].hole, Hole::parse("L-3"));

    let base = Bench { title: "Kept".to_owned(), taps: 3, ..Bench::new(BoardKind::Mini) };
    let listed =
        wiring::from_text("\u{feff}# pier\r\n\r\nR1\tresistor\tohms=4.7e3  2=a5 # far end\r\n", &base);
    let listed = listed.unwrap();
    assert_eq!((listed.title.as_str(), listed.taps, listed.parts.len()), ("Kept", 3, 1));
    assert_eq!(listed.parts[0].values[0], Value::Number(4700.0));

    let whole = format!("https://example.org/app/?x=1{}", link::encode(&listed));
    assert_eq!(link::decode(&whole), Ok(listed.clone()));
    let (start, end) = whole.split_at(whole.len() - 9);
    for between in ["\r\n ", "%20", "%0D%0A%20", "\u{a0}", "%C2%A0", "\u{200b}", "\u{ad}"] {
        let broken = format!(" {start}{between}{end}\n");
        assert!(link::looks_like(&broken), "{broken}");
        assert_eq!(link::decode(&broken), Ok(listed.clone()), "a mail put {between:?} into the link");
    }
    let spelt = whole.replace('#', "%23").replace('_', "%5F").replace('-', "%2d");
    assert_eq!(link::decode(&spelt), Ok(listed), "an address spelt in bytes");
}

#[test]
fn a_link_that_nobody_packed_opens_too() {
    for example in &examples::ALL {
        let bench = halfrow_file::read(example.text()).unwrap();
        let link = halfrow_file::link::of_packed(&halfrow_file::link::stored(
            halfrow_file::link::text(&bench).as_bytes(),
        ));
        assert_eq!(halfrow_file::link::decode(&link), Ok(bench));
    }
    // More than a block, and nothing at all.
    for length in [0, 1, 65_535, 65_536, 200_000] {
        let bytes: Vec<u8> = (0..length).map(|at: u32| (at % 251) as u8).collect();
        let packed = halfrow_file::link::stored(&bytes);
        let back = miniz_oxide::inflate::decompress_to_vec(&packed);
        // Without a block there is no end either; a bench is never empty.
        assert_eq!(back.ok(), (length > 0).then_some(bytes), "{length}");
    }
}

#[test]
fn a_link_is_told_from_a_file_whatever_its_version() {
    for link in ["#1.abc", "https://example.org/#2.zzz", "https://example.org/%231.abc", "#12.", "see #1.a-_"]
    {
        assert!(link::looks_like(link), "{link}");
    }
    for other in [
        "",
        "#",
        "#1",
        "#.abc",
        "#board",
        "3.14",
        "R1 resistor # 220. or so",
        "{\"title\":\"#1.abc\"}",
        "#1234567.a",
        "#0.abc",
        "#01.abc",
    ] {
        assert!(!link::looks_like(other), "{other}");
    }
}

const METERS: &str = r#"{"halfrow":2,"boards":[{"id":"A","kind":"half"}],
    "parts":[{"id":"R1","kind":"resistor","pins":{"1":"a1","2":"a5"}}],"meters":[METER]}"#;

#[test]
fn meters_come_back_from_file_and_link() {
    let meter = r#"{"kind":"cheap","dial":"dc-20ma","red":"R1.2","black":"b5","red_socket":"10a","fuse_500ma":"blown","battery_volts":6.5},{"red_socket":"com","black_socket":"vom"}"#;
    let bench = read(&METERS.replace("METER", meter)).unwrap();
    assert_eq!(bench.meters.len(), 2);
    assert_eq!(read(&write(&bench)), Ok(bench.clone()));
    assert_eq!(link::decode(&link::encode(&bench)), Ok(bench.clone()));
    assert!(write(&bench).starts_with("{\n  \"halfrow\": 2,"));
    // Without meters it is a file that an older page reads, and has been written like that before.
    let plain = Bench { meters: Vec::new(), ..bench };
    assert!(write(&plain).starts_with("{\n  \"halfrow\": 1,") && !write(&plain).contains("meters"));
}

#[test]
fn what_is_wrong_with_a_meter_is_said_with_its_place() {
    for (meter, told) in [
        (r#"{"dial":"dc-2ov"}"#, "meters[0] dial: Halfrow doesn’t know “dc-2ov”. Did you mean “dc-20v”?"),
        (r#"{"red":"z9"}"#, "meters[0] red: “z9” isn’t on this bench"),
        (r#"{"red":"R2.1"}"#, "isn’t on this bench"),
        (r#"{"red":7}"#, "a text in quotes"),
        (r#"{"red_socket":"com"}"#, "both leads are in the socket com"),
        (r#"{"fuse_10a":"gone"}"#, "Known here: whole, blown"),
        (r#"{"battery_volts":90}"#, "out of range"),
        (r#"{"tip":"a1"}"#, "meters[0]: “tip” means nothing here"),
        ("{},{},{}", "at most 2"),
        ("7", "an object in braces"),
    ] {
        let error = read(&METERS.replace("METER", meter)).expect_err(meter).to_string();
        assert!(error.contains(told), "{meter}: {error}");
    }
    let old = METERS.replace("METER", "{}").replace("\"halfrow\":2", "\"halfrow\":1");
    assert!(read(&old).expect_err("old").to_string().contains("Write \"halfrow\": 2"));
}

#[test]
fn parts_as_bought_and_batteries_that_run_down_come_back_from_file_and_link() {
    let text = r#"{"halfrow":2,"boards":[{"id":"A","kind":"half"}],"as_bought":7,"batteries_run_down":true,"parts":[]}"#;
    let bench = read(text).unwrap();
    assert_eq!((bench.as_bought, bench.batteries_run_down), (Some(7), true));
    assert_eq!(read(&write(&bench)), Ok(bench.clone()));
    assert_eq!(link::decode(&link::encode(&bench)), Ok(bench.clone()));
    let plain = Bench { as_bought: None, batteries_run_down: false, ..bench };
    assert!(write(&plain).starts_with("{\n  \"halfrow\": 1,"));
    for (from, to, says) in [
        ("\"halfrow\":2", "\"halfrow\":1", "“as_bought” belongs to version 2"),
        (":7", ":0", "1 to 4294967295"),
        (":7", ":1.5", "1 to 4294967295"),
        (":true", ":1", "true or false"),
    ] {
        let error = read(&text.replace(from, to)).unwrap_err().to_string();
        assert!(error.contains(says), "{error}");
    }
}
