//! Wires whose colour contradicts their rail.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Sign, Strip, StripPlace};

use crate::words::{hole_if, other_sign, wire_sign};

/// An end of a wire in a rail of the sign that its colour speaks against.
pub(crate) struct Mismatch {
    pub leg: LegId,
    pub hole: Hole,
    /// The sign that its colour stands for.
    pub own: Sign,
    /// The rail beside it, where its colour would be right.
    pub beside: Strip,
    /// Whether the wire joins rails of both signs.
    pub both: bool,
}

pub(crate) fn mismatches(bench: &Bench) -> Vec<Mismatch> {
    let mut found = Vec::new();
    for index in 0..bench.parts.len() {
        let wire = PartIx(index);
        let Some(own) = wire_sign(bench, wire) else { continue };
        let rail = |pin: usize| {
            let hole = hole_if(bench, LegId { part: wire, pin })?;
            let strip = bench.strip(hole)?;
            let StripPlace::Rail { side, sign, lower } = strip.place else { return None };
            let beside = Strip { place: StripPlace::Rail { side, sign: other_sign(sign), lower }, ..strip };
            Some((hole, sign, beside))
        };
        let (first, second) = (rail(0), rail(1));
        let has = |sign: Sign| [&first, &second].into_iter().flatten().any(|it| it.1 == sign);
        let both = has(own) && has(other_sign(own));
        for (pin, end) in [first, second].into_iter().enumerate() {
            if let Some((hole, _, beside)) = end.filter(|end| end.1 != own) {
                found.push(Mismatch { leg: LegId { part: wire, pin }, hole, own, beside, both });
            }
        }
    }
    found
}
