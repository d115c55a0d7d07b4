//! The bench as a circuit: nodes, and between them elements that each obey one law.
//!
//! A strip of the board that holds a leg is a node. A leg meets its strip through the contact's own
//! resistance. Where a pin of a part has a single element behind it, that resistance is added to
//! the element's (they are in series), so that it costs no unknown; elsewhere the leg is a node of
//! its own.

use crate::bench::{Bench, LegId, PartIx};
use crate::board::Strip;
use crate::math;
use crate::part::{Depth, Leg, Part};

/// A node of the circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Node(pub usize);

/// Resistance of one good contact between a leg and its strip, ohms. Contacts of new boards are
/// said to have 10 to 50 mΩ (from memory; no authoritative source): small enough not to matter,
/// large enough that the share of each contact is a number.
pub const CONTACT_OHMS: f64 = 0.02;

/// Resistance of a barely inserted leg while it touches, ohms. A design choice: enough to dim an
/// LED a little and to upset a measurement.
pub const BARELY_OHMS: f64 = 15.0;

/// Conductance in parallel to each junction, siemens. A real junction leaks far more than its
/// exponential law says; this also keeps the equations regular. 5 pA at 5 V: below any reading.
pub const LEAK_SIEMENS: f64 = 1e-12;

/// An element below this resistance gets its current as an unknown of its own (the "modified" of
/// modified nodal analysis), since a conductance would lose digits, and at 0 ohms all of them. At
/// 24 V the last bit of a voltage is worth 7 pA here. The shortest wire has more, so that no part of
/// today needs it; ideal sources do.
pub const BRANCH_BELOW_OHMS: f64 = 5e-4;

/// The exponential law of a pn junction with a resistance in series.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Junction {
    /// Saturation current, amperes.
    pub saturation_amps: f64,
    /// Emission coefficient times thermal voltage, volts.
    pub emission_volts: f64,
    /// Resistance in series, ohms.
    pub series_ohms: f64,
}

/// What an element does. `v` is the voltage from its first node to its second, current counts
/// from the first through the element to the second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// i = v / ohms.
    Resistance {
        /// Ohms.
        ohms: f64,
    },
    /// i = (v − volts) / ohms: a voltage with an internal resistance, + at the first node.
    Source {
        /// Open-circuit volts.
        volts: f64,
        /// Internal ohms.
        ohms: f64,
    },
    /// A source that gives no more than its limit and takes next to nothing back.
    LimitedSource {
        /// Open-circuit volts.
        volts: f64,
        /// Internal ohms.
        ohms: f64,
        /// Limit, amperes.
        limit_amps: f64,
    },
    /// A junction, anode at the first node.
    Junction(Junction),
}

/// Current and its slope at a voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flow {
    /// Amperes from the first node to the second.
    pub amps: f64,
    /// d amps / d volts, siemens.
    pub siemens: f64,
}

impl Junction {
    /// Current and slope at a voltage across the junction proper (without the series resistance).
    fn at_inner(&self, volts: f64) -> Flow {
        let e = math::exp(volts / self.emission_volts);
        Flow {
            amps: self.saturation_amps * (e - 1.0) + LEAK_SIEMENS * volts,
            siemens: self.saturation_amps / self.emission_volts * e + LEAK_SIEMENS,
        }
    }

    /// The voltage of the junction proper when `volts` stands across it and its series resistance.
    ///
    /// The equation u + R·i(u) = volts rises and is convex, so Newton's method from a point to the
    /// right of the root falls to it without overshoot. Both `volts` and the voltage at which the
    /// exponential alone would drop all of it over R lie to the right.
    pub fn inner_volts(&self, volts: f64) -> f64 {
        let r = self.series_ohms;
        let mut u = volts;
        if volts > 0.0 && r > 0.0 {
            u = u.min(self.emission_volts * math::ln(1.0 + volts / (r * self.saturation_amps)));
        }
        // Each step squares the error once near the root, and far from it takes off one emission
        // voltage; the start is never more than a few of those away. 60 can't be reached.
        for _ in 0..60 {
            let flow = self.at_inner(u);
            let step = (u + r * flow.amps - volts) / (1.0 + r * flow.siemens);
            u -= step;
            if step.abs() <= 1e-15 + 1e-15 * u.abs() {
                break;
            }
        }
        u
    }

