//! `oar realism`: compares a cohort with published statistics.

use std::path::PathBuf;

use clap::Args;
use open_aligner_record::read::inputs::{Input, find};
use open_aligner_record::realism::{self, CohortReading, Report, Verdict, published};

use super::options::{ExitOptions, ThreadOptions};
use super::outputs::{ReportFormat, Target, complain_unreadable, report_help, write_texts};
use super::overwrite_guard::ProtectedFiles;
use super::settings_options::{ConfigFile, largest_record};
use super::temporary::name_leftovers;
use super::{COULD_NOT, Failure, width};

/// Columns of the report in a file.
const COLUMNS: usize = 100;

/// Compare a cohort of records with published statistics
#[derive(Args)]
#[command(after_help = EXIT_CODES)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Realism {
    /// Files, folders, or - for standard input, as for oar check
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Write the report as FORMAT, to FILE or standard output; repeatable
    #[arg(short, long, value_name = "FORMAT[=FILE]", default_value = "text", long_help = report_help::<RealismFormat>())]
    output: Vec<String>,

    /// Compare only statistics of at least N patients, or of N other items that they count
    #[arg(long, value_name = "N", default_value_t = 20)]
    min_count: u64,

    /// Exit with code 1 when a statistic is reported as outside
    #[arg(long)]
    fail_outside: bool,

    #[command(flatten)]
    exit: ExitOptions,

    #[command(flatten)]
    threads: ThreadOptions,

    #[command(flatten)]
    config: ConfigFile,
}

const EXIT_CODES: &str = "Exit code: 0 the report was made, 1 with --fail-outside if a statistic is outside, 2 some input could not be read or the command failed";

/// The formats of the report.
#[derive(Clone, Copy, PartialEq, Eq)]
enum RealismFormat {
    Text,
    Json,
    Html,
}

impl ReportFormat for RealismFormat {
    const ALL: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Text, "text", "each statistic beside the published one, for people"),
        (Self::Json, "json", "one JSON object, for programs"),
        (Self::Html, "html", "one page"),
    ];
    const REPORT: &'static str = "the report";
    const EXAMPLE: &'static str = "html=report.html";
}

impl Realism {
    /// Makes the report, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let targets = Target::parse_all(&self.output)?;
        let config = self.config.find(&self.paths)?;
        let reading = CohortReading { threads: self.threads.count()?, largest: largest_record(config.as_ref())? };
        let found = find(&self.paths, &[]);
        let protected = ProtectedFiles::of(&found.inputs, "is to be read").and(config.as_ref(), "holds the settings");
        Target::refuse_clashes(&targets, &protected)?;
        name_leftovers(&found.partial);
        let mut missed = false;
        for one in &found.missed {
            missed = true;
            complain_unreadable(&Input::File(one.path.clone()), &one.error);
        }
        let cohort = realism::read(&found.inputs, reading, &mut |input, error| {
            missed = true;
            complain_unreadable(input, error);
        });
        if cohort.records == 0 {
            return Err(nothing(cohort.left_out));
        }
        let table = published::read(published::TABLE)
            .map_err(|error| Failure::Message(format!("the table of published statistics cannot be read: {error}")))?;
        let report = Report::new(&cohort, &table, self.min_count);
        write_texts(&targets, |target| match target.format {
            RealismFormat::Text => realism::text(&report, if target.file.is_some() { COLUMNS } else { width() }),
            RealismFormat::Json => realism::json(&report),
            RealismFormat::Html => realism::html(&report),
        })?;
        let outside = report.count(Verdict::Outside, |_| true) > 0;
        Ok(if missed { COULD_NOT } else { self.exit.code(self.fail_outside && outside) })
    }
}

/// Why there is nothing to compare.
fn nothing(left_out: u64) -> Failure {
    let text =
        if left_out == 0 { "no record could be read" } else { "no record is valid; oar check reports the errors" };
    Failure::Message(text.to_owned())
}
