//! Operational amplifiers, two in a package.

use crate::card::{Card, Choice, Duty, Limits, Param, Range, State, Wear, on_paper};
use crate::law::{Drive, Junction, Law, Pair};
use crate::part::Part;
use crate::stamp::{Stamp, Terminal};

use super::dip::{CHIP, DIP8, chip_pins};

const TYPE: usize = 0;
const NEGATIVE: usize = 3;
const POSITIVE: usize = 7;
/// Output, inverting and non-inverting input of each amplifier.
const AMPLIFIERS: [[usize; 3]; 2] = [[0, 1, 2], [6, 5, 4]];

struct Type {
    /// Gain-bandwidth product, hertz.
    bandwidth: f64,
    /// Volts a second.
    slew: f64,
    /// Open-loop gain at rest.
    gain: f64,
    /// Output's least distance from V+, volts and ohms.
    to_positive: (f64, f64),
    /// The same from V−.
    to_negative: (f64, f64),
    /// Source and sink limit, amperes.
    limits: (f64, f64),
    /// Both amplifiers together, ohms from rail to rail.
    rail_ohms: f64,
    /// How far below V+ the inputs must stay, volts.
    headroom: f64,
    /// Whether inputs and outputs above V+ feed the chip, as those of CMOS do.
    clamped: bool,
}

const TYPES: [Type; 2] = [
    Type {
        bandwidth: 1e6,
        slew: 0.3e6,
        gain: 1e5,
        to_positive: (1.3, 100.0),
        to_negative: (0.6, 60.0),
        limits: (0.03, 0.02),
        rail_ohms: 7000.0,
        headroom: 1.5,
        clamped: false,
    },
    Type {
        bandwidth: 1e7,
        slew: 1e7,
        gain: 2e5,
        to_positive: (0.001, 20.0),
        to_negative: (0.001, 20.0),
        limits: (0.04, 0.04),
        rail_ohms: 5000.0,
        // A little beyond V+.
        headroom: -0.3,
        clamped: true,
    },
];

/// Capacitance of the inner point, farads; with it the bandwidth and slew rate say the rest. What charges it
/// comes from V+: ten times as large, that moves the V+ of a chip without power, and with it the common-mode
/// limit, so much that no voltages may be found; much smaller, and the leaks that are everywhere count.
const INNER_FARADS: f64 = 3e-12;

/// Resistance of an output that has room, ohms.
const OUT_OHMS: f64 = 50.0;

/// How far beyond a rail an output that is driven all the way aims, volts: through [`OUT_OHMS`] it has 12 mA
/// before it falls back.
const REACH_VOLTS: f64 = 1.2;

/// What a single-supply amplifier sinks below its sink's drop, amperes (30 µA at 200 mV).
const WEAK_AMPS: f64 = 5e-5;

use Duty::{Ground, Input, Output, Power};

