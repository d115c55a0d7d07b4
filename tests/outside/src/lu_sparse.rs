//! The sparse LU of the clock against a general-purpose sparse solver: nalgebra-sparse's Cholesky with
//! its pattern kept, on the same matrix (which is symmetric, so that Cholesky may be used; it does half
//! of what an LU would have to).

use std::hint::black_box;

use nalgebra::DMatrix;
use nalgebra_sparse::factorization::CscCholesky;
use nalgebra_sparse::{CooMatrix, CscMatrix};

use crate::lu::{crowded, micros};

/// Microseconds of one factorisation and solution with the pattern known.
///
/// # Panics
/// Never: the matrix of a bench at rest is positive definite.
pub fn general_purpose() -> f64 {
    let (n, elements) = crowded();
    let mut entries = CooMatrix::new(n, n);
    for (ends, siemens) in &elements {
        for (row, column, sign) in [(0, 0, 1.0), (1, 1, 1.0), (0, 1, -1.0), (1, 0, -1.0)] {
            if let (Some(row), Some(column)) = (ends[row], ends[column])
                && ends[0] != ends[1]
            {
                entries.push(row, column, sign * siemens);
            }
        }
    }
    let matrix = CscMatrix::from(&entries);
    let right = DMatrix::from_fn(n, 1, |row, _| if row == 0 { 1.0 } else { 0.0 });
    let mut cholesky = CscCholesky::factor(&matrix).expect("positive definite");
    let mut best = f64::INFINITY;
    for _ in 0..30 {
        let start = micros();
        for _ in 0..500 {
            cholesky.refactor(black_box(matrix.values())).expect("positive definite");
            black_box(cholesky.solve(&right));
        }
        best = best.min((micros() - start) / 500.0);
    }
    best
}
