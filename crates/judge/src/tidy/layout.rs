//! A bench as it lies: holes in millimetres, wires as straight lines, nets and which of them are supply.

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::board::{Hole, Strip};
use halfrow_core::card::Footprint;
use halfrow_core::nets::DisjointSets;
use halfrow_core::part::{Depth, Part};

/// Half of the 2.54 mm between holes.
const HALF_PITCH_MM: f64 = 1.27;

/// A place on the bench, millimetres to the right and down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Spot {
    pub x_mm: f64,
    pub y_mm: f64,
}

/// A straight piece of wire or lead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Line {
    pub from: Spot,
    pub to: Spot,
}

/// The ground that a stiff part covers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Area {
    pub min: Spot,
    pub max: Spot,
}

impl Spot {
    pub fn distance_mm(self, to: Spot) -> f64 {
        let (x, y) = (self.x_mm - to.x_mm, self.y_mm - to.y_mm);
        (x * x + y * y).sqrt()
    }

    /// The place so far on the way to another, as a share.
    pub fn towards(self, to: Spot, share: f64) -> Spot {
        let at = |a: f64, b: f64| a + share * (b - a);
        Spot { x_mm: at(self.x_mm, to.x_mm), y_mm: at(self.y_mm, to.y_mm) }
    }
}

impl Line {
    pub fn length_mm(self) -> f64 {
        self.from.distance_mm(self.to)
    }

    /// The distance from a place to the nearest of the line.
    pub fn to_spot_mm(self, spot: Spot) -> f64 {
        let length = self.length_mm();
        if length < 1e-9 {
            return self.from.distance_mm(spot);
        }
        let (dx, dy) = (self.to.x_mm - self.from.x_mm, self.to.y_mm - self.from.y_mm);
        let along = (spot.x_mm - self.from.x_mm) * dx + (spot.y_mm - self.from.y_mm) * dy;
        spot.distance_mm(self.from.towards(self.to, (along / (length * length)).clamp(0.0, 1.0)))
    }

    /// Whether two lines cross, each past its ends on both sides.
    pub fn crosses(self, other: Line) -> bool {
        let turn = |a: Spot, b: Spot, c: Spot| {
            (b.x_mm - a.x_mm) * (c.y_mm - a.y_mm) - (b.y_mm - a.y_mm) * (c.x_mm - a.x_mm)
        };
        let apart =
            |line: Line, a: Spot, b: Spot| turn(line.from, line.to, a) * turn(line.from, line.to, b) < -1e-9;
        apart(self, other.from, other.to) && apart(other, self.from, self.to)
    }

    /// The least distance between two lines.
    pub fn apart_mm(self, other: Line) -> f64 {
        if self.crosses(other) {
            return 0.0;
        }
        let ends = [
            self.to_spot_mm(other.from),
            self.to_spot_mm(other.to),
            other.to_spot_mm(self.from),
            other.to_spot_mm(self.to),
        ];
        ends.into_iter().fold(f64::INFINITY, f64::min)
    }
}

impl Area {
    /// The ground between some places; a row of pins is taken as some millimetres wide.
    fn around(spots: &[Spot]) -> Option<Area> {
        let of = |pick: fn(&Spot) -> f64| {
            let all = spots.iter().map(pick);
            let (min, max) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |it, x| (it.0.min(x), it.1.max(x)));
            // The pins themselves stand at the edge, and wires end beside them.
            let inset = if max - min > 2.0 { 0.6 } else { -1.0 };
            (min + inset, max - inset)
        };
        let (x, y) = (of(|it| it.x_mm), of(|it| it.y_mm));
        (!spots.is_empty())
            .then_some(Area { min: Spot { x_mm: x.0, y_mm: y.0 }, max: Spot { x_mm: x.1, y_mm: y.1 } })
    }

    fn has(self, spot: Spot) -> bool {
        (self.min.x_mm..=self.max.x_mm).contains(&spot.x_mm)
            && (self.min.y_mm..=self.max.y_mm).contains(&spot.y_mm)
    }

    /// Whether a line runs over it.
    pub fn lies_under(self, line: Line) -> bool {
        let corner = |x_mm: f64, y_mm: f64| Spot { x_mm, y_mm };
        let corners =
            [self.min, corner(self.max.x_mm, self.min.y_mm), self.max, corner(self.min.x_mm, self.max.y_mm)];
        self.has(line.from)
            || self.has(line.to)
            || (0..4).any(|at| line.crosses(Line { from: corners[at], to: corners[(at + 1) % 4] }))
    }

    /// The distance from a place to it.
    pub fn to_spot_mm(self, spot: Spot) -> f64 {
        let beyond = |at: f64, min: f64, max: f64| (min - at).max(at - max).max(0.0);
        let x = beyond(spot.x_mm, self.min.x_mm, self.max.x_mm);
        let y = beyond(spot.y_mm, self.min.y_mm, self.max.y_mm);
        (x * x + y * y).sqrt()
    }

    pub fn middle(self) -> Spot {
        self.min.towards(self.max, 0.5)
    }
}

