//! Cohorts of many records: every published statistic can be reached, parts add up, and verdicts are what they say.

use open_aligner_record::Checker;
use open_aligner_record::realism::published::{self, Comparable};
use open_aligner_record::realism::{Observations, Report, Verdict, verdict};
use open_aligner_record::record::Record;
use open_aligner_record::statistics::Estimate;
use open_aligner_record::teeth::Tooth;
use serde_json::{Value, json};

use oar_testing::{BASE, DEMO};

fn demo() -> Vec<Record> {
    let mut checker = Checker::new();
    DEMO.lines().map(|line| checker.read(line.as_bytes()).unwrap()).collect()
}

/// The permanent teeth but the third molars.
fn teeth() -> impl Iterator<Item = u8> {
    Tooth::all().map(u8::from).filter(|fdi| fdi / 10 < 5 && fdi % 10 < 8)
}

/// A record in which every tooth moves along every axis in the direction `sign`, the further the higher `index`.
fn moving(value: &mut Value, sign: f64, index: usize) {
    let wobble = 0.3 + 0.1 * (index % 5) as f64;
    let of = |share: f64| {
        move |tooth: u8| {
            json!({"tooth": tooth, "mesial_mm": 2.0 * sign * share, "facial_mm": sign * share, "occlusal_mm": sign * share,
                "rotation_deg": 12.0 * sign * share, "tip_deg": 8.0 * share, "torque_deg": 12.0 * sign * share})
        }
    };
    let planned = teeth().map(of(1.0)).map(|mut movement| {
        movement["from_tray"] = 1.into();
        movement["to_tray"] = 6.into();
        movement
    });
    value["series"][0]["movements"] = planned.collect();
    value["series"][0]["achieved"] =
        json!({"on": "2031-04-17", "movements": teeth().map(of(wobble)).collect::<Vec<_>>()});
}

/// One of many: what it is told by the digits of `index`.
fn one(index: usize) -> Record {
    let mut value: Value = serde_json::from_str(BASE).unwrap();
    let bit = |place: u32| index >> place & 1 == 1;
    let pick = |yes: bool, one: &str, other: &str| Value::from(if yes { one } else { other });
    moving(&mut value, if bit(0) { 1.0 } else { -1.0 }, index);
    value["patient"]["sex"] = pick(bit(1), "female", "male");
    value["patient"]["birth_year"] = [2015, 2010, 2000, 1990][index / 4 % 4].into();
    value["prescription"]["follow_up"] = json!({"remote": bit(2), "reminders": bit(3), "sensor": true});
    value["prescription"]["change_interval_days"] = if bit(4) { 7.into() } else { 14.into() };
    value["status"] =
        json!({"state": pick(bit(5), "finished", "fixed"), "since": format!("2031-05-{:02}", 10 + index % 20)});
    value["series"][0]["trays"] = json!({"upper": 6 + 20 * usize::from(bit(1)), "lower": 6});
    value["dentition"]["extracted"] = if bit(3) { json!([{"tooth": 14, "on": "2031-02-04"}]) } else { json!([]) };
    value["dentition"]["absent"] = if bit(2) { json!([12, 15, 35, 31, 32, 14, 18]) } else { json!([]) };
    value["dentition"]["implants"] = json!([]);
    value["dentition"]["pontics"] = json!([]);
    let widths = teeth().map(|tooth| json!({"tooth": tooth, "width_mm": 7.0 + 0.1 * (index % 7) as f64}));
    value["dentition"]["crown_widths"] = widths.collect();
    value["assessments"][0]["overbite_mm"] = (2 * (1 + index % 4)).into();
    value["retention"] = json!({"from": "2031-05-10", "wear_goal_minutes": 1200});
    days(&mut value, index);
    serde_json::from_value(value).unwrap()
}

