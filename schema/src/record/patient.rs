//! The patient, the teeth and what was found in the mouth.

use crate::number::Hundredths;
use crate::object::object;
use crate::record::Id;
use crate::record::TimeZone;
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
    /// Whose treatment it is, without anything that says who.
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
            /// Sex. Left out when it is not known or not told.
            sex: Sex;
        }
    }
}

object! {
    /// Which teeth stand in the mouth. A permanent tooth that is named nowhere here stands; a primary tooth stands
    /// only when it is listed.
    Dentition, DentitionRow {
        required {
            /// Permanent teeth that were not there at the start: never formed, lost or extracted before, or not yet erupted.
            absent: Vec<Tooth> [0..=52] = "[18, 28, 38, 48]";
        }
        optional {
            /// Primary teeth that stood at the start.
            primary: Vec<Tooth> [0..=20] = "[55, 65]";
            /// Teeth that are crowns on implants; they stand, and cannot be moved.
            implants: Vec<Tooth> [0..=32] = "[36]";
            /// Teeth that are replaced by a pontic; they cannot be moved.
            pontics: Vec<Tooth> [0..=32] = "[12]";
            /// Teeth that were taken out, or that fell out, during the treatment.
            extracted: Vec<Extraction> [0..=52];
            /// The mesiodistal widths of crowns.
            crown_widths: Vec<CrownWidth> [0..=52];
        }
    }
}

object! {
    /// A tooth that was lost during the treatment.
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
    /// How wide a crown is.
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
    /// Why an assessment was made.
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
    /// How the first molars meet (Angle 1899).
    MolarClass {
        /// the lower first molar meets the upper one as it is meant to
        ClassI = "class_i",
        /// the lower first molar stands behind that
        ClassII = "class_ii",
        /// the lower first molar stands before that
        ClassIII = "class_iii",
    }
}

object! {
    /// What was found and measured on one day. Each measurement is left out when it was not taken.
    Assessment, AssessmentRow {
        required {
            /// The day.
            on: Date = r#""2031-01-08""#;
            /// Why it was made.
            purpose: AssessmentPurpose;
        }
        optional {
            /// How the first molars meet.
            molar_class: MolarClasses;
            /// How far the upper front teeth stand before the lower ones; negative when behind.
            overjet_mm: Hundredths [-2000..=3000] = "3.5";
            /// How far the upper front teeth cover the lower ones; negative when open.
            overbite_mm: Hundredths [-2000..=2000] = "2";
            /// How much room the teeth lack in each arch; negative when there is room to spare.
            crowding_mm: ArchMeasures;
            /// The five labiolingual offsets between neighbouring contact points of the six front teeth, from the right canine to the left.
            contact_offsets_mm: ContactOffsets;
        }
    }
}

object! {
    /// How the first molars meet on each side.
    MolarClasses, MolarClassesRow {
        required {
            /// On the patient's right.
            right: MolarClass;
            /// On the patient's left.
            left: MolarClass;
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
    /// Offsets of the five front contacts in each arch, in millimetres.
    ContactOffsets, ContactOffsetsRow {
        required {}
        optional {
            /// In the upper arch.
            upper: Vec<Hundredths> [5..=5] = "[0.5, 1, 0.8, 0.4, 0]";
            /// In the lower arch.
            lower: Vec<Hundredths> [5..=5] = "[1, 1.2, 0.5, 0.9, 0.6]";
        }
    }
}
