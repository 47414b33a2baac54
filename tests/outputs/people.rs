//! Outputs for people.

use open_aligner_record::finding::{Excerpt, Finding, Place};
use open_aligner_record::output::{Format, Item, Style, Summary};
use open_aligner_record::rule::{Check, Level, Rule};

use super::{BASE, backwards, count, some_files, written};

static RULE: Rule = Rule {
    name: "a_rule",
    level: Level::Warning,
    theme: "a theme",
    page: "# a_rule\n\n> something is off\n> help: mend it\n",
    sections: 0,
    check: Check::Reading,
};

fn finding(text: &str, start: usize, len: usize) -> Finding {
    let place = Place { pointer: "/a".into(), line: 1234, column: 5, end_line: 1234, end_column: 9 };
    let excerpt = Some(Excerpt { text: text.into(), start, len });
    Finding { rule: &RULE, related: vec![place.clone()], place, args: vec![], excerpt, subject: "/a".into() }
}

fn shown(finding: &Finding, style: Style, record: u64) -> String {
    let mut out = Vec::new();
    let mut summary = Summary { files: 1, records: 1, records_with_findings: 1, ..Summary::default() };
    summary.count(finding);
    let mut printer = Format::Text.printer(style);
    printer.finding(&mut out, &Item { file: "a.json", record, finding }).unwrap();
    printer.end(&mut out, &summary).unwrap();
    String::from_utf8(out).unwrap()
}

#[test]
fn a_finding_is_shown_with_level_place_source_line_and_help() {
    let text = shown(&finding("\"a\": 12, \"b\"", 5, 2), Style::default(), 3);
    let expected = "\
▲ warning a_rule
  a.json:1234:5  /a  record 3
       │
  1234 │ \"a\": 12, \"b\"
       │      ^^
  something is off
  help: mend it
  see also a.json:1234:5  /a

1 warning in 1 of 1 record, 1 file
why, and examples: oar explain a_rule
";
    assert_eq!(text, expected);
}

#[test]
fn carets_stand_under_the_value_after_wide_letters() {
    // Unicode Standard Annex 11: ideographs are wide, two columns; a combining accent has none.
    let text = shown(&finding("日本e\u{301}: 語語,", 6, 2), Style::default(), 1);
    let caret_line = text.lines().nth(4).unwrap();
    let (_, under) = caret_line.split_once("│ ").unwrap();
    assert_eq!(under, format!("{}^^^^", " ".repeat(2 + 2 + 1 + 1 + 1)));
}

#[test]
fn a_value_at_the_end_of_the_line_still_gets_a_caret() {
    let text = shown(&finding("{", 1, 1), Style::default(), 1);
    assert!(text.contains("│ {\n       │  ^\n"), "{text}");
}

#[test]
fn letters_that_turn_text_round_are_replaced_in_the_source_line() {
    let text = shown(&finding("a\u{202e}b 12", 4, 2), Style::default(), 1);
    assert!(text.contains("│ a\u{fffd}b 12\n"), "{text}");
}

#[test]
fn only_as_many_findings_are_shown_as_asked_for_and_totals_count_all() {
    let files = some_files();
    let all = count(&files);
    for format in [Format::Text, Format::Brief] {
        let text = written(format, Style { colour: false, most: 2 }, &files);
        let heads =
            text.lines().filter(|line| line.contains("error ") && line.contains("oar.json") || line.starts_with('■'));
        assert_eq!(heads.count(), 2, "{text}");
        assert!(text.contains(&format!("… and {} more findings not shown\n", all - 2)), "{text}");
    }
    let text = written(Format::Text, Style { colour: false, most: 0 }, &files);
    assert!(text.contains(&format!("{all} errors in 4 of 5 records, 5 files\n")), "{text}");
}

#[test]
fn a_clean_run_says_so() {
    let files: Vec<_> = (0..3).map(|_| ("a.oar.json", BASE.as_bytes().to_vec())).collect();
    assert_eq!(written(Format::Text, Style::default(), &files), "3 records in 3 files: nothing to report\n");
    assert_eq!(written(Format::Brief, Style::default(), &files), "");
}

#[test]
fn colours_appear_only_when_asked_for_and_hide_nothing() {
    let files = [("a.oar.json", backwards())];
    let plain = written(Format::Text, Style::default(), &files);
    let painted = written(Format::Text, Style { colour: true, ..Style::default() }, &files);
    assert!(!plain.contains('\u{1b}'));
    // ECMA-48, 8.3.117: reset, bold, faint, and one colour of the palette. Without them the text is the same.
    let mut stripped = painted.clone();
    for code in ["0", "1", "2", "1;38;5;32"] {
        stripped = stripped.replace(&format!("\u{1b}[{code}m"), "");
    }
    assert_ne!(painted, plain);
    assert_eq!(stripped, plain);
}
