//! Programs on this machine: finding them, installing them, running them.

use crate::failure::{Failure, Outcome};
use std::path::PathBuf;
use std::process::{Command, Stdio};

/// A heading, so that a long log can be skimmed.
pub fn heading(text: &str) {
    println!("\n== {text}");
}

/// A line that says what is being done.
pub fn say(text: &str) {
    println!("-- {text}");
}

/// Where a program is, by the search path.
pub fn find(program: &str) -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    std::env::split_paths(&path).map(|folder| folder.join(program)).find(|file| file.is_file())
}

/// The command as a person would type it, without the environment.
pub fn line_of(command: &Command) -> String {
    let mut words = vec![command.get_program().to_string_lossy().into_owned()];
    words.extend(command.get_args().map(|word| word.to_string_lossy().into_owned()));
    words.join(" ")
}

/// Runs a command with its output on the screen and nothing on its input.
pub fn run(command: &mut Command) -> Outcome {
    let line = line_of(command);
    match command.stdin(Stdio::null()).status() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(Failure::Command { line, ended: format!("ended with {status}") }),
        Err(error) => Err(Failure::Command { line, ended: format!("did not start: {error}") }),
    }
}

/// What a command prints; what it says on standard error goes to the screen.
///
/// # Errors
/// When it fails or is not there.
pub fn output(command: &mut Command) -> Outcome<String> {
    let line = line_of(command);
    match command.stdin(Stdio::null()).stderr(Stdio::inherit()).output() {
        Ok(output) if output.status.success() => Ok(String::from_utf8_lossy(&output.stdout).into_owned()),
        Ok(output) => Err(Failure::Command { line, ended: format!("ended with {}", output.status) }),
        Err(error) => Err(Failure::Command { line, ended: format!("did not start: {error}") }),
    }
}

/// What a command prints, trimmed; `None` when it fails or is not there.
pub fn ask(command: &mut Command) -> Option<String> {
    let output = command.stdin(Stdio::null()).stderr(Stdio::null()).output().ok()?;
    output.status.success().then(|| String::from_utf8_lossy(&output.stdout).trim().to_owned())
}

/// The cargo that runs us, or the one on the search path.
pub fn cargo() -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(crate::house::root());
    command
}

/// Whether packages can be installed here: apt is there and we are root.
pub fn can_install() -> bool {
    find("apt-get").is_some() && ask(Command::new("id").arg("-u")).as_deref() == Some("0")
}

/// Which of these Debian packages are not installed.
pub fn lacking<'a>(packages: &[&'a str]) -> Vec<&'a str> {
    let installed = |package: &str| {
        ask(Command::new("dpkg-query").args(["-W", "-f=${db:Status-Status}", package])).as_deref()
            == Some("installed")
    };
    packages.iter().copied().filter(|package| !installed(package)).collect()
}

/// Installs Debian packages; says what it does. Assumes [`can_install`].
pub fn install(packages: &[&str]) -> Outcome {
    say(&format!("installing {} with apt-get", packages.join(" ")));
    let apt = || {
        let mut command = Command::new("apt-get");
        command.env("DEBIAN_FRONTEND", "noninteractive");
        command
    };
    run(apt().args(["update", "-qq"]))?;
    run(apt().args(["install", "-y", "-qq", "--no-install-recommends"]).args(packages))
}

/// Makes sure that a program is there: finds it, or installs its packages, or says what to type.
pub fn need(programs: &[&str], packages: &[&str]) -> Outcome {
    let missing: Vec<&str> = programs.iter().copied().filter(|program| find(program).is_none()).collect();
    if missing.is_empty() {
        return Ok(());
    }
    if can_install() {
        install(packages)?;
        if programs.iter().all(|program| find(program).is_some()) {
            return Ok(());
        }
    }
    Err(Failure::Missing {
        what: format!("This needs {}, which is not on the search path.", missing.join(" and ")),
        type_this: format!("sudo apt-get install {}", packages.join(" ")),
    })
}
