//! The realism report: how closely a cohort resembles published studies.
//!
//! Records are read one by one. [`measures`] read each and add to [`Observations`], which hold counts and sums for each measure
//! but no record, so memory does not grow with the cohort. Statistics are then compared with those of the table
//! [`published::TABLE`]. Only the content of records is used, never the knowledge of a generator.
//!
//! A cohort inside published intervals is test data that resembles what was published. It is not evidence about patients,
//! and this report is not a medical device.
//!
//! ```
//! use open_aligner_record::Records;
//! use open_aligner_record::realism::{Observations, Report, Verdict, published, text};
//!
//! let mut cohort = Observations::default();
//! for record in Records::open("datasets/demo/quillmere.oar.jsonl")? {
//!     cohort.add(&record?);
//! }
//! let table = published::read(published::TABLE)?;
//! let report = Report::new(&cohort, &table, 1000);
//! assert_eq!(report.count(Verdict::Inside, |_| true), 0, "nothing is counted 1000 times in so few records");
//! assert!(text(&report, 100).starts_with("12 records compared with"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

#![expect(
    clippy::cast_precision_loss,
    reason = "statistics are floats; counts and sums beyond 2^53 lose digits that are not shown"
)]

mod cohort;
mod compare;
mod forest;
mod html;
pub(crate) mod json;
pub mod measures;
mod page;
mod patient;
pub mod published;
mod read;
mod seen;
mod text;

pub use cohort::{Asked, Observations};
pub use compare::{Compared, Verdict, compare, verdict};
pub use html::html;
pub use json::{Verdicts, json};
pub use patient::{GROUPS, Patient};
pub use read::{CohortReading, read};
pub use seen::{ObservationName, Seen, plain};
pub use text::text;

use std::collections::{BTreeMap, BTreeSet};

use crate::statistics::Curve;
use published::Published;

/// Part of every report.
const CAUTION: &str = "Inside means that the cohort resembles what was published. It is not evidence about patients, and this report is not a medical device.";

/// The curves that are shown: the measure and its title.
const CURVES: &[(&str, &str)] = &[
    ("to_first_refinement", "time to the first refinement"),
    ("to_finish", "time to the finish"),
    ("to_attachment_loss", "time to the loss of an attachment"),
];

/// A cohort compared with published statistics.
#[derive(Clone, Debug)]
pub struct Report<'c> {
    /// The cohort.
    pub cohort: &'c Observations,
    /// Each published statistic with the cohort's, in the order of the table.
    pub rows: Vec<Compared<'c>>,
    /// The count that a statistic needs to be compared.
    pub least: u64,
    /// Curves of times to an event.
    pub curves: Vec<TimeTo>,
    /// Shared data that a recipe of this cohort was tuned on.
    tuned_data: BTreeSet<&'c str>,
}

/// A curve with its title.
#[derive(Clone, Debug)]
pub struct TimeTo {
    /// The measure.
    pub measure: &'static str,
    /// Its title, for people.
    pub title: &'static str,
    /// The curve.
    pub curve: Curve,
}

impl<'c> Report<'c> {
    /// Compares. A statistic of fewer than `least` patients (or other units that it counts) is not compared.
    pub fn new(cohort: &'c Observations, published: &'c [Published], least: u64) -> Self {
        let curve = |(measure, title): &(&'static str, &'static str)| {
            let curve = cohort.times(&Asked::parse(measure))?.curve();
            Some(TimeTo { measure, title, curve })
        };
        let curves = CURVES.iter().filter_map(curve).collect();
        let tuned = published.iter().filter(|row| !row.data_set.is_empty() && is_tuned_on(cohort, row));
        let tuned_data = tuned.map(|row| row.data_set.as_str()).collect();
        Self { cohort, rows: compare(cohort, published, least), least, curves, tuned_data }
    }

    /// The caution for these records: that they are synthetic, or how many are not marked as synthetic.
    pub fn caution(&self) -> String {
        match self.cohort.recipes.get("") {
            _ if self.cohort.records == 0 => CAUTION.to_owned(),
            None => format!("Synthetic test data. {CAUTION}"),
            Some(1) => format!("1 record is not marked as synthetic. {CAUTION}"),
            Some(n) => format!("{n} records are not marked as synthetic. {CAUTION}"),
        }
    }

    /// How many rows have that verdict, of those that `counts` accepts.
    pub fn count(&self, verdict: Verdict, counts: impl Fn(&Compared<'_>) -> bool) -> usize {
        self.rows.iter().filter(|row| row.verdict == verdict && counts(row)).count()
    }

    /// How many distinct statistics have that verdict at best: a cohort cannot match studies that conflict, so the nearest one
    /// counts.
    pub fn count_at_best(&self, verdict: Verdict) -> usize {
        self.count_nearest(verdict, Published::what_is_computed)
    }

    /// How many data sets have that verdict at best, each counted once for what it measures: publications of the same data are
    /// not independent, nor are groups of its patients.
    pub fn count_by_data(&self, verdict: Verdict) -> usize {
        self.count_nearest(verdict, |row| (row.data(), row.measured()))
    }

    /// How many keys have that verdict; each key has the verdict of its nearest row.
    fn count_nearest<'r, K: Ord>(&'r self, verdict: Verdict, key: impl Fn(&'r Published) -> K) -> usize {
        let mut best: BTreeMap<K, Verdict> = BTreeMap::new();
        for row in &self.rows {
            let own = best.entry(key(row.published)).or_insert(row.verdict);
            *own = row.verdict.min(*own);
        }
        best.into_values().filter(|own| *own == verdict).count()
    }

    /// The themes of the table, in its order.
    pub fn themes(&self) -> Vec<&'c str> {
        let mut themes: Vec<&str> = Vec::new();
        for row in &self.rows {
            if !themes.contains(&row.published.theme.as_str()) {
                themes.push(&row.published.theme);
            }
        }
        themes
    }

    /// Rows of one theme.
    pub fn of_theme(&self, theme: &str) -> impl Iterator<Item = &Compared<'c>> {
        self.rows.iter().filter(move |row| row.published.theme == theme)
    }

    /// Whether a recipe of this cohort was tuned on a row, or on another row of the same shared data.
    pub fn is_tuned(&self, row: &Compared<'_>) -> bool {
        is_tuned_on(self.cohort, row.published) || self.tuned_data.contains(row.published.data_set.as_str())
    }
}

/// Whether a recipe of the cohort was tuned on the row itself.
fn is_tuned_on(cohort: &Observations, row: &Published) -> bool {
    row.tuned_in.split_whitespace().any(|recipe| cohort.recipes.contains_key(recipe))
}