    /// Current and slope at the terminals, series resistance included, for an inner voltage: and
    /// the terminal voltage that belongs to it.
    pub fn at(&self, inner_volts: f64) -> (f64, Flow) {
        let flow = self.at_inner(inner_volts);
        let outer = inner_volts + self.series_ohms * flow.amps;
        (outer, Flow { amps: flow.amps, siemens: flow.siemens / (1.0 + self.series_ohms * flow.siemens) })
    }

    /// The inner voltage above which a Newton step on the exponential may overshoot by so much that
    /// the next one takes many small steps back: where the curve bends most (Nagel's critical
    /// voltage).
    pub fn critical_volts(&self) -> f64 {
        self.emission_volts
            * math::ln(self.emission_volts / (core::f64::consts::SQRT_2 * self.saturation_amps))
    }
}

/// Width of the rounded corners of a limited source, as a share of its limit. Wider and the limit
/// is soft, narrower and Newton's method meets a kink.
const CORNER: f64 = 1e-3;

/// The same for the corner between giving and being pushed back. The whole straight piece is off by
/// half of this share, so that it is narrower: a 3 A supply is 15 µA off.
const BACK_CORNER: f64 = 1e-5;

/// Resistance against current that is pushed back into a limited source, ohms: the bleeder of a
/// bench supply's output. A design choice.
const BLEEDER_OHMS: f64 = 2000.0;

impl Law {
    /// Current and slope at a voltage. For a resistance or source of zero ohms the slope is
    /// infinite; such elements are branches and are not asked.
    pub fn flow(&self, volts: f64) -> Flow {
        match *self {
            Law::Resistance { ohms } => Flow { amps: volts / ohms, siemens: 1.0 / ohms },
            Law::Source { volts: open, ohms } => Flow { amps: (volts - open) / ohms, siemens: 1.0 / ohms },
            Law::LimitedSource { volts: open, ohms, limit_amps } => {
                limited_flow(volts - open, ohms, limit_amps)
            }
            Law::Junction(junction) => junction.at(junction.inner_volts(volts)).1,
        }
    }

    /// The law with a resistance in series.
    pub fn with_series(self, extra: f64) -> Law {
        match self {
            Law::Resistance { ohms } => Law::Resistance { ohms: ohms + extra },
            Law::Source { volts, ohms } => Law::Source { volts, ohms: ohms + extra },
            Law::LimitedSource { volts, ohms, limit_amps } => {
                Law::LimitedSource { volts, ohms: ohms + extra, limit_amps }
            }
            Law::Junction(junction) => {
                Law::Junction(Junction { series_ohms: junction.series_ohms + extra, ..junction })
            }
        }
    }

    /// Volts and ohms of an element whose current is an unknown of its own: v = volts + ohms·i.
    pub fn branch(&self) -> Option<(f64, f64)> {
        match *self {
            Law::Resistance { ohms } if ohms < BRANCH_BELOW_OHMS => Some((0.0, ohms)),
            Law::Source { volts, ohms } if ohms < BRANCH_BELOW_OHMS => Some((volts, ohms)),
            _ => None,
        }
    }

    /// Whether the current is a straight line over the voltage.
    pub fn is_linear(&self) -> bool {
        matches!(self, Law::Resistance { .. } | Law::Source { .. })
    }

    /// The law with its voltage scaled, for source stepping.
    pub fn scaled(self, share: f64) -> Law {
        match self {
            Law::Source { volts, ohms } => Law::Source { volts: volts * share, ohms },
            Law::LimitedSource { volts, ohms, limit_amps } => {
                Law::LimitedSource { volts: volts * share, ohms, limit_amps }
            }
            other => other,
        }
    }
}

/// How much more a limited source gives at its limit, as a share of the limit for each volt that its
/// terminals are pulled down beyond its own drop. Without it two equal limited sources in a ring could share the voltage
/// between them in any way; with it a 24 V supply into a short gives 0.24 % more than its limit.
const LIMIT_SHARE_PER_VOLT: f64 = 1e-4;

/// The limited source: delivered current is the lesser of drop / ohms and the limit, with a round
/// corner; pushed back, it is a bleeder resistance, which must not add to the limit. `over` is the
/// terminal voltage minus the open-circuit voltage.
fn limited_flow(over: f64, ohms: f64, limit: f64) -> Flow {
    let drop = -over;
    let width = CORNER * limit;
    let (given, slope) = soft_min(drop / ohms, limit, width);
    // For reverse current the slope falls from 1/ohms to the bleeder's over one corner's width.
    let back_width = BACK_CORNER * limit;
    let (lost, lost_slope) = soft_min(given, 0.0, back_width / 2.0);
    // At 0 the corner takes off half its width; put back, so that an idle source gives nothing.
    let lost = lost + back_width / 2.0;
    let bled = ohms / BLEEDER_OHMS;
    let tilt = LIMIT_SHARE_PER_VOLT * limit;
    let amps = given - lost + lost * bled + tilt * (drop - given * ohms);
    let siemens = ((1.0 - lost_slope) + lost_slope * bled) * slope / ohms + tilt * (1.0 - slope);
    Flow { amps: -amps, siemens }
}

