//! The same circuit on another board: any bench in, a bench out that is joined in the same way, with other
//! rows, sides, names, rails, wires, with exchanged gates and parts turned that don't mind.
//!
//! What is the same is worked out here from the strips alone, so that whatever compares benches can be held
//! against it.

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Board, BoardKind, Hole, Strip, StripPlace};
use halfrow_core::card::{Card, Footprint, Value};
use halfrow_core::nets::DisjointSets;
use halfrow_core::part::{Depth, Part, Turn};
use halfrow_core::parts;

use crate::chance::Chance;

/// How far a layout may stray from the one that it is made from.
#[derive(Clone, Copy, Debug)]
pub struct Relayout {
    /// Whether parts get other names and come in another order.
    pub rename: bool,
    /// Whether gates, and pins that are alike, are exchanged.
    pub exchange: bool,
    /// Whether wires are added that join what is joined anyway.
    pub spare_wires: bool,
    /// Whether supplies may do without rails.
    pub any_rails: bool,
}

impl Default for Relayout {
    fn default() -> Relayout {
        Relayout { rename: true, exchange: true, spare_wires: true, any_rails: true }
    }
}

/// For each leg of each part (wires too) its net by number; `None` for a leg that touches nothing. A leg
/// that is barely in touches nothing to rely on.
pub fn nets(bench: &Bench) -> Vec<Vec<Option<usize>>> {
    let touch = |part: &Part, pin: usize| -> Option<Strip> {
        let leg = part.legs[pin];
        if leg.depth == Depth::Full { bench.strip(leg.hole?) } else { None }
    };
    let mut strips: Vec<Strip> = Vec::new();
    for part in &bench.parts {
        strips.extend((0..part.legs.len()).filter_map(|pin| touch(part, pin)));
    }
    strips.sort_unstable();
    strips.dedup();
    // Strips first, then every pin: metal inside a part joins pins even where a leg hangs in the air.
    let pins: usize = bench.parts.iter().map(|part| part.legs.len()).sum();
    let mut sets = DisjointSets::new(strips.len() + pins);
    let mut first = strips.len();
    for part in &bench.parts {
        for pin in 0..part.legs.len() {
            if let Some(strip) = touch(part, pin) {
                sets.join(first + pin, strips.binary_search(&strip).expect("listed"));
            }
        }
        for &(a, b) in part.card.metal {
            sets.join(first + usize::from(a), first + usize::from(b));
        }
        first += part.legs.len();
    }
    let mut first = strips.len();
    let mut nets = Vec::new();
    for part in &bench.parts {
        nets.push(
            (0..part.legs.len())
                .map(|pin| {
                    let root = sets.root(first + pin);
                    (root < strips.len()).then_some(root)
                })
                .collect(),
        );
        first += part.legs.len();
    }
    nets
}

/// One part to be laid out: what it is, and the net of each of its pins.
struct Item {
    part: Part,
    nets: Vec<Option<usize>>,
}

/// A board that fills up.
struct Desk {
    bench: Bench,
    /// What each strip is used for, sorted by strip.
    strips: Vec<(Strip, Use)>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Use {
    Free,
    Net(usize),
    /// A leg stands here that is joined to nothing.
    Shut,
}

/// How many legs of parts go into a half row, so that wires still find room: two of its five holes.
const LEGS_A_ROW: usize = 3;

impl Relayout {
    /// The bench in another layout. `None` where it doesn't fit any board after some tries.
    pub fn bench(&self, from: &Bench, chance: &mut Chance) -> Option<Bench> {
        let items = self.items(from, chance);
        (0..30).find_map(|attempt| {
            let kinds = match (attempt / 6, items.len()) {
                (0, ..=14) => vec![chance.of(&[BoardKind::Half, BoardKind::Full, BoardKind::Half])],
                (0 | 1, _) => vec![BoardKind::Full],
                (2, _) => vec![BoardKind::Full, BoardKind::Half],
                _ => vec![BoardKind::Full; 3],
            };
            let split = chance.percent(40);
            let boards = kinds.into_iter().map(|kind| Board { kind, split_rails: split }).collect();
            self.lay(from, boards, &items, chance)
        })
    }

