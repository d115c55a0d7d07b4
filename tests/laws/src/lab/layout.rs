//! Lays a plan out as a person would, each time otherwise: chips across the channel, parts near what they
//! belong to, legs of one net in one half row or joined by wires, + and − in rails.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Board, BoardKind, Hole, Side, Sign, Strip, StripPlace};
use halfrow_core::card::{Footprint, Range, Value};
use halfrow_core::part::{Part, Turn};
use halfrow_core::parts;

use super::circuits::Plan;
use crate::chance::Chance;

/// A part of a plan, and the net of each of its pins.
#[derive(Clone, Debug)]
struct Item {
    part: Part,
    nets: Vec<Option<String>>,
}

/// Reads a plan, choosing where it leaves a choice.
fn items(plan: &Plan, chance: &mut Chance) -> Vec<Item> {
    let mut text = String::new();
    let mut rest = plan.parts;
    while let Some((before, after)) = rest.split_once('{') {
        let (choices, after) = after.split_once('}').expect("a closing brace");
        let choices: Vec<&str> = choices.split('|').collect();
        text += before;
        text += chance.of(&choices);
        rest = after;
    }
    text += rest;
    let mut items: Vec<Item> = Vec::new();
    for line in text.lines() {
        let mut words = line.split_whitespace();
        let id = words.next().expect("a name");
        if let Some(id) = id.strip_suffix('!') {
            let item = items.iter_mut().find(|it| it.part.id == id).expect("a part named before");
            for word in words {
                join(item, word);
            }
            continue;
        }
        let kind = words.next().expect("a kind");
        let card = parts::card(kind).unwrap_or_else(|| panic!("no kind {kind}"));
        let mut item = Item { part: Part::new(id, card), nets: vec![None; card.pins.len()] };
        for word in words {
            match word.split_once('=') {
                Some((key, value)) => set(&mut item.part, key, value),
                None => join(&mut item, word),
            }
        }
        items.push(item);
    }
    items
}

fn set(part: &mut Part, key: &str, value: &str) {
    let index = part.card.param(key).unwrap_or_else(|| panic!("{} has no {key}", part.card.kind));
    let value = match part.card.params[index].range {
        Range::Number { .. } => Value::Number(value.parse().expect("a number")),
        Range::Whole { .. } => Value::Whole(value.parse().expect("a whole number")),
        Range::Choice { options, .. } => {
            Value::Choice(options.iter().position(|it| it.word == value).expect("a choice") as u8)
        }
        Range::Flag { .. } => Value::Flag(value == "yes"),
    };
    assert!(part.set(key, value), "{} {key}", part.card.kind);
}

fn join(item: &mut Item, word: &str) {
    let (pin, net) = word.rsplit_once(':').expect("a pin and its net");
    let index = item.part.card.pins.iter().position(|it| it.name == pin);
    item.nets[index.unwrap_or_else(|| panic!("{} has no pin {pin}", item.part.id))] = Some(net.to_owned());
}

/// How somebody builds.
#[derive(Clone, Copy, Debug)]
struct Hand {
    /// Of a hundred legs that belong to a rail, so many go straight into it.
    straight: usize,
    /// Whether wires have the colours that everybody expects.
    tidy_colours: bool,
    /// Of a hundred legs, so many go into a row that the net has already.
    together: usize,
    /// Rows between a part and what it belongs to, at most.
    apart: usize,
}

struct Desk<'a> {
    bench: Bench,
    uses: Vec<(Strip, Option<String>)>,
    hand: Hand,
    chance: &'a mut Chance,
    /// About where the next part goes.
    row: u8,
}

/// A right bench of a plan. The same chance gives the same bench.
///
/// # Panics
/// When the plan finds no room in many tries.
pub fn bench(plan: &Plan, chance: &mut Chance) -> Bench {
    for _ in 0..200 {
        let items = items(plan, chance);
        let pins: usize = items.iter().map(|it| it.nets.len()).sum();
        let kind = if pins < 24 && chance.percent(60) { BoardKind::Half } else { BoardKind::Full };
        if let Some(bench) = lay(plan, kind, items, chance) {
            return bench;
        }
    }
    panic!("no room for {}", plan.parts);
}

