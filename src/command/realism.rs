//! `oar realism`: holds a cohort against published statistics.

use std::fs;
use std::path::PathBuf;

use clap::Args;
use oar_schema::limits::Limits;
use open_aligner_record::read::inputs::{Input, find, reason};
use open_aligner_record::realism::{self, Reading, Report, Verdict, published};

use super::{CLEAN, COULD_NOT, FOUND, Failure, complain, perhaps, say, width};

/// Columns of the report in a file.
const COLUMNS: usize = 100;

/// Hold a cohort of records against published statistics.
#[derive(Args)]
#[command(after_help = EXIT_CODES)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Realism {
    /// Files, folders, or - for standard input, as for oar check
    #[arg(required = true, value_name = "COHORT")]
    paths: Vec<PathBuf>,

    /// Write the report as FORMAT (text, json or html), to FILE if one is given; may be given several times
    #[arg(short, long, value_name = "FORMAT[=FILE]", default_value = "text")]
    output: Vec<String>,

    /// Compare a statistic only when it is of so many patients, or whatever it counts, at least
    #[arg(long, value_name = "NUMBER", default_value_t = 20)]
    least: u64,

    /// Make the exit code 1 when a statistic lies outside
    #[arg(long)]
    fail_outside: bool,

    /// How many threads read, from 1 to 1024; without it, one for each core
    #[arg(long, value_name = "NUMBER")]
    threads: Option<usize>,
}

const EXIT_CODES: &str = "Exit code: 0 the report was made, 1 with --fail-outside when a statistic lies outside, 2 not everything could be read or done";

type Form = fn(&Report<'_>) -> String;

/// The forms of the report.
const FORMS: &[(&str, Form)] =
    &[("text", |report| realism::text(report, COLUMNS)), ("json", realism::json), ("html", realism::html)];

impl Realism {
    /// Makes the report, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let targets: Result<Vec<_>, Failure> = self.output.iter().map(|text| target(text)).collect();
        let targets = targets?;
        let reading = self.reading()?;
        let found = find(&self.paths, &[]);
        if let Some((_, Some(file))) =
            targets.iter().find(|(_, file)| file.as_ref().is_some_and(|file| is_read(file, &found.inputs)))
        {
            return Err(Failure::Asked(format!("{} is to be read: write the report to another file", file.display())));
        }
        let mut missed = false;
        for one in &found.missed {
            missed = true;
            tell_missed(&Input::File(one.path.clone()), &one.error);
        }
        let cohort = realism::read(&found.inputs, reading, &mut |input, error| {
            missed = true;
            tell_missed(input, error);
        });
        let table = published::read(published::TABLE)
            .map_err(|error| Failure::Asked(format!("the table of published statistics cannot be read: {error}")))?;
        let report = Report::new(&cohort, &table, self.least);
        for (form, file) in &targets {
            write(&report, form, file.as_ref())?;
        }
        let outside = report.count(Verdict::Outside, |_| true) > 0;
        Ok(match (missed, self.fail_outside && outside) {
            (true, _) => COULD_NOT,
            (false, true) => FOUND,
            (false, false) => CLEAN,
        })
    }

    fn reading(&self) -> Result<Reading, Failure> {
        let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        let threads = self.threads.unwrap_or(cores);
        if threads == 0 || threads > 1024 {
            return Err(Failure::Asked(format!("--threads {threads}: give a number from 1 to 1024")));
        }
        Ok(Reading { threads, largest: Limits::default().largest_record_kilobytes as usize * 1024 })
    }
}

fn tell_missed(input: &Input, error: &std::io::Error) {
    complain(&Failure::Asked(format!("{} cannot be read: {}", input.name(), reason(error))));
}

/// Whether a file is among those that are read.
fn is_read(file: &PathBuf, inputs: &[Input]) -> bool {
    let Ok(file) = fs::canonicalize(file) else { return false };
    inputs
        .iter()
        .any(|input| matches!(input, Input::File(path) if fs::canonicalize(path).is_ok_and(|path| path == file)))
}

/// Reads `form` or `form=file`.
fn target(text: &str) -> Result<(&'static str, Option<PathBuf>), Failure> {
    let (name, file) = text.split_once('=').map_or((text, None), |(name, file)| (name, Some(file)));
    let names = FORMS.iter().map(|(known, _)| *known);
    let Some(known) = names.clone().find(|known| *known == name) else {
        let near = perhaps(name, names);
        return Err(Failure::Asked(format!("--output {text}: the forms are text, json and html{near}")));
    };
    if file == Some("") {
        return Err(Failure::Asked(format!("--output {text}: name a file after the =")));
    }
    Ok((known, file.filter(|file| *file != "-").map(PathBuf::from)))
}

/// Writes one form to its place. A file appears under its name only when it is whole.
fn write(report: &Report<'_>, form: &str, file: Option<&PathBuf>) -> Result<(), Failure> {
    let Some(file) = file else {
        let text = if form == "text" { realism::text(report, width()) } else { made(report, form) };
        return say(&text).map(drop);
    };
    let name = file.display().to_string();
    let mut half = file.clone().into_os_string();
    half.push(".part");
    let written = fs::write(&half, made(report, form)).and_then(|()| fs::rename(&half, file));
    if written.is_err() {
        drop(fs::remove_file(&half));
    }
    written.map_err(Failure::writing(&name))
}

fn made(report: &Report<'_>, form: &str) -> String {
    FORMS.iter().find(|(name, _)| *name == form).map_or(String::new(), |(_, make)| make(report))
}
