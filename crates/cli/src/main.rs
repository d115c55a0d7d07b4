//! Halfrow without a browser: the operating point, the findings, the wiring list, the link and the
//! picture of a bench, from a terminal.
//!
//! `words of the command line -> command -> bench -> output`. Start with [`request`] (how the words are
//! read, and what is said of those that make no sense), then [`commands`], a file each: what a command
//! takes and what it answers. [`input`] reads benches, [`layout`] sets tables and paragraphs,
//! [`failure`] holds the words for what can't be answered.
//!
//! Nothing is written until a request is answered as a whole, so that a pipe gets all or nothing.

mod commands;
mod failure;
mod input;
mod layout;
mod request;
mod told;

use std::io::{ErrorKind, Write};
use std::path::Path;
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};

/// What a finished command hands back.
#[derive(Debug)]
struct Output {
    /// What goes to standard output.
    text: String,
    /// Whether there is something to put right on the bench.
    findings: bool,
}

impl Output {
    /// An answer without anything to put right.
    fn fine(text: String) -> Output {
        Output { text, findings: false }
    }
}

/// Exit status of a bench with findings.
const FINDINGS: u8 = 1;
/// Exit status of a request that could not be answered.
const BAD_INPUT: u8 = 2;

fn main() -> ExitCode {
    match request::answer(std::env::args_os().skip(1).collect()) {
        Ok(output) => match print(&output.text) {
            Ok(()) => ExitCode::from(if output.findings { FINDINGS } else { 0 }),
            Err(error) => complain(&format!("the output can’t be written: {error}")),
        },
        Err(error) => complain(&error.to_string()),
    }
}

/// Whether standard output was closed when the program began.
static CLOSED: AtomicBool = AtomicBool::new(false);

/// Looks before Rust starts: it opens /dev/null in the place of a closed standard output, and whatever is
/// written would then be lost without a word.
#[cfg(unix)]
#[allow(unsafe_code)]
#[ctor::ctor(unsafe)]
fn look_at_standard_output() {
    // What a program has open is listed there, on Linux and on macOS.
    let closed = Path::new("/dev/fd").exists() && std::fs::symlink_metadata("/dev/fd/1").is_err();
    CLOSED.store(closed, Ordering::Relaxed);
}

/// Writes to standard output. Whoever stops reading early (`halfrow list … | head -1`) has had
/// enough; that is no error.
fn print(text: &str) -> std::io::Result<()> {
    if CLOSED.load(Ordering::Relaxed) {
        return Err(std::io::Error::other("standard output is closed"));
    }
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        other => other,
    }
}

/// Says what is wrong in a line. It may quote what was typed or a file's name, from which nothing may
/// steer the terminal or turn the line round.
fn complain(message: &str) -> ExitCode {
    let message = message.replace(halfrow_file::title::refused, "\u{fffd}");
    // With standard error closed there is nobody left to tell.
    writeln!(std::io::stderr(), "halfrow: {message}").ok();
    ExitCode::from(BAD_INPUT)
}