    fn items(&self, from: &Bench, chance: &mut Chance) -> Vec<Item> {
        let nets = nets(from);
        let mut items: Vec<Item> = from
            .parts
            .iter()
            .zip(nets)
            .filter(|(part, _)| !part.card.is_wire())
            .map(|(part, nets)| Item { part: part.clone(), nets })
            .collect();
        // A net of one leg joins nothing: that leg stands alone.
        let count = |net: usize, items: &[Item]| {
            items.iter().flat_map(|it| &it.nets).filter(|it| **it == Some(net)).count()
        };
        let alone: Vec<usize> = items
            .iter()
            .flat_map(|it| it.nets.iter().flatten())
            .copied()
            .filter(|&net| count(net, &items) == 1)
            .collect();
        for item in &mut items {
            for net in &mut item.nets {
                *net = net.filter(|net| !alone.contains(net));
            }
        }
        if self.exchange {
            for item in &mut items {
                exchange(item.part.card, &mut item.nets, chance);
            }
        }
        if self.rename {
            chance.shuffle(&mut items);
            let numbers = chance.below(40);
            for (index, item) in items.iter_mut().enumerate() {
                item.part.id = format!("{}{}", item.part.card.prefix, numbers + index + 1);
            }
        }
        items
    }

    fn lay(&self, from: &Bench, boards: Vec<Board>, items: &[Item], chance: &mut Chance) -> Option<Bench> {
        let bench = Bench { boards, parts: Vec::new(), meters: Vec::new(), ..from.clone() };
        let mut strips: Vec<(Strip, Use)> = Vec::new();
        for (index, board) in bench.boards.iter().enumerate() {
            strips.extend(board.strips(index as u8).into_iter().map(|strip| (strip, Use::Free)));
        }
        strips.sort_unstable_by_key(|it| it.0);
        let mut desk = Desk { bench, strips };
        self.give_rails(items, &mut desk, chance);
        for rigid in [true, false] {
            for item in items.iter().filter(|it| it.part.is_rigid() == rigid) {
                if rigid {
                    desk.put_rigid(item, chance)?;
                } else {
                    desk.put_loose(item, chance)?;
                }
            }
        }
        // In the order of the items, whatever was put down first.
        desk.bench.parts.sort_by_key(|part| items.iter().position(|it| it.part.id == part.id));
        desk.join(self.spare_wires, chance)?;
        desk.bench.check().ok()?;
        Some(desk.bench)
    }

    /// Gives rails to the nets of supplies, and some at random.
    fn give_rails(&self, items: &[Item], desk: &mut Desk, chance: &mut Chance) {
        let mut nets: Vec<usize> = items
            .iter()
            .filter(|it| it.part.card.source.is_some())
            .flat_map(|it| it.nets.iter().flatten().copied())
            .collect();
        nets.sort_unstable();
        nets.dedup();
        let use_rails = !self.any_rails || chance.percent(85);
        if nets.is_empty() || !use_rails {
            return;
        }
        for index in 0..desk.strips.len() {
            if let StripPlace::Rail { .. } = desk.strips[index].0.place
                && chance.percent(70)
            {
                desk.strips[index].1 = Use::Net(chance.of(&nets));
            }
        }
    }
}

/// Exchanges gates, and pins that are alike.
fn exchange(card: &Card, nets: &mut [Option<usize>], chance: &mut Chance) {
    let mut order: Vec<usize> = (0..card.gates.len()).collect();
    chance.shuffle(&mut order);
    let before = nets.to_vec();
    for (gate, &other) in order.iter().enumerate() {
        for (&to, &from) in card.gates[gate].iter().zip(card.gates[other]) {
            nets[usize::from(to)] = before[usize::from(from)];
        }
    }
    for group in card.alike {
        let mut values: Vec<Option<usize>> = group.iter().map(|&pin| nets[usize::from(pin)]).collect();
        chance.shuffle(&mut values);
        for (&pin, value) in group.iter().zip(values) {
            nets[usize::from(pin)] = value;
            // Metal inside follows.
            for &(a, b) in card.metal {
                if a == pin {
                    nets[usize::from(b)] = value;
                }
            }
        }
    }
}

impl Desk {
    fn at(&mut self, strip: Strip) -> &mut Use {
        let index = self.strips.binary_search_by_key(&strip, |it| it.0).expect("a strip of this bench");
        &mut self.strips[index].1
    }

