//! Where a stiff part can be put down so that all of its pins stand right.

use std::collections::{BTreeMap, BTreeSet};

use halfrow_core::bench::PartIx;
use halfrow_core::board::{Hole, Strip};
use halfrow_core::part::{Leg, Turn};

use super::{Hand, ToJoin, apart};
use crate::ground::NONE;
use crate::moves::{Kind, Move};
use crate::words;

/// What a part would open where it is put.
#[derive(Clone, Default)]
struct Opened {
    /// Pieces of metal that hold only wires, with the net that they become.
    pieces: Vec<(Strip, u16)>,
    /// Strips that have to be joined to a net.
    to_join: ToJoin,
}

/// Which holes are taken, and what stands in each strip.
#[derive(Default)]
struct Floor {
    taken: BTreeSet<Hole>,
    /// Ends of wires count one, legs of parts a hundred.
    crowds: BTreeMap<Strip, u32>,
    /// Strips that wires join to a smaller one.
    pieces: BTreeMap<Strip, Strip>,
    /// The nets that have a strip.
    known: BTreeSet<u16>,
}

impl Floor {
    /// The strip that stands for all that wires join to this one.
    fn piece(&self, mut strip: Strip) -> Strip {
        while let Some(&next) = self.pieces.get(&strip).filter(|&&next| next != strip) {
            strip = next;
        }
        strip
    }
}

impl Hand<'_, '_> {
    /// What a stiff part could be put down on.
    fn floor(&self) -> Floor {
        let mut floor = Floor::default();
        let strip = |hole: Option<Hole>| hole.and_then(|hole| self.bench.strip(hole));
        for (leg, it) in self.bench.legs() {
            let Some(hole) = it.hole else { continue };
            floor.taken.insert(hole);
            if let Some(own) = strip(Some(hole)) {
                let wire = self.bench.part(leg.part).card.is_wire();
                let crowd = floor.crowds.entry(own).or_default();
                *crowd += if wire { 1 } else { 100 };
            }
        }
        // Wires lead from strip to strip: the smallest one stands for all.
        for part in self.bench.parts.iter().filter(|it| it.card.is_wire()) {
            let [Some(a), Some(b)] = [0, 1].map(|pin| strip(part.legs[pin].hole)) else { continue };
            let (a, b) = (floor.piece(a), floor.piece(b));
            floor.pieces.insert(a.max(b), a.min(b));
        }
        floor.known = self.labels.values().copied().filter(|&it| it < NONE).collect();
        floor
    }

    /// Whether a part stands right with its pins in some holes: all of its pieces for free ones of the plan.
    /// What comes back are the strips that have to be joined to a net by a wire then.
    fn stands(&self, floor: &Floor, plan: usize, holes: &[Hole]) -> Option<ToJoin> {
        let ground = self.ground;
        let gated = !ground.plan.parts[plan].card.gates.is_empty();
        let mut free: Vec<usize> = self.free.clone();
        // Pieces of metal that hold only wires, with the net that they become.
        let mut opened = Opened::default();
        // The pieces of one package of the plan tell which pins belong together.
        for (at, piece) in ground.form.pieces.iter().enumerate().filter(|it| it.1.part == plan) {
            let mut fits = |other: usize| {
                let nets = &ground.form.pieces[other].nets;
                ground.form.pieces[other].shape == piece.shape
                    && ground.orders[piece.shape].iter().any(|order| {
                        let mut next = opened.clone();
                        let all = order.iter().zip(&piece.pins).all(|(&at, pins)| {
                            let pins: Vec<Hole> = pins.iter().map(|&pin| holes[pin]).collect();
                            self.can_all_be(floor, nets[usize::from(at)], &pins, &mut next)
                        });
                        if all {
                            opened = next;
                        }
                        all
                    })
            };
            let found = if gated {
                free.iter().position(|&other| fits(other))
            } else if fits(at) {
                free.iter().position(|&other| other == at)
            } else {
                None
            };
            match found {
                Some(at) => drop(free.remove(at)),
                None => return None,
            }
        }
        Some(opened.to_join)
    }

    /// The same for all pins that are one piece of metal: one in the net will do where the others stand
    /// alone, and a wire will where all stand alone.
    fn can_all_be(&self, floor: &Floor, net: Option<usize>, holes: &[Hole], opened: &mut Opened) -> bool {
        let right = holes.iter().filter(|&&hole| self.can_be(floor, net, hole, opened)).count();
        let alone = |hole: Hole| {
            let strip = self.bench.strip(hole);
            strip.is_some_and(|it| {
                self.labels.get(&it).is_none_or(|&it| it >= NONE) && !floor.crowds.contains_key(&it)
            })
        };
        if right == holes.len() {
            return true;
        }
        let Some(net) = net else { return false };
        if !holes.iter().all(|&hole| alone(hole) || self.can_be(floor, Some(net), hole, opened)) {
            return false;
        }
        if right == 0 {
            let Some(strip) = self.bench.strip(holes[0]) else { return false };
            opened.to_join.push((strip, net));
        }
        true
    }

