//! The bench as a circuit: nodes, and between them elements that each obey one law.
//!
//! A strip of the board that holds a leg is a node. A leg meets its strip through the contact's own
//! resistance. Where a pin of a part has a single element behind it, that resistance is added to
//! the element's (they are in series), so that it costs no unknown; elsewhere the leg is a node of
//! its own.

use crate::bench::{Bench, LegId, PartIx};
use crate::board::Strip;
use crate::fnv::fnv;
use crate::memory::Memory;
use crate::part::{Depth, Leg, Part};
use crate::stamp::{Drawn, Stamp, Terminal};
pub use halfrow_equations::branch::{Branch, Node};
pub use halfrow_equations::law::Law;

/// Resistance of one good contact between a leg and its strip, ohms. Contacts of new boards are
/// said to have 10 to 50 mΩ (from memory; no authoritative source): small enough not to matter,
/// large enough that the share of each contact is a number.
pub const CONTACT_OHMS: f64 = 0.02;

/// Resistance of a barely inserted leg while it touches, ohms. A design choice: enough to dim an
/// LED a little and to upset a measurement.
pub const BARELY_OHMS: f64 = 15.0;

/// An element between two nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Element {
    /// The part that it belongs to.
    pub part: PartIx,
    /// First node.
    pub a: Node,
    /// Second node.
    pub b: Node,
    /// Pin of the part at the first node, if the node is there by way of a pin.
    pub pin_a: Option<usize>,
    /// Pin of the part at the second node.
    pub pin_b: Option<usize>,
    /// What it does.
    pub law: Law,
    /// The nodes that steer it, where its law is steered.
    pub controls: Option<[Node; 2]>,
}

impl Element {
    /// What the equations see of it.
    pub fn branch(&self) -> Branch {
        Branch { a: self.a, b: self.b, controls: self.controls, law: self.law }
    }
}

/// How a pin is joined to the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PinJoin {
    /// Its strip's node, when it makes contact.
    pub strip: Option<Node>,
    /// The node that elements of the part see: the strip's, or the leg's own.
    pub node: Node,
    /// Resistance of the contact, ohms.
    pub contact_ohms: f64,
    /// Whether `node` is the strip's and the contact is counted in the element's own resistance.
    pub folded: bool,
}

/// The circuit of a bench.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Circuit {
    /// Number of nodes.
    pub nodes: usize,
    /// The elements, part by part.
    pub elements: Vec<Element>,
    /// The strips that hold a leg; strip `i` is node `i`.
    pub strips: Vec<Strip>,
    /// For each part, for each pin, how it is joined.
    pub joins: Vec<Vec<PinJoin>>,
    /// For each part, the nodes of its inner points, by their numbers.
    pub inner: Vec<Vec<Node>>,
}

/// Lets a part's card draw its elements; a burnt part's are all open.
fn draw(bench: &Bench, part: &Part, memory: Memory, drawn: &mut Vec<Drawn>) {
    let span_mm = match part.legs.as_slice() {
        [Leg { hole: Some(from), .. }, Leg { hole: Some(to), .. }, ..] => {
            bench.distance(*from, *to).unwrap_or(0.0) * 2.54
        }
        _ => 0.0,
    };
    (part.card.stamp)(part, &mut Stamp { elements: drawn, span_mm, memory });
    if memory.burnt {
        for it in drawn {
            it.law = Law::Open;
        }
    }
}

/// What a circuit is made with, besides the bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contacts {
    /// Resistance of a good contact, ohms.
    pub contact_ohms: f64,
}

impl Default for Contacts {
    fn default() -> Self {
        Contacts { contact_ohms: CONTACT_OHMS }
    }
}

/// Whether a leg that is barely in touches after so many taps. The answer looks like chance and is
/// always the same for the same leg and count.
pub fn barely_touches(part_id: &str, pin: usize, taps: u32) -> bool {
    let bytes = part_id.bytes().chain([pin as u8]).chain(taps.to_le_bytes());
    (fnv(bytes) >> 32) % 2 == 1
}

