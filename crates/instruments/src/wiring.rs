//! The inside of a meter as elements of the circuit.
//!
//! A meter is five small parts, put behind those of the bench: its body (what stands between the
//! sockets), two fuses and two leads. They are clipped to each other inside, and the leads' tips touch
//! holes or legs. What a red lead in the wrong socket does, what the meter takes from what it measures
//! and what else is measured with it follow from the equations.

use std::rc::Rc;

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::card::{Card, Pin, Value, Wear};
use halfrow_core::law::Law;
use halfrow_core::meter::{Dial, Meter, Socket, Touch};
use halfrow_core::part::{Leg, Part};
use halfrow_core::point::OperatingPoint;
use halfrow_core::stamp::{Stamp, Terminal};

use crate::figures::{Figures, Fuse, protection_ohms, reference_ohms};
use crate::range::{Quantity, Range};

/// Capacitor before the alternating-voltage ranges, farads: with 10 MΩ it lets pass what swings ten
/// times a second whole (to a thousandth) and has forgotten a direct voltage after two seconds.
const BLOCKING_FARADS: f64 = 22e-9;

/// Pins of the body.
pub(crate) const VOM: usize = 0;
pub(crate) const COM: usize = 1;
pub(crate) const TEN_AMPS: usize = 2;
/// The far end of the 500 mA fuse, towards the dial.
pub(crate) const BEHIND_SMALL: usize = 3;
/// The far end of the 10 A fuse, towards its shunt.
pub(crate) const BEHIND_LARGE: usize = 4;

/// Behind the blocking capacitor, or between the source and the reference resistor: no position of the
/// dial has both.
pub(crate) const INNER: usize = 0;

/// The numbers of a body, in the order of its values.
#[derive(Clone, Copy)]
enum Number {
    Input,
    Alternating,
    Shunt,
    LargeShunt,
    Reference,
    Protection,
    SourceVolts,
    DiodeAmps,
}

const fn pin(name: &'static str) -> Pin {
    Pin { name, says: name }
}

/// What stands between the sockets.
static BODY: Card = Card {
    kind: "meter body",
    pins: &[pin("VOM"), pin("COM"), pin("10A"), pin("small"), pin("large")],
    instrument: true,
    chip: true,
    stamp: stamp_body,
    ..Card::BLANK
};

/// A lead or a whole piece of wire.
static LEAD: Card = Card {
    kind: "meter lead",
    pins: &[pin("plug"), pin("tip")],
    instrument: true,
    chip: true,
    stamp: |part, stamp| stamp.resistance(Terminal::Pin(0), Terminal::Pin(1), part.number(0)),
    ..Card::BLANK
};

/// A fuse, which melts as the one from the drawer does: within the bands of IEC 60127-2, sheet 2.
static FUSE: Card = Card {
    kind: "meter fuse",
    pins: &[pin("1"), pin("2")],
    instrument: true,
    chip: true,
    wear: Some(Wear {
        strain: |part, reading| {
            let share = reading.pins[0].amps / part.number(1);
            share * share
        },
        // One lag within all bands of both ratings: 2.75 × 0.25 s, 4 × 0.10 s, 10 × 0.015 s.
        seconds: 0.5,
        burns_at: 3.0,
        says: "its wire has melted, as it should",
    }),
    stamp: |part, stamp| {
        stamp.contact(Terminal::Pin(0), Terminal::Pin(1), part.number(2) > 0.0, part.number(0));
    },
    ..Card::BLANK
};

