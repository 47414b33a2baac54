//! The derived values that the kit tests, with their tolerances.

use super::manifest::DefinedValue;

/// The page with their definitions.
pub(super) const PAGE: &str = include_str!("../../docs/reference/derived.md");

/// A derived value of the answer key.
#[derive(Clone, Copy, Debug)]
pub struct DerivedValue {
    /// Its name in the answer key, and the heading of its definition.
    pub name: &'static str,
    /// By how much an answer may differ.
    pub tolerance: f64,
}

/// The answer key has shares with four decimal places.
const SHARE: f64 = 0.0001;

const fn value(name: &'static str, tolerance: f64) -> DerivedValue {
    DerivedValue { name, tolerance }
}

/// All of them, in the order of the answer key.
pub const VALUES: &[DerivedValue] = &[
    value("treatment_day", 0.0),
    value("wear_share", SHARE),
    value("days_logged", SHARE),
    value("days_at_minimum", SHARE),
    value("low_run", 0.0),
    value("tray_due", 0.0),
    value("days_overdue", 0.0),
    value("trays_left", 0.0),
    value("pace_days", 0.05),
    value("projected_end", 0.0),
    value("per_arch", 0.0),
    value("rescan_due", 0.0),
    value("reductions_due", 0.0),
    value("lagging_teeth", 0.0),
    value("attachments_debonded", 0.0),
    value("irregularity_mm", 0.005),
    value("bolton_percent", 0.005),
];

/// The values for a manifest.
pub(super) fn told() -> Vec<DefinedValue> {
    let tell = |value: &DerivedValue| DefinedValue {
        name: value.name.to_owned(),
        tolerance: value.tolerance,
        definition: definition(value.name).unwrap_or_default(),
    };
    VALUES.iter().map(tell).collect()
}

/// The definition of a value on one line, from its section of the page.
fn definition(name: &str) -> Option<String> {
    let section = crate::check::page::section(PAGE, &format!("`{name}`"))?;
    Some(section.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// Whether an answer is the expected value, numbers within the tolerance.
pub(super) fn agree(expected: &serde_json::Value, answer: &serde_json::Value, tolerance: f64) -> bool {
    use serde_json::Value as Json;
    match (expected, answer) {
        (Json::Number(expected), Json::Number(answer)) => {
            let (expected, answer) = (expected.as_f64().unwrap_or(f64::NAN), answer.as_f64().unwrap_or(f64::NAN));
            // Decimal fractions are not exact in binary, so the last bits of a difference are ignored.
            (expected - answer).abs() <= tolerance * (1.0 + 1e-6)
        }
        (Json::Array(expected), Json::Array(answer)) => {
            expected.len() == answer.len() && expected.iter().zip(answer).all(|(e, a)| agree(e, a, tolerance))
        }
        (Json::Object(expected), Json::Object(answer)) => {
            let same =
                |(name, value): (&String, &Json)| answer.get(name).is_some_and(|told| agree(value, told, tolerance));
            expected.len() == answer.len() && expected.iter().all(same)
        }
        _ => expected == answer,
    }
}