/// The card.
pub static CARD: Card = Card {
    kind: "op-amp",
    name: "Op-amp",
    also: &["opamp", "operational amplifier", "lm358"],
    what: "Two amplifiers: each moves its output until its two inputs have the same voltage, if the wiring allows it. Without feedback it compares them.",
    pins: chip_pins!(1 "OUT 1" 2 "IN 1 −" 3 "IN 1 +" 4 "V−" 5 "IN 2 +" 6 "IN 2 −" 7 "OUT 2" 8 "V+"),
    footprint: DIP8,
    gates: &[&[0, 1, 2], &[6, 5, 4]],
    duties: &[Output, Input, Input, Ground, Input, Input, Output, Power],
    supply_volts: Some((2.7, 32.0)),
    params: &[Param {
        key: "type",
        name: "Type",
        range: Range::Choice {
            options: &[
                Choice { word: "lm358", name: "LM358" },
                Choice { word: "rail-to-rail", name: "rail to rail" },
            ],
            default: 0,
        },
        live: false,
    }],
    equation: on_paper("v(out) = A · (v+ − v−) within the rails; A falls with frequency"),
    sources: on_paper(&[
        "LM358: output 1.5 V below V+ at 2 kΩ, 30 mA out, 20 mA in, 30 µA in at 200 mV, inputs to V+ − 1.5 V: SLOS068R",
        "LM358: 1 MHz, 0.3 V/µs, gain 100 000, 0.7 mA: from memory",
        "Junctions from V− to inputs and outputs, and of a CMOS amplifier from these to V+: common practice, no source",
        "Rail to rail: an ideal amplifier with 10 MHz, 10 V/µs, 40 mA: a design choice",
    ]),
    limits: |_| Limits { amps: Some(0.04), ..Limits::default() },
    wear: Some(Wear {
        strain: |_, reading| {
            let volts = reading.pins[POSITIVE].volts - reading.pins[NEGATIVE].volts;
            if !(-1.0..=33.0).contains(&volts) { 20.0 } else { reading.watts / 0.6 }
        },
        seconds: 2.0,
        burns_at: 2.5,
        says: "it is too hot to touch and no longer amplifies",
    }),
    stamp,
    state: |part, reading| {
        let at = |pin: usize| reading.pins[pin].volts - reading.pins[NEGATIVE].volts;
        let top = at(POSITIVE) - TYPES[part.index(TYPE)].headroom;
        State::plain(if at(POSITIVE) < 2.0 {
            "without power"
        } else if AMPLIFIERS.iter().any(|[_, minus, plus]| at(*minus) > top + 0.1 && at(*plus) > top + 0.1) {
            "inputs too near V+"
        } else {
            "works"
        })
    },
    label: |part| if part.index(TYPE) == 0 { "LM358".to_owned() } else { "OP ×2".to_owned() },
    ..CHIP
};

fn stamp(part: &Part, stamp: &mut Stamp<'_>) {
    let it = &TYPES[part.index(TYPE)];
    let pin = Terminal::Pin;
    let (positive, negative) = (pin(POSITIVE), pin(NEGATIVE));
    stamp.resistance(positive, negative, it.rail_ohms);
    let wall = Junction { saturation_amps: 1e-14, emission_volts: 0.026, series_ohms: 500.0 };
    stamp.element(negative, positive, Law::Junction(Junction { series_ohms: 5.0, ..wall }));
    let siemens = 2.0 * core::f64::consts::PI * it.bandwidth * INNER_FARADS;
    for (index, [out, minus, plus]) in AMPLIFIERS.into_iter().enumerate() {
        let inner = Terminal::Inner(index);
        for outside in [minus, plus, out] {
            stamp.element(negative, pin(outside), Law::Junction(wall));
            let up = if it.clamped { Law::Junction(wall) } else { Law::Open };
            stamp.element(pin(outside), positive, up);
        }
        let half_amps = it.slew * INNER_FARADS;
        let first = Law::Pair(Pair { siemens, half_amps, headroom_volts: it.headroom });
        stamp.steered(positive, inner, [pin(plus), pin(minus)], first);
        stamp.element(inner, negative, Law::Tail { amps: half_amps });
        stamp.resistance(inner, negative, it.gain / siemens);
        stamp.element(inner, negative, Law::Capacitance { farads: INNER_FARADS, ohms: 10.0 });
        // What is guessed on the way to the answer goes no farther than a junction beyond the rails.
        stamp.element(negative, inner, Law::Junction(wall));
        stamp.element(inner, positive, Law::Junction(wall));
        let source = Drive {
            offset_volts: 0.0,
            ohms: OUT_OHMS,
            drop_volts: it.to_positive.0,
            drop_ohms: it.to_positive.1,
            limit_amps: it.limits.0,
            sinks: false,
            reach_volts: REACH_VOLTS,
        };
        let sink = Drive {
            drop_volts: it.to_negative.0,
            drop_ohms: it.to_negative.1,
            limit_amps: it.limits.1,
            sinks: true,
            ..source
        };
        stamp.steered(positive, pin(out), [inner, inner], Law::Drive(source));
        stamp.steered(pin(out), negative, [inner, inner], Law::Drive(sink));
        let weak = Drive { drop_volts: 0.001, drop_ohms: 100.0, limit_amps: WEAK_AMPS, ..sink };
        stamp.steered(pin(out), negative, [inner, inner], Law::Drive(weak));
    }
}
