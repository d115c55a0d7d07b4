//! `halfrow draw`: the bench as a picture.

use clap::Args;
use halfrow_core::solve::solve;
use halfrow_file::link;
use serde_json::json;

use super::{Answer, BenchFile, ended, lines};
use crate::Output;
use crate::failure::Failure;

/// Draws a bench as SVG, with its findings
#[derive(Args)]
pub struct Draw {
    #[command(flatten)]
    bench: BenchFile,
}

impl Answer for Draw {
    const NAME: &'static str = "draw";

    fn answer(&self, json: bool) -> Result<Output, Failure> {
        let bench = self.bench.read()?;
        let point = solve(&bench);
        let findings = halfrow_judge::check(&bench, &point);
        let svg = halfrow_draw::svg(&bench, &point, &findings, &link::encode(&bench));
        Ok(Output::fine(if json { lines(&json!({ "svg": svg })) } else { ended(svg) }))
    }
}
