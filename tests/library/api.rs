//! The library as an embedder uses it: typed records, bytes, readers; first and all.

use std::fmt::Display;
use std::fs;
use std::path::PathBuf;
use std::str::FromStr;

use oar_testing::DEMO;
use oar_testing::repository::{self, root};
use open_aligner_record::number::Hundredths;
use open_aligner_record::record::{Id, Record, TimeZone, Version};
use open_aligner_record::rule::Level;
use open_aligner_record::summary::FailOn;
use open_aligner_record::teeth::{Arch, Surface, Tooth};
use open_aligner_record::time::{Date, Instant};
use open_aligner_record::{Checker, Findings, ParseError, ReadError, Records, limits::Limits};
use serde_json::Value;

fn demo() -> Vec<PathBuf> {
    let mut files = repository::files("datasets/demo", ".oar.json");
    files.push(root().join("tests/base.oar.json"));
    assert!(files.len() >= 13);
    files
}

#[test]
fn typed_records_come_back_as_they_were() {
    let mut checker = Checker::new();
    for file in demo() {
        let text = fs::read(&file).unwrap();
        let record: Record = serde_json::from_slice(&text).unwrap();
        assert!(checker.check_record(&record).unwrap().is_empty());
        let (before, after): (Value, Value) =
            (serde_json::from_slice(&text).unwrap(), serde_json::to_value(&record).unwrap());
        assert_eq!(before, after, "{}", file.display());
        let again: Record = serde_json::from_value(after).unwrap();
        assert_eq!(record, again);
    }
}

#[test]
fn a_typed_record_is_checked_like_its_text() {
    let mut record: Record = serde_json::from_slice(&fs::read(&demo()[0]).unwrap()).unwrap();
    record.wear_periods[1].to = Some(record.wear_periods[1].from.plus_days(-3));
    let mut checker = Checker::new();
    let typed = checker.check_record(&record).unwrap();
    let text = checker.check(&serde_json::to_vec(&record).unwrap()).into_findings();
    let printed = |findings: &[open_aligner_record::finding::Finding]| -> Vec<(String, String)> {
        findings.iter().map(|finding| (finding.place.pointer.clone(), finding.message())).collect()
    };
    assert_eq!(printed(&typed), printed(&text));
    assert_eq!(typed[0].rule.name, "worn_backwards");
    assert_eq!(typed[0].place.pointer, "/wear_periods/1/to");
}

#[test]
fn the_first_finding_is_one_of_all_and_a_clean_record_has_none() {
    let mut checker = Checker::new();
    for file in demo() {
        let text = fs::read_to_string(&file).unwrap();
        assert!(checker.is_clean(text.as_bytes()) && checker.first(text.as_bytes()).is_none());
        for spoilt in [text.replace("\"state\": \"", "\"state\": \"x"), text.replace("1320", "999"), "[]".to_owned()] {
            let all = checker.check(spoilt.as_bytes()).into_findings();
            let first = checker.first(spoilt.as_bytes());
            assert_eq!(checker.is_clean(spoilt.as_bytes()), all.is_empty());
            assert_eq!(first.is_some(), !all.is_empty());
            if let Some(first) = first {
                assert!(all.iter().any(|finding| finding.rule == first.rule && finding.place == first.place));
            }
        }
    }
}

#[test]
fn limits_that_are_set_are_used() {
    let text = fs::read(demo().pop().unwrap()).unwrap();
    let mut limits = Limits::default();
    limits.set("tray_linear_mm", "0.05").unwrap();
    let found = Checker::with_limits(limits).check(&text).into_findings();
    assert!(!found.is_empty() && found.iter().all(|finding| finding.rule.name == "moves_too_fast"));
    assert!(Limits::default().set("tray_linear_mm", "a bit").is_err());
    assert!(Limits::default().set("tray_linear_mm", "1000").is_err());
    assert!(Limits::default().set("no_such_limit", "1").is_err());
}

#[test]
fn a_reader_is_checked_record_by_record() {
    let mut lines = DEMO.as_bytes().to_vec();
    lines.extend_from_slice(b"{\"format\": 1}\n");
    let mut found = Vec::new();
    let mut checker = Checker::new();
    let mut findings = Findings::new(lines.as_slice(), true, &mut checker).unwrap();
    while let Some((record, finding)) = findings.next().transpose().unwrap() {
        found.push((record, finding.rule.name));
    }
    assert_eq!(findings.records(), 13);
    assert!(!found.is_empty() && found.iter().all(|(record, _)| *record == 13), "{found:?}");
}

/// The text of a value, and why another text is none.
fn said<T: FromStr<Err = ParseError> + Display>(text: &str, other: &str) -> String {
    assert_eq!(text.parse::<T>().map(|value| value.to_string()), Ok(text.to_owned()));
    let Err(error) = other.parse::<T>() else { panic!("{other}") };
    Box::<dyn std::error::Error>::from(error).to_string()
}

