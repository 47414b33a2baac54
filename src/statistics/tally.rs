//! Values of patients, counted.

use std::collections::BTreeMap;

use super::interval::{TAIL, binomial_quantile, student_half};
use super::{Estimate, share};

/// How often each value occurs. Values are in hundredths; results are in whole units.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    counts: BTreeMap<i64, u64>,
    n: u64,
    sum: i128,
    squares: i128,
}

impl Tally {
    /// Counts one more value, in hundredths.
    pub fn add(&mut self, hundredths: i64) {
        self.add_many(hundredths, 1);
    }

    fn add_many(&mut self, hundredths: i64, count: u64) {
        *self.counts.entry(hundredths).or_default() += count;
        self.n += count;
        self.sum += i128::from(hundredths) * i128::from(count);
        self.squares += i128::from(hundredths) * i128::from(hundredths) * i128::from(count);
    }

    /// Adds the counts of another part of the cohort.
    pub fn merge(&mut self, other: &Self) {
        for (value, count) in &other.counts {
            self.add_many(*value, *count);
        }
    }

    /// How many were counted.
    pub fn n(&self) -> u64 {
        self.n
    }

    /// Every value that occurs, in whole units, and how often.
    pub fn counts(&self) -> impl Iterator<Item = (f64, u64)> {
        self.counts.iter().map(|(value, count)| (*value as f64 / 100.0, *count))
    }

    /// The arithmetic mean. None without values.
    pub fn mean(&self) -> Option<f64> {
        (self.n > 0).then(|| self.sum as f64 / self.n as f64 / 100.0)
    }

    /// The standard deviation of a sample: squares divided by n - 1. None with fewer than two values.
    pub fn sd(&self) -> Option<f64> {
        if self.n < 2 {
            return None;
        }
        // n Σx² - (Σx)², exact in whole numbers.
        let spread = i128::from(self.n) * self.squares - self.sum * self.sum;
        Some((spread as f64 / self.n as f64 / (self.n - 1) as f64).sqrt() / 100.0)
    }

    /// The mean with Student's interval.
    pub fn mean_estimate(&self) -> Option<Estimate> {
        let value = self.mean()?;
        let half = self.sd().map(|sd| student_half(sd / (self.n as f64).sqrt(), (self.n - 1) as f64));
        Some(Estimate { value, interval: half.map(|half| (value - half, value + half)), n: self.n, how: "Student" })
    }

    /// The quantile at `p`, interpolated linearly between neighbours (definition 7 of Hyndman and Fan 1996, which numpy calls
    /// linear). None without values.
    pub fn quantile(&self, p: f64) -> Option<f64> {
        let place = self.n.checked_sub(1)? as f64 * p;
        let below = place.floor();
        let (low, high) = (self.ranked(below as u64)?, self.ranked(place.ceil() as u64)?);
        Some((low as f64 + (high - low) as f64 * (place - below)) / 100.0)
    }

    /// The quantile at `p` with the interval between two order statistics whose ranks are binomial quantiles. It covers at
    /// least as often as stated, except when the sample is too small to reach that far.
    pub fn quantile_estimate(&self, p: f64) -> Option<Estimate> {
        let value = self.quantile(p)?;
        let low = binomial_quantile(TAIL, self.n, p).saturating_sub(1);
        let high = binomial_quantile(1.0 - TAIL, self.n, p).min(self.n - 1);
        let whole = |rank| self.ranked(rank).map(|value| value as f64 / 100.0);
        Some(Estimate { value, interval: whole(low).zip(whole(high)), n: self.n, how: "order statistics" })
    }

    /// The mean of this tally minus that of another, with Welch's interval.
    pub fn difference(&self, other: &Self) -> Option<Estimate> {
        share::difference(self, other)
    }

    /// The value at a rank, counted from 0, in hundredths.
    fn ranked(&self, rank: u64) -> Option<i64> {
        let mut before = 0;
        self.counts.iter().find_map(|(value, count)| {
            before += count;
            (before > rank).then_some(*value)
        })
    }
}
