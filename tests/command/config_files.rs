//! Files that `oar.toml` names: the baseline, the waivers, and where findings are written.

use serde_json::Value;

use oar_testing::{BACKWARDS, BASE, DEMO, Folder, Told, right};

const WAIVERS: &str = "\
[[waiver]]
record = \"QM-0007\"
rule = \"worn_backwards\"
at = \"/wear_periods/*/to\"
reason = \"the paper sheet has the day\"
";

/// A folder `site` with a right record, a broken one, waivers, a folder for reports and a configuration.
fn folder(config: &str) -> Folder {
    let files = [
        ("site/in/a.oar.json", BASE),
        ("site/in/b.oar.json", BACKWARDS),
        ("site/accepted/waivers.toml", WAIVERS),
        ("site/reports/kept.txt", ""),
        ("site/oar.toml", config),
        ("outside.txt", "kept"),
    ];
    Folder::with(&files.map(|(name, text)| (name, text.as_bytes())))
}

/// A check of `site/in` from a folder of the given name.
fn checked_in(folder: &Folder, here: &str, arguments: &[&str]) -> Told {
    let path = if here == "site" { "in" } else { "site/in" };
    let mut command = folder.command(&[&["check", path, "--no-cross-record"], arguments].concat());
    let output = command.current_dir(folder.path().join(here)).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    Told { code: output.status.code(), out: text(output.stdout), errors: text(output.stderr) }
}

fn checked(config: &str, arguments: &[&str]) -> Told {
    checked_in(&folder(config), "", arguments)
}

/// Asks that the first line of a configuration is refused with these words, and that nothing else comes of it.
#[track_caller]
fn is_refused(folder: &Folder, config: &str, said: &str) {
    let printed = checked_in(folder, "", &[]);
    assert_eq!(printed.errors, format!("error: site/oar.toml:1:{said}\n"), "{config}");
    assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""), "{config}");
    assert_eq!(folder.read("outside.txt"), "kept");
}

#[test]
fn waivers_are_those_that_the_file_names_unless_an_option_says_otherwise() {
    let config = "waivers = \"accepted/waivers.toml\"\n";
    assert_eq!(checked("", &[]).code, Some(1));
    for here in ["", "site"] {
        let printed = checked_in(&folder(config), here, &[]);
        assert_eq!((printed.code, printed.errors.as_str()), (Some(0), ""), "{here}");
        assert!(printed.out.contains("1 waived"), "{printed:?}");
    }
    assert_eq!(checked(config, &["--no-waivers"]).code, Some(1));
    assert_eq!(checked(config, &["--no-config"]).code, Some(1));
    // An option goes before the file, and so before what is wrong with what the file names.
    let nowhere = "waivers = \"nowhere.toml\"\n";
    assert_eq!(checked(nowhere, &["--waivers", "site/accepted/waivers.toml"]).code, Some(0));
    let printed = checked(nowhere, &[]);
    assert_eq!(printed.code, Some(2));
    assert_eq!(printed.errors, "error: site/oar.toml:1: waivers: site/nowhere.toml: there is no such file or folder\n");
}

#[test]
fn the_baseline_is_the_one_that_the_file_names_unless_an_option_says_otherwise() {
    let folder = folder("# Written once.\nbaseline = \"known.jsonl\"\n");
    let printed = checked_in(&folder, "", &[]);
    assert_eq!(printed.code, Some(2));
    assert_eq!(
        printed.errors,
        "error: site/oar.toml:2: baseline: site/known.jsonl: there is no such file or folder\n  help: oar check --write-baseline site/known.jsonl writes it\n"
    );
    assert_eq!(checked_in(&folder, "", &["--write-baseline", "site/known.jsonl"]).code, Some(0));
    let printed = checked_in(&folder, "site", &[]);
    assert_eq!((printed.code, printed.errors.as_str()), (Some(0), ""));
    assert!(printed.out.contains("1 in the baseline"), "{printed:?}");
    assert_eq!(checked_in(&folder, "", &["--no-baseline"]).code, Some(1));
    let both = checked_in(&folder, "", &["--no-baseline", "--baseline", "site/known.jsonl"]);
    assert!(both.code == Some(2) && both.errors.contains("cannot be used with"), "{both:?}");
    // It is written anew although it is the one that is read, but is no place for findings.
    assert_eq!(checked_in(&folder, "", &["--write-baseline", "site/known.jsonl"]).code, Some(0));
    let printed = checked_in(&folder, "", &["-o", "jsonl=site/known.jsonl"]);
    assert!(printed.code == Some(2) && printed.errors.contains("holds the baseline"), "{printed:?}");
}

