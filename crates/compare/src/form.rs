//! What of a bench counts when circuits are compared: pieces and the nets that join them.
//!
//! A piece is a part, or one gate of a chip, or what is left of a chip without its gates. Wires and other
//! metal are folded into the nets. A gate carries the supply of its package among its terminals, so that
//! gates can change places wherever they are fed alike.

use halfrow_core::bench::Bench;
use halfrow_core::board::Strip;
use halfrow_core::card::Card;
use halfrow_core::nets::DisjointSets;
use halfrow_core::part::{Depth, Part};

/// The strip that a leg touches for good. One that is barely in is nothing to rely on.
pub(crate) fn touched(bench: &Bench, part: &Part, pin: usize) -> Option<Strip> {
    let leg = part.legs[pin];
    if leg.depth == Depth::Full { bench.strip(leg.hole?) } else { None }
}

/// Parts and how their pins are joined, whether on boards or on paper only.
#[derive(Clone, Debug)]
pub struct Joined {
    /// The parts; wires among them join nothing by themselves.
    pub parts: Vec<Part>,
    /// For each pin of each part its net by number; `None` for a pin that touches nothing.
    pub nets: Vec<Vec<Option<usize>>>,
}

impl Joined {
    /// The parts of a bench, joined by strips, wires and metal.
    pub fn of(bench: &Bench) -> Joined {
        let mut strips: Vec<Strip> = Vec::new();
        for part in &bench.parts {
            strips.extend((0..part.legs.len()).filter_map(|pin| touched(bench, part, pin)));
        }
        strips.sort_unstable();
        strips.dedup();
        let pins: usize = bench.parts.iter().map(|part| part.legs.len()).sum();
        let mut sets = DisjointSets::new(strips.len() + pins);
        let mut first = strips.len();
        for part in &bench.parts {
            for pin in 0..part.legs.len() {
                if let Some(strip) = touched(bench, part, pin) {
                    sets.join(first + pin, strips.binary_search(&strip).expect("listed above"));
                }
            }
            for &(a, b) in part.card.metal {
                sets.join(first + usize::from(a), first + usize::from(b));
            }
            first += part.legs.len();
        }
        let mut first = strips.len();
        let mut nets = Vec::with_capacity(bench.parts.len());
        for part in &bench.parts {
            let own = first..first + part.legs.len();
            first = own.end;
            nets.push(own.map(|pin| Some(sets.root(pin)).filter(|&root| root < strips.len())).collect());
        }
        Joined { parts: bench.parts.clone(), nets }
    }
}

impl Joined {
    /// Parts on paper: each joint is a list of part and pin.
    pub fn on_paper(parts: Vec<Part>, joints: &[Vec<(usize, usize)>]) -> Joined {
        let mut first: Vec<usize> = Vec::new();
        let mut pins = 0;
        for part in &parts {
            first.push(pins);
            pins += part.legs.len();
        }
        let mut sets = DisjointSets::new(pins);
        for (index, part) in parts.iter().enumerate() {
            for &(a, b) in part.card.metal {
                sets.join(first[index] + usize::from(a), first[index] + usize::from(b));
            }
        }
        for joint in joints {
            for &(part, pin) in joint {
                sets.join(first[part] + pin, first[joint[0].0] + joint[0].1);
            }
        }
        let nets = parts
            .iter()
            .zip(&first)
            .map(|(part, &first)| (first..first + part.legs.len()).map(|pin| Some(sets.root(pin))).collect())
            .collect();
        Joined { parts, nets }
    }
}

/// What a kind of piece looks like to others.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Shape {
    pub kind: String,
    pub gate: bool,
    /// For each terminal the first one that it can be exchanged with: itself where it has no twin.
    pub roles: Vec<u8>,
}

impl Shape {
    /// Every order in which a build's terminals can stand for a plan's: the plan's terminal that each takes
    /// the part of.
    pub fn orders(&self) -> Vec<Vec<u8>> {
        let mut orders = vec![Vec::new()];
        for at in 0..self.roles.len() {
            let free = |order: &[u8]| -> Vec<u8> {
                let all = 0..self.roles.len() as u8;
                all.filter(|&it| self.roles[usize::from(it)] == self.roles[at] && !order.contains(&it))
                    .collect()
            };
            orders = orders
                .into_iter()
                .flat_map(|order: Vec<u8>| {
                    free(&order).into_iter().map(move |next| {
                        let mut order = order.clone();
                        order.push(next);
                        order
                    })
                })
                .collect();
        }
        orders
    }
}

/// The shapes that have been met, each with a number.
#[derive(Clone, Debug, Default)]
pub(crate) struct Shapes(pub Vec<Shape>);

/// A piece of a bench.
#[derive(Clone, Debug)]
pub(crate) struct Piece {
    /// Index of its part.
    pub part: usize,
    /// Whether it is a gate rather than a part or a package.
    pub gate: bool,
    /// Number of its shape.
    pub shape: usize,
    /// The pins of each terminal: several where metal joins them inside.
    pub pins: Vec<Vec<usize>>,
    /// The net of each terminal; `None` where nothing else is joined to it.
    pub nets: Vec<Option<usize>>,
}

