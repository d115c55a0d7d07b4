//! Sparse LU with a fixed pattern, for equations that hardly change from one solve to the next.
//!
//! The pattern is worked out once a topology: which entries there are, in which order the unknowns
//! are eliminated (fewest neighbours first) and where each product of the elimination goes. After
//! that [`Pattern::factor`] and [`Pattern::substitute`] only run along lists and allocate nothing.
//!
//! A row stores its off-diagonal entries with their signs turned round and, instead of its diagonal,
//! its *excess*: the sum of the row. For conductances that is the tie to the reference, and the
//! elimination only adds positive numbers, as in the star-mesh transformation, of which this is the
//! form for steered currents, where row and column differ. The rows are never exchanged: a diagonal is
//! the sum of the conductances at a node, of which each node has some.
//!
//! Unknowns that no curved law touches go first: what is left of their rows stays the same from one
//! Newton iteration to the next, so that an iteration only works on the few others. Those whose going would
//! join more of the others than they had neighbours wait all the same: a rail with thirty neighbours that
//! goes first leaves thirty unknowns that all know each other.

/// An unknown, by its row and column; `None` stands for a reference node, whose voltage is known
/// to be 0 and whose equation is left out.
pub type Unknown = Option<usize>;

/// One unknown of the order of elimination.
#[derive(Clone, Copy, Debug)]
struct Pivot {
    unknown: u32,
    /// Its first arm and how many it has.
    first: u32,
    count: u32,
}

/// A neighbour of a pivot that is still there when the pivot goes.
#[derive(Clone, Copy, Debug)]
struct Arm {
    unknown: u32,
    /// Entry in the pivot's row, the neighbour's column.
    out: u32,
    /// Entry in the neighbour's row, the pivot's column.
    back: u32,
}

/// Where entries are and in which order unknowns go.
#[derive(Clone, Debug)]
pub struct Pattern {
    unknowns: usize,
    /// Off-diagonal entries: two for each two neighbours.
    between: usize,
    order: Vec<Pivot>,
    arms: Vec<Arm>,
    /// For each two arms of a pivot, in the order of the loops: the entry in the row of the later,
    /// the column of the earlier. Its mirror image is the entry whose number differs in the last bit.
    targets: Vec<u32>,
    /// How many pivots go early, and how many targets belong to them.
    early: (usize, usize),
}

/// The numbers of a matrix, and of its factors once [`Pattern::factor`] has been called.
#[derive(Clone, Debug)]
pub struct Matrix {
    /// Off-diagonal entries with their signs turned, then the excess of each row, then one place
    /// that takes what belongs nowhere.
    pub(crate) values: Vec<f64>,
    /// For each arm the share of the pivot's row that goes to the neighbour's.
    shares: Vec<f64>,
    /// One over each pivot.
    one_over: Vec<f64>,
}

/// Where the slopes of an element go: for its two rows (first node, second node), for the four
/// columns (first node, second node, two controls), a place among a [`Matrix`]'s numbers.
#[derive(Clone, Copy, Debug)]
pub struct Seats {
    /// The unknown of each row; `u32::MAX` for a reference.
    rows: [u32; 2],
    places: [[u32; 4]; 2],
}

