//! Prints how long a full operating point of the sixty-part bench takes, in microseconds.

use std::hint::black_box;
use std::process::ExitCode;
use std::time::Instant;

use halfrow_core::reference::DenseLu;
use halfrow_core::solve::solve;
use halfrow_outside::sixty_parts;

/// What is promised, microseconds, where the dense LU of [`DenseLu`] takes [`REFERENCE`].
const BUDGET: f64 = 60.0;

/// Microseconds of the dense LU on the machine that the budget is for.
const REFERENCE: f64 = 17.0;

/// Microseconds of the dense LU: the median, taken as that of the benches is.
fn reference() -> f64 {
    let equations = DenseLu::default();
    let mut micros: Vec<f64> = (0..2000)
        .map(|_| {
            let start = Instant::now();
            black_box(black_box(&equations).solve());
            start.elapsed().as_secs_f64() * 1e6
        })
        .collect();
    micros.sort_unstable_by(f64::total_cmp);
    micros[micros.len() / 2]
}

fn main() -> ExitCode {
    let bench = sixty_parts();
    for _ in 0..200 {
        black_box(solve(black_box(&bench)));
    }
    let lu = reference();
    let budget = BUDGET * lu / REFERENCE;
    let mut micros: Vec<f64> = (0..2000)
        .map(|_| {
            let start = Instant::now();
            black_box(solve(black_box(&bench)));
            start.elapsed().as_secs_f64() * 1e6
        })
        .collect();
    micros.sort_unstable_by(f64::total_cmp);
    let (median, p95) = (micros[micros.len() / 2], micros[micros.len() * 95 / 100]);
    let work = solve(&bench).work;
    println!(
        "{{\"median_us\":{median:.1},\"p95_us\":{p95:.1},\"budget_us\":{budget:.1},\"dense_lu_us\":{lu:.1},\"unknowns\":{},\"iterations\":{},\"factorisations\":{}}}",
        work.unknowns, work.iterations, work.factorisations
    );
    if median <= budget { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
