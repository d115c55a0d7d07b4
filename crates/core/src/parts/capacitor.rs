//! Capacitors: ceramic, film and electrolytic.

use crate::amount;
use crate::card::{
    Card, Choice, Footprint, Group, Limits, Param, Pin, Polarity, Range, State, Sums, Unit, Wear, near,
    on_paper,
};
use crate::law::Law;
use crate::part::Part;
use crate::readings::PartReading;
use crate::shape::{Anchor, Glance, Point, Sketch, Style};
use crate::stamp::{Stamp, Terminal};

use super::dip::cracked;

const FARADS: usize = 0;
const TYPE: usize = 1;
const VOLTS: usize = 1;

/// Rated voltages of electrolytic capacitors (IEC 60063's series R5 in steps), volts.
const RATINGS: [f64; 6] = [16.0, 6.3, 10.0, 25.0, 35.0, 50.0];

/// How far capacitors of ceramic or film are off, as a share: letter K, the usual one.
const TOLERANCE: f64 = 0.1;

/// Ceramic and film.
pub static CAPACITOR: Card = Card {
    kind: "capacitor",
    name: "Capacitor",
    what: "Stores a little charge: its voltage can’t jump. Either way round works.",
    prefix: "C",
    also: &["cap", "condenser"],
    group: Group::Store,
    decouples: true,
    key: Some('c'),
    pins: &[Pin { name: "1", says: "first leg" }, Pin { name: "2", says: "second leg" }],
    footprint: Footprint::Loose { reach: 8 },
    params: &[
        Param {
            key: "farads",
            name: "Capacitance",
            range: Range::Number { unit: Unit::Farad, min: 1e-12, max: 1e-4, default: 1e-7, by_ratio: true },
            live: false,
        },
        Param {
            key: "type",
            name: "Type",
            range: Range::Choice {
                options: &[
                    Choice { word: "ceramic", name: "ceramic" },
                    Choice { word: "film", name: "film" },
                ],
                default: 0,
            },
            live: false,
        },
    ],
    equation: on_paper("i = C · dv/dt, with 50 mΩ in series"),
    sources: on_paper(&["50 V, 50 mΩ in series, ± 10 %: common practice, no source"]),
    alike: &[&[0, 1]],
    sums: Some(Sums { param: FARADS as u8, in_series: false }),
    // Ceramic or film is all one; ± 20 % as capacitors come (common practice, no source).
    does_for: |plan, build, param| param == TYPE || near(plan, build, param, 0.2),
    stamp: |part, stamp| {
        let law = Law::Capacitance { farads: part.drawn(FARADS, TOLERANCE), ohms: 0.05 };
        stamp.element(Terminal::Pin(0), Terminal::Pin(1), law);
    },
    state: |_, reading| State::plain(charge_word(reading)),
    label: |part| amount::value(part.number(FARADS), Unit::Farad),
    draw: |part, glance, sketch| {
        let film = part.index(TYPE) == 1;
        sketch.axial(glance.leg(0), glance.leg(1), 13.0, |body| {
            if film {
                body.rect(-20.0, -11.0, 40.0, 22.0, 3.0, Style::fill("#b5432f").outlined("#6d2216", 1.1));
                body.rect(-17.0, -8.5, 34.0, 3.0, 1.5, Style::fill("#ffffff").faint(0.25));
            } else {
                body.path(
                    "M-15 0Q-15 -11 0 -11T15 0Q15 11 0 11T-15 0Z",
                    Style::fill("#d99a3f").outlined("#8f5d17", 1.1),
                );
                body.path("M-9 -5.5Q-4 -8.5 3 -8", Style::line("#ffffff", 1.8).faint(0.45));
            }
            let words = code(part.number(FARADS));
            let style = Style::fill(if film { "#fff3e8" } else { "#3b2506" });
            body.text(Point::new(0.0, 3.5), 9.5, Anchor::Middle, true, words, style);
        });
    },
    ..Card::BLANK
};

/// The code that is printed on small capacitors: two digits and the number of zeros, picofarads
/// (common practice, IEC 60062 has it).
pub fn code(farads: f64) -> String {
    let picofarads = farads * 1e12;
    let mut zeros = 0;
    let mut two = picofarads;
    while two >= 99.5 {
        two /= 10.0;
        zeros += 1;
    }
    if picofarads < 9.95 { format!("{picofarads:.0}") } else { format!("{two:.0}{zeros}") }
}

