//! Lamps of several LEDs: RGB and seven segments.

use crate::card::{
    Card, Choice, Footprint, Group, Limits, Param, Pin, Range, State, VISIBLE_AMPS, Wear, on_paper,
};
use crate::law::Law;
use crate::math;
use crate::part::Part;
use crate::readings::PartReading;
use crate::shape::{Glance, Point, Sketch, Style};
use crate::stamp::{Stamp, Terminal};

use super::dip::DIP14;
use super::led::{BRIGHT_AMPS, DYES, SPREAD_VOLTS};
use super::rigid_frame;

const COMMON: usize = 0;

/// Common cathode or common anode.
const COMMONS: &[Param] = &[Param {
    key: "common",
    name: "Common",
    range: Range::Choice {
        options: &[
            Choice { word: "cathode", name: "common cathode" },
            Choice { word: "anode", name: "common anode" },
        ],
        default: 0,
    },
    live: false,
}];

/// Red, green and blue among the LED's colours.
const RGB_DYES: [usize; 3] = [0, 2, 3];
/// Their pins, and the common one.
const RGB_PINS: [usize; 3] = [0, 2, 3];
const RGB_COMMON: usize = 1;

/// Three LEDs in one lens.
pub static RGB: Card = Card {
    kind: "rgb-led",
    name: "RGB LED",
    also: &["light", "lamp", "bulb", "colour", "color"],
    what: "Red, green and blue LEDs in one lens. They share the longest leg; each of the other legs needs its own resistor.",
    prefix: "D",
    group: Group::Light,
    pins: &[
        Pin { name: "R", says: "first leg (red)" },
        Pin { name: "COM", says: "longest leg (common)" },
        Pin { name: "G", says: "third leg (green)" },
        Pin { name: "B", says: "fourth leg (blue)" },
    ],
    footprint: Footprint::Loose { reach: 8 },
    params: COMMONS,
    equation: on_paper("three LEDs with a common leg"),
    sources: on_paper(&[
        "Colours as the LED’s: Vishay TLHR5400 and TLPG5600, Cree LC503TBL1; legs R, common, G, B: from memory",
    ]),
    limits: |_| Limits { amps: Some(0.025), ..Limits::default() },
    shared: &[1],
    wear: Some(WEAR),
    stamp: |part, stamp| {
        for (pin, dye) in RGB_PINS.into_iter().zip(RGB_DYES) {
            lamp(part, stamp, pin, RGB_COMMON, dye);
        }
    },
    state: |part, reading| state(part, reading, &RGB_PINS, RGB_DYES),
    label: |part| part.choice_name(COMMON).split(' ').nth(1).unwrap_or_default().to_owned(),
    draw: draw_rgb,
    ..Card::BLANK
};

const WEAR: Wear = Wear {
    strain: |part, reading| reading.most_amps(part.card) / 0.025,
    seconds: 1.0,
    burns_at: 3.0,
    says: "it will never light again",
};

/// An LED from a pin to the common one, or the other way round.
fn lamp(part: &Part, stamp: &mut Stamp<'_>, pin: usize, common: usize, dye: usize) {
    let (pin, common) = (Terminal::Pin(pin), Terminal::Pin(common));
    let (from, to) = if part.index(COMMON) == 0 { (pin, common) } else { (common, pin) };
    let junction = DYES[dye].junction().shifted(SPREAD_VOLTS * part.off(dye as u8));
    stamp.element(from, to, Law::Junction(junction));
}

fn state(part: &Part, reading: &PartReading, pins: &[usize], dyes: impl IntoIterator<Item = usize>) -> State {
    let sign = if part.index(COMMON) == 0 { 1.0 } else { -1.0 };
    let mut state = State::plain("dark");
    for ((light, &pin), dye) in state.lights.iter_mut().zip(pins).zip(dyes) {
        let amps = sign * reading.pins[pin].amps;
        if amps >= VISIBLE_AMPS {
            *light = math::cbrt(amps / DYES[dye].at_amps).min(1.2) as f32 / 1.2;
            state.glow = state.glow.max(*light);
            if amps >= BRIGHT_AMPS {
                state.word = "lit";
            } else if state.word == "dark" {
                state.word = "dim";
            }
        }
    }
    state
}

/// What red, green and blue light of these strengths look like together, as a ring's colour and its edge:
/// a light counts from a third of the strongest.
fn mixed(lights: &[f32; 8], strongest: f32) -> (&'static str, &'static str) {
    let counts = |light: f32| light > strongest / 3.0;
    match (counts(lights[0]), counts(lights[1]), counts(lights[2])) {
        (true, true, true) => DYES[4].halo,
        (true, true, false) => DYES[1].halo,
        (true, false, true) => ("#ff62d6", "#8a1a6c"),
        (false, true, true) => ("#43dfe0", "#0b6a6c"),
        (true, false, false) => DYES[0].halo,
        (false, true, false) => DYES[2].halo,
        (false, false, _) => DYES[3].halo,
    }
}

