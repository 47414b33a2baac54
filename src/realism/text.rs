//! The report for a terminal.

use std::fmt::Write;

use super::published::Comparable;
use super::{Compared, Report, TimeTo, Verdict};
use crate::statistics::numbers::{interval, short, with_unit};
use crate::text::{counted, wrapped};

/// Indentation of the words of a row, in columns.
const INDENT: usize = 4;
/// Days in six months.
const HALF_YEAR: i32 = 183;

/// The report in lines of at most `width` columns.
pub fn text(report: &Report<'_>, width: usize) -> String {
    let mut text = head(report, width);
    for theme in report.themes() {
        let _ = writeln!(text, "\n{theme}");
        for row in report.of_theme(theme) {
            add_row(&mut text, row, report.is_tuned(row), width);
        }
    }
    for curve in &report.curves {
        add_curve(&mut text, curve);
    }
    text
}

/// The mark of a verdict, as in the plots: a full dot inside, an open dot near, a cross outside.
pub(super) const fn mark(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Inside => "●",
        Verdict::Near => "○",
        Verdict::Outside => "×",
        Verdict::NotComparable => "·",
    }
}

/// How many records, and how many verdicts of each kind.
fn head(report: &Report<'_>, width: usize) -> String {
    let cohort = report.cohort;
    let records = if cohort.records == 1 { "record" } else { "records" };
    let mut text = format!("{} {records} compared with {} published statistics\n", cohort.records, report.rows.len());
    if cohort.left_out > 0 {
        let _ = writeln!(text, "{} more skipped: they have errors, which oar check reports", cohort.left_out);
    }
    let _ = writeln!(text, "{}\n", wrapped(&report.caution(), 0, 0, width));
    let _ = writeln!(text, "{:<16}  {:>7}  {:>9}  {:>10}", "", "studies", "data sets", "statistics");
    for verdict in Verdict::ALL {
        let (all, best) = (report.count(verdict, |_| true), report.count_at_best(verdict));
        let data = report.count_by_data(verdict);
        let tuned = report.count(verdict, |row| report.is_tuned(row));
        let tuned = if tuned > 0 { format!("  ({tuned} tuned on)") } else { String::new() };
        let _ = writeln!(text, "{} {:<14}  {all:>7}  {data:>9}  {best:>10}{tuned}", mark(verdict), verdict.words());
    }
    let about = "Studies: each published statistic. Data sets: publications of the same patients count once for what they measure. Statistics: each distinct one counts once, by the study to which the cohort is nearest, since studies conflict.";
    let _ = writeln!(text, "{}", wrapped(about, 0, 0, width));
    text
}

fn add_row(text: &mut String, row: &Compared<'_>, tuned: bool, width: usize) {
    let published = row.published;
    let tuned = if tuned { " (tuned on)" } else { "" };
    let title = format!("{} {}: {}{tuned}", mark(row.verdict), row.verdict.words(), published.what);
    let _ = writeln!(text, "  {}", wrapped(&title, 2, INDENT, width));
    let numbers = format!("{}; published {}, {}", cohort_numbers(row), published_numbers(row), source(row));
    let _ = writeln!(text, "{:INDENT$}{}", "", wrapped(&numbers, INDENT, INDENT, width));
    let remark = match row.verdict {
        Verdict::NotComparable => row.reason.clone(),
        Verdict::Near | Verdict::Outside if published.comparable == Comparable::Caution => {
            format!("caution: {}", published.note)
        }
        _ => String::new(),
    };
    if !remark.is_empty() {
        let _ = writeln!(text, "{:INDENT$}{}", "", wrapped(&remark, INDENT, INDENT, width));
    }
}

/// The cohort's value, with its interval and count.
pub(super) fn cohort_numbers(row: &Compared<'_>) -> String {
    let Some(seen) = row.cohort else { return "cohort unknown".to_owned() };
    let interval = seen.interval.map_or(String::new(), |(low, high)| format!("{}, ", interval(Some(low), Some(high))));
    format!("cohort {} ({interval}n {})", with_unit(seen.value, &row.published.unit), seen.n)
}

/// The published value, with the interval that is compared.
pub(super) fn published_numbers(row: &Compared<'_>) -> String {
    let published = row.published;
    let interval = interval(published.low, published.high);
    match published.value {
        Some(value) if published.low == published.high => with_unit(value, &published.unit),
        Some(value) => format!("{} ({interval})", with_unit(value, &published.unit)),
        None => format!("{interval} {}", published.unit),
    }
}

/// Authors and year, and the family if studies conflict.
pub(super) fn source(row: &Compared<'_>) -> String {
    let (short, family) = (row.published.short(), &row.published.family);
    if family.is_empty() { short } else { format!("{short} ({family})") }
}

fn add_curve(text: &mut String, shown: &TimeTo) {
    let curve = &shown.curve;
    let [events, others, cut] = curve.ended;
    let _ = writeln!(text, "\n{} (Kaplan–Meier)", shown.title);
    let _ = writeln!(
        text,
        "    {}: {}, {others} ended otherwise, {cut} censored",
        counted(curve.n, "time"),
        counted(events, "event")
    );
    let days = |days: Option<i32>| days.map_or("open".to_owned(), |days| days.to_string());
    if let Some((day, low, high)) = curve.median() {
        let _ = writeln!(text, "    half by day {day} ({} to {})", days(low), days(high));
    }
    for half_years in 1..=8 {
        let Some(by) = curve.percent_by(half_years * HALF_YEAR) else { break };
        let interval = by.interval.map_or(String::new(), |(low, high)| interval(Some(low), Some(high)));
        let months = half_years * 6;
        let _ = writeln!(text, "    by {months:>2} months {:>5} %  {interval}", short(by.value));
    }
}
