//! Spots: where a few values of a record stand, in four bytes each.

use oar_schema::record::Sex;
use oar_schema::rows::{Rows, Str};

use crate::check::finding::Place;
use crate::check::parts::section;
use crate::check::path::{Path, at};

/// A value to which a finding across records points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum FactField {
    Id,
    SystemVersion,
    ExportedAt,
    BirthYear,
    Sex,
    WornFrom,
    WearLog,
    /// The record as a whole.
    Record,
}

/// The spots that are kept.
const KEPT: [FactField; 7] = [
    FactField::Id,
    FactField::SystemVersion,
    FactField::ExportedAt,
    FactField::BirthYear,
    FactField::Sex,
    FactField::WornFrom,
    FactField::WearLog,
];

impl FactField {
    pub(crate) const fn pointer(self) -> &'static str {
        match self {
            Self::Id => "/id",
            Self::SystemVersion => "/source/system_version",
            Self::ExportedAt => "/source/exported_at",
            Self::BirthYear => "/patient/birth_year",
            Self::Sex => "/patient/sex",
            Self::WornFrom => "/wear_periods/0/from",
            Self::WearLog => "/wear_log",
            Self::Record => "",
        }
    }

    fn path(self) -> Path {
        match self {
            Self::Id => at!["id"],
            Self::SystemVersion => at!["source", "system_version"],
            Self::ExportedAt => at!["source", "exported_at"],
            Self::BirthYear => at!["patient", "birth_year"],
            Self::Sex => at!["patient", "sex"],
            Self::WornFrom => at!["wear_periods", 0, "from"],
            Self::WearLog => at!["wear_log"],
            Self::Record => at![],
        }
    }
}

/// Where the values of one record stand, from the line on which it begins.
///
/// A value on the first line is kept by its column; one on a later line by 16 bits of line and 15 of column. One that
/// stands further away is not kept (0): findings then name the first line of the record.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Spots {
    at: [u32; KEPT.len()],
    /// The characters of those values of which no other fact tells: the first four.
    len: [u8; 4],
}

const LATER: u32 = 1 << 31;
const COLUMN_BITS: u32 = 15;

impl Spots {
    /// The spots of a record that the fast path has read.
    pub(crate) fn in_text(record: &[u8], rows: &Rows) -> Self {
        let found = KEPT.map(|spot| range(record, rows, spot).unwrap_or((0, 0)));
        let head = &record[..found.iter().map(|(start, _)| *start).max().unwrap_or(0).min(record.len())];
        let one_line = head.is_ascii() && memchr::memchr(b'\n', head).is_none();
        let mut spots = Self::default();
        for (index, (start, len)) in found.into_iter().enumerate().filter(|(_, (_, len))| *len > 0) {
            let (line, column) = if one_line { (0, start + 1) } else { position(head, start) };
            spots.keep(index, line as u64, column as u64, len as u64);
        }
        spots
    }

    /// The spots of a record that the slow path has read and that begins on line `first`; `place_of` finds a value in its text.
    pub(crate) fn in_tree(place_of: impl Fn(&Path) -> Place, first: u64) -> Self {
        let mut spots = Self::default();
        for (index, spot) in KEPT.iter().enumerate() {
            let place = place_of(&spot.path());
            if place.pointer == spot.pointer() {
                let len = if place.end_line == place.line { place.end_column - place.column } else { 1 };
                spots.keep(index, place.line - first, place.column, len);
            }
        }
        spots
    }

    fn keep(&mut self, index: usize, line: u64, column: u64, len: u64) {
        self.at[index] = pack(line, column);
        if let Some(kept) = self.len.get_mut(index) {
            *kept = u8::try_from(len).unwrap_or(u8::MAX);
        }
    }

