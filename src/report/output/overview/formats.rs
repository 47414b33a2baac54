//! The counts as text of 80 columns, as JSON and as a table.

use std::cmp::Reverse;
use std::io::{self, Write};

use serde::Serialize;
use unicode_width::UnicodeWidthStr;

use super::{LevelCounts, Overview};
use crate::check::rule::Level;
use crate::report::output::totals;
use crate::report::summary::Summary;
use crate::text::csv::CsvRows;
use crate::text::shown;

const FORMAT: &str = "open-aligner-record overview";
/// The version of the JSON object and of the table: the second number grows with new fields, the first with any other change.
pub(crate) const VERSION: &str = "1.2";
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

/// Counts by rule, file and system: the output `overview-json`. A later 1.x may add fields, so readers skip unknown ones.
#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub(crate) struct Document<'a> {
    #[cfg_attr(feature = "schemas", schemars(extend("const" = FORMAT)))]
    format: &'static str,
    /// The version of this object.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = r"^1\.[0-9]+$")))]
    version: &'static str,
    #[serde(flatten, with = "Totals")]
    totals: &'a Summary,
    /// A row for each rule with findings, those with the most findings first.
    by_rule: Vec<RuleRow<'a>>,
    /// A row for each file with findings, those with the most first.
    by_file: Vec<NameRow<'a>>,
    /// A row for each system whose records were read, those with the most findings first. `(masked)` replaces a name that could
    /// be a person's; `(not named)` means that no system is named.
    by_system: Vec<NameRow<'a>>,
}

#[derive(Serialize)]
#[serde(remote = "Summary")]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct Totals {
    /// Files that were read, at least in part.
    files: u64,
    /// Paths that could not be read, or not to their end.
    unreadable: u64,
    /// Records that were checked.
    records: u64,
    /// Records with findings.
    records_with_findings: u64,
    /// Findings that a waiver accepts; they are not counted below.
    waived: u64,
    /// Findings in the baseline; they are not counted below.
    in_baseline: u64,
    /// Findings of the baseline that no longer occur.
    #[serde(rename = "baseline_gone")]
    gone: u64,
    /// Records that could be checked only in part, because something in them cannot be read. Since 1.2.
    #[cfg_attr(feature = "schemas", schemars(skip_serializing_if = "since"))]
    records_in_part: u64,
    /// Those of them for which no finding that counts says so: it is waived, in the baseline, or its rule is off. Since 1.2.
    #[cfg_attr(feature = "schemas", schemars(skip_serializing_if = "since"))]
    in_part_unreported: u64,
    /// Rules that were not applied to them, each counted for every record. Since 1.2.
    #[cfg_attr(feature = "schemas", schemars(skip_serializing_if = "since"))]
    rules_not_applied: u64,
    /// The findings that `oar repair` fixes; omitted when this was not tried. Since 1.1.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schemas", schemars(with = "u64"))]
    fixable: Option<u64>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct RuleRow<'a> {
    /// The name of the rule.
    #[cfg_attr(feature = "schemas", schemars(regex(pattern = crate::check::rule::NAME)))]
    name: &'a str,
    /// The default level of the rule; settings may give its findings another level.
    #[cfg_attr(feature = "schemas", schemars(with = "Level"))]
    level: Option<Level>,
    #[serde(flatten, with = "RowCounts")]
    counts: &'a LevelCounts,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct NameRow<'a> {
    name: &'a str,
    #[serde(flatten, with = "RowCounts")]
    counts: &'a LevelCounts,
}

#[derive(Serialize)]
#[serde(remote = "LevelCounts")]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
struct RowCounts {
    /// All records of the run, the file or the system.
    records: u64,
    /// Records with findings in this row.
    #[serde(rename = "records_with_findings")]
    with_findings: u64,
    /// The share of records with findings, to a thousandth; null when no record was counted.
    #[serde(getter = "decimal")]
    #[cfg_attr(feature = "schemas", schemars(range(min = 0, max = 1)))]
    share: Option<f64>,
    errors: u64,
    warnings: u64,
    notes: u64,
}

/// For programs.
pub(in crate::report::output) fn json(all: &Overview, out: &mut dyn Write, summary: &Summary) -> io::Result<()> {
    let named = |rows: Vec<_>| rows.into_iter().map(|(name, _, counts)| NameRow { name, counts }).collect();
    let [(_, rules), (_, files), (_, systems)] = views(all);
    let document = Document {
        format: FORMAT,
        version: VERSION,
        totals: summary,
        by_rule: rules.into_iter().map(|(name, level, counts)| RuleRow { name, level, counts }).collect(),
        by_file: named(files),
        by_system: named(systems),
    };
    serde_json::to_writer_pretty(&mut *out, &document)?;
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
