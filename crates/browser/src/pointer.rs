//! Mouse, wheel and touch.
//!
//! Places come in three kinds: the middle of an element, a point from an element's top left corner
//! in CSS pixels (`_at`), and a point in a drawing's own coordinates (`_in`), which stays the same
//! however the drawing is zoomed and scrolled.

use crate::page::Page;
use crate::wire::{Result, Trouble};
use serde_json::{Value, json};

/// Steps of a drag. A hand gives more; fewer would jump over what lies between.
const DRAG_STEPS: u32 = 10;

impl Page {
    /// Clicks in the middle of an element.
    ///
    /// # Errors
    /// When there is none.
    pub fn click(&mut self, selector: &str) -> Result {
        let (x, y) = self.middle(selector)?;
        self.click_point(x, y)
    }

    /// Clicks at a point given from the element's top left corner, in CSS pixels.
    ///
    /// # Errors
    /// When there is no such element.
    pub fn click_at(&mut self, selector: &str, right: f64, down: f64) -> Result {
        let [left, top, ..] = self.place(selector)?;
        self.click_point(left + right, top + down)
    }

    /// Clicks at a point of a drawing, in its own coordinates.
    ///
    /// # Errors
    /// When there is no such SVG element, or the point is out of sight.
    pub fn click_in(&mut self, selector: &str, x: f64, y: f64) -> Result {
        let (x, y) = self.point_in(selector, x, y)?;
        self.click_point(x, y)
    }

