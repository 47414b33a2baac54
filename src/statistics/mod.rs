//! Statistics with their intervals, each computed from sums or counts that can be added in any order.
//!
//! Values are whole numbers of hundredths, so sums are exact, and a cohort that is split into parts and merged again gives
//! exactly the same statistics. Only a count for each value that occurs, or a few sums, are kept, never a list of records.

#![expect(
    clippy::cast_precision_loss,
    reason = "statistics are floats; counts and sums beyond 2^53 lose digits that nobody sees"
)]

mod interval;
pub mod json;
mod line;
pub(crate) mod numbers;
mod pooled;
mod share;
mod survival;
mod tally;

pub use interval::{LEVEL, normal_quantile, student_quantile};
pub use line::FittedLine;
pub use pooled::Pooled;
pub use share::Share;
pub use survival::{Curve, CurveStep, Outcome, Survival};
pub use tally::Tally;

/// A statistic of a cohort.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The statistic, in the unit of its measure.
    pub value: f64,
    /// The interval that covers it at [`LEVEL`], if there is one.
    pub interval: Option<(f64, f64)>,
    /// How many were counted: patients, or what the measure counts.
    pub n: u64,
    /// How the interval was made.
    pub how: &'static str,
}

impl Estimate {
    /// The same in another unit.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        let interval = self.interval.map(|(low, high)| (low * factor, high * factor));
        Self { value: self.value * factor, interval, ..self }
    }
}
