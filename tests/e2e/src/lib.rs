//! The page used as a student would: a file server and a headless Chromium to point at it.
//!
//! Start with [`page::Page`]. Below it: [`browser`] starts and stops Chromium, [`wire`] speaks to
//! it, [`server`] hands out `dist/`. `cargo xtask` uses the same modules to serve, to take
//! screenshots and to measure.

pub mod server;
