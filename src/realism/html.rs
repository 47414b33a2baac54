//! The report as one self-contained HTML page: no script, no font, no network.

use super::forest::{forest, strip};
use super::text::{mark, published_numbers, source};
use super::{Compared, Report, Verdict, page};
use crate::html::{DOCTYPE, Markup, capital, head, html as markup, plots};
use crate::statistics::numbers::{interval, with_unit};
use crate::text::counted;

/// The page.
pub fn html(report: &Report<'_>) -> String {
    let title = format!("Realism of {}", counted(report.cohort.records, "record"));
    let figures = [
        ("Distributions", page::distributions(report)),
        ("Times to an event", page::curves(report)),
        ("Comfort by day", page::pain(report)),
    ];
    let page = markup! {
        (DOCTYPE) "\n"
        html lang="en" {
            (head(&title, "width=device-width", include_str!("page.css")))
            body {
                main {
                    "\n" h1 { (title) } "\n"
                    (lead(report)) (themes_table(report))
                    @for (title, figures) in &figures {
                        @if !figures.is_empty() { h2 { (title) } "\n" (plots(figures)) }
                    }
                    @for theme in report.themes() { (section(report, theme)) }
                }
            }
        }
        "\n"
    };
    page.into_string()
}

fn lead(report: &Report<'_>) -> Markup {
    let cohort = report.cohort;
    let recipes: Vec<String> =
        cohort.recipes.iter().filter(|(name, _)| !name.is_empty()).map(|(name, n)| format!("{name} ({n})")).collect();
    let recipes = if recipes.is_empty() { "not recorded".to_owned() } else { recipes.join(", ") };
    let left_out = match cohort.left_out {
        0 => String::new(),
        1 => " 1 more has errors and was skipped.".to_owned(),
        n => format!(" {n} more have errors and were skipped."),
    };
    markup! {
        p.caution { (report.caution()) } "\n"
        p {
            "Recipes: " (recipes) "." (left_out) " Each statistic is computed from the records alone. A bar is the published interval with a tick at its value; a dot is the cohort with its 95 % interval."
        }
        "\n"
    }
}

/// The number of each verdict in each theme, and the meaning of the marks.
fn themes_table(report: &Report<'_>) -> Markup {
    let sums = [
        ("all", Verdict::ALL.map(|verdict| report.count(verdict, |_| true))),
        ("data sets", Verdict::ALL.map(|verdict| report.count_by_data(verdict))),
        ("distinct statistics", Verdict::ALL.map(|verdict| report.count_at_best(verdict))),
    ];
    markup! {
        table.counts {
            tr { th { "theme" } @for verdict in Verdict::ALL { th { (mark(verdict)) " " (verdict.words()) } } }
            @for theme in report.themes() {
                tr {
                    td { a href={ "#" (anchor(theme)) } { (theme) } }
                    @for verdict in Verdict::ALL { td { (report.count(verdict, |row| row.published.theme == theme)) } }
                }
            }
            @for (name, counts) in sums { tr { th { (name) } @for count in counts { th { (count) } } } }
        }
        "\n"
        p { "Under data sets, publications of the same patients count once for what they measure. Studies conflict, so each distinct statistic is counted once, by the study to which the cohort is nearest. Inside: the cohort's value is in the published interval. Near: the two intervals overlap, or it is no further away than half the width of the published one. Outside: further away. Not comparable: the row says why." }
        "\n"
    }
}

fn anchor(theme: &str) -> String {
    theme.replace(' ', "-")
}

/// A theme: a chart for each unit that many of its rows share, then every row.
fn section(report: &Report<'_>, theme: &str) -> Markup {
    let rows: Vec<&Compared<'_>> = report.of_theme(theme).collect();
    markup! {
        h2 id=(anchor(theme)) { (capital(theme)) } "\n"
        @for unit in ["%", "mm"] { (shared(theme, unit, &rows)) }
        table.rows {
            tr { th { "statistic" } th { "cohort" } th { "published" } th {} th { "verdict" } } "\n"
            @for row in rows { (table_row(row, report.is_tuned(row))) "\n" }
        }
        "\n"
    }
}

/// A chart of the rows in a unit, if there are at least four.
fn shared(theme: &str, unit: &str, rows: &[&Compared<'_>]) -> Markup {
    let is_drawn = |row: &&Compared<'_>| row.published.unit == unit && row.verdict != Verdict::NotComparable;
    let shared: Vec<&Compared<'_>> = rows.iter().copied().filter(is_drawn).collect();
    if shared.len() < 4 {
        return Markup::default();
    }
    let title = format!("{}: published intervals and the cohort, in {unit}", capital(theme));
    markup! { figure.wide { figcaption { (title) } (forest(&title, unit, &shared)) } "\n" }
}

fn table_row(row: &Compared<'_>, tuned: bool) -> Markup {
    let published = row.published;
    let cohort = row.cohort.map_or("–".to_owned(), |seen| with_unit(seen.value, &published.unit));
    let detail = row.cohort.map_or(String::new(), |seen| {
        let range = seen.interval.map_or(String::new(), |(low, high)| interval(Some(low), Some(high)) + ", ");
        format!("{range}n {}", seen.n)
    });
    let mut place = vec![&*published.authors, &published.year, &published.journal, &published.doi];
    place.retain(|part| !part.is_empty());
    markup! {
        tr {
            td {
                (published.what)
                details {
                    summary { "source" }
                    @if !published.note.is_empty() { (published.note) ". " }
                    (place.join(", ")) "; " (published.tag) ". Of: " (published.population) ". Statistic: "
                    code { (published.statistic) }
                }
            }
            td { (cohort) br; small { (detail) } }
            td { (published_numbers(row)) br; small { (source(row)) } }
            td { @if row.verdict != Verdict::NotComparable { (strip(row)) } }
            td { (mark(row.verdict)) " " (row.verdict.words()) @if tuned { " (tuned on)" } br; small { (row.reason) } }
        }
    }
}
