//! What there is to read off a solved bench.

use crate::bench::PartIx;
use crate::card::Card;
use crate::circuit::Circuit;
use crate::memory::{BLANK, Memory};
use crate::solve::Island;

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
    pub inner: Vec<f64>,
    /// What the part remembers.
    pub memory: Memory,
    /// Power taken in, watts; negative for a part that gives power.
    pub watts: f64,
}

impl PartReading {
    /// A reading of a part in which everything stands that no voltage changes.
    pub(crate) fn blank(
        circuit: &Circuit,
        node_island: &[usize],
        islands: &[Island],
        part: PartIx,
    ) -> PartReading {
        let pins = circuit.joins[part.0].iter().map(|join| {
            let island = node_island[join.node.0];
            let floating = islands[island].source.is_none();
            PinReading { volts: 0.0, amps: 0.0, island, floating, touches: join.strip.is_some() }
        });
        let inner = vec![0.0; circuit.inner[part.0].len()];
        PartReading { pins: pins.collect(), inner, memory: BLANK, watts: 0.0 }
    }

    /// Writes volts, amperes and watts of a part, asking for the voltage of each node and the current of
    /// each element. What drops over its contacts is not the part's.
    pub(crate) fn fill(
        &mut self,
        circuit: &Circuit,
        volts: &dyn Fn(usize) -> f64,
        amps: &dyn Fn(usize) -> f64,
        part: PartIx,
    ) {
        for pin in &mut self.pins {
            pin.amps = 0.0;
        }
        for (index, element) in circuit.elements_of(part) {
            let i = amps(index);
            if let Some(pin) = element.pin_a {
                self.pins[pin].amps += i;
            }
            if let Some(pin) = element.pin_b {
                self.pins[pin].amps -= i;
            }
        }
        for (pin, join) in self.pins.iter_mut().zip(&circuit.joins[part.0]) {
            let drop = if join.folded { join.contact_ohms * pin.amps } else { 0.0 };
            pin.volts = volts(join.node.0) - drop;
        }
        for (inner, node) in self.inner.iter_mut().zip(&circuit.inner[part.0]) {
            *inner = volts(node.0);
        }
        self.watts = self.pins.iter().map(|pin| pin.volts * pin.amps).sum();
    }

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
    pub low: f64,
    /// The highest voltage of any of its strips.
    pub high: f64,
    /// The island that it belongs to.
    pub island: usize,
    /// Whether nothing ties it to a source.
    pub floating: bool,
}
