//! Fingers on the board: one that places something has a magnifier, one on a button holds it.

use halfrow_core::shape::{Point, n};
use yew::prelude::*;

use crate::model::gesture::Lens;
use crate::model::state::{Action, View};
use crate::platform::page::{Timer, after};
use crate::ui::page::Handle;

/// Half the width of the magnifier, in pixels.
const RADIUS: f32 = 56.0;
/// Its middle is this far from the finger, in pixels: the finger hides none of it.
const AWAY: f32 = 126.0;

/// How long a button stays pressed after it is let go, in milliseconds: the clock looks at the bench once
/// a picture, and a tap can be shorter than that.
pub const LEAST_PUSH: i32 = 60;

/// Lets go of the button that is held, unless it is pressed again before.
pub fn let_go(page: &Handle) -> Timer {
    let page = page.clone();
    after(LEAST_PUSH, move || page.dispatch(Action::LetGo))
}

/// The magnifier over a finger: what is around the point that it aims at, twice as large.
pub fn lens(&Lens { finger, aim, unit }: &Lens, view: View) -> Html {
    let (away, r) = (AWAY * unit, RADIUS * unit);
    let centre = if finger.y - away - r > view.1 {
        Point::new(finger.x, finger.y - away)
    } else if finger.x - away - r > view.0 {
        // Near the upper edge it stands beside the finger.
        Point::new(finger.x - away, finger.y)
    } else {
        Point::new(finger.x + away, finger.y)
    };
    let (x, y, radius) = (n(centre.x), n(centre.y), n(r));
    let larger = format!("translate({x} {y}) scale(2) translate({} {})", -aim.x, -aim.y);
    let arm = 7.0 * unit;
    let cross = format!("M{} {y}h{}M{x} {}v{}", centre.x - arm, 2.0 * arm, centre.y - arm, 2.0 * arm);
    html! {
        <g class="lens">
            <clipPath id="lens-edge"><circle cx={x.clone()} cy={y.clone()} r={radius.clone()} /></clipPath>
            <g clip-path="url(#lens-edge)">
                <circle class="lens-ground" cx={x.clone()} cy={y.clone()} r={radius.clone()} />
                <@{"use"} href="#all-on-board" transform={larger} />
            </g>
            <circle class="lens-rim" cx={x} cy={y} r={radius} stroke-width={n(2.0 * unit)} />
            <path class="lens-cross" d={cross} stroke-width={n(1.5 * unit)} />
        </g>
    }
}
