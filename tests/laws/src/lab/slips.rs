//! Every single slip of the hand on a right bench.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Place, Side, Sign};
use halfrow_core::card::{Footprint, Value};
use halfrow_core::part::{Depth, Turn};

/// A bench with one slip.
#[derive(Clone, Debug)]
pub struct Slip {
    /// What kind of slip.
    pub kind: &'static str,
    /// What slipped, for people.
    pub name: String,
    /// The bench after it.
    pub bench: Bench,
    /// The parts that slipped: one, or two whose ends are exchanged. Empty where a part is missing.
    pub parts: Vec<String>,
    /// Where the legs that slipped are now; empty where a part is missing or has another value.
    pub at: Vec<Hole>,
    /// For a part that is missing: the holes where its legs were.
    pub gap: Vec<Hole>,
}

/// Every kind of slip.
pub const KINDS: [&str; 18] = [
    "row up",
    "row down",
    "two rows",
    "across",
    "rail",
    "other rail",
    "out",
    "missing",
    "turned",
    "chip turned",
    "chip off",
    "ends swapped",
    "decade up",
    "decade down",
    "permuted",
    "one row",
    "both in one",
    "far",
];

/// Puts a leg into a free hole of the half row or rail of `wanted`, the nearest one.
pub fn put(bench: &Bench, leg: LegId, wanted: Hole) -> Option<(Bench, Hole)> {
    let board = bench.board_of(wanted)?;
    let strip = bench.strip(wanted)?;
    let mut holes = board.holes_of(strip);
    let far = |hole: &Hole| bench.distance(*hole, wanted).unwrap_or(f64::INFINITY);
    holes.sort_by(|a, b| far(a).total_cmp(&far(b)));
    holes.into_iter().find_map(|hole| {
        let mut bench = bench.clone();
        bench.put_leg(leg, Some(hole)).ok()?;
        Some((bench, hole))
    })
}

struct Slips<'a> {
    right: &'a Bench,
    found: Vec<Slip>,
}

/// All single slips on a bench.
pub fn slips(right: &Bench) -> Vec<Slip> {
    let mut it = Slips { right, found: Vec::new() };
    it.legs();
    it.parts();
    it.chips();
    it.pairs_of_wires();
    it.three_legs();
    it.found
}

