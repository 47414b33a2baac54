//! Waivers: what they hold, what becomes of old ones, and what is said of a file that is wrong.

use serde_json::Value;

use oar_testing::{BACKWARDS, BASE, Folder, Told};

const WAIVER: &str = "\
[[waiver]]
record = \"QM-0007\"
rule = \"worn_backwards\"
at = \"/wear_periods/*/to\"
reason = \"the paper sheet has the day\"
until = 2031-05-31
";

/// A folder with one broken record and these waivers.
fn folder(waivers: &str) -> Folder {
    Folder::with(&[("in/a.oar.json", BACKWARDS.as_bytes()), ("oar-waivers.toml", waivers.as_bytes())])
}

fn checked(waivers: &str, more: &[&str]) -> Told {
    folder(waivers).oar(&[&["check", "in", "--today", "2031-05-31"], more].concat())
}

#[test]
fn a_waived_finding_does_not_count() {
    let printed = checked(WAIVER, &[]);
    assert_eq!((printed.code, printed.errors.as_str()), (Some(0), ""));
    assert_eq!(printed.out, "1 record in 1 file: nothing to report; 1 waived\n");
    let printed = checked(WAIVER, &["--no-waivers"]);
    assert_eq!(printed.code, Some(1), "{printed:?}");
}

#[test]
fn each_part_of_a_waiver_has_to_fit() {
    for (part, other, holds) in [
        ("QM-0007", "QM-*", true),
        ("QM-0007", "*", true),
        ("QM-0007", "QM-0008", false),
        ("/wear_periods/*/to", "/wear_periods/1/to", true),
        ("/wear_periods/*/to", "/**", true),
        ("/wear_periods/*/to", "/wear_periods/2/to", false),
        ("worn_backwards", "worn_out_of_order", false),
        ("until = 2031-05-31", "", true),
        ("until = 2031-05-31", "file = \"in/*.oar.json\"", true),
        ("until = 2031-05-31", "file = \"*/a.oar.json\"", true),
        ("until = 2031-05-31", "file = \"a.oar.json\"", false),
    ] {
        let printed = checked(&WAIVER.replace(part, other), &["-o", "jsonl"]);
        assert_eq!(printed.code, Some(i32::from(!holds)), "{other}: {printed:?}");
        assert_eq!(
            (printed.total("waived"), printed.total("errors")),
            (u64::from(holds), u64::from(!holds)),
            "{other}"
        );
        assert_eq!(printed.total("records_with_findings"), u64::from(!holds));
    }
}

#[test]
fn files_are_named_from_the_folder_of_the_waivers_on() {
    let waivers = WAIVER.replace("until = 2031-05-31", "file = \"in/a.oar.json\"");
    let folder = folder(&waivers);
    for (here, path) in [("in", "a.oar.json"), ("in", "."), ("in", "../in/a.oar.json"), ("", "in")] {
        let mut command = folder.command(&["check", path]);
        let output = command.current_dir(folder.path().join(here)).output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{here} {path}: {}", String::from_utf8_lossy(&output.stdout));
    }
    let full = folder.path().canonicalize().unwrap().join("oar-waivers.toml");
    let printed = folder.oar(&["check", "in/a.oar.json", "--waivers", full.to_str().unwrap()]);
    assert_eq!(printed.code, Some(0), "{printed:?}");
}

#[test]
fn a_waiver_holds_on_its_last_day_and_is_told_on_the_next() {
    let folder = folder(WAIVER);
    let on = |day: &str| folder.oar(&["check", "in", "-o", "brief", "--today", day]);
    assert_eq!(on("2031-05-31").out, "");
    let printed = on("2031-06-01");
    assert_eq!(printed.code, Some(1));
    assert_eq!(
        printed.out,
        "in/a.oar.json:124:76: error worn_backwards /wear_periods/1/to: worn to 2031-01-05, which is before it was started on 2031-02-10
oar-waivers.toml:1:1: warning waiver_expired: the waiver ended on 2031-05-31; findings that are reported again: 1
"
    );
    // Without a day given, the clock says that a day long ago is over.
    let old = Folder::with(&[
        ("a.oar.json", BACKWARDS.as_bytes()),
        ("oar-waivers.toml", WAIVER.replace("2031-05-31", "2001-01-01").as_bytes()),
    ]);
    assert!(old.oar(&["check", ".", "-o", "brief"]).out.contains("waiver_expired: the waiver ended on 2001-01-01; "));
}