/// What is told by day.
fn days(value: &mut Value, index: usize) {
    let date = |from: i32, days: i32| {
        open_aligner_record::time::Date::new(2031, 2, 3).unwrap().plus_days(from + days).to_string()
    };
    let low = if index.is_multiple_of(3) { 200 } else { 0 };
    let log = (0..70).flat_map(|day| {
        let of = |minutes: i32, source: &str| json!({"on": date(0, day), "minutes": minutes, "source": source});
        [of(1330 - low, "patient"), of(1250 - low, "sensor")]
    });
    value["wear_log"] = log.collect();
    let comfort = (0..70).map(|day| {
        let pain = if day < 7 { 6 - day.min(5) } else { i32::from(day % 7 == 0) };
        json!({"on": date(0, day), "pain_0_10": pain, "speech": if day < 4 || day == 60 { "changed" } else { "unchanged" }})
    });
    value["comfort"] = comfort.collect();
    let visit = |day: i32, reason: &str, attended: bool| {
        json!({"on": date(0, day), "reason": reason, "attended": attended,
        "interproximal_reductions": if day == 50 { json!([{"between": [11, 21], "amount_mm": 0.1}, {"between": [31, 41], "amount_mm": 0.1}]) } else { json!([]) }})
    };
    let missed = index.is_multiple_of(2);
    value["appointments"] = json!([
        visit(0, "bonding", true),
        visit(20, "bonding", !missed),
        visit(50, "review", true),
        visit(80, "urgent", true)
    ]);
    value["series"][1]["interproximal_reductions"] = json!([{"between": [11, 21], "amount_mm": 0.3, "before_tray": 4}]);
    value["attachment_events"] = json!([
        {"on": date(0, 0), "series": 0, "attachment": "A13", "event": "bonded"},
        {"on": date(0, 0), "series": 0, "attachment": "A22", "event": "bonded"},
        {"on": date(0, 10 + (index % 9) as i32), "series": 0, "attachment": "A22", "event": "debonded"}]);
    // One attachment of a patient who began long before the rest stays on for a year.
    if index == 0 {
        value["attachment_events"][0]["on"] = "2030-02-03".into();
    }
}

fn many() -> Observations {
    let mut cohort = Observations::default();
    (0..128).for_each(|index| cohort.add(&one(index)));
    cohort
}

#[test]
fn every_row_that_can_be_compared_is_told_by_some_cohort() {
    let (cohort, table) = (many(), published::read(published::TABLE).unwrap());
    let report = Report::new(&cohort, &table, 1);
    let comparable = report.rows.iter().filter(|row| row.published.comparable != Comparable::No);
    // Nobody has an odds ratio or a quarter of six teeth where all or none have it.
    let silent: Vec<&str> =
        comparable.filter(|row| row.cohort.is_none()).map(|row| row.published.id.as_str()).collect();
    assert!(silent.is_empty(), "{silent:?}");
}

#[test]
fn a_cohort_cut_in_parts_is_the_same_cohort() {
    let records = demo();
    let mut whole = Observations::default();
    records.iter().for_each(|record| whole.add(record));
    for at in [1, 5, 11] {
        let (mut one, mut other) = (Observations::default(), Observations::default());
        records[..at].iter().for_each(|record| one.add(record));
        records[at..].iter().rev().for_each(|record| other.add(record));
        other.merge(one);
        assert!(other == whole, "cut at {at}");
    }
}

#[test]
fn what_is_held_does_not_grow_when_the_same_values_come_again() {
    // The number of counts is that of different values: twice the cohort has no more of them.
    let once = many();
    let mut twice = once.clone();
    twice.merge(many());
    let size = |cohort: &Observations| format!("{cohort:?}").matches(": ").count();
    assert_eq!(size(&once), size(&twice));
    assert_eq!(twice.records, 256);
}

#[test]
fn verdicts_are_what_they_say() {
    let seen = |value: f64, half: f64| Estimate { value, interval: Some((value - half, value + half)), n: 99, how: "" };
    let against = |value: f64, half: f64| verdict(&seen(value, half), Some(10.0), Some(20.0));
    assert_eq!(against(10.0, 0.0), Verdict::Inside);
    assert_eq!(against(24.9, 0.0), Verdict::Near, "within half the width");
    assert_eq!(against(25.1, 0.0), Verdict::Outside);
    assert_eq!(against(4.0, 6.0), Verdict::Near, "the intervals touch");
    assert_eq!(verdict(&seen(30.0, 1.0), Some(10.0), None), Verdict::Inside);
    assert_eq!(verdict(&seen(9.0, 0.5), Some(10.0), None), Verdict::Outside);
    assert_eq!(verdict(&seen(2.0, 0.0), Some(1.0), Some(1.0)), Verdict::Near, "the next rank");
    assert_eq!(verdict(&seen(3.0, 0.0), Some(1.0), Some(1.0)), Verdict::Outside);
}