/// All pieces and nets of a bench.
#[derive(Clone, Debug)]
pub(crate) struct Form {
    pub pieces: Vec<Piece>,
    /// Number of nets that join at least two terminals.
    pub nets: usize,
    /// Parts that are joined to nothing at all: they do nothing, and don't count.
    pub unjoined: Vec<usize>,
}

/// The pins of a part's terminals: those of one gate and then the package's, or only the package's.
fn terminals(card: &Card, gate: Option<usize>) -> Vec<Vec<usize>> {
    let mut pins: Vec<usize> =
        gate.map_or(vec![], |gate| card.gates[gate].iter().map(|&it| it.into()).collect());
    let gated = |pin: usize| card.gates.iter().flat_map(|it| it.iter()).any(|&own| usize::from(own) == pin);
    pins.extend((0..card.pins.len()).filter(|&pin| !gated(pin)));
    let mut sets = DisjointSets::new(card.pins.len());
    for &(a, b) in card.metal {
        sets.join(a.into(), b.into());
    }
    let mut all: Vec<(usize, Vec<usize>)> = Vec::new();
    for pin in pins {
        let root = sets.root(pin);
        match all.iter_mut().find(|it| it.0 == root) {
            Some(own) => own.1.push(pin),
            None => all.push((root, vec![pin])),
        }
    }
    all.into_iter().map(|it| it.1).collect()
}

fn roles(card: &Card, terminals: &[Vec<usize>]) -> Vec<u8> {
    let group = |pins: &Vec<usize>| {
        card.alike.iter().position(|group| group.iter().any(|&pin| pins.contains(&usize::from(pin))))
    };
    (0..terminals.len())
        .map(|at| match group(&terminals[at]) {
            Some(own) => terminals.iter().position(|it| group(it) == Some(own)).expect("itself") as u8,
            None => at as u8,
        })
        .collect()
}

impl Shapes {
    /// The number of a shape.
    pub fn number(&mut self, shape: Shape) -> usize {
        match self.0.iter().position(|it| *it == shape) {
            Some(number) => number,
            None => {
                self.0.push(shape);
                self.0.len() - 1
            }
        }
    }

    /// The pieces of all parts but wires, with the nets as they are numbered.
    pub fn pieces(&mut self, joined: &Joined) -> Vec<Piece> {
        let mut pieces = Vec::new();
        for (index, part) in joined.parts.iter().enumerate().filter(|it| !it.1.card.is_wire()) {
            let gates = part.card.gates.len();
            for gate in std::iter::once(None).chain((0..gates).map(Some)) {
                let pins = terminals(part.card, gate);
                if pins.is_empty() {
                    // All pins belong to gates: there is no package to speak of.
                    continue;
                }
                let roles = roles(part.card, &pins);
                let shape =
                    self.number(Shape { kind: part.card.kind.to_owned(), gate: gate.is_some(), roles });
                let nets =
                    pins.iter().map(|pins| pins.iter().find_map(|&pin| joined.nets[index][pin])).collect();
                pieces.push(Piece { part: index, gate: gate.is_some(), shape, pins, nets });
            }
        }
        pieces
    }

    /// The form of what is joined.
    pub fn form(&mut self, joined: &Joined) -> Form {
        let mut pieces = self.pieces(joined);
        let most = joined.nets.iter().flatten().flatten().max().map_or(0, |it| it + 1);
        // How many terminals of parts each net joins; a gate's share of the package's counts once.
        let mut crowd = vec![0_u32; most];
        for piece in &pieces {
            let card = joined.parts[piece.part].card;
            for (pins, net) in piece.pins.iter().zip(&piece.nets) {
                let own = !piece.gate
                    || card.gates.iter().flat_map(|it| it.iter()).any(|&pin| usize::from(pin) == pins[0]);
                if let (Some(net), true) = (net, own) {
                    crowd[*net] += 1;
                }
            }
        }
        let mut number = vec![None; most];
        let mut nets = 0;
        for (net, _) in crowd.iter().enumerate().filter(|it| *it.1 >= 2) {
            number[net] = Some(nets);
            nets += 1;
        }
        for piece in &mut pieces {
            for net in &mut piece.nets {
                *net = net.and_then(|net| number[net]);
            }
        }
        let is_joined =
            |part: usize| pieces.iter().any(|it| it.part == part && it.nets.iter().any(Option::is_some));
        let unjoined: Vec<usize> = (0..joined.parts.len())
            .filter(|&part| !joined.parts[part].card.is_wire() && !is_joined(part))
            .collect();
        Form { pieces, nets, unjoined }
    }
}

impl Form {
    /// The same without the parts that are joined to nothing.
    pub fn at_work(&self) -> Form {
        let mut form = self.clone();
        form.pieces.retain(|piece| !self.unjoined.contains(&piece.part));
        form
    }
}

/// Whether a part of the build does for one of the plan as far as its values go.
pub(crate) fn does_for(plan: &Part, build: &Part) -> bool {
    plan.card == build.card
        && (0..plan.card.params.len()).all(|param| (plan.card.does_for)(plan, build, param))
}
