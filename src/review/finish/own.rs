//! The end of the series from the patient's own trays.
//!
//! Hardly a tray is changed early, most are changed on the day or a little late, and a few are held for weeks: what a tray takes beyond
//! a usual one is never much below nothing and has a long tail. So the days beyond usual of the trays to come, taken together, are
//! given a gamma distribution with the mean and the variance of a prediction: the variance between trays, and that of a mean of few
//! trays. A few trays of an unknown patient are counted in, so that three punctual trays do not promise a fourth.

use oar_schema::derived::course;
use oar_schema::record::Record;
use oar_schema::time::Date;
use statrs::distribution::{ContinuousCDF, Gamma};

use super::{Ahead, Span};

/// The share of chances that is before an interval.
const BEFORE: f64 = 0.1;
/// The share of chances that is inside, at least.
const INSIDE: f64 = 0.8;

/// Nothing is said from fewer completed trays.
const LEAST_TRAYS: usize = 3;
/// As many trays of an unknown patient are counted in (assumption).
const UNKNOWN_TRAYS: f64 = 4.0;
/// What such a tray takes beyond the days prescribed, as a share of them (assumption).
const UNKNOWN_BEYOND: f64 = 0.08;
/// The variance of its days beyond over their mean, in days: delays come in days, holds in weeks (assumption).
const UNKNOWN_SPREAD: f64 = 4.0;
/// By how much the pace of one patient changes between what was and what comes, as a share of the days beyond (assumption).
const DRIFT: f64 = 0.3;
/// No end is looked for after so many days.
const FURTHEST: i32 = 20_000;

/// The interval; none without trays to come, or with too few completed ones.
pub(super) fn span(record: &Record, today: Date, ahead: Ahead) -> Option<Span> {
    let mut days = course::completed(record);
    if days.len() < LEAST_TRAYS || ahead.left == 0 {
        return None;
    }
    days.sort_unstable();
    let prescribed = record.prescription.days_per_tray;
    let usual = prescribed.min(days[(days.len() - 1) / 4]);
    let beyond = Beyond::of(&days, usual, f64::from(prescribed));
    let (low, high) = beyond.interval(f64::from(ahead.left))?;
    let from = today.plus_days(ahead.days + ahead.left * usual);
    let n = days.len() as u64;
    Some(Span { low: from.plus_days(low), high: from.plus_days(high), n, from: "completed trays" })
}

/// Days beyond usual of one tray.
struct Beyond {
    /// Their mean, which is over 0.
    mean: f64,
    /// Their variance over their mean.
    spread: f64,
    /// From how many trays, those of the unknown patient counted in.
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

    /// The days beyond usual of so many trays together, to a whole day: from the day by which a tenth of the chances lies on, with 8
    /// tenths inside. Where a tenth is on the first day already, fewer than a tenth lies before it.
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

/// The first day from 0 on for which something holds that holds ever after.
fn first(holds: impl Fn(i32) -> bool) -> i32 {
    let (mut low, mut high) = (0, FURTHEST);
    while low < high {
        let middle = i32::midpoint(low, high);
        if holds(middle) { high = middle } else { low = middle + 1 }
    }
    low
}
