//! `--select` and `--ignore`, as options and in `oar.toml`; `--quiet` and `--exit-zero`.

use oar_testing::{BACKWARDS, BASE, Folder, Told};

/// A record that breaks `worn_backwards` of the theme `worn_trays` and `more_than_a_day` of the theme `wear_log`.
fn two_faults() -> String {
    let mut record: serde_json::Value = serde_json::from_str(BACKWARDS).unwrap();
    record["wear_log"][0]["minutes"] = 1441.into();
    record.to_string()
}

fn folder(config: &str) -> Folder {
    Folder::with(&[
        ("a.oar.json", two_faults().as_bytes()),
        ("broken/b.oar.json", b"{\"broken"),
        ("oar.toml", config.as_bytes()),
    ])
}

fn rules(printed: &Told) -> Vec<String> {
    let mut rules: Vec<String> =
        printed.lines("finding").iter().map(|finding| finding["rule"].as_str().unwrap().to_owned()).collect();
    rules.sort();
    rules.dedup();
    rules
}

fn checked(config: &str, options: &[&str]) -> Vec<String> {
    let printed = folder(config).oar(&[&["check", "a.oar.json", "-o", "jsonl"], options].concat());
    assert!(printed.code != Some(2), "{printed:?}");
    rules(&printed)
}

#[test]
fn only_selected_rules_run_and_ignored_ones_never() {
    let all = ["more_than_a_day", "worn_backwards"];
    assert_eq!(checked("", &[]), all);
    assert_eq!(checked("", &["--select", "worn_backwards"]), ["worn_backwards"]);
    assert_eq!(checked("", &["--select", "worn_trays"]), ["worn_backwards"]);
    assert_eq!(checked("", &["--select", "bad_id,worn_backwards", "--select", "more_than_a_day"]), all);
    assert_eq!(checked("", &["--select", "bad_id"]), [""; 0]);
    assert_eq!(checked("", &["--select", "all"]), all);
    assert_eq!(checked("", &["--ignore", "worn_trays"]), ["more_than_a_day"]);
    assert_eq!(checked("", &["--select", "all", "--ignore", "worn_backwards,wear_log"]), [""; 0]);
}

#[test]
fn a_file_selects_too_and_options_override_it() {
    let select = "select = [\"worn_trays\"]\n";
    assert_eq!(checked(select, &[]), ["worn_backwards"]);
    assert_eq!(checked(select, &["--select", "wear_log"]), ["more_than_a_day"]);
    assert_eq!(checked("ignore = [\"worn_trays\"]\n", &["--select", "all"]), ["more_than_a_day"]);
    assert_eq!(checked(select, &["--no-config"]).len(), 2);
    let printed = folder(select).oar(&["config", "a.oar.json", "--ignore", "bad_id"]);
    let rows = "settings from oar.toml\n  select  worn_trays  oar.toml:1\n  ignore  bad_id      --ignore bad_id\n";
    assert_eq!(printed.out, rows);
}

#[test]
fn levels_stay_in_force_for_selected_rules() {
    let levels = "[levels]\nworn_backwards = \"note\"\nmore_than_a_day = \"off\"\n";
    let printed = folder(levels).oar(&["check", "a.oar.json", "-o", "jsonl", "--select", "all"]);
    assert_eq!(printed.lines("finding")[0]["level"], "note");
    assert_eq!((printed.code, rules(&printed)), (Some(0), vec!["worn_backwards".to_owned()]));
    for (config, options, why) in [
        (levels, ["--select", "more_than_a_day"].as_slice(), "oar.toml:3"),
        ("ignore = [\"wear_log\"]\n", &["--select", "more_than_a_day"], "oar.toml:1"),
        ("", &["--select", "more_than_a_day", "--level", "wear_log=off"], "--level wear_log=off"),
    ] {
        let printed = folder(config).oar(&[&["check", "a.oar.json"], options].concat());
        let said = format!("error: --select more_than_a_day: more_than_a_day is selected, but it is off ({why})\n");
        assert_eq!((printed.code, printed.errors), (Some(2), said));
    }
}

#[test]
fn what_cannot_be_read_is_reported_whatever_is_selected() {
    let printed = folder("").oar(&["check", "broken", "-o", "jsonl", "--select", "worn_backwards"]);
    assert_eq!((printed.code, rules(&printed)), (Some(1), vec!["cut_short".to_owned()]));
}