/// The bench with what the rules ask for.
pub(crate) struct Layout<'a> {
    pub bench: &'a Bench,
    /// Strips that legs touch, sorted.
    strips: Vec<Strip>,
    /// The net of each strip.
    nets: Vec<usize>,
    /// The nets of + and − leads of supplies; none that is both.
    plus: Vec<usize>,
    minus: Vec<usize>,
}

fn touched(bench: &Bench, part: &Part, pin: usize) -> Option<Strip> {
    let leg = part.legs[pin];
    if leg.depth == Depth::Out { None } else { bench.strip(leg.hole?) }
}

impl<'a> Layout<'a> {
    pub fn of(bench: &'a Bench) -> Layout<'a> {
        let mut strips: Vec<Strip> = Vec::new();
        for part in &bench.parts {
            strips.extend((0..part.legs.len()).filter_map(|pin| touched(bench, part, pin)));
        }
        strips.sort_unstable();
        strips.dedup();
        let mut layout = Layout { bench, strips, nets: vec![], plus: vec![], minus: vec![] };
        let mut sets = layout.sets(None);
        layout.nets = (0..layout.strips.len()).map(|strip| sets.root(strip)).collect();
        let sources = |pick: fn(&halfrow_core::card::Source) -> u8| -> Vec<usize> {
            let parts = bench.parts.iter().enumerate();
            let pins = parts.filter_map(|(part, it)| {
                let source = it.card.source.filter(|source| !(source.swings)(it))?;
                layout.net(PartIx(part), usize::from(pick(&source)))
            });
            pins.collect()
        };
        let (plus, minus) = (sources(|it| it.plus), sources(|it| it.minus));
        layout.plus = plus.iter().copied().filter(|it| !minus.contains(it)).collect();
        layout.minus = minus.iter().copied().filter(|it| !plus.contains(it)).collect();
        layout
    }

    /// Which strips are one piece of metal, without a part.
    fn sets(&self, without: Option<PartIx>) -> DisjointSets {
        let mut sets = DisjointSets::new(self.strips.len());
        for (index, part) in self.bench.parts.iter().enumerate() {
            for &(a, b) in part.card.metal.iter().filter(|_| Some(PartIx(index)) != without) {
                if let (Some(a), Some(b)) = (self.strip(part, a.into()), self.strip(part, b.into())) {
                    sets.join(a, b);
                }
            }
        }
        sets
    }

    fn strip(&self, part: &Part, pin: usize) -> Option<usize> {
        self.strips.binary_search(&touched(self.bench, part, pin)?).ok()
    }

    /// The net of a pin.
    pub fn net(&self, part: PartIx, pin: usize) -> Option<usize> {
        Some(self.nets[self.strip(self.bench.part(part), pin)?])
    }

    pub fn is_plus(&self, net: usize) -> bool {
        self.plus.contains(&net)
    }

    pub fn is_minus(&self, net: usize) -> bool {
        self.minus.contains(&net)
    }

    /// Whether it is known what is + and what is −.
    pub fn has_supply(&self) -> bool {
        !self.plus.is_empty() && !self.minus.is_empty()
    }

    pub fn spot(&self, hole: Hole) -> Option<Spot> {
        let at = self.bench.position(hole)?;
        Some(Spot { x_mm: HALF_PITCH_MM * f64::from(at.x), y_mm: HALF_PITCH_MM * f64::from(at.y) })
    }

    /// The holes of a part's legs, where it has all of them.
    pub fn holes(&self, part: PartIx) -> Option<Vec<Hole>> {
        self.bench.part(part).legs.iter().map(|leg| leg.hole).collect()
    }

    /// A wire, or a part with two legs, as a line.
    pub fn line(&self, part: PartIx) -> Option<Line> {
        let holes = self.holes(part)?;
        let [from, to] = holes[..] else { return None };
        Some(Line { from: self.spot(from)?, to: self.spot(to)? })
    }

    /// The holes of the parts' first legs: where a picture marks them.
    pub fn first_holes(&self, parts: &[PartIx]) -> Vec<Hole> {
        parts.iter().filter_map(|&part| self.bench.part(part).legs[0].hole).collect()
    }

    /// All wires with both ends in holes.
    pub fn wires(&self) -> Vec<(PartIx, Line)> {
        let all = (0..self.bench.parts.len()).map(PartIx);
        let wires = all.filter(|&it| self.bench.part(it).card.is_wire());
        wires.filter_map(|it| Some((it, self.line(it)?))).collect()
    }

    /// All parts with two bendable legs that are no wires.
    pub fn bridges(&self) -> Vec<(PartIx, Line)> {
        let all = (0..self.bench.parts.len()).map(PartIx);
        let loose = |part: &Part| {
            matches!(part.card.footprint, Footprint::Loose { .. })
                && !part.card.is_wire()
                && !part.card.instrument
        };
        all.filter(|&it| loose(self.bench.part(it))).filter_map(|it| Some((it, self.line(it)?))).collect()
    }

    /// All stiff parts with the ground that they cover.
    pub fn bodies(&self) -> Vec<(PartIx, Area)> {
        let all = (0..self.bench.parts.len()).map(PartIx);
        let stiff = all.filter(|&it| self.bench.part(it).is_rigid());
        let area = |part: PartIx| {
            let spots: Option<Vec<Spot>> =
                self.holes(part)?.into_iter().map(|hole| self.spot(hole)).collect();
            Some((part, Area::around(&spots?)?))
        };
        stiff.filter_map(area).collect()
    }

    /// The shortest way between the nets of a part's two legs, from a free hole, or one of its own, to another:
    /// millimetres and the holes. For a wire: between the two pieces that it joins. `None` where it joins what
    /// is joined anyway.
    pub fn shortest(&self, part: PartIx) -> Option<(f64, Hole, Hole)> {
        let it = self.bench.part(part);
        let mut sets = self.sets(Some(part));
        let (a, b) = (sets.root(self.strip(it, 0)?), sets.root(self.strip(it, 1)?));
        if a == b {
            return None;
        }
        let mut spots = |root: usize| -> Vec<(Hole, Spot)> {
            let strips: Vec<Strip> = (0..self.strips.len())
                .filter(|&strip| sets.root(strip) == root)
                .map(|strip| self.strips[strip])
                .collect();
            let holes = strips.iter().flat_map(|&strip| self.free_holes(strip, part));
            holes.filter_map(|hole| Some((hole, self.spot(hole)?))).collect()
        };
        let (from, to) = (spots(a), spots(b));
        let mut best: Option<(f64, Hole, Hole)> = None;
        for &(one, here) in &from {
            for &(other, there) in &to {
                let far = here.distance_mm(there);
                if best.is_none_or(|it| far < it.0 - 1e-9) {
                    best = Some((far, one, other));
                }
            }
        }
        best
    }

    /// Holes of a strip that nothing is in, or only this part.
    fn free_holes(&self, strip: Strip, part: PartIx) -> Vec<Hole> {
        let mut holes = self.bench.boards[usize::from(strip.board)].holes_of(strip);
        holes.retain(|&hole| self.bench.occupant(hole).is_none_or(|leg| leg.part == part));
        holes
    }

    /// The colour of a wire, in a word.
    pub fn colour(&self, wire: PartIx) -> String {
        let it = self.bench.part(wire);
        (it.card.label)(it)
    }
}
