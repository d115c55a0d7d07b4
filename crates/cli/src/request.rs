//! How the words of the command line are read: clap takes them apart, the words for what makes no sense
//! are our own.

use std::ffi::OsString;
use std::fmt;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Arg, ArgAction};

use crate::Output;
use crate::commands::ALL;
use crate::failure::Failure;

const AFTER: &str = "\
“halfrow COMMAND --help” explains a command.

Exit status: 0 fine, 1 there are findings, 2 the request or the file makes no sense.

Batteries and small supplies only, never the mains.";

/// The whole command line, for clap.
pub fn command() -> clap::Command {
    let json = Arg::new("json").long("json").global(true).action(ArgAction::SetTrue).display_order(100);
    clap::Command::new("halfrow")
        .version(env!("CARGO_PKG_VERSION"))
        .about("A breadboard bench, worked out and looked over")
        .after_help(AFTER)
        // An option that is given twice counts as its last.
        .args_override_self(true)
        .arg(json.help("Answer for programs, as JSON"))
        .subcommands(ALL.iter().map(|it| (it.describe)()))
}

/// Answers the words after the program's name.
///
/// # Errors
/// When they make no request, or it can't be answered.
pub fn answer(words: Vec<OsString>) -> Result<Output, Failure> {
    let asked = ALL.iter().map(|it| it.name).find(|name| words.iter().any(|word| word == name));
    let program = std::iter::once("halfrow".into());
    let matches = match command().try_get_matches_from(program.chain(words)) {
        Ok(matches) => matches,
        Err(error) if matches!(error.kind(), ErrorKind::DisplayHelp | ErrorKind::DisplayVersion) => {
            return Ok(Output::fine(error.to_string()));
        }
        Err(error) => return Err(BadRequest::of(&error, asked).into()),
    };
    let (name, words) = matches.subcommand().ok_or(BadRequest::Nothing)?;
    let entry = ALL.iter().find(|it| it.name == name).ok_or(BadRequest::Nothing)?;
    (entry.answer)(words, words.get_flag("json"))
}

/// Why the words make no request.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BadRequest {
    /// No word at all.
    Nothing,
    /// A command that is not known, and one that is called like it.
    UnknownCommand {
        /// The word.
        word: String,
        /// What may have been meant.
        near: Option<String>,
    },
    /// An option that the command does not have.
    UnknownOption {
        /// The command, if there is one among the words.
        command: Option<&'static str>,
        /// The word.
        word: String,
        /// What may have been meant.
        near: Option<String>,
    },
    /// The command needs a word more.
    Missing {
        /// The command.
        command: Option<&'static str>,
        /// The option, or the name of what it needs.
        word: String,
    },
    /// An option without what it needs, or with something else.
    BadValue {
        /// The option, or the name of what it needs, as clap shows it: `--for <TIME>`.
        shown: String,
    },
    /// Both the bench and the actions from standard input.
    TwoInputs,
    /// A word too many.
    TooMany {
        /// The command, if there is one among the words.
        command: Option<&'static str>,
        /// The word.
        word: String,
    },
    /// Anything else that clap finds, in its words.
    Other(String),
}

impl BadRequest {
    /// What clap found, for the command that is among the words.
    pub fn of(error: &clap::Error, command: Option<&'static str>) -> BadRequest {
        let told = |kind| match error.get(kind) {
            Some(ContextValue::String(word)) => Some(word.clone()),
            // Of several clap names the likeliest last, and of what is missing the plain words.
            Some(ContextValue::Strings(words)) => words.last().cloned(),
            _ => None,
        };
        let word = told(ContextKind::InvalidArg).unwrap_or_default();
        match error.kind() {
            ErrorKind::InvalidSubcommand => BadRequest::UnknownCommand {
                word: told(ContextKind::InvalidSubcommand).unwrap_or_default(),
                near: told(ContextKind::SuggestedSubcommand),
            },
            ErrorKind::UnknownArgument if word.starts_with('-') => {
                BadRequest::UnknownOption { command, word, near: told(ContextKind::SuggestedArg) }
            }
            ErrorKind::UnknownArgument => BadRequest::TooMany { command, word },
            ErrorKind::MissingRequiredArgument => BadRequest::Missing { command, word },
            ErrorKind::InvalidValue | ErrorKind::ValueValidation => BadRequest::BadValue { shown: word },
            _ => {
                let text = error.to_string();
                let first = text.lines().next().unwrap_or_default();
                BadRequest::Other(first.trim_start_matches("error: ").to_owned())
            }
        }
    }
}

/// What stands behind an option, by the name that the help gives it.
fn needs(value_name: &str) -> &'static str {
    match value_name {
        "PLAN" => "the name of the plan’s file, or - to read standard input",
        "BUILD" => "the name of the build’s bench file, or - to read standard input",
        "BENCH" => "the name of a bench file, or - to read standard input",
        "FILE" => "the name of a file, or - to read standard input",
        "LINK" => "the link, in quotes",
        "TIME" => "a length of time up to a day, such as 2s or 10ms",
        "DIAL" => "a position of the dial, such as dc-20v or ohm-2k",
        "SOCKET" => "a socket: vom, 10a or com",
        "KIND" => "10m or cheap",
        "TIP" => "a hole such as c16, or a leg such as R1.1",
        "LEG" => "a leg, such as R1.1",
        "SEEN" => "a part and what it does, such as D2=dark",
        "READING" => "what was measured, such as c16:g16=3.4V or R2=3.4V",
        "FOUND" => "what a look found, such as R2.2=b13 or D2=backwards",
        "TRIED" => "what was tried, such as BT1=exchanged",
        "SETTING" => "a setting of a part, such as SB1.pressed=true",
        "PLACES" => "holes, parts or legs, such as e5,R1,D1.A",
        "COUNT" => "a whole number, such as 1000000",
        "SHELL" => "bash, elvish, fish, powershell or zsh",
        _ => "a value that makes sense; “--help” explains it",
    }
}

