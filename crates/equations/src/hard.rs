//! The long ways to the voltages of a moment, for circuits on which Newton's method alone does not settle.
//!
//! (1) Steps cut to length, where every current depends on the voltage over its own element only: as each
//! law's current rises with its voltage, the currents that are left over are the slope of a convex function
//! (Millar's co-content, Phil. Mag. 42, 1150-1160, 1951), so that a step that goes no farther than the
//! lowest point in its direction always leads on. (2) Ties: each unknown is held where it was, more and
//! more loosely.

use crate::law::{LEAK_SIEMENS, Law};
use crate::system::{LAST_GAP_VOLTS, Moment, System};

/// Iterations with steps cut to length. The thousands of random benches of the tests take at most a third
/// of it.
const MAX_CUT_ITERATIONS: u32 = 300;

/// Cut steps no longer than this are near enough for Newton's method alone, volts. It is tried that often
/// in vain where this is larger; smaller, and the cut steps do what it does faster.
const NEAR_VOLTS: f64 = 1e-2;

/// Newton iterations with voltages tied to where they were. With twice as many the long way gets twice as
/// long for the same benches.
const MAX_TIED_ITERATIONS: u32 = 12;

/// Tied solves on the long way to consistent values. Of ten that settle nine take 24. With 64 three times as
/// many benches of chance find no values; with more than this hardly one finds them that doesn't now, and
/// whoever waits for those that have none waits longer.
const MAX_TIES: u32 = 300;

/// How much looser a tie gets where a solve settles: with a tenth the next one often doesn't, with half
/// the way is twice as long.
const LOOSEN: f64 = 0.3;

/// How much tighter where it doesn't: less than two steps back, so that the way is another one.
const TIGHTEN: f64 = 8.0;

impl System {
    /// [`System::solve`] by ways that take longer and lead on where Newton's method alone doesn't.
    pub async fn solve_hard(&mut self, moment: Moment, hist: &[f64], time: f64) -> bool {
        self.solve(moment, hist, time)
            || self.solve_by_cut_steps(moment, hist, time).await
            || self.solve_by_ties(moment, hist, time).await
    }

    pub(crate) async fn solve_by_cut_steps(&mut self, moment: Moment, hist: &[f64], time: f64) -> bool {
        if self.laws.iter().any(Law::is_steered) {
            return false;
        }
        let begun = self.x.clone();
        for _ in 0..MAX_CUT_ITERATIONS {
            self.pause().await;
            self.write(moment, hist, time);
            match self.cut_step() {
                None => break,
                Some(step) if step <= NEAR_VOLTS => {
                    self.draw_here();
                    if self.solve(moment, hist, time) {
                        return true;
                    }
                }
                Some(_) => {}
            }
        }
        self.x = begun;
        false
    }

    /// One Newton step, cut to length; the largest change of a voltage comes back.
    #[cold]
    #[inline(never)]
    fn cut_step(&mut self) -> Option<f64> {
        self.effort.iterations += 1;
        self.effort.factorisations += 1;
        self.matrix.copy_from(&self.straight_matrix);
        for &index in &self.curved {
            let [a, b, ..] = self.at(index);
            let siemens = self.laws[index].flow(a - b).siemens;
            self.matrix.add_slopes(&self.seats[index], [siemens, -siemens, 0.0, 0.0]);
        }
        self.write_left_over();
        let start = self.right.clone();
        if !self.pattern.factor(&mut self.matrix)
            || !self.pattern.substitute(&self.matrix, &mut self.right, &mut self.next)
        {
            return None;
        }
        let length = self.lowest_along(&start);
        let mut step = 0.0_f64;
        for (x, along) in self.x.iter_mut().zip(&self.next) {
            *x += length * along;
            step = step.max((length * along).abs());
        }
        Some(step)
    }

