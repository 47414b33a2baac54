//! Curves as JSON.

use serde_json::{Map, Value, json};

use super::numbers::steady;
use super::{Curve, CurveStep};

/// A curve for programs.
pub(crate) fn curve_members(curve: &Curve) -> Map<String, Value> {
    let [events, others, cut_off] = curve.ended;
    let median = curve.median().map(|(day, low, high)| json!({"day": day, "low": low, "high": high}));
    Map::from_iter([
        ("n".to_owned(), json!(curve.n)),
        ("events".to_owned(), json!(events)),
        ("others".to_owned(), json!(others)),
        ("cut_off".to_owned(), json!(cut_off)),
        ("median".to_owned(), json!(median)),
        ("steps".to_owned(), curve.steps.iter().map(step_value).collect()),
    ])
}

fn step_value(step: &CurveStep) -> Value {
    let (low, high) = step.interval.unzip();
    json!({
        "day": step.day, "at_risk": step.at_risk, "events": step.events, "without": steady(step.without),
        "low": low.map(steady), "high": high.map(steady), "with": steady(step.with),
    })
}
