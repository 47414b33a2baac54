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
            /// What this file is: always the same text.
            format: Format;
            /// The version of the format that the record follows.
            version: Version;
            /// The record's id, unique in its source system.
            id: Id = r#""QM-0007""#;
            /// Who wrote the record and when.
            source: Source;
            /// Whose treatment it is, without identity.
            patient: Patient;
            /// Which teeth there are.
            dentition: Dentition;
            /// How the trays are to be worn.
            prescription: Prescription;
            /// The planned sets of trays: number 0 is the first, 1 and on are refinements, in that order.
            series: Vec<Series> [0..=50] = r#"[{"number":0,"trays":{"upper":12,"lower":0},"movements":[{"tooth":11,"from_tray":1,"to_tray":12,"rotation_deg":12}],"attachments":[{"id":"A13","tooth":13,"surface":"facial","shape":"rectangular","from_tray":1,"to_tray":12}]}]"#;
            /// Which tray was in the mouth, in the order of time: one entry for each stretch of wearing one tray.
            worn: Vec<Worn> [0..=5000] = r#"[{"series":0,"tray":7,"arches":"upper","from":"2031-04-04","to":"2031-04-14","ended":"stopped"}]"#;
            /// Where the treatment stands.
            status: Status = r#"{"state":"discontinued","since":"2031-04-14"}"#;
        }
        optional {
            /// Findings at the start, at rescans and at the end, in the order of time.
            assessments: Vec<Assessment> [0..=200];
            /// Trays handed over, in the order of time. Left out when the source does not know.
            deliveries: Vec<Delivery> [0..=1000];
            /// Minutes of wear by day, in the order of time. Left out when the source keeps no log; empty when nothing was logged.
            wear_log: Vec<WearDay> [0..=20000];
            /// Looks at how the trays fit, remote or in the chair, in the order of time.
            check_ins: Vec<CheckIn> [0..=5000];
            /// What became of the attachments, in the order of time.
            attachment_events: Vec<AttachmentEvent> [0..=5000];
            /// Visits to the clinic, kept and missed, in the order of time.
            visits: Vec<Visit> [0..=2000];
            /// How the patient felt, by day, in the order of time.
            comfort: Vec<Comfort> [0..=20000];
            /// The retention phase.
            retention: Retention;
            /// What others add to the record.
            extensions: Extensions;
        }
    }
}

object! {
    /// Who wrote the record and when.
    Source, SourceRow {
        required {
            /// The system that wrote the record.
            system: Id = r#""quillmere-chart""#;
            /// When it was written: now, for this record. Nothing recorded lies after it.
            exported_at: Instant = r#""2031-09-30T18:00:00+02:00""#;
        }
        optional {
            /// The version of that system.
            system_version: Id = r#""4.2""#;
            /// Stands in records that were made up; a real patient's record has none.
            synthetic: Synthetic;
        }
    }
}

object! {
    /// How a made-up record was made, so that it can be made again.
    Synthetic, SyntheticRow {
        required {
            /// The name of the recipe.
            recipe: Id = r#""quillmere-demo""#;
            /// The version of the recipe.
            recipe_version: Id = r#""1.0""#;
            /// The seed of the run.
            seed: i64 [0..=9_007_199_254_740_991] = "7";
            /// The place of the record in the run, from 0.
            index: i64 [0..=9_007_199_254_740_991] = "3";
        }
        optional {}
    }
}
