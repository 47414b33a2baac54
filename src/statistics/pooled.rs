//! Ratios of sums over patients who each contribute several values.

use super::Estimate;
use super::interval::student_half;

/// The sum of one quantity divided by the sum of another; each patient contributes to both. The interval is that of a ratio
/// estimator with patients as clusters: days, teeth or visits of one patient are not independent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Pooled {
    patients: u64,
    above: i128,
    below: i128,
    /// Σ above², Σ above × below, Σ below².
    products: [i128; 3],
}

impl Pooled {
    /// Adds the sums of one patient.
    pub fn add(&mut self, above: i64, below: i64) {
        let (above, below) = (i128::from(above), i128::from(below));
        self.patients += 1;
        self.above += above;
        self.below += below;
        for (sum, product) in self.products.iter_mut().zip([above * above, above * below, below * below]) {
            *sum += product;
        }
    }

    /// Adds the sums of another part of the cohort.
    pub fn merge(&mut self, other: &Self) {
        self.patients += other.patients;
        self.above += other.above;
        self.below += other.below;
        for (sum, more) in self.products.iter_mut().zip(other.products) {
            *sum += more;
        }
    }

    /// The ratio with its interval: the linearised variance of a ratio between clusters, and Student's t with one degree of
    /// freedom fewer than patients (Cochran 1977). None when the denominator is empty.
    pub fn estimate(&self) -> Option<Estimate> {
        if self.below == 0 {
            return None;
        }
        let (value, below) = (self.above as f64 / self.below as f64, self.below as f64);
        let interval = (self.patients > 1).then(|| {
            let k = self.patients as f64;
            let half = student_half((self.residual() * k / (k - 1.0)).sqrt() / below.abs(), k - 1.0);
            (value - half, value + half)
        });
        Some(Estimate { value, interval, n: self.patients, how: "Student, patients as clusters" })
    }

    /// Σ (above - ratio × below)² over patients.
    fn residual(&self) -> f64 {
        // Times below², in whole numbers, the terms nearly cancel without loss.
        let [aa, ab, bb] = self.products.map(|sum| sum as f64);
        let ratio = self.above as f64 / self.below as f64;
        (aa - 2.0 * ratio * ab + ratio * ratio * bb).max(0.0)
    }
}
