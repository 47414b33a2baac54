//! Errors in arguments, and help that was asked for.

use std::io::{self, Write};
use std::process::ExitCode;

use clap::CommandFactory;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use open_aligner_record::output::shown;

use super::{Arguments, CLEAN, COULD_NOT, Failure, complain, failed, perhaps};

/// Names of commands in other programs, and what does the same here.
const COMMANDS: &[(&[&str], &str)] = &[
    (
        &["lint", "validate", "verify", "test", "scan", "run", "analyze", "analyse", "audit"],
        "oar check PATH checks records",
    ),
    (&["fix", "format", "fmt", "autofix"], "oar repair PATH repairs records; with --layout it formats them too"),
    (
        &["rules", "rule", "list", "ls", "info", "show", "describe"],
        "oar explain lists and explains rules, signals and limits",
    ),
    (&["diff", "cmp"], "oar compare OLD NEW compares two reports"),
    (&["report", "stats", "summary"], "oar check -o overview PATH counts findings; oar review PATH reviews patients"),
    (&["worklist", "patients"], "oar review PATH lists who needs attention"),
    (&["version"], "oar --version prints the version"),
    (&["init", "settings", "configure"], "oar config --starter prints a configuration file to start with"),
    (&["create", "make", "gen", "synth", "simulate", "fake", "sample"], "oar generate makes synthetic records"),
    (&["hash", "checksum", "sha256"], "oar digest PATH prints the digest of each record"),
    (
        &["minimize", "minimise", "reduce", "anonymize", "anonymise"],
        "oar shrink FILE --rule RULE makes the smallest record with a finding",
    ),
    (&["benchmark", "conformance", "score"], "oar kit writes a conformance kit and scores answers to it"),
    (&["baseline"], "oar check --write-baseline FILE PATH writes a baseline"),
    (&["upgrade", "update", "migrate", "editions"], "oar edition PATH shows what a newer edition would change"),
    (&["completion", "complete"], "oar completions SHELL prints a completion script"),
    (&["manual", "manpage"], "oar man prints the manual"),
    (&["json-schema", "jsonschema"], "oar schema prints the JSON Schema of a record"),
];

/// Names of options in other programs, the option that does the same here, and what it does.
const OPTIONS: &[(&[&str], &str, &str)] = &[
    (&["--format", "--output-format", "--reporter", "--out", "--to"], "output", "-o/--output sets the output"),
    (&["--jobs", "--parallel", "--workers"], "threads", "-j/--threads sets the number of threads"),
    (&["--rule", "--rules", "--only", "--enable"], "select", "--select RULE runs only some rules"),
    (&["--disable", "--skip", "--except"], "ignore", "--ignore RULE leaves out rules; --exclude NAME skips files"),
    (&["--severity", "--warn", "--deny", "--allow"], "level", "--level RULE=LEVEL sets a level"),
    (&["--fix", "--autofix"], "fail-level", "oar repair --write repairs files"),
    (&["--silent"], "quiet", "-q/--quiet prints only reports and errors"),
    (
        &["--no-fail", "--no-error", "--soft-fail"],
        "exit-zero",
        "--exit-zero exits with code 0 although there are findings",
    ),
    (&["--count", "--statistics", "--stats", "--summary"], "max-findings", "--max-findings 0 prints only the totals"),
    (&["--no-color", "--no-colour", "--plain"], "colour", "--colour never prints no colours"),
    (&["--force", "--yes"], "overwrite", "--overwrite overwrites existing files"),
    (&["--date", "--day", "--on"], "as-of", "--as-of DATE sets the day"),
    (&["--limit-rows", "--top", "--head"], "max-rows", "--max-rows N limits the rows"),
];

/// Prints the help that was asked for, or what is wrong with the arguments, and gives the exit code.
pub(super) fn exit(mut error: clap::Error) -> ExitCode {
    if let Some(text) = message(&error) {
        complain(&Failure::Message(text));
        return ExitCode::from(COULD_NOT);
    }
    // The tip to write `-- --option` would make the option the name of a file.
    if error.kind() == ErrorKind::UnknownArgument {
        error.insert(ContextKind::Suggested, ContextValue::None);
    }
    if error.use_stderr() {
        escape_arguments(&mut error);
        drop(error.print());
        return ExitCode::from(COULD_NOT);
    }
    match error.print().and_then(|()| io::stdout().flush()).map_err(Failure::writing("standard output")) {
        Ok(()) => ExitCode::from(CLEAN),
        Err(failure) => failed(&failure),
    }
}

