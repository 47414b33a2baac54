//! Data quality: the findings of the checker in the records.

use super::signals::words;
use super::worklist::records;
use crate::check::rule::Level;
use crate::html::{Markup, Table, html as markup};
use crate::review::clinic::Clinic;

/// Findings by rule, and the records that were skipped.
pub(super) fn html(clinic: &Clinic) -> Markup {
    let all = clinic.reviewed + clinic.refused;
    let left_out = match clinic.refused {
        0 => format!("None of the {all} {} has errors.", records(all)),
        1 => format!("1 of the {all} {} has errors and was skipped.", records(all)),
        many => format!("{many} of the {all} records have errors and were skipped."),
    };
    if clinic.findings.is_empty() {
        return markup! { p { (left_out) " The checker finds nothing in them." } "\n" };
    }
    let mut table = Table::new("Records with findings of each rule", &["rule", "level", "records"]);
    let mut found: Vec<(Level, &str, u64)> =
        clinic.findings.iter().map(|((level, rule), count)| (*level, *rule, *count)).collect();
    found.sort_by_key(|(level, rule, count)| (weight(*level), std::cmp::Reverse(*count), *rule));
    for (level, rule, count) in found {
        table.row([words(rule), level.as_str().to_owned(), count.to_string()]);
    }
    markup! {
        p { (left_out) " " code { "oar check" } " reports each finding and how to fix it." } "\n"
        (table.html("numbers quality"))
    }
}

/// Errors first.
const fn weight(level: Level) -> u8 {
    match level {
        Level::Error => 0,
        Level::Warning => 1,
        Level::Note => 2,
    }
}
