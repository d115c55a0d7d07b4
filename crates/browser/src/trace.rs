//! What the browser itself writes down of its work: events with their times by the clock on the wall and by
//! the thread's own, which stands while the thread waits or another process has the processor.

use std::collections::HashMap;
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

    /// The functions that were found at work: with the share of the looks at each, and the share of those at
    /// what it called too; most often within first.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn end_profile(&mut self) -> Result<Vec<(String, f64, f64)>> {
        let answer = self.wire.ask("Profiler.stop", json!({}))?;
        let nodes: Vec<&serde_json::Value> =
            answer["profile"]["nodes"].as_array().into_iter().flatten().collect();
        let place: HashMap<u64, usize> =
            nodes.iter().enumerate().filter_map(|(at, node)| Some((node["id"].as_u64()?, at))).collect();
        let mut parent = vec![None; nodes.len()];
        for (at, node) in nodes.iter().enumerate() {
            for child in node["children"].as_array().into_iter().flatten() {
                if let Some(&child) = child.as_u64().and_then(|id| place.get(&id)) {
                    parent[child] = Some(at);
                }
            }
        }
        let name = |at: usize| nodes[at]["callFrame"]["functionName"].as_str().unwrap_or_default();
        let mut found: HashMap<&str, (f64, f64)> = HashMap::new();
        let mut all = 0.0;
        for (at, node) in nodes.iter().enumerate() {
            let hits = node["hitCount"].as_f64().unwrap_or(0.0);
            if hits == 0.0 || ["(idle)", "(program)", "(root)"].contains(&name(at)) {
                continue;
            }
            all += hits;
            found.entry(name(at)).or_default().0 += hits;
            let mut on_stack: Vec<&str> =
                std::iter::successors(Some(at), |&at| parent[at]).map(name).collect();
            on_stack.sort_unstable();
            on_stack.dedup();
            for name in on_stack {
                found.entry(name).or_default().1 += hits;
            }
        }
        let share = |hits: f64| hits / f64::max(all, 1.0);
        let mut found: Vec<(String, f64, f64)> = found
            .into_iter()
            .map(|(name, (own, within))| (name.to_owned(), share(own), share(within)))
            .collect();
        found.sort_by(|a, b| b.2.total_cmp(&a.2).then(a.0.cmp(&b.0)));
        Ok(found)
    }
}
