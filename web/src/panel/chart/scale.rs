//! What a chart shows from edge to edge: its times, its scales, and how they are written.

use halfrow_core::amount::{self, plain};
use halfrow_core::math;

use crate::model::chart::{Chart, Trigger, step, volts};
use crate::run::traces::Traces;

/// The units of the scales, the side that each stands on, and its type's.
pub(super) const AXES: [(&str, &str, &str); 2] = [("V", ", left ", "right"), ("A", ", right ", "left")];

/// Divisions from left to right and from bottom to top.
pub(super) const ACROSS: f64 = 10.0;
pub(super) const UP: f64 = 8.0;

/// The times at the left and right edge, and whether it waits for the first trace to pass the level.
pub(super) fn window(chart: &Chart, traces: &mut Traces) -> (f64, f64, bool) {
    let division = step(chart.seconds);
    let end = traces.end();
    let triggered = chart.trigger != Trigger::Free;
    let latest = end - (ACROSS - 1.0) * division;
    let pass = || traces.last_pass(0, chart.level, chart.trigger == Trigger::Rise, latest);
    let from = match triggered.then(pass).flatten() {
        Some(pass) => {
            traces.held |= chart.single;
            pass - division
        }
        None => return (end - ACROSS * division, end, triggered),
    };
    (from, from + ACROSS * division, false)
}

/// What a division is, and on which side the figures of each scale stand.
pub(super) fn scales(chart: &Chart, traces: &Traces, from: f64, to: f64) -> String {
    let mut words = "A division: ".to_owned();
    words += &plain(step(chart.seconds), "s");
    for (unit, side, _) in AXES {
        if chart.shows(unit) {
            let (low, high) = scale(chart, traces, unit, from, to);
            words += side;
            words += &plain((high - low) / UP, unit);
        }
    }
    words
}

/// A moment in the unit that suits what is shown, with the digits that tell it from one that is this share
/// of the width away: `185.2 s`.
pub(super) fn moment(time: f64, (from, to): (f64, f64), share: f64) -> String {
    let units = [(1.0, "s"), (1e-3, "ms"), (1e-6, "µs")];
    let (factor, unit) = units.into_iter().find(|it| to.max(to - from) >= it.0).unwrap_or(units[2]);
    let digits = (-math::log10(share * (to - from) / factor) - 0.01).ceil().max(0.0) as usize;
    format!("{} {unit}", amount::decimals(time / factor, digits))
}

/// The lowest and highest value of the scale of all traces with one unit.
pub(super) fn scale(chart: &Chart, traces: &Traces, unit: &str, from: f64, to: f64) -> (f64, f64) {
    let (mut low, mut high) = (0.0_f64, 0.0_f64);
    for (index, probe) in chart.probes.iter().enumerate() {
        if probe.as_ref().is_some_and(|probe| probe.unit().symbol() == unit) {
            for (_, readings) in traces.between(from, to) {
                let value = f64::from(readings[index]);
                if value.is_finite() {
                    (low, high) = (low.min(value), high.max(value));
                }
            }
        }
    }
    axis(low, high, unit, if unit == "V" { volts(chart.volts) } else { 0.0 })
}

/// The ends of an axis that holds values from `low` (at most 0) to `high`, in divisions of this size, or of
/// one that fits where it is 0.
fn axis(low: f64, high: f64, unit: &str, division: f64) -> (f64, f64) {
    let fits = division == 0.0;
    let division = if fits {
        // The next step at which everything fits, without magnifying what a meter shows as zero.
        let rough = ((high - low) / UP).max(if unit == "V" { 1e-3 } else { 1e-6 });
        (0..99).map(step).find(|it| *it >= 0.999 * rough).unwrap_or(rough)
    } else {
        division
    };
    // A hundredth of a division below zero is noise.
    let below = (low / division + 0.01).floor().max(-(UP - 1.0));
    (below * division, (below + UP) * division)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::chart::PROBES;
    use halfrow_core::board::Hole;
    use halfrow_core::probe::Probe;

    #[test]
    fn neighbouring_moments_read_differently() {
        for (from, division, labels) in [
            (184.6, 0.1, ["184.6 s", "185.1 s", "185.6 s"]),
            (1234.0, 0.2, ["1234.0 s", "1235.0 s", "1236.0 s"]),
            (-1.9, 0.2, ["−1.9 s", "−0.9 s", "0.1 s"]),
            (0.0120, 1e-5, ["12.00 ms", "12.05 ms", "12.10 ms"]),
            (185.0, 1e-7, ["185.0000000 s", "185.0000005 s", "185.0000010 s"]),
            (0.0, 1e-7, ["0.0 µs", "0.5 µs", "1.0 µs"]),
        ] {
            let end = from + ACROSS * division;
            let at = |share: f64| moment(from + share * (end - from), (from, end), 0.1);
            assert_eq!([at(0.0), at(0.5), at(1.0)], labels);
        }
    }

    #[test]
    fn a_small_current_has_a_scale_of_its_own_beside_volts() {
        let hole = Hole::parse("e5").unwrap();
        let mut chart = Chart::default();
        chart.probes[1] = Some(Probe::current("R1"));
        let wave =
            |i: u32| (f64::from(i) * 0.01, [5.0, if i.is_multiple_of(2) { 6e-5 } else { -6e-5 }, 0.0, 0.0]);
        let traces = Traces::of((0..100).map(wave));
        let words = |chart: &Chart| scales(chart, &traces, 0.0, 1.0);
        assert_eq!(words(&chart), "A division: 200 ms, right 20 µA");
        chart.probes[0] = Some(Probe::Hole(hole));
        assert_eq!(words(&chart), "A division: 200 ms, left 1 V, right 20 µA");
        assert_eq!(words(&Chart::default()), "A division: 200 ms");
    }

    #[test]
    fn a_trigger_whose_level_is_never_reached_waits() {
        let mut traces =
            Traces::of((0..500).map(|i| (f64::from(i) * 0.01, [(f64::from(i) * 0.1).sin() as f32; PROBES])));
        let mut chart = Chart { trigger: Trigger::Rise, level: 0.5, ..Chart::default() };
        let (from, to, waits) = window(&chart, &mut traces);
        assert!(
            !waits
                && (to - from - 2.0).abs() < 1e-9
                && (traces.at(0, from + 0.2).unwrap() - 0.5).abs() < 1e-6
        );
        chart.level = 5.0;
        assert!(window(&chart, &mut traces).2);
        chart.trigger = Trigger::Free;
        assert!(!window(&chart, &mut traces).2);
    }

    #[test]
    fn a_quiet_net_is_a_flat_line_and_noise_is_no_depth() {
        for (low, high, unit, division, ends) in [
            (0.0, 0.0, "V", 0.0, (0.0, 8e-3)),
            (-1e-9, 1e-9, "V", 0.0, (0.0, 8e-3)),
            (0.0, 1e-12, "A", 0.0, (0.0, 8e-6)),
            (0.0, 5.45, "V", 0.0, (0.0, 8.0)),
            (-2.0, 2.0, "V", 0.0, (-2.0, 2.0)),
            (-1e-9, 5.0, "V", 2.0, (0.0, 16.0)),
            (-5.0, 5.0, "V", 2.0, (-6.0, 10.0)),
        ] {
            let (from, to) = axis(low, high, unit, division);
            assert!((from - ends.0).abs() < 1e-9 && (to - ends.1).abs() < 1e-9, "{low} {high}: {from} {to}");
        }
    }
}
