//! What a meter stands before: the bench without it, what its tips touch, what lies between them.

use halfrow_core::amount;
use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::circuit::Node;
use halfrow_core::meter::{Dial, Meter, Socket, Touch};
use halfrow_core::point::OperatingPoint;
use halfrow_core::solve::solve;

use crate::figures::Figures;
use crate::measure::{Measurement, measure_as};
use crate::range::{Quantity, Range};
use crate::wiring::wired_as;

/// What joins the sockets that the leads are in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Inside {
    /// The divider: next to no current.
    High,
    /// A shunt: a piece of wire, nearly.
    Low,
    /// The meter's own source.
    Source,
    /// Nothing.
    Open,
}

/// A measurement and what it was made of.
#[derive(Debug)]
pub struct Scene<'a> {
    /// The bench with its meters.
    pub bench: &'a Bench,
    /// The meter.
    pub meter: &'a Meter,
    /// Its figures.
    pub figures: Figures,
    /// What its dial measures; `None` for off.
    pub range: Option<Range>,
    /// What was measured.
    pub found: &'a Measurement,
    /// The bench without this meter, at rest.
    pub bare: OperatingPoint,
    /// Where the tips are in it: red, then black.
    pub nodes: [Option<Node>; 2],
    /// What the display would show of a meter that changes nothing, in SI units, where that has a meaning.
    pub without_meter: Option<f64>,
    /// Parts of the bench that have a leg on either tip's net: what the meter measures across.
    pub across: Vec<PartIx>,
}

