//! Review: what valid records say about the progress of patients.
//!
//! A [`Reviewer`] reviews one record on one day and returns a [`Review`]: the derived values and the [`Signal`]s that the
//! record raises, the most urgent first. A signal names what somebody should look at, and the numbers and fields behind it; it
//! is not a treatment instruction.
//!
//! ```
//! use open_aligner_record::{Checker, review::Reviewer};
//!
//! let text = include_bytes!("../../tests/base.oar.json");
//! let record = Checker::new().read(text).expect("it has no errors");
//! let review = Reviewer::default().review(record, None);
//! assert_eq!(review.values.treatment_day, Some(96));
//! assert_eq!(review.raised[0].signal.name, "wear_log_stopped");
//! ```

#![expect(clippy::cast_precision_loss, reason = "counts of days and trays are far below 2^52")]

mod arches;
pub mod clinic;
pub mod csv;
pub mod entry;
pub mod finish;
pub mod json;
pub mod letter;
pub(crate) mod line;
mod next;
pub mod page;
pub mod run;
pub mod signal;
pub mod signals;
pub mod text;
mod view;

use std::sync::Arc;

use oar_schema::derived::as_of::as_of;
use oar_schema::derived::values::Values;
use oar_schema::limits::Limits;
use oar_schema::number::Hundredths;
use oar_schema::options;
use oar_schema::record::Record;
use oar_schema::time::Date;

use crate::check::settings::Origin;

use finish::{Finish, PastTreatments};
use signal::Raising;
pub use signal::{Priority, Raised, Signal};
use view::View;

/// What is set for signals that is not a limit: priorities other than usual, and signals that are off.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Priorities(Vec<(&'static str, Option<Priority>, Origin)>);

impl Priorities {
    /// Gives a signal another priority, or none to turn it off. The last word on a signal counts.
    pub fn set(&mut self, signal: &'static Signal, priority: Option<Priority>, origin: Origin) {
        self.0.retain(|(name, ..)| *name != signal.name);
        self.0.push((signal.name, priority, origin));
    }

    /// The priority of a signal; none when it is off.
    pub fn of(&self, signal: &Signal) -> Option<Priority> {
        self.said(signal).map_or(Some(signal.priority), |(_, priority, _)| *priority)
    }

    /// Where the priority of a signal was set.
    pub fn origin(&self, signal: &Signal) -> Origin {
        self.said(signal).map_or(Origin::Default, |(.., origin)| origin.clone())
    }

    fn said(&self, signal: &Signal) -> Option<&(&'static str, Option<Priority>, Origin)> {
        self.0.iter().find(|(name, ..)| *name == signal.name)
    }
}

options! {
    /// Reviews records one by one.
    Reviewer {
        /// The thresholds.
        limits: Limits = Limits::default(),
        /// The priorities of signals.
        priorities: Priorities = Priorities::default(),
        /// Treatments that are over, for projections.
        cohort: Option<Arc<PastTreatments>> = None,
    }
}

/// The review of one record on one day.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Review {
    /// The record as it stood on that day.
    pub record: Record,
    /// The day: that of the export, or an earlier one.
    pub day: Date,
    /// The derived values.
    pub values: Values,
    /// The signals, the most urgent first.
    pub raised: Vec<Raised>,
    /// The fit gap from which a tooth lags.
    pub lagging_gap_mm: Hundredths,
    /// When series and treatment are likely to end.
    pub finish: Option<Finish>,
}

impl Review {
    /// The most urgent priority; none when nothing is raised.
    pub fn priority(&self) -> Option<Priority> {
        self.raised.first().map(|raised| raised.priority)
    }
}

impl Reviewer {
    /// Reviews a record as it stood on a day. Without a day, or with a day after the export, uses the day of the export.
    pub fn review(&self, record: Record, day: Option<Date>) -> Review {
        let exported = record.source.exported_at.written_date();
        let day = day.map_or(exported, |day| day.min(exported));
        let record = if day < exported { as_of(record, day) } else { record };
        let values = Values::of(&record, day, self.limits.lagging_gap_mm as i32);
        let raised = self.raised(&record, day);
        let lagging_gap_mm = Hundredths(self.limits.lagging_gap_mm as i32);
        let finish = Finish::of(&record, day, self.cohort.as_deref());
        Review { record, day, values, raised, lagging_gap_mm, finish }
    }

    /// The signals of a record in which nothing is dated after the day, the most urgent first.
    fn raised(&self, record: &Record, day: Date) -> Vec<Raised> {
        let view = View::new(record, day, &self.limits);
        let mut raised = Vec::new();
        for signal in signals::all() {
            if let Some(priority) = self.priorities.of(signal) {
                (signal.look)(&view, &mut Raising { signal, priority, raised: &mut raised });
            }
        }
        raised.sort_by(|one, other| one.priority.cmp(&other.priority).then(other.score.total_cmp(&one.score)));
        raised
    }
}