fn stamp_body(part: &Part, stamp: &mut Stamp<'_>) {
    let number = |of: Number| part.number(of as usize);
    let [vom, com] = [VOM, COM].map(Terminal::Pin);
    let inner = Terminal::Inner(INNER);
    let input = number(Number::Input);
    if input > 0.0 && number(Number::Alternating) > 0.0 {
        stamp.element(vom, inner, Law::Capacitance { farads: BLOCKING_FARADS, ohms: 1.0 });
        stamp.resistance(inner, com, input);
    } else if input > 0.0 {
        stamp.resistance(vom, com, input);
    }
    if number(Number::Shunt) > 0.0 {
        stamp.resistance(Terminal::Pin(BEHIND_SMALL), com, number(Number::Shunt));
    }
    stamp.resistance(Terminal::Pin(BEHIND_LARGE), com, number(Number::LargeShunt));
    if number(Number::Reference) > 0.0 {
        let source = Law::Source { volts: number(Number::SourceVolts), ohms: number(Number::Protection) };
        stamp.element(inner, com, source);
        stamp.resistance(inner, vom, number(Number::Reference));
    }
    if number(Number::DiodeAmps) > 0.0 {
        // The tenth of an ohm is the source's own wiring.
        let law = Law::LimitedSource {
            volts: number(Number::SourceVolts),
            ohms: 0.1,
            limit_amps: number(Number::DiodeAmps),
        };
        stamp.element(vom, com, law);
    }
}

/// The body's numbers for a position of the dial.
fn body_values(dial: Dial, figures: &Figures) -> Vec<Value> {
    let quantity = Range::of(dial).map(|range| range.quantity);
    let set = |here: bool, number: f64| Value::Number(if here { number } else { 0.0 });
    let volts = matches!(quantity, Some(Quantity::Volts | Quantity::AcVolts));
    vec![
        set(volts, figures.input_ohms),
        set(quantity == Some(Quantity::AcVolts), 1.0),
        set(true, figures.shunt(dial).unwrap_or(0.0)),
        set(true, figures.large_shunt_ohms),
        set(true, reference_ohms(dial).unwrap_or(0.0)),
        set(true, protection_ohms(dial)),
        set(true, figures.source_volts),
        set(quantity == Some(Quantity::Diode), figures.diode_amps),
    ]
}

/// Where the parts of a meter are on the bench that it is wired into.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Places {
    /// What stands between the sockets.
    pub body: PartIx,
    /// The 500 mA fuse.
    pub small_fuse: PartIx,
    /// The 10 A fuse.
    pub large_fuse: PartIx,
    /// The red lead: its plug is leg 0, its tip leg 1.
    pub red: PartIx,
    /// The black lead.
    pub black: PartIx,
}

/// A bench with its meters wired in behind its own parts, which keep their places.
#[derive(Clone, Debug, PartialEq)]
pub struct Wired {
    /// The boards with all parts, those of the meters last. It is there to be solved, not to be kept:
    /// its own list of meters is empty.
    pub bench: Bench,
    /// Where each meter's parts are.
    pub meters: Vec<Places>,
}

impl Wired {
    /// What the bench without its meters would say of itself: the voltages and currents are those with
    /// them, and only its own parts are listed.
    pub fn own(&self, bench: &Bench, mut point: OperatingPoint) -> OperatingPoint {
        let parts = bench.parts.len();
        let mut circuit = (*point.circuit).clone();
        let elements = circuit.elements.partition_point(|element| element.part.0 < parts);
        circuit.elements.truncate(elements);
        circuit.joins.truncate(parts);
        circuit.inner.truncate(parts);
        point.circuit = Rc::new(circuit);
        point.element_amps.truncate(elements);
        point.memories.truncate(parts);
        point.parts.truncate(parts);
        point
    }
}

/// A bench as it is meant while a meter stands in the place of a lifted leg: the leg is back beside the
/// other tip. `None` where no leg is lifted for a meter.
pub fn put_back(bench: &Bench) -> Option<Bench> {
    let mut whole: Option<Bench> = None;
    for meter in &bench.meters {
        for (tip, other) in [(&meter.red.tip, &meter.black.tip), (&meter.black.tip, &meter.red.tip)] {
            let (Some(leg), Touch::Hole(hole)) = (tip.leg(bench), other) else { continue };
            if bench.part(leg.part).legs[leg.pin].hole.is_some() {
                continue;
            }
            let now = whole.get_or_insert_with(|| bench.clone());
            let Some(board) = now.boards.get(usize::from(hole.board)) else { continue };
            let free = now.strip(*hole).map(|strip| board.holes_of(strip)).unwrap_or_default();
            let free = free.into_iter().find(|&hole| now.occupant(hole).is_none());
            // Where the legs don't reach it stays in the air.
            let _ = now.put_leg(leg, free);
        }
    }
    whole
}

