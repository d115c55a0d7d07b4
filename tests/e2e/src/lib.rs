//! The page used as a student would: a file server and a headless Chromium to point at it.
//!
//! Start with [`visit::Visit`], which puts all together: `let mut visit = Visit::start()?;` and then
//! `visit.page`, a [`page::Page`]: `page.click("#undo")`, `page.click_at("svg.board", x, y)`,
//! `page.keys("Control+z")`, `page.text("h1")`, `page.tree()`, `page.errors()`. What looks at the page
//! as a whole (accessibility tree, axe-core, screenshots, throttling) is in [`watch`]. Below it:
//! [`browser`] starts and stops Chromium, [`wire`] speaks to it in the DevTools protocol, [`server`]
//! hands out `dist/`. `cargo xtask` uses the same modules to serve, to take screenshots and to
//! measure.
//!
//! Tests that need the browser carry `#[ignore = "needs the built page and Chromium: cargo xtask
//! test --only e2e"]`, so that a plain `cargo test` asks for neither.

pub mod browser;
pub mod keyboard;
pub mod page;
pub mod server;
pub mod visit;
pub mod watch;
pub mod wire;
