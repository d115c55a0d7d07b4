//! The board: picture, overlays and the pointer.

use std::cell::OnceCell;
use std::rc::Rc;

use halfrow_core::bench::{LegId, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::card::{Footprint, Group};
use halfrow_core::meter::Dial;
use halfrow_core::shape::{Point, n};
use halfrow_draw::hit::{self, Hit};
use halfrow_draw::labels::Placer;
use halfrow_draw::{labels, layout, marks, scene};
use web_sys::{PointerEvent, SvgGraphicsElement, WheelEvent};
use yew::prelude::*;

use crate::board::meter;
use crate::board::overlays;
use crate::board::pictures::{self, Drawn, Face, Names, Pictures};
use crate::board::room::room;
use crate::board::shapes;
use crate::board::touch::{lens, let_go};
use crate::model::fingers::{Pinch, lift, reach};
use crate::model::sight::{follow, least_type, scrolled, sight, zoomed};
use crate::model::state::{Action, Hand, Help, Solved, Use, View, put_down};
use crate::paper::printed as paper;
use crate::platform::page::{AfterFrame, Timer, after, after_frame, on_resize};
use crate::ui::board_focus;
use crate::ui::page::Handle;
use crate::ui::spans::Span;

#[derive(Clone, Copy, PartialEq)]
enum Grip {
    Hit(Hit),
    /// A place of a meter.
    Meter(meter::Hit),
    Ground,
    Pan,
    /// Over: a long press has opened the menu.
    Done,
}

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
    /// Opens the menu when a finger stays where it is.
    _long: Option<Timer>,
}

impl Drag {
    /// How far above the pointer the cursor stands, in pixels.
    fn lift(&self) -> f64 {
        if self.touch && matches!(self.grip, Grip::Hit(_) | Grip::Ground) { lift(self.far) } else { 0.0 }
    }
}

/// The fingers on the board, in the window, and what two of them began with.
#[derive(Default)]
struct Fingers {
    all: Vec<(i32, (f64, f64))>,
    pinch: Option<Pinch>,
}

/// Something that is the same as long as nobody has changed it.
struct Kept<T>(Rc<T>);

impl<T> PartialEq for Kept<T> {
    fn eq(&self, other: &Kept<T>) -> bool {
        Rc::ptr_eq(&self.0, &other.0)
    }
}

/// How long a finger stays for the menu, in milliseconds: what the common systems take, from memory.
const LONG_PRESS: i32 = 550;

fn client(event: &PointerEvent) -> (f64, f64) {
    (f64::from(event.client_x()), f64::from(event.client_y()))
}

/// The bench's point under a point of the window.
fn at(svg: &NodeRef, (x, y): (f64, f64)) -> Option<Point> {
    let matrix = svg.cast::<SvgGraphicsElement>()?.get_screen_ctm()?;
    Some(Point::new(
        ((x - f64::from(matrix.e())) / f64::from(matrix.a())) as f32,
        ((y - f64::from(matrix.f())) / f64::from(matrix.d())) as f32,
    ))
}

/// Pixels of the window for a unit of the drawing.
fn scale(svg: &NodeRef) -> f64 {
    let matrix = svg.cast::<SvgGraphicsElement>().and_then(|it| it.get_screen_ctm());
    matrix.map_or(1.0, |it| f64::from(it.a()))
}

/// Ends a press for the menu; false where it has become a drag, or ended before.
fn end_by_menu(drag: &std::cell::RefCell<Option<Drag>>) -> bool {
    match drag.borrow_mut().as_mut() {
        Some(drag) if !drag.moved => {
            (drag.moved, drag.grip) = (true, Grip::Done);
            true
        }
        _ => false,
    }
}

/// Opens the menu for what is under a point of the board.
fn open_menu(page: &Handle, solved: &Solved, client: (f64, f64), point: Point) {
    let part = hit::under(&solved.bench, point).map(|hit| match hit {
        Hit::Leg(leg) => leg.part,
        Hit::Body(part) => part,
    });
    let hole = layout::nearest_hole(&solved.bench, point);
    // Beside the pointer: what lifts the finger again chooses nothing.
    page.dispatch(Action::OpenMenu((client.0 as i32 + 8, client.1 as i32 + 8), part, hole));
}

/// Properties of [`BoardView`].
#[derive(Properties, PartialEq)]
pub struct Props {
    /// The page's state.
    pub page: Handle,
    /// Whether it is for paper: the whole board, and nothing of what is only pointed at.
    pub printing: bool,
}

