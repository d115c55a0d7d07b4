//! Cargo for `wasm32-unknown-unknown`, by whichever route this machine offers.
//!
//! 1. The Rust in use has the wasm32 standard library: plain cargo.
//! 2. Debian or Ubuntu: the distribution's own Rust with its sources, from which cargo builds the
//!    standard library. Missing packages are installed when we are root.
//! 3. Anywhere else: say what to type.
//!
//! Nothing here ever changes a rustup toolchain by itself: where rustup's server is out of reach
//! that can break every later call of cargo.

use crate::failure::{Failure, Outcome};
use crate::house;
use crate::tools::{self, ask, say};
use std::path::{Path, PathBuf};
use std::process::Command;

/// The target that browsers run.
pub const TARGET: &str = "wasm32-unknown-unknown";

const DEBIAN_PACKAGES: [&str; 5] = ["rustc-web", "cargo-web", "rust-web-src", "rust-web-llvm", "lld-22"];
const DEBIAN_RUSTC: &str = "/usr/bin/rustc";
const DEBIAN_CARGO: &str = "/usr/bin/cargo";
const DEBIAN_LINKER: &str = "/usr/bin/rust-lld";

/// How wasm gets built on this machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Route {
    /// The Rust in use has the library.
    Present,
    /// Debian's Rust builds the library from source.
    Debian,
}

impl Route {
    /// Finds the route, installing what it lacks; says what it does.
    ///
    /// # Errors
    /// [`Failure::Missing`] with the command to type where no route is open.
    pub fn choose() -> Outcome<Self> {
        if library_present() {
            say("wasm32 standard library: present in the Rust in use");
            return Ok(Self::Present);
        }
        let debian =
            || [DEBIAN_RUSTC, DEBIAN_CARGO, DEBIAN_LINKER].iter().all(|file| Path::new(file).exists());
        let lacking = || if debian() { tools::lacking(&DEBIAN_PACKAGES) } else { DEBIAN_PACKAGES.to_vec() };
        if tools::find("dpkg-query").is_some() {
            let missing = lacking();
            if !missing.is_empty() && tools::can_install() {
                tools::install(&missing)?;
            }
            if lacking().is_empty() {
                say("wasm32 standard library: built from source by Debian's Rust (rustc-web)");
                return Ok(Self::Debian);
            }
            if tools::find("rustup").is_none() {
                return Err(Failure::Missing {
                    what: "The page is WebAssembly, and this Rust lacks the wasm32 standard library.".into(),
                    type_this: format!("sudo apt-get install {}", DEBIAN_PACKAGES.join(" ")),
                });
            }
        }
        Err(Failure::Missing {
            what: "The page is WebAssembly, and this Rust lacks the wasm32 standard library.".into(),
            type_this: format!("rustup target add {TARGET}"),
        })
    }

    /// A cargo subcommand for the wasm target, with paths of this machine kept out of what it builds.
    pub fn cargo(self, subcommand: &str) -> Outcome<Command> {
        let mut command = self.bare_cargo();
        command.args([subcommand, "--locked", "--target", TARGET]);
        if self == Self::Debian {
            command.arg("-Zbuild-std=std,panic_abort");
        }
        let mut flags = self.remapped_paths()?;
        if self == Self::Debian && subcommand == "build" {
            // The standard library is built here too, so that it can be built small: with its small
            // algorithms, and with panics that stop at once instead of composing a message that
            // nobody reads. The page says what it can say then (see `boot.js`).
            command.arg("-Zbuild-std-features=optimize_for_size");
            for flag in [
                "-Zlocation-detail=none",
                "-Zfmt-debug=shallow",
                "-Zunstable-options",
                "-Cpanic=immediate-abort",
                // For the smallest code LLVM inlines what costs up to 5; at 10 the calls that it saves
                // weigh more than the copies (measured: 0, 5, 12 and 25 give larger files).
                "-Cllvm-args=--inline-threshold=10",
            ] {
                flags.push(flag.to_owned());
            }
        }
        command.env("CARGO_ENCODED_RUSTFLAGS", flags.join("\u{1f}"));
        Ok(command)
    }

    /// The folder that holds `<profile>/<name>.wasm` after a build.
    pub fn output(self) -> PathBuf {
        match self {
            Self::Present => house::target().join(TARGET),
            Self::Debian => debian_target().join(TARGET),
        }
    }

    fn bare_cargo(self) -> Command {
        match self {
            Self::Present => tools::cargo(),
            Self::Debian => {
                let mut command = Command::new(DEBIAN_CARGO);
                command.current_dir(house::root());
                // Rustup and the cargo above us leave traces that would bend this one.
                for trace in
                    ["RUSTUP_TOOLCHAIN", "CARGO", "LD_LIBRARY_PATH", "RUSTFLAGS", "RUSTDOC", "RUSTC_WRAPPER"]
                {
                    command.env_remove(trace);
                }
                command
                    .env("RUSTC_BOOTSTRAP", "1")
                    .env("RUSTC", DEBIAN_RUSTC)
                    .env("CARGO_TARGET_DIR", debian_target())
                    .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", DEBIAN_LINKER);
                command
            }
        }
    }

    /// Compiler flags that replace this machine's folders by neutral names.
    ///
    /// Source paths stand in the panic messages that rustc compiles in. They would tell strangers
    /// about the builder's machine and make two builds of one commit differ.
    fn remapped_paths(self) -> Outcome<Vec<String>> {
        // The registry's folders appear with the first fetch; only then do they have a name.
        tools::run(self.bare_cargo().args(["fetch", "--locked", "--quiet", "--target", TARGET]))?;
        let mut pairs = vec![(house::root(), "halfrow")];
        let registry = cargo_home().join("registry/src");
        if let Ok(folders) = std::fs::read_dir(&registry) {
            pairs.extend(folders.flatten().map(|folder| (folder.path(), "crates")));
        }
        pairs.push((cargo_home(), "cargo"));
        if let Some(sysroot) = ask(self.rustc().args(["--print", "sysroot"])) {
            let sources = Path::new(&sysroot).join("lib/rustlib/src/rust");
            if let Ok(real) = sources.canonicalize() {
                pairs.push((real, "rust"));
            }
            pairs.push((sources, "rust"));
        }
        // Of two prefixes that fit, rustc takes the later one: the more particular must come last.
        pairs.sort_by_key(|(folder, _)| folder.as_os_str().len());
        Ok(pairs
            .into_iter()
            .map(|(folder, name)| format!("--remap-path-prefix={}={name}", folder.display()))
            .collect())
    }

    fn rustc(self) -> Command {
        match self {
            Self::Present => rustc_in_use(),
            Self::Debian => Command::new(DEBIAN_RUSTC),
        }
    }
}

/// Where cargo keeps what it downloads.
pub fn cargo_home() -> PathBuf {
    if let Some(home) = std::env::var_os("CARGO_HOME") {
        return PathBuf::from(home);
    }
    PathBuf::from(std::env::var_os("HOME").unwrap_or_default()).join(".cargo")
}

fn debian_target() -> PathBuf {
    house::target().join("debian")
}

fn rustc_in_use() -> Command {
    Command::new(std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into()))
}

fn library_present() -> bool {
    let Some(folder) = ask(rustc_in_use().args(["--print", "target-libdir", "--target", TARGET])) else {
        return false;
    };
    let Ok(entries) = std::fs::read_dir(folder) else { return false };
    entries.flatten().any(|entry| entry.file_name().to_string_lossy().starts_with("libcore-"))
}