fn lay(plan: &Plan, kind: BoardKind, items: Vec<Item>, chance: &mut Chance) -> Option<Bench> {
    let mut bench = Bench::new(kind);
    plan.family.clone_into(&mut bench.title);
    bench.boards[0] = Board { kind, split_rails: chance.percent(30) };
    let uses = bench.boards[0].strips(0).into_iter().map(|strip| (strip, None)).collect();
    let hand = Hand {
        straight: 50 + chance.below(50),
        tidy_colours: chance.percent(70),
        together: 55 + chance.below(40),
        apart: 3 + chance.below(5),
    };
    let row = 1 + chance.below(usize::from(kind.rows()) / 4) as u8;
    let mut desk = Desk { bench, uses, hand, chance, row };
    desk.give_rails(&items);
    // Stiff parts first, then the others in their order.
    for item in items.iter().filter(|it| it.part.is_rigid()) {
        desk.put_rigid(item)?;
    }
    for item in items.iter().filter(|it| !it.part.is_rigid()) {
        desk.put_loose(item)?;
    }
    desk.bench.parts.sort_by_key(|part| items.iter().position(|it| it.part.id == part.id));
    desk.wire()?;
    desk.bench.check().ok()?;
    Some(desk.bench)
}

impl Desk<'_> {
    fn net_of(&self, strip: Strip) -> Option<&str> {
        self.uses.iter().find(|it| it.0 == strip).and_then(|it| it.1.as_deref())
    }

    fn take(&mut self, strip: Strip, net: &str) {
        let used = self.uses.iter_mut().find(|it| it.0 == strip).expect("a strip of the board");
        used.1 = Some(net.to_owned());
    }

    fn legs_in(&self, strip: Strip) -> usize {
        self.bench
            .legs()
            .filter(|(_, leg)| leg.hole.and_then(|it| self.bench.strip(it)) == Some(strip))
            .count()
    }

    /// Puts + and − into the rails of their sign, of one side or of both; the third net of a dual supply into
    /// the right − rail.
    fn give_rails(&mut self, items: &[Item]) {
        let has = |net: &str| items.iter().any(|it| it.nets.iter().any(|it| it.as_deref() == Some(net)));
        let dual = has("v-");
        let sides: &[Side] = match (dual, self.chance.below(4)) {
            (true, _) | (_, 0 | 1) => &[Side::Left, Side::Right],
            (_, 2) => &[Side::Left],
            _ => &[Side::Right],
        };
        for index in 0..self.uses.len() {
            let StripPlace::Rail { side, sign, .. } = self.uses[index].0.place else { continue };
            let net = match sign {
                Sign::Plus => "+",
                Sign::Minus if dual && side == Side::Right => "v-",
                Sign::Minus => "-",
            };
            if sides.contains(&side) && has(net) {
                self.uses[index].1 = Some(net.to_owned());
            }
        }
    }

    fn put_rigid(&mut self, item: &Item) -> Option<()> {
        let Footprint::Rigid { straddles, .. } = item.part.card.footprint else { return None };
        let ix = PartIx(self.bench.parts.len());
        self.bench.parts.push(item.part.clone());
        let wide = straddles || item.part.card.kind == "push-button";
        for attempt in 0..60 {
            let rows = usize::from(self.bench.boards[0].kind.rows());
            let row = (usize::from(self.row) + self.chance.below(3 + attempt)) % rows + 1;
            let (column, turn) = if wide {
                if self.chance.percent(75) { ('e', Turn::None) } else { ('f', Turn::Half) }
            } else {
                (char::from(b'a' + self.chance.below(10) as u8), self.chance.of(&[Turn::None, Turn::Half]))
            };
            let holes = self.bench.holes_under(item.part.card, Hole::grid(0, column, row as u8), turn);
            let Some(holes) = holes.into_iter().collect::<Option<Vec<Hole>>>() else { continue };
            let strips: Vec<Strip> = holes.iter().filter_map(|&hole| self.bench.strip(hole)).collect();
            let is_free = |strip: &Strip| self.net_of(*strip).is_none() && self.legs_in(*strip) == 0;
            if !strips.iter().all(is_free) || self.bench.place_rigid(ix, holes[0], turn).is_err() {
                continue;
            }
            for (pin, &strip) in strips.iter().enumerate() {
                // A leg that is joined to nothing keeps its row for itself; one that is metal with another
                // leg of the same part serves the same net.
                let partner = item.part.card.metal.iter().find_map(|&(a, b)| {
                    let (a, b) = (usize::from(a), usize::from(b));
                    if a == pin {
                        item.nets[b].clone()
                    } else if b == pin {
                        item.nets[a].clone()
                    } else {
                        None
                    }
                });
                let net = item.nets[pin].clone().or(partner);
                self.take(strip, &net.unwrap_or_else(|| format!("{} {pin}", item.part.id)));
            }
            self.row = holes.iter().filter_map(|hole| hole.row()).max().unwrap_or(1);
            return Some(());
        }
        None
    }

    fn put_loose(&mut self, item: &Item) -> Option<()> {
        let ix = PartIx(self.bench.parts.len());
        self.bench.parts.push(item.part.clone());
        let pins = item.nets.len();
        'tries: for attempt in 0..80 {
            for pin in 0..pins {
                self.bench.put_leg(LegId { part: ix, pin }, None).ok()?;
            }
            let mut taken: Vec<(Strip, String)> = Vec::new();
            let mut order: Vec<usize> = (0..pins).collect();
            // What is there already first.
            order.sort_by_key(|&pin| !self.is_known(item.nets[pin].as_deref()));
            let mut near = None;
            for pin in order {
                let Some(net) = item.nets[pin].clone() else { continue };
                let leg = LegId { part: ix, pin };
                let Some(hole) = self.choose(leg, &net, near, &taken, attempt) else { continue 'tries };
                let strip = self.bench.strip(hole)?;
                if taken.iter().any(|it| it.0 == strip) {
                    continue 'tries;
                }
                taken.push((strip, net));
                near = near.or(hole.row().map(|row| (row, hole.side())));
            }
            for (strip, net) in taken {
                self.take(strip, &net);
            }
            if let Some((row, _)) = near {
                self.row = row;
            }
            return Some(());
        }
        None
    }

    fn is_known(&self, net: Option<&str>) -> bool {
        net.is_some_and(|net| {
            self.uses
                .iter()
                .any(|it| it.1.as_deref() == Some(net) && !matches!(it.0.place, StripPlace::Rail { .. }))
        })
    }

    /// A hole for a leg: in a rail, in a row of its net, or in a free row nearby.
    fn choose(
        &mut self,
        leg: LegId,
        net: &str,
        near: Option<(u8, Side)>,
        taken: &[(Strip, String)],
        attempt: usize,
    ) -> Option<Hole> {
        let is_rail = |strip: Strip| matches!(strip.place, StripPlace::Rail { .. });
        let source = self.bench.part(leg.part).card.source.is_some();
        let straight = if source { 95 } else { self.hand.straight };
        let own: Vec<Strip> =
            self.uses.iter().filter(|it| it.1.as_deref() == Some(net)).map(|it| it.0).collect();
        let mut wanted: Vec<Strip> = Vec::new();
        if own.iter().any(|&it| is_rail(it)) && self.chance.percent(straight) {
            wanted = own.iter().copied().filter(|&it| is_rail(it)).collect();
        } else if self.chance.percent(self.hand.together) {
            wanted = own.iter().copied().filter(|&it| !is_rail(it) && self.legs_in(it) < 4).collect();
        }
        self.chance.shuffle(&mut wanted);
        for strip in wanted {
            if let Some(hole) = self.hole_in(leg, strip, near) {
                return Some(hole);
            }
        }
        // A row of its own.
        let (row, side) = near.unwrap_or((self.row, self.chance.of(&[Side::Left, Side::Right])));
        for _ in 0..12 {
            let apart = self.hand.apart + attempt / 8;
            let by = self.chance.below(apart + 1) as i8 * if self.chance.percent(70) { 1 } else { -1 };
            let side = if self.chance.percent(25) { other(side) } else { side };
            let row = row.saturating_add_signed(by).clamp(1, self.bench.boards[0].kind.rows());
            let strip = Strip { board: 0, place: StripPlace::HalfRow { row, side } };
            if self.net_of(strip).is_some() || taken.iter().any(|it| it.0 == strip) {
                continue;
            }
            if let Some(hole) = self.hole_in(leg, strip, near) {
                return Some(hole);
            }
        }
        None
    }

    /// A free hole of a strip that the leg reaches; of a rail, near its other leg.
    fn hole_in(&mut self, leg: LegId, strip: Strip, near: Option<(u8, Side)>) -> Option<Hole> {
        let mut holes = self.bench.boards[0].holes_of(strip);
        holes.retain(|&hole| self.bench.occupant(hole).is_none());
        self.chance.shuffle(&mut holes);
        if let (StripPlace::Rail { .. }, Some((row, _))) = (strip.place, near) {
            let y = |hole: Hole| self.bench.position(hole).map_or(0, |it| it.y / 2);
            holes.sort_by_key(|&hole| (y(hole) - i16::from(row)).abs());
        }
        holes.into_iter().take(8).find(|&hole| self.bench.put_leg(leg, Some(hole)).is_ok())
    }

    /// Joins the strips of each net by wires, mostly the nearest ones.
    fn wire(&mut self) -> Option<()> {
        let mut nets: Vec<String> = self.uses.iter().filter_map(|it| it.1.clone()).collect();
        nets.sort();
        nets.dedup();
        for net in nets {
            let strips: Vec<Strip> =
                self.uses.iter().filter(|it| it.1.as_deref() == Some(&*net)).map(|it| it.0).collect();
            let strips: Vec<Strip> = strips.into_iter().filter(|&it| self.legs_in(it) > 0).collect();
            let groups = self.joined_inside(&strips);
            let mut joined: Vec<Strip> = groups.first().cloned().unwrap_or_default();
            let mut waiting: Vec<Vec<Strip>> = groups.into_iter().skip(1).collect();
            while !waiting.is_empty() {
                let (next, ends) = self.nearest(&joined, &waiting)?;
                self.add_wire(&net, ends)?;
                joined.extend(waiting.swap_remove(next));
            }
        }
        Some(())
    }

    /// Strips in groups that a part joins by its own metal.
    fn joined_inside(&self, strips: &[Strip]) -> Vec<Vec<Strip>> {
        let mut groups: Vec<Vec<Strip>> = strips.iter().map(|&it| vec![it]).collect();
        for part in &self.bench.parts {
            for &(a, b) in part.card.metal {
                let at = |pin: u8| part.legs[usize::from(pin)].hole.and_then(|hole| self.bench.strip(hole));
                let (Some(a), Some(b)) = (at(a), at(b)) else { continue };
                let find = |strip: Strip| groups.iter().position(|it| it.contains(&strip));
                if let (Some(a), Some(b)) = (find(a), find(b))
                    && a != b
                {
                    let other = groups[b].clone();
                    groups[a].extend(other);
                    groups.remove(b);
                }
            }
        }
        groups
    }

    fn nearest(&mut self, joined: &[Strip], waiting: &[Vec<Strip>]) -> Option<(usize, [Hole; 2])> {
        let random = self.chance.percent(15);
        let mut best: Option<(f64, usize, [Hole; 2])> = None;
        for (index, group) in waiting.iter().enumerate() {
            for &to in group {
                for &from in joined {
                    let free = |strip: Strip| -> Vec<Hole> {
                        let mut holes = self.bench.boards[0].holes_of(strip);
                        holes.retain(|&hole| self.bench.occupant(hole).is_none());
                        holes
                    };
                    for &a in &free(from) {
                        for &b in &free(to) {
                            let far = self.bench.distance(a, b)?;
                            let far =
                                if random { self.chance.share() } else { far + 0.5 * self.chance.share() };
                            if best.as_ref().is_none_or(|it| far < it.0) {
                                best = Some((far, index, [a, b]));
                            }
                        }
                    }
                }
            }
        }
        best.map(|(_, index, ends)| (index, ends))
    }

    fn add_wire(&mut self, net: &str, ends: [Hole; 2]) -> Option<()> {
        let card = parts::card("wire")?;
        let ix = PartIx(self.bench.parts.len());
        let mut wire = Part::new(self.bench.next_id(card), card);
        let colour = match (self.hand.tidy_colours, net) {
            (true, "+") => "red",
            (true, "-") => "black",
            (true, _) => self.chance.of(&["yellow", "green", "blue", "orange", "white"]),
            (false, "+" | "-" | "v-") => self.chance.of(&["yellow", "green", "blue", "orange", "white"]),
            _ => self.chance.of(&["yellow", "green", "blue", "orange", "white", "red", "black"]),
        };
        set(&mut wire, "colour", colour);
        self.bench.parts.push(wire);
        let flip = usize::from(self.chance.percent(50));
        for (pin, hole) in ends.into_iter().enumerate() {
            self.bench.put_leg(LegId { part: ix, pin: pin ^ flip }, Some(hole)).ok()?;
        }
        Some(())
    }
}

fn other(side: Side) -> Side {
    if side == Side::Left { Side::Right } else { Side::Left }
}
