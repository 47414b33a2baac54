//! Tables of rule pages that follow from published values and from what a rule does.

use std::fmt::Write;

use oar_schema::limits::Limits;
use oar_schema::norms::{crown_widths, eruption};
use oar_schema::number::Hundredths;
use oar_schema::record::Support;
use oar_schema::teeth::Tooth;
use oar_schema::words::Words;
use open_aligner_record::Checker;

use crate::BASE;

/// A rule whose page has a table, and what makes the table.
type Table = (&'static str, fn() -> String);

const TABLES: [Table; 3] = [
    ("crown_width_implausible", crown_width_table),
    ("early_tooth", eruption_table),
    ("attachment_without_purpose", support_table),
];

/// The page with the lines of its table, which begin with `|`, written anew.
pub fn with_table(rule: &str, page: &str) -> String {
    let Some((_, table)) = TABLES.iter().find(|(name, _)| *name == rule) else { return page.to_owned() };
    let (mut out, mut is_written) = (String::new(), false);
    for line in page.lines() {
        if !line.starts_with("| ") {
            writeln!(out, "{line}").unwrap();
        } else if !is_written {
            out.push_str(&table());
            is_written = true;
        }
    }
    assert!(is_written, "the page of {rule} has no table");
    out
}

/// Rows of cells as they stand in a page, all cells of a column equally wide.
fn lines(rows: &[Vec<String>]) -> String {
    let wide = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or_default();
    let mut text = String::new();
    for (i, row) in rows.iter().enumerate() {
        let cells: Vec<String> = row.iter().enumerate().map(|(at, cell)| format!("{cell:<0$}", wide(at))).collect();
        writeln!(text, "| {} |", cells.join(" | ")).unwrap();
        if i == 0 {
            let rules: Vec<String> = (0..row.len()).map(|at| "-".repeat(wide(at))).collect();
            writeln!(text, "| {} |", rules.join(" | ")).unwrap();
        }
    }
    text
}

fn row<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.map(str::to_owned).to_vec()
}

/// Right teeth of the upper arch, then of the lower one, from the midline on, with their names but for the side.
fn one_side() -> impl Iterator<Item = (Tooth, String)> {
    let teeth = (11..=18).chain(41..=48).filter_map(Tooth::new);
    teeth.map(|tooth| (tooth, tooth.name().replace(" right", "")))
}

fn crown_width_table() -> String {
    let sds = Limits::default().crown_width_sds as i32;
    let mut rows = vec![row(["tooth", "males, mm", "females, mm", "likely, mm"])];
    for (tooth, name) in one_side() {
        let Some(norms) = crown_widths(tooth) else { continue };
        let [male, female] = norms.map(|norm| format!("{} ± {}", Hundredths(norm.mean), Hundredths(norm.sd)));
        let end = |sds: i32| norms.map(|norm| norm.mean + norm.sd * sds / 100);
        let (least, most) = (end(-sds).into_iter().min().unwrap(), end(sds).into_iter().max().unwrap());
        rows.push(vec![name, male, female, format!("{} to {}", Hundredths(least), Hundredths(most))]);
    }
    lines(&rows)
}

fn eruption_table() -> String {
    let mut rows = vec![row(["tooth", "erupts at, years"])];
    for (tooth, name) in one_side() {
        let ages = eruption(tooth).unwrap();
        rows.push(vec![name, format!("{} to {}", ages.from, ages.to)]);
    }
    lines(&rows)
}

/// What each word of `supports` is there for, as the rule takes it: every movement is tried with every word.
fn support_table() -> String {
    const FIELDS: [&str; 6] = ["mesial_mm", "facial_mm", "occlusal_mm", "rotation_deg", "tip_deg", "torque_deg"];
    let mut rows = vec![row(["word", "movements of the tooth that it supports"])];
    for word in Support::VOCABULARY.words {
        let mut movements = Vec::new();
        for field in FIELDS {
            match [1, -1].map(|sign| is_supported(word.word, field, sign)) {
                [true, true] => movements.push(format!("`{field}`")),
                [true, false] => movements.push(format!("`{field}` above 0")),
                [false, true] => movements.push(format!("`{field}` below 0")),
                [false, false] => {}
            }
        }
        let all = movements.len() == FIELDS.len();
        rows.push(vec![format!("`{}`", word.word), if all { "any, or none".to_owned() } else { movements.join(", ") }]);
    }
    lines(&rows)
}

/// Whether nothing is said of an attachment that is there for `word` on a tooth that makes one movement.
fn is_supported(word: &str, field: &str, sign: i32) -> bool {
    let edit = [
        format!(
            r#"/series/0/attachments = [{{"id": "A13", "tooth": 13, "surface": "facial", "shape": "rounded", "from_tray": 1, "to_tray": 4, "supports": ["{word}"]}}]"#
        ),
        format!(r#"/series/0/movements = [{{"tooth": 13, "from_tray": 1, "to_tray": 4, "{field}": {sign}e-1}}]"#),
    ];
    let found = Checker::new().check(&super::edited(BASE, &edit)).into_findings();
    found.iter().all(|finding| finding.rule.name != "attachment_without_purpose")
}
