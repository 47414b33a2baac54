//! Options that are wrong say so and how to write them; those that only change what is shown change nothing else.

use oar_testing::{BACKWARDS, BASE, Folder, wrong};

/// Runs `oar check` on a right record with some options; gives the exit code and what is said.
fn with(options: &[&str]) -> (Option<i32>, String) {
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes())]);
    let printed = folder.oar(&[&["check", "a.oar.json"], options].concat());
    (printed.code, printed.errors)
}

#[test]
fn wrong_options_give_2_and_say_what_is_wrong() {
    let limits = [
        ("largest_record_kilobyte=3", "did you mean largest_record_kilobytes?"),
        ("largest=3", "did you mean largest_record_kilobytes?"),
        ("colour=3", "unknown limit colour"),
        ("largest_record_kilobytes=many", "many is not a number"),
        ("largest_record_kilobytes=0", "0 is outside 1 to 4000000"),
        ("largest_record_kilobytes=99999999999999999999", "is outside 1 to 4000000 KiB"),
        ("largest_record_kilobytes", "write it as LIMIT=VALUE"),
    ];
    let others = [
        (["--output", "txt"], "did you mean text?"),
        (["--output", "xml"], "formats are text, brief, jsonl"),
        (["--output", "text="], "give a file after the ="),
        (["--output", "text=nowhere/a"], "nowhere/a cannot be written: its folder does not exist"),
        (["--output", "text=."], ". cannot be written: it is a folder"),
        (["--output", "text=a.oar.json"], "a.oar.json is to be checked: write findings to another file"),
        (["--output", "text=./../././a.oar.json/../a.oar.json"], "cannot be written"),
        (["--max-findings", "some"], "give a whole number, or all"),
        (["--max-findings", "-1"], "give a whole number, or all"),
        (["--threads", "0"], "give a number from 1 to 1024"),
        (["--threads", "1025"], "give a number from 1 to 1024"),
        (["--fail-level", "fatal"], "error, warning, note"),
        (["--colour", "blue"], "auto, always, never"),
        (["--wrong", "x"], "--wrong"),
    ];
    let limits = limits.map(|(value, said)| (["--limit", value], said));
    for (options, said) in limits.into_iter().chain(others) {
        let (code, errors) = with(&options);
        assert_eq!(code, Some(2), "{options:?}");
        assert!(errors.starts_with("error: ") && errors.contains(said), "{options:?}: {errors}");
    }
}

#[test]
fn a_limit_that_can_be_set_is_kept_to() {
    // The base record has more than 13 kilobytes.
    assert_eq!(with(&["--limit", "largest_record_kilobytes=13"]).0, Some(1));
    assert_eq!(with(&["--limit", "largest_record_kilobytes=14"]).0, Some(0));
    assert_eq!(with(&["--limit", "largest_record_kilobytes=13", "--limit", "largest_record_kilobytes=14"]).0, Some(0));
}

#[test]
fn a_checked_file_is_never_overwritten() {
    let folder = Folder::with(&[("in/a.oar.json", BASE.as_bytes())]);
    let printed = folder.oar(&["check", "in", "--output", "jsonl=./in/../in/a.oar.json"]);
    assert_eq!(printed.code, Some(2), "{printed:?}");
    assert!(folder.read("in/a.oar.json") == BASE);
}

