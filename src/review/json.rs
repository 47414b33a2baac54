//! The totals of a review, for programs: one JSON object.

use serde_json::{Map, Value, json};

use super::clinic::Clinic;
use super::signal::Priority;
use super::text::CAUTION;
use crate::statistics::json::{QUANTILES, Times};
use crate::statistics::numbers::steady;
use crate::statistics::{LEVEL, Tally};

/// The totals as one JSON document, with a line break at its end.
pub fn json(clinic: &Clinic) -> String {
    let (first, last) = clinic.days.unzip();
    let priorities: Map<String, Value> = Priority::ALL
        .iter()
        .map(|priority| (priority.as_str().to_owned(), json!(clinic.priorities.get(priority).unwrap_or(&0))))
        .collect();
    let lagging: Map<String, Value> =
        clinic.lagging.iter().map(|(tooth, records)| (tooth.to_string(), json!(records))).collect();
    let gaps: Map<String, Value> =
        clinic.gaps.iter().map(|(tooth, tally)| (tooth.to_string(), tally_value(tally))).collect();
    let findings = clinic
        .findings
        .iter()
        .map(|((level, rule), records)| json!({"rule": rule, "level": level.as_str(), "records": records}));
    let document = json!({
        "report": "review",
        "version": "1.0",
        "caution": CAUTION,
        "reviewed": clinic.reviewed,
        "refused": clinic.refused,
        "first_day": first,
        "last_day": last,
        "level": LEVEL,
        "states": clinic.states,
        "priorities": priorities,
        "signals": clinic.signals,
        "wear_share_percent": tally_value(&clinic.wear_share),
        "days_logged_percent": tally_value(&clinic.coverage),
        "refinements": tally_value(&clinic.refinements),
        "lagging": lagging,
        "gap_mm": gaps,
        "days_to_finish": Times::of(&clinic.to_finish.curve()),
        "days_to_refinement": Times::of(&clinic.to_refinement.curve()),
        "findings": findings.collect::<Vec<_>>(),
    });
    format!("{document:#}\n")
}

fn tally_value(tally: &Tally) -> Value {
    let quantiles = QUANTILES.map(|p| json!({"p": p, "value": tally.quantile(p).map(steady)}));
    json!({"n": tally.n(), "mean": tally.mean().map(steady), "sd": tally.sd().map(steady), "quantiles": quantiles})
}
