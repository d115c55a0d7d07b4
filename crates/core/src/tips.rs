//! What the tips of a meter's leads touch on a bench, and how that is written.

use crate::bench::{Bench, LegId};
use crate::board::Hole;
use crate::meter::{Socket, Touch};

impl Touch {
    /// What a word means: a hole, a leg such as `R1.1`, a socket such as `10a`, an end of the fuse such as
    /// `500ma.1`, `air`. `None` for what is none of them or not on this bench.
    pub fn parse(bench: &Bench, word: &str) -> Option<Touch> {
        if word == "air" {
            return Some(Touch::Air);
        }
        if let Some(socket) = Socket::from_word(word) {
            return Some(Touch::Socket(socket));
        }
        if let Some(end) = ["500ma.1", "500ma.2"].iter().position(|&end| end == word) {
            return Some(Touch::Fuse(end));
        }
        if let Some(hole) = Hole::parse(word) {
            return bench.board_of(hole).map(|_| Touch::Hole(hole));
        }
        let (id, pin) = word.split_once('.')?;
        let part = bench.part(bench.find(id)?);
        Some(Touch::Leg { part: part.id.clone(), pin: part.card.pin(pin)? })
    }

    /// The word that [`Touch::parse`] reads. A leg of a part that is gone is air.
    pub fn word(&self, bench: &Bench) -> String {
        match self {
            Touch::Air => "air".to_owned(),
            Touch::Hole(hole) => hole.to_string(),
            Touch::Leg { part, .. } => match self.leg(bench) {
                Some(leg) => format!("{part}.{}", bench.part(leg.part).card.pins[leg.pin].name),
                None => "air".to_owned(),
            },
            Touch::Socket(socket) => socket.word().to_owned(),
            Touch::Fuse(end) => format!("500ma.{}", end + 1),
        }
    }

    /// The leg that is touched, when the bench has it.
    pub fn leg(&self, bench: &Bench) -> Option<LegId> {
        let Touch::Leg { part, pin } = self else { return None };
        let found = bench.find(part)?;
        (*pin < bench.part(found).legs.len()).then_some(LegId { part: found, pin: *pin })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::board::BoardKind;
    use crate::meter::Dial;
    use crate::part::Part;
    use crate::parts;

    #[test]
    fn words_are_read_as_they_are_written() {
        let mut bench = Bench::new(BoardKind::Half);
        bench.parts.push(Part::new("D1", parts::card("led").unwrap()));
        for word in ["air", "e12", "L+7", "D1.A", "D1.K", "10a", "com", "vom", "500ma.1", "500ma.2"] {
            assert_eq!(Touch::parse(&bench, word).unwrap().word(&bench), word);
        }
        for word in ["", "e31", "D1.B", "D2.A", "B:a1", "500ma.3", "D1"] {
            assert_eq!(Touch::parse(&bench, word), None, "{word}");
        }
        assert!(Dial::ALL.into_iter().all(|dial| Dial::from_word(dial.word()) == Some(dial)));
    }

    #[test]
    fn a_leg_of_a_part_that_is_gone_is_touched_no_more() {
        let mut bench = Bench::new(BoardKind::Half);
        bench.parts.push(Part::new("D1", parts::card("led").unwrap()));
        let tip = Touch::parse(&bench, "D1.A").unwrap();
        bench.parts.clear();
        assert_eq!((tip.leg(&bench), tip.word(&bench)), (None, "air".to_owned()));
    }
}
