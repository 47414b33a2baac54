//! What the generator promises: the same bytes however they are made, layers that leave each other alone, days that only move.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use oar_generators::cohort::SyntheticCohort;
use oar_generators::output::{Compression, OutputOptions, each_chunk};
use oar_generators::random::RandomLayer;
use oar_generators::recipe::Recipe;
use oar_schema::record::Record;
use oar_schema::time::Date;

fn cohort(sets: &[&str]) -> SyntheticCohort {
    let sets: Vec<String> = sets.iter().map(|set| (*set).to_owned()).collect();
    SyntheticCohort::new(Recipe::load("general", &sets).unwrap(), 7)
}

fn bytes(cohort: &SyntheticCohort, span: (u64, u64), packing: Compression, threads: usize) -> (Vec<u8>, Vec<u8>) {
    let (mut records, mut key) = (Vec::new(), Vec::new());
    let form = OutputOptions { records: packing, key: Some(Compression::Plain) };
    let take = |piece: oar_generators::output::Chunk| {
        records.extend(piece.records);
        key.extend(piece.key);
        Ok(())
    };
    each_chunk(cohort, span, form, threads, take).unwrap();
    (records, key)
}

#[test]
fn the_bytes_do_not_depend_on_threads() {
    let cohort = cohort(&[]);
    for packing in [Compression::Plain, Compression::Gzip, Compression::Zstd] {
        let one = bytes(&cohort, (0, 70), packing, 1);
        assert_eq!(one, bytes(&cohort, (0, 70), packing, 2), "{packing:?}");
        assert_eq!(one, bytes(&cohort, (0, 70), packing, 5), "{packing:?}");
    }
}

#[test]
fn parts_are_the_same_patients() {
    let cohort = cohort(&[]);
    let whole = bytes(&cohort, (0, 50), Compression::Plain, 2);
    let mut parts = (Vec::new(), Vec::new());
    for span in [(0, 1), (1, 19), (19, 37), (37, 50)] {
        let (records, key) = bytes(&cohort, span, Compression::Plain, 2);
        parts.0.extend(records);
        parts.1.extend(key);
    }
    assert_eq!(whole, parts);
}

#[test]
fn seeds_make_different_patients() {
    let recipe = || Recipe::load("general", &[]).unwrap();
    assert_ne!(SyntheticCohort::new(recipe(), 1).patient(0).0, SyntheticCohort::new(recipe(), 2).patient(0).0);
}

#[test]
fn an_error_of_the_writer_ends_the_run() {
    let form = OutputOptions { records: Compression::Plain, key: None };
    let mut pieces = 0;
    let done = each_chunk(&cohort(&[]), (0, 1_000_000), form, 3, |_| {
        pieces += 1;
        if pieces == 3 { Err(std::io::Error::other("full")) } else { Ok(()) }
    });
    assert_eq!((done.unwrap_err().to_string(), pieces), ("full".to_owned(), 3));
}

/// A record without what some layers write.
fn without(mut record: Record, layers: &[RandomLayer]) -> Record {
    for layer in layers {
        match layer {
            RandomLayer::Reporting => {
                record.comfort = None;
                record.appointments.iter_mut().flatten().for_each(|visit| visit.note = None);
                record.check_ins.iter_mut().flatten().for_each(|check_in| check_in.note = None);
            }
            RandomLayer::Logging => record.wear_log = None,
            _ => {}
        }
    }
    record
}

#[test]
fn a_new_draw_in_one_layer_leaves_the_others_alone() {
    // Nobody is told to wear more, so that what is logged causes nothing.
    let cohort = cohort(&["care.told_below_share=0"]);
    for layer in [RandomLayer::Reporting, RandomLayer::Logging] {
        let mut changed = 0;
        for index in 0..40 {
            let (plain, truth) = cohort.patient(index);
            let (other, other_truth) = cohort.disturbed(layer).patient(index);
            changed += u32::from(plain != other);
            assert_eq!(without(plain, &[layer]), without(other, &[layer]), "{layer:?} of patient {index}");
            assert_eq!(truth.true_minutes, other_truth.true_minutes);
        }
        assert!(changed > 10, "{layer:?} changed {changed} of 40");
    }
}

