//! How fast this machine is today: two fixed pieces of work, unthrottled. Machines of one kind differ by two
//! from day to day; budgets of time are scaled by these, so that they mean the same everywhere.

use halfrow_browser::browser::Browser;
use halfrow_browser::wire::Result;

use super::{measuring_page, numbers, quantile};
use crate::tools::say;

/// Microseconds of the dense LU in a browser where the budgets hold.
const LU_MICROS: f64 = 33.0;

/// Milliseconds of [`DOM_WORK`] in the browser of such a machine: measured beside the LU on several days, as
/// the mean of their ratio times [`LU_MICROS`].
const DOM_MILLIS: f64 = 20.0;

/// A thousand shapes with eight attributes are made, laid out, changed, laid out again and taken away.
const DOM_WORK: &str = "(() => { const space = 'http://www.w3.org/2000/svg'; \
     const make = (name, of) => { const it = document.createElementNS(space, name); \
       for (const [key, value] of Object.entries(of)) it.setAttribute(key, value); return it; }; \
     const once = () => { const from = performance.now(); \
       const svg = make('svg', { width: 800, height: 600, viewBox: '0 0 800 600' }); \
       for (let i = 0; i < 1000; i++) { const g = make('g', { transform: `translate(${i % 40 * 20} ${i / 40 * 20})` }); \
         g.append(make(i % 5 ? 'rect' : 'path', { x: 1, y: 1, width: 9, height: 9, rx: 2, d: 'M0 0L9 9', fill: '#888', stroke: '#111' })); \
         svg.append(g); } \
       document.body.append(svg); svg.getBBox(); \
       svg.querySelectorAll('g').forEach((g, i) => { g.setAttribute('transform', `translate(${i} 5)`); g.firstChild.setAttribute('fill', '#456'); }); \
       svg.getBBox(); svg.remove(); return performance.now() - from; }; \
     const all = []; for (let i = 0; i < 40; i++) all.push(once()); return all; })()";

/// By how much budgets of time are scaled here: 1 where they hold as they stand.
#[derive(Clone, Copy, Debug)]
pub struct Speed {
    /// For what only computes.
    pub computes: f64,
    /// For what draws too: the mean of the scales for computing and for the DOM.
    pub draws: f64,
}

/// Times both.
pub fn measure(browser: &mut Browser, address: &str) -> Result<Speed> {
    let mut page = measuring_page(browser, &format!("{address}?measure"))?;
    let times = page.evaluate("Array.from({ length: 100 }, () => halfrow_measure.lu60())")?;
    // The first are from before the module is compiled for speed.
    let lu = quantile(numbers(&times).split_off(50), 0.5);
    page.open("about:blank")?;
    let dom = quantile(numbers(&page.evaluate(DOM_WORK)?).split_off(10), 0.5);
    page.close()?;
    let (computes, changes) = (lu / LU_MICROS, dom / DOM_MILLIS);
    let speed = Speed { computes, draws: 0.5 * (computes + changes) };
    say(&format!(
        "references: dense LU of 60 in the browser {lu:.1} us (budgets: {LU_MICROS}), a thousand shapes {dom:.1} ms \
         ({DOM_MILLIS}): what computes may take {computes:.2} times its budget, what draws {:.2} times",
        speed.draws
    ));
    Ok(speed)
}
