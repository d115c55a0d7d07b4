//! Zener diodes.

use crate::card::{Card, Choice, Footprint, Group, Limits, Param, Pin, Range, State, Wear, on_paper};
use crate::law::{Junction, Law};
use crate::math;
use crate::shape::Style;
use crate::stamp::Terminal;

const TYPE: usize = 0;

/// Voltage at the test current of 5 mA, and how softly it begins, volts.
const TYPES: [(f64, f64); 6] = [(5.1, 0.1), (3.3, 0.25), (5.6, 0.08), (6.2, 0.06), (9.1, 0.06), (12.0, 0.08)];

/// The current that the voltages are told for, amperes.
const TEST_AMPS: f64 = 0.005;

/// The card.
pub static CARD: Card = Card {
    kind: "zener",
    name: "Zener diode",
    what: "Blocks like a diode until the reverse voltage reaches its own; then it holds that voltage. It needs a resistor in series.",
    prefix: "D",
    group: Group::OneWay,
    pins: &[Pin { name: "A", says: "plain end (anode)" }, Pin { name: "K", says: "ringed end (cathode)" }],
    footprint: Footprint::Loose { reach: 20 },
    params: &[Param {
        key: "volts",
        name: "Voltage",
        range: Range::Choice {
            options: &[
                Choice { word: "5.1", name: "5.1 V" },
                Choice { word: "3.3", name: "3.3 V" },
                Choice { word: "5.6", name: "5.6 V" },
                Choice { word: "6.2", name: "6.2 V" },
                Choice { word: "9.1", name: "9.1 V" },
                Choice { word: "12", name: "12 V" },
            ],
            default: 0,
        },
        live: false,
    }],
    equation: on_paper("i = I · exp((v − Vz) / u) in reverse; forwards a diode"),
    sources: on_paper(&[
        "Voltages of IEC 60063’s E24 at 5 mA: makers’ usual tables; 0.5 W",
        "How softly they begin: from memory (below 5 V softer)",
    ]),
    // It is meant to stand in reverse: which end is + is for its user to say.
    limits: |_| Limits { watts: Some(0.5), ..Limits::default() },
    wear: Some(Wear {
        strain: |_, reading| reading.watts / 0.5,
        seconds: 4.0,
        burns_at: 3.0,
        says: "its glass is black",
    }),
    stamp: |part, stamp| {
        let (volts, unit) = TYPES[part.index(TYPE)];
        // ± 5 %, letter C of its name.
        let volts = volts * (1.0 + 0.05 * part.off(0));
        let (anode, cathode) = (Terminal::Pin(0), Terminal::Pin(1));
        let forward = Junction { saturation_amps: 1e-12, emission_volts: 0.03, series_ohms: 1.0 };
        stamp.element(anode, cathode, Law::Junction(forward));
        let knee = Junction {
            saturation_amps: TEST_AMPS * math::exp(-(volts - 2.0 * TEST_AMPS) / unit),
            emission_volts: unit,
            series_ohms: 2.0,
        };
        stamp.element(cathode, anode, Law::Junction(knee));
    },
    state: |_, reading| {
        State::plain(if reading.pins[1].amps > 1e-5 {
            "holds its voltage"
        } else if reading.pins[0].amps > 1e-5 {
            "conducts forwards"
        } else {
            "blocks"
        })
    },
    label: |part| part.choice_name(TYPE).to_owned(),
    draw: |_, glance, sketch| {
        sketch.axial(glance.leg(0), glance.leg(1), 15.5, |body| {
            let fill = if glance.burnt { "#3a2a22" } else { "#c9603a" };
            body.rect(-15.5, -7.5, 31.0, 15.0, 6.0, Style::fill(fill).outlined("#7a3417", 1.0));
            body.path("M7 -7.2h4.6v14.4H7Z", Style::fill("#1e1e1e"));
            body.path("M-6 -3H1L-6 3H1", Style::line("#fff3e8", 1.4));
        });
    },
    ..Card::BLANK
};