impl Pattern {
    /// The pattern of elements between unknowns (first node, second node, two controls, which repeat
    /// the first node where there are none), and each element's seats. Unknowns that are `late` are
    /// eliminated after the others.
    pub fn new(unknowns: usize, elements: &[[Unknown; 4]], late: &[bool]) -> (Pattern, Vec<Seats>) {
        let mut build = Build { joined: vec![Vec::with_capacity(4); unknowns], between: 0 };
        for &[a, b, c, d] in elements {
            if a != b {
                let pairs = [(a, b), (a, c), (a, d), (b, c), (b, d)];
                // Most elements have no controls.
                for (from, to) in pairs.into_iter().take(if c == a && d == a { 1 } else { 5 }) {
                    if let (Some(from), Some(to)) = (from, to)
                        && from != to
                    {
                        build.entry(from, to);
                    }
                }
            }
        }
        let first = build.between;
        let seats: Vec<Seats> = elements.iter().map(|&ends| build.seats(ends)).collect();
        debug_assert_eq!(first, build.between);

        let mut pattern = Pattern {
            unknowns,
            between: 0,
            order: Vec::with_capacity(unknowns),
            // Few benches fill up by more than that.
            arms: Vec::with_capacity(build.between as usize),
            targets: Vec::with_capacity(build.between as usize),
            early: (0, 0),
        };
        // By what the next one is chosen: late ones last, those with few neighbours first, then in order.
        let rank = |late: bool, neighbours: usize, unknown: usize| {
            u64::from(late) << 63 | (neighbours as u64) << 32 | unknown as u64
        };
        let mut ranks: Vec<u64> =
            (0..unknowns).map(|it| rank(late[it], build.joined[it].len(), it)).collect();
        let mut waiting: Vec<u32> = (0..unknowns as u32).collect();
        while let Some(place) = (0..waiting.len()).min_by_key(|&place| ranks[waiting[place] as usize]) {
            let pivot = waiting[place] as usize;
            let is_late = ranks[pivot] >> 63 == 1;
            if !is_late && build.joins_more_than_it_had(pivot) {
                ranks[pivot] |= 1 << 63;
                continue;
            }
            waiting.swap_remove(place);
            let star = std::mem::take(&mut build.joined[pivot]);
            let first = pattern.arms.len() as u32;
            for (i, &(a, out)) in star.iter().enumerate() {
                build.forget(a as usize, pivot as u32);
                for &(b, _) in &star[..i] {
                    pattern.targets.push(build.entry(a as usize, b as usize));
                }
                pattern.arms.push(Arm { unknown: a, out, back: out ^ 1 });
            }
            for &(a, _) in &star {
                let a = a as usize;
                ranks[a] = rank(ranks[a] >> 63 == 1, build.joined[a].len(), a);
            }
            pattern.order.push(Pivot { unknown: pivot as u32, first, count: star.len() as u32 });
            if !is_late {
                pattern.early = (pattern.order.len(), pattern.targets.len());
            }
        }
        pattern.between = build.between as usize;
        let (between, dustbin) = (build.between, build.between + unknowns as u32);
        // Excesses and the dustbin stand behind the entries, of which there are more by now.
        let seats = seats.into_iter().map(|seat| Seats {
            rows: seat.rows,
            places: [0, 1].map(|row| {
                seat.places[row].map(|place| match place {
                    EXCESS => between + seat.rows[row],
                    NOWHERE => dustbin,
                    place => place,
                })
            }),
        });
        let seats = seats.collect();
        (pattern, seats)
    }

    /// A matrix of this pattern, all zero.
    pub fn zero(&self) -> Matrix {
        Matrix {
            values: vec![0.0; self.between + self.unknowns + 1],
            shares: vec![0.0; self.arms.len()],
            one_over: vec![0.0; self.unknowns],
        }
    }

    /// Adds a conductance from an unknown to the reference.
    pub fn add_leak(&self, matrix: &mut Matrix, unknown: usize, siemens: f64) {
        matrix.values[self.between + unknown] += siemens;
    }

    /// Factors a matrix in place. False where a pivot is zero or not finite.
    pub fn factor(&self, matrix: &mut Matrix) -> bool {
        self.factor_early(matrix) && self.factor_late(matrix)
    }

    /// The first part of [`Pattern::factor`]: all unknowns that are not late. After it, entries between
    /// late unknowns may still be added to.
    pub fn factor_early(&self, matrix: &mut Matrix) -> bool {
        self.factor_some(matrix, &self.order[..self.early.0], &self.targets[..self.early.1])
    }

    /// The rest of [`Pattern::factor`].
    pub fn factor_late(&self, matrix: &mut Matrix) -> bool {
        self.factor_some(matrix, &self.order[self.early.0..], &self.targets[self.early.1..])
    }

    fn factor_some(&self, matrix: &mut Matrix, pivots: &[Pivot], targets: &[u32]) -> bool {
        let Matrix { values, shares, one_over } = matrix;
        let excess = self.between;
        let mut targets = targets.iter();
        let mut sound = true;
        for pivot in pivots {
            let own = pivot.unknown as usize;
            let first = pivot.first as usize;
            let arms = &self.arms[first..first + pivot.count as usize];
            let shares = &mut shares[first..first + pivot.count as usize];
            let own_excess = values[excess + own];
            let mut sum = own_excess;
            for arm in arms {
                sum += values[arm.out as usize];
            }
            let one = 1.0 / sum;
            sound &= one.is_finite();
            one_over[own] = one;
            for (i, arm) in arms.iter().enumerate() {
                let share = values[arm.back as usize] * one;
                shares[i] = share;
                values[excess + arm.unknown as usize] += share * own_excess;
                let out = values[arm.out as usize];
                for ((earlier, earlier_share), &target) in
                    arms[..i].iter().zip(&shares[..i]).zip(targets.by_ref().take(i))
                {
                    values[target as usize] += share * values[earlier.out as usize];
                    values[target as usize ^ 1] += earlier_share * out;
                }
            }
        }
        sound
    }