    /// The place of a value in a record that begins on line `first`; `sex` is the patient's.
    pub(crate) fn place(&self, spot: FactField, first: u64, sex: Option<Sex>) -> Place {
        let index = KEPT.iter().position(|kept| *kept == spot);
        let (line, column) = unpack(index.map_or(0, |index| self.at[index]));
        let len = match spot {
            FactField::Sex => sex.map_or(1, |sex| sex.as_str().len() as u64 + 2),
            FactField::WornFrom => "\"2031-02-03\"".len() as u64,
            _ => index.and_then(|index| self.len.get(index)).map_or(1, |len| u64::from(*len)),
        };
        let (line, column, len) = if column == 0 { (first, 1, 1) } else { (first + line, column, len) };
        let pointer = spot.pointer().to_owned();
        Place { pointer, line, column, end_line: line, end_column: column + len }
    }
}

/// The byte at which a value begins, and how long it is.
fn range(record: &[u8], rows: &Rows, spot: FactField) -> Option<(usize, usize)> {
    let start = |name| rows.section_start(name);
    match spot {
        FactField::Id => Some(quoted(rows.id)),
        FactField::SystemVersion => rows.source.system_version.map(quoted),
        FactField::ExportedAt => value_of(record, start(SOURCE)?, b"\"exported_at\""),
        FactField::BirthYear => value_of(record, start(PATIENT)?, b"\"birth_year\""),
        FactField::Sex => rows.patient.sex.and_then(|_| value_of(record, start(PATIENT)?, b"\"sex\"")),
        FactField::WornFrom if !rows[rows.wear_periods].is_empty() => value_of(record, start(WORN)?, b"\"from\""),
        FactField::WearLog => start(WEAR_LOG).map(|at| (past_space(record, at), 1)),
        FactField::WornFrom | FactField::Record => None,
    }
}

const SOURCE: usize = section("source").trailing_zeros() as usize;
const PATIENT: usize = section("patient").trailing_zeros() as usize;
const WORN: usize = section("wear_periods").trailing_zeros() as usize;
const WEAR_LOG: usize = section("wear_log").trailing_zeros() as usize;

fn quoted(text: Str) -> (usize, usize) {
    (text.start as usize - 1, text.len as usize + 2)
}

/// The value of the first member of that name after `from`. A text that reads like the name has no colon after it.
fn value_of(record: &[u8], from: usize, name: &[u8]) -> Option<(usize, usize)> {
    for found in memchr::memmem::find_iter(record.get(from..)?, name) {
        let colon = past_space(record, from + found + name.len());
        if record.get(colon) == Some(&b':') {
            let value = past_space(record, colon + 1);
            let ends = |byte: &u8| matches!(byte, b',' | b'}' | b' ' | b'\n' | b'\r' | b'\t');
            let len = record[value..].iter().position(ends)?;
            return Some((value, len));
        }
    }
    None
}

fn past_space(record: &[u8], at: usize) -> usize {
    let space = |byte: &&u8| matches!(byte, b' ' | b'\n' | b'\r' | b'\t');
    at + record.get(at..).unwrap_or_default().iter().take_while(space).count()
}

/// How many lines stand before a byte, and its column from 1.
fn position(record: &[u8], at: usize) -> (usize, usize) {
    let before = &record[..at.min(record.len())];
    let start = memchr::memrchr(b'\n', before).map_or(0, |end| end + 1);
    let column = before[start..].iter().filter(|byte| **byte & 0xc0 != 0x80).count();
    (memchr::memchr_iter(b'\n', before).count(), column + 1)
}

fn pack(line: u64, column: u64) -> u32 {
    match (line, column) {
        (0, 1..0x8000_0000) => column as u32,
        (1..0x1_0000, 1..0x8000) => LATER | (line as u32) << COLUMN_BITS | column as u32,
        _ => 0,
    }
}

fn unpack(packed: u32) -> (u64, u64) {
    if packed & LATER == 0 {
        return (0, u64::from(packed));
    }
    let column = packed & ((1 << COLUMN_BITS) - 1);
    (u64::from((packed & !LATER) >> COLUMN_BITS), u64::from(column))
}
