//! What a first circuit still needs, a step at a time, until its first lamp lights.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Sign};
use halfrow_core::card::Group;
use halfrow_judge::{Code, Finding};

use crate::model::state::{Document, Solved, State};

/// The most parts that a first circuit has: who builds more knows how.
const MOST: usize = 8;

/// The kinds of findings that every half-built circuit has: what they miss is on its way.
const UNFINISHED: [Code; 11] = [
    Code::IdleSwitch,
    Code::IdleWire,
    Code::LegAlone,
    Code::LegInAir,
    Code::LooseEnd,
    Code::NoPath,
    Code::NoSupply,
    Code::OpenEnd,
    Code::PartMissing,
    Code::RailSplit,
    Code::RailUnpowered,
];

/// Whether a finding may only say that something is still missing.
fn may_be_unfinished(finding: &Finding) -> bool {
    UNFINISHED.contains(&finding.code)
}

/// Whether it says nothing else: a leg that is alone beside the row that it was meant for is more than that,
/// unless all else is missing too.
pub fn is_unfinished(finding: &Finding) -> bool {
    may_be_unfinished(finding) && finding.code != Code::LegAlone
}

/// Whether any lamp is lit.
fn shines(solved: &Solved) -> bool {
    let lamps = (0..solved.bench.parts.len()).map(PartIx);
    let mut lamps = lamps.filter(|&ix| solved.bench.part(ix).card.group == Group::Light);
    lamps.any(|ix| solved.point.state(&solved.bench, ix).glow > 0.0)
}

/// How far a first circuit is.
#[derive(Clone, Copy, Debug, Default)]
pub struct Beginning {
    /// The document that began empty, while its first lamp has not been lit.
    number: Option<u32>,
}

impl Beginning {
    /// What follows from how the bench is now.
    pub fn after(self, document: &Document) -> Beginning {
        let (parts, number) = (document.bench().parts.len(), document.number());
        let goes_on = self.number == Some(number) && parts <= MOST && !shines(&document.solved);
        Beginning { number: (parts == 0 || goes_on).then_some(number) }
    }

    /// Whether it is still being built.
    pub fn goes_on(self) -> bool {
        self.number.is_some()
    }
}

/// The findings as they are told: those of a first circuit that only say that it isn't finished are told as
/// its next step instead.
pub fn told(state: &State) -> &[Finding] {
    let findings = state.document.solved.findings.as_slice();
    let holds_back = state.document.beginning().goes_on() && findings.iter().all(may_be_unfinished);
    if holds_back { &[] } else { findings }
}

/// A leg with nothing else in its row or rail.
fn is_alone(solved: &Solved, leg: LegId) -> bool {
    let net = solved.bench.part(leg.part).legs[leg.pin].hole;
    let net = net.and_then(|hole| solved.point.nets.of_hole(&solved.bench, hole));
    net.is_none_or(|net| solved.point.nets.net(net).legs.iter().all(|it| it.part == leg.part))
}

/// Two free holes of the row of a hole, as in `a7 or b7`.
fn beside(bench: &Bench, hole: Hole) -> String {
    let strip =
        bench.strip(hole).and_then(|strip| Some((strip, bench.boards.get(usize::from(strip.board))?)));
    let all = strip.map_or(vec![], |(strip, board)| board.holes_of(strip));
    let free = all.into_iter().filter(|&hole| bench.occupant(hole).is_none());
    let free: Vec<String> = free.take(2).map(|hole| hole.to_string()).collect();
    free.join(" or ")
}

/// The sign of the rail that a wire from here should go to.
fn rail(sign: Sign) -> &'static str {
    if sign == Sign::Plus { "the + rail" } else { "the − rail" }
}

/// What to do about a leg that is alone.
fn join(solved: &Solved, leg: LegId, sign: Sign) -> String {
    let bench = &solved.bench;
    let part = bench.part(leg.part);
    let who = part.leg_in_words(leg.pin);
    let Some(hole) = part.legs[leg.pin].hole else { return format!("Put {who} into a hole.") };
    let with = if sign == Sign::Plus { "a resistor, or a wire where it has one," } else { "a jumper wire" };
    format!(
        "{who} is in {hole}, and nothing else is in {}. Put one end of {with} into {} and the other into {}.",
        hole.place_in_words(),
        beside(bench, hole),
        rail(sign),
    )
}

