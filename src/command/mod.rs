//! Arguments in, exit code out; the library does the work.

mod acceptance;
mod atomic_file;
mod bounded_read;
mod check;
mod check_outputs;
mod cohort_card;
mod cohort_files;
mod cohort_paths;
mod compare;
mod completions;
mod config;
mod configured_files;
mod digest;
mod edition;
mod explain;
mod fault_options;
mod generate;
mod kit;
mod manual;
mod options;
mod outputs;
mod overwrite_guard;
mod progress;
mod realism;
mod repair;
mod replace;
mod review;
mod review_cohort;
mod rule_page;
mod schema;
mod settings_options;
mod shrink;
mod temporary;
mod usage_error;

use std::fmt;
use std::io::{self, Write};
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};

use clap::{Parser, Subcommand};
use open_aligner_record::config::Mistake;
use open_aligner_record::output::visible;
use open_aligner_record::read::inputs::reason;
use open_aligner_record::settings::perhaps;

/// Nothing was found at the fail level or above.
const CLEAN: u8 = 0;
/// Something was found at the fail level or above.
const FOUND: u8 = 1;
/// The command could not run, or not on everything.
const COULD_NOT: u8 = 2;

/// Whether `--quiet` was given.
static QUIET: AtomicBool = AtomicBool::new(false);

/// Check, repair, review and generate clear-aligner treatment records in the Open Aligner Record format
///
/// The records serve record-keeping and testing. This program is not a medical device, and its findings are not treatment advice.
#[derive(Parser)]
#[command(name = "oar", version, max_term_width = 100, after_help = EXAMPLES)]
struct Arguments {
    /// Print only reports and errors: no totals, notes or progress
    #[arg(short, long, global = true, display_order = 900)]
    quiet: bool,

    #[command(subcommand)]
    command: Command,
}

const EXAMPLES: &str = "\
Examples:
  oar check exports              check a folder
  oar explain worn_backwards     explain a rule
  oar repair exports             show what can be repaired
  oar help check                 show all options of a command";

#[derive(Subcommand)]
enum Command {
    Check(check::Check),
    Explain(explain::Explain),
    Repair(repair::Repair),
    Compare(compare::Compare),
    Config(config::Config),
    Edition(edition::Edition),
    Review(Box<review::Review>),
    Generate(Box<generate::Generate>),
    Realism(realism::Realism),
    Kit(kit::Kit),
    Shrink(shrink::Shrink),
    Digest(digest::Digest),
    Schema(schema::Schema),
    Completions(completions::Completions),
    Man(manual::Man),
}

impl Command {
    /// Runs the command, and gives the exit code.
    fn run(self) -> Result<u8, Failure> {
        match self {
            Self::Check(check) => check.run(),
            Self::Explain(explain) => explain.run(),
            Self::Repair(repair) => repair.run(),
            Self::Compare(compare) => compare.run(),
            Self::Config(config) => config.run(),
            Self::Edition(edition) => edition.run(),
            Self::Review(review) => review.run(),
            Self::Generate(generate) => generate.run(),
            Self::Realism(realism) => realism.run(),
            Self::Kit(kit) => kit.run(),
            Self::Shrink(shrink) => shrink.run(),
            Self::Digest(digest) => digest.run(),
            Self::Schema(schema) => schema.run(),
            Self::Completions(completions) => completions.run(),
            Self::Man(man) => man.run(),
        }
    }
}

/// Why a command failed.
#[derive(Debug)]
pub(crate) enum Failure {
    /// A file of that name, or standard output, could not be written.
    Writing(String, io::Error),
    /// Anything else, in words.
    Message(String),
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Writing(what, error) => write!(f, "{what} cannot be written: {}", why_not_written(error)),
            Self::Message(text) => f.write_str(text),
        }
    }
}

impl Failure {
    /// The mistakes in a file, one a line.
    fn mistakes(mistakes: &[Mistake]) -> Self {
        let lines: Vec<String> = mistakes.iter().map(ToString::to_string).collect();
        Self::Message(lines.join("\nerror: "))
    }
}

/// Why something could not be written, in plain words.
pub(crate) fn why_not_written(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "its folder does not exist".to_owned(),
        io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        io::ErrorKind::AlreadyExists => "another program wrote it in the meantime, so it was left alone".to_owned(),
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
        Err(error) => return usage_error::exit(error),
    };
    QUIET.store(arguments.quiet, Ordering::Relaxed);
    match arguments.command.run() {
        Ok(code) => ExitCode::from(code),
        Err(failure) => failed(&failure),
    }
}

/// Whether only reports and errors are printed.
pub(crate) fn is_quiet() -> bool {
    QUIET.load(Ordering::Relaxed)
}

/// Says why the command failed. When the reader of an output has gone, nobody waits for the rest, so nothing is said.
fn failed(failure: &Failure) -> ExitCode {
    if !failure.is_broken_pipe() {
        complain(failure);
    }
    ExitCode::from(COULD_NOT)
}

/// Writes an error to standard error.
pub(crate) fn complain(failure: &Failure) {
    report(&format!("error: {failure}"));
}

/// Writes a note to standard error, unless `--quiet` was given.
pub(crate) fn note(text: &str) {
    if !is_quiet() {
        report(&format!("note: {text}"));
    }
}

/// Writes lines to standard error, with control characters escaped. When standard error is closed, nobody reads them.
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

/// Writes what was done to standard output, unless `--quiet` was given.
pub(crate) fn say_done(text: &str) -> Result<u8, Failure> {
    if is_quiet() { Ok(CLEAN) } else { say(text) }
}
