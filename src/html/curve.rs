//! Curves of times to an event, as points of a step line.

use crate::statistics::{Curve, CurveStep};

/// A step line: flat from day to day.
pub(crate) fn stairs(curve: &Curve, of: impl Fn(&CurveStep) -> f64, start: f64) -> Vec<(f64, f64)> {
    let mut points = vec![(0.0, start)];
    let mut before = start;
    for step in &curve.steps {
        let (day, now) = (f64::from(step.day), of(step));
        points.extend([(day, before), (day, now)]);
        before = now;
    }
    points.push((f64::from(curve.last_day), before));
    points
}

/// The outline of the interval around a curve, in percent.
pub(crate) fn band(curve: &Curve) -> Vec<(f64, f64)> {
    let bound = |upper: bool| {
        move |step: &CurveStep| match step.interval {
            Some((low, high)) => 100.0 * if upper { high } else { low },
            None => 100.0 * step.without,
        }
    };
    let mut band = stairs(curve, bound(true), 100.0);
    band.extend(stairs(curve, bound(false), 100.0).into_iter().rev());
    band
}
