//! The clock of the bench: frame by frame it lets simulated time follow real time, as far as the
//! machine can, and tells the page what an eye would notice.

use std::cell::{Cell, RefCell};
use std::pin::Pin;
use std::rc::Rc;

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::card::{Group, State};
use halfrow_core::readings::PartReading;
use halfrow_core::time::portions::portion;
use halfrow_core::time::{Care, Run};
use halfrow_draw::scene;
use halfrow_instruments::wired;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use yew::prelude::*;

use crate::model::clock::{Clock, Harm, Tick};
use crate::model::lamps::{self, Lamps};
use crate::model::state::{Action, Use};
use crate::run::lamps::Watch;
use crate::run::meters::Meters;
use crate::run::sound::set_tone;
use crate::run::traces::{Traces, with_traces};
use crate::run::watchers::watcher;
use crate::ui::hooks::use_once;
use crate::ui::page::Handle;
use crate::ui::spans::Span;

/// Milliseconds of each frame that the clock may take. A frame has 16.7; the rest is the page's and the
/// browser's. On a processor a sixth as fast a step too long by one chunk still fits into 50.
const FRAME_MS: f64 = 4.0;

/// Work after which a step that is hard to find lets go, in Newton iterations times unknowns: then the
/// time is looked at, and the step goes on in the next frame. Larger, and a frame of a crowded bench gets
/// long; smaller, and the looks cost.
const PORTION: u64 = 500;

/// Newton iterations between two looks at the time: about eight steps where all goes smoothly, one where
/// it doesn't. Fewer and the looks cost as much as the steps.
const CHUNK: u64 = 32;

/// How often a second of real time a lamp may be seen to blink: the limit on flashes of WCAG 2.2, 2.3.1.
/// What would blink more often is drawn steady.
const FLASHES: f64 = 3.0;

/// The longest real time that counts, seconds: a page that slept does not wake up and rush.
const LONGEST_FRAME: f64 = 0.1;

/// Milliseconds between two tellings of figures that change all the time.
const FIGURES_MS: f64 = 500.0;

/// Milliseconds between two tellings of what an eye sees.
const SIGHT_MS: f64 = 60.0;

/// Milliseconds between two writings of the time: ten a second look like running, and each costs the
/// browser as much as a dozen steps.
const TIME_MS: f64 = 100.0;

/// Milliseconds from one thing said to the next that the clock says by itself: a screen reader gets to
/// the end of a sentence.
const QUIET_MS: f64 = 1500.0;

/// Milliseconds between two looks whether lamps have settled.
const NEWS_MS: f64 = 250.0;

/// The tone of a continuity test, hertz; a choice within what small buzzers do.
const METER_HERTZ: f32 = 2000.0;

/// What an eye can tell of a part: its glow, its lamps' glow, how it turns, what it shows, whether it is
/// burnt.
type Sight = (u8, [u8; 8], i8, u64, bool);

/// What runs the clock.
struct Driver {
    run: Run,
    bench: Rc<Bench>,
    /// The meters that watch the run.
    meters: Meters,
    epoch: u32,
    steps: u32,
    replaced: u32,
    /// The simulated time that is shown.
    shown: f64,
    /// Simulated seconds of single steps that are still to be made.
    owed: f64,
    /// The simulated time that the figures were told of last.
    figures_of: f64,
    last_frame: Option<f64>,
    /// When the page was told last: of figures, of what is seen.
    told_figures: f64,
    told_sight: f64,
    told_time: f64,
    sight: Vec<Sight>,
    /// What is seen now.
    seen: Vec<Sight>,
    /// What each part that can change by itself does and reads.
    lively: Vec<Option<(State, PartReading)>>,
    /// The voltages that were told last.
    told_volts: Vec<f64>,
    /// The blinking that was told last.
    blinking: Vec<(PartIx, f64)>,
    harm: Harm,
    /// What the lamps do.
    lamps: Watch,
    /// How much had been said when that was last looked at, and since when, in milliseconds.
    said: (u32, f64),
    /// Share of the wanted speed over the last frames.
    pace: f64,
    /// The largest share of it of late: no lamp has blinked faster than that.
    swiftest: f64,
    /// How often a second of its own time a lamp is still drawn blinking.
    most: f64,
    /// What sounds loudest on the bench, hertz, and what the loudspeaker was told.
    tone: f32,
    played: f32,
}

