//! What a pointer does on the board, as a pure machine: an event and what the page knows give the next
//! gesture and the actions that it asks for.
//!
//! [`Gesture::step`] is all of it. Whoever shows the board translates the browser's events into [`Event`]s,
//! carries out the actions, draws what [`Gesture`] shows ([`Gesture::marquee`], [`Gesture::lens`]), and
//! keeps the time: as long as a gesture [waits](Gesture::waits) for [`Event::Long`], or
//! [springs](Gesture::springs) back with [`Event::Sprung`].

mod fingers;
mod meter;

use halfrow_core::bench::{Bench, LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::{Footprint, Group};
use halfrow_core::meter::Dial;
use halfrow_core::shape::Point;
use halfrow_draw::hit::{self, Hit};
use halfrow_draw::layout;

use crate::model::sight::{Room, scale, scrolled, sight, zoomed};
use crate::model::state::{Action, Hand, State, Use, View};
use fingers::{Pinch, lift, reach};

/// How far a pointer moves before it drags, in pixels: a hand that clicks is not quite still.
const STILL: f64 = 6.0;

/// How the drawing lies in the window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Projection {
    /// Pixels for a unit of the drawing, across and down.
    pub scale: (f64, f64),
    /// The window's point of the drawing's origin, pixels.
    pub origin: (f64, f64),
}

impl Projection {
    /// The drawing's point under a point of the window.
    pub fn point(&self, (x, y): (f64, f64)) -> Point {
        Point::new(((x - self.origin.0) / self.scale.0) as f32, ((y - self.origin.1) / self.scale.1) as f32)
    }

    /// What a pixel measures in the drawing.
    fn unit(&self) -> f32 {
        1.0 / self.scale.0 as f32
    }
}

/// What a gesture has to know of the page.
#[derive(Clone, Copy, Debug)]
pub struct Around<'a> {
    /// The page's state.
    pub state: &'a State,
    /// The board's place on the page.
    pub room: Room,
    /// How the drawing lies in the window.
    pub projection: Projection,
}

impl Around<'_> {
    fn view(&self) -> View {
        sight(self.state.bench(), self.state.screen.view, self.room)
    }

    fn hole(&self, at: Point) -> Option<Hole> {
        layout::nearest_hole(self.state.bench(), at)
    }

    fn hand(&self) -> &Hand {
        &self.state.selection.hand
    }
}

/// The hole of the nearest leg of the part whose body is under a point, where no hole is near it, or a lamp's
/// wide lens hides it: what is pointed at then is the part.
fn on_body(bench: &Bench, point: Point) -> Option<Hole> {
    let is_lamp = |part: PartIx| bench.part(part).card.group == Group::Light && !bench.part(part).is_rigid();
    let lamps = (0..bench.parts.len()).map(PartIx).filter(|&part| is_lamp(part));
    let mut under = lamps.filter(|&part| layout::centre(bench, part).distance(point) < 18.0);
    let part = under.next().or_else(|| {
        let free = layout::nearest_hole(bench, point).is_none();
        match free.then(|| hit::under(bench, point)).flatten() {
            Some(Hit::Body(part)) => Some(part),
            _ => None,
        }
    })?;
    let legs = bench.part(part).legs.iter().filter_map(|leg| leg.hole);
    let places = legs.filter_map(|hole| Some((layout::hole(bench, hole)?.distance(point), hole)));
    places.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, hole)| hole)
}

/// A pointer: the mouse, a pen, a finger.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pointer {
    /// Tells one finger from another.
    pub id: i32,
    /// Whether it is a finger.
    pub touch: bool,
    /// Where it is in the window, pixels.
    pub at: (f64, f64),
    /// Whether its main button is down.
    pub held: bool,
    /// Whether Shift or Ctrl is: it adds to what is chosen.
    pub more: bool,
}

