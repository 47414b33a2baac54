//! All derived values of a record.

use super::arches::{self, OfArch};
use super::bonds::{self, Need};
use super::{bolton_anterior, bolton_overall, course, irregularity_index};
use crate::number::Hundredths;
use crate::record::{CrownWidthRow, Id, Record};
use crate::teeth::Tooth;
use crate::time::Date;

/// A lagging tooth, and for how many consecutive check-ins it has lagged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[non_exhaustive]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Lag {
    /// The tooth.
    pub tooth: Tooth,
    /// Consecutive check-ins, including the latest, at which its fit gap was at least the threshold.
    pub check_ins: i32,
}

/// A debonded attachment.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[non_exhaustive]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct OffAttachment {
    /// Its id in the plan of the series.
    pub attachment: Id,
    /// Its tooth.
    pub tooth: Tooth,
    /// Whether it is needed: now, later or not.
    pub needed: &'static str,
}

/// The values that follow from a record on a day. A value is `None` when the record does not contain what it needs. Each is
/// defined in `docs/reference/derived.md`.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[non_exhaustive]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Values {
    /// Whole days from the first tray to the day.
    pub treatment_day: Option<i32>,
    /// Logged minutes divided by goal minutes times days logged, over the whole log.
    pub wear_share: Option<f64>,
    /// Share of the days with a tray in that have a log entry.
    pub days_logged: Option<f64>,
    /// Share of logged days that reach the wear minimum.
    pub days_at_minimum: Option<f64>,
    /// Longest run of consecutive logged days below the wear minimum.
    pub low_run: Option<i32>,
    /// The day from which the current tray may be changed; the earlier one when the arches differ.
    pub tray_due: Option<Date>,
    /// Days past that day.
    pub days_overdue: Option<i32>,
    /// Trays of the longer arch after the current one; when each arch wears its own, the larger number.
    pub trays_left: Option<i32>,
    /// Median days of the completed trays of the current series.
    pub pace_days: Option<f64>,
    /// The day on which the series ends at that pace; when the arches differ, the later of their days.
    pub projected_end: Option<Date>,
    /// The state of each arch, upper first. Only when the arches differ.
    #[cfg_attr(feature = "serde", serde(skip_serializing_if = "Option::is_none"))]
    #[cfg_attr(feature = "schemas", schemars(with = "[OfArch; 2]"))]
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

impl Values {
    /// Computes them for a record in which nothing is dated after `day`. A tooth lags when its fit gap is at least `lagging_gap`
    /// hundredths of a millimetre.
    pub fn of(record: &Record, day: Date, lagging_gap: i32) -> Self {
        let log = record.wear_log.as_deref().unwrap_or_default();
        let first =
            record.assessments.as_ref().and_then(|assessments| assessments.first()?.contact_displacements_mm.as_ref());
        let index = |offsets: Option<&Vec<Hundredths>>| offsets.and_then(|offsets| irregularity_index(offsets));
        let widths = record.dentition.crown_widths.iter().flatten();
        let widths: Vec<CrownWidthRow> =
            widths.map(|one| CrownWidthRow { tooth: one.tooth, width_mm: one.width_mm }).collect();
        let prescription = &record.prescription;
        Self {
            treatment_day: course::treatment_day(record, day),
            wear_share: course::wear_share(log, prescription.wear_goal_minutes),
            days_logged: course::days_logged(record, day),
            days_at_minimum: course::days_at_minimum(log, prescription.wear_minimum_minutes),
            low_run: course::low_run(log, prescription.wear_minimum_minutes),
            tray_due: course::tray_due(record),
            days_overdue: course::days_overdue(record, day),
            trays_left: course::trays_left(record),
            pace_days: course::pace(record),
            projected_end: course::projected_end(record, day),
            per_arch: arches::per_arch(record, day),
            rescan_due: course::rescan_due(record),
            reductions_due: course::reductions_due(record),
            lagging_teeth: lagging(record, lagging_gap),
            attachments_debonded: bonds::off(record).map(|off| off.iter().map(Into::into).collect()),
            irregularity_mm: first
                .map_or([None; 2], |offsets| [index(offsets.upper.as_ref()), index(offsets.lower.as_ref())]),
            bolton_percent: [bolton_overall(&widths), bolton_anterior(&widths)],
        }
    }
}

/// None without check-ins.
fn lagging(record: &Record, least: i32) -> Option<Vec<Lag>> {
    record.check_ins.as_ref().filter(|check_ins| !check_ins.is_empty())?;
    let teeth = course::lagging_teeth(record, least).into_iter();
    Some(teeth.map(|(tooth, check_ins)| Lag { tooth, check_ins }).collect())
}

impl From<&bonds::Off<'_>> for OffAttachment {
    fn from(off: &bonds::Off<'_>) -> Self {
        let needed: Need = off.need;
        Self { attachment: off.attachment.id.clone(), tooth: off.attachment.tooth, needed: needed.as_str() }
    }
}
