//! How far a bench lies from its plan's own layout: among repairs that are equally short, most builds are
//! meant to lie as the plan does.

use halfrow_core::bench::Bench;
use halfrow_core::board::Strip;
use halfrow_core::part::Part;

use crate::ground::Ground;

/// What speaks against a repair for each leg that ends up in another strip than the layout's, and for each
/// wire that the layout hasn't got or that is still missing. A little more than one row of a slip of the
/// hand (`hand/odd.rs`), so that a leg that goes back where the plan has it wins over one a row nearer.
const UNLIKE: i32 = 3;

/// What speaks against a bench; nothing where there is no layout or the build doesn't follow it.
pub(crate) fn unlike(ground: &Ground<'_>, bench: &Bench) -> i32 {
    let Some(layout) = ground.layout else { return 0 };
    let legs: usize = layout.parts.iter().map(|it| it.legs.len()).sum();
    if 2 * differences(layout, ground.bench) > legs {
        return 0;
    }
    UNLIKE * differences(layout, bench) as i32
}

/// Legs that lie in other strips than those of the layout's part of their name; wires by their places.
fn differences(layout: &Bench, bench: &Bench) -> usize {
    let mut wires = wires(layout);
    let mut count = 0;
    for part in &bench.parts {
        if part.card.is_wire() {
            match wires.iter().position(|it| *it == strips(bench, part)) {
                Some(at) => drop(wires.swap_remove(at)),
                None => count += 1,
            }
        } else {
            let fellow = layout.find(&part.id).map(|it| layout.part(it)).filter(|it| it.card == part.card);
            count += match fellow {
                Some(fellow) => apart(&in_order(bench, part), &in_order(layout, fellow)),
                None => 1,
            };
        }
    }
    count + wires.len()
}

fn wires(bench: &Bench) -> Vec<Vec<Option<Strip>>> {
    bench.parts.iter().filter(|it| it.card.is_wire()).map(|it| strips(bench, it)).collect()
}

/// The strips of a part's legs, sorted.
fn strips(bench: &Bench, part: &Part) -> Vec<Option<Strip>> {
    let mut strips = in_order(bench, part);
    strips.sort_unstable();
    strips
}

fn in_order(bench: &Bench, part: &Part) -> Vec<Option<Strip>> {
    let mut strips: Vec<Option<Strip>> =
        part.legs.iter().map(|leg| leg.hole.and_then(|hole| bench.strip(hole))).collect();
    // Two legs that are alike lie in either order.
    if part.legs.len() == 2 && !part.card.alike.is_empty() {
        strips.sort_unstable();
    }
    strips
}

fn apart(one: &[Option<Strip>], other: &[Option<Strip>]) -> usize {
    one.iter().zip(other).filter(|(a, b)| a != b).count()
}
