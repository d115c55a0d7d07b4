//! How parts and legs are put down, moved, turned, worked and taken away.

use halfrow_core::bench::{Bench, LegId, PartIx, PlaceError};
use halfrow_core::board::{HalfPitches, Hole, Place, Sign};
use halfrow_core::card::{Param, Range, Value};
use halfrow_core::meter::Touch;
use halfrow_core::part::{Depth, Part};

use super::{Action, COLOUR, Hand, PRESSED, Sheet, State};
use crate::model::chosen::Chosen;
use crate::model::opening::open_text;
use crate::model::{clipboard, words};

impl State {
    pub(super) fn press(&mut self, hole: Hole) {
        self.selection.cursor = Some(hole);
        match self.selection.hand.clone() {
            Hand::Empty => match self.bench().occupant(hole) {
                Some(leg) if self.bench().part(leg.part).is_rigid() => {
                    self.apply(Action::Choose(leg.part, false))
                }
                Some(leg) => {
                    self.selection.chosen = Chosen::one(leg.part.0);
                    self.apply(Action::Hold(Hand::Leg(leg)));
                }
                None => self.selection.chosen.clear(),
            },
            Hand::Tip(which, red) => self.put_tip(which, red, Touch::Hole(hole)),
            Hand::Leg(leg) if self.bench().part(leg.part).legs[leg.pin].hole == Some(hole) => {
                self.selection.hand = Hand::Empty;
                self.say("Left where it was.");
            }
            hand => {
                // A whole part is let go of even where it finds no room: a drag ends there.
                if let Hand::Whole { part, .. } = hand {
                    self.selection.hand = Hand::Empty;
                    if !self.selection.chosen.contains(&part.0) {
                        self.selection.chosen = Chosen::one(part.0);
                    }
                }
                match put_down(self.bench(), &hand, &self.selection.chosen, hole) {
                    Some(Ok((bench, part))) => self.downed(hand, hole, bench, part),
                    Some(Err(error)) => self.say(words::refusal(&error)),
                    None => {}
                }
            }
        }
    }

    /// Takes over a bench on which what was in hand has been put down.
    fn downed(&mut self, hand: Hand, hole: Hole, bench: Bench, part: PartIx) {
        let says = match hand {
            Hand::Part { card, mut legs, turn, colour } => {
                legs.push(hole);
                if bench.part(part).legs.iter().any(|leg| leg.hole.is_none()) {
                    self.selection.hand = Hand::Part { card, legs, turn, colour };
                    let words = words::hand(self);
                    self.say(words);
                    return;
                }
                format!("{} is in.", bench.part(part).id)
            }
            Hand::Leg(leg) => words::leg_put(self.bench(), leg, Some(hole)),
            Hand::Whole { .. } | Hand::Tip(..) | Hand::Empty => moved_words(self.selection.chosen.len()),
        };
        let is_new = part.0 == self.bench().parts.len();
        self.selection.hand = Hand::Empty;
        self.change(bench, says, None);
        if is_new {
            self.selection.chosen = Chosen::one(part.0);
        }
    }

    pub(super) fn first_hole(&self, part: PartIx) -> Option<Hole> {
        self.bench().part(part).legs.iter().find_map(|leg| leg.hole)
    }

    /// Opens the menu at a point of the window, for a part or a hole: a part that is chosen stands for all that are.
    pub(super) fn open_menu(&mut self, at: (i32, i32), part: Option<PartIx>, hole: Option<Hole>) {
        self.selection.hand = Hand::Empty;
        match part {
            Some(part) if !self.selection.chosen.contains(&part.0) => {
                self.selection.chosen = Chosen::one(part.0)
            }
            None => self.selection.chosen.clear(),
            _ => {}
        }
        self.selection.cursor = hole.or_else(|| self.first_hole(part?));
        self.screen.sheet = Some(Sheet::Menu(at.0, at.1));
    }

    pub(super) fn turn(&mut self) {
        if let Hand::Part { turn, .. } = &mut self.selection.hand {
            *turn = turn.next();
            let words = words::hand(self);
            self.say(words);
            return;
        }
        let Some(part) = self.only_chosen() else {
            self.say("Choose one part to turn.");
            return;
        };
        let it = self.bench().part(part).clone();
        if !it.is_rigid() {
            // Turning a loose part swaps its two legs: the way to mend one that is backwards.
            if it.legs.len() == 2 {
                let mut bench = self.bench().clone();
                bench.parts[part.0].legs.swap(0, 1);
                self.change(bench, format!("{} turned around.", it.id), None);
            }
            return;
        }
        let Some(pin1) = it.legs[0].hole else { return };
        // The next turn that fits, about each pin in turn.
        let mut turn = it.turn.next();
        while turn != it.turn {
            let mut bench = self.bench().clone();
            if bench.place_rigid(part, pin1, turn).is_ok() {
                self.change(bench, format!("{} turned to {} degrees.", it.id, turn.degrees()), None);
                return;
            }
            turn = turn.next();
        }
        self.say("There’s no room to turn it here.");
    }

