//! Fixed resistor.

use crate::amount;
use crate::card::{
    Card, Choice, Footprint, Group, Limits, Param, Pin, Range, State, Sums, Unit, Wear, near, on_paper,
};
use crate::part::Part;
use crate::preferred;
use crate::shape::{Glance, Sketch, Style};
use crate::stamp::Terminal;

use super::dip::cracked;

const OHMS: usize = 0;
const TOLERANCE: usize = 1;

/// Tolerances on offer, per cent; IEC 60062 gives each its colour.
const TOLERANCES: [f64; 5] = [5.0, 1.0, 2.0, 10.0, 20.0];

/// The card.
pub static CARD: Card = Card {
    kind: "resistor",
    name: "Resistor",
    also: &["ohm", "ohms"],
    what: "Holds current back: the more ohms, the less current. Either way round works.",
    prefix: "R",
    group: Group::Resist,
    key: Some('r'),
    pins: &[Pin { name: "1", says: "first leg" }, Pin { name: "2", says: "second leg" }],
    footprint: Footprint::Loose { reach: 20 },
    params: &[
        Param {
            key: "ohms",
            name: "Resistance",
            range: Range::Number { unit: Unit::Ohm, min: 0.01, max: 1e9, default: 220.0, by_ratio: true },
            live: false,
        },
        Param {
            key: "tolerance_percent",
            name: "Tolerance",
            range: Range::Choice {
                options: &[
                    Choice { word: "5", name: "± 5 %" },
                    Choice { word: "1", name: "± 1 %" },
                    Choice { word: "2", name: "± 2 %" },
                    Choice { word: "10", name: "± 10 %" },
                    Choice { word: "20", name: "± 20 %" },
                ],
                default: 0,
            },
            live: false,
        },
    ],
    equation: on_paper("v = i · R"),
    sources: on_paper(&[
        "Bands: IEC 60062; values on offer: IEC 60063 series E12 and E24",
        "1/4 W: the usual size in schools, common practice, no source",
    ]),
    alike: &[&[0, 1]],
    bands: |part| preferred::bands(part.number(OHMS), TOLERANCES[part.index(TOLERANCE)]),
    sums: Some(Sums { param: OHMS as u8, in_series: true }),
    // The plan says how near is near enough; a build's own tolerance is its own affair.
    does_for: |plan, build, param| {
        param == TOLERANCE || near(plan, build, param, TOLERANCES[plan.index(TOLERANCE)] / 100.0)
    },
    limits: |_| Limits { watts: Some(0.25), ..Limits::default() },
    wear: Some(Wear {
        strain: |_, reading| reading.watts / 0.25,
        seconds: 8.0,
        burns_at: 4.0,
        says: "it smoked and turned black",
    }),
    stamp: |part, stamp| {
        stamp.resistance(Terminal::Pin(0), Terminal::Pin(1), {
            part.drawn(OHMS, TOLERANCES[part.index(TOLERANCE)] / 100.0)
        })
    },
    least_ohms: Some(|part| part.number(OHMS)),
    state: |_, reading| State::plain(if reading.watts > 0.25 { "too hot" } else { "cool" }),
    label: |part| amount::value(part.number(OHMS), Unit::Ohm),
    draw,
    ..Card::BLANK
};

/// The paint of a band.
pub fn band_paint(colour: &str) -> &'static str {
    match colour {
        "black" => "#1e1e1e",
        "brown" => "#7a4a21",
        "red" => "#c8281f",
        "orange" => "#e07b1c",
        "yellow" => "#e9c62b",
        "green" => "#2f8f4a",
        "blue" => "#2f66b3",
        "violet" => "#7c52a8",
        "grey" => "#8b8f92",
        "white" => "#f7f5ef",
        "gold" => "#b98a2f",
        "silver" => "#b9bdc0",
        _ => "#000000",
    }
}

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    sketch.axial(glance.leg(0), glance.leg(1), 25.0, |body| {
        // 6.3 mm by 2.4 mm: two caps with a waist between them.
        let outline = "M-25 -5.5Q-25 -8.5 -21 -8.5H-17Q-13.5 -8.5 -12 -6.6H12Q13.5 -8.5 17 -8.5H21Q25 -8.5 25 -5.5V5.5Q25 8.5 21 8.5H17Q13.5 8.5 12 6.6H-12Q-13.5 8.5 -17 8.5H-21Q-25 8.5 -25 5.5Z";
        let fill = match (glance.burnt, glance.hot) {
            (true, _) => "#5a4634",
            (_, true) => "#b98a5c",
            _ => "#ead7ad",
        };
        body.path(outline, Style::fill(fill).outlined("#a08552", 1.0));
        body.path("M-23 -5.6Q0 -4.4 23 -5.6", Style::line("#ffffff", 1.6).faint(0.45));
        let bands = (part.card.bands)(part).unwrap_or_default();
        // The tolerance band stands apart on the far cap; the first sits on the near one.
        let count = bands.len();
        for (index, colour) in bands.iter().enumerate() {
            let tolerance = count >= 4 && index == count - 1;
            let spread = if count >= 5 { 6.4 } else { 8.4 };
            let (x, half) = match (index, tolerance) {
                (_, true) => (18.6, 8.1),
                (0, _) => (-19.6, 8.1),
                (_, _) => (-9.6 + spread * (index as f32 - 1.0), 6.3),
            };
            let style = Style::fill(band_paint(colour));
            let style = if *colour == "white" || *colour == "silver" { style.outlined("#8b867a", 0.4) } else { style };
            body.rect(x - 1.8, -half, 3.6, 2.0 * half, 0.4, style);
        }
        if glance.burnt {
            cracked(body, 0.0, 0.0);
        } else if glance.hot {
            body.path("M-12 -3Q-6 -7 0 -3T12 -3", Style::line("#5a2a12", 2.2).faint(0.5));
        }
    });
}
