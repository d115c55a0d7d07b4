//! A tab, used with pointer and keys.

use crate::keyboard;
use crate::wire::{Result, Trouble, Wire};
use serde_json::{Value, json};
use std::time::{Duration, Instant};

/// Longest wait for the page to do what a test expects of it.
pub const PATIENCE: Duration = Duration::from_secs(20);

/// An open tab.
pub struct Page {
    pub(crate) wire: Wire,
}

impl Page {
    pub(crate) fn attach(wire: Wire) -> Result<Self> {
        let mut page = Self { wire };
        for domain in ["Page", "Runtime", "Log", "Network"] {
            page.wire.ask(&format!("{domain}.enable"), json!({}))?;
        }
        Ok(page)
    }

    /// Goes to an address and waits for the page's `load`.
    ///
    /// # Errors
    /// When it cannot be reached.
    pub fn open(&mut self, address: &str) -> Result {
        let seen = self.wire.events().len();
        let answer = self.wire.ask("Page.navigate", json!({ "url": address }))?;
        if let Some(error) = answer["errorText"].as_str() {
            return Err(Trouble(format!("{address}: {error}")));
        }
        // Going to another fragment of the same page loads nothing.
        if answer.get("loaderId").is_some() {
            self.wire.await_event("Page.loadEventFired", seen, PATIENCE)?;
        }
        Ok(())
    }

