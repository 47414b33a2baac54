//! The letter to the patient.

use open_aligner_record::review::letter::{TEXT, letter, names};
use open_aligner_record::review::signals;
use serde_json::json;
use unicode_width::UnicodeWidthStr;

use super::{assert_private, changed, day, records, review};
use oar_testing::repository::is_current;
use oar_testing::{BASE, DEMO, Folder};

fn filled(text: &str) -> Result<String, String> {
    letter(&review(BASE, None), text)
}

/// The letter of a record with the words of a paragraph on one line.
fn words(record: &str, on: &str) -> String {
    let letter = letter(&review(record, Some(day(on))), TEXT).unwrap();
    letter.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_letter_of_the_base_record() {
    is_current("tests/review/base.letter.txt", filled(TEXT).unwrap(), "cargo test --test review");
}

#[test]
fn every_letter_is_whole_and_has_no_clinical_words() {
    for record in records() {
        let letter = letter(&review(record, None), TEXT).unwrap();
        assert!(letter.lines().all(|line| line.width() <= 80));
        assert!(letter.contains("clinic: ____\n"));
        assert!(letter.contains("not a medical device"));
        assert!(!letter.contains(['{', '}', '_']) || !letter.replace("____", "").contains(['{', '}', '_']), "{letter}");
        assert!(!letter.contains(" mm") && !letter.contains('%'), "{letter}");
        assert!(signals::all().all(|signal| !letter.contains(signal.name)));
        assert_private(record, &letter);
    }
}

#[test]
fn a_treatment_that_is_over_or_waits_gets_no_advice_about_trays() {
    for record in DEMO.lines() {
        let review = review(record, None);
        let active = review.record.status.state == open_aligner_record::record::State::Active;
        let letter = letter(&review, TEXT).unwrap();
        assert_eq!(letter.contains("How to care for your trays"), active, "{letter}");
        assert_eq!(letter.contains("When to call us"), active, "{letter}");
    }
}

#[test]
fn a_change_day_is_told_only_when_nothing_speaks_against_it() {
    assert!(words(BASE, "2031-05-10").contains("the change to tray 4 for Monday 12 May 2031"));
    let held = words(BASE, "2031-02-24");
    assert!(
        held.contains("keep tray 3 in until Thursday 27 February 2031") && !held.contains("sets the change"),
        "{held}"
    );
    let seen = words(BASE, "2031-04-30");
    assert!(seen.contains("We asked to see you") && !seen.contains("sets the change"), "{seen}");
    let back = changed(|record| {
        record["check_ins"].as_array_mut().unwrap().push(json!({
            "at": "2031-05-09T18:00:00+02:00", "series": 1, "tray": 3, "mode": "remote",
            "decision": {"kind": "step_back", "to_tray": 2}
        }));
    });
    let back = words(&back, "2031-05-10");
    assert!(back.contains("go back to tray 2") && !back.contains("sets the change"), "{back}");
    let late = words(BASE, "2031-05-03");
    assert!(late.contains("was to be changed by Thursday 1 May 2031") && !late.contains("sets the change"), "{late}");
    let open = changed(|record| {
        record["series"][1]["interproximal_reductions"] = json!([
            {"between": [11, 21], "amount_mm": 0.2, "before_tray": 4}
        ]);
    });
    let open = words(&open, "2031-05-10");
    assert!(open.contains("a step for us to do before the next tray") && !open.contains("sets the change"), "{open}");
    let missing = changed(|record| record["deliveries"][2]["to_tray"] = json!(3));
    let missing = words(&missing, "2031-05-10");
    assert!(missing.contains("do not have tray 4 yet") && !missing.contains("sets the change"), "{missing}");
}

#[test]
fn care_for_attachments_is_told_only_when_there_are_some() {
    assert!(words(BASE, "2031-05-10").contains("How to care for your attachments"));
    let without = changed(|record| {
        record.as_object_mut().unwrap().remove("attachment_events");
        record["check_ins"][2].as_object_mut().unwrap().remove("attachments_debonded");
    });
    let without = words(&without, "2031-05-10");
    assert!(!without.contains("attachment"), "{without}");
}

#[test]
fn a_text_of_ones_own() {
    let text = "{?active, no hold_day} Tray {tray}, then {next_tray}.\n\n\n{?hold_day} Wait.\n{?no active} No.\n{hold_day}\n{{x}}\n";
    assert_eq!(filled(text).unwrap(), "Tray 3, then 4.\n\n{x}\n");
}

#[test]
fn mistakes_in_a_text_are_told_with_the_nearest_name() {
    let wrong = |text: &str| filled(text).unwrap_err();
    assert_eq!(
        wrong("a\n{nxt_tray}"),
        "letter text, line 2: {nxt_tray} is no place of a letter (did you mean {next_tray}?)"
    );
    assert_eq!(wrong("{?actve} a"), "letter text, line 1: {actve} is no place of a letter (did you mean {active}?)");
    assert_eq!(
        wrong("{zzzzzzzz}"),
        "letter text, line 1: {zzzzzzzz} is no place of a letter; docs/how-to/review.md lists them"
    );
    assert!(wrong("{active}").contains("it is a condition, as in {?active}"));
    assert!(wrong("{tray").contains("`{` has no `}`"));
    assert!(wrong("{?tray").contains("`{?` has no `}`"));
    assert!(wrong("tray}").contains("`}` has no `{`"));
    assert!(wrong("x {?active} y").contains("belongs at the start of a line"));
    assert!(wrong("{?paused} {nxt_tray}").contains("next_tray"), "lines that are left out are looked at too");
}

#[test]
fn the_page_lists_every_name_and_no_other() {
    let page = include_str!("../../docs/how-to/review.md");
    let section = page.split("\n## ").find(|part| part.starts_with("The letter")).unwrap();
    let rows = |text: bool| names().filter(move |(.., has_text)| *has_text == text);
    let listed: Vec<String> = section.lines().filter(|line| line.starts_with("| `")).map(str::to_owned).collect();
    let expected: Vec<String> =
        [true, false].into_iter().flat_map(rows).map(|(name, says, _)| format!("| `{name}` | {says} |")).collect();
    assert_eq!(listed, expected);
}

#[test]
fn the_command_writes_a_letter_for_one_record_only() {
    let folder = Folder::with(&[
        ("a.oar.json", BASE.as_bytes()),
        ("all.oar.jsonl", DEMO.as_bytes()),
        ("mine.txt", b"tray {tray}\n"),
        ("wrong.txt", b"{trey}\n"),
    ]);
    let run = |arguments: &[&str]| folder.oar(arguments);
    let own = run(&["review", "-o", "letter", "--letter-text", "mine.txt", "a.oar.json"]);
    assert_eq!((own.code, own.out.as_str()), (Some(0), "tray 3\n"));
    let wrong = run(&["review", "-o", "letter", "--letter-text", "wrong.txt", "a.oar.json"]);
    assert_eq!(wrong.code, Some(2));
    assert!(wrong.errors.contains("did you mean {tray}?"), "{}", wrong.errors);
    assert_eq!(run(&["review", "-o", "letter", "all.oar.jsonl"]).code, Some(2));
}