/// The next step of a first circuit: a heading and what to do. `None` where it is no first circuit.
pub fn next(state: &State) -> Option<(&'static str, String)> {
    let solved = &state.document.solved;
    let bench = &solved.bench;
    if !state.document.beginning().goes_on() || bench.parts.is_empty() {
        return None;
    }
    let of = |group| (0..bench.parts.len()).map(PartIx).find(|&ix| bench.part(ix).card.group == group);
    if of(Group::Power).is_none() {
        return Some(("Now the power", "Take a battery pack from the list of parts. Put its red lead into a + rail and its black lead into the − rail beside it.".to_owned()));
    }
    if bench.parts.iter().all(|part| part.card.group == Group::Power) {
        return Some(("Now add a lamp", "A rail is connected along its whole length. In each row, holes a to e are connected, and so are f to j. Put a resistor from the + rail to a row. Put an LED’s long leg in the same row and its short leg across the gap. Then run a wire from there to the − rail.".to_owned()));
    }
    let Some(lamp) = of(Group::Light) else {
        let end = bench.legs().map(|(leg, _)| leg).find(|&leg| {
            let hole = bench.part(leg.part).legs[leg.pin].hole;
            hole.is_some_and(|hole| hole.row().is_some()) && is_alone(solved, leg)
        });
        let hole = end.and_then(|leg| bench.part(leg.part).legs[leg.pin].hole);
        let place = hole
            .map_or("a row".to_owned(), |hole| format!("{}, the same row as {hole}", beside(bench, hole)));
        return Some((
            "Now the lamp",
            format!(
                "Take an LED from the list. Put its long leg into {place}, and its short leg across the gap."
            ),
        ));
    };
    let Some(polarity) = bench.part(lamp).card.polarity else { return finish(solved) };
    for (pin, sign) in [(polarity.anode, Sign::Plus), (polarity.cathode, Sign::Minus)] {
        let leg = LegId { part: lamp, pin: usize::from(pin) };
        if is_alone(solved, leg) {
            return Some(("Now close the path", join(solved, leg, sign)));
        }
    }
    finish(solved)
}

/// The lamp has company on both sides and is dark: some other end is open.
fn finish(solved: &Solved) -> Option<(&'static str, String)> {
    let open = solved.bench.legs().map(|(leg, _)| leg).find(|&leg| is_alone(solved, leg))?;
    let part = solved.bench.part(open.part);
    let who = part.leg_in_words(open.pin);
    let words = match part.legs[open.pin].hole {
        Some(hole) => format!(
            "{who} is in {hole}, alone. The current’s path ends there: it needs company in {}.",
            hole.place_in_words()
        ),
        None => format!("{who} is in the air: put it into a hole."),
    };
    Some(("Almost there", words))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::state::{Action, empty};
    use halfrow_core::parts;

    fn place(state: &mut State, kind: &str, holes: &[&str]) {
        state.apply(Action::Take(parts::card(kind).unwrap()));
        for hole in holes {
            state.apply(Action::Press(Hole::parse(hole).unwrap()));
        }
    }

    #[test]
    fn a_first_circuit_is_guided_step_by_step_until_its_lamp_lights() {
        let mut state = State::new(empty());
        let steps = [
            ("battery", ["L+1", "L-1"], "Now add a lamp"),
            ("resistor", ["L+5", "b7"], "a7 or c7, the same row as b7"),
            ("led", ["e7", "f7"], "g7 or h7"),
        ];
        for (kind, holes, words) in steps {
            place(&mut state, kind, &holes);
            let (heading, what) = next(&state).expect(kind);
            assert!(format!("{heading}: {what}").contains(words), "{heading}: {what}");
            // What is on its way is no finding, on the board, in the list or in words.
            assert!(told(&state).is_empty(), "{kind}: {:?}", told(&state));
            assert!(!state.speech.said.contains("finding"), "{}", state.speech.said);
        }
        place(&mut state, "wire", &["h7", "L-5"]);
        assert_eq!(next(&state), None);
        // Once it was lit, what is wrong is a finding again: the wire a row off.
        let wire = LegId { part: PartIx(3), pin: 0 };
        state.apply(Action::PutLeg(wire, Hole::parse("h8")));
        assert!(!told(&state).is_empty() && next(&state).is_none());
    }

    #[test]
    fn what_does_harm_is_told_of_a_first_circuit_too() {
        let mut state = State::new(empty());
        place(&mut state, "battery", &["L+1", "L-1"]);
        place(&mut state, "wire", &["L+3", "L-3"]);
        assert!(told(&state).iter().any(|it| it.code == Code::ShortCircuit));
    }

    #[test]
    fn a_bench_that_was_opened_is_no_first_circuit() {
        let mut state = State::new(empty());
        let example = halfrow_file::examples::find("harbour-mouth").unwrap();
        state.apply(crate::model::opening::open_example(example));
        assert!(next(&state).is_none());
        state.apply(Action::Delete);
        assert!(!state.document.beginning().goes_on());
    }
}
