//! The sparse LU of the clock against dense LU, on the matrices of crowded benches.

use std::hint::black_box;

use halfrow_core::circuit::Contacts;
use halfrow_core::sample::sixty_parts;
use halfrow_core::solve::solve;
use halfrow_core::sparse::Pattern;
use halfrow_core::sparse::Unknown;
use nalgebra::{DMatrix, DVector};

/// A circuit at its operating point as a matrix: for each element its unknowns and its slope.
pub struct Circuit {
    /// How many voltages are unknown.
    pub unknowns: usize,
    /// See [`Circuit`].
    pub elements: Vec<([Unknown; 4], f64)>,
}

/// So many crowded boards beside each other, their rails tied by wires.
pub fn crowded(boards: usize) -> Circuit {
    let bench = sixty_parts();
    let point = solve(&bench);
    let circuit = halfrow_core::circuit::Circuit::of(&bench, Contacts::default());
    let mut unknown = vec![Some(0); circuit.nodes];
    for island in &point.islands {
        unknown[island.reference.0] = None;
    }
    let mut count = 0;
    for it in unknown.iter_mut().flatten() {
        *it = count;
        count += 1;
    }
    let mut elements = Vec::new();
    for board in 0..boards {
        let on_board = |node: usize| unknown[node].map(|unknown| unknown + board * count);
        elements.extend(circuit.elements.iter().map(|element| {
            let (a, b) = (element.a.0, element.b.0);
            let siemens = element.law.flow(point.node_volts[a] - point.node_volts[b]).siemens;
            ([on_board(a), on_board(b), on_board(a), on_board(a)], siemens)
        }));
        if board > 0 {
            let (here, there) = (Some(board * count), Some((board - 1) * count));
            elements.push(([here, there, here, here], 20.0));
        }
    }
    Circuit { unknowns: boards * count, elements }
}

/// Row, column and value of what adds up to the matrix.
pub fn entries(circuit: &Circuit) -> Vec<(usize, usize, f64)> {
    let mut entries = Vec::new();
    for (ends, siemens) in circuit.elements.iter().filter(|(ends, _)| ends[0] != ends[1]) {
        for (row, column, sign) in [(0, 0, 1.0), (1, 1, 1.0), (0, 1, -1.0), (1, 0, -1.0)] {
            if let (Some(row), Some(column)) = (ends[row], ends[column]) {
                entries.push((row, column, sign * siemens));
            }
        }
    }
    entries
}

/// Microseconds by the machine's clock, natively.
#[cfg(not(target_arch = "wasm32"))]
pub fn micros() -> f64 {
    use std::time::{SystemTime, UNIX_EPOCH};
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0.0, |since| since.as_secs_f64() * 1e6)
}

/// Microseconds of one turn: the best of many tries, since noise only adds. `micros` is a clock.
pub fn best_of(micros: &dyn Fn() -> f64, mut turn: impl FnMut()) -> f64 {
    // Milliseconds each, as a browser's clock is coarse.
    const TURNS: u32 = 2000;
    let mut best = f64::INFINITY;
    for _ in 0..12 {
        let start = micros();
        for _ in 0..TURNS {
            turn();
        }
        best = best.min((micros() - start) / f64::from(TURNS));
    }
    best
}

/// Microseconds of one factorisation and solution by the sparse LU.
pub fn sparse(circuit: &Circuit, micros: &dyn Fn() -> f64) -> f64 {
    let n = circuit.unknowns;
    let ends: Vec<[Unknown; 4]> = circuit.elements.iter().map(|it| it.0).collect();
    let (pattern, seats) = Pattern::new(n, &ends, &vec![false; n]);
    let mut straight = pattern.zero();
    for ((_, siemens), seats) in circuit.elements.iter().zip(&seats) {
        straight.add_conductance(seats, *siemens);
    }
    let (mut matrix, mut right, mut x) = (pattern.zero(), vec![0.0; n + 1], vec![0.0; n]);
    best_of(micros, || {
        matrix.copy_from(&straight);
        right.fill(0.0);
        right[0] = 1.0;
        assert!(pattern.factor(&mut matrix));
        assert!(pattern.substitute(&matrix, &mut right, &mut x));
        black_box(&x);
    })
}

/// Microseconds of one factorisation and solution, sparse and dense, and the number of unknowns.
pub fn compare(micros: &dyn Fn() -> f64) -> (f64, f64, usize) {
    let circuit = crowded(1);
    let n = circuit.unknowns;
    let mut dense = DMatrix::<f64>::zeros(n, n);
    for (row, column, value) in entries(&circuit) {
        dense[(row, column)] += value;
    }
    let one = DVector::from_fn(n, |row, _| if row == 0 { 1.0 } else { 0.0 });
    let dense_time = best_of(micros, || {
        let mut y = one.clone();
        assert!(black_box(&dense).clone().lu().solve_mut(&mut y));
        black_box(&y);
    });
    (sparse(&circuit, micros), dense_time, n)
}