    fn legs_in(&self, strip: Strip) -> usize {
        self.bench
            .legs()
            .filter(|(_, leg)| leg.hole.and_then(|hole| self.bench.strip(hole)) == Some(strip))
            .count()
    }

    fn is_rail(strip: Strip) -> bool {
        matches!(strip.place, StripPlace::Rail { .. })
    }

    /// The free holes of a strip, in any order.
    fn holes(&self, strip: Strip, chance: &mut Chance) -> Vec<Hole> {
        let mut holes = self.bench.boards[usize::from(strip.board)].holes_of(strip);
        holes.retain(|&hole| self.bench.occupant(hole).is_none());
        chance.shuffle(&mut holes);
        holes
    }

    fn put_rigid(&mut self, item: &Item, chance: &mut Chance) -> Option<()> {
        let Footprint::Rigid { straddles, .. } = item.part.card.footprint else { return None };
        let ix = PartIx(self.bench.parts.len());
        self.bench.parts.push(item.part.clone());
        for leg in &mut self.bench.parts[ix.0].legs {
            *leg = Default::default();
        }
        for _ in 0..400 {
            let board = chance.below(self.bench.boards.len());
            let row = 1 + chance.below(usize::from(self.bench.boards[board].kind.rows())) as u8;
            let (column, turn) = if straddles {
                chance.of(&[('e', Turn::None), ('f', Turn::Half)])
            } else {
                (char::from(b'a' + chance.below(10) as u8), chance.of(&Turn::ALL))
            };
            let holes = self.bench.holes_under(item.part.card, Hole::grid(board as u8, column, row), turn);
            let Some(holes) = holes.into_iter().collect::<Option<Vec<Hole>>>() else { continue };
            let mut uses: Vec<(Strip, Use)> = Vec::new();
            let fits = holes.iter().zip(&item.nets).all(|(&hole, &net)| {
                let Some(strip) = self.bench.strip(hole) else { return false };
                let wanted = net.map_or(Use::Shut, Use::Net);
                let own = uses.iter().find(|it| it.0 == strip).map(|it| it.1);
                let is = own.unwrap_or(*self.at(strip));
                uses.push((strip, wanted));
                is == Use::Free || (is == wanted && net.is_some() && self.legs_in(strip) < LEGS_A_ROW)
            });
            if fits && self.bench.place_rigid(ix, holes[0], turn).is_ok() {
                for (strip, wanted) in uses {
                    *self.at(strip) = wanted;
                }
                return Some(());
            }
        }
        None
    }

