//! Where a card draws a part's elements.
//!
//! A card knows its pins and the points inside it, and nothing of nodes: [`crate::circuit`] puts what is
//! drawn here between the nodes of a bench.

use crate::law::Law;
use crate::memory::Memory;

/// What a part's element ends at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Terminal {
    /// A pin of the part, by its index.
    Pin(usize),
    /// A point inside the part, by a number of the card's choosing from 0.
    Inner(usize),
}

/// Where a card writes a part's elements.
#[derive(Debug)]
pub struct Stamp<'a> {
    pub(crate) elements: &'a mut Vec<Drawn>,
    /// How far the part's first two legs stand apart, in millimetres; 0 in the air.
    pub span_mm: f64,
    /// What the part remembers just now. A card draws the same elements between the same terminals
    /// whatever is remembered; only the laws' numbers may differ (see [`Law::Open`]).
    pub memory: Memory,
}

/// An element as a card draws it: its ends, its controls, its law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Drawn {
    pub(crate) ends: [Terminal; 2],
    pub(crate) controls: Option<[Terminal; 2]>,
    pub(crate) law: Law,
}

impl Stamp<'_> {
    /// Adds an element from one terminal to another.
    pub fn element(&mut self, from: Terminal, to: Terminal, law: Law) {
        self.elements.push(Drawn { ends: [from, to], controls: None, law });
    }

    /// Adds an element that other terminals steer: the second control counts for laws that compare
    /// two, and is the first once more for the others.
    pub fn steered(&mut self, from: Terminal, to: Terminal, controls: [Terminal; 2], law: Law) {
        self.elements.push(Drawn { ends: [from, to], controls: Some(controls), law });
    }

    /// Adds a resistance that is there or not: a switch, an output.
    pub fn contact(&mut self, from: Terminal, to: Terminal, closed: bool, ohms: f64) {
        self.element(from, to, if closed { Law::Resistance { ohms } } else { Law::Open });
    }

    /// Adds a resistance between two terminals.
    pub fn resistance(&mut self, from: Terminal, to: Terminal, ohms: f64) {
        self.element(from, to, Law::Resistance { ohms });
    }
}
