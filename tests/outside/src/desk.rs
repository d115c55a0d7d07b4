//! A desk for loose parts: a circuit in a line, each leg in a row of its own, joined by wires.
//!
//! `supply V1 volts=5: v g; resistor R1 ohms=220: v a; led D1 colour=red: a g`. A word after the colon is
//! a node, a leg each; `v` and `g` are rails, `-` leaves a leg unjoined. Values are numbers, words of
//! choices or `true`. Parts can be changed while the clock runs.

use std::collections::BTreeMap;

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole, Side, Sign};
use halfrow_core::card::{Footprint, Range, State, Value};
use halfrow_core::part::{Part, Turn};
use halfrow_core::parts;
use halfrow_core::readings::PartReading;
use halfrow_core::time::{Care, Run};

/// More steps than any check here needs.
const MOST_STEPS: u32 = 400_000;

/// A circuit whose clock runs.
#[derive(Debug)]
pub struct Desk {
    /// Its run.
    pub run: Run,
    nodes: BTreeMap<String, Hole>,
}

/// Builds a circuit and switches it on.
///
/// # Panics
/// When the text breaks the notation or the circuit does not fit.
pub fn desk(text: &str) -> Desk {
    let mut bench = Bench::new(BoardKind::Full);
    let rail = |sign| Hole::rail(0, Side::Left, sign, 1);
    let mut nodes = BTreeMap::from([("v".to_owned(), rail(Sign::Plus)), ("g".to_owned(), rail(Sign::Minus))]);
    let mut row = 1;
    for line in text.split(';').map(str::trim).filter(|line| !line.is_empty()) {
        let (head, joined) = line.split_once(':').unwrap_or((line, ""));
        let mut words = head.split_whitespace();
        let kind = words.next().unwrap_or_default();
        let card = parts::card(kind).unwrap_or_else(|| panic!("no kind {kind}"));
        let (values, names): (Vec<&str>, Vec<&str>) = words.partition(|word| word.contains('='));
        let name = names.first().map_or_else(|| bench.next_id(card), |name| (*name).to_owned());
        let mut part = Part::new(name, card);
        for value in values {
            let (key, text) = value.split_once('=').expect("key=value");
            set(&mut part, key, text);
        }
        let index = PartIx(bench.parts.len());
        bench.parts.push(part);
        let pins = card.pins.len();
        match card.footprint {
            Footprint::Rigid { offsets, straddles } => {
                let hole = Hole::grid(0, if straddles { 'e' } else { 'a' }, row);
                bench.place_rigid(index, hole, Turn::None).expect("a free place");
                row += offsets.iter().map(|(_, y)| *y as u8).max().unwrap_or_default() + 1;
            }
            _ => {
                for pin in 0..pins {
                    let hole = Hole::grid(0, 'a', row);
                    bench.put_leg(LegId { part: index, pin }, Some(hole)).expect("a free row");
                    row += 1;
                }
            }
        }
        for (pin, node) in joined.split_whitespace().enumerate().filter(|(_, node)| *node != "-") {
            let own = bench.parts[index.0].legs[pin].hole.expect("it stands");
            match nodes.get(node) {
                Some(&hole) => wire(&mut bench, own, hole),
                None => drop(nodes.insert(node.to_owned(), own)),
            }
        }
    }
    Desk { run: Run::new(&bench, Care::CLOSE), nodes }
}

/// Joins the strips of two holes.
fn wire(bench: &mut Bench, from: Hole, to: Hole) {
    let card = parts::card("wire").expect("wires are parts");
    let index = PartIx(bench.parts.len());
    bench.parts.push(Part::new(bench.next_id(card), card));
    for (pin, hole) in [from, to].into_iter().enumerate() {
        let strip = bench.strip(hole).expect("a strip");
        let free = bench.boards[0].holes_of(strip).into_iter().find(|&hole| bench.occupant(hole).is_none());
        bench.put_leg(LegId { part: index, pin }, free).expect("a free hole");
        assert!(free.is_some(), "a node is full");
    }
}

fn set(part: &mut Part, key: &str, text: &str) {
    let index = part.card.param(key).unwrap_or_else(|| panic!("{} has no {key}", part.card.kind));
    let value = match part.card.params[index].range {
        Range::Number { .. } => Value::Number(text.parse().expect("a number")),
        Range::Whole { .. } => Value::Whole(text.parse().expect("a whole number")),
        Range::Choice { options, .. } => {
            let place = options.iter().position(|option| option.word == text);
            Value::Choice(place.unwrap_or_else(|| panic!("no choice {text}")) as u8)
        }
        Range::Flag { .. } => Value::Flag(text == "true"),
    };
    assert!(part.set(key, value), "{} does not allow {key}={text}", part.card.kind);
}

impl Desk {
    /// Lets it run until a time.
    ///
    /// # Panics
    /// When the clock stops or takes far too many steps.
    pub fn until(&mut self, time: f64) -> &mut Desk {
        assert!(self.run.until(time, MOST_STEPS), "too many steps till {}", self.run.time());
        assert_eq!(self.run.stalled(), None);
        self.run.rewind_to(time);
        self
    }

    /// Changes a value of a part now.
    ///
    /// # Panics
    /// When there is no such part or value.
    pub fn set(&mut self, part: &str, key: &str, value: &str) -> &mut Desk {
        let mut bench = self.run.bench().clone();
        let index = bench.find(part).expect("a part");
        set(&mut bench.parts[index.0], key, value);
        self.run.set_bench(&bench);
        self
    }

    /// Voltage of a node against `g`.
    ///
    /// # Panics
    /// When there is no such node.
    pub fn volts(&self, node: &str) -> f64 {
        let at = |node: &str| {
            let strip = self.run.bench().strip(self.nodes[node]).expect("a strip");
            self.run.strip_volts(strip, self.run.time()).expect("tied to a source")
        };
        at(node) - at("g")
    }

    /// What a part reads.
    ///
    /// # Panics
    /// When there is no such part.
    pub fn part(&self, part: &str) -> PartReading {
        self.run.point().parts.swap_remove(self.run.bench().find(part).expect("a part").0)
    }

    /// Current into a part at a pin, by the pin's index.
    ///
    /// # Panics
    /// When there is no such part.
    pub fn amps(&self, part: &str, pin: usize) -> f64 {
        self.part(part).pins[pin].amps
    }

    /// Voltage from one pin of a part to another, at the part itself.
    ///
    /// # Panics
    /// When there is no such part or nothing ties the two together.
    pub fn across(&self, part: &str, from: usize, to: usize) -> f64 {
        self.part(part).volts_across(from, to).expect("tied together")
    }

    /// What a part does.
    ///
    /// # Panics
    /// When there is no such part.
    pub fn state(&self, part: &str) -> State {
        let index = self.run.bench().find(part).expect("a part");
        let part = self.run.bench().part(index);
        (part.card.state)(part, &self.run.point().parts[index.0])
    }

    /// When a part burnt out, if it did.
    pub fn burnt_at(&self, part: &str) -> Option<f64> {
        let bench = self.run.bench();
        self.run.burnt().iter().find(|(_, it)| bench.part(*it).id == part).map(|(time, _)| *time)
    }
}
