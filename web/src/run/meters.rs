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
    /// Whether the page was told that the small or the large fuse has melted.
    told_of: [bool; 2],
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
            told_of: [false; 2],
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
        let tells = self.times <= TELLINGS || melts;
        for (it, found) in self.all.iter_mut().zip(&found).filter(|_| tells) {
            it.told_of[0] |= it.meter.small_fuse_whole && !found.small_fuse_whole;
            it.told_of[1] |= it.meter.large_fuse_whole && !found.large_fuse_whole;
        }
        tells.then_some(found)
    }

    /// The fuses of the bench that comes next which the run still takes for melted although the page, which
    /// was told of it, has them whole: a step back that was faster than the run.
    pub fn made_whole(&self, next: &Bench, wired: &Wired) -> Vec<PartIx> {
        let meters = self.all.iter().zip(&next.meters).zip(&wired.meters);
        let fuses = meters.flat_map(|((it, now), places)| {
            let small = (it.told_of[0] && now.small_fuse_whole).then_some(places.small_fuse);
            let large = (it.told_of[1] && now.large_fuse_whole).then_some(places.large_fuse);
            small.into_iter().chain(large)
        });
        fuses.collect()
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

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::meter::Touch;
    use halfrow_core::time::Care;
    use halfrow_instruments::wired;

    #[test]
    fn a_step_back_that_is_faster_than_the_run_has_its_fuse_whole() {
        let example = halfrow_file::examples::find("measure-lighthouse").unwrap();
        let off = halfrow_file::read(example.text()).unwrap();
        let mut short = off.clone();
        let tip = |word| Touch::parse(&short, word).unwrap();
        (short.meters[0].red.tip, short.meters[0].black.tip) = (tip("BT1.+"), tip("BT1.-"));
        short.meters[0].dial = Dial::Dc200Ma;
        let wired_short = wired(&short);
        let mut run = Run::new(&wired_short.bench, Care::LIVE);
        let mut meters = Meters::new(&short, &run, &wired_short);
        let mut told = None;
        while run.time() < 3.0 && told.is_none() {
            run.advance();
            meters.follow(&run);
            told = meters.tell(&run).filter(|found| !found[0].small_fuse_whole);
        }
        assert!(told.is_some());
        // The page's own bench says that it is whole again before the run has seen the blown one.
        let next = wired(&off);
        run.set_bench(&next.bench);
        let fuses = meters.made_whole(&off, &next);
        assert_eq!(fuses, [next.meters[0].small_fuse]);
        assert!(run.memories()[fuses[0].0].burnt);
        run.replace(fuses[0]);
        assert!(!run.memories()[fuses[0].0].burnt);
        // A bench on which it is blown has another fuse, and nothing is made whole.
        let mut blown = short.clone();
        blown.meters[0].small_fuse_whole = false;
        assert_eq!(meters.made_whole(&blown, &wired(&blown)), []);
    }
}
