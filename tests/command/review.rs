//! `oar review`: the worklist, its formats and choices, and what is refused.

use serde_json::Value;

use oar_testing::{BACKWARDS, BASE, Folder};

/// A folder with the base record and one that has an error.
fn clinic() -> Folder {
    Folder::with(&[("a.oar.json", BASE.as_bytes()), ("b.oar.json", BACKWARDS.as_bytes())])
}

fn lines(text: &str) -> Vec<Value> {
    text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

#[test]
fn records_with_errors_are_left_out_and_counted() {
    let printed = clinic().oar(&["review", "."]);
    assert_eq!((printed.code, printed.errors.as_str()), (Some(1), ""));
    assert!(printed.out.contains("1 record has errors and was skipped: oar check reports them\n"), "{}", printed.out);
    let right = clinic().oar(&["review", "a.oar.json"]);
    assert_eq!(right.code, Some(0));
}

#[test]
fn programs_are_told_signals_with_their_fields_and_the_values() {
    let printed = clinic().oar(&["review", "-o", "jsonl", "."]);
    let lines = lines(&printed.out);
    assert_eq!(lines.len(), 1);
    let entry = &lines[0];
    assert_eq!((&entry["id"], &entry["record"], &entry["file"]), (&"QM-0007".into(), &1.into(), &"a.oar.json".into()));
    assert_eq!((&entry["series"], &entry["tray"], &entry["trays"]), (&1.into(), &3.into(), &4.into()));
    assert_eq!(entry["values"]["tray_due"], "2031-05-12");
    let names: Vec<&Value> = entry["signals"].as_array().unwrap().iter().map(|signal| &signal["signal"]).collect();
    assert_eq!(names, ["wear_log_stopped", "rescan_due"]);
    let record: Value = serde_json::from_str(BASE).unwrap();
    for signal in entry["signals"].as_array().unwrap() {
        for field in signal["fields"].as_array().unwrap() {
            assert!(record.pointer(field.as_str().unwrap()).is_some(), "{field}");
        }
    }
}

#[test]
fn an_earlier_day_has_what_was_known_then() {
    let printed = clinic().oar(&["review", "--as-of", "2031-03-07", "-o", "jsonl", "a.oar.json"]);
    let entry = &lines(&printed.out)[0];
    assert_eq!((&entry["day"], &entry["tray"]), (&"2031-03-07".into(), &3.into()));
    let first = &entry["signals"][0];
    assert_eq!((&first["signal"], &first["priority"]), (&"lagging_tooth".into(), &"this_week".into()));
    let later = clinic().oar(&["review", "--as-of", "2033-01-01", "-o", "jsonl", "a.oar.json"]);
    assert_eq!(lines(&later.out)[0]["day"], "2031-05-10", "nothing is known after the export");
}

#[test]
fn priorities_are_set_by_the_file_and_by_options() {
    let folder = clinic();
    let priority = |folder: &Folder, more: &[&str]| {
        let printed = folder.oar(&[&["review", "-o", "jsonl", "a.oar.json"], more].concat());
        lines(&printed.out)[0]["priority"].clone()
    };
    assert_eq!(priority(&folder, &[]), "next_contact");
    assert_eq!(priority(&folder, &["--priority", "rescan_due=today"]), "today");
    std::fs::write(
        folder.path().join("oar.toml"),
        "[signals]\nrescan_due = \"off\"\nwear_log_stopped = \"this_week\"\n",
    )
    .unwrap();
    assert_eq!(priority(&folder, &[]), "this_week");
    assert_eq!(priority(&folder, &["--priority", "wear_log_stopped=off"]), Value::Null);
    assert_eq!(priority(&folder, &["--no-config", "--limit", "silent_days=60"]), "next_contact");
    for (text, said) in [
        ("rescan_du = \"off\"", "unknown signal rescan_du (did you mean rescan_due?)"),
        ("rescan_due = \"later\"", "unknown priority later"),
    ] {
        std::fs::write(folder.path().join("oar.toml"), format!("[signals]\n{text}\n")).unwrap();
        let printed = folder.oar(&["review", "a.oar.json"]);
        assert!(printed.code == Some(2) && printed.errors.contains(said), "{}", printed.errors);
    }
}

#[test]
fn records_are_chosen_by_id_signal_and_rank() {
    let folder = clinic();
    let count = |more: &[&str]| {
        let printed = folder.oar(&[&["review", "-o", "jsonl", "a.oar.json"], more].concat());
        printed.out.lines().count()
    };
    assert_eq!(count(&["--patient", "P-0007"]), 1);
    assert_eq!(count(&["--signal", "rescan_due"]), 1);
    assert_eq!(count(&["--signal", "low_wear"]), 0);
    assert_eq!(count(&["--min-priority", "this_week"]), 0);
    assert_eq!(count(&["--max-rows", "0"]), 0);
    let nobody = folder.oar(&["review", "--id", "QM-9", "a.oar.json"]);
    assert_eq!(nobody.code, Some(2));
    assert!(nobody.errors.contains("no record without errors has the id of --id"), "{}", nobody.errors);
}

#[test]
fn a_table_has_a_row_for_each_signal() {
    let printed = clinic().oar(&["review", "-o", "csv", "a.oar.json"]);
    let mut rows = csv::Reader::from_reader(printed.out.as_bytes());
    assert!(rows.headers().unwrap().iter().any(|name| name == "signal"));
    let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 2);
    assert!(rows.iter().all(|row| &row[2] == "QM-0007"));
}