thread_local! {
    /// The browser's clock, kept: it is asked some times a frame.
    static CLOCK: Option<web_sys::Performance> =
        web_sys::window().and_then(|window| window.performance());
}

/// Milliseconds by the browser's clock.
pub fn now() -> f64 {
    CLOCK.with(|clock| clock.as_ref().map_or(0.0, web_sys::Performance::now))
}

thread_local! {
    /// When this frame began, milliseconds.
    static BEGAN: Cell<f64> = const { Cell::new(0.0) };
    /// How many frames what goes on has taken.
    static FRAMES: Cell<u32> = const { Cell::new(0) };
}

/// Whether the clock has had its share of this frame.
fn is_over() -> bool {
    now() - BEGAN.get() > FRAME_MS
}

/// What the clock does in one frame or, where a step is hard to find, in several.
type Work = Pin<Box<dyn Future<Output = (Box<Driver>, Passed)>>>;

/// What has come of that.
struct Passed {
    /// Whether something was done to the bench.
    changed: bool,
    /// The simulated time that was shown before.
    before: f64,
    /// When it began, by the browser's clock.
    at: f64,
}

impl Driver {
    async fn new(bench: Rc<Bench>, clock: &Clock) -> Driver {
        let wired = wired(&bench);
        let run = Run::new_in_portions(&wired.bench, Care::LIVE, PORTION).await;
        Driver {
            meters: Meters::new(&bench, &run, &wired),
            run,
            bench,
            epoch: clock.epoch,
            steps: clock.steps,
            replaced: clock.replaced.as_ref().map_or(0, |it| it.0),
            shown: 0.0,
            owed: 0.0,
            // Of no time yet: also a clock that begins paused is told of.
            figures_of: f64::NAN,
            last_frame: None,
            told_figures: f64::NEG_INFINITY,
            told_sight: f64::NEG_INFINITY,
            told_time: f64::NEG_INFINITY,
            sight: Vec::new(),
            seen: Vec::new(),
            lively: Vec::new(),
            told_volts: Vec::new(),
            blinking: Vec::new(),
            harm: Harm::default(),
            lamps: Watch::default(),
            said: (0, f64::NEG_INFINITY),
            pace: 1.0,
            swiftest: 1.0,
            most: FLASHES,
            tone: 0.0,
            played: 0.0,
        }
    }

    /// Takes over what was done to the bench since the last frame.
    async fn follow(&mut self, page: &Handle) -> bool {
        let clock = &page.state.clock;
        let bench = &page.state.document.solved.bench;
        let mut changed = false;
        if clock.epoch != self.epoch {
            set_tone(0.0);
            *self = Driver::new(bench.clone(), clock).await;
            with_traces(Traces::clear);
            changed = true;
        } else if !Rc::ptr_eq(bench, &self.bench) {
            self.run.rewind_in_portions(self.shown).await;
            let wired = wired(bench);
            self.run.set_bench_in_portions(&wired.bench).await;
            for fuse in self.meters.made_whole(bench, &wired) {
                if self.run.memories()[fuse.0].burnt {
                    self.run.replace_in_portions(fuse).await;
                }
            }
            self.meters = Meters::new(bench, &self.run, &wired);
            self.lively.clear();
            self.bench = bench.clone();
            changed = true;
        }
        if let Some((count, id)) = &clock.replaced
            && *count != self.replaced
        {
            self.replaced = *count;
            if let Some(part) = self.bench.find(id) {
                self.run.rewind_in_portions(self.shown).await;
                self.run.replace_in_portions(part).await;
                changed = true;
            }
        }
        if changed {
            self.lamps.disturb();
        }
        changed
    }

    /// What has become of the lamps, where that has settled and is worth a word.
    fn news(&mut self, page: &Handle) -> Option<Lamps> {
        let (at, count) = (now(), page.state.speech.count);
        if count != self.said.0 {
            self.said = (count, at);
        }
        if at - self.said.1 < QUIET_MS {
            return None;
        }
        self.said.1 = at - QUIET_MS + NEWS_MS;
        let fast = |id: &str| {
            let of = |it: &&(PartIx, f64)| self.bench.part(it.0).id == id;
            self.blinking.iter().find(of).map(|it| it.1)
        };
        let rhythm = |id: &str| {
            let part = self.bench.parts.iter().position(|it| it.id == id)?;
            self.run.rhythm(PartIx(part))
        };
        let settled = self.lamps.settled((self.shown, at), fast, rhythm);
        let news = lamps::news(&mut page.state.speech.lamps.clone(), &settled);
        (!news.is_empty()).then_some(settled)
    }

