//! `oar shrink`: what is written, what is told, what is refused.

use oar_testing::{BACKWARDS, BASE, Folder, right, wrong};

const SHRUNK: &str = r#"{
  "format": "open-aligner-record",
  "version": "1.0",
  "id": "R1",
  "source": {"system": "S1", "exported_at": "2001-05-12T12:00:00Z"},
  "patient": {"id": "P1", "birth_year": 1974, "time_zone": "UTC"},
  "dentition": {"absent": []},
  "prescription": {"wear_goal_minutes": 0, "wear_minimum_minutes": 0, "change_interval_days": 1},
"#;

#[test]
fn the_smallest_record_goes_to_standard_output_and_the_report_to_standard_error() {
    let folder = Folder::with(&[("a.oar.json", BACKWARDS.as_bytes())]);
    let printed = folder.oar(&["shrink", "a.oar.json", "--rule", "worn_backwards"]);
    assert_eq!(printed.code, Some(0));
    assert!(printed.out.starts_with(SHRUNK), "{}", printed.out);
    let (first, rest) = printed.errors.split_once('\n').unwrap();
    assert!(first.ends_with(" of 869 values removed; worn_backwards is now at /wear_periods/0/to"), "{first}");
    assert_eq!(
        rest,
        "identifiers, texts, dates and times were replaced; a person has to read the record before it leaves the house\n"
    );
    // What a person has to do is read last.
    assert!(
        printed.errors.ends_with("a person has to read the record before it leaves the house\n"),
        "{}",
        printed.errors
    );
    let checked = folder.piped(&["check", "-", "-o", "jsonl"], printed.out.as_bytes());
    assert_eq!(checked.lines("finding").len(), 1);
    assert_eq!(
        folder.oar(&["shrink", "a.oar.json", "--rule", "Worn backwards"]).out,
        printed.out,
        "it is the same each time"
    );
}

#[test]
fn a_record_and_a_finding_of_it_can_be_chosen() {
    let lines = format!("{}\n{}\n{}\n", right(), wrong(), right());
    let folder = Folder::with(&[("a.oar.jsonl", lines.as_bytes())]);
    let first = folder.oar(&["shrink", "a.oar.jsonl", "--rule", "worn_backwards"]);
    assert!(first.out.starts_with(SHRUNK), "{}", first.errors);
    let second = folder.oar(&[
        "shrink",
        "a.oar.jsonl",
        "--rule",
        "worn_backwards",
        "--record",
        "2",
        "--pointer",
        "/wear_periods/1/to",
    ]);
    assert_eq!(second.out, first.out);
    for (arguments, said) in [
        (["--record", "1"].as_slice(), "record 1 has no finding of worn_backwards"),
        (&["--record", "4"], "the file has no record 4, only 3"),
        (
            &["--pointer", "/wear_periods/2/to"],
            "no record has a finding of worn_backwards at /wear_periods/2/to; oar check lists the findings",
        ),
    ] {
        let printed =
            folder.oar(&[["shrink", "a.oar.jsonl", "--rule", "worn_backwards"].as_slice(), arguments].concat());
        assert_eq!(
            (printed.code, printed.out.as_str(), printed.errors),
            (Some(2), "", format!("error: a.oar.jsonl: {said}\n"))
        );
    }
}

#[test]
fn what_cannot_be_done_is_said() {
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes()), ("empty.oar.json", b"")]);
    for (arguments, said) in [
        (
            ["a.oar.json", "--rule", "worn_backward"].as_slice(),
            "--rule worn_backward: unknown rule (did you mean worn_backwards?)",
        ),
        (
            &["a.oar.json", "--rule", "record_id_repeated"],
            "--rule record_id_repeated: this rule compares records, but only a single record can be shrunk",
        ),
        (
            &["a.oar.json", "--rule", "trays_overlap"],
            "a.oar.json: no record has a finding of trays_overlap; oar check lists the findings",
        ),
        (
            &["a.oar.json", "--rule", "record_too_large"],
            "a.oar.json: the finding is about the size of the record, so no smaller record has it",
        ),
        (&["none.oar.json", "--rule", "trays_overlap"], "none.oar.json: there is no such file or folder"),
    ] {
        let printed = folder.oar(&[["shrink"].as_slice(), arguments].concat());
        assert_eq!((printed.code, printed.out.as_str(), printed.errors), (Some(2), "", format!("error: {said}\n")));
    }
    let printed = folder.oar(&["shrink", "a.oar.json"]);
    assert!(printed.errors.starts_with("error: missing: --rule <RULE>\n"), "{}", printed.errors);
    for (option, value, help) in [
        ("--record", "0", "give a whole number of at least 1"),
        ("--pointer", "worn", "a JSON Pointer begins with /, as in /wear_periods/3"),
    ] {
        let printed = folder.oar(&["shrink", "a.oar.json", "--rule", "trays_overlap", option, value]);
        assert!(printed.code == Some(2) && printed.errors.contains(help), "{printed:?}");
    }
}

#[test]
fn the_record_goes_to_a_file() {
    let folder = Folder::with(&[("a.oar.json", BACKWARDS.as_bytes())]);
    let printed = folder.oar(&["shrink", "a.oar.json", "--rule", "worn_backwards", "--output", "b.oar.json"]);
    assert_eq!((printed.code, printed.out.as_str()), (Some(0), ""));
    assert!(folder.read("b.oar.json").starts_with(SHRUNK));
    let printed = folder.oar(&["shrink", "a.oar.json", "--rule", "worn_backwards", "--output", "b.oar.json"]);
    let there = "error: b.oar.json already exists\n  help: give another name, or --overwrite\n";
    assert_eq!((printed.code, printed.errors.as_str()), (Some(2), there));
    let printed = folder.oar(&["shrink", "a.oar.json", "--rule", "worn_backwards", "--output", "no/b.oar.json"]);
    assert_eq!(
        (printed.code, printed.errors.as_str()),
        (Some(2), "error: no/b.oar.json cannot be written: its folder does not exist\n")
    );
}