fn draw_rgb(_: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let legs = [0, 1, 2, 3].map(|pin| glance.leg(pin));
    let centre = Point::new(
        legs.iter().map(|leg| leg.x).sum::<f32>() / 4.0,
        legs.iter().map(|leg| leg.y).sum::<f32>() / 4.0,
    );
    for leg in legs {
        sketch.lead(centre, leg);
        sketch.lead_end(leg);
    }
    let places = [(-6.0, -4.0), (6.0, -4.0), (0.0, 6.5)];
    for ((x, y), (dye, light)) in places.into_iter().zip(RGB_DYES.into_iter().zip(glance.lights)) {
        sketch.glow(Point::new(centre.x + x, centre.y + y), DYES[dye].glow, light);
    }
    let strongest = glance.lights[..3].iter().fold(0.0_f32, |most, &light| most.max(light));
    sketch.halo(centre, 19.5, mixed(&glance.lights, strongest), strongest);
    sketch.circle(centre.x, centre.y, 19.5, Style::fill("#4b5255").outlined("#2d3335", 1.0));
    sketch.circle(centre.x, centre.y, 16.5, Style::fill("#6d767a"));
    sketch.circle(centre.x, centre.y, 16.5, Style::fill("#ffffff").faint(0.85 * strongest.min(1.0).sqrt()));
    for ((x, y), (dye, light)) in places.into_iter().zip(RGB_DYES.into_iter().zip(glance.lights)) {
        sketch.circle(centre.x + x, centre.y + y, 5.6, Style::fill(DYES[dye].dull));
        let lit = if light > 0.0 { 0.6 + 0.4 * light } else { 0.0 };
        sketch.circle(centre.x + x, centre.y + y, 5.6, Style::fill(DYES[dye].lens).faint(lit));
    }
    if glance.burnt {
        super::dip::cracked(sketch, centre.x, centre.y);
    }
}

/// Segments a to g and the point: pins by index.
const SEGMENT_PINS: [usize; 8] = [0, 12, 9, 7, 6, 1, 10, 8];
const SEGMENT_COMMON: usize = 2;
const SEGMENT_COMMON_TOO: usize = 13;

/// A digit of seven segments and a point.
pub static SEVEN_SEGMENTS: Card = Card {
    kind: "seven-segment",
    name: "Digit",
    also: &["7-segment", "seven segment", "display"],
    what: "Seven bars and a point that light up to show a digit. All share one common pin; each needs its own resistor.",
    prefix: "D",
    group: Group::Light,
    pins: super::dip::chip_pins!(1 "a" 2 "f" 3 "common" 4 "not joined" 5 "not joined" 6 "not joined" 7 "e"
        8 "d" 9 "point" 10 "c" 11 "g" 12 "not joined" 13 "b" 14 "common"),
    footprint: DIP14,
    params: COMMONS,
    equation: on_paper("eight red LEDs with a common pin"),
    sources: on_paper(&[
        "Red, 2.0 V at 20 mA, as the LED; 0.3 inch digit in a 14-pin body, pins: from memory; others differ",
    ]),
    limits: |_| Limits { amps: Some(0.03), ..Limits::default() },
    shared: &[2, 13],
    chip: true,
    wear: Some(Wear { strain: |part, reading| reading.most_amps(part.card) / 0.03, ..WEAR }),
    stamp: |part, stamp| {
        for pin in SEGMENT_PINS {
            lamp(part, stamp, pin, SEGMENT_COMMON, 0);
        }
        stamp.resistance(Terminal::Pin(SEGMENT_COMMON), Terminal::Pin(SEGMENT_COMMON_TOO), 0.02);
    },
    state: |part, reading| state(part, reading, &SEGMENT_PINS, [0; 8]),
    label: |part| part.choice_name(COMMON).split(' ').nth(1).unwrap_or_default().to_owned(),
    draw: draw_digit,
    metal: &[(2, 13)],
    ..Card::BLANK
};

fn draw_digit(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    /// Bars a to g, as slanted hexagons.
    const BARS: [&str; 7] = [
        "M18 10H44L40 15H22Z",
        "M46 12L50 16V55L46 59L42 55V17Z",
        "M46 63L50 67V106L46 110L42 105V67Z",
        "M18 112H44L40 107H22Z",
        "M16 63L20 67V105L16 110L12 106V67Z",
        "M16 12L20 17V55L16 59L12 55V16Z",
        "M20 57H42L46 61L42 65H20L16 61Z",
    ];
    rigid_frame(part, glance, sketch, |body| {
        body.rect(-8.0, -11.0, 76.0, 142.0, 3.0, Style::fill("#23282c").outlined("#0d0f10", 1.2));
        for (bar, light) in BARS.into_iter().zip(glance.lights) {
            let style = if light > 0.0 {
                Style::fill("#ff5a4a").faint(0.35 + 0.65 * light)
            } else {
                Style::fill("#4a3a3c")
            };
            body.path(bar, style);
        }
        let point = glance.lights[7];
        let style = if point > 0.0 { Style::fill("#ff5a4a") } else { Style::fill("#4a3a3c") };
        body.circle(57.0, 111.0, 4.5, style);
        body.circle(-2.0, -5.0, 2.2, Style::fill("#c9ccd0"));
        for (x, row) in [0.0, 60.0].into_iter().flat_map(|x| (0..7).map(move |row| (x, row))) {
            body.lead_end(Point::new(x, 20.0 * row as f32));
        }
        if glance.burnt {
            super::dip::cracked(body, 30.0, 60.0);
        }
    });
}
