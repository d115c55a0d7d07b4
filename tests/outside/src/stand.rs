//! A stand for chips: a circuit in a line, built on a full board and switched on.
//!
//! `supply V1 volts=5: v g; 555 U1; wire: U1.1 g; resistor ohms=1000: U1.3 out` puts a chip across the
//! channel and joins legs to strips. `U1.3` is the strip of pin 3, any other word a node of its own: the
//! first four get rails (most holes), the others half rows. Values are numbers, words of choices or
//! `true`. Other stiff parts than chips can't be had: they would decide themselves where they stand.

use std::collections::BTreeMap;

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole, Side, Sign, Strip};
use halfrow_core::card::{Footprint, Range, Value};
use halfrow_core::part::{Part, Turn};
use halfrow_core::parts;
use halfrow_core::time::{Care, Run};

/// More steps than any check here needs.
const MOST_STEPS: u32 = 400_000;

/// A circuit whose clock runs.
#[derive(Debug)]
pub struct Stand {
    /// Its run.
    pub run: Run,
    strips: BTreeMap<String, Strip>,
    parts: BTreeMap<String, PartIx>,
}

/// Builds a circuit and switches it on.
///
/// # Panics
/// When the text breaks the notation or the circuit does not fit.
pub fn stand(text: &str) -> Stand {
    let mut bench = Bench::new(BoardKind::Full);
    let mut strips = BTreeMap::new();
    let mut parts = BTreeMap::new();
    let mut rails = [
        (Side::Left, Sign::Plus),
        (Side::Left, Sign::Minus),
        (Side::Right, Sign::Plus),
        (Side::Right, Sign::Minus),
    ]
    .into_iter();
    let mut half_rows = (24..=63).flat_map(|row| ['a', 'f'].map(|column| Hole::grid(0, column, row)));
    let mut chip_row = 1;
    for line in text.split(';').map(str::trim).filter(|line| !line.is_empty()) {
        let (head, nodes) = line.split_once(':').unwrap_or((line, ""));
        let mut words = head.split_whitespace();
        let kind = words.next().unwrap_or_default();
        let card = parts::card(kind).unwrap_or_else(|| panic!("no kind {kind}"));
        let (values, names): (Vec<&str>, Vec<&str>) = words.partition(|word| word.contains('='));
        let name = names.first().map_or_else(|| bench.next_id(card), |name| (*name).to_owned());
        let mut part = Part::new(name.clone(), card);
        for value in values {
            let (key, text) = value.split_once('=').expect("key=value");
            let range = card.params[card.param(key).unwrap_or_else(|| panic!("{kind} has no {key}"))].range;
            assert!(part.set(key, read(range, text)), "{kind} does not allow {value}");
        }
        let part_ix = PartIx(bench.parts.len());
        let stiff = part.is_rigid();
        bench.parts.push(part);
        if stiff {
            bench.place_rigid(part_ix, Hole::grid(0, 'e', chip_row), Turn::None).expect("a free place");
            chip_row += bench.parts[part_ix.0].legs.len() as u8 / 2;
            for (pin, leg) in card.pins.iter().zip(&bench.parts[part_ix.0].legs) {
                let strip = bench.strip(leg.hole.expect("it stands")).expect("a strip");
                strips.insert(format!("{name}.{}", pin.name), strip);
            }
        }
        let mut ends = Vec::new();
        for node in nodes.split_whitespace() {
            let strip = *strips.entry(node.to_owned()).or_insert_with(|| {
                assert!(!node.contains('.'), "no pin {node}");
                let rail = rails.next().map(|(side, sign)| Hole::rail(0, side, sign, 1));
                bench.strip(rail.or_else(|| half_rows.next()).expect("few nodes")).expect("a strip")
            });
            ends.push(strip);
        }
        if ends.len() == 2 && !card.is_wire() && !matches!(card.footprint, Footprint::OffBoard) {
            // Anything with two legs gets a place of its own and wires to where it belongs, since legs
            // don't reach far.
            for end in &mut ends {
                let own = bench.strip(half_rows.next().expect("few parts")).expect("a strip");
                let wire = PartIx(bench.parts.len());
                let card = parts::card("wire").expect("a kind");
                bench.parts.push(Part::new(bench.next_id(card), card));
                put(&mut bench, wire, &[*end, own]);
                *end = own;
            }
        }
        put(&mut bench, part_ix, &ends);
        parts.insert(name, part_ix);
    }
    Stand { run: Run::new(&bench, Care::CLOSE), strips, parts }
}