    /// Solves for a right-hand side with the factors; the right-hand side is used up and the answer
    /// written over `x`. False where it is not finite.
    pub fn substitute(&self, matrix: &Matrix, right: &mut [f64], x: &mut [f64]) -> bool {
        self.forward_early(matrix, right);
        self.forward_late(matrix, right);
        self.back_late(matrix, right, x) && self.back_early(matrix, right, x)
    }

    /// Carries a right-hand side through the unknowns that are not late.
    pub fn forward_early(&self, matrix: &Matrix, right: &mut [f64]) {
        self.forward(matrix, right, &self.order[..self.early.0]);
    }

    /// Carries it through the late ones.
    pub fn forward_late(&self, matrix: &Matrix, right: &mut [f64]) {
        self.forward(matrix, right, &self.order[self.early.0..]);
    }

    /// The late unknowns. False where one is not finite.
    pub fn back_late(&self, matrix: &Matrix, right: &[f64], x: &mut [f64]) -> bool {
        self.back(matrix, right, x, &self.order[self.early.0..])
    }

    /// The others, when the late ones are there. False where one is not finite.
    pub fn back_early(&self, matrix: &Matrix, right: &[f64], x: &mut [f64]) -> bool {
        self.back(matrix, right, x, &self.order[..self.early.0])
    }

    fn forward(&self, matrix: &Matrix, right: &mut [f64], pivots: &[Pivot]) {
        for pivot in pivots {
            let own = right[pivot.unknown as usize];
            let first = pivot.first as usize;
            let range = first..first + pivot.count as usize;
            for (arm, share) in self.arms[range.clone()].iter().zip(&matrix.shares[range]) {
                right[arm.unknown as usize] += share * own;
            }
        }
    }

    fn back(&self, matrix: &Matrix, right: &[f64], x: &mut [f64], pivots: &[Pivot]) -> bool {
        let mut finite = true;
        for pivot in pivots.iter().rev() {
            let own = pivot.unknown as usize;
            let first = pivot.first as usize;
            let mut flow = right[own];
            for arm in &self.arms[first..first + pivot.count as usize] {
                flow += matrix.values[arm.out as usize] * x[arm.unknown as usize];
            }
            x[own] = flow * matrix.one_over[own];
            finite &= x[own].is_finite();
        }
        finite
    }
}

/// Seats of which the place is known once all entries are there: beyond the number of any entry.
const EXCESS: u32 = u32::MAX;
const NOWHERE: u32 = u32::MAX - 1;

/// A pattern under construction: for each unknown that is still there, its neighbours, with the
/// entry in its own row and the neighbour's column.
struct Build {
    joined: Vec<Vec<(u32, u32)>>,
    between: u32,
}

impl Build {
    /// The entry in row `a` and column `b`, made if need be.
    fn entry(&mut self, a: usize, b: usize) -> u32 {
        if let Some(&(_, entry)) = self.joined[a].iter().find(|(other, _)| *other == b as u32) {
            return entry;
        }
        let entry = self.between;
        self.between += 2;
        self.joined[a].push((b as u32, entry));
        self.joined[b].push((a as u32, entry + 1));
        entry
    }

    /// Takes an unknown from another's neighbours; the others stay in their order.
    fn forget(&mut self, of: usize, unknown: u32) {
        if let Some(place) = self.joined[of].iter().position(|&(other, _)| other == unknown) {
            self.joined[of].remove(place);
        }
    }

    /// Whether the neighbours of an unknown that goes get more new neighbours among each other than it had.
    fn joins_more_than_it_had(&self, unknown: usize) -> bool {
        let star = &self.joined[unknown];
        // Three of them have three pairs: no more than it had.
        if star.len() <= 3 {
            return false;
        }
        let knows = |a: u32, b: u32| self.joined[a as usize].iter().any(|&(other, _)| other == b);
        let pairs = (0..star.len()).flat_map(|i| (0..i).map(move |j| (i, j)));
        pairs.filter(|&(i, j)| !knows(star[i].0, star[j].0)).nth(star.len()).is_some()
    }

    fn seats(&mut self, ends: [Unknown; 4]) -> Seats {
        let rows = [ends[0], ends[1]];
        let places = rows.map(|row| {
            let Some(row) = row.filter(|_| ends[0] != ends[1]) else { return [NOWHERE; 4] };
            let mut place = |column: Unknown| match column {
                None => EXCESS,
                Some(column) if column == row => NOWHERE,
                Some(column) => self.entry(row, column),
            };
            let [first, second] = [place(ends[0]), place(ends[1])];
            let control = [ends[2], ends[3]].map(|it| if it == ends[0] { first } else { place(it) });
            [first, second, control[0], control[1]]
        });
        Seats { rows: rows.map(|row| row.map_or(u32::MAX, |row| row as u32)), places }
    }
}

