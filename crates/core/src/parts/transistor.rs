//! Bipolar transistors in TO-92, with the pin orders that they come in.

use crate::card::{Card, Choice, Footprint, Group, Limits, Param, Pin, Range, State, Steers, Wear, on_paper};
use crate::law::{Junction, Law, Transport};
use crate::math;
use crate::part::Part;
use crate::readings::PartReading;
use crate::shape::{Anchor, Glance, Point, Sketch, Style};
use crate::stamp::{Stamp, Terminal};

use super::dip::cracked;

const TYPE: usize = 0;

/// Emission voltage at 27 °C, volts.
const THERMAL_VOLTS: f64 = 0.02585;

struct Type {
    pnp: bool,
    saturation_amps: f64,
    /// Gain between where the base's own leak counts and where its charge does.
    most_gain: f64,
    /// Collector current at which the gain has fallen to half of that, amperes.
    knee_amps: f64,
    /// The base's own leak: saturation current, amperes, and emission coefficient.
    leak: (f64, f64),
    early_volts: f64,
    reverse_gain: f64,
    base_ohms: f64,
    collector_ohms: f64,
    max_amps: f64,
    watts: f64,
    /// Collector to emitter with the base open, volts.
    breakdown_volts: f64,
}

/// Its gain goes 130, 160, 160, 105, 75 at 0.1, 1, 10, 50, 100 mA: of the sheet's least values (40, 70, 100,
/// 60, 30) and its most at 10 mA (300) clear on both sides, and curved as its curves for 25 °C are.
const N3904: Type = Type {
    pnp: false,
    saturation_amps: 1e-14,
    most_gain: 200.0,
    knee_amps: 0.06,
    leak: (1.4e-13, 1.6),
    early_volts: 100.0,
    reverse_gain: 4.0,
    base_ohms: 10.0,
    collector_ohms: 1.5,
    max_amps: 0.2,
    watts: 0.625,
    breakdown_volts: 45.0,
};
/// As its complement, with more gain at small currents: least values 60, 80, 100, 60, 30.
const N3906: Type = Type { pnp: true, leak: (7e-14, 1.6), ..N3904 };
/// Group B: 150 at 10 µA, 290 at 2 mA, 180 at 100 mA.
const BC547: Type = Type {
    most_gain: 310.0,
    knee_amps: 0.14,
    leak: (1e-12, 2.0),
    early_volts: 65.0,
    max_amps: 0.1,
    watts: 0.5,
    ..N3904
};
const BC557: Type = Type { pnp: true, ..BC547 };

/// The types of a card.
fn type_of(part: &Part) -> &'static Type {
    match (*part.card == EBC, part.index(TYPE)) {
        (true, 0) => &N3904,
        (true, _) => &N3906,
        (false, 0) => &BC547,
        (false, _) => &BC557,
    }
}