/// Something that happens to the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Event {
    /// A pointer comes down.
    Down {
        /// Which, and where.
        pointer: Pointer,
        /// Whether it is the first finger of several.
        first: bool,
        /// Whether it moves the view: with the middle button, or with Alt.
        pans: bool,
    },
    /// A pointer moves.
    Move(Pointer),
    /// A pointer is lifted.
    Up(Pointer),
    /// The browser has taken the pointer for itself.
    Cancel,
    /// The mouse leaves the board; whether the keys work on the board.
    Leave {
        /// Then the cursor is theirs.
        keys_are_here: bool,
    },
    /// A finger has stayed where it is for as long as opens the menu.
    Long,
    /// A button that was let go springs back.
    Sprung,
    /// The menu is asked for at a point of the window.
    Menu((f64, f64)),
    /// The wheel is turned.
    Wheel {
        /// Where, in the window.
        at: (f64, f64),
        /// How far, in pixels.
        by: (f64, f64),
        /// Whether it zooms.
        zooms: bool,
    },
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Grip {
    Hit(Hit),
    /// A place of a meter.
    Meter(meter::Hit),
    Ground,
    Pan,
    /// Over: a long press has opened the menu.
    Done,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Drag {
    grip: Grip,
    start: (f64, f64),
    start_at: Point,
    view: View,
    moved: bool,
    touch: bool,
    /// The farthest that the pointer was from where it came down, in pixels.
    far: f64,
    /// Whether its beginning counts no more: it has put a leg down there, or came from the list.
    begun: bool,
    /// Whether it opens the menu when it stays where it is.
    waits: bool,
}

impl Drag {
    /// How far above the pointer the cursor stands, in pixels.
    fn lift(&self) -> f64 {
        if self.touch && matches!(self.grip, Grip::Hit(_) | Grip::Ground) { lift(self.far) } else { 0.0 }
    }

    /// Where it leads: to the pointer, or of a whole part to the place of the hole that it is held by. The
    /// pointer itself may be over the trench, where a body lies but no hole is.
    fn aim(&self, around: &Around, point: Point) -> Point {
        let Hand::Whole { from, .. } = around.hand() else { return point };
        layout::hole(around.state.bench(), *from).map_or(point, |place| {
            Point::new(point.x + place.x - self.start_at.x, point.y + place.y - self.start_at.y)
        })
    }
}

/// The magnifier over a finger.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lens {
    /// Where the finger is, in the drawing.
    pub finger: Point,
    /// What it aims at.
    pub aim: Point,
    /// What a pixel measures in the drawing.
    pub unit: f32,
}

/// What the pointers on the board are about to do.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gesture {
    drag: Option<Drag>,
    fingers: Vec<(i32, (f64, f64))>,
    pinch: Option<Pinch>,
    /// The hole that the pointer pointed at last.
    pub pointed: Option<Hole>,
    /// Opposite corners of the area whose parts are being chosen.
    pub marquee: Option<(Point, Point)>,
    /// The magnifier.
    pub lens: Option<Lens>,
    /// A meter's dial that is being turned: it counts where it comes to rest.
    pub turning: Option<(usize, Dial)>,
    /// Whether a button was let go and springs back in a moment.
    pub springs: bool,
}

impl Gesture {
    /// Whether a pointer that moves brings what it has taken hold of in the list of parts.
    pub fn brings(&self, pointer: &Pointer, state: &State) -> bool {
        let known = self.fingers.iter().any(|it| it.0 == pointer.id);
        pointer.held && !known && state.selection.hand != Hand::Empty && self.drag.is_none()
    }

    /// Whether a pointer drags something.
    pub fn drags(&self) -> bool {
        self.drag.is_some_and(|drag| drag.moved && drag.grip != Grip::Done)
    }

    /// Whether it opens the menu if nothing happens for a while.
    pub fn waits(&self) -> bool {
        self.drag.is_some_and(|drag| drag.waits)
    }

    /// What follows from an event: the next gesture, and the actions in their order.
    pub fn step(mut self, event: Event, around: &Around) -> (Gesture, Vec<Action>) {
        let actions = match event {
            Event::Down { pointer, first, pans } => self.down(&pointer, first, pans, around),
            Event::Move(pointer) => self.moved(&pointer, around),
            Event::Up(pointer) => self.up(&pointer, around),
            Event::Cancel => self.cancel(around),
            Event::Leave { keys_are_here } => leave(keys_are_here, around),
            Event::Long => self.long(around),
            Event::Sprung => {
                self.springs = false;
                vec![Action::LetGo]
            }
            Event::Menu(at) => self.menu(at, around),
            Event::Wheel { at, by, zooms } => wheel(at, by, zooms, around),
        };
        (self, actions)
    }

    fn point_at(&mut self, hole: Option<Hole>, around: &Around, actions: &mut Vec<Action>) {
        self.pointed = hole;
        if hole != around.state.selection.cursor {
            actions.push(Action::Point(hole));
        }
    }

