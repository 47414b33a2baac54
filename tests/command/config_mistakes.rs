//! Mistakes in `oar.toml` and in options that set what it sets: each is told with its place and what is probably meant.

use oar_testing::{BASE, Folder};

/// A folder with a right record and a configuration.
fn folder(config: &str) -> Folder {
    Folder::with(&[("in/a.oar.json", BASE.as_bytes()), ("oar.toml", config.as_bytes())])
}

/// Each line with a mistake, and what is said of it after the name of the file and the line.
const MISTAKES: &[(&str, &str)] = &[
    ("edition = 7", "11: there is no edition 7 of the rules; the only one is 1"),
    ("edition = \"1\"", "11: edition takes a whole number, as in edition = 1"),
    (
        "fail_lvel = \"note\"",
        "1: unknown key fail_lvel (did you mean fail_level?); keys are edition, fail_level, baseline, waivers, output, rule_pages, include, exclude, select, ignore, levels, limits, signals, profile",
    ),
    (
        "fail_level = \"warnin\"",
        "14: unknown level warnin (did you mean warning?); give error, warning, note, or one of them with \",partial\" after it",
    ),
    ("fail_level = \"off\"", "14: fail_level cannot be off; it is note, warning or error"),
    ("fail_level = 3", "14: fail_level takes a string in quotes, as in fail_level = \"warning\""),
    ("exclude = \"old\"", "11: exclude takes a list of names, as in exclude = [\"old\", \"*.bak.*\"]"),
    ("exclude = [\"x\", 3]", "17: a name is a string in quotes"),
    (
        "exclude = [\"in/old\"]",
        "12: in/old is a path, but exclude takes the names of files and folders in any place; write \"old\"",
    ),
    ("include = [\"\"]", "12: the name is empty"),
    ("tray_skipped = \"off\"", "1: tray_skipped belongs under [levels]"),
    ("oldest_years = 95", "1: oldest_years belongs under [limits]"),
    ("levels = 3", "10: levels is a table: write [levels] on a line and its entries below"),
    ("levels.moves_to_fast = \"off\"", "8: unknown rule or theme moves_to_fast (did you mean moves_too_fast?)"),
    ("levels.wearlog = \"off\"", "8: unknown rule or theme wearlog (did you mean wear_log?)"),
    ("levels.qqqq = \"off\"", "8: unknown rule or theme qqqq"),
    ("levels.oldest_years = \"off\"", "8: unknown rule or theme oldest_years; it is a limit, so set its value"),
    ("levels.teeth = \"eror\"", "16: unknown level eror (did you mean error?); levels are error, warning, note, off"),
    ("levels.teeth = false", "16: teeth takes a string in quotes, as in teeth = \"off\""),
    (
        "levels.not_json = \"off\"",
        "8: not_json cannot be off, because an unread record would look valid; it can be a note",
    ),
    (
        "levels.file = \"off\"",
        "8: file cannot be off as a whole, because not_utf8 always runs; turn off its other rules by name",
    ),
    ("limits.oldest_year = 95", "8: unknown limit oldest_year (did you mean oldest_years?)"),
    ("limits.qqqq = 95", "8: unknown limit qqqq"),
    ("limits.tray_skipped = 95", "8: unknown limit tray_skipped; it is a rule, so set its level"),
    ("limits.tray_linear_um = 250", "8: unknown limit tray_linear_um; tray_linear_mm is in mm; write 0.25 mm"),
    (
        "limits.longest_tray_weeks = 8",
        "8: unknown limit longest_tray_weeks; longest_tray_days is in days; write 56 days",
    ),
    (
        "limits.tray_linear_mm = \"250 um\"",
        "25: 250 um has the wrong unit: the limit tray_linear_mm is in mm; write 0.25 mm",
    ),
    (
        "limits.tray_tip_deg = \"0.05 rad\"",
        "23: 0.05 rad has the wrong unit: the limit tray_tip_deg is in degrees; write 2.86 degrees",
    ),
    ("limits.oldest_years = \"90 mm\"", "23: 90 mm has the wrong unit: the limit oldest_years is in years"),
    (
        "limits.oldest_years = \"90 yeers\"",
        "23: unknown unit yeers (did you mean years?); the limit oldest_years is in years",
    ),
    ("limits.oldest_years = \"90 xyz\"", "23: unknown unit xyz; the limit oldest_years is in years"),
    ("limits.oldest_years = \"old\"", "23: old is not a number for the limit oldest_years"),
    ("limits.oldest_years = 0x5a", "23: oldest_years takes a number, or a number and its unit in quotes"),
    (
        "limits.oldest_years = 90.5",
        "23: 90.5 has too many decimal places for the limit oldest_years, which takes whole numbers",
    ),
    (
        "limits.tray_tip_deg = 2.555",
        "23: 2.555 has too many decimal places for the limit tray_tip_deg, which takes two decimals",
    ),
    ("limits.tray_tip_deg = \"0,3\"", "23: 0,3 is not a number for the limit tray_tip_deg"),
    ("limits.tray_tip_deg = \"0,3 degrees\"", "23: 0,3 degrees is not a number for the limit tray_tip_deg"),
    (
        "limits.oldest_years = 99999999999999999999999999",
        "23: 99999999999999999999999999 is outside 60 to 120 years, the range of the limit oldest_years",
    ),
    ("limits.oldest_years = 1e3", "23: 1000 is outside 60 to 120 years, the range of the limit oldest_years"),
    ("limits.tray_linear_mm = 7.00", "25: 7 is outside 0.05 to 1 mm, the range of the limit tray_linear_mm"),
    ("limits.oldest_years = \"\"", "23: the limit oldest_years needs a value, as in 99"),
    (
        "exclude = [\"**/old/**\"]",
        "12: **/old/** is a path, but exclude takes the names of files and folders in any place; write \"old\"",
    ),
    ("limits.oldest_years = 150", "23: 150 is outside 60 to 120 years, the range of the limit oldest_years"),
    ("limits.tray_linear_mm = -0.1", "25: -0.1 is outside 0.05 to 1 mm, the range of the limit tray_linear_mm"),
    ("profile = 3", "1: give each profile its own table, as in [profile.\"quillmere-chart\".levels]"),
    ("profile.north = 3", "17: a profile is a table, as in [profile.\"north\".levels]"),
    ("profile.north.level.plan = \"off\"", "15: unknown key level (did you mean levels?); keys are levels, limits"),
    ("profile.north.levels.plann = \"off\"", "22: unknown rule or theme plann (did you mean plan?)"),
    ("profile.\"\".levels.plan = \"off\"", "9: the name of the system is empty; * matches any"),
    (
        "profile.\"north wing\".levels.plan = \"off\"",
        "9: invalid system name north wing: use A-Z a-z 0-9 . _ : - (and * for any text)",
    ),
    (
        "profile.north.levels.not_json = \"note\"",
        "22: not_json cannot be set in a profile, because it runs before the system is known; set it for all records",
    ),
    (
        "profile.north.levels.cohort = \"off\"",
        "22: cohort cannot be set in a profile, because it compares records that several systems may have written; set it for all records",
    ),
    (
        "profile.north.levels.file = \"note\"",
        "22: file cannot be set in a profile, because not_utf8 runs before the system is known; set its other rules by name",
    ),
    (
        "profile.north.limits.largest_record_kilobytes = 5",
        "22: largest_record_kilobytes cannot be set in a profile, because it runs before the system is known; set it for all records",
    ),
    ("levels", "7: invalid TOML: key with no value, expected `=`"),
    ("fail_level = \"note\"\nfail_level = \"note\"", "1: invalid TOML: duplicate key fail_level"),
];

