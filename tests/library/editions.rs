//! Editions of the rules, on a made-up table of changes: there is only one edition yet.

use open_aligner_record::edition_changes::compare;
use open_aligner_record::limits::{LIMITS, Limits};
use open_aligner_record::read::inputs::Input;
use open_aligner_record::rule::Level;
use open_aligner_record::run::Options;
use open_aligner_record::settings::editions::{Change, Editions};
use open_aligner_record::settings::{Settings, Switch};
use open_aligner_record::{Checker, config, rules};

/// As if edition 2 had raised `worn_backwards` from a note to a warning and added `moves_too_fast`, and edition 3 had raised
/// the one again, changed a limit of the other and added a limit.
const MADE_UP: Editions = Editions {
    newest: 3,
    changes: &[
        (2, Change::Level("worn_backwards", Level::Note)),
        (2, Change::Rule("moves_too_fast")),
        (3, Change::Level("worn_backwards", Level::Warning)),
        (3, Change::Limit("tray_linear_mm", 24)),
        (3, Change::NewLimit("oldest_years", 120)),
    ],
};

const BACKWARDS: &[u8] = oar_testing::BACKWARDS.as_bytes();
const FAST: &[u8] = include_bytes!("../../datasets/broken/moves_too_fast.oar.json");

fn settings(edition: u32) -> Settings {
    let mut settings = Settings::default();
    (settings.edition, settings.editions) = (Some(edition), MADE_UP);
    settings
}

fn found(settings: &Settings, record: &[u8]) -> Vec<(&'static str, Level)> {
    Checker::with_settings(settings).check(record).iter().map(|one| (one.rule.name, one.level)).collect()
}

#[test]
fn a_pinned_edition_brings_back_its_rules_levels_and_limits() {
    for (edition, level) in [(1, Level::Note), (2, Level::Warning), (3, Level::Error)] {
        assert_eq!(found(&settings(edition), BACKWARDS), [("worn_backwards", level)], "edition {edition}");
        let limits = Checker::with_settings(&settings(edition)).limits().clone();
        let newest = edition == 3;
        assert_eq!(
            (limits.tray_linear_mm, limits.oldest_years),
            if newest { (Limits::default().tray_linear_mm, Limits::default().oldest_years) } else { (24, 120) }
        );
        let fast = if edition == 1 { vec![] } else { vec![("moves_too_fast", Level::Warning)] };
        assert_eq!(found(&settings(edition), FAST), fast, "edition {edition}");
    }
    let mut newest = settings(1);
    newest.edition = None;
    assert_eq!(newest.edition(), 3);
}

#[test]
fn what_is_set_goes_before_an_edition_but_a_rule_that_was_not_there_does_not_run() {
    let mut old = settings(1);
    old.everywhere.set_level("worn_backwards", Switch::At(Level::Error)).unwrap();
    old.everywhere.set_level("plan", Switch::At(Level::Error)).unwrap();
    old.everywhere.set_limit("tray_linear_mm", "0.3").unwrap();
    assert_eq!(found(&old, BACKWARDS), [("worn_backwards", Level::Error)]);
    assert_eq!(found(&old, FAST), []);
    assert_eq!(Checker::with_settings(&old).limits().tray_linear_mm, 30);
}

#[test]
fn the_list_of_an_older_edition_is_that_of_the_newest_with_the_changes_taken_back() {
    let [one, two, three] = [1, 2, 3].map(|edition| MADE_UP.list(edition));
    assert_eq!(three, Editions::OURS.list(1), "nothing is taken back from the newest");
    assert_eq!(three.lines().count(), rules::all().count() + LIMITS.len());
    let differing = |old: &str, new: &str| -> Vec<String> {
        let lacks = |text: &str, line: &str| !text.lines().any(|other| other == line);
        let gone = old.lines().filter(|line| lacks(new, line)).map(|line| format!("-{line}"));
        gone.chain(new.lines().filter(|line| lacks(old, line)).map(|line| format!("+{line}"))).collect()
    };
    assert_eq!(differing(&one, &two), ["-worn_backwards note", "+moves_too_fast warning", "+worn_backwards warning"]);
    let third = [
        "-worn_backwards warning",
        "-tray_linear_mm 0.24 mm",
        "+worn_backwards error",
        "+tray_linear_mm 0.25 mm",
        &format!("+oldest_years {} years", Limits::default().oldest_years),
    ];
    assert_eq!(differing(&two, &three), third);
}

#[test]
fn two_editions_are_compared_finding_by_finding() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        Input::File(path)
    };
    let fast = String::from_utf8(FAST.to_vec()).unwrap();
    let lines: Vec<String> =
        [BACKWARDS, FAST].map(|text| serde_json::from_slice::<serde_json::Value>(text).unwrap().to_string()).to_vec();
    let inputs = [write("z.oar.json", fast.as_bytes()), write("a.oar.jsonl", lines.join("\n").as_bytes())];
    let options = |edition| Options::default().settings(settings(edition)).across(false);
    let printed = |before, after| {
        let text = compare(&inputs, &options(before), &options(after)).unwrap().to_string();
        let folder = format!("{}/", folder.path().display());
        text.replace(&folder, "").lines().map(|line| line.split(" /").next().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let at = |line: &str| line.split_whitespace().filter(|word| !word.ends_with(':')).collect::<Vec<_>>().join(" ");
    let shown = |before, after| printed(before, after).iter().map(|line| at(line)).collect::<Vec<_>>();
    assert_eq!(
        shown(1, 2),
        [
            "new warning moves_too_fast",
            "changed warning instead of note worn_backwards",
            "new warning moves_too_fast",
            "2 new, 0 gone, 1 3 findings instead of 1 in 3 records",
        ]
    );
    assert_eq!(shown(3, 1)[1], "changed note instead of error worn_backwards");
    assert!(shown(3, 1)[0].starts_with("gone warning moves_too_fast"), "{:?}", shown(3, 1));
    assert_eq!(shown(2, 2), ["0 new, 0 gone, 0 3 findings instead of 3 in 3 records"]);
    // The limit that the finding names changed too.
    let mut strict = options(3);
    strict.settings.everywhere.set_limit("tray_linear_mm", "0.2").unwrap();
    let differences = compare(&inputs[..1], &options(3), &strict).unwrap();
    assert!(differences.count("changed") > 0 && differences.all.iter().any(|one| one.rule() == "moves_too_fast"));
}

#[test]
fn every_change_names_what_is_there_and_stands_in_order() {
    for editions in [Editions::OURS, MADE_UP] {
        assert!(editions.changes.is_sorted_by_key(|(edition, _)| *edition));
        for (edition, change) in editions.changes {
            assert!((2..=editions.newest).contains(edition), "{edition}: the first edition changes nothing");
            let known = match change {
                Change::Rule(name) | Change::Level(name, _) => rules::find(name).is_some(),
                Change::Limit(name, _) | Change::NewLimit(name, _) => LIMITS.iter().any(|limit| limit.name == *name),
            };
            assert!(known, "{change}");
        }
    }
    const { assert!(Editions::OURS.newest <= Editions::PUBLISHED + 1, "one edition is in the making at most") };
}

#[test]
fn a_file_pins_an_edition() {
    let config = config::read("edition = 1\n", "oar.toml").unwrap();
    assert_eq!(config.settings.edition, Some(1));
}