    /// Closes the tab.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn close(mut self) -> Result {
        self.wire.ask("Page.close", json!({})).map(drop)
    }

    /// Loads the page again, as the reload button does.
    ///
    /// # Errors
    /// When it does not load.
    pub fn reload(&mut self) -> Result {
        let seen = self.wire.events().len();
        self.wire.ask("Page.reload", json!({}))?;
        self.wire.await_event("Page.loadEventFired", seen, PATIENCE)?;
        Ok(())
    }

    /// The value of a JavaScript expression; a promise is waited for.
    ///
    /// # Errors
    /// When it throws, with what it threw.
    pub fn evaluate(&mut self, script: &str) -> Result<Value> {
        let mut answer = self.wire.ask(
            "Runtime.evaluate",
            json!({ "expression": script, "awaitPromise": true, "returnByValue": true, "userGesture": true }),
        )?;
        match answer.get("exceptionDetails") {
            None => Ok(answer["result"]["value"].take()),
            Some(details) => Err(Trouble(described(details))),
        }
    }

    /// Waits until an expression is true.
    ///
    /// # Errors
    /// When it is not within [`PATIENCE`].
    pub fn wait_for(&mut self, condition: &str) -> Result {
        let start = Instant::now();
        loop {
            // While a page loads, the expression may well throw; that is a "not yet".
            let last = self.evaluate(&format!("Boolean({condition})"));
            if matches!(&last, Ok(Value::Bool(true))) {
                return Ok(());
            }
            if start.elapsed() > PATIENCE {
                let why = last.err().map(|error| format!(" ({error})")).unwrap_or_default();
                return Err(Trouble(format!("waited in vain for {condition}{why}")));
            }
            self.wire.listen(Duration::from_millis(30))?;
        }
    }

    /// Waits for the page to be live: wasm runs and has put the page in place.
    ///
    /// # Errors
    /// When it does not start.
    pub fn wait_until_live(&mut self) -> Result {
        self.wait_for("performance.getEntriesByName('halfrow-ready').length && !document.querySelector('#app .skeleton')")
    }

    /// How many elements the selector finds.
    ///
    /// # Errors
    /// When the selector makes no sense.
    pub fn count(&mut self, selector: &str) -> Result<usize> {
        let count = self.evaluate(&format!("document.querySelectorAll({}).length", json!(selector)))?;
        Ok(usize::try_from(count.as_u64().unwrap_or(0)).unwrap_or(0))
    }

    /// The text of the first element that the selector finds, as it is seen.
    ///
    /// # Errors
    /// When there is none.
    pub fn text(&mut self, selector: &str) -> Result<String> {
        let text = self.on(selector, "element.innerText ?? element.textContent")?;
        Ok(text.as_str().unwrap_or_default().to_owned())
    }

    /// An attribute of the first element that the selector finds.
    ///
    /// # Errors
    /// When there is no such element.
    pub fn attribute(&mut self, selector: &str, name: &str) -> Result<Option<String>> {
        let value = self.on(selector, &format!("element.getAttribute({})", json!(name)))?;
        Ok(value.as_str().map(str::to_owned))
    }

    /// Where the first element that the selector finds is, in CSS pixels of the window: left, top,
    /// width, height. Scrolls it into sight first.
    ///
    /// # Errors
    /// When there is none.
    pub fn place(&mut self, selector: &str) -> Result<[f64; 4]> {
        let script = "(element.scrollIntoViewIfNeeded(), (r => [r.x, r.y, r.width, r.height])(element.getBoundingClientRect()))";
        let value = self.on(selector, script)?;
        Ok(std::array::from_fn(|i| value[i].as_f64().unwrap_or(f64::NAN)))
    }

    /// Clicks in the middle of an element.
    ///
    /// # Errors
    /// When there is none.
    pub fn click(&mut self, selector: &str) -> Result {
        let [left, top, width, height] = self.place(selector)?;
        self.click_point(left + width / 2.0, top + height / 2.0)
    }

    /// Clicks at a point given from the element's top left corner, in CSS pixels.
    ///
    /// # Errors
    /// When there is no such element.
    pub fn click_at(&mut self, selector: &str, right: f64, down: f64) -> Result {
        let [left, top, ..] = self.place(selector)?;
        self.click_point(left + right, top + down)
    }

    /// Clicks at a point of the window.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn click_point(&mut self, x: f64, y: f64) -> Result {
        self.pointer("mouseMoved", x, y, false)?;
        self.pointer("mousePressed", x, y, true)?;
        self.pointer("mouseReleased", x, y, false)
    }

    /// Drags from one point of an element to another, in ten steps, and lets go.
    ///
    /// # Errors
    /// When there is no such element.
    pub fn drag(&mut self, selector: &str, from: (f64, f64), to: (f64, f64)) -> Result {
        let [left, top, ..] = self.place(selector)?;
        self.pointer("mouseMoved", left + from.0, top + from.1, false)?;
        self.pointer("mousePressed", left + from.0, top + from.1, true)?;
        for step in 1..=10 {
            let part = f64::from(step) / 10.0;
            let x = from.0 + (to.0 - from.0) * part;
            let y = from.1 + (to.1 - from.1) * part;
            self.pointer("mouseMoved", left + x, top + y, true)?;
        }
        self.pointer("mouseReleased", left + to.0, top + to.1, false)
    }

    /// Moves the pointer over a point of the window.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn hover(&mut self, x: f64, y: f64) -> Result {
        self.pointer("mouseMoved", x, y, false)
    }

    /// Touches a point of an element and lets go.
    ///
    /// # Errors
    /// When there is no such element.
    pub fn tap_at(&mut self, selector: &str, right: f64, down: f64) -> Result {
        let [left, top, ..] = self.place(selector)?;
        let touch = |kind: &str, points: Value| json!({ "type": kind, "touchPoints": points });
        self.wire.ask("Emulation.setTouchEmulationEnabled", json!({ "enabled": true }))?;
        let points = json!([{ "x": left + right, "y": top + down }]);
        self.wire.ask("Input.dispatchTouchEvent", touch("touchStart", points))?;
        self.wire.ask("Input.dispatchTouchEvent", touch("touchEnd", json!([])))?;
        Ok(())
    }

    /// Presses keys one after the other, named with spaces between: `"Tab Tab Enter Control+z"`.
    ///
    /// # Errors
    /// For a name that is no key.
    pub fn keys(&mut self, names: &str) -> Result {
        for name in names.split_whitespace() {
            for event in keyboard::stroke(name)? {
                self.wire.ask("Input.dispatchKeyEvent", event)?;
            }
        }
        Ok(())
    }

    /// Types a text into whatever has the focus, a key for each character.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn type_text(&mut self, text: &str) -> Result {
        for letter in text.chars() {
            for event in keyboard::stroke(&letter.to_string())? {
                self.wire.ask("Input.dispatchKeyEvent", event)?;
            }
        }
        Ok(())
    }

    fn pointer(&mut self, kind: &str, x: f64, y: f64, held: bool) -> Result {
        let button = if kind == "mouseMoved" && !held { "none" } else { "left" };
        let parameters = json!({
            "type": kind, "x": x, "y": y, "button": button, "buttons": u8::from(held), "clickCount": 1,
        });
        self.wire.ask("Input.dispatchMouseEvent", parameters).map(drop)
    }

    fn on(&mut self, selector: &str, expression: &str) -> Result<Value> {
        let quoted = json!(selector);
        self.evaluate(&format!(
            "(() => {{ const element = document.querySelector({quoted}); \
             if (!element) throw new Error('nothing matches ' + {quoted}); return {expression}; }})()"
        ))
    }
}

/// What an exception said, in a line or a few.
pub(crate) fn described(details: &Value) -> String {
    let exception = &details["exception"];
    let said = exception["description"].as_str().or_else(|| exception["value"].as_str());
    said.or_else(|| details["text"].as_str()).unwrap_or("an exception").to_owned()
}
