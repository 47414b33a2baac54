//! Repeats: findings of one rule at the same kind of location in one file, of which only the first few are shown.

use std::collections::BTreeMap;
use std::io::{self, Write};

use crate::check::finding::Item;
use crate::text::visible::visible;

/// How many findings of a kind are shown.
const SHOWN: u64 = 3;
/// The rule whose findings are identified by the name in the pointer: one of each name is enough.
const OF_NAMES: &str = "unknown_field";
/// How many kinds are remembered in one file; findings of other kinds are all shown, so memory stays bounded.
const KINDS: usize = 1000;

/// The treatment of a finding in formats for people.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fate {
    /// It is shown.
    Shown,
    /// It is like earlier ones in the file, and is counted at the end of the file.
    Folded,
    /// The maximum number has been shown.
    Hidden,
}

/// Decides what is shown, and counts the rest.
pub(super) struct Repeats {
    most: u64,
    folds: bool,
    shown: u64,
    hidden: u64,
    /// Whether the findings are those across records, which are counted together, whatever their file.
    across: bool,
    file: String,
    kinds: BTreeMap<(&'static str, String), u64>,
}

impl Repeats {
    /// Shows at most `most` findings, and all similar ones unless it `folds`.
    pub(super) fn new(most: u64, folds: bool) -> Self {
        Self { most, folds, shown: 0, hidden: 0, across: false, file: String::new(), kinds: BTreeMap::new() }
    }

    /// The findings that follow are those across records.
    pub(super) fn across(&mut self) {
        self.across = true;
    }

    /// The treatment of the next finding.
    pub(super) fn next(&mut self, item: &Item<'_>) -> Fate {
        if self.shown >= self.most {
            self.hidden += 1;
            return Fate::Hidden;
        }
        if self.folds && self.is_repeat(item) {
            return Fate::Folded;
        }
        self.shown += 1;
        Fate::Shown
    }

    fn is_repeat(&mut self, item: &Item<'_>) -> bool {
        if !self.across && self.file != item.file {
            item.file.clone_into(&mut self.file);
            self.kinds.clear();
        }
        let kind = (item.finding.rule.name, kind_of_place(&item.finding.place.pointer));
        if self.kinds.len() >= KINDS && !self.kinds.contains_key(&kind) {
            return false;
        }
        let count = self.kinds.entry(kind).or_default();
        *count += 1;
        *count > shown_of(item.finding.rule.name)
    }

    /// A line for each kind with folded findings in the file that ends: `… and 362 more not_a_date at /wear_log/*/date`.
    pub(super) fn end_of_file(&mut self) -> Vec<String> {
        let folded = self.kinds.iter().filter(|((rule, _), count)| **count > shown_of(rule));
        let more = folded.map(|((rule, place), count)| (*rule, place.as_str(), count - shown_of(rule)));
        let (names, others): (Vec<_>, Vec<_>) = more.partition(|(rule, ..)| *rule == OF_NAMES);
        let mut lines: Vec<String> = others.into_iter().map(told).collect();
        match names[..] {
            [] => {}
            [one] => lines.push(told(one)),
            _ => {
                let count: u64 = names.iter().map(|(.., count)| count).sum();
                lines.push(format!("… and {count} more {OF_NAMES} at {} kinds of places that are shown", names.len()));
            }
        }
        self.kinds.clear();
        self.file.clear();
        lines
    }

    /// Writes these lines, each after `before`.
    pub(super) fn write_end_of_file(&mut self, out: &mut dyn Write, before: &str) -> io::Result<()> {
        self.end_of_file().iter().try_for_each(|more| writeln!(out, "{before}{}", visible(more)))
    }

    /// How many were shown, and how many were omitted because there were too many.
    pub(super) fn counts(&self) -> (u64, u64) {
        (self.shown, self.hidden)
    }
}

/// How many findings of one kind of the rule are shown.
fn shown_of(rule: &str) -> u64 {
    if rule == OF_NAMES { 1 } else { SHOWN }
}

/// The line for the folded findings of one kind.
fn told((rule, place, count): (&str, &str, u64)) -> String {
    let at = if place.is_empty() { "" } else { " at " };
    format!("… and {count} more {rule}{at}{place}")
}

/// The pointer with `*` for each index.
fn kind_of_place(pointer: &str) -> String {
    let is_index = |step: &&str| !step.is_empty() && step.bytes().all(|byte| byte.is_ascii_digit());
    pointer.split('/').map(|step| if is_index(&step) { "*" } else { step }).collect::<Vec<_>>().join("/")
}