#[test]
fn findings_are_written_where_the_file_says_unless_an_option_says_otherwise() {
    let config = "output = [\"brief\", \"sarif=reports/findings.sarif\", \"jsonl=reports/findings.jsonl\"]\n";
    for here in ["", "site"] {
        let folder = folder(config);
        let printed = checked_in(&folder, here, &[]);
        assert_eq!((printed.code, printed.errors.as_str(), printed.out.lines().count()), (Some(1), "", 1));
        assert!(folder.read("site/reports/findings.sarif").contains("\"worn_backwards\""));
        assert!(folder.read("site/reports/findings.jsonl").contains("\"summary\""));
    }
    let folder = folder(config);
    let printed = checked_in(&folder, "", &["-o", "text"]);
    assert!(printed.out.starts_with('■') && !folder.path().join("site/reports/findings.sarif").exists(), "{printed:?}");
    let printed = checked("output = [\"brief\", \"jsonl=-\"]\n", &[]);
    assert!(
        printed.code == Some(2) && printed.errors.contains("two outputs would go to standard output"),
        "{printed:?}"
    );
    let printed = checked("output = [\"junit=nowhere/report.xml\"]\n", &[]);
    assert_eq!(printed.errors, "error: site/nowhere/report.xml cannot be written: its folder does not exist\n");
}

#[test]
fn other_commands_write_nothing_of_it() {
    let folder = folder("output = [\"jsonl=reports/findings.jsonl\"]\nbaseline = \"nowhere.jsonl\"\n");
    for command in [&["repair", "site/in"][..], &["config", "site/in"], &["edition", "site/in"], &["review", "site/in"]]
    {
        let printed = folder.oar(command);
        assert!(printed.code != Some(2), "{command:?}: {printed:?}");
    }
    assert!(!folder.path().join("site/reports/findings.jsonl").exists());
}

#[test]
fn a_file_outside_the_folder_is_never_written() {
    for (config, said) in [
        (
            "output = [\"text=../outside.txt\"]",
            "11: ../outside.txt is outside the folder of this file: give a file there or below, without ..",
        ),
        (
            "output = [\"text=reports/../../outside.txt\"]",
            "11: reports/../../outside.txt is outside the folder of this file: give a file there or below, without ..",
        ),
        (
            "output = [\"text=/tmp/outside.txt\"]",
            "11: /tmp/outside.txt is an absolute path: write it relative to the folder of this file",
        ),
        (
            "output = [\"text=C:/outside.txt\"]",
            "11: C:/outside.txt is an absolute path: write it relative to the folder of this file",
        ),
        ("output = [\"text=a\\\\outside.txt\"]", "11: a\\outside.txt contains a \\: write / between folders"),
        (
            "output = [\"text=.git/outside.txt\"]",
            "11: .git/outside.txt is hidden: use names that do not begin with a dot",
        ),
        (
            "output = [\"text=Makefile\"]",
            "11: Makefile does not end like a report; such names end in .txt, .log, .json, .jsonl, .sarif, .xml or .csv",
        ),
        ("output = [\"jsonl=in/a.oar.jsonl\"]", "11: in/a.oar.jsonl is the name of a record file: give another name"),
        ("output = [\"text=\"]", "11: no file after the ="),
        (
            "output = [\"txt\"]",
            "11: unknown format txt (did you mean text?); formats are text, brief, jsonl, sarif, junit, github, gitlab, overview, overview-json, overview-csv",
        ),
        (
            "output = \"text\"",
            "10: output takes a list of formats, as in output = [\"text\", \"sarif=findings.sarif\"]",
        ),
        ("output = [3]", "11: a format is a string in quotes"),
        ("baseline = \"/dev/zero\"", "12: /dev/zero is an absolute path: write it relative to the folder of this file"),
        (
            "waivers = \"../waivers.toml\"",
            "11: ../waivers.toml is outside the folder of this file: give a file there or below, without ..",
        ),
        ("baseline = \"\"", "12: the name is empty"),
        ("baseline = 3", "12: baseline takes a string in quotes, as in baseline = \"oar-baseline.jsonl\""),
        (
            "rule_pages = \"docs/{rule}\"",
            "14: docs/{rule} is not an address of rule pages: begin with https:// or http://, and write {rule} for the name of the rule",
        ),
        (
            "rule_pages = \"https://example.org/rules\"",
            "14: https://example.org/rules is not an address of rule pages: begin with https:// or http://, and write {rule} for the name of the rule",
        ),
    ] {
        is_refused(&folder(config), config, said);
    }
}

