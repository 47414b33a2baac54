//! `oar.toml`: where it is looked for, what it sets, what goes before what, and what is said of mistakes in it.

use oar_schema::limits::Limits;

use oar_testing::{BACKWARDS, BASE, Folder, Told};

/// A record with the warning `moves_too_fast` and nothing else.
const FAST: &str = include_str!("../../datasets/broken/moves_too_fast.oar.json");

/// A folder with a right record, one that was worn backwards, one that moves too fast, and a configuration.
fn folder(config: &str) -> Folder {
    let records = [("in/a.oar.json", BASE), ("in/b.oar.json", BACKWARDS), ("in/c.oar.json", FAST)];
    let files = records.map(|(name, text)| (name, text.as_bytes()));
    Folder::with(&[files.as_slice(), &[("oar.toml", config.as_bytes())]].concat())
}

/// The level of each finding, as `file level rule`.
fn levels(printed: &Told) -> Vec<String> {
    let word = |one: &serde_json::Value, name: &str| one[name].as_str().unwrap().to_owned();
    let line = |one| [word(one, "file"), word(one, "level"), word(one, "rule")].join(" ");
    printed.lines("finding").iter().map(line).collect()
}

fn checked(config: &str, options: &[&str]) -> Vec<String> {
    levels(&folder(config).oar(&[&["check", "in", "-o", "jsonl", "--no-cross-record"], options].concat()))
}

const BOTH: [&str; 2] = ["in/b.oar.json error worn_backwards", "in/c.oar.json warning moves_too_fast"];

#[test]
fn a_file_that_sets_nothing_changes_nothing() {
    assert_eq!(checked("", &[]), BOTH);
    assert_eq!(checked("[levels]\n[limits]\n", &[]), BOTH);
    let starter = Folder::with(&[]).oar(&["config", "--starter"]);
    assert_eq!(starter.code, Some(0));
    assert_eq!(checked(&starter.out, &[]), BOTH);
}

#[test]
fn every_line_of_the_starter_can_be_put_to_use() {
    let starter = Folder::with(&[]).oar(&["config", "--starter"]).out;
    let used = |line: &str| {
        let setting = line.strip_prefix("# ").filter(|rest| rest.starts_with('[') || rest.contains(" = "));
        setting.unwrap_or(line).to_owned()
    };
    let text: Vec<String> = starter.lines().map(used).collect();
    assert!(text.iter().filter(|line| line.contains(" = ") && !line.starts_with('#')).count() >= 11, "{text:?}");
    let printed = folder(&text.join("\n")).oar(&["config"]);
    assert_eq!((printed.code, printed.errors.as_str()), (Some(0), ""));
    assert!(printed.out.contains("records of quillmere-*\n"), "{}", printed.out);
}

#[test]
fn levels_are_set_for_rules_and_themes_and_a_rule_goes_before_its_theme() {
    assert_eq!(
        checked("[levels]\nworn_backwards = \"note\"\nmoves_too_fast = \"error\"\n", &[]),
        ["in/b.oar.json note worn_backwards", "in/c.oar.json error moves_too_fast"]
    );
    assert_eq!(checked("[levels]\nplan = \"off\"\nworn_trays = \"off\"\n", &[]), [""; 0]);
    assert_eq!(
        checked("[levels]\nplan = \"off\"\nmoves_too_fast = \"note\"\nworn_trays = \"warning\"\n", &[]),
        ["in/b.oar.json warning worn_backwards", "in/c.oar.json note moves_too_fast"]
    );
}

#[test]
fn options_go_before_profiles_and_profiles_before_the_rest() {
    let all = "[levels]\nmoves_too_fast = \"note\"\nworn_trays = \"off\"\n";
    let profile = "[profile.\"quillmere-*\".levels]\nplan = \"error\"\nworn_backwards = \"warning\"\n";
    assert_eq!(checked(all, &[]), ["in/c.oar.json note moves_too_fast"]);
    let both = format!("{all}{profile}");
    assert_eq!(checked(&both, &[]), ["in/b.oar.json warning worn_backwards", "in/c.oar.json error moves_too_fast"]);
    assert_eq!(checked(&both, &["--level", "plan=off"]), ["in/b.oar.json warning worn_backwards"]);
    assert_eq!(checked(&both, &["--level", "worn_trays=off", "--level", "plan=off"]), [""; 0]);
    assert_eq!(checked(&both, &["--no-config"]), BOTH);
}

