//! Light-emitting diode, 5 mm.

use crate::card::{
    Card, Choice, Footprint, Group, Limits, Param, Pin, Polarity, Range, State, VISIBLE_AMPS, Wear, on_paper,
};
use crate::law::{Junction, Law};
use crate::math;
use crate::part::Part;
use crate::readings::PartReading;
use crate::shape::{Glance, Point, Sketch, Style};
use crate::stamp::{Stamp, Terminal};

use super::dip::cracked;

const COLOUR: usize = 0;

/// What tells one colour from another.
#[derive(Clone, Copy, Debug)]
pub struct Dye {
    /// Forward voltage at `at_amps`, volts, from the datasheet named in the card.
    pub forward_volts: f64,
    /// The current that it was measured at, amperes.
    pub at_amps: f64,
    /// Emission coefficient times thermal voltage, volts (from memory: LEDs have 1.5 to 2.5).
    emission_volts: f64,
    /// Series resistance, ohms: what is left of the slope at 20 mA (from memory).
    series_ohms: f64,
    /// Largest lasting current, amperes.
    pub(super) max_amps: f64,
    /// Largest reverse voltage, volts.
    reverse_volts: f64,
    /// The lens in its own light.
    pub(super) lens: &'static str,
    /// The lens without light, and the rim around it: dull and dark, whatever the colour.
    pub(super) dull: &'static str,
    rim: &'static str,
    pub(super) glow: &'static str,
    /// The ring around it when it is lit, and that ring's edge, which is the rim's colour then too.
    pub(super) halo: (&'static str, &'static str),
}

pub(super) const DYES: [Dye; 5] = [
    Dye {
        forward_volts: 2.0,
        at_amps: 0.02,
        emission_volts: 0.0517,
        series_ohms: 4.0,
        max_amps: 0.03,
        reverse_volts: 6.0,
        lens: "#ff4336",
        dull: "#5e3330",
        rim: "#3f201e",
        glow: "red",
        halo: ("#ff5648", "#8c1c15"),
    },
    Dye {
        forward_volts: 2.4,
        at_amps: 0.02,
        emission_volts: 0.0517,
        series_ohms: 12.0,
        max_amps: 0.03,
        reverse_volts: 6.0,
        lens: "#ffc91f",
        dull: "#665a33",
        rim: "#453c1f",
        glow: "yellow",
        halo: ("#ffcf33", "#8a5a00"),
    },
    Dye {
        forward_volts: 2.4,
        at_amps: 0.02,
        emission_volts: 0.0517,
        series_ohms: 12.0,
        max_amps: 0.03,
        reverse_volts: 6.0,
        lens: "#2fd455",
        dull: "#31503a",
        rim: "#1e3425",
        glow: "green",
        halo: ("#45e06a", "#0f6b2b"),
    },
    Dye {
        forward_volts: 3.4,
        at_amps: 0.02,
        emission_volts: 0.0646,
        series_ohms: 16.0,
        max_amps: 0.025,
        reverse_volts: 5.0,
        lens: "#4f8dff",
        dull: "#313f60",
        rim: "#1f2942",
        glow: "blue",
        halo: ("#6aa0ff", "#17408f"),
    },
    Dye {
        forward_volts: 3.2,
        at_amps: 0.02,
        emission_volts: 0.0646,
        series_ohms: 14.0,
        max_amps: 0.025,
        reverse_volts: 5.0,
        lens: "#fff8e2",
        dull: "#74726b",
        rim: "#504e48",
        glow: "white",
        halo: ("#ffe890", "#8a6d1c"),
    },
];

/// The card.
pub static CARD: Card = Card {
    kind: "led",
    name: "LED",
    also: &["light", "lamp", "bulb", "diode"],
    what: "A lamp that carries current one way only: in at the long leg, out at the short leg by the flat side. It needs a resistor in series.",
    prefix: "D",
    group: Group::Light,
    key: Some('l'),
    pins: &[Pin { name: "A", says: "long leg" }, Pin { name: "K", says: "short leg" }],
    footprint: Footprint::Loose { reach: 10 },
    params: &[Param {
        key: "colour",
        name: "Colour",
        range: Range::Choice {
            options: &[
                Choice { word: "red", name: "red" },
                Choice { word: "yellow", name: "yellow" },
                Choice { word: "green", name: "green" },
                Choice { word: "blue", name: "blue" },
                Choice { word: "white", name: "white" },
            ],
            default: 0,
        },
        live: false,
    }],
    equation: on_paper("i = Is · (exp((v − i·Rs) / nVt) − 1)"),
    sources: on_paper(&[
        "Red: 2.0 V at 20 mA, Vishay TLHR5400 (doc 83012); yellow: 2.4 V at 20 mA, Vishay TLHY6400",
        "Green: 2.4 V at 20 mA, Vishay TLPG5600 (doc 83043), 30 mA, 6 V reverse",
        "Blue: 3.4 V at 20 mA, 25 mA, 5 V reverse, Cree LC503TBL1-30Q-A1",
        "White: 3.2 V at 20 mA, 25 mA, 5 V reverse, Cree LC513FWH1-60Q-A0 (CLD-CT208)",
        "nVt, Rs and the limits of red and yellow: from memory",
    ]),
    polarity: Some(Polarity { anode: 0, cathode: 1 }),
    forward_volts: Some(|part, amps| dye(part).volts_at(amps)),
    limits: |part| {
        let dye = dye(part);
        Limits { amps: Some(dye.max_amps), reverse_volts: Some(dye.reverse_volts), ..Limits::default() }
    },
    wear: Some(Wear {
        strain: |part, reading| reading.largest_amps() / dye(part).max_amps,
        seconds: 1.0,
        burns_at: 3.0,
        says: "it flashed once and will never light again",
    }),
    stamp,
    state,
    label: |part| part.choice_name(COLOUR).to_owned(),
    draw,
    ..Card::BLANK
};

