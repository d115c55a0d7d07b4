//! What can be asked on the command line.

use std::ffi::OsString;
use std::fmt;

use crate::ran::{MAX_STEPS, Wanted, seconds};

/// What `--help` prints.
pub const HELP: &str = "\
halfrow: a breadboard bench, worked out and looked over

Usage: halfrow COMMAND [--json]

  solve BENCH      voltages and currents of the bench
  check BENCH      what is wrong with it, where, and what to do
  run BENCH        what it does over time (see below)
  list BENCH       its wiring list: a part a line
  link BENCH       the bench as the end of a link: put it behind the page's address
  open LINK        the bench file that a link holds
  draw BENCH       a picture of the bench (SVG) with its findings
  schema           the JSON schema of bench files
  actions-schema   the JSON schema of files of timed actions
  examples         the examples that come with Halfrow
  examples NAME    the bench file of an example

BENCH is a bench file; - reads it from standard input. So does - for LINK.

  run BENCH --for 2s [--every 10ms] [--watch e5,f14,R1,D1.K] [--actions FILE]
                   lets the clock run from when the power comes on: voltages of
                   the watched holes, currents into the watched parts (first pin,
                   or the one after the point). Times in s, ms, us, ns.
  --actions FILE   what is done meanwhile: buttons, legs, knobs at their times
  --csv            rows for a spreadsheet
  --live           as closely as the page computes; else about a hundred times closer
  --steps N        steps before it gives up, 20 million unless told

  --json           answer for programs
  -h, --help       this text
  -V, --version    the version

Exit status: 0 fine, 1 there are findings, 2 the request or the file makes no sense.

Batteries and small supplies only, never the mains.
";

/// What to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    /// Print the help.
    Help,
    /// Print the version.
    Version,
    /// The operating point of a bench.
    Solve(OsString),
    /// The findings of a bench.
    Check(OsString),
    /// A bench over time.
    Run(Box<Wanted>),
    /// The wiring list of a bench.
    List(OsString),
    /// The link of a bench.
    Link(OsString),
    /// The bench of a link.
    Open(OsString),
    /// The picture of a bench.
    Draw(OsString),
    /// The schema of bench files.
    Schema,
    /// The schema of files of timed actions.
    ActionsSchema,
    /// All examples.
    Examples,
    /// One example.
    Example(OsString),
}

/// A request.
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    /// What to do.
    pub command: Command,
    /// Whether a program reads the answer.
    pub json: bool,
}

/// Why the words make no request.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BadRequest {
    /// No word at all.
    Nothing,
    /// A command that is not known.
    UnknownCommand(String),
    /// An option that is not known.
    UnknownOption(String),
    /// The command needs a word more.
    Missing {
        /// The command.
        command: &'static str,
        /// What it needs.
        needs: &'static str,
    },
    /// An option without what it needs, or with something else.
    BadOption {
        /// The option.
        option: &'static str,
        /// What it needs.
        needs: &'static str,
    },
    /// Both the bench and the actions from standard input.
    TwoInputs,
    /// A word too many.
    TooMany {
        /// The command.
        command: String,
        /// The word.
        word: String,
    },
}

impl fmt::Display for BadRequest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BadRequest::Nothing => write!(
                f,
                "no command. Try “halfrow check BENCH” with a bench file, or “halfrow --help” for all commands."
            ),
            BadRequest::UnknownCommand(word) => write!(
                f,
                "“{word}” is no command. There are solve, check, run, list, link, open, draw, schema, actions-schema and examples; “halfrow --help” explains them."
            ),
            BadRequest::UnknownOption(word) => {
                write!(
                    f,
                    "“{word}” is no option. There are --json, --help and --version, and for run --for, --every, --watch, --actions, --csv, --live and --steps."
                )
            }
            BadRequest::Missing { command, needs } => {
                let what = if *needs == "LINK" {
                    "the link, in quotes"
                } else {
                    "the name of a bench file, or - to read standard input"
                };
                write!(f, "“{command}” needs {what}: halfrow {command} {needs}")
            }
            BadRequest::BadOption { option, needs } => write!(f, "{option} needs {needs}."),
            BadRequest::TwoInputs => write!(
                f,
                "the bench and the actions can’t both come from standard input (-). Name a file for one of them."
            ),
            BadRequest::TooMany { command, word } => {
                write!(f, "“{word}” is a word too many for “{command}”. Names with spaces need quotes.")
            }
        }
    }
}

impl Request {
    /// Reads the words after the program's name. Options may stand anywhere; after `--` there are
    /// none.
    ///
    /// # Errors
    /// When they make no request.
    pub fn parse(words: impl Iterator<Item = OsString>) -> Result<Request, crate::input::Failure> {
        Ok(parse(words)?)
    }
}