#[test]
fn a_waiver_without_a_finding_is_told_in_every_form_unless_the_run_is_partial() {
    let folder = Folder::with(&[("in/a.oar.json", BASE.as_bytes()), ("oar-waivers.toml", WAIVER.as_bytes())]);
    let said = "no finding matches this waiver of worn_backwards";
    for format in ["text", "brief", "jsonl", "sarif", "junit", "github", "gitlab"] {
        let printed = folder.oar(&["check", "in", "--today", "2031-05-31", "-o", format]);
        assert_eq!(printed.code, Some(0), "{printed:?}");
        assert!(printed.out.contains(said) && printed.out.contains("oar-waivers.toml"), "{format}: {}", printed.out);
    }
    let strict = folder.oar(&["check", "in", "--today", "2031-05-31", "--fail-level", "warning"]);
    assert_eq!(strict.code, Some(1));
    assert!(
        strict.out.ends_with("1 warning in 1 file, 1 record\nwhy, and examples: oar explain waiver_without_finding\n")
    );
    let partial = folder.oar(&["check", "in", "--today", "2031-05-31", "--partial"]);
    assert_eq!(partial.out, "1 record in 1 file: nothing to report\n");
    for rule in ["waiver_expired", "waiver_without_finding"] {
        assert!(folder.oar(&["explain", rule]).out.starts_with(&format!("{rule} (warning, waivers)\n")));
    }
}

#[test]
fn what_is_waived_is_shown_when_asked_for() {
    let brief = checked(WAIVER, &["-o", "brief", "--show-accepted"]);
    assert_eq!(
        brief.out,
        "in/a.oar.json:124:76: error worn_backwards /wear_periods/1/to: worn to 2031-01-05, which is before it was started on 2031-02-10 (waived at oar-waivers.toml:1: the paper sheet has the day)\n"
    );
    let text = checked(WAIVER, &["--show-accepted"]).out;
    assert!(text.contains("\n  waived at oar-waivers.toml:1: the paper sheet has the day\n"), "{text}");
}

#[test]
fn programs_are_told_what_is_waived_and_why() {
    let printed = checked(WAIVER, &["-o", "jsonl"]);
    assert!(printed.lines("finding").is_empty());
    let accepted = &printed.lines("accepted")[0];
    let expected = serde_json::json!({
        "by": "waiver", "file": "oar-waivers.toml", "line": 1, "reason": "the paper sheet has the day", "until": "2031-05-31",
    });
    assert_eq!(accepted["accepted"], expected);
    let sarif: Value = serde_json::from_str(&checked(WAIVER, &["-o", "sarif"]).out).unwrap();
    let suppression = &sarif["runs"][0]["results"][0]["suppressions"][0];
    // SARIF 2.1.0, 3.35 (from memory): `external` stands outside the file; the justification is the reason.
    assert_eq!([&suppression["kind"], &suppression["status"]], ["external", "accepted"]);
    assert_eq!(suppression["justification"], "the paper sheet has the day");
    for (format, empty) in [("gitlab", "[]\n"), ("github", "1 record in 1 file: nothing to report; 1 waived\n")] {
        assert_eq!(checked(WAIVER, &["-o", format]).out, empty);
    }
}

#[test]
fn findings_across_records_can_be_waived_for_any_record() {
    let one = serde_json::from_str::<Value>(BASE).unwrap();
    let mut other = one.clone();
    other["patient"]["birth_year"] = 2003.into();
    let waivers = "[[waiver]]\nrecord = \"*\"\nrule = \"record_id_repeated\"\nat = \"/**\"\nreason = \"known\"\n";
    let lines = format!("{one}\n{other}\n");
    let folder = Folder::with(&[("a.oar.jsonl", lines.as_bytes()), ("oar-waivers.toml", waivers.as_bytes())]);
    let without = folder.oar(&["check", ".", "-o", "jsonl", "--no-waivers"]);
    assert!(without.findings().iter().any(|found| found.starts_with("record_id_repeated")), "{without:?}");
    let printed = folder.oar(&["check", ".", "-o", "jsonl"]);
    assert!(printed.findings().iter().all(|found| !found.starts_with("record_id_repeated")), "{printed:?}");
    assert_eq!((printed.total("waived"), printed.total("errors") + 1), (1, without.total("errors")));
}

