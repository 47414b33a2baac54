//! Baselines: what is accepted stays accepted wherever it moves, and what is new is found.

use serde_json::Value;

use oar_testing::{BACKWARDS, BASE, Folder, wrong};

/// The base record with `worn_backwards` in these entries.
fn with_wrong(entries: &[usize]) -> Value {
    let mut record: Value = serde_json::from_str(BASE).unwrap();
    for entry in entries {
        record["wear_periods"][*entry]["to"] = "2031-01-05".into();
    }
    record
}

fn write(folder: &Folder, records: &[Value]) {
    let lines: Vec<String> = records.iter().map(|record| format!("{record}\n")).collect();
    std::fs::write(folder.path().join("a.oar.jsonl"), lines.concat()).unwrap();
}

/// The records with these ids and wrong entries, accepted; the folder to go on with.
fn accepted(records: &[Value]) -> Folder {
    let folder = Folder::with(&[]);
    write(&folder, records);
    let printed = folder.oar(&["check", "a.oar.jsonl", "--write-baseline", "known"]);
    assert_eq!((printed.code, printed.errors.as_str()), (Some(0), ""), "{printed:?}");
    folder
}

fn named(mut record: Value, id: &str) -> Value {
    record["id"] = id.into();
    record
}

/// New findings and those of the baseline that are gone.
fn against(folder: &Folder) -> (u64, u64) {
    let printed = folder.oar(&["check", "a.oar.jsonl", "--baseline", "known", "-o", "jsonl"]);
    assert_eq!(printed.code, Some(i32::from(printed.total("errors") > 0)));
    (printed.total("errors"), printed.total("baseline_gone"))
}

#[test]
fn what_was_accepted_does_not_count_and_what_is_new_does() {
    let folder = accepted(&[with_wrong(&[1])]);
    let printed = folder.oar(&["check", "a.oar.jsonl", "--baseline", "known"]);
    assert_eq!(printed.out, "1 record in 1 file: nothing to report; 1 in the baseline\n");
    write(&folder, &[with_wrong(&[1, 2])]);
    let printed = folder.oar(&["check", "a.oar.jsonl", "--baseline", "known", "-o", "brief"]);
    assert_eq!(printed.code, Some(1));
    assert_eq!(printed.out.lines().count(), 1, "{}", printed.out);
    assert!(printed.out.contains(" /wear_periods/2/to: "), "{}", printed.out);
}

#[test]
fn a_mended_finding_cannot_hide_a_new_one() {
    // The same number of the same rule in the same list, in another entry, record or system.
    let folder = accepted(&[named(with_wrong(&[1]), "QM-0001"), named(with_wrong(&[]), "QM-0002")]);
    write(&folder, &[named(with_wrong(&[2]), "QM-0001"), named(with_wrong(&[]), "QM-0002")]);
    assert_eq!(against(&folder), (1, 1));
    write(&folder, &[named(with_wrong(&[]), "QM-0001"), named(with_wrong(&[1]), "QM-0002")]);
    assert_eq!(against(&folder), (1, 1));
    let mut other = named(with_wrong(&[1]), "QM-0001");
    other["source"]["system"] = "brannock-chart".into();
    write(&folder, &[other]);
    assert_eq!(against(&folder), (1, 1));
}

#[test]
fn two_stretches_that_began_on_one_day_are_told_apart() {
    // One tray in each arch from the same day on, as after an arch fell behind.
    let halves = |wrong: usize| {
        let mut record = with_wrong(&[]);
        let mut upper = record["wear_periods"][1].clone();
        upper["arches"] = "upper".into();
        let mut lower = upper.clone();
        lower["arches"] = "lower".into();
        let mut pair = [upper, lower];
        pair[wrong]["to"] = "2031-01-05".into();
        record["wear_periods"].as_array_mut().unwrap().splice(1..2, pair);
        record
    };
    let folder = accepted(&[halves(0)]);
    assert_eq!(against(&folder), (0, 0));
    write(&folder, &[halves(1)]);
    assert_eq!(against(&folder), (1, 1));
}

#[test]
fn fields_that_are_missing_in_one_object_are_told_apart() {
    let without = |field: &str| {
        let mut record = with_wrong(&[]);
        record["wear_periods"][1].as_object_mut().unwrap().remove(field);
        record
    };
    let folder = accepted(&[without("arches")]);
    write(&folder, &[without("tray")]);
    assert_eq!(against(&folder), (1, 1));
}

