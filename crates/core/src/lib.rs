//! Boards, parts, nets and equations: what a bench is and what it does.
//!
//! `bench -> circuit -> operating point -> readings`, at rest ([`solve`]) or in time ([`mod@time`]).
//!
//! In reading order: [`board`] (holes and strips), [`card`] (what is known about a kind of part) with what
//! it is made of ([`part`], [`stamp`], [`memory`], [`logic`], [`readings`]), [`parts`] (the cards themselves),
//! [`meter`] (what a bench holds of a multimeter), [`mod@bench`] (parts on boards), [`tips`] (what the meter's leads touch), [`circuit`] (nodes and elements), [`nets`] and [`islands`], [`point`]
//! (what a bench does at one moment), [`mod@time`] (a bench whose clock runs), [`solve`] (where its time comes
//! to rest). [`probe`] is what a trace of it watches. Each
//! knows only what comes before it; DEVELOPERS.md draws it and a test holds it.
//!
//! Besides: [`shape`] says what a part looks like from above, [`preferred`] knows preferred values and colour
//! codes, [`mod@unit`] and [`amount`] write numbers as people read them, [`sample`] has crowded benches to measure
//! with.
//!
//! Nothing here knows a screen, a file, a random number or what time it is on the machine (the clock of a
//! bench goes by its own steps), and every number comes out with
//! the same bits on a laptop and in a browser.

pub mod amount;
pub mod bench;
pub mod board;
pub mod card;
pub mod circuit;
pub mod decimal;
pub mod fnv;
pub mod islands;
pub mod logic;
pub mod memory;
pub mod meter;
pub mod nets;
pub mod number;
pub mod part;
pub mod parts;
pub mod point;
pub mod preferred;
pub mod probe;
pub mod readings;
pub mod sample;
pub mod shape;
pub mod solve;
pub mod stamp;
pub mod time;
pub mod tips;
pub mod unit;

#[cfg(feature = "measure")]
pub use halfrow_equations::reference;
pub use halfrow_equations::{law, math, sparse};
