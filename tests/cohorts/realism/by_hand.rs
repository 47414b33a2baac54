//! Measures on small records whose values a hand can compute.

use open_aligner_record::Checker;
use open_aligner_record::realism::published::Statistic;
use open_aligner_record::realism::{Asked, Observations};
use open_aligner_record::record::Record;
use open_aligner_record::statistics::Estimate;

use super::near;
use oar_testing::BASE;

fn base() -> Record {
    Checker::new().read(BASE.as_bytes()).unwrap()
}

fn cohort(records: &[Record]) -> Observations {
    let mut cohort = Observations::default();
    records.iter().for_each(|record| cohort.add(record));
    cohort
}

fn estimate(cohort: &Observations, statistic: &str) -> Option<Estimate> {
    cohort.estimate(&Statistic::parse(statistic).unwrap())
}

#[track_caller]
fn value(cohort: &Observations, statistic: &str) -> f64 {
    estimate(cohort, statistic).unwrap_or_else(|| panic!("{statistic} is not there")).value
}

/// The base record finished on a day.
fn finished(day: &str) -> Record {
    let mut record = base();
    record.status = serde_json::from_value(serde_json::json!({"state": "finished", "since": day})).unwrap();
    record
}

fn changed(change: impl Fn(&mut serde_json::Value)) -> Record {
    let mut value = serde_json::from_str(BASE).unwrap();
    change(&mut value);
    serde_json::from_value(value).unwrap()
}

#[test]
fn accuracy_and_what_was_reached() {
    let base = cohort(&[base()]);
    // Tooth 13 turned 3.2 of 6 degrees, 33 turned 2.8 of 5.4: 53.33 and 51.85 %.
    near(value(&base, "mean accuracy:rotation:canine"), f64::midpoint(53.33, 51.85), 0.01);
    near(value(&base, "percent reached:rotation:canine"), 100.0 * 6.0 / 11.4, 1e-9);
    // Tooth 22 came 0.15 of 0.42 mm out; nothing else was to.
    near(value(&base, "mean accuracy:extrusion"), 35.71, 0.01);
    // Tooth 43 leaned 1.6 of 3 degrees lingually, and has another refinement before it: short by 1.4.
    near(value(&base, "percent reached:lingual_torque:lower_canine"), 53.33, 0.01);
    near(value(&base, "median short_by:lingual_torque:lower_canine"), 1.4, 1e-9);
    near(value(&base, "ratio missed_by:rotation:canine"), f64::midpoint(2.8, 2.6), 1e-9);
    assert_eq!(estimate(&base, "mean accuracy:intrusion"), None, "none was planned");
    // Plans of 0.1 mm are too small to count.
    assert_eq!(estimate(&base, "mean accuracy:mesial"), None);
}

#[test]
fn too_far_counts_as_too_short_and_the_wrong_way_as_less_than_nothing() {
    let far = changed(|value| value["series"][0]["achieved"]["movements"][1]["rotation_deg"] = 9.into());
    near(value(&cohort(&[far]), "mean accuracy:rotation:upper_canine"), 50.0, 1e-9);
    let wrong = changed(|value| value["series"][0]["achieved"]["movements"][1]["rotation_deg"] = (-3).into());
    near(value(&cohort(&[wrong]), "mean accuracy:rotation:upper_canine"), -50.0, 1e-9);
}

#[test]
fn a_series_that_was_broken_off_was_planned_to_its_last_tray() {
    // Measured when tray 3 was the highest: half of the 6 degrees of tooth 13 was due.
    let early = changed(|value| value["series"][0]["achieved"]["on"] = "2031-02-20".into());
    near(value(&cohort(&[early]), "percent reached:rotation:upper_canine"), 100.0 * 3.2 / 3.0, 1e-9);
}

#[test]
fn the_course_of_a_completed_treatment() {
    // From 3 February to 4 June are 121 days.
    let one = cohort(&[finished("2031-06-04")]);
    near(value(&one, "mean months"), 121.0 / 30.4375, 0.01);
    near(value(&one, "mean months_over"), (121.0 - 42.0) / 30.4375, 0.011);
    assert_eq!(value(&one, "mean trays_in_all"), 10.0);
    assert_eq!(value(&one, "ratio days_a_tray"), 12.1);
    assert_eq!(value(&one, "percent refinement_trays"), 40.0);
    assert_eq!(value(&one, "median trays_per_arch:first"), 6.0);
    assert_eq!(value(&one, "share refined:once"), 100.0);
    assert_eq!(value(&one, "share refined:twice"), 0.0);
    assert_eq!(value(&one, "share converted"), 0.0);
    assert_eq!(estimate(&cohort(&[base()]), "mean months"), None, "it is not over");
}

