//! A headless Chromium of one's own, with a fresh profile, gone when dropped.

use crate::page::Page;
use crate::wire::{Result, Trouble, Wire, patience, trouble};
use serde_json::json;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// The flags of every run: no window, no sandbox (containers have no user namespaces), no calls home.
pub const FLAGS: [&str; 13] = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--disable-extensions",
    "--mute-audio",
    "--hide-scrollbars",
    "--force-device-scale-factor=1",
];

/// Where Chromium is: the environment's `CHROME_PATH`, or the usual names on the search path.
pub fn find() -> Option<PathBuf> {
    if let Some(path) = std::env::var_os("CHROME_PATH") {
        return Some(path.into());
    }
    let path = std::env::var_os("PATH")?;
    let names = ["chromium", "chromium-browser", "google-chrome"];
    names.iter().find_map(|name| {
        std::env::split_paths(&path).map(|folder| folder.join(name)).find(|file| file.is_file())
    })
}

/// A running browser.
pub struct Browser {
    process: Child,
    port: u16,
    control: Wire,
    // Removed after the process has ended.
    _profile: TempDir,
}

impl Browser {
    /// Starts a browser with a profile of its own.
    ///
    /// # Errors
    /// When there is no Chromium or it does not come up.
    pub fn start() -> Result<Self> {
        let program = find().ok_or_else(|| {
            Trouble("There is no Chromium on the search path. Type: sudo apt-get install chromium".into())
        })?;
        let profile = tempfile::tempdir().map_err(trouble("making a profile folder"))?;
        let process = Command::new(program)
            .args(FLAGS)
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .args(["--remote-debugging-port=0", "about:blank"])
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .map_err(trouble("starting Chromium"))?;
        let mut process = Guard(Some(process));
        // Chromium writes the port that it chose, and the path of its control line, into this file.
        let note = profile.path().join("DevToolsActivePort");
        let start = Instant::now();
        let (port, path) = loop {
            let text = std::fs::read_to_string(&note).unwrap_or_default();
            if let Some((port, path)) = text.split_once('\n')
                && let Ok(port) = port.parse()
            {
                break (port, path.trim().to_owned());
            }
            if let Ok(Some(status)) = process.child().try_wait() {
                return Err(Trouble(format!("Chromium ended at once, with {status}")));
            }
            if start.elapsed() > patience() {
                return Err(Trouble(format!("Chromium was not ready within {} s", patience().as_secs())));
            }
            std::thread::sleep(Duration::from_millis(20));
        };
        let control = Wire::open(port, &path)?;
        Ok(Self { process: process.keep(), port, control, _profile: profile })
    }

    /// Opens an empty tab.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn page(&mut self) -> Result<Page> {
        let answer = self.control.ask("Target.createTarget", json!({ "url": "about:blank" }))?;
        let target = answer["targetId"].as_str().unwrap_or_default();
        Page::attach(Wire::open(self.port, &format!("/devtools/page/{target}"))?)
    }

    /// Saves what the pages download to a folder, unasked.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn save_to(&mut self, folder: &Path) -> Result {
        let behaviour = json!({ "behavior": "allow", "downloadPath": folder });
        self.control.ask("Browser.setDownloadBehavior", behaviour).map(drop)
    }

    /// Lets the pages of an origin read and write the clipboard, unasked.
    ///
    /// # Errors
    /// When the browser refuses.
    pub fn allow_clipboard(&mut self, origin: &str) -> Result {
        let grant =
            json!({ "permissions": ["clipboardReadWrite", "clipboardSanitizedWrite"], "origin": origin });
        self.control.ask("Browser.grantPermissions", grant).map(drop)
    }

    /// The port of the DevTools protocol, for tools that bring their own client.
    pub fn port(&self) -> u16 {
        self.port
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // Asked to close, Chromium ends its helper processes too.
        let _ = self.control.ask("Browser.close", json!({}));
        let start = Instant::now();
        while start.elapsed() < Duration::from_secs(5) {
            if matches!(self.process.try_wait(), Ok(Some(_))) {
                return;
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// Ends the process if starting fails half-way.
struct Guard(Option<Child>);

impl Guard {
    fn child(&mut self) -> &mut Child {
        self.0.as_mut().expect("kept only at the end")
    }

    fn keep(mut self) -> Child {
        self.0.take().expect("kept once")
    }
}

impl Drop for Guard {
    fn drop(&mut self) {
        if let Some(child) = &mut self.0 {
            let _ = child.kill();
            let _ = child.wait();
        }
    }
}
