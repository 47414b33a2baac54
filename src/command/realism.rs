//! `oar realism`: holds a cohort against published statistics.

use std::fs;
use std::path::PathBuf;

use clap::Args;
use oar_schema::limits::Limits;
use open_aligner_record::read::inputs::{Input, find, reason};
use open_aligner_record::realism::{self, Reading, Report, Verdict, published};

use super::reads::{Reads, place};
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
        refuse_clashes(&targets)?;
        let reading = self.reading()?;
        let found = find(&self.paths, &[]);
        let reads = Reads::of(&found.inputs, "is to be read");
        targets.iter().try_for_each(|(_, file)| reads.refuse(file.as_ref(), "the report"))?;
        let mut missed = false;
        for one in &found.missed {
            missed = true;
            tell_missed(&Input::File(one.path.clone()), &one.error);
        }
        let cohort = realism::read(&found.inputs, reading, &mut |input, error| {
            missed = true;
            tell_missed(input, error);
        });
        if cohort.records == 0 {
            return Err(nothing(cohort.left_out));
        }
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
    let name = if *input == Input::Standard { "standard input".to_owned() } else { input.name() };
    complain(&Failure::Asked(format!("{name}: {}", reason(error))));
}

/// Refuses two reports in one place.
fn refuse_clashes(targets: &[(&str, Option<PathBuf>)]) -> Result<(), Failure> {
    let place = |file: &Option<PathBuf>| file.as_ref().map(|file| place(file).unwrap_or_else(|| file.clone()));
    let repeated = |at: usize| targets[..at].iter().any(|(_, before)| place(before) == place(&targets[at].1));
    let Some(twice) = (0..targets.len()).find(|at| repeated(*at)) else { return Ok(()) };
    let name = targets[twice].1.as_ref().map_or("standard output".to_owned(), |file| file.display().to_string());
    let mend = "give each a place of its own, as in --output html=report.html";
    Err(Failure::Asked(format!("two outputs would go to {name}: {mend}")))
}

/// Why there is nothing to compare.
fn nothing(left_out: u64) -> Failure {
    let errors = if left_out == 0 { "" } else { "; those that are there have errors, which oar check tells" };
    Failure::Asked(format!("no record could be read, so that nothing is compared{errors}"))
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
