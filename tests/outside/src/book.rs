//! A textbook's circuit, written in a line and built on a bench.
//!
//! `E 12 V: a g; R1 1: a b; R2 6: b c; R3 13: c g` is a source of 12 V with + at `a` and three
//! resistors in series. `g` is the node that voltages count from. The parts are put on a full board:
//! a half row for each node, a rail for a node with more than five legs. Values take k and M.
//!
//! Sources are bench supplies as ideal as they come (1 mΩ, 3 A); `E 12 V 0.1:` has an internal
//! resistance. A supply can't be charged, nor hold more than 24 V; `E battery 28 V 4:` is a pack of
//! cells of 28 V, its own resistance made up to 4 Ω with a resistor. Where a book's currents are too
//! large for a breadboard or its resistances too small for real cells, [`circuit_times`] builds it
//! with all resistances so many times larger and gives the currents back as many times larger: a
//! resistive circuit doesn't mind.

use std::collections::BTreeMap;

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{BoardKind, Hole, Side, Sign, Strip};
use halfrow_core::card::Value;
use halfrow_core::circuit::{Contacts, Law};
use halfrow_core::part::Part;
use halfrow_core::parts;
use halfrow_core::solve::{OperatingPoint, solve_with};

/// Contacts as a book has them: next to nothing.
pub const IDEAL: Contacts = Contacts { contact_ohms: 1e-6 };

/// A circuit of a book on a bench, solved.
#[derive(Debug)]
pub struct Book {
    /// The bench that it was built on.
    pub bench: Bench,
    /// Its operating point with [`IDEAL`] contacts.
    pub point: OperatingPoint,
    items: BTreeMap<String, Item>,
    strips: BTreeMap<String, Strip>,
    times: f64,
}

#[derive(Clone, Debug)]
struct Item {
    part: PartIx,
    is_source: bool,
    open_volts: f64,
}

