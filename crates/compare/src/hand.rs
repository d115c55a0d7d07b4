//! Tasks done by hand on a copy of the build: into which holes exactly.

use std::collections::{BTreeMap, BTreeSet};

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Place, Sign, Strip, StripPlace};
use halfrow_core::card::Footprint;
use halfrow_core::part::{Depth, Leg, Part, Turn};
use halfrow_core::parts::CARDS;

use crate::ground::{Ground, NONE};
use crate::moves::{Kind, Move};
use crate::words::{self, Meets};
use crate::wrong::Task;

/// Strips that have to be joined to a net by a wire.
type ToJoin = Vec<(Strip, usize)>;

/// How many holes are tried for each leg of a part that is put down anew, nearest first.
const HOLES_TRIED: usize = 24;

/// A copy of the build in which things are put right.
#[derive(Clone)]
pub(crate) struct Hand<'g, 'a> {
    pub ground: &'g Ground<'a>,
    /// The plan's own layout, where it has one: what lies as the plan has it was hardly mistaken.
    pub layout: Option<&'g Bench>,
    pub bench: Bench,
    /// The label of each strip that has one.
    labels: BTreeMap<Strip, u16>,
    /// Names of the plan's parts in the build.
    names: &'g [Option<String>],
    /// Pieces of the plan that nothing stands for.
    free: Vec<usize>,
    /// Strips in which a part has just been put, each to be joined to a net by a wire.
    to_join: ToJoin,
}

impl<'g, 'a> Hand<'g, 'a> {
    pub fn new(
        ground: &'g Ground<'a>,
        layout: Option<&'g Bench>,
        labels: &[u16],
        names: &'g [Option<String>],
        free: &[usize],
    ) -> Hand<'g, 'a> {
        let labels = ground.strips.iter().copied().zip(labels.iter().copied()).collect();
        Hand {
            ground,
            layout,
            bench: ground.bench.clone(),
            labels,
            names,
            free: free.to_vec(),
            to_join: vec![],
        }
    }

    fn ix(&self, build: usize) -> Option<PartIx> {
        self.bench.find(&self.ground.bench.parts[build].id)
    }

    /// Does a task. `None` where it can't be done just now: no hole free, no reach, no place.
    pub fn act(&mut self, task: &Task) -> Option<Vec<Move>> {
        let one = self.act_once(task)?;
        // What a stiff part could only reach by wires.
        let mut moves = vec![one];
        for (strip, net) in std::mem::take(&mut self.to_join) {
            let others = self.strips_for(Some(net)).into_iter().filter(|&it| it != strip).collect();
            moves.push(self.wire(None, &[vec![strip], others])?);
        }
        Some(moves)
    }

    fn act_once(&mut self, task: &Task) -> Option<Move> {
        match task {
            &Task::Value { plan, build } => self.revalue(plan, build),
            &Task::Stand { plan, build } => self.stand(plan, build),
            &Task::Kind { plan, build } => self.exchange(plan, build),
            &Task::Missing { plan } => self.add(plan),
            &Task::Extra { build } => self.take_out(build, Kind::Extra),
            &Task::Cut { part } => self.take_out(part, Kind::WireExtra),
            Task::End { wire, second, to } => {
                self.wire_end(self.ground.links[*wire].part, usize::from(*second), to)
            }
            Task::Wire { wire, to } => {
                let to = self.as_strips(to);
                self.wire(Some(self.ground.links[*wire].part), &to)
            }
            Task::Join { to } => {
                let to = self.as_strips(to);
                self.wire(None, &to)
            }
            &Task::Push { part, pin } => {
                let leg = LegId { part: self.ix(part)?, pin };
                let net = self.label_at(self.bench.part(leg.part).legs[pin].hole?);
                self.push(leg, net)
            }
            &Task::Swap { one, other } => self.swap(one, other),
        }
    }

    fn as_strips(&self, to: &[Vec<u16>; 2]) -> [Vec<Strip>; 2] {
        to.each_ref().map(|list| list.iter().map(|&at| self.ground.strips[usize::from(at)]).collect())
    }

    fn label_at(&self, hole: Hole) -> Option<usize> {
        let label = *self.labels.get(&self.bench.strip(hole)?)?;
        (label < NONE).then_some(usize::from(label))
    }

    fn is_empty(&self, strip: Strip) -> bool {
        !self.bench.legs().any(|(_, leg)| leg.hole.and_then(|hole| self.bench.strip(hole)) == Some(strip))
    }

    /// The strips of a net; empty half rows for no net, or for one that has no strip yet.
    fn strips_for(&self, net: Option<usize>) -> Vec<Strip> {
        let labelled: Vec<Strip> = match net {
            Some(net) => self.labels.iter().filter(|it| usize::from(*it.1) == net).map(|it| *it.0).collect(),
            None => vec![],
        };
        if !labelled.is_empty() {
            return labelled;
        }
        let boards = self.bench.boards.iter().enumerate();
        boards
            .flat_map(|(index, board)| board.strips(index as u8))
            .filter(|&strip| matches!(strip.place, StripPlace::HalfRow { .. }) && self.is_empty(strip))
            .collect()
    }

