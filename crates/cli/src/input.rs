//! How a bench comes in, and why it does not.

use std::ffi::OsStr;
use std::fmt;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use halfrow_core::bench::Bench;
use halfrow_file::actions::Timed;
use halfrow_file::{FileError, LinkFault, MAX_TEXT_BYTES};

use crate::ran::BadRun;
use crate::request::BadRequest;

/// Why a request has no answer.
#[derive(Debug)]
pub enum Failure {
    /// The words of the command line make no sense.
    Request(BadRequest),
    /// A file could not be read.
    Unreadable {
        /// Which, as it was named.
        name: String,
        /// What the system said.
        error: io::Error,
    },
    /// A file is larger than any bench.
    TooLong {
        /// Which.
        name: String,
    },
    /// A file holds bytes that are no text.
    NotText {
        /// Which.
        name: String,
        /// How many bytes of it are text.
        good_bytes: usize,
    },
    /// The text is no bench.
    NoBench {
        /// Where it came from.
        name: String,
        /// What is wrong with it and where.
        error: Box<FileError>,
    },
    /// There is no such example.
    NoExample(String),
    /// A bench can't be run as asked.
    Run(BadRun),
}

impl Failure {
    /// What came from `name` is no bench.
    pub fn no_bench(name: String, error: FileError) -> Failure {
        Failure::NoBench { name, error: Box::new(error) }
    }
}

impl From<BadRun> for Failure {
    fn from(bad: BadRun) -> Failure {
        Failure::Run(bad)
    }
}

impl From<BadRequest> for Failure {
    fn from(bad: BadRequest) -> Failure {
        Failure::Request(bad)
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Failure::Request(bad) => bad.fmt(f),
            Failure::Run(bad) => bad.fmt(f),
            Failure::Unreadable { name, error } => {
                let remedy = match error.kind() {
                    io::ErrorKind::NotFound => "Check the name and the folder.",
                    io::ErrorKind::PermissionDenied => "Ask for leave to read it.",
                    io::ErrorKind::IsADirectory => "Name a file in it.",
                    _ => "Try again, or with a copy of it.",
                };
                write!(f, "{name}: can’t be read ({error}). {remedy}")
            }
            Failure::TooLong { name } => {
                write!(f, "{name}: longer than {MAX_TEXT_BYTES} bytes; no bench is. Is it the right file?")
            }
            Failure::NotText { name, good_bytes } => write!(
                f,
                "{name}: byte {} is no text (UTF-8). Is it the right file? If so, save it as UTF-8.",
                good_bytes + 1
            ),
            Failure::NoBench { name, error } => match &**error {
                // Here there is no page to reload.
                FileError::Newer { version } | FileError::Link(LinkFault::Newer { version }) => {
                    write!(
                        f,
                        "{name}: made by a newer Halfrow (version {version}). Get the newer command line."
                    )
                }
                error => write!(f, "{name}: {error}"),
            },
            Failure::NoExample(slug) => {
                write!(f, "there is no example “{slug}”. “halfrow examples” lists them.")
            }
        }
    }
}

/// The bench in a file; `-` is standard input.
///
/// # Errors
/// When it can't be read or holds no bench.
pub fn bench(path: &OsStr) -> Result<Bench, Failure> {
    halfrow_file::read(&text(path)?).map_err(|error| Failure::no_bench(name(path), error))
}

/// The timed actions in a file, for a bench.
///
/// # Errors
/// When it can't be read or holds none.
pub fn actions(path: &OsStr, bench: &Bench) -> Result<Vec<Timed>, Failure> {
    halfrow_file::actions::read(&text(path)?, bench).map_err(|error| Failure::no_bench(name(path), error))
}

/// The text of a file; `-` is standard input.
///
/// # Errors
/// When it can't be read, is no text or is longer than any bench.
pub fn text(path: &OsStr) -> Result<String, Failure> {
    let bytes = if path == "-" { limited(io::stdin().lock()) } else { File::open(path).and_then(limited) };
    let bytes = bytes.map_err(|error| Failure::Unreadable { name: name(path), error })?;
    if bytes.len() > MAX_TEXT_BYTES {
        return Err(Failure::TooLong { name: name(path) });
    }
    let text = String::from_utf8(bytes).map_err(|error| Failure::NotText {
        name: name(path),
        good_bytes: error.utf8_error().valid_up_to(),
    })?;
    // Some editors put a byte order mark before a text.
    Ok(text.strip_prefix('\u{feff}').map_or_else(|| text.clone(), str::to_owned))
}

/// What a file is called in messages.
fn name(path: &OsStr) -> String {
    if path == "-" { "standard input".to_owned() } else { Path::new(path).display().to_string() }
}

/// Everything, or one byte more than a bench may have: an endless input ends here.
fn limited(from: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(MAX_TEXT_BYTES as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}
