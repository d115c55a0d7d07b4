//! The sparse LU of the clock against dense LU, on the matrix of a crowded bench.

use std::hint::black_box;

use halfrow_core::circuit::{Circuit, Contacts};
use halfrow_core::sample::sixty_parts;
use halfrow_core::solve::solve;
use halfrow_core::sparse::Pattern;
use halfrow_core::sparse::Unknown;
use nalgebra::{DMatrix, DVector};

/// The crowded bench's circuit at its operating point as a matrix: for each element its unknowns and
/// its slope.
pub fn crowded() -> (usize, Vec<([Unknown; 4], f64)>) {
    let bench = sixty_parts();
    let point = solve(&bench);
    let circuit = Circuit::of(&bench, Contacts::default());
    let mut unknown = vec![Some(0); circuit.nodes];
    for island in &point.islands {
        unknown[island.reference.0] = None;
    }
    let mut count = 0;
    for it in unknown.iter_mut().flatten() {
        *it = count;
        count += 1;
    }
    let elements = circuit
        .elements
        .iter()
        .map(|element| {
            let (a, b) = (element.a.0, element.b.0);
            let siemens = element.law.flow(point.node_volts[a] - point.node_volts[b]).siemens;
            ([unknown[a], unknown[b], unknown[a], unknown[a]], siemens)
        })
        .collect();
    (count, elements)
}

/// Microseconds by the machine's clock, natively.
#[cfg(not(target_arch = "wasm32"))]
pub fn micros() -> f64 {
    use std::time::{SystemTime, UNIX_EPOCH};
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0.0, |since| since.as_secs_f64() * 1e6)
}

/// Microseconds of one factorisation and solution, sparse and dense, and the number of unknowns. The
/// best of many tries each, since noise only adds. `micros` is a clock.
pub fn compare(micros: &dyn Fn() -> f64) -> (f64, f64, usize) {
    let (n, elements) = crowded();
    let ends: Vec<[Unknown; 4]> = elements.iter().map(|it| it.0).collect();
    let (pattern, seats) = Pattern::new(n, &ends, &vec![false; n]);
    let mut straight = pattern.zero();
    let mut dense = DMatrix::<f64>::zeros(n, n);
    for ((ends, siemens), seats) in elements.iter().zip(&seats) {
        straight.add_conductance(seats, *siemens);
        for (row, column, sign) in [(0, 0, 1.0), (1, 1, 1.0), (0, 1, -1.0), (1, 0, -1.0)] {
            if let (Some(row), Some(column)) = (ends[row], ends[column])
                && ends[0] != ends[1]
            {
                dense[(row, column)] += sign * siemens;
            }
        }
    }
    let (mut matrix, mut right, mut x) = (pattern.zero(), vec![0.0; n + 1], vec![0.0; n]);
    let best = |mut turn: Box<dyn FnMut() + '_>| {
        let mut best = f64::INFINITY;
        for _ in 0..8 {
            // Milliseconds each, as a browser's clock is coarse.
            let start = micros();
            for _ in 0..5000 {
                turn();
            }
            best = best.min((micros() - start) / 5000.0);
        }
        best
    };
    let sparse = best(Box::new(|| {
        matrix.copy_from(&straight);
        right.fill(0.0);
        right[0] = 1.0;
        assert!(pattern.factor(&mut matrix));
        assert!(pattern.substitute(&matrix, &mut right, &mut x));
        black_box(&x);
    }));
    let one = DVector::from_fn(n, |row, _| if row == 0 { 1.0 } else { 0.0 });
    let dense_time = best(Box::new(|| {
        let mut y = one.clone();
        assert!(black_box(&dense).clone().lu().solve_mut(&mut y));
        black_box(&y);
    }));
    (sparse, dense_time, n)
}
