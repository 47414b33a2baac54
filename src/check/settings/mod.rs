//! Settings: which rules run, the levels of their findings, and the limits; for all records, and for those of one system.
//!
//! ```
//! use open_aligner_record::rule::Level;
//! use open_aligner_record::settings::{Profile, Settings, Switch};
//! use open_aligner_record::Checker;
//!
//! let mut settings = Settings::default();
//! settings.everywhere.set_level("moves_too_fast", Switch::At(Level::Error))?;
//! settings.everywhere.set_limit("tray_linear_mm", "0.3 mm")?;
//! let mut quillmere = Profile::new("quillmere-*")?;
//! quillmere.set_level("wear_log", Switch::Off)?;
//! settings.profiles.push(quillmere);
//! let checker = Checker::with_settings(&settings);
//! # assert_eq!(checker.limits().tray_linear_mm, 30);
//! # Ok::<(), open_aligner_record::settings::SettingError>(())
//! ```
//!
//! One layer is laid over another: what the [edition](editions) says, then [`Settings::everywhere`], then the profile of
//! the system that wrote the record, then [`Settings::last`]. In each of them a rule overrides its theme. A rule that
//! [`Settings::selection`] leaves out is off, whatever its level.

pub mod editions;
mod error;
mod in_force;
mod layer;
mod profile;
mod rule_selection;
mod units;

use std::fmt;
use std::sync::Arc;

use oar_schema::limits::{LIMITS, Limit, Limits};

use crate::check::rule::{Level, Rule};
use editions::Editions;

pub use error::{SettingError, perhaps};
pub(crate) use in_force::{FAR_OFF, InForce, Settled};
pub use layer::Layer;
pub use profile::Profile;
pub use rule_selection::{ALL, RuleSelection};

/// Rules whose findings mean that nothing of a record was checked: they cannot be off.
pub(crate) const NEVER_OFF: &[&str] = &[
    "not_utf8",
    "not_json",
    "cut_short",
    "nested_too_deep",
    "nothing_inside",
    "record_too_large",
    "another_format",
    "newer_version",
];

/// Rules of the theme `file` that run on a record with a known system.
pub(crate) const KNOW_THE_SYSTEM: &[&str] = &["repeated_name", "number_too_large", "noncharacter", "newer_version"];

/// The level of a rule's findings, or that the rule does not run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Switch {
    /// It does not run.
    Off,
    /// Its findings have this level.
    At(Level),
}

impl Switch {
    /// The words: `error`, `warning`, `note` and `off`.
    pub const WORDS: &[(&str, Self)] = &[
        ("error", Self::At(Level::Error)),
        ("warning", Self::At(Level::Warning)),
        ("note", Self::At(Level::Note)),
        ("off", Self::Off),
    ];

    /// Reads one of the words.
    ///
    /// # Errors
    /// When it is none of them.
    pub fn named(word: &str) -> Result<Self, SettingError> {
        let known = Self::WORDS.iter().find(|(known, _)| *known == word);
        known.map(|(_, switch)| *switch).ok_or_else(|| SettingError::NoLevel(word.to_owned()))
    }

    /// The level; none when the rule does not run.
    pub const fn level(self) -> Option<Level> {
        match self {
            Self::Off => None,
            Self::At(level) => Some(level),
        }
    }

    /// As written.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Off => "off",
            Self::At(level) => level.as_str(),
        }
    }
}

/// Where a setting comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Origin {
    /// The default.
    Default,
    /// The rule set of an older edition.
    Edition(u32),
    /// A program that uses the library.
    Program,
    /// A line of a file, from 1.
    Line(Arc<str>, u64),
    /// An option of the command, as it was given.
    Option(Arc<str>),
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Default => f.write_str("default"),
            Self::Edition(edition) => write!(f, "edition {edition}"),
            Self::Program => f.write_str("program"),
            Self::Line(file, line) => write!(f, "{file}:{line}"),
            Self::Option(given) => f.write_str(given),
        }
    }
}

