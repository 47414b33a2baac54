//! The answer key: the truth that records do not show, one line for each patient.

use oar_schema::number::Hundredths;
use oar_schema::record::Id;
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;
use serde::Serialize;

use crate::derived::Derived;
use crate::layers::response::Causes;

/// The truth about one patient.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct Truth {
    /// The id of the record.
    pub id: Id,
    /// The index of the record in the run.
    pub index: u64,
    /// The number of the clinic.
    pub clinic: u64,
    /// Share of trays that the patient wears as prescribed, in the long run.
    pub adherence: f64,
    /// How much more the trays of the clinic express than those of other clinics, in log-odds.
    pub clinic_effect: f64,
    /// How much more is expressed in this patient than in others, in log-odds.
    pub patient_effect: f64,
    /// True minutes of wear, day by day from the first tray; days without a tray have 0.
    pub true_minutes: Vec<i32>,
    /// The outcome of each series.
    pub series: Vec<SeriesTruth>,
    /// Each hold, step back and requested visit, with the reason why the worst tooth lagged.
    pub holds: Vec<HoldTruth>,
    /// Each attachment that was bonded, with the days on which it was really on.
    pub attachments: Vec<StoodTruth>,
    /// Each refinement, with the reason for it.
    pub refinements: Vec<RefinementTruth>,
    /// Values that follow from the record, by definition.
    pub derived: Derived,
    /// The faults that were planted; none in a clean record.
    pub faults: Vec<PlantedFault>,
}

/// The outcome of one series.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct SeriesTruth {
    /// Its number.
    pub number: i32,
    /// The true movement of each tooth along the six axes of the format (three in millimetres, three in degrees).
    pub moved: Vec<ToothMoved>,
}

/// The true movement of a tooth.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct ToothMoved {
    /// The tooth.
    pub tooth: Tooth,
    /// The planned movement.
    pub planned: [Hundredths; 6],
    /// The achieved movement.
    pub moved: [Hundredths; 6],
}

/// The days on which an attachment was really on its tooth, whether or not anyone noticed that it debonded.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct StoodTruth {
    /// The series.
    pub series: i32,
    /// Its id in the plan of that series.
    pub attachment: Id,
    /// The day on which it was bonded, or bonded again.
    pub from: Date,
    /// The day on which it debonded or was removed; null while it is on.
    pub to: Option<Date>,
}

/// Why a check-in did not advance the patient.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct HoldTruth {
    /// The day.
    pub on: Date,
    /// The series.
    pub series: i32,
    /// The tray.
    pub tray: i32,
    /// The decision, in the words of the format.
    pub decision: &'static str,
    /// The tooth with the widest fit gap; none when the reason was another one.
    pub tooth: Option<Tooth>,
    /// The true fit gap there.
    pub gap_mm: Hundredths,
    /// Shares of the causes; their sum is 1.
    pub causes: CauseShares,
}

/// Shares of the causes of a lag.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct CauseShares {
    /// Movement that trays do not express in this tooth.
    pub expression: f64,
    /// A debonded attachment.
    pub attachment: f64,
    /// Planned interproximal reduction that was not carried out.
    pub room: f64,
    /// Too little wear.
    pub wear: f64,
}

/// Why a refinement was made.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct RefinementTruth {
    /// The number of the new series.
    pub series: i32,
    /// Whether the previous series was stopped because the trays no longer fitted.
    pub broken_off: bool,
    /// The remaining deviation, as the clinic scores it, in millimetres.
    pub left_mm: f64,
    /// The deviation that patient and clinic would have accepted.
    pub accepted_mm: f64,
    /// Shares of the causes of the remaining deviation, over all teeth.
    pub causes: CauseShares,
}

/// A fault that was planted: what the checker finds, and where.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct PlantedFault {
    /// The rule that finds it.
    pub rule: &'static str,
    /// Where, as a JSON Pointer (RFC 6901) from the record; empty for the record as a whole.
    pub pointer: String,
    /// In which of the patient's records: 0 is the record itself, 1 and on are those that were added after it.
    pub record: u64,
    /// What belongs to it in others of the patient's records.
    pub elsewhere: Vec<RelatedLocation>,
}

/// A place in another record of the patient.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(deny_unknown_fields))]
pub struct RelatedLocation {
    /// In which of the patient's records.
    pub record: u64,
    /// Where, as a JSON Pointer from that record.
    pub pointer: String,
}

impl CauseShares {
    /// The shares of the sums.
    pub fn of(causes: Causes) -> Self {
        let Causes { expression, attachment, room, wear } = causes;
        // A tooth that is too far along one axis reduces what it lacks along another; that is not a cause.
        let [expression, attachment, room, wear] = [expression, attachment, room, wear].map(|part| part.max(0.0));
        let sum = (expression + attachment + room + wear).max(1e-9);
        let share = |part: f64| (part / sum * 1000.0).round() / 1000.0;
        Self { expression: share(expression), attachment: share(attachment), room: share(room), wear: share(wear) }
    }
}
