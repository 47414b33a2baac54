//! Predictions of the end of the series and of the treatment.
//!
//! `projected_end` is one day. These intervals contain the true day about 80 times in 100. One is computed from the patient's
//! own trays. With [`PastTreatments`] there are two more: for the series, and for the finish of the whole
//! treatment. `docs/how-to/review.md` says how each is computed and how often it contained the true day.

mod cohort;
mod own;

use oar_schema::derived::course;
use oar_schema::record::{Record, State};
use oar_schema::time::Date;
use serde::Serialize;

pub use cohort::{LEAST_TREATMENTS, PastTreatments, Readiness};

/// How many intervals in 100 are meant to contain the true day.
pub const PERCENT: u32 = 80;

/// The days between which something is likely to happen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct DayRange {
    /// The first day.
    pub low: Date,
    /// The last day.
    pub high: Date,
    /// The number of completed trays, or treatments of the cohort, behind it.
    pub n: u64,
    /// What is counted: completed trays or treatments.
    #[cfg_attr(feature = "schemas", schemars(extend("enum" = ["completed trays", "treatments"])))]
    pub from: &'static str,
}

/// When the current series and the treatment are likely to end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Finish {
    /// How many intervals in 100 are meant to contain the true day.
    pub percent: u32,
    /// The end of the series, at the patient's own pace.
    pub series_own_pace: Option<DayRange>,
    /// The end of the series, from the treatments of the cohort.
    pub series_cohort: Option<DayRange>,
    /// The finish of the treatment, later series included, from the finished treatments of the cohort.
    pub treatment_cohort: Option<DayRange>,
}

impl Finish {
    /// Predicts for a record in which nothing is dated after `today`. None when the treatment is not active, no tray is in, or
    /// nothing can be predicted.
    pub fn of(record: &Record, today: Date, cohort: Option<&PastTreatments>) -> Option<Self> {
        if record.status.state != State::Active {
            return None;
        }
        let ahead = Ahead::of(record, today)?;
        let finish = Self {
            percent: PERCENT,
            series_own_pace: own::span(record, today, ahead),
            series_cohort: cohort.and_then(|cohort| cohort.series(today, ahead)),
            treatment_cohort: cohort.and_then(|cohort| cohort.treatment(today, ahead)),
        };
        let says = finish.series_own_pace.or(finish.series_cohort).or(finish.treatment_cohort).is_some();
        says.then_some(finish)
    }

    /// Each interval in words.
    pub fn words(&self) -> Vec<String> {
        let line = |what: &str, how: &str, span: DayRange| {
            let DayRange { low, high, n, from } = span;
            format!("{what} between {low} and {high} ({PERCENT} times in 100; {how}, {n} {from})")
        };
        let spans = [
            (self.series_own_pace, "the series ends", "at the patient's own pace"),
            (self.series_cohort, "the series ends", "as in the cohort"),
            (self.treatment_cohort, "the treatment finishes, if it is finished,", "as in the cohort"),
        ];
        spans.into_iter().filter_map(|(span, what, how)| span.map(|span| line(what, how, span))).collect()
    }
}

/// The remaining course of a patient with a tray in.
#[derive(Clone, Copy, Debug)]
struct Ahead {
    /// Whether an earlier series was worn.
    later_series: bool,
    /// The current tray, and the trays of its arch; of the longer arch when it is in both.
    tray: i32,
    trays: i32,
    /// Trays after the current one.
    left: i32,
    /// Days until the current tray may be changed.
    days: i32,
    /// Days until the projected end; without a completed tray, at the prescribed pace.
    projected: i32,
}

impl Ahead {
    fn of(record: &Record, today: Date) -> Option<Self> {
        let worn = course::current(record)?;
        let left = course::trays_left(record)?;
        let days = course::due(record, worn).days_since(today).max(0);
        let prescribed = || today.plus_days(days + left * record.prescription.change_interval_days);
        let projected = course::projected_end(record, today).unwrap_or_else(prescribed).days_since(today);
        Some(Self { later_series: worn.series > 0, tray: worn.tray, trays: worn.tray + left, left, days, projected })
    }
}