#[test]
fn values_are_shown_as_text_and_parsed_from_it() {
    assert_eq!(said::<Date>("2031-02-28", "2031-02-29"), "not a date such as 2031-01-15");
    assert_eq!(said::<Instant>("2031-02-03T08:30:00+01:00", ""), "not an instant such as 2031-01-15T08:30:00+01:00");
    assert_eq!(said::<Tooth>("48", "049"), "not the FDI number of a tooth");
    assert_eq!(said::<Hundredths>("-1.25", "1.255"), "not a decimal with at most two places");
    assert_eq!(said::<Version>("1.0", "01.0"), "not a version such as 1.0");
    assert_eq!(said::<Id>("QM-0001", "Q M"), "not an id");
    assert_eq!(said::<TimeZone>("Europe/Vienna", " "), "not the name of a time zone such as Europe/Vienna");
    assert_eq!(said::<Surface>("incisal", "Incisal"), "not a word of the vocabulary");
    assert_eq!(said::<Arch>("lower", "both"), "not an arch: upper or lower");
    assert_eq!(said::<Level>("note", "off"), "not a level: error, warning or note");
    assert_eq!(said::<FailOn>("note,partial", "partial"), "not what makes a run fail");
    assert_eq!(FailOn::NAMES.map(|name| name.parse::<FailOn>().map(FailOn::as_str)), FailOn::NAMES.map(Ok));
    assert_eq!(Hundredths::try_from(0.1 + 0.2), Ok(Hundredths(30)));
}

#[test]
fn the_records_of_a_file_come_in_their_types_until_it_breaks_off() {
    let typed =
        |read: Result<Record, ReadError>| read.map(|record| record.id.to_string()).map_err(|error| error.to_string());
    let ids: Vec<_> = Records::open("datasets/demo/quillmere.oar.jsonl").unwrap().map(typed).collect();
    assert_eq!((ids.len(), ids[0].clone()), (12, Ok("QM-0101".to_owned())));
    assert!(Records::open("no such file").is_err());
    let lines = [DEMO.lines().next().unwrap(), "{\"format\": 1}", &" ".repeat(3), &"9".repeat(3000), "{"].join("\n\n");
    let mut limits = Limits::default();
    limits.set("largest_record_kilobytes", "2").unwrap();
    let small = || Checker::with_limits(limits.clone());
    let read = |bytes: &[u8]| Records::new(bytes, true, small()).unwrap().map(typed).collect::<Vec<_>>();
    let printed = ["the record on line 1 is too large", "the record has 1 error", "the record on line 7 is too large"];
    assert_eq!(read(lines.as_bytes())[..3], printed.map(|printed| Err(printed.to_owned())));
    assert_eq!(read(lines.as_bytes()).len(), 4);
    let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    std::io::Write::write_all(&mut packed, DEMO.as_bytes()).unwrap();
    let packed = packed.finish().unwrap();
    let cut = Records::new(&packed[..packed.len() - 9], true, Checker::new()).unwrap();
    let cut: Vec<_> = cut.map(|read| read.map(drop)).collect();
    assert!(cut.len() > 1 && matches!(cut.last(), Some(Err(ReadError::Io(_)))), "{cut:?}");
}

#[test]
fn a_record_is_read_into_types_however_its_json_is_spelt() {
    let text = fs::read_to_string(demo().pop().unwrap()).unwrap();
    let plain: Record = serde_json::from_str(&text).unwrap();
    let spelt =
        text.replace("\"change_interval_days\": 7", "\"change_int\\u0065rval_days\": 70e-1").replace("1320", "1320.0");
    assert!(serde_json::from_str::<Record>(&spelt).is_err(), "the spelling is one that serde_json refuses");
    let mut checker = Checker::new();
    assert_eq!(checker.read(spelt.as_bytes()).unwrap(), plain);
    assert!(plain.extensions.is_some(), "what others add is read too");
    let listed = text.replace(
        "{\"recipe\": \"quillmere-by-hand\", \"recipe_version\": \"1.0\", \"seed\": 0, \"index\": 0}",
        "[\"a\", \"1\", 0, 0]",
    );
    assert!(serde_json::from_str::<Record>(&listed).is_ok(), "serde_json takes a list for an object");
    let Err(ReadError::Findings(findings)) = checker.read(listed.as_bytes()) else { panic!("a list is no object") };
    let said = |count: usize| ReadError::Findings(findings.iter().cycle().take(count).cloned().collect()).to_string();
    assert_eq!([said(1), said(2)], ["the record has 1 error", "the record has 2 errors"]);
    assert_eq!(findings[0].rule.name, "wrong_type");
}
