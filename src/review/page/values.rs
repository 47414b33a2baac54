//! The derived values as a table.

use oar_schema::derived::values::Values;

use crate::html::{Markup, Table};
use crate::statistics::numbers::short;

/// Every value, with its name, text and unit.
pub(super) fn html(values: &Values) -> Markup {
    let mut table = Table::new(
        "Derived values; a dash means that the record does not contain the value",
        &["name", "value", "unit"],
    );
    for (name, value, unit) in rows(values) {
        table.row([name.to_owned(), value.unwrap_or_else(|| "–".to_owned()), unit.to_owned()]);
    }
    table.html("numbers values")
}

fn told<T: ToString>(value: Option<T>) -> Option<String> {
    value.map(|value| value.to_string())
}

fn percent(share: Option<f64>) -> Option<String> {
    share.map(|share| format!("{:.1}", 100.0 * share))
}

/// A list, or the word none.
fn listed<T>(list: Option<&Vec<T>>, of: impl Fn(&T) -> String) -> Option<String> {
    let list: Vec<String> = list?.iter().map(of).collect();
    Some(if list.is_empty() { "none".to_owned() } else { list.join(", ") })
}

fn rows(values: &Values) -> Vec<(&'static str, Option<String>, &'static str)> {
    let [upper, lower] = values.irregularity_mm;
    let [overall, anterior] = values.bolton_percent;
    let yes = |it: bool| if it { "yes" } else { "no" };
    let lag = |lag: &oar_schema::derived::values::Lag| format!("{} (check-ins: {})", lag.tooth, lag.check_ins);
    vec![
        ("treatment day", told(values.treatment_day), "days"),
        ("wear share", percent(values.wear_share), "% of the goal"),
        ("days logged", percent(values.days_logged), "% of days with a tray"),
        ("days at the minimum or more", percent(values.days_at_minimum), "% of logged days"),
        ("longest run below the minimum", told(values.low_run), "days"),
        ("tray due", told(values.tray_due), "day"),
        ("days overdue", told(values.days_overdue), "days"),
        ("trays left", told(values.trays_left), "trays"),
        ("pace", values.pace_days.map(short), "days a tray"),
        ("projected end of the series", told(values.projected_end), "day"),
        ("rescan due", values.rescan_due.map(|due| yes(due).to_owned()), ""),
        ("reductions due", listed(values.reductions_due.as_ref(), |[one, other]| format!("{one}-{other}")), "contacts"),
        ("lagging teeth", listed(values.lagging_teeth.as_ref(), lag), "teeth"),
        (
            "attachments debonded",
            listed(values.attachments_debonded.as_ref(), |off| {
                format!("{} on {} (needed {})", off.attachment.0, off.tooth, off.needed)
            }),
            "attachments",
        ),
        ("irregularity, upper", told(upper), "mm"),
        ("irregularity, lower", told(lower), "mm"),
        ("Bolton's ratio, overall", told(overall), "%"),
        ("Bolton's ratio, anterior", told(anterior), "%"),
    ]
}