    /// Writes the current that flows into each unknown node by the laws themselves.
    #[cold]
    #[inline(never)]
    fn write_left_over(&mut self) {
        self.right.fill(0.0);
        for (index, &(siemens, at_zero)) in self.straight.iter().enumerate() {
            let [a, b, ..] = self.at(index);
            self.seats[index].add_current(&mut self.right, siemens * (a - b) + at_zero);
        }
        for &index in &self.curved {
            let [a, b, ..] = self.at(index);
            self.seats[index].add_current(&mut self.right, self.laws[index].flow(a - b).amps);
        }
    }

    /// How far to go along `next`: 1, or to near the lowest point of the co-content, which is where the
    /// left-over currents' share along it changes its sign. `start` is what is left over here.
    #[cold]
    #[inline(never)]
    fn lowest_along(&mut self, start: &[f64]) -> f64 {
        let from = self.x.clone();
        let along = |amps: &[f64], next: &[f64]| -> f64 {
            -amps.iter().zip(next).map(|(amps, along)| amps * along).sum::<f64>()
        };
        let start = along(start, &self.next);
        let mut slope_at = |length: f64| {
            for ((x, from), along) in self.x.iter_mut().zip(&from).zip(&self.next) {
                *x = from + length * along;
            }
            self.write_left_over();
            along(&self.right, &self.next)
        };
        // Near enough: half of the slope is gone. A tighter search costs more than it gains.
        let near = |slope: f64| slope.abs() <= 0.5 * start.abs();
        let (mut low, mut low_slope) = (0.0, start);
        let (mut high, mut high_slope) = (1.0, slope_at(1.0));
        // Still falling as steeply: farther, by doubling.
        while high_slope < 0.0 && !near(high_slope) && high < 1e3 {
            (low, low_slope) = (high, high_slope);
            high *= 2.0;
            high_slope = slope_at(high);
        }
        let mut length = high;
        if high_slope > 0.0 && !near(high_slope) {
            // False position alternating with halving, as the slope may be all in one corner.
            for turn in 0..80 {
                length = if turn % 2 == 0 {
                    low + (high - low) * low_slope / (low_slope - high_slope)
                } else {
                    0.5 * (low + high)
                };
                let slope = slope_at(length);
                if near(slope) {
                    break;
                }
                if slope < 0.0 {
                    (low, low_slope) = (length, slope);
                } else {
                    (high, high_slope) = (length, slope);
                }
            }
        }
        self.x = from;
        length
    }

    /// Draws each curved law at the present voltages, however far they are from where it was drawn before.
    #[cold]
    #[inline(never)]
    fn draw_here(&mut self) {
        for place in 0..self.curved.len() {
            let [a, b, ..] = self.at(self.curved[place]);
            self.drawn_at[place] = match self.laws[self.curved[place]] {
                Law::Junction(junction) => {
                    let inner = junction.inner_volts(a - b);
                    let (outer, flow) = junction.at(inner);
                    [inner, outer, flow.siemens, 1.0]
                }
                _ => [a - b, 0.0, 0.0, 0.0],
            };
        }
    }

    pub(crate) async fn solve_by_ties(&mut self, moment: Moment, hist: &[f64], time: f64) -> bool {
        let mut tie = 1e-2;
        for _ in 0..MAX_TIES {
            self.tied_to.copy_from_slice(&self.x);
            if self.newton_tied(moment, hist, time, tie).await {
                tie *= LOOSEN;
                // Looser than the leaks that are everywhere, a tie holds nothing any more.
                if tie < 0.1 * LEAK_SIEMENS && self.solve(moment, hist, time) {
                    return true;
                }
                // What a tie like this carries is far below what Halfrow promises, so that this is an answer even
                // where Newton's method alone goes on moving what nothing but leaks holds.
                if tie < 1e-5 * LEAK_SIEMENS {
                    return true;
                }
            } else {
                self.x.copy_from_slice(&self.tied_to);
                tie *= TIGHTEN;
                if tie > 1e4 {
                    return false;
                }
            }
        }
        false
    }

    /// Newton's method with each unknown tied to where it was.
    async fn newton_tied(&mut self, moment: Moment, hist: &[f64], time: f64, tie: f64) -> bool {
        self.write(moment, hist, time);
        for _ in 0..MAX_TIED_ITERATIONS {
            match self.tied_step(tie) {
                None => return false,
                Some(gap) if gap <= LAST_GAP_VOLTS => return true,
                Some(_) => self.pause().await,
            }
        }
        self.lines_hold()
    }

