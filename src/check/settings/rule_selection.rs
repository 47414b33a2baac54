//! Which rules run: those that are selected, except those that are ignored.

use super::error::SettingError;
use super::layer::{known, named};
use super::{NEVER_OFF, Origin};
use crate::check::rule::Rule;
use crate::check::rules;

/// The name that means every rule.
pub const ALL: &str = "all";

/// Rules and themes that are selected, and those that are ignored. Without a selected one, every rule is selected. Levels still
/// apply: a rule that is off stays off.
#[derive(Clone, Debug, Default)]
pub struct RuleSelection {
    selected: Vec<(&'static str, Origin)>,
    ignored: Vec<(&'static str, Origin)>,
}

impl RuleSelection {
    /// Selects a rule, all rules of a theme, or `all`.
    ///
    /// # Errors
    /// When no rule and no theme has the name.
    pub fn select(&mut self, name: &str, origin: Origin) -> Result<(), SettingError> {
        self.selected.push((known_or_all(name)?, origin));
        Ok(())
    }

    /// Ignores a rule or all rules of a theme.
    ///
    /// # Errors
    /// When no rule and no theme has the name, or a rule of that name always runs.
    pub fn ignore(&mut self, name: &str, origin: Origin) -> Result<(), SettingError> {
        let name = known_or_all(name)?;
        if let Some(rule) = rules::all().find(|rule| means(name, rule) && NEVER_OFF.contains(&rule.name)) {
            return Err(SettingError::NeverOff(name, rule.name));
        }
        self.ignored.push((name, origin));
        Ok(())
    }

    /// Forgets what was selected; what was ignored stays.
    pub fn forget_selected(&mut self) {
        self.selected.clear();
    }

    /// What was selected, and where.
    pub fn selected(&self) -> &[(&'static str, Origin)] {
        &self.selected
    }

    /// What was ignored, and where.
    pub fn ignored(&self) -> &[(&'static str, Origin)] {
        &self.ignored
    }

    /// Where it was said that a rule does not run; none when it runs. Rules that report an unreadable record always run.
    pub fn leaves_out(&self, rule: &Rule) -> Option<&Origin> {
        if NEVER_OFF.contains(&rule.name) {
            return None;
        }
        let is_meant = |(name, _): &&(&'static str, Origin)| means(name, rule);
        if let Some((_, origin)) = self.ignored.iter().find(is_meant) {
            return Some(origin);
        }
        if self.selected.iter().any(|entry| is_meant(&entry)) {
            return None;
        }
        self.selected.first().map(|(_, origin)| origin)
    }
}

fn known_or_all(name: &str) -> Result<&'static str, SettingError> {
    if name == ALL { Ok(ALL) } else { known(name) }
}

fn means(name: &str, rule: &Rule) -> bool {
    name == ALL || named(rule, name)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn running(selection: &RuleSelection) -> Vec<&'static str> {
        let runs = |rule: &&Rule| !NEVER_OFF.contains(&rule.name) && selection.leaves_out(rule).is_none();
        rules::all().filter(runs).map(|rule| rule.name).collect()
    }

    #[test]
    fn ignored_rules_leave_selected_themes() {
        let mut selection = RuleSelection::default();
        let all = running(&selection).len();
        selection.ignore("wear_log", Origin::Program).unwrap();
        let theme = rules::all().filter(|rule| rule.theme == "wear_log").count();
        assert_eq!(running(&selection).len(), all - theme);
        selection.select("worn_backwards", Origin::Program).unwrap();
        selection.select("wear_log", Origin::Program).unwrap();
        assert_eq!(running(&selection), ["worn_backwards"]);
        selection.select(ALL, Origin::Program).unwrap();
        assert_eq!(running(&selection).len(), all - theme);
    }

    #[test]
    fn rules_that_always_run_cannot_be_ignored() {
        for name in ["not_json", "file", ALL] {
            let error = RuleSelection::default().ignore(name, Origin::Program).unwrap_err();
            assert!(matches!(error, SettingError::NeverOff(..)), "{name}: {error}");
        }
        let mut selection = RuleSelection::default();
        selection.select("worn_backwards", Origin::Program).unwrap();
        assert!(
            rules::all().filter(|rule| NEVER_OFF.contains(&rule.name)).all(|rule| selection.leaves_out(rule).is_none())
        );
    }
}
