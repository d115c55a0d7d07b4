//! A textbook's circuit with a meter on it, in a line.
//!
//! `V 24: a g; R 250e6: a b; R 250e6: b g` is a source of 24 V with + at `a` and two resistors.
//! `I 1e-4: a g` drives a current out of `a`. Sources and resistors are bare ones without contacts, as
//! books have them; `diode: a g` is a part from the drawer with its own contacts. Each node is a half
//! row. The red tip goes on the first node of [`Probe::at`], the black one on the second.

use std::collections::BTreeMap;

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole};
use halfrow_core::card::{Card, Footprint, Pin, Range, Value};
use halfrow_core::law::Law;
use halfrow_core::meter::{Dial, Kind, Meter, Touch};
use halfrow_core::part::Part;
use halfrow_core::parts;
use halfrow_core::stamp::Terminal;
use halfrow_core::time::{Care, Run};
use halfrow_instruments::Figures;
use halfrow_instruments::measure::{Measurement, measure_as};
use halfrow_instruments::wiring::wired_as;

const PINS: &[Pin] = &[Pin { name: "1", says: "first end" }, Pin { name: "2", says: "second end" }];

/// A resistor without contacts: its value is its ohms.
static RESISTOR: Card = Card {
    kind: "bare resistor",
    pins: PINS,
    footprint: Footprint::Loose { reach: 120 },
    chip: true,
    stamp: |part, stamp| stamp.resistance(Terminal::Pin(0), Terminal::Pin(1), part.number(0)),
    ..Card::BLANK
};

/// A source of volts as good as there is: a micro-ohm inside.
static VOLTS: Card = Card {
    kind: "bare source",
    pins: PINS,
    footprint: Footprint::Loose { reach: 120 },
    chip: true,
    stamp: |part, stamp| {
        let law = Law::Source { volts: part.number(0), ohms: 1e-6 };
        stamp.element(Terminal::Pin(0), Terminal::Pin(1), law);
    },
    ..Card::BLANK
};

/// A source of amperes: a teravolt behind as many ohms as it takes.
static AMPS: Card = Card {
    kind: "bare current",
    pins: PINS,
    footprint: Footprint::Loose { reach: 120 },
    chip: true,
    stamp: |part, stamp| {
        let law = Law::Source { volts: 1e9, ohms: 1e9 / part.number(0) };
        stamp.element(Terminal::Pin(0), Terminal::Pin(1), law);
    },
    ..Card::BLANK
};

/// A circuit, a meter and what the meter is made of.
#[derive(Clone, Debug)]
pub struct Probe {
    /// The bench with one meter.
    pub bench: Bench,
    /// The meter's figures.
    pub figures: Figures,
    nodes: BTreeMap<String, u8>,
}

/// Builds a circuit, with a 10 MΩ meter that is switched off.
///
/// # Panics
/// When the text breaks the notation.
pub fn probe(text: &str) -> Probe {
    let mut bench = Bench::new(BoardKind::Full);
    let mut nodes: BTreeMap<String, u8> = BTreeMap::new();
    let mut used: BTreeMap<u8, u8> = BTreeMap::new();
    for line in text.split(';') {
        let (head, joined) = line.split_once(':').expect("a colon");
        let words: Vec<&str> = head.split_whitespace().collect();
        let [kind, value @ ..] = words.as_slice() else { panic!("a kind: {line}") };
        let bare = match *kind {
            "V" => Some(&VOLTS),
            "I" => Some(&AMPS),
            "R" => Some(&RESISTOR),
            _ => None,
        };
        let card = bare.unwrap_or_else(|| parts::card(kind).unwrap_or_else(|| panic!("no kind {kind}")));
        let mut part = Part::new(format!("P{}", bench.parts.len()), card);
        if bare.is_some() {
            part.values = vec![Value::Number(value[0].parse().expect("a number"))];
        }
        let index = PartIx(bench.parts.len());
        bench.parts.push(part);
        for (pin, node) in joined.split_whitespace().enumerate() {
            let rows = nodes.len() as u8;
            let row = *nodes.entry(node.to_owned()).or_insert(rows + 1);
            let column = used.entry(row).or_insert(0);
            let hole = Hole::grid(0, char::from(b'a' + *column), row);
            *column += 1;
            assert!(*column <= 5, "node {node} is full");
            bench.put_leg(LegId { part: index, pin }, Some(hole)).expect("a free hole");
        }
    }
    bench.meters.push(Meter::default());
    Probe { bench, figures: Figures::of(Kind::TenMegohm), nodes }
}

