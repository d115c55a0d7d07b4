//! `halfrow schema` and `halfrow actions-schema`: what files must look like.

use clap::Args;

use super::{Answer, ended};
use crate::Output;
use crate::failure::Failure;

/// Prints the JSON Schema of bench files
#[derive(Args)]
pub struct Schema {}

impl Answer for Schema {
    const NAME: &'static str = "schema";

    fn answer(&self, _json: bool) -> Result<Output, Failure> {
        Ok(Output::fine(ended(halfrow_file::schema_text())))
    }
}

/// Prints the JSON Schema of files of timed actions
#[derive(Args)]
pub struct ActionsSchema {}

impl Answer for ActionsSchema {
    const NAME: &'static str = "actions-schema";

    fn answer(&self, _json: bool) -> Result<Output, Failure> {
        Ok(Output::fine(ended(halfrow_file::actions::schema_text())))
    }
}
