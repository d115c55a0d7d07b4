//! The built page, served and opened: what nearly every test starts with.

use crate::browser::Browser;
use crate::page::Page;
use crate::wire::{Result, Trouble, patience, trouble};
use halfrow_server::{Server, Setup};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// The window that [`Visit::at`] opens: a small laptop's, with all three columns of the page.
pub const WINDOW: (u32, u32) = (1366, 768);

/// A browser at the page. Fields are dropped in order: first the browser, then the server.
pub struct Visit {
    /// The open tab.
    pub page: Page,
    /// Its browser.
    pub browser: Browser,
    /// The server; `None` after [`Visit::cut_network`].
    pub server: Option<Server>,
}

impl Visit {
    /// Opens the built page and waits until it is live.
    ///
    /// # Errors
    /// When there is no built page or no browser, or the page does not start.
    pub fn start() -> Result<Self> {
        Self::at("")
    }

    /// The same, with something after the address: `?example=harbour-mouth`, `#1.…`.
    ///
    /// # Errors
    /// As for [`Visit::start`].
    pub fn at(suffix: &str) -> Result<Self> {
        let mut visit = Self::blank(Setup::default())?;
        visit.page.resize(WINDOW.0, WINDOW.1)?;
        visit.page.open(&visit.address(suffix))?;
        visit.page.wait_until_live()?;
        Ok(visit)
    }

    /// Server and browser with an empty tab.
    ///
    /// # Errors
    /// When there is no built page or no browser.
    pub fn blank(setup: Setup) -> Result<Self> {
        Self::of(&dist(), setup)
    }

    /// The same for another folder than `dist/`: a copy that a test may change.
    ///
    /// # Errors
    /// As for [`Visit::blank`].
    pub fn of(folder: &Path, setup: Setup) -> Result<Self> {
        if !folder.join("index.html").exists() {
            return Err(Trouble("There is no built page. Type: cargo xtask build".into()));
        }
        let server = Server::start(folder, setup).map_err(trouble("starting the server"))?;
        let mut browser = Browser::start()?;
        let page = browser.page()?;
        Ok(Self { page, browser, server: Some(server) })
    }

    /// The page's address with something behind it.
    ///
    /// # Panics
    /// After [`Visit::cut_network`].
    pub fn address(&self, suffix: &str) -> String {
        let server = self.server.as_ref().expect("the network is still there");
        format!("{}{suffix}", server.address())
    }

    /// Stops the server and cuts every open connection: nothing can be fetched any more.
    pub fn cut_network(&mut self) {
        self.server = None;
    }

    /// Does something that saves a file; the file's name and content.
    ///
    /// # Errors
    /// When no file has come after a while.
    pub fn download(&mut self, doing: impl FnOnce(&mut Page) -> Result) -> Result<(String, Vec<u8>)> {
        let folder = tempfile::tempdir().map_err(trouble("making a folder"))?;
        self.browser.save_to(folder.path())?;
        doing(&mut self.page)?;
        let start = Instant::now();
        while start.elapsed() < patience() {
            for entry in fs::read_dir(folder.path()).map_err(trouble("looking for the file"))?.flatten() {
                let name = entry.file_name().to_string_lossy().into_owned();
                // While it comes in, Chromium gives it another name.
                if !name.ends_with(".crdownload") && !name.starts_with('.') {
                    let content = fs::read(entry.path()).map_err(trouble("reading the file"))?;
                    return Ok((name, content));
                }
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        Err(Trouble("no file has come".into()))
    }

    /// Waits until the service worker has everything that the page needs.
    ///
    /// # Errors
    /// When there is no worker after a while.
    pub fn wait_until_kept(&mut self) -> Result {
        self.page.wait_for("navigator.serviceWorker.controller?.state === 'activated'")
    }
}

/// The folder of the built page.
pub fn dist() -> PathBuf {
    workspace().join("dist")
}

/// The script of axe-core, where `npm ci` puts it.
pub fn axe_script() -> PathBuf {
    workspace().join("tests/e2e/node_modules/axe-core/axe.min.js")
}

fn workspace() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).ancestors().nth(2).expect("crates/browser is two folders down")
}