impl Probe {
    /// A tip on a node; what is no node is a word that [`Touch::parse`] knows.
    fn touch(&self, node: &str) -> Touch {
        match self.nodes.get(node) {
            Some(&row) => Touch::Hole(Hole::grid(0, 'e', row)),
            None => Touch::parse(&self.bench, node).expect("a node or a tip’s place"),
        }
    }

    /// The same with another resistance at volts.
    #[must_use]
    pub fn input(mut self, ohms: f64) -> Probe {
        self.figures.input_ohms = ohms;
        self.figures.lead_ohms = 1e-7;
        self
    }

    /// The same with a current path of so many ohms in all, leads and fuse included.
    #[must_use]
    pub fn burden(mut self, ohms: f64) -> Probe {
        self.figures.lead_ohms = 1e-7;
        self.figures.small_fuse.ohms = 1e-7;
        self.figures.large_fuse = None;
        self.figures.shunt_ohms = [ohms; 4];
        self.figures.large_shunt_ohms = ohms - 1e-4;
        self
    }

    /// Turns the dial, puts the red tip on one node and the black one on another, and reads.
    pub fn at(&mut self, dial: Dial, red: &str, black: &str) -> Measurement {
        let (red, black) = (self.touch(red), self.touch(black));
        let meter = &mut self.bench.meters[0];
        meter.dial = dial;
        (meter.red.tip, meter.black.tip) = (red, black);
        measure_as(&self.bench, 0, &[self.figures], None)
    }

    /// Adds a part from the drawer between two nodes that there are.
    ///
    /// # Panics
    /// When a node is missing or full, or a value is not allowed.
    pub fn add(&mut self, kind: &str, values: &[(&str, &str)], nodes: [&str; 2]) {
        let card = parts::card(kind).expect("a kind");
        let index = PartIx(self.bench.parts.len());
        let mut part = Part::new(format!("P{}", index.0), card);
        for (key, text) in values {
            let value = match card.params[card.param(key).expect("a key")].range {
                Range::Choice { options, .. } => {
                    Value::Choice(options.iter().position(|it| it.word == *text).expect("a choice") as u8)
                }
                _ => Value::Number(text.parse().expect("a number")),
            };
            assert!(part.set(key, value), "{key}={text}");
        }
        self.bench.parts.push(part);
        for (pin, node) in nodes.into_iter().enumerate() {
            let strip = self.bench.strip(Hole::grid(0, 'a', self.nodes[node])).expect("a strip");
            let holes = self.bench.boards[0].holes_of(strip);
            let free = holes.into_iter().find(|&hole| self.bench.occupant(hole).is_none());
            self.bench.put_leg(LegId { part: index, pin }, free).expect("a free hole");
        }
    }

    /// Puts the red tip on node `a` and the black one on `g`; says after how many seconds one of the
    /// meter's fuses has melted, if it does within so many.
    ///
    /// # Panics
    /// When the clock stops.
    pub fn melts(&mut self, within: f64) -> Option<f64> {
        let (red, black) = (self.touch("a"), self.touch("g"));
        let meter = &mut self.bench.meters[0];
        (meter.red.tip, meter.black.tip) = (red, black);
        let wired = wired_as(&self.bench, &[(&self.bench.meters[0], self.figures)]);
        let mut run = Run::new(&wired.bench, Care::LIVE);
        while run.time() < within && run.burnt().is_empty() {
            run.advance();
            assert_eq!(run.stalled(), None);
        }
        run.burnt().first().map(|&(time, _)| time)
    }
}
