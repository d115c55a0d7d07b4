//! How much work an operating point is: a snapshot, so that a slowdown is a changed line.

use halfrow_core::solve::{Work, solve};
use halfrow_outside::sixty_parts;

#[test]
fn sixty_parts_take_this_much_work() {
    let work = solve(&sixty_parts()).work;
    assert_eq!(work, Work { iterations: 13, factorisations: 13, steps: 0, unknowns: 49 });
}
