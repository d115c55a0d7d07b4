//! `halfrow link`: the bench as a link.

use clap::Args;
use serde_json::json;

use super::{Answer, BenchFile, ended, lines};
use crate::Output;
use crate::failure::Failure;

/// Packs a bench into the end of a link: put it behind the page’s address
#[derive(Args)]
pub struct Link {
    #[command(flatten)]
    bench: BenchFile,
}

impl Answer for Link {
    const NAME: &'static str = "link";

    fn answer(&self, json: bool) -> Result<Output, Failure> {
        let link = halfrow_file::link::encode(&self.bench.read()?);
        Ok(Output::fine(if json { lines(&json!({ "link": link })) } else { ended(link) }))
    }
}
