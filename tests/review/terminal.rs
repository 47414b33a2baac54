//! One patient, and the worklist, in 80 columns.

use open_aligner_record::review::clinic::Clinic;
use open_aligner_record::review::entry::Entry;
use open_aligner_record::review::signals;
use open_aligner_record::review::text::{CAUTION, patient, worklist};
use serde_json::json;
use unicode_width::UnicodeWidthStr;

use super::{assert_private, changed, day, records, review};
use oar_testing::repository::is_current;
use oar_testing::{BASE, Folder};

fn assert_fits(text: &str, width: usize) {
    for line in text.lines() {
        assert!(line.width() <= width, "{} columns: {line}", line.width());
        assert_eq!(line, line.trim_end(), "no spaces at the end");
    }
}

/// The cautions, whatever the width that they are wrapped to.
fn assert_cautious(text: &str) {
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words(text).ends_with(&words(CAUTION)));
}

/// The part of a text from its title to the next empty line.
fn part<'t>(text: &'t str, title: &str) -> &'t str {
    let at = text.find(&format!("\n{title}")).unwrap() + 1;
    text[at..].split("\n\n").next().unwrap()
}

#[test]
fn the_whole_story_of_the_base_record() {
    let printed = patient(&review(BASE, None), 80);
    is_current("tests/review/base.patient.txt", printed, "cargo test --test review");
}

#[test]
fn every_record_fits_and_prints_no_free_text() {
    for record in records() {
        let review = review(record, None);
        for width in [48, 80, 100] {
            let printed = patient(&review, width);
            assert_fits(&printed, width);
            assert_cautious(&printed);
            assert_private(record, &printed);
        }
    }
}

#[test]
fn every_earlier_day_can_be_told() {
    let first = day("2030-12-20");
    for days in 0..150 {
        let printed = patient(&review(BASE, Some(first.plus_days(days))), 80);
        assert_fits(&printed, 80);
    }
}

#[test]
fn sections_that_are_missing_are_said_to_be_unknown() {
    let bare = changed(|record| {
        let sections = [
            "assessments",
            "deliveries",
            "wear_log",
            "check_ins",
            "attachment_events",
            "appointments",
            "comfort",
            "extensions",
        ];
        for name in sections {
            record.as_object_mut().unwrap().remove(name);
        }
        for series in record["series"].as_array_mut().unwrap() {
            series.as_object_mut().unwrap().remove("attachments");
            series.as_object_mut().unwrap().remove("interproximal_reductions");
        }
    });
    let printed = patient(&review(&bare, None), 80);
    for line in [
        "no wear log on record: hours are unknown",
        "no check-in on record: fit gaps are unknown",
        "the plan of series 1 lists none",
        "visits are not on record",
        "reductions    the plan lists none",
        "wear          unknown: no day is logged",
        "days logged   unknown",
        "lagging       unknown",
        "upper unknown, lower unknown",
    ] {
        let words = printed.split_whitespace().collect::<Vec<_>>().join(" ");
        let line = line.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains(&line), "{line}\n{printed}");
    }
}

#[test]
fn before_the_first_tray_and_after_the_last() {
    let planned = patient(&review(BASE, Some(day("2031-01-20"))), 80);
    assert!(planned.contains("no tray has been worn yet"), "{planned}");
    assert!(planned.contains("state         planned since 2031-01-20"), "{planned}");
    let demo = super::DEMO.lines().next().unwrap();
    let finished = patient(&review(demo, None), 80);
    assert!(finished.contains("finished since 2031-07-07"), "{finished}");
    assert!(!finished.contains("projected end"), "{finished}");
    assert!(finished.contains("retention     from 2031-07-07"), "{finished}");
}

#[test]
fn a_ribbon_is_to_scale_and_tells_what_happened() {
    let printed = patient(&review(BASE, Some(day("2031-03-08"))), 80);
    let trays = part(&printed, "trays");
    assert!(trays.contains("2031-02-03 1──────2──────3──────═══4──────3──\n"), "{trays}");
    let lost = changed(|record| {
        record["wear_periods"][1]["ended"] = json!("lost");
    });
    let printed = patient(&review(&lost, Some(day("2031-03-01"))), 80);
    let trays = part(&printed, "trays");
    assert!(trays.contains("\n             V     c       L     hV"), "{trays}");
    assert!(printed.contains("L tray lost"), "{printed}");
}

#[test]
fn a_day_without_an_entry_stays_unknown() {
    let printed = patient(&review(BASE, None), 80);
    let wear = part(&printed, "wear");
    assert!(wear.contains("2031-03-17     ·     ·     ·     ·     ·     · ▓20.9  20.9  1"), "{wear}");
    assert!(wear.contains("2031-05-05     ·     ·     ·     ·     ·     ·\n"), "{wear}");
}

#[test]
fn a_tooth_that_lags_and_an_attachment_that_is_off_are_drawn() {
    let printed = patient(&review(BASE, Some(day("2031-03-06"))), 80);
    let teeth = part(&printed, "teeth");
    let row = |name: &str| teeth.lines().find(|line| line.starts_with(&format!("  {name}"))).unwrap().to_owned();
    let columns = |name: &str| row(name).chars().collect::<Vec<_>>();
    let at = columns("tooth").windows(2).position(|two| two == ['2', '2']).unwrap();
    assert_eq!(columns("gap mm")[at..at + 4], ['1', '.', '1', '*'], "{teeth}");
    assert_eq!(columns("upper")[at + 1], '◇', "{teeth}");
    assert!(teeth.contains("lagging       22 (2 check-ins in a row)"), "{teeth}");
}

#[test]
fn the_worklist_fits_and_names_each_record_and_signal() {
    let (mut list, mut clinic) = (Vec::new(), Clinic::default());
    for record in records() {
        let review = review(record, None);
        clinic.add(&review, &[]);
        list.push(Entry::of(&review));
    }
    list.sort_by(Entry::order);
    let printed = worklist(&list, list.len() as u64, &clinic, 80);
    assert_fits(&printed, 80);
    assert_cautious(&printed);
    for entry in &list {
        assert!(printed.contains(&entry.id), "{}", entry.id);
    }
    let raised = signals::all().filter(|signal| clinic.signals.contains_key(signal.name));
    raised.for_each(|signal| assert!(printed.contains(signal.name), "{}", signal.name));
    assert!(printed.lines().nth(1).unwrap().starts_with(&format!("{} records: ", list.len())), "{printed}");
}

#[test]
fn one_record_is_told_in_full_by_the_command() {
    let folder = Folder::with(&[("a.oar.json", BASE.as_bytes())]);
    let printed = folder.oar(&["review", "a.oar.json"]);
    assert_eq!((printed.code, printed.errors.as_str()), (Some(0), ""));
    assert!(printed.out.starts_with("record QM-0007 of patient P-0007 on 2031-05-10\n"), "{}", printed.out);
}