#[test]
fn limits_are_set_with_or_without_their_unit_for_all_records_or_for_a_system() {
    for limits in
        ["tray_linear_mm = 0.9\ntray_most_mm = 1", "tray_linear_mm = \"0.9 mm\"\ntray_most_mm = \"1 millimetre\""]
    {
        assert_eq!(checked(&format!("[limits]\n{limits}\n"), &[]), BOTH[..1], "{limits}");
        assert_eq!(checked(&format!("[profile.\"*\".limits]\n{limits}\n"), &[]), BOTH[..1], "{limits}");
        assert_eq!(checked(&format!("[profile.another.limits]\n{limits}\n"), &[]), BOTH, "{limits}");
    }
    let wide = "[profile.\"*\".limits]\ntray_linear_mm = 0.9\ntray_most_mm = 1\n";
    assert_eq!(checked(wide, &["--limit", "tray_linear_mm=0.2 mm"])[1..], BOTH[1..]);
}

#[test]
fn the_closest_profile_counts() {
    let profile = |system: &str, level: &str| format!("[profile.\"{system}\".levels]\nmoves_too_fast = \"{level}\"\n");
    let level = |profiles: &[(&str, &str)]| {
        let text: String = profiles.iter().map(|(system, level)| profile(system, level)).collect();
        checked(&format!("[levels]\nworn_backwards = \"off\"\n{text}"), &[]).concat()
    };
    assert!(FAST.contains("\"system\": \"quillmere-chart\""));
    assert_eq!(level(&[("*", "off"), ("quillmere-*", "note")]), "in/c.oar.json note moves_too_fast");
    assert_eq!(
        level(&[("quillmere-chart*", "error"), ("quillmere-chart", "note")]),
        "in/c.oar.json note moves_too_fast"
    );
    assert_eq!(level(&[("quillmere-c*t", "error"), ("l*-chart", "note")]), "in/c.oar.json error moves_too_fast");
    assert_eq!(level(&[("quillmere-*", "error"), ("*ill-chart", "note")]), "in/c.oar.json error moves_too_fast");
    assert_eq!(level(&[("quillmere", "error"), ("Quillmere-chart", "note")]), "in/c.oar.json warning moves_too_fast");
}

#[test]
fn profiles_add_up_and_the_closest_goes_first() {
    let profile =
        |system: &str, rule: &str, level: &str| format!("[profile.\"{system}\".levels]\n{rule} = \"{level}\"\n");
    let found = |profiles: &[(&str, &str, &str)]| {
        let text: String = profiles.iter().map(|(system, rule, level)| profile(system, rule, level)).collect();
        checked(&text, &[])
    };
    // Each of two that fit sets another rule: both count, in whichever order they are written.
    let (all, some) = (("*", "worn_backwards", "note"), ("quillmere-*", "moves_too_fast", "error"));
    for both in [[all, some], [some, all]] {
        assert_eq!(found(&both), ["in/b.oar.json note worn_backwards", "in/c.oar.json error moves_too_fast"]);
    }
    // A rule in a profile goes before its theme in the same profile, not before what a closer one says of the theme.
    let theme = ("quillmere-chart", "plan", "note");
    assert_eq!(found(&[("*", "moves_too_fast", "error"), theme])[1], "in/c.oar.json note moves_too_fast");
    let limits = "[profile.\"*\".limits]\ntray_linear_mm = 0.9\n[profile.quillmere-chart.limits]\ntray_most_mm = 1\n";
    assert_eq!(checked(limits, &[]), BOTH[..1]);
}

