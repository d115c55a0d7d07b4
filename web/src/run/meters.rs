//! The meters of the bench while its clock runs.

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::meter::{Dial, Meter};
use halfrow_core::point::OperatingPoint;
use halfrow_core::readings::PartReading;
use halfrow_core::time::Run;
use halfrow_instruments::measure::Measurement;
use halfrow_instruments::range::SOUNDS_BELOW_OHMS;
use halfrow_instruments::{Figures, Reading, Watch, Wired};

/// A meter that watches, and what has come of it.
struct Watching {
    meter: Meter,
    watch: Watch,
    /// The lead whose current is looked at.
    red: PartReading,
    most_amps: f64,
    last: Option<Reading>,
}

/// All meters of a bench.
pub struct Meters {
    wired: Wired,
    all: Vec<Watching>,
    /// What was told last, and how often the same.
    told: Vec<String>,
    times: u32,
    news: bool,
}

/// How often the same reading is told: once as news, once more since it has settled.
const TELLINGS: u32 = 2;

impl Meters {
    /// The meters of a bench from the present time of its run on.
    pub fn new(bench: &Bench, run: &Run, wired: &Wired) -> Meters {
        let watching = |(meter, places): (&Meter, &halfrow_instruments::wiring::Places)| Watching {
            meter: meter.clone(),
            watch: Watch::new(run, *places, meter.dial, Figures::of(meter.kind)),
            red: run.blank_reading(places.red),
            most_amps: 0.0,
            last: None,
        };
        let all: Vec<Watching> = bench.meters.iter().zip(&wired.meters).map(watching).collect();
        let news = !all.is_empty();
        Meters { wired: wired.clone(), all, told: Vec::new(), times: 0, news }
    }

    /// Takes in the last step of the run.
    pub fn follow(&mut self, run: &Run) {
        for (it, places) in self.all.iter_mut().zip(&self.wired.meters) {
            let (last, news) = (&mut it.last, &mut self.news);
            it.watch.follow(run, &it.meter, |reading| {
                *last = Some(reading);
                *news = true;
            });
            run.glance(places.red, run.time(), f64::INFINITY, &mut it.red);
            it.most_amps = it.most_amps.max(it.red.pins[0].amps.abs());
        }
    }

    /// What the meters have measured, where that is new or has settled.
    pub fn tell(&mut self, run: &Run) -> Option<Vec<Measurement>> {
        if !std::mem::take(&mut self.news) {
            return None;
        }
        let melted = |part: PartIx| run.memories()[part.0].burnt;
        let mut found = Vec::with_capacity(self.all.len());
        for (it, places) in self.all.iter_mut().zip(&self.wired.meters) {
            // Before the first reading is made it shows what stands there at this moment.
            let reading = it.last.clone().unwrap_or_else(|| it.watch.now(run, &it.meter));
            found.push(Measurement {
                readings: vec![reading],
                small_fuse_whole: it.meter.small_fuse_whole && !melted(places.small_fuse),
                large_fuse_whole: it.meter.large_fuse_whole && !melted(places.large_fuse),
                most_amps: it.most_amps,
                swing: it.watch.swing(),
                complete: true,
            });
        }
        let told: Vec<String> = found.iter().map(|it| it.last().shown.clone()).collect();
        self.times = if told == self.told { self.times + 1 } else { 1 };
        self.told = told;
        let melts = self.all.iter().zip(&found).any(|(it, found)| {
            it.meter.small_fuse_whole != found.small_fuse_whole
                || it.meter.large_fuse_whole != found.large_fuse_whole
        });
        (self.times <= TELLINGS || melts).then_some(found)
    }

    /// Whether a continuity test sounds.
    pub fn sound(&self) -> bool {
        self.all.iter().any(|it| {
            let ohms = it.last.as_ref().and_then(|reading| reading.value);
            it.meter.dial == Dial::Continuity && ohms.is_some_and(|ohms| ohms < SOUNDS_BELOW_OHMS)
        })
    }

    /// What the bench without its meters would say of itself.
    pub fn own(&self, bench: &Bench, point: OperatingPoint) -> OperatingPoint {
        if self.all.is_empty() { point } else { self.wired.own(bench, point) }
    }
}
