//! One layer of settings: levels of rules and themes, values of limits.

use std::collections::BTreeMap;

use oar_schema::limits::{LIMITS, Limit, Limits};

use super::error::SettingError;
use super::{NEVER_OFF, Origin, Switch, units};
use crate::check::rule::Rule;
use crate::check::rules;

/// Levels and limits that override others.
#[derive(Clone, Debug, Default)]
pub struct Layer {
    levels: BTreeMap<&'static str, (Switch, Origin)>,
    limits: BTreeMap<&'static str, (i64, Origin)>,
}

impl From<Limits> for Layer {
    fn from(limits: Limits) -> Self {
        let set = |limit: &Limit| Some((limit.name, (limits.get(limit.name)?, Origin::Program)));
        Self { limits: LIMITS.iter().filter_map(set).collect(), ..Self::default() }
    }
}

impl Layer {
    /// Sets the level of a rule, or of all rules of a theme, or turns them off.
    ///
    /// # Errors
    /// When no rule and no theme has the name, or it has to run.
    pub fn set_level(&mut self, name: &str, switch: Switch) -> Result<(), SettingError> {
        self.set_level_from(name, switch, Origin::Program)
    }

    /// Like [`Self::set_level`], with the origin of the setting.
    ///
    /// # Errors
    /// The same.
    pub fn set_level_from(&mut self, name: &str, switch: Switch, origin: Origin) -> Result<(), SettingError> {
        let name = known(name)?;
        if switch == Switch::Off
            && let Some(rule) = rules::all().find(|rule| named(rule, name) && NEVER_OFF.contains(&rule.name))
        {
            return Err(SettingError::NeverOff(name, rule.name));
        }
        self.levels.insert(name, (switch, origin));
        Ok(())
    }

    /// Sets a limit from text such as `0.3` or `0.3 mm`.
    ///
    /// # Errors
    /// When no limit has the name, or the value is not a number in the limit's unit and range.
    pub fn set_limit(&mut self, name: &str, text: &str) -> Result<(), SettingError> {
        self.set_limit_from(name, text, Origin::Program)
    }

    /// Like [`Self::set_limit`], with the origin of the setting.
    ///
    /// # Errors
    /// The same.
    pub fn set_limit_from(&mut self, name: &str, text: &str, origin: Origin) -> Result<(), SettingError> {
        let (limit, value) = units::read(name, text)?;
        self.limits.insert(limit.name, (value, origin));
        Ok(())
    }

    /// Removes the levels and keeps the limits.
    pub(super) fn forget_levels(&mut self) {
        self.levels.clear();
    }

    /// The level of a rule, set for itself or for its theme.
    pub(super) fn level(&self, rule: &Rule) -> Option<&(Switch, Origin)> {
        self.levels.get(rule.name).or_else(|| self.levels.get(rule.theme))
    }

    pub(super) fn limit(&self, name: &str) -> Option<&(i64, Origin)> {
        self.limits.get(name)
    }
}

/// Whether the rule, or its theme, has the name.
pub(super) fn named(rule: &Rule, name: &str) -> bool {
    rule.name == name || rule.theme == name
}

/// The name of a rule or theme.
pub(super) fn known(name: &str) -> Result<&'static str, SettingError> {
    let names = || rules::all().flat_map(|rule| [rule.name, rule.theme]);
    names().find(|known| *known == name).ok_or_else(|| SettingError::NoRule(name.to_owned()))
}