impl Matrix {
    /// Makes this equal to another of the same pattern (its numbers, not its factors).
    pub fn copy_from(&mut self, other: &Matrix) {
        self.values.copy_from_slice(&other.values);
    }

    /// All entries zero.
    pub fn clear(&mut self) {
        self.values.fill(0.0);
    }

    /// Adds a conductance between an element's ends.
    pub fn add_conductance(&mut self, seats: &Seats, siemens: f64) {
        self.values[seats.places[0][1] as usize] += siemens;
        self.values[seats.places[1][0] as usize] += siemens;
    }

    /// Adds the slopes of an element's current over its four nodes. They add up to zero.
    pub fn add_slopes(&mut self, seats: &Seats, siemens: [f64; 4]) {
        for (to_first, g) in seats.places[0].iter().zip(siemens) {
            self.values[*to_first as usize] -= g;
        }
        for (to_second, g) in seats.places[1].iter().zip(siemens) {
            self.values[*to_second as usize] += g;
        }
    }
}

impl Seats {
    /// Adds a current that flows from the element's first node to its second to a right-hand side
    /// (one longer than the unknowns: the last place takes what flows into references).
    pub fn add_current(&self, right: &mut [f64], amps: f64) {
        let last = right.len() - 1;
        right[(self.rows[0] as usize).min(last)] -= amps;
        right[(self.rows[1] as usize).min(last)] += amps;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    fn chance(state: &mut u64) -> u64 {
        *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        *state >> 33
    }

    #[test]
    fn agrees_with_dense_lu_on_random_circuits_with_steered_currents() {
        let mut state = 11;
        for round in 0..400 {
            let n = 1 + (chance(&mut state) % 30) as usize;
            let mut elements: Vec<[Unknown; 4]> = vec![[Some(0), None, Some(0), Some(0)]];
            elements.extend((1..n).map(|i| {
                let other = Some((chance(&mut state) % i as u64) as usize);
                [Some(i), other, Some(i), Some(i)]
            }));
            for _ in 0..chance(&mut state) % 30 {
                let mut end = || Some((chance(&mut state) % (n as u64 + 1)) as usize).filter(|&i| i < n);
                elements.push([end(), end(), end(), end()]);
            }
            // Every third unknown goes late.
            let late: Vec<bool> = (0..n).map(|i| i % 3 == 0).collect();
            let (pattern, seats) = Pattern::new(n, &elements, &late);
            let mut matrix = pattern.zero();
            let mut dense = DMatrix::<f64>::zeros(n, n);
            let mut right = vec![0.0; n + 1];
            for (ends, seats) in elements.iter().zip(&seats) {
                let g = 1.0 + (chance(&mut state) % 1000) as f64 / 100.0;
                let steered = (chance(&mut state) % 100) as f64 / 100.0;
                let amps = (chance(&mut state) % 100) as f64 / 10.0 - 5.0;
                let slopes = [g, -g, steered, -steered];
                matrix.add_slopes(seats, slopes);
                seats.add_current(&mut right, amps);
                for (row, sign) in [(ends[0], 1.0), (ends[1], -1.0)] {
                    for (column, g) in ends.iter().zip(slopes) {
                        if let (Some(row), Some(column)) = (row, *column) {
                            dense[(row, column)] += sign * g;
                        }
                    }
                }
            }
            let reference = dense.lu().solve(&DVector::from_column_slice(&right[..n])).expect("regular");
            assert!(pattern.factor(&mut matrix));
            let mut x = vec![0.0; n];
            assert!(pattern.substitute(&matrix, &mut right, &mut x));
            for (x, y) in x.iter().zip(reference.iter()) {
                assert!((x - y).abs() <= 1e-9 * (1.0 + y.abs()), "round {round}: {x} {y}");
            }
        }
    }

    #[test]
    fn a_leak_beside_wires_keeps_its_digits() {
        let end = |a, b| [Some(a), b, Some(a), Some(a)];
        let (pattern, seats) =
            Pattern::new(3, &[end(0, Some(1)), end(1, Some(2)), end(2, None), end(0, None)], &[false; 3]);
        let mut matrix = pattern.zero();
        for (seats, siemens) in seats.iter().zip([50.0, 50.0, 1e-12]) {
            matrix.add_conductance(seats, siemens);
        }
        let mut right = [1.0, 0.0, 0.0, 0.0];
        let mut x = [0.0; 3];
        assert!(pattern.factor(&mut matrix) && pattern.substitute(&matrix, &mut right, &mut x));
        assert!((x[2] / 1e12 - 1.0).abs() < 1e-15);
    }

    #[test]
    fn a_node_tied_to_nothing_is_told() {
        let (pattern, _) = Pattern::new(1, &[], &[false]);
        assert!(!pattern.factor(&mut pattern.zero()));
    }
}
