//! The first stage of an amplifier: two transistors that share the current of a third, and the current that
//! balances them.
//!
//! Both only ever carry current from the higher end to the lower, so that an amplifier without power has
//! none to give.

use super::{Flow, LEAK_SIEMENS, Pull};
use crate::math;

/// How round the corner is at which an input comes to count no more, volts. Twice as large, and an amplifier
/// still tells apart what stands a quarter of a volt above it; much smaller, and Newton's method jumps over
/// it.
const HEADROOM_ROUND: f64 = 0.02;

/// The voltage over a stage at which three quarters of its current flow, volts. With more an amplifier whose
/// output is some hundredths of a volt above ground is off by millivolts; with less Newton's method meets a
/// kink.
const FADE_VOLTS: f64 = 0.01;

/// A differential pair, from the rail that feeds it to the point that it drives. Its controls are the
/// inputs. It carries from none to twice its `half_amps`; what it drives is meant to be drained of
/// `half_amps` by a [`super::Law::Tail`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// Slope where both inputs stand equal, siemens.
    pub siemens: f64,
    /// Half of what it carries at the most, amperes.
    pub half_amps: f64,
    /// How far below the rail the inputs must stay, volts: above that they count as if they stood there.
    pub headroom_volts: f64,
}

/// Share of a current that flows with so many volts over its stage, and its slope: tanh.
fn fade(volts: f64) -> (f64, f64) {
    let x = volts / FADE_VOLTS;
    // Beyond 20 it is 1 to the last bit.
    if x.abs() > 20.0 {
        return (x.signum(), 0.0);
    }
    let e = math::exp(-2.0 * x.abs());
    let share = (1.0 - e) / (1.0 + e);
    (share.copysign(x), (1.0 - share * share) / FADE_VOLTS)
}

/// A current that stands still as soon as there is voltage enough.
pub(super) fn tail(amps: f64, volts: f64) -> Flow {
    let (share, slope) = fade(volts);
    Flow { amps: amps * share + LEAK_SIEMENS * volts, siemens: amps * slope + LEAK_SIEMENS }
}

impl Pair {
    pub(super) fn pull(&self, [a, b, c, d]: [f64; 4]) -> Pull {
        // The lesser of an input and the highest that counts, and its slope over the input.
        let seen = |input: f64| {
            let room = (a - self.headroom_volts - input) / HEADROOM_ROUND;
            // What is far inside or outside needs no exponential, and must not get an endless one.
            if room > 40.0 {
                return (input, 1.0);
            }
            let e = math::exp(room.max(-40.0));
            (a - self.headroom_volts - HEADROOM_ROUND * math::ln(1.0 + e), e / (1.0 + e))
        };
        let ((c, of_c), (d, of_d)) = (seen(c), seen(d));
        let x = self.siemens * (c - d) / self.half_amps;
        let root = (1.0 + x * x).sqrt();
        let (share, by_volts) = fade(a - b);
        let full = self.half_amps * (1.0 + x / root);
        let slope = self.siemens / (root * root * root) * share;
        let across = full * by_volts + LEAK_SIEMENS;
        Pull {
            amps: full * share + LEAK_SIEMENS * (a - b),
            siemens: [slope * (of_d - of_c) + across, -across, slope * of_c, -slope * of_d],
        }
    }
}
