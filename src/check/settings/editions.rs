//! Editions of the rule set: the rules, levels and default limits of each.
//!
//! The edition number grows, independently of the version of this library, when a rule is added, or when the level of a rule
//! or the default of a limit changes. [`Editions::OURS`] has a row for each such change with the previous value, so that any
//! edition can be restored. `docs/reference/editions/` has a list of each; a test compares the lists with the rows.

use std::fmt;

use oar_schema::limits::{LIMITS, Limit};

use crate::check::rule::{Level, Rule};
use crate::check::rules;

/// A change from one edition to the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// A rule of that name was added.
    Rule(&'static str),
    /// The level of a rule changed; with the previous level.
    Level(&'static str, Level),
    /// The default of a limit changed; with the previous one, on the limit's scale.
    Limit(&'static str, i64),
    /// A limit of that name was added; with the value, on its scale, that has no effect.
    NewLimit(&'static str, i64),
}

impl fmt::Display for Change {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Rule(name) => write!(f, "the rule {name} was added"),
            Self::Level(name, before) => write!(f, "the level of {name} changed; it was {}", before.as_str()),
            Self::Limit(name, before) => {
                write!(f, "the default of {name} changed; it was {}", written(name, *before))
            }
            Self::NewLimit(name, before) => {
                write!(f, "the limit {name} was added; before, it was as if it were {}", written(name, *before))
            }
        }
    }
}

/// A value of a limit with its unit.
fn written(name: &str, value: i64) -> String {
    let limit = LIMITS.iter().find(|limit| limit.name == name);
    limit.map_or(value.to_string(), |limit| format!("{} {}", limit.written(value), limit.unit))
}

/// The known editions.
#[derive(Clone, Copy, Debug)]
pub struct Editions {
    /// The newest one; the first is 1.
    pub newest: u32,
    /// The changes of each edition, in the order of editions.
    pub changes: &'static [(u32, Change)],
}

impl Default for Editions {
    fn default() -> Self {
        Self::OURS
    }
}

impl Editions {
    /// Those of this library.
    pub const OURS: Self = Self { newest: 1, changes: &[] };

    /// The newest edition that was published, whose rules no longer change; 0 when there is none yet.
    pub const PUBLISHED: u32 = 0;

    /// The changes of an edition.
    pub fn changes_of(&self, edition: u32) -> impl Iterator<Item = Change> {
        self.changes.iter().filter(move |(of, _)| *of == edition).map(|(_, change)| *change)
    }

    /// The changes after an edition, in order.
    fn after(&self, edition: u32) -> impl Iterator<Item = Change> {
        self.changes.iter().filter(move |(of, _)| *of > edition).map(|(_, change)| *change)
    }

    /// The edition in which a rule appeared.
    pub fn since(&self, name: &str) -> u32 {
        let added = self.changes.iter().find(|(_, change)| matches!(change, Change::Rule(added) if *added == name));
        added.map_or(1, |(edition, _)| *edition)
    }

    /// Whether an edition has the rule.
    pub fn has(&self, edition: u32, name: &str) -> bool {
        self.since(name) <= edition
    }

    /// The level that a rule had in an edition.
    pub fn level(&self, edition: u32, rule: &Rule) -> Level {
        let before = self.after(edition).find_map(|change| match change {
            Change::Level(name, before) if name == rule.name => Some(before),
            _ => None,
        });
        before.unwrap_or(rule.level)
    }

    /// The default that a limit had in an edition, on its scale.
    pub fn limit(&self, edition: u32, limit: &Limit) -> i64 {
        let before = self.after(edition).find_map(|change| match change {
            Change::Limit(name, before) | Change::NewLimit(name, before) if name == limit.name => Some(before),
            _ => None,
        });
        before.unwrap_or(limit.value)
    }

    /// The list of an edition: a line for each rule with its level, and for each limit with its default.
    pub fn list(&self, edition: u32) -> String {
        let rules = rules::all().filter(|rule| self.has(edition, rule.name));
        let rules = rules.map(|rule| format!("{} {}\n", rule.name, self.level(edition, rule).as_str()));
        let added = |limit: &Limit| {
            self.after(edition).any(|change| matches!(change, Change::NewLimit(name, _) if name == limit.name))
        };
        let limits = LIMITS
            .iter()
            .filter(|limit| !added(limit))
            .map(|limit| format!("{} {} {}\n", limit.name, limit.written(self.limit(edition, limit)), limit.unit));
        rules.chain(limits).collect()
    }
}
