//! Times to an event, including times that are censored.

use std::collections::BTreeMap;

use super::Estimate;
use super::interval::{TAIL, normal_quantile};

/// How a time ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// With the event.
    Event,
    /// With another event, after which this one cannot occur.
    Other,
    /// Censored: nothing is known after it.
    Cut,
}

/// How many times of each length ended in each way.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Survival {
    days: BTreeMap<i32, [u64; 3]>,
}

/// The curve at and after one day with an event of either kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveStep {
    /// The day.
    pub day: i32,
    /// How many were at risk at its beginning.
    pub at_risk: u64,
    /// Events on it.
    pub events: u64,
    /// Kaplan and Meier's estimate of the share without the event, other events counted as censored (1958).
    pub without: f64,
    /// Its interval: Greenwood's variance on the scale of log(-log). None where the share is 0 or 1.
    pub interval: Option<(f64, f64)>,
    /// Aalen and Johansen's share with the event, others counted as competing events (1978).
    pub with: f64,
}

/// A curve.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Curve {
    /// Its steps, by rising day.
    pub steps: Vec<CurveStep>,
    /// The number of times that it is computed from.
    pub n: u64,
    /// Events, other events, and censored times.
    pub ended: [u64; 3],
    /// The longest time.
    pub last_day: i32,
}

impl Survival {
    /// Counts one more time.
    pub fn add(&mut self, days: i32, outcome: Outcome) {
        self.days.entry(days).or_default()[outcome as usize] += 1;
    }

    /// Adds the counts of another part of the cohort.
    pub fn merge(&mut self, other: &Self) {
        for (day, counts) in &other.days {
            let own = self.days.entry(*day).or_default();
            own.iter_mut().zip(counts).for_each(|(own, more)| *own += more);
        }
    }

    /// The curve; events on a day precede censoring on the same day.
    pub fn curve(&self) -> Curve {
        let mut curve = Curve { last_day: self.days.keys().next_back().copied().unwrap_or(0), ..Curve::default() };
        for counts in self.days.values() {
            curve.ended.iter_mut().zip(counts).for_each(|(all, more)| *all += more);
        }
        curve.n = curve.ended.iter().sum();
        let (mut left, mut without, mut free, mut with, mut variance) = (curve.n, 1.0, 1.0, 0.0, 0.0);
        for (day, [events, others, cut]) in &self.days {
            let (at_risk, hits) = (left as f64, *events as f64);
            if events + others > 0 {
                with += free * hits / at_risk;
                free *= 1.0 - (events + others) as f64 / at_risk;
                without *= 1.0 - hits / at_risk;
                variance += hits / (at_risk * (at_risk - hits));
                let interval = band(without, variance);
                curve.steps.push(CurveStep { day: *day, at_risk: left, events: *events, without, interval, with });
            }
            left -= events + others + cut;
        }
        curve
    }
}

/// The interval of a share without the event.
fn band(without: f64, variance: f64) -> Option<(f64, f64)> {
    if without <= 0.0 || without >= 1.0 {
        return None;
    }
    let log = libm::log(without);
    let half = normal_quantile(1.0 - TAIL) * variance.sqrt() / log;
    let at = |shift: f64| libm::exp(-libm::exp(libm::log(-log) + shift));
    Some((at(-half), at(half)))
}

impl Curve {
    /// The first day on which at most half are without the event, with the corresponding days of the bounds of the interval.
    /// None when more than half are without it to the end.
    pub fn median(&self) -> Option<(i32, Option<i32>, Option<i32>)> {
        let first =
            |under: &dyn Fn(&CurveStep) -> bool| self.steps.iter().find(|step| under(step)).map(|step| step.day);
        let day = first(&|step| step.without <= 0.5)?;
        let low = first(&|step| step.interval.map_or(step.without, |(low, _)| low) <= 0.5);
        let high = first(&|step| step.interval.map_or(step.without, |(_, high)| high) <= 0.5);
        Some((day, low, high))
    }

    /// The percentage with the event by that day (Kaplan–Meier). None when nobody was observed for that long.
    pub fn percent_by(&self, day: i32) -> Option<Estimate> {
        if self.last_day < day {
            return None;
        }
        let step = self.steps.iter().take_while(|step| step.day <= day).last();
        let value = step.map_or(0.0, |step| 1.0 - step.without);
        let interval = step.and_then(|step| step.interval).map(|(low, high)| (1.0 - high, 1.0 - low));
        Some(Estimate { value, interval, n: self.n, how: "Greenwood, log(-log)" }.times(100.0))
    }
}