#[cfg(unix)]
#[test]
fn a_link_that_leads_out_of_the_folder_is_not_followed() {
    use std::os::unix::fs::symlink;
    let site = |config: &str| {
        let folder = folder(config);
        symlink("../..", folder.path().join("site/reports/up")).unwrap();
        symlink("../../outside.txt", folder.path().join("site/reports/link.txt")).unwrap();
        symlink("kept.txt", folder.path().join("site/reports/near.txt")).unwrap();
        symlink("../..", folder.path().join("site/accepted/up")).unwrap();
        std::fs::write(folder.path().join("waivers.toml"), WAIVERS).unwrap();
        folder
    };
    for (config, said) in [
        (
            "output = [\"text=reports/up/outside.txt\"]",
            "output: site/reports/up/outside.txt leads out of the folder of the settings file",
        ),
        (
            "output = [\"text=reports/link.txt\"]",
            "output: site/reports/link.txt leads out of the folder of the settings file",
        ),
        ("output = [\"text=reports/near.txt\"]", "output: site/reports/near.txt is a link: give the file itself"),
        (
            "output = [\"text=reports/up/new.txt\"]",
            "output: site/reports/up/new.txt leads out of the folder of the settings file",
        ),
        (
            "waivers = \"accepted/up/waivers.toml\"",
            "waivers: site/accepted/up/waivers.toml leads out of the folder of the settings file",
        ),
    ] {
        let folder = site(config);
        is_refused(&folder, config, &format!(" {said}"));
        assert!(!folder.path().join("new.txt").exists());
    }
}

#[test]
fn config_shows_the_files_that_are_named() {
    let text = "baseline = \"known.jsonl\"\nwaivers = \"accepted/waivers.toml\"\noutput = [\n  \"text\",\n  \"sarif=reports/findings.sarif\",\n]\nrule_pages = \"https://example.org/{rule}\"\n";
    let printed = folder(text).oar(&["config", "site/in"]);
    let shown = "\
settings from site/oar.toml
  baseline    known.jsonl                   site/oar.toml:1
  waivers     accepted/waivers.toml         site/oar.toml:2
  output      text                          site/oar.toml:4
  output      sarif=reports/findings.sarif  site/oar.toml:5
  rule_pages  https://example.org/{rule}    site/oar.toml:7
";
    assert_eq!((printed.code, printed.out.as_str(), printed.errors.as_str()), (Some(0), shown, ""));
}

#[test]
fn addresses_of_rule_pages_are_in_sarif() {
    let printed = checked("rule_pages = \"https://example.org/rules/{rule}.html\"\n", &["-o", "sarif"]);
    assert!(printed.out.contains("\"helpUri\":\"https://example.org/rules/worn_backwards.html\""), "{}", printed.out);
}

#[test]
fn every_command_that_reads_records_keeps_to_the_largest_one_of_the_file() {
    let config = "[limits]\nlargest_record_kilobytes = 8\n";
    let large = format!("{}\n", right().replacen('{', &format!("{{{}", " ".repeat(8 * 1024)), 1));
    let records = format!("{DEMO}{large}");
    let small = DEMO.lines().filter(|line| line.len() <= 8 * 1024).count();
    assert!((1..12).contains(&small), "{small} of the demo records are small");
    let folder = Folder::with(&[("oar.toml", config.as_bytes()), ("in/a.oar.jsonl", records.as_bytes())]);
    let digests = |arguments: &[&str]| {
        let printed = folder.oar(&[&["digest", "in"], arguments].concat());
        (printed.code, printed.out.lines().count(), printed.errors.matches("too large").count())
    };
    assert_eq!(digests(&[]), (Some(2), small, 13 - small));
    assert_eq!(digests(&["--no-config"]), (Some(0), 13, 0));
    let left_out = |arguments: &[&str]| {
        let printed = folder.oar(&[&["realism", "in", "--min-count", "1", "-o", "json"], arguments].concat());
        assert_eq!(printed.code, Some(0), "{printed:?}");
        let report: Value = serde_json::from_str(&printed.out).unwrap();
        report["cohort"]["left_out"].as_u64().unwrap()
    };
    assert_eq!(left_out(&[]) - left_out(&["--no-config"]), 13 - small as u64);
    let wrong = Folder::with(&[("oar.toml", b"limits = 3\n"), ("a.oar.jsonl", DEMO.as_bytes())]);
    for command in ["digest", "realism"] {
        let printed = wrong.oar(&[command, "a.oar.jsonl"]);
        assert_eq!((printed.code, printed.errors.starts_with("error: oar.toml:1")), (Some(2), true), "{printed:?}");
    }
}

#[test]
fn a_realism_report_does_not_take_the_place_of_its_settings() {
    let folder = Folder::with(&[("oar.toml", b""), ("a.oar.jsonl", DEMO.as_bytes())]);
    let printed = folder.oar(&["realism", "a.oar.jsonl", "-o", "json=oar.toml"]);
    assert_eq!((printed.code, folder.read("oar.toml").as_str()), (Some(2), ""));
    assert!(printed.errors.contains("holds the settings"), "{printed:?}");
}
