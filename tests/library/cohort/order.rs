//! The order of files and records, and the number of threads, change nothing of what is found.

use std::collections::BTreeSet;

use super::{Files, across, record};
use oar_testing::Folder;

/// A small generator of numbers (`SplitMix64`, Steele, Lea and Flood 2014), for shuffles that are the same in every run.
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ mixed >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ mixed >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((mixed ^ mixed >> 31) % end as u64) as usize
    }

    fn shuffle<T>(&mut self, list: &mut [T]) {
        for at in (1..list.len()).rev() {
            list.swap(at, self.below(at + 1));
        }
    }
}

/// Records with every fault that the rules across records know, several of them of one kind.
fn faulty() -> Vec<String> {
    let id = |n: usize| format!("/id = \"QM-{n:04}\"");
    let patient = |n: usize| format!("/patient/id = \"P-{n:04}\"");
    let mut records = Vec::new();
    // Three treatments of one patient at once; a year of birth and a sex that differ; patients with one log.
    for n in 100..103 {
        records.push(record(&[&id(n), &patient(100), "/wear_log = []"]));
        records.push(record(&[&id(n + 10), &patient(110), &format!("/patient/birth_year = {}", 1990 + n % 2)]));
        records.push(record(&[&id(n + 20), &patient(n + 20), "/wear_log/0/minutes = 1200"]));
    }
    records.push(record(&[&id(130), &patient(130), "/wear_log = []"]));
    records.push(record(&[&id(131), &patient(130), "/wear_log = []", "/patient/sex = \"male\""]));
    // One id for records of several patients, and for several of one patient.
    for n in 140..143 {
        records.push(record(&[&id(140), &patient(n), &format!("/wear_log/1/minutes = {}", 1200 + n)]));
        records.push(record(&[&id(150), &patient(150), &format!("/wear_log/2/minutes = {}", 1100 + n)]));
    }
    // Exports of one record, copies of one, and versions in turns.
    for day in 11..14 {
        let exported = format!("/source/exported_at = \"2031-05-{day}T18:00:00+02:00\"");
        records.push(record(&[&id(160), &patient(160), &exported, "/wear_log = []"]));
        let version = format!("/source/system_version = \"4.{}\"", 3 + day % 2);
        records.push(record(&[&id(170 + day), &patient(170 + day), &exported, &version, "/wear_log = []"]));
        let shorter = ["/comfort += {\"on\": \"2031-05-09\", \"pain_0_10\": 1}", "/wear_log = []"];
        let edits = [id(190), patient(190), exported];
        let edits: Vec<&str> = edits.iter().map(String::as_str).chain(shorter).collect();
        records.push(record(if day == 12 { &edits[..3] } else { &edits }));
        records.push(record(&[&id(200), &patient(200), "/wear_log = []"]));
    }
    records
}

/// What is found, without where it stands: rule, values, subject, and the two records themselves.
fn printed(files: &Files) -> BTreeSet<String> {
    let text = |file: &str, record: u64| {
        let (_, records) = files.iter().find(|(name, _)| name == file).unwrap();
        &records[record as usize - 1]
    };
    let found = across(files);
    let lines = found.iter().map(|across| {
        let finding = &across.finding;
        let other = &finding.elsewhere[0];
        let texts = [text(&across.file, across.record), text(&other.file, other.record)];
        format!("{} {:?} {} {} {texts:?}", finding.rule.name, finding.args, finding.subject, finding.place.pointer)
    });
    let set: BTreeSet<String> = lines.collect();
    assert_eq!(set.len(), found.len(), "no finding is told twice");
    set
}

#[test]
fn the_order_of_records_and_how_they_are_spread_over_files_change_nothing() {
    let mut records = faulty();
    let one_file = |records: &[String]| -> Files { vec![("a".to_owned(), records.to_vec())] };
    let first = printed(&one_file(&records));
    let rules: BTreeSet<&str> = first.iter().map(|line| line.split(' ').next().unwrap()).collect();
    assert_eq!(rules.len(), 8, "every rule finds something: {rules:?}");
    let mut numbers = Numbers(3);
    for _ in 0..40 {
        numbers.shuffle(&mut records);
        assert_eq!(printed(&one_file(&records)), first);
        // Two files with several records each.
        let middle = 2 + numbers.below(records.len() - 4);
        let (one, other) = records.split_at(middle);
        assert_eq!(printed(&vec![("b".to_owned(), one.to_vec()), ("a".to_owned(), other.to_vec())]), first);
    }
}

#[test]
fn the_order_of_files_and_the_number_of_threads_change_no_line_of_a_finding() {
    let mut records = faulty();
    let mut numbers = Numbers(5);
    numbers.shuffle(&mut records);
    let names: Vec<String> = (0..records.len()).map(|n| format!("{n:02}.oar.json")).collect();
    let files: Vec<(&str, &[u8])> =
        names.iter().zip(&records).map(|(name, text)| (name.as_str(), text.as_bytes())).collect();
    let folder = Folder::with(&files);
    let run = |names: &[String], threads: &str| {
        let arguments = ["check", "-o", "jsonl", "--threads", threads].into_iter();
        let printed = folder.oar(&arguments.chain(names.iter().map(String::as_str)).collect::<Vec<_>>());
        let lines = printed.out.lines().filter(|line| line.contains("\"type\":\"finding\"")).map(str::to_owned);
        (lines.collect::<BTreeSet<String>>(), printed.total("records_with_findings"), printed.total("errors"))
    };
    let first = run(&names, "1");
    assert!(first.0.len() > 8, "{first:?}");
    let mut shuffled = names.clone();
    for threads in ["1", "2", "7"] {
        numbers.shuffle(&mut shuffled);
        assert_eq!(run(&shuffled, threads), first);
    }
}

#[test]
fn a_finding_keeps_its_fingerprint_when_its_records_move() {
    let records = faulty();
    let fingerprints = |records: &[String]| -> BTreeSet<String> {
        let printed = Folder::with(&[]).piped(&["check", "-", "-o", "jsonl"], records.join("\n").as_bytes());
        let found = printed.lines("finding");
        let cohort = found.iter().filter(|line| line["theme"] == "cohort");
        cohort.map(|line| line["fingerprint"].as_str().unwrap().to_owned()).collect()
    };
    let before = fingerprints(&records);
    let mut moved = records;
    moved.rotate_left(7);
    moved.insert(3, record(&["/id = \"QM-0300\"", "/patient/id = \"P-0300\"", "/wear_log = []"]));
    assert!(before.len() >= 8);
    assert_eq!(fingerprints(&moved), before);
}
