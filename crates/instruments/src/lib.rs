//! The hand-held multimeter: its wiring inside as part of the circuit, what its display shows, and
//! what is said of how it is used.
//!
//! `bench with meters -> wired bench -> run -> readings -> findings`. Start with [`range`] (what each
//! position of the dial measures), then [`figures`] (resistances and fuses), [`wiring`] (both as
//! elements between sockets and tips), [`watch`] (the converter, which makes a reading of a piece of
//! time), [`display`] (counts, sign and the "1" of what doesn't fit) and [`mod@measure`] (all of it at
//! once, for a bench that isn't drawn).
//!
//! A meter that is used wrongly is no special case: the circuit has a short where the red lead is left
//! in the 10 A socket, and a fuse melts because of the current through it.

pub mod display;
pub mod figures;
pub mod measure;
pub mod range;
pub mod said;
pub mod scene;
pub mod watch;
pub mod wiring;

pub use display::Reading;
pub use figures::Figures;
pub use measure::{Measurement, measure};
pub use range::Range;
pub use said::{Finding, Meaning, Severity, findings, meaning};
pub use scene::Scene;
pub use watch::Watch;
pub use wiring::{Wired, wired};