/// How records are checked.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct Settings {
    /// The edition of the rules; none is the newest one.
    pub edition: Option<u32>,
    /// For all records.
    pub everywhere: Layer,
    /// For the records of some systems. All profiles that match a system are combined. When two set the same thing, the closest
    /// wins: the exact name of the system, otherwise the pattern with the most letters, otherwise the first of these.
    pub profiles: Vec<Profile>,
    /// For all records; overrides the profiles.
    pub last: Layer,
    /// The rules that run.
    pub selection: RuleSelection,
    /// The known editions.
    pub editions: Editions,
}

impl From<Limits> for Settings {
    fn from(limits: Limits) -> Self {
        Self { everywhere: Layer::from(limits), ..Self::default() }
    }
}

impl Settings {
    /// The edition of the rules.
    pub fn edition(&self) -> u32 {
        self.edition.unwrap_or(self.editions.newest)
    }

    /// The profiles that apply to the records of a system, the closest first. Given a pattern, those that apply to all systems
    /// that match it.
    pub fn profiles_for(&self, system: &str) -> Vec<&Profile> {
        let closest = self.closest_first().into_iter().map(|at| &self.profiles[at]);
        closest.filter(|profile| profile.is_for(system)).collect()
    }

    /// The indices of the profiles, those that match a system most closely first.
    pub(crate) fn closest_first(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.profiles.len()).collect();
        order.sort_by_key(|at| std::cmp::Reverse(self.profiles[*at].closeness()));
        order
    }

    /// The level of a rule in records to which these profiles apply, the closest first, and its origin.
    pub fn level(&self, profiles: &[&Profile], rule: &Rule) -> (Switch, Origin) {
        let edition = self.edition();
        if !self.editions.has(edition, rule.name) {
            return (Switch::Off, Origin::Edition(edition));
        }
        if let Some(origin) = self.selection.leaves_out(rule) {
            return (Switch::Off, origin.clone());
        }
        let set = self.layers(profiles).find_map(|layer| layer.level(rule));
        set.cloned().unwrap_or_else(|| {
            let level = self.editions.level(edition, rule);
            let origin = if level == rule.level { Origin::Default } else { Origin::Edition(edition) };
            (Switch::At(level), origin)
        })
    }

    /// The value of a limit for records to which these profiles apply, the closest first, on the limit's scale, and its origin.
    pub fn limit(&self, profiles: &[&Profile], limit: &Limit) -> (i64, Origin) {
        let edition = self.edition();
        let set = self.layers(profiles).find_map(|layer| layer.limit(limit.name));
        set.cloned().unwrap_or_else(|| {
            let value = self.editions.limit(edition, limit);
            let origin = if value == limit.value { Origin::Default } else { Origin::Edition(edition) };
            (value, origin)
        })
    }

    /// The same limits, with every rule at its level in the edition.
    pub(crate) fn with_no_rule_off(&self) -> Self {
        let mut settings = self.clone();
        settings.everywhere.forget_levels();
        settings.last.forget_levels();
        settings.profiles.iter_mut().for_each(Profile::forget_levels);
        settings.selection = RuleSelection::default();
        settings
    }

    /// The maximum size of a record in bytes.
    pub fn largest_record(&self) -> usize {
        let limit = LIMITS.iter().find(|limit| limit.name == "largest_record_kilobytes");
        limit.map_or(usize::MAX, |limit| self.limit(&[], limit).0 as usize * 1024)
    }

    /// The layers from the last one down.
    fn layers<'a>(&'a self, profiles: &'a [&'a Profile]) -> impl Iterator<Item = &'a Layer> {
        let profiles = profiles.iter().map(|profile| profile.layer());
        std::iter::once(&self.last).chain(profiles).chain(std::iter::once(&self.everywhere))
    }
}
