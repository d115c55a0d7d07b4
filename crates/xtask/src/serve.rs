//! `cargo xtask serve`: the page on this machine.

use crate::build::Wanted;
use crate::failure::{Failure, Outcome};
use crate::tools::{heading, say};
use crate::{build, house, squeeze};
use halfrow_server::{Server, Setup};
use std::path::Path;

/// How many ports to try after the one asked for. More would hide that something is wrong.
const NEIGHBOURS: u16 = 20;

/// Builds the page and serves it until the terminal stops it.
pub fn serve(port: u16, wanted: Wanted) -> Outcome {
    build::build(wanted)?;
    heading("serve");
    let server = open(port)?;
    say(&format!("Halfrow is at {}  (Ctrl+C stops it)", server.address()));
    server.wait();
    Ok(())
}

/// Serves `dist/` at the port, or at the next free one. Port 0 takes any.
pub fn open(port: u16) -> Outcome<Server> {
    if !build::built() {
        return Err(Failure::Missing {
            what: "There is no page yet.".into(),
            type_this: "cargo xtask build".into(),
        });
    }
    open_folder(&house::dist(), port)
}

/// Serves a folder that holds a page.
pub fn open_folder(folder: &Path, port: u16) -> Outcome<Server> {
    let mut last = None;
    for neighbour in port..=port.saturating_add(NEIGHBOURS) {
        let setup = Setup {
            port: neighbour,
            squeeze: Some(|content| squeeze::compressed(content).ok()),
            ..Setup::default()
        };
        match Server::start(folder, setup) {
            Ok(server) => {
                if neighbour != port {
                    say(&format!("port {port} is taken"));
                }
                return Ok(server);
            }
            Err(error) => last = Some(error),
        }
    }
    let error = last.map(|error| error.to_string()).unwrap_or_default();
    Err(Failure::Check(format!(
        "no port from {port} to {} can be opened: {error}",
        port.saturating_add(NEIGHBOURS)
    )))
}
