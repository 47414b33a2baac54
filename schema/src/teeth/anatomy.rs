//! The location of a tooth, its kind, and its predecessor and successor.

use super::Tooth;
use crate::parse::from_text;

/// From a permanent tooth's FDI code to that of the primary tooth it replaces.
const TO_PRIMARY: u8 = 40;

/// Primary teeth occupy the first five positions of a quadrant only.
const PRIMARY_POSITIONS: u8 = 5;

/// The upper or the lower jaw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema), schemars(rename_all = "lowercase"))]
pub enum Arch {
    /// The maxillary teeth.
    Upper,
    /// The mandibular teeth.
    Lower,
}

impl Arch {
    /// Both arches, upper first.
    pub const ALL: [Self; 2] = [Self::Upper, Self::Lower];

    /// The word for it in records and messages.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Upper => "upper",
            Self::Lower => "lower",
        }
    }
}

from_text!(names Arch, "an arch: upper or lower", Self::ALL);

/// The patient's right or left.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// The patient's right, on the left of a picture taken from the front.
    Right,
    /// The patient's left.
    Left,
}

impl Side {
    /// Both sides, right first.
    pub const ALL: [Self; 2] = [Self::Right, Self::Left];

    /// The word for it in records and messages.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Left => "left",
        }
    }
}

from_text!(names Side, "a side: right or left", Self::ALL);

/// What kind of tooth it is. A primary tooth is an incisor, a canine, or a first or second molar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ToothKind {
    /// The incisor beside the midline.
    CentralIncisor,
    /// The incisor beside the central one.
    LateralIncisor,
    /// The cuspid.
    Canine,
    /// The first bicuspid; permanent only.
    FirstPremolar,
    /// The second bicuspid; permanent only.
    SecondPremolar,
    /// Position 6 of the permanent teeth, position 4 of the primary ones.
    FirstMolar,
    /// Position 7 of the permanent teeth, position 5 of the primary ones.
    SecondMolar,
    /// The wisdom tooth; permanent only.
    ThirdMolar,
}

impl ToothKind {
    /// Every kind, from the midline back.
    pub const ALL: [Self; 8] = [
        Self::CentralIncisor,
        Self::LateralIncisor,
        Self::Canine,
        Self::FirstPremolar,
        Self::SecondPremolar,
        Self::FirstMolar,
        Self::SecondMolar,
        Self::ThirdMolar,
    ];

    /// A central or lateral incisor.
    pub const fn is_incisor(self) -> bool {
        matches!(self, Self::CentralIncisor | Self::LateralIncisor)
    }

    /// A canine.
    pub const fn is_canine(self) -> bool {
        matches!(self, Self::Canine)
    }

    /// A first or second premolar.
    pub const fn is_premolar(self) -> bool {
        matches!(self, Self::FirstPremolar | Self::SecondPremolar)
    }

    /// A first, second or third molar.
    pub const fn is_molar(self) -> bool {
        matches!(self, Self::FirstMolar | Self::SecondMolar | Self::ThirdMolar)
    }

    /// An incisor or a canine; all others are posterior.
    pub const fn is_anterior(self) -> bool {
        self.is_incisor() || self.is_canine()
    }
}

impl Tooth {
    /// The jaw it belongs to.
    pub const fn arch(self) -> Arch {
        if self.quadrant() < 2 { Arch::Upper } else { Arch::Lower }
    }

    /// The patient's side it belongs to.
    pub const fn side(self) -> Side {
        if matches!(self.quadrant(), 0 | 3) { Side::Right } else { Side::Left }
    }

    /// Its place counted from the midline: 1 to 8, or 1 to 5 for a primary tooth.
    pub const fn position(self) -> u8 {
        self.fdi() % 10
    }

    /// What kind of tooth it is. Positions 4 and 5 are premolars in the permanent dentition and
    /// molars in the primary one.
    pub const fn kind(self) -> ToothKind {
        let molars_moved_up = if self.is_primary() && self.position() > 3 { 2 } else { 0 };
        ToothKind::ALL[(self.position() - 1 + molars_moved_up) as usize]
    }

    /// Whether it is a milk tooth, codes 51 to 85.
    pub const fn is_primary(self) -> bool {
        self.fdi() > 50
    }

    /// The permanent tooth that replaces this primary tooth: a primary molar is followed by a
    /// premolar. `None` for a permanent tooth.
    pub const fn successor(self) -> Option<Self> {
        if self.is_primary() { Self::new(self.fdi() - TO_PRIMARY) } else { None }
    }

    /// The primary tooth this permanent tooth replaces. `None` for a permanent molar, which
    /// replaces none, and for a primary tooth.
    pub const fn predecessor(self) -> Option<Self> {
        if self.is_primary() || self.position() > PRIMARY_POSITIONS {
            return None;
        }
        Self::new(self.fdi() + TO_PRIMARY)
    }
}