    /// One iteration of it; how far the voltages are from where the laws were drawn comes back.
    #[cold]
    #[inline(never)]
    fn tied_step(&mut self, tie: f64) -> Option<f64> {
        self.effort.iterations += 1;
        self.effort.factorisations += 1;
        self.matrix.copy_from(&self.straight_matrix);
        self.right.copy_from_slice(&self.straight_right);
        for unknown in 0..self.unknowns {
            self.pattern.add_leak(&mut self.matrix, unknown, tie);
            self.right[unknown] += tie * self.tied_to[unknown];
        }
        self.add_curves();
        let solved = self.pattern.factor(&mut self.matrix)
            && self.pattern.substitute(&self.matrix, &mut self.right, &mut self.x);
        solved.then(|| self.gap_left())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::branch::{Branch, Node};
    use crate::law::Junction;
    use crate::portions::{finish, portion};

    const LED: Law =
        Law::Junction(Junction { saturation_amps: 1e-18, emission_volts: 0.0517, series_ohms: 4.0 });

    /// The equations of branches between numbered nodes; node 0 is the reference.
    fn system(branches: &[(usize, usize, Law)]) -> System {
        let nodes = branches.iter().map(|&(a, b, _)| a.max(b) + 1).max().unwrap_or(0);
        let branch =
            |&(a, b, law): &(usize, usize, Law)| Branch { a: Node(a), b: Node(b), controls: None, law };
        let branches: Vec<Branch> = branches.iter().map(branch).collect();
        System::new(nodes, &branches, [Node(0)].into_iter())
    }

    fn lamps() -> [System; 4] {
        let ohms = |ohms| Law::Resistance { ohms };
        let battery = |volts| Law::Source { volts, ohms: 0.5 };
        let supply = |volts| Law::LimitedSource { volts, ohms: 0.05, limit_amps: 0.02 };
        [
            system(&[(1, 0, battery(6.0)), (1, 2, ohms(220.0)), (2, 0, LED)]),
            system(&[(1, 0, battery(6.0)), (1, 2, LED), (0, 2, LED), (2, 3, ohms(1e6)), (3, 0, ohms(10.0))]),
            system(&[(1, 0, supply(5.0)), (1, 2, ohms(1.0)), (2, 0, LED), (0, 2, LED)]),
            system(&[(1, 0, supply(5.0)), (1, 2, ohms(0.1)), (2, 0, battery(9.0)), (2, 3, LED), (3, 0, LED)]),
        ]
    }

    #[test]
    fn every_way_leads_to_the_same_point() {
        for (index, system) in lamps().into_iter().enumerate() {
            let [mut plain, mut cut, mut tied] = [system.clone(), system.clone(), system];
            assert!(plain.solve(Moment::Rest, &[], 0.0), "circuit {index}");
            assert!(finish(cut.solve_by_cut_steps(Moment::Rest, &[], 0.0)), "circuit {index} by cut steps");
            assert!(finish(tied.solve_by_ties(Moment::Rest, &[], 0.0)), "circuit {index} by ties");
            for (way, other) in [("cut steps", cut), ("ties", tied)] {
                let off = plain.x.iter().zip(&other.x).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
                assert!(off < 1e-8, "circuit {index} by {way}: {off:e} V");
            }
        }
    }

    #[test]
    fn in_portions_comes_out_what_comes_out_at_once() {
        for mut system in lamps() {
            let mut whole = system.clone();
            assert!(finish(whole.solve_by_ties(Moment::Rest, &[], 0.0)));
            system.portion = 1;
            let mut pauses = 0;
            {
                let mut work = std::pin::pin!(system.solve_by_ties(Moment::Rest, &[], 0.0));
                while portion(work.as_mut()).is_none() {
                    pauses += 1;
                }
            }
            assert!(pauses > 5, "{pauses}");
            assert_eq!((system.x, system.effort), (whole.x, whole.effort));
        }
    }
}