    /// Free holes of strips, the nearest to some hole first; those that the plan's layout speaks for before
    /// all others.
    fn holes_in(&self, strips: &[Strip], near: Option<Hole>, wish: Option<Hole>) -> Vec<Hole> {
        let wished = wish.and_then(|hole| self.bench.strip(hole));
        let mut holes: Vec<(i64, Hole)> = Vec::new();
        for &strip in strips {
            for hole in self.bench.boards[usize::from(strip.board)].holes_of(strip) {
                if self.bench.occupant(hole).is_none() {
                    let far = near.and_then(|near| self.bench.distance(near, hole)).unwrap_or(0.0);
                    let liked =
                        1_000_000 * i64::from(wished == Some(strip)) + 1000 * i64::from(wish == Some(hole));
                    holes.push(((far * 100.0) as i64 - liked, hole));
                }
            }
        }
        holes.sort_unstable();
        holes.into_iter().map(|it| it.1).collect()
    }

    /// The hole that the plan's layout has for a leg of the part of a name.
    fn wish(&self, plan_id: &str, pin: usize) -> Option<Hole> {
        let layout = self.layout?;
        layout.part(layout.find(plan_id)?).legs.get(pin)?.hole
    }

    fn claim(&mut self, hole: Hole, net: Option<usize>) {
        if let (Some(strip), Some(net)) = (self.bench.strip(hole), net) {
            self.labels.entry(strip).or_insert(net as u16);
            if self.labels[&strip] == NONE {
                self.labels.insert(strip, net as u16);
            }
        }
    }

    /// The net of each pin of a part of the plan in the order of the build's pins, and whether it is there.
    fn needs_of(&self, plan: usize, build: usize) -> Option<Vec<(Option<usize>, bool)>> {
        let ground = self.ground;
        let piece = ground.form.pieces.iter().position(|it| it.part == plan)?;
        let own = ground.standing.iter().position(|it| it.part == build)?;
        let labels: Vec<u16> =
            ground.strips.iter().map(|strip| self.labels.get(strip).copied().unwrap_or(NONE)).collect();
        let needs = ground.needs(piece, own, &labels);
        Some(self.by_pin(piece, &needs))
    }

    fn by_pin(&self, piece: usize, needs: &[(Option<usize>, bool)]) -> Vec<(Option<usize>, bool)> {
        let piece = &self.ground.form.pieces[piece];
        let count = self.ground.plan.parts[piece.part].legs.len();
        (0..count)
            .map(|pin| {
                let terminal = piece.pins.iter().position(|pins| pins.contains(&pin));
                terminal.and_then(|at| needs.get(at).copied()).unwrap_or((None, true))
            })
            .collect()
    }

    fn revalue(&mut self, plan: usize, build: usize) -> Option<Move> {
        let part = self.ix(build)?;
        let wanted = &self.ground.plan.parts[plan];
        let now = self.bench.part(part).clone();
        let (is, meant) = words::values(wanted, &now);
        for param in 0..wanted.values.len() {
            if !(wanted.card.does_for)(wanted, &now, param) {
                self.bench.parts[part.0].values[param] = wanted.values[param];
            }
        }
        let mut done = Move::plain(Kind::Value, &now.id);
        (done.says, done.because) = words::value(&now, wanted, &is, &meant);
        (done.is, done.plan) = (Some(is), Some(meant));
        done.oddity = 10;
        Some(done)
    }

    fn stand(&mut self, plan: usize, build: usize) -> Option<Move> {
        let part = self.ix(build)?;
        if self.bench.part(part).is_rigid() {
            return self.place(plan, part, Some(build));
        }
        let needs = self.needs_of(plan, build)?;
        let wrong: Vec<usize> = (0..needs.len()).filter(|&pin| !needs[pin].1).collect();
        let now = self.bench.part(part).clone();
        let out = |pin: usize| {
            let leg = now.legs[pin];
            let here = leg.hole.map(|hole| self.label_at(hole));
            leg.depth != Depth::Full && here == Some(needs[pin].0)
        };
        if let [pin] = wrong[..] {
            let leg = LegId { part, pin };
            return if out(pin) {
                self.push(leg, needs[pin].0)
            } else {
                self.move_leg(leg, plan, needs[pin].0)
            };
        }
        if let Some(done) = self.turn(plan, part, &needs) {
            return Some(done);
        }
        let from = now.legs.iter().find_map(|leg| leg.hole);
        let nets: Vec<Option<usize>> = needs.iter().map(|it| it.0).collect();
        self.put_down(part, plan, &nets, &wrong)?;
        let mut done = Move::plain(Kind::Shifted, &now.id);
        done.from = from;
        done.to = self.bench.part(part).legs.iter().filter_map(|leg| leg.hole).collect();
        (done.says, done.because) = words::shifted(&now, self.bench.part(part));
        done.oddity = 14 + self.kept(&now, plan);
        Some(done)
    }