    /// The value that is changed by hand on a switch or a button: of several switches in one case that of
    /// the cursor's row.
    fn lever(&self, part: PartIx) -> Option<usize> {
        let by_hand = |it: &Param| it.live && !matches!(it.range, Range::Number { .. });
        let it = self.bench().part(part);
        let first = it.card.params.iter().position(by_hand)?;
        let row = self.selection.cursor.and_then(Hole::row);
        let row_of = |pin: u8| it.legs[usize::from(pin)].hole.and_then(Hole::row);
        let beside = it.card.contacts.iter().position(|contact| row.is_some() && row_of(contact.a) == row);
        let has = |param: &usize| it.card.params.get(*param).is_some_and(by_hand);
        Some(beside.map(|contact| first + contact).filter(has).unwrap_or(first))
    }

    /// Whether it springs back when it is let go.
    pub fn springs_back(&self, part: PartIx) -> bool {
        let card = self.bench().part(part).card;
        self.lever(part).is_some_and(|param| card.params[param].key == PRESSED)
    }

    fn set_lever(&mut self, part: PartIx, param: usize, value: Value, held: bool) {
        let mut bench = self.bench().clone();
        bench.parts[part.0].values[param] = value;
        let next = self.follow(bench);
        let stays = !held && value == Value::Flag(true) && self.springs_back(part);
        let state = if stays { "kept pressed" } else { next.point.state(&next.bench, part).word };
        let says = format!("{}: {state}.", next.bench.part(part).id);
        self.change_to(next, says, held.then_some((part, param)));
    }

    /// Works a switch; a button stays as it is then.
    pub(super) fn work(&mut self, part: PartIx) {
        // A relay has none: a hand on it only chooses it.
        let Some(param) = self.lever(part) else { return self.apply(Action::Choose(part, false)) };
        let it = self.bench().part(part);
        let value = match (it.values[param], it.card.params[param].range) {
            (Value::Flag(on), _) => Value::Flag(!on),
            (Value::Choice(i), Range::Choice { options, .. }) => Value::Choice((i + 1) % options.len() as u8),
            _ => return,
        };
        self.set_lever(part, param, value, false);
    }

    /// Presses a button for as long as it is held.
    pub(super) fn push(&mut self, part: PartIx) {
        self.let_go();
        if let Some(param) = self.lever(part).filter(|_| self.springs_back(part)) {
            if self.bench().part(part).values[param] != Value::Flag(true) {
                self.set_lever(part, param, Value::Flag(true), true);
            }
            self.selection.pushed = Some(part);
        }
    }

    /// Lets go of the button that is held. Pressed and let go is no step to undo.
    pub(super) fn let_go(&mut self) {
        let Some(part) = self.selection.pushed.take() else { return };
        if let Some(param) = self.lever(part) {
            self.set_lever(part, param, Value::Flag(false), true);
        }
        self.document.slider = None;
        self.document.drop_idle_step();
    }

    pub(super) fn delete(&mut self) {
        if self.selection.chosen.is_empty() {
            if let Some(leg) = self.selection.cursor.and_then(|hole| self.bench().occupant(hole)) {
                self.selection.chosen.insert(leg.part.0);
            } else {
                return;
            }
        }
        let mut bench = self.bench().clone();
        let names: Vec<String> = self.selection.chosen.iter().map(|&i| bench.parts[i].id.clone()).collect();
        let mut index = 0;
        bench.parts.retain(|_| {
            index += 1;
            !self.selection.chosen.contains(&(index - 1))
        });
        self.selection.hand = Hand::Empty;
        self.change(bench, format!("{} removed.", names.join(", ")), None);
    }

    /// Moves the chosen parts by holes; off-board parts stay, their leads move.
    pub(super) fn nudge(&mut self, dx: i16, dy: i16) {
        if self.selection.chosen.is_empty() {
            return;
        }
        match moved(self.bench(), &self.selection.chosen, 2 * dx, 2 * dy) {
            Ok(bench) => self.change(bench, moved_words(self.selection.chosen.len()), None),
            Err(error) => self.say(words::refusal(&error)),
        }
    }

    pub(super) fn copy(&mut self) {
        self.selection.copied = clipboard::copy(self.bench(), &self.selection.chosen).into();
        self.say("Copied.");
    }

    /// Puts copied parts down. A link, and on an empty board a bench that has no room on it, is opened:
    /// where files are forbidden this is the way in.
    pub(super) fn paste(&mut self, text: &str) {
        let put = clipboard::paste(self.bench(), text);
        if halfrow_file::link::looks_like(text)
            || (put.is_err() && self.bench().parts.is_empty() && text.starts_with('{'))
        {
            self.apply(open_text("The pasted bench", text));
            return;
        }
        match put {
            Ok((bench, chosen)) => {
                let says = words::count(chosen.len(), "part placed", "parts placed");
                self.change(bench, says, None);
                self.selection.chosen = chosen;
                self.selection.hand = Hand::Empty;
            }
            Err(why) => self.say(why),
        }
    }
}

fn moved_words(count: usize) -> String {
    if count == 1 { "Moved." } else { "Moved them." }.to_owned()
}

