//! The derived values of a record, by the definitions of the format, for the answer key.

use oar_schema::derived::{course, irregularity_index};
use oar_schema::number::Hundredths;
use oar_schema::record::Record;
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;

use crate::key::truths;

truths! {
    /// What a reader may want to compute of a record; null where the record does not hold what it takes. Shares have four places.
    Derived {
        /// Whole days from the first tray to the export.
        treatment_day: Option<i32>,
        /// Logged minutes over goal minutes times days logged, over the whole log.
        wear_share: Option<f64>,
        /// Days with an entry over days on which a tray was in.
        coverage: Option<f64>,
        /// Share of logged days with at least the floor.
        days_at_floor: Option<f64>,
        /// Longest run of consecutive logged days under the floor.
        low_run: Option<i32>,
        /// The day on which the tray that is in may be changed.
        tray_due: Option<Date>,
        /// Days beyond it.
        days_over: Option<i32>,
        /// Trays of the longer arch after the one that is in.
        trays_left: Option<i32>,
        /// Median days of the completed trays of the series that is worn.
        pace_days: Option<f64>,
        /// The day on which the series ends at that pace.
        projected_end: Option<Date>,
        /// Whether few trays are left and no later series is planned.
        rescan_due: Option<bool>,
        /// Contacts with a planned reduction that is due.
        reductions_due: Option<Vec<[Tooth; 2]>>,
        /// Little's index of the first assessment, upper and lower.
        irregularity_mm: [Option<Hundredths>; 2],
    }
}

/// Works them out.
pub fn of(record: &Record, today: Date) -> Derived {
    let log = record.wear_log.as_deref().unwrap_or_default();
    let first = record.assessments.as_ref().and_then(|assessments| assessments.first()?.contact_offsets_mm.clone());
    let index = |offsets: Option<Vec<Hundredths>>| offsets.and_then(|offsets| irregularity_index(&offsets));
    let prescription = &record.prescription;
    Derived {
        treatment_day: course::treatment_day(record, today),
        wear_share: course::wear_share(log, prescription.wear_goal_minutes).map(places),
        coverage: course::coverage(record, today).map(places),
        days_at_floor: course::days_at_floor(log, prescription.wear_floor_minutes).map(places),
        low_run: course::low_run(log, prescription.wear_floor_minutes),
        tray_due: course::tray_due(record),
        days_over: course::days_over(record, today),
        trays_left: course::trays_left(record),
        pace_days: course::pace(record),
        projected_end: course::projected_end(record, today),
        rescan_due: course::rescan_due(record),
        reductions_due: course::reductions_due(record),
        irregularity_mm: first.map_or([None; 2], |offsets| [index(offsets.upper), index(offsets.lower)]),
    }
}

fn places(share: f64) -> f64 {
    (share * 10_000.0).round() / 10_000.0
}
