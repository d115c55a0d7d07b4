//! One tab's line to Chromium: commands go out, answers and events come back.
//!
//! The DevTools protocol is JSON over a WebSocket; its commands are documented at
//! <https://chromedevtools.github.io/devtools-protocol/>.

use serde_json::{Value, json};
use std::fmt;
use std::io::ErrorKind;
use std::net::{Ipv4Addr, TcpStream};
use std::sync::OnceLock;
use std::time::{Duration, Instant};
use tungstenite::{Message, WebSocket, client};

/// The one ceiling of all waits: for the browser to start, for an answer, for the page to do what a
/// test expects. Nothing is measured by it. It only ends a test whose browser hangs, and is long
/// enough for a machine ten times slower than a small laptop. `HALFROW_PATIENCE`, in seconds, shortens it
/// for who works on a test.
pub fn patience() -> Duration {
    static SECONDS: OnceLock<u64> = OnceLock::new();
    let asked = || std::env::var("HALFROW_PATIENCE").ok().and_then(|it| it.parse().ok());
    Duration::from_secs(*SECONDS.get_or_init(|| asked().unwrap_or(300)))
}

/// What went wrong between the test and the browser.
#[derive(Debug)]
pub struct Trouble(pub String);

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Trouble {}

/// What everything here hands back.
pub type Result<T = ()> = std::result::Result<T, Trouble>;

/// Makes a [`Trouble`] out of another error, with what was being done.
pub(crate) fn trouble<E: fmt::Display>(doing: &str) -> impl FnOnce(E) -> Trouble {
    move |error| Trouble(format!("{doing}: {error}"))
}

/// An open line.
pub struct Wire {
    socket: WebSocket<TcpStream>,
    next: u64,
    events: Vec<(String, Value)>,
}

impl Wire {
    /// Opens the line at the port and path that Chromium names.
    ///
    /// # Errors
    /// When nobody answers.
    pub fn open(port: u16, path: &str) -> Result<Self> {
        let stream = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).map_err(trouble("reaching Chromium"))?;
        // Short, so that waiting for events can look at the clock in between.
        let pause = Some(Duration::from_millis(20));
        stream.set_read_timeout(None).map_err(trouble("setting up the line"))?;
        stream.set_nodelay(true).map_err(trouble("setting up the line"))?;
        let address = format!("ws://127.0.0.1:{port}{path}");
        let (socket, _) = client(address, stream).map_err(trouble("greeting Chromium"))?;
        socket.get_ref().set_read_timeout(pause).map_err(trouble("setting up the line"))?;
        Ok(Self { socket, next: 0, events: Vec::new() })
    }

    /// Sends a command and waits for its answer.
    ///
    /// # Errors
    /// When the browser refuses, hangs or is gone.
    pub fn ask(&mut self, method: &str, parameters: Value) -> Result<Value> {
        let id = self.send(method, &parameters)?;
        let start = Instant::now();
        while start.elapsed() < patience() {
            let Some(mut answer) = self.receive()? else { continue };
            if answer["id"] != id {
                continue;
            }
            return match answer.get("error") {
                Some(error) => Err(Trouble(format!("{method}: {}", error["message"]))),
                None => Ok(answer["result"].take()),
            };
        }
        Err(Trouble(format!("{method}: no answer in {} s", patience().as_secs())))
    }

    fn send(&mut self, method: &str, parameters: &Value) -> Result<u64> {
        self.next += 1;
        let message = json!({ "id": self.next, "method": method, "params": parameters }).to_string();
        self.socket.send(Message::text(message)).map_err(trouble(method))?;
        Ok(self.next)
    }

    /// Reads whatever comes in for a while.
    ///
    /// # Errors
    /// When the browser is gone.
    pub fn listen(&mut self, time: Duration) -> Result {
        let start = Instant::now();
        while start.elapsed() < time {
            self.receive()?;
        }
        Ok(())
    }

    /// All events so far, by name and parameters, oldest first.
    pub fn events(&self) -> &[(String, Value)] {
        &self.events
    }

    /// Takes all events of this name away, oldest first: what is large shall not stay.
    pub fn take_events(&mut self, name: &str) -> Vec<Value> {
        let (taken, left) =
            std::mem::take(&mut self.events).into_iter().partition(|(event, _)| event == name);
        self.events = left;
        let taken: Vec<(String, Value)> = taken;
        taken.into_iter().map(|(_, parameters)| parameters).collect()
    }

    /// Waits for an event of this name after the first `seen` events.
    ///
    /// # Errors
    /// When it does not come in time.
    pub fn await_event(&mut self, name: &str, seen: usize, limit: Duration) -> Result<Value> {
        let start = Instant::now();
        loop {
            if let Some((_, parameters)) = self.events[seen..].iter().find(|(event, _)| event == name) {
                return Ok(parameters.clone());
            }
            if start.elapsed() > limit {
                return Err(Trouble(format!("no {name} within {} s", limit.as_secs())));
            }
            self.receive()?;
        }
    }

    /// The next message, kept if it is an event; `None` when nothing came for a moment.
    fn receive(&mut self) -> Result<Option<Value>> {
        let text = match self.socket.read() {
            Ok(Message::Text(text)) => text,
            Ok(_) => return Ok(None),
            Err(tungstenite::Error::Io(error))
                if matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) =>
            {
                return Ok(None);
            }
            Err(error) => return Err(Trouble(format!("listening to Chromium: {error}"))),
        };
        let mut message: Value = serde_json::from_str(&text).map_err(trouble("reading Chromium's answer"))?;
        if let Some(name) = message["method"].as_str() {
            let name = name.to_owned();
            // A question such as "leave the page?" holds everything up; the answer here is yes.
            if name == "Page.javascriptDialogOpening" {
                self.send("Page.handleJavaScriptDialog", &json!({ "accept": true }))?;
            }
            self.events.push((name, message["params"].take()));
        }
        Ok(Some(message))
    }
}