fn parse(words: impl Iterator<Item = OsString>) -> Result<Request, BadRequest> {
    let mut plain: Vec<OsString> = Vec::new();
    let (mut json, mut help, mut version, mut only_plain) = (false, false, false, false);
    let mut wanted = Wanted {
        bench: OsString::new(),
        actions: None,
        seconds: 0.0,
        every: 0.01,
        watch: Vec::new(),
        csv: false,
        live: false,
        steps: MAX_STEPS,
    };
    let mut run_options = None;
    let mut words = words;
    while let Some(word) = words.next() {
        if !only_plain && let Some(option) = RUN_OPTIONS.into_iter().find(|it| word == it.0) {
            run_options = Some(option.0);
            run_option(&mut wanted, option, &mut words)?;
            continue;
        }
        match word.to_str() {
            Some("--") if !only_plain => only_plain = true,
            Some("--json") if !only_plain => json = true,
            Some("--help" | "-h") if !only_plain => help = true,
            Some("--version" | "-V") if !only_plain => version = true,
            Some(option) if !only_plain && option.starts_with('-') && option != "-" => {
                return Err(BadRequest::UnknownOption(option.to_owned()));
            }
            _ => plain.push(word),
        }
    }
    if help || version {
        return Ok(Request { command: if help { Command::Help } else { Command::Version }, json });
    }
    let mut plain = plain.into_iter();
    let name = plain.next().ok_or(BadRequest::Nothing)?.to_string_lossy().into_owned();
    let mut needed = |command: &'static str, needs: &'static str| {
        plain.next().ok_or(BadRequest::Missing { command, needs })
    };
    let command = match name.as_str() {
        "help" => Command::Help,
        "solve" => Command::Solve(needed("solve", "BENCH")?),
        "check" => Command::Check(needed("check", "BENCH")?),
        "run" => {
            wanted.bench = needed("run", "BENCH")?;
            if wanted.seconds == 0.0 {
                return Err(BadRequest::BadOption {
                    option: "run",
                    needs: "--for with a length of time, such as --for 2s",
                });
            }
            if wanted.bench == "-" && wanted.actions.as_ref().is_some_and(|it| it == "-") {
                return Err(BadRequest::TwoInputs);
            }
            run_options = None;
            Command::Run(Box::new(wanted))
        }
        "list" => Command::List(needed("list", "BENCH")?),
        "link" => Command::Link(needed("link", "BENCH")?),
        "open" => Command::Open(needed("open", "LINK")?),
        "draw" => Command::Draw(needed("draw", "BENCH")?),
        "schema" => Command::Schema,
        "actions-schema" => Command::ActionsSchema,
        "examples" => plain.next().map_or(Command::Examples, Command::Example),
        _ => return Err(BadRequest::UnknownCommand(name)),
    };
    if let Some(option) = run_options {
        return Err(BadRequest::BadOption { option, needs: "the command run" });
    }
    match plain.next() {
        Some(word) if command != Command::Help => {
            Err(BadRequest::TooMany { command: name, word: word.to_string_lossy().into_owned() })
        }
        _ => Ok(Request { command, json }),
    }
}

/// The options of `run` and what each needs.
const RUN_OPTIONS: [(&str, &str); 7] = [
    ("--for", "a length of time up to a day, such as --for 2s"),
    ("--every", "a length of time, such as --every 10ms"),
    ("--watch", "holes, parts or legs, such as --watch e5,R1,D1.A"),
    ("--actions", "the name of a file"),
    ("--steps", "a whole number, such as --steps 1000000"),
    ("--csv", ""),
    ("--live", ""),
];

fn run_option(
    wanted: &mut Wanted,
    (option, needs): (&'static str, &'static str),
    words: &mut impl Iterator<Item = OsString>,
) -> Result<(), BadRequest> {
    let bad = || BadRequest::BadOption { option, needs };
    let mut next = || words.next().ok_or_else(bad);
    let word = |word: OsString| word.into_string().map_err(|_| bad());
    match option {
        "--csv" => wanted.csv = true,
        "--live" => wanted.live = true,
        "--actions" => wanted.actions = Some(next()?),
        "--for" => wanted.seconds = seconds(&word(next()?)?).ok_or_else(bad)?,
        "--every" => wanted.every = seconds(&word(next()?)?).ok_or_else(bad)?,
        "--steps" => wanted.steps = word(next()?)?.parse().map_err(|_| bad())?,
        _ => {
            let list = word(next()?)?;
            wanted.watch.extend(list.split(',').filter(|it| !it.is_empty()).map(str::to_owned));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(line: &str) -> Result<Request, BadRequest> {
        parse(line.split_whitespace().map(OsString::from))
    }

    #[test]
    fn options_may_stand_anywhere_before_two_dashes() {
        let solve = |file: &str, json| Ok(Request { command: Command::Solve(file.into()), json });
        assert_eq!(asked("solve a.json"), solve("a.json", false));
        assert_eq!(asked("--json solve a.json"), solve("a.json", true));
        assert_eq!(asked("solve a.json --json"), solve("a.json", true));
        assert_eq!(asked("solve -"), solve("-", false));
        assert_eq!(asked("solve -- --json"), solve("--json", false));
    }

    #[test]
    fn run_takes_its_options_in_any_order() {
        let Ok(Request { command: Command::Run(wanted), json: true }) =
            asked("run --every 5ms a.json --for 2s --json --watch e5,R1 --watch D1.K --csv")
        else {
            panic!("a run");
        };
        assert_eq!((wanted.seconds, wanted.every, wanted.csv, wanted.live), (2.0, 0.005, true, false));
        assert_eq!(wanted.watch, ["e5", "R1", "D1.K"]);
        for line in ["run a.json", "run a.json --for 2", "run a.json --for", "solve a.json --for 2s"] {
            assert!(matches!(asked(line), Err(BadRequest::BadOption { .. })), "{line}");
        }
    }

    #[test]
    fn words_that_make_no_request_are_named() {
        assert_eq!(asked(""), Err(BadRequest::Nothing));
        assert_eq!(asked("mend a.json"), Err(BadRequest::UnknownCommand("mend".to_owned())));
        assert_eq!(asked("solve --fast a.json"), Err(BadRequest::UnknownOption("--fast".to_owned())));
        assert_eq!(asked("check"), Err(BadRequest::Missing { command: "check", needs: "BENCH" }));
        assert_eq!(
            asked("schema now"),
            Err(BadRequest::TooMany { command: "schema".to_owned(), word: "now".to_owned() })
        );
    }
}