/// Whether a leg touches its strip, and through how many ohms.
pub fn contact(bench: &Bench, leg: LegId, contacts: Contacts) -> Option<f64> {
    let part: &Part = bench.part(leg.part);
    let Leg { hole, depth, .. } = part.legs[leg.pin];
    hole.filter(|&hole| bench.board_of(hole).is_some())?;
    match depth {
        Depth::Full => Some(contacts.contact_ohms),
        Depth::Barely => {
            barely_touches(&part.id, leg.pin, bench.taps).then_some(contacts.contact_ohms + BARELY_OHMS)
        }
        Depth::Out => None,
    }
}

impl Circuit {
    /// The circuit of a bench. Never fails: what is not joined is simply not joined.
    pub fn of(bench: &Bench, contacts: Contacts) -> Circuit {
        let memories: Vec<Memory> = bench.parts.iter().map(Memory::of).collect();
        Circuit::with_memories(bench, contacts, &memories)
    }

    /// The circuit of a bench whose parts remember things, one memory a part.
    pub fn with_memories(bench: &Bench, contacts: Contacts, memories: &[Memory]) -> Circuit {
        let count = bench.parts.iter().map(|part| part.legs.len()).sum();
        // For each leg of each part, the strip that it touches and through how many ohms.
        let mut touching: Vec<Option<(Strip, f64)>> = Vec::with_capacity(count);
        touching.extend(bench.legs().map(|(id, leg)| {
            let ohms = contact(bench, id, contacts)?;
            Some((bench.strip(leg.hole?)?, ohms))
        }));
        // Sorted by their numbers, which is faster than strip by strip.
        let mut numbers: Vec<(u32, u32)> = Vec::with_capacity(count);
        numbers.extend(touching.iter().zip(0..).filter_map(|(it, leg)| Some(((*it)?.0.number(), leg))));
        numbers.sort_unstable();
        numbers.dedup_by_key(|it| it.0);
        let strips: Vec<Strip> =
            numbers.iter().filter_map(|&(_, leg)| touching[leg as usize].map(|(strip, _)| strip)).collect();
        let touched: Vec<LegId> =
            bench.parts.iter().flat_map(|part| &part.legs).filter_map(|leg| leg.on).collect();

        let mut circuit = Circuit {
            nodes: strips.len(),
            strips,
            // Few parts have more elements than legs.
            elements: Vec::with_capacity(count),
            joins: Vec::with_capacity(bench.parts.len()),
            inner: Vec::with_capacity(bench.parts.len()),
        };
        let mut drawn = Vec::new();
        let mut legs = touching.as_slice();
        for (index, part) in bench.parts.iter().enumerate() {
            drawn.clear();
            draw(bench, part, memories[index], &mut drawn);
            let (own, rest) = legs.split_at(part.legs.len());
            circuit.add_part(PartIx(index), part, own, &drawn, &touched);
            legs = rest;
        }
        circuit
    }

