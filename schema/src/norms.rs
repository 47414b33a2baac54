//! Published values about teeth: how wide crowns are, when teeth erupt, how the two arches compare.
//!
//! Each number has its unit, its spread, the number measured, its source and the location in the source. None of these can
//! be omitted; what is not known is marked as unknown.

use crate::teeth::{Arch, Tooth, ToothKind};

/// How a number was taken from its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HowRead {
    /// Read in the source or its abstract.
    Read,
    /// Read in a text that repeats the source.
    Repeated,
    /// From memory; nobody read the source for this table.
    Memory,
}

/// A publication.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Publication {
    /// Authors, year, journal or book, pages.
    pub cite: &'static str,
    /// How its numbers were taken.
    pub reading: HowRead,
}

/// A measured mean. There is no default, so that no value can be entered without its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measured {
    /// The mean, in hundredths of the unit.
    pub mean: i32,
    /// The standard deviation, in hundredths of the unit.
    pub sd: i32,
    /// The unit.
    pub unit: &'static str,
    /// How many were measured; none when that is not known.
    pub n: Option<u32>,
    /// The publication.
    pub source: &'static Publication,
    /// Where in the publication.
    pub at: &'static str,
}

/// The ages between which a tooth erupts, in years.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Eruption {
    /// The age at which it starts to erupt.
    pub from: u8,
    /// The age by which it has erupted.
    pub to: u8,
    /// The publication.
    pub source: &'static Publication,
    /// Where in the publication.
    pub at: &'static str,
}

/// Crown widths of North American children and young adults.
pub const MOORREES_1957: Publication = Publication {
    cite: "Moorrees, Thomsen, Jensen, Yen 1957, Journal of Dental Research 36:39-47",
    reading: HowRead::Memory,
};

/// The ratios of the two arches in excellent occlusions.
pub const BOLTON_1958: Publication =
    Publication { cite: "Bolton 1958, Angle Orthodontist 28:113-130", reading: HowRead::Repeated };

/// Ages of eruption of lateral incisors, canines and premolars.
pub const BRITISH_DENTAL_JOURNAL_2023: Publication =
    Publication { cite: "British Dental Journal 2023, 10.1038/s41415-023-6326-3", reading: HowRead::Read };

/// Ages of eruption of central incisors.
pub const CHAIRSIDE_INSTRUCTOR: Publication =
    Publication { cite: "American Dental Association, The Chairside Instructor", reading: HowRead::Read };

/// Ages of eruption of molars. The Chairside Instructor has narrower spans: 6 to 7, 12 to 13 (upper) or 11 to 13 (lower),
/// and 17 to 21 years.
pub const MSD_MANUAL: Publication =
    Publication { cite: "MSD Manual, professional version", reading: HowRead::Repeated };

/// A crown width of the table of Moorrees and others.
const fn width(mean: i32, sd: i32) -> Measured {
    Measured { mean, sd, unit: "mm", n: None, source: &MOORREES_1957, at: "the table of permanent teeth, by sex" }
}

/// Males, then females.
const fn widths(male: (i32, i32), female: (i32, i32)) -> [Measured; 2] {
    [width(male.0, male.1), width(female.0, female.1)]
}

/// By arch, then from the central incisor to the second molar; males, then females.
#[rustfmt::skip]
const CROWN_WIDTHS: [[[Measured; 2]; 7]; 2] = [
    [
        widths((878, 46), (840, 53)),
        widths((664, 63), (647, 62)),
        widths((795, 42), (753, 37)),
        widths((701, 38), (685, 42)),
        widths((682, 37), (662, 43)),
        widths((1081, 56), (1052, 51)),
        widths((1035, 63), (981, 48)),
    ],
    [
        widths((542, 31), (525, 36)),
        widths((595, 39), (578, 38)),
        widths((696, 36), (647, 32)),
        widths((707, 32), (687, 38)),
        widths((729, 52), (702, 43)),
        widths((1118, 47), (1074, 62)),
        widths((1076, 71), (1034, 63)),
    ],
];

/// The mesiodistal crown width of a permanent tooth in males and in females. None for third molars, whose spread is not
/// in the table, and for primary teeth.
pub fn crown_widths(tooth: Tooth) -> Option<&'static [Measured; 2]> {
    if tooth.is_primary() {
        return None;
    }
    CROWN_WIDTHS[tooth.arch() as usize].get(usize::from(tooth.position()) - 1)
}

/// Widths of the twelve lower teeth from first molar to first molar, in percent of those of the twelve upper ones.
pub const BOLTON_OVERALL: Measured =
    Measured { mean: 9130, sd: 191, unit: "percent", n: Some(55), source: &BOLTON_1958, at: "the overall ratio" };

/// Widths of the six lower front teeth in percent of those of the six upper ones.
pub const BOLTON_ANTERIOR: Measured =
    Measured { mean: 7720, sd: 165, unit: "percent", n: Some(55), source: &BOLTON_1958, at: "the anterior ratio" };

/// When a permanent tooth erupts. None for a primary tooth.
pub const fn eruption(tooth: Tooth) -> Option<Eruption> {
    if tooth.is_primary() {
        return None;
    }
    let table = "the table of permanent teeth";
    let upper = matches!(tooth.arch(), Arch::Upper);
    let (from, to, source) = match tooth.kind() {
        ToothKind::CentralIncisor if upper => (7, 8, &CHAIRSIDE_INSTRUCTOR),
        ToothKind::CentralIncisor => (6, 7, &CHAIRSIDE_INSTRUCTOR),
        ToothKind::LateralIncisor if upper => (8, 9, &BRITISH_DENTAL_JOURNAL_2023),
        ToothKind::LateralIncisor => (7, 8, &BRITISH_DENTAL_JOURNAL_2023),
        ToothKind::Canine if upper => (11, 12, &BRITISH_DENTAL_JOURNAL_2023),
        ToothKind::Canine => (9, 10, &BRITISH_DENTAL_JOURNAL_2023),
        ToothKind::FirstPremolar if upper => (10, 11, &BRITISH_DENTAL_JOURNAL_2023),
        ToothKind::FirstPremolar => (10, 12, &BRITISH_DENTAL_JOURNAL_2023),
        ToothKind::SecondPremolar if upper => (10, 12, &BRITISH_DENTAL_JOURNAL_2023),
        ToothKind::SecondPremolar => (11, 12, &BRITISH_DENTAL_JOURNAL_2023),
        ToothKind::FirstMolar => (5, 7, &MSD_MANUAL),
        ToothKind::SecondMolar => (11, 13, &MSD_MANUAL),
        ToothKind::ThirdMolar => (17, 25, &MSD_MANUAL),
    };
    Some(Eruption { from, to, source, at: table })
}
