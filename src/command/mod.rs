//! Arguments in, exit code out; the library does the work.

mod accept;
mod atomic_file;
mod check;
mod chosen;
mod cohort_card;
mod cohort_files;
mod compare;
mod config;
mod digest;
mod edition;
mod explain;
mod generate;
mod kit;
mod listen;
mod named_files;
mod planted;
mod progress;
mod reads;
mod realism;
mod repair;
mod replace;
mod review;
mod review_cohort;
mod rule_page;
mod schema;
mod shrink;
mod side_file;
mod targets;
mod temporary;

use std::fmt;
use std::io::{self, Write};
use std::process::ExitCode;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Parser, Subcommand};
use open_aligner_record::output::{shown, visible};
use open_aligner_record::read::inputs::reason;
use open_aligner_record::settings::perhaps;

/// Nothing at or over the fail level was found.
const CLEAN: u8 = 0;
/// Something at or over the fail level was found.
const FOUND: u8 = 1;
/// The command could not run, or not on everything.
const COULD_NOT: u8 = 2;

/// Said when `check` has nothing to check.
const NOTHING_NAMED: &str = "nothing is named that could be checked: give files, folders, or - for standard input\n\nUsage: oar check [OPTIONS] PATH...\n\nFor more, try 'oar check --help'.";

/// Said when `compare` has not two reports.
const NO_REPORTS: &str = "two reports are compared: name the one of before and the one of now\n\nUsage: oar compare OLD NEW\n\nFor more, try 'oar compare --help'.";

/// Checks records of clear aligner treatment in the Open Aligner Record format.
///
/// For record-keeping and test data; it is no medical device, and findings are no advice on treatment.
///
/// To begin: oar check FOLDER
#[derive(Parser)]
#[command(name = "oar", version, max_term_width = 100)]
struct Arguments {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    Check(check::Check),
    Compare(compare::Compare),
    Explain(explain::Explain),
    Config(config::Config),
    Edition(edition::Edition),
    Review(Box<review::Review>),
    Realism(realism::Realism),
    Generate(Box<generate::Generate>),
    Kit(kit::Kit),
    Repair(repair::Repair),
    Shrink(shrink::Shrink),
    Digest(digest::Digest),
    Schema(schema::Schema),
}

/// Why a command could not do what was asked.
#[derive(Debug)]
pub(crate) enum Failure {
    /// A file of that name, or standard output, could not be written.
    Writing(String, io::Error),
    /// Something that was asked for is not there or cannot be.
    Asked(String),
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Writing(what, error) => write!(f, "{what} cannot be written: {}", why_not_written(error)),
            Self::Asked(text) => f.write_str(text),
        }
    }
}

/// Why something could not be written, in plain words.
pub(crate) fn why_not_written(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "its folder is not there".to_owned(),
        io::ErrorKind::PermissionDenied => "this user may not write there".to_owned(),
        io::ErrorKind::AlreadyExists => "another program wrote it in the meantime, so it was left as it is".to_owned(),
        _ => reason(error),
    }
}

impl Failure {
    /// A failure to write to standard output or to a file called `what`.
    pub(crate) fn writing(what: &str) -> impl Fn(io::Error) -> Self {
        let what = what.to_owned();
        move |error| Self::Writing(what.clone(), error)
    }

    fn is_broken_pipe(&self) -> bool {
        matches!(self, Self::Writing(_, error) if error.kind() == io::ErrorKind::BrokenPipe)
    }
}

/// Runs the command line.
pub(crate) fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => return refuse(error),
    };
    let done = match arguments.what {
        What::Check(check) => check.run(),
        What::Compare(compare) => compare.run(),
        What::Explain(explain) => explain.run(),
        What::Config(config) => config.run(),
        What::Edition(edition) => edition.run(),
        What::Review(review) => review.run(),
        What::Realism(realism) => realism.run(),
        What::Generate(generate) => generate.run(),
        What::Kit(kit) => kit.run(),
        What::Repair(repair) => repair.run(),
        What::Shrink(shrink) => shrink.run(),
        What::Digest(digest) => digest.run(),
        What::Schema(schema) => schema.run(),
    };
    match done {
        Ok(code) => ExitCode::from(code),
        Err(failure) => failed(&failure),
    }
}

/// Says why the command failed, unless the reader of an output went away: nobody waits for the rest then.
fn failed(failure: &Failure) -> ExitCode {
    if !failure.is_broken_pipe() {
        complain(failure);
    }
    ExitCode::from(COULD_NOT)
}

/// Tells what is wrong with the arguments, or the help that was asked for.
fn refuse(mut error: clap::Error) -> ExitCode {
    if error.kind() == ErrorKind::MissingRequiredArgument {
        complain(&Failure::Asked(missing(&error)));
        return ExitCode::from(COULD_NOT);
    }
    // The tip to write `-- --option` would make it the name of a file.
    if error.kind() == ErrorKind::UnknownArgument {
        error.insert(ContextKind::Suggested, ContextValue::None);
    }
    if error.use_stderr() {
        show_what_was_typed(&mut error);
        drop(error.print());
        return ExitCode::from(COULD_NOT);
    }
    match error.print().and_then(|()| io::stdout().flush()).map_err(Failure::writing("standard output")) {
        Ok(()) => ExitCode::from(CLEAN),
        Err(failure) => failed(&failure),
    }
}

/// Lets a message about arguments show what acts in them: a shell may have put names of files there.
fn show_what_was_typed(error: &mut clap::Error) {
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

/// Says what is missing: what to name when a command that reads files was given none, or else which arguments. The usage
/// tells which command it is.
fn missing(error: &clap::Error) -> String {
    let usage = error.get(ContextKind::Usage).map(ToString::to_string).unwrap_or_default();
    if usage.contains("oar check") {
        return NOTHING_NAMED.to_owned();
    }
    if usage.contains("oar compare") {
        return NO_REPORTS.to_owned();
    }
    let names = match error.get(ContextKind::InvalidArg) {
        Some(ContextValue::Strings(names)) => names.join(" and "),
        _ => "something".to_owned(),
    };
    format!("{names} is missing\n\n{}\n\nFor more, try '--help'.", usage.trim())
}

/// Tells on standard error what could not be done.
pub(crate) fn complain(failure: &Failure) {
    report(&format!("error: {failure}"));
}

/// Tells on standard error what is good to know and no failure.
pub(crate) fn remark(text: &str) {
    report(&format!("note: {text}"));
}

/// Writes lines to standard error, with what would act in them shown. When standard error is gone there is nobody to tell.
pub(crate) fn report(text: &str) {
    let lines: Vec<String> = text.split('\n').map(visible).collect();
    drop(writeln!(io::stderr(), "{}", lines.join("\n")));
}

/// The columns of the terminal that standard output is; 100 when it is none.
pub(crate) fn width() -> usize {
    terminal_size::terminal_size_of(io::stdout()).map_or(100, |(width, _)| usize::from(width.0).max(40))
}

/// Writes a text to standard output.
pub(crate) fn say(text: &str) -> Result<u8, Failure> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush()).map_err(Failure::writing("standard output"))?;
    Ok(CLEAN)
}
