//! The page as a whole: what it said, asked for and looks like, to eyes and to a screen reader.

use crate::page::{Page, described};
use crate::wire::{Result, Trouble, patience, trouble};
use serde_json::{Value, json};
use std::path::Path;
use std::time::Duration;

/// A node of the accessibility tree, as a screen reader meets it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Node {
    /// Its role: `button`, `grid`, `StaticText`.
    pub role: String,
    /// Its name.
    pub name: String,
    /// Its value, for fields and sliders; else empty.
    pub value: String,
    /// What describes it further; else empty.
    pub description: String,
}

/// A rule of axe-core that the page breaks.
#[derive(Debug, Clone)]
pub struct Violation {
    /// The rule's short name.
    pub rule: String,
    /// What it asks for.
    pub help: String,
    /// Selectors of the elements that break it.
    pub places: Vec<String>,
}

/// Times moves of the pointer. The task after the animation frame's callbacks runs when layout and
/// paint of that frame are done.
const STOPWATCH: &str = "(() => {
    const listen = (event) => {
        const frame = new MessageChannel();
        frame.port1.onmessage = () => halfrowMoved(String(performance.now() - event.timeStamp));
        requestAnimationFrame(() => frame.port2.postMessage(0));
    };
    addEventListener('pointermove', listen, { capture: true });
    addEventListener('pointerup', () => removeEventListener('pointermove', listen, { capture: true }), { once: true });
})()";

/// How the page is shown at present.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Sight {
    look: Look,
    less_motion: bool,
    paper: bool,
}

/// How the page is looked at.
#[derive(Default, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// The device prefers light.
    #[default]
    Light,
    /// The device prefers dark.
    Dark,
    /// The system forces its own colours.
    Forced,
}

