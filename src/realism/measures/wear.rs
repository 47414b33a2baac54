//! Logged wear.

use oar_schema::record::{WearDay, WearSource};
use oar_schema::time::Date;

use super::Measure;
use crate::realism::patient::Patient;
use crate::realism::seen::{Seen, plain};

/// The wear that the studies require, in minutes a day: 22 hours (Timm 2021, 2022).
const FULL_DAY: i64 = 22 * 60;
/// How many logged trays a patient needs to be classified.
const TRAYS: usize = 4;

pub(super) const MEASURES: &[Measure] = &[
    Measure {
        name: "wear_class",
        unit: "%",
        definition: "patients by the share of their completed trays that were worn 22 hours a day, as the mean of the logged days of each tray: full from 75 %, fair from 50 %, poor below 50 %. Only patients with a prescription of 22 hours or more and at least four such trays. Wear is as reported or timed; the sensor is used where neither exists",
        observe: wear_class,
    },
    Measure {
        name: "trays_worn_fully",
        unit: "%",
        definition: "for each patient, the share of trays worn 22 hours a day, as for wear_class",
        observe: trays_worn_fully,
    },
    Measure {
        name: "wear_hours",
        unit: "hours",
        definition: "for each patient, the mean hours of wear over all logged days, by source",
        observe: wear_hours,
    },
    Measure {
        name: "reported_over_measured",
        unit: "hours",
        definition: "for each patient, the mean of reported or timed hours minus hours measured by a sensor, over days with both",
        observe: reported_over_measured,
    },
];

/// The mean minutes of the days with an entry in [from, to).
fn mean_minutes(log: &[&WearDay], from: Date, to: Date) -> Option<i64> {
    let first = log.partition_point(|day| day.on < from);
    let days = log[first..].iter().take_while(|day| day.on < to);
    let (sum, n) = days.fold((0, 0), |(sum, n), day| (sum + i64::from(day.minutes), n + 1));
    (n > 0).then(|| sum / n)
}

/// How many trays are logged, and how many of them were fully worn.
fn trays(patient: &Patient<'_>) -> Option<(usize, usize)> {
    let log = patient.record.wear_log.as_ref()?;
    let told = log.iter().any(|day| day.source != WearSource::Sensor);
    let log: Vec<&WearDay> = log.iter().filter(|day| !told || day.source != WearSource::Sensor).collect();
    if i64::from(patient.record.prescription.wear_goal_minutes) < FULL_DAY {
        return None;
    }
    let closed = patient.record.wear_periods.iter().filter_map(|worn| Some((worn.from, worn.to?)));
    let means: Vec<i64> = closed.filter_map(|(from, to)| mean_minutes(&log, from, to)).collect();
    let full = means.iter().filter(|mean| **mean >= FULL_DAY).count();
    (means.len() >= TRAYS).then_some((means.len(), full))
}

fn wear_class(patient: &Patient<'_>, seen: &mut Seen) {
    let Some((all, full)) = trays(patient) else { return };
    seen.share(["wear_class", "full", ""], 4 * full >= 3 * all);
    seen.share(["wear_class", "fair", ""], 2 * full >= all && 4 * full < 3 * all);
    seen.share(["wear_class", "poor", ""], 2 * full < all);
}

fn trays_worn_fully(patient: &Patient<'_>, seen: &mut Seen) {
    if let Some((all, full)) = trays(patient) {
        seen.value(plain("trays_worn_fully"), (10_000 * full / all) as i64);
    }
}

fn source_name(source: WearSource) -> &'static str {
    match source {
        WearSource::Patient => "patient",
        WearSource::Sensor => "sensor",
        WearSource::Timer => "timer",
    }
}

fn wear_hours(patient: &Patient<'_>, seen: &mut Seen) {
    let Some(log) = &patient.record.wear_log else { return };
    for source in [WearSource::Patient, WearSource::Sensor, WearSource::Timer] {
        let days = log.iter().filter(|day| day.source == source);
        let (sum, n) = days.fold((0i64, 0), |(sum, n), day| (sum + i64::from(day.minutes), n + 1));
        if n > 0 {
            seen.value(["wear_hours", source_name(source), ""], sum * 100 / (n * 60));
        }
    }
}

fn reported_over_measured(patient: &Patient<'_>, seen: &mut Seen) {
    let Some(log) = &patient.record.wear_log else { return };
    let (mut sum, mut n) = (0, 0);
    for day in log.chunk_by(|one, next| one.on == next.on) {
        let told = day.iter().find(|entry| entry.source != WearSource::Sensor);
        let measured = day.iter().find(|entry| entry.source == WearSource::Sensor);
        if let (Some(told), Some(measured)) = (told, measured) {
            sum += i64::from(told.minutes - measured.minutes);
            n += 1;
        }
    }
    if n > 0 {
        seen.value(plain("reported_over_measured"), sum * 100 / (n * 60));
    }
}
