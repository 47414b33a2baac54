//! The totals of a run in one line.

use super::Summary;

/// `3 errors, 1 warning in 2 of 14 records, 5 files`, or `14 records in 5 files: nothing to report`.
///
/// What could not be read stands after it: `; 1 path could not be read`.
pub fn line(summary: &Summary) -> String {
    match summary.unreadable {
        0 => found(summary),
        unread => format!("{}; {} could not be read", found(summary), counted(unread, "path")),
    }
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
        (false, with) => format!("{} in {with} of {records}, {files}", found.join(", ")),
    }
}

/// What was left out because there was too much of it, after `shown` findings.
pub(super) fn not_shown(count: u64, shown: u64) -> String {
    if shown == 0 {
        return format!("{} not shown", counted(count, "finding"));
    }
    format!("… and {} not shown", counted(count, "more finding"))
}

pub(super) fn counted(count: u64, name: &str) -> String {
    format!("{count} {name}{}", if count == 1 { "" } else { "s" })
}
