//! The answer key: the truth that records do not show, one line for each patient.

use oar_schema::number::Hundredths;
use oar_schema::record::Id;
use oar_schema::teeth::Tooth;
use oar_schema::time::Date;
use serde_json::{Map, Value};

use crate::derived::Derived;
use crate::json_objects::{HasSchema, truths};
use crate::layers::response::Causes;

/// The JSON Schema of one line of the answer key.
pub fn schema() -> Value {
    let mut schema = Map::new();
    schema.insert("$schema".to_owned(), "https://json-schema.org/draft/2020-12/schema".into());
    schema
        .insert("$id".to_owned(), "https://open-aligner-record.example.org/schema/v1.0/answer_key.schema.json".into());
    schema.insert("title".to_owned(), "Answer key of a synthetic cohort, one line for each patient".into());
    schema.insert("$comment".to_owned(), "CC0-1.0. Generated from the types; do not edit.".into());
    if let Value::Object(truth) = Truth::schema() {
        schema.extend(truth);
    }
    Value::Object(schema)
}

truths! {
    /// The truth about one patient.
    Truth {
        /// The id of the record.
        id: Id,
        /// The index of the record in the run.
        index: u64,
        /// The number of the clinic.
        clinic: u64,
        /// Share of trays that the patient wears as prescribed, in the long run.
        adherence: f64,
        /// How much more the trays of the clinic express than those of other clinics, in log-odds.
        clinic_effect: f64,
        /// How much more is expressed in this patient than in others, in log-odds.
        patient_effect: f64,
        /// True minutes of wear, day by day from the first tray; days without a tray have 0.
        true_minutes: Vec<i32>,
        /// The outcome of each series.
        series: Vec<SeriesTruth>,
        /// Each hold, step back and requested visit, with the reason why the worst tooth lagged.
        holds: Vec<HoldTruth>,
        /// Each attachment that was bonded, with the days on which it was really on.
        attachments: Vec<StoodTruth>,
        /// Each refinement, with the reason for it.
        refinements: Vec<RefinementTruth>,
        /// Values that follow from the record, by definition.
        derived: Derived,
        /// The faults that were planted; none in a clean record.
        faults: Vec<PlantedFault>,
    }

    /// The outcome of one series.
    SeriesTruth {
        /// Its number.
        number: i32,
        /// The true movement of each tooth along the six axes of the format (three in millimetres, three in degrees).
        moved: Vec<ToothMoved>,
    }

    /// The true movement of a tooth.
    ToothMoved {
        /// The tooth.
        tooth: Tooth,
        /// The planned movement.
        planned: [Hundredths; 6],
        /// The achieved movement.
        moved: [Hundredths; 6],
    }

    /// The days on which an attachment was really on its tooth, whether or not anyone noticed that it debonded.
    StoodTruth {
        /// The series.
        series: i32,
        /// Its id in the plan of that series.
        attachment: Id,
        /// The day on which it was bonded, or bonded again.
        from: Date,
        /// The day on which it debonded or was removed; null while it is on.
        to: Option<Date>,
    }

    /// Why a check-in did not advance the patient.
    HoldTruth {
        /// The day.
        on: Date,
        /// The series.
        series: i32,
        /// The tray.
        tray: i32,
        /// The decision, in the words of the format.
        decision: &'static str,
        /// The tooth with the widest fit gap; none when the reason was another one.
        tooth: Option<Tooth>,
        /// The true fit gap there.
        gap_mm: Hundredths,
        /// Shares of the causes; their sum is 1.
        causes: CauseShares,
    }

    /// Shares of the causes of a lag.
    CauseShares {
        /// Movement that trays do not express in this tooth.
        expression: f64,
        /// A debonded attachment.
        attachment: f64,
        /// Planned interproximal reduction that was not carried out.
        room: f64,
        /// Too little wear.
        wear: f64,
    }

    /// Why a refinement was made.
    RefinementTruth {
        /// The number of the new series.
        series: i32,
        /// Whether the previous series was stopped because the trays no longer fitted.
        broken_off: bool,
        /// The remaining deviation, as the clinic scores it, in millimetres.
        left_mm: f64,
        /// The deviation that patient and clinic would have accepted.
        accepted_mm: f64,
        /// Shares of the causes of the remaining deviation, over all teeth.
        causes: CauseShares,
    }

    /// A fault that was planted: what the checker finds, and where.
    PlantedFault {
        /// The rule that finds it.
        rule: &'static str,
        /// Where, as a JSON Pointer (RFC 6901) from the record; empty for the record as a whole.
        pointer: String,
        /// In which of the patient's records: 0 is the record itself, 1 and on are those that were added after it.
        record: u64,
        /// What belongs to it in others of the patient's records.
        elsewhere: Vec<RelatedLocation>,
    }

    /// A place in another record of the patient.
    RelatedLocation {
        /// In which of the patient's records.
        record: u64,
        /// Where, as a JSON Pointer from that record.
        pointer: String,
    }
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