/// The board with everything on it.
#[component]
pub fn BoardView(props: &Props) -> Html {
    let _span = Span::new("draw");
    let page = &props.page;
    let state = &page.state;
    let solved = state.document.solved.clone();
    let bench = &solved.bench;
    let svg = use_node_ref();
    let drag = use_mut_ref(|| None::<Drag>);
    let marquee = use_state_eq(|| None::<(Point, Point)>);
    // A dial counts where it comes to rest: while it is dragged it is only drawn.
    let turning = use_state_eq(|| None::<(usize, Dial)>);
    let fingers = use_mut_ref(Fingers::default);
    let letting_go = use_mut_ref(|| None::<Timer>);
    let following = use_mut_ref(|| None::<AfterFrame>);
    let magnified = use_state_eq(|| None::<(Point, Point, f32)>);
    let place = use_state_eq(|| (0.0, 0.0));
    {
        let (place, svg) = (place.setter(), svg.clone());
        use_effect_with((), move |()| {
            let board = svg.cast::<web_sys::Element>();
            let watch = board.and_then(|board| on_resize(&board, move || place.set(room())));
            move || drop(watch)
        });
    }
    let (paper, tall) = paper::view(bench);
    let view = if props.printing { paper } else { sight(bench, state.screen.view, *place) };
    let least = if props.printing { paper::TYPE } else { least_type(view, *place) };
    let cursor = state.selection.cursor.filter(|_| !props.printing);
    // Where labels are short, one at a time is told in full; nothing moves out of the way of what is dragged.
    let pointed = state
        .selection
        .cursor
        .filter(|_| state.selection.hand == Hand::Empty)
        .and_then(|hole| bench.occupant(hole));
    let pointed = pointed.map(|leg| leg.part).or_else(|| state.only_chosen());
    let pointed = pointed.filter(|_| least > labels::WITH_VALUE);
    let placed = use_memo((Kept(bench.clone()), least), |(Kept(bench), least)| {
        let bare = Placer::new(bench, *least, &[]);
        let all = Rc::new(bare.labels(bench, None));
        (bare, all)
    });
    let names = use_memo((Kept(bench.clone()), least, pointed), |(Kept(bench), _, pointed)| {
        let (bare, all) = &*placed;
        let told = pointed.map(|part| Rc::new(labels::pointed_at(bench, bare, all, part)));
        (told.unwrap_or_else(|| all.clone()), OnceCell::new())
    });
    let (names, placer) = &*names;
    let tells = state.screen.help >= Help::Place;
    let told = (Kept(bench.clone()), Kept(solved.findings.clone()), least, tells);
    let marks = use_memo(told, |(Kept(bench), Kept(findings), least, tells)| {
        Rc::new(marks::draw(bench, if *tells { findings.as_slice() } else { &[] }, *least))
    });
    // Keys, findings and lists lead the cursor out of sight; where the pointer is, nothing moves.
    let pointed = use_mut_ref(|| None::<Hole>);
    {
        let (pointed, page, solved, place) = (pointed.clone(), page.clone(), solved.clone(), *place);
        use_effect_with(state.selection.cursor, move |&cursor| {
            let at = cursor.filter(|_| *pointed.borrow() != cursor);
            if let Some(at) = at.and_then(|hole| layout::hole(&solved.bench, hole)) {
                let next = follow(view, place, at);
                if next != view {
                    page.dispatch(Action::SetView(Some(next)));
                }
            }
        });
    }
    let point_at = {
        let page = page.clone();
        Callback::from(move |hole: Option<Hole>| {
            *pointed.borrow_mut() = hole;
            if hole != page.state.selection.cursor {
                page.dispatch(Action::Point(hole));
            }
        })
    };

    let onpointerdown = {
        let (svg, drag, page, solved) = (svg.clone(), drag.clone(), page.clone(), solved.clone());
        let (fingers, magnified, point_at) = (fingers.clone(), magnified.clone(), point_at.clone());
        let letting_go = letting_go.clone();
        Callback::from(move |event: PointerEvent| {
            if event.button() > 1 {
                return;
            }
            let Some(point) = at(&svg, client(&event)) else { return };
            // Not the event's current target: yew listens at the root of the page, which would then
            // have all further events of this pointer to itself.
            if let Some(board) = svg.cast::<web_sys::Element>() {
                let _ = board.set_pointer_capture(event.pointer_id());
            }
            // The keys work on the board from its first click on.
            event.prevent_default();
            board_focus::focus();
            let touch = event.pointer_type() == "touch";
            if touch {
                let mut fingers = fingers.borrow_mut();
                if event.is_primary() {
                    *fingers = Fingers::default();
                }
                fingers.all.push((event.pointer_id(), client(&event)));
                if fingers.all.len() > 1 {
                    let start = [fingers.all[0].1, fingers.all[1].1];
                    fingers.pinch = Pinch::new(view, scale(&svg), start, |place| at(&svg, place));
                    // The first finger's drag is off.
                    *drag.borrow_mut() = None;
                    magnified.set(None);
                    if matches!(page.state.selection.hand, Hand::Leg(_) | Hand::Whole { .. }) {
                        page.dispatch(Action::Escape);
                    }
                    return;
                }
            }
            let grip = if event.button() == 1 || event.alt_key() {
                Grip::Pan
            } else if page.state.selection.hand != Hand::Empty {
                Grip::Ground
            } else {
                match (meter::under(&solved.bench, point), hit::under(&solved.bench, point)) {
                    (Some(hit), _) => Grip::Meter(hit),
                    (_, Some(hit)) => Grip::Hit(hit),
                    _ if touch => Grip::Pan,
                    _ => Grip::Ground,
                }
            };
            let mut long = None;
            let more = event.shift_key() || event.ctrl_key();
            let pushed = match grip {
                Grip::Hit(Hit::Body(part)) if !more && page.state.springs_back(part) => Some(part),
                _ => None,
            };
            if let Some(part) = pushed {
                *letting_go.borrow_mut() = None;
                page.dispatch(Action::Push(part));
            } else if touch {
                point_at.emit(layout::nearest_hole(&solved.bench, point));
                if page.state.selection.hand == Hand::Empty {
                    let (drag, page, solved, place) =
                        (drag.clone(), page.clone(), solved.clone(), client(&event));
                    long = Some(after(LONG_PRESS, move || {
                        if end_by_menu(&drag) {
                            open_menu(&page, &solved, place, point);
                        }
                    }));
                } else {
                    magnified.set(Some((point, point, 1.0 / scale(&svg) as f32)));
                }
            }
            let start = client(&event);
            *drag.borrow_mut() = Some(Drag {
                grip,
                start,
                start_at: point,
                view,
                moved: false,
                touch,
                far: 0.0,
                begun: false,
                _long: long,
            });
        })
    };
    let onpointermove = {
        let place = *place;
        let (svg, drag, page, solved, marquee) =
            (svg.clone(), drag.clone(), page.clone(), solved.clone(), marquee.clone());
        let (fingers, magnified, point_at) = (fingers.clone(), magnified.clone(), point_at.clone());
        let turning = turning.clone();
        Callback::from(move |event: PointerEvent| {
            if event.pointer_type() == "touch" {
                let mut fingers = fingers.borrow_mut();
                let id = event.pointer_id();
                fingers.all.iter_mut().filter(|it| it.0 == id).for_each(|it| it.1 = client(&event));
                if let (Some(pinch), [a, b, ..]) = (fingers.pinch, fingers.all.as_slice()) {
                    page.dispatch(Action::SetView(Some(pinch.view([a.1, b.1], &solved.bench))));
                    return;
                }
            }
            let (x, y) = client(&event);
            let known = fingers.borrow().all.iter().any(|it| it.0 == event.pointer_id());
            if event.buttons() & 1 == 1
                && !known
                && page.state.selection.hand != Hand::Empty
                && drag.borrow().is_none()
            {
                // Taken hold of in the list and brought here.
                board_focus::focus();
                let touch = event.pointer_type() == "touch";
                let start_at = Point::new(0.0, 0.0);
                *drag.borrow_mut() = Some(Drag {
                    grip: Grip::Ground,
                    start: (x, y),
                    start_at,
                    view,
                    moved: true,
                    touch,
                    far: 0.0,
                    begun: true,
                    _long: None,
                });
            }
            let lifted = drag.borrow_mut().as_mut().map_or(0.0, |drag| {
                drag.far = drag.far.max((x - drag.start.0).abs() + (y - drag.start.1).abs());
                drag.lift()
            });
            let Some(point) = at(&svg, (x, y - lifted)) else { return };
            let aimed = aim(&solved, drag.borrow().as_ref(), &page.state.selection.hand, point);
            point_at.emit(layout::nearest_hole(&solved.bench, aimed));
            let mut drag = drag.borrow_mut();
            let Some(drag) = drag.as_mut() else { return };
            let first = !drag.moved && drag.far > 6.0;
            if first {
                drag.moved = true;
                drag._long = None;
                board_focus::hold(true);
                page.dispatch(Action::LetGo);
            }
            let places = page.state.selection.hand != Hand::Empty || matches!(drag.grip, Grip::Hit(_));
            if drag.touch && places && drag.grip != Grip::Done {
                let unit = 1.0 / scale(&svg) as f32;
                magnified.set(Some((Point::new(point.x, point.y + lifted as f32 * unit), point, unit)));
            }
            if !drag.moved {
                return;
            }
            match drag.grip {
                Grip::Meter(meter::Hit::Tip(which, red)) if first => {
                    page.dispatch(Action::Meter(Use::Hold(which, red)));
                }
                Grip::Meter(meter::Hit::Dial(which)) => {
                    turning
                        .set(Some((which, halfrow_draw::meter::dial_towards(&solved.bench, which, point))));
                }
                Grip::Hit(Hit::Leg(leg)) if first => page.dispatch(Action::Hold(Hand::Leg(leg))),
                Grip::Hit(Hit::Body(part)) if first && !layout::is_off_board(&solved.bench, part) => {
                    let from = layout::nearest_hole(&solved.bench, drag.start_at)
                        .or_else(|| solved.bench.part(part).legs.iter().find_map(|leg| leg.hole));
                    if let Some(from) = from {
                        page.dispatch(Action::Hold(Hand::Whole { part, from }));
                    }
                }
                // A wire is drawn from hole to hole: the first end goes down where the pointer came down.
                Grip::Ground
                    if !drag.begun && drag.far > reach(drag.touch) && lays(&page.state.selection.hand) =>
                {
                    drag.begun = true;
                    if let Some(start) = layout::nearest_hole(&solved.bench, drag.start_at) {
                        page.dispatch(Action::Press(start));
                        if solved.bench.occupant(start).is_some() {
                            drag.grip = Grip::Done;
                        }
                    }
                }
                Grip::Ground if page.state.selection.hand == Hand::Empty => {
                    marquee.set(Some((drag.start_at, point)))
                }
                Grip::Pan => {
                    let (dx, dy) = (point.x - drag.start_at.x, point.y - drag.start_at.y);
                    let now = sight(&solved.bench, page.state.screen.view, place);
                    page.dispatch(Action::SetView(Some((now.0 - dx, now.1 - dy, drag.view.2, drag.view.3))));
                }
                _ => {}
            }
        })
    };
    let onpointerup = {
        let (svg, drag, page, solved, marquee) =
            (svg.clone(), drag.clone(), page.clone(), solved.clone(), marquee.clone());
        let (fingers, magnified) = (fingers.clone(), magnified.clone());
        let turning = turning.clone();
        Callback::from(move |event: PointerEvent| {
            let mut all = fingers.borrow_mut();
            all.all.retain(|it| it.0 != event.pointer_id());
            all.pinch = None;
            magnified.set(None);
            if board_focus::is_held() {
                let page = page.clone();
                *following.borrow_mut() = Some(after_frame(move || {
                    board_focus::hold(false);
                    page.dispatch(Action::Point(page.state.selection.cursor));
                }));
            }
            let Some(drag) = drag.borrow_mut().take() else { return };
            if page.state.selection.pushed.is_some() {
                *letting_go.borrow_mut() = Some(let_go(&page));
                return;
            }
            let (x, y) = client(&event);
            let Some(point) = at(&svg, (x, y - drag.lift())) else { return };
            let aimed = aim(&solved, Some(&drag), &page.state.selection.hand, point);
            let hole = layout::nearest_hole(&solved.bench, aimed);
            let box_of = *marquee;
            marquee.set(None);
            turning.set(None);
            let more = event.shift_key() || event.ctrl_key();
            if let Grip::Meter(hit) = drag.grip {
                release_meter(&page, &solved, hit, (point, hole), drag.moved);
            } else if drag.moved {
                release(&page, &solved, &drag, hole, box_of);
            } else if page.state.selection.hand != Hand::Empty {
                let nowhere = || Action::Say("There’s no hole here, so it stays in your hand.".into());
                page.dispatch(hole.map_or_else(nowhere, Action::Press));
            } else {
                click(&page, &solved, (drag.grip, point), hole, more);
            }
        })
    };
    let onpointercancel = {
        let (fingers, drag, magnified, page) =
            (fingers.clone(), drag.clone(), magnified.clone(), page.clone());
        Callback::from(move |_: PointerEvent| {
            *fingers.borrow_mut() = Fingers::default();
            magnified.set(None);
            board_focus::hold(false);
            page.dispatch(Action::LetGo);
            if drag.borrow_mut().take().is_some_and(|drag| drag.moved)
                && page.state.selection.hand != Hand::Empty
            {
                page.dispatch(Action::Escape);
            }
        })
    };
    let oncontextmenu = {
        let (svg, drag, page, solved) = (svg.clone(), drag.clone(), page.clone(), solved.clone());
        Callback::from(move |event: MouseEvent| {
            event.prevent_default();
            // A finger that places something only takes its time, one on a button holds it.
            let placing = || page.state.selection.hand != Hand::Empty || !end_by_menu(&drag);
            if page.state.selection.pushed.is_some() || (drag.borrow().is_some() && placing()) {
                return;
            }
            let place = (f64::from(event.client_x()), f64::from(event.client_y()));
            if let Some(point) = at(&svg, place) {
                open_menu(&page, &solved, place, point);
            }
        })
    };
    let onpointerleave = {
        let page = page.clone();
        Callback::from(move |_: PointerEvent| {
            // The keys keep their place when the mouse goes elsewhere.
            if page.state.screen.sheet.is_none()
                && page.state.selection.hand == Hand::Empty
                && page.state.selection.cursor.is_some()
                && !board_focus::has_focus()
            {
                page.dispatch(Action::Point(None));
            }
        })
    };
    let onwheel = {
        let (svg, page, solved, place) = (svg.clone(), page.clone(), solved.clone(), *place);
        Callback::from(move |event: WheelEvent| {
            let now = sight(&solved.bench, page.state.screen.view, place);
            let Some(point) = at(&svg, (f64::from(event.client_x()), f64::from(event.client_y()))) else {
                return;
            };
            if event.ctrl_key() {
                event.prevent_default();
                let factor = if event.delta_y() > 0.0 { 1.12 } else { 1.0 / 1.12 };
                page.dispatch(Action::SetView(Some(zoomed(now, factor, point, &solved.bench))));
            } else {
                let step = now.2 / 900.0;
                let (dx, dy) = (event.delta_x() as f32 * step, event.delta_y() as f32 * step);
                let next = scrolled(now, place, &solved.bench, dx, dy);
                if next != now {
                    event.prevent_default();
                    page.dispatch(Action::SetView(Some(next)));
                }
            }
        })
    };

    let hidden = match &state.selection.hand {
        Hand::Leg(leg) if state.selection.cursor.is_some() => Some(leg.part),
        Hand::Whole { part, .. } => Some(*part),
        _ => None,
    };
    let ghost = cursor.filter(|_| state.selection.hand != Hand::Empty).map(|hole| {
        match put_down(bench, &state.selection.hand, &state.selection.chosen, hole) {
            Some(Ok((bench, part))) => {
                html! { <g class="ghost">{ shapes::view(&scene::ghost(&bench, part)) }</g> }
            }
            _ => overlays::refused(bench, hole),
        }
    });
    let view_box = format!("{} {} {} {}", view.0, view.1, view.2, view.3);
    html! {
        <svg ref={svg} class={classes!("board", tall.then_some("tall"))} viewBox={view_box} preserveAspectRatio="xMidYMid meet" aria-hidden="true"
            {onpointerdown} {onpointermove} {onpointerup} {onpointercancel} {oncontextmenu} {onpointerleave} {onwheel}>
            { pictures::definitions() }
            <g id="all-on-board">
                <Face boards={bench.boards.clone()} {least} />
                { overlays::under(state, cursor) }
                <Pictures key={state.clock.epoch.to_string()} page={page.steady()} {hidden} {least} />
                { meter::bodies(state, *turning) }
                <Names names={names.clone()} {least} />
                { ghost }
                <Drawn shapes={(*marks).clone()} />
                { overlays::moves(state, least) }
                { overlays::over(state, cursor, least, &|| placer.get_or_init(|| placed.0.with(names)).clone()) }
                { meter::leads(state, cursor) }
            </g>
            if let Some((finger, aim, unit)) = *magnified { { lens(finger, aim, unit, view) } }
            if let Some((a, b)) = *marquee {
                <rect class="marquee" x={n(a.x.min(b.x))} y={n(a.y.min(b.y))}
                    width={n((a.x - b.x).abs())} height={n((a.y - b.y).abs())} />
            }
        </svg>
    }
}

