//! What a trace or a column of a table watches over time.

use crate::bench::{Bench, LegId};
use crate::board::Hole;
use crate::time::Run;
use crate::unit::Unit;

/// Something to watch. It names holes and parts, so that it goes on meaning the same while the bench changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Probe {
    /// The voltage of a hole's net.
    Hole(Hole),
    /// The current into a part.
    Current {
        /// The part's name.
        part: String,
        /// The name of the pin that the current goes into; the first where none is named.
        pin: Option<&'static str>,
    },
}

impl Probe {
    /// The current into the first pin of a part.
    pub fn current(part: impl Into<String>) -> Probe {
        Probe::Current { part: part.into(), pin: None }
    }

    /// What a word means on a bench: a hole (`e5`), a part (`R1`), one of its pins (`D1.K`). `None` where
    /// the bench has no such thing.
    pub fn parse(bench: &Bench, word: &str) -> Option<Probe> {
        if let Some(hole) = Hole::parse(word) {
            return bench.strip(hole).map(|_| Probe::Hole(hole));
        }
        let (id, pin) = word.split_once('.').map_or((word, None), |(id, pin)| (id, Some(pin)));
        let card = bench.part(bench.find(id)?).card;
        let pin = match pin {
            None => None,
            Some(name) => Some(card.pins[card.pin(name)?].name),
        };
        Some(Probe::Current { part: id.to_owned(), pin })
    }

    /// The unit of what it reads.
    pub fn unit(&self) -> Unit {
        match self {
            Probe::Hole(_) => Unit::Volt,
            Probe::Current { .. } => Unit::Amp,
        }
    }

    /// The word that [`Probe::parse`] reads.
    pub fn name(&self) -> String {
        match self {
            Probe::Hole(hole) => hole.to_string(),
            Probe::Current { part, pin: None } => part.clone(),
            Probe::Current { part, pin: Some(pin) } => format!("{part}.{pin}"),
        }
    }

    /// What it reads at a time within a run's last step, volts or amperes. `None` where the part is gone or
    /// nothing ties the hole to a supply.
    pub fn read(&self, run: &Run, time: f64) -> Option<f64> {
        match self {
            Probe::Hole(hole) => run.strip_volts(run.bench().strip(*hole)?, time),
            Probe::Current { part, pin } => {
                let part = run.bench().find(part)?;
                let pin = pin.map_or(Some(0), |pin| run.bench().part(part).card.pin(pin))?;
                Some(run.pin_amps(LegId { part, pin }, time))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::blinker;
    use crate::time::Care;

    #[test]
    fn words_mean_holes_parts_and_pins_and_come_back() {
        let bench = blinker(1.0);
        let run = Run::new(&bench, Care::LIVE);
        for (word, unit) in [("L+3", Unit::Volt), ("D1", Unit::Amp), ("D1.K", Unit::Amp), ("U1.3", Unit::Amp)]
        {
            let probe = Probe::parse(&bench, word).expect(word);
            assert_eq!((probe.name().as_str(), probe.unit()), (word, unit));
            assert!(probe.read(&run, 0.0).is_some(), "{word}");
        }
        for word in ["", "z9", "e99", "R99", "D1.X", "D1."] {
            assert_eq!(Probe::parse(&bench, word), None, "{word}");
        }
        assert_eq!(Probe::current("R99").read(&run, 0.0), None);
    }
}
