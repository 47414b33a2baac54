//! The derived values of a record, by the definitions of the format, for the answer key.

use oar_schema::derived::arches::OfArch;
use oar_schema::derived::values::{Lag, OffAttachment, Values};
use oar_schema::limits::Limits;
use oar_schema::number::Hundredths;
use oar_schema::record::Record;
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;
use serde::Serialize;

/// The values that follow from a record; null when the record does not contain what is needed. Shares have four decimal places.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Derived {
    /// Whole days from the first tray to the export.
    pub treatment_day: Option<i32>,
    /// Logged minutes divided by goal minutes times days logged, over the whole log.
    pub wear_share: Option<f64>,
    /// Share of the days with a tray in that have a log entry.
    pub days_logged: Option<f64>,
    /// Share of logged days that reach the wear minimum.
    pub days_at_minimum: Option<f64>,
    /// Longest run of consecutive logged days below the wear minimum.
    pub low_run: Option<i32>,
    /// The day from which the current tray may be changed.
    pub tray_due: Option<Date>,
    /// Days past that day.
    pub days_overdue: Option<i32>,
    /// Trays of the longer arch after the current one.
    pub trays_left: Option<i32>,
    /// Median days of the completed trays of the current series.
    pub pace_days: Option<f64>,
    /// The day on which the series ends at that pace.
    pub projected_end: Option<Date>,
    /// The state of each arch, upper first, when the arches differ; null when they do not.
    pub per_arch: Option<[OfArch; 2]>,
    /// Whether few trays are left and no later series is planned.
    pub rescan_due: Option<bool>,
    /// Contacts with a planned interproximal reduction that is due.
    pub reductions_due: Option<Vec<[Tooth; 2]>>,
    /// Teeth that lag at the latest check-in; null without check-ins.
    pub lagging_teeth: Option<Vec<Lag>>,
    /// Debonded attachments of the current series.
    pub attachments_debonded: Option<Vec<OffAttachment>>,
    /// Little's index of the first assessment, upper and lower.
    pub irregularity_mm: [Option<Hundredths>; 2],
    /// Bolton's ratios in percent, overall and anterior.
    pub bolton_percent: [Option<Hundredths>; 2],
}

/// Computes them.
pub fn of(record: &Record, today: Date) -> Derived {
    let values = Values::of(record, today, Limits::default().lagging_gap_mm as i32);
    Derived {
        treatment_day: values.treatment_day,
        wear_share: values.wear_share.map(places),
        days_logged: values.days_logged.map(places),
        days_at_minimum: values.days_at_minimum.map(places),
        low_run: values.low_run,
        tray_due: values.tray_due,
        days_overdue: values.days_overdue,
        trays_left: values.trays_left,
        pace_days: values.pace_days,
        projected_end: values.projected_end,
        per_arch: values.per_arch,
        rescan_due: values.rescan_due,
        reductions_due: values.reductions_due,
        lagging_teeth: values.lagging_teeth,
        attachments_debonded: values.attachments_debonded,
        irregularity_mm: values.irregularity_mm,
        bolton_percent: values.bolton_percent,
    }
}

fn places(share: f64) -> f64 {
    (share * 10_000.0).round() / 10_000.0
}