    /// How much speaks against a move of a part: that it lies where the plan's layout has it.
    fn kept(&self, now: &Part, plan: usize) -> i32 {
        let plan = &self.ground.plan.parts[plan];
        let same = (0..now.legs.len())
            .filter(|&pin| {
                let wish = self.wish(&plan.id, pin).and_then(|hole| self.bench.strip(hole));
                wish.is_some() && wish == now.legs[pin].hole.and_then(|hole| self.bench.strip(hole))
            })
            .count();
        30 * same as i32 + i32::from(plan.id != now.id)
    }

    fn push(&mut self, leg: LegId, net: Option<usize>) -> Option<Move> {
        let hole = self.bench.part(leg.part).legs[leg.pin].hole?;
        self.bench.parts[leg.part.0].legs[leg.pin].depth = Depth::Full;
        let part = self.bench.part(leg.part);
        let mut done = Move::plain(Kind::Push, &part.id);
        done.pin = Some(part.card.pins[leg.pin].name);
        done.from = Some(hole);
        done.to = vec![hole];
        (done.says, done.because) = words::push(part, leg.pin, hole, &self.meets(leg, net));
        done.oddity = 4;
        Some(done)
    }

    /// What a leg meets in the plan: another leg of the same net, as the build calls it.
    fn meets(&self, leg: LegId, net: Option<usize>) -> Meets {
        let Some(net) = net else { return Meets::Nothing };
        let ground = self.ground;
        let own = &self.bench.part(leg.part).id;
        let mut best: Option<(u8, String)> = None;
        for piece in &ground.form.pieces {
            let Some(terminal) = piece.nets.iter().position(|it| *it == Some(net)) else { continue };
            let part = &ground.plan.parts[piece.part];
            let Some(name) = &self.names[piece.part] else { continue };
            if name == own {
                continue;
            }
            let source = part.card.source.is_some();
            let words = format!("{name}’s {}", part.card.pins[piece.pins[terminal][0]].says);
            // The supply says most, then what stands near.
            let rank = if source { 0 } else { 1 };
            if best.as_ref().is_none_or(|it| rank < it.0) {
                best = Some((rank, words));
            }
        }
        best.map_or(Meets::Nothing, |it| Meets::Leg(it.1))
    }

    fn move_leg(&mut self, leg: LegId, plan: usize, net: Option<usize>) -> Option<Move> {
        let plan_id = self.ground.plan.parts[plan].id.clone();
        let wish = self.wish(&plan_id, leg.pin);
        let strips = self.strips_for(net);
        self.put_leg(leg, net, &strips, wish, Kind::Leg)
    }

    /// Moves one leg to the nearest free hole of some strips.
    fn put_leg(
        &mut self,
        leg: LegId,
        net: Option<usize>,
        strips: &[Strip],
        wish: Option<Hole>,
        kind: Kind,
    ) -> Option<Move> {
        let now = self.bench.part(leg.part).clone();
        let from = now.legs[leg.pin].hole;
        let near = from.or_else(|| now.legs.iter().find_map(|it| it.hole));
        let own = from.and_then(|hole| self.bench.strip(hole));
        let strips: Vec<Strip> = strips.iter().copied().filter(|&strip| Some(strip) != own).collect();
        let holes = self.holes_in(&strips, near, wish);
        let to = holes.iter().copied().find(|&hole| {
            let mut bench = self.bench.clone();
            bench.put_leg(leg, Some(hole)).is_ok()
        })?;
        let alone = own.is_none_or(|strip| {
            let here = self
                .bench
                .legs()
                .filter(|(_, it)| it.hole.and_then(|hole| self.bench.strip(hole)) == Some(strip));
            here.count() == 1
        });
        let strip = self.bench.strip(to)?;
        self.bench.put_leg(leg, Some(to)).ok()?;
        self.bench.parts[leg.part.0].legs[leg.pin].depth = Depth::Full;
        self.claim(to, net);
        let mut done = Move::plain(kind, &now.id);
        done.pin = Some(now.card.pins[leg.pin].name);
        done.from = from;
        done.to = vec![to];
        done.to.extend(
            holes.into_iter().filter(|&hole| hole != to && self.bench.strip(hole) == Some(strip)).take(4),
        );
        (done.says, done.because) = words::leg(&now, leg.pin, from, &done.to, &self.meets(leg, net));
        done.oddity = 8 + from.map_or(0, |from| apart(&self.bench, from, to)) - 3 * i32::from(alone);
        // What the plan's layout has in this very strip was hardly mistaken; what goes there was.
        if let Some(wish) = wish.and_then(|hole| self.bench.strip(hole)) {
            done.oddity += 30 * i32::from(Some(wish) == own) - 6 * i32::from(wish == strip);
        }
        done.oddity += colour_speaks(&now, from);
        Some(done)
    }