/// Where a drag leads: the pointer, or of a whole part the place of the hole that it is held by. The
/// pointer itself may be over the trench, where a body lies but no hole is.
fn aim(solved: &Solved, drag: Option<&Drag>, hand: &Hand, point: Point) -> Point {
    match (drag, hand) {
        (Some(drag), Hand::Whole { from, .. }) => layout::hole(&solved.bench, *from).map_or(point, |place| {
            Point::new(point.x + place.x - drag.start_at.x, point.y + place.y - drag.start_at.y)
        }),
        _ => point,
    }
}

/// Whether the first leg of a loose part is in hand.
fn lays(hand: &Hand) -> bool {
    matches!(hand, Hand::Part { card, legs, .. } if legs.is_empty() && !matches!(card.footprint, Footprint::Rigid { .. }))
}

/// Lets go of a place of a meter.
fn release_meter(
    page: &Handle,
    solved: &Rc<Solved>,
    hit: meter::Hit,
    (point, hole): (Point, Option<Hole>),
    moved: bool,
) {
    match hit {
        meter::Hit::Tip(..) if moved => match hole {
            Some(hole) => page.dispatch(Action::Press(hole)),
            None => page.dispatch(Action::Escape),
        },
        // A plug that was dragged goes where it is let go.
        meter::Hit::Socket(which, from) if moved => {
            let red = solved.bench.meters[which].red.socket == from;
            let held = red || solved.bench.meters[which].black.socket == from;
            if let (true, Some(meter::Hit::Socket(_, to))) = (held, meter::under(&solved.bench, point)) {
                page.dispatch(Action::Meter(Use::Plug(which, red, to)));
            }
        }
        hit => meter::let_go(page, hit, point),
    }
}

