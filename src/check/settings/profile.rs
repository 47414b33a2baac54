//! Settings for the records of one system.

use super::error::SettingError;
use super::layer::named;
use super::{KNOW_THE_SYSTEM, Layer, Origin, Switch};
use crate::check::rule::RuleKind;
use crate::check::rules;
use crate::read::names;

/// Limits that are needed before the system of a record is known.
const BEFORE_THE_SYSTEM: &[&str] = &["largest_record_kilobytes"];

/// Levels and limits for the records of a system, or of all systems whose names match a pattern.
#[derive(Clone, Debug)]
pub struct Profile {
    pattern: String,
    layer: Layer,
}

impl Profile {
    /// A profile for the records whose `source.system` is `pattern`, in which `*` matches any text.
    ///
    /// # Errors
    /// When a system cannot have that name.
    pub fn new(pattern: &str) -> Result<Self, SettingError> {
        let fits = |byte: u8| byte.is_ascii_alphanumeric() || b"._:-*".contains(&byte);
        if pattern.is_empty() || !pattern.bytes().all(fits) {
            return Err(SettingError::NoSystem(pattern.to_owned()));
        }
        Ok(Self { pattern: pattern.to_owned(), layer: Layer::default() })
    }

    /// The name of the system, or the pattern.
    pub fn pattern(&self) -> &str {
        &self.pattern
    }

    /// Whether it applies to a system of that name.
    pub fn is_for(&self, system: &str) -> bool {
        names::matches(&self.pattern, system)
    }

    /// How closely it matches: the number of letters of the pattern; an exact name is closest.
    pub(super) fn closeness(&self) -> usize {
        if self.pattern.contains('*') { self.pattern.bytes().filter(|byte| *byte != b'*').count() } else { usize::MAX }
    }

    /// As [`Layer::set_level`].
    ///
    /// # Errors
    /// The same, and when the rule checks more than one record, or runs before the system of the record is known.
    pub fn set_level(&mut self, name: &str, switch: Switch) -> Result<(), SettingError> {
        self.set_level_from(name, switch, Origin::Program)
    }

    /// As [`Layer::set_level_from`].
    ///
    /// # Errors
    /// Those of [`Self::set_level`].
    pub fn set_level_from(&mut self, name: &str, switch: Switch, origin: Origin) -> Result<(), SettingError> {
        let early = rules::all().find(|rule| {
            let knows = rule.kind == RuleKind::Record || rule.theme == "shape";
            named(rule, name) && !knows && !KNOW_THE_SYSTEM.contains(&rule.name)
        });
        if let Some(rule) = early {
            return Err(SettingError::NotInProfile(name.to_owned(), Some(rule.name)));
        }
        self.layer.set_level_from(name, switch, origin)
    }

    /// As [`Layer::set_limit`].
    ///
    /// # Errors
    /// The same, and when the limit is needed before the system of the record is known.
    pub fn set_limit(&mut self, name: &str, text: &str) -> Result<(), SettingError> {
        self.set_limit_from(name, text, Origin::Program)
    }

    /// As [`Layer::set_limit_from`].
    ///
    /// # Errors
    /// Those of [`Self::set_limit`].
    pub fn set_limit_from(&mut self, name: &str, text: &str, origin: Origin) -> Result<(), SettingError> {
        if BEFORE_THE_SYSTEM.contains(&name) {
            return Err(SettingError::NotInProfile(name.to_owned(), None));
        }
        self.layer.set_limit_from(name, text, origin)
    }

    pub(super) fn forget_levels(&mut self) {
        self.layer.forget_levels();
    }

    pub(super) fn layer(&self) -> &Layer {
        &self.layer
    }
}
