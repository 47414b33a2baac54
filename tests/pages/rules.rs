//! Runs the pages of the rules: each is documentation, test and snapshot in one.
//!
//! `UPDATE=1 cargo test --test pages rules::` writes the findings into the pages and the files of `datasets/broken/`; read the diff.

use std::fs;
use std::path::PathBuf;

use oar_schema::limits::Limits;
use oar_testing::BASE;
use oar_testing::page::{self, Example};
use oar_testing::repository::{is_current, is_update, root};
use open_aligner_record::finding::Finding;
use open_aligner_record::rule::Rule;
use open_aligner_record::{Checker, Findings, rules};

fn page_file(rule: &Rule) -> PathBuf {
    root().join(format!("src/check/rules/{}/{}.md", rule.theme, rule.name))
}

/// The findings of an example, each as the page shows it.
fn findings(example: &Example) -> Vec<String> {
    let mut limits = Limits::default();
    for (name, value) in page::limits(&example.edit) {
        limits.set(&name, &value).unwrap();
    }
    let text = page::edited(BASE, &example.edit);
    let mut checker = Checker::with_limits(limits).with_facts();
    let several = page::is_several(&example.edit);
    let findings = Findings::new(text.as_slice(), several, &mut checker).unwrap().map(Result::unwrap);
    findings.flat_map(|(record, finding)| lines(&finding, several.then_some(record))).collect()
}

/// A finding as the page shows it, with the record in which it is if there are several.
fn lines(finding: &Finding, record: Option<u64>) -> Vec<String> {
    let (level, rule, pointer) = (finding.level.as_str(), finding.rule.name, &finding.place.pointer);
    let within = record.map_or(String::new(), |record| format!("record {record} "));
    let message = format!("{level} {rule} {within}{pointer}: {}", finding.message());
    let others =
        finding.elsewhere.iter().map(|other| format!("  see also record {} {}", other.record, other.place.pointer));
    let others = others.map(|line| line.trim_end().to_owned());
    let help = finding.help().map(|help| format!("  help: {help}"));
    std::iter::once(message).chain(others).chain(help).collect()
}

#[test]
fn the_base_record_has_no_findings() {
    let found = findings(&Example { edit: Vec::new(), findings: Vec::new() });
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn every_example_gives_the_findings_that_its_page_shows_and_tables_are_current() {
    let mut wrong = Vec::new();
    for rule in rules::all() {
        let file = page_file(rule);
        let text = fs::read_to_string(&file).unwrap();
        let examples: Vec<Example> =
            ["Broken", "Kept"].iter().flat_map(|heading| page::examples(&text, heading)).collect();
        let found: Vec<Vec<String>> = examples.iter().map(findings).collect();
        let tabled = page::tables::with_table(rule.name, &text);
        if is_update() {
            fs::write(&file, page::with_findings(&tabled, &found)).unwrap();
        } else {
            if tabled != text {
                wrong.push(format!("{}: its table is stale", rule.name));
            }
            let differs = |(example, found): &(Example, Vec<String>)| example.findings != *found;
            let pairs = examples.into_iter().zip(found).filter(differs);
            wrong.extend(pairs.map(|(example, found)| format!("{}: {:?} gave {found:#?}", rule.name, example.edit)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_rule_is_found_by_its_broken_example_and_by_no_kept_one() {
    for rule in rules::all() {
        let names = |example: &Example| -> Vec<String> {
            let lines = findings(example).into_iter().filter(|line| !line.starts_with(' '));
            lines.map(|line| line.split(' ').nth(1).unwrap().to_owned()).collect()
        };
        let broken = page::examples(rule.page, "Broken");
        let kept = page::examples(rule.page, "Kept");
        assert!(!broken.is_empty() && !kept.is_empty(), "{} lacks an example", rule.name);
        for example in &broken {
            assert!(names(example).iter().any(|name| name == rule.name), "{} misses {:?}", rule.name, example.edit);
        }
        for example in &kept {
            assert!(names(example).iter().all(|name| name != rule.name), "{} minds {:?}", rule.name, example.edit);
        }
    }
}

#[test]
fn the_broken_corpus_is_the_base_record_with_the_first_broken_edit_of_each_page() {
    for rule in rules::all() {
        let Some(example) = page::examples(rule.page, "Broken").into_iter().next() else { continue };
        let ending = if page::is_several(&example.edit) { "jsonl" } else { "json" };
        let file = format!("datasets/broken/{}.oar.{ending}", rule.name);
        is_current(&file, page::edited(BASE, &example.edit), "cargo test --test pages rules::");
    }
}

/// The text of a record without one of its sections.
fn without(text: &[u8], section: &str) -> Option<Vec<u8>> {
    let mut record: serde_json::Value = serde_json::from_slice(text).ok()?;
    record.as_object_mut()?.shift_remove(section)?;
    serde_json::to_vec(&record).ok()
}

#[test]
fn a_rule_reads_only_the_sections_that_its_line_names() {
    let fields = <open_aligner_record::record::Record as oar_schema::describe::Described>::OBJECT.fields;
    let mut checker = Checker::new();
    let mut tried = 0;
    for rule in rules::all().filter(|rule| rule.sections != 0) {
        let examples =
            page::examples(rule.page, "Broken").into_iter().filter(|example| page::limits(&example.edit).is_empty());
        for text in examples.map(|example| page::edited(BASE, &example.edit)) {
            let others = fields.iter().enumerate().filter(|(place, _)| rule.sections >> place & 1 == 0);
            for (_, field) in others.filter(|(_, field)| field.required) {
                let Some(less) = without(&text, field.name) else { continue };
                if !checker.check(&text).iter().any(|finding| finding.rule == rule) {
                    continue;
                }
                let found = checker.check(&less);
                assert!(found.iter().any(|finding| finding.rule == rule), "{} reads {}", rule.name, field.name);
                tried += 1;
            }
        }
    }
    assert!(tried > 100, "{tried} tried");
}

/// Arguments that only files of many records, or compressed ones, give: `tests/command/reading` has them.
const GIVEN_ELSEWHERE: &[(&str, &str)] = &[("cut_short", "compressed"), ("cut_short", "whole")];

#[test]
fn every_argument_of_a_message_is_given_in_some_example() {
    let mut checker = Checker::new().with_facts();
    let mut missing = Vec::new();
    for rule in rules::all() {
        let mut given: Vec<&str> = Vec::new();
        for example in ["Broken", "Kept"].iter().flat_map(|heading| page::examples(rule.page, heading)) {
            let text = page::edited(BASE, &example.edit);
            let mut limits = Limits::default();
            for (name, value) in page::limits(&example.edit) {
                limits.set(&name, &value).unwrap();
            }
            let mut own = Checker::with_limits(limits).with_facts();
            let checker = if page::limits(&example.edit).is_empty() { &mut checker } else { &mut own };
            let findings = Findings::new(text.as_slice(), page::is_several(&example.edit), checker).unwrap();
            let own = findings.map(|found| found.unwrap().1).filter(|finding| finding.rule == rule);
            given.extend(own.flat_map(|finding| finding.args).map(|(name, _)| name));
        }
        let head = rule.page.split("\n## ").next().unwrap();
        for line in head.lines().filter_map(|line| line.strip_prefix("> ")) {
            for name in line.split('{').skip(1).filter_map(|rest| rest.split('}').next()) {
                if !given.contains(&name) && !GIVEN_ELSEWHERE.contains(&(rule.name, name)) {
                    missing.push(format!("{}: no example gives {{{name}}}", rule.name));
                }
            }
        }
    }
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}
