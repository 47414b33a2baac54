//! Outputs for people.

use open_aligner_record::finding::{Excerpt, Finding, Item, Place};
use open_aligner_record::output::{OutputFormat, Style};
use open_aligner_record::parts::Parts;
use open_aligner_record::rule::{Level, Rule, RuleKind};
use open_aligner_record::run::Event;
use open_aligner_record::summary::Summary;

use super::{BASE, backwards, count, some_files, written};

static RULE: Rule = Rule {
    name: "a_rule",
    level: Level::Warning,
    theme: "a theme",
    page: "# a_rule\n\n> something is off\n> help: fix it\n",
    sections: 0,
    needs: Parts::NONE,
    unless: open_aligner_record::check::marks::Marks::NONE,
    kind: RuleKind::Reading,
};

fn finding(text: &str, start: usize, len: usize) -> Finding {
    let place = Place { pointer: "/a".into(), line: 1234, column: 5, end_line: 1234, end_column: 9 };
    let mut finding = Finding::new(&RULE, RULE.level, place.clone(), Vec::new(), "/a".into());
    (finding.related, finding.excerpt) = (vec![place], Some(Excerpt { text: text.into(), start, len }));
    finding
}

fn shown(finding: &Finding, style: Style, record: u64) -> String {
    let mut out = Vec::new();
    let mut summary = Summary::default();
    (summary.files, summary.records, summary.records_with_findings) = (1, 1, 1);
    summary.count(finding);
    let mut printer = OutputFormat::Text.printer(style);
    printer.event(&mut out, &Event::Finding(Item { file: "a.json", record, finding })).unwrap();
    printer.event(&mut out, &Event::End(&summary)).unwrap();
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
  help: fix it
  see also a.json:1234:5  /a

1 warning in 1 record, 1 file
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
    for format in [OutputFormat::Text, OutputFormat::Brief] {
        let text = written(format, Style::default().most(2), &files);
        let heads =
            text.lines().filter(|line| line.contains("error ") && line.contains("oar.json") || line.starts_with('■'));
        assert_eq!(heads.count(), 2, "{text}");
        assert!(text.contains(&format!("… and {} more findings not shown\n", all - 2)), "{text}");
    }
    let text = written(OutputFormat::Text, Style::default().most(0), &files);
    assert!(text.contains(&format!("{all} errors in 4 of 5 records, 5 files\n")), "{text}");
}

#[test]
fn a_clean_run_says_so() {
    let files: Vec<_> = (0..3).map(|_| ("a.oar.json", BASE.as_bytes().to_vec())).collect();
    assert_eq!(written(OutputFormat::Text, Style::default(), &files), "3 records in 3 files: nothing to report\n");
    assert_eq!(written(OutputFormat::Brief, Style::default(), &files), "");
}

#[test]
fn colours_appear_only_when_asked_for_and_hide_nothing() {
    let files = [("a.oar.json", backwards())];
    let plain = written(OutputFormat::Text, Style::default(), &files);
    let painted = written(OutputFormat::Text, Style::default().colour(true), &files);
    assert!(!plain.contains('\u{1b}'));
    // ECMA-48, 8.3.117: reset, bold, faint, and one colour of the palette. Without them the text is the same.
    let mut stripped = painted.clone();
    for code in ["0", "1", "2", "1;38;5;32"] {
        stripped = stripped.replace(&format!("\u{1b}[{code}m"), "");
    }
    assert_ne!(painted, plain);
    assert_eq!(stripped, plain);
}

/// What is written about findings at these pointers, each in the record of its place.
fn about(format: OutputFormat, style: Style, pointers: &[&str]) -> String {
    let (mut out, mut summary) = (Vec::new(), Summary::default());
    let mut printer = format.printer(style);
    for (record, pointer) in (1..).zip(pointers) {
        let mut finding = finding("12", 0, 2);
        (*pointer).clone_into(&mut finding.place.pointer);
        summary.count(&finding);
        printer.event(&mut out, &Event::Finding(Item { file: "a.oar.jsonl", record, finding: &finding })).unwrap();
    }
    printer.event(&mut out, &Event::FileEnd { file: "a.oar.jsonl", records: 1 }).unwrap();
    printer.event(&mut out, &Event::End(&summary)).unwrap();
    String::from_utf8(out).unwrap()
}

