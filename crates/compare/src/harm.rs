//! What a moment on the way would burn.

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::solve::solve_in_portions;

/// Newton iterations times unknowns after which a bench that is hard to solve lets go: as much as the
/// findings take at once.
const PORTION: u64 = 500;

/// What of a bench is driven so hard that it burns out, and which sources give more than they can for long.
pub(crate) async fn harms(bench: &Bench) -> Vec<String> {
    let point = solve_in_portions(bench, PORTION).await;
    let mut harms = Vec::new();
    for (index, part) in bench.parts.iter().enumerate() {
        let reading = &point.parts[PartIx(index).0];
        let burns = part.card.wear.is_some_and(|wear| (wear.strain)(part, reading) > wear.burns_at);
        let spends = part.card.source.is_some_and(|source| {
            let amps = reading.pins[usize::from(source.plus)].amps;
            amps.abs() > 1.01 * (source.safe_amps)(part)
        });
        if burns || spends {
            harms.push(part.id.clone());
        }
    }
    harms
}