/// Wires a bench's own meters in.
pub fn wired(bench: &Bench) -> Wired {
    let meters: Vec<(&Meter, Figures)> =
        bench.meters.iter().map(|meter| (meter, Figures::of(meter.kind))).collect();
    wired_as(bench, &meters)
}

/// Wires meters of any figures in.
pub fn wired_as(bench: &Bench, meters: &[(&Meter, Figures)]) -> Wired {
    let mut wired = Wired { bench: Bench { meters: Vec::new(), ..bench.clone() }, meters: Vec::new() };
    for (number, (meter, figures)) in meters.iter().enumerate() {
        let places = add(&mut wired.bench, bench, number + 1, meter, figures);
        wired.meters.push(places);
    }
    wired
}

fn add(onto: &mut Bench, bench: &Bench, number: usize, meter: &Meter, figures: &Figures) -> Places {
    let mut push = |name: &str, card: &'static Card, values: Vec<Value>| {
        // Spaces keep these names apart from those that a part can have.
        let mut part = Part::new(format!("meter {number} {name}"), card);
        part.values = values;
        onto.parts.push(part);
        PartIx(onto.parts.len() - 1)
    };
    let fuse =
        |fuse: Fuse, whole: bool| [fuse.ohms, fuse.amps, f64::from(u8::from(whole))].map(Value::Number);
    // A piece of wire where the fuse would be: a current that it stands for ever.
    let bare = Fuse { amps: 1e9, ohms: 1e-4 };
    let large = figures.large_fuse.map_or(fuse(bare, true), |it| fuse(it, meter.large_fuse_whole));
    // A fuse that was replaced is another fuse: its name tells it from the one that has melted.
    let named = |name: &str, whole: bool| format!("{name}{}", if whole { "" } else { " blown" });
    let lead = || vec![Value::Number(figures.lead_ohms)];
    let body = push("body", &BODY, body_values(meter.dial, figures));
    let small = fuse(figures.small_fuse, meter.small_fuse_whole).to_vec();
    let places = Places {
        body,
        small_fuse: push(&named("small fuse", meter.small_fuse_whole), &FUSE, small),
        large_fuse: push(&named("large fuse", meter.large_fuse_whole), &FUSE, large.to_vec()),
        red: push("red lead", &LEAD, lead()),
        black: push("black lead", &LEAD, lead()),
    };
    let inside = |pin: usize| Leg { on: Some(LegId { part: places.body, pin }), ..Leg::default() };
    let socket = |socket: Socket| match socket {
        Socket::Vom => inside(VOM),
        Socket::Com => inside(COM),
        Socket::TenAmps => inside(TEN_AMPS),
    };
    let touch = |tip: &Touch| match tip {
        Touch::Air => Leg::default(),
        Touch::Hole(hole) => Leg { hole: Some(*hole), ..Leg::default() },
        Touch::Leg { .. } => Leg { on: tip.leg(bench), ..Leg::default() },
        Touch::Socket(at) => socket(*at),
        Touch::Fuse(0) => inside(VOM),
        Touch::Fuse(_) => inside(BEHIND_SMALL),
    };
    let mut legs = |part: PartIx, legs: [Leg; 2]| onto.parts[part.0].legs = legs.to_vec();
    legs(places.small_fuse, [inside(VOM), inside(BEHIND_SMALL)]);
    legs(places.large_fuse, [inside(TEN_AMPS), inside(BEHIND_LARGE)]);
    legs(places.red, [socket(meter.red.socket), touch(&meter.red.tip)]);
    legs(places.black, [socket(meter.black.socket), touch(&meter.black.tip)]);
    places
}