#[test]
fn two_outputs_to_one_place_give_2() {
    for outputs in [["text", "brief"], ["text", "jsonl=-"], ["text=a", "jsonl=a"]] {
        let (code, errors) = with(&["--output", outputs[0], "--output", outputs[1]]);
        assert_eq!(code, Some(2), "{outputs:?}");
        assert!(errors.contains("two outputs would go to"), "{errors}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_gives_2() {
    let (code, errors) = with(&["--output", "text=/dev/full"]);
    assert_eq!((code, errors.as_str()), (Some(2), "error: /dev/full cannot be written: the disk is full\n"));
}

#[test]
fn most_changes_neither_the_totals_nor_the_exit_code() {
    let many = [wrong(), "\n".to_owned()].concat().repeat(150);
    let folder = Folder::with(&[("many.oar.jsonl", many.as_bytes())]);
    for (most, shown) in [("0", 0), ("1", 1), ("100", 100), ("149", 149), ("150", 150), ("151", 150), ("all", 150)] {
        let text = folder.oar(&["check", ".", "--no-cross-record", "--no-fold", "--max-findings", most]);
        assert_eq!(text.code, Some(1), "--max-findings {most}");
        assert_eq!(text.out.lines().filter(|line| line.starts_with('■')).count(), shown, "--max-findings {most}");
        assert!(text.out.contains("150 errors in 150 of 150 records, 1 file"), "{}", text.out);
        let brief =
            folder.oar(&["check", ".", "--no-cross-record", "--no-fold", "--max-findings", most, "-o", "brief"]);
        assert_eq!(brief.out.lines().filter(|line| line.contains(": error ")).count(), shown, "--max-findings {most}");
        let jsonl = folder.oar(&["check", ".", "--no-cross-record", "--max-findings", most, "-o", "jsonl"]);
        assert_eq!(jsonl.findings().len(), 150, "--max-findings {most}");
    }
    assert_eq!(
        folder.oar(&["check", ".", "--no-cross-record"]).out,
        folder.oar(&["check", ".", "--no-cross-record", "--max-findings", "100"]).out
    );
    assert_eq!(
        folder.oar(&["check", ".", "--no-cross-record", "--no-fold"]).out,
        folder.oar(&["check", ".", "--no-cross-record", "--no-fold", "--max-findings", "all"]).out
    );
    let none = folder.oar(&["check", ".", "--no-cross-record", "--max-findings", "0"]);
    assert_eq!(
        none.out,
        "150 findings not shown\n\n150 errors in 150 of 150 records, 1 file\nwhy, and examples: oar explain worn_backwards\n"
    );
    let none = folder.oar(&["check", ".", "--no-cross-record", "--max-findings", "0", "-o", "brief"]);
    assert_eq!(none.out, "150 errors in 150 of 150 records, 1 file\n");
}

#[test]
fn repeats_are_folded_on_the_screen_and_all_is_in_a_file() {
    let many = [wrong(), "\n".to_owned()].concat().repeat(150);
    let folder = Folder::with(&[("many.oar.jsonl", many.as_bytes())]);
    let shown = |text: &str| text.lines().filter(|line| line.contains("error worn_backwards")).count();
    let printed = folder.oar(&["check", ".", "-o", "text", "-o", "brief=all"]);
    assert_eq!((shown(&printed.out), shown(&folder.read("all"))), (3, 150), "{}", printed.out);
    assert!(printed.out.contains("… and 147 more worn_backwards at /wear_periods/*/to\n"), "{}", printed.out);
    folder.oar(&["check", ".", "--max-findings", "2", "-o", "brief=few"]);
    assert_eq!(shown(&folder.read("few")), 2);
}

#[test]
fn a_name_that_an_exporter_always_writes_is_shown_once_for_each_place() {
    let record = BASE.replace("\"minutes\":", "\"Minutes\":").replace("\"removals\":", "\"Removals\":");
    let folder = Folder::with(&[("a.oar.json", record.as_bytes())]);
    let all = folder.oar(&["check", ".", "--no-fold", "-o", "brief"]).out.matches("error unknown_field").count();
    let printed = folder.oar(&["check", ".", "-o", "brief"]);
    assert!(all > 10, "{all}");
    assert_eq!(printed.out.matches("error unknown_field").count(), 2, "{}", printed.out);
    let more = format!("… and {} more unknown_field at 2 kinds of places that are shown\n", all - 2);
    assert!(printed.out.contains(&more), "{}", printed.out);
}

#[test]
fn what_is_excluded_is_left_out_of_folders_only() {
    let base = BASE.as_bytes();
    let folder = Folder::with(&[("a.oar.json", base), ("old/b.oar.json", base), ("in/old.oar.json", base)]);
    let records = |options: &[&str]| folder.oar(&[&["check", "-o", "jsonl"], options].concat()).total("records");
    assert_eq!(records(&["."]), 3);
    assert_eq!(records(&[".", "--exclude", "old"]), 2);
    assert_eq!(records(&[".", "--exclude", "old*"]), 1);
    assert_eq!(records(&[".", "--exclude", "old", "--exclude", "a.*"]), 1);
    assert_eq!(records(&["a.oar.json", "--exclude", "a.*"]), 1);
}

#[test]
fn a_partial_run_leaves_out_what_is_excluded_also_where_it_is_named() {
    let folder = Folder::with(&[
        ("old/a.oar.json", BACKWARDS.as_bytes()),
        ("b.oar.json", BASE.as_bytes()),
        ("oar.toml", b"exclude = [\"old\"]\n"),
    ]);
    let named = ["check", "old/a.oar.json", "b.oar.json"];
    assert_eq!(folder.oar(&named).code, Some(1), "what is named is checked");
    let partial = folder.oar(&[named.as_slice(), &["--partial"]].concat());
    assert_eq!((partial.code, partial.out), (Some(0), folder.oar(&["check", "."]).out));
}
