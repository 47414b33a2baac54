//! What the totals of `oar check` say that `oar repair` can fix, and what it then fixes.

use std::fs;
use std::io::Write;
use std::path::Path;

use oar_testing::{BACKWARDS, BASE, Folder, Told, right};

/// The base record with a number in quotes, and another value that no repair can guess.
fn quoted() -> String {
    BASE.replacen("\"change_interval_days\": 7,", "\"change_interval_days\": \"7\",", 1)
}

fn half_fixable() -> String {
    quoted().replacen("\"wear_goal_minutes\": 1320", "\"wear_goal_minutes\": \"much\"", 1)
}

fn findings(printed: &Told) -> u64 {
    ["errors", "warnings", "notes"].iter().map(|level| printed.total(level)).sum()
}

/// The last line but the one about `oar explain`.
fn totals(printed: &Told) -> &str {
    printed.out.lines().rev().find(|line| !line.starts_with("why, ")).unwrap()
}

/// Checks a folder, repairs it, and checks again: what was counted as fixable is what is gone.
fn is_true_of(folder: &Folder, threads: &str) -> u64 {
    let check = ["check", ".", "-o", "jsonl", "--no-cross-record", "--threads", threads];
    let before = folder.oar(&check);
    folder.oar(&["repair", "--write", "."]);
    let after = folder.oar(&check);
    assert_eq!(after.total("fixable"), 0, "a second repair fixes nothing");
    let gone = findings(&before) - findings(&after);
    assert_eq!(before.total("fixable"), gone);
    gone
}

#[test]
fn the_broken_corpus_has_as_many_fixable_findings_as_a_repair_fixes() {
    let folder = Folder::with(&[]);
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/broken");
    for entry in fs::read_dir(corpus).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, folder.path().join(path.file_name().unwrap())).unwrap();
    }
    assert_eq!(is_true_of(&folder, "2"), 3);
}

#[test]
fn lines_documents_marks_and_lists_have_as_many_too() {
    let line = |text: &str| serde_json::from_str::<serde_json::Value>(text).unwrap().to_string();
    let lines = [right(), &line(&quoted()), "{\"broken", &line(&half_fixable()), &line(BACKWARDS)].join("\n");
    let mut reversed: serde_json::Value = serde_json::from_str(BASE).unwrap();
    reversed["wear_log"].as_array_mut().unwrap().reverse();
    let (reversed, half) = (reversed.to_string(), half_fixable());
    let with_mark = [b"\xef\xbb\xbf".as_slice(), quoted().as_bytes()].concat();
    let files: &[(&str, &[u8])] = &[
        ("a.oar.jsonl", lines.as_bytes()),
        ("b.oar.json", reversed.as_bytes()),
        ("c.oar.json", &with_mark),
        ("d.oar.json", half.as_bytes()),
    ];
    for threads in ["1", "3"] {
        assert_eq!(is_true_of(&Folder::with(files), threads), 6);
    }
}

#[test]
fn the_line_of_totals_and_the_forms_for_programs_say_how_many() {
    let one = Folder::with(&[("a.oar.json", quoted().as_bytes())]);
    assert_eq!(totals(&one.oar(&["check", "."])), "1 error in 1 record, 1 file; oar repair can fix it");
    let some = Folder::with(&[("a.oar.json", half_fixable().as_bytes()), ("b.oar.json", quoted().as_bytes())]);
    let said = "3 errors in 2 of 2 records, 2 files; oar repair can fix 2 of them; 1 record checked in part, 3 rules not applied";
    for format in ["text", "overview"] {
        assert_eq!(totals(&some.oar(&["check", ".", "--no-cross-record", "-o", format])), said);
    }
    let all = Folder::with(&[("a.oar.json", quoted().as_bytes()), ("b.oar.json", quoted().as_bytes())]);
    let printed = all.oar(&["check", ".", "--no-cross-record"]);
    assert_eq!(totals(&printed), "2 errors in 2 of 2 records, 2 files; oar repair can fix all of them");
    let overview = some.oar(&["check", ".", "--no-cross-record", "-o", "overview-json"]).out;
    assert_eq!(serde_json::from_str::<serde_json::Value>(&overview).unwrap()["fixable"], 2);
    let none = Folder::with(&[("a.oar.json", BACKWARDS.as_bytes())]);
    assert_eq!(totals(&none.oar(&["check", "."])), "1 error in 1 record, 1 file");
}