#[test]
fn config_shows_what_counts_for_the_records_of_a_profile() {
    let text = "\
[levels]
worn_backwards = \"note\"
[profile.\"*\".levels]
moves_too_fast = \"error\"
bad_id = \"off\"
[profile.\"quillmere-*\".levels]
bad_id = \"note\"
[profile.quillmere-chart.limits]
oldest_years = 98
";
    let printed = folder(text).oar(&["config", "in"]).out;
    let of = |head: &str| {
        let rows = printed.split("\n\n").find(|part| part.starts_with(head)).unwrap().lines().skip(1);
        let cells = rows
            .map(|row| row.split("  ").filter(|cell| !cell.is_empty()).map(str::trim).collect::<Vec<_>>().join(", "));
        cells.collect::<Vec<_>>()
    };
    assert_eq!(
        of("records of *"),
        ["bad_id, off instead of error, oar.toml:5", "moves_too_fast, error instead of warning, oar.toml:4"]
    );
    let some = ["bad_id, note instead of error, oar.toml:7", "moves_too_fast, error instead of warning, oar.toml:4"];
    assert_eq!(of("records of quillmere-*"), some);
    let chart = of("records of quillmere-chart");
    assert_eq!(chart[..2], some);
    assert!(chart.len() == 3 && chart[2].ends_with("oar.toml:9"), "{chart:?}");
}

#[test]
fn a_profile_counts_for_a_record_with_a_wrong_shape_too() {
    let strange = BACKWARDS.replacen("\"arches\": \"both\"", "\"arches\": \"bth\", \"extra_field\": 1", 1);
    let config = "[profile.quillmere-chart.levels]\nunknown_word = \"note\"\nunknown_field = \"off\"\nworn_backwards = \"note\"\n";
    let printed = |config: &str| {
        let files = [("a.oar.json", strange.as_bytes()), ("oar.toml", config.as_bytes())];
        levels(&Folder::with(&files).oar(&["check", ".", "-o", "jsonl"]))
    };
    let without = printed("");
    assert!(without.contains(&"a.oar.json error unknown_word".to_owned()), "{without:?}");
    assert!(without.contains(&"a.oar.json error unknown_field".to_owned()), "{without:?}");
    let with = printed(config);
    assert!(with.contains(&"a.oar.json note unknown_word".to_owned()), "{with:?}");
    assert_eq!(with.len(), without.len() - 1, "{with:?}");
}

#[test]
fn each_record_of_a_file_has_the_settings_of_its_own_system() {
    let one = |system: &str| {
        let record: serde_json::Value = serde_json::from_str(FAST).unwrap();
        record.to_string().replace("quillmere-chart", system)
    };
    let lines = [one("north"), one("south"), one("east"), one("north"), "{\"format\"".to_owned(), one("south")];
    let config = "[levels]\nmoves_too_fast = \"note\"\n[profile.north.levels]\nplan = \"error\"\n[profile.south.levels]\nplan = \"off\"\n";
    let many = format!("{}\n", lines.join("\n")).repeat(40);
    let folder = Folder::with(&[("a.oar.jsonl", many.as_bytes()), ("oar.toml", config.as_bytes())]);
    for threads in ["1", "3"] {
        let printed = folder.oar(&["check", ".", "-o", "jsonl", "--no-cross-record", "--threads", threads]);
        let counts = ["errors", "warnings", "notes"].map(|name| printed.total(name));
        assert_eq!(counts, [80 + 40, 0, 40], "{threads} threads");
    }
    // A rule with findings of several levels is told with the highest one.
    let junit = folder.oar(&["check", ".", "--no-cross-record", "-o", "junit"]).out;
    assert!(
        junit.contains("<testcase name=\"moves_too_fast\" classname=\"a.oar.jsonl\">\n      <failure type=\"error\"")
    );
    let text = folder.oar(&["check", ".", "--no-cross-record", "--max-findings", "0"]).out;
    assert!(text.contains("\n120  ■ error    moves_too_fast\n"), "{text}");
}

#[test]
fn the_fail_level_of_the_file_counts_unless_the_option_is_given() {
    let code =
        |config: &str, options: &[&str]| folder(config).oar(&[&["check", "in/c.oar.json"], options].concat()).code;
    assert_eq!(code("", &[]), Some(0));
    assert_eq!(code("fail_level = \"warning\"\n", &[]), Some(1));
    assert_eq!(code("fail_level = \"warning\"\n", &["--fail-level", "error"]), Some(0));
    assert_eq!(code("fail_level = \"warning\"\n[levels]\nmoves_too_fast = \"note\"\n", &[]), Some(0));
    assert_eq!(code("[levels]\nmoves_too_fast = \"error\"\n", &[]), Some(1));
}

#[test]
fn names_are_included_and_excluded_in_folders() {
    let base = BASE.as_bytes();
    let files = [("in/a.oar.json", base), ("in/b.json", base), ("in/old/c.oar.json", base), ("in/old/d.json", base)];
    let records = |config: &str, options: &[&str]| {
        let folder = Folder::with(&[files.as_slice(), &[("oar.toml", config.as_bytes())]].concat());
        folder.oar(&[&["check", "in", "-o", "jsonl"], options].concat()).total("records")
    };
    assert_eq!(records("", &[]), 2);
    assert_eq!(records("include = [\"*.json\"]\n", &[]), 4);
    assert_eq!(records("exclude = [\"old\"]\n", &[]), 1);
    assert_eq!(records("include = [\"*.json\"]\nexclude = [\"old\"]\n", &[]), 2);
    assert_eq!(records("include = [\"b.*\"]\n", &["--include", "d.json"]), 4);
    assert_eq!(records("include = [\"b.*\"]\n", &["--exclude", "old"]), 2);
    assert_eq!(records("include = [\"b.*\"]\n", &["--exclude", "b*"]), 2);
}

#[test]
fn levels_are_told_in_every_form() {
    let folder = folder("[levels]\nworn_backwards = \"warning\"\nmoves_too_fast = \"note\"\n");
    for (format, said) in [
        ("text", ["▲ warning worn_backwards", "○ note moves_too_fast"]),
        ("brief", ["warning worn_backwards", "note moves_too_fast"]),
        ("junit", ["<failure type=\"warning\"", "<system-out>"]),
        ("github", ["::warning ", "::notice "]),
        ("gitlab", ["\"severity\":\"minor\"", "\"severity\":\"info\""]),
        ("sarif", ["\"level\":\"warning\"", "\"level\":\"note\""]),
    ] {
        let printed = folder.oar(&["check", "in", "--no-cross-record", "-o", format]);
        assert_eq!(printed.code, Some(0), "{format}");
        let plain = printed.out.replace(": ", ":");
        assert!(said.iter().all(|said| plain.contains(said)), "{format}: {}", printed.out);
    }
    assert!(
        folder
            .oar(&["check", "in", "--no-cross-record"])
            .out
            .contains("\n1 warning, 1 note in 2 of 3 records, 3 files\n")
    );
}

#[test]
fn levels_of_rules_that_look_at_files_can_be_changed() {
    let files = |config: &'static str| {
        let marked = [b"\xef\xbb\xbf".as_slice(), BASE.as_bytes()].concat();
        let cut = &BASE.as_bytes()[..BASE.len() / 2];
        Folder::with(&[
            ("in/a.oar.json", &marked),
            ("in/b.oar.json", b""),
            ("in/c.oar.json", cut),
            ("in/d.oar.jsonl", b"{\"a\n{}\n"),
            ("oar.toml", config.as_bytes()),
        ])
    };
    let printed = |config| levels(&files(config).oar(&["check", "in", "-o", "jsonl", "--level", "shape=off"]));
    let before = ["a.oar.json note byte_order_mark", "b.oar.json error nothing_inside", "c.oar.json error cut_short"];
    assert_eq!(printed("")[..3], before.map(|line| format!("in/{line}")));
    assert_eq!(printed("")[3], "in/d.oar.jsonl error not_json");
    let config = "[levels]\nbyte_order_mark = \"off\"\nnothing_inside = \"note\"\ncut_short = \"warning\"\nnot_json = \"note\"\n";
    let after = ["b.oar.json note nothing_inside", "c.oar.json warning cut_short", "d.oar.jsonl note not_json"];
    assert_eq!(printed(config)[..3], after.map(|line| format!("in/{line}")));
}

#[test]
fn levels_of_rules_that_compare_records_can_be_changed() {
    let printed = |config: &str, options: &[&str]| {
        let files = [("in/a.oar.json", BASE), ("in/b.oar.json", BASE), ("oar.toml", config)];
        let folder = Folder::with(&files.map(|(name, text)| (name, text.as_bytes())));
        levels(&folder.oar(&[&["check", "in", "-o", "jsonl"], options].concat()))
    };
    assert_eq!(printed("", &[]), ["in/b.oar.json warning same_record_twice"]);
    assert_eq!(printed("[levels]\nsame_record_twice = \"error\"\n", &[]), ["in/b.oar.json error same_record_twice"]);
    assert_eq!(printed("[levels]\nsame_record_twice = \"error\"\n", &["--no-cross-record"]), [""; 0]);
    assert_eq!(printed("[levels]\ncohort = \"off\"\n", &[]), [""; 0]);
    assert_eq!(
        printed("[levels]\ncohort = \"off\"\n", &["--level", "cohort=note"]),
        ["in/b.oar.json note same_record_twice"]
    );
}

#[test]
fn the_file_is_found_upward_from_the_folder_of_what_is_checked() {
    let fast = FAST.as_bytes();
    let note: &[u8] = b"[levels]\nmoves_too_fast = \"note\"\n";
    let error: &[u8] = b"[levels]\nmoves_too_fast = \"error\"\n";
    let folder = Folder::with(&[
        ("a.oar.json", fast),
        ("north/b.oar.json", fast),
        ("north/deep/c.oar.json", fast),
        ("south/d.oar.json", fast),
        ("oar.toml", note),
        ("north/oar.toml", error),
    ]);
    let level = |paths: &[&str]| {
        let printed = folder.piped(&[&["check", "--no-cross-record", "-o", "jsonl"], paths].concat(), FAST.as_bytes());
        let found: std::collections::BTreeSet<String> =
            levels(&printed).iter().map(|line| line.split(' ').nth(1).unwrap().to_owned()).collect();
        found.into_iter().collect::<Vec<String>>().join(" ")
    };
    assert_eq!(level(&["a.oar.json"]), "note");
    assert_eq!(level(&["south"]), "note");
    assert_eq!(level(&["north"]), "error");
    assert_eq!(level(&["north/deep/c.oar.json"]), "error");
    assert_eq!(level(&["north/b.oar.json", "north/deep"]), "error");
    assert_eq!(level(&["north", "south"]), "note");
    assert_eq!(level(&["south/../north/deep"]), "error");
    assert_eq!(level(&["-"]), "note");
    assert_eq!(level(&["-", "north"]), "note");
    assert_eq!(level(&["a.oar.json", "--config", "north/oar.toml"]), "error");
    assert_eq!(level(&["north", "--no-config"]), "warning");
}

#[test]
fn a_file_that_cannot_be_read_gives_2() {
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes()), ("latin", b"# caf\xe9\n")]);
    let printed = |config: &str| {
        let printed = folder.oar(&["check", "a.oar.json", "--config", config]);
        assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""));
        printed.errors
    };
    assert_eq!(printed("nowhere.toml"), "error: nowhere.toml: there is no such file or folder\n");
    assert_eq!(printed("."), "error: .: it is a folder\n");
    assert_eq!(printed("latin"), "error: latin: byte 6 is not UTF-8\n");
    let both = folder.oar(&["check", "a.oar.json", "--config", "latin", "--no-config"]);
    assert!(both.code == Some(2) && both.errors.contains("cannot be used with"), "{both:?}");
}

