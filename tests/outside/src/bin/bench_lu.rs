//! Prints how the sparse LU compares with faer's on the matrices of crowded benches.

use std::process::ExitCode;

use halfrow_outside::lu::{crowded, micros, sparse};
use halfrow_outside::lu_sparse::general_purpose;

/// So many times as fast it has to be.
const TIMES: f64 = 3.0;

fn main() -> ExitCode {
    let mut holds = true;
    for boards in [1, 4] {
        let circuit = crowded(boards);
        let (own, other) = (sparse(&circuit, &micros), general_purpose(&circuit, &micros));
        holds &= other >= TIMES * own;
        println!(
            "{{\"unknowns\":{},\"sparse_us\":{own:.2},\"faer_sparse_us\":{other:.2},\"ratio\":{:.1},\"promised\":{TIMES}}}",
            circuit.unknowns,
            other / own
        );
    }
    if holds { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