    fn down(&mut self, pointer: &Pointer, first: bool, pans: bool, around: &Around) -> Vec<Action> {
        if pointer.touch {
            if first {
                (self.fingers, self.pinch) = (Vec::new(), None);
            }
            self.fingers.push((pointer.id, pointer.at));
            if let [a, b, ..] = self.fingers[..] {
                return self.pinch([a.1, b.1], around);
            }
        }
        let point = around.projection.point(pointer.at);
        let in_hand = *around.hand() != Hand::Empty;
        let grip = if pans {
            Grip::Pan
        } else if in_hand {
            Grip::Ground
        } else {
            let bench = around.state.bench();
            match (meter::under(bench, point), hit::under(bench, point)) {
                (Some(hit), _) => Grip::Meter(hit),
                (_, Some(hit)) => Grip::Hit(hit),
                _ if pointer.touch => Grip::Pan,
                _ => Grip::Ground,
            }
        };
        let pushed = match grip {
            Grip::Hit(Hit::Body(part)) if !pointer.more && around.state.springs_back(part) => Some(part),
            _ => None,
        };
        let mut actions = Vec::new();
        if let Some(part) = pushed {
            self.springs = false;
            actions.push(Action::Push(part));
        } else if pointer.touch {
            self.point_at(around.hole(point), around, &mut actions);
            if in_hand {
                self.lens = Some(Lens { finger: point, aim: point, unit: around.projection.unit() });
            }
        }
        self.drag = Some(Drag {
            grip,
            start: pointer.at,
            start_at: point,
            view: around.view(),
            moved: false,
            touch: pointer.touch,
            far: 0.0,
            begun: false,
            waits: pointer.touch && pushed.is_none() && !in_hand,
        });
        actions
    }

    /// A second finger: the drag of the first one is off.
    fn pinch(&mut self, start: [(f64, f64); 2], around: &Around) -> Vec<Action> {
        self.pinch = Some(Pinch::new(around.view(), &around.projection, start));
        (self.drag, self.lens) = (None, None);
        match around.hand() {
            Hand::Leg(_) | Hand::Whole { .. } => vec![Action::Escape],
            _ => vec![],
        }
    }

    fn moved(&mut self, pointer: &Pointer, around: &Around) -> Vec<Action> {
        let bench = around.state.bench();
        self.fingers.iter_mut().filter(|it| it.0 == pointer.id).for_each(|it| it.1 = pointer.at);
        if let (Some(pinch), [a, b, ..]) = (self.pinch, self.fingers.as_slice()) {
            return vec![Action::SetView(Some(pinch.view([a.1, b.1], bench)))];
        }
        if self.brings(pointer, around.state) {
            self.drag = Some(brought(pointer, around));
        }
        let lifted = self.drag.as_mut().map_or(0.0, |drag| {
            let (x, y) = (pointer.at.0 - drag.start.0, pointer.at.1 - drag.start.1);
            drag.far = drag.far.max(x.abs() + y.abs());
            drag.lift()
        });
        let point = around.projection.point((pointer.at.0, pointer.at.1 - lifted));
        let aimed = self.drag.map_or(point, |drag| drag.aim(around, point));
        let mut actions = Vec::new();
        let on_body =
            if self.drag.is_none() && *around.hand() == Hand::Empty { on_body(bench, point) } else { None };
        self.point_at(on_body.or_else(|| around.hole(aimed)), around, &mut actions);
        let Some(mut drag) = self.drag else { return actions };
        let first = !drag.moved && drag.far > STILL;
        if first {
            (drag.moved, drag.waits) = (true, false);
            actions.push(Action::LetGo);
        }
        let places = *around.hand() != Hand::Empty || matches!(drag.grip, Grip::Hit(_));
        if drag.touch && places && drag.grip != Grip::Done {
            let unit = around.projection.unit();
            let finger = Point::new(point.x, point.y + lifted as f32 * unit);
            self.lens = Some(Lens { finger, aim: point, unit });
        }
        if drag.moved {
            self.dragged(&mut drag, first, point, around, &mut actions);
        }
        self.drag = Some(drag);
        actions
    }

