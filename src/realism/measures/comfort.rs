//! Pain and speech by day.

use oar_schema::record::{Comfort, Speech};
use oar_schema::time::Date;

use super::Measure;
use crate::realism::patient::Patient;
use crate::realism::seen::Seen;

const DAYS: [&str; 14] = ["01", "02", "03", "04", "05", "06", "07", "08", "09", "10", "11", "12", "13", "14"];

/// Spans of days from the first tray, inclusive, in which speech is assessed.
const SPANS: [(&str, i32, i32); 3] = [("days_01_to_03", 1, 3), ("days_28_to_35", 28, 35), ("days_56_to_70", 56, 70)];

pub(super) const MEASURES: &[Measure] = &[
    Measure {
        name: "pain_first_tray",
        unit: "of 10",
        definition: "pain by the day since the first tray was put in, that day being day 1",
        observe: pain_first_tray,
    },
    Measure {
        name: "pain_later_trays",
        unit: "of 10",
        definition: "pain by the day since a later tray was put in, that day being day 1; within the wear period of that tray",
        observe: pain_later_trays,
    },
    Measure {
        name: "speech_changed",
        unit: "%",
        definition: "days on which speech was reported as changed, slightly or clearly, as a share of all days on which it was reported; by days since the first tray, that day being day 1",
        observe: speech_changed,
    },
];

fn told<'r>(patient: &Patient<'r>) -> &'r [Comfort] {
    patient.record.comfort.as_deref().unwrap_or_default()
}

fn day_name(day: i32) -> Option<&'static str> {
    DAYS.get(usize::try_from(day - 1).ok()?).copied()
}

fn pain_first_tray(patient: &Patient<'_>, seen: &mut Seen) {
    for comfort in told(patient).iter().filter(|_| !patient.record.wear_periods.is_empty()) {
        if let Some(day) = day_name(comfort.on.days_since(patient.start) + 1) {
            seen.one_of(["pain_first_tray", day, ""], 100 * i64::from(comfort.pain_0_10));
        }
    }
}

fn pain_later_trays(patient: &Patient<'_>, seen: &mut Seen) {
    for comfort in told(patient) {
        let since = tray_since(patient, comfort.on).filter(|from| *from > patient.start);
        if let Some(day) = since.and_then(|from| day_name(comfort.on.days_since(from) + 1)) {
            seen.one_of(["pain_later_trays", day, ""], 100 * i64::from(comfort.pain_0_10));
        }
    }
}

/// The day on which the tray that was in on a given day had been put in.
fn tray_since(patient: &Patient<'_>, day: Date) -> Option<Date> {
    let worn = &patient.record.wear_periods;
    let next = worn.partition_point(|worn| worn.from <= day);
    worn[..next].last().map(|worn| worn.from)
}

fn speech_changed(patient: &Patient<'_>, seen: &mut Seen) {
    for comfort in told(patient).iter().filter(|_| !patient.record.wear_periods.is_empty()) {
        let day = comfort.on.days_since(patient.start) + 1;
        let span = SPANS.iter().find(|(_, from, to)| (*from..=*to).contains(&day));
        if let (Some((span, _, _)), Some(speech)) = (span, comfort.speech) {
            seen.count(["speech_changed", span, ""], speech != Speech::Unchanged);
        }
    }
}
