//! Three ways to write a tooth.
//!
//! A record holds FDI codes only. The Universal and Palmer notations are for display and for
//! reading what a person typed. Many FDI codes mean another tooth in the Universal system, so a
//! wrong notation is easily missed: see [`Tooth::reading_in_universal`].

use super::{Side, Tooth};
use crate::parse::from_text;

/// By [`Tooth::index`].
#[rustfmt::skip]
const UNIVERSAL: [&str; Tooth::COUNT] = [
    "8", "7", "6", "5", "4", "3", "2", "1",
    "9", "10", "11", "12", "13", "14", "15", "16",
    "24", "23", "22", "21", "20", "19", "18", "17",
    "25", "26", "27", "28", "29", "30", "31", "32",
    "E", "D", "C", "B", "A",
    "F", "G", "H", "I", "J",
    "O", "N", "M", "L", "K",
    "P", "Q", "R", "S", "T",
];

/// By [`Tooth::index`].
#[rustfmt::skip]
const PALMER: [&str; Tooth::COUNT] = [
    "UR1", "UR2", "UR3", "UR4", "UR5", "UR6", "UR7", "UR8",
    "UL1", "UL2", "UL3", "UL4", "UL5", "UL6", "UL7", "UL8",
    "LL1", "LL2", "LL3", "LL4", "LL5", "LL6", "LL7", "LL8",
    "LR1", "LR2", "LR3", "LR4", "LR5", "LR6", "LR7", "LR8",
    "URA", "URB", "URC", "URD", "URE",
    "ULA", "ULB", "ULC", "ULD", "ULE",
    "LLA", "LLB", "LLC", "LLD", "LLE",
    "LRA", "LRB", "LRC", "LRD", "LRE",
];

/// The Palmer sign of each quadrant: a line at the midline and one at the biting edge.
const SIGNS: [char; 4] = ['\u{23CC}', '\u{23BF}', '\u{23BE}', '\u{23CB}'];

/// The permanent teeth as the Universal system counts them: from the upper right third molar
/// around the upper arch, then from the lower left one around the lower arch.
#[rustfmt::skip]
pub(super) const AROUND: [Tooth; 32] = [
    Tooth(18), Tooth(17), Tooth(16), Tooth(15), Tooth(14), Tooth(13), Tooth(12), Tooth(11),
    Tooth(21), Tooth(22), Tooth(23), Tooth(24), Tooth(25), Tooth(26), Tooth(27), Tooth(28),
    Tooth(38), Tooth(37), Tooth(36), Tooth(35), Tooth(34), Tooth(33), Tooth(32), Tooth(31),
    Tooth(41), Tooth(42), Tooth(43), Tooth(44), Tooth(45), Tooth(46), Tooth(47), Tooth(48),
];

/// A way to write a tooth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Notation {
    /// Two digits, quadrant and position (ISO 3950): what a record holds.
    Fdi,
    /// `1` to `32` around both arches, `A` to `T` for primary teeth.
    Universal,
    /// Quadrant and position, `UR1` or with a quadrant sign; `A` to `E` for primary teeth.
    Palmer,
}

impl Notation {
    /// Every notation, the one of the format first.
    pub const ALL: [Self; 3] = [Self::Fdi, Self::Universal, Self::Palmer];

    /// The word used in options and messages.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Fdi => "fdi",
            Self::Universal => "universal",
            Self::Palmer => "palmer",
        }
    }

    /// Writes a tooth in this notation, Palmer in plain letters.
    pub fn write(self, tooth: Tooth) -> String {
        match self {
            Self::Fdi => tooth.to_string(),
            Self::Universal => tooth.universal().to_owned(),
            Self::Palmer => tooth.palmer().to_owned(),
        }
    }

    /// The tooth a text names in this notation, or `None` where it names none.
    pub fn read(self, text: &str) -> Option<Tooth> {
        match self {
            Self::Fdi if text.len() == 2 => Tooth::new(text.parse().ok()?),
            Self::Fdi => None,
            Self::Universal => Tooth::from_universal(text),
            Self::Palmer => Tooth::from_palmer(text),
        }
    }
}

from_text!(names Notation, "a notation: fdi, universal or palmer", Self::ALL);

impl Tooth {
    /// The Universal code, `1` to `32` or `A` to `T`.
    pub const fn universal(self) -> &'static str {
        UNIVERSAL[self.index()]
    }

    /// The tooth with this Universal code, in either case and without leading zeros.
    ///
    /// The supernumerary codes `51` to `82` and `AS` to `TS` are no teeth of this format and give
    /// `None`: see [`Tooth::universal_supernumerary`].
    pub fn from_universal(code: &str) -> Option<Self> {
        Self::all().find(|tooth| tooth.universal().eq_ignore_ascii_case(code))
    }

    /// The tooth beside which a supernumerary tooth with this Universal code lies.
    ///
    /// `51` to `82` lie beside `1` to `32`, `AS` to `TS` beside `A` to `T`; any other text gives
    /// `None`. The format cannot name the supernumerary tooth itself.
    pub fn universal_supernumerary(code: &str) -> Option<Self> {
        if let Some(letter) = code.strip_suffix(['S', 's']) {
            return Self::from_universal(letter).filter(|tooth| tooth.is_primary());
        }
        match code.parse() {
            Ok(number @ 51..=82) if code.len() == 2 => Self::reading_in_universal(number),
            _ => None,
        }
    }

    /// The tooth that a number means in the Universal system; for a supernumerary number, the
    /// tooth beside it.
    ///
    /// Meant for finding a record in the wrong notation: `14` is the upper right first premolar
    /// in a record, and the upper left first molar in the Universal system. Numbers from 1 to 32
    /// are teeth there and those from 51 to 82 supernumerary ones; all others give `None`.
    pub const fn reading_in_universal(code: u8) -> Option<Self> {
        match code {
            1..=32 => Some(AROUND[code as usize - 1]),
            51..=82 => Some(AROUND[code as usize - 51]),
            _ => None,
        }
    }

    /// The Palmer notation in plain letters: `U` or `L`, `R` or `L`, then `1` to `8`, or `A` to
    /// `E` for a primary tooth.
    pub const fn palmer(self) -> &'static str {
        PALMER[self.index()]
    }

    /// The Palmer notation with the sign of the quadrant, such as `1⏌` for the upper right central
    /// incisor. Many fonts lack the signs.
    pub fn palmer_symbol(self) -> String {
        let (place, sign) = (self.palmer_place(), SIGNS[self.quadrant()]);
        match self.side() {
            Side::Right => format!("{place}{sign}"),
            Side::Left => format!("{sign}{place}"),
        }
    }

    /// The tooth a Palmer text names, in plain letters of either case or with a quadrant sign.
    pub fn from_palmer(text: &str) -> Option<Self> {
        Self::all().find(|tooth| tooth.palmer().eq_ignore_ascii_case(text) || tooth.is_palmer_symbol(text))
    }

    fn is_palmer_symbol(self, text: &str) -> bool {
        let sign = SIGNS[self.quadrant()];
        let place = match self.side() {
            Side::Right => text.strip_suffix(sign),
            Side::Left => text.strip_prefix(sign),
        };
        place.is_some_and(|place| place.eq_ignore_ascii_case(self.palmer_place()))
    }

    /// The last character of [`Tooth::palmer`], after the two of the quadrant.
    fn palmer_place(self) -> &'static str {
        &self.palmer()[2..]
    }
}
