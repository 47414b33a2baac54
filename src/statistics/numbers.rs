//! Formats numbers for reports.

/// The number with three or four significant digits, without needless zeros.
pub(crate) fn short(value: f64) -> String {
    let size = value.abs();
    let places = match size {
        _ if size >= 100.0 => 0,
        _ if size >= 10.0 => 1,
        _ if size >= 1.0 || size == 0.0 => 2,
        _ => 3,
    };
    let text = format!("{value:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// The number with its unit.
pub(crate) fn with_unit(value: f64, unit: &str) -> String {
    match unit {
        "rank" | "day" => format!("{unit} {}", short(value)),
        "ratio" => short(value),
        _ => format!("{} {unit}", short(value)),
    }
}

/// An interval, which may be open at one end; empty when it is open at both.
pub(crate) fn interval(low: Option<f64>, high: Option<f64>) -> String {
    match (low, high) {
        (Some(low), Some(high)) => format!("{} to {}", short(low), short(high)),
        (Some(low), None) => format!("{} or more", short(low)),
        (None, Some(high)) => format!("{} or less", short(high)),
        (None, None) => String::new(),
    }
}

/// The number rounded to eight significant digits, so that the last bits of a sum do not show.
pub(crate) fn steady(value: f64) -> f64 {
    format!("{value:.7e}").parse().unwrap_or(value)
}