fn release(
    page: &Handle,
    solved: &Rc<Solved>,
    drag: &Drag,
    hole: Option<Hole>,
    area: Option<(Point, Point)>,
) {
    match (drag.grip, hole) {
        (Grip::Hit(_), Some(hole)) if page.state.selection.hand != Hand::Empty => {
            page.dispatch(Action::Press(hole));
            // Where it could not go down it stays where it was: a drag ends when the button is let go.
            page.dispatch(Action::Escape);
        }
        (Grip::Hit(Hit::Leg(leg)), None) => {
            page.dispatch(Action::Escape);
            page.dispatch(Action::PutLeg(leg, None));
        }
        (Grip::Hit(_), None) => page.dispatch(Action::Escape),
        (Grip::Ground, hole) => {
            if let Some((a, b)) = area {
                let inside = |p: Point| {
                    (a.x.min(b.x)..=a.x.max(b.x)).contains(&p.x)
                        && (a.y.min(b.y)..=a.y.max(b.y)).contains(&p.y)
                };
                let parts = (0..solved.bench.parts.len())
                    .filter(|&i| inside(layout::centre(&solved.bench, PartIx(i))));
                page.dispatch(Action::ChooseThese(parts.collect()));
            } else if let Some(hole) = hole {
                page.dispatch(Action::Press(hole));
            }
        }
        _ => {}
    }
}

