//! Fingers on the board: two zoom and move it, one that places something has a magnifier, one on a button
//! holds it.

use halfrow_core::bench::Bench;
use halfrow_core::shape::{Point, n};
use yew::prelude::*;

use crate::page::Handle;
use crate::platform::page::{Timer, after};
use crate::sight::zoomed;
use crate::state::{Action, View};

/// How far above a finger the cursor comes to stand, in pixels: a fingertip hides about this much.
const LIFT: f64 = 44.0;
/// Half the width of the magnifier, in pixels.
const RADIUS: f32 = 56.0;
/// Its middle is this far from the finger, in pixels: the finger hides none of it.
const AWAY: f32 = 126.0;

/// How long a button stays pressed after it is let go, in milliseconds: the clock looks at the bench once
/// a picture, and a tap can be shorter than that.
const LEAST_PUSH: i32 = 60;

/// Lets go of the button that is held, unless it is pressed again before.
pub fn let_go(page: &Handle) -> Timer {
    let page = page.clone();
    after(LEAST_PUSH, move || page.dispatch(Action::LetGo))
}

/// How far above a finger the cursor stands once the finger has come `far` from where it touched: a
/// tap hits what it touches, a finger that moves sees where it aims.
pub fn lift(far: f64) -> f64 {
    (far - 6.0).clamp(0.0, LIFT)
}

/// How far a pointer goes from where it came down until that place counts as the beginning of a wire, in
/// pixels: a finger aims first.
pub fn reach(touch: bool) -> f64 {
    if touch { LIFT + 6.0 } else { 6.0 }
}

/// Two fingers, and the view when the second came.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pinch {
    /// The view then.
    pub view: View,
    /// Pixels of the window for a unit of the drawing then.
    pub scale: f64,
    /// The point of the drawing between the fingers then.
    pub about: Point,
    /// Where the fingers were, in the window.
    pub start: [(f64, f64); 2],
}

fn middle([a, b]: [(f64, f64); 2]) -> (f64, f64) {
    ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0)
}

impl Pinch {
    /// The view for fingers that are here now: what was between them still is.
    pub fn view(&self, now: [(f64, f64); 2], bench: &Bench) -> View {
        let apart = |[a, b]: [(f64, f64); 2]| {
            let (x, y) = (a.0 - b.0, a.1 - b.1);
            (x * x + y * y).sqrt().max(1.0)
        };
        let factor = apart(self.start) / apart(now);
        let view = zoomed(self.view, factor as f32, self.about, bench);
        let unit = view.2 / self.view.2 / self.scale as f32;
        let (from, to) = (middle(self.start), middle(now));
        (view.0 - (to.0 - from.0) as f32 * unit, view.1 - (to.1 - from.1) as f32 * unit, view.2, view.3)
    }

    /// Two fingers that have just come together.
    pub fn new(
        view: View,
        scale: f64,
        start: [(f64, f64); 2],
        at: impl Fn((f64, f64)) -> Option<Point>,
    ) -> Option<Pinch> {
        Some(Pinch { view, scale, about: at(middle(start))?, start })
    }
}

/// The magnifier over a finger: what is around the point that it aims at, twice as large. `unit` is
/// what a pixel measures in the drawing.
pub fn lens(finger: Point, aim: Point, unit: f32, view: View) -> Html {
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

#[cfg(test)]
mod tests {
    use super::*;
    use halfrow_core::board::BoardKind;

    #[test]
    fn what_is_between_two_fingers_stays_between_them() {
        let bench = Bench::new(BoardKind::Half);
        let pinch = Pinch {
            view: (0.0, 0.0, 400.0, 600.0),
            scale: 1.5,
            about: Point::new(100.0, 200.0),
            start: [(100.0, 300.0), (200.0, 300.0)],
        };
        for (now, about_at) in [
            ([(50.0, 300.0), (250.0, 300.0)], (150.0, 300.0)),
            ([(110.0, 320.0), (210.0, 320.0)], (160.0, 320.0)),
            ([(150.0, 250.0), (150.0, 400.0)], (150.0, 325.0)),
        ] {
            let view = pinch.view(now, &bench);
            let scale = 1.5 * 400.0 / view.2;
            let at = ((100.0 - view.0) * scale, (200.0 - view.1) * scale);
            assert!((at.0 - about_at.0).abs() < 0.01 && (at.1 - about_at.1).abs() < 0.01, "{now:?}: {at:?}");
        }
        assert!((pinch.view([(50.0, 300.0), (250.0, 300.0)], &bench).2 - 200.0).abs() < 0.01);
    }

    #[test]
    fn a_tap_hits_what_it_touches_and_a_moving_finger_sees_its_aim() {
        for (far, lifted) in [(0.0, 0.0), (6.0, 0.0), (26.0, 20.0), (300.0, LIFT)] {
            assert_eq!(lift(far), lifted);
        }
    }
}
