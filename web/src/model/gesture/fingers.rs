//! What fingers on the board mean: two zoom and move it, one that moves aims above itself.

use halfrow_core::bench::Bench;
use halfrow_core::shape::Point;

use super::Projection;
use crate::model::sight::zoomed;
use crate::model::state::View;

/// How far above a finger the cursor comes to stand, in pixels: a fingertip hides about this much.
const LIFT: f64 = 44.0;

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
    pub fn new(view: View, projection: &Projection, start: [(f64, f64); 2]) -> Pinch {
        Pinch { view, scale: projection.scale.0, about: projection.point(middle(start)), start }
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