#[test]
fn wrong_names_say_what_is_meant() {
    for (options, said) in [
        (
            ["--select", "worn_backward"],
            "--select worn_backward: unknown rule or theme worn_backward (did you mean worn_backwards?)",
        ),
        (["--ignore", "wearlog"], "--ignore wearlog: unknown rule or theme wearlog (did you mean wear_log?)"),
        (
            ["--select", "oldest_years"],
            "--select oldest_years: unknown rule or theme oldest_years; it is a limit, so set its value",
        ),
        (
            ["--ignore", "not_json"],
            "--ignore not_json: not_json cannot be off, because an unread record would look valid; it can be a note",
        ),
        (
            ["--ignore", "all"],
            "--ignore all: all cannot be off as a whole, because not_utf8 always runs; turn off its other rules by name",
        ),
        (
            ["--select", "waivers"],
            "--select waivers: waivers is about waivers, not about records: it has no level and cannot be selected",
        ),
        (["--select", ""], "--select : give the name of a rule or theme"),
    ] {
        let printed = folder("").oar(&["check", "a.oar.json", options[0], options[1]]);
        assert_eq!((printed.code, printed.errors), (Some(2), format!("error: {said}\n")), "{options:?}");
    }
    let printed = folder("select = [\"worn_backward\", 3]\nignore = \"plan\"\n").oar(&["check", "a.oar.json"]);
    let said = "error: oar.toml:1:11: unknown rule or theme worn_backward (did you mean worn_backwards?)
error: oar.toml:1:28: a rule is a string in quotes
error: oar.toml:2:10: ignore takes a list of rules and themes, as in ignore = [\"wear_log\", \"moves_too_fast\"]
";
    assert_eq!((printed.code, printed.errors.as_str()), (Some(2), said));
}

#[test]
fn a_narrow_run_neither_reports_stale_acceptance_nor_writes_a_baseline() {
    let folder = folder("");
    assert_eq!(folder.oar(&["check", "a.oar.json", "--write-baseline", "known"]).code, Some(0));
    let narrow = ["check", "a.oar.json", "--baseline", "known", "--select", "wear_log"];
    let printed = folder.oar(&narrow);
    assert!(printed.code == Some(0) && !printed.out.contains("gone"), "{printed:?}");
    std::fs::write(folder.path().join("a.oar.json"), BASE).unwrap();
    assert!(folder.oar(&["check", "a.oar.json", "--baseline", "known"]).out.contains("gone"));
    let printed = folder.oar(&["check", "a.oar.json", "--write-baseline", "new", "--ignore", "wear_log"]);
    assert!(printed.code == Some(2) && printed.errors.contains("leave out --select and --ignore"), "{printed:?}");
    assert!(!folder.path().join("new").exists());
}

#[test]
fn a_selection_holds_for_every_command_with_settings() {
    let folder = folder("");
    let review = |options: &[&str]| folder.oar(&[&["review", "a.oar.json"], options].concat()).code;
    assert_eq!((review(&[]), review(&["--select", "bad_id"])), (Some(1), Some(0)));
    let repair = |options: &[&str]| folder.oar(&[&["repair", "a.oar.json"], options].concat()).code;
    assert_eq!((repair(&[]), repair(&["--ignore", "worn_trays,wear_log"])), (Some(1), Some(0)));
    let shrink = folder.oar(&["shrink", "a.oar.json", "--rule", "worn_backwards", "--select", "bad_id"]);
    assert!(shrink.code == Some(2) && shrink.errors.contains("the rule is off (--select bad_id)"), "{shrink:?}");
}

#[test]
fn exit_zero_turns_1_into_0_and_leaves_2() {
    let folder = folder("");
    let code = |arguments: &[&str]| folder.oar(arguments).code;
    for arguments in [["check", "a.oar.json"], ["repair", "a.oar.json"], ["check", "."]] {
        assert_eq!(code(&arguments), Some(1), "{arguments:?}");
        assert_eq!(code(&[&arguments, ["--exit-zero"].as_slice()].concat()), Some(0), "{arguments:?}");
    }
    assert_eq!(code(&["check", "a.oar.json", "nowhere", "--exit-zero"]), Some(2));
    let good = Folder::with(&[("a.oar.json", BASE.as_bytes()), ("b.oar.json", BACKWARDS.as_bytes())]);
    assert_eq!((good.oar(&["review", "."]).code, good.oar(&["review", ".", "--exit-zero"]).code), (Some(1), Some(0)));
}

#[test]
fn quiet_leaves_findings_and_errors_alone() {
    let folder = folder("");
    let printed = folder.oar(&["check", "a.oar.json", "nowhere", "-q"]);
    assert_eq!((printed.code, printed.out.matches("■ error").count()), (Some(2), 2));
    assert!(!printed.out.contains("2 errors") && !printed.out.contains("oar explain"), "{}", printed.out);
    assert_eq!(printed.errors, "error: nowhere: there is no such file or folder\n");
    let clean = Folder::with(&[("a.oar.json", BASE.as_bytes())]);
    for arguments in [["-q", "check", "."], ["check", "-q", "."], ["check", ".", "--quiet"]] {
        let printed = clean.oar(&arguments);
        assert_eq!((printed.code, printed.out.as_str(), printed.errors.as_str()), (Some(0), "", ""), "{arguments:?}");
    }
    let none = folder.oar(&["check", "a.oar.json", "-q", "--max-findings", "0", "-o", "text", "-o", "brief=brief"]);
    assert_eq!((none.code, none.out.as_str()), (Some(1), ""));
    let whole = folder.oar(&["check", "a.oar.json", "-o", "jsonl"]);
    assert_eq!(folder.oar(&["check", "a.oar.json", "-o", "jsonl", "-q"]), whole);
    assert_eq!(folder.oar(&["repair", "a.oar.json", "-q"]).errors.matches(" error ").count(), 2);
    let made = folder.oar(&["generate", "--patients", "1", "-o", "c.oar.jsonl", "-q"]);
    assert_eq!((made.code, made.out.as_str(), made.errors.as_str()), (Some(0), "", ""));
    let shrunk = folder.oar(&["shrink", "a.oar.json", "--rule", "worn_backwards", "-q", "-o", "d.oar.json"]);
    assert!(shrunk.errors.contains("a person has to read the record"), "{}", shrunk.errors);
    assert!(!shrunk.errors.contains("values removed"), "{}", shrunk.errors);
}
