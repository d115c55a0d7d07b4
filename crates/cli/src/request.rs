//! What can be asked on the command line.

use std::ffi::OsString;
use std::fmt;

/// What `--help` prints.
pub const HELP: &str = "\
halfrow: a breadboard bench, worked out and looked over

Usage: halfrow COMMAND [--json]

  solve BENCH      voltages and currents of the bench
  check BENCH      what is wrong with it, where, and what to do
  list BENCH       its wiring list: a part a line
  link BENCH       the bench as the end of a link: put it behind the page's address
  open LINK        the bench file that a link holds
  draw BENCH       a picture of the bench (SVG) with its findings
  schema           the JSON schema of bench files
  examples         the examples that come with Halfrow
  examples NAME    the bench file of an example

BENCH is a bench file; - reads it from standard input. So does - for LINK.

  --json           answer for programs
  -h, --help       this text
  -V, --version    the version

Exit status: 0 fine, 1 there are findings, 2 the request or the file makes no sense.

Batteries and small supplies only, never the mains.
";

/// What to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Command {
    /// Print the help.
    Help,
    /// Print the version.
    Version,
    /// The operating point of a bench.
    Solve(OsString),
    /// The findings of a bench.
    Check(OsString),
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
    /// All examples.
    Examples,
    /// One example.
    Example(OsString),
}

/// A request.
#[derive(Clone, Debug, PartialEq, Eq)]
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
                "“{word}” is no command. There are solve, check, list, link, open, draw, schema and examples; “halfrow --help” explains them."
            ),
            BadRequest::UnknownOption(word) => {
                write!(f, "“{word}” is no option. There are --json, --help and --version.")
            }
            BadRequest::Missing { command, needs } => {
                let what = if *needs == "LINK" {
                    "the link, in quotes"
                } else {
                    "the name of a bench file, or - to read standard input"
                };
                write!(f, "“{command}” needs {what}: halfrow {command} {needs}")
            }
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
    for word in words {
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
        "list" => Command::List(needed("list", "BENCH")?),
        "link" => Command::Link(needed("link", "BENCH")?),
        "open" => Command::Open(needed("open", "LINK")?),
        "draw" => Command::Draw(needed("draw", "BENCH")?),
        "schema" => Command::Schema,
        "examples" => plain.next().map_or(Command::Examples, Command::Example),
        _ => return Err(BadRequest::UnknownCommand(name)),
    };
    match plain.next() {
        Some(word) if command != Command::Help => {
            Err(BadRequest::TooMany { command: name, word: word.to_string_lossy().into_owned() })
        }
        _ => Ok(Request { command, json }),
    }
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
