//! A headless Chromium at the built page, used as a hand would: what the end-to-end tests, pictures and
//! measurements stand on.
//!
//! Start with [`visit::Visit`], which puts all together:
//!
//! ```no_run
//! # use halfrow_browser::{visit::Visit, wire::Result};
//! # fn main() -> Result {
//! let mut visit = Visit::at("?example=harbour-mouth")?; // server, browser, page, all live
//! let page = &mut visit.page;
//! page.click("#undo")?; // by CSS selector
//! page.click_in("svg.board", 230.0, 146.0)?; // by the drawing's own coordinates, at any zoom
//! page.keys("Tab ArrowDown Control+z")?;
//! page.wait_for("document.title.includes('Harbour mouth')")?;
//! assert_eq!(page.errors()?, [""; 0]);
//! visit.cut_network(); // from here on nothing can be fetched
//! # Ok(()) }
//! ```
//!
//! - [`page`]: open, read, wait, keys, fields, files. [`mod@pointer`]: click, drag, wheel, touch.
//! - [`watch`]: errors, requests, accessibility tree, axe-core, colours, throttling, screenshots,
//!   and the time from a pointer's move to the next picture.
//! - [`trace`]: what the browser notes of its own work.
//! - [`board`]: holes, parts, tabs, readings and findings by their names.
//! - [`visit`]: also downloads; a second tab is `visit.browser.page()`.
//! - Below them: [`browser`] starts and stops Chromium, [`wire`] speaks to it in the DevTools
//!   protocol, [`keyboard`] knows the keys. [`halfrow_server`] hands out `dist/`.
//!
//! `cargo xtask` uses the same modules to take screenshots and to measure.

pub mod board;
pub mod browser;
pub mod keyboard;
pub mod page;
pub mod pointer;
pub mod trace;
pub mod visit;
pub mod watch;
pub mod wire;