#[test]
fn what_is_accepted_is_not_among_them() {
    let waiver = "[[waiver]]\nrecord = \"*\"\nrule = \"wrong_type\"\nat = \"/prescription/change_interval_days\"\n\
        file = \"a.*\"\nreason = \"looked at\"\n";
    let folder = Folder::with(&[
        ("a.oar.json", half_fixable().as_bytes()),
        ("b.oar.json", quoted().as_bytes()),
        ("oar-waivers.toml", waiver.as_bytes()),
    ]);
    let printed = folder.oar(&["check", ".", "--no-cross-record"]);
    assert_eq!(
        totals(&printed),
        "2 errors in 2 of 2 records, 2 files; oar repair can fix 1 of them; 1 record checked in part, 3 rules not applied; 1 waived"
    );
}

#[test]
fn a_file_that_a_repair_refuses_has_none() {
    let lines = format!("{}\n", serde_json::from_str::<serde_json::Value>(&quoted()).unwrap());
    let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    packed.write_all(lines.repeat(50).as_bytes()).unwrap();
    let whole = packed.finish().unwrap();
    let cut = &whole[..whole.len() - 20];
    let waiver = "[[waiver]]\nrecord = \"nobody\"\nrule = \"wrong_type\"\nat = \"/**\"\nreason = \"looked at\"\n";
    let folder = Folder::with(&[
        ("a.oar.jsonl", lines.as_bytes()),
        ("b.oar.jsonl.gz", cut),
        ("c.oar.jsonl", lines.as_bytes()),
        ("waivers.toml", waiver.as_bytes()),
    ]);
    for waivers in [["--no-waivers"].as_slice(), &["--waivers", "waivers.toml"]] {
        let printed = folder.oar(&[["check", ".", "-o", "jsonl", "--no-cross-record"].as_slice(), waivers].concat());
        assert!(findings(&printed) > 10, "{printed:?}");
        assert_eq!(printed.total("fixable"), 2);
    }
    let repaired = folder.oar(&["repair", "."]);
    assert!(repaired.errors.contains("b.oar.jsonl.gz: its compressed data is cut short"), "{repaired:?}");
}

#[test]
fn a_rule_that_is_off_asks_for_no_repair() {
    let mut reversed: serde_json::Value = serde_json::from_str(BASE).unwrap();
    reversed["wear_log"].as_array_mut().unwrap().reverse();
    let reversed = reversed.to_string();
    let folder = |config: &str| Folder::with(&[("a.oar.json", reversed.as_bytes()), ("oar.toml", config.as_bytes())]);
    assert!(folder("").oar(&["repair", "."]).errors.contains("1 list sorted by time"));
    for config in ["[levels]\nlog_out_of_order = \"off\"\n", "[profile.\"quillmere-*\".levels]\nwear_log = \"off\"\n"] {
        let printed = folder(config).oar(&["repair", "."]);
        assert!(printed.errors.starts_with("nothing to fix: "), "{config}: {}", printed.errors);
    }
    let excluded = folder("exclude = [\"a.*\"]\n").oar(&["repair", "."]);
    assert!(excluded.errors.contains("no file in this folder ends in"), "{}", excluded.errors);
    let on_again = folder("[levels]\nlog_out_of_order = \"off\"\n");
    let printed = on_again.oar(&["repair", ".", "--level", "log_out_of_order=note"]);
    assert!(printed.errors.contains("1 list sorted by time"), "{}", printed.errors);
}

#[test]
fn what_is_left_after_a_repair_weighs_as_the_settings_say() {
    let config = "fail_level = \"warning\"\n[levels]\nworn_backwards = \"warning\"\n";
    let folder = Folder::with(&[("a.oar.json", BACKWARDS.as_bytes()), ("oar.toml", config.as_bytes())]);
    let printed = folder.oar(&["repair", "."]);
    assert!(printed.errors.ends_with("nothing to fix: 1 warning in 1 record, 1 file\n"), "{}", printed.errors);
    assert_eq!(printed.code, Some(1));
    assert_eq!(folder.oar(&["repair", ".", "--fail-level", "error"]).code, Some(0));
    assert_eq!(folder.oar(&["repair", ".", "--level", "worn_trays=off"]).code, Some(0));
    let clash = folder.oar(&["repair", "a.oar.json", "--output", "oar.toml"]);
    assert_eq!(
        (clash.code, clash.errors.as_str()),
        (Some(2), "error: oar.toml holds the settings: write records to another file\n")
    );
    assert_eq!(folder.read("oar.toml"), config);
}