/// The lesser of two numbers with a round corner (a hyperbola) and its slope over the first; written
/// so that neither loses digits far from the corner.
fn soft_min(x: f64, limit: f64, width: f64) -> (f64, f64) {
    let apart = x - limit;
    let root = math::sqrt(apart * apart + 4.0 * width * width);
    let rest = 2.0 * width * width / (root + apart.abs());
    if apart > 0.0 { (limit - rest, rest / root) } else { (x - rest, 1.0 - rest / root) }
}

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
}

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
    elements: &'a mut Vec<(Terminal, Terminal, Law)>,
    /// How far the part's first two legs stand apart, in millimetres; 0 in the air.
    pub span_mm: f64,
}

impl Stamp<'_> {
    /// Adds an element from one terminal to another.
    pub fn element(&mut self, from: Terminal, to: Terminal, law: Law) {
        self.elements.push((from, to, law));
    }

    /// Adds a resistance between two terminals.
    pub fn resistance(&mut self, from: Terminal, to: Terminal, ohms: f64) {
        self.element(from, to, Law::Resistance { ohms });
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
    // FNV-1a over the leg's name and the count: a few lines, the same everywhere.
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    let bytes = part_id.bytes().chain([pin as u8]).chain(taps.to_le_bytes());
    for byte in bytes {
        hash = (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
    }
    (hash >> 32) % 2 == 1
}

/// Whether a leg touches its strip, and through how many ohms.
pub fn contact(bench: &Bench, leg: LegId, contacts: Contacts) -> Option<f64> {
    let part: &Part = bench.part(leg.part);
    let Leg { hole, depth } = part.legs[leg.pin];
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
        let mut strips: Vec<Strip> = Vec::new();
        let mut touching: Vec<Vec<Option<(Strip, f64)>>> = Vec::with_capacity(bench.parts.len());
        for (index, part) in bench.parts.iter().enumerate() {
            let legs = (0..part.legs.len())
                .map(|pin| {
                    let ohms = contact(bench, LegId { part: PartIx(index), pin }, contacts)?;
                    Some((bench.strip(part.legs[pin].hole?)?, ohms))
                })
                .collect::<Vec<_>>();
            strips.extend(legs.iter().flatten().map(|&(strip, _)| strip));
            touching.push(legs);
        }
        strips.sort_unstable();
        strips.dedup();

        let mut circuit = Circuit { nodes: strips.len(), strips, ..Circuit::default() };
        let mut drawn = Vec::new();
        for (index, part) in bench.parts.iter().enumerate() {
            circuit.add_part(bench, PartIx(index), part, &touching[index], &mut drawn);
        }
        circuit
    }

    fn add_part(
        &mut self,
        bench: &Bench,
        index: PartIx,
        part: &Part,
        legs: &[Option<(Strip, f64)>],
        drawn: &mut Vec<(Terminal, Terminal, Law)>,
    ) {
        drawn.clear();
        let span_mm = match part.legs.as_slice() {
            [Leg { hole: Some(from), .. }, Leg { hole: Some(to), .. }, ..] => {
                bench.distance(*from, *to).unwrap_or(0.0) * 2.54
            }
            _ => 0.0,
        };
        (part.card.stamp)(part, &mut Stamp { elements: drawn, span_mm });

        let ends = |pin: usize| {
            drawn.iter().flat_map(|&(a, b, _)| [a, b]).filter(|&t| t == Terminal::Pin(pin)).count()
        };
        let mut joins = Vec::with_capacity(legs.len());
        for (pin, leg) in legs.iter().enumerate() {
            let strip = leg.map(|(strip, _)| {
                Node(self.strips.binary_search(&strip).expect("each touched strip is listed"))
            });
            let contact_ohms = leg.map_or(0.0, |(_, ohms)| ohms);
            // A pin with one element behind it is in series with its contact; one with none carries
            // no current, so that its contact drops nothing.
            let folded = strip.is_some() && ends(pin) <= 1;
            let node = match strip {
                Some(node) if folded => node,
                _ => self.new_node(),
            };
            joins.push(PinJoin { strip, node, contact_ohms, folded });
            if let (Some(strip), false) = (strip, folded) {
                self.elements.push(Element {
                    part: index,
                    a: strip,
                    b: node,
                    pin_a: Some(pin),
                    pin_b: None,
                    law: Law::Resistance { ohms: contact_ohms },
                });
            }
        }
        let mut inner: Vec<Node> = Vec::new();
        for &(from, to, law) in drawn.iter() {
            let mut law = law;
            let mut end = |terminal: Terminal, circuit: &mut Circuit| match terminal {
                Terminal::Pin(pin) => {
                    let join = joins[pin];
                    if join.folded {
                        law = law.with_series(join.contact_ohms);
                    }
                    (join.node, join.folded.then_some(pin))
                }
                Terminal::Inner(number) => {
                    while inner.len() <= number {
                        inner.push(circuit.new_node());
                    }
                    (inner[number], None)
                }
            };
            let (a, pin_a) = end(from, self);
            let (b, pin_b) = end(to, self);
            self.elements.push(Element { part: index, a, b, pin_a, pin_b, law });
        }
        self.joins.push(joins);
    }

    fn new_node(&mut self) -> Node {
        self.nodes += 1;
        Node(self.nodes - 1)
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
    fn a_limited_source_is_a_source_until_its_limit() {
        let law = Law::LimitedSource { volts: 5.0, ohms: 0.1, limit_amps: 0.5 };
        assert!((law.flow(5.0).amps).abs() < 1e-6);
        assert!((law.flow(4.99).amps + 0.1).abs() < 1e-3);
        assert!((law.flow(0.0).amps + 0.5).abs() < 5e-3);
        assert!(law.flow(9.0).amps > 0.0 && law.flow(9.0).amps < 3e-3);
    }

    #[test]
    fn a_limited_source_keeps_its_limit_to_a_quarter_of_a_per_cent() {
        for limit_amps in [0.001, 0.02, 3.0] {
            let law = Law::LimitedSource { volts: 24.0, ohms: 0.05, limit_amps };
            for volts in [-5.0, 0.0, 2.0, 20.0] {
                let given = -law.flow(volts).amps;
                assert!((given / limit_amps - 1.0).abs() < 0.003, "{limit_amps} {volts}: {given}");
            }
        }
    }

    #[test]
    fn slopes_agree_with_differences() {
        let junction = Junction { saturation_amps: 1e-15, emission_volts: 0.05, series_ohms: 5.0 };
        let laws = [
            Law::Junction(junction),
            Law::LimitedSource { volts: 5.0, ohms: 0.1, limit_amps: 0.5 },
            Law::Source { volts: 3.0, ohms: 2.0 },
        ];
        // At 5 V itself the limited source's corner is half a microvolt wide, too narrow for `h`.
        for law in laws {
            for volts in [-6.0, -0.3, 0.0, 1.2, 1.7, 2.4, 4.94, 4.95, 4.96, 4.999, 5.001, 7.0] {
                let h = 1e-7;
                let slope = (law.flow(volts + h).amps - law.flow(volts - h).amps) / (2.0 * h);
                let told = law.flow(volts).siemens;
                assert!((slope - told).abs() <= 1e-9 + 1e-4 * told, "{law:?} at {volts}: {slope} {told}");
            }
        }
    }

    #[test]
    fn a_junction_behind_a_resistance_meets_its_own_equation() {
        for series_ohms in [1e-6, 0.04, 5.0, 1e4] {
            let junction = Junction { saturation_amps: 1e-18, emission_volts: 0.05, series_ohms };
            for volts in [-1000.0, -5.0, -1e-3, 0.0, 1e-3, 0.5, 2.0, 5.0, 1000.0] {
                let (outer, _) = junction.at(junction.inner_volts(volts));
                assert!(
                    (outer - volts).abs() <= 1e-11 * (1.0 + volts.abs()),
                    "{series_ohms} {volts} {outer}"
                );
            }
        }
    }

    #[test]
    fn a_barely_inserted_leg_comes_and_goes_the_same_way_each_time() {
        let pattern: Vec<bool> = (0..64).map(|taps| barely_touches("R1", 0, taps)).collect();
        let touches = pattern.iter().filter(|&&t| t).count();
        assert!((16..=48).contains(&touches), "{touches} of 64");
        assert_eq!(pattern, (0..64).map(|taps| barely_touches("R1", 0, taps)).collect::<Vec<_>>());
    }
}
