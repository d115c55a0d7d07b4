//! Field-effect transistors.

use crate::card::{Card, Choice, Footprint, Group, Limits, Param, Pin, Range, State, Steers, Wear, on_paper};
use crate::law::{Channel, Junction, Law};
use crate::part::Part;
use crate::readings::PartReading;
use crate::shape::{Anchor, Glance, Point, Sketch, Style};
use crate::stamp::{Stamp, Terminal};

use super::dip::cracked;
use super::transistor::{breakdown, to_92};

const TYPE: usize = 0;

struct Type {
    p: bool,
    threshold_volts: f64,
    amps_per_volt2: f64,
    drain_ohms: f64,
    /// Gate to source and gate to drain, farads.
    gate_farads: (f64, f64),
    max_amps: f64,
    watts: f64,
    max_volts: f64,
}

const N7000: Type = Type {
    p: false,
    threshold_volts: 2.1,
    amps_per_volt2: 0.12,
    drain_ohms: 0.3,
    gate_farads: (5e-11, 5e-12),
    max_amps: 0.2,
    watts: 0.4,
    max_volts: 60.0,
};
const P0610: Type = Type {
    p: true,
    threshold_volts: 1.9,
    amps_per_volt2: 0.02,
    drain_ohms: 0.5,
    gate_farads: (2e-11, 3e-12),
    max_amps: 0.18,
    watts: 0.8,
    max_volts: 60.0,
};
const POWER_N: Type = Type {
    p: false,
    threshold_volts: 1.6,
    amps_per_volt2: 12.0,
    drain_ohms: 0.01,
    gate_farads: (1.5e-9, 1.5e-10),
    max_amps: 10.0,
    watts: 1.5,
    max_volts: 55.0,
};
const POWER_P: Type = Type { p: true, amps_per_volt2: 4.0, drain_ohms: 0.05, ..POWER_N };

fn type_of(part: &Part) -> &'static Type {
    match (*part.card == SMALL, part.index(TYPE)) {
        (true, 0) => &N7000,
        (true, _) => &P0610,
        (false, 0) => &POWER_N,
        (false, _) => &POWER_P,
    }
}

/// A small one in TO-92: source, gate, drain.
pub static SMALL: Card = Card {
    kind: "mosfet",
    name: "MOSFET",
    also: &["fet", "2n7000"],
    what: "A voltage on its gate switches the current from drain to source; the gate itself takes none. A gate connected to nothing keeps whatever charge it has. With the flat side towards you, the legs are source, gate, drain.",
    prefix: "Q",
    group: Group::Amplify,
    pins: &[
        Pin { name: "S", says: "left leg (source)" },
        Pin { name: "G", says: "middle leg (gate)" },
        Pin { name: "D", says: "right leg (drain)" },
    ],
    footprint: Footprint::Loose { reach: 6 },
    params: &[Param {
        key: "type",
        name: "Type",
        range: Range::Choice {
            options: &[
                Choice { word: "2n7000", name: "2N7000 N" },
                Choice { word: "tp0610l", name: "TP0610L P" },
            ],
            default: 0,
        },
        live: false,
    }],
    equation: on_paper(
        "iD = K/2 · (vGS − Vth)² when wide open less what the drain takes back; no gate current",
    ),
    sources: on_paper(&[
        "2N7000: threshold 0.8 to 3.0 V at 1 mA, at most 5.3 Ω at 4.5 V, at least 75 mA at 4.5 V, 60 V, 200 mA, DSFP-2N7000",
        "Typical threshold 2.1 V and 1.2 Ω at 10 V: NTE 2N7000; 50 and 5 pF: from memory",
        "TP0610L: S G D, threshold 1 to 2.4 V, at most 10 Ω at 10 V, 60 V, 180 mA, 0.8 W: from memory",
    ]),
    steers: Some(Steers { control: 1, load: 2, tail: 0, low_side: |part| !type_of(part).p, base: false }),
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
    draw: to_92,
    ..Card::BLANK
};