/// The figures of an LED part's colour.
pub fn dye(part: &Part) -> Dye {
    DYES[part.index(COLOUR)]
}

impl Dye {
    /// The law of this colour, through the datasheet's point.
    pub fn junction(&self) -> Junction {
        let inner = self.forward_volts - self.series_ohms * self.at_amps;
        Junction {
            saturation_amps: self.at_amps / (math::exp(inner / self.emission_volts) - 1.0),
            emission_volts: self.emission_volts,
            series_ohms: self.series_ohms,
        }
    }

    /// Forward voltage at a current, volts.
    pub fn volts_at(&self, amps: f64) -> f64 {
        let junction = self.junction();
        self.emission_volts * math::ln(1.0 + amps / junction.saturation_amps) + self.series_ohms * amps
    }
}

/// The current below which the light looks weak, amperes (common practice, no source).
pub const BRIGHT_AMPS: f64 = 0.0015;

/// How far the forward voltage of a lamp is off, volts: less than half of the way from the typical to the
/// greatest of the sheets. Common practice, no source.
pub(super) const SPREAD_VOLTS: f64 = 0.1;

fn stamp(part: &Part, stamp: &mut Stamp<'_>) {
    let junction = dye(part).junction().shifted(SPREAD_VOLTS * part.off(0));
    stamp.element(Terminal::Pin(0), Terminal::Pin(1), Law::Junction(junction));
}

fn state(part: &Part, reading: &PartReading) -> State {
    let amps = reading.pins[0].amps;
    // Light grows with the current, the eye's impression with about its cube root (CIE 1976
    // lightness); 1 is the impression at the datasheet's current.
    let share = amps / dye(part).at_amps;
    let glow = if amps >= VISIBLE_AMPS { math::cbrt(share).min(1.2) as f32 / 1.2 } else { 0.0 };
    let word = if amps < VISIBLE_AMPS {
        "dark"
    } else if amps < BRIGHT_AMPS {
        "dim"
    } else if amps > dye(part).max_amps {
        "too bright"
    } else {
        "lit"
    };
    State::lamp(word, glow)
}

fn draw(part: &Part, glance: &Glance<'_>, sketch: &mut Sketch) {
    let dye = dye(part);
    let (anode, cathode) = (glance.leg(0), glance.leg(1));
    let centre = anode.towards(cathode, 0.5);
    let turn = anode.bearing(cathode);
    let reach = (anode.distance(cathode) / 2.0).max(14.0);
    sketch.glow(centre, dye.glow, glance.glow);
    sketch.halo(centre, 22.0, dye.halo, glance.glow);
    sketch.group(centre, turn, |body| {
        // The long leg has a kink where it was bent outwards; the short leg is straight.
        if reach > 22.0 {
            let kink = -(reach + 17.0) / 2.0;
            let d = format!("M{} 0H{}l2 -2.6l2 2.6H-15", -reach, kink - 2.0);
            body.path(d.clone(), Style::line("#7d8082", 2.6));
            body.path(d, Style::line("#c9cccd", 1.1));
        } else {
            body.lead(Point::new(-reach, 0.0), Point::new(-14.0, 0.0));
        }
        body.lead(Point::new(14.0, 0.0), Point::new(reach, 0.0));
        // Flange of 5.8 mm with its flat at the cathode, dome of 5 mm.
        let rim = if glance.glow > 0.0 { dye.halo.1 } else { dye.rim };
        body.path("M16.5 -14.5A22 22 0 1 0 16.5 14.5Z", Style::fill(rim).outlined("#00000066", 0.8));
        body.circle(0.0, 0.0, 17.6, Style::fill(dye.dull));
        let (lens, centre_shine, unlit) = match glance.glow {
            glow if glow > 0.0 => (0.75 + 0.25 * glow, 0.45 + 0.5 * glow, 0.0),
            _ => (0.0, 0.0, 1.0),
        };
        body.circle(0.0, 0.0, 17.6, Style::fill(dye.lens).faint(lens));
        body.circle(0.0, 0.0, 10.5, Style::fill("#ffffff").faint(centre_shine));
        // The die's cup and its wire, seen through the lens while it is dark.
        body.path("M-2 -3.4H4.6V3.4H-2Z", Style::fill("#00000033").faint(unlit));
        body.path("M1.4 0Q-4 -2.6 -7 0", Style::line("#00000044", 1.0).faint(unlit));
        body.path("M-11.5 -6.5Q-8 -12 -1.5 -12.6", Style::line("#ffffff", 2.2).faint(0.55 - 0.3 * unlit));
        if glance.burnt {
            cracked(body, 0.0, 0.0);
        } else if glance.hot {
            body.path("M-6 -6L6 6M6 -6L-6 6", Style::line("#401008", 2.4).faint(0.75));
        }
    });
    sketch.lead_end(anode);
    sketch.lead_end(cathode);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_colour_goes_through_its_datasheets_point() {
        for dye in DYES {
            assert!((dye.volts_at(dye.at_amps) - dye.forward_volts).abs() < 1e-9);
            let amps = Law::Junction(dye.junction()).flow(dye.forward_volts).amps;
            assert!((amps - dye.at_amps).abs() < 1e-9);
        }
    }
}