#[test]
fn what_was_kept_is_told() {
    let folder = Folder::with(&[("a.oar.json", include_bytes!("../../datasets/broken/more_than_a_day.oar.json"))]);
    let printed = folder.oar(&["shrink", "a.oar.json", "--rule", "more_than_a_day"]);
    assert!(printed.errors.contains("kept: the time zone, which the finding needs\n"), "{}", printed.errors);
    assert!(printed.out.contains("Europe/Vienna") && !printed.out.contains("2031"), "{}", printed.out);
}

#[test]
fn the_settings_count_that_count_in_a_check() {
    let limited = ("oar.toml", b"[limits]\ntray_linear_mm = 0.1\n".as_slice());
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes()), limited]);
    let shrink = ["shrink", "a.oar.json", "--rule", "moves_too_fast"];
    let printed = folder.oar(&shrink);
    assert!(
        printed.errors.contains("\nit is reported only with the settings of oar.toml: send them along\n"),
        "{}",
        printed.errors
    );
    let checked = folder.piped(&["check", "-", "-o", "jsonl"], printed.out.as_bytes());
    assert!(checked.findings().iter().any(|found| found.starts_with("moves_too_fast")), "{checked:?}");
    let refused = folder.oar(&[shrink.as_slice(), &["--no-config"]].concat());
    assert_eq!(
        refused.errors,
        "error: a.oar.json: no record has a finding of moves_too_fast; oar check lists the findings\n"
    );
    let given = folder.oar(&[shrink.as_slice(), &["--no-config", "--limit", "tray_linear_mm=0.1"]].concat());
    assert!(given.errors.contains("only with the settings of these options: send them along\n"), "{}", given.errors);
}

#[test]
fn a_rule_that_is_off_is_told_with_its_place() {
    for (config, said) in [
        ("[levels]\nworn_trays = \"off\"\n", "; the rule is off (oar.toml:2)"),
        (
            "[profile.\"quillmere-*\".levels]\nworn_backwards = \"off\"\n",
            "; the rule is off for records of quillmere-* (oar.toml:2)",
        ),
    ] {
        let folder = Folder::with(&[("a.oar.json", BACKWARDS.as_bytes()), ("oar.toml", config.as_bytes())]);
        let printed = folder.oar(&["shrink", "a.oar.json", "--rule", "worn_backwards"]);
        let why = format!(
            "error: a.oar.json: no record has a finding of worn_backwards; oar check lists the findings{said}\n"
        );
        assert_eq!((printed.code, printed.errors), (Some(2), why));
        let on = ["shrink", "a.oar.json", "--rule", "worn_backwards", "--level", "worn_backwards=note"];
        assert_eq!(folder.oar(&on).code, Some(0));
    }
}

#[test]
fn the_name_of_a_system_stays_where_the_finding_needs_its_profile() {
    let config = b"[profile.\"quillmere-chart\".limits]\ntray_linear_mm = 0.1\n".as_slice();
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes()), ("oar.toml", config)]);
    let printed = folder.oar(&["shrink", "a.oar.json", "--rule", "moves_too_fast"]);
    assert!(printed.out.contains("\"quillmere-chart\""), "{}", printed.out);
    assert!(printed.errors.contains("\nkept: "), "{}", printed.errors);
}

#[test]
fn a_finding_that_only_a_whole_file_gives_is_refused_with_the_reason() {
    let cut = &right()[..right().len() / 2];
    let lines = format!("{}\n{cut}\n{}\n", right(), right());
    let folder = Folder::with(&[("a.oar.jsonl", lines.as_bytes()), ("empty.oar.json", b"")]);
    let printed = folder.oar(&["shrink", "a.oar.jsonl", "--rule", "not_json", "--record", "2"]);
    let why = "record 2 ends in the middle of its line; in a file of its own, it breaks the rule cut_short: give --rule cut_short";
    assert_eq!((printed.code, printed.errors), (Some(2), format!("error: a.oar.jsonl: {why}\n")));
    assert_eq!(folder.oar(&["shrink", "a.oar.jsonl", "--rule", "cut_short", "--record", "2"]).out, "{\n");
    let printed = folder.oar(&["shrink", "empty.oar.json", "--rule", "nothing_inside"]);
    assert!(printed.code == Some(2) && printed.errors.contains("about the size of the record"), "{printed:?}");
}

#[test]
fn what_is_no_json_shrinks_to_a_line_that_shows_its_fault() {
    let wrong = BASE.trim_end().strip_suffix('}').unwrap().to_owned() + "]\n";
    let folder = Folder::with(&[("a.oar.json", wrong.as_bytes())]);
    let printed = folder.oar(&["shrink", "a.oar.json", "--rule", "not_json"]);
    assert!(printed.code == Some(0) && printed.out.len() <= 10 && printed.out.ends_with('\n'), "{printed:?}");
    let problem = "not_json: expected a comma or the end of the object here";
    assert!(folder.oar(&["check", "a.oar.json", "-o", "brief"]).out.contains(problem));
    let shrunk = folder.piped(&["check", "-", "-o", "brief"], printed.out.as_bytes());
    assert!(shrunk.out.contains(problem), "{shrunk:?}");
}
