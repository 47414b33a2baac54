//! What rules find across the records of a run.

use crate::check::cohort::{Across, Cohort, Hits, Joined};
use crate::check::levels::Levels;
use crate::check::rules;
use crate::check::settings::Settings;

impl Cohort {
    /// A cohort without records, to be looked at with the levels that are set for all records.
    pub fn with_settings(settings: &Settings) -> Self {
        Self::with_levels(Levels::everywhere(settings))
    }

    /// What is found across the records, in the order of the files and of the records within them.
    pub fn findings(&self) -> impl Iterator<Item = Across> + '_ {
        let joined = Joined::new(self);
        let mut hits = Hits::default();
        for (rule, check) in rules::across_records().filter(|(rule, _)| self.levels().of(rule).is_some()) {
            hits.rule = Some(rule);
            check(&joined, &mut hits);
        }
        drop(joined);
        hits.in_order_of(self).into_iter().map(|hit| hit.across(self))
    }
}
