//! A measurement from beginning to end: the meter is put on a bench, and its display is read.

use halfrow_core::bench::Bench;
use halfrow_core::meter::{Meter, Socket};
use halfrow_core::time::{Care, Run};

use crate::display::Reading;
use crate::figures::Figures;
use crate::watch::Watch;
use crate::wiring::{Places, Wired, wired_as};

/// Seconds for which a bench is measured where nobody says how long: five readings. The blocking
/// capacitor of the alternating ranges has settled by then, and a fuse that melts at once has melted.
pub const USUAL_SECONDS: f64 = 2.0;

/// The most steps that one measurement takes. A bench that sings at a kilohertz takes a tenth of it in
/// two seconds; one that would take more is measured for a shorter time.
const MOST_STEPS: u32 = 400_000;

/// What was measured.
#[derive(Clone, Debug)]
pub struct Measurement {
    /// The readings one after the other, at least one. The last is what stands on the display.
    pub readings: Vec<Reading>,
    /// Whether the 500 mA fuse is whole at the end.
    pub small_fuse_whole: bool,
    /// Whether the 10 A fuse is whole at the end.
    pub large_fuse_whole: bool,
    /// The largest current through the red lead, amperes, without sign.
    pub most_amps: f64,
    /// Between what the measured voltage went up and down during the last reading, where it is one; volts.
    pub swing: Option<(f64, f64)>,
    /// Whether the clock came as far as was asked.
    pub complete: bool,
}

impl Measurement {
    /// What stands on the display.
    ///
    /// # Panics
    /// Never: there is always one.
    pub fn last(&self) -> &Reading {
        self.readings.last().expect("at least one reading")
    }
}

/// The fuse in the way of a meter's current, which is that of the first lead that is not in COM: what
/// it is rated for, amperes, and whether it is whole before anything is measured. `None` where there is
/// no fuse.
pub fn fuse_in_use(meter: &Meter, figures: &Figures) -> Option<(Socket, f64, bool)> {
    let socket =
        [&meter.red, &meter.black].into_iter().map(|lead| lead.socket).find(|&it| it != Socket::Com)?;
    match socket {
        Socket::Vom => Some((socket, figures.small_fuse.amps, meter.small_fuse_whole)),
        _ => figures.large_fuse.map(|fuse| (socket, fuse.amps, meter.large_fuse_whole)),
    }
}

/// Reads one of the meters of a bench, by its place. Where `seconds` are given the power comes on at 0
/// and the display is read for so long; otherwise the bench has been on for long, unless it never
/// comes to rest, and the display is read when it has settled.
///
/// # Panics
/// When the bench has no such meter.
pub fn measure(bench: &Bench, which: usize, seconds: Option<f64>) -> Measurement {
    let figures: Vec<Figures> = bench.meters.iter().map(|meter| Figures::of(meter.kind)).collect();
    measure_as(bench, which, &figures, seconds)
}

/// The same with meters of any figures, one for each of the bench's meters.
///
/// # Panics
/// When the bench has no such meter, or figures are missing.
pub fn measure_as(bench: &Bench, which: usize, figures: &[Figures], seconds: Option<f64>) -> Measurement {
    let meters: Vec<(&Meter, Figures)> = bench.meters.iter().zip(figures.iter().copied()).collect();
    let Wired { bench: whole, meters: places } = wired_as(bench, &meters);
    let care = Care::CLOSE;
    let rested = if seconds.is_none() { Run::from_rest(&whole, care) } else { None };
    let mut run = rested.unwrap_or_else(|| Run::new(&whole, care));
    let end = run.time() + seconds.unwrap_or(USUAL_SECONDS);
    read(&mut run, &bench.meters[which], places[which], figures[which], end)
}

/// Lets a run go on to a time and reads a meter of it.
fn read(run: &mut Run, meter: &Meter, places: Places, figures: Figures, end: f64) -> Measurement {
    let began = run.time();
    let mut watch = Watch::new(run, places, meter.dial, figures);
    let mut readings = Vec::new();
    let mut red = run.blank_reading(places.red);
    let mut most_amps: f64 = 0.0;
    let mut steps = 0;
    while run.time() < end && run.stalled().is_none() && steps < MOST_STEPS {
        run.advance();
        steps += 1;
        // The last step may go on beyond the end.
        watch.follow(run, meter, |reading| {
            if began + reading.time <= end + 1e-9 {
                readings.push(reading);
            }
        });
        for time in [run.last_step().0, run.time()] {
            run.glance(places.red, time, f64::INFINITY, &mut red);
            most_amps = most_amps.max(red.pins[0].amps.abs());
        }
    }
    if readings.is_empty() {
        readings.push(watch.now(run, meter));
    }
    let melted = |part| run.burnt().iter().any(|&(_, burnt)| burnt == part);
    Measurement {
        readings,
        small_fuse_whole: meter.small_fuse_whole && !melted(places.small_fuse),
        large_fuse_whole: meter.large_fuse_whole && !melted(places.large_fuse),
        most_amps,
        swing: watch.swing(),
        complete: run.time() >= end,
    }
}
