//! `oar compare`: what is new and what is gone between two reports.

use serde_json::{Value, json};

use oar_testing::{BACKWARDS, BASE, Folder, Told};

/// A folder with the reports `old` and `new` of two versions of one record.
fn reports(old: &str, new: &str) -> Folder {
    let folder = Folder::with(&[]);
    for (name, text) in [("old", old), ("new", new)] {
        std::fs::write(folder.path().join("a.oar.json"), text).unwrap();
        folder.oar(&["check", "a.oar.json", "-o", &format!("jsonl={name}")]);
    }
    folder
}

fn compared(old: &str, new: &str, options: &[&str]) -> Told {
    reports(old, new).oar(&[&["compare", "old", "new"], options].concat())
}

/// The broken record with another mistake in place of its own.
fn other() -> String {
    BACKWARDS.replace("\"2031-01-05\"", "\"2031-02-17\"").replacen("\"minutes\": 1", "\"minutes\": 9", 1)
}

#[test]
fn nothing_new_gives_0_and_something_new_1() {
    let same = compared(BACKWARDS, BACKWARDS, &[]);
    assert_eq!((same.code, same.out.as_str()), (Some(0), "0 new, 0 gone, 1 the same\n"));
    let gone = compared(BACKWARDS, BASE, &[]);
    assert_eq!(gone.code, Some(0));
    assert_eq!(
        gone.out,
        "gone  a.oar.json:124:76: error worn_backwards /wear_periods/1/to: worn to 2031-01-05, which is before it was started on 2031-02-10

   new    gone    same  rule
     0       1       0  worn_backwards

0 new, 1 gone, 0 the same
"
    );
    let new = compared(BASE, BACKWARDS, &[]);
    assert_eq!(new.code, Some(1));
    assert!(new.out.starts_with("new   a.oar.json:124:76: error worn_backwards /wear_periods/1/to: "), "{}", new.out);
    assert!(
        new.out.ends_with("\n     1       0       0  worn_backwards\n\n1 new, 0 gone, 0 the same\n"),
        "{}",
        new.out
    );
}

#[test]
fn new_ones_come_before_those_that_are_gone_and_can_be_limited() {
    let printed = compared(BACKWARDS, &other(), &[]);
    let kinds: Vec<&str> = printed.out.lines().map(|line| line.split(' ').next().unwrap()).take(3).collect();
    assert_eq!(kinds, ["new", "", "gone"], "{}", printed.out);
    let none = compared(BACKWARDS, &other(), &["--max-findings", "0"]);
    assert!(none.out.starts_with("   new    gone    same  rule\n"), "{}", none.out);
    let wrong = compared(BASE, BASE, &["--max-findings", "some"]);
    assert!(wrong.code == Some(2) && wrong.errors.contains("give a whole number, or all"), "{wrong:?}");
    let format = compared(BASE, BASE, &["-o", "csv"]);
    assert!(format.code == Some(2) && format.errors.contains("formats are text, jsonl"), "{format:?}");
}

#[test]
fn programs_are_told_each_difference() {
    let printed = compared(BASE, BACKWARDS, &["-o", "jsonl"]);
    assert_eq!(printed.code, Some(1));
    let lines: Vec<Value> = printed.out.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(lines[0]["format"], "open-aligner-record comparison");
    assert_eq!(
        (&lines[1]["type"], &lines[1]["rule"], &lines[1]["line"]),
        (&json!("new"), &json!("worn_backwards"), &json!(124))
    );
    let totals = json!({"new": 1, "gone": 0, "same": 0});
    assert_eq!(lines[2]["by_rule"], json!({"worn_backwards": totals}));
    assert_eq!((lines.len(), &lines[2]["type"], &lines[2]["new"]), (3, &json!("summary"), &json!(1)));
}

#[test]
fn new_findings_below_the_fail_level_do_not_fail() {
    let folder = reports(BASE, BACKWARDS);
    std::fs::write(folder.path().join("oar.toml"), "fail_level = \"error\"\n[levels]\nworn_backwards = \"warning\"\n")
        .unwrap();
    folder.oar(&["check", "a.oar.json", "-o", "jsonl=new"]);
    for (options, code) in [
        ([].as_slice(), 1),
        (&["--fail-level", "note"], 1),
        (&["--fail-level", "warning"], 1),
        (&["--fail-level", "error"], 0),
    ] {
        let printed = folder.oar(&[["compare", "old", "new"].as_slice(), options].concat());
        assert_eq!(printed.code, Some(code), "{options:?}");
        assert!(printed.out.starts_with("new   a.oar.json:124:76: warning worn_backwards"), "{}", printed.out);
    }
}

