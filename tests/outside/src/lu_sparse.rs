//! The sparse LU of the clock against a general-purpose one: faer's, with its symbolic part done once.

use std::hint::black_box;

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::lu::{LuSymbolicParams, NumericLu, factorize_symbolic_lu};
use faer::sparse::{SparseColMat, Triplet};
use faer::{Conj, Mat, Par};

use crate::lu::{Circuit, best_of, entries};

/// Microseconds of one factorisation and solution with the pattern known, by the faster of its two ways.
///
/// # Panics
/// Never: the matrix of a bench at rest is regular.
pub fn general_purpose(circuit: &Circuit, micros: &dyn Fn() -> f64) -> f64 {
    let triplets: Vec<_> =
        entries(circuit).into_iter().map(|(row, column, value)| Triplet::new(row, column, value)).collect();
    let n = circuit.unknowns;
    let matrix = SparseColMat::<usize, f64>::try_new_from_triplets(n, n, &triplets).expect("within its size");
    let ways = [SupernodalThreshold::FORCE_SIMPLICIAL, SupernodalThreshold::FORCE_SUPERNODAL];
    let times = ways.map(|supernodal_flop_ratio_threshold| {
        let params = LuSymbolicParams { supernodal_flop_ratio_threshold, ..Default::default() };
        let symbolic = factorize_symbolic_lu(matrix.symbolic(), params).expect("enough memory");
        let mut room =
            MemBuffer::new(symbolic.factorize_numeric_lu_scratch::<f64>(Par::Seq, Default::default()));
        let mut solve_room = MemBuffer::new(symbolic.solve_in_place_scratch::<f64>(1, Par::Seq));
        let mut numeric = NumericLu::<usize, f64>::new();
        let mut right = Mat::<f64>::zeros(n, 1);
        best_of(micros, || {
            right.fill(0.0);
            right[(0, 0)] = 1.0;
            let factors = symbolic
                .factorize_numeric_lu(
                    &mut numeric,
                    black_box(matrix.as_ref()),
                    Par::Seq,
                    MemStack::new(&mut room),
                    Default::default(),
                )
                .expect("regular");
            factors.solve_in_place_with_conj(
                Conj::No,
                right.as_mut(),
                Par::Seq,
                MemStack::new(&mut solve_room),
            );
            black_box(&right);
        })
    });
    times[0].min(times[1])
}
