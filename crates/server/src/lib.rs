//! A static file server for one folder: what a plain web host does, and nothing else.
//!
//! It can be stopped for good, with every kept-alive connection dropped: a test that wants to know
//! what the page does without a network would otherwise still have one.

use std::collections::HashMap;
use std::fs;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, Shutdown, SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;

/// What the page may do, sent as a header and written into the page itself for hosts that send none.
///
/// Styles come from the style sheet alone: a `style` attribute is ignored by the browser. Text becomes a
/// script nowhere but where the page registers its service worker (`boot.js`).
pub const CONTENT_SECURITY_POLICY: &str = "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; \
     style-src 'self'; img-src 'self' data:; connect-src 'self'; worker-src 'self'; \
     object-src 'none'; base-uri 'none'; form-action 'none'; \
     require-trusted-types-for 'script'; trusted-types halfrow";

/// Longest request head that is read. Browsers send a tenth of it; a stranger may send anything.
const HEAD_LIMIT: u64 = 16 * 1024;

/// Compresses a file with brotli, or declines.
pub type Squeeze = fn(&[u8]) -> Option<Vec<u8>>;

/// What the server says about what the page may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Policy {
    /// [`CONTENT_SECURITY_POLICY`].
    Header,
    /// Nothing, as many static hosts: the page's own word must do.
    Silent,
    /// The policy, and the sandbox that a frame with `sandbox="allow-scripts"` puts the page in:
    /// its origin is like no other, storage and service worker are forbidden.
    Sandbox,
}

/// How to serve.
#[derive(Clone)]
pub struct Setup {
    /// The port; 0 takes any free one.
    pub port: u16,
    /// The path that the folder stands under, with a slash at both ends.
    pub under: String,
    /// The security policy that goes along as a header.
    pub policy: Policy,
    /// Compression for browsers that take it.
    pub squeeze: Option<Squeeze>,
}

impl Default for Setup {
    fn default() -> Self {
        Self { port: 0, under: "/".into(), policy: Policy::Header, squeeze: None }
    }
}

/// A running server; stops when dropped.
pub struct Server {
    address: SocketAddr,
    shared: Arc<Shared>,
    accepting: Option<JoinHandle<()>>,
}

struct Shared {
    folder: PathBuf,
    setup: Setup,
    stopped: AtomicBool,
    next: AtomicU64,
    open: Mutex<HashMap<u64, TcpStream>>,
}

impl Server {
    /// Serves a folder on 127.0.0.1.
    ///
    /// # Errors
    /// When the port is taken.
    pub fn start(folder: &Path, setup: Setup) -> io::Result<Self> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, setup.port))?;
        let address = listener.local_addr()?;
        let shared = Arc::new(Shared {
            folder: folder.to_owned(),
            setup,
            stopped: AtomicBool::new(false),
            next: AtomicU64::new(0),
            open: Mutex::default(),
        });
        let for_thread = Arc::clone(&shared);
        let accepting = std::thread::spawn(move || for_thread.accept(&listener));
        Ok(Self { address, shared, accepting: Some(accepting) })
    }

    /// The page's address.
    pub fn address(&self) -> String {
        format!("http://{}{}", self.address, self.shared.setup.under)
    }

    /// The port in use.
    pub fn port(&self) -> u16 {
        self.address.port()
    }

    /// Serves until the process ends.
    pub fn wait(mut self) {
        if let Some(thread) = self.accepting.take() {
            let _ = thread.join();
        }
    }

    /// Stops: no new connection is taken and open ones are cut.
    pub fn stop(self) {
        drop(self);
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let Some(thread) = self.accepting.take() else { return };
        self.shared.stopped.store(true, Ordering::SeqCst);
        // The thread sits in `accept`; a last connection wakes it.
        let _ = TcpStream::connect(self.address);
        let _ = thread.join();
        for stream in self.shared.open().values() {
            let _ = stream.shutdown(Shutdown::Both);
        }
    }
}

