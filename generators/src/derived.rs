//! Values that follow from a record, by the definitions of the format.

use oar_schema::derived::irregularity_index;
use oar_schema::number::Hundredths;
use oar_schema::record::{Record, WearDay};
use oar_schema::time::Date;

use crate::key::truths;

truths! {
    /// What a reader may want to compute of a record. Values that cannot be given are left out.
    Derived {
        /// Whole days from the first tray to the export.
        treatment_day: Option<i32>,
        /// Logged minutes over goal minutes times days logged, over the whole log.
        wear_share: Option<f64>,
        /// Share of logged days with at least the floor.
        days_at_floor: Option<f64>,
        /// Longest run of consecutive logged days under the floor.
        low_run: Option<i32>,
        /// Little's index of the first assessment, upper and lower.
        irregularity_mm: [Option<Hundredths>; 2],
    }
}

/// Works them out.
pub fn of(record: &Record, today: Date) -> Derived {
    let log = record.wear_log.as_deref().unwrap_or_default();
    let first = record.assessments.as_ref().and_then(|assessments| assessments.first()?.contact_offsets_mm.clone());
    let index = |offsets: Option<Vec<Hundredths>>| offsets.and_then(|offsets| irregularity_index(&offsets));
    let floor = record.prescription.wear_floor_minutes;
    Derived {
        treatment_day: record.worn.first().map(|worn| today.days_since(worn.from)),
        wear_share: share(
            log.iter().map(|day| day.minutes).sum(),
            record.prescription.wear_goal_minutes * log.len() as i32,
        ),
        days_at_floor: share(log.iter().filter(|day| day.minutes >= floor).count() as i32, log.len() as i32),
        low_run: low_run(log, floor),
        irregularity_mm: first.map_or([None; 2], |offsets| [index(offsets.upper), index(offsets.lower)]),
    }
}

fn share(part: i32, whole: i32) -> Option<f64> {
    (whole > 0).then(|| (f64::from(part) / f64::from(whole) * 10_000.0).round() / 10_000.0)
}

fn low_run(log: &[WearDay], floor: i32) -> Option<i32> {
    let mut longest = 0;
    let mut run = 0;
    let mut last: Option<Date> = None;
    for day in log {
        let follows = last.is_some_and(|last| day.date == last.plus_days(1));
        run = match (day.minutes < floor, follows) {
            (true, true) => run + 1,
            (true, false) => 1,
            (false, _) => 0,
        };
        longest = longest.max(run);
        last = Some(day.date);
    }
    last.map(|_| longest)
}
