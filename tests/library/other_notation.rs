//! Records in another notation whose numbers are all FDI numbers too, and right records that look alike.

use oar_schema::teeth::Tooth;
use oar_testing::{BASE, page};
use open_aligner_record::Checker;
use serde_json::Value;

/// Right records whose teeth are all permanent.
const DEMO: [&str; 3] = [
    BASE,
    include_str!("../../datasets/demo/qm-01-clean-finish.oar.json"),
    include_str!("../../datasets/demo/qm-12-extraction-elastics.oar.json"),
];

/// The base record with nothing but movements of these teeth, in trays of each arch.
fn record(absent: &[u8], trays: [i32; 2], moved: &[(u8, i32)]) -> Vec<u8> {
    let movement = |(tooth, to): &(u8, i32)| {
        format!("{{\"tooth\": {tooth}, \"from_tray\": 1, \"to_tray\": {to}, \"facial_mm\": 0.6}}")
    };
    let moved: Vec<String> = moved.iter().map(movement).collect();
    let edit = [
        format!("/dentition = {{\"absent\": {absent:?}}}"),
        format!("/series/0/movements = [{}]", moved.join(", ")),
        format!("/series/0/trays = {{\"upper\": {}, \"lower\": {}}}", trays[0], trays[1]),
        "/series/0/attachments = []".to_owned(),
        "/series/0/interproximal_reductions = []".to_owned(),
        "/series/0/elastics = []".to_owned(),
        "remove /series/0/achieved".to_owned(),
        "/series/1/movements = []".to_owned(),
        "/series/1/attachments = []".to_owned(),
        "/check_ins = []".to_owned(),
        "/attachment_events = []".to_owned(),
        "remove /appointments/1/interproximal_reductions".to_owned(),
    ];
    page::edited(BASE, &edit)
}

fn doubted(record: &[u8]) -> bool {
    Checker::new().check(record).iter().any(|finding| finding.rule.name == "other_notation")
}

/// The Universal number of a permanent tooth.
fn in_universal(code: u64) -> Option<u64> {
    let tooth = Tooth::new(u8::try_from(code).ok()?)?;
    (1..=32).find(|number| Tooth::reading_in_universal(*number) == Some(tooth)).map(u64::from)
}

fn is_fdi(code: u64) -> bool {
    u8::try_from(code).is_ok_and(|code| Tooth::new(code).is_some())
}

/// Writes every tooth number within a value in Universal numbers. Entries of lists go whose teeth have none that `keep` takes,
/// and so does what names attachments by id.
fn convert(value: &mut Value, name: &str, keep: fn(u64) -> bool) -> bool {
    const TEETH: [&str; 9] =
        ["absent", "primary", "implants", "pontics", "tooth", "between", "upper_tooth", "lower_tooth", "teeth"];
    match value {
        Value::Number(number) if TEETH.contains(&name) => {
            let universal = number.as_u64().and_then(in_universal).filter(|code| keep(*code));
            universal.map(|universal| *value = universal.into()).is_some()
        }
        Value::Array(entries) if ["attachment_events", "attachments_debonded"].contains(&name) => {
            entries.clear();
            true
        }
        Value::Array(entries) if name == "between" => entries.iter_mut().all(|entry| convert(entry, name, keep)),
        Value::Array(entries) => {
            entries.retain_mut(|entry| convert(entry, name, keep));
            true
        }
        Value::Object(members) => members.iter_mut().all(|(name, value)| convert(value, name, keep)),
        _ => true,
    }
}

/// What is found in a record that is written in Universal numbers, as far as `keep` takes them.
fn found_in_universal(text: &str, keep: fn(u64) -> bool) -> Vec<&'static str> {
    let mut record: Value = serde_json::from_str(text).unwrap();
    assert!(convert(&mut record, "", keep));
    let found = Checker::new().check(record.to_string().as_bytes()).into_findings();
    found.iter().map(|finding| finding.rule.name).collect()
}

/// What is found in a record without what names attachments by id, in its own notation.
fn found_without_ids(text: &str) -> Vec<&'static str> {
    let mut record: Value = serde_json::from_str(text).unwrap();
    record["attachment_events"] = serde_json::json!([]);
    for check_in in record["check_ins"].as_array_mut().into_iter().flatten() {
        check_in.as_object_mut().unwrap().shift_remove("attachments_debonded");
    }
    let found = Checker::new().check(record.to_string().as_bytes()).into_findings();
    found.iter().map(|finding| finding.rule.name).collect()
}

