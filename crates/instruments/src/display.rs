//! The display: counts, point, sign, and the "1" of what doesn't fit.

use halfrow_core::meter::Dial;

use crate::range::Range;

/// A value this much below half a count is rounded up, in counts: 18.75 V that the meter's own leads and
/// input made a few parts in a hundred million less of it is 18.8 on a range of 0.1 V.
const HALF_IS_UP: f64 = 1e-4;

/// What stands on the display at the end of one reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Seconds from the beginning of the measurement to the end of the reading.
    pub time: f64,
    /// The digits with point and sign; empty while the display is dark.
    pub shown: String,
    /// Whether the value doesn't fit.
    pub over: bool,
    /// The value in SI units before rounding; `None` when over or dark.
    pub value: Option<f64>,
    /// By how much it may be off, in SI units.
    pub accuracy: Option<f64>,
    /// What was measured, whether it fits or not; not a number while the display is dark.
    pub(crate) mean: f64,
}

impl Reading {
    /// A dark display.
    pub fn dark(time: f64) -> Reading {
        Reading { time, shown: String::new(), over: false, value: None, accuracy: None, mean: f64::NAN }
    }

    /// A value as a dial shows it. One that is no number counts as too large.
    pub fn of(dial: Dial, value: f64, time: f64) -> Reading {
        let Some(range) = Range::of(dial) else { return Reading::dark(time) };
        let counts = value / range.step;
        let counts = (counts + HALF_IS_UP.copysign(counts)).round();
        if counts.abs() > f64::from(range.most) || counts.is_nan() {
            let shown = if value < 0.0 { "-1" } else { "1" };
            return Reading {
                time,
                shown: shown.to_owned(),
                over: true,
                value: None,
                accuracy: None,
                mean: value,
            };
        }
        // Whole counts in a double have at most four digits: the division comes out as it is written.
        let shown = format!("{:.*}", range.decimals, counts.abs() * range.step / range.scale);
        let sign = if counts < 0.0 { "-" } else { "" };
        let accuracy = Some(range.off_by(value));
        Reading {
            time,
            shown: format!("{sign}{shown}"),
            over: false,
            value: Some(value),
            accuracy,
            mean: value,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn shows(dial: Dial, value: f64, shown: &str) {
        assert_eq!(Reading::of(dial, value, 0.0).shown, shown, "{value}");
    }

    #[test]
    fn counts_are_rounded_and_what_does_not_fit_is_a_one() {
        // 18.75 V on three ranges, and on one where it doesn't fit: SMU laboratory manual.
        shows(Dial::Dc600V, 18.75, "19");
        shows(Dial::Dc200V, 18.75, "18.8");
        shows(Dial::Dc20V, 18.75, "18.75");
        shows(Dial::Dc2V, 18.75, "1");
        shows(Dial::Dc2V, -18.75, "-1");
        shows(Dial::Dc2V, 1.9994, "1.999");
        shows(Dial::Dc2V, 1.9996, "1");
        shows(Dial::Dc600V, 600.4, "600");
        shows(Dial::Dc600V, 600.6, "1");
        shows(Dial::Dc20V, f64::INFINITY, "1");
        shows(Dial::Dc20V, f64::NAN, "1");
    }

    #[test]
    fn point_and_sign_stand_where_the_range_has_them() {
        shows(Dial::Dc200Mv, -0.1234, "-123.4");
        shows(Dial::Dc200Mv, -0.00004, "0.0");
        shows(Dial::Dc20Ma, 0.00484, "4.84");
        shows(Dial::Dc10A, 0.1468, "0.15");
        shows(Dial::Ohm2M, 470e3, "0.470");
        shows(Dial::Ohm2K, 667.0, "0.667");
        shows(Dial::Ohm200, 10.2, "10.2");
        shows(Dial::Diode, 0.548, "0.548");
        shows(Dial::Off, 1.0, "");
    }

    #[test]
    fn every_count_of_every_range_is_shown_as_it_is() {
        for dial in Dial::ALL {
            let Some(range) = Range::of(dial) else { continue };
            for count in 0..=range.most {
                let reading = Reading::of(dial, f64::from(count) * range.step, 0.0);
                let digits: String = reading.shown.chars().filter(char::is_ascii_digit).collect();
                assert_eq!(digits.parse::<u32>().unwrap(), count, "{dial:?}");
            }
        }
    }
}