#[test]
fn broken_lines_are_told_apart() {
    let folder = accepted(&[with_wrong(&[])]);
    let lines = |first: &str, second: &str| {
        std::fs::write(folder.path().join("a.oar.jsonl"), format!("{}\n{first}\n{second}\n", with_wrong(&[]))).unwrap();
    };
    lines("{\"a\" 1}", "{\"b\": 2}");
    folder.oar(&["check", "a.oar.jsonl", "--write-baseline", "known"]);
    assert_eq!(against(&folder), (0, 0));
    lines("{\"b\": 2}", "{\"a\" 1}");
    assert_eq!(against(&folder), (0, 0), "lines that changed places");
    lines("{\"b\": 2}", "{\"c\" 1}");
    assert_eq!(against(&folder), (1, 1), "another line that is no JSON");
}

#[test]
fn what_moves_is_neither_new_nor_gone() {
    let (first, second) = (named(with_wrong(&[1, 2]), "QM-0001"), named(with_wrong(&[3]), "QM-0002"));
    let folder = accepted(&[first.clone(), second.clone()]);
    write(&folder, &[second.clone(), first.clone()]);
    assert_eq!(against(&folder), (0, 0), "records");
    let mut shorter = first.clone();
    shorter["wear_periods"].as_array_mut().unwrap().remove(0);
    write(&folder, &[shorter, second.clone()]);
    assert_eq!(against(&folder).1, 0, "entries");
    let pretty = serde_json::to_string_pretty(&first).unwrap();
    std::fs::write(folder.path().join("b.oar.json"), pretty).unwrap();
    write(&folder, &[second]);
    let printed = folder.oar(&["check", ".", "--baseline", "known"]);
    assert_eq!(printed.out, "2 records in 2 files: nothing to report; 3 in the baseline\n", "lines and files");
}

#[test]
fn a_second_record_of_one_id_takes_what_is_left() {
    // The limit that the documentation names: copies of one record cannot be told apart. That there are copies is found by
    // the rules across records, which are left out here.
    let folder = accepted(&[with_wrong(&[1])]);
    let new = || {
        folder.oar(&["check", "a.oar.jsonl", "--baseline", "known", "--no-cross-record", "-o", "jsonl"]).total("errors")
    };
    write(&folder, &[with_wrong(&[]), with_wrong(&[1])]);
    assert_eq!(new(), 0);
    write(&folder, &[with_wrong(&[1]), with_wrong(&[1])]);
    assert_eq!(new(), 1);
}

#[test]
fn what_is_gone_is_counted_unless_the_run_is_partial() {
    let folder = accepted(&[with_wrong(&[1, 2])]);
    write(&folder, &[with_wrong(&[])]);
    let printed = folder.oar(&["check", "a.oar.jsonl", "--baseline", "known"]);
    assert_eq!(printed.code, Some(0));
    assert_eq!(printed.out, "1 record in 1 file: nothing to report; 2 of the baseline are gone: write it again\n");
    let printed = folder.oar(&["check", "a.oar.jsonl", "--baseline", "known", "--partial"]);
    assert_eq!(printed.out, "1 record in 1 file: nothing to report\n");
    let printed = folder.oar(&["check", "a.oar.jsonl", "--baseline", "known", "--write-baseline", "known"]);
    assert_eq!(printed.out, "1 record in 1 file: nothing to report\n");
    assert_eq!(folder.read("known").lines().count(), 1);
}

#[test]
fn a_waived_finding_is_neither_written_into_the_baseline_nor_gone_from_it() {
    let waiver =
        "[[waiver]]\nrecord = \"*\"\nrule = \"worn_backwards\"\nat = \"/wear_periods/1/to\"\nreason = \"known\"\n";
    let folder = accepted(&[with_wrong(&[1, 2])]);
    std::fs::write(folder.path().join("oar-waivers.toml"), waiver).unwrap();
    let printed = folder.oar(&["check", "a.oar.jsonl", "--baseline", "known"]);
    assert_eq!(printed.out, "1 record in 1 file: nothing to report; 1 waived, 1 in the baseline\n");
    folder.oar(&["check", "a.oar.jsonl", "--write-baseline", "known"]);
    assert_eq!(folder.read("known").lines().count(), 2);
}

#[test]
fn the_same_findings_give_the_same_file_without_text_of_a_record() {
    let (first, second) = (named(with_wrong(&[1, 2]), "QM-0001"), named(with_wrong(&[3]), "QM-0002"));
    let folder = accepted(&[first.clone(), second.clone()]);
    let before = folder.read("known");
    write(&folder, &[second, first]);
    folder.oar(&["check", "a.oar.jsonl", "--write-baseline", "known", "--threads", "2"]);
    assert_eq!(folder.read("known"), before);
    let mut lines = before.lines();
    assert_eq!(
        lines.next(),
        Some("{\"type\":\"baseline\",\"format\":\"open-aligner-record baseline\",\"version\":\"1.0\"}")
    );
    let mut fingerprints = Vec::new();
    for line in lines {
        let line: Value = serde_json::from_str(line).unwrap();
        assert_eq!(line.as_object().unwrap().len(), 3);
        assert_eq!((&line["rule"], &line["count"]), (&"worn_backwards".into(), &1.into()));
        fingerprints.push(line["fingerprint"].as_str().unwrap().to_owned());
    }
    assert!(fingerprints.len() == 3 && fingerprints.is_sorted());
    assert!(!before.contains("QM-") && !before.contains("2031"));
    let printed = folder.oar(&["check", "a.oar.jsonl", "-o", "jsonl"]);
    let mut reported: Vec<String> =
        printed.lines("finding").iter().map(|line| line["fingerprint"].as_str().unwrap().to_owned()).collect();
    reported.sort();
    assert_eq!(reported, fingerprints);
}