    /// A loose part whose own holes would do, the other way round.
    fn turn(&mut self, plan: usize, part: PartIx, needs: &[(Option<usize>, bool)]) -> Option<Move> {
        let now = self.bench.part(part).clone();
        let holes: Vec<Option<Hole>> = now.legs.iter().map(|leg| leg.hole).collect();
        let label = |hole: Option<Hole>| hole.map(|hole| self.label_at(hole));
        let order = orders(holes.len())
            .into_iter()
            .find(|order| order.iter().zip(needs).all(|(&at, need)| label(holes[at]) == Some(need.0)))?;
        for (pin, &at) in order.iter().enumerate() {
            self.bench.parts[part.0].legs[pin] = Leg { hole: holes[at], ..Leg::default() };
        }
        let mut done = Move::plain(Kind::Turned, &now.id);
        done.from = now.legs[0].hole;
        done.to = order.iter().filter_map(|&at| holes[at]).collect();
        (done.says, done.because) = words::turned(&now, self.bench.part(part));
        done.oddity = 8 + self.kept(&now, plan);
        Some(done)
    }

    /// Puts legs of a loose part into nets, near to where they are.
    fn put_down(&mut self, part: PartIx, plan: usize, nets: &[Option<usize>], pins: &[usize]) -> Option<()> {
        let plan_id = self.ground.plan.parts[plan].id.clone();
        let before = self.bench.part(part).legs.clone();
        for &pin in pins {
            self.bench.parts[part.0].legs[pin] = Leg::default();
        }
        let mut best: Option<(i64, Bench)> = None;
        let near = before.iter().find_map(|leg| leg.hole);
        let mut tries: Vec<(i64, Bench, usize)> = vec![(0, self.bench.clone(), 0)];
        while let Some((price, bench, next)) = tries.pop() {
            if best.as_ref().is_some_and(|it| it.0 <= price) {
                continue;
            }
            let Some(&pin) = pins.get(next) else {
                best = Some((price, bench));
                continue;
            };
            let wish = self.wish(&plan_id, pin);
            let here = before[pin].hole.or(near);
            let own = Hand { bench, labels: self.labels.clone(), ..self.clone() };
            let mut holes = own.holes_in(&own.strips_for(nets[pin]), here, wish);
            // Two legs of one part never share a strip that is only just taken for one of them.
            let fresh = nets[pin].is_none_or(|net| !self.labels.values().any(|&it| usize::from(it) == net));
            if !fresh {
                holes.truncate(HOLES_TRIED);
            }
            let mut found = 0;
            for hole in holes {
                let mut next_bench = own.bench.clone();
                if next_bench.put_leg(LegId { part, pin }, Some(hole)).is_err() {
                    continue;
                }
                let far =
                    here.and_then(|here| next_bench.distance(here, hole)).map_or(0, |it| (it * 100.0) as i64);
                let liked = if wish == Some(hole) { 5000 } else { 0 };
                let legs = &next_bench.part(part).legs;
                let cramped = (0..pin).any(|it| {
                    let at = |it: usize| legs[it].hole.and_then(|hole| next_bench.strip(hole));
                    at(it) == at(pin) && nets[it] != nets[pin]
                });
                if !cramped {
                    tries.push((price + far - liked + 10_000, next_bench, next + 1));
                    found += 1;
                }
                if found >= 6 {
                    break;
                }
            }
        }
        let (_, bench) = best?;
        self.bench = bench;
        for &pin in pins {
            let hole = self.bench.part(part).legs[pin].hole?;
            self.claim(hole, nets[pin]);
        }
        Some(())
    }

    /// What a stiff part could be put down on.
    fn floor(&self) -> Floor {
        let mut floor = Floor::default();
        let strip = |hole: Option<Hole>| hole.and_then(|hole| self.bench.strip(hole));
        for (leg, it) in self.bench.legs() {
            let Some(hole) = it.hole else { continue };
            floor.taken.insert(hole);
            if let Some(own) = strip(Some(hole)) {
                let wire = self.bench.part(leg.part).card.is_wire();
                let crowd = floor.crowds.entry(own).or_default();
                *crowd += if wire { 1 } else { 100 };
            }
        }
        // Wires lead from strip to strip: the smallest one stands for all.
        for part in self.bench.parts.iter().filter(|it| it.card.is_wire()) {
            let [Some(a), Some(b)] = [0, 1].map(|pin| strip(part.legs[pin].hole)) else { continue };
            let (a, b) = (floor.piece(a), floor.piece(b));
            floor.pieces.insert(a.max(b), a.min(b));
        }
        floor.known = self.labels.values().copied().filter(|&it| it < NONE).collect();
        floor
    }