/// The bench with what is in hand put down at a hole, and the part that it belongs to: what a press
/// does and what a preview shows. A part that is chosen takes all chosen ones along. `None` where
/// nothing is in hand.
pub fn put_down(
    bench: &Bench,
    hand: &Hand,
    chosen: &Chosen,
    hole: Hole,
) -> Option<Result<(Bench, PartIx), PlaceError>> {
    let mut bench = bench.clone();
    let put: Result<PartIx, PlaceError> = match hand {
        Hand::Empty | Hand::Tip(..) => return None,
        Hand::Part { card, legs, turn, colour } => {
            let part = PartIx(bench.parts.len());
            let mut new = Part::new(bench.next_id(card), card);
            if card.is_wire()
                && let Some(param) = card.param(COLOUR)
            {
                let of_rail = || rail_colour(&card.params[param].range, legs.iter().chain([&hole]));
                new.values[param] = colour.or_else(of_rail).unwrap_or(new.values[param]);
            }
            bench.parts.push(new);
            let placed = if bench.part(part).is_rigid() {
                bench.place_rigid(part, hole, *turn)
            } else {
                let mut holes = legs.iter().chain([&hole]).enumerate();
                holes.try_for_each(|(pin, &hole)| bench.put_leg(LegId { part, pin }, Some(hole)))
            };
            placed.and_then(|()| bench.check()).map(|()| part)
        }
        Hand::Leg(leg) => bench.put_leg(*leg, Some(hole)).map(|()| {
            bench.parts[leg.part.0].legs[leg.pin].depth = Depth::Full;
            leg.part
        }),
        Hand::Whole { part, from } => {
            let (a, b) = (bench.position(*from)?, bench.position(hole)?);
            let alone = Chosen::one(part.0);
            let parts = if chosen.contains(&part.0) { chosen } else { &alone };
            moved(&bench, parts, b.x - a.x, b.y - a.y).map(|moved| {
                bench = moved;
                *part
            })
        }
    };
    Some(put.map(|part| (bench, part)))
}

/// What is shown of what is in hand.
#[derive(Clone, Debug, Default)]
pub struct Preview {
    /// The bench with it, and the part that it is: where it would go down, or with the legs that are in so
    /// far and the others in the air.
    pub placed: Option<(Bench, PartIx)>,
    /// From the leg that went in last to where the next would go but can’t.
    pub lead: Option<(Hole, Hole)>,
    /// The hole under the pointer that doesn’t take it.
    pub refused: Option<Hole>,
}

/// What is shown of what is in hand with the pointer at a hole, or at none. A part with a leg in the board
/// stays in sight wherever the pointer is, and the holes that it has are not refused.
pub fn preview(state: &State, cursor: Option<Hole>) -> Preview {
    let (bench, hand, chosen) = (state.bench(), &state.selection.hand, &state.selection.chosen);
    let put = cursor.and_then(|hole| put_down(bench, hand, chosen, hole));
    if let Some(Ok(placed)) = put {
        return Preview { placed: Some(placed), ..Preview::default() };
    }
    let (Hand::Part { card, legs, turn, colour }, Some((&last, before))) =
        (hand, if let Hand::Part { legs, .. } = hand { legs.split_last() } else { None })
    else {
        return Preview { refused: cursor.filter(|_| put.is_some()), ..Preview::default() };
    };
    let so_far = Hand::Part { card, legs: before.to_vec(), turn: *turn, colour: *colour };
    let refused = cursor.filter(|hole| !legs.contains(hole));
    Preview {
        placed: put_down(bench, &so_far, chosen, last).and_then(Result::ok),
        lead: refused.map(|hole| (last, hole)),
        refused,
    }
}

/// The colour that wires to a rail have: red at +, black at −.
fn rail_colour<'a>(range: &Range, mut ends: impl Iterator<Item = &'a Hole>) -> Option<Value> {
    let sign = ends.find_map(|end| match end.place {
        Place::Rail { sign, .. } => Some(sign),
        Place::Grid { .. } => None,
    })?;
    let word = if sign == Sign::Plus { "red" } else { "black" };
    let Range::Choice { options, .. } = range else { return None };
    options.iter().position(|it| it.word == word).map(|index| Value::Choice(index as u8))
}

/// The bench with these parts moved by half pitches.
fn moved(before: &Bench, parts: &Chosen, dx: i16, dy: i16) -> Result<Bench, PlaceError> {
    let mut bench = before.clone();
    for &i in parts {
        for leg in &mut bench.parts[i].legs {
            leg.hole = None;
        }
    }
    for &i in parts {
        for (pin, leg) in before.parts[i].legs.iter().enumerate() {
            let Some(old) = leg.hole else { continue };
            let at = before.position(old).expect("a leg's hole is on the bench");
            let hole = bench.hole_at(HalfPitches { x: at.x + dx, y: at.y + dy }).ok_or_else(|| {
                PlaceError::NoHoleUnder {
                    id: before.parts[i].id.clone(),
                    pin: before.parts[i].card.pins[pin].name,
                    pin1: old,
                }
            })?;
            bench.parts[i].legs[pin].hole = Some(hole);
        }
        bench.check_part(PartIx(i))?;
    }
    Ok(bench)
}