fn click(page: &Handle, solved: &Rc<Solved>, (grip, at): (Grip, Point), hole: Option<Hole>, more: bool) {
    match grip {
        Grip::Hit(Hit::Leg(leg)) if !more => {
            if let Some(hole) = solved.bench.part(leg.part).legs[leg.pin].hole {
                page.dispatch(Action::Press(hole));
            }
        }
        // A switch that is worked need not be chosen: nothing else shall move.
        Grip::Hit(Hit::Body(part)) if !more && solved.bench.part(part).card.group == Group::Switch => {
            let bench = &solved.bench;
            if bench.part(part).card.contacts.len() > 2 {
                // Of several switches in one case, the one under the pointer.
                let legs = bench.part(part).legs.iter().filter_map(|leg| leg.hole);
                let far =
                    |hole: &Hole| layout::hole(bench, *hole).map_or(f32::INFINITY, |it| it.distance(at));
                page.dispatch(Action::Point(legs.min_by(|a, b| far(a).total_cmp(&far(b)))));
            }
            page.dispatch(Action::Work(part));
        }
        Grip::Hit(Hit::Leg(LegId { part, .. }) | Hit::Body(part)) => {
            page.dispatch(Action::Choose(part, more));
        }
        _ => match hole {
            Some(hole) => page.dispatch(Action::Press(hole)),
            None => page.dispatch(Action::ChooseThese(Default::default())),
        },
    }
}