#[test]
fn times_end_with_the_event_with_another_or_with_what_is_known() {
    let mut plain = finished("2031-06-04");
    plain.series.truncate(1);
    let records = [base(), plain, finished("2031-07-04")];
    let cohort = cohort(&records);
    let refined = cohort.times(&Asked::parse("to_first_refinement")).unwrap().curve();
    // Two were scanned on day 59, one finished on day 121 without.
    assert_eq!((refined.ended, refined.steps[0].day, refined.steps[0].events), ([2, 1, 0], 59, 2));
    let finish = cohort.times(&Asked::parse("to_finish")).unwrap().curve();
    assert_eq!((finish.ended, finish.steps[0].day, finish.steps[1].day), ([2, 0, 1], 121, 151));
}

#[test]
fn teeth_and_their_widths() {
    let one = cohort(&[base()]);
    // An implant for 36 and a pontic for 12; the third molars do not count.
    assert_eq!(value(&one, "mean missing_teeth"), 2.0);
    assert_eq!(value(&one, "share missing:upper_lateral"), 100.0);
    assert_eq!(value(&one, "share missing:lower_second_premolar"), 0.0);
    assert_eq!(value(&one, "percent missing_share:lower_first_molar"), 50.0);
    assert_eq!(value(&one, "mean crown_width:upper_central@female"), 8.45);
    assert_eq!(value(&one, "share missing@female_from_14_to_29"), 100.0);
    assert_eq!(estimate(&one, "share missing@male_from_14_to_29"), None);
    let child = changed(|value| value["patient"]["birth_year"] = 2020.into());
    assert_eq!(estimate(&cohort(&[child]), "share missing"), None, "teeth may come yet");
}

#[test]
fn wear_is_judged_tray_by_tray() {
    // Five trays of four days, of which logs show 22 hours on the first four.
    let logged = changed(|value| {
        let day = |day: i32| format!("2031-02-{:02}", day + 1);
        let trays = (0..5).map(|tray| {
            serde_json::json!({"series": 0, "tray": tray + 1, "arches": "both",
            "from": day(4 * tray), "to": day(4 * tray + 4), "ended": "advanced"})
        });
        value["wear_periods"] = trays.collect();
        let minutes = |day: i32| if day < 16 { 1320 - 10 * (day % 2) + 10 * ((day + 1) % 2) } else { 1200 };
        let days = (0..20).map(|at| serde_json::json!({"on": day(at), "minutes": minutes(at), "source": "patient"}));
        value["wear_log"] = days.collect();
    });
    let one = cohort(&[logged]);
    assert_eq!(value(&one, "mean trays_worn_fully"), 80.0);
    assert_eq!(value(&one, "share wear_class:full"), 100.0);
    assert_eq!(value(&one, "share wear_class:poor@reminders"), 0.0);
    near(value(&one, "mean wear_hours:patient"), (16.0 * 1320.0 + 4.0 * 1200.0) / 20.0 / 60.0, 0.01);
    assert_eq!(estimate(&cohort(&[base()]), "share wear_class:full"), None, "two trays have a log");
}