impl<'a> Scene<'a> {
    /// Everything about a meter of a bench and what it has measured.
    ///
    /// # Panics
    /// When the bench has no such meter.
    pub fn of(bench: &'a Bench, which: usize, found: &'a Measurement) -> Scene<'a> {
        let meter = &bench.meters[which];
        let others: Vec<(&Meter, Figures)> = (bench.meters.iter().enumerate())
            .filter(|&(index, _)| index != which)
            .map(|(_, meter)| (meter, Figures::of(meter.kind)))
            .collect();
        let bare = solve(&wired_as(bench, &others).bench);
        let node = |tip: &Touch| match tip {
            Touch::Hole(hole) => bare.circuit.node_of(bench.strip(*hole)?),
            Touch::Leg { .. } => tip.leg(bench).map(|leg| bare.circuit.joins[leg.part.0][leg.pin].node),
            _ => None,
        };
        let nodes = [node(&meter.red.tip), node(&meter.black.tip)];
        let mut scene = Scene {
            bench,
            meter,
            figures: Figures::of(meter.kind),
            range: Range::of(meter.dial),
            found,
            bare,
            nodes,
            without_meter: None,
            across: Vec::new(),
        };
        scene.across = (0..bench.parts.len()).map(PartIx).filter(|&part| scene.lies_across(part)).collect();
        scene.without_meter = scene.true_value(which);
        scene
    }

    /// What is measured, if anything.
    pub fn quantity(&self) -> Option<Quantity> {
        self.range.map(|range| range.quantity)
    }

    /// A voltage that the display doesn't show, in words; a question mark where only the meter tells.
    pub fn volts(&self, volts: f64) -> String {
        if self.bench.may_tell_figures() { amount::volts(volts) } else { "? V".to_owned() }
    }

    /// The same of a current.
    pub fn amps(&self, amps: f64) -> String {
        if self.bench.may_tell_figures() { amount::amps(amps) } else { "? A".to_owned() }
    }

    /// The tips, red first.
    pub fn tips(&self) -> [&Touch; 2] {
        [&self.meter.red.tip, &self.meter.black.tip]
    }

    /// Whether the plugs are where the dial wants them, either way round.
    pub fn sockets_fit(&self) -> bool {
        let wanted = match self.meter.dial {
            Dial::Off => return true,
            Dial::Dc10A => Socket::TenAmps,
            _ => Socket::Vom,
        };
        let sockets = [self.meter.red.socket, self.meter.black.socket];
        sockets.contains(&wanted) && sockets.contains(&Socket::Com)
    }

    /// Whether red is in COM, so that all signs are turned round.
    pub fn plugs_swapped(&self) -> bool {
        self.meter.red.socket == Socket::Com
    }

    /// What joins the leads inside.
    pub fn inside(&self) -> Inside {
        let sockets = [self.meter.red.socket, self.meter.black.socket];
        let shunt = self.figures.shunt(self.meter.dial).is_some();
        if sockets.contains(&Socket::TenAmps) && sockets.contains(&Socket::Com) {
            return Inside::Low;
        }
        if sockets.contains(&Socket::TenAmps) {
            return if shunt { Inside::Low } else { Inside::Open };
        }
        match self.quantity() {
            None => Inside::Open,
            Some(Quantity::Volts | Quantity::AcVolts) => Inside::High,
            Some(Quantity::Amps) if shunt => Inside::Low,
            Some(Quantity::Amps) => Inside::Open,
            Some(Quantity::Ohms | Quantity::Continuity | Quantity::Diode) => Inside::Source,
        }
    }

    /// Volts from the red tip to the black one without the meter; `None` where nothing ties them together.
    pub fn bare_volts(&self) -> Option<f64> {
        let [Some(red), Some(black)] = self.nodes else { return None };
        let island = |node: Node| self.bare.node_island[node.0];
        let tied = island(red) == island(black) && self.bare.islands[island(red)].source.is_some();
        tied.then(|| self.bare.node_volts[red.0] - self.bare.node_volts[black.0])
    }

    /// Whether both tips are on one piece of metal.
    pub fn on_one_net(&self) -> bool {
        let [Some(red), Some(black)] = self.nodes else { return false };
        red == black || (self.net(red).is_some() && self.net(red) == self.net(black))
    }

    /// The net of a node of the bare bench, as its first strip.
    fn net(&self, node: Node) -> Option<usize> {
        let strip = self.bare.circuit.strips.get(node.0)?;
        self.bare.nets.of_strip(*strip).map(|net| net.0)
    }

    /// Whether a leg is on a tip: on its node, or on its net.
    fn is_on(&self, leg: LegId, tip: Node) -> bool {
        let join = self.bare.circuit.joins[leg.part.0][leg.pin];
        let strip = join.strip.and_then(|node| self.net(node));
        join.node == tip || join.strip == Some(tip) || (strip.is_some() && strip == self.net(tip))
    }

    fn lies_across(&self, part: PartIx) -> bool {
        let [Some(red), Some(black)] = self.nodes else { return false };
        if self.bench.part(part).card.is_wire() || self.on_one_net() {
            return false;
        }
        let pins = 0..self.bench.part(part).legs.len();
        let on = |tip: Node| pins.clone().any(|pin| self.is_on(LegId { part, pin }, tip));
        on(red) && on(black)
    }

    /// Parts other than wires that a tip's net has a leg of.
    pub fn parts_at(&self, tip: usize) -> Vec<PartIx> {
        let Some(node) = self.nodes[tip] else { return Vec::new() };
        let has = |part: &PartIx| {
            let it = self.bench.part(*part);
            !it.card.is_wire() && (0..it.legs.len()).any(|pin| self.is_on(LegId { part: *part, pin }, node))
        };
        (0..self.bench.parts.len()).map(PartIx).filter(has).collect()
    }

    /// Whether a source that isn't empty is tied to a tip.
    pub fn is_live(&self) -> bool {
        self.nodes.iter().flatten().any(|node| {
            let island = self.bare.islands[self.bare.node_island[node.0]];
            island.source.is_some_and(|part| {
                let it = self.bench.part(part);
                it.card.source.is_some_and(|source| (source.open_volts)(it).abs() > 0.0)
            })
        })
    }

    /// The tip that holds a lifted leg, and the leg.
    pub fn lifted(&self) -> Option<(usize, LegId)> {
        let leg = |tip: usize| {
            let leg = self.tips()[tip].leg(self.bench)?;
            self.bench.part(leg.part).legs[leg.pin].hole.is_none().then_some((tip, leg))
        };
        (0..2).find_map(leg)
    }

    fn true_value(&self, which: usize) -> Option<f64> {
        if !self.sockets_fit() || self.nodes.contains(&None) {
            return None;
        }
        let sign = if self.plugs_swapped() { -1.0 } else { 1.0 };
        match self.quantity()? {
            Quantity::Volts => self.bare_volts().map(|volts| sign * volts),
            // A hundred times the resistance, and the blocking capacitor still settles.
            Quantity::AcVolts => self.bare_volts().and_then(|_| self.ideal(which, 1e8)),
            // Across a part it would be a piece of wire, which makes another circuit of it.
            Quantity::Amps if self.across.is_empty() => self.ideal(which, 1.0),
            Quantity::Ohms | Quantity::Continuity if !self.is_live() => self.ideal(which, 1.0),
            _ => None,
        }
    }

    /// What a meter that changes nothing would show.
    fn ideal(&self, which: usize, input_ohms: f64) -> Option<f64> {
        let mut figures: Vec<Figures> =
            self.bench.meters.iter().map(|meter| Figures::of(meter.kind)).collect();
        figures[which] = Figures { input_ohms, ..Figures::ideal() };
        let mut bench = self.bench.clone();
        let meter = &mut bench.meters[which];
        (meter.small_fuse_whole, meter.battery_volts) = (true, Meter::default().battery_volts);
        let mean = measure_as(&bench, which, &figures, None).last().mean;
        // What is larger is the leak of an open contact.
        (mean.abs() < 1e9).then_some(mean)
    }
}