impl Shared {
    fn open(&self) -> std::sync::MutexGuard<'_, HashMap<u64, TcpStream>> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn accept(self: Arc<Self>, listener: &TcpListener) {
        for stream in listener.incoming() {
            if self.stopped.load(Ordering::SeqCst) {
                return;
            }
            let Ok(stream) = stream else { continue };
            let Ok(copy) = stream.try_clone() else { continue };
            let number = self.next.fetch_add(1, Ordering::SeqCst);
            self.open().insert(number, copy);
            let shared = Arc::clone(&self);
            std::thread::spawn(move || {
                // A browser that goes away in the middle of an answer is no news.
                let _ = shared.talk(&stream);
                shared.open().remove(&number);
            });
        }
    }

    fn talk(&self, stream: &TcpStream) -> io::Result<()> {
        stream.set_nodelay(true)?;
        let mut reader = BufReader::new(stream);
        while let Some(request) = Request::read(&mut reader)? {
            let answer = self.answer(&request);
            let mut writer = stream;
            writer.write_all(&answer.bytes(request.method == "HEAD"))?;
            if request.close {
                break;
            }
        }
        Ok(())
    }

    fn answer(&self, request: &Request) -> Answer {
        if !matches!(request.method.as_str(), "GET" | "HEAD") {
            return Answer::plain("405 Method Not Allowed");
        }
        let path = request.target.split(['?', '#']).next().unwrap_or_default();
        let Some(inside) = path.strip_prefix(self.setup.under.as_str()) else {
            return Answer::plain("404 Not Found");
        };
        let name = if inside.is_empty() { "index.html" } else { inside };
        // The folder is flat: a name with a slash, an escape or a leading dot names nothing in it.
        let honest = name.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-_.".contains(&byte));
        if !honest || name.starts_with('.') {
            return Answer::plain("404 Not Found");
        }
        let Ok(content) = fs::read(self.folder.join(name)) else { return Answer::plain("404 Not Found") };
        self.file(name, content, request)
    }

    fn file(&self, name: &str, content: Vec<u8>, request: &Request) -> Answer {
        let mut answer = Answer::new("200 OK", media_type(name), content);
        answer.header("X-Content-Type-Options", "nosniff");
        answer.header("Referrer-Policy", "no-referrer");
        // In a sandboxed frame the page has no origin, so that even its own files are foreign to it.
        answer.header("Access-Control-Allow-Origin", "*");
        answer.header(
            "Cache-Control",
            if is_hashed(name) { "public, max-age=31536000, immutable" } else { "no-cache" },
        );
        match self.setup.policy {
            Policy::Header => answer.header("Content-Security-Policy", CONTENT_SECURITY_POLICY),
            Policy::Silent => {}
            Policy::Sandbox => {
                answer.header("Content-Security-Policy", CONTENT_SECURITY_POLICY);
                answer.header("Content-Security-Policy", "sandbox allow-scripts");
            }
        }
        if let Some(squeeze) = self.setup.squeeze {
            answer.header("Vary", "Accept-Encoding");
            let smaller = if request.takes_brotli { squeeze(&answer.body) } else { None };
            if let Some(smaller) = smaller.filter(|smaller| smaller.len() < answer.body.len()) {
                answer.header("Content-Encoding", "br");
                answer.body = smaller;
            }
        }
        answer
    }
}

struct Request {
    method: String,
    target: String,
    takes_brotli: bool,
    close: bool,
}

impl Request {
    /// The next request of the connection; `None` when it ends or makes no sense.
    fn read(reader: &mut impl BufRead) -> io::Result<Option<Self>> {
        let mut limited = reader.take(HEAD_LIMIT);
        let mut line = String::new();
        limited.read_line(&mut line)?;
        let mut words = line.split_whitespace();
        let (Some(method), Some(target)) = (words.next(), words.next()) else { return Ok(None) };
        let mut request =
            Self { method: method.into(), target: target.into(), takes_brotli: false, close: false };
        loop {
            let mut header = String::new();
            if limited.read_line(&mut header)? == 0 {
                return Ok(None);
            }
            if header.trim().is_empty() {
                return Ok(Some(request));
            }
            let (name, value) = header.split_once(':').unwrap_or((header.as_str(), ""));
            let value = value.trim().to_ascii_lowercase();
            match name.to_ascii_lowercase().as_str() {
                "accept-encoding" => {
                    request.takes_brotli = value.split(',').any(|coding| coding.trim() == "br");
                }
                "connection" => request.close = value == "close",
                _ => {}
            }
        }
    }
}

