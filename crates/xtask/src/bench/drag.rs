//! A leg dragged by a real pointer, from hole to hole and back, on the benches where it costs most.
//!
//! Measured is the work of the page's main thread from when it is told of a move or of the button that is
//! let go, until it has handed over the frame after that: by the thread's own clock, which stands while
//! other processes have the processor. What it waits for the next refresh of the screen is no work.

use std::collections::BTreeMap;
use std::time::Duration;

use halfrow_browser::board::BOARD;
use halfrow_browser::browser::Browser;
use halfrow_browser::page::Page;
use halfrow_browser::trace::Note;
use halfrow_browser::wire::{Result, Trouble};
use halfrow_core::bench::{Bench, LegId};
use halfrow_core::board::Hole;
use halfrow_core::sample::sixty_parts;
use halfrow_core::solve::solve;
use halfrow_draw::layout;

use super::quantile;
use crate::tools::say;

/// How often a leg goes there and back: the 95th percentile of drops stands on the second worst of this many.
const RIDES: usize = 12;

/// Moves of one drag: a hand gives more, but not more to other holes.
const MOVES: u32 = 10;

/// What a frame does once the page has let go of it, by the browser's names.
const BROWSER: [&str; 6] = ["UpdateLayoutTree", "Layout", "PrePaint", "Paint", "Layerize", "Commit"];

/// Lets `dropSpans` grow by what the page's own kinds of work took from a drop to its frame, milliseconds.
const NOTE_DROPS: &str = "window.dropSpans = []; window.addEventListener('pointerup', () => { \
     halfrow_measure.spans(); \
     requestAnimationFrame(() => setTimeout(() => dropSpans.push(halfrow_measure.spans()), 0)); }, true)";

/// Lets `dropChanges` grow by what a drop changed in the page until its frame: for each of its regions the
/// attributes set, elements made (with what is in them), elements taken away and texts changed.
const NOTE_CHANGES: &str = "window.dropChanges = []; { \
     const regions = ['.board', '.grid', '.panel', '.strip', '.drawer', '.head', '.foot', 'body']; \
     const region = (node) => { const at = node.nodeType === 1 ? node : node.parentElement; \
       const layer = at?.closest('#all-on-board > *'); \
       if (layer) return 'board, layer ' + [...layer.parentElement.children].indexOf(layer); \
       return regions.find((it) => at?.closest(it)) ?? 'gone'; }; \
     const size = (node) => node.nodeType === 1 ? 1 + node.querySelectorAll('*').length : 0; \
     const count = (records) => { const all = {}; for (const it of records) { \
       const own = all[region(it.target)] ??= [0, 0, 0, 0]; \
       if (it.type === 'attributes') own[0] += 1; else if (it.type === 'characterData') own[3] += 1; \
       else { for (const node of it.addedNodes) own[1] += size(node); for (const node of it.removedNodes) own[2] += size(node); } } \
       return all; }; \
     const seen = []; \
     const eyeAll = new MutationObserver((records) => seen.push(...records)); \
     eyeAll.observe(document.body, { subtree: true, childList: true, attributes: true, characterData: true }); \
     window.addEventListener('pointerup', () => { seen.length = 0; eyeAll.takeRecords(); \
       requestAnimationFrame(() => setTimeout(() => { seen.push(...eyeAll.takeRecords()); dropChanges.push(count(seen)); seen.length = 0; }, 0)); }, true); }";

/// A bench to drag on.
pub struct Stage {
    /// What it is called in the table.
    pub name: &'static str,
    /// The part of the address that opens it.
    pub address: String,
    /// Whether nothing on it changes by itself.
    pub rests: bool,
    bench: Bench,
}

impl Stage {
    /// A bench of any other kind.
    pub fn of(name: &'static str, bench: Bench) -> Stage {
        let address = format!("?measure{}", halfrow_file::link::encode(&bench));
        Stage { name, address, rests: false, bench }
    }
}

/// Milliseconds of work.
pub struct Drags {
    /// Of each move to another hole.
    pub moves: Vec<f64>,
    /// Of each leg that was dropped.
    pub drops: Vec<f64>,
    /// The same by the clock on the wall.
    wall: [Vec<f64>; 2],
    /// The means of what drops went to.
    shares: Vec<(String, f64)>,
}

/// The benches: chips whose clock runs, and a crowded one at rest.
pub fn stages() -> Result<Vec<Stage>> {
    let example = |name: &'static str, slug: &str| {
        let example =
            halfrow_file::examples::find(slug).ok_or_else(|| Trouble(format!("no example {slug}")))?;
        let bench = halfrow_file::read(example.text()).map_err(|error| Trouble(error.to_string()))?;
        Ok(Stage { name, address: format!("?measure&example={slug}"), rests: false, bench })
    };
    let crowded = sixty_parts();
    Ok(vec![
        example("dice", "dice")?,
        example("traffic light", "traffic-light")?,
        Stage {
            name: "60 parts at rest",
            address: format!("?measure{}", halfrow_file::link::encode(&crowded)),
            rests: true,
            bench: crowded,
        },
    ])
}

