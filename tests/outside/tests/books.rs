//! Worked examples of textbooks, built on a bench. Each row: where it is from, how many times larger
//! the resistances are on the bench, the circuit, what the book prints.
//!
//! UP2: OpenStax, University Physics volume 2, chapter 10. CP2: OpenStax, College Physics 2e, chapter
//! 21. LIEC: Kuphaldt, Lessons in Electric Circuits (volume I unless named). Tolerance: 0.1 % (the
//! bench has wires and cells) and half a unit of the last printed digit. Currents are in amperes
//! throughout; where a book prints milliamperes its digits are kept.

use halfrow_outside::book::{Book, circuit, circuit_times};

type Row = (&'static str, f64, &'static str, &'static str);

const SERIES_AND_PARALLEL: [Row; 10] = [
    (
        "UP2 example 10.2",
        1.0,
        "E 9 V: a g; R1 20: a b; R2 20: b c; R3 20: c d; R4 20: d e; R5 10: e g",
        "E A = 0.1; R1 V = 2; R4 V = 2; R5 V = 1; E W = 0.9",
    ),
    (
        "CP2 example 21.1",
        1.0,
        "E 12 V: a g; R1 1: a b; R2 6: b c; R3 13: c g",
        "E A = 0.600; R1 V = 0.600; R2 V = 3.60; R3 V = 7.80; E W = 7.20",
    ),
    (
        "UP2 problem 35",
        1.0,
        "E 18 V: a g; R1 4: a b; R2 1: b c; R3 4: c g",
        "E A = 2.00; R1 V = 8; R2 V = 2; R3 V = 8",
    ),
    (
        "LIEC chapter 5.2",
        1.0,
        "E 9 V: a g; R1 3k: a b; R2 10k: b c; R3 5k: c g",
        "E A = 0.000500; R1 V = 1.5; R2 V = 5; R3 V = 2.5",
    ),
    (
        "UP2 example 10.3",
        10.0,
        "E 3 V: a g; R1 1: a g; R2 2: a g; R3 2: a g",
        "R1 A = 3.00; R2 A = 1.50; R3 A = 1.50; E A = 6.00; E W = 18",
    ),
    (
        "CP2 example 21.2",
        10.0,
        "E 12 V: a g; R1 1: a g; R2 6: a g; R3 13: a g",
        "R1 A = 12; R2 A = 2.00; R3 A = 0.92; E A = 14.92",
    ),
    (
        "LIEC chapter 5.3: 9 V over 625 ohms",
        1.0,
        "E 9 V: a g; R1 10k: a g; R2 2k: a g; R3 1k: a g",
        "R1 A = 0.0009; R2 A = 0.0045; R3 A = 0.009; E A = 0.0144",
    ),
    (
        "LIEC chapter 6.1",
        10.0,
        "E battery 45 V: a g; R1 5k: a b; R2 10k: b c; R3 7.5k: c g",
        "E A = 0.002000; R1 V = 10; R2 V = 20; R3 V = 15",
    ),
    (
        "LIEC chapter 6.3: 545.45 ohms together",
        1.0,
        "E 6 V: a g; R1 1k: a g; R2 3k: a g; R3 2k: a g",
        "R1 A = 0.006; R2 A = 0.002; R3 A = 0.003; E A = 0.011000",
    ),
    (
        "LIEC chapter 6.1 again at 24 V for 180 V (a divider divides in proportion)",
        1.0,
        "E 24 V: a g; R1 5k: a b; R2 10k: b c; R3 7.5k: c g",
        "R1 V = 5.3333; R2 V = 10.6667; R3 V = 8.0000",
    ),
];

const COMBINATIONS: [Row; 7] = [
    (
        "UP2 section 10.2, figure",
        1.0,
        "E 24 V: a g; R1 7: a b; R2 10: b g; R3 6: b c; R4 4: c g",
        "E A = 2; R1 V = 14; b V = 10; R2 A = 1; R3 A = 1; R3 V = 6; R4 V = 4; E W = 48",
    ),
    (
        "UP2 example 10.4",
        1.0,
        "E 12 V: a g; R1 1: a b; R2 6: b g; R3 13: b g",
        "E A = 2.35; b V = 9.65; R2 A = 1.61; R2 W = 15.5",
    ),
    (
        "UP2 example 10.5: 2 A through 10 + 10 + (10 beside 10) ohms",
        10_000.0,
        "E battery 50 V: a g; R1 10: a b; R2 10: b c; R3 10: c g; R4 10: c g",
        "E A = 2.000; R1 V = 20.00; R3 V = 10.00",
    ),
    (
        "UP2 problem 69",
        100.0,
        "E battery 30 V 1: a g; R1 9: a b; R2 18: a b; R3 10: b c; R4 10: b c; R5 8: c g",
        "E A = 1.50; R1 A = 1.00; R2 A = 0.50; R3 A = 0.75; R4 A = 0.75; R1 V = 9.00; R3 V = 7.50; R5 V = 12.0",
    ),
    (
        "UP2 problem 77",
        1.0,
        "E 24 V: a g; R1 14: a b; R2 9: b c; R3 18: b c; R4 4: c g",
        "E A = 1.00; R1 V = 14; R2 V = 6; R4 V = 4; R2 A = 0.67; R3 A = 0.33",
    ),
    (
        "LIEC chapter 7.2",
        1.0,
        "E 24 V: a g; R1 100: a b; R2 250: a b; R3 350: b g; R4 200: b g",
        "E A = 0.12078; R1 V = 8.6275; b V = 15.373; R1 A = 0.086275; R2 A = 0.034510; R3 A = 0.043922; R4 A = 0.076863",
    ),
    (
        "UP2 problem 95: an endless ladder is 0.7321 R; six sections stand for it, the rest is below 1e-6",
        1.0,
        "E 1 V: a g; S1 1k: a g; U1 1k: a b; L1 1k: g h; S2 1k: b h; U2 1k: b c; L2 1k: h i; S3 1k: c i; \
         U3 1k: c d; L3 1k: i j; S4 1k: d j; U4 1k: d e; L4 1k: j k; S5 1k: e k; U5 1k: e f; L5 1k: k l; S6 1k: f l",
        "E A = 0.0013660",
    ),
];

const INTERNAL_RESISTANCE: [Row; 7] = [
    ("UP2 example 10.1, 10 ohms", 1.0, "E 12 V 0.1: a g; R 10: a g", "E A = 1.188; a V = 11.88"),
    ("UP2 example 10.1, 0.5 ohms", 10.0, "E 12 V 0.1: a g; R 0.5: a g", "E A = 20.0; a V = 10.0"),
    ("UP2 example 10.1, old battery", 10.0, "E 12 V 0.5: a g; R 0.5: a g", "E A = 12; a V = 6; R W = 72"),
    (
        "UP2 problem 45",
        1.0,
        "E1 1.58 V 0.02: a b; E2 1.58 V 0.02: b c; E3 1.58 V 0.02: c d; E4 1.53 V 0.1: d g; R 10: a g",
        "R A = 0.617; R W = 3.81",
    ),
    (
        "UP2 problem 89",
        1.0,
        "E1 1.50 V 1: a b; E2 1.50 V 1: b g; E3 1.50 V 1: a c; E4 1.50 V 1: c g; R 10: a g",
        "R A = 0.273; E1 V = 1.36; E4 V = 1.36",
    ),
    ("LIEC chapter 11.2", 10.0, "E 10 V 0.2: a g; R 1: a g", "E A = 8.333"),
    ("LIEC chapter 11.2, shorted", 1000.0, "E 10 V 0.2: a g; W wire: a g", "E A = 50"),
];

const TWO_SOURCES: [Row; 9] = [
    (
        "UP2 section 10.3",
        100.0,
        "E1 24 V: a g; R1 3: a c; E2 battery 29 V 3: b g; R2 4: b c; R3 3: c g",
        "R1 A = 3.00; R2 A = 2.00; R3 A = 5.00",
    ),
    (
        "UP2 example 10.6",
        1.0,
        "E1 0.5 V: a g; R1 3: a d; E2 2.3 V: b g; R2 8: b d; E3 0.6 V: g c; R3 1: c d",
        "R1 A = 0.20; R2 A = 0.30; R3 A = -0.50",
    ),
    (
        "UP2 example 10.7",
        100.0,
        "E1 battery 24 V 10: a g; R2 30: a b; E2 battery 12 V 20: b g",
        "E1 A = 0.20; E2 A = -0.20; E1 W = 4.80",
    ),
    (
        "UP2 problem 37",
        1.0,
        "E1 1.6 V: a g; R1 1k: a c; E2 1.4 V: b g; R2 1k: b c; R3 2k: c g",
        "R3 A = 0.0006; R1 A = 0.0004; R2 A = 0.0002",
    ),
    (
        "UP2 problem 37, one source reversed",
        1.0,
        "E1 1.6 V: a g; R1 1k: a c; E2 1.4 V: g b; R2 1k: b c; R3 2k: c g",
        "R3 A = 0.00004; R1 A = 0.00152; R2 A = -0.00148",
    ),
    (
        "CP2 example 21.5",
        100.0,
        "E1 battery 18 V 3: c g; E2 battery 45 V 2: c g; R3 6: c g",
        "R3 A = 4.75; E1 A = -3.50; E2 A = 8.25",
    ),
    (
        "LIEC chapter 10.2",
        100.0,
        "E1 battery 28 V 4: c g; E2 battery 7 V 1: c g; R2 2: c g",
        "E1 A = 5; E2 A = -1; R2 A = 4; c V = 8",
    ),
    (
        "LIEC chapter 10, Thevenin of the last: open",
        100.0,
        "E1 battery 28 V 4: c g; E2 battery 7 V 1: c g; R 10M: c g",
        "c V = 11.2",
    ),
    (
        "LIEC chapter 10, Norton and the best load",
        100.0,
        "E1 battery 28 V 4: c g; E2 battery 7 V 1: c g; R 0.8: c g",
        "R A = 7.00; R W = 39.2; c V = 5.60",
    ),
];

const BRIDGES: [Row; 5] = [
    (
        "UP2 problem 79, link open",
        1.0,
        "E 12 V 4: a g; R1 8: a b; R2 8: b g; R3 8: a c; R4 8: c g",
        "E A = 1.00; b-c V = 0.00",
    ),
    (
        "UP2 problem 79, link closed",
        1.0,
        "E 12 V 4: a g; R1 8: a b; R2 8: b g; R3 8: a c; R4 8: c g; L wire: b c",
        "E A = 1.00; L A = 0.00",
    ),
    (
        "UP2 problem 85",
        1.0,
        "E 20 V 5: a g; R1 15: a b; R2 10: b g; R3 10: a c; R4 15: c g; R5 5: c b",
        "E A = 1.17; R1 A = 0.50; R2 A = 0.67; R3 A = 0.67; R4 A = 0.50; R5 A = 0.17",
    ),
    (
        "LIEC chapter 10.3",
        1.0,
        "E 24 V: a g; R1 150: a b; R4 300: b g; R2 50: a c; R5 250: c g; R3 100: c b",
        "b V = 17.655; c V = 19.310; R3 A = 0.016552; E A = 0.136092",
    ),
    (
        "LIEC chapter 10, delta-Y",
        1.0,
        "E 10 V: a g; R1 12: a b; R2 18: b g; R3 18: a c; R4 12: c g; R5 6: b c",
        "b V = 5.294; c V = 4.706; R5 A = 0.09804; E A = 0.68627",
    ),
];

const METERS_AND_FAULTS: [Row; 10] = [
    (
        "LIEC chapter 8.3, a 10 megohm meter on the lower of two 250 megohms",
        1.0,
        "E 24 V: a g; R1 250M: a b; R2 250M: b g; M 10M: b g",
        "b V = 0.8889",
    ),
    ("LIEC chapter 8.3 without the meter", 1.0, "E 24 V: a g; R1 250M: a b; R2 250M: b g", "b V = 12.00"),
    (
        "LIEC chapter 8.5, a 0.5 ohm ammeter in the branch of 3 ohms",
        10.0,
        "E 2 V: a g; M 0.5: a b; R1 3: b g; R2 1.5: a g",
        "M A = 0.57143; R2 A = 1.333",
    ),
    (
        "LIEC chapter 8.5, in the branch of 1.5 ohms",
        10.0,
        "E 2 V: a g; M 0.5: a b; R2 1.5: b g; R1 3: a g",
        "M A = 1.000; R1 A = 0.6667",
    ),
    (
        "UP2 problem 91, a 25 ohm, 50 uA movement made a 10 V meter",
        1.0,
        "E 10 V: a g; R 199975: a b; M 25: b g",
        "M A = 0.000050000",
    ),
    (
        "LIEC chapter 5.7",
        1.0,
        "E 9 V: a g; R1 100: a b; R2 300: b c; R3 50: c g",
        "E A = 0.0200; R1 V = 2; R2 V = 6; R3 V = 1",
    ),
    (
        "LIEC chapter 5.7, R2 shorted",
        1.0,
        "E 9 V: a g; R1 100: a b; R2 300: b c; F wire: b c; R3 50: c g",
        "E A = 0.0600; R1 V = 6; b-c V = 0.000; R3 V = 3",
    ),
    (
        "LIEC chapter 5.7, R2 open: all of it over the gap",
        1.0,
        "E 9 V: a g; R1 100: a b; R3 50: c g",
        "b-c V = 9; R1 A = 0",
    ),
    (
        "LIEC chapter 5.7, parallel",
        1.0,
        "E 9 V: a g; R1 90: a g; R2 45: a g; R3 180: a g",
        "R1 A = 0.1000; R2 A = 0.2000; R3 A = 0.0500",
    ),
    (
        "LIEC chapter 5.7, parallel, R2 open",
        1.0,
        "E 9 V: a g; R1 90: a g; R3 180: a g",
        "R1 A = 0.1000; R3 A = 0.0500; E A = 0.1500",
    ),
];

fn agree(rows: &[Row]) {
    let mut said = Vec::new();
    for &(source, times, text, printed) in rows {
        let book = circuit_times(times, text);
        book.bench.check().expect("a bench that anyone can build");
        assert!(book.point.law_missed_by() < 1.0, "{source}");
        said.extend(book.compare(printed).into_iter().map(|what| format!("{source}: {what}")));
    }
    assert!(said.is_empty(), "{}", said.join("\n"));
}

#[test]
fn series_and_parallel() {
    agree(&SERIES_AND_PARALLEL);
}

#[test]
fn combinations_and_a_ladder() {
    agree(&COMBINATIONS);
}

#[test]
fn internal_resistance() {
    agree(&INTERNAL_RESISTANCE);
}

#[test]
fn two_sources() {
    agree(&TWO_SOURCES);
}

#[test]
fn bridges() {
    agree(&BRIDGES);
}

#[test]
fn meters_that_load_and_faults() {
    agree(&METERS_AND_FAULTS);
}

#[test]
fn a_wrong_printed_value_is_noticed() {
    let book: Book = circuit("E 12 V: a g; R1 1k: a b; R2 1k: b g");
    assert!(book.compare("b V = 6.000; R1 A = 0.00600").is_empty());
    assert_eq!(book.compare("b V = 6.01; R1 A = 0.00610; R2 V = 6").len(), 1);
    assert_eq!(book.compare("b V = 6.020").len(), 1);
}
