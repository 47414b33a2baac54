//! Distributions to draw from, on [`crate::maths`] alone.
//!
//! `rand_distr` has them all, but its functions are the platform's as soon as any crate of the build asks for `std`.

use crate::maths::{exp, ln, normal_quantile, pow};
use crate::random::RandomStream;

/// Above this mean, counts are drawn in parts, so that e to its power stays far from 0.
const LARGE_MEAN: f64 = 30.0;

impl RandomStream {
    /// Whether something of that probability happens.
    pub fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// A number between two others.
    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.unit()
    }

    /// A whole number from `least` to `most`, both included.
    pub fn whole(&mut self, least: i32, most: i32) -> i32 {
        let count = i64::from(most) - i64::from(least) + 1;
        let place = (u128::from(self.bits()) * count as u128) >> 64;
        (i64::from(least) + place as i64) as i32
    }

    /// A standard normal number: one draw, turned by the quantile function.
    pub fn normal(&mut self) -> f64 {
        normal_quantile(self.unit())
    }

    /// A normal number.
    pub fn normal_of(&mut self, mean: f64, sd: f64) -> f64 {
        mean + sd * self.normal()
    }

    /// A normal number that is drawn again until it lies within the bounds, at most some times, then held to them.
    pub fn normal_within(&mut self, mean: f64, sd: f64, least: f64, most: f64) -> f64 {
        for _ in 0..20 {
            let value = self.normal_of(mean, sd);
            if (least..=most).contains(&value) {
                return value;
            }
        }
        mean.clamp(least, most)
    }

    /// A number whose logarithm is normal, by its median and the standard deviation of its logarithm.
    pub fn log_normal(&mut self, median: f64, sigma: f64) -> f64 {
        median * exp(sigma * self.normal())
    }

    /// A waiting time of that mean, without memory.
    pub fn exponential(&mut self, mean: f64) -> f64 {
        -mean * ln(self.unit())
    }

    /// A gamma number of scale 1: Marsaglia, Tsang 2000, ACM Transactions on Mathematical Software 26:363-372.
    pub fn gamma(&mut self, shape: f64) -> f64 {
        if shape < 1.0 {
            let boost = pow(self.unit(), 1.0 / shape);
            return self.gamma(shape + 1.0) * boost;
        }
        let d = shape - 1.0 / 3.0;
        let c = 1.0 / (9.0 * d).sqrt();
        loop {
            let x = self.normal();
            let v = 1.0 + c * x;
            if v > 0.0 {
                let v = v * v * v;
                if ln(self.unit()) < 0.5 * x * x + d - d * v + d * ln(v) {
                    return d * v;
                }
            }
        }
    }

    /// A share with a beta distribution.
    pub fn beta(&mut self, alpha: f64, beta: f64) -> f64 {
        let (one, other) = (self.gamma(alpha), self.gamma(beta));
        one / (one + other)
    }

    /// A count with a Poisson distribution, by counting waits.
    pub fn poisson(&mut self, mean: f64) -> i32 {
        let mut count = 0;
        let mut left = mean;
        while left > 0.0 {
            let part = left.min(LARGE_MEAN);
            let least = exp(-part);
            let mut product = self.unit();
            while product > least {
                count += 1;
                product *= self.unit();
            }
            left -= part;
        }
        count
    }

    /// The place of one of several weights, each as likely as its share of their sum.
    pub fn choice(&mut self, weights: &[f64]) -> usize {
        let mut left = self.unit() * weights.iter().sum::<f64>();
        for (place, weight) in weights.iter().enumerate() {
            left -= weight;
            if left < 0.0 {
                return place;
            }
        }
        weights.len().saturating_sub(1)
    }

    /// One of several, each as likely; none when there is none.
    pub fn one_of<'t, T>(&mut self, several: &'t [T]) -> Option<&'t T> {
        let last = i32::try_from(several.len()).ok()?.checked_sub(1).filter(|last| *last >= 0)?;
        several.get(self.whole(0, last) as usize)
    }

    /// Puts several into an order, each as likely (Fisher and Yates).
    pub fn shuffle<T>(&mut self, several: &mut [T]) {
        for last in (1..several.len()).rev() {
            let other = self.whole(0, last as i32) as usize;
            several.swap(last, other);
        }
    }
}