#[test]
fn what_cannot_be_is_refused_with_the_way_out() {
    let folder = clinic();
    for (arguments, said) in [
        (["--signal", "low_waer", "a.oar.json"], "unknown signal (did you mean low_wear?)"),
        (["--priority", "low_wear", "a.oar.json"], "write it as low_wear=today, or low_wear=off"),
        (["--priority", "low_wear=soon", "a.oar.json"], "give today, this_week or next_contact, or off"),
        (["--as-of", "2031-02-30", "a.oar.json"], "give a date of the years 1900 to 2199, as in 2031-05-31"),
        (["-o", "htlm", "a.oar.json"], "did you mean html?"),
        (["-o", "html=a.oar.json", "a.oar.json"], "is to be reviewed: write the review to another file"),
        (["-o", "jsonl=a.oar.json", "a.oar.json"], "is to be reviewed: write the review to another file"),
        (["--min-priority", "soon", "a.oar.json"], "give today, this_week or next_contact"),
    ] {
        let printed = folder.oar(&[["review"].as_slice(), &arguments].concat());
        assert_eq!(printed.code, Some(2), "{arguments:?}");
        assert!(printed.errors.contains(said), "{arguments:?}: {}", printed.errors);
    }
    assert_eq!(folder.read("a.oar.json"), BASE);
    let nothing = folder.piped(&["review", "-"], b"");
    assert_eq!((nothing.code, nothing.out.as_str()), (Some(2), ""));
    assert!(nothing.errors.contains("the input has no record to review"), "{}", nothing.errors);
    let missing = folder.oar(&["review", "nowhere"]);
    assert_eq!(missing.code, Some(2));
    assert!(missing.errors.starts_with("error: nowhere: there is no such file or folder\n"), "{}", missing.errors);
}

#[test]
fn the_order_of_the_input_is_kept_for_any_number_of_threads() {
    let records: Vec<String> = (0..300)
        .map(|number| {
            let mut record: Value = serde_json::from_str(BASE).unwrap();
            record["id"] = format!("QM-{number:04}").into();
            record.to_string()
        })
        .collect();
    let records = records.join("\n");
    let folder = Folder::with(&[("a.oar.jsonl", records.as_bytes())]);
    let printed = |threads: &str| folder.oar(&["review", "-o", "jsonl", "--threads", threads, "a.oar.jsonl"]).out;
    let one = printed("1");
    let places: Vec<Value> = lines(&one).iter().map(|line| line["record"].clone()).collect();
    assert_eq!(places, (1..=300).collect::<Vec<u64>>());
    assert_eq!(printed("4"), one);
    let worklist = folder.oar(&["review", "--max-rows", "3", "a.oar.jsonl"]).out;
    assert!(worklist.contains("QM-0000") && !worklist.contains("QM-0003"), "{worklist}");
    assert!(worklist.contains("… and 297 more: --max-rows shows them"), "{worklist}");
}

#[test]
fn all_records_come_to_one_object() {
    let printed = clinic().oar(&["review", "-o", "json", "."]);
    let totals: Value = serde_json::from_str(&printed.out).unwrap();
    assert_eq!((&totals["reviewed"], &totals["refused"]), (&1.into(), &1.into()));
    assert_eq!(totals["states"]["active"], 1);
    assert_eq!(totals["signals"]["rescan_due"], 1);
}

#[test]
fn a_cohort_that_is_too_small_is_said_and_projects_nothing() {
    let folder = clinic();
    let printed = folder.oar(&["review", "--cohort", ".", "-o", "jsonl", "a.oar.json"]);
    assert_eq!(printed.code, Some(0));
    let said = "note: --cohort: 0 ended treatments in 1 record, 1 with errors left out: too few";
    assert!(printed.errors.starts_with(said), "{}", printed.errors);
    let finish = &lines(&printed.out)[0]["finish"];
    assert_eq!(finish["percent"], 80);
    assert!(finish["series_own_pace"]["low"].is_string() && finish["treatment_cohort"].is_null(), "{finish}");
    let none = folder.oar(&["review", "--cohort", "-", "a.oar.json"]);
    assert!(
        none.errors.starts_with("error: --cohort -: a cohort cannot be read from standard input"),
        "{}",
        none.errors
    );
    let over = folder.oar(&["review", "--cohort", "b.oar.json", "-o", "html=b.oar.json", "a.oar.json"]);
    assert!(over.errors.contains("is of the cohort: write the review to another file"), "{}", over.errors);
}
