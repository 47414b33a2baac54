//! `oar review`: the worklist of a clinic, or the whole story of one patient.

mod outputs;

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use open_aligner_record::output::shown_path;
use open_aligner_record::read::inputs::{Input, Missed};
use open_aligner_record::review::entry::Entry;
use open_aligner_record::review::run::{ReviewOptions, run};
use open_aligner_record::review::{Priorities, Priority, Review as Reviewed, letter, signals};
use open_aligner_record::settings::Origin;
use open_aligner_record::time::Date;

use super::bounded_read::{SETTINGS, read_text};
use super::options::{ExitOptions, ThreadOptions, date, number_or_all};
use super::outputs::{ReportFormat, Target, complain_unreadable, report_help};
use super::overwrite_guard::ProtectedFiles;
use super::review_cohort as cohort;
use super::settings_options::SettingsOptions;
use super::temporary::name_leftovers;
use super::{COULD_NOT, Failure, perhaps};
use outputs::{ReviewOutputs, ReviewedPiece};

/// Rows of a worklist on a terminal by default.
const MAX_ROWS: u64 = 40;
/// Rows of a worklist on a page by default.
const MAX_ROWS_ON_PAGE: u64 = 200;

/// List who needs attention and why, or tell the story of one patient
///
/// A signal says what somebody should look at, with the numbers and fields behind it. Signals are not treatment advice: decisions
/// belong to licensed clinicians and local rules. Records with errors are left out.
#[derive(Args)]
#[command(after_help = EXIT_CODES, after_long_help = LONG_HELP)]
#[allow(clippy::doc_markdown, reason = "the comments on fields are the help as it is shown")]
pub(crate) struct Review {
    /// Files, folders, or - for standard input, as for oar check
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Review the records as they were on DATE [default: the date of each export]
    #[arg(long, value_name = "DATE", value_parser = date)]
    as_of: Option<Date>,

    /// Review only the record with this id; a single record is shown in full
    #[arg(long, value_name = "ID")]
    pub(super) id: Option<String>,

    /// Review only the records of the patient with this id; a single record is shown in full
    #[arg(long, value_name = "ID")]
    pub(super) patient: Option<String>,

    /// Write the review as FORMAT, to FILE or standard output; repeatable
    #[arg(short, long, value_name = "FORMAT[=FILE]", default_value = "text", long_help = report_help::<ReviewFormat>())]
    output: Vec<String>,

    /// Also project when series and treatments end, from the ended treatments in PATH; repeatable
    #[arg(long, value_name = "PATH")]
    cohort: Vec<PathBuf>,

    /// Sort rows by urgency or as in the input [default: urgency in text and html, input in jsonl and csv]
    ///
    /// Sorting by urgency holds the rows in memory.
    #[arg(long, value_name = "ORDER")]
    sort: Option<Sort>,

    /// Show at most N rows; all has no limit [default: 40 in text, 200 in html, all in jsonl and csv]
    #[arg(long, value_name = "N", value_parser = number_or_all, allow_negative_numbers = true)]
    max_rows: Option<u64>,

    /// Show only records with this signal; repeatable
    #[arg(long, value_name = "SIGNAL")]
    signal: Vec<String>,

    /// Show only records with a signal of PRIORITY or more urgent: today, this_week or next_contact
    #[arg(long, value_name = "PRIORITY", value_parser = priority)]
    min_priority: Option<Priority>,

    /// Set the priority of a signal, or turn it off, as in low_wear=today or rescan_due=off; repeatable
    #[arg(long, value_name = "SIGNAL=PRIORITY")]
    priority: Vec<String>,

    /// Read the text of the letter from FILE; docs/how-to/review.md lists its placeholders
    #[arg(long, value_name = "FILE")]
    letter_text: Option<PathBuf>,

    #[command(flatten)]
    threads: ThreadOptions,

    #[command(flatten)]
    exit: ExitOptions,

    #[command(flatten)]
    settings: SettingsOptions,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Sort {
    Urgency,
    Input,
}

const EXIT_CODES: &str = "Exit code: 0 all records were reviewed, 1 some have errors and were left out, 2 some input could not be read or the command failed";

const LONG_HELP: &str = "\
Exit code:
  0  all records were reviewed
  1  some have errors, which oar check reports, and were left out
  2  some input could not be read, or the command failed

Examples:
  oar review exports                            the worklist of a folder
  oar review --as-of 2031-05-01 exports         the same on an earlier date
  oar review --signal low_wear exports          records with low wear
  oar review --id QM-0007 exports               one record in full
  oar review --cohort ended --id QM-0007 exports
                                                with its projected end
  oar review -o html=review.html exports        a page
  oar review -o letter=letter.txt a.oar.json    a letter for the patient";

/// The formats of a review.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ReviewFormat {
    Text,
    Jsonl,
    Csv,
    Json,
    Html,
    Letter,
}

impl ReportFormat for ReviewFormat {
    const ALL: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Text, "text", "the worklist, or a single record in full, for people"),
        (Self::Jsonl, "jsonl", "one JSON object for each record, for programs"),
        (Self::Csv, "csv", "one row for each signal"),
        (Self::Json, "json", "the totals of all records as one JSON object"),
        (Self::Html, "html", "one page"),
        (Self::Letter, "letter", "a letter for the patient; for a single record"),
    ];
    const REPORT: &'static str = "the review";
    const EXAMPLE: &'static str = "html=review.html";
}