    /// Lets the time of a frame pass.
    async fn pass(driver: Option<Box<Driver>>, page: Handle) -> (Box<Driver>, Passed) {
        let clock = &page.state.clock;
        let mut driver = match driver {
            Some(driver) => driver,
            None => Box::new(Driver::new(page.state.document.solved.bench.clone(), clock).await),
        };
        let passed = driver.go(&page).await;
        (driver, passed)
    }

    async fn go(&mut self, page: &Handle) -> Passed {
        let changed = self.follow(page).await;
        let clock = &page.state.clock;
        let at = now();
        let real = self.last_frame.map_or(0.0, |last| ((at - last) / 1000.0).clamp(0.0, LONGEST_FRAME));
        self.last_frame = Some(at);
        self.owed += f64::from(clock.steps.wrapping_sub(self.steps)) * clock.speed / 100.0;
        self.steps = clock.steps;
        let wanted = if clock.running { real * clock.speed } else { self.owed };
        let before = self.shown;
        if wanted > 0.0 {
            let there = self.advance(before + wanted).await;
            // A step that takes more than a frame goes on in the next one.
            let ends = clock.running || self.run.stalled().is_some();
            self.owed = if ends { 0.0 } else { before + wanted - self.shown };
            if clock.running {
                let share = (self.shown - before) / wanted;
                self.swiftest = swiftest(self.swiftest, share);
                let frames = f64::from(FRAMES.get());
                self.pace += (0.1 * frames).min(1.0) * (share / frames - self.pace);
                if there && self.pace > 0.95 {
                    self.pace = 1.0;
                }
            }
        }
        self.most = FLASHES / (clock.speed * self.swiftest);
        Passed { changed, before, at }
    }

    /// What there is to tell.
    fn tell(&mut self, Passed { changed, before, at }: Passed, speed: f64) -> Option<Tick> {
        let harm = Harm::of(&self.run);
        let hurt = harm != self.harm;
        self.harm.clone_from(&harm);
        // Where the clock has come to rest, what is shown must be of that moment.
        let at_rest = self.shown == before && self.shown != self.figures_of;
        let moved = self.shown != before && at - self.told_sight >= SIGHT_MS;
        if !changed && !hurt && !at_rest && !moved {
            return None;
        }
        // A bench on which nothing moves need not be told again; what sounds on it is looked up once.
        if !changed && !hurt && self.run.is_still() {
            if self.lively.is_empty() {
                self.look();
            }
            return None;
        }
        self.look();
        let blinking = self.run.blinking(self.shown, self.most);
        self.told_sight = at;
        let mut written = true;
        if self.run.is_timed() && (changed || at_rest || at - self.told_time >= TIME_MS) {
            self.told_time = at;
            written = show_time(self.shown, speed * self.pace);
        }
        let figures = changed || hurt || at_rest || at - self.told_figures >= FIGURES_MS;
        if !figures && self.changed_parts().next().is_none() && alike(&blinking, &self.blinking) {
            return None;
        }
        // Only the pictures of the parts that changed are drawn anew.
        for part in self.changed_parts() {
            self.tell_picture(part);
        }
        self.sight.clone_from(&self.seen);
        if !figures && alike(&blinking, &self.blinking) {
            return None;
        }
        let (point, blinking) = self.run.point_for_the_eye(self.shown, self.most);
        let point = self.meters.own(&self.bench, point);
        if figures {
            self.told_figures = at;
            // The first tick brings the clock to the page; the next one finds a place for the time.
            self.figures_of = if written { self.shown } else { f64::NAN };
        }
        let differs = |(now, told): (&f64, &f64)| (now - told).abs() > 1e-6 + 1e-4 * told.abs();
        let new_figures = self.run.is_timed()
            || point.node_volts.len() != self.told_volts.len()
            || point.node_volts.iter().zip(&self.told_volts).any(differs);
        if !(changed || hurt || (figures && new_figures) || !alike(&blinking, &self.blinking)) {
            return None;
        }
        self.told_volts.clone_from(&point.node_volts);
        self.blinking.clone_from(&blinking);
        Some(Tick {
            bench: self.bench.clone(),
            point: Rc::new(point),
            blinking,
            time: self.shown,
            timed: self.run.is_timed(),
            short_of: (self.pace < 0.9).then_some(self.pace),
            harm,
        })
    }

