//! `halfrow open`: the bench that a link holds.

use std::ffi::OsString;

use clap::Args;
use halfrow_file::link;

use super::{Answer, ended};
use crate::Output;
use crate::failure::Failure;
use crate::input;

/// Unpacks the bench file that a link holds
#[derive(Args)]
pub struct Open {
    /// The link, in quotes; - reads it from standard input, since a link may be longer than a shell takes.
    #[arg(value_name = "LINK")]
    link: OsString,
}

impl Answer for Open {
    const NAME: &'static str = "open";

    fn answer(&self, _json: bool) -> Result<Output, Failure> {
        let text = match self.link.as_os_str() {
            link if link == "-" => input::text(link)?,
            link => link.to_string_lossy().into_owned(),
        };
        let bench = link::decode(&text).map_err(|error| Failure::no_bench("the link".to_owned(), error))?;
        Ok(Output::fine(ended(halfrow_file::write(&bench))))
    }
}
