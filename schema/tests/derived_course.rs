//! Values about the course of the base record, worked out by hand.

#![expect(clippy::unwrap_used, reason = "a test stops where its own files are not as it takes them to be")]

use oar_schema::derived::course;
use oar_schema::record::{Record, WearEnd, WearSource};
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;

fn base() -> (Record, Date) {
    let record: Record = serde_json::from_str(include_str!("../../tests/base.oar.json")).unwrap();
    (record, Date::new(2031, 5, 10).unwrap())
}

fn tooth(fdi: u8) -> Tooth {
    Tooth::new(fdi).unwrap()
}

#[test]
fn the_base_record_by_hand() {
    let (record, today) = base();
    // Worn from 3 February on: 25 days of February after the first, 31 of March, 30 of April, 10 of May.
    assert_eq!(course::treatment_day(&record, today), Some(25 + 31 + 30 + 10));
    // Tray 3 of series 1 since 5 May, 7 days prescribed, no hold.
    assert_eq!(course::tray_due(&record), Date::new(2031, 5, 12));
    assert_eq!(course::days_overdue(&record, today), None);
    assert_eq!(course::days_overdue(&record, Date::new(2031, 5, 15).unwrap()), Some(3));
    assert_eq!(course::trays_left(&record), Some(1));
    // Trays 1 and 2 took 7 and 11 days.
    assert_eq!(course::pace(&record), Some(9.0));
    assert_eq!(course::projected_end(&record, today), Date::new(2031, 5, 21));
    assert_eq!(course::rescan_due(&record), Some(true));
    assert_eq!(course::reductions_due(&record), Some(Vec::new()));
    let log = record.wear_log.as_deref().unwrap();
    let minutes = 1256 + 1331 + 1318 + 1342 + 1307 + 1325 + 1214 + 1243 + 1336 + 1329 + 1312 + 1287 + 1321 + 1239;
    let close = |value: Option<f64>, wanted: f64| assert!((value.unwrap() - wanted).abs() < 1e-9, "{value:?} {wanted}");
    close(course::wear_share(log, 1320), f64::from(minutes) / (1320.0 * 14.0));
    close(course::days_at_minimum(log, 1300), 9.0 / 14.0);
    close(course::days_logged(&record, today), 14.0 / 97.0);
    assert_eq!(course::low_run(log, 1200), Some(0));
    // 23 March alone, 29 and 30 March, 3 April alone, 5 April alone.
    assert_eq!(course::low_run(log, 1300), Some(2));
}

#[test]
fn holds_reductions_and_lags_count() {
    let (mut record, _) = base();
    // As it stood on 26 February: tray 3 of series 0 since the 17th, held for 3 days on the 23rd.
    record.wear_periods.truncate(3);
    let last = record.wear_periods.last_mut().unwrap();
    (last.to, last.ended) = (None, None);
    record.check_ins.as_mut().unwrap().truncate(2);
    assert_eq!(course::tray_due(&record), Date::new(2031, 2, 27));
    assert_eq!(course::lagging_teeth(&record, 50), [(tooth(22), 1)]);
    assert_eq!(course::lagging_teeth(&record, 10), [(tooth(13), 1), (tooth(22), 2), (tooth(33), 1)]);
    // The reductions before tray 4 were made on 24 February; without that visit they are due.
    assert_eq!(course::reductions_due(&record), Some(Vec::new()));
    record.appointments.as_mut().unwrap()[1].interproximal_reductions = None;
    let contacts = vec![[tooth(11), tooth(21)], [tooth(31), tooth(41)]];
    assert_eq!(course::reductions_due(&record), Some(contacts));
    assert_eq!(course::rescan_due(&record), Some(false));
}

#[test]
fn a_day_has_one_value_whatever_its_sources_are() {
    let (record, _) = base();
    let mut log = record.wear_log.unwrap();
    let before = (course::wear_share(&log, 1320), course::low_run(&log, 1300));
    // What the patient tells of a measured day, before and after the measured entry, changes nothing.
    for place in [7, 8] {
        let mut printed = log[7].clone();
        (printed.source, printed.minutes) = (WearSource::Patient, 1400);
        log[7].source = WearSource::Sensor;
        let mut both = log.clone();
        both.insert(place, printed);
        assert_eq!((course::wear_share(&both, 1320), course::low_run(&both, 1300)), before);
    }
}

#[test]
fn coverage_is_unknown_without_a_log_and_counts_days_with_a_tray_only() {
    let (mut record, today) = base();
    let covered = course::days_logged(&record, today);
    let mut early = record.wear_log.as_ref().unwrap()[0].clone();
    early.on = record.wear_periods[0].from.plus_days(-1);
    record.wear_log.as_mut().unwrap().insert(0, early);
    assert_eq!(course::days_logged(&record, today), covered);
    record.wear_log = Some(Vec::new());
    assert_eq!(course::days_logged(&record, today), Some(0.0));
    record.wear_log = None;
    assert_eq!(course::days_logged(&record, today), None);
}

#[test]
fn a_lost_tray_is_completed_by_the_one_that_is_made_anew() {
    let (mut record, _) = base();
    // Trays 1 and 2 of series 1 took 7 and 11 days; now tray 2 was lost on the third day, and 8 more went by with another one.
    let at = record.wear_periods.len() - 2;
    let mut anew = record.wear_periods[at].clone();
    let lost = &mut record.wear_periods[at];
    (lost.to, lost.ended) = (Some(lost.from.plus_days(3)), Some(WearEnd::Lost));
    anew.from = lost.from.plus_days(3);
    record.wear_periods.insert(at + 1, anew);
    assert_eq!(course::pace(&record), Some(9.0));
    // Never made anew, it is not completed.
    record.wear_periods.remove(at + 1);
    assert_eq!(course::pace(&record), Some(7.0));
}
