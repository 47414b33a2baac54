//! Counts by rule, by file and by the system that wrote the records.

pub(crate) mod formats;

use std::collections::hash_map::DefaultHasher;
use std::collections::{BTreeMap, BTreeSet};
use std::hash::{Hash, Hasher};
use std::io::{self, Write};

use super::Printer;
use super::line::shown_name;
use crate::check::finding::Item;
use crate::check::rule::{Level, Rule};
use crate::check::systems::Systems;
use crate::report::event::Event;
use crate::report::summary::Summary;

pub(super) use formats::{csv, json, text};

/// The counts of one rule, file or system.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct LevelCounts {
    /// All records.
    records: u64,
    /// Records with findings.
    with_findings: u64,
    errors: u64,
    warnings: u64,
    notes: u64,
}

impl LevelCounts {
    fn add(&mut self, level: Level, new_record: bool) {
        self.with_findings += u64::from(new_record);
        match level {
            Level::Error => self.errors += 1,
            Level::Warning => self.warnings += 1,
            Level::Note => self.notes += 1,
        }
    }

    fn findings(&self) -> u64 {
        self.errors + self.warnings + self.notes
    }

    /// The share of records with findings, in tenths of a percent, rounded half up; none without records.
    fn share(&self) -> Option<u32> {
        (self.records > 0).then(|| ((self.with_findings * 2000 + self.records) / (2 * self.records)) as u32)
    }
}

/// Writes the counts when a run is over.
type WriteFormat = fn(&Overview, &mut dyn Write, &Summary) -> io::Result<()>;

/// The printer. It holds an entry for each rule and system, and for each file with findings.
pub(super) struct Overview {
    format: WriteFormat,
    rules: BTreeMap<&'static str, (&'static Rule, LevelCounts)>,
    files: BTreeMap<String, LevelCounts>,
    systems: BTreeMap<String, LevelCounts>,
    /// The records of each file that ended, by the hash of its name: findings across records come after all files.
    lengths: BTreeMap<u64, u64>,
    /// The records of the run by system.
    read: Systems,
    /// The records that were counted, in total and for each rule, as hashes: each is counted once.
    seen: BTreeSet<u64>,
}

impl Overview {
    pub(super) fn new(format: WriteFormat) -> Self {
        Self {
            format,
            rules: BTreeMap::new(),
            files: BTreeMap::new(),
            systems: BTreeMap::new(),
            lengths: BTreeMap::new(),
            read: Systems::default(),
            seen: BTreeSet::new(),
        }
    }

    /// Whether the record of a finding was not counted before, for a rule or at all.
    fn is_new(&mut self, rule: Option<&str>, item: &Item<'_>) -> bool {
        item.record > 0 && self.seen.insert(hash((rule, item.file, item.record)))
    }
}

fn hash(what: impl Hash) -> u64 {
    let mut hasher = DefaultHasher::new();
    what.hash(&mut hasher);
    hasher.finish()
}

impl Printer for Overview {
    fn event(&mut self, out: &mut dyn Write, event: &Event<'_>) -> io::Result<()> {
        match event {
            Event::Finding(item) => {
                self.finding(item);
                Ok(())
            }
            Event::Records { system, records } => {
                self.read.add(system, *records);
                Ok(())
            }
            Event::FileEnd { file, records } => {
                self.lengths.insert(hash(shown_name(file)), *records);
                Ok(())
            }
            Event::End(summary) => self.end(out, summary),
            _ => Ok(()),
        }
    }
}

impl Overview {
    fn finding(&mut self, item: &Item<'_>) {
        let level = item.finding.level;
        let rule = item.finding.rule;
        let new_record = self.is_new(Some(rule.name), item);
        self.rules.entry(rule.name).or_insert((rule, LevelCounts::default())).1.add(level, new_record);
        let new_record = self.is_new(None, item);
        self.files.entry(shown_name(item.file).to_owned()).or_default().add(level, new_record);
        if item.record > 0 && item.finding.elsewhere.is_empty() {
            self.systems.entry(item.finding.system()).or_default().add(level, new_record);
        }
    }

    fn end(&mut self, out: &mut dyn Write, summary: &Summary) -> io::Result<()> {
        for (_, counts) in self.rules.values_mut() {
            counts.records = summary.records;
        }
        for (file, counts) in &mut self.files {
            counts.records = self.lengths.get(&hash(file.as_str())).copied().unwrap_or_default();
        }
        for (system, records) in self.read.iter() {
            self.systems.entry(system.to_owned()).or_default().records = records;
        }
        (self.format)(self, out, summary)
    }
}