    /// Adds a part; `touched` are the legs that others are clipped to. Each of those is a node of its
    /// own, so that what drops over its contact is seen.
    fn add_part(
        &mut self,
        index: PartIx,
        part: &Part,
        legs: &[Option<(Strip, f64)>],
        drawn: &[Drawn],
        touched: &[LegId],
    ) {
        let ends =
            |pin: usize| drawn.iter().flat_map(|it| it.ends).filter(|&t| t == Terminal::Pin(pin)).count();
        let steered = |pin: usize| {
            let touches = |it: &&Drawn| it.ends.contains(&Terminal::Pin(pin));
            drawn.iter().filter(touches).any(|it| it.law.is_steered())
        };
        let mut joins = Vec::with_capacity(legs.len());
        let is_touched = |pin: usize| touched.contains(&LegId { part: index, pin });
        for (pin, leg) in legs.iter().enumerate() {
            if let Some(node) = part.legs[pin].on.and_then(|on| self.node_of_leg(on)) {
                joins.push(PinJoin { strip: None, node, contact_ohms: 0.0, folded: true });
                continue;
            }
            let strip = leg.map(|(strip, _)| {
                Node(self.strips.binary_search(&strip).expect("each touched strip is listed"))
            });
            let contact_ohms = leg.map_or(0.0, |(_, ohms)| ohms);
            // A pin with one element behind it is in series with its contact; one with none carries
            // no current, so that its contact drops nothing. A chip's good contacts are taken as
            // perfect: its outputs have a thousand times their resistance.
            let folded = strip.is_some() && ends(pin) <= 1 && !steered(pin) && !is_touched(pin);
            let perfect = part.card.chip && part.legs[pin].depth == Depth::Full;
            let (node, contact_ohms) = match strip {
                Some(node) if perfect => (node, 0.0),
                Some(node) if folded => (node, contact_ohms),
                _ => (self.new_node(), contact_ohms),
            };
            let folded = folded || (perfect && strip.is_some());
            joins.push(PinJoin { strip, node, contact_ohms, folded });
            if let (Some(strip), false) = (strip, folded) {
                self.elements.push(Element {
                    part: index,
                    a: strip,
                    b: node,
                    // Where another leg brings current too, the part's own elements tell the pin's.
                    pin_a: (!is_touched(pin)).then_some(pin),
                    pin_b: None,
                    law: Law::Resistance { ohms: contact_ohms },
                    controls: None,
                });
            }
        }
        let mut inner: Vec<Node> = Vec::new();
        for it in drawn {
            let mut law = it.law;
            let mut end = |terminal: Terminal, circuit: &mut Circuit| match terminal {
                Terminal::Pin(pin) => {
                    let join = joins[pin];
                    if join.folded {
                        law = law.with_series(join.contact_ohms);
                    }
                    (join.node, (join.folded || is_touched(pin)).then_some(pin))
                }
                Terminal::Inner(number) => {
                    while inner.len() <= number {
                        inner.push(circuit.new_node());
                    }
                    (inner[number], None)
                }
            };
            let (a, pin_a) = end(it.ends[0], self);
            let (b, pin_b) = end(it.ends[1], self);
            let controls = it.controls.map(|controls| controls.map(|at| end(at, self).0));
            self.elements.push(Element { part: index, a, b, pin_a, pin_b, law, controls });
        }
        self.joins.push(joins);
        self.inner.push(inner);
    }

    /// Writes a part's laws anew after its memory has changed; the pattern stays as it is.
    pub(crate) fn redraw_part(
        &mut self,
        bench: &Bench,
        index: PartIx,
        memory: Memory,
        drawn: &mut Vec<Drawn>,
    ) {
        drawn.clear();
        draw(bench, bench.part(index), memory, drawn);
        let first = self.elements.partition_point(|element| element.part < index);
        let joins = &self.joins[index.0];
        let contacts = joins.iter().filter(|join| join.strip.is_some() && !join.folded).count();
        for (element, it) in self.elements[first + contacts..].iter_mut().zip(&*drawn) {
            debug_assert_eq!(element.part, index, "a card drew more elements than before");
            element.law = it.law;
            for end in it.ends {
                if let Terminal::Pin(pin) = end
                    && joins[pin].folded
                {
                    element.law = element.law.with_series(joins[pin].contact_ohms);
                }
            }
        }
    }

    /// The elements of a part with their places. They stand part by part, so that bisection finds them.
    pub fn elements_of(&self, part: PartIx) -> impl Iterator<Item = (usize, &Element)> {
        let first = self.elements.partition_point(|element| element.part < part);
        self.elements.iter().enumerate().skip(first).take_while(move |(_, element)| element.part == part)
    }

    /// The node of a leg of a part that has been added.
    fn node_of_leg(&self, leg: LegId) -> Option<Node> {
        Some(self.joins.get(leg.part.0)?.get(leg.pin)?.node)
    }

    fn new_node(&mut self) -> Node {
        self.nodes += 1;
        Node(self.nodes - 1)
    }

    /// What the equations see of the elements.
    pub fn branches(&self) -> Vec<Branch> {
        self.elements.iter().map(Element::branch).collect()
    }

    /// The node of a strip, when a leg touches it.
    pub fn node_of(&self, strip: Strip) -> Option<Node> {
        self.strips.binary_search(&strip).ok().map(Node)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_barely_inserted_leg_comes_and_goes_the_same_way_each_time() {
        let pattern: Vec<bool> = (0..64).map(|taps| barely_touches("R1", 0, taps)).collect();
        let touches = pattern.iter().filter(|&&t| t).count();
        assert!((16..=48).contains(&touches), "{touches} of 64");
        assert_eq!(pattern, (0..64).map(|taps| barely_touches("R1", 0, taps)).collect::<Vec<_>>());
    }
}
