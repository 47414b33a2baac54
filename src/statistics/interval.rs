//! Quantiles of the distributions from which intervals are computed.

use statrs::distribution::{Binomial, ContinuousCDF, DiscreteCDF, Normal, StudentsT};

/// The share of samples whose interval covers what it estimates.
pub const LEVEL: f64 = 0.95;

/// The probability that is left above an interval.
pub(super) const TAIL: f64 = (1.0 - LEVEL) / 2.0;

/// The value below which a standard normal variable stays with probability `p`, 0 < `p` < 1.
pub fn normal_quantile(p: f64) -> f64 {
    Normal::standard().inverse_cdf(p)
}

/// The value below which Student's t with that many degrees of freedom stays with probability `p`, 0 < `p` < 1.
/// Infinite without a degree of freedom.
pub fn student_quantile(p: f64, degrees: f64) -> f64 {
    StudentsT::new(0.0, 1.0, degrees).map_or(f64::INFINITY, |t| t.inverse_cdf(p))
}

/// The smallest number of successes out of `n` that is not exceeded with probability `p`, when each has the
/// probability `chance`.
pub(super) fn binomial_quantile(p: f64, n: u64, chance: f64) -> u64 {
    Binomial::new(chance, n).map_or(0, |binomial| binomial.inverse_cdf(p))
}

/// Half the width of a normal interval for that standard error.
pub(super) fn normal_half(error: f64) -> f64 {
    normal_quantile(1.0 - TAIL) * error
}

/// Half the width of Student's interval for that standard error.
pub(super) fn student_half(error: f64, degrees: f64) -> f64 {
    if error == 0.0 { 0.0 } else { student_quantile(1.0 - TAIL, degrees) * error }
}
