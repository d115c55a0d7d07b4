//! The board: picture, overlays and the pointer.

use std::cell::OnceCell;
use std::rc::Rc;

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::board::Hole;
use halfrow_core::shape::{Point, Shape, n};
use halfrow_draw::labels::{self, Label, Placer};
use halfrow_draw::{board, layout, marks, scene};
use yew::prelude::*;

use crate::board::meter;
use crate::board::overlays;
use crate::board::pictures::{self, Drawn, Face, Names, Pictures};
use crate::board::pointer::{Gestures, use_gestures};
use crate::board::room::use_room;
use crate::board::touch::lens;
use crate::model::guide;
use crate::model::sight::{Room, filled, follow, least_type, resized, sight};
use crate::model::state::{Action, Hand, Help, Preview, State, View, preview};
use crate::paper::printed as paper;
use crate::ui::page::Handle;
use crate::ui::shapes;
use crate::ui::spans::Span;

/// Something that is the same as long as nobody has changed it.
struct Kept<T>(Rc<T>);

impl<T> PartialEq for Kept<T> {
    fn eq(&self, other: &Kept<T>) -> bool {
        Rc::ptr_eq(&self.0, &other.0)
    }
}

/// What finds room on a bench without names, and its names as none is pointed at.
type Placed = (Placer, Rc<Vec<Label>>);

/// The names of the parts with what finds room beside them, which is made when it is first asked for.
type Written = (Rc<Vec<Label>>, OnceCell<Placer>);

/// Where the names of the parts stand.
#[hook]
fn use_names(state: &State, least: f32) -> (Rc<Placed>, Rc<Written>) {
    let bench = &state.document.solved.bench;
    // Where labels are short, one at a time is told in full; nothing moves out of the way of what is dragged.
    let cursor = state.selection.cursor.filter(|_| state.selection.hand == Hand::Empty);
    let pointed = cursor.and_then(|hole| bench.occupant(hole)).map(|leg| leg.part);
    let pointed = pointed.or_else(|| state.only_chosen()).filter(|_| least > labels::WITH_VALUE);
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
    (placed, names)
}

/// The marks of the findings.
#[hook]
fn use_marks(state: &State, least: f32) -> Rc<Vec<Shape>> {
    let solved = &state.document.solved;
    let tells = state.screen.help >= Help::Place && !guide::told(state).is_empty();
    let told = (Kept(solved.bench.clone()), Kept(solved.findings.clone()), least, tells);
    use_memo(told, |(Kept(bench), Kept(findings), least, tells)| {
        marks::draw(bench, if *tells { findings.as_slice() } else { &[] }, *least)
    })
}

/// Keys, findings and lists lead the cursor out of sight: the view follows. Where the pointer is, nothing
/// moves.
#[hook]
fn use_follow(page: &Handle, gestures: &Gestures, view: View, room: Room) {
    let (gestures, page) = (gestures.clone(), page.clone());
    use_effect_with(page.state.selection.cursor, move |&cursor: &Option<Hole>| {
        let at = cursor.filter(|_| gestures.pointed() != cursor);
        if let Some(at) = at.and_then(|hole| layout::hole(page.state.bench(), hole)) {
            let next = follow(view, room, at);
            if next != view {
                page.dispatch(Action::SetView(Some(next)));
            }
        }
    });
}

/// In another room what is in sight stays as large as it was: a phone that is turned, a window that is pulled.
#[hook]
fn use_resized(page: &Handle, room: Room) {
    let (page, before) = (page.clone(), use_mut_ref(|| room));
    use_effect_with(room, move |_| {
        let was = before.replace(room);
        if let Some(view) = page.state.screen.view.filter(|_| was != room && was.0 > 0.0) {
            page.dispatch(Action::SetView(Some(resized(view, was, room, page.state.bench()))));
        }
    });
}

/// What is in hand, where it would go down.
fn ghost(state: &State, cursor: Option<Hole>) -> Html {
    let Preview { placed, lead, refused } = preview(state, cursor);
    html! {
        <>
            if let Some((bench, part)) = placed {
                <g class="ghost">{ shapes::view(&scene::ghost(&bench, part)) }</g>
            }
            if let Some(d) = lead.and_then(|(from, to)| overlays::lead(state.bench(), from, to)) {
                <path class="ghost-lead" {d} />
            }
            { refused.map(|hole| overlays::refused(state.bench(), hole)) }
        </>
    }
}

/// The area whose parts are being chosen.
fn marquee((a, b): (Point, Point)) -> Html {
    html! {
        <rect class="marquee" x={n(a.x.min(b.x))} y={n(a.y.min(b.y))}
            width={n((a.x - b.x).abs())} height={n((a.y - b.y).abs())} />
    }
}

/// The part that is not drawn since it is in hand.
fn hidden(state: &State) -> Option<PartIx> {
    match &state.selection.hand {
        Hand::Leg(leg) if state.selection.cursor.is_some() => Some(leg.part),
        Hand::Whole { part, .. } => Some(*part),
        _ => None,
    }
}

/// The letters and the rails' signs, where the board's own are out of sight.
fn header(bench: &Bench, view: View, room: Room, least: f32) -> Html {
    let top = filled(view, room).1;
    html! { <g class="header">{ shapes::view(&board::header(bench, top, least)) }</g> }
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
    let bench = &state.document.solved.bench;
    let svg = use_node_ref();
    let room = use_room(&svg);
    let (paper, tall) = paper::view(bench);
    let view = if props.printing { paper } else { sight(bench, state.screen.view, room) };
    let least = if props.printing { paper::TYPE } else { least_type(view, room) };
    let cursor = state.selection.cursor.filter(|_| !props.printing);
    let (placed, written) = use_names(state, least);
    let (names, placer) = &*written;
    let marks = use_marks(state, least);
    let gestures = use_gestures(page, &svg, room);
    use_follow(page, &gestures, view, room);
    use_resized(page, room);
    let hidden = hidden(state);
    // Always one piece: what comes and goes would move its neighbours, and yew would make them all again.
    let in_hand = state.selection.hand != Hand::Empty && !props.printing;
    let ghost = if in_hand { ghost(state, cursor) } else { Html::default() };
    let view_box = format!("{} {} {} {}", view.0, view.1, view.2, view.3);
    html! {
        <svg ref={svg} class={classes!("board", tall.then_some("tall"))} viewBox={view_box} preserveAspectRatio="xMidYMid meet" aria-hidden="true"
            onpointerdown={gestures.down()} onpointermove={gestures.moves()} onpointerup={gestures.up()} onpointercancel={gestures.cancel()}
            oncontextmenu={gestures.menu()} onpointerleave={gestures.leave()} onwheel={gestures.wheel()}>
            { pictures::definitions() }
            <g id="all-on-board">
                <Face boards={bench.boards.clone()} {least} />
                { overlays::under(state, cursor) }
                <Pictures key={state.clock.epoch.to_string()} page={page.steady()} {hidden} {least} />
                { meter::bodies(state, gestures.turning()) }
                <Names names={names.clone()} {least} />
                { ghost }
                <Drawn shapes={marks} />
                { overlays::moves(state, least) }
                { overlays::over(state, cursor, least, &|| placer.get_or_init(|| placed.0.with(names)).clone()) }
                { meter::leads(state, cursor) }
            </g>
            if !props.printing { { header(bench, view, room, least) } }
            if let Some(it) = gestures.lens() { { lens(&it, filled(view, room)) } }
            if let Some(corners) = gestures.marquee() { { marquee(corners) } }
        </svg>
    }
}