    /// What a drag does as it goes; `first` when it has just become one.
    fn dragged(
        &mut self,
        drag: &mut Drag,
        first: bool,
        point: Point,
        around: &Around,
        actions: &mut Vec<Action>,
    ) {
        let bench = around.state.bench();
        match drag.grip {
            Grip::Meter(meter::Hit::Tip(which, red)) if first => {
                actions.push(Action::Meter(Use::Hold(which, red)));
            }
            Grip::Meter(meter::Hit::Dial(which)) => {
                self.turning = Some((which, halfrow_draw::meter::dial_towards(bench, which, point)));
            }
            Grip::Hit(Hit::Leg(leg)) if first => actions.push(Action::Hold(Hand::Leg(leg))),
            Grip::Hit(Hit::Body(part)) if first && !layout::is_off_board(bench, part) => {
                let own = || bench.part(part).legs.iter().find_map(|leg| leg.hole);
                if let Some(from) = around.hole(drag.start_at).or_else(own) {
                    actions.push(Action::Hold(Hand::Whole { part, from }));
                }
            }
            // A wire is drawn from hole to hole: the first end goes down where the pointer came down.
            Grip::Ground if !drag.begun && drag.far > reach(drag.touch) && lays(around.hand()) => {
                drag.begun = true;
                if let Some(start) = around.hole(drag.start_at) {
                    actions.push(Action::Press(start));
                    if bench.occupant(start).is_some() {
                        drag.grip = Grip::Done;
                    }
                }
            }
            Grip::Ground if *around.hand() == Hand::Empty => self.marquee = Some((drag.start_at, point)),
            Grip::Pan => {
                let (dx, dy) = (point.x - drag.start_at.x, point.y - drag.start_at.y);
                let now = around.view();
                actions.push(Action::SetView(Some((now.0 - dx, now.1 - dy, drag.view.2, drag.view.3))));
            }
            _ => {}
        }
    }

    fn up(&mut self, pointer: &Pointer, around: &Around) -> Vec<Action> {
        self.fingers.retain(|it| it.0 != pointer.id);
        (self.pinch, self.lens) = (None, None);
        let Some(drag) = self.drag.take() else { return vec![] };
        if around.state.selection.pushed.is_some() {
            self.springs = true;
            return vec![];
        }
        let point = around.projection.point((pointer.at.0, pointer.at.1 - drag.lift()));
        let hole = around.hole(drag.aim(around, point));
        let area = self.marquee.take();
        self.turning = None;
        if let Grip::Meter(hit) = drag.grip {
            let bench = around.state.bench();
            return match drag.moved {
                true => meter::release(hit, point, hole, bench),
                false => vec![meter::click(hit, point, bench)],
            };
        }
        if drag.moved {
            release(&drag, hole, area, around)
        } else if *around.hand() != Hand::Empty {
            let nowhere = || Action::Say("There’s no hole here, so it stays in your hand.".into());
            vec![hole.map_or_else(nowhere, Action::Press)]
        } else {
            click(drag.grip, point, hole, pointer.more, around)
        }
    }

    fn cancel(&mut self, around: &Around) -> Vec<Action> {
        (self.fingers, self.pinch, self.lens, self.marquee) = (Vec::new(), None, None, None);
        self.turning = None;
        let dragged = self.drag.take().is_some_and(|drag| drag.moved);
        let mut actions = vec![Action::LetGo];
        if dragged && *around.hand() != Hand::Empty {
            actions.push(Action::Escape);
        }
        actions
    }

    /// Ends a press for the menu; false where it has become a drag, or ended before.
    fn end_by_menu(&mut self) -> bool {
        let Some(drag) = self.drag.as_mut().filter(|drag| !drag.moved) else { return false };
        (drag.moved, drag.waits, drag.grip) = (true, false, Grip::Done);
        true
    }

    fn long(&mut self, around: &Around) -> Vec<Action> {
        let Some(drag) = self.drag.filter(|drag| drag.waits) else { return vec![] };
        if self.end_by_menu() { vec![open_menu(drag.start, drag.start_at, around)] } else { vec![] }
    }

    fn menu(&mut self, at: (f64, f64), around: &Around) -> Vec<Action> {
        if around.state.selection.pushed.is_some() {
            return vec![];
        }
        // A finger that places something only takes its time, one on a button holds it.
        if self.drag.is_some() && (*around.hand() != Hand::Empty || !self.end_by_menu()) {
            return vec![];
        }
        vec![open_menu(at, around.projection.point(at), around)]
    }
}

/// The drag of what was taken hold of in the list and brought here.
fn brought(pointer: &Pointer, around: &Around) -> Drag {
    Drag {
        grip: Grip::Ground,
        start: pointer.at,
        start_at: Point::new(0.0, 0.0),
        view: around.view(),
        moved: true,
        touch: pointer.touch,
        far: 0.0,
        begun: true,
        waits: false,
    }
}

/// Whether the first leg of a loose part is in hand.
fn lays(hand: &Hand) -> bool {
    matches!(hand, Hand::Part { card, legs, .. } if legs.is_empty() && !matches!(card.footprint, Footprint::Rigid { .. }))
}