    /// Clicks at a point of the window.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn click_point(&mut self, x: f64, y: f64) -> Result {
        self.press(x, y, "left", 1)
    }

    /// Clicks twice in the middle of an element.
    ///
    /// # Errors
    /// When there is none.
    pub fn double_click(&mut self, selector: &str) -> Result {
        let (x, y) = self.middle(selector)?;
        self.press(x, y, "left", 1)?;
        self.press(x, y, "left", 2)
    }

    /// Clicks with the right button at a point of the window.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn right_click_point(&mut self, x: f64, y: f64) -> Result {
        self.press(x, y, "right", 1)
    }

    /// Drags between two points of an element given from its top left corner, and lets go.
    ///
    /// # Errors
    /// When there is no such element.
    pub fn drag(&mut self, selector: &str, from: (f64, f64), to: (f64, f64)) -> Result {
        let [left, top, ..] = self.place(selector)?;
        self.drag_points((left + from.0, top + from.1), (left + to.0, top + to.1))
    }

    /// Drags between two points of a drawing, in its own coordinates, and lets go.
    ///
    /// # Errors
    /// When there is no such SVG element, or a point is out of sight.
    pub fn drag_in(&mut self, selector: &str, from: (f64, f64), to: (f64, f64)) -> Result {
        let from = self.point_in(selector, from.0, from.1)?;
        let to = self.point_in(selector, to.0, to.1)?;
        self.drag_points(from, to)
    }

    /// Drags between two points of the window, in ten steps, and lets go.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn drag_points(&mut self, from: (f64, f64), to: (f64, f64)) -> Result {
        self.hover(from.0, from.1)?;
        self.mouse("mousePressed", from, "left", 1)?;
        for step in 1..=DRAG_STEPS {
            let part = f64::from(step) / f64::from(DRAG_STEPS);
            let point = (from.0 + (to.0 - from.0) * part, from.1 + (to.1 - from.1) * part);
            self.mouse("mouseMoved", point, "left", 1)?;
        }
        self.release(to.0, to.1)
    }

    /// Moves the pointer over a point of the window.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn hover(&mut self, x: f64, y: f64) -> Result {
        self.mouse("mouseMoved", (x, y), "none", 0)
    }

    /// Presses the left button at a point of the window and keeps it down.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn hold(&mut self, x: f64, y: f64) -> Result {
        self.hover(x, y)?;
        self.mouse("mousePressed", (x, y), "left", 1)
    }

    /// Moves the pointer with the left button down.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn carry(&mut self, x: f64, y: f64) -> Result {
        self.mouse("mouseMoved", (x, y), "left", 1)
    }

    /// Lets the left button go.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn release(&mut self, x: f64, y: f64) -> Result {
        self.mouse("mouseReleased", (x, y), "left", 1)?;
        self.settle();
        Ok(())
    }

    /// Turns the wheel over a point of the window: pixels to the right and down, with the modifier
    /// bits of the protocol (2 is Control).
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn wheel(&mut self, (x, y): (f64, f64), (right, down): (f64, f64), modifiers: u8) -> Result {
        let turn = json!({
            "type": "mouseWheel", "x": x, "y": y, "deltaX": right, "deltaY": down, "modifiers": modifiers,
        });
        self.wire.ask("Input.dispatchMouseEvent", turn).map(drop)
    }

    /// Touches a point of an element, given from its top left corner, and lets go.
    ///
    /// # Errors
    /// When there is no such element.
    pub fn tap_at(&mut self, selector: &str, right: f64, down: f64) -> Result {
        let [left, top, ..] = self.place(selector)?;
        self.touch_path(&[(left + right, top + down)])
    }

    /// Touches a point of a drawing, in its own coordinates, and lets go.
    ///
    /// # Errors
    /// When there is no such SVG element, or the point is out of sight.
    pub fn tap_in(&mut self, selector: &str, x: f64, y: f64) -> Result {
        let point = self.point_in(selector, x, y)?;
        self.touch_path(&[point])
    }

    /// Puts a finger down at the first point of the window, moves it over the others, lifts it.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn touch_path(&mut self, points: &[(f64, f64)]) -> Result {
        for (place, &point) in points.iter().enumerate() {
            self.touch(if place == 0 { "touchStart" } else { "touchMove" }, &[point])?;
        }
        self.touch("touchEnd", &[])?;
        self.settle();
        Ok(())
    }

    /// Makes the screen one that is touched, with a style sheet's coarse pointer.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn touch_screen(&mut self) -> Result {
        self.emulate_touch()?;
        self.pictures(2)
    }

    fn emulate_touch(&mut self) -> Result {
        let touch = json!({ "enabled": true, "maxTouchPoints": 2 });
        self.wire.ask("Emulation.setTouchEmulationEnabled", touch).map(drop)
    }

    /// One event of the fingers that are down: `touchStart`, `touchMove` or `touchEnd`, with the places
    /// in the window of all that are down after it.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn touch(&mut self, kind: &str, fingers: &[(f64, f64)]) -> Result {
        self.emulate_touch()?;
        let points: Vec<Value> =
            fingers.iter().enumerate().map(|(id, (x, y))| json!({ "x": x, "y": y, "id": id })).collect();
        self.wire.ask("Input.dispatchTouchEvent", json!({ "type": kind, "touchPoints": points })).map(drop)
    }

    /// Where a point of a drawing, in its own coordinates, is in the window.
    ///
    /// # Errors
    /// When there is no such SVG element, or the point is out of sight, where a click would hit
    /// nothing.
    pub fn point_in(&mut self, selector: &str, x: f64, y: f64) -> Result<(f64, f64)> {
        let script = format!(
            "(p => [p.x, p.y, innerWidth, innerHeight])(new DOMPoint({x}, {y}).matrixTransform(element.getScreenCTM()))"
        );
        let found = self.on(selector, &script)?;
        let [x_there, y_there, width, height] =
            std::array::from_fn(|place| found[place].as_f64().unwrap_or(f64::NAN));
        if (0.0..width).contains(&x_there) && (0.0..height).contains(&y_there) {
            return Ok((x_there, y_there));
        }
        Err(Trouble(format!(
            "({x}, {y}) in {selector} is out of sight: at ({x_there:.0}, {y_there:.0}) of a window of {width} by {height}"
        )))
    }

    fn middle(&mut self, selector: &str) -> Result<(f64, f64)> {
        let [left, top, width, height] = self.place(selector)?;
        Ok((left + width / 2.0, top + height / 2.0))
    }

    fn press(&mut self, x: f64, y: f64, button: &str, count: u8) -> Result {
        self.hover(x, y)?;
        self.mouse("mousePressed", (x, y), button, count)?;
        self.mouse("mouseReleased", (x, y), button, count)?;
        self.settle();
        Ok(())
    }

    fn mouse(&mut self, kind: &str, (x, y): (f64, f64), button: &str, count: u8) -> Result {
        let held = match (kind, button) {
            ("mouseReleased", _) | (_, "none") => 0,
            (_, "right") => 2,
            _ => 1,
        };
        let event = json!({
            "type": kind, "x": x, "y": y, "button": button, "buttons": held, "clickCount": count,
        });
        self.wire.ask("Input.dispatchMouseEvent", event).map(drop)
    }
}
