//! Regression lines through points, of which a patient may contribute several.

use super::Estimate;
use super::interval::student_half;

/// The sums of one patient's points: count, Σx, Σy, Σxx, Σxy.
type Sums = [i64; 5];

/// The least-squares line y = a + b x. The interval of the slope is the cluster-robust one with patients as clusters (Liang
/// and Zeger 1986).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct FittedLine {
    patients: u64,
    sums: [i128; 5],
    /// Σ over patients of the products of their sums.
    products: [[i128; 5]; 5],
}

impl FittedLine {
    /// Adds one patient's points, in hundredths.
    pub fn add(&mut self, points: &[(i64, i64)]) {
        let mut sums: Sums = [0; 5];
        for (x, y) in points {
            for (sum, part) in sums.iter_mut().zip([1, *x, *y, x * x, x * y]) {
                *sum += part;
            }
        }
        self.patients += 1;
        for (row, one) in sums.into_iter().enumerate() {
            self.sums[row] += i128::from(one);
            for (column, other) in sums.into_iter().enumerate() {
                self.products[row][column] += i128::from(one) * i128::from(other);
            }
        }
    }

    /// Adds the sums of another part of the cohort.
    pub fn merge(&mut self, other: &Self) {
        self.patients += other.patients;
        for row in 0..5 {
            self.sums[row] += other.sums[row];
            for column in 0..5 {
                self.products[row][column] += other.products[row][column];
            }
        }
    }

    /// The slope. None when all x are the same, or with fewer than three patients.
    pub fn slope(&self) -> Option<Estimate> {
        let [n, x, y, xx, _] = self.sums.map(|sum| sum as f64);
        let whole = self.sums[0] * self.sums[3] - self.sums[1] * self.sums[1];
        if whole == 0 || self.patients < 3 {
            return None;
        }
        let slope = (self.sums[0] * self.sums[4] - self.sums[1] * self.sums[2]) as f64 / whole as f64;
        let (start, mean) = ((y - slope * x) / n, x / n);
        // A patient's share in the error of the slope: Σ (x - mean) (y - start - slope x), from the patient's sums.
        let weights = [start * mean, slope * mean - start, -mean, -slope, 1.0];
        let between: f64 = (0..5).map(|row| self.row(row, &weights) * weights[row]).sum();
        let k = self.patients as f64;
        let error = (between.max(0.0) * k / (k - 1.0)).sqrt() / (xx - x * mean);
        let half = student_half(error, k - 1.0);
        let how = "cluster-robust, patients as clusters";
        Some(Estimate { value: slope, interval: Some((slope - half, slope + half)), n: self.patients, how })
    }

    fn row(&self, row: usize, weights: &[f64; 5]) -> f64 {
        self.products[row].iter().zip(weights).map(|(product, weight)| *product as f64 * weight).sum()
    }
}