/// Primary teeth are letters in the Universal notation, and numbers of front teeth alone fit any notation; so records with
/// such teeth only are not among these.
#[test]
fn whole_records_in_universal_numbers_that_are_all_fdi_numbers_give_one_finding() {
    for text in DEMO {
        assert_eq!(found_in_universal(text, is_fdi), ["other_notation"]);
    }
}

#[test]
fn whole_records_in_universal_numbers_give_one_finding() {
    for text in DEMO {
        let mut expected = found_without_ids(text);
        expected.push("other_notation");
        let mut found = found_in_universal(text, |_| true);
        expected.sort_unstable();
        found.sort_unstable();
        assert_eq!(found, expected);
    }
}

fn to(tray: i32, teeth: &[u8]) -> Vec<(u8, i32)> {
    teeth.iter().map(|tooth| (*tooth, tray)).collect()
}

/// Universal 22 to 27 are the six lower front teeth (HL7 Terminology; FDI 33 to 43).
#[test]
fn lower_front_teeth_in_universal_numbers_are_found_by_the_trays() {
    assert!(doubted(&record(&[], [0, 6], &to(6, &[22, 23, 24, 25, 26, 27]))));
    let uneven = [to(6, &[22, 23, 24, 25, 26, 27]), to(4, &[11, 12])].concat();
    assert!(doubted(&record(&[], [4, 6], &uneven)));
}

#[test]
fn a_few_mistyped_teeth_do_not_make_another_notation() {
    assert!(!doubted(&record(&[], [0, 6], &[to(6, &[33, 32, 31, 41, 42, 43]), to(6, &[22, 23])].concat())));
    assert!(!doubted(&record(&[], [0, 6], &to(6, &[22, 23]))));
}

/// With the counts of both arches exchanged the upper teeth would move below; as Universal numbers, 11 to 13 would not.
#[test]
fn exchanged_tray_counts_are_no_other_notation() {
    assert!(!doubted(&record(&[], [0, 6], &to(6, &[13, 12, 11, 21, 22, 23]))));
}

/// Every treatment of front teeth, of one arch or of both, whatever third molars are absent.
#[test]
fn front_teeth_in_fdi_are_never_doubted() {
    let (upper, lower) = ([13, 12, 11, 21, 22, 23], [33, 32, 31, 41, 42, 43]);
    let mut tried = 0;
    for mask in 1u32..1 << 12 {
        let teeth: Vec<u8> = upper
            .iter()
            .chain(&lower)
            .enumerate()
            .filter(|(i, _)| mask >> i & 1 == 1)
            .map(|(_, tooth)| *tooth)
            .collect();
        if teeth.len() < 3 || mask % 31 > 0 {
            continue;
        }
        let has = |arch: &[u8]| teeth.iter().any(|tooth| arch.contains(tooth));
        let trays = [if has(&upper) { 6 } else { 0 }, if has(&lower) { 6 } else { 0 }];
        for (absent, trays) in
            [(&[][..], trays), (&[18, 28][..], trays), (&[18, 28, 38, 48][..], trays), (&[][..], [6, 6])]
        {
            assert!(!doubted(&record(absent, trays, &to(6, &teeth))), "{teeth:?} {absent:?} {trays:?}");
            tried += 1;
        }
    }
    assert!(tried > 300, "{tried}");
}

/// Digits swapped, every permanent tooth has the number of another tooth or its own.
#[test]
fn a_whole_mouth_with_swapped_digits_is_found() {
    let swapped = |code: u8| code % 10 * 10 + code / 10;
    let moved: Vec<u8> = [16, 14, 13, 12, 11, 21, 22, 23, 24, 26, 33, 32, 31, 41, 42, 43].map(swapped).to_vec();
    assert!(moved.iter().all(|code| Tooth::new(*code).is_some()));
    assert!(doubted(&record(&[18, 28, 38, 48].map(swapped), [6, 6], &to(6, &moved))));
    assert!(doubted(&record(&[], [6, 6], &to(6, &moved.iter().copied().chain([71]).collect::<Vec<u8>>()))));
}

#[test]
fn the_same_mouth_in_fdi_is_not_doubted() {
    let moved = [16, 14, 13, 12, 11, 21, 22, 23, 24, 26, 33, 32, 31, 41, 42, 43];
    assert!(!doubted(&record(&[18, 28, 38, 48], [6, 6], &to(6, &moved))));
}

#[test]
fn a_child_with_forgotten_primary_teeth_is_not_doubted() {
    let text = record(&[], [6, 6], &to(6, &[53, 54, 63, 64, 11, 12, 21, 22]));
    let child = String::from_utf8(text).unwrap().replace("\"birth_year\": 2004", "\"birth_year\": 2021");
    assert!(!doubted(child.as_bytes()));
}