#[test]
fn each_mistake_is_told_with_its_place_and_what_is_probably_meant() {
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes())]);
    for (line, said) in MISTAKES {
        std::fs::write(folder.path().join("oar.toml"), format!("# a comment: ü\n{line}\n")).unwrap();
        let printed = folder.oar(&["check", "a.oar.json"]);
        let at = 1 + line.lines().count();
        assert_eq!(printed.errors, format!("error: oar.toml:{at}:{said}\n"), "{line}");
        assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""), "{line}");
    }
}

#[test]
fn a_limit_takes_each_way_to_write_a_number_that_loses_nothing() {
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes())]);
    for limit in
        ["tray_rotation_deg=3e0", "tray_rotation_deg=3.000", "tray_rotation_deg=3.000 degrees", "oldest_years=99y"]
    {
        let printed = folder.oar(&["check", "a.oar.json", "--limit", limit]);
        assert_eq!(printed.errors, "", "{limit}");
    }
    let printed = folder.oar(&["check", "a.oar.json", "--level", "=off"]);
    assert!(printed.errors.contains("give the name of a rule or theme"), "{}", printed.errors);
}

#[test]
fn all_mistakes_are_told_at_once_in_the_order_of_the_text() {
    let printed =
        folder("fail_level = 3\n[levels]\nplann = \"off\"\n[limits]\noldest_year = 3\n").oar(&["check", "in"]);
    let lines: Vec<&str> = printed.errors.lines().map(|line| line.split(": ").nth(1).unwrap()).collect();
    assert_eq!(lines, ["oar.toml:1:14", "oar.toml:3:1", "oar.toml:5:1"]);
}

#[test]
fn wrong_options_name_what_is_meant() {
    for (options, said) in [
        (
            ["--level", "moves_to_fast=off"],
            "--level moves_to_fast=off: unknown rule or theme moves_to_fast (did you mean moves_too_fast?)",
        ),
        (
            ["--level", "plan=of"],
            "--level plan=of: unknown level of (did you mean off?); levels are error, warning, note, off",
        ),
        (["--level", "plan"], "--level plan: write it as RULE=LEVEL"),
        (
            ["--level", "cut_short=off"],
            "--level cut_short=off: cut_short cannot be off, because an unread record would look valid; it can be a note",
        ),
        (["--edition", "0"], "--edition 0: there is no edition 0 of the rules; the only one is 1"),
        (["--edition", "new"], "--edition new: there is no edition new of the rules; the only one is 1"),
        (
            ["--limit", "tray_linear_mm=250 um"],
            "--limit tray_linear_mm=250 um: 250 um has the wrong unit: the limit tray_linear_mm is in mm; write 0.25 mm",
        ),
    ] {
        let printed = folder("").oar(&["check", "in", options[0], options[1]]);
        assert_eq!((printed.code, printed.errors), (Some(2), format!("error: {said}\n")));
    }
}

#[test]
fn a_limit_without_a_digit_is_no_number() {
    let folder = Folder::with(&[]);
    for given in ["", "-", "+", "."] {
        let printed = folder.oar(&["config", "--limit", &format!("space_when_irregular_mm={given}")]);
        assert!(
            printed.code == Some(2)
                && ["is not a number", "needs a value"].iter().any(|said| printed.errors.contains(said)),
            "{given}: {printed:?}"
        );
    }
}

#[test]
fn a_path_that_is_not_there_has_no_settings() {
    let printed = Folder::with(&[("oar.toml", b"")]).oar(&["config", "nope"]);
    assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""));
    assert_eq!(printed.errors, "error: nope: there is no such file or folder\n");
}