#[test]
fn few_are_not_compared() {
    let mut cohort = Observations::default();
    demo().iter().for_each(|record| cohort.add(record));
    let table = published::read(published::TABLE).unwrap();
    let report = Report::new(&cohort, &table, 20);
    assert_eq!(report.count(Verdict::NotComparable, |row| row.cohort.is_some_and(|seen| seen.n < 20)), {
        report.rows.iter().filter(|row| row.cohort.is_some_and(|seen| seen.n < 20)).count()
    });
    assert!(report.rows.iter().all(|row| (row.verdict == Verdict::NotComparable) != row.reason.is_empty()));
}

#[test]
fn studies_that_conflict_count_once_by_the_nearest() {
    let table = published::read(published::TABLE).unwrap();
    let rows: Vec<_> =
        table.into_iter().filter(|row| row.id == "otago_2013_no_show" || row.id == "otago_2019_no_show").collect();
    let mut cohort = Observations::default();
    // One of nine appointments was missed: 11.1 %, inside 12.9 ± 3 and near 16.1 ± 3.
    let visits =
        (0..9).map(|at| json!({"on": format!("2031-03-{:02}", 10 + at), "reason": "review", "attended": at > 0}));
    let mut value: Value = serde_json::from_str(BASE).unwrap();
    value["appointments"] = visits.collect();
    cohort.add(&serde_json::from_value(value).unwrap());
    let report = Report::new(&cohort, &rows, 1);
    let of = |verdict| (report.count(verdict, |_| true), report.count_at_best(verdict));
    assert_eq!((of(Verdict::Inside), of(Verdict::Near)), ((1, 1), (1, 0)));
}

/// Timm 2021 and 2022 saw patients of one app; Proffit 1998 and Buschang 2003 read one survey.
#[test]
fn studies_of_one_data_set_count_once() {
    let table = published::read(published::TABLE).unwrap();
    let ids = ["proffit_1998_severe", "buschang_2003_severe", "castroflorio_2023_female"];
    let rows: Vec<_> = table.iter().filter(|row| ids.contains(&row.id.as_str())).cloned().collect();
    let mut cohort = Observations::default();
    cohort.add(&serde_json::from_str(BASE).unwrap());
    let report = Report::new(&cohort, &rows, 1);
    let all = |count: &dyn Fn(Verdict) -> usize| Verdict::ALL.into_iter().map(count).sum::<usize>();
    assert_eq!(all(&|verdict| report.count(verdict, |_| true)), 3);
    assert_eq!(all(&|verdict| report.count_at_best(verdict)), 3, "severe of adults, severe of all, female");
    assert_eq!(all(&|verdict| report.count_by_data(verdict)), 2, "severe of one survey, female");
    let data = |id: &str| table.iter().find(|row| row.id == id).unwrap().data();
    for (one, other) in [
        ("timm_2021_poor", "timm_2022_poor_before"),
        ("meade_2023_female", "abasseri_2024_female"),
        ("brunelle_1996_overbite", "marquette_2013_overbite"),
        ("kravitz_2009_extrusion", "rossini_2015_extrusion"),
        ("simon_2014_distal", "rossini_2015_distal"),
    ] {
        assert_eq!(data(one), data(other));
    }
    assert_ne!(data("kravitz_2009_all"), data("kravitz_2023_age"));
    assert_eq!(data("castroflorio_2023_female"), "castroflorio_2023");
}

/// A recipe that was tuned on one publication of a data set knows what the others of it say.
#[test]
fn what_one_publication_tuned_the_others_of_its_data_do_not_confirm() {
    let table = published::read(published::TABLE).unwrap();
    let severe = table.iter().find(|row| row.id == "proffit_1998_severe").unwrap();
    assert_eq!(severe.tuned_in, "");
    let mut value: Value = serde_json::from_str(BASE).unwrap();
    value["source"]["synthetic"]["recipe"] = json!("general");
    let mut cohort = Observations::default();
    cohort.add(&serde_json::from_value(value).unwrap());
    assert!(cohort.recipes.contains_key("general"), "{:?}", cohort.recipes);
    let tuned = |ids: &[&str]| {
        let rows: Vec<_> = table.iter().filter(|row| ids.contains(&row.id.as_str())).cloned().collect();
        let report = Report::new(&cohort, &rows, 1);
        let severe = report.rows.iter().find(|row| row.published.id == "proffit_1998_severe").unwrap();
        report.is_tuned(severe)
    };
    assert!(tuned(&["proffit_1998_severe", "buschang_2003_severe"]));
    assert!(!tuned(&["proffit_1998_severe", "castroflorio_2023_female"]));
}
