//! Where things are.

use std::path::{Path, PathBuf};

/// The folder of the workspace.
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.ancestors().nth(2).expect("crates/xtask is two folders down").to_owned()
}

/// The page as a host would serve it.
pub fn dist() -> PathBuf {
    root().join("dist")
}

/// What cargo builds go to, and our own caches.
pub fn target() -> PathBuf {
    match std::env::var_os("CARGO_TARGET_DIR") {
        Some(elsewhere) => root().join(elsewhere),
        None => root().join("target"),
    }
}
