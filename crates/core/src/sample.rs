//! A crowded full board for measurements.

use crate::bench::{Bench, LegId, PartIx};
use crate::board::{BoardKind, Hole};
use crate::card::Value;
use crate::part::{Part, Turn};
use crate::parts;

/// The lamps between the left + rail and the right − rail: colour (an index of the LED's card) and
/// ohms, one every four rows.
const LAMPS: [(u8, f64); 9] = [
    (0, 220.0),
    (1, 330.0),
    (2, 220.0),
    (3, 100.0),
    (4, 150.0),
    (0, 1000.0),
    (1, 470.0),
    (2, 680.0),
    (0, 330.0),
];

/// Everything else: kind, holes (pin 1 alone for a stiff part), values.
type Line = (&'static str, &'static [&'static str], &'static [(&'static str, Value)]);

const OHMS: &str = "ohms";

const REST: [Line; 32] = [
    // Power on both pairs of rails.
    ("battery", &["L+1", "L-1"], &[("cells", Value::Whole(4)), ("charge", Value::Number(0.7))]),
    ("wire", &["L+50", "R+50"], &[]),
    ("wire", &["L-50", "R-50"], &[("colour", Value::Choice(1))]),
    // A divider of diode, heat sensor and resistor.
    ("diode", &["L+2", "a1"], &[]),
    ("thermistor", &["b1", "b2"], &[("celsius", Value::Number(4.0))]),
    ("resistor", &["a2", "L-2"], &[(OHMS, Value::Number(10_000.0))]),
    // A lighthouse with a dimmer.
    ("potentiometer", &["b44"], &[(OHMS, Value::Number(1000.0)), ("position", Value::Number(0.25))]),
    ("wire", &["L+36", "a44"], &[]),
    ("wire", &["L-36", "a46"], &[("colour", Value::Choice(1))]),
    ("resistor", &["c45", "f45"], &[(OHMS, Value::Number(100.0))]),
    ("led", &["g45", "g47"], &[("colour", Value::Choice(4))]),
    ("wire", &["j47", "R-37"], &[("colour", Value::Choice(1))]),
    // A lamp that a light sensor feeds.
    ("photoresistor", &["L+39", "a49"], &[("lux", Value::Number(800.0))]),
    ("resistor", &["e49", "f49"], &[(OHMS, Value::Number(100.0))]),
    ("led", &["g49", "g50"], &[]),
    ("wire", &["j50", "R-40"], &[("colour", Value::Choice(1))]),
    // Two switched lamps, one on, one off.
    ("slide-switch", &["b52"], &[]),
    ("wire", &["L+42", "a53"], &[]),
    ("resistor", &["c52", "f52"], &[(OHMS, Value::Number(220.0))]),
    ("led", &["h52", "h54"], &[("colour", Value::Choice(2))]),
    ("wire", &["j54", "R-43"], &[("colour", Value::Choice(1))]),
    ("slide-switch", &["b56"], &[("to", Value::Choice(1))]),
    ("wire", &["L+45", "a57"], &[]),
    ("resistor", &["c56", "f56"], &[(OHMS, Value::Number(220.0))]),
    ("led", &["h56", "h58"], &[]),
    ("wire", &["j58", "R-46"], &[("colour", Value::Choice(1))]),
    // A lamp behind a pressed button, with a diode against the battery the wrong way round.
    ("push-button", &["e60"], &[("pressed", Value::Flag(true))]),
    ("diode", &["L+48", "a60"], &[("type", Value::Choice(1))]),
    ("resistor", &["g62", "g59"], &[(OHMS, Value::Number(470.0))]),
    ("led", &["i59", "i63"], &[("colour", Value::Choice(3))]),
    ("wire", &["j63", "R-49"], &[("colour", Value::Choice(1))]),
    ("resistor", &["a62", "L-49"], &[(OHMS, Value::Number(4700.0))]),
];

/// A full board with sixty parts of every kind that fits on it, all of them at work: what speed is
/// measured with and what keeps its bits.
///
/// # Panics
/// Never: the parts are a constant and a test places them.
pub fn sixty_parts() -> Bench {
    let mut bench = Bench::new(BoardKind::Full);
    bench.title = "Sixty parts".to_owned();
    for (lamp, &(colour, ohms)) in LAMPS.iter().enumerate() {
        let row = 4 + 4 * lamp;
        let hole = |column: &str| format!("{column}{row}");
        let (from, to) = (format!("L+{}", 4 + 3 * lamp), format!("R-{}", 4 + 3 * lamp));
        put(&mut bench, "resistor", &[&from, &hole("a")], &[(OHMS, Value::Number(ohms))]);
        put(&mut bench, "led", &[&hole("e"), &hole("f")], &[("colour", Value::Choice(colour))]);
        put(&mut bench, "wire", &[&hole("j"), &to], &[("colour", Value::Choice(1))]);
    }
    for (kind, holes, values) in REST {
        put(&mut bench, kind, holes, values);
    }
    // One lamp has a second, weaker resistor beside its own.
    put(&mut bench, "resistor", &["L+9", "b8"], &[(OHMS, Value::Number(2200.0))]);
    bench
}

const FARADS: &str = "farads";

/// A 555 that blinks an LED so many times a second, on a half board with a 9 V block.
///
/// # Panics
/// Never: the parts are a constant and a test places them.
pub fn blinker(hertz: f64) -> Bench {
    let mut bench = Bench::new(BoardKind::Half);
    bench.title = "Blinker".to_owned();
    // Twice as long on as off would be RA = RB; 1 k and 47 k make it nearly even.
    let farads = 1.44 / (hertz * 95_000.0);
    let lines: [Line; 12] = [
        ("battery", &["L+1", "L-1"], &[("cell", Value::Choice(3)), ("cells", Value::Whole(1))]),
        ("wire", &["L+25", "R+25"], &[]),
        ("555", &["e10"], &[]),
        ("wire", &["L-5", "a10"], &[("colour", Value::Choice(1))]),
        ("wire", &["j10", "R+10"], &[]),
        ("wire", &["c13", "L+13"], &[]),
        ("wire", &["b11", "g12"], &[("colour", Value::Choice(3))]),
        ("resistor", &["R+11", "j11"], &[(OHMS, Value::Number(1000.0))]),
        ("resistor", &["h11", "h12"], &[(OHMS, Value::Number(47_000.0))]),
        ("resistor", &["a12", "a16"], &[(OHMS, Value::Number(470.0))]),
        ("led", &["b16", "b17"], &[]),
        ("wire", &["a17", "L-16"], &[("colour", Value::Choice(1))]),
    ];
    for (kind, holes, values) in lines {
        put(&mut bench, kind, holes, values);
    }
    put(&mut bench, "capacitor", &["a11", "L-11"], &[(FARADS, Value::Number(farads))]);
    bench
}

/// The blinker with a decade counter behind it, eight of whose outputs light LEDs one after the other.
///
/// # Panics
/// Never: the parts are a constant and a test places them.
pub fn running_lights(hertz: f64) -> Bench {
    let mut bench = Bench::new(BoardKind::Full);
    bench.title = "Running lights".to_owned();
    let farads = 1.44 / (hertz * 95_000.0);
    let lines: [Line; 16] = [
        ("usb", &["L+1", "L-1"], &[]),
        ("wire", &["L+50", "R+50"], &[]),
        ("wire", &["L-50", "R-50"], &[("colour", Value::Choice(1))]),
        ("555", &["e5"], &[]),
        ("wire", &["L-5", "a5"], &[("colour", Value::Choice(1))]),
        ("wire", &["j5", "R+5"], &[]),
        ("wire", &["c8", "L+8"], &[]),
        ("wire", &["b6", "g7"], &[("colour", Value::Choice(3))]),
        ("resistor", &["R+6", "j6"], &[(OHMS, Value::Number(1000.0))]),
        ("resistor", &["h6", "h7"], &[(OHMS, Value::Number(47_000.0))]),
        ("74hc4017", &["e12"], &[]),
        ("wire", &["a19", "L-16"], &[("colour", Value::Choice(1))]),
        ("wire", &["j12", "R+12"], &[]),
        ("wire", &["h14", "b7"], &[("colour", Value::Choice(3))]),
        ("wire", &["j13", "R-13"], &[("colour", Value::Choice(1))]),
        ("wire", &["j15", "R-15"], &[("colour", Value::Choice(1))]),
    ];
    for (kind, holes, values) in lines {
        put(&mut bench, kind, holes, values);
    }
    put(&mut bench, "capacitor", &["a6", "L-6"], &[(FARADS, Value::Number(farads))]);
    // Q0 to Q7: where each comes out, and a row for its lamp.
    let outputs = ["a14", "a13", "a15", "a18", "i18", "a12", "a16", "a17"];
    for (index, output) in outputs.into_iter().enumerate() {
        let row = 24 + 4 * index;
        let hole = |column: &str, row: usize| format!("{column}{row}");
        put(&mut bench, "wire", &[output, &hole("a", row)], &[("colour", Value::Choice(4))]);
        put(&mut bench, "resistor", &[&hole("b", row), &hole("b", row + 2)], &[(OHMS, Value::Number(330.0))]);
        put(&mut bench, "led", &[&hole("e", row + 2), &hole("f", row + 2)], &[]);
        let rail = format!("R-{}", 20 + 3 * index);
        put(&mut bench, "wire", &[&hole("j", row + 2), &rail], &[("colour", Value::Choice(1))]);
    }
    bench
}

fn put(bench: &mut Bench, kind: &str, holes: &[&str], values: &[(&str, Value)]) {
    let card = parts::card(kind).expect("a kind that is listed");
    let ix = PartIx(bench.parts.len());
    let mut part = Part::new(bench.next_id(card), card);
    for &(key, value) in values {
        assert!(part.set(key, value), "{kind} {key} {value:?}");
    }
    let rigid = part.is_rigid();
    bench.parts.push(part);
    let parsed = holes.iter().map(|hole| Hole::parse(hole).expect("a hole"));
    if rigid {
        let pin1 = parsed.clone().next().expect("pin 1");
        bench.place_rigid(ix, pin1, Turn::None).expect("a free place");
    } else {
        for (pin, hole) in parsed.enumerate() {
            bench.put_leg(LegId { part: ix, pin }, Some(hole)).expect("a free hole");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_blinker_blinks_and_the_lights_run() {
        use crate::time::{Care, Run};
        let rises = |bench: &Bench, name: &str, seconds: f64| {
            let mut run = Run::new(bench, Care::LIVE);
            let part = bench.find(name).expect("a lamp");
            let (mut rises, mut lit) = (0, false);
            while run.time() < seconds && run.stalled().is_none() {
                run.advance();
                let now = run.pin_amps(LegId { part, pin: 0 }, run.time()) > 1e-3;
                rises += u32::from(now && !lit);
                lit = now;
            }
            rises
        };
        assert!((99..=102).contains(&rises(&blinker(1000.0), "D1", 0.1)));
        assert_eq!(rises(&running_lights(10.0), "D3", 2.05), 2);
    }

    #[test]
    fn sixty_parts_stand_on_the_board_and_settle() {
        let bench = sixty_parts();
        assert_eq!(bench.parts.len(), 60);
        assert_eq!(bench.check(), Ok(()));
        let point = crate::solve::solve(&bench);
        assert!(point.settled && point.law_missed_by() < 1.0);
        let lit = bench.parts.iter().zip(&point.parts).filter(|(part, reading)| {
            part.card.kind == "led" && (part.card.state)(part, reading).word != "dark"
        });
        assert_eq!(lit.count(), 13, "all but the lamp whose switch is off");
    }
}
