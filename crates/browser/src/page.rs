//! A tab: opened, read, waited for, typed into. The pointer is in [`crate::pointer`].

use crate::keyboard;
use crate::watch::Sight;
use crate::wire::{Result, Trouble, Wire, patience};
use serde_json::{Value, json};
use std::path::Path;
use std::time::{Duration, Instant};

/// What slows every page down: `HALFROW_SLOWER=10 cargo xtask test --only e2e` runs the tests as on a
/// machine ten times slower.
pub const SLOWER: &str = "HALFROW_SLOWER";

/// How many times slower every page is to run; 1 unless the environment says otherwise.
fn slower() -> Result<f64> {
    let Ok(word) = std::env::var(SLOWER) else { return Ok(1.0) };
    match word.parse() {
        Ok(times) if times >= 1.0 => Ok(times),
        _ => Err(Trouble(format!("{SLOWER} needs a number from 1 up, not {word}"))),
    }
}

/// An open tab.
pub struct Page {
    pub(crate) wire: Wire,
    pub(crate) sight: Sight,
    /// How many times slower the processor is made.
    rate: f64,
}

impl Page {
    pub(crate) fn attach(wire: Wire) -> Result<Self> {
        let mut page = Self { wire, sight: Sight::default(), rate: 1.0 };
        for domain in ["Page", "Runtime", "Log", "Network"] {
            page.wire.ask(&format!("{domain}.enable"), json!({}))?;
        }
        // Every tab believes that it is in front, so that two of them can be used in turn.
        page.wire.ask("Emulation.setFocusEmulationEnabled", json!({ "enabled": true }))?;
        page.throttle(1.0)?;
        Ok(page)
    }

    /// Makes the processor this many times slower than the tests run at anyway; 1 is as they do.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn throttle(&mut self, times: f64) -> Result {
        self.rate = times * slower()?;
        self.slow_down()
    }

    /// Asks for the processor's rate. A process of its own that the browser gives to the next page knows nothing
    /// of it: it is asked for again after each load.
    fn slow_down(&mut self) -> Result {
        self.wire.ask("Emulation.setCPUThrottlingRate", json!({ "rate": self.rate })).map(drop)
    }

    /// Waits until the page has been drawn this many times: what an event sets off in the page has
    /// then been done, however long the machine took.
    ///
    /// # Errors
    /// When the page goes away meanwhile.
    pub fn pictures(&mut self, count: u32) -> Result {
        self.evaluate(&format!(
            "(async () => {{ for (let i = 0; i < {count}; i++) \
             await new Promise((done) => requestAnimationFrame(() => setTimeout(done))); }})()"
        ))
        .map(drop)
    }

    /// Lets the page draw what a hand has just done, so that what is read next is what a person sees.
    /// Where the hand led to another page there is nothing left to wait for.
    pub(crate) fn settle(&mut self) {
        let _ = self.pictures(1);
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
            self.wire.await_event("Page.loadEventFired", seen, patience())?;
            self.slow_down()?;
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
        self.wire.await_event("Page.loadEventFired", seen, patience())?;
        self.slow_down()
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

    /// Waits until an expression is true, or a promise of something true.
    ///
    /// # Errors
    /// When it is not within [`patience`].
    pub fn wait_for(&mut self, condition: &str) -> Result {
        let start = Instant::now();
        loop {
            // While a page loads, the expression may well throw; that is a "not yet".
            let last = self.evaluate(&format!("(async () => Boolean(await ({condition})))()"));
            if matches!(&last, Ok(Value::Bool(true))) {
                return Ok(());
            }
            if start.elapsed() > patience() {
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

    /// Lets the page be for a while.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn rest(&mut self, time: Duration) -> Result {
        self.wire.listen(time)
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
        self.settle();
        Ok(())
    }

    /// Types a text into whatever has the focus, a key for each character.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn type_text(&mut self, text: &str) -> Result {
        for letter in text.chars() {
            let key = if letter == '\n' { "Enter".to_owned() } else { letter.to_string() };
            for event in keyboard::stroke(&key)? {
                self.wire.ask("Input.dispatchKeyEvent", event)?;
            }
        }
        self.settle();
        Ok(())
    }

    /// Puts a text into a field in place of what is there, and leaves the field by Tab.
    ///
    /// # Errors
    /// When there is no such field.
    pub fn fill(&mut self, selector: &str, text: &str) -> Result {
        self.on(selector, "(element.focus(), element.select(), true)")?;
        self.type_text(text)?;
        self.keys("Tab")
    }

    /// Puts a text into a cell in place of what is there, and presses a key.
    ///
    /// # Errors
    /// When there is no such cell.
    pub fn on_cell(&mut self, selector: &str, text: &str, key: &str) -> Result {
        self.on(selector, "(element.focus(), element.select(), true)")?;
        self.type_text(text)?;
        self.keys(key)
    }

    /// Clicks on what opens the file chooser and chooses a file there.
    ///
    /// # Errors
    /// When no chooser opens.
    pub fn choose_file(&mut self, opener: &str, file: &Path) -> Result {
        let intercept = |enabled: bool| json!({ "enabled": enabled });
        self.wire.ask("Page.setInterceptFileChooserDialog", intercept(true))?;
        let seen = self.wire.events().len();
        self.click(opener)?;
        let chooser = self.wire.await_event("Page.fileChooserOpened", seen, patience())?;
        let choice = json!({ "files": [file], "backendNodeId": chooser["backendNodeId"] });
        self.wire.ask("DOM.setFileInputFiles", choice)?;
        self.wire.ask("Page.setInterceptFileChooserDialog", intercept(false)).map(drop)
    }

    pub(crate) fn on(&mut self, selector: &str, expression: &str) -> Result<Value> {
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
