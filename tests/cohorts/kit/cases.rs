//! The cases are what the manifest says of them.

use oar_generators::faults::{self, Suits};
use oar_testing::Folder;
use oar_testing::schema::{published, stray};
use open_aligner_record::canonical::digest;
use open_aligner_record::kit::{CaseKind, KitCase, VALUES};
use open_aligner_record::read::stream::decompressed;
use open_aligner_record::{Checker, Findings, rules};
use serde_json::Value;
use std::collections::BTreeSet;

use super::made;

/// Cases that a tester looks for by name.
const NAMED: &[&str] = &[
    "edge/leap_day",
    "edge/clocks_forward",
    "edge/clocks_back",
    "edge/clocks_forward_half",
    "edge/clocks_back_half",
    "edge/longest_day",
    "edge/travel",
    "edge/instants_in_utc",
    "edge/upper_arch_only",
    "edge/lower_arch_only",
    "edge/primary_teeth",
    "edge/agenesis",
    "edge/very_short",
    "edge/very_long",
    "edge/many_refinements",
    "edge/not_begun",
    "edge/every_field",
    "edge/only_required",
    "edge/empty_lists",
    "edge/extensions",
    "edge/note_in_many_scripts",
    "edge/longest_note",
    "edge/fractions_of_a_second",
    "edge/two_sources",
    "edge/logged_outside",
    "edge/reduction_due",
    "edge/several_records",
    "edge/negative_decimals",
    "spelling/by_hand-names_backwards",
    "spelling/by_hand-escaped_names",
    "spelling/simulated-whole_numbers_with_fraction",
    "spelling/simulated-wide",
    "spelling/by_hand-packed_gzip",
    "spelling/by_hand-packed_zstd",
    "upgrade/newer_minor",
    "upgrade/newer_minor_with_new_things",
    "upgrade/newer_minor_of_two_digits",
    "upgrade/newer_major",
    "upgrade/never_was",
    "upgrade/version_as_number",
    "upgrade/new_field_in_this_version",
    "upgrade/new_word_in_this_version",
    "upgrade/unknown_extension",
];

fn bytes(case: &KitCase) -> &'static [u8] {
    &made().files[&case.file]
}

/// What the checker finds in the file of a case: record, rule, pointer.
fn found(case: &KitCase, checker: &mut Checker) -> Vec<(u64, String, String)> {
    let findings = Findings::new(bytes(case), case.file.contains(".jsonl"), checker).unwrap().map(Result::unwrap);
    findings.map(|(record, found)| (record.max(1), found.rule.name.to_owned(), found.place.pointer)).collect()
}

#[test]
fn the_checker_finds_what_the_manifest_tells_and_nothing_else() {
    let mut checker = Checker::new().with_facts();
    for case in &made().manifest.cases {
        let printed =
            case.finding.iter().map(|printed| (printed.record, printed.rule.clone(), printed.pointer.clone()));
        assert_eq!(found(case, &mut checker), printed.collect::<Vec<_>>(), "{}", case.case);
        let level = case.finding.as_ref().map(|printed| rules::find(&printed.rule).unwrap().level.as_str());
        assert_eq!(case.finding.as_ref().map(|printed| printed.level.as_str()), level, "{}", case.case);
        assert_eq!(case.accepted, level != Some("error"), "{}", case.case);
    }
}

#[test]
fn every_rule_that_can_be_planted_has_a_case_and_the_others_are_told() {
    let manifest = &made().manifest;
    let planted = manifest.cases.iter().filter(|case| matches!(case.kind, CaseKind::Refuse | CaseKind::Question));
    let planted: BTreeSet<&str> = planted.map(|case| case.finding.as_ref().unwrap().rule.as_str()).collect();
    let small = faults::all().filter(|maker| maker.suits != Suits::Asked);
    let lacking: Vec<_> = small.map(|maker| maker.rule).filter(|rule| !planted.contains(rule)).collect();
    assert!(lacking.is_empty(), "makers without a case: {lacking:?}");
    let anywhere = |rule: &str| manifest.cases.iter().any(|case| case.finding.as_ref().is_some_and(|f| f.rule == rule));
    for rule in rules::all() {
        let printed = manifest.without.iter().any(|without| without.rule == rule.name);
        assert!(printed != anywhere(rule.name), "{}: told as left out {printed}", rule.name);
    }
}