impl Slips<'_> {
    fn add(&mut self, kind: &'static str, part: PartIx, bench: Bench, at: Vec<Hole>) {
        let id = self.right.part(part).id.clone();
        let holes: Vec<String> = at.iter().map(Hole::to_string).collect();
        let name = format!("{kind}: {id} {}", holes.join(" "));
        self.found.push(Slip { kind, name, bench, parts: vec![id], at, gap: Vec::new() });
    }

    fn legs(&mut self) {
        let right = self.right;
        for (leg, it) in right.legs() {
            let (part, Some(hole)) = (right.part(leg.part), it.hole) else { continue };
            if part.is_rigid() {
                continue;
            }
            let mut wanted: Vec<(&'static str, Hole)> = Vec::new();
            let place = |place| Hole { place, ..hole };
            match hole.place {
                Place::Grid { row, column } => {
                    let two = if leg.pin == 0 { 2 } else { -2 };
                    for (kind, by) in [("row up", -1), ("row down", 1), ("two rows", two)] {
                        if let Some(row) = row.checked_add_signed(by) {
                            wanted.push((kind, place(Place::Grid { row, column })));
                        }
                    }
                    wanted.push(("across", place(Place::Grid { row, column: 9 - column })));
                }
                Place::Rail { side, sign, n } => {
                    let other = if sign == Sign::Plus { Sign::Minus } else { Sign::Plus };
                    wanted.push(("rail", place(Place::Rail { side, sign: other, n })));
                    let over = if side == Side::Left { Side::Right } else { Side::Left };
                    wanted.push(("other rail", place(Place::Rail { side: over, sign, n })));
                }
            }
            for (kind, wanted) in wanted {
                if let Some((bench, at)) = put(right, leg, wanted) {
                    self.add(kind, leg.part, bench, vec![at]);
                }
            }
            let mut bench = right.clone();
            bench.parts[leg.part.0].legs[leg.pin].depth = Depth::Out;
            self.add("out", leg.part, bench, vec![hole]);
        }
    }

    fn parts(&mut self) {
        let right = self.right;
        for (index, part) in right.parts.iter().enumerate() {
            let ix = PartIx(index);
            let holes: Vec<Hole> = part.legs.iter().filter_map(|leg| leg.hole).collect();
            if part.card.source.is_none() {
                let mut bench = right.clone();
                bench.parts.remove(index);
                self.found.push(Slip {
                    kind: "missing",
                    name: format!("missing: {}", part.id),
                    bench,
                    parts: Vec::new(),
                    at: Vec::new(),
                    gap: holes.clone(),
                });
            }
            if part.card.polarity.is_some() && holes.len() == 2 && !part.is_rigid()
                || part.card.source.is_some()
            {
                let mut bench = right.clone();
                let legs = &mut bench.parts[index].legs;
                (legs[0], legs[1]) = (legs[1], legs[0]);
                self.add("turned", ix, bench, holes.clone());
            }
            for (kind, by) in [("decade up", 10.0), ("decade down", 0.1)] {
                if let (Some(&Value::Number(ohms)), "resistor") = (part.values.first(), part.card.kind) {
                    let mut bench = right.clone();
                    if bench.parts[index].set("ohms", Value::Number(ohms * by)) {
                        self.add(kind, ix, bench, holes.clone());
                    }
                }
            }
            if holes.len() == 2 && !part.is_rigid() && part.card.source.is_none() {
                for pin in 0..2 {
                    if let Some((bench, at)) = put(right, LegId { part: ix, pin }, holes[1 - pin]) {
                        self.add("both in one", ix, bench, vec![at]);
                    }
                }
                self.far(ix, &holes);
            }
        }
    }

    /// Both legs of a part some rows from where they belong.
    fn far(&mut self, ix: PartIx, holes: &[Hole]) {
        for by in [if ix.0.is_multiple_of(2) { 5_i8 } else { -4 }] {
            let there: Option<Vec<Hole>> = holes
                .iter()
                .map(|hole| match hole.place {
                    Place::Grid { row, column } => {
                        let row = row.checked_add_signed(by).filter(|row| *row > 0)?;
                        Some(Hole { place: Place::Grid { row, column }, ..*hole })
                    }
                    Place::Rail { .. } => None,
                })
                .collect();
            let Some(there) = there else { continue };
            let mut bench = self.right.clone();
            for pin in 0..2 {
                let _ = bench.put_leg(LegId { part: ix, pin }, None);
            }
            let put = |(bench, mut at): (Bench, Vec<Hole>), (pin, &hole): (usize, &Hole)| {
                let (bench, hole) = put(&bench, LegId { part: ix, pin }, hole)?;
                at.push(hole);
                Some((bench, at))
            };
            let start = Some((bench, Vec::new()));
            let moved = there.iter().enumerate().fold(start, |so_far, it| put(so_far?, it));
            if let Some((bench, at)) = moved {
                self.add("far", ix, bench, at);
            }
        }
    }

    fn chips(&mut self) {
        let right = self.right;
        for (index, part) in right.parts.iter().enumerate() {
            let ix = PartIx(index);
            let (Footprint::Rigid { straddles, .. }, Some(pin1)) = (part.card.footprint, part.legs[0].hole)
            else {
                continue;
            };
            let Place::Grid { row, column } = pin1.place else { continue };
            for by in [-1_i8, 1] {
                let Some(row) = row.checked_add_signed(by) else { continue };
                let mut bench = right.clone();
                let there = Hole { place: Place::Grid { row, column }, ..pin1 };
                if bench.place_rigid(ix, there, part.turn).is_ok() {
                    let at = bench.parts[index].legs.iter().filter_map(|leg| leg.hole).collect();
                    self.add("chip off", ix, bench, at);
                }
            }
            // Turned round in its own holes: pin 1 comes where the pin across its centre was.
            let count = part.legs.len();
            let far = if straddles { part.legs[count / 2].hole } else { part.legs[count - 1].hole };
            let turn = match part.turn {
                Turn::None => Turn::Half,
                Turn::Half => Turn::None,
                _ => continue,
            };
            if let (Some(far), true) = (far, part.card.chip || count == 3) {
                let mut bench = right.clone();
                if bench.place_rigid(ix, far, turn).is_ok() {
                    let at = bench.parts[index].legs.iter().filter_map(|leg| leg.hole).collect();
                    self.add("chip turned", ix, bench, at);
                }
            }
        }
    }

    /// An end of one wire and an end of another nearby exchanged.
    fn pairs_of_wires(&mut self) {
        let right = self.right;
        let wires: Vec<PartIx> =
            (0..right.parts.len()).map(PartIx).filter(|&it| right.part(it).card.is_wire()).collect();
        let hole = |leg: LegId| right.part(leg.part).legs[leg.pin].hole;
        for (index, &one) in wires.iter().enumerate() {
            for &two in &wires[index + 1..] {
                for (a, b) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
                    let (a, b) = (LegId { part: one, pin: a }, LegId { part: two, pin: b });
                    let (Some(at), Some(bt)) = (hole(a), hole(b)) else { continue };
                    if right.distance(at, bt).is_none_or(|far| far > 4.0) {
                        continue;
                    }
                    let mut bench = right.clone();
                    bench.parts[one.0].legs[a.pin].hole = Some(bt);
                    bench.parts[two.0].legs[b.pin].hole = Some(at);
                    let ids = [one, two].map(|it| right.part(it).id.clone());
                    self.found.push(Slip {
                        kind: "ends swapped",
                        name: format!("ends swapped: {} {bt} and {} {at}", ids[0], ids[1]),
                        bench,
                        parts: ids.to_vec(),
                        at: vec![bt, at],
                        gap: Vec::new(),
                    });
                }
            }
        }
    }

    fn three_legs(&mut self) {
        let right = self.right;
        for (index, part) in right.parts.iter().enumerate() {
            let ix = PartIx(index);
            let holes: Vec<Hole> = part.legs.iter().filter_map(|leg| leg.hole).collect();
            if part.is_rigid() || holes.len() != 3 {
                continue;
            }
            for order in [[0, 2, 1], [1, 0, 2], [2, 1, 0], [1, 2, 0], [2, 0, 1]] {
                let mut bench = right.clone();
                for (pin, &from) in order.iter().enumerate() {
                    bench.parts[index].legs[pin].hole = Some(holes[from]);
                }
                let moved = (0..3).filter(|&pin| order[pin] != pin).map(|pin| holes[pin]).collect();
                self.add("permuted", ix, bench, moved);
            }
            for (pin, other) in [(0, 1), (1, 0), (1, 2), (2, 1)] {
                if let Some((bench, at)) = put(right, LegId { part: ix, pin }, holes[other]) {
                    self.add("one row", ix, bench, vec![at]);
                }
            }
        }
    }
}