/// A large one in TO-220: gate, drain, source.
pub static LARGE: Card = Card {
    kind: "power-mosfet",
    name: "Power MOSFET",
    also: &["fet"],
    what: "A MOSFET for motors: 3 to 5 V on the gate turn it fully on. With the print towards you, the legs are gate, drain, source.",
    pins: &[
        Pin { name: "G", says: "first pin (gate)" },
        Pin { name: "D", says: "middle pin (drain)" },
        Pin { name: "S", says: "last pin (source)" },
    ],
    footprint: Footprint::Rigid { offsets: &[(0, 0), (0, 1), (0, 2)], straddles: false },
    params: &[Param {
        key: "type",
        name: "Type",
        range: Range::Choice {
            options: &[
                Choice { word: "n", name: "N logic level" },
                Choice { word: "p", name: "P logic level" },
            ],
            default: 0,
        },
        live: false,
    }],
    sources: on_paper(&[
        "30 mΩ (N) and 0.1 Ω (P) at 4.5 V, threshold 1.6 V, 1.5 nF, 55 V, 1.5 W without a heat sink: from memory",
    ]),
    // Its legs are in another order than those of the small one.
    steers: Some(Steers { control: 0, load: 1, tail: 2, low_side: |part| !type_of(part).p, base: false }),
    draw: draw_large,
    ..SMALL
};

fn stamp(part: &Part, stamp: &mut Stamp<'_>) {
    let it = type_of(part);
    let [source, gate, drain] = Steers::pins_of(part).map(Terminal::Pin);
    let inner = Terminal::Inner(0);
    stamp.resistance(drain, inner, it.drain_ohms);
    let channel = Channel {
        // Of a 2N7000 0.8 to 3.0 V are allowed; specimens keep nearer (common practice, no source).
        threshold_volts: it.threshold_volts + 0.5 * part.off(0),
        amps_per_volt2: it.amps_per_volt2,
        slope_volts: 0.04,
        p: it.p,
    };
    let (from, to) = if it.p { (source, inner) } else { (inner, source) };
    stamp.steered(from, to, [gate; 2], Law::Channel(channel));
    // The body's diode conducts the other way, and gives way when the voltage is too high.
    let body = Junction { saturation_amps: 1e-12, emission_volts: 0.035, series_ohms: 0.05 };
    stamp.element(to, from, Law::Junction(body));
    stamp.element(from, to, breakdown(it.max_volts * 1.1));
    // Nothing but these ties a gate: it keeps its charge while it floats.
    stamp.element(gate, source, Law::Capacitance { farads: it.gate_farads.0, ohms: 10.0 });
    stamp.element(gate, inner, Law::Capacitance { farads: it.gate_farads.1, ohms: 10.0 });
}

fn state(part: &Part, reading: &PartReading) -> State {
    let [source, _, drain] = Steers::pins_of(part).map(|pin| reading.pins[pin]);
    let across = (drain.volts - source.volts).abs();
    State::plain(if drain.amps.abs() < 1e-6 {
        "off"
    } else if across < 0.3 {
        "fully on"
    } else {
        "partly on"
    })
}

fn draw_large(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    super::rigid_frame(part, glance, sketch, |body| {
        body.rect(8.0, -20.0, 7.0, 80.0, 1.5, Style::fill("#b9bdc0").outlined("#6b6e70", 0.8));
        let fill = if glance.burnt { "#4a3a30" } else { "#2b2f33" };
        body.rect(-9.0, -20.0, 18.0, 80.0, 2.0, Style::fill(fill).outlined("#0d0f10", 1.0));
        for (y, name) in [(0.0, "G"), (20.0, "D"), (40.0, "S")] {
            body.lead_end(Point::new(0.0, y));
            // Above its own leg, clear of it.
            body.text(Point::new(0.0, y - 5.5), 8.7, Anchor::Middle, true, name, Style::fill("#e8e6df"));
        }
        if glance.burnt {
            cracked(body, 0.0, 20.0);
        }
    });
}
