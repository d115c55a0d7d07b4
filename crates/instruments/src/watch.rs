//! The meter's converter: what it makes of a circuit whose clock runs.
//!
//! It integrates what stands before it over the time of one reading and shows the mean, so that a
//! ripple goes under and a blinking circuit makes the number jump.

use halfrow_core::bench::PartIx;
use halfrow_core::meter::{Dial, Meter};
use halfrow_core::readings::PartReading;
use halfrow_core::time::Run;

use crate::display::Reading;
use crate::figures::{Figures, reference_ohms};
use crate::range::{Quantity, Range};
use crate::wiring::{BEHIND_LARGE, BEHIND_SMALL, COM, INNER, Places, VOM};

/// Readings a second (DT92xxA: 2 to 3).
pub const READINGS_A_SECOND: f64 = 2.5;

/// Seconds of one reading.
pub const READING_SECONDS: f64 = 1.0 / READINGS_A_SECOND;

/// Average-responding, scaled to a sine's rms: π / (2·√2).
const SINE_RMS_OVER_MEAN: f64 = 1.110_720_734_539_592;

/// Below this the battery sign comes on, volts; common practice, no source.
pub const BATTERY_LOW: f64 = 7.0;

/// Below this the converter's own reference falls with the battery, volts (ICL7106 sheet: about 6 V
/// at the end of a battery's life), so that volts and amperes read too high.
pub const BATTERY_FALSE: f64 = 6.0;

/// Below this the display stays dark, volts; a design choice.
pub const BATTERY_DEAD: f64 = 4.0;

/// Where the parabola of a step is looked at: panels of Simpson's rule. One is exact for a mean; the
/// mean of a size needs more about its zeros.
const PANELS: usize = 4;

/// What stands before the converter at a moment: what is measured, and what it is compared with.
fn input(dial: Dial, figures: &Figures, body: &PartReading) -> [f64; 2] {
    let volts = |pin: usize| body.pins[pin].volts - body.pins[COM].volts;
    let inner = || body.inner_volts[INNER] - body.pins[COM].volts;
    let Some(range) = Range::of(dial) else { return [0.0, 1.0] };
    match range.quantity {
        Quantity::Volts | Quantity::Diode => [volts(VOM), 1.0],
        Quantity::AcVolts => [inner().abs(), 1.0],
        Quantity::Amps => match figures.shunt(dial) {
            Some(ohms) => [volts(BEHIND_SMALL) / ohms, 1.0],
            None => [volts(BEHIND_LARGE) / figures.large_shunt_ohms, 1.0],
        },
        Quantity::Ohms | Quantity::Continuity => [volts(VOM), inner() - volts(VOM)],
    }
}

/// What the display shows of the means of [`input`].
fn shown(meter: &Meter, [measured, compared]: [f64; 2], time: f64) -> Reading {
    let Some(range) = Range::of(meter.dial) else { return Reading::dark(time) };
    if meter.battery_volts < BATTERY_DEAD {
        return Reading::dark(time);
    }
    // Ohms compare two voltages, which sag alike.
    let sag = (BATTERY_FALSE / meter.battery_volts).max(1.0);
    let value = match range.quantity {
        Quantity::Ohms | Quantity::Continuity => {
            let reference = reference_ohms(meter.dial).unwrap_or(0.0);
            // Without a voltage to compare with in the right direction there is no end to it.
            if compared > 0.0 { reference * measured / compared } else { f64::INFINITY }
        }
        Quantity::AcVolts => SINE_RMS_OVER_MEAN * measured * sag,
        Quantity::Volts | Quantity::Amps | Quantity::Diode => measured * sag,
    };
    Reading::of(meter.dial, value, time)
}

/// A meter that follows a run.
#[derive(Clone, Debug)]
pub struct Watch {
    body: PartIx,
    dial: Dial,
    figures: Figures,
    reading: PartReading,
    began: f64,
    /// How many readings were made.
    count: u32,
    /// The end of the reading that is being made.
    due: f64,
    seconds: f64,
    sums: [f64; 2],
    /// The least and the most of what is measured, of this reading and of the last whole one.
    between: [(f64, f64); 2],
}

/// No values at all.
const NOWHERE: (f64, f64) = (f64::INFINITY, f64::NEG_INFINITY);

impl Watch {
    /// Begins to watch at the present time of a run.
    pub fn new(run: &Run, places: Places, dial: Dial, figures: Figures) -> Watch {
        let (reading, began) = (run.blank_reading(places.body), run.time());
        let due = began + READING_SECONDS;
        Watch {
            body: places.body,
            dial,
            figures,
            reading,
            began,
            count: 0,
            due,
            seconds: 0.0,
            sums: [0.0; 2],
            between: [NOWHERE; 2],
        }
    }

    fn look(&mut self, run: &Run, time: f64) -> [f64; 2] {
        run.glance(self.body, time, f64::INFINITY, &mut self.reading);
        input(self.dial, &self.figures, &self.reading)
    }

    /// What would be shown if all stayed as it is at this moment.
    pub fn now(&mut self, run: &Run, meter: &Meter) -> Reading {
        let input = self.look(run, run.time());
        shown(meter, input, run.time() - self.began)
    }

    /// Between what the measured voltage went during the last whole reading, volts; `None` before the
    /// first one and where no direct voltage is measured.
    pub fn swing(&self) -> Option<(f64, f64)> {
        let volts = Range::of(self.dial).is_some_and(|range| range.quantity == Quantity::Volts);
        (volts && self.between[1].0.is_finite()).then_some(self.between[1])
    }

    /// Takes in the last step of the run; hands each reading that has been made to `made`.
    pub fn follow(&mut self, run: &Run, meter: &Meter, mut made: impl FnMut(Reading)) {
        let (start, end) = run.last_step();
        let mut from = start.max(self.due - READING_SECONDS);
        while from < end {
            let to = end.min(self.due);
            self.take_in(run, from, to, end);
            from = to;
            if to >= self.due {
                let means = self.sums.map(|sum| sum / self.seconds);
                self.count += 1;
                made(shown(meter, means, f64::from(self.count) / READINGS_A_SECOND));
                (self.seconds, self.sums) = (0.0, [0.0; 2]);
                self.due = self.began + f64::from(self.count + 1) / READINGS_A_SECOND;
                self.between = [NOWHERE, self.between[0]];
            }
        }
    }

    /// Integrates over a piece of the last step, which ends at `end`.
    fn take_in(&mut self, run: &Run, from: f64, to: f64, end: f64) {
        // At the very end of a step stands what came of its events.
        let last = end - 1e-9 * (end - run.last_step().0);
        let width = (to - from) / PANELS as f64;
        let panels = if matches!(self.dial, Dial::Ac200V | Dial::Ac600V) { PANELS } else { 1 };
        let width = width * (PANELS / panels) as f64;
        for panel in 0..panels {
            let left = from + width * panel as f64;
            let at = [left, left + 0.5 * width, left + width].map(|time| self.look(run, time.min(last)));
            for [measured, _] in at {
                let (low, high) = self.between[0];
                self.between[0] = (low.min(measured), high.max(measured));
            }
            for (place, sum) in self.sums.iter_mut().enumerate() {
                *sum += width / 6.0 * (at[0][place] + 4.0 * at[1][place] + at[2][place]);
            }
        }
        self.seconds += to - from;
    }
}
