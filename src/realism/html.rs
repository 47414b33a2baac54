//! The report as one self-contained HTML page: no script, no font, no network.

use std::fmt::Write;

use super::forest::{forest, strip};
use super::text::{mark, published_numbers, source};
use super::{Compared, Report, Verdict, page};
use crate::html::{STYLE as BASE, escaped};
use crate::statistics::numbers::{interval, with_unit};
use crate::text::counted;

const STYLE: &str = include_str!("page.css");

/// The page.
pub fn html(report: &Report<'_>) -> String {
    let mut text = head(report);
    text.push_str(&themes_table(report));
    for (title, plots) in [
        ("Distributions", page::distributions(report)),
        ("Times to an event", page::curves(report)),
        ("Comfort by day", page::pain(report)),
    ] {
        if !plots.is_empty() {
            text.extend(["<h2>", title, "</h2>\n<div class=\"plots\">\n", &plots, "</div>\n"]);
        }
    }
    for theme in report.themes() {
        text.push_str(&section(report, theme));
    }
    text.push_str("</main></body></html>\n");
    text
}

fn head(report: &Report<'_>) -> String {
    let cohort = report.cohort;
    let recipes: Vec<String> =
        cohort.recipes.iter().filter(|(name, _)| !name.is_empty()).map(|(name, n)| format!("{name} ({n})")).collect();
    let recipes = if recipes.is_empty() { "not recorded".to_owned() } else { recipes.join(", ") };
    let left_out = match cohort.left_out {
        0 => String::new(),
        1 => " 1 more has errors and was skipped.".to_owned(),
        n => format!(" {n} more have errors and were skipped."),
    };
    format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><meta name=\"viewport\" content=\"width=device-width\"/><title>Realism of {records}</title><style>{BASE}{STYLE}</style></head><body><main>\n<h1>Realism of {records}</h1>\n<p class=\"caution\">{caution}</p>\n<p>Recipes: {recipes}.{left_out} Each statistic is computed from the records alone. A bar is the published interval with a tick at its value; a dot is the cohort with its 95 % interval.</p>\n",
        records = counted(cohort.records, "record"),
        caution = report.caution(),
        recipes = escaped(&recipes),
    )
}

/// The number of each verdict in each theme, and the meaning of the marks.
fn themes_table(report: &Report<'_>) -> String {
    let mut text = "<table class=\"counts\"><tr><th>theme</th>".to_owned();
    for verdict in Verdict::ALL {
        let _ = write!(text, "<th>{} {}</th>", mark(verdict), verdict.words());
    }
    text.push_str("</tr>");
    for theme in report.themes() {
        let _ = write!(text, "<tr><td><a href=\"#{}\">{}</a></td>", anchor(theme), escaped(theme));
        for verdict in Verdict::ALL {
            let _ = write!(text, "<td>{}</td>", report.count(verdict, |row| row.published.theme == theme));
        }
        text.push_str("</tr>");
    }
    text.push_str("<tr><th>all</th>");
    for verdict in Verdict::ALL {
        let _ = write!(text, "<th>{}</th>", report.count(verdict, |_| true));
    }
    text.push_str("</tr><tr><th>data sets</th>");
    for verdict in Verdict::ALL {
        let _ = write!(text, "<th>{}</th>", report.count_by_data(verdict));
    }
    text.push_str("</tr><tr><th>distinct statistics</th>");
    for verdict in Verdict::ALL {
        let _ = write!(text, "<th>{}</th>", report.count_at_best(verdict));
    }
    text.push_str("</tr></table>\n<p>Under data sets, publications of the same patients count once for what they measure. Studies conflict, so each distinct statistic is counted once, by the study to which the cohort is nearest. Inside: the cohort's value is in the published interval. Near: the two intervals overlap, or it is no further away than half the width of the published one. Outside: further away. Not comparable: the row says why.</p>\n");
    text
}

fn anchor(theme: &str) -> String {
    escaped(&theme.replace(' ', "-"))
}

/// A theme: a chart for the unit that most of its rows share, then every row.
fn section(report: &Report<'_>, theme: &str) -> String {
    let rows: Vec<&Compared<'_>> = report.of_theme(theme).collect();
    let mut text = format!("<h2 id=\"{}\">{}</h2>\n", anchor(theme), escaped(&capital(theme)));
    for unit in ["%", "mm"] {
        let shared: Vec<&Compared<'_>> = rows
            .iter()
            .copied()
            .filter(|row| row.published.unit == unit && row.verdict != Verdict::NotComparable)
            .collect();
        if shared.len() >= 4 {
            let title = format!("{}: published intervals and the cohort, in {unit}", capital(theme));
            let _ = writeln!(
                text,
                "<figure class=\"wide\"><figcaption>{}</figcaption>{}</figure>",
                escaped(&title),
                forest(&title, unit, &shared)
            );
        }
    }
    text.push_str(
        "<table class=\"rows\"><tr><th>statistic</th><th>cohort</th><th>published</th><th></th><th>verdict</th></tr>\n",
    );
    for row in rows {
        text.push_str(&table_row(row, report.is_tuned(row)));
    }
    text + "</table>\n"
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

fn table_row(row: &Compared<'_>, tuned: bool) -> String {
    let published = row.published;
    let strip = if row.verdict == Verdict::NotComparable { String::new() } else { strip(row) };
    let cohort = row.cohort.map_or("–".to_owned(), |seen| with_unit(seen.value, &published.unit));
    let detail = row.cohort.map_or(String::new(), |seen| {
        let range = seen.interval.map_or(String::new(), |(low, high)| interval(Some(low), Some(high)) + ", ");
        format!("{range}n {}", seen.n)
    });
    let note = if published.note.is_empty() { String::new() } else { format!("{}. ", published.note) };
    let tuned = if tuned { " (tuned on)" } else { "" };
    let place = [&published.authors, &published.year, &published.journal, &published.doi]
        .map(String::as_str)
        .into_iter()
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join(", ");
    format!(
        "<tr><td>{}<details><summary>source</summary>{}{}; {}. Of: {}. Statistic: <code>{}</code></details></td><td>{}<br/><small>{}</small></td><td>{}<br/><small>{}</small></td><td>{strip}</td><td>{} {}{tuned}<br/><small>{}</small></td></tr>\n",
        escaped(&published.what),
        escaped(&note),
        escaped(&place),
        published.tag,
        escaped(&published.population),
        escaped(&published.statistic),
        escaped(&cohort),
        escaped(&detail),
        escaped(&published_numbers(row)),
        escaped(&source(row)),
        mark(row.verdict),
        row.verdict.words(),
        escaped(&row.reason),
    )
}
