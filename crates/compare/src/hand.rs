//! Tasks done by hand on a copy of the build: into which holes exactly.

mod odd;
mod stiff;
mod wires;

use std::collections::BTreeMap;

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::{Hole, Strip, StripPlace};
use halfrow_core::card::Footprint;
use halfrow_core::part::{Depth, Leg, Part};

use crate::ground::{Ground, NONE};
use crate::moves::{Kind, Move};
use crate::words::{self, Meets};
use crate::wrong::Task;

use odd::{apart, colour_speaks};

/// Strips that have to be joined to a net by a wire.
type ToJoin = Vec<(Strip, usize)>;

/// How many holes are tried for each leg of a part that is put down anew, nearest first.
const HOLES_TRIED: usize = 24;

/// A copy of the build in which things are put right.
#[derive(Clone)]
pub(crate) struct Hand<'g, 'a> {
    pub ground: &'g Ground<'a>,
    pub bench: Bench,
    /// The label of each strip that has one.
    labels: BTreeMap<Strip, u16>,
    /// Names of the plan's parts in the build.
    names: &'g [Option<String>],
    /// Pieces of the plan that nothing stands for.
    free: Vec<usize>,
    /// Strips in which a part has just been put, each to be joined to a net by a wire.
    to_join: ToJoin,
    /// Whether these are left for later.
    wires_later: bool,
}

impl<'g, 'a> Hand<'g, 'a> {
    pub fn new(
        ground: &'g Ground<'a>,
        labels: &[u16],
        names: &'g [Option<String>],
        free: &[usize],
    ) -> Hand<'g, 'a> {
        let labels = ground.strips.iter().copied().zip(labels.iter().copied()).collect();
        Hand {
            ground,
            bench: ground.bench.clone(),
            labels,
            names,
            free: free.to_vec(),
            to_join: vec![],
            wires_later: false,
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
            if self.wires_later {
                self.labels.insert(strip, net as u16);
                continue;
            }
            let others = self.strips_for(Some(net)).into_iter().filter(|&it| it != strip).collect();
            moves.push(self.wire(None, &[vec![strip], others])?);
        }
        Some(moves)
    }

    /// The same hand, which leaves wires to what a stiff part is put between for later.
    pub fn with_wires_later(self) -> Hand<'g, 'a> {
        Hand { wires_later: true, ..self }
    }

    /// What strips are by now.
    pub fn labels_of(&self, strips: &[Strip]) -> Vec<u16> {
        strips.iter().map(|strip| self.labels.get(strip).copied().unwrap_or(NONE)).collect()
    }

    fn act_once(&mut self, task: &Task) -> Option<Move> {
        match task {
            &Task::Value { plan, build } => self.revalue(plan, build),
            &Task::Stand { plan, build } => self.stand(plan, build),
            &Task::Kind { plan, build } => self.exchange(plan, build),
            &Task::Missing { plan } => self.add(plan),
            &Task::Extra { build } => self.take_out(build, Kind::Extra),
            &Task::Cut { part } => self.take_out(part, Kind::WireExtra),
            Task::End { part, second, to } => self.wire_end(*part, usize::from(*second), to),
            Task::Wire { part, to } => {
                let to = self.as_strips(to);
                self.wire(Some(*part), &to)
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
        let layout = self.ground.layout?;
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
        let Some(layout) = self.ground.layout else { return 0 };
        let strips = |part: &Part| {
            let mut strips: Vec<Option<Strip>> =
                part.legs.iter().map(|leg| leg.hole.and_then(|hole| self.bench.strip(hole))).collect();
            strips.sort_unstable();
            strips
        };
        30 * i32::from(layout.parts.iter().any(|it| it.card == wire.card && strips(it) == strips(wire)))
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

/// Whether a part stands beside the board.
pub(crate) fn is_off_board(part: &Part) -> bool {
    matches!(part.card.footprint, Footprint::OffBoard)
}