#[test]
fn programs_are_told_what_is_in_the_baseline() {
    let folder = accepted(&[with_wrong(&[1])]);
    let printed = folder.oar(&["check", "a.oar.jsonl", "--baseline", "known", "-o", "jsonl", "-o", "sarif=s"]);
    assert_eq!(printed.lines("accepted")[0]["accepted"], serde_json::json!({"by": "baseline"}));
    let sarif: Value = serde_json::from_str(&folder.read("s")).unwrap();
    assert_eq!(sarif["runs"][0]["results"][0]["suppressions"][0]["justification"], "in the baseline");
    let brief = folder.oar(&["check", "a.oar.jsonl", "--baseline", "known", "-o", "brief", "--show-accepted"]);
    assert!(brief.out.ends_with(" (in the baseline)\n"), "{}", brief.out);
}

#[test]
fn a_way_with_detours_leads_to_the_same_findings() {
    // A record without an id is known by the name of its file.
    let mut record = with_wrong(&[1]);
    record.as_object_mut().unwrap().remove("id");
    let folder = Folder::with(&[("in/a.oar.json", record.to_string().as_bytes())]);
    folder.oar(&["check", "in", "--write-baseline", "known"]);
    for path in ["in/../in", "./in/./a.oar.json", "in/a.oar.json"] {
        let printed = folder.oar(&["check", path, "--baseline", "known", "-o", "jsonl"]);
        assert_eq!((printed.total("errors"), printed.total("baseline_gone")), (0, 0), "{path}: {printed:?}");
    }
}

#[test]
fn a_baseline_that_is_none_gives_2_and_says_where() {
    let head = "{\"type\":\"baseline\",\"format\":\"open-aligner-record baseline\",\"version\":\"1.0\"}\n";
    let none = "line 1: this is not a baseline: oar check --write-baseline FILE writes one";
    let cases = [
        ("", none),
        ("[]", none),
        (&wrong(), none),
        (&head.replace("1.0", "2.0"), "line 1: a newer version of oar wrote it: write it again with this one"),
        (&format!("{head}{{}}"), "line 2: this is not a line of a baseline: write the baseline again"),
        (
            &format!("{head}\n{{\"rule\":\"x\",\"fingerprint\":\"12\",\"count\":1}}"),
            "line 3: its fingerprint is not 32 digits of 0-9 and a-f: write the baseline again",
        ),
    ];
    for (text, said) in cases {
        let folder = Folder::with(&[("a.oar.json", BACKWARDS.as_bytes()), ("known", text.as_bytes())]);
        let printed = folder.oar(&["check", "a.oar.json", "--baseline", "known"]);
        assert_eq!((printed.code, printed.out.as_str()), (Some(2), ""), "{text}");
        assert_eq!(printed.errors, format!("error: known: {said}\n"));
    }
}

#[test]
fn a_baseline_is_written_whole_or_not_at_all() {
    let folder = Folder::with(&[("a.oar.json", BACKWARDS.as_bytes()), ("known", b"before")]);
    let cases: [(&[&str], &str); 4] = [
        (
            &["a.oar.json", "nowhere", "--write-baseline", "known"],
            "error: nowhere: there is no such file or folder\nerror: known was not written: a baseline needs all files, but some could not be read\n",
        ),
        (
            &["a.oar.json", "--write-baseline", "a.oar.json"],
            "error: a.oar.json is to be checked: write the baseline to another file\n",
        ),
        (
            &["a.oar.json", "--write-baseline", "no/known"],
            "error: no/known cannot be written: its folder does not exist\n",
        ),
        (&["a.oar.json", "--baseline", "no"], "error: no: there is no such file or folder\n"),
    ];
    for (arguments, said) in cases {
        let printed = folder.oar(&[&["check"], arguments].concat());
        assert_eq!((printed.code, printed.errors.as_str()), (Some(2), said));
    }
    assert_eq!((folder.read("known").as_str(), folder.read("a.oar.json").as_str()), ("before", BACKWARDS));
    let both = folder.oar(&["check", "a.oar.json", "--partial", "--write-baseline", "known"]);
    assert!(both.code == Some(2) && both.errors.contains("cannot be used with"), "{both:?}");
}