/// Aluminium electrolytic.
pub static ELECTROLYTIC: Card = Card {
    kind: "electrolytic",
    name: "Electrolytic",
    also: &["cap", "polar", "elco", "condenser"],
    what: "Stores a lot of charge in a small can. Direction matters: the stripe marks the − leg, and backwards it swells and fails.",
    key: None,
    pins: &[Pin { name: "+", says: "long leg (+)" }, Pin { name: "-", says: "short leg by the stripe (−)" }],
    footprint: Footprint::Loose { reach: 6 },
    params: &[
        Param {
            key: "farads",
            name: "Capacitance",
            range: Range::Number { unit: Unit::Farad, min: 1e-7, max: 0.01, default: 1e-4, by_ratio: true },
            live: false,
        },
        Param {
            key: "volts",
            name: "Rated voltage",
            range: Range::Choice {
                options: &[
                    Choice { word: "16", name: "16 V" },
                    Choice { word: "6.3", name: "6.3 V" },
                    Choice { word: "10", name: "10 V" },
                    Choice { word: "25", name: "25 V" },
                    Choice { word: "35", name: "35 V" },
                    Choice { word: "50", name: "50 V" },
                ],
                default: 0,
            },
            live: false,
        },
    ],
    equation: on_paper("i = C · dv/dt, with a resistance in series and a leak"),
    sources: on_paper(&[
        "Rated voltages: makers’ usual values; 0.2 Ω in series at 100 µF, more for less: from memory",
        "Leak 0.001 · C · V amperes after some minutes: from memory",
        "± 20 %, stands about 1 V in reverse: common practice, no source",
    ]),
    alike: &[],
    // One that stands more volts does as well.
    does_for: |plan, build, param| {
        if param == VOLTS {
            RATINGS[build.index(VOLTS)] >= RATINGS[plan.index(VOLTS)]
        } else {
            near(plan, build, param, 0.2)
        }
    },
    polarity: Some(Polarity { anode: 0, cathode: 1 }),
    limits: |part| Limits {
        reverse_volts: Some(1.0),
        forward_volts: Some(RATINGS[part.index(VOLTS)]),
        ..Limits::default()
    },
    wear: Some(Wear {
        strain: |part, reading| {
            let volts = reading.pins[0].volts - reading.pins[1].volts;
            let share = volts / RATINGS[part.index(VOLTS)];
            if volts < 0.0 { -volts / 1.0 } else { share * share * share * share }
        },
        seconds: 4.0,
        burns_at: 2.0,
        says: "its top has swollen and opened, and it leaks",
    }),
    stamp: stamp_electrolytic,
    state: |_, reading| {
        State::plain(if reading.pins[0].volts - reading.pins[1].volts < -0.5 {
            "the wrong way round"
        } else {
            charge_word(reading)
        })
    },
    draw: draw_electrolytic,
    ..CAPACITOR
};

fn stamp_electrolytic(part: &Part, stamp: &mut Stamp<'_>) {
    let farads = part.drawn(FARADS, 0.2);
    let ohms = (2e-5 / farads).clamp(0.03, 5.0);
    let (plus, minus) = (Terminal::Pin(0), Terminal::Pin(1));
    stamp.element(plus, minus, Law::Capacitance { farads, ohms });
    stamp.resistance(plus, minus, 1000.0 / farads);
}

fn charge_word(reading: &PartReading) -> &'static str {
    let (volts, amps) = (reading.pins[0].volts - reading.pins[1].volts, reading.pins[0].amps);
    if amps.abs() < 1e-6 {
        if volts.abs() < 0.01 { "empty" } else { "holds" }
    } else if amps * volts >= 0.0 {
        "charging"
    } else {
        "discharging"
    }
}

fn draw_electrolytic(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let (plus, minus) = (glance.leg(0), glance.leg(1));
    // 5 to 13 mm across, by capacitance.
    let r = (15.0 + 5.0 * crate::math::log10(part.number(FARADS) * 1e5) as f32).clamp(17.0, 34.0);
    sketch.lead(plus, plus.towards(minus, 0.5));
    sketch.lead(minus, minus.towards(plus, 0.5));
    sketch.group(plus.towards(minus, 0.5), plus.bearing(minus), |body| {
        let sleeve = if glance.burnt { "#4a3a30" } else { "#23375e" };
        body.circle(0.0, 0.0, r, Style::fill(sleeve).outlined("#0f1a30", 1.2));
        // The stripe on the side of the − leg.
        let (x, y) = (r * 0.78, r * 0.62);
        let n = crate::shape::n;
        body.path(
            format!("M{} {}A{} {} 0 0 1 {} {}Z", n(x), n(-y), n(r), n(r), n(x), n(y)),
            Style::fill("#d9dde6"),
        );
        body.path(format!("M{} 0h5", n(r * 0.83)), Style::line("#23375e", 1.8));
        body.circle(0.0, 0.0, r * 0.72, Style::fill("#b9bdc0").outlined("#84888b", 0.8));
        if glance.burnt {
            cracked(body, 0.0, 0.0);
        } else {
            let k = r * 0.45;
            let d = format!("M{} {}L{} {}M{} {}L{} {}", n(-k), n(-k), n(k), n(k), n(-k), n(k), n(k), n(-k));
            body.path(d, Style::line("#84888b", 1.2));
        }
    });
    sketch.lead_end(plus);
    sketch.lead_end(minus);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_code_counts_picofarads() {
        for (farads, words) in
            [(1e-7, "104"), (4.7e-9, "472"), (2.2e-11, "220"), (1e-6, "105"), (4.7e-12, "5")]
        {
            assert_eq!(code(farads), words);
        }
    }
}