impl Page {
    /// What the console and the browser's log hold of errors, uncaught exceptions included.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn errors(&mut self) -> Result<Vec<String>> {
        self.wire.listen(Duration::from_millis(100))?;
        let errors = self.wire.events().iter().filter_map(|(name, event)| match name.as_str() {
            "Runtime.exceptionThrown" => Some(described(&event["exceptionDetails"])),
            "Runtime.consoleAPICalled" if event["type"] == "error" || event["type"] == "assert" => {
                let words = event["args"].as_array().into_iter().flatten();
                let said =
                    words.map(|word| word["value"].as_str().or(word["description"].as_str()).unwrap_or("?"));
                Some(said.collect::<Vec<_>>().join(" "))
            }
            "Log.entryAdded" if event["entry"]["level"] == "error" => {
                Some(format!("{} {}", event["entry"]["text"], event["entry"]["url"]))
            }
            _ => None,
        });
        Ok(errors.collect())
    }

    /// Every address that the page has asked for.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn requests(&mut self) -> Result<Vec<String>> {
        self.wire.listen(Duration::from_millis(100))?;
        let sent = self.wire.events().iter().filter(|(name, _)| name == "Network.requestWillBeSent");
        Ok(sent.filter_map(|(_, event)| event["request"]["url"].as_str().map(str::to_owned)).collect())
    }

    /// Every address that the page has asked another host for. What the page itself holds (`data:`,
    /// `blob:`) is no request.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn foreign_requests(&mut self) -> Result<Vec<String>> {
        let origin = self.evaluate("location.origin")?;
        let own = format!("{}/", origin.as_str().unwrap_or_default());
        let inside =
            |url: &str| url.starts_with(&own) || url.starts_with("data:") || url.starts_with("blob:");
        Ok(self.requests()?.into_iter().filter(|url| !inside(url)).collect())
    }

    /// The accessibility tree in reading order, without nodes that a screen reader skips.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn tree(&mut self) -> Result<Vec<Node>> {
        let answer = self.wire.ask("Accessibility.getFullAXTree", json!({}))?;
        let nodes =
            answer["nodes"].as_array().ok_or_else(|| Trouble("there is no accessibility tree".into()))?;
        let by_id: std::collections::HashMap<&str, &Value> =
            nodes.iter().filter_map(|node| Some((node["nodeId"].as_str()?, node))).collect();
        let mut found = Vec::new();
        let mut open: Vec<&Value> = nodes.iter().filter(|node| node.get("parentId").is_none()).collect();
        while let Some(node) = open.pop() {
            if node["ignored"] != true {
                let word = |field: &str| match &node[field]["value"] {
                    Value::String(text) => text.clone(),
                    Value::Null => String::new(),
                    other => other.to_string(),
                };
                found.push(Node {
                    role: word("role"),
                    name: word("name"),
                    value: word("value"),
                    description: word("description"),
                });
            }
            let children = node["childIds"].as_array().into_iter().flatten();
            open.extend(children.rev().filter_map(|id| by_id.get(id.as_str()?)));
        }
        Ok(found)
    }

    /// Runs axe-core, given as the path of its `axe.min.js`, on the whole page.
    ///
    /// # Errors
    /// When axe-core is not there or fails.
    pub fn axe(&mut self, script: &Path) -> Result<Vec<Violation>> {
        let source =
            std::fs::read_to_string(script).map_err(trouble("reading axe-core (npm ci in tests/e2e)"))?;
        self.evaluate(&format!("{source}; undefined"))?;
        let answer = self.evaluate(
            "axe.run(document, { resultTypes: ['violations'] }).then(({ violations, passes }) => ({ passes: passes.length, \
             violations: violations.map(({ id, help, nodes }) => [id, help, nodes.map((n) => n.target.join(' '))]) }))",
        )?;
        // A run that has nothing to praise has looked at nothing.
        if answer["passes"].as_u64().unwrap_or(0) == 0 {
            return Err(Trouble("axe-core did not check a single rule".into()));
        }
        let violations = answer["violations"].as_array().into_iter().flatten();
        let word = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        Ok(violations
            .map(|found| Violation {
                rule: word(&found[0]),
                help: word(&found[1]),
                places: found[2].as_array().into_iter().flatten().map(word).collect(),
            })
            .collect())
    }

    /// Sets the size of the window in CSS pixels.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn resize(&mut self, width: u32, height: u32) -> Result {
        let size = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
        self.wire.ask("Emulation.setDeviceMetricsOverride", size)?;
        // The board follows the window's size a picture later.
        self.pictures(2)
    }

    /// Sets light, dark or forced colours.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn look(&mut self, look: Look) -> Result {
        self.sight.look = look;
        self.show_media()
    }

    /// Sets whether the user asks for less motion.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn less_motion(&mut self, less: bool) -> Result {
        self.sight.less_motion = less;
        self.show_media()
    }

    /// Shows the page as it would be printed, or on the screen again.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn on_paper(&mut self, paper: bool) -> Result {
        self.sight.paper = paper;
        self.show_media()
    }

    fn show_media(&mut self) -> Result {
        let Sight { look, less_motion, paper } = self.sight;
        let feature = |name: &str, value: &str| json!({ "name": name, "value": value });
        let media = json!({
            "media": if paper { "print" } else { "" },
            "features": [
                feature("prefers-color-scheme", if look == Look::Dark { "dark" } else { "light" }),
                feature("forced-colors", if look == Look::Forced { "active" } else { "none" }),
                feature("prefers-reduced-motion", if less_motion { "reduce" } else { "no-preference" }),
            ],
        });
        self.wire.ask("Emulation.setEmulatedMedia", media).map(drop)
    }

    /// Presses at the first point of the window, carries over all others, lets go, and gives for
    /// each move the milliseconds from the pointer's event to the frame after: what a person waits
    /// until the picture follows the hand.
    ///
    /// Chromium hands moves to the page once a frame, so that up to 17 ms of each are its own.
    ///
    /// # Errors
    /// When the page draws no frame for a move.
    pub fn time_moves(&mut self, points: &[(f64, f64)]) -> Result<Vec<f64>> {
        let Some((first, rest)) = points.split_first() else { return Ok(Vec::new()) };
        self.hold(first.0, first.1)?;
        // The page reports each time by itself: asking for it would take time from what is timed.
        self.wire.ask("Runtime.addBinding", json!({ "name": "halfrowMoved" }))?;
        self.evaluate(STOPWATCH)?;
        let mut times = Vec::new();
        for point in rest {
            let seen = self.wire.events().len();
            self.carry(point.0, point.1)?;
            let report = self.wire.await_event("Runtime.bindingCalled", seen, patience())?;
            let time = report["payload"].as_str().and_then(|text| text.parse().ok());
            times.push(time.ok_or_else(|| Trouble("the page reported no time".into()))?);
        }
        let last = rest.last().unwrap_or(first);
        self.release(last.0, last.1)?;
        self.wire.ask("Runtime.removeBinding", json!({ "name": "halfrowMoved" }))?;
        Ok(times)
    }

    /// Takes the network away from the page or gives it back. A service worker keeps its own line:
    /// to cut that too, stop the server.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn offline(&mut self, offline: bool) -> Result {
        let conditions =
            json!({ "offline": offline, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1 });
        self.wire.ask("Network.emulateNetworkConditions", conditions).map(drop)
    }

    /// Runs a script in every page that opens from now on, before the page's own.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn before_each_page(&mut self, script: &str) -> Result {
        self.wire.ask("Page.addScriptToEvaluateOnNewDocument", json!({ "source": script })).map(drop)
    }

    /// Sets the size of text that the person has chosen in the browser, pixels; 16 is what most have.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn text_size(&mut self, pixels: u32) -> Result {
        let sizes = json!({ "fontSizes": { "standard": pixels, "fixed": pixels * 13 / 16 } });
        self.wire.ask("Page.setFontSizes", sizes)?;
        self.pictures(2)
    }

    /// Red, green and blue (0 to 255) of what is in sight along lines of pixels of the window: for each line,
    /// from where to where, a list of as many colours as it has pixels.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn colours(&mut self, lines: &[[f64; 4]]) -> Result<Vec<Vec<[f64; 3]>>> {
        let answer = self.wire.ask("Page.captureScreenshot", json!({ "format": "png" }))?;
        let picture = json!(format!("data:image/png;base64,{}", answer["data"].as_str().unwrap_or_default()));
        let script = format!(
            "(async () => {{ const image = new Image(); image.src = {picture}; await image.decode(); \
             const canvas = new OffscreenCanvas(image.width, image.height), pen = canvas.getContext('2d'); pen.drawImage(image, 0, 0); \
             return {}.map(([x, y, to, down]) => {{ const far = Math.max(Math.abs(to - x), Math.abs(down - y)); \
               return Array.from({{ length: Math.floor(far) + 1 }}, (_, i) => [...pen.getImageData(x + (to - x) * i / far, y + (down - y) * i / far, 1, 1).data].slice(0, 3)); }}); }})()",
            json!(lines)
        );
        let found = self.evaluate(&script)?;
        let colour = |it: &serde_json::Value| std::array::from_fn(|at| it[at].as_f64().unwrap_or(f64::NAN));
        let line = |it: &serde_json::Value| it.as_array().into_iter().flatten().map(colour).collect();
        Ok(found.as_array().into_iter().flatten().map(line).collect())
    }

    /// What is in sight, as a PNG.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn screenshot(&mut self) -> Result<Vec<u8>> {
        let answer = self.wire.ask("Page.captureScreenshot", json!({ "format": "png" }))?;
        let text = answer["data"].as_str().unwrap_or_default();
        data_encoding::BASE64.decode(text.as_bytes()).map_err(trouble("reading the screenshot"))
    }
}