#[test]
fn the_cases_by_name_are_there_and_names_files_and_folders_agree() {
    let manifest = &made().manifest;
    let names: BTreeSet<&str> = manifest.cases.iter().map(|case| case.case.as_str()).collect();
    assert_eq!(names.len(), manifest.cases.len(), "two cases have one name");
    let lacking: Vec<_> = NAMED.iter().filter(|name| !names.contains(*name)).collect();
    assert!(lacking.is_empty(), "{lacking:?}");
    for case in &manifest.cases {
        assert!(case.file.starts_with(&format!("{}.oar.json", case.case)), "{}", case.case);
        assert!(case.case.starts_with(&format!("{}/", case.kind.as_str())), "{}", case.case);
    }
    let papers = ["README.md", "derived.md", "manifest.json"];
    let schemas = ["record", "kit_manifest", "kit_answer"].map(|name| format!("schema/{name}.schema.json"));
    let files = manifest.cases.iter().map(|case| case.file.clone());
    let expected: BTreeSet<String> = files.chain(papers.map(str::to_owned)).chain(schemas).collect();
    assert_eq!(made().files.keys().cloned().collect::<BTreeSet<_>>(), expected);
}

#[test]
fn spellings_say_the_same_as_the_plain_one() {
    let manifest = &made().manifest;
    let canonical = |case: &KitCase| {
        let mut text = Vec::new();
        std::io::Read::read_to_end(&mut decompressed(bytes(case)).unwrap(), &mut text).unwrap();
        digest(&text).unwrap()
    };
    let spelled: Vec<&KitCase> = manifest.cases.iter().filter(|case| case.same_as.is_some()).collect();
    assert_eq!(spelled.len(), 20);
    for case in spelled {
        let plain = manifest.cases.iter().find(|plain| Some(&plain.case) == case.same_as.as_ref()).unwrap();
        assert_eq!(canonical(case), canonical(plain), "{}", case.case);
        assert_ne!(bytes(case), bytes(plain), "{}", case.case);
        assert_eq!(case.derived, plain.derived, "{}", case.case);
    }
}

#[test]
fn every_value_is_asked_for_in_ways_that_tell_readers_apart() {
    let values = |name: &str| {
        let of = made()
            .manifest
            .cases
            .iter()
            .filter_map(|case| case.derived.as_ref())
            .map(|derived| derived[name].to_string());
        of.collect::<BTreeSet<String>>()
    };
    for value in VALUES {
        let least = if ["rescan_due", "reductions_due", "attachments_debonded"].contains(&value.name) { 3 } else { 4 };
        assert!(values(value.name).len() >= least, "{}: {:?}", value.name, values(value.name));
        let printed = made().manifest.values.iter().find(|printed| printed.name == value.name).unwrap();
        assert!(printed.definition.len() > 20, "{} has no definition in docs/reference/derived.md", value.name);
    }
    assert!(values("reductions_due").iter().any(|due| due.len() > 4));
}

#[test]
fn the_same_seed_gives_the_same_folder_and_another_seed_another() {
    let folder = Folder::with(&[]);
    let printed = folder.oar(&["kit", "--seed", "1", "again"]);
    assert_eq!((printed.code, printed.errors.as_str()), (Some(0), ""));
    for (name, bytes) in &made().files {
        assert!(std::fs::read(folder.path().join("again").join(name)).unwrap() == *bytes, "{name} differs");
    }
    let printed = folder.oar(&["kit", "again"]);
    assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""));
    assert!(printed.errors.contains("again is not empty\n  help: give a new folder"), "{}", printed.errors);
}

#[test]
fn the_manifest_has_the_fields_of_its_schema() {
    let manifest: Value = serde_json::from_slice(&made().files["manifest.json"]).unwrap();
    assert_eq!(stray(&manifest, &published("kit_manifest")), None);
}
