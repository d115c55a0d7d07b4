//! Why a request has no answer, in words: what, where, and what to do.

use std::fmt;
use std::io;

use halfrow_file::{FileError, LinkFault, MAX_TEXT_BYTES};

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
    /// What only one command refuses, in its own words: what, where, and what to do.
    Refused(String),
}

impl Failure {
    /// What came from `name` is no bench.
    pub fn no_bench(name: String, error: FileError) -> Failure {
        Failure::NoBench { name, error: Box::new(error) }
    }

    /// The words of a command make no sense to clap.
    pub fn words(error: clap::Error) -> Failure {
        Failure::Request(BadRequest::of(&error, None))
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
            Failure::Refused(says) => says.fmt(f),
            Failure::Unreadable { name, error } => {
                let remedy = match error.kind() {
                    io::ErrorKind::NotFound => "Check the name and the folder.",
                    io::ErrorKind::PermissionDenied => "Ask for permission to read it.",
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
                "{name}: byte {} isn’t text (UTF-8). Is it the right file? If so, save it as UTF-8.",
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
