//! The figures of a meter: resistances inside, fuses, the source of its ohms ranges.
//!
//! Resistances of shunts and fuse, the lead pair, the source and the diode test's current are
//! choices inside what makers' manuals print (Fluke 8060A: shunts of 1000 to 0.1 Ω, each 200 mV at
//! full scale; UNI-T UT61B: lead pair 0.2 to 0.5 Ω; Hongda DT95B: at most 2.8 V open; PeakTech 1080:
//! about 1 mA at diodes). The fuses are those of a Littelfuse 617 sheet: 0.2065 Ω at 0.5 A,
//! 0.0063 Ω at 10 A, cold.

use halfrow_core::meter::{Dial, Kind};

/// A fuse inside the meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fuse {
    /// Rated current, amperes.
    pub amps: f64,
    /// Resistance while it is whole, ohms.
    pub ohms: f64,
}

/// What a kind of meter is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figures {
    /// Resistance between V Ω mA and COM at volts, ohms.
    pub input_ohms: f64,
    /// Shunts of the ranges 200 µA, 2 mA, 20 mA and 200 mA, ohms.
    pub shunt_ohms: [f64; 4],
    /// The shunt behind the 10 A socket, ohms.
    pub large_shunt_ohms: f64,
    /// The fuse behind V Ω mA.
    pub small_fuse: Fuse,
    /// The fuse behind 10 A, if it has one.
    pub large_fuse: Option<Fuse>,
    /// Each of the two leads, ohms.
    pub lead_ohms: f64,
    /// Open-circuit voltage at ohms and diodes.
    pub source_volts: f64,
    /// Current of the diode test, amperes.
    pub diode_amps: f64,
}

/// The 500 mA fuse.
const SMALL: Fuse = Fuse { amps: 0.5, ohms: 0.2065 };
/// The 10 A fuse.
const LARGE: Fuse = Fuse { amps: 10.0, ohms: 0.0063 };

impl Figures {
    /// Those of a kind that a class has on its shelf.
    pub fn of(kind: Kind) -> Figures {
        let ten = Figures {
            input_ohms: 10e6,
            shunt_ohms: [1000.0, 100.0, 10.0, 1.0],
            large_shunt_ohms: 0.01,
            small_fuse: SMALL,
            large_fuse: Some(LARGE),
            lead_ohms: 0.1,
            source_volts: 2.8,
            diode_amps: 1e-3,
        };
        match kind {
            Kind::TenMegohm => ten,
            Kind::Cheap => Figures { input_ohms: 1e6, large_fuse: None, ..ten },
        }
    }

    /// A meter that changes nothing: what it would show is the true value. Its resistances are as far
    /// from any on a breadboard as a double has digits for.
    pub fn ideal() -> Figures {
        Figures {
            input_ohms: 1e13,
            shunt_ohms: [1e-6; 4],
            large_shunt_ohms: 1e-6,
            small_fuse: Fuse { ohms: 1e-6, ..SMALL },
            large_fuse: None,
            lead_ohms: 1e-6,
            ..Figures::of(Kind::TenMegohm)
        }
    }

    /// The shunt between the 500 mA fuse and COM, ohms, where the dial joins one.
    pub fn shunt(&self, dial: Dial) -> Option<f64> {
        let place =
            [Dial::Dc200Ua, Dial::Dc2Ma, Dial::Dc20Ma, Dial::Dc200Ma].iter().position(|&it| it == dial)?;
        Some(self.shunt_ohms[place])
    }
}

/// The resistor of an ohms range that the unknown is compared with, ohms.
pub fn reference_ohms(dial: Dial) -> Option<f64> {
    match dial {
        Dial::Ohm200 | Dial::Continuity => Some(100.0),
        Dial::Ohm2K => Some(1e3),
        Dial::Ohm20K => Some(10e3),
        Dial::Ohm200K => Some(100e3),
        Dial::Ohm2M => Some(1e6),
        _ => None,
    }
}

/// What stands before the reference resistor of the lowest range and of continuity so that a short
/// draws below 2 mA (Major Tech MTD70T: at most 1.5 mA), ohms; elsewhere the source's own wiring.
pub fn protection_ohms(dial: Dial) -> f64 {
    if matches!(dial, Dial::Ohm200 | Dial::Continuity) { 1500.0 } else { 0.1 }
}