/// A leg in its hole and another hole that it can go to: of the parts that carry a current the one that
/// carries least, so that the bench goes on working without it; as far away as it goes.
fn ride(bench: &Bench) -> Option<(Hole, Hole)> {
    let point = solve(bench);
    let loose = |leg: LegId| !bench.part(leg.part).is_rigid() && !layout::is_off_board(bench, leg.part);
    let mut legs: Vec<(f64, LegId, Hole)> = bench
        .legs()
        .filter_map(|(id, leg)| Some((point.part(id.part).largest_amps(), id, leg.hole?)))
        .filter(|&(amps, id, _)| amps > 1e-5 && loose(id))
        .collect();
    legs.sort_by(|a, b| a.0.total_cmp(&b.0));
    legs.into_iter().find_map(|(_, id, from)| {
        let start = layout::hole(bench, from)?;
        let fits = |hole: &Hole| {
            let at = layout::hole(bench, *hole).map_or(0.0, |at| at.distance(start));
            (120.0..=240.0).contains(&at) && bench.clone().put_leg(id, Some(*hole)).is_ok()
        };
        let holes =
            bench.boards[0].holes(0).filter(|hole| hole.row().is_some() && bench.occupant(*hole).is_none());
        Some((from, holes.into_iter().find(fits)?))
    })
}

/// What the browser notes while a leg of this bench is dragged there and back.
pub fn notes(browser: &mut Browser, address: &str, stage: &Stage) -> Result<Vec<Note>> {
    let (mut page, ends) = ready(browser, address, stage)?;
    page.begin_notes()?;
    for _ in 0..3 {
        drag(&mut page, ends, 1.0)?;
        drag(&mut page, [ends[1], ends[0]], 1.0)?;
        page.rest(Duration::from_secs(1))?;
    }
    let notes = page.end_notes()?;
    page.close()?;
    Ok(notes)
}

/// A page with this bench, and where in the window the leg stands and where it goes.
fn ready(browser: &mut Browser, address: &str, stage: &Stage) -> Result<(Page, [(f64, f64); 2])> {
    let (from, to) =
        ride(&stage.bench).ok_or_else(|| Trouble(format!("no leg to drag on {}", stage.name)))?;
    let mut page = super::measuring_page(browser, &format!("{address}{}", stage.address))?;
    let place = |page: &mut Page, hole: Hole| {
        let at = layout::hole(&stage.bench, hole).ok_or_else(|| Trouble(format!("no hole {hole}")))?;
        page.point_in(BOARD, f64::from(at.x), f64::from(at.y))
    };
    let ends = [place(&mut page, from)?, place(&mut page, to)?];
    // Once unhurried, so that the module is compiled for speed.
    for _ in 0..3 {
        drag(&mut page, ends, 1.0)?;
        drag(&mut page, [ends[1], ends[0]], 1.0)?;
    }
    Ok((page, ends))
}

/// Drags a leg of this bench there and back, on a processor so many times as slow.
pub fn measure(browser: &mut Browser, address: &str, stage: &Stage, slower: f64) -> Result<Drags> {
    let (mut page, ends) = ready(browser, address, stage)?;
    page.throttle(slower)?;
    page.evaluate(NOTE_DROPS)?;
    page.evaluate(NOTE_CHANGES)?;
    page.begin_notes()?;
    for _ in 0..RIDES {
        drag(&mut page, ends, slower)?;
        drag(&mut page, [ends[1], ends[0]], slower)?;
    }
    let notes = page.end_notes()?;
    page.throttle(1.0)?;
    let spans = page.evaluate("dropSpans")?;
    let changes = page.evaluate("dropChanges")?;
    page.close()?;
    let drags = Drags::of(&notes, &spans)?;
    drags.tell(stage, slower);
    if slower == 1.0 {
        tell_changes(&changes);
    }
    Ok(drags)
}

/// Says what a drop changed, the mean for each region of the page.
fn tell_changes(changes: &serde_json::Value) {
    let drops: Vec<_> = changes.as_array().into_iter().flatten().filter_map(|it| it.as_object()).collect();
    let mut sums: BTreeMap<&str, [f64; 4]> = BTreeMap::new();
    for (region, counts) in drops.iter().copied().flatten() {
        let sum = sums.entry(region).or_default();
        for (place, count) in counts.as_array().into_iter().flatten().take(4).enumerate() {
            sum[place] += count.as_f64().unwrap_or(0.0) / drops.len() as f64;
        }
    }
    for (region, [set, made, gone, texts]) in sums {
        say(&format!(
            "    {region}: {set:.0} attributes set, {made:.0} elements made, {gone:.0} taken away, {texts:.0} texts changed"
        ));
    }
}

