//! The prescription and the plan: series, movements, attachments, reductions, elastics.

use crate::number::Hundredths;
use crate::object::object;
use crate::record::Id;
use crate::teeth::{Surface, Tooth};
use crate::time::Date;
use crate::words::words;

object! {
    /// How the trays are to be worn.
    Prescription, PrescriptionRow {
        required {
            /// Minutes a day that the trays are to be worn.
            wear_goal_minutes: i32 [0..=1440] = "1320";
            /// Minutes a day below which a day counts as low.
            wear_floor_minutes: i32 [0..=1440] = "1200";
            /// Days that each tray is to be worn.
            days_per_tray: i32 [1..=90] = "10";
        }
        optional {
            /// Days from one check-in to the next.
            check_in_every_days: i32 [1..=365] = "10";
            /// How the patient is followed.
            follow_up: FollowUp;
        }
    }
}

object! {
    /// How the patient is followed between visits.
    FollowUp, FollowUpRow {
        required {
            /// Whether check-ins are made from afar.
            remote: bool = "true";
            /// Whether the patient is reminded.
            reminders: bool = "true";
            /// Whether the trays carry a wear sensor.
            sensor: bool = "false";
        }
        optional {}
    }
}

object! {
    /// A planned set of trays. Trays are numbered from 1 in each series.
    Series, SeriesRow {
        required {
            /// 0 for the first series, 1 and on for refinements.
            number: i32 [0..=50] = "0";
            /// How many trays each arch has.
            trays: TrayCounts;
            /// Where each tooth is to go, tray by tray.
            movements: Vec<Movement> [0..=5000];
        }
        optional {
            /// The day of the scan that the series was planned on.
            scanned_on: Date = r#""2031-01-08""#;
            /// The day on which the trays were ordered.
            ordered_on: Date = r#""2031-01-15""#;
            /// Composite shapes that are bonded to teeth so that trays can hold them.
            attachments: Vec<Attachment> [0..=500];
            /// Planned interproximal enamel reductions.
            reductions: Vec<Reduction> [0..=200];
            /// Planned elastics.
            elastics: Vec<Elastic> [0..=100];
            /// What the series reached, measured at the next scan.
            achieved: Achieved;
            /// What others add to the series.
            extensions: crate::record::Extensions;
        }
    }
}

object! {
    /// How many trays each arch has; 0 when the arch is not treated.
    TrayCounts, TrayCountsRow {
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
    /// A stretch of movement of one tooth: its totals are spread evenly over the trays from `from_tray` to `to_tray`, both included.
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
            /// Toward lip or cheek; negative is toward tongue or palate.
            facial_mm: Hundredths [-2000..=2000] = "0.8";
            /// Toward the opposing arch (extrusion); negative is away from it (intrusion).
            occlusal_mm: Hundredths [-2000..=2000] = "0.5";
            /// Turned so that the mesial surface faces tongue or palate; negative is the other way.
            rotation_deg: Hundredths [-18000..=18000] = "12";
            /// The crown leaned mesially; negative is distally.
            tip_deg: Hundredths [-9000..=9000] = "3";
            /// The crown leaned facially; negative is lingually.
            torque_deg: Hundredths [-9000..=9000] = "-4.5";
        }
    }
}

words! {
    /// The form of an attachment.
    AttachmentShape {
        /// with four straight edges
        Rectangular = "rectangular",
        /// rounded in outline
        Ellipsoid = "ellipsoid",
        /// with one slanted face
        Bevelled = "bevelled",
        /// another form
        Other = "other",
    }
}

words! {
    /// How an attachment lies on its tooth.
    Orientation {
        /// along the biting edge
        Horizontal = "horizontal",
        /// along the long axis of the tooth
        Vertical = "vertical",
        /// between the two
        Oblique = "oblique",
    }
}

words! {
    /// The movement that an attachment is there for.
    Support {
        /// toward the midline
        Mesial = "mesial",
        /// away from the midline
        Distal = "distal",
        /// toward lip or cheek
        Facial = "facial",
        /// toward tongue or palate
        Lingual = "lingual",
        /// toward the opposing arch
        Extrusion = "extrusion",
        /// away from the opposing arch
        Intrusion = "intrusion",
        /// about the long axis
        Rotation = "rotation",
        /// leaning along the arch
        Tip = "tip",
        /// leaning across the arch
        Torque = "torque",
        /// holding the tray while other teeth move
        Anchorage = "anchorage",
    }
}

object! {
    /// A planned attachment, and the trays that are made to hold it.
    Attachment, AttachmentRow {
        required {
            /// Its id, unique in the series.
            id: Id = r#""A13""#;
            /// The tooth.
            tooth: Tooth = "13";
            /// The surface that it is bonded to.
            surface: Surface;
            /// Its form.
            shape: AttachmentShape;
            /// The first tray that holds it.
            from_tray: i32 [1..=200] = "1";
            /// The last tray that holds it.
            to_tray: i32 [1..=200] = "24";
        }
        optional {
            /// How it lies.
            orientation: Orientation;
            /// The movements that it is there for. Left out when the plan does not say.
            supports: Vec<Support> [0..=10];
        }
    }
}

object! {
    /// An interproximal enamel reduction planned at the contact of two teeth.
    Reduction, ReductionRow {
        required {
            /// The two teeth: neighbours once teeth that are not there are skipped.
            between: [Tooth; 2] = "[11, 21]";
            /// Enamel to be taken off in all, from both teeth together.
            amount_mm: Hundredths [0..=500] = "0.3";
            /// The tray before which it is to be done.
            before_tray: i32 [1..=200] = "5";
        }
        optional {}
    }
}

words! {
    /// Where an elastic pulls.
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
            /// Where it pulls.
            pattern: ElasticPattern;
            /// The upper tooth that it hangs on.
            upper_tooth: Tooth = "13";
            /// The lower tooth that it hangs on.
            lower_tooth: Tooth = "46";
            /// The first tray with which it is worn.
            from_tray: i32 [1..=200] = "8";
            /// The last tray with which it is worn.
            to_tray: i32 [1..=200] = "20";
            /// Minutes a day that it is to be worn.
            goal_minutes: i32 [0..=1440] = "1200";
        }
        optional {}
    }
}

object! {
    /// What a series reached, measured at the next scan.
    Achieved, AchievedRow {
        required {
            /// The day of the measurement.
            on: Date = r#""2031-08-20""#;
            /// How far each tooth moved over the whole series.
            movements: Vec<AchievedMovement> [0..=52];
        }
        optional {}
    }
}

object! {
    /// How far one tooth moved over the whole series; signs as in a planned movement.
    AchievedMovement, AchievedMovementRow {
        required {
            /// The tooth.
            tooth: Tooth = "11";
        }
        optional {
            /// Toward the midline along the arch.
            mesial_mm: Hundredths [-2000..=2000] = "-1";
            /// Toward lip or cheek.
            facial_mm: Hundredths [-2000..=2000] = "0.7";
            /// Toward the opposing arch.
            occlusal_mm: Hundredths [-2000..=2000] = "0.2";
            /// Turned so that the mesial surface faces tongue or palate.
            rotation_deg: Hundredths [-18000..=18000] = "8.5";
            /// The crown leaned mesially.
            tip_deg: Hundredths [-9000..=9000] = "2";
            /// The crown leaned facially.
            torque_deg: Hundredths [-9000..=9000] = "-2.5";
        }
    }
}