#[test]
fn findings_across_records_can_be_waived_for_the_record_that_they_are_shown_in() {
    let one = serde_json::from_str::<Value>(BASE).unwrap();
    let patient = |id: &str, year: i32| {
        let mut other = one.clone();
        (other["id"], other["patient"]["birth_year"]) = (id.into(), year.into());
        other["wear_periods"].as_array_mut().unwrap().truncate(1);
        other
    };
    // The years of birth contradict each other, and the finding is in the later export.
    let mut first = patient("QM-0700", 2003);
    first["source"]["exported_at"] = "2031-05-10T19:00:00+02:00".into();
    let mut damaged = first.clone();
    damaged["comfort"][0]["pain_0_10"] = 99.into();
    for first in [first, damaged] {
        let lines = format!("{first}\n{}\n", patient("QM-0007", 2004));
        for (record, rule, waived) in [
            ("QM-0700", "patient_contradicts", 1),
            ("QM-07*", "patient_contradicts", 1),
            ("*00", "patient_contradicts", 1),
            ("QM-0007", "patient_contradicts", 0),
            ("QM-0700", "patients_overlap", 0),
        ] {
            let waivers =
                format!("[[waiver]]\nrecord = \"{record}\"\nrule = \"{rule}\"\nat = \"/**\"\nreason = \"known\"\n");
            let files = [("a.oar.jsonl", lines.as_bytes()), ("oar-waivers.toml", waivers.as_bytes())];
            let folder = Folder::with(&files);
            for threads in ["1", "3"] {
                let printed = folder.oar(&["check", ".", "-o", "jsonl", "--threads", threads]);
                assert_eq!(printed.total("waived"), waived, "{record} {rule} {printed:?}");
                let left = printed.findings().iter().any(|found| found.starts_with("patient_contradicts 1:"));
                assert_eq!(left, waived == 0, "{printed:?}");
                assert!(!printed.out.contains("QM-0700"), "no format tells the id");
            }
        }
    }
}

#[test]
fn equal_findings_after_a_waived_one_keep_their_fingerprints() {
    let two = format!("{}\n", serde_json::from_str::<Value>(BACKWARDS).unwrap()).repeat(2);
    let waivers = WAIVER.replace("until = 2031-05-31", "file = \"a.*\"");
    let folder = Folder::with(&[
        ("a.oar.jsonl", two.as_bytes()),
        ("b.oar.jsonl", two.as_bytes()),
        ("oar-waivers.toml", waivers.as_bytes()),
    ]);
    let last = |printed: &Told, kind: &str| printed.lines(kind).last().unwrap()["fingerprint"].clone();
    let all = folder.oar(&["check", ".", "--no-cross-record", "-o", "jsonl", "--no-waivers"]);
    let some = folder.oar(&["check", ".", "--no-cross-record", "-o", "jsonl", "-o", "gitlab=g"]);
    assert_eq!((some.lines("finding").len(), some.lines("accepted").len()), (2, 2));
    assert_eq!(last(&some, "finding"), last(&all, "finding"));
    let gitlab: Value = serde_json::from_str(&folder.read("g")).unwrap();
    assert_eq!(gitlab[1]["fingerprint"], last(&all, "finding"));
}

#[test]
fn a_wrong_waiver_file_gives_2_and_says_where_and_what() {
    let with = |from: &str, to: &str| WAIVER.replace(from, to);
    let cases = [
        (
            with("reason", "reson"),
            "5:1: unknown field reson (did you mean reason?); the fields of a waiver are record, rule, at, reason, file, until",
        ),
        (
            with("worn_backwards", "worn_backward"),
            "3:8: unknown rule worn_backward (did you mean worn_backwards?); oar explain all lists the rules",
        ),
        (with("worn_backwards", "qqqq"), "3:8: unknown rule qqqq; oar explain all lists the rules"),
        (
            with("[[waiver]]", "[[waivers]]"),
            "1:3: unknown key waivers (did you mean waiver?); put each waiver under [[waiver]]",
        ),
        (with("[[waiver]]", "[waiver]"), "1:2: put each waiver under [[waiver]], in double brackets"),
        ("waiver = [1]".to_owned(), "1:11: put each waiver under [[waiver]], in double brackets"),
        (
            with("reason = \"the paper sheet has the day\"\n", ""),
            "1:1: this waiver has no reason: add reason = …, why the finding may stay",
        ),
        (
            with("record = \"QM-0007\"\n", ""),
            "1:1: this waiver has no record: add record = …, the record's id, or \"*\" for any",
        ),
        (
            with("at = \"/wear_periods/*/to\"\n", ""),
            "1:1: this waiver has no at: add at = …, a JSON Pointer, or \"/**\" for every place",
        ),
        (with("rule = \"worn_backwards\"\n", ""), "1:1: this waiver has no rule: add rule = …, the name of the rule"),
        (with("the paper sheet has the day", " "), "5:10: reason is empty: say why the finding may stay"),
        (with("\"QM-0007\"", "7"), "2:10: record is not a string: write it in quotes"),
        (
            with("\"/wear_periods", "\"wear_periods"),
            "4:6: at does not begin with /: write a JSON Pointer, as in /wear_periods/*/to; /** is every place",
        ),
        (with("/wear_periods/*", "/**"), "4:6: ** is in the middle of at: it can only be the last step"),
        (with("2031-05-31", "\"2031-05-31\""), "6:9: until is not a date: write it without quotes, as in 2031-12-31"),
        (
            with("2031-05-31", "2031-05-31T08:00:00Z"),
            "6:9: until is not a date: write it without quotes, as in 2031-12-31",
        ),
    ];
    for (waivers, said) in cases {
        let printed = checked(&waivers, &[]);
        assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""), "{waivers}");
        assert_eq!(printed.errors, format!("error: oar-waivers.toml:{said}\n"));
    }
    let printed = checked(&with("= \"QM", "= QM"), &[]);
    assert!(
        printed.code == Some(2) && printed.errors.starts_with("error: oar-waivers.toml:2:10: invalid TOML: "),
        "{printed:?}"
    );
}

