//! Facts: the little of a record that is kept until the end of a run, of one size whatever the record holds.

use oar_schema::record::{Arches, Record, RecordRow, Sex, WearDay, WearDayRow};
use oar_schema::rows::Rows;
use xxhash_rust::xxh3::{xxh3_64, xxh3_64_with_seed};

use super::spots::Spots;
use crate::check::case::Case;
use crate::check::case::deliveries::comes_late;
use crate::check::case::wear_periods::backwards;
use crate::check::parts::{Damage, section};

/// The bytes that are kept of a record.
pub(crate) const SIZE: usize = 120;
const _: () = assert!(size_of::<Facts>() == SIZE, "what is kept of a record is what the pages say");

/// What the rules across records ask of one record: hashes of its identifiers and of what it says, a few days, and where
/// the values stand. It holds no text of the record.
///
/// Hashes have 64 bits (XXH3). Two of a million different texts have the same with a probability of 3 in 10⁸
/// (n² ÷ 2⁶⁵); the version of a system, which is only compared within its system, has 32.
#[derive(Clone, Copy, Debug)]
pub struct Facts {
    /// The id of the record in its system.
    pub(crate) record: u64,
    /// Everything that the record says, however it is spelt.
    pub(crate) content: u64,
    /// The id of the patient in the system; 0 when it could not be read.
    pub(crate) patient: u64,
    /// The wear log, with the system; 0 for one that is too short to be compared.
    pub(crate) log: u64,
    /// The system.
    pub(crate) system: u64,
    /// When it was exported, in nanoseconds since 1970.
    pub(crate) exported: i64,
    /// The version of the system; 0 when it is not told.
    pub(crate) version: u32,
    /// The file, by its place among those that were added.
    pub(crate) file: u32,
    /// The place of the record in its file, from 1.
    pub(crate) number: u32,
    /// The line on which it begins.
    pub(crate) line: u32,
    /// How many copies of it in its file are told together by this one.
    pub(crate) copies: u32,
    /// The first and the last day of wear; none when [`Facts::arches`] is empty.
    pub(crate) first_day: i32,
    pub(crate) last_day: i32,
    /// The last day of which the record tells; `UNKNOWN` when a part of it could not be read.
    pub(crate) last_told: i32,
    pub(crate) spots: Spots,
    /// Entries of the wear log.
    pub(crate) log_days: u16,
    /// The year of birth; 0 when it could not be read, or lies after the export, which another rule reports.
    pub(crate) birth_year: i16,
    /// The sex, from 1; 0 when it is not told.
    pub(crate) sex: u8,
    /// What holds of the record, by bit.
    pub(crate) bits: u8,
}

/// No day.
pub(crate) const UNKNOWN: i32 = i32::MIN;

/// Trays are worn in the upper arch.
pub(crate) const UPPER: u8 = 1;
/// Trays are worn in the lower arch.
pub(crate) const LOWER: u8 = 2;
/// A tray is still worn.
const WORN_STILL: u8 = 4;
/// Something was found in the record itself.
const FOUND: u8 = 8;

/// The words for sex, from the number in [`Facts::sex`] less one.
pub(crate) const SEXES: [Sex; 3] = [Sex::Female, Sex::Male, Sex::Other];

impl Facts {
    /// What is whole in a record; nothing when its id or its source is not. `buffer` is used again.
    pub(crate) fn of(case: &Case<'_>, damage: &Damage, buffer: &mut Vec<u8>) -> Option<Self> {
        let damaged = damage.sections();
        let whole = |sections: u32| sections & damaged == 0;
        if !whole(section("id") | section("source")) {
            return None;
        }
        let system = case.text(case.source.system);
        let mut key = |id: &[u8]| hash_of(buffer, &[system, b"/", id]);
        let record = key(case.text(case.id));
        let has_patient = whole(section("patient"));
        let patient = if has_patient { key(case.text(case.patient.id)) } else { 0 };
        let version = case.source.system_version.map_or(0, |version| xxh3_64(case.text(version)) as u32 | 1);
        let end_of_log = write_values(case, case.bytes(), buffer);
        let content = xxh3_64(buffer);
        let (log, log_days) = log_of(case, &buffer[..end_of_log], xxh3_64(system));
        let (first_day, last_day, bits) = if whole(section("wear_periods")) { worn_days(case) } else { (0, 0, 0) };
        Some(Self {
            record,
            content,
            patient,
            log,
            system: xxh3_64(system),
            exported: nanoseconds(case),
            version,
            file: 0,
            number: 0,
            line: 0,
            copies: 1,
            first_day,
            last_day,
            last_told: if damaged == 0 { case.trusted.1.min(case.today).0 } else { UNKNOWN },
            spots: Spots::default(),
            log_days,
            birth_year: if has_patient && case.birth() <= case.today { case.patient.birth_year as i16 } else { 0 },
            sex: case.patient.sex.filter(|_| has_patient).map_or(0, number_of),
            bits,
        })
    }

