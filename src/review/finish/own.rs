//! Predicts the end of the series from the patient's own trays.
//!
//! Few trays are changed early, most are changed on time or a little late, and some are held for weeks. So the days that a
//! tray takes beyond a usual one are rarely much below 0 and have a long tail. Their sum over the trays to come is given a
//! gamma distribution with the mean and the variance of a prediction: the variance between trays, and that of a mean of few
//! trays. A few trays of an unknown patient are included, so that three punctual trays do not guarantee a fourth.

use oar_schema::derived::course;
use oar_schema::record::Record;
use oar_schema::time::Date;
use statrs::distribution::{ContinuousCDF, Gamma};

use super::{Ahead, DayRange};

/// The probability before an interval.
const BEFORE: f64 = 0.1;
/// The minimum probability inside an interval.
const INSIDE: f64 = 0.8;

/// The minimum number of completed trays for a prediction.
const LEAST_TRAYS: usize = 3;
/// How many trays of an unknown patient are included (assumption).
const UNKNOWN_TRAYS: f64 = 4.0;
/// The days that such a tray takes beyond the prescribed days, as a share of them (assumption).
const UNKNOWN_BEYOND: f64 = 0.08;
/// The variance of these additional days divided by their mean, in days: delays last days, holds weeks (assumption).
const UNKNOWN_SPREAD: f64 = 4.0;
/// By how much the pace of one patient changes between past and future, as a share of the additional days (assumption).
const DRIFT: f64 = 0.3;
/// The maximum number of days that is searched.
const FURTHEST: i32 = 20_000;

/// The interval; none without trays to come, or with too few completed trays.
pub(super) fn span(record: &Record, today: Date, ahead: Ahead) -> Option<DayRange> {
    let mut days = course::completed(record);
    if days.len() < LEAST_TRAYS || ahead.left == 0 {
        return None;
    }
    days.sort_unstable();
    let prescribed = record.prescription.change_interval_days;
    let usual = prescribed.min(days[(days.len() - 1) / 4]);
    let beyond = Beyond::of(&days, usual, f64::from(prescribed));
    let (low, high) = beyond.interval(f64::from(ahead.left))?;
    let from = today.plus_days(ahead.days + ahead.left * usual);
    let n = days.len() as u64;
    Some(DayRange { low: from.plus_days(low), high: from.plus_days(high), n, from: "completed trays" })
}

/// The additional days of one tray beyond a usual one.
struct Beyond {
    /// Their mean, which is above 0.
    mean: f64,
    /// Their variance divided by their mean.
    spread: f64,
    /// The number of trays, including those of the unknown patient.
    trays: f64,
}

impl Beyond {
    fn of(days: &[i32], usual: i32, prescribed: f64) -> Self {
        let beyond = || days.iter().map(|days| f64::from(days - usual));
        let unknown = UNKNOWN_TRAYS * UNKNOWN_BEYOND * prescribed;
        let sum = beyond().sum::<f64>().max(0.0) + unknown;
        let squares = beyond().map(|days| days * days).sum::<f64>() + UNKNOWN_SPREAD * unknown;
        let trays = days.len() as f64 + UNKNOWN_TRAYS;
        Self { mean: sum / trays, spread: squares / sum, trays }
    }

    /// The additional days of that many trays together, to a whole day: the interval starts at the day by which the probability
    /// is a tenth, and holds 8 tenths. When a tenth is reached on the first day, less than a tenth is before it.
    fn interval(&self, left: f64) -> Option<(i32, i32)> {
        let mean = left * self.mean;
        let drift = DRIFT * mean;
        let variance = mean * self.spread * (1.0 + left / self.trays) + drift * drift;
        let gamma = Gamma::new(mean * mean / variance, mean / variance).ok()?;
        let by = |day: i32| gamma.cdf(f64::from(day) + 0.5);
        let low = first(|day| by(day) >= BEFORE);
        let before = if low == 0 { 0.0 } else { by(low - 1) };
        Some((low, first(|day| by(day) - before >= INSIDE)))
    }
}

/// The first day from 0 on that meets a condition which all later days meet too.
fn first(holds: impl Fn(i32) -> bool) -> i32 {
    let (mut low, mut high) = (0, FURTHEST);
    while low < high {
        let middle = i32::midpoint(low, high);
        if holds(middle) { high = middle } else { low = middle + 1 }
    }
    low
}
