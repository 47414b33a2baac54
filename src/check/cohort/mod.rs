//! The cohort: all records of one run, for the rules that compare them.
//!
//! [`Facts`] are kept of each record: 120 bytes, whatever its size, and none of its text. When all records are in, the rules
//! check them ([`crate::check::rules`], theme `cohort`). What they find does not depend on the order in which records were added:
//! which of two records a finding is placed in is decided by when they were exported, then by what they say, and only for
//! records that say exactly the same by the name of the file and the place in it.
//!
//! [`crate::report::run::run`] does all of this. With a [`Checker`](crate::check::Checker) alone it is done so:
//!
//! ```
//! use open_aligner_record::{Checker, cohort::Cohort};
//!
//! let (mut checker, mut cohort) = (Checker::new().with_facts(), Cohort::default());
//! let records = [("a.oar.json", b"{}"), ("b.oar.json", b"{}")];
//! for (file, record) in records {
//!     let checked = checker.check(record);
//!     assert!(!checked.is_empty());
//!     // A record whose id and source could not be read has no facts.
//!     if let Some(facts) = checked.facts() {
//!         cohort.add(file, 1, facts);
//!     }
//! }
//! for found in cohort.findings() {
//!     println!("{} {}: {}", found.file, found.finding.place.pointer, found.finding.message());
//! }
//! ```

mod facts;
mod found;
mod joined;
mod spots;

pub use facts::Facts;
pub(crate) use facts::{LOWER, SEXES, UNKNOWN, UPPER};
pub(crate) use found::AcrossValues;
pub use found::{Across, Hits};
#[doc(hidden)]
#[doc(hidden)]
pub use joined::Joined;
pub(crate) use joined::groups;
pub(crate) use spots::{FactField, Spots};

use std::cmp::Ordering;
use std::collections::BTreeMap;

use crate::check::levels::Levels;

/// So many facts are kept before copies are looked for.
const FIRST_ROOM: usize = 4096;

/// A file and how many records of it are in the cohort.
#[derive(Debug)]
struct File {
    name: String,
    records: u64,
}

/// The records of one run, as far as rules compare them.
#[derive(Debug, Default)]
pub struct Cohort {
    files: Vec<File>,
    facts: Vec<Facts>,
    /// The ids of records by their place among the files and in the file, where they were told.
    ids: BTreeMap<(u32, u32), Box<str>>,
    /// With so many facts copies are looked for before more room is taken.
    room: usize,
    levels: Levels,
}

impl Cohort {
    pub(crate) fn with_levels(levels: Levels) -> Self {
        Self { levels, ..Self::default() }
    }

    pub(crate) fn levels(&self) -> &Levels {
        &self.levels
    }

    /// Adds record `number` of a file, counted from 1. The records of a file are added one by one.
    pub fn add(&mut self, file: &str, number: u64, facts: &Facts) {
        if self.files.last().is_none_or(|last| last.name != file) {
            self.files.push(File { name: file.to_owned(), records: 0 });
        }
        let place = self.files.len() - 1;
        self.files[place].records += 1;
        if self.facts.len() >= self.room.max(FIRST_ROOM) {
            self.make_room();
        }
        let number = u32::try_from(number).unwrap_or(u32::MAX);
        self.facts.push(Facts { file: place as u32, number, ..*facts });
    }

    /// Tells the id of the record that was added last, for the findings that are placed in it. It takes room for each record.
    pub fn name_last(&mut self, id: &str) {
        if let Some(last) = self.facts.last() {
            self.ids.insert((last.file, last.number), id.into());
        }
    }

    /// The id of a record, if it was told.
    pub(crate) fn id_of(&self, facts: &Facts) -> Option<&str> {
        self.ids.get(&(facts.file, facts.number)).map(AsRef::as_ref)
    }

    /// Looks for copies, and takes more room when few are found.
    fn make_room(&mut self) {
        self.fold_copies();
        self.room = self.room.max(FIRST_ROOM);
        if self.facts.len() > self.room / 2 {
            self.facts.reserve_exact(self.room * 2 - self.facts.len());
            self.room *= 2;
        }
    }

    /// Keeps two of the copies of a record in one file, the first ones, and counts the others.
    fn fold_copies(&mut self) {
        self.facts.sort_unstable_by_key(|facts| (facts.record, facts.content, facts.file, facts.number));
        let mut kept = 0;
        for at in 0..self.facts.len() {
            let facts = self.facts[at];
            let is_copy =
                |other: &Facts| (other.record, other.content, other.file) == (facts.record, facts.content, facts.file);
            if kept >= 2 && is_copy(&self.facts[kept - 1]) && is_copy(&self.facts[kept - 2]) {
                self.facts[kept - 1].copies += facts.copies;
            } else {
                self.facts[kept] = facts;
                kept += 1;
            }
        }
        self.facts.truncate(kept);
    }

    pub(crate) fn facts(&self) -> &[Facts] {
        &self.facts
    }

    /// Whether the file holds several records.
    pub(crate) fn is_list(&self, facts: &Facts) -> bool {
        self.files[facts.file as usize].records > 1
    }

    pub(crate) fn file_name(&self, facts: &Facts) -> &str {
        &self.files[facts.file as usize].name
    }

    /// The order of two records that are alike in what a rule looks at: when they were exported, then their ids and what
    /// they say, by the hashes, then where they stand.
    pub(crate) fn order(&self, one: &Facts, other: &Facts) -> Ordering {
        let said = |facts: &Facts| (facts.exported, facts.record, facts.content, facts.patient);
        let place = || {
            let names = self.file_name(one).cmp(self.file_name(other));
            names.then(one.number.cmp(&other.number))
        };
        said(one).cmp(&said(other)).then_with(place)
    }
}
