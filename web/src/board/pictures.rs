//! The drawings on the board, each drawn again only when what it depends on changes.

use std::rc::Rc;

use halfrow_core::bench::{Bench, PartIx};
use halfrow_core::board::{Board, BoardKind};
use halfrow_core::shape::{GLOWS, Shape};
use halfrow_draw::labels::{self, Label};
use halfrow_draw::scene;
use yew::prelude::*;

use crate::model::state::Solved;
use crate::platform::page::{AfterFrame, after_frame};
use crate::run::watchers;
use crate::ui::hooks::use_when;
use crate::ui::page::Handle;
use crate::ui::shapes;
use crate::ui::spans::Span;

/// The bare boards: drawn again only when the boards themselves change.
#[derive(Properties, PartialEq)]
pub struct FaceProps {
    /// The boards.
    pub boards: Vec<Board>,
    /// The smallest type, in units.
    pub least: f32,
}

/// See [`FaceProps`].
#[component]
pub fn Face(props: &FaceProps) -> Html {
    let bench = Bench { boards: props.boards.clone(), ..Bench::new(BoardKind::Half) };
    html! { <g>{ shapes::view(&scene::boards(&bench, props.least)) }</g> }
}

/// What changes seldom and is much: names, marks. Drawn again only when it is another.
#[derive(Properties)]
pub struct DrawnProps {
    /// The drawing.
    pub shapes: Rc<Vec<Shape>>,
}

impl PartialEq for DrawnProps {
    fn eq(&self, other: &DrawnProps) -> bool {
        // Another bench may have the same names.
        Rc::ptr_eq(&self.shapes, &other.shapes) || *self.shapes == *other.shapes
    }
}

/// See [`DrawnProps`].
#[component]
pub fn Drawn(props: &DrawnProps) -> Html {
    html! { <g>{ shapes::view(&props.shapes) }</g> }
}

/// Pictures that are drawn at once: what people build. More of them would take longer than a frame.
const AT_ONCE: usize = 64;

/// How many more each frame after.
const A_FRAME: usize = 32;

/// Properties of [`Pictures`].
#[derive(Properties, PartialEq)]
pub struct PicturesProps {
    /// The page's state, whatever is pointed at.
    pub page: Handle,
    /// The part that is in hand and not where it was.
    pub hidden: Option<PartIx>,
    /// The smallest type, in units.
    pub least: f32,
}

/// The looks of all parts of a bench at a point; the same as long as both are.
struct Known(Rc<Solved>);

impl PartialEq for Known {
    fn eq(&self, other: &Known) -> bool {
        Rc::ptr_eq(&self.0.bench, &other.0.bench) && Rc::ptr_eq(&self.0.point, &other.0.point)
    }
}

/// All parts on the board, without their names.
#[component]
pub fn Pictures(PicturesProps { page, hidden, least }: &PicturesProps) -> Html {
    let _span = Span::new("draw");
    let state = &page.state;
    let solved = state.document.solved.clone();
    let looks = use_memo(Known(solved.clone()), |Known(solved)| {
        let all = (0..solved.bench.parts.len()).map(PartIx);
        all.map(|ix| Rc::new(scene::looks(&solved.bench, &solved.point, ix))).collect::<Vec<_>>()
    });
    let order = scene::order(&solved.bench);
    let (drawn, next) = (use_state_eq(|| AT_ONCE), use_mut_ref(|| None::<AfterFrame>));
    {
        let (drawn, next) = (drawn.clone(), next.clone());
        let more = order.len() > *drawn;
        use_when(
            *drawn as u64 * 2 + u64::from(more),
            Box::new(move || {
                if more {
                    let upto = *drawn + A_FRAME;
                    *next.borrow_mut() = Some(after_frame(move || drawn.set(upto)));
                }
            }),
        );
    }
    let pictures = order.into_iter().take(*drawn).filter(|&ix| Some(ix) != *hidden).map(|ix| {
        let key = solved.bench.part(ix).id.clone();
        html! { <Picture {key} solved={solved.clone()} {ix} looks={looks[ix.0].clone()} chosen={state.stands_out(ix)} least={*least} /> }
    });
    html! { <g>{ for pictures }</g> }
}

/// Properties of [`Names`].
#[derive(Properties)]
pub struct NamesProps {
    /// The names and where they stand.
    pub names: Rc<Vec<Label>>,
    /// The smallest type, in units.
    pub least: f32,
}

