//! What `cargo xtask` runs first. It stands on nothing, so that cargo has built it in a second, and says
//! what the first call is about to do: building `crates/xtask` takes longer than anybody likes to look
//! at a terminal where nothing moves.

use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};

fn main() -> ExitCode {
    let root =
        Path::new(env!("CARGO_MANIFEST_DIR")).ancestors().nth(2).expect("crates/start is two folders down");
    let target = std::env::var_os("CARGO_TARGET_DIR").map_or(root.join("target"), |folder| root.join(folder));
    let built: PathBuf = target.join("debug").join(format!("xtask{}", std::env::consts::EXE_SUFFIX));
    let mut build = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    build.current_dir(root).arg("build");
    if built.exists() {
        build.arg("--quiet");
    } else {
        println!(
            "-- the first time: building the tools, one to three minutes on two cores; after that, seconds"
        );
    }
    // Chosen out of the whole workspace: for one package alone cargo would choose other features of what
    // it depends on, and the tests would build all of that once more.
    build.args(["--workspace", "--bin", "xtask"]);
    let done = run(&mut build);
    if done != 0 {
        return ExitCode::from(done);
    }
    ExitCode::from(run(Command::new(built).args(std::env::args_os().skip(1))))
}

/// The exit status of a command; 1 if it did not start or was stopped.
fn run(command: &mut Command) -> u8 {
    match command.status() {
        Ok(status) => status.code().and_then(|code| u8::try_from(code).ok()).unwrap_or(1),
        Err(error) => {
            eprintln!("{} did not start: {error}", command.get_program().display());
            1
        }
    }
}
