//! What the tests of the binary share.

use std::io::Write;
use std::process::{Command, Output, Stdio};

/// Runs `halfrow` with these words and this standard input.
pub fn run_with(words: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_halfrow"))
        .args(words)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary runs");
    // A request that reads no input may end before it is written.
    child.stdin.take().expect("a pipe").write_all(input.as_bytes()).ok();
    child.wait_with_output().expect("the binary ends")
}

/// The bench file of an example.
#[allow(dead_code, reason = "not every test that shares this module asks for examples")]
pub fn example(slug: &str) -> String {
    String::from_utf8(run_with(&["examples", slug], "").stdout).expect("text")
}
