//! Settings as the checker uses them: resolved once, looked up for each record.

use std::collections::BTreeMap;

use oar_schema::limits::{LIMITS, Limits};

use super::{Profile, Settings};
use crate::check::levels::Levels;
use crate::check::rule::{Level, Rule};
use crate::check::rules::{self, RecordCheck};
use crate::read::names::Patterns;

/// The settings for one record.
#[derive(Debug)]
pub(crate) struct InForce {
    /// The limits.
    pub(crate) limits: Limits,
    /// The rules that check a record and are not off, with their functions.
    pub(crate) running: Vec<(&'static Rule, RecordCheck)>,
    /// Whether a rule reports dates that are years from all others; if none does, they are compared like any other.
    pub(crate) reports_far_off: bool,
    pub(crate) levels: Levels,
}

/// The rule about dates that are years from all others.
pub(crate) const FAR_OFF: &str = "date_far_off";

/// The levels of rules in records to which these profiles apply.
fn levels(settings: &Settings, profiles: &[&Profile]) -> Levels {
    rules::all().map(|rule| (rule, settings.level(profiles, rule).0.level())).collect()
}

impl Levels {
    /// Those for records of an unknown system, and for several records together.
    pub(crate) fn everywhere(settings: &Settings) -> Self {
        levels(settings, &[])
    }
}

impl InForce {
    fn new(settings: &Settings, profiles: &[&Profile]) -> Self {
        let levels = levels(settings, profiles);
        let mut limits = Limits::default();
        for limit in LIMITS {
            limits.set_to(limit, settings.limit(profiles, limit).0);
        }
        let running: Vec<_> = rules::on_records().filter(|(rule, _)| levels.of(rule).is_some()).collect();
        let reports_far_off = running.iter().any(|(rule, _)| rule.name == FAR_OFF);
        Self { limits, running, reports_far_off, levels }
    }

    /// The level of a rule's findings; none when it is off.
    pub(crate) fn level(&self, rule: &Rule) -> Option<Level> {
        self.levels.of(rule)
    }
}

/// How many systems are remembered; for further ones, the settings are resolved each time.
const SYSTEMS: usize = 256;

/// The settings for the records of each system.
#[derive(Debug)]
pub(crate) struct Settled {
    settings: Settings,
    /// For systems without a profile; then for the systems so far.
    all: Vec<InForce>,
    /// The patterns of the profiles, the closest first, and which profile each is of.
    patterns: Patterns,
    order: Vec<usize>,
    /// The index of each system's own settings.
    systems: BTreeMap<Vec<u8>, usize>,
    /// The system of the last lookup.
    system: Vec<u8>,
    current: usize,
}

impl Default for Settled {
    fn default() -> Self {
        Self::new(&Settings::default())
    }
}

impl Settled {
    pub(crate) fn new(settings: &Settings) -> Self {
        let all = vec![InForce::new(settings, &[])];
        let order = settings.closest_first();
        let patterns = Patterns::new(order.iter().map(|at| settings.profiles[*at].pattern()));
        let (settings, systems) = (settings.clone(), BTreeMap::new());
        Self { settings, all, patterns, order, systems, system: Vec::new(), current: 0 }
    }

    /// For records of an unknown system.
    pub(crate) fn everywhere(&self) -> &InForce {
        &self.all[0]
    }

    /// For the current record.
    pub(crate) fn current(&self) -> &InForce {
        &self.all[self.current]
    }

    /// Selects the settings for a record of a system; without a name, those for an unknown system.
    #[inline]
    pub(crate) fn turn_to(&mut self, system: &[u8]) {
        if !self.settings.profiles.is_empty() && self.system != system {
            self.system.clear();
            self.system.extend_from_slice(system);
            self.current = if let Some(at) = self.systems.get(system) { *at } else { self.work_out(system) };
        }
    }

    /// Resolves the settings for the records of a system, and returns their index.
    fn work_out(&mut self, system: &[u8]) -> usize {
        if self.systems.len() >= SYSTEMS {
            self.systems.clear();
            self.all.truncate(1);
        }
        let name = str::from_utf8(system).unwrap_or_default();
        let fitting = if name.is_empty() { Vec::new() } else { self.patterns.all(name) };
        let profiles: Vec<&Profile> = fitting.iter().map(|at| &self.settings.profiles[self.order[*at]]).collect();
        let at = if profiles.is_empty() { 0 } else { self.all.len() };
        if at > 0 {
            self.all.push(InForce::new(&self.settings, &profiles));
        }
        self.systems.insert(system.to_vec(), at);
        at
    }
}

#[cfg(test)]
mod tests {
    use super::super::Switch;
    use super::*;

    #[test]
    fn a_rule_that_is_off_does_not_run() {
        let mut settings = Settings::default();
        let themes: Vec<&str> = rules::all().map(|rule| rule.theme).filter(|theme| *theme != "file").collect();
        assert!(InForce::new(&settings, &[]).running.len() > 60);
        for theme in themes {
            settings.everywhere.set_level(theme, Switch::Off).unwrap();
        }
        assert!(InForce::new(&settings, &[]).running.is_empty());
        let mut profile = Profile::new("*").unwrap();
        profile.set_level("tray_skipped", Switch::At(Level::Note)).unwrap();
        let running = InForce::new(&settings, &[&profile]).running;
        assert_eq!(running.iter().map(|(rule, _)| rule.name).collect::<Vec<_>>(), ["tray_skipped"]);
    }

    #[test]
    fn rules_that_are_named_here_are_there() {
        for name in super::super::NEVER_OFF.iter().chain(super::super::KNOW_THE_SYSTEM) {
            assert!(rules::find(name).is_some_and(|rule| rule.theme == "file"), "{name}");
        }
        // So that a name in a table of levels is a rule or a theme and never both.
        assert!(rules::all().all(|rule| rules::all().all(|other| other.theme != rule.name)));
    }
}
