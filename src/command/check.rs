//! `oar check`: checks files and reports what is wrong.

use std::io::{self, IsTerminal};
use std::path::PathBuf;

use clap::{Args, ValueEnum};
use open_aligner_record::output::{Format, Style};
use open_aligner_record::read::inputs::{Found, Input, Missed, Selection};
use open_aligner_record::run::{Listener, Options, run};
use open_aligner_record::summary::Summary;
use open_aligner_record::waivers::Waivers;

use super::accept::{Accept, Sieve};
use super::chosen::Chosen;
use super::listen::{Outputs, Target};
use super::temporary::name_leftovers;
use super::{CLEAN, COULD_NOT, FOUND, Failure, width};

/// How many findings are shown on standard output, unless it is said.
const MOST: u64 = 100;

/// Check record files and say what is wrong and where.
#[derive(Args)]
#[command(after_help = EXIT_CODES, after_long_help = LONG_HELP)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Check {
    /// Files, folders, or - for standard input; in folders, files that end in .oar.json or .oar.jsonl are checked, also
    /// with .gz or .zst after it
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Write findings as FORMAT, to FILE if one is given; may be given several times [default: text, or what oar.toml says]
    #[arg(short, long, value_name = "FORMAT[=FILE]", long_help = formats_help())]
    output: Vec<String>,

    /// Show at most so many findings in text and brief; 0 only the totals, all has no limit [default: 100 on standard
    /// output, all in a FILE]
    #[arg(long, value_name = "NUMBER", value_parser = most, allow_negative_numbers = true)]
    most: Option<u64>,

    /// Show each finding in text and brief; without it, those of one rule at the same kind of place in one file are
    /// counted after the third
    #[arg(long)]
    every: bool,

    #[command(flatten)]
    accept: Accept,
    /// Check each record by itself, and do not compare the records of the run with each other
    #[arg(long)]
    each_alone: bool,

    /// How many threads check, from 1 to 1024; without it, one for each core
    #[arg(long, value_name = "NUMBER")]
    threads: Option<usize>,

    /// Colours in text; auto uses them on a terminal unless NO_COLOR is set
    #[arg(long, value_name = "WHEN", default_value = "auto", alias = "color")]
    colour: When,

    #[command(flatten)]
    chosen: Chosen,
}

const EXIT_CODES: &str = "Exit code: 0 nothing found, 1 something found, 2 not everything could be read or done";

const LONG_HELP: &str = "\
Exit code:
  0  nothing was found at the fail level or above it
  1  something was
  2  the command could not run, or not everything could be read; the rest was checked all the same

Examples:
  oar check exports                          check a folder and everything below it
  oar check --most 0 exports                 only the totals
  oar check -o sarif=findings.sarif exports  for a code scanner, with nothing on the screen
  oar check -o text -o junit=report.xml .    on the screen and for a report
  oar check -o overview exports              how much is wrong by rule, file and system
  oar check --write-baseline known.jsonl .   accept what is there now
  oar check --baseline known.jsonl .         and fail on what is new
  zcat export.gz | oar check -               standard input";

#[derive(Clone, Copy, ValueEnum)]
enum When {
    Auto,
    Always,
    Never,
}

fn formats_help() -> String {
    let formats: Vec<String> = Format::ALL.iter().map(|(_, name, what)| format!("  {name:<8} {what}")).collect();
    format!(
        "Write findings as FORMAT, to standard output or, if one is given, to FILE; may be given several times. FORMAT is one of\n{}\nWithout it, findings go where oar.toml says, or as text to standard output.",
        formats.join("\n")
    )
}

