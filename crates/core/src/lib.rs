//! Boards, parts, nets and equations: what a bench is and what it does.
//!
//! `bench -> circuit -> equations -> operating point -> readings`. Start with [`board`] (holes and
//! strips), then [`card`] (what is known about a kind of part) and [`parts`] (the cards
//! themselves), [`part`] and [`mod@bench`] (parts on boards), [`circuit`] (nodes and elements),
//! [`nets`], [`solve`] (the operating point) and [`readings`]. Then what goes on by itself: [`memory`] (what a part remembers and when that changes),
//! [`logic`] (chips) and [`mod@time`] (a bench whose clock runs). [`shape`] says what a part looks like from above, [`preferred`] knows preferred
//! values and colour codes, [`amount`] writes numbers as people read them, [`sample`] has a crowded
//! bench to measure with.
//!
//! Nothing here knows a screen, a file, a random number or what time it is on the machine (the clock of a
//! bench goes by its own steps), and every number comes out with
//! the same bits on a laptop and in a browser.

pub mod amount;
pub mod bench;
pub mod board;
pub mod card;
pub mod circuit;
pub mod logic;
pub mod memory;
pub mod nets;
pub mod part;
pub mod parts;
pub mod preferred;
pub mod readings;
pub mod sample;
pub mod shape;
pub mod solve;
pub mod time;

pub use halfrow_equations::{law, math, sparse};