impl PartialEq for NamesProps {
    fn eq(&self, other: &NamesProps) -> bool {
        self.least == other.least && (Rc::ptr_eq(&self.names, &other.names) || self.names == other.names)
    }
}

/// The names of the parts.
#[component]
pub fn Names(NamesProps { names, least }: &NamesProps) -> Html {
    let _span = Span::new("draw");
    // A name begins with the part's own, so that no two are alike.
    let names = names
        .iter()
        .map(|name| html! { <Name key={name.words.clone()} name={name.clone()} least={*least} /> });
    html! { <g>{ for names }</g> }
}

/// Properties of a name beside its part.
#[derive(Properties, PartialEq)]
pub struct NameProps {
    name: Label,
    least: f32,
}

/// One of them: drawn again only when it is another or stands elsewhere.
#[component]
fn Name(NameProps { name, least }: &NameProps) -> Html {
    shapes::view(&labels::draw(std::slice::from_ref(name), *least))
}

/// How many pictures of a part are kept: a lamp that fades has some thirty looks, one that blinks two.
const KNOWN_LOOKS: usize = 6;

/// One part's picture: drawn again only when what it depends on changes.
#[derive(Properties)]
pub struct PictureProps {
    /// The bench.
    pub solved: Rc<Solved>,
    /// The part.
    pub ix: PartIx,
    /// What it looks like.
    pub looks: Rc<scene::Looks>,
    /// Whether it is chosen.
    pub chosen: bool,
    /// The smallest type, in units.
    pub least: f32,
}

impl PartialEq for PictureProps {
    /// The bench may have changed elsewhere: only the part's own looks count.
    fn eq(&self, other: &PictureProps) -> bool {
        let same_looks = || Rc::ptr_eq(&self.looks, &other.looks) || self.looks == other.looks;
        self.chosen == other.chosen && self.least == other.least && same_looks()
    }
}

/// See [`PictureProps`].
#[component]
pub fn Picture(props: &PictureProps) -> Html {
    // Between two drawings of the page the clock tells a picture alone that it looks different; what it
    // was told holds until the page tells it anything else.
    let told = use_mut_ref(|| None::<scene::Looks>);
    let by_page = use_mut_ref(|| props.looks.clone());
    if *by_page.borrow() != props.looks {
        by_page.borrow_mut().clone_from(&props.looks);
        told.take();
    }
    let id = props.solved.bench.part(props.ix).id.clone();
    let draw = use_force_update();
    {
        let told = told.clone();
        use_effect_with(id, move |id| {
            let tell = move |looks| {
                told.replace(Some(looks));
                draw.force_update();
            };
            watchers::watch(id, Callback::from(tell));
            let id = id.clone();
            move || watchers::unwatch(&id)
        });
    }
    let told = told.borrow();
    let looks = told.as_ref().unwrap_or(&*props.looks);
    // A lamp that blinks has two looks that come again and again.
    let known = use_mut_ref(Vec::<(scene::Looks, Html)>::new);
    let mut known = known.borrow_mut();
    let type_of = use_mut_ref(|| 0.0);
    if type_of.replace(props.least) != props.least {
        known.clear();
    }
    let bench = &props.solved.bench;
    let body = match known.iter().find(|(own, _)| own == looks) {
        Some((_, picture)) => picture.clone(),
        None => {
            let body = shapes::legible(&scene::part(bench, props.ix, looks), props.least);
            if known.len() >= KNOWN_LOOKS {
                known.clear();
            }
            known.push((looks.clone(), body.clone()));
            body
        }
    };
    // Figures are those of the page's readings, to the moment.
    let label = shapes::view(&scene::shelf_label(bench, props.ix, &props.looks, props.least));
    // The label stays outside of what is lifted out as chosen: a halo would blur it.
    html! { <><g class={props.chosen.then_some("chosen")}>{ body }</g>{ label }</> }
}

/// What several shapes refer to: glows and hatchings.
pub fn definitions() -> Html {
    let glows = GLOWS.iter().map(|(name, colour)| {
        html! {
            <radialGradient id={format!("glow-{name}")}>
                <stop offset="0.25" stop-color={*colour} stop-opacity="0.9" />
                <stop offset="1" stop-color={*colour} stop-opacity="0" />
            </radialGradient>
        }
    });
    html! {
        <defs>
            { for glows }
            <pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
                <rect width="6" height="6" class="hatch-ground" />
                <rect width="2" height="6" class="hatch-line" />
            </pattern>
        </defs>
    }
}
