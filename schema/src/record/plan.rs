//! The prescription and the plan: series, movements, attachments, interproximal reductions, elastics.

use crate::number::Hundredths;
use crate::object::object;
use crate::record::Id;
use crate::teeth::{Surface, Tooth};
use crate::time::Date;
use crate::words::words;

object! {
    /// The prescribed wear and follow-up.
    Prescription, PrescriptionRow {
        required {
            /// Prescribed minutes of tray wear a day.
            wear_goal_minutes: i32 [0..=1440] = "1320";
            /// The wear minimum: a day with fewer minutes counts as low.
            wear_minimum_minutes: i32 [0..=1440] = "1200";
            /// Prescribed days of wear for each tray.
            change_interval_days: i32 [1..=90] = "10";
        }
        optional {
            /// The interval between check-ins.
            check_in_interval_days: i32 [1..=365] = "10";
            /// How the patient is followed up between visits.
            follow_up: FollowUp;
        }
    }
}

object! {
    /// How the patient is followed up between visits.
    FollowUp, FollowUpRow {
        required {
            /// Whether check-ins are made remotely.
            remote: bool = "true";
            /// Whether the patient gets reminders.
            reminders: bool = "true";
            /// Whether the trays contain a wear sensor.
            sensor: bool = "false";
        }
        optional {}
    }
}

object! {
    /// A planned series of trays. Trays are numbered from 1 in each series.
    Series, SeriesRow {
        required {
            /// 0 for the first series, 1 and up for refinements.
            number: i32 [0..=50] = "0";
            /// The number of trays in each arch.
            trays: ArchCounts;
            /// The planned movements of the teeth, with the trays that make them.
            movements: Vec<Movement> [0..=5000];
        }
        optional {
            /// The day of the scan from which the series was planned.
            scanned_on: Date = r#""2031-01-08""#;
            /// The day on which the trays were ordered.
            ordered_on: Date = r#""2031-01-15""#;
            /// Planned attachments: composite shapes bonded to teeth so that trays can grip them.
            attachments: Vec<Attachment> [0..=500];
            /// Planned interproximal reductions (IPR).
            interproximal_reductions: Vec<PlannedReduction> [0..=200];
            /// Planned elastics.
            elastics: Vec<Elastic> [0..=100];
            /// The movements that the series achieved, measured at the next scan.
            achieved: Achieved;
            /// Data that other systems add to the series.
            extensions: crate::record::Extensions;
        }
    }
}

object! {
    /// The number of trays in each arch; 0 when the arch is not treated.
    ArchCounts, ArchCountsRow {
        required {
            /// Trays of the upper arch.
            upper: i32 [0..=200] = "24";
            /// Trays of the lower arch.
            lower: i32 [0..=200] = "20";
        }
        optional {}
    }
}

object! {
    /// A planned movement of one tooth: its totals are spread evenly over the trays from `from_tray` to `to_tray`, inclusive.
    Movement, MovementRow {
        required {
            /// The tooth.
            tooth: Tooth = "11";
            /// The first tray that moves it.
            from_tray: i32 [1..=200] = "3";
            /// The last tray that moves it.
            to_tray: i32 [1..=200] = "12";
        }
        optional {
            /// Toward the midline along the arch; negative is away from it.
            mesial_mm: Hundredths [-2000..=2000] = "-1.2";
            /// Toward the lip or cheek; negative is toward the tongue or palate.
            facial_mm: Hundredths [-2000..=2000] = "0.8";
            /// Toward the opposing arch (extrusion); negative is away from it (intrusion).
            occlusal_mm: Hundredths [-2000..=2000] = "0.5";
            /// Rotation about the long axis; positive turns the mesial surface toward the tongue or palate.
            rotation_deg: Hundredths [-18000..=18000] = "12";
            /// Tip of the crown along the arch; positive is mesial, negative distal.
            tip_deg: Hundredths [-9000..=9000] = "3";
            /// Torque: tilt of the crown across the arch; positive is facial, negative lingual.
            torque_deg: Hundredths [-9000..=9000] = "-4.5";
        }
    }
}

words! {
    /// The shape of an attachment.
    AttachmentShape {
        /// with straight sides
        Block = "block",
        /// rounded in outline
        Rounded = "rounded",
        /// with one sloping face
        Wedge = "wedge",
        /// another shape
        Other = "other",
    }
}