/// Our own message, where it says more than that of the parser.
fn message(error: &clap::Error) -> Option<String> {
    match error.kind() {
        ErrorKind::MissingRequiredArgument => Some(missing(error)),
        ErrorKind::InvalidSubcommand => unknown_command(error),
        ErrorKind::UnknownArgument => unknown_option(error),
        _ => None,
    }
}

fn text_of(error: &clap::Error, kind: ContextKind) -> Option<&str> {
    match error.get(kind)? {
        ContextValue::String(text) => Some(text),
        _ => None,
    }
}

/// What does here what a command of another program does.
fn command_hint(name: &str) -> Option<&'static str> {
    COMMANDS.iter().find(|(names, _)| names.contains(&name)).map(|(_, does)| *does)
}

/// What does here what an option of another program does, if the command of that usage has such an option.
fn option_hint(name: &str, usage: &str) -> Option<&'static str> {
    let (_, option, does) = OPTIONS.iter().find(|(names, ..)| names.contains(&name))?;
    let mut oar = Arguments::command();
    oar.build();
    let of_usage = |command: &&clap::Command| usage.contains(&format!("oar {}", command.get_name()));
    let command = oar.get_subcommands().find(of_usage)?;
    command.get_arguments().any(|argument| argument.get_long() == Some(option)).then_some(*does)
}

fn unknown_command(error: &clap::Error) -> Option<String> {
    let name = text_of(error, ContextKind::InvalidSubcommand)?;
    let oar = Arguments::command();
    let hint = command_hint(&name.to_lowercase());
    let help = match hint {
        Some(does) => does,
        None if std::path::Path::new(name).exists() => "oar check PATH checks records",
        None => "oar --help lists the commands",
    };
    let near = || perhaps(name, oar.get_subcommands().map(clap::Command::get_name));
    let near = if hint.is_some() { String::new() } else { near() };
    Some(format!("unknown command {}{near}\n  help: {help}", shown(name)))
}

/// What an option of another program is called here. Other unknown options are left to the parser, which names the nearest one.
fn unknown_option(error: &clap::Error) -> Option<String> {
    let given = text_of(error, ContextKind::InvalidArg)?;
    let name = given.split('=').next().unwrap_or(given);
    let usage = error.get(ContextKind::Usage).map(ToString::to_string).unwrap_or_default();
    let help = option_hint(name, &usage)?;
    Some(format!("unknown option {}\n  help: {help}\n\n{}\n\nFor more, try '--help'.", shown(name), usage.trim()))
}

/// What is missing, and the usage of the command.
fn missing(error: &clap::Error) -> String {
    let usage = error.get(ContextKind::Usage).map(ToString::to_string).unwrap_or_default();
    let names = match error.get(ContextKind::InvalidArg) {
        Some(ContextValue::Strings(names)) => names.clone(),
        _ => Vec::new(),
    };
    let what = match names.as_slice() {
        _ if usage.contains("oar compare") => "give two reports: the old one and the new one".to_owned(),
        [name] if name == "<PATH>..." => "no input given: give files, folders, or - for standard input".to_owned(),
        names => format!("missing: {}", names.join(" and ")),
    };
    format!("{what}\n\n{}\n\nFor more, try '--help'.", usage.trim())
}

/// Escapes control characters in the arguments that a message shows: a shell may have put names of files there.
fn escape_arguments(error: &mut clap::Error) {
    let escaped = |value: &ContextValue| match value {
        ContextValue::String(text) => ContextValue::String(shown(text)),
        ContextValue::Strings(texts) => ContextValue::Strings(texts.iter().map(|text| shown(text)).collect()),
        other => other.clone(),
    };
    let values: Vec<_> = error.context().map(|(kind, value)| (kind, escaped(value))).collect();
    for (kind, value) in values {
        error.insert(kind, value);
    }
}