/// Emitter, base, collector.
pub static EBC: Card = Card {
    kind: "transistor",
    name: "Transistor",
    also: &["bjt", "npn", "pnp", "2n3904", "2n3906"],
    what: "A small current into its base controls one about a hundred times as large from collector to emitter (NPN; in a PNP all currents are reversed). With the flat side towards you, the legs are emitter, base, collector.",
    prefix: "Q",
    group: Group::Amplify,
    pins: &[
        Pin { name: "E", says: "left leg (emitter)" },
        Pin { name: "B", says: "middle leg (base)" },
        Pin { name: "C", says: "right leg (collector)" },
    ],
    footprint: Footprint::Loose { reach: 6 },
    params: &[Param {
        key: "type",
        name: "Type",
        range: Range::Choice {
            options: &[
                Choice { word: "2n3904", name: "2N3904 NPN" },
                Choice { word: "2n3906", name: "2N3906 PNP" },
            ],
            default: 0,
        },
        live: false,
    }],
    equation: on_paper(
        "iC = Is · (exp(vBE/Vt) − exp(vBC/Vt)) · (1 + vCB/VA) / qB …; iB = iC / β, with β falling at small and large iC",
    ),
    sources: on_paper(&[
        "2N3904: hFE at least 40, 70, 100, 60, 30 at 0.1, 1, 10, 50, 100 mA and at most 300 at 10 mA; VCE(sat) at most 0.2 V and VBE(sat) 0.65 to 0.85 V at 10 mA / 1 mA, 200 mA, MCC",
        "2N3906: hFE at least 60, 80, 100, 60, 30 at 0.1, 1, 10, 50, 100 mA, VCE(sat) at most 0.25 V (from memory) at 10 mA / 1 mA",
        "Early voltage 100 V (output conductance of some microsiemens at 1 mA and 10 V), Is, reverse gain, resistances, 20 and 5 pF, 45 V: from memory",
    ]),
    steers: Some(Steers { control: 1, load: 2, tail: 0, low_side: |part| !type_of(part).pnp, base: true }),
    limits: |part| {
        let it = type_of(part);
        Limits { amps: Some(it.max_amps), watts: Some(it.watts), ..Limits::default() }
    },
    wear: Some(Wear {
        strain: |part, reading| reading.watts / type_of(part).watts,
        seconds: 3.0,
        burns_at: 2.5,
        says: "it smells burnt and has a hole in its face",
    }),
    stamp,
    state,
    label: |part| part.choice_name(TYPE).split(' ').next().unwrap_or_default().to_owned(),
    draw,
    ..Card::BLANK
};

/// Collector, base, emitter.
pub static CBE: Card = Card {
    kind: "transistor-cbe",
    name: "Transistor C B E",
    also: &["bjt", "npn", "pnp", "bc547", "bc557"],
    what: "Like the other transistor, but with the flat side towards you the legs are collector, base, emitter.",
    pins: &[
        Pin { name: "C", says: "left leg (collector)" },
        Pin { name: "B", says: "middle leg (base)" },
        Pin { name: "E", says: "right leg (emitter)" },
    ],
    params: &[Param {
        key: "type",
        name: "Type",
        range: Range::Choice {
            options: &[
                Choice { word: "bc547", name: "BC547 NPN" },
                Choice { word: "bc557", name: "BC557 PNP" },
            ],
            default: 0,
        },
        live: false,
    }],
    steers: Some(Steers { control: 1, load: 0, tail: 2, low_side: |part| !type_of(part).pnp, base: true }),
    sources: on_paper(&[
        "BC547 and BC557: C B E, β (group B) 150, 290, 180 at 10 µA, 2 mA, 100 mA, 30 µS at 2 mA, 100 mA, 45 V, 500 mW: from memory",
    ]),
    ..EBC
};

fn state(part: &Part, reading: &PartReading) -> State {
    let [emitter, base, collector] = Steers::pins_of(part).map(|pin| reading.pins[pin]);
    let sign = if type_of(part).pnp { -1.0 } else { 1.0 };
    let across = sign * (collector.volts - emitter.volts);
    let into_base = sign * base.amps;
    State::plain(if into_base < 1e-7 && sign * collector.amps < 1e-6 {
        "off"
    } else if across < 0.3 {
        "fully on"
    } else {
        "partly on"
    })
}