    fn put_loose(&mut self, item: &Item, chance: &mut Chance) -> Option<()> {
        let ix = PartIx(self.bench.parts.len());
        let mut part = item.part.clone();
        for leg in &mut part.legs {
            *leg = Default::default();
        }
        self.bench.parts.push(part);
        'tries: for _ in 0..60 {
            for pin in 0..item.nets.len() {
                self.bench.put_leg(LegId { part: ix, pin }, None).ok()?;
            }
            let mut taken: Vec<(Strip, Use)> = Vec::new();
            let mut order: Vec<usize> = (0..item.nets.len()).collect();
            chance.shuffle(&mut order);
            for pin in order {
                let leg = LegId { part: ix, pin };
                let Some(net) = item.nets[pin] else {
                    if chance.percent(60) {
                        continue;
                    }
                    let Some(strip) = self.put_into(leg, Use::Free, &taken, chance) else { continue 'tries };
                    taken.push((strip, Use::Shut));
                    continue;
                };
                let known =
                    if chance.percent(75) { self.put_into(leg, Use::Net(net), &taken, chance) } else { None };
                let strip = known.or_else(|| self.put_into(leg, Use::Free, &taken, chance));
                let strip = strip.or_else(|| self.put_into(leg, Use::Net(net), &taken, chance));
                let Some(strip) = strip else { continue 'tries };
                taken.push((strip, Use::Net(net)));
            }
            for (strip, wanted) in taken {
                *self.at(strip) = wanted;
            }
            return Some(());
        }
        None
    }

    /// Puts a leg into a strip of one use, where it reaches one that has room.
    fn put_into(
        &mut self,
        leg: LegId,
        wanted: Use,
        taken: &[(Strip, Use)],
        chance: &mut Chance,
    ) -> Option<Strip> {
        let mut strips: Vec<Strip> = self
            .strips
            .iter()
            .map(|&(strip, own)| (strip, taken.iter().find(|it| it.0 == strip).map_or(own, |it| it.1)))
            // A free rail would be no place for one leg.
            .filter(|&(strip, own)| own == wanted && !(wanted == Use::Free && Desk::is_rail(strip)))
            .map(|it| it.0)
            .collect();
        chance.shuffle(&mut strips);
        for strip in strips {
            if !Desk::is_rail(strip) && self.legs_in(strip) >= LEGS_A_ROW {
                continue;
            }
            for hole in self.holes(strip, chance) {
                if self.bench.put_leg(leg, Some(hole)).is_ok() {
                    return Some(strip);
                }
            }
        }
        None
    }

    /// Joins the strips of each net by wires: a chain in any order, and now and then one wire more.
    fn join(&mut self, spare: bool, chance: &mut Chance) -> Option<()> {
        let mut nets: Vec<usize> = self
            .strips
            .iter()
            .filter_map(|it| if let Use::Net(net) = it.1 { Some(net) } else { None })
            .collect();
        nets.sort_unstable();
        nets.dedup();
        for net in nets {
            let mut strips: Vec<Strip> =
                self.strips.iter().filter(|it| it.1 == Use::Net(net)).map(|it| it.0).collect();
            strips.retain(|&strip| self.legs_in(strip) > 0);
            chance.shuffle(&mut strips);
            for pair in 1..strips.len() {
                self.wire(strips[pair - 1], strips[pair], chance)?;
            }
            if spare && strips.len() > 2 && chance.percent(20) {
                let _ = self.wire(strips[0], strips[strips.len() - 1], chance);
            }
        }
        Some(())
    }

    fn wire(&mut self, from: Strip, to: Strip, chance: &mut Chance) -> Option<()> {
        let ends = [self.holes(from, chance).first().copied()?, self.holes(to, chance).first().copied()?];
        let card = parts::card("wire")?;
        let ix = PartIx(self.bench.parts.len());
        self.bench.parts.push(Part::new(self.bench.next_id(card), card));
        self.bench.parts[ix.0].set("colour", Value::Choice(chance.below(9) as u8));
        for (pin, hole) in ends.into_iter().enumerate() {
            self.bench.put_leg(LegId { part: ix, pin }, Some(hole)).ok()?;
        }
        Some(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_file::examples::ALL;

    /// How many legs stand in each net, by kind of part: the same in every layout.
    fn crowd(bench: &Bench) -> Vec<Vec<&'static str>> {
        let mut crowds: Vec<(usize, Vec<&'static str>)> = Vec::new();
        for (part, nets) in bench.parts.iter().zip(nets(bench)).filter(|it| !it.0.card.is_wire()) {
            for net in nets.into_iter().flatten() {
                match crowds.iter_mut().find(|it| it.0 == net) {
                    Some(own) => own.1.push(part.card.kind),
                    None => crowds.push((net, vec![part.card.kind])),
                }
            }
        }
        let mut crowds: Vec<Vec<&'static str>> =
            crowds.into_iter().map(|it| it.1).filter(|it| it.len() > 1).collect();
        crowds.iter_mut().for_each(|it| it.sort_unstable());
        crowds.sort();
        crowds
    }

    #[test]
    fn every_example_finds_another_layout_with_the_same_nets() {
        let mut chance = Chance::new(7);
        for example in ALL.iter().filter(|it| it.twin.is_none()) {
            let bench = halfrow_file::read(example.text()).unwrap();
            for _ in 0..3 {
                let other = Relayout::default().bench(&bench, &mut chance).expect(example.slug);
                assert_eq!(crowd(&bench), crowd(&other), "{}", example.slug);
                assert_ne!(bench.parts, other.parts);
            }
        }
    }
}
