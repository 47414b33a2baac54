//! The levels of the findings of each rule in a run.

use std::collections::BTreeMap;

use crate::check::rule::{Level, Rule};

/// The rules whose level differs from the one that they are declared with; none for a rule that is off.
#[derive(Clone, Debug, Default)]
pub(crate) struct Levels(BTreeMap<&'static str, Option<Level>>);

impl Levels {
    /// The level of a rule's findings; none when it is off.
    pub(crate) fn of(&self, rule: &Rule) -> Option<Level> {
        self.0.get(rule.name).copied().unwrap_or(Some(rule.level))
    }
}

impl FromIterator<(&'static Rule, Option<Level>)> for Levels {
    fn from_iter<I: IntoIterator<Item = (&'static Rule, Option<Level>)>>(levels: I) -> Self {
        let changed = levels.into_iter().filter(|(rule, level)| *level != Some(rule.level));
        Self(changed.map(|(rule, level)| (rule.name, level)).collect())
    }
}