#[test]
fn what_a_layer_causes_comes_after_it() {
    let cohort = cohort(&["care.told_below_share=0"]);
    for index in 0..40 {
        let (plain, truth) = cohort.patient(index);
        let (follows, follows_truth) = cohort.disturbed(RandomLayer::Response).patient(index);
        assert_eq!(plain.dentition.absent, follows.dentition.absent);
        assert_eq!(plain.assessments.unwrap()[0], follows.assessments.unwrap()[0]);
        assert_eq!(plain.series[0].movements, follows.series[0].movements);
        assert_eq!(truth.true_minutes[..6], follows_truth.true_minutes[..6]);
        let (other_start, _) = cohort.disturbed(RandomLayer::Start).patient(index);
        assert_eq!((plain.patient, plain.prescription), (other_start.patient, other_start.prescription));
        assert_eq!(plain.dentition.crown_widths, other_start.dentition.crown_widths);
    }
}

/// All dates of a text moved by some days.
fn moved(text: &str, days: i32) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find("\"20") {
        let (before, from) = rest.split_at(at + 1);
        out.push_str(before);
        match from.get(..10).and_then(|day| Date::parse(day.as_bytes())) {
            Some(day) => {
                out.push_str(&day.plus_days(days).to_string());
                rest = &from[10..];
            }
            None => rest = from,
        }
    }
    out + rest
}

/// The record as text, without the year of birth, which moves with the day of birth.
fn text(cohort: &SyntheticCohort, index: u64) -> String {
    let (mut record, _) = cohort.patient(index);
    record.patient.birth_year = 2000;
    serde_json::to_string(&record).unwrap()
}

#[test]
fn an_anchor_moved_by_weeks_moves_every_date_and_changes_nothing_else() {
    let zone = "clinic.time_zones=[\"UTC\"]";
    let (now, later) = (cohort(&[zone]), cohort(&[zone, "clinic.anchor=2032-01-19"]));
    let days = Date::new(2032, 1, 19).unwrap().days_since(Date::new(2031, 1, 6).unwrap());
    assert_eq!(days % 7, 0);
    for index in 0..40 {
        assert_eq!(moved(&text(&now, index), days), text(&later, index), "patient {index}");
    }
}

/// A record without what a clock change touches: offsets from UTC, and minutes of the days that are longer or shorter.
fn without_clocks(text: &str) -> String {
    let mut record: Record = serde_json::from_str(text).unwrap();
    record.wear_log.iter_mut().flatten().for_each(|day| day.minutes = 0);
    let text = serde_json::to_string(&record).unwrap();
    text.replace("+01:00", "").replace("+02:00", "")
}

#[test]
fn where_clocks_change_wall_clock_times_stay() {
    let (now, later) = (cohort(&[]), cohort(&["clinic.anchor=2031-03-17"]));
    let days = Date::new(2031, 3, 17).unwrap().days_since(Date::new(2031, 1, 6).unwrap());
    for index in 0..40 {
        let (now, later) = (moved(&text(&now, index), days), text(&later, index));
        assert_eq!(without_clocks(&now), without_clocks(&later), "patient {index}");
        let minutes = |text: &str| -> Vec<i32> {
            let record: Record = serde_json::from_str(text).unwrap();
            record.wear_log.iter().flatten().map(|day| day.minutes).collect()
        };
        let (now, later) = (minutes(&now), minutes(&later));
        let differing = now.iter().zip(&later).filter(|(now, later)| now != later);
        let (mut count, mut most) = (0, 0);
        for (now, later) in differing {
            count += 1;
            most = most.max((now - later).abs());
        }
        assert!(count <= 24 && most <= 60, "patient {index}: {count} days differ, by {most} minutes at most");
    }
}

#[test]
fn an_earlier_export_is_the_beginning_of_a_later_one() {
    let (early, late) = (cohort(&["clinic.cut_days=500"]), cohort(&[]));
    for index in 0..60 {
        let (early, late) = (early.patient(index).0, late.patient(index).0);
        let closed = early.wear_periods.iter().take_while(|worn| worn.to.is_some()).count();
        assert_eq!(early.wear_periods[..closed], late.wear_periods[..closed], "patient {index}");
        let visits = early.appointments.unwrap();
        assert_eq!(visits[..], late.appointments.unwrap()[..visits.len()], "patient {index}");
        let log = early.wear_log.unwrap_or_default();
        assert_eq!(log[..], late.wear_log.unwrap_or_default()[..log.len()], "patient {index}");
    }
}