impl Check {
    /// Checks, and gives the exit code.
    pub(crate) fn run(mut self) -> Result<u8, Failure> {
        let chosen = self.chosen.settle(&self.paths)?;
        let (settings, threads) = (chosen.settings.clone(), threads(self.threads)?);
        self.accept.or_as_in(&chosen)?;
        let rule_pages = chosen.rule_pages();
        let selection = Selection { named_too: self.accept.partial, ..chosen.selection() };
        let (targets, found) = (chosen.targets(&self.output)?, selection.find(&self.paths));
        name_leftovers(&found.partial);
        let mendable = targets.iter().any(Target::has_totals);
        let excerpts = self.most != Some(0) && targets.iter().any(Target::has_excerpts);
        let reads = self.accept.refuse_clash(chosen.reads(&found.inputs, "is to be checked"))?;
        Target::refuse_clashes(&targets, &reads)?;
        let (mut acceptance, folder) = self.accept.acceptance()?;
        let record_ids = acceptance.waivers.as_ref().is_some_and(Waivers::ask_for_ids);
        let across = !self.each_alone;
        let options = Options { settings, threads, excerpts, across, record_ids, mendable };
        let styles = [self.style(), self.style_in_file()].map(|style| Style { rule_pages, ..style });
        let mut outputs = Outputs::open(&targets, styles[0], styles[1])?;
        let mut sieve = Sieve::new(&mut outputs, &mut acceptance, folder);
        let summary = match check(&found, &options, &mut sieve) {
            Ok(summary) => summary,
            Err(error) => return Err(outputs.failure(error)),
        };
        let whole = outputs.end(&summary)?;
        self.accept.write(&acceptance, &summary)?;
        Ok(match summary.fails(chosen.fail_level.0) {
            _ if summary.unreadable > 0 || !whole => COULD_NOT,
            false => CLEAN,
            true => FOUND,
        })
    }

    fn style(&self) -> Style {
        let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty());
        let plain = set("NO_COLOR").is_some() || set("TERM").is_some_and(|term| term == "dumb");
        let colour = match self.colour {
            When::Auto => io::stdout().is_terminal() && !plain,
            When::Always => true,
            When::Never => false,
        };
        let most = self.most.unwrap_or(if self.every { u64::MAX } else { MOST });
        let accepted = self.accept.show_accepted;
        Style { colour, most, folds: !self.every, accepted, width: width(), ..Style::default() }
    }

    /// In a file there is room for every finding.
    fn style_in_file(&self) -> Style {
        let most = self.most.unwrap_or(u64::MAX);
        let accepted = self.accept.show_accepted;
        Style { most, folds: most < u64::MAX && !self.every, accepted, ..Style::default() }
    }
}

/// Tells what is missing, then checks what is there.
fn check(found: &Found, options: &Options, sieve: &mut Sieve<'_>) -> io::Result<Summary> {
    for Missed { path, error } in &found.missed {
        let name = Input::File(path.clone()).name();
        sieve.file(&name)?;
        sieve.unreadable(&name, error)?;
        sieve.file_end(&name, 0)?;
    }
    let mut summary = run(&found.inputs, options, sieve)?;
    summary.passed_over = found.passed_over;
    summary.unreadable += found.missed.len() as u64;
    sieve.settle(&mut summary)?;
    Ok(summary)
}

/// How many threads are started for each core at most: one thread reads for all of them, so more would only wait.
const THREADS_PER_CORE: usize = 8;

/// How many threads check: as many as there are cores, unless it is said.
pub(crate) fn threads(given: Option<usize>) -> Result<usize, Failure> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let threads = given.unwrap_or(cores);
    if threads == 0 || threads > 1024 {
        return Err(Failure::Asked(format!("--threads {threads}: give a number from 1 to 1024")));
    }
    Ok(threads.min(cores.saturating_mul(THREADS_PER_CORE)))
}

/// Reads the value of `--most`.
pub(super) fn most(text: &str) -> Result<u64, String> {
    if text == "all" {
        return Ok(u64::MAX);
    }
    text.parse().map_err(|_| "give a whole number, or all".to_owned())
}

/// Reads a number that is counted from 1.
pub(super) fn from_one(text: &str) -> Result<u64, String> {
    text.parse().ok().filter(|number| *number > 0).ok_or_else(|| "give a whole number from 1 on".to_owned())
}
