//! What there is to read off a bench: of a pin, a part, a net. [`crate::point`] fills it in.

use crate::card::Card;
use crate::memory::Memory;

/// What one pin of a part reads.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PinReading {
    /// Voltage of the leg's metal against the reference of its island, volts.
    pub volts: f64,
    /// Current into the part at this pin, amperes.
    pub amps: f64,
    /// The island that the pin belongs to; voltages of different islands don't compare.
    pub island: usize,
    /// Whether nothing ties the pin to a source, so that its voltage means nothing.
    pub floating: bool,
    /// Whether the leg touches a strip of the board.
    pub touches: bool,
}

/// What a part reads.
#[derive(Clone, Debug, PartialEq)]
pub struct PartReading {
    /// One reading for each pin of the card.
    pub pins: Vec<PinReading>,
    /// Voltage of each inner point of the part, volts, by the card's numbers.
    pub inner_volts: Vec<f64>,
    /// What the part remembers.
    pub memory: Memory,
    /// Power taken in, watts; negative for a part that gives power.
    pub watts: f64,
}

impl PartReading {
    /// Voltage from one pin to another; `None` where nothing ties the two together.
    pub fn volts_across(&self, from: usize, to: usize) -> Option<f64> {
        let (from, to) = (self.pins[from], self.pins[to]);
        (from.island == to.island).then_some(from.volts - to.volts)
    }

    /// The largest current at any pin, amperes, without sign.
    pub fn largest_amps(&self) -> f64 {
        self.pins.iter().map(|pin| pin.amps.abs()).fold(0.0, f64::max)
    }

    /// The largest current that a limit speaks of: not of pins that several others share.
    pub fn most_amps(&self, card: &Card) -> f64 {
        let own = self.pins.iter().enumerate().filter(|(pin, _)| !card.shared.contains(&(*pin as u8)));
        own.map(|(_, pin)| pin.amps.abs()).fold(0.0, f64::max)
    }
}

/// What a net reads.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NetReading {
    /// Voltage against the reference of its island, volts.
    pub volts: f64,
    /// The lowest voltage of any of its strips.
    pub low_volts: f64,
    /// The highest voltage of any of its strips.
    pub high_volts: f64,
    /// The island that it belongs to.
    pub island: usize,
    /// Whether nothing ties it to a source.
    pub floating: bool,
}