    /// The content of a record of which a part could not be read into rows: its text, without white space.
    pub(crate) fn take_text(&mut self, record: &[u8], buffer: &mut Vec<u8>) {
        buffer.clear();
        oar_schema::value_bytes::without_space(record, buffer);
        self.content = xxh3_64(buffer);
    }

    /// Notes whether something was found in the record itself.
    pub(crate) fn note_findings(&mut self, some: bool) {
        self.bits = self.bits & !FOUND | if some { FOUND } else { 0 };
    }

    /// Whether something was found in the record itself.
    pub(crate) fn has_finding(&self) -> bool {
        self.bits & FOUND != 0
    }

    /// The arches in which trays were worn on trusted days, as [`UPPER`] and [`LOWER`].
    pub(crate) fn arches(&self) -> u8 {
        self.bits & (UPPER | LOWER)
    }

    /// Whether a tray was still worn at the export.
    pub(crate) fn is_worn_still(&self) -> bool {
        self.bits & WORN_STILL != 0
    }
}

fn number_of(sex: Sex) -> u8 {
    SEXES.iter().position(|known| *known == sex).map_or(0, |at| at as u8 + 1)
}

fn nanoseconds(case: &Case<'_>) -> i64 {
    let at = case.source.exported_at;
    at.seconds.saturating_mul(1_000_000_000).saturating_add(i64::from(at.nanoseconds))
}

fn hash_of(buffer: &mut Vec<u8>, parts: &[&[u8]]) -> u64 {
    buffer.clear();
    for part in parts {
        buffer.extend_from_slice(part);
    }
    xxh3_64(buffer)
}

/// The wear log within its system, when it has so many days that no two patients have it by chance, and its entries. The
/// log stands at the beginning of `values`.
fn log_of(case: &Case<'_>, values: &[u8], system: u64) -> (u64, u16) {
    let log = &case[case.wear_log];
    let differs = |pair: &&[WearDayRow]| pair[0].minutes != pair[1].minutes;
    if log.is_empty() || (log.windows(2).filter(differs).count() as i64) + 1 < case.limits.same_log_days {
        return (0, 0);
    }
    (xxh3_64_with_seed(values, system), u16::try_from(log.len()).unwrap_or(u16::MAX))
}

/// Writes all values of a record, the wear log first; gives how many bytes that takes.
fn write_values(rows: &Rows, text: &[u8], buffer: &mut Vec<u8>) -> usize {
    buffer.clear();
    if let Some(log) = &rows.wear_log {
        rows.write::<Vec<WearDay>>(log, text, buffer);
    }
    buffer.push(u8::from(rows.wear_log.is_some()));
    let log = buffer.len();
    rows.write::<Record>(&RecordRow { wear_log: None, ..**rows }, text, buffer);
    log
}

/// The first and the last day of wear, and in which arches, when no rule within the record reports one of the days.
fn worn_days(case: &Case<'_>) -> (i32, i32, u8) {
    let worn = &case[case.wear_periods];
    let doubtful = worn.iter().any(|worn| {
        backwards(worn)
            || comes_late(case, worn)
            || !case.trusts(worn.from)
            || !worn.to.is_none_or(|to| case.trusts(to))
    });
    if doubtful || !worn.is_sorted_by_key(|worn| worn.from) {
        return (0, 0, 0);
    }
    let (Some(first), Some(last)) = (worn.first(), worn.last()) else { return (0, 0, 0) };
    let still = last.to.is_none() && last.ended.is_none();
    let end = worn.iter().map(|worn| worn.to.unwrap_or(worn.from)).max().unwrap_or(first.from);
    let end = if still { end.max(case.today) } else { end };
    let arches = worn.iter().fold(0, |arches, worn| arches | bits(worn.arches));
    (first.from.0, end.0, arches | if still { WORN_STILL } else { 0 })
}

fn bits(arches: Arches) -> u8 {
    match arches {
        Arches::Both => UPPER | LOWER,
        Arches::Upper => UPPER,
        Arches::Lower => LOWER,
    }
}
