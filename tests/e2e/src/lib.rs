//! The page used as a student would. The tests stand in `tests/`; what they use of a browser is
//! [`halfrow_browser`], under this crate's name.
//!
//! Tests that need the browser carry `#[ignore = "needs the built page and Chromium: cargo xtask
//! test --only e2e"]`, so that a plain `cargo test` asks for neither.

pub use halfrow_browser::*;