fn stamp(part: &Part, stamp: &mut Stamp<'_>) {
    let it = type_of(part);
    let [emitter, base, collector] = Steers::pins_of(part).map(Terminal::Pin);
    let (inner_base, inner_collector) = (Terminal::Inner(0), Terminal::Inner(1));
    stamp.resistance(base, inner_base, it.base_ohms);
    stamp.resistance(collector, inner_collector, it.collector_ohms);
    let junction = |saturation_amps: f64, emission: f64| {
        Law::Junction(Junction {
            saturation_amps,
            emission_volts: emission * THERMAL_VOLTS,
            series_ohms: 0.0,
        })
    };
    // A junction's anode is where current goes in: the base of an NPN.
    let way = |from: Terminal, to: Terminal| if it.pnp { (to, from) } else { (from, to) };
    let (from, to) = way(inner_base, emitter);
    // A specimen's gain is up to 1.7 times the usual one or as much less: 100 to 300 at 10 mA.
    let less = math::exp(-0.55 * part.off(0));
    stamp.element(from, to, junction(it.saturation_amps / it.most_gain * less, 1.0));
    stamp.element(from, to, junction(it.leak.0 * less, it.leak.1));
    let (from, to) = way(inner_base, inner_collector);
    stamp.element(from, to, junction(it.saturation_amps / it.reverse_gain, 1.0));
    let (from, to) = way(inner_collector, emitter);
    let transport = Transport {
        saturation_amps: it.saturation_amps,
        emission_volts: THERMAL_VOLTS,
        knee_amps: it.knee_amps,
        early_volts: it.early_volts,
        pnp: it.pnp,
    };
    stamp.steered(from, to, [inner_base; 2], Law::Transport(transport));
    stamp.element(inner_base, emitter, Law::Capacitance { farads: 2e-11, ohms: 5.0 });
    stamp.element(inner_base, inner_collector, Law::Capacitance { farads: 5e-12, ohms: 5.0 });
    let (from, to) = way(inner_collector, emitter);
    stamp.element(from, to, breakdown(it.breakdown_volts));
}

/// What gives way in reverse from a voltage on: a milliampere there, and 2.7 times as much for each
/// third of a volt more. The element's first end is the positive one then.
pub(super) fn breakdown(volts: f64) -> Law {
    const UNIT: f64 = 0.3;
    Law::Junction(Junction {
        saturation_amps: 1e-3 * math::exp(-volts / UNIT),
        emission_volts: UNIT,
        series_ohms: 1.0,
    })
}

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    to_92(part, glance, sketch);
}

/// A TO-92 body between three legs, its flat side towards the reader.
pub(super) fn to_92(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let legs = [0, 1, 2].map(|pin| glance.leg(pin));
    let centre =
        Point::new((legs[0].x + legs[1].x + legs[2].x) / 3.0, (legs[0].y + legs[1].y + legs[2].y) / 3.0);
    let turn = legs[0].bearing(legs[2]);
    let (sin, cos) = crate::math::sin_cos_turns(f64::from(turn) / 360.0);
    let (cos, sin) = (cos as f32, sin as f32);
    for (index, leg) in legs.into_iter().enumerate() {
        let along = 11.0 * (index as f32 - 1.0);
        sketch.lead(Point::new(centre.x + along * cos, centre.y + along * sin), leg);
    }
    sketch.group(centre, turn, |body| {
        let fill = if glance.burnt { "#4a3a30" } else { "#2b2f33" };
        // 4.6 mm wide, flat below.
        body.path(
            "M-18 9H18Q20 -4 12 -11Q0 -19 -12 -11Q-20 -4 -18 9Z",
            Style::fill(fill).outlined("#0d0f10", 1.1),
        );
        body.path("M-16 6.5H16", Style::line("#ffffff", 1.4).faint(0.25));
        let words = (part.card.label)(part);
        // Beyond the legs, whose ends lie on the middle line.
        body.text(Point::new(0.0, -4.8), 6.5, Anchor::Middle, true, words, Style::fill("#e8e6df"));
        if glance.burnt {
            cracked(body, 0.0, -3.0);
        }
    });
    for (pin, leg) in legs.into_iter().enumerate() {
        sketch.lead_end(leg);
        // The letter beside the hole: the order of the legs is what people get wrong.
        let (dx, dy) = (13.0 * sin, 13.0 * cos);
        let at = Point::new(leg.x - dx, leg.y + dy + 3.5);
        sketch.text(at, 9.5, Anchor::Middle, true, part.card.pins[pin].name, Style::fill("#1d2b33"));
    }
}