/// The menu for what is under a point of the board.
fn open_menu((x, y): (f64, f64), point: Point, around: &Around) -> Action {
    let part = hit::under(around.state.bench(), point).map(|hit| match hit {
        Hit::Leg(leg) => leg.part,
        Hit::Body(part) => part,
    });
    // Beside the pointer: what lifts the finger again chooses nothing.
    Action::OpenMenu((x as i32 + 8, y as i32 + 8), part, around.hole(point))
}

/// The keys keep their place when the mouse goes elsewhere.
fn leave(keys_are_here: bool, around: &Around) -> Vec<Action> {
    let points = around.state.selection.cursor.is_some() && *around.hand() == Hand::Empty;
    if points && around.state.screen.sheet.is_none() && !keys_are_here {
        vec![Action::Point(None)]
    } else {
        vec![]
    }
}

fn wheel(at: (f64, f64), by: (f64, f64), zooms: bool, around: &Around) -> Vec<Action> {
    let (bench, now) = (around.state.bench(), around.view());
    let dial = meter::wheeled(bench, around.projection.point(at), around.state.measuring.focus);
    if let Some(which) = dial.filter(|_| !zooms && by.1 != 0.0) {
        let next = around.state.dial(which).turned(if by.1 > 0.0 { 1 } else { -1 });
        return vec![Action::Meter(Use::Turn(which, next))];
    }
    let next = if zooms {
        let factor = if by.1 > 0.0 { 1.12 } else { 1.0 / 1.12 };
        zoomed(now, factor, around.projection.point(at), bench)
    } else {
        // As far as the wheel says, in pixels of the page.
        let step = 1.0 / scale(now, around.room).max(0.05);
        scrolled(now, around.room, bench, by.0 as f32 * step, by.1 as f32 * step)
    };
    if zooms || next != now { vec![Action::SetView(Some(next))] } else { vec![] }
}

/// What the end of a drag does.
fn release(drag: &Drag, hole: Option<Hole>, area: Option<(Point, Point)>, around: &Around) -> Vec<Action> {
    match (drag.grip, hole, area) {
        // Where it could not go down it stays where it was: a drag ends when the button is let go.
        (Grip::Hit(_), Some(hole), _) if *around.hand() != Hand::Empty => {
            vec![Action::Press(hole), Action::Escape]
        }
        (Grip::Hit(Hit::Leg(leg)), None, _) => vec![Action::Escape, Action::PutLeg(leg, None)],
        (Grip::Hit(_), None, _) => vec![Action::Escape],
        (Grip::Ground, _, Some((a, b))) => {
            let inside = |p: Point| {
                (a.x.min(b.x)..=a.x.max(b.x)).contains(&p.x) && (a.y.min(b.y)..=a.y.max(b.y)).contains(&p.y)
            };
            let bench = around.state.bench();
            let parts = (0..bench.parts.len()).filter(|&i| inside(layout::centre(bench, PartIx(i))));
            vec![Action::ChooseThese(parts.collect())]
        }
        (Grip::Ground, Some(hole), None) => vec![Action::Press(hole)],
        _ => vec![],
    }
}

/// What a press and release at one place does, with nothing in hand.
fn click(grip: Grip, at: Point, hole: Option<Hole>, more: bool, around: &Around) -> Vec<Action> {
    let bench = around.state.bench();
    match grip {
        Grip::Hit(Hit::Leg(leg)) if !more => {
            bench.part(leg.part).legs[leg.pin].hole.map(Action::Press).into_iter().collect()
        }
        // A switch that is worked need not be chosen: nothing else moves.
        Grip::Hit(Hit::Body(part)) if !more && bench.part(part).card.group == Group::Switch => {
            let mut actions = Vec::new();
            if bench.part(part).card.contacts.len() > 2 {
                // Of several switches in one case, the one under the pointer.
                let legs = bench.part(part).legs.iter().filter_map(|leg| leg.hole);
                let far =
                    |hole: &Hole| layout::hole(bench, *hole).map_or(f32::INFINITY, |it| it.distance(at));
                actions.push(Action::Point(legs.min_by(|a, b| far(a).total_cmp(&far(b)))));
            }
            actions.push(Action::Work(part));
            actions
        }
        Grip::Hit(Hit::Leg(LegId { part, .. }) | Hit::Body(part)) => vec![Action::Choose(part, more)],
        _ => vec![hole.map_or_else(|| Action::ChooseThese(Default::default()), Action::Press)],
    }
}

#[cfg(test)]
mod tests;