impl Review {
    /// Reviews, and gives the exit code.
    pub(crate) fn run(self) -> Result<u8, Failure> {
        let targets = Target::parse_all(&self.output)?;
        self.signal.iter().try_for_each(|name| known(name, "--signal"))?;
        let settings = self.settings.resolve(&self.paths)?;
        let found = settings.selection().find(&self.paths);
        let protected = settings.protected(&found.inputs, "is to be reviewed");
        Target::refuse_clashes(&targets, &protected.and(self.letter_text.as_ref(), "is the letter"))?;
        let ended = cohort::find(&self.cohort, &settings)?;
        Target::refuse_clashes(&targets, &ProtectedFiles::of(&ended.inputs, "is of the cohort"))?;
        let mut options = ReviewOptions::default()
            .settings(settings.settings)
            .priorities(self.priorities(settings.priorities)?)
            .day(self.as_of)
            .threads(self.threads.count()?);
        name_leftovers(&found.partial);
        let mut missed = false;
        for Missed { path, error, .. } in found.missed.iter().chain(&ended.missed) {
            missed = true;
            complain_unreadable(&Input::File(path.clone()), error);
        }
        if !self.cohort.is_empty() {
            options.cohort = Some(cohort::read(&ended.inputs, &options, &mut |input, error| {
                missed = true;
                complain_unreadable(input, error);
            })?);
        }
        let mut outputs = ReviewOutputs::open(&self, &targets)?;
        let totals = run(
            &found.inputs,
            &options,
            &mut |place, piece: ReviewedPiece| outputs.take(&self, place, piece),
            &mut |input, error| {
                missed = true;
                complain_unreadable(input, error);
            },
        );
        let totals = totals.map_err(Failure::writing("the review"))?;
        let left_out = outputs.refused() + totals.too_large;
        if totals.records == 0 && !missed {
            return Err(Failure::Message("the input has no record to review".to_owned()));
        }
        let records = totals.records;
        outputs.end(&self, &targets, totals)?;
        if missed || records == 0 {
            return Ok(COULD_NOT);
        }
        Ok(self.exit.code(left_out > 0))
    }

    /// The priorities of the file and of the options, which override them.
    fn priorities(&self, mut priorities: Priorities) -> Result<Priorities, Failure> {
        for given in &self.priority {
            let Some((name, word)) = given.split_once('=') else {
                return Err(Failure::Message(format!(
                    "--priority {given}: write it as low_wear=today, or low_wear=off"
                )));
            };
            known(name, "--priority")?;
            let priority = if word == "off" { Ok(None) } else { priority(word).map(Some) };
            let priority = priority.map_err(|why| Failure::Message(format!("--priority {given}: {why}, or off")))?;
            let origin = Origin::Option(format!("--priority {given}").into());
            if let Some(signal) = signals::find(name) {
                priorities.set(signal, priority, origin);
            }
        }
        Ok(priorities)
    }

    /// Whether an entry is to be shown.
    pub(super) fn shows(&self, entry: &Entry) -> bool {
        let raises = |name: &String| entry.raised.iter().any(|raised| raised.signal.name == name);
        let is_urgent = |least| entry.priority().is_some_and(|priority| priority <= least);
        self.min_priority.is_none_or(is_urgent) && (self.signal.is_empty() || self.signal.iter().any(raises))
    }

    /// Whether a record is to be reviewed.
    pub(super) fn selects(&self, review: &Reviewed) -> bool {
        let record = &review.record;
        self.id.as_ref().is_none_or(|id| record.id.0 == *id)
            && self.patient.as_ref().is_none_or(|id| record.patient.id.0 == *id)
    }

    /// Whether only some records are to be reviewed.
    pub(super) fn is_selective(&self) -> bool {
        self.id.is_some() || self.patient.is_some()
    }

    /// Whether a format is written record by record.
    pub(super) fn streams(&self, format: ReviewFormat) -> bool {
        matches!(format, ReviewFormat::Jsonl | ReviewFormat::Csv) && self.sort.unwrap_or(Sort::Input) == Sort::Input
    }

    /// How many rows a format shows.
    pub(super) fn max_rows(&self, format: ReviewFormat) -> u64 {
        self.max_rows.unwrap_or(match format {
            ReviewFormat::Text => MAX_ROWS,
            ReviewFormat::Html => MAX_ROWS_ON_PAGE,
            ReviewFormat::Jsonl | ReviewFormat::Csv | ReviewFormat::Letter => u64::MAX,
            ReviewFormat::Json => 0,
        })
    }

    /// The text of the letter.
    pub(super) fn letter(&self) -> Result<String, Failure> {
        let Some(file) = &self.letter_text else { return Ok(letter::TEXT.to_owned()) };
        read_text(file, &shown_path(file), SETTINGS)
    }
}

/// Refuses an unknown signal.
fn known(name: &str, option: &str) -> Result<(), Failure> {
    if signals::find(name).is_some() {
        return Ok(());
    }
    let near = perhaps(name, signals::all().map(|signal| signal.name));
    Err(Failure::Message(format!(
        "{option} {name}: unknown signal{near}\n  help: oar explain signals lists the signals"
    )))
}

/// Reads a priority.
fn priority(text: &str) -> Result<Priority, String> {
    let known = Priority::ALL.into_iter().find(|priority| priority.as_str() == text || priority.words() == text);
    known.ok_or_else(|| "give today, this_week or next_contact".to_owned())
}