    /// Lets the run go on to a time, or as far as the frame allows.
    async fn advance(&mut self, target: f64) -> bool {
        loop {
            let worked = self.run.effort().iterations;
            while self.run.effort().iterations - worked < CHUNK {
                if self.run.time() >= target || self.run.stalled().is_some() {
                    self.shown =
                        if self.run.stalled().is_some() { self.run.time().min(target) } else { target };
                    return true;
                }
                self.run.advance_in_portions().await;
                with_traces(|traces| traces.take_step(&self.run));
                self.meters.follow(&self.run);
            }
            if is_over() {
                self.shown = self.run.time().min(target);
                return false;
            }
        }
    }

    fn tell_picture(&self, part: PartIx) {
        let id = &self.bench.part(part).id;
        if let (Some(told), Some((state, reading))) = (watcher(id), &self.lively[part.0]) {
            told.emit(scene::looks_by(&self.bench, part, *state, reading));
        }
    }

    /// Looks at every part that can change by itself.
    fn look(&mut self) {
        if self.lively.len() != self.bench.parts.len() {
            self.lively = (0..self.bench.parts.len())
                .map(|part| {
                    let card = self.bench.parts[part].card;
                    let lively = card.acts.is_some() || matches!(card.group, Group::Light | Group::Move);
                    lively.then(|| (State::plain(""), self.run.blank_reading(PartIx(part))))
                })
                .collect();
            self.lamps.keep(|id| self.bench.find(id).is_some());
        }
        let (at, time) = (now(), self.shown);
        let steps = |glow: f32| (glow * 32.0).round() as u8;
        self.tone = 0.0;
        self.seen.clear();
        for (part, reading) in self.lively.iter_mut().enumerate() {
            let memory = self.run.memories()[part];
            let Some((state, reading)) = reading else {
                self.seen.push((0, [0; 8], 0, 0, memory.burnt));
                continue;
            };
            *state = self.run.glance(PartIx(part), self.shown, self.most, reading);
            self.tone = self.tone.max(state.tone);
            let it = &self.bench.parts[part];
            if it.card.group == Group::Light {
                self.lamps.look(&it.id, if memory.burnt { "burnt out" } else { state.word }, (time, at));
            }
            let spin = state.spin.clamp(-20.0, 20.0) as i8;
            // A chip shows nothing of what it does.
            let shown = if self.bench.parts[part].card.chip { 0 } else { memory.shown };
            self.seen.push((steps(state.glow), state.lights.map(steps), spin, shown, memory.burnt));
        }
    }

    /// The parts that look different from what was told last.
    fn changed_parts(&self) -> impl Iterator<Item = PartIx> {
        let told = self.seen.iter().zip(&self.sight).enumerate();
        told.filter(|(_, (now, was))| now != was).map(|(part, _)| PartIx(part))
    }

    /// Tells the loudspeaker, where the reader has turned it on. What has a clock is silent while that
    /// stands.
    fn sound(&mut self, running: bool) {
        let stands = self.run.stalled().is_some() || (self.run.is_timed() && !running);
        let tone = if stands { 0.0 } else { self.tone };
        // A meter sounds by itself, whatever the bench does.
        let tone = if self.meters.sound() { METER_HERTZ } else { tone };
        if (tone - self.played).abs() > 0.01 * self.played {
            self.played = tone;
            set_tone(tone);
        }
    }
}

/// The largest share of the wanted speed of late, after one more: it rises at once, since a machine that
/// catches up makes lamps blink faster at once, and falls by half in some twenty frames, so that lamps
/// that a slow machine slows down are seen blinking.
fn swiftest(before: f64, share: f64) -> f64 {
    share.max(0.97 * before)
}

/// Whether the same parts blink about as often: what is written beside them is the same to an eye.
fn alike(now: &[(PartIx, f64)], told: &[(PartIx, f64)]) -> bool {
    let same = |(now, told): (&(PartIx, f64), &(PartIx, f64))| {
        now.0 == told.0 && (now.1 - told.1).abs() < 0.02 * told.1
    };
    now.len() == told.len() && now.iter().zip(told).all(same)
}

