//! `oar realism`: holds a cohort against published statistics.

use std::path::PathBuf;

use clap::Args;
use oar_schema::limits::Limits;
use open_aligner_record::read::inputs::{Input, find};
use open_aligner_record::realism::{self, Reading, Report, Verdict, published};

use super::check::threads;
use super::reads::Reads;
use super::targets::{Sink, refuse_clashes, target, tell_missed};
use super::temporary::name_leftovers;
use super::{CLEAN, COULD_NOT, FOUND, Failure, width};

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

/// The forms of the report.
#[derive(Clone, Copy)]
enum Form {
    Text,
    Json,
    Html,
}

const FORMS: &[(Form, &str)] = &[(Form::Text, "text"), (Form::Json, "json"), (Form::Html, "html")];

impl Realism {
    /// Makes the report, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let targets: Result<Vec<_>, Failure> = self.output.iter().map(|text| target(text, FORMS)).collect();
        let targets = targets?;
        refuse_clashes(&targets, "html=report.html")?;
        let reading = self.reading()?;
        let found = find(&self.paths, &[]);
        let reads = Reads::of(&found.inputs, "is to be read");
        targets.iter().try_for_each(|(_, file)| reads.refuse(file.as_ref(), "the report"))?;
        name_leftovers(&found.partial);
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
        let sinks: Result<Vec<Sink>, Failure> = targets
            .iter()
            .map(|(form, file)| {
                let text = match form {
                    Form::Text => realism::text(&report, if file.is_some() { COLUMNS } else { width() }),
                    Form::Json => realism::json(&report),
                    Form::Html => realism::html(&report),
                };
                Sink::holding(&text, file.as_ref())
            })
            .collect();
        Sink::end_all(sinks?.into_iter())?;
        let outside = report.count(Verdict::Outside, |_| true) > 0;
        Ok(match (missed, self.fail_outside && outside) {
            (true, _) => COULD_NOT,
            (false, true) => FOUND,
            (false, false) => CLEAN,
        })
    }

    fn reading(&self) -> Result<Reading, Failure> {
        let largest = Limits::default().largest_record_kilobytes as usize * 1024;
        Ok(Reading { threads: threads(self.threads)?, largest })
    }
}

/// Why there is nothing to compare.
fn nothing(left_out: u64) -> Failure {
    let errors = if left_out == 0 { "" } else { "; those that are there have errors, which oar check tells" };
    Failure::Asked(format!("no record could be read, so that nothing is compared{errors}"))
}