#[test]
fn the_file_with_the_settings_is_never_overwritten() {
    let folder = folder("fail_level = \"note\"\n");
    let printed = folder.oar(&["check", "in", "-o", "text=in/../oar.toml"]);
    assert_eq!(printed.errors, "error: in/../oar.toml holds the settings: write findings to another file\n");
    assert_eq!((printed.code, folder.read("oar.toml").as_str()), (Some(2), "fail_level = \"note\"\n"));
}

#[test]
fn config_says_what_is_set_and_where() {
    let text = "\
fail_level = \"warning\"
exclude = [
  \"old\",
]

[levels]
bad_id = \"note\"

[limits]
oldest_years = 95

[profile.\"quillmere-*\"]
limits.oldest_years = 98
levels.bad_id = \"off\"

[profile.north]
";
    let folder = folder(text);
    let printed = folder.oar(&["config", "in", "--level", "very_old=off", "--exclude", "x"]);
    let shown = "\
settings from oar.toml
  fail_level    warning instead of error  oar.toml:1
  exclude       old                       oar.toml:3
  exclude       x                         --exclude x
  bad_id        note instead of error     oar.toml:7
  very_old      off instead of warning    --level very_old=off
  oldest_years  95 instead of OLDEST years    oar.toml:10

records of quillmere-*
  bad_id        off instead of error      oar.toml:14
  oldest_years  98 instead of OLDEST years    oar.toml:13

records of north
  the same as for other records
";
    let shown = shown.replace("OLDEST", &Limits::default().oldest_years.to_string());
    assert_eq!((printed.code, printed.out, printed.errors.as_str()), (Some(0), shown, ""));
    let none = folder.oar(&["config", "--no-config"]);
    assert_eq!(none.out, "no settings file\n  all settings have their defaults\n");
    let mut inside = folder.command(&["config"]);
    let out = inside.current_dir(folder.path().join("in")).output().unwrap().stdout;
    assert!(String::from_utf8(out).unwrap().starts_with("settings from ../oar.toml\n  fail_level"));
}

#[test]
fn config_shows_every_setting_when_asked() {
    let printed = folder("[limits]\noldest_years = 95\n").oar(&["config", "--all"]);
    let rows: Vec<&str> = printed.out.lines().filter(|line| line.starts_with("  ")).collect();
    let (rules, limits) = (open_aligner_record::rules::all().count(), oar_schema::limits::LIMITS.len());
    // Beside these: the edition, the fail level, baseline, waivers, outputs, addresses of pages, what is included, excluded, selected and ignored.
    let signals = open_aligner_record::review::signals::all().count();
    assert_eq!(rows.len(), rules + limits + signals + 10);
    assert_eq!(rows.iter().filter(|row| row.ends_with("  default")).count(), rows.len() - 1);
}

#[test]
fn the_schema_that_is_printed_is_the_one_that_is_checked_in() {
    let printed = Folder::with(&[]).oar(&["config", "--schema"]);
    assert_eq!(printed.out, include_str!("../../schema/config/v1/config.schema.json"));
}
