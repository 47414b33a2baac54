//! The counts as text of 80 columns, as JSON and as a table.

use std::cmp::Reverse;
use std::io::{self, Write};

use serde_json::{Value, json};
use unicode_width::UnicodeWidthStr;

use super::{LevelCounts, Overview};
use crate::check::rule::Level;
use crate::report::output::totals;
use crate::report::summary::Summary;
use crate::text::csv::CsvRows;
use crate::text::shown;

const FORMAT: &str = "open-aligner-record overview";
/// The version of the JSON object and of the table: the second number grows with new fields, the first with any other change.
const VERSION: &str = "1.2";
/// The width of the names in text, in columns; with the numbers, a line has 80.
const NAME: usize = 46;
/// The maximum number of rows of files and of systems in text.
const ROWS: usize = 20;

/// One line: a name, the level of a rule, and counts.
type OverviewRow<'a> = (&'a str, Option<Level>, &'a LevelCounts);

/// Rules, files or systems, those with the most findings first.
fn sorted(mut rows: Vec<OverviewRow<'_>>) -> Vec<OverviewRow<'_>> {
    rows.sort_by_key(|(name, level, counts)| (Reverse(counts.findings()), Reverse(*level), *name));
    rows
}

/// The three views with their names.
fn views(all: &Overview) -> [(&'static str, Vec<OverviewRow<'_>>); 3] {
    let rules = all.rules.values().map(|(rule, counts)| (rule.name, Some(rule.level), counts)).collect();
    let files = all.files.iter().map(|(name, counts)| (name.as_str(), None, counts)).collect();
    let systems = all.systems.iter().map(|(name, counts)| (name.as_str(), None, counts)).collect();
    [("rule", sorted(rules)), ("file", sorted(files)), ("system", sorted(systems))]
}

/// A share for people: `12.5 %`.
fn percent(counts: &LevelCounts) -> String {
    counts.share().map_or(String::new(), |share| format!("{}.{} %", share / 10, share % 10))
}

/// A share for programs: `0.125`.
fn decimal(counts: &LevelCounts) -> Option<f64> {
    counts.share().map(|share| f64::from(share) / 1000.0)
}

/// For people.
pub(in crate::report::output) fn text(all: &Overview, out: &mut dyn Write, summary: &Summary) -> io::Result<()> {
    for (by, rows) in views(all) {
        if rows.is_empty() {
            continue;
        }
        let head = format!("by {by}");
        writeln!(out, "{head:<NAME$}  {:>8}  {:>7}  {:>8}", "records", "share", "findings")?;
        let most = if by == "rule" { usize::MAX } else { ROWS };
        for (name, level, counts) in rows.iter().take(most) {
            let level = level.map_or(String::new(), |level| format!("{:<7}  ", level.as_str()));
            let name = shortened(&format!("{level}{}", shown(name)));
            let (records, share, findings) = (counts.with_findings, percent(counts), counts.findings());
            writeln!(out, "{name}  {records:>8}  {share:>7}  {findings:>8}")?;
        }
        match rows.len().saturating_sub(most) {
            0 => writeln!(out)?,
            more => writeln!(out, "and {more} more\n")?,
        }
    }
    writeln!(out, "{}", totals::line(summary))
}

/// The name in its columns; a long one is cut at the beginning, since paths differ at the end.
fn shortened(name: &str) -> String {
    let mut rest = name;
    while rest.width() + 1 > NAME && name.width() > NAME {
        rest = rest.strip_prefix(|_: char| true).unwrap_or_default();
    }
    let shown = if rest.len() < name.len() { format!("…{rest}") } else { name.to_owned() };
    format!("{shown}{}", " ".repeat(NAME.saturating_sub(shown.width())))
}

/// For programs.
pub(in crate::report::output) fn json(all: &Overview, out: &mut dyn Write, summary: &Summary) -> io::Result<()> {
    let row = |(name, level, counts): &OverviewRow<'_>| {
        let mut row = json!({"name": name});
        if let Some(level) = level {
            row["level"] = json!(level);
        }
        row["records"] = json!(counts.records);
        row["records_with_findings"] = json!(counts.with_findings);
        row["share"] = json!(decimal(counts));
        (row["errors"], row["warnings"], row["notes"]) =
            (json!(counts.errors), json!(counts.warnings), json!(counts.notes));
        row
    };
    let mut told = json!({
        "format": FORMAT,
        "version": VERSION,
        "files": summary.files,
        "unreadable": summary.unreadable,
        "records": summary.records,
        "records_with_findings": summary.records_with_findings,
        "waived": summary.waived,
        "in_baseline": summary.in_baseline,
        "baseline_gone": summary.gone,
        "records_in_part": summary.records_in_part,
        "in_part_unreported": summary.in_part_unreported,
        "rules_not_applied": summary.rules_not_applied,
    });
    if let Some(fixable) = summary.fixable {
        told["fixable"] = json!(fixable);
    }
    for (by, rows) in views(all) {
        told[format!("by_{by}")] = rows.iter().map(row).collect::<Value>();
    }
    serde_json::to_writer_pretty(&mut *out, &told)?;
    writeln!(out)
}

/// The columns of the table.
const COLUMNS: [&str; 9] =
    ["by", "name", "level", "records", "records_with_findings", "share", "errors", "warnings", "notes"];

/// For spreadsheets and data frames: one table, in which `by` says what a row describes (RFC 4180).
pub(in crate::report::output) fn csv(all: &Overview, out: &mut dyn Write, _: &Summary) -> io::Result<()> {
    let mut table = CsvRows::new(out);
    table.row(COLUMNS)?;
    for (by, rows) in views(all) {
        for (name, level, counts) in rows {
            let share = decimal(counts).map_or(String::new(), |share| share.to_string());
            let LevelCounts { records, with_findings, errors, warnings, notes } = counts;
            let [records, with_findings] = [records, with_findings].map(u64::to_string);
            let [errors, warnings, notes] = [errors, warnings, notes].map(u64::to_string);
            let level = level.map_or("", Level::as_str);
            let cells = [by, &shown(name), level, &records, &with_findings, &share, &errors, &warnings, &notes];
            table.row(cells)?;
        }
    }
    Ok(())
}
