//! One mistake, one finding: single edits of right records, and how many findings each gives.
//!
//! The law is one of the project's own, without an outside source. `cargo test --test library one_mistake -- --nocapture` lists
//! the edits that give more than one finding.

use oar_testing::BASE;
use oar_testing::single_edits::{self, Edit};
use open_aligner_record::Checker;
use serde_json::Value;

/// Right records of different kinds: by name and text.
const RECORDS: [(&str, &str); 5] = [
    ("base", BASE),
    ("qm-01", include_str!("../../datasets/demo/qm-01-clean-finish.oar.json")),
    ("qm-05", include_str!("../../datasets/demo/qm-05-mixed-dentition.oar.json")),
    ("qm-06", include_str!("../../datasets/demo/qm-06-one-arch.oar.json")),
    ("qm-12", include_str!("../../datasets/demo/qm-12-extraction-elastics.oar.json")),
];

/// Of a thousand edits that are found, as many may give two findings.
const TWO_IN_A_THOUSAND: usize = 3;

/// What an edit may give in two places: dates of two sections after a mistyped day of the export may as well be two
/// mistakes. From the third section on it is told of the export.
const TWICE: &str = "after_export";

/// The findings of an edit, each as rule and place.
fn findings(checker: &mut Checker, record: &Value, edit: &Edit) -> Vec<String> {
    let found = checker.check(&single_edits::edited(record, edit)).into_findings();
    found.iter().map(|finding| format!("{} {}", finding.rule.name, finding.place.pointer)).collect()
}

#[test]
#[expect(clippy::print_stdout, reason = "the list is what the test is run for by hand")]
fn a_single_edit_gives_one_finding_but_for_a_few_that_give_two() {
    let mut checker = Checker::new().without_excerpts();
    let mut found_edits = 0;
    let mut twice = Vec::new();
    for (name, text) in RECORDS {
        let record: Value = serde_json::from_str(text).unwrap();
        for edit in single_edits::of(&record) {
            let found = findings(&mut checker, &record, &edit);
            found_edits += usize::from(!found.is_empty());
            if found.len() > 1 {
                let line = format!("{name}{} {}: {}", edit.pointer, edit.name, found.join(", "));
                println!("{line}");
                assert!(found.len() == 2, "{line}");
                twice.push((line, found.iter().all(|finding| finding.starts_with(TWICE))));
            }
        }
    }
    assert!(found_edits > 3000, "{found_edits} edits are found");
    let unnamed: Vec<&String> = twice.iter().filter(|(_, named)| !named).map(|(line, _)| line).collect();
    assert!(unnamed.len() * 1000 <= found_edits * TWO_IN_A_THOUSAND, "of {found_edits}: {unnamed:#?}");
}