    /// Whether a part stands right with its pins in some holes: all of its pieces for free ones of the plan.
    /// What comes back are the strips that have to be joined to a net by a wire then.
    fn stands(&self, floor: &Floor, plan: usize, holes: &[Hole]) -> Option<ToJoin> {
        let ground = self.ground;
        let gated = !ground.plan.parts[plan].card.gates.is_empty();
        let mut free: Vec<usize> = self.free.clone();
        // Pieces of metal that hold only wires, with the net that they become.
        let mut opened = Opened::default();
        // The pieces of one package of the plan tell which pins belong together.
        for (at, piece) in ground.form.pieces.iter().enumerate().filter(|it| it.1.part == plan) {
            let mut fits = |other: usize| {
                let nets = &ground.form.pieces[other].nets;
                ground.form.pieces[other].shape == piece.shape
                    && ground.orders[piece.shape].iter().any(|order| {
                        let mut next = opened.clone();
                        let all = order.iter().zip(&piece.pins).all(|(&at, pins)| {
                            let pins: Vec<Hole> = pins.iter().map(|&pin| holes[pin]).collect();
                            self.can_all_be(floor, nets[usize::from(at)], &pins, &mut next)
                        });
                        if all {
                            opened = next;
                        }
                        all
                    })
            };
            let found = if gated {
                free.iter().position(|&other| fits(other))
            } else if fits(at) {
                free.iter().position(|&other| other == at)
            } else {
                None
            };
            match found {
                Some(at) => drop(free.remove(at)),
                None => return None,
            }
        }
        Some(opened.to_join)
    }

    /// The same for all pins that are one piece of metal: one in the net will do where the others stand
    /// alone, and a wire will where all stand alone.
    fn can_all_be(&self, floor: &Floor, net: Option<usize>, holes: &[Hole], opened: &mut Opened) -> bool {
        let right = holes.iter().filter(|&&hole| self.can_be(floor, net, hole, opened)).count();
        let alone = |hole: Hole| {
            let strip = self.bench.strip(hole);
            strip.is_some_and(|it| {
                self.labels.get(&it).is_none_or(|&it| it >= NONE) && !floor.crowds.contains_key(&it)
            })
        };
        if right == holes.len() {
            return true;
        }
        let Some(net) = net else { return false };
        if !holes.iter().all(|&hole| alone(hole) || self.can_be(floor, Some(net), hole, opened)) {
            return false;
        }
        if right == 0 {
            let Some(strip) = self.bench.strip(holes[0]) else { return false };
            opened.to_join.push((strip, net));
        }
        true
    }

    /// Whether a hole's strip is a net, or could become it: nobody but wires is there yet.
    fn can_be(&self, floor: &Floor, net: Option<usize>, hole: Hole, opened: &mut Opened) -> bool {
        let Some(strip) = self.bench.strip(hole) else { return false };
        let label = self.labels.get(&strip).copied().filter(|&it| it < NONE);
        let crowd = floor.crowds.get(&strip).copied().unwrap_or(0);
        let Some(net) = net else { return label.is_none() && crowd == 0 };
        let net = net as u16;
        if label.is_some() {
            return label == Some(net);
        }
        let piece = floor.piece(strip);
        if let Some(own) = opened.pieces.iter().find(|it| it.0 == piece || it.1 == net) {
            return *own == (piece, net);
        }
        let free = crowd < 100 && !floor.known.contains(&net);
        if free {
            opened.pieces.push((piece, net));
        }
        free
    }

    /// Puts a stiff part where all of its pins stand right.
    fn place(&mut self, plan: usize, part: PartIx, build: Option<usize>) -> Option<Move> {
        let now = self.bench.part(part).clone();
        let wish = self.wish(&self.ground.plan.parts[plan].id, 0);
        for leg in &mut self.bench.parts[part.0].legs {
            *leg = Leg::default();
        }
        let from = now.legs[0].hole;
        let middle = |holes: &[Hole]| -> Option<(f64, f64)> {
            let at: Vec<(f64, f64)> = holes
                .iter()
                .filter_map(|&it| self.bench.position(it))
                .map(|it| (it.x.into(), it.y.into()))
                .collect();
            let n = at.len() as f64;
            (!at.is_empty()).then(|| {
                (at.iter().map(|it| it.0).sum::<f64>() / n, at.iter().map(|it| it.1).sum::<f64>() / n)
            })
        };
        let old: Vec<Hole> = now.legs.iter().filter_map(|leg| leg.hole).collect();
        let centre = middle(&old);
        let mut best: Option<(i64, Turn, Vec<Hole>, ToJoin)> = None;
        let floor = self.floor();
        for (index, board) in self.bench.boards.iter().enumerate() {
            for pin1 in board.holes(index as u8) {
                for turn in Turn::ALL {
                    let holes = self.bench.holes_under(now.card, pin1, turn);
                    let Some(holes) = holes.into_iter().collect::<Option<Vec<Hole>>>() else { continue };
                    if holes.iter().any(|hole| floor.taken.contains(hole)) {
                        continue;
                    }
                    let Some(to_join) = self.stands(&floor, plan, &holes) else { continue };
                    let far = match (centre, middle(&holes)) {
                        (Some(a), Some(b)) => (50.0 * ((a.0 - b.0).abs() + (a.1 - b.1).abs())) as i64,
                        _ => 0,
                    };
                    let turned = if turn == now.turn || build.is_none() { 0 } else { 150 };
                    let price = far + turned + 100_000 * to_join.len() as i64
                        - if wish == Some(pin1) { 10_000 } else { 0 };
                    if best.as_ref().is_none_or(|it| price < it.0) {
                        best = Some((price, turn, holes, to_join));
                    }
                }
            }
        }
        let Some((_, turn, holes, to_join)) = best else {
            self.bench.parts[part.0] = now;
            return None;
        };
        let pin1 = holes[0];
        self.bench.place_rigid(part, pin1, turn).ok()?;
        self.to_join = to_join;
        self.use_up(now.card, plan, &holes);
        let kind = if build.is_some() && turn != now.turn { Kind::Turned } else { Kind::Shifted };
        let mut done = Move::plain(kind, &now.id);
        done.from = from;
        done.to = holes;
        (done.says, done.because) = if kind == Kind::Turned {
            words::turned(&now, self.bench.part(part))
        } else {
            words::shifted(&now, self.bench.part(part))
        };
        done.oddity =
            8 + from.map_or(0, |from| apart(&self.bench, from, pin1)) + self.kept(&now, plan).min(90);
        Some(done)
    }

