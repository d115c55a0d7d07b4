//! `halfrow completions`: what a shell needs to complete commands and options.

use clap::Args;
use clap_complete::Shell;

use super::Answer;
use crate::Output;
use crate::failure::Failure;
use crate::request;

/// Prints what a shell needs to complete commands and options
#[derive(Args)]
pub struct Completions {
    /// The shell; its manual says where the script goes.
    #[arg(value_name = "SHELL")]
    shell: Shell,
}

impl Answer for Completions {
    const NAME: &'static str = "completions";

    fn answer(&self, _json: bool) -> Result<Output, Failure> {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut request::command(), "halfrow", &mut script);
        Ok(Output::fine(String::from_utf8_lossy(&script).into_owned()))
    }
}
