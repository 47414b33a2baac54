//! The patient, the teeth and the assessments.

use crate::number::Hundredths;
use crate::object::object;
use crate::record::{Id, TimeZone};
use crate::teeth::Tooth;
use crate::time::Date;
use crate::words::words;

words! {
    /// Sex, for the statistics that differ by it.
    Sex {
        /// female
        Female = "female",
        /// male
        Male = "male",
        /// neither, or both
        Other = "other",
    }
}

object! {
    /// The patient, without anything that identifies them.
    Patient, PatientRow {
        required {
            /// The patient's pseudonym in the source system.
            id: Id = r#""P-0007""#;
            /// The year of birth.
            birth_year: i32 [1900..=2199] = "2004";
            /// The time zone in which the patient's days begin and end.
            time_zone: TimeZone = r#""Europe/Vienna""#;
        }
        optional {
            /// Sex. Omitted when it is not known or not stated.
            sex: Sex;
        }
    }
}

object! {
    /// The teeth that are present. A permanent tooth is present unless it is listed here as missing; a primary tooth
    /// is present only when it is listed.
    Dentition, DentitionRow {
        required {
            /// Permanent teeth missing at the start: never formed, lost or extracted before, or not yet erupted.
            absent: Vec<Tooth> [0..=52] = "[18, 28, 38, 48]";
        }
        optional {
            /// Primary teeth present at the start.
            primary: Vec<Tooth> [0..=20] = "[55, 65]";
            /// Teeth that are crowns on implants; they are present and cannot be moved.
            implants: Vec<Tooth> [0..=32] = "[36]";
            /// Teeth that are replaced by a pontic; they cannot be moved.
            pontics: Vec<Tooth> [0..=32] = "[12]";
            /// Teeth that were extracted or shed during the treatment.
            extracted: Vec<Extraction> [0..=52];
            /// Mesiodistal crown widths.
            crown_widths: Vec<CrownWidth> [0..=52];
        }
    }
}

object! {
    /// A tooth that was extracted or shed during the treatment.
    Extraction, ExtractionRow {
        required {
            /// The tooth.
            tooth: Tooth = "14";
            /// The day.
            on: Date = r#""2031-02-03""#;
        }
        optional {}
    }
}

object! {
    /// The width of one crown.
    CrownWidth, CrownWidthRow {
        required {
            /// The tooth.
            tooth: Tooth = "11";
            /// The greatest mesiodistal width of its crown.
            width_mm: Hundredths [100..=2000] = "8.6";
        }
        optional {}
    }
}

words! {
    /// The purpose of an assessment.
    AssessmentPurpose {
        /// before the first tray
        Start = "start",
        /// before a refinement
        Rescan = "rescan",
        /// at the end
        Finish = "finish",
    }
}

words! {
    /// The molar relationship of one side (Angle 1899).
    AngleClass {
        /// the lower first molar meets the upper one as intended
        ClassI = "class_i",
        /// the lower first molar is behind that position
        ClassII = "class_ii",
        /// the lower first molar is in front of that position
        ClassIII = "class_iii",
    }
}

object! {
    /// Clinical findings and measurements of one day. A measurement that was not taken is omitted.
    Assessment, AssessmentRow {
        required {
            /// The day.
            on: Date = r#""2031-01-08""#;
            /// The purpose of the assessment.
            purpose: AssessmentPurpose;
        }
        optional {
            /// The molar relationship on each side.
            molar_class: SideClasses;
            /// How far the upper front teeth are in front of the lower ones; negative when behind.
            overjet_mm: Hundredths [-2000..=3000] = "3.5";
            /// How far the upper front teeth overlap the lower ones vertically; negative for an open bite.
            overbite_mm: Hundredths [-2000..=2000] = "2";
            /// The space that the teeth lack in each arch; negative when there is spare space.
            crowding_mm: ArchMeasures;
            /// The five contact displacements (Little) of each arch: labiolingual, between adjacent contact points of the six front teeth, from the right canine to the left.
            contact_displacements_mm: ContactDisplacements;
        }
    }
}

object! {
    /// The molar relationship on each side (Angle 1899).
    SideClasses, SideClassesRow {
        required {
            /// The patient's right side.
            right: AngleClass;
            /// The patient's left side.
            left: AngleClass;
        }
        optional {}
    }
}

object! {
    /// One measurement in each arch, in millimetres.
    ArchMeasures, ArchMeasuresRow {
        required {}
        optional {
            /// In the upper arch.
            upper: Hundredths [-5000..=5000] = "2.5";
            /// In the lower arch.
            lower: Hundredths [-5000..=5000] = "4";
        }
    }
}

object! {
    /// The five contact displacements (Little) of the front teeth in each arch, in millimetres.
    ContactDisplacements, ContactDisplacementsRow {
        required {}
        optional {
            /// In the upper arch.
            upper: Vec<Hundredths> [5..=5] = "[0.5, 1, 0.8, 0.4, 0]";
            /// In the lower arch.
            lower: Vec<Hundredths> [5..=5] = "[1, 1.2, 0.5, 0.9, 0.6]";
        }
    }
}
