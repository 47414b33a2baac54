//! The rules, theme by theme.

mod attachments;
mod check_ins;
mod cohort;
pub(crate) mod file;
mod plan;
mod prelude;
mod privacy;
mod reductions;
pub(crate) mod shape;
mod table;
mod teeth;
mod time_and_state;
pub(crate) mod waivers;
mod wear_log;
mod worn_trays;

use crate::check::case::Case;
use crate::check::cohort::{Hits, Joined};
use crate::check::found::Found;
use crate::check::rule::Rule;

/// What a rule looks at.
#[derive(Clone, Copy, Debug)]
pub(crate) enum RuleCheck {
    /// A record that was read.
    Record(RecordCheck),
    /// The records of a run together.
    CrossRecord(CrossRecordCheck),
}

/// A rule's look at one record.
pub(crate) type RecordCheck = fn(&Case<'_>, &mut Found);

/// A rule's look at the records of a run.
pub(crate) type CrossRecordCheck = fn(&Joined<'_>, &mut Hits);

/// The rules of a theme, and their checks in the same order; none where they are checked while a file is read.
struct Theme {
    rules: &'static [&'static Rule],
    checks: &'static [RuleCheck],
}

/// The rules of every theme, in the order in which a record is checked.
const THEMES: &[Theme] = &[
    Theme { rules: file::RULES, checks: &[] },
    Theme { rules: shape::RULES, checks: &[] },
    Theme { rules: teeth::RULES, checks: teeth::CHECKS },
    Theme { rules: plan::RULES, checks: plan::CHECKS },
    Theme { rules: attachments::RULES, checks: attachments::CHECKS },
    Theme { rules: reductions::RULES, checks: reductions::CHECKS },
    Theme { rules: worn_trays::RULES, checks: worn_trays::CHECKS },
    Theme { rules: wear_log::RULES, checks: wear_log::CHECKS },
    Theme { rules: check_ins::RULES, checks: check_ins::CHECKS },
    Theme { rules: time_and_state::RULES, checks: time_and_state::CHECKS },
    Theme { rules: privacy::RULES, checks: privacy::CHECKS },
    Theme { rules: cohort::RULES, checks: cohort::CHECKS },
];

/// The rules that have a check, with it.
fn checks() -> impl Iterator<Item = (&'static Rule, RuleCheck)> {
    THEMES.iter().flat_map(|theme| theme.rules.iter().copied().zip(theme.checks.iter().copied()))
}

/// The rules that check a record, with their checks.
pub(crate) fn on_records() -> impl Iterator<Item = (&'static Rule, RecordCheck)> {
    checks().filter_map(|(rule, check)| match check {
        RuleCheck::Record(check) => Some((rule, check)),
        RuleCheck::CrossRecord(_) => None,
    })
}

/// The rules that compare the records of a run, with their checks.
pub(crate) fn across_records() -> impl Iterator<Item = (&'static Rule, CrossRecordCheck)> {
    checks().filter_map(|(rule, check)| match check {
        RuleCheck::Record(_) => None,
        RuleCheck::CrossRecord(check) => Some((rule, check)),
    })
}

/// All rules, theme by theme.
pub fn all() -> impl Iterator<Item = &'static Rule> {
    THEMES.iter().flat_map(|theme| theme.rules.iter().copied())
}

/// All rules, and after them those about waivers, which are not about records: they have no level to be set, and no place in
/// an edition.
pub fn every() -> impl Iterator<Item = &'static Rule> {
    all().chain(waivers::RULES.iter().copied())
}

/// The rule of that name, also of those about waivers, which are not about records and so not among [`all`].
pub fn find(name: &str) -> Option<&'static Rule> {
    every().find(|rule| rule.name == name)
}
