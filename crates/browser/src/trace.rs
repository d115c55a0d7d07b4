//! What the browser itself writes down of its work: events with their times by the clock on the wall and by
//! the thread's own, which stands while the thread waits or another process has the processor.

use std::time::Duration;

use serde_json::{Value, json};

use crate::page::Page;
use crate::wire::{Result, Trouble};

/// Longest wait for the browser to hand its notes over.
const NOTES: Duration = Duration::from_secs(60);

/// A piece of work of one thread.
#[derive(Clone, Debug)]
pub struct Note {
    /// What the browser calls it.
    pub name: String,
    /// Of an event of the page, its type; else empty.
    pub kind: String,
    /// When it began by the clock on the wall, and how long it took, milliseconds.
    pub at: f64,
    /// See `at`.
    pub took: f64,
    /// The same by the thread's own clock.
    pub worked_at: f64,
    /// See `worked_at`.
    pub worked: f64,
}

impl Note {
    /// When it ended, by the clock on the wall.
    pub fn end(&self) -> f64 {
        self.at + self.took
    }

    /// When it ended, by the thread's own clock.
    pub fn worked_end(&self) -> f64 {
        self.worked_at + self.worked
    }
}

impl Page {
    /// Lets the browser write down what it does, until [`Page::end_notes`].
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn begin_notes(&mut self) -> Result {
        let wanted = json!({
            "transferMode": "ReportEvents",
            "traceConfig": { "includedCategories": ["devtools.timeline", "disabled-by-default-devtools.timeline", "toplevel"] },
        });
        self.wire.ask("Tracing.start", wanted).map(drop)
    }

    /// What the page's main thread has done since [`Page::begin_notes`], in the order in which it began.
    ///
    /// # Errors
    /// When the browser hands nothing over.
    pub fn end_notes(&mut self) -> Result<Vec<Note>> {
        let seen = self.wire.events().len();
        self.wire.ask("Tracing.end", json!({}))?;
        self.wire.await_event("Tracing.tracingComplete", seen, NOTES)?;
        let collected = self.wire.take_events("Tracing.dataCollected");
        let events: Vec<&Value> =
            collected.iter().filter_map(|it| it["value"].as_array()).flatten().collect();
        let thread = |it: &Value| (it["pid"].as_i64(), it["tid"].as_i64());
        // Of the threads, the one that tells the page of pointers.
        let own = events.iter().find(|it| it["name"] == "EventDispatch").map(|it| thread(it));
        let own = own.ok_or_else(|| Trouble("the browser noted no event of the page".into()))?;
        let mut notes: Vec<Note> = events
            .into_iter()
            .filter(|it| it["ph"] == "X" && thread(it) == own)
            .map(|it| {
                let millis = |key: &str| it[key].as_f64().unwrap_or(0.0) / 1000.0;
                Note {
                    name: it["name"].as_str().unwrap_or_default().to_owned(),
                    kind: it["args"]["data"]["type"].as_str().unwrap_or_default().to_owned(),
                    at: millis("ts"),
                    took: millis("dur"),
                    worked_at: millis("tts"),
                    worked: millis("tdur"),
                }
            })
            .collect();
        notes.sort_by(|a, b| a.at.total_cmp(&b.at));
        Ok(notes)
    }

    /// Lets the browser look many times a millisecond which function is at work, until
    /// [`Page::end_profile`].
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn begin_profile(&mut self) -> Result {
        self.wire.ask("Profiler.enable", json!({}))?;
        self.wire.ask("Profiler.setSamplingInterval", json!({ "interval": 200 }))?;
        self.wire.ask("Profiler.start", json!({})).map(drop)
    }

    /// The functions that were found at work, with the share of the looks, most often first.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn end_profile(&mut self) -> Result<Vec<(String, f64)>> {
        let answer = self.wire.ask("Profiler.stop", json!({}))?;
        let mut found: Vec<(String, f64)> = Vec::new();
        for node in answer["profile"]["nodes"].as_array().into_iter().flatten() {
            let name = node["callFrame"]["functionName"].as_str().unwrap_or_default();
            let hits = node["hitCount"].as_f64().unwrap_or(0.0);
            if ["(idle)", "(program)", "(root)"].contains(&name) {
                continue;
            }
            match found.iter_mut().find(|it| it.0 == name) {
                Some(it) => it.1 += hits,
                None => found.push((name.to_owned(), hits)),
            }
        }
        let all: f64 = found.iter().map(|it| it.1).sum();
        found.iter_mut().for_each(|it| it.1 /= all.max(1.0));
        found.sort_by(|a, b| b.1.total_cmp(&a.1));
        Ok(found)
    }
}