/// Lets the browser look at what is at work in drops alone.
pub fn profile(browser: &mut Browser, address: &str, stage: &Stage) -> Result {
    let (mut page, [from, to]) = ready(browser, address, stage)?;
    let mut sums: BTreeMap<String, [f64; 2]> = BTreeMap::new();
    let pause = Duration::from_millis(50);
    for ride in 0..2 * RIDES {
        let [from, to] = if ride % 2 == 0 { [from, to] } else { [to, from] };
        page.hold(from.0, from.1)?;
        page.rest(pause)?;
        for part in [0.3, 0.7, 1.0] {
            page.carry(from.0 + (to.0 - from.0) * part, from.1 + (to.1 - from.1) * part)?;
            page.rest(pause)?;
        }
        page.begin_profile()?;
        page.release(to.0, to.1)?;
        page.rest(Duration::from_millis(17))?;
        for (name, own, within) in page.end_profile()? {
            let sum = sums.entry(name).or_default();
            sum[0] += own / (2 * RIDES) as f64;
            sum[1] += within / (2 * RIDES) as f64;
        }
        page.rest(4 * pause)?;
    }
    page.close()?;
    let mut sums: Vec<_> = sums.into_iter().collect();
    sums.sort_by(|a, b| b.1[1].total_cmp(&a.1[1]));
    say(&format!("{}: at work in a drop, with what it calls / itself, per cent", stage.name));
    for (name, [own, within]) in sums.iter().take(60) {
        say(&format!(
            "    {:5.1} {:5.1} {}",
            100.0 * within,
            100.0 * own,
            name.chars().take(160).collect::<String>()
        ));
    }
    Ok(())
}

/// One drag, with time for a frame after each event.
fn drag(page: &mut Page, [from, to]: [(f64, f64); 2], slower: f64) -> Result {
    // Longer, and the measuring takes longer; shorter, and two moves come into one frame.
    let pause = Duration::from_millis(if slower > 1.0 { 130 } else { 50 });
    let then = |page: &mut Page| page.rest(pause);
    page.hold(from.0, from.1)?;
    then(page)?;
    for step in 1..=MOVES {
        let part = f64::from(step) / f64::from(MOVES);
        page.carry(from.0 + (to.0 - from.0) * part, from.1 + (to.1 - from.1) * part)?;
        then(page)?;
    }
    page.release(to.0, to.1)?;
    then(page)?;
    // What follows a drop in later frames is over before the next one.
    page.rest(4 * pause)
}

impl Drags {
    fn of(notes: &[Note], spans: &serde_json::Value) -> Result<Drags> {
        let of_pointer = |note: &&Note| {
            note.name == "EventDispatch" && ["pointermove", "pointerup"].contains(&note.kind.as_str())
        };
        let events: Vec<&Note> = notes.iter().filter(of_pointer).collect();
        let mut drags = Drags {
            moves: Vec::new(),
            drops: Vec::new(),
            wall: [Vec::new(), Vec::new()],
            shares: Vec::new(),
        };
        let mut shares = [0.0; BROWSER.len()];
        let (mut told, mut all) = (0.0, 0.0);
        for (place, event) in events.iter().enumerate() {
            let next = events.get(place + 1).map_or(f64::INFINITY, |next| next.at);
            let frame = notes.iter().find(|it| it.name == "Commit" && it.at > event.at && it.at < next);
            let drop = event.kind == "pointerup";
            // A move within a hole changes nothing and leads to no frame.
            let Some(frame) = frame else { continue };
            let work = frame.worked_end() - event.worked_at;
            (if drop { &mut drags.drops } else { &mut drags.moves }).push(work);
            drags.wall[usize::from(drop)].push(frame.end() - event.at);
            if drop {
                all += work;
                told += event.worked;
                let within = notes.iter().filter(|it| it.at >= event.at && it.end() <= frame.end());
                for it in within {
                    if let Some(kind) = BROWSER.iter().position(|name| *name == it.name) {
                        shares[kind] += it.worked;
                    }
                }
            }
        }
        if drags.drops.len() < RIDES || drags.moves.len() < 4 * RIDES {
            return Err(Trouble(format!("{} moves, {} drops", drags.moves.len(), drags.drops.len())));
        }
        let count = drags.drops.len() as f64;
        drags.shares.push(("all".to_owned(), all / count));
        drags.shares.push(("told of it".to_owned(), told / count));
        for (name, sum) in BROWSER.iter().zip(shares) {
            drags.shares.push(((*name).to_owned(), sum / count));
        }
        for name in ["act", "draw", "clock", "judge"] {
            let all = spans.as_array().into_iter().flatten();
            let sum: f64 = all.map(|it| it[name].as_f64().unwrap_or(0.0)).sum();
            drags.shares.push((name.to_owned(), sum / count));
        }
        Ok(drags)
    }

    fn tell(&self, stage: &Stage, slower: f64) {
        let pair = |times: &Vec<f64>| {
            format!("{:.1} / {:.1}", quantile(times.clone(), 0.5), quantile(times.clone(), 0.95))
        };
        say(&format!(
            "{}, {slower} times slower: {} moves {} ms ({} by the wall), {} drops {} ms ({}), median / p95",
            stage.name,
            self.moves.len(),
            pair(&self.moves),
            pair(&self.wall[0]),
            self.drops.len(),
            pair(&self.drops),
            pair(&self.wall[1]),
        ));
        let shares: Vec<String> = self.shares.iter().map(|(name, ms)| format!("{name} {ms:.2}")).collect();
        say(&format!("  of a drop, ms: {}", shares.join(", ")));
    }
}