/// The time since the power came on, with as many decimals as a single step at this speed is seen by.
fn time_words(seconds: f64, speed: f64) -> String {
    let (mut step, mut decimals) = (speed / 10.0, 1);
    while step < 0.999 && decimals < 12 {
        (step, decimals) = (10.0 * step, decimals + 1);
    }
    format!("{seconds:.decimals$} s")
}

/// Writes the time beside the clock's controls: many times a second, past yew, which writes nothing
/// there. Says whether the place for it is there.
fn show_time(seconds: f64, speed: f64) -> bool {
    let document = web_sys::window().and_then(|window| window.document());
    let place = document.and_then(|document| document.get_element_by_id("clock-time"));
    place.is_some_and(|place| {
        place.set_text_content(Some(&time_words(seconds, speed)));
        true
    })
}

/// What is called at each frame, which asks for the next one itself.
type Frame = RefCell<Option<Closure<dyn FnMut()>>>;

/// Runs the clock while the page is there.
#[hook]
pub fn use_clock(page: Handle) {
    let latest = use_mut_ref(|| page.clone());
    *latest.borrow_mut() = page;
    use_once(Box::new(move || {
        let mut driver: Option<Box<Driver>> = None;
        let mut going: Option<Work> = None;
        // The bench that the last frame found, and whether the clock left that frame to it.
        let (mut found, mut left) = (None::<Rc<Bench>>, false);
        let again: Rc<Frame> = Rc::default();
        let ask = {
            let again = again.clone();
            move || {
                if let (Some(window), Some(frame)) = (web_sys::window(), &*again.borrow()) {
                    let _ = window.request_animation_frame(frame.as_ref().unchecked_ref());
                }
            }
        };
        let frame = {
            let ask = ask.clone();
            Closure::<dyn FnMut()>::new(move || {
                let page = latest.borrow().clone();
                let bench = &page.state.document.solved.bench;
                let changed = found.as_ref().is_some_and(|before| !Rc::ptr_eq(before, bench));
                found = Some(bench.clone());
                // A bench that has just been changed is drawn first; the clock takes it up in the next frame,
                // also where each frame finds another one.
                left = changed && !left;
                if left {
                    ask();
                    return;
                }
                let _span = Span::new("clock");
                BEGAN.set(now());
                FRAMES.set(if going.is_none() { 1 } else { FRAMES.get() + 1 });
                let mut work =
                    going.take().unwrap_or_else(|| Box::pin(Driver::pass(driver.take(), page.clone())));
                let done = loop {
                    let done = portion(work.as_mut());
                    if done.is_some() || is_over() {
                        break done;
                    }
                };
                match done {
                    Some((mut it, passed)) => {
                        if let Some(tick) = it.tell(passed, page.state.clock.speed) {
                            page.dispatch(Action::Tick(Rc::new(tick)));
                        }
                        if let Some(found) = it.meters.tell(&it.run) {
                            page.dispatch(Action::Meter(Use::Read(it.bench.clone(), Rc::new(found))));
                        }
                        it.sound(page.state.clock.running);
                        if let Some(lamps) = it.news(&page) {
                            page.dispatch(Action::Lamps(lamps));
                        }
                        driver = Some(it);
                    }
                    None => going = Some(work),
                }
                ask();
            })
        };
        *again.borrow_mut() = Some(frame);
        ask();
    }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::clock::SPEEDS;

    #[test]
    fn a_single_step_is_seen_in_the_time_at_each_speed() {
        for speed in SPEEDS {
            for seconds in [0.0, 0.5, 46.2, 3599.9] {
                let (now, next) = (time_words(seconds, speed), time_words(seconds + speed / 100.0, speed));
                assert_ne!(now, next, "{speed}");
                assert!(next.len() <= "3600.00000 s".len(), "{next}");
            }
        }
        assert_eq!(time_words(46.2, 1.0), "46.20 s");
        assert_eq!(time_words(46.2, 0.01), "46.2000 s");
    }

    #[test]
    fn a_lamp_on_a_slow_machine_is_seen_after_a_while_and_steady_at_once_when_it_catches_up() {
        let mut share = 1.0;
        for _ in 0..120 {
            share = swiftest(share, 0.01);
        }
        assert!(share < 0.03, "{share}");
        assert_eq!(swiftest(share, 0.8), 0.8);
    }
}
