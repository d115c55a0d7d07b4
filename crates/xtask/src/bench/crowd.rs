//! The most that a page has to bear: three hundred parts thrown at boards by chance, and buttons that are held
//! while the clock runs.

use std::time::Duration;

use halfrow_browser::board::BOARD;
use halfrow_browser::browser::Browser;
use halfrow_browser::page::Page;
use halfrow_browser::trace::Note;
use halfrow_browser::wire::{Result, Trouble};
use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::card::Footprint;
use halfrow_draw::layout;

use super::drag::{self, Stage};
use super::{measuring_page, numbers};
use crate::tools::say;

/// Seconds for which a button is held.
const HELD_SECONDS: f64 = 2.0;

/// A bench of as many parts as there may be, of all kinds, on four full boards. The same each time.
fn three_hundred() -> Result<Bench> {
    let link = super::thrown(&["crowd"])?;
    halfrow_file::link::decode(link.trim()).map_err(|error| Trouble(error.to_string()))
}

/// The longest piece of work of the main thread that nothing could interrupt, milliseconds.
fn longest(notes: &[Note]) -> f64 {
    let tasks = notes.iter().filter(|it| it.name.ends_with("RunTask"));
    tasks.map(|it| it.worked).fold(0.0, f64::max)
}

/// The longest task when three hundred parts are opened, and when a leg of one of them is dragged and dropped.
pub fn longest_tasks(browser: &mut Browser, address: &str) -> Result<[f64; 2]> {
    let bench = three_hundred()?;
    let mut page = measuring_page(browser, &format!("{address}?measure"))?;
    page.begin_notes()?;
    page.open("about:blank")?;
    page.open(&format!("{address}{}", halfrow_file::link::encode(&bench)))?;
    page.wait_until_live()?;
    page.rest(Duration::from_secs(3))?;
    // The notes are told apart by what the pointer does.
    page.hover(500.0, 300.0)?;
    let start = longest(&page.end_notes()?);
    page.close()?;
    let edit = longest(&drag::notes(browser, address, &Stage::of("300 parts", bench))?);
    say(&format!("300 parts: the longest task at the start {start:.1} ms, at an edit {edit:.1} ms"));
    Ok([start, edit])
}

/// The fewest frames a second, over all examples with a button, while that is held on a processor so many times
/// as slow.
pub fn fewest_frames(browser: &mut Browser, address: &str, slower: f64) -> Result<f64> {
    let mut fewest = (f64::INFINITY, String::new());
    for name in super::examples()? {
        let example =
            halfrow_file::examples::find(&name).ok_or_else(|| Trouble(format!("no example {name}")))?;
        let bench = halfrow_file::read(example.text()).map_err(|error| Trouble(error.to_string()))?;
        let Some(button) = bench.parts.iter().position(|it| it.card.param("pressed").is_some()) else {
            continue;
        };
        let frames = held(browser, &format!("{address}?measure&example={name}"), &bench, button, slower)?;
        if frames < fewest.0 {
            fewest = (frames, name);
        }
    }
    say(&format!("the fewest frames while a button is held: {:.1} a second, {}", fewest.0, fewest.1));
    Ok(fewest.0)
}

fn held(browser: &mut Browser, address: &str, bench: &Bench, button: usize, slower: f64) -> Result<f64> {
    debug_assert!(matches!(bench.parts[button].card.footprint, Footprint::Rigid { .. }));
    let mut page: Page = measuring_page(browser, address)?;
    let at = layout::centre(bench, PartIx(button));
    let (x, y) = page.point_in(BOARD, f64::from(at.x), f64::from(at.y))?;
    page.rest(Duration::from_secs(1))?;
    page.throttle(slower)?;
    page.hold(x, y)?;
    page.rest(Duration::from_millis(500))?;
    let frames = page.evaluate(&format!(
        "new Promise((done) => {{ const from = performance.now(); let count = 0; \
         const frame = () => {{ count++; const passed = performance.now() - from; \
           if (passed > {}) done([count * 1000 / passed]); else requestAnimationFrame(frame); }}; \
         requestAnimationFrame(frame); }})",
        HELD_SECONDS * 1000.0
    ))?;
    page.release(x, y)?;
    page.throttle(1.0)?;
    page.close()?;
    numbers(&frames).first().copied().ok_or_else(|| Trouble("no frames were counted".into()))
}
