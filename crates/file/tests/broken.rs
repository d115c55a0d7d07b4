//! Broken and hostile texts are refused with a message that says what is wrong and where.

use halfrow_core::bench::Bench;
use halfrow_core::board::BoardKind;
use halfrow_file::{FileError, LinkFault, MAX_TEXT_BYTES, link, read, wiring};
use miniz_oxide::deflate::compress_to_vec;

/// A file around some parts on one half board.
fn file(parts: &str) -> String {
    format!(r#"{{"halfrow":1,"boards":[{{"id":"A","kind":"half"}}],"parts":[{parts}]}}"#)
}

fn resistor(rest: &str) -> String {
    file(&format!(r#"{{"id":"R1","kind":"resistor",{rest}}}"#))
}

fn refused(text: &str, says: &str) {
    match read(text) {
        Ok(_) => panic!("accepted: {}", text.chars().take(200).collect::<String>()),
        Err(error) => {
            let message = error.to_string();
            assert!(message.contains(says), "“{message}” does not say “{says}”");
            assert!(message.len() < 1000, "a message to read, not {} bytes", message.len());
        }
    }
}

#[test]
fn what_is_no_json_is_refused_with_line_and_column() {
    for (text, says) in [
        ("", "The file is empty."),
        ("\u{feff} \n\t", "The file is empty."),
        ("hello, world", "This begins with “hello,”, but a Halfrow file begins with {."),
        ("\u{202e}x", "This begins with “\u{fffd}x”"),
        ("nope", "This begins with “nope”"),
        (
            "{\"halfrow\": nope}",
            "Line 1, column 13: this can’t be read as JSON (what stands there is neither a number nor in quotes)",
        ),
        ("{halfrow: 1}", "a key stands there without quotes"),
        ("{\"a\":\"\\ud800\"}", "\\u names half a character"),
        ("{\"a\":\"\\udc00\\ud800x\"}", "\\u names half a character"),
        ("{\n  \"halfrow\": 1,\n  \"boards\": [}\n", "Line 3, column 14"),
        ("{\"halfrow\": 1", "the text ends too early"),
        ("{\"halfrow\": 1} x", "something follows the last bracket"),
        (&resistor("\"ohms\": NaN"), "column"),
        (&resistor("\"ohms\": 1e400"), "this number is too large for any part."),
        (&"[".repeat(5000), "This begins with “[[[["),
        (&format!("{{\"a\":{}", "[".repeat(5000)), "brackets are nested too deeply"),
        (&"{\"a\":".repeat(5000), "brackets are nested too deeply"),
        ("\u{0}\u{1}", "This begins with “\u{fffd}\u{fffd}”"),
        ("{\"a\":\"\u{1}\"}", "a line ends within quotes"),
    ] {
        refused(text, says);
    }
}

#[test]
fn what_is_json_but_no_bench_is_refused_with_its_place() {
    for (text, says) in [
        ("[]", "This begins with “[]”"),
        ("7", "This begins with “7”"),
        ("{}", "“halfrow” is missing"),
        (r#"{"halfrow":3,"anything":"new"}"#, "made by a newer Halfrow"),
        (r#"{"halfrow":1e300}"#, "made by a newer Halfrow"),
        (r#"{"halfrow":0}"#, "0 isn’t a file version"),
        (r#"{"halfrow":"1"}"#, "the text “1” isn’t a file version"),
        (r#"{"halfrow":1,"halfrow":1}"#, "“halfrow” is there twice"),
        (r#"{"halfrow":1,"parts":[]}"#, "“boards” is missing"),
        (r#"{"halfrow":1,"boards":[{"id":"A","kind":"half"}]}"#, "“parts” is missing"),
        (r#"{"halfrow":1,"boards":[],"parts":[]}"#, "boards: a bench has 1 to 4 boards, not 0"),
        (r#"{"halfrow":1,"boards":[1,1,1,1,1],"parts":[]}"#, "not 5"),
        (r#"{"halfrow":1,"boards":[{"id":"B","kind":"half"}],"parts":[]}"#, "boards[0].id"),
        (r#"{"halfrow":1,"boards":[{"id":"A","kind":"huge"}],"parts":[]}"#, "Known here: mini, half, full"),
        (r#"{"halfrow":1,"boards":[{"id":"A","kind":"half","split_rails":1}],"parts":[]}"#, "true or false"),
        (
            r#"{"halfrow":1,"boards":[{"id":"A","kind":"half"}],"parts":{}}"#,
            "parts: this needs a list of parts, not an object",
        ),
        (
            r#"{"halfrow":1,"boards":[{"id":"A","kind":"half"}],"taps":-1,"parts":[]}"#,
            "taps: -1 is out of range",
        ),
        (r#"{"halfrow":1,"boards":[{"id":"A","kind":"half"}],"taps":4294967296,"parts":[]}"#, "taps"),
        (r#"{"halfrow":1,"boards":[{"id":"A","kind":"half"}],"tap":1,"parts":[]}"#, "Did you mean “taps”?"),
        (r#"{"halfrow":1,"title":null,"boards":[],"parts":[]}"#, "title: this needs a text"),
        (r#"{"halfrow":1,"title":"a\nb","boards":[],"parts":[]}"#, "title: character 2 (U+000A)"),
        (r#"{"halfrow":1,"title":"\u202egnp.exe","boards":[],"parts":[]}"#, "(U+202E)"),
        (
            &format!(r#"{{"halfrow":1,"title":"{}","boards":[],"parts":[]}}"#, "é".repeat(121)),
            "title: 121 characters are too many",
        ),
    ] {
        refused(text, says);
    }
}

#[test]
fn what_is_wrong_with_a_part_is_told_with_its_place() {
    let two = |first: &str, second: &str| {
        file(&format!(r#"{{"id":"R1","kind":"resistor",{first}}},{{"id":"R2","kind":"resistor",{second}}}"#))
    };
    for (text, says) in [
        (file("7"), "parts[0]: this needs an object"),
        (file("{}"), "parts[0]: “id” is missing"),
        (file(r#"{"id":"R1"}"#), "parts[0] (R1): “kind” is missing"),
        (file(r#"{"id":"R 1","kind":"led"}"#), "parts[0].id: “R 1” can’t be a part’s name"),
        (file(r#"{"id":"<b>","kind":"led"}"#), "“<b>” can’t be a part’s name"),
        (
            file(r#"{"id":"R1","kind":"resitor"}"#),
            "parts[0] (R1) kind: Halfrow doesn’t know “resitor”. Did you mean “resistor”?",
        ),
        (file(r#"{"id":"U1","kind":"flux"}"#), "Known here: battery, usb, supply, signal, wire, led"),
        (file(r#"{"id":"U1","kind":"flux"}"#), "more."),
        (resistor(r#""ohm":1"#), "parts[0] (R1): “ohm” means nothing here. Did you mean “ohms”?"),
        (resistor(r#""pin1":"a1""#), "“pin1” means nothing here"),
        (resistor(r#""ohms":1,"ohms":2"#), "parts[0] (R1): “ohms” is there twice"),
        (resistor(r#""ohms":"220""#), "ohms: this needs a number from 0.01 to 1000000000 Ω"),
        (resistor(r#""ohms":-5"#), "parts[0] (R1) ohms: -5 is out of range"),
        (resistor(r#""ohms":1e300"#), "out of range"),
        (resistor(r#""tolerance_percent":7"#), "tolerance_percent: Halfrow doesn’t know “7”. "),
        (
            file(r#"{"id":"B1","kind":"battery","cells":2.5}"#),
            "cells: 2.5 is out of range. Use a whole number from 1 to 6",
        ),
        (file(r#"{"id":"B1","kind":"battery","cells":7}"#), "cells: 7 is out of range"),
        (file(r#"{"id":"B1","kind":"battery","charge":1.5}"#), "Use a number from 0 to 1."),
        (file(r#"{"id":"D1","kind":"led","colour":"grene"}"#), "Did you mean “green”?"),
        (file(r#"{"id":"K1","kind":"push-button","pressed":1}"#), "pressed: this needs true or false"),
        (resistor(r#""pins":["a1","a5"]"#), "parts[0] (R1) pins: this needs an object in braces, not a list"),
        (resistor(r#""pins":{"A":"a1"}"#), "parts[0] (R1) pins: “A” means nothing here"),
        (resistor(r#""pins":{"1":"a1","1":"a2"}"#), "parts[0] (R1) pins: “1” is there twice"),
        (resistor(r#""pins":{"2":"k9"}"#), "parts[0] (R1) pins.2: “k9” isn’t a hole"),
        (resistor(r#""pins":{"2":"a05"}"#), "“a05” isn’t a hole"),
        (resistor(r#""pins":{"2":5}"#), "pins.2: this needs a hole’s name"),
        (resistor(r#""pins":{"2":"a31"}"#), "parts[0] (R1) pins.2: there’s no hole a31"),
        (resistor(r#""pins":{"2":"B:a1"}"#), "there’s no hole B:a1"),
        (resistor(r#""pins":{"1":"a1","2":"a1"}"#), "parts[0] (R1) pins.1: a1 is taken by R1’s other leg"),
        (resistor(r#""pins":{"1":"a1","2":"a30"}"#), "parts[0] (R1): the legs don’t reach"),
        (two(r#""pins":{"1":"a1"}"#, r#""pins":{"2":"a1"}"#), "is taken by"),
        (resistor(r#""depth":{"1":"deep"}"#), "depth.1: Halfrow doesn’t know “deep”"),
        (
            file(r#"{"id":"R1","kind":"led"},{"id":"R1","kind":"led"}"#),
            "parts[1] (R1): two parts are called R1",
        ),
        (file(r#"{"id":"S1","kind":"slide-switch","pins":{"1":"a1"}}"#), "“pins” means nothing here"),
        (
            file(r#"{"id":"S1","kind":"slide-switch","pin1":"a29"}"#),
            "parts[0] (S1): with pin 1 in a29, there’s no hole under pin 3",
        ),
        (file(r#"{"id":"S1","kind":"slide-switch","pin1":"a99"}"#), "there’s no hole a99"),
        (
            file(r#"{"id":"S1","kind":"slide-switch","pin1":"a1","turn":45}"#),
            "turn: 45 is out of range. Use 0, 90, 180 or 270",
        ),
        (file(r#"{"id":"S1","kind":"slide-switch","turn":"90"}"#), "turn: this needs 0, 90"),
    ] {
        refused(&text, says);
    }
}

#[test]
fn what_is_far_too_large_is_refused_at_once() {
    refused(
        &file(&vec![r#"{"id":"R1","kind":"led"}"#; 301].join(",")),
        "at most 300 parts, and this one has 301",
    );
    refused(&file(&vec!["{}"; 300_000].join(",")), "at most 300 parts, and this one has 300000");
    refused(&file(&vec![r#"{"id":"R1","kind":"led"}"#; 1_000_000].join(",")), "bytes long");
    refused(&" ".repeat(MAX_TEXT_BYTES + 1), "1000001 bytes long; a bench has at most 1000000");
    let keys: String = (0..80_000).map(|n| format!("\"k{n}\":1,")).collect();
    refused(&format!("{{{keys}\"halfrow\":1}}"), "“k0” means nothing here");
    refused(&resistor(&format!("\"{}\":1", "y".repeat(500_000))), "yyy…” means nothing");
}

#[test]
fn markup_in_a_title_stays_text() {
    let title = "<script>alert(1)</script>&amp;";
    let text =
        format!(r#"{{"halfrow":1,"title":"{title}","boards":[{{"id":"A","kind":"mini"}}],"parts":[]}}"#);
    assert_eq!(read(&text).unwrap().title, title);
}

const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

/// Any bytes as a link, the slow way: bit by bit.
fn link_of(bytes: &[u8]) -> String {
    let bits: Vec<u8> = bytes.iter().flat_map(|byte| (0..8).rev().map(move |bit| byte >> bit & 1)).collect();
    let letter = |six: &[u8]| {
        let value = (0..6).fold(0, |value, place| value << 1 | six.get(place).copied().unwrap_or(0));
        char::from(LETTERS[usize::from(value)])
    };
    format!("#1.{}", bits.chunks(6).map(letter).collect::<String>())
}

#[test]
fn a_broken_link_says_what_is_wrong_with_it() {
    let good = link::encode(&Bench::new(BoardKind::Half));
    let packed = |text: &[u8]| link_of(&compress_to_vec(text, 6));
    let cut = &good[..good.len() - 5];
    for (link, fault) in [
        ("", LinkFault::NoBench),
        ("#", LinkFault::NoBench),
        ("https://example.org/", LinkFault::NoBench),
        ("#2.AAAA", LinkFault::Newer { version: "2".to_owned() }),
        ("#1.AA=A", LinkFault::Character { position: 3, found: '=' }),
        ("#1.é", LinkFault::Character { position: 1, found: 'é' }),
        ("#1.", LinkFault::Damaged),
        ("#1.A", LinkFault::Damaged),
        ("#1.____", LinkFault::Damaged),
        (cut, LinkFault::Damaged),
        (&packed(b"\xff\xfe{}"), LinkFault::NoText),
        (&packed(&vec![b' '; 20_000_000]), LinkFault::TooLong),
        (&format!("#1.{}", "A".repeat(3_000_000)), LinkFault::TooLong),
    ] {
        assert_eq!(
            link::decode(link),
            Err(FileError::Link(fault)),
            "{}",
            &link.chars().take(40).collect::<String>()
        );
    }
    let inner = link::decode(&packed(b"{\"halfrow\":1")).unwrap_err().to_string();
    assert!(inner.contains("the text ends too early"), "{inner}");
}

#[test]
fn a_broken_wiring_list_is_refused_with_its_line() {
    let base = Bench::new(BoardKind::Half);
    for (text, says) in [
        ("R1", "line 1 (R1): a line begins with a name and a kind"),
        ("\n# fine\nR-1 led", "line 3: “R-1” can’t be a part’s name"),
        ("R1 resistr 1=a1", "line 1 (R1): Halfrow doesn’t know “resistr”. Did you mean “resistor”?"),
        ("R1 resistor a1 a5", "line 1 (R1): “a1” should look like key=value"),
        ("R1 resistor ohm=4", "Did you mean “ohms”?"),
        ("R1 resistor ohms=4kk7", "line 1 (R1) ohms: this needs a number"),
        ("R1 resistor ohms=NaN", "this needs a number from 0.01 to 1000000000 Ω, not the text “NaN”"),
        ("R1 resistor ohms=inf", "this needs a number from 0.01 to 1000000000 Ω, not the text “inf”"),
        ("R1 resistor ohms=1e400", "out of range"),
        ("R1 resistor 1=a1 1=a2", "line 1 (R1): “1” is there twice"),
        ("R1 resistor 1=z1", "line 1 (R1) 1: “z1” isn’t a hole"),
        ("R1 resistor 1=", "isn’t a hole"),
        ("R1 resistor 1=a1/deep", "line 1 (R1) 1: Halfrow doesn’t know “deep”"),
        ("R1 resistor 1=a1\nR2 resistor 2=a1", "a1 is taken by"),
        ("R1 led\nR1 led", "line 2 (R1): two parts are called R1"),
        ("R1 resistor 2=a31", "line 1 (R1) 2: there’s no hole a31"),
        ("S1 slide-switch pin1=a29", "line 1 (S1): with pin 1 in a29"),
        ("S1 slide-switch pin1=a1 turn=45", "line 1 (S1) turn: 45 is out of range"),
        ("S1 slide-switch pin1=a1 2=a2", "line 1 (S1) 2: this part is stiff"),
        ("K1 push-button pressed=maybe", "pressed: this needs true or false"),
    ] {
        let message = wiring::from_text(text, &base).unwrap_err().to_string();
        assert!(message.contains(says), "“{message}” does not say “{says}”");
    }
    let many: String = (0..20_000).map(|n| format!("W{n} wire\n")).collect();
    let message = wiring::from_text(&many, &base).unwrap_err().to_string();
    assert!(message.contains("line 301: a bench holds at most 300 parts"), "{message}");
    let message = wiring::from_text(&" ".repeat(MAX_TEXT_BYTES + 1), &base).unwrap_err().to_string();
    assert!(message.contains("bytes long"), "{message}");
}