/// Nine findings: five at one kind of place, four at the record as a whole.
const NINE: [&str; 9] = ["/log/0/a", "", "/log/1/a", "", "/log/2/a", "", "/log/30/a", "", "/log/4/a"];

#[test]
fn findings_of_a_kind_are_counted_after_the_third_when_asked_for() {
    for format in [OutputFormat::Text, OutputFormat::Brief, OutputFormat::Github] {
        let folded = about(format, Style::default().folds(true), &NINE);
        assert!(folded.contains("… and 2 more a_rule at /log/*/a\n"), "{folded}");
        assert!(folded.contains("… and 1 more a_rule\n"), "{folded}");
        assert_eq!(folded.matches("something is off").count(), 6, "{folded}");
        let all = about(format, Style::default(), &NINE);
        assert_eq!(all.matches("something is off").count(), 9, "{all}");
        assert!(!all.contains('…'), "{all}");
    }
}

#[test]
fn what_is_folded_does_not_use_up_what_is_shown_at_most() {
    let text = about(OutputFormat::Text, Style::default().folds(true).most(6), &NINE);
    assert_eq!(text.matches("something is off").count(), 6, "{text}");
    // The sixth that is shown is the third about the record; of the three after it, none is looked at.
    assert!(text.contains("… and 3 more findings not shown\n"), "{text}");
    assert!(text.contains("9 warnings in "), "{text}");
}

#[test]
fn a_finding_without_a_pointer_leaves_no_gap() {
    let brief = about(OutputFormat::Brief, Style::default(), &["", "/a"]);
    let expected = "\
a.oar.jsonl:1234:5: warning a_rule: something is off
a.oar.jsonl:1234:5: warning a_rule /a: something is off
";
    assert_eq!(brief, expected);
    let junit = about(OutputFormat::Junit, Style::default(), &["", "/a"]);
    for line in ["1234:5: warning a_rule: something is off (record 1)\n", "a_rule /a: something is off (record 2)\n"] {
        assert!(junit.contains(line), "{junit}");
    }
    assert!(junit.contains("message=\"something is off; and 1 more\""), "{junit}");
}

#[test]
fn rules_are_counted_at_the_end_the_most_frequent_first() {
    let all = written(OutputFormat::Text, Style::default().most(0), &some_files());
    let rows: Vec<&str> = all.lines().filter(|line| line.contains("■ error")).collect();
    let counts: Vec<usize> = rows.iter().map(|row| row.split_whitespace().next().unwrap().parse().unwrap()).collect();
    assert!(counts.len() > 1 && counts.is_sorted_by(|left, right| left >= right), "{all}");
    assert_eq!(counts.iter().sum::<usize>(), count(&some_files()), "{all}");
    // Two of the files have this one fault.
    assert!(rows.contains(&"2  ■ error    worn_backwards"), "{all}");
    assert!(all.ends_with("why, and examples: oar explain RULE\n"), "{all}");
}

#[test]
fn messages_and_help_end_before_the_width_does() {
    let files = [("a.oar.json", backwards())];
    let narrow = written(OutputFormat::Text, Style::default().width(40), &files);
    let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(words(&narrow), words(&written(OutputFormat::Text, Style::default(), &files)));
    let (_, after) = narrow.split_once("^\n").unwrap();
    let (printed, _) = after.split_once("\n\n").unwrap();
    let (message, help) = printed.split_once("\n  help: ").unwrap();
    assert!(printed.lines().all(|line| line.chars().count() <= 40), "{narrow}");
    assert!(message.lines().count() > 1 && message.lines().all(|line| line.starts_with("  ")), "{narrow}");
    assert!(help.lines().skip(1).all(|line| line.starts_with("        ")), "{narrow}");
}
