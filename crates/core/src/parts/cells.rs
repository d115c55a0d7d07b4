//! What is inside a battery pack: voltage, resistance and charge of each type of cell.

use crate::math;

/// A type of cell.
#[derive(Debug)]
pub(super) struct Cell {
    /// What stands on the pack.
    pub(super) name: &'static str,
    /// Open-circuit volts by the share of charge that is left, empty first.
    volts: &'static [(f64, f64)],
    /// Internal ohms full and flat; a straight line between them.
    ohms: (f64, f64),
    /// Ampere-hours that a full one gives at so many amperes, small currents first: the harder it is driven,
    /// the less of its charge comes out.
    ampere_hours: &'static [(f64, f64)],
    /// Whether it can be charged again.
    pub(super) charges: bool,
    /// The most that a cell is meant to give for long, amperes.
    pub(super) safe_amps: f64,
    /// The heat inside that it stands for ever, watts: a third of what makes it vent.
    pub(super) lasting_watts: f64,
    /// Our own colours, like no maker's: slate with a pale end at +, green where it can be charged.
    pub(super) case: &'static str,
    /// The end at +.
    pub(super) tip: &'static str,
}

/// The figures come with their sources on the card. At 0.7, which is what a new pack on a bench has, the
/// alkaline and NiMH curves pass through the straight line from full to flat, so that the figures of lessons
/// hold.
pub(super) const TYPES: [Cell; 5] = [
    Cell {
        name: "AA",
        volts: &ALKALINE,
        ohms: (0.2, 1.0),
        ampere_hours: &[(0.025, 2.8), (0.1, 2.5), (0.25, 2.0), (0.5, 1.5), (1.0, 0.9)],
        charges: false,
        safe_amps: 1.0,
        lasting_watts: 4.5,
        case: "#7f9aa6",
        tip: "#e9e2d0",
    },
    Cell {
        name: "AA NiMH",
        volts: &[
            (0.0, 1.0),
            (0.1, 1.18),
            (0.3, 1.24),
            (0.7, 1.0 + (1.4 - 1.0) * 0.7),
            (0.9, 1.33),
            (1.0, 1.4),
        ],
        ohms: (0.03, 0.1),
        ampere_hours: &[(0.4, 2.0), (2.0, 1.8), (4.0, 1.6)],
        charges: true,
        safe_amps: 2.0,
        lasting_watts: 2.0,
        case: "#4f9a63",
        tip: "#e6ebe4",
    },
    Cell {
        name: "AAA",
        volts: &ALKALINE,
        ohms: (0.3, 1.3),
        ampere_hours: &[(0.025, 1.2), (0.1, 1.0), (0.25, 0.75), (0.5, 0.5)],
        charges: false,
        safe_amps: 0.5,
        lasting_watts: 3.0,
        case: "#7f9aa6",
        tip: "#e9e2d0",
    },
    Cell {
        name: "9 V",
        volts: &[
            (0.0, 5.4),
            (0.05, 6.3),
            (0.1, 6.78),
            (0.25, 7.32),
            (0.5, 7.86),
            (0.7, 5.4 + (9.48 - 5.4) * 0.7),
            (0.9, 8.88),
            (1.0, 9.48),
        ],
        ohms: (1.7, 6.0),
        ampere_hours: &[(0.025, 0.6), (0.1, 0.5), (0.3, 0.3), (0.5, 0.22)],
        charges: false,
        safe_amps: 0.3,
        lasting_watts: 20.0,
        case: "#5d7886",
        tip: "#e9e2d0",
    },
    Cell {
        name: "CR2032",
        volts: &[(0.0, 2.0), (0.1, 2.6), (0.2, 2.8), (0.5, 2.95), (0.7, 3.0), (0.9, 3.05), (1.0, 3.1)],
        ohms: (12.0, 40.0),
        ampere_hours: &[(0.0002, 0.225), (0.001, 0.21), (0.003, 0.17), (0.01, 0.1), (0.015, 0.06)],
        charges: false,
        safe_amps: 0.015,
        lasting_watts: 0.5,
        case: "#c3c7c9",
        tip: "#e9ebec",
    },
];

const ALKALINE: [(f64, f64); 8] = [
    (0.0, 0.9),
    (0.05, 1.05),
    (0.1, 1.13),
    (0.25, 1.22),
    (0.5, 1.31),
    (0.7, 0.9 + (1.58 - 0.9) * 0.7),
    (0.9, 1.48),
    (1.0, 1.58),
];

/// What a table says between its rows, by straight lines; its ends beyond them.
fn between(table: &[(f64, f64)], at: f64) -> f64 {
    let after = table.partition_point(|row| row.0 < at);
    match (after.checked_sub(1).map(|before| table[before]), table.get(after)) {
        (_, Some(&(x, y))) if x == at => y,
        (Some((x0, y0)), Some(&(x1, y1))) => y0 + (y1 - y0) * ((at - x0) / (x1 - x0)),
        (Some((_, y)), None) | (None, Some(&(_, y))) => y,
        (None, None) => 0.0,
    }
}

impl Cell {
    /// Open-circuit volts with so much charge left.
    pub(super) fn open_volts(&self, charge: f64) -> f64 {
        between(self.volts, charge)
    }

    /// Internal ohms with so much charge left.
    pub(super) fn ohms(&self, charge: f64) -> f64 {
        self.ohms.1 + (self.ohms.0 - self.ohms.1) * charge
    }

    /// The share of a full charge that goes in a second at so many amperes, below zero while it is charged
    /// (which does nothing for one that can't be).
    pub(super) fn share_a_second(&self, amps: f64) -> f64 {
        if amps == 0.0 || (amps < 0.0 && !self.charges) {
            return 0.0;
        }
        // By the logarithm of the current, as makers draw it.
        let rows = self.ampere_hours;
        let after = rows.partition_point(|row| row.0 < amps.abs());
        let hours = match (after.checked_sub(1).map(|before| rows[before]), rows.get(after)) {
            (Some((a0, h0)), Some(&(a1, h1))) => {
                h0 + (h1 - h0) * math::ln(amps.abs() / a0) / math::ln(a1 / a0)
            }
            (Some((_, hours)), None) | (None, Some(&(_, hours))) => hours,
            (None, None) => return 0.0,
        };
        amps / (3600.0 * hours)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn voltage_and_life_fall_with_charge_and_current() {
        for cell in &TYPES {
            let shares: Vec<f64> = (0..=100).map(|n| f64::from(n) / 100.0).collect();
            for pair in shares.windows(2) {
                let [low, high] = [pair[0], pair[1]];
                assert!(cell.open_volts(low) < cell.open_volts(high), "{} {low}", cell.name);
                assert!(cell.ohms(low) > cell.ohms(high), "{} {low}", cell.name);
            }
            // Twice the current never lasts more than half as long.
            for amps in [1e-4, 1e-3, 0.01, 0.1, 1.0, 3.0] {
                let (once, twice) = (cell.share_a_second(amps), cell.share_a_second(2.0 * amps));
                assert!(twice >= 2.0 * once * (1.0 - 1e-12), "{} {amps}", cell.name);
            }
            assert_eq!(cell.share_a_second(-0.1) < 0.0, cell.charges, "{}", cell.name);
        }
    }
}