    /// Whether a hole's strip is a net, or could become it: nobody but wires is there yet.
    fn can_be(&self, floor: &Floor, net: Option<usize>, hole: Hole, opened: &mut Opened) -> bool {
        let Some(strip) = self.bench.strip(hole) else { return false };
        let label = self.labels.get(&strip).copied().filter(|&it| it < NONE);
        let crowd = floor.crowds.get(&strip).copied().unwrap_or(0);
        let Some(net) = net else { return label.is_none() && crowd == 0 };
        let net = net as u16;
        if label.is_some() {
            return label == Some(net);
        }
        let piece = floor.piece(strip);
        if let Some(own) = opened.pieces.iter().find(|it| it.0 == piece || it.1 == net) {
            return *own == (piece, net);
        }
        let free = crowd < 100 && !floor.known.contains(&net);
        if free {
            opened.pieces.push((piece, net));
        }
        free
    }

    /// Puts a stiff part where all of its pins stand right.
    pub(super) fn place(&mut self, plan: usize, part: PartIx, build: Option<usize>) -> Option<Move> {
        let now = self.bench.part(part).clone();
        let wish = self.wish(&self.ground.plan.parts[plan].id, 0);
        for leg in &mut self.bench.parts[part.0].legs {
            *leg = Leg::default();
        }
        let from = now.legs[0].hole;
        let middle = |holes: &[Hole]| -> Option<(f64, f64)> {
            let at: Vec<(f64, f64)> = holes
                .iter()
                .filter_map(|&it| self.bench.position(it))
                .map(|it| (it.x.into(), it.y.into()))
                .collect();
            let n = at.len() as f64;
            (!at.is_empty()).then(|| {
                (at.iter().map(|it| it.0).sum::<f64>() / n, at.iter().map(|it| it.1).sum::<f64>() / n)
            })
        };
        let old: Vec<Hole> = now.legs.iter().filter_map(|leg| leg.hole).collect();
        let centre = middle(&old);
        let mut best: Option<(i64, Turn, Vec<Hole>, ToJoin)> = None;
        let floor = self.floor();
        for (index, board) in self.bench.boards.iter().enumerate() {
            for pin1 in board.holes(index as u8) {
                for turn in Turn::ALL {
                    let holes = self.bench.holes_under(now.card, pin1, turn);
                    let Some(holes) = holes.into_iter().collect::<Option<Vec<Hole>>>() else { continue };
                    if holes.iter().any(|hole| floor.taken.contains(hole)) {
                        continue;
                    }
                    let Some(to_join) = self.stands(&floor, plan, &holes) else { continue };
                    let far = match (centre, middle(&holes)) {
                        (Some(a), Some(b)) => (50.0 * ((a.0 - b.0).abs() + (a.1 - b.1).abs())) as i64,
                        _ => 0,
                    };
                    let turned = if turn == now.turn || build.is_none() { 0 } else { 150 };
                    let price = far + turned + 100_000 * to_join.len() as i64
                        - if wish == Some(pin1) { 10_000 } else { 0 };
                    if best.as_ref().is_none_or(|it| price < it.0) {
                        best = Some((price, turn, holes, to_join));
                    }
                }
            }
        }
        let Some((_, turn, holes, to_join)) = best else {
            self.bench.parts[part.0] = now;
            return None;
        };
        let pin1 = holes[0];
        self.bench.place_rigid(part, pin1, turn).ok()?;
        self.to_join = to_join;
        self.use_up(now.card, plan, &holes);
        let kind = if build.is_some() && turn != now.turn { Kind::Turned } else { Kind::Shifted };
        let mut done = Move::plain(kind, &now.id);
        done.from = from;
        done.to = holes;
        (done.says, done.because) = if kind == Kind::Turned {
            words::turned(&now, self.bench.part(part))
        } else {
            words::shifted(&now, self.bench.part(part))
        };
        done.oddity =
            8 + from.map_or(0, |from| apart(&self.bench, from, pin1)) + self.kept(&now, plan).min(90);
        Some(done)
    }

    /// Labels the strips that a stiff part opens, and takes its pieces from those that are free.
    fn use_up(&mut self, card: &'static halfrow_core::card::Card, plan: usize, holes: &[Hole]) {
        let ground = self.ground;
        let own: Vec<usize> =
            (0..ground.form.pieces.len()).filter(|&it| ground.form.pieces[it].part == plan).collect();
        if card.gates.is_empty() {
            for &piece in &own {
                let piece = &ground.form.pieces[piece];
                for (pins, net) in piece.pins.iter().zip(&piece.nets) {
                    pins.iter().for_each(|&pin| self.claim(holes[pin], *net));
                }
            }
            self.free.retain(|it| !own.contains(it));
        }
    }
}
