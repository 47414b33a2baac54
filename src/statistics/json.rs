//! Statistics for programs.

use serde::Serialize;

use super::numbers::steady;
use super::{Curve, CurveStep, Estimate, Tally};

/// The quantiles that are written.
pub(crate) const QUANTILES: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];

/// A statistic with its interval.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Estimated {
    /// Its value, in the unit that goes with it.
    pub value: f64,
    /// The lower end of its 95 % interval; null when there is none.
    pub low: Option<f64>,
    /// The upper end.
    pub high: Option<f64>,
    /// Of how many: patients, or whatever it counts.
    pub n: u64,
}

impl Estimated {
    /// As it is written, without digits that depend on the order of sums.
    pub fn of(estimate: &Estimate) -> Self {
        let (low, high) = estimate.interval.unzip();
        Self { value: steady(estimate.value), low: low.map(steady), high: high.map(steady), n: estimate.n }
    }
}

/// A curve of the times to an event.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub(crate) struct Times {
    /// How many times it is made of.
    n: u64,
    /// Times that ended with the event.
    events: u64,
    /// Times that ended with an event of another kind.
    others: u64,
    /// Times that are cut off.
    cut_off: u64,
    /// The first day on which half or fewer are without the event; null when there is none.
    median: Option<Median>,
    steps: Vec<CurveDay>,
}

/// A median time with its interval.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct Median {
    day: i32,
    low: Option<i32>,
    high: Option<i32>,
}

/// A day with events.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct CurveDay {
    /// The day.
    day: i32,
    /// How many were left at its beginning.
    at_risk: u64,
    /// Events on it.
    events: u64,
    /// Kaplan–Meier's share without the event.
    without: f64,
    /// The lower end of its interval; null where the share is 0 or 1.
    low: Option<f64>,
    /// The upper end.
    high: Option<f64>,
    /// Aalen–Johansen's share with the event.
    with: f64,
}

impl Times {
    pub(crate) fn of(curve: &Curve) -> Self {
        let [events, others, cut_off] = curve.ended;
        let median = curve.median().map(|(day, low, high)| Median { day, low, high });
        Self { n: curve.n, events, others, cut_off, median, steps: curve.steps.iter().map(CurveDay::of).collect() }
    }
}

impl CurveDay {
    fn of(step: &CurveStep) -> Self {
        let CurveStep { day, at_risk, events, without, interval, with } = *step;
        let (low, high) = interval.unzip();
        let (low, high) = (low.map(steady), high.map(steady));
        Self { day, at_risk, events, without: steady(without), low, high, with: steady(with) }
    }
}

/// The five quantiles of a tally.
pub(crate) fn quantiles(tally: &Tally) -> [Option<f64>; 5] {
    QUANTILES.map(|p| tally.quantile(p).map(steady))
}
