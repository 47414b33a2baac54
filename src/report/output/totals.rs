//! The totals of a run in one line.

use crate::check::rule::Level;
use crate::report::summary::Summary;
use crate::text::counted::{counted, some_of};

/// `3 errors, 1 warning in 2 of 14 records, 5 files`, or `14 records in 5 files: nothing to report`.
///
/// Then follow the findings that a repair fixes, `; oar repair can fix 2 of them`, and records that were checked only in part,
/// `; 3 records checked in part, 17 rules not applied`.
///
/// Then follow what is accepted, `; 3 waived, 12 in the baseline`, and what could not be read, `; 1 path could not be read`.
pub fn line(summary: &Summary) -> String {
    let mut parts = vec![found(summary)];
    parts.extend(fixable(summary));
    parts.extend(in_part(summary));
    let accepted = [(summary.waived, "waived"), (summary.in_baseline, "in the baseline")];
    let accepted: Vec<String> =
        accepted.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}")).collect();
    parts.extend((!accepted.is_empty()).then(|| accepted.join(", ")));
    let are = if summary.gone == 1 { "is" } else { "are" };
    parts.extend((summary.gone > 0).then(|| format!("{} of the baseline {are} gone: write it again", summary.gone)));
    let unread = counted(summary.unreadable, "path");
    parts.extend((summary.unreadable > 0).then(|| format!("{unread} could not be read")));
    parts.join("; ")
}

/// How many of the findings a repair fixes, if any.
fn fixable(summary: &Summary) -> Option<String> {
    let count = summary.fixable.filter(|count| *count > 0)?;
    let which = match (count, summary.at_least(Level::Note)) {
        (1, 1) => "it".to_owned(),
        (count, all) if count == all => "all of them".to_owned(),
        (count, _) => format!("{count} of them"),
    };
    Some(format!("oar repair can fix {which}"))
}

/// How many records could be checked only in part, if any.
fn in_part(summary: &Summary) -> Option<String> {
    let rules = counted(summary.rules_not_applied, "rule");
    let records = counted(summary.records_in_part, "record");
    let unreported = match summary.in_part_unreported {
        0 => String::new(),
        some if some == summary.records_in_part => ", and no finding says so".to_owned(),
        some => format!(", and for {some} of them no finding says so"),
    };
    (summary.records_in_part > 0).then(|| format!("{records} checked in part, {rules} not applied{unreported}"))
}

fn found(summary: &Summary) -> String {
    let (records, files) = (counted(summary.records, "record"), counted(summary.files, "file"));
    let levels = [(summary.errors, "error"), (summary.warnings, "warning"), (summary.notes, "note")];
    let found: Vec<String> = levels.iter().filter(|(n, _)| *n > 0).map(|(n, name)| counted(*n, name)).collect();
    match (found.is_empty(), summary.records_with_findings) {
        // A file without a record has a finding, so no file could be read.
        (true, _) if summary.records == 0 => format!("{records} in {files}"),
        (true, _) => format!("{records} in {files}: nothing to report"),
        (false, 0) => format!("{} in {files}, {records}", found.join(", ")),
        (false, with) => format!("{} in {}, {files}", found.join(", "), some_of(with, summary.records, "record")),
    }
}

/// What was omitted because there was too much of it, after `shown` findings.
pub(super) fn not_shown(count: u64, shown: u64) -> String {
    if shown == 0 {
        return format!("{} not shown", counted(count, "finding"));
    }
    format!("… and {} not shown", counted(count, "more finding"))
}
