//! The record: every object of the format, in reading order.

mod care;
mod names;
mod patient;
mod plan;
mod wear;

pub use care::*;
pub use names::*;
pub use patient::*;
pub use plan::*;
pub use wear::*;

use crate::object::object;
use crate::time::Instant;

object! {
    /// One patient's aligner treatment, from the first assessment to retention.
    Record, RecordRow {
        required {
            /// The name of the format; always this text.
            format: Format;
            /// The version of the format that the record follows.
            version: Version;
            /// The record's id, unique in its source system.
            id: Id = r#""QM-0007""#;
            /// The system that wrote the record, and when.
            source: Source;
            /// The patient, under a pseudonym.
            patient: Patient;
            /// The teeth that the patient has.
            dentition: Dentition;
            /// The prescribed wear.
            prescription: Prescription;
            /// The planned series of trays in ascending order: number 0 is the first, 1 and up are refinements.
            series: Vec<Series> [0..=50] = r#"[{"number":0,"trays":{"upper":12,"lower":0},"movements":[{"tooth":11,"from_tray":1,"to_tray":12,"rotation_deg":12}],"attachments":[{"id":"A13","tooth":13,"surface":"facial","shape":"block","from_tray":1,"to_tray":12}]}]"#;
            /// The trays that were worn, in chronological order: one entry for each wear period of one tray.
            wear_periods: Vec<WearPeriod> [0..=5000] = r#"[{"series":0,"tray":7,"arches":"upper","from":"2031-04-04","to":"2031-04-14","ended":"stopped"}]"#;
            /// The current state of the treatment.
            status: Status = r#"{"state":"discontinued","since":"2031-04-14"}"#;
        }
        optional {
            /// Clinical findings at the start, at rescans and at the end, in chronological order.
            assessments: Vec<Assessment> [0..=200];
            /// Trays handed to the patient, in chronological order. Omitted when the source does not know.
            deliveries: Vec<Delivery> [0..=1000];
            /// Minutes of wear for each day, in chronological order. Omitted when the source keeps no log; empty when nothing was logged.
            wear_log: Vec<WearDay> [0..=20000];
            /// Checks of the fit of the trays, remote or chairside, in chronological order.
            check_ins: Vec<CheckIn> [0..=5000];
            /// Attachments bonded, lost and removed, in chronological order.
            attachment_events: Vec<AttachmentEvent> [0..=5000];
            /// Visits to the clinic, attended and missed, in chronological order.
            appointments: Vec<Appointment> [0..=2000];
            /// Comfort reported by the patient for each day, in chronological order.
            comfort: Vec<Comfort> [0..=20000];
            /// The retention phase.
            retention: Retention;
            /// Data that other systems add to the record.
            extensions: Extensions;
        }
    }
}

object! {
    /// The system that wrote the record, and when.
    Source, SourceRow {
        required {
            /// The system that wrote the record.
            system: Id = r#""quillmere-chart""#;
            /// When the record was exported. No event in the record is later than this.
            exported_at: Instant = r#""2031-09-30T18:00:00+02:00""#;
        }
        optional {
            /// The version of that system.
            system_version: Id = r#""4.2""#;
            /// Present only in synthetic records; a real patient's record has none.
            synthetic: Synthetic;
        }
    }
}

object! {
    /// How a synthetic record was generated, so that it can be generated again.
    Synthetic, SyntheticRow {
        required {
            /// The name of the recipe.
            recipe: Id = r#""quillmere-demo""#;
            /// The version of the recipe.
            recipe_version: Id = r#""1.0""#;
            /// The seed of the run.
            seed: i64 [0..=9_007_199_254_740_991] = "7";
            /// The index of the record in the run, counted from 0.
            index: i64 [0..=9_007_199_254_740_991] = "3";
        }
        optional {}
    }
}
