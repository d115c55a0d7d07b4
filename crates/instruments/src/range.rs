//! What each position of the dial measures, in what steps and how well.

use halfrow_core::meter::Dial;

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Direct voltage.
    Volts,
    /// Alternating voltage.
    AcVolts,
    /// Direct current.
    Amps,
    /// Resistance.
    Ohms,
    /// Resistance, with a tone where there is little of it.
    Continuity,
    /// Voltage of a junction at a milliampere.
    Diode,
}

impl Quantity {
    /// The unit, without prefix.
    pub fn unit(self) -> &'static str {
        match self {
            Quantity::Volts | Quantity::AcVolts | Quantity::Diode => "V",
            Quantity::Amps => "A",
            Quantity::Ohms | Quantity::Continuity => "Ω",
        }
    }
}

/// The share of a reading and the counts that it may be off by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accuracy {
    /// Per cent of the reading.
    pub percent: f64,
    /// Counts besides.
    pub digits: u8,
}

/// A position of the dial that measures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// What.
    pub quantity: Quantity,
    /// What one count stands for, in SI units.
    pub step: f64,
    /// The most counts that are shown.
    pub most: u32,
    /// Digits after the point.
    pub decimals: usize,
    /// What the shown number counts in, as a share of the SI unit: 1e-3 at mV.
    pub scale: f64,
    /// The unit that stands beside the number: mV, kΩ.
    pub unit: &'static str,
    /// How well.
    pub accuracy: Accuracy,
}

/// The most counts of a 3½-digit display.
const COUNTS: u32 = 1999;

/// Below this a continuity test sounds, ohms: the commonest figure in makers' manuals (PeakTech 1080,
/// P3690; Mastech MS8212A).
pub const SOUNDS_BELOW_OHMS: f64 = 50.0;

impl Range {
    /// What a position measures; `None` for off.
    pub fn of(dial: Dial) -> Option<Range> {
        let volts = Accuracy { percent: 0.5, digits: 1 };
        // The accuracies of alternating volts, amperes and diodes: common practice, no source.
        let ac = Accuracy { percent: 1.2, digits: 3 };
        let amps = Accuracy { percent: 1.0, digits: 2 };
        let ohms = Accuracy { percent: 0.8, digits: 2 };
        use Quantity::{AcVolts, Amps, Continuity, Diode, Ohms, Volts};
        let (quantity, step, decimals, scale, unit, accuracy) = match dial {
            Dial::Off => return None,
            Dial::Dc200Mv => (Volts, 1e-4, 1, 1e-3, "mV", volts),
            Dial::Dc2V => (Volts, 1e-3, 3, 1.0, "V", volts),
            Dial::Dc20V => (Volts, 1e-2, 2, 1.0, "V", volts),
            Dial::Dc200V => (Volts, 0.1, 1, 1.0, "V", volts),
            Dial::Dc600V => (Volts, 1.0, 0, 1.0, "V", volts),
            Dial::Ac200V => (AcVolts, 0.1, 1, 1.0, "V", ac),
            Dial::Ac600V => (AcVolts, 1.0, 0, 1.0, "V", ac),
            Dial::Dc200Ua => (Amps, 1e-7, 1, 1e-6, "µA", amps),
            Dial::Dc2Ma => (Amps, 1e-6, 3, 1e-3, "mA", amps),
            Dial::Dc20Ma => (Amps, 1e-5, 2, 1e-3, "mA", amps),
            Dial::Dc200Ma => (Amps, 1e-4, 1, 1e-3, "mA", amps),
            Dial::Dc10A => (Amps, 1e-2, 2, 1.0, "A", Accuracy { percent: 2.0, digits: 3 }),
            Dial::Ohm200 => (Ohms, 0.1, 1, 1.0, "Ω", ohms),
            Dial::Ohm2K => (Ohms, 1.0, 3, 1e3, "kΩ", ohms),
            Dial::Ohm20K => (Ohms, 10.0, 2, 1e3, "kΩ", ohms),
            Dial::Ohm200K => (Ohms, 100.0, 1, 1e3, "kΩ", ohms),
            Dial::Ohm2M => (Ohms, 1e3, 3, 1e6, "MΩ", Accuracy { percent: 1.0, digits: 2 }),
            Dial::Continuity => (Continuity, 0.1, 1, 1.0, "Ω", ohms),
            Dial::Diode => (Diode, 1e-3, 3, 1.0, "V", Accuracy { percent: 1.0, digits: 1 }),
        };
        let most = if matches!(dial, Dial::Dc600V | Dial::Ac600V) { 600 } else { COUNTS };
        Some(Range { quantity, step, most, decimals, scale, unit, accuracy })
    }

    /// The largest value that is shown, in SI units.
    pub fn full(&self) -> f64 {
        f64::from(self.most) * self.step
    }

    /// By how much a value that is shown may be off, in SI units.
    pub fn off_by(&self, value: f64) -> f64 {
        0.01 * self.accuracy.percent * value.abs() + f64::from(self.accuracy.digits) * self.step
    }
}

/// The same quantity's ranges from the finest to the coarsest, among which a dial's own is.
pub fn ladder(dial: Dial) -> &'static [Dial] {
    const LADDERS: [&[Dial]; 4] = [
        &[Dial::Dc200Mv, Dial::Dc2V, Dial::Dc20V, Dial::Dc200V, Dial::Dc600V],
        &[Dial::Ac200V, Dial::Ac600V],
        &[Dial::Dc200Ua, Dial::Dc2Ma, Dial::Dc20Ma, Dial::Dc200Ma, Dial::Dc10A],
        &[Dial::Ohm200, Dial::Ohm2K, Dial::Ohm20K, Dial::Ohm200K, Dial::Ohm2M],
    ];
    LADDERS.into_iter().find(|dials| dials.contains(&dial)).unwrap_or(&[])
}

/// A position in words: `DC volts, 20 V`.
pub fn name(dial: Dial) -> &'static str {
    match dial {
        Dial::Off => "Off",
        Dial::Dc200Mv => "DC volts, 200 mV",
        Dial::Dc2V => "DC volts, 2 V",
        Dial::Dc20V => "DC volts, 20 V",
        Dial::Dc200V => "DC volts, 200 V",
        Dial::Dc600V => "DC volts, 600 V",
        Dial::Ac200V => "AC volts, 200 V",
        Dial::Ac600V => "AC volts, 600 V",
        Dial::Dc200Ua => "DC amps, 200 µA",
        Dial::Dc2Ma => "DC amps, 2 mA",
        Dial::Dc20Ma => "DC amps, 20 mA",
        Dial::Dc200Ma => "DC amps, 200 mA",
        Dial::Dc10A => "DC amps, 10 A",
        Dial::Ohm200 => "Ohms, 200 Ω",
        Dial::Ohm2K => "Ohms, 2 kΩ",
        Dial::Ohm20K => "Ohms, 20 kΩ",
        Dial::Ohm200K => "Ohms, 200 kΩ",
        Dial::Ohm2M => "Ohms, 2 MΩ",
        Dial::Continuity => "Continuity",
        Dial::Diode => "Diode test",
    }
}