    /// Labels the strips that a stiff part opens, and takes its pieces from those that are free.
    fn use_up(&mut self, card: &'static halfrow_core::card::Card, plan: usize, holes: &[Hole]) {
        let ground = self.ground;
        let own: Vec<usize> =
            (0..ground.form.pieces.len()).filter(|&it| ground.form.pieces[it].part == plan).collect();
        if card.gates.is_empty() {
            for &piece in &own {
                let piece = &ground.form.pieces[piece];
                for (pins, net) in piece.pins.iter().zip(&piece.nets) {
                    pins.iter().for_each(|&pin| self.claim(holes[pin], *net));
                }
            }
            self.free.retain(|it| !own.contains(it));
        }
    }

    fn exchange(&mut self, plan: usize, build: usize) -> Option<Move> {
        let part = self.ix(build)?;
        let now = self.bench.part(part).clone();
        let wanted = &self.ground.plan.parts[plan];
        let mut new = Part::new(self.free_name(&wanted.id, wanted), wanted.card);
        new.values.clone_from(&wanted.values);
        let old: Vec<Hole> = now.legs.iter().filter_map(|leg| leg.hole).collect();
        self.bench.parts[part.0] = new.clone();
        let mut done = Move::plain(Kind::OtherKind, &now.id);
        done.is = Some(now.card.name.to_owned());
        done.plan = Some(wanted.card.name.to_owned());
        done.from = old.first().copied();
        if new.is_rigid() {
            self.place(plan, part, None)?;
        } else {
            let piece = self.ground.form.pieces.iter().position(|it| it.part == plan)?;
            let nets = self.ground.form.pieces[piece].nets.clone();
            let nets = self.by_pin(piece, &nets.into_iter().map(|net| (net, false)).collect::<Vec<_>>());
            let nets: Vec<Option<usize>> = nets.into_iter().map(|it| it.0).collect();
            let same = orders(nets.len()).into_iter().find(|order| {
                old.len() == nets.len()
                    && order.iter().zip(&nets).all(|(&at, &net)| self.label_at(old[at]) == net)
            });
            match same {
                Some(order) => {
                    for (pin, &at) in order.iter().enumerate() {
                        self.bench.put_leg(LegId { part, pin }, Some(old[at])).ok()?;
                    }
                }
                None => self.put_down(part, plan, &nets, &(0..nets.len()).collect::<Vec<_>>())?,
            }
        }
        done.to = self.bench.part(part).legs.iter().filter_map(|leg| leg.hole).collect();
        (done.says, done.because) = words::exchanged(&now, self.bench.part(part));
        done.oddity = 12;
        Some(done)
    }

    fn free_name(&self, id: &str, part: &Part) -> String {
        if self.bench.find(id).is_none() { id.to_owned() } else { self.bench.next_id(part.card) }
    }

    fn add(&mut self, plan: usize) -> Option<Move> {
        let wanted = &self.ground.plan.parts[plan];
        let mut new = Part::new(self.free_name(&wanted.id, wanted), wanted.card);
        new.values.clone_from(&wanted.values);
        let part = PartIx(self.bench.parts.len());
        let rigid = new.is_rigid();
        self.bench.parts.push(new);
        if rigid {
            self.place(plan, part, None)?;
        } else {
            let piece = self.ground.form.pieces.iter().position(|it| it.part == plan)?;
            let needs: Vec<(Option<usize>, bool)> =
                self.ground.form.pieces[piece].nets.iter().map(|&net| (net, false)).collect();
            let nets: Vec<Option<usize>> = self.by_pin(piece, &needs).into_iter().map(|it| it.0).collect();
            self.put_down(part, plan, &nets, &(0..nets.len()).collect::<Vec<_>>())?;
        }
        let mut done = Move::plain(Kind::Missing, &wanted.id);
        done.to = self.bench.part(part).legs.iter().filter_map(|leg| leg.hole).collect();
        done.plan = Some((wanted.card.label)(wanted)).filter(|it| !it.is_empty());
        (done.says, done.because) = words::missing(self.bench.part(part));
        done.oddity = 12;
        Some(done)
    }

