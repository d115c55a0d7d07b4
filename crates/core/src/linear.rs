//! The linear equations behind one Newton iteration.

use nalgebra::{DMatrix, DVector};

/// A square system A·x = b that is filled, solved and filled again.
#[derive(Clone, Debug)]
pub struct LinearSystem {
    /// A.
    matrix: DMatrix<f64>,
    /// b.
    right: DVector<f64>,
}

pub use halfrow_equations::sparse::Unknown;

impl LinearSystem {
    /// A system of `n` equations, all zero.
    pub fn new(n: usize) -> LinearSystem {
        LinearSystem { matrix: DMatrix::zeros(n, n), right: DVector::zeros(n) }
    }

    /// Makes this system equal to another of the same size, without allocation.
    pub fn copy_from(&mut self, other: &LinearSystem) {
        self.matrix.copy_from(&other.matrix);
        self.right.copy_from(&other.right);
    }

    /// Adds to a coefficient.
    pub fn add(&mut self, row: Unknown, column: Unknown, value: f64) {
        if let (Some(row), Some(column)) = (row, column) {
            self.matrix[(row, column)] += value;
        }
    }

    /// Adds to a right-hand side.
    pub fn add_right(&mut self, row: Unknown, value: f64) {
        if let Some(row) = row {
            self.right[row] += value;
        }
    }

    /// Adds a conductance between two unknowns and the current that flows at zero volts.
    pub fn add_conductance(&mut self, a: Unknown, b: Unknown, siemens: f64, amps_at_zero: f64) {
        self.add(a, a, siemens);
        self.add(b, b, siemens);
        self.add(a, b, -siemens);
        self.add(b, a, -siemens);
        self.add_right(a, -amps_at_zero);
        self.add_right(b, amps_at_zero);
    }

    /// Solves by LU with partial pivoting. `None` when the matrix is singular or the answer is not
    /// finite.
    pub fn solve(&self) -> Option<Vec<f64>> {
        let mut x = self.right.clone();
        if !self.matrix.clone().lu().solve_mut(&mut x) {
            return None;
        }
        x.iter().all(|x| x.is_finite()).then(|| x.as_slice().to_vec())
    }
}
