//! The two stages of a step in time, and their error.
//!
//! TR-BDF2 (Bank and others, IEEE Trans. Electron Devices 32, 1992-2007, 1985): a trapezoidal stage and
//! a second-order backward difference, both with the same matrix, with the error estimate of Hosea and
//! Shampine (Applied Numerical Mathematics 20, 21-37, 1996).

use crate::system::{Charge, Moment, System};

/// 2 − √2: where the trapezoidal stage ends, as a share of the step, so that both stages have the
/// same matrix.
pub const GAMMA: f64 = 2.0 - core::f64::consts::SQRT_2;

/// What a step works with. Nothing is allocated once it stands.
#[derive(Clone, Debug, Default)]
pub struct Stages {
    /// Charges at the end of the first stage.
    pub mid: Vec<Charge>,
    /// Charges at the end of the step.
    pub new: Vec<Charge>,
    /// What the implicit stages start from.
    pub hist: Vec<f64>,
    /// The error of each charge, as a current.
    errors: Vec<f64>,
    /// Voltage of each node at the end of the first stage.
    pub volts_mid: Vec<f64>,
    /// Voltage of each node at the end of the step.
    pub volts_new: Vec<f64>,
}

impl Stages {
    /// For so many nodes and charges.
    pub fn new(nodes: usize, stores: usize) -> Stages {
        Stages {
            mid: vec![Charge::default(); stores],
            new: vec![Charge::default(); stores],
            hist: vec![0.0; stores],
            errors: vec![0.0; stores],
            volts_mid: vec![0.0; nodes],
            volts_new: vec![0.0; nodes],
        }
    }

    /// Lets the charges be held: what [`Moment::Step`] of 0 starts from.
    pub fn hold(&mut self, charges: &[Charge]) {
        for (hist, charge) in self.hist.iter_mut().zip(charges) {
            *hist = charge.x;
        }
    }

    /// Both stages of a step of that length from these charges and voltages. False where Newton's
    /// method does not settle.
    pub fn attempt(
        &mut self,
        system: &mut System,
        charges: &[Charge],
        volts: &[f64],
        time: f64,
        length: f64,
    ) -> bool {
        let a = 0.5 * GAMMA * length;
        let moment = Moment::Step(a);
        system.begin_at(volts);
        for (hist, charge) in self.hist.iter_mut().zip(charges) {
            *hist = charge.x + a * charge.rate;
        }
        if !system.solve(moment, &self.hist, time + GAMMA * length) {
            return false;
        }
        system.write_charges(moment, &self.hist, &mut self.mid);
        system.write_volts(&mut self.volts_mid);
        const OF_MID: f64 = 1.0 / (GAMMA * (2.0 - GAMMA));
        const OF_START: f64 = (1.0 - GAMMA) * (1.0 - GAMMA) * OF_MID;
        for ((hist, mid), start) in self.hist.iter_mut().zip(&self.mid).zip(charges) {
            *hist = OF_MID * mid.x - OF_START * start.x;
        }
        if !system.solve(moment, &self.hist, time + length) {
            return false;
        }
        system.write_charges(moment, &self.hist, &mut self.new);
        system.write_volts(&mut self.volts_new);
        true
    }

    /// The error of the step just tried, as a share of what is allowed: the difference to a method of
    /// third order, filtered by the step's own matrix so that what is too fast to see does not count.
    pub fn error(
        &mut self,
        system: &mut System,
        charges: &[Charge],
        volts: &[f64],
        length: f64,
        (relative, absolute): (f64, f64),
    ) -> f64 {
        const K: f64 = (-3.0 * GAMMA * GAMMA + 4.0 * GAMMA - 2.0) / (12.0 * (2.0 - GAMMA));
        let a = 0.5 * GAMMA * length;
        let mut worst = 0.0_f64;
        // What is no number counts as too large: `max` alone would drop it.
        let mut count = |share: f64| worst = if share.is_nan() { f64::INFINITY } else { worst.max(share) };
        for (index, error) in self.errors.iter_mut().enumerate() {
            let (start, mid, new) = (charges[index], self.mid[index], self.new[index]);
            let difference =
                start.rate / GAMMA - mid.rate / (GAMMA * (1.0 - GAMMA)) + new.rate / (1.0 - GAMMA);
            let store = &system.stores[index];
            *error = System::error_amps(store, a, 2.0 * K * length * difference);
            if System::is_coil(store) {
                count(error.abs() / (0.01 * absolute + relative * new.x.abs()));
            }
        }
        let largest = volts.iter().chain(&self.volts_new).fold(0.0_f64, |most, volts| most.max(volts.abs()));
        let allowed = absolute + relative * largest.min(30.0);
        for off in system.respond(&self.errors) {
            count(off.abs() / allowed);
        }
        worst
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::branch::{Branch, Node};
    use crate::law::Law;

    #[test]
    fn an_error_that_is_no_number_is_too_large() {
        let between = |law| Branch { a: Node(1), b: Node(0), controls: None, law };
        let branches = [
            between(Law::Source { volts: 5.0, ohms: 100.0 }),
            between(Law::Capacitance { farads: 1e-6, ohms: 0.1 }),
            between(Law::Inductance { henries: 1e-3, ohms: 1.0 }),
        ];
        let mut system = System::new(2, &branches, [Node(0)].into_iter());
        let mut stages = Stages::new(2, 2);
        let mut charges = [Charge::default(); 2];
        let (volts, length, allowed) = ([0.0; 2], 1e-6, (1e-3, 1e-3));
        assert!(stages.attempt(&mut system, &charges, &volts, 0.0, length));
        assert!(stages.error(&mut system, &charges, &volts, length, allowed).is_finite());
        for store in 0..2 {
            charges[store].rate = f64::NAN;
            let error = stages.error(&mut system, &charges, &volts, length, allowed);
            assert_eq!(error, f64::INFINITY, "store {store}");
            charges[store].rate = 0.0;
        }
    }
}
