//! Shares of patients.

use super::interval::{TAIL, normal_half, normal_quantile};
use super::{Estimate, Tally};

/// How many patients have something, out of how many.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Share {
    /// Those that have it.
    pub yes: u64,
    /// All that were counted.
    pub of: u64,
}

impl Share {
    /// Counts one more.
    pub fn add(&mut self, yes: bool) {
        self.yes += u64::from(yes);
        self.of += 1;
    }

    /// Adds the counts of another part of the cohort.
    pub fn merge(&mut self, other: Self) {
        self.yes += other.yes;
        self.of += other.of;
    }

    /// The share in percent with Wilson's interval (Wilson 1927). None without patients.
    pub fn percent(self) -> Option<Estimate> {
        if self.of == 0 {
            return None;
        }
        let (n, p) = (self.of as f64, self.yes as f64 / self.of as f64);
        let z = normal_quantile(1.0 - TAIL);
        let (middle, whole) = (p + z * z / (2.0 * n), 1.0 + z * z / n);
        let half = z * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt();
        let interval = (((middle - half) / whole).max(0.0), ((middle + half) / whole).min(1.0));
        Some(Estimate { value: p, interval: Some(interval), n: self.of, how: "Wilson" }.times(100.0))
    }

    /// This share divided by another, with the interval of its logarithm (Katz 1978). None when either is empty or 0.
    pub fn ratio(self, other: Self) -> Option<Estimate> {
        if self.yes == 0 || other.yes == 0 {
            return None;
        }
        let part = |share: Self| 1.0 / share.yes as f64 - 1.0 / share.of as f64;
        let value = (self.yes as f64 / self.of as f64) / (other.yes as f64 / other.of as f64);
        let error = (part(self) + part(other)).sqrt();
        Some(Self::of_logarithm(value, error, self.of + other.of, "logarithm (Katz)"))
    }

    /// The odds of this share divided by those of another, with the interval of its logarithm (Woolf 1955). None when a cell of
    /// the fourfold table is empty.
    pub fn odds_ratio(self, other: Self) -> Option<Estimate> {
        let cells = [self.yes, self.of - self.yes, other.yes, other.of - other.yes];
        if cells.contains(&0) {
            return None;
        }
        let [a, b, c, d] = cells.map(|cell| cell as f64);
        let error = (1.0 / a + 1.0 / b + 1.0 / c + 1.0 / d).sqrt();
        Some(Self::of_logarithm(a * d / (b * c), error, self.of + other.of, "logarithm (Woolf)"))
    }

    fn of_logarithm(value: f64, error: f64, n: u64, how: &'static str) -> Estimate {
        let factor = libm::exp(normal_half(error));
        Estimate { value, interval: Some((value / factor, value * factor)), n, how }
    }
}

/// The mean of one tally minus that of another, with Welch's interval (Welch 1947). None with fewer than two in either.
pub(super) fn difference(one: &Tally, other: &Tally) -> Option<Estimate> {
    let square = |value: f64| value * value;
    let (a, b) = (square(one.sd()?) / one.n() as f64, square(other.sd()?) / other.n() as f64);
    let parts = square(a) / (one.n() - 1) as f64 + square(b) / (other.n() - 1) as f64;
    let degrees = if parts > 0.0 { square(a + b) / parts } else { 1.0 };
    let value = one.mean()? - other.mean()?;
    let half = super::interval::student_half((a + b).sqrt(), degrees);
    let n = one.n() + other.n();
    Some(Estimate { value, interval: Some((value - half, value + half)), n, how: "Welch" })
}
