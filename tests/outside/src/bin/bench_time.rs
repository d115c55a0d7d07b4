//! Prints how long simulated time takes: microseconds for a frame of a sixtieth of a second, of the
//! blinker and the running lights, and how the sparse LU compares with dense LU on a real bench's matrix.

use std::hint::black_box;
use std::process::ExitCode;
use std::time::Instant;

use halfrow_core::bench::Bench;
use halfrow_core::sample::{blinker, running_lights};
use halfrow_core::time::{Care, Run};

/// Median and 95th percentile of the microseconds that a frame takes, and the steps of all frames.
fn frames(bench: &Bench) -> (f64, f64, u64) {
    let mut run = Run::new(bench, Care::LIVE);
    run.until(1.0, u32::MAX);
    let before = run.effort().steps;
    let mut micros: Vec<f64> = (1..=300)
        .map(|frame| {
            let start = Instant::now();
            run.until(1.0 + f64::from(frame) / 60.0, u32::MAX);
            black_box(&run);
            start.elapsed().as_secs_f64() * 1e6
        })
        .collect();
    micros.sort_unstable_by(f64::total_cmp);
    if std::env::args().any(|it| it == "--effort") {
        println!("{:?}", run.effort());
    }
    (micros[150], micros[285], run.effort().steps - before)
}

fn main() -> ExitCode {
    for (name, bench) in [("blinker_1khz", blinker(1000.0)), ("running_lights_10hz", running_lights(10.0))] {
        let (median, p95, steps) = frames(&bench);
        println!("{{\"bench\":\"{name}\",\"median_us\":{median:.1},\"p95_us\":{p95:.1},\"steps\":{steps}}}");
    }
    let (sparse, dense, unknowns) = halfrow_outside::lu::compare(&halfrow_outside::lu::micros);
    let ratio = dense / sparse;
    println!(
        "{{\"unknowns\":{unknowns},\"sparse_us\":{sparse:.2},\"dense_us\":{dense:.2},\"ratio\":{ratio:.1}}}"
    );
    if ratio >= 5.0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