#[test]
fn reductions_planned_due_and_done() {
    let record = changed(|value| {
        value["appointments"] = serde_json::json!([{"on": "2031-02-27", "reason": "review", "attended": true,
            "interproximal_reductions": [{"between": [21, 11], "amount_mm": 0.1}, {"between": [12, 11], "amount_mm": 0.3}]},
            {"on": "2031-04-17", "reason": "bonding", "attended": true,
            "interproximal_reductions": [{"between": [11, 21], "amount_mm": 0.2}]}]);
        value["series"][1]["interproximal_reductions"] =
            serde_json::json!([{"between": [11, 21], "amount_mm": 0.3, "before_tray": 2}]);
    });
    let one = cohort(&[record]);
    // Due were 0.2 at each of two contacts of the first series. What had no plan does not count, and what a refinement plans and has
    // done at the same contact is another matter.
    assert_eq!(value(&one, "percent reduction_done:upper"), 50.0);
    assert_eq!(value(&one, "percent reduction_done:lower"), 0.0);
    assert_eq!(value(&one, "percent reduction_done"), 25.0);
    near(value(&one, "mean reduction_short:lower"), 0.2, 1e-12);
    // Teeth 11 and 21 are short by half of 0.1, 31 and 41 by half of 0.2.
    near(value(&one, "ratio reduction_short_a_tooth"), (0.05 + 0.05 + 0.1 + 0.1) / 4.0, 1e-12);
    assert_eq!(value(&one, "share reduction_twice"), 100.0);
    near(value(&one, "percent reduction_in_first"), 200.0 / 3.0, 1e-9);
    near(value(&one, "median reduction_planned:first"), 0.4, 1e-12);
}

#[test]
fn visits_attachments_and_what_is_held_for() {
    let record = changed(|value| {
        value["appointments"] = serde_json::json!([
            {"on": "2031-01-08", "reason": "start", "attended": true},
            {"on": "2031-03-01", "reason": "review", "attended": false},
            {"on": "2031-03-11", "reason": "urgent", "attended": true},
            {"on": "2031-04-10", "reason": "review", "attended": true}]);
        value["attachment_events"] = serde_json::json!([
            {"on": "2031-02-03", "series": 0, "attachment": "A13", "event": "bonded"},
            {"on": "2031-02-03", "series": 0, "attachment": "A22", "event": "bonded"},
            {"on": "2031-03-05", "series": 0, "attachment": "A22", "event": "debonded"},
            {"on": "2031-04-04", "series": 0, "attachment": "A13", "event": "removed"}]);
        value["status"] = serde_json::json!({"state": "finished", "since": "2031-05-06"});
    });
    let one = cohort(&[record]);
    assert_eq!(value(&one, "mean visits"), 2.0, "the first was before the trays, one was missed");
    assert_eq!(value(&one, "mean urgent_visits"), 1.0);
    assert_eq!(value(&one, "percent no_show"), 25.0);
    assert_eq!(value(&one, "median between_visits"), 30.0);
    assert_eq!(value(&one, "mean attachments"), 4.0);
    assert_eq!(value(&one, "mean attachments_lost"), 1.0);
    let loss = one.times(&Asked::parse("to_attachment_loss")).unwrap().curve();
    assert_eq!((loss.ended, loss.steps[0].day, loss.steps[1].day), ([1, 1, 0], 30, 60));
    // Held and stepped back with gaps of 0.6 and 1.1 mm at 22, 0.2 at most elsewhere.
    assert_eq!(value(&one, "ratio lags_at_hold:upper_lateral"), 1.0);
    assert_eq!(value(&one, "rank_highest lags_at_hold:upper_lateral lags_at_hold:upper_canine"), 1.0);
}

#[test]
fn comfort_by_day_of_the_tray() {
    let record = changed(|value| {
        value["comfort"] = serde_json::json!([
            {"on": "2031-02-03", "pain_0_10": 2, "speech": "changed"}, {"on": "2031-02-04", "pain_0_10": 6},
            {"on": "2031-02-05", "pain_0_10": 3, "speech": "unchanged"}, {"on": "2031-02-10", "pain_0_10": 1}]);
    });
    let one = cohort(&[record]);
    assert_eq!(value(&one, "peak_day pain_first_tray"), 2.0);
    assert_eq!(value(&one, "ratio pain_later_trays:01"), 1.0);
    assert_eq!(value(&one, "percent speech_changed:days_01_to_03"), 50.0);
}

#[test]
fn bites_by_class_and_index() {
    let one = cohort(&[base()]);
    assert_eq!(value(&one, "share molar_class:ii"), 100.0);
    assert_eq!(value(&one, "share molar_class:i"), 0.0);
    near(value(&one, "mean irregularity:lower"), 3.8, 1e-12);
    assert_eq!(value(&one, "share irregularity_class:lower:moderate"), 100.0);
    assert_eq!(value(&one, "mean overbite"), 2.5);
}
