//! How a bench comes in.

use std::ffi::OsStr;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use halfrow_core::bench::Bench;
use halfrow_file::MAX_TEXT_BYTES;
use halfrow_file::actions::Timed;
use halfrow_file::plan::Planned;

use crate::failure::Failure;

/// The bench in a file; `-` is standard input.
///
/// # Errors
/// When it can't be read or holds no bench.
pub fn bench(path: &OsStr) -> Result<Bench, Failure> {
    halfrow_file::read(&text(path)?).map_err(|error| Failure::no_bench(name(path), error))
}

/// The plan in a file: a bench, or parts and joints.
///
/// # Errors
/// When it can't be read or holds no plan.
pub fn plan(path: &OsStr) -> Result<Planned, Failure> {
    halfrow_file::plan::read(&text(path)?).map_err(|error| Failure::no_bench(name(path), error))
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
    String::from_utf8(bytes)
        .map_err(|error| Failure::NotText { name: name(path), good_bytes: error.utf8_error().valid_up_to() })
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