/// `--for` and what it needs, of `--for <TIME>`; only what is needed, of `<BENCH>`.
fn option_and_needs(shown: &str) -> (&str, &'static str) {
    let (option, name) = shown.split_once(' ').unwrap_or(("", shown));
    (option, needs(name.trim_matches(['<', '>', '[', ']'])))
}

/// The command that has this option, if another one has it.
fn owner(option: &str, not: Option<&str>) -> Option<&'static str> {
    let has = |it: &&crate::commands::Entry| {
        let described = (it.describe)();
        described.get_arguments().any(|arg| arg.get_long() == option.strip_prefix("--"))
    };
    ALL.iter().find(has).map(|it| it.name).filter(|&name| Some(name) != not)
}

impl fmt::Display for BadRequest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let help = |command: &Option<&str>| match command {
            Some(command) => format!("“halfrow {command} --help”"),
            None => "“halfrow --help”".to_owned(),
        };
        match self {
            BadRequest::Nothing => write!(
                f,
                "no command. Try “halfrow check BENCH” with a bench file, or “halfrow --help” for all commands."
            ),
            BadRequest::UnknownCommand { word, near: Some(near) } => write!(
                f,
                "there’s no command “{word}”. Did you mean “{near}”? “halfrow --help” lists all commands."
            ),
            BadRequest::UnknownCommand { word, near: None } => {
                let all: Vec<&str> = ALL.iter().map(|it| it.name).collect();
                write!(
                    f,
                    "there’s no command “{word}”. There are {}; “halfrow --help” explains them.",
                    all.join(", ")
                )
            }
            BadRequest::UnknownOption { command, word, near } => {
                let name = word.split('=').next().unwrap_or(word);
                write!(f, "there’s no option “{name}”")?;
                if let Some(command) = command {
                    write!(f, " for “{command}”")?;
                }
                match (near, owner(name, *command)) {
                    (_, Some(owner)) => write!(f, "; it goes with “halfrow {owner}”.")?,
                    (Some(near), None) => write!(f, ". Did you mean “{near}”?")?,
                    (None, None) => write!(f, ".")?,
                }
                write!(f, " {} lists the options.", help(command))
            }
            BadRequest::Missing { command, word } => {
                let command = command.unwrap_or("halfrow");
                match option_and_needs(word) {
                    ("", needs) => {
                        let name = word.trim_matches(['<', '>']);
                        write!(f, "“{command}” needs {needs}: halfrow {command} {name}")
                    }
                    (option, needs) => write!(f, "“{command}” needs {option} with {needs}."),
                }
            }
            BadRequest::BadValue { shown } => match option_and_needs(shown) {
                ("", needs) => write!(f, "{shown} must be {needs}."),
                (option, needs) => write!(f, "{option} needs {needs}."),
            },
            BadRequest::TwoInputs => write!(
                f,
                "the bench and the actions can’t both come from standard input (-). Name a file for one of them."
            ),
            BadRequest::TooMany { command, word } => write!(
                f,
                "“{word}” is one word too many{}. Names with spaces need quotes.",
                command.map(|it| format!(" for “{it}”")).unwrap_or_default()
            ),
            BadRequest::Other(says) => write!(f, "{says}. {} explains the options.", help(&None)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_description_of_the_command_line_holds_together() {
        command().debug_assert();
    }

    #[test]
    fn every_option_says_what_it_needs() {
        for entry in &ALL {
            let described = (entry.describe)();
            assert!(described.get_about().is_some(), "{} has no help", entry.name);
            for arg in described.get_arguments() {
                assert!(arg.get_help().is_some(), "{}: {} has no help", entry.name, arg.get_id());
                for name in
                    arg.get_value_names().into_iter().flatten().filter(|_| arg.get_action().takes_values())
                {
                    assert!(name == "NAME" || !needs(name).contains("--help"), "{}: {name}", entry.name);
                }
            }
        }
    }

    #[test]
    fn words_that_make_no_request_are_told_with_a_remedy() {
        for (line, told) in [
            ("", "Try “halfrow check BENCH”"),
            ("chekc a.json", "Did you mean “check”?"),
            ("mend a.json", "there’s no command “mend”. There are solve, check, compare"),
            ("solve --jsn a.json", "no option “--jsn” for “solve”. Did you mean “--json”?"),
            ("run a.json --evry=2s", "no option “--evry” for “run”. Did you mean “--every”?"),
            ("solve a.json --for 2s", "no option “--for” for “solve”; it goes with “halfrow run”."),
            ("--fast", "no option “--fast”. “halfrow --help” lists"),
            (
                "check",
                "“check” needs the name of a bench file, or - to read standard input: halfrow check BENCH",
            ),
            ("open", "“open” needs the link, in quotes: halfrow open LINK"),
            ("run a.json", "“run” needs --for with a length of time up to a day, such as 2s"),
            ("run a.json --for", "--for needs a length of time"),
            ("run a.json --for=2", "--for needs a length of time"),
            ("run a.json --for -2s", "--for needs a length of time"),
            ("run a.json --for 2s --steps many", "--steps needs a whole number"),
            ("run - --for 2s --actions -", "can’t both come from standard input"),
            ("schema now", "“now” is one word too many for “schema”"),
            ("completions tcsh", "must be bash, elvish, fish, powershell or zsh"),
        ] {
            let error = answer(line.split_whitespace().map(OsString::from).collect()).expect_err(line);
            assert!(error.to_string().contains(told), "{line}: {error}");
        }
    }
}