/// A line of the notation, before it has holes.
#[derive(Clone, Debug)]
struct Line {
    name: String,
    kind: &'static str,
    values: Vec<(&'static str, Value)>,
    nodes: Vec<String>,
    open_volts: f64,
}

/// Builds and solves a circuit.
///
/// # Panics
/// When the text breaks the notation or the circuit does not fit on a full board.
pub fn circuit(text: &str) -> Book {
    circuit_times(1.0, text)
}

/// The same with all resistances `times` larger on the bench than in the book; currents and watts
/// are read as the book has them.
///
/// # Panics
/// As [`circuit`].
pub fn circuit_times(times: f64, text: &str) -> Book {
    let lines: Vec<Line> = text.split(';').flat_map(|line| read_line(line.trim(), times)).collect();
    let mut bench = Bench::new(BoardKind::Full);
    let mut holes = lay_out(&lines, &bench);
    let strips =
        holes.iter().map(|(node, free)| (node.clone(), bench.strip(free[0]).expect("a strip"))).collect();
    let mut items = BTreeMap::new();
    for line in lines {
        let card = parts::card(line.kind).expect("a kind");
        let ix = PartIx(bench.parts.len());
        let mut part = Part::new(bench.next_id(card), card);
        for (key, value) in line.values {
            assert!(part.set(key, value), "{}: the card does not allow {key} {value:?}", line.name);
        }
        bench.parts.push(part);
        for (pin, node) in line.nodes.iter().enumerate() {
            let hole = holes.get_mut(node).and_then(Vec::pop).expect("a free hole");
            bench
                .put_leg(LegId { part: ix, pin }, Some(hole))
                .unwrap_or_else(|e| panic!("{}: {e}", line.name));
        }
        let is_source = card.source.is_some();
        items.insert(line.name, Item { part: ix, is_source, open_volts: line.open_volts });
    }
    let point = solve_with(&bench, IDEAL);
    assert!(point.settled, "{text} does not settle");
    Book { bench, point, items, strips, times }
}

fn read_line(line: &str, times: f64) -> Vec<Line> {
    let (head, nodes) = line.split_once(':').unwrap_or_else(|| panic!("no colon in {line}"));
    let nodes: Vec<String> = nodes.split_whitespace().map(str::to_owned).collect();
    let words: Vec<&str> = head.split_whitespace().collect();
    let plain = |kind, values| Line {
        name: words[0].to_owned(),
        kind,
        values,
        nodes: nodes.clone(),
        open_volts: 0.0,
    };
    let choice = |kind: &str, key: &str, word: &str| {
        let card = parts::card(kind).expect("a kind");
        let halfrow_core::card::Range::Choice { options, .. } =
            card.params[card.param(key).expect("a key")].range
        else {
            panic!("{key} is no choice")
        };
        let index = options.iter().position(|o| o.word == word).unwrap_or_else(|| panic!("no {word}"));
        Value::Choice(index as u8)
    };
    match words[1..] {
        ["wire"] => vec![plain("wire", vec![])],
        ["led", colour] => vec![plain("led", vec![("colour", choice("led", "colour", colour))])],
        ["diode", kind] => vec![plain("diode", vec![("type", choice("diode", "type", kind))])],
        [volts, "V"] | [volts, "V", _] => {
            let volts: f64 = number(volts);
            let ohms = if words.len() == 4 { number(words[3]) * times } else { 0.001 };
            let values = vec![
                ("volts", Value::Number(volts)),
                ("limit_amps", Value::Number(3.0)),
                ("ohms", Value::Number(ohms)),
            ];
            vec![Line { open_volts: volts, ..plain("supply", values) }]
        }
        ["battery", volts, "V"] => vec![battery(plain("battery", vec![]), number(volts)).0],
        ["battery", volts, "V", ohms] => {
            let (mut line, own_ohms) = battery(plain("battery", vec![]), number(volts));
            let rest = number(ohms) * times - own_ohms;
            assert!(rest >= 0.01, "{head}: the cells alone have {own_ohms} Ω");
            let between = format!("{} inside", line.name);
            let resistor = Line {
                name: between.clone(),
                kind: "resistor",
                values: vec![("ohms", Value::Number(rest))],
                nodes: vec![line.nodes[0].clone(), between.clone()],
                open_volts: 0.0,
            };
            line.nodes[0] = between;
            vec![line, resistor]
        }
        [ohms] => vec![plain("resistor", vec![("ohms", Value::Number(number(ohms) * times))])],
        _ => panic!("what is {head}?"),
    }
}

/// A pack of so many volts, and its own resistance: fewest cells, of the type that reaches it.
fn battery(line: Line, volts: f64) -> (Line, f64) {
    let card = parts::card("battery").expect("a kind");
    for cells in 1..=6 {
        // AA alkaline, NiMH, 9 V block.
        for cell in [0, 1, 3] {
            let at = |charge: f64| {
                let mut part = Part::new("BT1", card);
                part.set("cell", Value::Choice(cell));
                part.set("cells", Value::Whole(cells));
                part.set("charge", Value::Number(charge));
                (card.source.expect("a source").open_volts)(&part)
            };
            if (at(0.0)..=at(1.0)).contains(&volts) {
                // The voltage rises with the charge: halvings to the last bit.
                let (mut low, mut high) = (0.0, 1.0);
                for _ in 0..60 {
                    let middle = 0.5 * (low + high);
                    if at(middle) < volts { low = middle } else { high = middle }
                }
                let charge = high;
                let values = vec![
                    ("cell", Value::Choice(cell)),
                    ("cells", Value::Whole(cells)),
                    ("charge", Value::Number(charge)),
                ];
                let line = Line { values: values.clone(), open_volts: volts, ..line };
                let mut bench = Bench::new(BoardKind::Mini);
                let mut part = Part::new("BT1", card);
                for (key, value) in values {
                    part.set(key, value);
                }
                bench.parts.push(part);
                let law = halfrow_core::circuit::Circuit::of(&bench, IDEAL).elements[0].law;
                let Law::Source { ohms, .. } = law else { panic!("a battery is a source") };
                return (line, ohms);
            }
        }
    }
    panic!("no pack of {volts} V")
}

fn number(text: &str) -> f64 {
    let (digits, factor) = match text.strip_suffix('k') {
        Some(digits) => (digits, 1e3),
        None => text.strip_suffix('M').map_or((text, 1.0), |digits| (digits, 1e6)),
    };
    digits.parse::<f64>().unwrap_or_else(|_| panic!("{text} is no number")) * factor
}

/// The free holes of each node's strip.
fn lay_out(lines: &[Line], bench: &Bench) -> BTreeMap<String, Vec<Hole>> {
    let mut legs: Vec<(String, usize)> = Vec::new();
    for node in lines.iter().flat_map(|line| &line.nodes) {
        match legs.iter_mut().find(|(name, _)| name == node) {
            Some((_, count)) => *count += 1,
            None => legs.push((node.clone(), 1)),
        }
    }
    let mut rails = [
        (Side::Left, Sign::Minus),
        (Side::Left, Sign::Plus),
        (Side::Right, Sign::Minus),
        (Side::Right, Sign::Plus),
    ]
    .into_iter();
    let mut half_rows = (1..=20).flat_map(|row| [(row, 'a'), (row, 'f')]);
    legs.into_iter()
        .map(|(node, count)| {
            let holes = if count <= 5 {
                let (row, first) = half_rows.next().expect("fewer than forty nodes");
                let strip = bench.strip(Hole::grid(0, first, row)).expect("a hole of the board");
                bench.boards[0].holes_of(strip)
            } else {
                let (side, sign) = rails.next().expect("at most four crowded nodes");
                (1..=15).map(|n| Hole::rail(0, side, sign, n)).collect()
            };
            (node, holes)
        })
        .collect()
}

impl Book {
    /// A reading: `R1 A` (from its first node to its second; what a source gives), `R1 V` (over it),
    /// `R1 W` (what it takes; what a source gives, all of its electromotive force counted), `a V`
    /// (against g), `a-b V`.
    ///
    /// # Panics
    /// When there is no such part or node.
    pub fn read(&self, what: &str) -> f64 {
        let (name, unit) = what.split_once(' ').unwrap_or_else(|| panic!("no unit in {what}"));
        if let Some(item) = self.items.get(name) {
            let reading = self.point.part(item.part);
            let sign = if item.is_source { -1.0 } else { 1.0 };
            let amps = sign * reading.pins[0].amps * self.times;
            return match unit {
                "A" => amps,
                "V" => reading.volts_across(0, 1).expect("one circuit"),
                "W" if item.is_source => amps * item.open_volts,
                "W" => reading.watts * self.times,
                _ => panic!("what is {unit}?"),
            };
        }
        let (node, from) = name.split_once('-').unwrap_or((name, "g"));
        self.volts(node) - self.volts(from)
    }

    fn volts(&self, node: &str) -> f64 {
        let strip = self.strips.get(node).unwrap_or_else(|| panic!("no part and no node {node}"));
        self.point.strip_volts(*strip).expect("tied to a source")
    }

    /// What is wrong with a list of printed results such as `R1 A = 0.600; a V = 12`: everything
    /// that is off by more than 0.1 % and half a unit of the last printed digit.
    pub fn compare(&self, printed: &str) -> Vec<String> {
        printed
            .split(';')
            .filter_map(|claim| {
                let (what, value) = claim.split_once('=').unwrap_or_else(|| panic!("no = in {claim}"));
                let (what, value) = (what.trim(), value.trim());
                let decimals = value.split_once('.').map_or(0, |(_, digits)| digits.len());
                let half_digit = 0.5 * 10f64.powi(-(decimals as i32));
                let wanted: f64 = value.parse().unwrap_or_else(|_| panic!("{value} is no number"));
                let is = self.read(what);
                let fine = (is - wanted).abs() <= 0.001 * wanted.abs() + half_digit;
                (!fine).then(|| format!("{what} is {is}, printed {value}"))
            })
            .collect()
    }
}
