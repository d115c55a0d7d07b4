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

/// Where the middle of the magnifier stands: above the finger, beside it near the upper edge, and never so
/// that an edge of the board's place cuts it.
fn lens_place(finger: Point, unit: f32, (x, y, width, height): View) -> Point {
    let (away, r) = (AWAY * unit, (RADIUS + 2.0) * unit);
    let within = |at: f32, low: f32, long: f32| at.min(low + long - r).max(low + r);
    if finger.y - away - r > y {
        return Point::new(within(finger.x, x, width), finger.y - away);
    }
    let side = if finger.x - away - r > x { -away } else { away };
    Point::new(within(finger.x + side, x, width), within(finger.y, y, height))
}

/// The magnifier over a finger: what is around the point that it aims at, twice as large.
pub fn lens(&Lens { finger, aim, unit }: &Lens, view: View) -> Html {
    let r = RADIUS * unit;
    let centre = lens_place(finger, unit, view);
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_magnifier_is_never_cut_off_and_never_under_the_finger() {
        // A phone's board at two zooms, and the narrowest that a page magnified four times leaves.
        for (view, unit) in [
            ((-86.0, -22.0, 392.0, 420.0), 1.09),
            ((40.0, 100.0, 180.0, 190.0), 0.5),
            ((0.0, 0.0, 300.0, 190.0), 1.0),
        ] {
            for (right, down) in (0..21).flat_map(|right| (0..21).map(move |down| (right, down))) {
                let share = |step: i32, long: f32| step as f32 / 20.0 * long;
                let finger = Point::new(view.0 + share(right, view.2), view.1 + share(down, view.3));
                let at = lens_place(finger, unit, view);
                let r = RADIUS * unit;
                assert!(at.x - r >= view.0 && at.x + r <= view.0 + view.2, "{finger:?}: {at:?}");
                assert!(at.y - r >= view.1 && at.y + r <= view.1 + view.3, "{finger:?}: {at:?}");
                assert!(at.distance(finger) > r, "{finger:?}: {at:?}");
            }
        }
    }
}
