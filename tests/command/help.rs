//! `oar --help`, `oar explain` and `oar schema`.

use oar_schema::limits::LIMITS;
use open_aligner_record::rules;

use super::running::{Folder, Told};

fn oar(arguments: &[&str]) -> Told {
    Folder::with(&[]).oar(arguments)
}

#[test]
fn help_goes_to_standard_output_and_gives_0() {
    for arguments in
        [["--help"].as_slice(), &["-h"], &["help"], &["check", "--help"], &["explain", "-h"], &["--version"]]
    {
        let told = oar(arguments);
        assert_eq!((told.code, told.errors.as_str()), (Some(0), ""), "{arguments:?}");
        assert!(!told.out.is_empty() && !told.out.contains('\x1b'), "{arguments:?}");
        assert!(told.out.lines().all(|line| line.chars().count() <= 100), "{arguments:?}: {}", told.out);
    }
}

#[test]
fn nothing_asked_for_gives_2_and_the_way_to_help() {
    for arguments in [[].as_slice(), &["check"], &["chek"]] {
        let told = oar(arguments);
        assert_eq!((told.code, told.out.as_str()), (Some(2), ""), "{arguments:?}");
        assert!(told.errors.contains("--help"), "{arguments:?}: {}", told.errors);
    }
}

#[test]
fn explain_lists_every_rule_and_every_limit() {
    let told = oar(&["explain"]);
    assert_eq!(told.code, Some(0));
    let listed = |name: &str| told.out.lines().any(|line| line.split_whitespace().take(2).any(|word| word == name));
    let names = rules::all().map(|rule| rule.name).chain(LIMITS.iter().map(|limit| limit.name));
    for name in names {
        assert!(listed(name), "{name} is not listed");
    }
    assert!(told.out.lines().all(|line| line.chars().count() <= 100));
}

#[test]
fn explain_shows_the_page_of_each_rule_and_the_row_of_each_limit() {
    for rule in rules::all() {
        assert_eq!(oar(&["explain", rule.name]).out, rule.page);
    }
    for limit in LIMITS {
        let told = oar(&["explain", limit.name]);
        assert_eq!(told.code, Some(0));
        let value = format!("value: {} {} ", limit.written(limit.value), limit.unit);
        assert!(told.out.contains(&value) && told.out.contains(limit.doc.trim()), "{}", told.out);
    }
}

#[test]
fn a_misspelt_name_gives_2_and_the_name_that_is_meant() {
    for (name, meant) in [("cut_shrt", "cut_short"), ("Cut-Short", "cut_short"), ("oldest", "oldest_years")] {
        let told = oar(&["explain", name]);
        assert_eq!((told.code, told.out.as_str()), (Some(2), ""), "{name}");
        assert!(told.errors.contains(&format!("perhaps {meant} is meant")), "{}", told.errors);
    }
    let told = oar(&["explain", "qqqq"]);
    assert!(told.code == Some(2) && !told.errors.contains("perhaps"), "{told:?}");
}

#[test]
fn schema_prints_the_published_schema() {
    let told = oar(&["schema"]);
    assert_eq!(told.code, Some(0));
    assert_eq!(told.out, include_str!("../../schema/v1/record.schema.json"));
}