#[test]
fn what_is_accepted_is_no_finding_of_a_report() {
    let folder = reports(BACKWARDS, BACKWARDS);
    folder.oar(&["check", "a.oar.json", "--write-baseline", "known", "-o", "jsonl=accepted"]);
    assert_eq!(folder.oar(&["compare", "accepted", "new", "--max-findings", "0"]).code, Some(1));
    assert!(folder.oar(&["compare", "old", "accepted"]).out.ends_with("0 new, 1 gone, 0 the same\n"));
}

#[test]
fn what_is_no_report_gives_2_and_says_why() {
    let folder = reports(BACKWARDS, BACKWARDS);
    let report = folder.read("old");
    let lines: Vec<&str> = report.lines().collect();
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    write("cut", &lines[..2].join("\n"));
    write("later", &report.replacen("\"version\":\"1.", "\"version\":\"2.", 1));
    write("damaged", &report.replacen("\"rule\":", "\"rul\":", 1));
    write("half", &[lines[0], &lines[1][..40]].join("\n"));
    write("empty", "");
    for (name, said) in [
        ("cut", "the report is cut short: it does not end with its totals"),
        ("empty", "the report is cut short: it does not end with its totals"),
        ("later", "line 1: a newer version of oar wrote this report"),
        ("damaged", "line 2: this is not a line of a report"),
        ("half", "line 2: this is not a line of a report"),
        ("a.oar.json", "line 1: this is not a report: oar check -o jsonl=FILE writes one"),
        ("nowhere", "there is no such file or folder"),
    ] {
        for reports in [[name, "new"], ["old", name]] {
            let printed = folder.oar(&["compare", reports[0], reports[1], "-o", "jsonl"]);
            assert_eq!((printed.code, printed.errors), (Some(2), format!("error: {name}: {said}\n")), "{reports:?}");
        }
    }
    for arguments in [["compare"].as_slice(), &["compare", "old"]] {
        let printed = folder.oar(arguments);
        assert_eq!(printed.code, Some(2));
        assert!(
            printed.errors.starts_with("error: give two reports: the old one and the new one\n\nUsage: oar compare"),
            "{printed:?}"
        );
    }
}

#[test]
fn the_report_of_now_may_come_from_standard_input() {
    let folder = reports(BASE, BACKWARDS);
    let piped = folder.piped(&["compare", "old", "-"], folder.read("new").as_bytes());
    assert_eq!(piped, folder.oar(&["compare", "old", "new"]));
    let printed = folder.piped(&["compare", "-", "new"], b"");
    assert!(
        printed.code == Some(2) && printed.errors.contains("the old report cannot come from standard input"),
        "{printed:?}"
    );
    let printed = folder.piped(&["compare", "old", "-"], b"no report");
    assert!(printed.errors.starts_with("error: standard input: line 1: "), "{printed:?}");
}

#[test]
fn a_comparison_goes_to_files_and_to_standard_output_but_never_over_a_report() {
    let folder = reports(BASE, BACKWARDS);
    let text = folder.oar(&["compare", "old", "new"]).out;
    let jsonl = folder.oar(&["compare", "old", "new", "-o", "jsonl"]).out;
    let printed = folder.oar(&["compare", "old", "new", "-o", "text", "-o", "jsonl=comparison"]);
    assert_eq!((printed.code, printed.out, folder.read("comparison")), (Some(1), text, jsonl));
    for report in ["old", "new"] {
        let before = folder.read(report);
        let printed = folder.oar(&["compare", "old", "new", "-o", &format!("text={report}")]);
        assert!(
            printed.code == Some(2) && printed.errors.contains("write the comparison to another file"),
            "{printed:?}"
        );
        assert_eq!(folder.read(report), before);
    }
}

#[test]
fn a_quiet_comparison_lists_findings_without_totals() {
    let folder = reports(BASE, BACKWARDS);
    let whole = folder.oar(&["compare", "old", "new"]).out;
    let quiet = folder.oar(&["compare", "old", "new", "--quiet"]);
    assert!(whole.starts_with(&quiet.out) && whole.contains(" the same\n"), "{whole}");
    assert!(quiet.out.starts_with("new ") && !quiet.out.contains(" the same\n"), "{}", quiet.out);
    assert_eq!(quiet.code, Some(1));
    assert_eq!(folder.oar(&["compare", "old", "new", "-q", "--exit-zero"]).code, Some(0));
}