words! {
    /// The orientation of an attachment on its tooth.
    Orientation {
        /// along the incisal or occlusal edge
        Horizontal = "horizontal",
        /// along the long axis of the tooth
        Vertical = "vertical",
        /// between the two
        Oblique = "oblique",
    }
}

words! {
    /// A purpose of an attachment: a movement that it supports, or anchorage.
    Support {
        /// toward the midline
        Mesial = "mesial",
        /// away from the midline
        Distal = "distal",
        /// toward the lip or cheek
        Facial = "facial",
        /// toward the tongue or palate
        Lingual = "lingual",
        /// toward the opposing arch
        Extrusion = "extrusion",
        /// away from the opposing arch
        Intrusion = "intrusion",
        /// about the long axis
        Rotation = "rotation",
        /// tilt along the arch
        Tip = "tip",
        /// tilt across the arch
        Torque = "torque",
        /// holding the tray while other teeth move
        Anchorage = "anchorage",
    }
}

object! {
    /// A planned attachment, and the trays that are made to fit over it.
    Attachment, AttachmentRow {
        required {
            /// Its id, unique in the series.
            id: Id = r#""A13""#;
            /// The tooth.
            tooth: Tooth = "13";
            /// The surface to which it is bonded.
            surface: Surface;
            /// Its shape.
            shape: AttachmentShape;
            /// The first tray that fits over it.
            from_tray: i32 [1..=200] = "1";
            /// The last tray that fits over it.
            to_tray: i32 [1..=200] = "24";
        }
        optional {
            /// Its orientation on the tooth.
            orientation: Orientation;
            /// What it supports: movements, or anchorage. Omitted when the plan does not say.
            supports: Vec<Support> [0..=10];
        }
    }
}

object! {
    /// Interproximal reduction (IPR) planned at the contact of two teeth.
    PlannedReduction, PlannedReductionRow {
        required {
            /// The two teeth of the contact. They are neighbours once missing teeth are skipped.
            between: [Tooth; 2] = "[11, 21]";
            /// The total enamel to remove, from both teeth together.
            amount_mm: Hundredths [0..=500] = "0.3";
            /// The tray before which it is due.
            before_tray: i32 [1..=200] = "5";
        }
        optional {}
    }
}

words! {
    /// The direction in which an elastic pulls.
    ElasticPattern {
        /// from an upper canine region back to a lower molar region
        ClassII = "class_ii",
        /// from an upper molar region forward to a lower canine region
        ClassIII = "class_iii",
        /// across the bite, from an inner to an outer surface
        Cross = "cross",
        /// straight up and down
        Vertical = "vertical",
    }
}

object! {
    /// An elastic worn between the arches.
    Elastic, ElasticRow {
        required {
            /// The direction in which it pulls.
            pattern: ElasticPattern;
            /// The upper tooth to which it is hooked.
            upper_tooth: Tooth = "13";
            /// The lower tooth to which it is hooked.
            lower_tooth: Tooth = "46";
            /// The first tray with which it is worn.
            from_tray: i32 [1..=200] = "8";
            /// The last tray with which it is worn.
            to_tray: i32 [1..=200] = "20";
            /// Prescribed minutes of elastic wear a day.
            wear_goal_minutes: i32 [0..=1440] = "1200";
        }
        optional {}
    }
}

object! {
    /// The movements that a series achieved, measured at the next scan.
    Achieved, AchievedRow {
        required {
            /// The day of the measurement.
            on: Date = r#""2031-08-20""#;
            /// The movement of each tooth over the whole series.
            movements: Vec<AchievedMovement> [0..=52];
        }
        optional {}
    }
}

object! {
    /// The movement of one tooth over the whole series; the signs are those of a planned movement.
    AchievedMovement, AchievedMovementRow {
        required {
            /// The tooth.
            tooth: Tooth = "11";
        }
        optional {
            /// Toward the midline along the arch.
            mesial_mm: Hundredths [-2000..=2000] = "-1";
            /// Toward the lip or cheek.
            facial_mm: Hundredths [-2000..=2000] = "0.7";
            /// Toward the opposing arch.
            occlusal_mm: Hundredths [-2000..=2000] = "0.2";
            /// Rotation; positive turns the mesial surface toward the tongue or palate.
            rotation_deg: Hundredths [-18000..=18000] = "8.5";
            /// Tip of the crown along the arch; positive is mesial.
            tip_deg: Hundredths [-9000..=9000] = "2";
            /// Torque: tilt of the crown across the arch; positive is facial.
            torque_deg: Hundredths [-9000..=9000] = "-2.5";
        }
    }
}
