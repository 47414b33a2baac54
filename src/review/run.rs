//! A review of many files: valid records on several threads, reported in the order of the input.

use std::io;
use std::sync::Arc;

use oar_schema::time::Date;
use oar_schema::{options, pipeline};

use super::finish::PastTreatments;
use super::{Priorities, Review, Reviewer};
use crate::check::Checker;
use crate::check::finding::Finding;
use crate::check::settings::Settings;
use crate::read::inputs::Input;
use crate::read::pieces::{Piece, Pieces};

options! {
    /// How records are reviewed.
    ReviewOptions {
        /// Levels of rules, limits, profiles of systems.
        settings: Settings = Settings::default(),
        /// Priorities of signals.
        priorities: Priorities = Priorities::default(),
        /// The day of the review; none means the day of each export.
        day: Option<Date> = None,
        /// Treatments that are over, for projections.
        cohort: Option<Arc<PastTreatments>> = None,
        /// Threads that review records; 0 counts as 1. Fewer when the system gives fewer.
        threads: usize = 1,
    }
}

/// Collects the results of one piece of a file, on the thread that processes it.
pub trait Part: Default + Send {
    /// Takes a record without errors. `record` counts the records of the piece from 0.
    fn take(&mut self, record: u64, review: Review, findings: &[Finding]);

    /// Takes the findings of a record that has errors and is therefore not reviewed.
    fn refuse(&mut self, record: u64, findings: &[Finding]);
}

/// Where a part comes from.
#[derive(Clone, Copy, Debug)]
pub struct RecordPlace<'a> {
    /// The input.
    pub input: &'a Input,
    /// How many of its records came before.
    pub before: u64,
}

/// The totals of a run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ReviewTotals {
    /// Records, with or without errors.
    pub records: u64,
    /// Records that were too large.
    pub too_large: u64,
}

/// Reviews all inputs. `tell` is called with each part, in the order of the input; `missed` with each input that cannot be
/// read, or not to its end.
///
/// # Errors
/// Only the errors of `tell`.
pub fn run<P: Part>(
    inputs: &[Input],
    options: &ReviewOptions,
    tell: &mut dyn FnMut(RecordPlace<'_>, P) -> io::Result<()>,
    missed: &mut dyn FnMut(&Input, &io::Error),
) -> io::Result<ReviewTotals> {
    let mut pieces = Pieces::new(inputs, options.settings.largest_record(), missed);
    let mut order = Order { inputs, input: 0, before: 0, totals: ReviewTotals::default(), tell };
    pipeline::run(
        options.threads,
        |slot: &mut RecordSlot<P>| pieces.fill(&mut slot.piece),
        || ReviewWorker::new(options),
        ReviewWorker::look,
        |slot| order.take(slot),
    )?;
    let too_large = pieces.too_large + order.totals.too_large;
    Ok(ReviewTotals { too_large, ..order.totals })
}

/// A piece, and what was made of its records.
#[derive(Default)]
struct RecordSlot<P> {
    piece: Piece,
    records: u64,
    too_large: u64,
    part: P,
}

struct ReviewWorker {
    checker: Checker,
    reviewer: Reviewer,
    day: Option<Date>,
}

impl ReviewWorker {
    fn new(options: &ReviewOptions) -> Self {
        Self {
            checker: Checker::with_settings(&options.settings).without_excerpts(),
            reviewer: Reviewer::default().priorities(options.priorities.clone()).cohort(options.cohort.clone()),
            day: options.day,
        }
    }

    fn look<P: Part>(&mut self, slot: &mut RecordSlot<P>) {
        let (part, mut records) = (&mut slot.part, 0);
        slot.too_large = slot.piece.each(|text, line| {
            self.one(text, line, records, part);
            records += 1;
        });
        slot.records = records;
    }

    fn one<P: Part>(&mut self, text: &[u8], line: u64, record: u64, part: &mut P) {
        let checked = self.checker.check_from(text, line);
        match checked.record().filter(|_| !checked.has_error()) {
            Some(read) => {
                if self.reviewer.limits != *checked.limits() {
                    self.reviewer.limits = checked.limits().clone();
                }
                part.take(record, self.reviewer.review(read, self.day), &checked);
            }
            None => part.refuse(record, &checked),
        }
    }
}

/// Tells parts, with how many records of their input came before.
struct Order<'a, P> {
    inputs: &'a [Input],
    input: usize,
    before: u64,
    totals: ReviewTotals,
    tell: &'a mut dyn FnMut(RecordPlace<'_>, P) -> io::Result<()>,
}

impl<P: Part> Order<'_, P> {
    fn take(&mut self, slot: &mut RecordSlot<P>) -> io::Result<()> {
        let input = slot.piece.input;
        if input != self.input {
            (self.input, self.before) = (input, 0);
        }
        let place = RecordPlace { input: &self.inputs[input], before: self.before };
        (self.tell)(place, std::mem::take(&mut slot.part))?;
        self.before += slot.records;
        self.totals.records += slot.records;
        self.totals.too_large += slot.too_large;
        Ok(())
    }
}
