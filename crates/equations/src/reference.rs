//! A fixed piece of work that tells how fast a machine is: nalgebra's dense LU of sixty equations. Budgets
//! of time are scaled by it, so that they mean the same on every machine and on every day. Measured with,
//! never shipped.

use nalgebra::{DMatrix, DVector};

/// How many equations.
const SIZE: usize = 60;

/// Sixty equations with a fixed matrix, all of whose entries are there.
#[derive(Clone, Debug)]
pub struct DenseLu {
    matrix: DMatrix<f64>,
    right: DVector<f64>,
}

impl Default for DenseLu {
    fn default() -> DenseLu {
        let mut state = 7_u64;
        let matrix = DMatrix::from_fn(SIZE, SIZE, |row, column| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f64 / 1e7 + if row == column { SIZE as f64 } else { 0.0 }
        });
        DenseLu { matrix, right: DVector::from_element(SIZE, 1.0) }
    }
}

impl DenseLu {
    /// Factors the matrix and solves; the first unknown comes back.
    ///
    /// # Panics
    /// Never: the diagonal outweighs each row.
    pub fn solve(&self) -> f64 {
        self.matrix.clone().lu().solve(&self.right).expect("regular")[0]
    }
}
