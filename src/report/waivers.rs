//! Waivers: findings that somebody has reviewed and accepted, each with a reason, in a file beside the records.
//!
//! JSON has no comments, so the file is TOML:
//!
//! ```toml
//! [[waiver]]
//! record = "QM-0007"           # the record's id; * matches any text
//! rule = "worn_backwards"
//! at = "/wear_periods/*/to"            # a JSON Pointer; * matches any text within a step, ** at the end everything below
//! file = "exports/2031/*"      # optional, relative to the folder of the waiver file; * matches any text
//! reason = "the clinic has the paper sheet and corrects it at the next visit"
//! until = 2031-12-31           # optional: the last day on which it applies
//! ```

mod index;
mod read;
mod spot;

use oar_schema::time::Date;

pub use super::toml_file::Mistake;

use crate::check::args::{Args, args};
use crate::check::finding::{Finding, Item, Place};
use crate::check::rule::{Rule, RuleKind};
use crate::check::rules::waivers::{waiver_expired, waiver_without_finding};
use crate::read::names::matches;
use index::Index;
use spot::PointerPattern;

/// One waiver.
#[derive(Clone, Debug)]
pub struct Waiver {
    /// The rule whose findings it accepts.
    pub rule: &'static Rule,
    /// The reason, in the words of the author of the waiver.
    pub reason: String,
    /// The last day on which it applies; none means always.
    pub until: Option<Date>,
    /// Where it begins in its file.
    pub place: Place,
    record: String,
    at: PointerPattern,
    file: Option<String>,
}

impl Waiver {
    fn is_about(&self, item: &Item<'_>, record: Option<&str>, path: &str) -> bool {
        let record_fits = self.record == "*" || record.is_some_and(|id| matches(&self.record, id));
        record_fits
            && self.at.fits(&item.finding.place.pointer)
            && self.file.as_ref().is_none_or(|pattern| matches(pattern, path))
    }
}

/// The waivers of a file, and what they accepted in a run.
#[derive(Clone, Debug)]
pub struct Waivers {
    /// The name of the file in findings about it.
    pub file: String,
    all: Vec<Waiver>,
    index: Index,
    today: Option<Date>,
}

impl Waivers {
    /// Reads the text of a waiver file with the name `file`.
    ///
    /// # Errors
    /// All mistakes in it.
    pub fn read(file: &str, text: &str) -> Result<Self, Vec<Mistake>> {
        let all = read::waivers(file, text)?;
        Ok(Self { file: file.to_owned(), index: Index::of(&all), all, today: None })
    }

    /// Whether one of them names a record and a rule across records, so that
    /// [`Options::record_ids`](crate::report::run::Options::record_ids) is needed.
    pub fn ask_for_ids(&self) -> bool {
        self.all.iter().any(|waiver| waiver.record != "*" && waiver.rule.kind == RuleKind::CrossRecord)
    }

    /// Whether one of them has a last day, so that [`Self::on`] needs the current day.
    pub fn can_expire(&self) -> bool {
        self.all.iter().any(|waiver| waiver.until.is_some())
    }

    /// The waivers as they apply on a day. Without a day, none has expired.
    #[must_use]
    pub fn on(mut self, today: Date) -> Self {
        self.today = Some(today);
        let (all, index) = (&self.all, &mut self.index);
        index.hold(|number| all[number].until.is_none_or(|until| today <= until));
        self
    }

    /// The number of the waiver that accepts a finding, if there is one. `path` is the finding's file as patterns name it;
    /// `in_baseline` whether the finding is accepted without a waiver.
    pub fn holding(&mut self, item: &Item<'_>, path: &str, in_baseline: bool) -> Option<usize> {
        let mut holding: Option<usize> = None;
        let record = item.finding.record_id();
        let found = [record.as_deref(), Some(item.finding.place.pointer.as_str()), Some(path)];
        for group in self.index.candidates(item.finding.rule.name, found) {
            let group = &mut self.index.groups[group];
            if self.all[group.members[0]].is_about(item, record.as_deref(), path) {
                group.about += 1;
                group.in_baseline += u64::from(in_baseline);
                holding = holding.into_iter().chain(group.holder).min();
            }
        }
        holding
    }

    /// A waiver by its number in the file, from 0.
    pub fn get(&self, index: usize) -> Option<&Waiver> {
        self.all.get(index)
    }

    fn has_expired(&self, index: usize) -> bool {
        let until = self.all[index].until;
        until.is_some_and(|until| self.today.is_some_and(|today| until < today))
    }

    /// Findings about the waivers after a run, in their order: expired ones and ones without a finding; the latter, expired or
    /// not, only when the run covered `everything`.
    pub fn findings(&self, everything: bool) -> Vec<Finding> {
        let indices = 0..self.all.len();
        indices.filter_map(|index| self.finding(index, everything)).collect()
    }

    fn finding(&self, index: usize, everything: bool) -> Option<Finding> {
        let (waiver, group) = (&self.all[index], &self.index.groups[self.index.group_of[index]]);
        let (about, again) = (group.about, group.about - group.in_baseline);
        let (rule, args): (&'static Rule, Args) = match waiver.until.filter(|_| self.has_expired(index)) {
            Some(until) if again > 0 => (&waiver_expired, args!["until" = until, "count" = again as usize]),
            Some(until) if about > 0 => (&waiver_expired, args!["until" = until, "in_baseline" = about as usize]),
            Some(until) if everything => (&waiver_expired, args!["until" = until]),
            None if about == 0 && everything => (&waiver_without_finding, args!["rule" = waiver.rule.name]),
            _ => return None,
        };
        let subject = format!("#{}", waiver.place.line);
        Some(Finding::new(rule, rule.level, waiver.place.clone(), args, subject))
    }
}
