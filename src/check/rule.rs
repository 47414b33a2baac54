//! Rules: their names, levels, sections and pages.

use oar_schema::parse::from_text;

use crate::check::marks::Marks;
use crate::check::parts::{Damage, Parts};

/// The form of names of rules, themes and arguments, as a regular expression.
#[cfg(feature = "schemas")]
pub(crate) const NAME: &str = "^[a-z][a-z0-9_]*$";

/// The level of a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "schemas", derive(schemars::JsonSchema))]
pub enum Level {
    /// Unusual, worth a look.
    Note,
    /// Outside deliberate practice, probably a wrong number.
    Warning,
    /// The record contradicts the format, itself or the physical world.
    Error,
}

impl Level {
    /// All levels, the most serious first.
    pub const ALL: [Self; 3] = [Self::Error, Self::Warning, Self::Note];

    /// The word: `note`, `warning` or `error`.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

from_text!(names Level, "a level: error, warning or note", Self::ALL);

/// When a rule is checked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum RuleKind {
    /// While the file is read.
    Reading,
    /// On a record that was read.
    Record,
    /// On the records of a run together.
    CrossRecord,
}

/// One rule. Its name states the fault.
pub struct Rule {
    /// Its name, the same everywhere.
    pub name: &'static str,
    /// The level of its findings.
    pub level: Level,
    /// The theme it belongs to.
    pub theme: &'static str,
    /// Its page: documentation, messages and examples.
    pub page: &'static str,
    /// The sections of the record that it reads, as bits in the order of the record's fields.
    pub sections: u32,
    /// The parts of the record that it needs in full: if something is missing in one of them, it could report a false finding.
    pub needs: Parts,
    /// The marks that keep it from reporting: other rules report what they mark.
    pub unless: Marks,
    /// When it is checked.
    pub kind: RuleKind,
}

impl Rule {
    /// Whether its findings say that something could not be read.
    pub fn reports_unread(&self) -> bool {
        matches!(self.theme, "file" | "shape")
    }

    /// Whether it cannot run on a record with these unreadable parts.
    pub(crate) fn is_stopped_by(&self, damage: &Damage) -> bool {
        self.kind == RuleKind::Record
            && (self.sections & damage.gone != 0 || !self.needs.intersection(damage.holes).is_empty())
    }

    /// What of a record decides whether it finds something, as bits in the order of the record's fields: the sections that it
    /// reads; none for a rule of shape, which looks at each value by itself; all for one that looks at whole files or at
    /// several records.
    pub fn reads(&self) -> u32 {
        match self.kind {
            RuleKind::Record => self.sections,
            RuleKind::Reading if self.theme == "shape" => 0,
            RuleKind::Reading | RuleKind::CrossRecord => u32::MAX,
        }
    }
}

impl std::fmt::Debug for Rule {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.level.as_str(), self.name)
    }
}

impl PartialEq for Rule {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}
