//! The answer key: what the records do not show, one line for each patient.

use oar_schema::number::Hundredths;
use oar_schema::record::Id;
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;
use serde::Serialize;

use crate::layers::response::Causes;

/// What is true of one patient.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Truth {
    /// The id of the record.
    pub id: Id,
    /// The place of the record in the run.
    pub index: u64,
    /// The number of the clinic.
    pub clinic: u64,
    /// Share of trays that the patient wears as prescribed, in the long run.
    pub adherence: f64,
    /// How much more the clinic's trays express than those of others, in log-odds.
    pub clinic_effect: f64,
    /// How much more is expressed in this patient than in others, in log-odds.
    pub patient_effect: f64,
    /// True minutes of wear, day by day from the first tray; days without a tray have 0.
    pub true_minutes: Vec<i32>,
    /// What became of each series.
    pub series: Vec<SeriesTruth>,
    /// Each hold, step back and call to the clinic, with why the worst tooth was behind.
    pub holds: Vec<HoldTruth>,
    /// Each refinement, with the teeth that it was made for.
    pub refinements: Vec<RefinementTruth>,
    /// Values that follow from the record, by definition.
    pub derived: crate::derived::Derived,
}

/// What became of one series.
#[derive(Clone, Debug, Default, Serialize)]
pub struct SeriesTruth {
    /// Its number.
    pub number: i32,
    /// How far each tooth truly moved along the six axes of the format (three in millimetres, three in degrees).
    pub moved: Vec<ToothMoved>,
}

/// How far a tooth truly moved.
#[derive(Clone, Debug, Serialize)]
pub struct ToothMoved {
    /// The tooth.
    pub tooth: Tooth,
    /// What was planned.
    pub planned: [Hundredths; 6],
    /// What was reached.
    pub moved: [Hundredths; 6],
}

/// Why a check-in did not let the patient go on.
#[derive(Clone, Debug, Serialize)]
pub struct HoldTruth {
    /// The day.
    pub on: Date,
    /// The series.
    pub series: i32,
    /// The tray.
    pub tray: i32,
    /// What was decided, in the words of the format.
    pub decision: &'static str,
    /// The tooth with the widest gap; none when the reason was another one.
    pub tooth: Option<Tooth>,
    /// The true gap there.
    pub gap_mm: Hundredths,
    /// Shares of the causes, adding up to 1.
    pub causes: CauseShares,
}

/// Shares of the causes of a lag.
#[derive(Clone, Copy, Debug, Default, Serialize)]
pub struct CauseShares {
    /// What trays do not express in this tooth.
    pub expression: f64,
    /// An attachment that was off.
    pub attachment: f64,
    /// Enamel that was planned to go and is still there.
    pub room: f64,
    /// Too little wear.
    pub wear: f64,
}

impl CauseShares {
    /// The shares of what was added up.
    pub fn of(causes: Causes) -> Self {
        let Causes { expression, attachment, room, wear } = causes;
        let sum = (expression + attachment + room + wear).max(1e-9);
        let share = |part: f64| (part / sum * 1000.0).round() / 1000.0;
        Self { expression: share(expression), attachment: share(attachment), room: share(room), wear: share(wear) }
    }
}

/// Why a refinement was made.
#[derive(Clone, Debug, Serialize)]
pub struct RefinementTruth {
    /// The number of the new series.
    pub series: i32,
    /// Whether the series before was broken off because the trays no longer fitted.
    pub broken_off: bool,
    /// What was left, as the clinic scores it, in millimetres.
    pub left_mm: f64,
    /// What patient and clinic would have accepted.
    pub accepted_mm: f64,
    /// Shares of the causes of what was left, over all teeth.
    pub causes: CauseShares,
}
