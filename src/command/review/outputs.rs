//! The outputs of `oar review`, and what is kept of the records for them.

use std::io::{self, Write};

use open_aligner_record::finding::Finding;
use open_aligner_record::review::clinic::Clinic;
use open_aligner_record::review::entry::{Entry, First};
use open_aligner_record::review::run::{Part, RecordPlace, ReviewTotals};
use open_aligner_record::review::{Review as Reviewed, csv, json, letter, page, text};
use open_aligner_record::rule::Level;

use super::{Review, ReviewFormat};
use crate::command::outputs::{Sink, Target};
use crate::command::{Failure, width};

/// Columns of a text in a file.
const COLUMNS: usize = 100;

/// The findings of a record: the level and name of each rule, once for each finding.
type RuleLevels = Vec<(Level, &'static str)>;

/// What a thread makes of a piece of the input.
#[derive(Default)]
pub(super) struct ReviewedPiece {
    /// The reviews of the piece, with their places in it.
    reviews: Vec<(u64, Box<Reviewed>, RuleLevels)>,
    /// The findings of records with errors.
    refused: Vec<RuleLevels>,
}

impl Part for ReviewedPiece {
    fn take(&mut self, record: u64, review: Reviewed, findings: &[Finding]) {
        self.reviews.push((record, Box::new(review), faults(findings)));
    }

    fn refuse(&mut self, _: u64, findings: &[Finding]) {
        self.refused.push(faults(findings));
    }
}

fn faults(findings: &[Finding]) -> RuleLevels {
    findings.iter().map(|finding| (finding.level, finding.rule.name)).collect()
}

/// An output that is written record by record, in the order of the input.
struct Stream {
    format: ReviewFormat,
    out: Sink,
    rows_left: u64,
}

impl Stream {
    fn open(target: &Target<ReviewFormat>, max_rows: u64) -> Result<Self, Failure> {
        let mut out = Sink::open(target.file.as_ref(), io::stdout())?;
        let head = if target.format == ReviewFormat::Csv { csv::head() } else { String::new() };
        out.write_all(head.as_bytes()).map_err(Failure::writing(&out.name()))?;
        Ok(Self { format: target.format, out, rows_left: max_rows })
    }

    fn add(&mut self, entry: &Entry) -> io::Result<()> {
        if self.rows_left == 0 {
            return Ok(());
        }
        self.rows_left -= 1;
        let text = if self.format == ReviewFormat::Csv { csv::of(entry) } else { format!("{}\n", entry.json()) };
        self.out.write_all(text.as_bytes())
    }
}

/// All outputs, and everything that is kept of the records.
pub(super) struct ReviewOutputs {
    clinic: Clinic,
    /// The most urgent records, for outputs that are written at the end.
    first: First,
    streams: Vec<Stream>,
    /// Records that are shown, or would be without a limit of rows.
    shown: u64,
    /// The only one of them.
    single: Option<Box<Reviewed>>,
}

impl ReviewOutputs {
    /// Opens the outputs that are written record by record.
    pub(super) fn open(asked: &Review, targets: &[Target<ReviewFormat>]) -> Result<Self, Failure> {
        let at_end = targets.iter().filter(|target| !asked.streams(target.format));
        let held = at_end.map(|target| asked.max_rows(target.format)).max();
        let streamed = targets.iter().filter(|target| asked.streams(target.format));
        let streams: Result<_, Failure> =
            streamed.map(|target| Stream::open(target, asked.max_rows(target.format))).collect();
        let first = First::new(usize::try_from(held.unwrap_or(0)).unwrap_or(usize::MAX));
        Ok(Self { clinic: Clinic::default(), first, streams: streams?, shown: 0, single: None })
    }

    /// Records that have errors and were left out.
    pub(super) fn refused(&self) -> u64 {
        self.clinic.refused
    }

    /// Takes a piece of the input, in its order.
    pub(super) fn take(&mut self, asked: &Review, place: RecordPlace<'_>, piece: ReviewedPiece) -> io::Result<()> {
        piece.refused.iter().for_each(|faults| self.clinic.refuse(faults));
        let file = place.input.name();
        for (record, review, faults) in piece.reviews {
            if !asked.selects(&review) {
                continue;
            }
            self.clinic.add(&review, &faults);
            let entry = Entry { file: file.clone(), record: place.before + record + 1, ..Entry::of(&review) };
            if asked.shows(&entry) {
                self.shown += 1;
                self.single = (self.shown == 1).then_some(review);
                self.streams.iter_mut().try_for_each(|stream| stream.add(&entry))?;
                self.first.add(entry);
            }
        }
        Ok(())
    }

    /// Writes the outputs that are written at the end, and closes all.
    pub(super) fn end(
        self,
        asked: &Review,
        targets: &[Target<ReviewFormat>],
        totals: ReviewTotals,
    ) -> Result<(), Failure> {
        let Self { clinic, first, streams, shown, single } = self;
        if totals.records > 0 && clinic.reviewed == 0 && asked.is_selective() {
            return Err(nobody(asked));
        }
        let mut sinks: Vec<Sink> = streams.into_iter().map(|stream| stream.out).collect();
        // When other records were left out, a single record would look like the only one.
        let single = single.filter(|_| asked.is_selective() || clinic.refused == 0);
        let report = EndReport { list: first.into_list(), shown, clinic, single };
        for target in targets.iter().filter(|target| !asked.streams(target.format)) {
            sinks.push(Sink::with_text(&report.text(asked, target)?, target.file.as_ref())?);
        }
        Sink::close_all(sinks.into_iter())
    }
}

/// What the outputs at the end are written from.
struct EndReport {
    list: Vec<Entry>,
    shown: u64,
    clinic: Clinic,
    single: Option<Box<Reviewed>>,
}

impl EndReport {
    fn text(&self, asked: &Review, target: &Target<ReviewFormat>) -> Result<String, Failure> {
        let most = usize::try_from(asked.max_rows(target.format)).unwrap_or(usize::MAX);
        let list = &self.list[..self.list.len().min(most)];
        let columns = || if target.file.is_some() { COLUMNS } else { width() };
        Ok(match (target.format, &self.single) {
            (ReviewFormat::Text, Some(review)) => text::patient(review, columns()),
            (ReviewFormat::Text, None) => text::worklist(list, self.shown, &self.clinic, columns()),
            (ReviewFormat::Html, Some(review)) => page::patient(review),
            (ReviewFormat::Html, None) => page::clinic(list, self.shown, &self.clinic),
            (ReviewFormat::Letter, Some(review)) => {
                letter::letter(review, &asked.letter()?).map_err(Failure::Message)?
            }
            (ReviewFormat::Letter, None) => return Err(not_one(self.shown)),
            (ReviewFormat::Json, _) => json::json(&self.clinic),
            (ReviewFormat::Jsonl, _) => text::lines(list),
            (ReviewFormat::Csv, _) => csv::rows(list),
        })
    }
}

fn nobody(asked: &Review) -> Failure {
    let options = [("--id", &asked.id), ("--patient", &asked.patient)];
    let given: Vec<&str> = options.iter().filter(|(_, id)| id.is_some()).map(|(option, _)| *option).collect();
    Failure::Message(format!("no record without errors has the id of {}", given.join(" and ")))
}

fn not_one(shown: u64) -> Failure {
    Failure::Message(format!("a letter is for one patient, but there are {shown} records: select one with --id ID"))
}