    fn take_out(&mut self, build: usize, kind: Kind) -> Option<Move> {
        let part = self.ix(build)?;
        let now = self.bench.parts.remove(part.0);
        let mut done = Move::plain(kind, &now.id);
        done.from = now.legs.iter().find_map(|leg| leg.hole);
        (done.says, done.because) = words::extra(&now);
        // A wire that the plan's layout has where it lies is hardly too many.
        done.oddity = 12 + self.in_layout(&now);
        Some(done)
    }

    /// How much speaks for a wire: that the plan's layout has one between the same strips.
    fn in_layout(&self, wire: &Part) -> i32 {
        let Some(layout) = self.layout else { return 0 };
        let strips = |part: &Part| {
            let mut strips: Vec<Option<Strip>> =
                part.legs.iter().map(|leg| leg.hole.and_then(|hole| self.bench.strip(hole))).collect();
            strips.sort_unstable();
            strips
        };
        30 * i32::from(layout.parts.iter().any(|it| it.card == wire.card && strips(it) == strips(wire)))
    }

    fn wire_end(&mut self, build: usize, pin: usize, to: &[u16]) -> Option<Move> {
        let part = self.ix(build)?;
        let strips: Vec<Strip> = to.iter().map(|&at| self.ground.strips[usize::from(at)]).collect();
        let net = self.labels.get(strips.first()?).map(|&it| usize::from(it));
        let id = self.bench.part(part).id.clone();
        let wish = self.wish(&id, pin);
        self.put_leg(LegId { part, pin }, net, &strips, wish, Kind::WireEnd)
    }

    /// A wire between two pieces of a net: one that lies elsewhere, or a new one.
    fn wire(&mut self, build: Option<usize>, strips: &[Vec<Strip>; 2]) -> Option<Move> {
        let (part, now) = match build {
            Some(build) => {
                let part = self.ix(build)?;
                let now = self.bench.part(part).clone();
                self.bench.parts[part.0].legs.iter_mut().for_each(|leg| *leg = Leg::default());
                (part, Some(now))
            }
            None => {
                let card = CARDS.iter().copied().find(|card| card.is_wire())?;
                let mut new = Part::new(self.bench.next_id(card), card);
                // The colour of a wire that is in the net already.
                let fellow = self.bench.parts.iter().find(|it| {
                    it.card.is_wire()
                        && it.legs.iter().any(|leg| {
                            let strip = leg.hole.and_then(|hole| self.bench.strip(hole));
                            strip.is_some_and(|strip| strips.iter().any(|list| list.contains(&strip)))
                        })
                });
                if let Some(fellow) = fellow {
                    new.values.clone_from(&fellow.values);
                }
                self.bench.parts.push(new);
                (PartIx(self.bench.parts.len() - 1), None)
            }
        };
        let lists = [self.holes_in(&strips[0], None, None), self.holes_in(&strips[1], None, None)];
        let mut best: Option<(f64, Hole, Hole)> = None;
        for &a in &lists[0] {
            for &b in &lists[1] {
                let liked = if self.layout_joins(a, b) { 1000.0 } else { 0.0 };
                let far = self.bench.distance(a, b)? - liked;
                if best.is_none_or(|it| far < it.0) {
                    best = Some((far, a, b));
                }
            }
        }
        let (price, a, b) = best?;
        for (pin, hole) in [a, b].into_iter().enumerate() {
            self.bench.put_leg(LegId { part, pin }, Some(hole)).ok()?;
        }
        let is_rail = |hole: Hole| matches!(hole.place, Place::Rail { .. });
        let kind = match (&now, is_rail(a) && is_rail(b)) {
            (Some(_), _) => Kind::WireMoved,
            (None, true) => Kind::RailsApart,
            (None, false) => Kind::WireMissing,
        };
        let mut done = Move::plain(kind, &self.bench.part(part).id);
        let near = |list: &[Hole], hole: Hole| -> Vec<Hole> {
            let strip = self.bench.strip(hole);
            let others = list.iter().copied().filter(|&it| it != hole && self.bench.strip(it) == strip);
            std::iter::once(hole).chain(others.take(4)).collect()
        };
        done.ends = [near(&lists[0], a), near(&lists[1], b)];
        done.from = now.as_ref().and_then(|it| it.legs[0].hole);
        (done.says, done.because) = words::wire(kind, self.bench.part(part), a, b);
        done.oddity = if price < 0.0 { 6 } else { 14 };
        Some(done)
    }