#[test]
fn all_mistakes_of_a_waiver_file_are_told_at_once_and_in_order() {
    let printed = checked("[[waiver]]\nrecord = 7\nrul = \"x\"\nat = \"/é\" # é\nreason = \"\"\n", &[]);
    let expected = "error: oar-waivers.toml:2:10: record is not a string: write it in quotes
error: oar-waivers.toml:3:1: unknown field rul (did you mean rule?); the fields of a waiver are record, rule, at, reason, file, until
error: oar-waivers.toml:5:10: reason is empty: say why the finding may stay
";
    assert_eq!(printed.errors, expected);
}

#[test]
fn a_waiver_file_that_is_named_has_to_be_there() {
    let folder = folder(WAIVER);
    let wrong: [(&[&str], &str); 3] = [
        (&["--waivers", "nowhere.toml"], "error: nowhere.toml: there is no such file or folder\n"),
        (&["--waivers", "in"], "error: in: it is a folder\n"),
        (
            &["--today", "31.5.2031"],
            "error: invalid value '31.5.2031' for '--today <DATE>': give a date of the years 1900 to 2199, as in 2031-05-31\n\nFor more information, try '--help'.\n",
        ),
    ];
    for (options, said) in wrong {
        let printed = folder.oar(&[&["check", "in"], options].concat());
        assert_eq!((printed.code, printed.errors.as_str()), (Some(2), said));
    }
}

#[test]
fn a_partial_run_tells_an_expired_waiver_only_where_something_is_found() {
    let clean = Folder::with(&[("a.oar.json", BASE.as_bytes()), ("oar-waivers.toml", WAIVER.as_bytes())]);
    let run = ["check", "a.oar.json", "--today", "2031-06-01", "--fail-level", "warning"];
    assert!(clean.oar(&run).out.contains("and it matches no finding"));
    let partial = [run.as_slice(), &["--partial"]].concat();
    let printed = clean.oar(&partial);
    assert_eq!((printed.code, printed.out.as_str()), (Some(0), "1 record in 1 file: nothing to report\n"));
    assert!(folder(WAIVER).oar(&[&["check", "in"], &partial[2..]].concat()).out.contains("reported again: 1"));
}

#[test]
fn what_the_baseline_accepts_is_not_said_to_be_reported_again() {
    let folder = folder(WAIVER);
    let run = ["check", "in", "--today", "2031-06-01", "--fail-level", "warning", "-o", "brief"];
    let written = folder.oar(&[run.as_slice(), &["--write-baseline", "known"]].concat());
    assert_eq!((written.code, written.out.as_str()), (Some(0), ""));
    let printed = folder.oar(&[run.as_slice(), &["--baseline", "known"]].concat());
    let said = "the waiver ended on 2031-05-31; findings that the baseline accepts in its place: 1\n";
    assert_eq!(printed.out, format!("oar-waivers.toml:1:1: warning waiver_expired: {said}"));
}

#[test]
fn sarif_lists_the_rules_about_waivers_and_their_results_name_them() {
    let twice = format!(
        "{WAIVER}\n{}",
        WAIVER.replace("2031-05-31", "2032-05-31").replace("wear_periods/*/to", "appointments/*")
    );
    let printed = folder(&twice).oar(&["check", "in", "--today", "2031-06-01", "-o", "sarif"]);
    let log: Value = serde_json::from_str(&printed.out).unwrap();
    let rules = log["runs"][0]["tool"]["driver"]["rules"].as_array().unwrap();
    let results = log["runs"][0]["results"].as_array().unwrap();
    let about: Vec<&str> = results.iter().map(|result| result["ruleId"].as_str().unwrap()).collect();
    assert_eq!(about, ["worn_backwards", "waiver_expired", "waiver_without_finding"]);
    for result in results {
        let index = usize::try_from(result["ruleIndex"].as_u64().expect("it has the place of its rule")).unwrap();
        assert_eq!(rules[index]["id"], result["ruleId"]);
    }
}
