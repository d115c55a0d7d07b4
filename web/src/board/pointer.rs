//! The pointer on the board: the browser's events become those of a [`Gesture`], and its actions are
//! carried out.

use std::cell::RefCell;
use std::rc::Rc;

use halfrow_core::board::Hole;
use halfrow_core::meter::Dial;
use halfrow_core::shape::Point;
use web_sys::{Element, MouseEvent, PointerEvent, SvgGraphicsElement, WheelEvent};
use yew::prelude::*;

use crate::board::touch::LEAST_PUSH;
use crate::model::gesture::{Around, Event, Gesture, Lens, Pointer, Projection};
use crate::model::sight::Room;
use crate::model::state::Action;
use crate::platform::page::{AfterFrame, Timer, after, after_frame};
use crate::ui::board_focus;
use crate::ui::page::Handle;

/// How long a finger stays for the menu, in milliseconds: what the common systems take, from memory.
const LONG_PRESS: i32 = 550;

/// What a gesture shows on the board.
type Shown = (Option<(Point, Point)>, Option<Lens>, Option<(usize, Dial)>);

/// A gesture, and the times that it waits for.
#[derive(Default)]
struct Going {
    gesture: RefCell<Gesture>,
    long: RefCell<Option<Timer>>,
    sprung: RefCell<Option<Timer>>,
    following: RefCell<Option<AfterFrame>>,
}

/// What pointers do on the board.
#[derive(Clone)]
pub struct Gestures {
    page: Handle,
    svg: NodeRef,
    room: Room,
    going: Rc<Going>,
    shown: UseStateHandle<Shown>,
}

/// What pointers do on this board, which has this room on the page.
#[hook]
pub fn use_gestures(page: &Handle, svg: &NodeRef, room: Room) -> Gestures {
    let going = (*use_memo((), |()| Rc::<Going>::default())).clone();
    let shown = use_state_eq(|| (None, None, None));
    Gestures { page: page.clone(), svg: svg.clone(), room, going, shown }
}

fn place(event: &MouseEvent) -> (f64, f64) {
    (f64::from(event.client_x()), f64::from(event.client_y()))
}

fn pointer(event: &PointerEvent) -> Pointer {
    Pointer {
        id: event.pointer_id(),
        touch: event.pointer_type() == "touch",
        at: place(event),
        held: event.buttons() & 1 == 1,
        more: event.shift_key() || event.ctrl_key(),
    }
}

impl Gestures {
    /// The hole that the pointer pointed at last.
    pub fn pointed(&self) -> Option<Hole> {
        self.going.gesture.borrow().pointed
    }

    /// The area whose parts are being chosen.
    pub fn marquee(&self) -> Option<(Point, Point)> {
        self.shown.0
    }

    /// The magnifier.
    pub fn lens(&self) -> Option<Lens> {
        self.shown.1
    }

    /// The meter's dial that is being turned, and where to.
    pub fn turning(&self) -> Option<(usize, Dial)> {
        self.shown.2
    }

    fn projection(&self) -> Option<Projection> {
        let matrix = self.svg.cast::<SvgGraphicsElement>()?.get_screen_ctm()?;
        let [a, d, e, f] = [matrix.a(), matrix.d(), matrix.e(), matrix.f()].map(f64::from);
        Some(Projection { scale: (a, d), origin: (e, f) })
    }

    /// Lets something happen; says whether an action followed.
    fn happens(&self, event: Event) -> bool {
        let Some(projection) = self.projection() else { return false };
        let around = Around { state: &self.page.state, room: self.room, projection };
        let before = self.going.gesture.take();
        let (waited, sprang, dragged) = (before.waits(), before.springs, before.drags());
        let (gesture, actions) = before.step(event, &around);
        // A timer is not let go of while it runs.
        if event != Event::Long {
            self.time(&self.going.long, (waited, gesture.waits()), LONG_PRESS, Event::Long);
        }
        if event != Event::Sprung {
            self.time(&self.going.sprung, (sprang, gesture.springs), LEAST_PUSH, Event::Sprung);
        }
        if !dragged && gesture.drags() {
            board_focus::hold(true);
        }
        self.shown.set((gesture.marquee, gesture.lens, gesture.turning));
        self.going.gesture.replace(gesture);
        let done = !actions.is_empty();
        for action in actions {
            self.page.dispatch(action);
        }
        done
    }

    /// Keeps the time for an event, from when it begins to be waited for.
    fn time(&self, timer: &RefCell<Option<Timer>>, (before, now): (bool, bool), ms: i32, event: Event) {
        if !now {
            timer.take();
        } else if !before {
            let later = self.clone();
            timer.replace(Some(after(ms, move || {
                later.happens(event);
            })));
        }
    }

    fn on<E: 'static>(&self, run: impl Fn(&Gestures, E) + 'static) -> Callback<E> {
        let gestures = self.clone();
        Callback::from(move |event| run(&gestures, event))
    }

    /// A pointer comes down.
    pub fn down(&self) -> Callback<PointerEvent> {
        self.on(|it, event: PointerEvent| {
            if event.button() > 1 || it.projection().is_none() {
                return;
            }
            // Not the event's current target: yew listens at the root of the page, which would then
            // have all further events of this pointer to itself.
            if let Some(board) = it.svg.cast::<Element>() {
                let _ = board.set_pointer_capture(event.pointer_id());
            }
            // The keys work on the board from its first click on.
            event.prevent_default();
            board_focus::focus();
            let pans = event.button() == 1 || event.alt_key();
            it.happens(Event::Down { pointer: pointer(&event), first: event.is_primary(), pans });
        })
    }

    /// It moves.
    pub fn moves(&self) -> Callback<PointerEvent> {
        self.on(|it, event: PointerEvent| {
            let pointer = pointer(&event);
            if it.going.gesture.borrow().brings(&pointer, &it.page.state) {
                board_focus::focus();
            }
            it.happens(Event::Move(pointer));
        })
    }

    /// It is lifted.
    pub fn up(&self) -> Callback<PointerEvent> {
        self.on(|it, event: PointerEvent| {
            // The focus goes along when what was dragged has been drawn where it is now.
            if board_focus::is_held() {
                let page = it.page.clone();
                it.going.following.replace(Some(after_frame(move || {
                    board_focus::hold(false);
                    page.dispatch(Action::Point(page.state.selection.cursor));
                })));
            }
            it.happens(Event::Up(pointer(&event)));
        })
    }

    /// The browser takes it.
    pub fn cancel(&self) -> Callback<PointerEvent> {
        self.on(|it, _: PointerEvent| {
            board_focus::hold(false);
            it.happens(Event::Cancel);
        })
    }

    /// It leaves the board.
    pub fn leave(&self) -> Callback<PointerEvent> {
        self.on(|it, _: PointerEvent| {
            it.happens(Event::Leave { keys_are_here: board_focus::has_focus() });
        })
    }

    /// The menu is asked for.
    pub fn menu(&self) -> Callback<MouseEvent> {
        self.on(|it, event: MouseEvent| {
            event.prevent_default();
            it.happens(Event::Menu(place(&event)));
        })
    }

    /// The wheel is turned.
    pub fn wheel(&self) -> Callback<WheelEvent> {
        self.on(|it, event: WheelEvent| {
            let by = (event.delta_x(), event.delta_y());
            if it.happens(Event::Wheel { at: place(&event), by, zooms: event.ctrl_key() }) {
                event.prevent_default();
            }
        })
    }
}