/// Puts a part's legs into free holes of strips.
fn put(bench: &mut Bench, part: PartIx, strips: &[Strip]) {
    for (pin, &strip) in strips.iter().enumerate() {
        let mut holes = bench.boards[0].holes_of(strip).into_iter();
        let free = holes.find(|&hole| bench.occupant(hole).is_none()).expect("a free hole");
        bench.put_leg(LegId { part, pin }, Some(free)).unwrap_or_else(|e| panic!("{e}"));
    }
}

fn read(range: Range, text: &str) -> Value {
    match range {
        Range::Number { .. } => Value::Number(text.parse().expect("a number")),
        Range::Whole { .. } => Value::Whole(text.parse().expect("a whole number")),
        Range::Choice { options, .. } => {
            let index = options.iter().position(|option| option.word == text);
            Value::Choice(index.unwrap_or_else(|| panic!("no choice {text}")) as u8)
        }
        Range::Flag { .. } => Value::Flag(text == "true"),
    }
}

impl Stand {
    /// Lets it run until a time.
    ///
    /// # Panics
    /// When the clock stops or takes far too many steps.
    pub fn until(&mut self, time: f64) -> &mut Stand {
        assert!(self.run.until(time, MOST_STEPS), "too many steps till {}", self.run.time());
        assert_eq!(self.run.stalled(), None);
        self
    }

    /// Voltage of a node against `g`, at the end of the last step.
    ///
    /// # Panics
    /// When there is no such node.
    pub fn volts(&self, node: &str) -> f64 {
        self.volts_at(node, self.run.time())
    }

    /// The same at a time within the last step.
    ///
    /// # Panics
    /// As [`Stand::volts`].
    pub fn volts_at(&self, node: &str, time: f64) -> f64 {
        let at = |node: &str| {
            let strip = *self.strips.get(node).unwrap_or_else(|| panic!("no node {node}"));
            self.run.strip_volts(strip, time).expect("tied to a source")
        };
        at(node) - at("g")
    }

    /// Current into a part at a pin, by the pin's index.
    ///
    /// # Panics
    /// When there is no such part.
    pub fn amps(&self, part: &str, pin: usize) -> f64 {
        self.run.pin_amps(LegId { part: self.parts[part], pin }, self.run.time())
    }

    /// Whether a part has burnt out.
    ///
    /// # Panics
    /// When there is no such part.
    pub fn is_burnt(&self, part: &str) -> bool {
        self.run.burnt().iter().any(|(_, it)| *it == self.parts[part])
    }

    /// Runs on until a time and notes when a node goes up through a level and down through it.
    ///
    /// # Panics
    /// As [`Stand::until`].
    pub fn crossings(&mut self, node: &str, level: f64, until: f64) -> Crossings {
        let mut crossings = Crossings { up: Vec::new(), down: Vec::new(), least: f64::MAX, most: f64::MIN };
        let mut above = self.volts(node) > level;
        for _ in 0..MOST_STEPS {
            if self.run.time() >= until {
                return crossings;
            }
            let before = self.run.time();
            // One step.
            self.run.until(before + f64::EPSILON * (1.0 + before), 1);
            assert_eq!(self.run.stalled(), None);
            let (start, end) = self.run.last_step();
            let volts = self.volts(node);
            (crossings.least, crossings.most) = (crossings.least.min(volts), crossings.most.max(volts));
            if (volts > level) != above {
                above = !above;
                // Halving within the step; a jump at its end stays at its end.
                let (mut early, mut late) = (start, end);
                for _ in 0..40 {
                    let middle = 0.5 * (early + late);
                    if (self.volts_at(node, middle) > level) == above {
                        late = middle
                    } else {
                        early = middle
                    }
                }
                if above { crossings.up.push(late) } else { crossings.down.push(late) }
            }
        }
        panic!("too many steps till {}", self.run.time());
    }
}

/// When a voltage went through a level, and how far it went.
#[derive(Clone, Debug)]
pub struct Crossings {
    /// Upwards, seconds.
    pub up: Vec<f64>,
    /// Downwards, seconds.
    pub down: Vec<f64>,
    /// The lowest voltage.
    pub least: f64,
    /// The highest voltage.
    pub most: f64,
}

impl Crossings {
    /// Period from the first rise but one to the last, seconds.
    ///
    /// # Panics
    /// With fewer than three rises.
    pub fn period(&self) -> f64 {
        let rises = &self.up[1..];
        (rises[rises.len() - 1] - rises[0]) / (rises.len() - 1) as f64
    }
}
