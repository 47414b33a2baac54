//! The card for people.

use std::fmt::Write;

use super::{Card, Count, Distribution, Estimated, Row, Verdicts};
use crate::statistics::numbers::{interval, short};

pub(super) fn markdown(card: &Card) -> String {
    let mut text = head(card);
    text.push_str(&making(card));
    table(&mut text, "What is in it", ["what", "how many"], &card.counts.iter().map(counted).collect::<Vec<_>>());
    if !card.faults.is_empty() {
        text.push_str("\nRecords have planted faults; the answer key tells which and where.\n");
        table(
            &mut text,
            "Planted faults",
            ["rule that finds it", "how many"],
            &card.faults.iter().map(counted).collect::<Vec<_>>(),
        );
    }
    let rows: Vec<_> = card.distributions.iter().map(distribution).collect();
    table(
        &mut text,
        "Declared and realised",
        ["value of the recipe", "what", "declared", "realised (95 % interval, n)", "remark"],
        &rows,
    );
    list(&mut text, "What is known not to be real", &card.unrealism);
    list(&mut text, "Made for", &card.uses);
    list(&mut text, "Not to be used for", &card.avoid);
    statistics(&mut text, card);
    list(&mut text, "Publications that the recipe names", &card.recipe.references);
    text
}

fn head(card: &Card) -> String {
    let patients = card.patients.to - card.patients.from;
    let mut text = format!("# {patients} synthetic patients of the recipe {}\n\n", card.recipe.name);
    for caution in &card.cautions {
        let _ = writeln!(text, "> {caution}");
    }
    let _ = writeln!(text, "\n{}.\n", card.recipe.summary);
    text
}

/// What made it, and how it is made again.
fn making(card: &Card) -> String {
    let (recipe, patients, tool) = (&card.recipe, &card.patients, &card.tool);
    let mut text = "| | |\n|---|---|\n".to_owned();
    let mut row = |name: &str, value: &str| {
        let _ = writeln!(text, "| {name} | {} |", cell(value));
    };
    row("recipe", &format!("{} {}", recipe.name, recipe.version));
    row("digest of the recipe (SHA-256)", &format!("`{}`", recipe.digest));
    if !recipe.set.is_empty() {
        row("set for this run", &format!("`{}`", recipe.set.join("` `")));
    }
    row("seed", &patients.seed.to_string());
    row("patients", &format!("{} to {}", patients.from, patients.to.saturating_sub(1)));
    row("days", &format!("from {}, exported on {}", patients.anchor, patients.exported_on));
    row("made by", &format!("{} {}, Open Aligner Record {}", tool.name, tool.version, tool.format));
    if let Some(day) = card.made_on {
        row("made on", &day.to_string());
    }
    row("made again by", &format!("`oar generate {}`", card.options.join(" ")));
    for file in &card.files {
        row(&format!("{}: `{}`", file.holds, file.name), &format!("{} bytes, SHA-256 `{}`", file.bytes, file.sha256));
    }
    row("licence", card.licence);
    text
}

fn counted(count: &Count) -> [String; 2] {
    [count.what.clone(), count.count.to_string()]
}

fn distribution(row: &Distribution) -> [String; 5] {
    let declared = format!("{} {}", short(row.declared), row.unit);
    [
        format!("`{}`", row.key),
        row.what.to_owned(),
        declared,
        told(row.realised.as_ref(), row.unit),
        row.remark.to_owned(),
    ]
}

/// A statistic with its interval and number.
fn told(estimated: Option<&Estimated>, unit: &str) -> String {
    let Some(seen) = estimated else { return "no record tells it".to_owned() };
    let between = seen.low.map_or(String::new(), |_| format!("{}, ", interval(seen.low, seen.high)));
    format!("{} {unit} ({between}n {})", short(seen.value), seen.n)
}

fn statistics(text: &mut String, card: &Card) {
    let realism = &card.realism;
    let _ = writeln!(text, "\n## Against published statistics\n\n{}\n", realism.caution);
    text.push_str("| | inside | near | outside | not comparable |\n|---|---|---|---|---|\n");
    let mut row = |name: &str, counts: &Verdicts| {
        let Verdicts { inside, near, outside, not_comparable } = counts;
        let _ = writeln!(text, "| {name} | {inside} | {near} | {outside} | {not_comparable} |");
    };
    row("studies", &realism.studies);
    row("data sets, each once for what it measures", &realism.data_sets);
    row("statistics, each by the study that it is nearest to", &realism.statistics);
    let _ = writeln!(
        text,
        "\nInside: the cohort's value is in the published interval. Near: the intervals overlap, or it is no further off than half the width of the published one. A statistic of fewer than {} is not compared; those are left out here, and in the card for programs with the reason.",
        realism.least
    );
    let compared: Vec<&Row> = realism.rows.iter().filter(|row| row.verdict != "not_comparable").collect();
    let mut themes: Vec<&str> = compared.iter().map(|row| row.theme.as_str()).collect();
    themes.dedup();
    for theme in themes {
        let rows: Vec<_> = compared.iter().filter(|row| row.theme == theme).map(|row| statistic(row)).collect();
        let _ = write!(text, "\n### {theme}\n\n");
        rows_of(text, ["", "what", "cohort (95 % interval, n)", "published", "source"], &rows);
    }
}

fn statistic(row: &Row) -> [String; 5] {
    let tuned = if row.tuned { ", tuned on" } else { "" };
    let published = row.published.map_or(String::new(), |value| format!("{} {} ", short(value), row.unit));
    let bounds = if row.low == row.high { String::new() } else { format!("({})", interval(row.low, row.high)) };
    let source = format!("{}; {}", row.source, row.came);
    [
        format!("{}{tuned}", row.verdict),
        row.what.clone(),
        told(row.cohort.as_ref(), &row.unit),
        published + &bounds,
        source,
    ]
}

fn list<T: AsRef<str>>(text: &mut String, title: &str, lines: &[T]) {
    if lines.is_empty() {
        return;
    }
    let _ = write!(text, "\n## {title}\n\n");
    for line in lines {
        let _ = writeln!(text, "- {}", line.as_ref());
    }
}

fn table<const N: usize>(text: &mut String, title: &str, heads: [&str; N], rows: &[[String; N]]) {
    let _ = write!(text, "\n## {title}\n\n");
    rows_of(text, heads, rows);
}

fn rows_of<const N: usize>(text: &mut String, heads: [&str; N], rows: &[[String; N]]) {
    let _ = writeln!(text, "| {} |\n|{}", heads.join(" | "), "---|".repeat(N));
    for row in rows {
        let _ = writeln!(text, "| {} |", row.each_ref().map(|value| cell(value)).join(" | "));
    }
}

/// What can stand in a cell of a table.
fn cell(value: &str) -> String {
    value.replace('|', "\\|").replace('\n', " ")
}
