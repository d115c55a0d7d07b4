//! What cargo calls to run a wasm test: `wasmtest-runner test.wasm [options of the tests]`.
//!
//! `cargo xtask test --only wasm` names it to cargo. It lives here as a crate, so that the lock file
//! fixes its version together with the library's, and nobody has to install it.

use std::process::ExitCode;

fn main() -> ExitCode {
    match wasm_bindgen_cli::wasm_bindgen_test_runner::run_cli_with_args(std::env::args_os()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error:?}");
            ExitCode::FAILURE
        }
    }
}
