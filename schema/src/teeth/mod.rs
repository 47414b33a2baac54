//! The 52 teeth that a record can name, and their properties.
//!
//! A [`Tooth`] is its two-digit FDI code (ISO 3950): the first digit is the quadrant, the second
//! counts from the midline. Right and left are the patient's. A tooth keeps its code wherever it
//! has moved to. There is no code for a supernumerary tooth in this format.

mod anatomy;
mod json;
mod names;
mod neighbours;
mod notation;
mod set;
mod surfaces;

pub use anatomy::{Arch, Side, ToothKind};
pub use neighbours::are_neighbours;
pub use notation::Notation;
pub use set::{Iter, ToothSet};
pub use surfaces::Surface;

use std::fmt;

use crate::parse::{ParseError, from_text};

/// Every FDI code, rising. A tooth's place in this list is its [`Tooth::index`].
#[rustfmt::skip]
const CODES: [u8; Tooth::COUNT] = [
    11, 12, 13, 14, 15, 16, 17, 18,
    21, 22, 23, 24, 25, 26, 27, 28,
    31, 32, 33, 34, 35, 36, 37, 38,
    41, 42, 43, 44, 45, 46, 47, 48,
    51, 52, 53, 54, 55,
    61, 62, 63, 64, 65,
    71, 72, 73, 74, 75,
    81, 82, 83, 84, 85,
];

/// The mark in [`INDEX`] of a number that is not a tooth.
const NO_TOOTH: u8 = u8::MAX;

/// For every number a byte can hold, its place in [`CODES`] or [`NO_TOOTH`].
const INDEX: [u8; 256] = {
    let mut index = [NO_TOOTH; 256];
    let mut i = 0;
    while i < CODES.len() {
        index[CODES[i] as usize] = i as u8;
        i += 1;
    }
    index
};

/// One of the 32 permanent or 20 primary teeth, as its FDI code.
///
/// Teeth are ordered by their code: quadrant by quadrant, each from the midline back.
///
/// ```
/// use oar_schema::teeth::Tooth;
///
/// let tooth = Tooth::new(14).unwrap();
/// assert_eq!(tooth.name(), "upper right first premolar");
/// assert_eq!(Tooth::new(19), None);
/// assert_eq!("14".parse(), Ok(tooth));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tooth(u8);

impl Tooth {
    /// How many teeth there are: 32 permanent and 20 primary.
    pub const COUNT: usize = 52;

    /// The tooth that fills a buffer until another is read.
    pub(crate) const FIRST: Self = Self(CODES[0]);

    /// The tooth with this FDI code, or `None` where the number is no tooth.
    pub const fn new(fdi: u8) -> Option<Self> {
        if INDEX[fdi as usize] == NO_TOOTH { None } else { Some(Self(fdi)) }
    }

    /// The tooth whose [`index`](Self::index) this is, or `None` from [`Tooth::COUNT`] on.
    pub const fn from_index(index: usize) -> Option<Self> {
        if index < Self::COUNT { Some(Self(CODES[index])) } else { None }
    }

    /// The two-digit FDI code.
    pub const fn fdi(self) -> u8 {
        self.0
    }

    /// A dense number from 0 below [`Tooth::COUNT`], rising with the FDI code, for tables.
    pub const fn index(self) -> usize {
        INDEX[self.0 as usize] as usize
    }

    /// All teeth by rising FDI code.
    pub fn all() -> impl DoubleEndedIterator<Item = Self> + ExactSizeIterator + Clone {
        CODES.iter().map(|&fdi| Self(fdi))
    }

    /// The quadrant without regard to dentition: 0 upper right, 1 upper left, 2 lower left,
    /// 3 lower right.
    const fn quadrant(self) -> usize {
        (self.0 / 10 - 1) as usize % 4
    }
}

/// Writes the FDI code.
impl fmt::Display for Tooth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

from_text!(Tooth, "the FDI number of a tooth", |text| Notation::Fdi.read(text));

impl TryFrom<u8> for Tooth {
    type Error = ParseError;

    fn try_from(fdi: u8) -> Result<Self, ParseError> {
        Self::new(fdi).ok_or(ParseError::new("the FDI number of a tooth"))
    }
}

impl From<Tooth> for u8 {
    fn from(tooth: Tooth) -> Self {
        tooth.0
    }
}