    /// Whether the plan's layout has a wire between the strips of two holes.
    fn layout_joins(&self, a: Hole, b: Hole) -> bool {
        let strip = |hole: Hole| self.bench.strip(hole);
        self.layout.is_some_and(|layout| {
            layout.parts.iter().filter(|it| it.card.is_wire()).any(|it| {
                let ends = [0, 1].map(|pin| it.legs[pin].hole.and_then(strip));
                ends == [strip(a), strip(b)] || ends == [strip(b), strip(a)]
            })
        })
    }

    fn swap(&mut self, one: (usize, usize), other: (usize, usize)) -> Option<Move> {
        let legs =
            [LegId { part: self.ix(one.0)?, pin: one.1 }, LegId { part: self.ix(other.0)?, pin: other.1 }];
        let holes = legs.map(|leg| self.bench.part(leg.part).legs[leg.pin].hole);
        let before = self.bench.clone();
        self.bench.put_leg(legs[0], None).ok()?;
        if self.bench.put_leg(legs[1], holes[0]).is_err() || self.bench.put_leg(legs[0], holes[1]).is_err() {
            self.bench = before;
            return None;
        }
        let parts = legs.map(|leg| self.bench.part(leg.part));
        let pins = [parts[0].card.pins[one.1].name, parts[1].card.pins[other.1].name];
        let mut done = Move::plain(Kind::Swapped, &parts[0].id);
        done.pin = Some(pins[0]);
        done.other = Some((parts[1].id.clone(), pins[1]));
        done.from = holes[0];
        done.to = holes[1].into_iter().collect();
        (done.says, done.because) = words::swapped(parts, [one.1, other.1], holes);
        done.oddity = 12;
        Some(done)
    }
}

/// What a part would open where it is put.
#[derive(Clone, Default)]
struct Opened {
    /// Pieces of metal that hold only wires, with the net that they become.
    pieces: Vec<(Strip, u16)>,
    /// Strips that have to be joined to a net.
    to_join: ToJoin,
}

/// Which holes are taken, and what stands in each strip.
#[derive(Default)]
struct Floor {
    taken: BTreeSet<Hole>,
    /// Ends of wires count one, legs of parts a hundred.
    crowds: BTreeMap<Strip, u32>,
    /// Strips that wires join to a smaller one.
    pieces: BTreeMap<Strip, Strip>,
    /// The nets that have a strip.
    known: BTreeSet<u16>,
}

impl Floor {
    /// The strip that stands for all that wires join to this one.
    fn piece(&self, mut strip: Strip) -> Strip {
        while let Some(&next) = self.pieces.get(&strip).filter(|&&next| next != strip) {
            strip = next;
        }
        strip
    }
}

impl Move {
    fn plain(kind: Kind, part: &str) -> Move {
        Move {
            kind,
            part: part.to_owned(),
            pin: None,
            other: None,
            from: None,
            to: vec![],
            ends: [vec![], vec![]],
            is: None,
            plan: None,
            says: String::new(),
            because: String::new(),
            oddity: 0,
        }
    }
}

/// All orders of so many things, the plain one first; of at most five.
fn orders(n: usize) -> Vec<Vec<usize>> {
    if n > 5 {
        return vec![];
    }
    let mut all: Vec<Vec<usize>> = vec![vec![]];
    for _ in 0..n {
        all = all
            .into_iter()
            .flat_map(|order| {
                (0..n)
                    .filter(|it| !order.contains(it))
                    .map(|it| [order.clone(), vec![it]].concat())
                    .collect::<Vec<_>>()
            })
            .collect();
    }
    all
}

/// How far a slip from one hole to another is: a row is nothing much, five rows are odd.
fn apart(bench: &Bench, from: Hole, to: Hole) -> i32 {
    match (from.place, to.place) {
        (Place::Grid { row, .. }, Place::Grid { row: other, .. }) if from.side() == to.side() => {
            (2 * i32::from(row.abs_diff(other))).min(16)
        }
        (Place::Grid { row, .. }, Place::Grid { row: other, .. }) => {
            (3 + 2 * i32::from(row.abs_diff(other))).min(16)
        }
        (Place::Rail { side, .. }, Place::Rail { side: other, .. }) => {
            if side == other {
                2
            } else {
                6
            }
        }
        _ => bench.distance(from, to).map_or(16, |it| (4 + it as i32).min(16)),
    }
}

/// A red wire at a − rail, a black one at a +: the colour says that it is wrong.
fn colour_speaks(part: &Part, from: Option<Hole>) -> i32 {
    let Some(Hole { place: Place::Rail { sign, .. }, .. }) = from else { return 0 };
    let label = if part.card.is_wire() { (part.card.label)(part) } else { return 0 };
    match (label.as_str(), sign) {
        ("red", Sign::Minus) | ("black", Sign::Plus) => -4,
        ("red", Sign::Plus) | ("black", Sign::Minus) => 4,
        _ => 0,
    }
}

/// Whether a part stands beside the board.
pub(crate) fn is_off_board(part: &Part) -> bool {
    matches!(part.card.footprint, Footprint::OffBoard)
}
