//! Wires: an end elsewhere, a wire elsewhere, a wire more.

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::{Hole, Place, Strip};
use halfrow_core::part::{Leg, Part};
use halfrow_core::parts::CARDS;

use super::Hand;
use crate::moves::{Kind, Move};
use crate::words;

impl Hand<'_, '_> {
    pub(super) fn wire_end(&mut self, build: usize, pin: usize, to: &[u16]) -> Option<Move> {
        let part = self.ix(build)?;
        let strips: Vec<Strip> = to.iter().map(|&at| self.ground.strips[usize::from(at)]).collect();
        let net = self.labels.get(strips.first()?).map(|&it| usize::from(it));
        let id = self.bench.part(part).id.clone();
        let wish = self.wish(&id, pin);
        self.put_leg(LegId { part, pin }, net, &strips, wish, Kind::WireEnd)
    }

    /// A wire between two pieces of a net: one that lies elsewhere, or a new one.
    pub(super) fn wire(&mut self, build: Option<usize>, strips: &[Vec<Strip>; 2]) -> Option<Move> {
        let (part, now) = match build {
            Some(build) => {
                let part = self.ix(build)?;
                let now = self.bench.part(part).clone();
                self.bench.parts[part.0].legs.iter_mut().for_each(|leg| *leg = Leg::default());
                (part, Some(now))
            }
            None => {
                let card = CARDS.iter().copied().find(|card| card.is_wire())?;
                let mut new = Part::new(self.bench.next_id(card), card);
                // The colour of a wire that is in the net already.
                let fellow = self.bench.parts.iter().find(|it| {
                    it.card.is_wire()
                        && it.legs.iter().any(|leg| {
                            let strip = leg.hole.and_then(|hole| self.bench.strip(hole));
                            strip.is_some_and(|strip| strips.iter().any(|list| list.contains(&strip)))
                        })
                });
                if let Some(fellow) = fellow {
                    new.values.clone_from(&fellow.values);
                }
                self.bench.parts.push(new);
                (PartIx(self.bench.parts.len() - 1), None)
            }
        };
        let lists = [self.holes_in(&strips[0], None, None), self.holes_in(&strips[1], None, None)];
        let mut best: Option<(f64, Hole, Hole)> = None;
        for &a in &lists[0] {
            for &b in &lists[1] {
                let liked = if self.layout_joins(a, b) { 1000.0 } else { 0.0 };
                let far = self.bench.distance(a, b)? - liked;
                if best.is_none_or(|it| far < it.0) {
                    best = Some((far, a, b));
                }
            }
        }
        let (price, a, b) = best?;
        for (pin, hole) in [a, b].into_iter().enumerate() {
            self.bench.put_leg(LegId { part, pin }, Some(hole)).ok()?;
        }
        let is_rail = |hole: Hole| matches!(hole.place, Place::Rail { .. });
        let kind = match (&now, is_rail(a) && is_rail(b)) {
            (Some(_), _) => Kind::WireMoved,
            (None, true) => Kind::RailsApart,
            (None, false) => Kind::WireMissing,
        };
        let mut done = Move::plain(kind, &self.bench.part(part).id);
        let near = |list: &[Hole], hole: Hole| -> Vec<Hole> {
            let strip = self.bench.strip(hole);
            let others = list.iter().copied().filter(|&it| it != hole && self.bench.strip(it) == strip);
            std::iter::once(hole).chain(others.take(4)).collect()
        };
        done.ends = [near(&lists[0], a), near(&lists[1], b)];
        done.from = now.as_ref().and_then(|it| it.legs[0].hole);
        (done.says, done.because) = words::wire(kind, self.bench.part(part), a, b);
        done.oddity = if price < 0.0 { 6 } else { 14 };
        Some(done)
    }

    /// Whether the plan's layout has a wire between the strips of two holes.
    fn layout_joins(&self, a: Hole, b: Hole) -> bool {
        let (Some(a), Some(b)) = (self.bench.strip(a), self.bench.strip(b)) else { return false };
        self.ground.planned_wires.iter().any(|it| it.joins(a, b))
    }
}
