//! `cargo xtask`: builds, serves and checks Halfrow.
//!
//! [build] makes `dist/` by way of [wasm] (which cargo, which flags), [skeleton] and [squeeze]
//! (sizes); [serve] shows it; [mod@test] checks all, with [tally] and [npm]; [mod@bench] measures;
//! [shots] takes pictures,
//! [licences] lists what others wrote. [house] knows the folders, [tools] the programs, [failure] the words when
//! something is missing.

mod bench;
mod build;
mod failure;
mod house;
mod licences;
mod npm;
mod serve;
mod shots;
mod skeleton;
mod squeeze;
mod tally;
mod test;
mod tools;
mod wasm;

use build::Wanted;
use failure::{Failure, Outcome};
use std::process::ExitCode;

const USAGE: &str = "\
cargo xtask COMMAND

  build                 the optimised page in dist/, for any static host
        [--quick]       not optimised, within seconds, for trying things out
  serve [--port N]      build, then serve on 127.0.0.1 (8080, or the next free port)
        [--fast]        serve what is in dist/ already
        [--quick]       build it not optimised
  test [--only a,b]     everything CI runs, or some of: fmt, clippy, doc, licences, native, fuzz,
                        outside, wasm, build, size, e2e, axe, lighthouse
  bench [--fast]        how fast the engine and the page are, measured against their budgets
        [--drags]       only how long a leg takes to move, and where the time of a drop goes
  licences              what others wrote in the page and the command line, with its licences
  shots                 the page as pictures in shots/, four sizes, light, dark and forced colours
        [--only 1366x768-light,360x740]  [--url-suffix '?example=harbour-mouth']
        [--script FILE.js]  run in the page before each shot
        [--fast]        of what is in dist/ already
        [--quick]       of one that is not optimised
";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match command(&words) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("\n{failure}");
            ExitCode::FAILURE
        }
    }
}

fn command(words: &[String]) -> Outcome {
    let Some((name, rest)) = words.split_first() else {
        print!("{USAGE}");
        return Ok(());
    };
    let mut options = Options::new(rest);
    match name.as_str() {
        "build" => {
            let wanted = options.wanted();
            options.done()?;
            build::build(wanted)
        }
        "serve" => {
            let port = options.number("--port")?.unwrap_or(8080);
            let wanted = options.wanted();
            options.done()?;
            serve::serve(port, wanted)
        }
        "test" => {
            let only = options.value("--only")?;
            options.done()?;
            test::test(only.as_deref())
        }
        "bench" => {
            let (fast, drags) = (options.flag("--fast"), options.flag("--drags"));
            options.done()?;
            if drags { bench::drags(fast) } else { bench::bench(fast) }
        }
        "shots" => {
            let wish = shots::Wish {
                suffix: options.value("--url-suffix")?.unwrap_or_default(),
                only: options.value("--only")?,
                script: options.value("--script")?.map(Into::into),
                page: options.wanted(),
            };
            options.done()?;
            shots::shots(&wish)
        }
        "licences" => {
            options.done()?;
            licences::list()
        }
        "help" | "--help" | "-h" => {
            print!("{USAGE}");
            Ok(())
        }
        other => Err(Failure::Usage(format!("There is no command {other}.\n\n{USAGE}"))),
    }
}

/// The words after the command's name, taken one by one.
struct Options {
    left: Vec<String>,
}

impl Options {
    fn new(words: &[String]) -> Self {
        Self { left: words.to_vec() }
    }

    fn flag(&mut self, name: &str) -> bool {
        let before = self.left.len();
        self.left.retain(|word| word != name);
        self.left.len() != before
    }

    fn wanted(&mut self) -> Wanted {
        match (self.flag("--fast"), self.flag("--quick")) {
            (true, _) => Wanted::Kept,
            (_, true) => Wanted::Quick,
            _ => Wanted::Optimised,
        }
    }

    fn value(&mut self, name: &str) -> Outcome<Option<String>> {
        let Some(place) = self.left.iter().position(|word| word == name) else { return Ok(None) };
        self.left.remove(place);
        if place < self.left.len() {
            return Ok(Some(self.left.remove(place)));
        }
        Err(Failure::Usage(format!("{name} needs a value.\n\n{USAGE}")))
    }

    fn number(&mut self, name: &str) -> Outcome<Option<u16>> {
        let Some(text) = self.value(name)? else { return Ok(None) };
        match text.parse() {
            Ok(number) => Ok(Some(number)),
            Err(_) => Err(Failure::Usage(format!("{name} needs a number, not {text}."))),
        }
    }

    fn done(self) -> Outcome {
        match self.left.first() {
            None => Ok(()),
            Some(word) => Err(Failure::Usage(format!("There is no option {word} here.\n\n{USAGE}"))),
        }
    }
}