struct Answer {
    status: &'static str,
    headers: Vec<(&'static str, &'static str)>,
    body: Vec<u8>,
}

impl Answer {
    fn new(status: &'static str, media_type: &'static str, body: Vec<u8>) -> Self {
        Self { status, headers: vec![("Content-Type", media_type)], body }
    }

    fn plain(status: &'static str) -> Self {
        Self::new(status, "text/plain; charset=utf-8", format!("{status}\n").into_bytes())
    }

    fn header(&mut self, name: &'static str, value: &'static str) {
        self.headers.push((name, value));
    }

    fn bytes(&self, head_only: bool) -> Vec<u8> {
        let mut bytes =
            format!("HTTP/1.1 {}\r\nContent-Length: {}\r\n", self.status, self.body.len()).into_bytes();
        for (name, value) in &self.headers {
            bytes.extend_from_slice(format!("{name}: {value}\r\n").as_bytes());
        }
        bytes.extend_from_slice(b"\r\n");
        if !head_only {
            bytes.extend_from_slice(&self.body);
        }
        bytes
    }
}

fn media_type(name: &str) -> &'static str {
    match name.rsplit('.').next().unwrap_or_default() {
        "html" => "text/html; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "wasm" => "application/wasm",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "txt" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

/// Whether the name ends in a hash of its content, as `cargo xtask build` writes it.
fn is_hashed(name: &str) -> bool {
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    let hash = stem.rsplit_once('-').map_or("", |(_, hash)| hash);
    hash.len() == 16 && hash.bytes().all(|byte| byte.is_ascii_hexdigit())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    fn folder() -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("index.html"), "the page").unwrap();
        fs::write(folder.path().join("halfrow-0123456789abcdef.wasm"), "wasm").unwrap();
        folder
    }

    fn get(server: &Server, target: &str) -> String {
        let mut stream = TcpStream::connect(server.address).unwrap();
        write!(stream, "GET {target} HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n").unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    }

    #[test]
    fn files_come_with_type_policy_and_lifetime() {
        let folder = folder();
        let server = Server::start(folder.path(), Setup::default()).unwrap();
        let page = get(&server, "/?example=harbour-mouth");
        assert!(page.starts_with("HTTP/1.1 200 OK"), "{page}");
        assert!(page.contains("text/html") && page.contains(CONTENT_SECURITY_POLICY), "{page}");
        assert!(page.contains("Cache-Control: no-cache") && page.ends_with("the page"), "{page}");
        let wasm = get(&server, "/halfrow-0123456789abcdef.wasm");
        assert!(wasm.contains("application/wasm") && wasm.contains("immutable"), "{wasm}");
    }

    #[test]
    fn nothing_outside_the_folder_is_served() {
        let folder = folder();
        let server =
            Server::start(&folder.path().join("."), Setup { under: "/a/b/".into(), ..Setup::default() })
                .unwrap();
        assert!(get(&server, "/a/b/").ends_with("the page"));
        for target in
            ["/", "/a/b/../index.html", "/a/b/%2e%2e/x", "/a/b//etc/passwd", "/a/b/.hidden", "/a/b/absent"]
        {
            assert!(get(&server, target).starts_with("HTTP/1.1 404"), "{target}");
        }
    }

    #[test]
    fn stopping_cuts_a_connection_that_is_kept_alive() {
        let folder = folder();
        let server = Server::start(folder.path(), Setup::default()).unwrap();
        let address = server.address;
        let mut stream = TcpStream::connect(address).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(5))).unwrap();
        write!(stream, "GET / HTTP/1.1\r\nHost: x\r\n\r\n").unwrap();
        let mut first = [0; 512];
        assert!(stream.read(&mut first).unwrap() > 0);
        server.stop();
        let mut rest = Vec::new();
        stream.read_to_end(&mut rest).expect("the connection ends, it does not hang");
        assert!(TcpStream::connect(address).is_err());
    }

    #[test]
    fn a_taken_port_is_an_error() {
        let folder = folder();
        let first = Server::start(folder.path(), Setup::default()).unwrap();
        assert!(Server::start(folder.path(), Setup { port: first.port(), ..Setup::default() }).is_err());
    }
}
