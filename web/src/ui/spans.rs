//! Where the time of the page goes: kinds of work that `cargo xtask bench` asks for. Elsewhere they cost nothing.

#[cfg(feature = "measure")]
pub use timed::{Span, now, take};

/// A stretch of work that nobody times.
#[cfg(not(feature = "measure"))]
pub struct Span;

#[cfg(not(feature = "measure"))]
impl Span {
    /// Begins.
    pub fn new(_: &'static str) -> Span {
        Span
    }
}

#[cfg(feature = "measure")]
mod timed {
    use std::cell::RefCell;

    thread_local! {
        /// Milliseconds of each kind of work since that was last asked for.
        static SPANS: RefCell<Vec<(&'static str, f64)>> = const { RefCell::new(Vec::new()) };
    }

    /// A stretch of work that is timed until it is dropped.
    pub struct Span {
        name: &'static str,
        since: f64,
    }

    impl Span {
        /// Begins.
        pub fn new(name: &'static str) -> Span {
            Span { name, since: now() }
        }
    }

    impl Drop for Span {
        fn drop(&mut self) {
            let ms = now() - self.since;
            SPANS.with_borrow_mut(|all| match all.iter_mut().find(|(name, _)| *name == self.name) {
                Some((_, sum)) => *sum += ms,
                None => all.push((self.name, ms)),
            });
        }
    }

    /// Milliseconds by the browser’s clock.
    pub fn now() -> f64 {
        web_sys::window().and_then(|window| window.performance()).map_or(0.0, |clock| clock.now())
    }

    /// What each kind of work has taken since this was last asked, milliseconds.
    pub fn take() -> Vec<(&'static str, f64)> {
        SPANS.take()
    }
}
