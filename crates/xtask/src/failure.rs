//! Why a task stopped, in words that say what to do next.

use std::fmt;
use std::path::{Path, PathBuf};

/// A task that could not be finished.
#[derive(Debug)]
pub enum Failure {
    /// Something this machine lacks and that the task could not install itself.
    Missing {
        /// What is missing.
        what: String,
        /// The exact command that brings it.
        type_this: String,
    },
    /// A program ran and said no.
    Command {
        /// The program and its arguments.
        line: String,
        /// How it ended.
        ended: String,
    },
    /// A file could not be read or written.
    File {
        /// Which.
        path: PathBuf,
        /// What the system said.
        error: std::io::Error,
    },
    /// The bindgen step refused the module.
    Bindgen(String),
    /// The words after `cargo xtask` make no sense.
    Usage(String),
    /// Some tests failed; how many, and how many did not.
    Tests {
        /// Tests that passed.
        passed: usize,
        /// Tests that failed.
        failed: usize,
    },
    /// A check of ours did not hold.
    Check(String),
}

/// What every task hands back.
pub type Outcome<T = ()> = Result<T, Failure>;

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing { what, type_this } => {
                write!(f, "{what}\nType this, then try again:\n\n    {type_this}\n")
            }
            Self::Command { line, ended } => write!(f, "`{line}` {ended}"),
            Self::File { path, error } => write!(f, "{}: {error}", path.display()),
            Self::Bindgen(says) => write!(f, "the bindgen step failed: {says}"),
            Self::Tests { failed, .. } => write!(f, "{failed} tests failed"),
            Self::Usage(says) | Self::Check(says) => f.write_str(says),
        }
    }
}

/// Names the file in an input or output error.
pub fn at<T>(path: &Path, result: std::io::Result<T>) -> Outcome<T> {
    result.map_err(|error| Failure::File { path: path.to_owned(), error })
}
