//! The rules, theme by theme.

pub(crate) mod attachments;
pub(crate) mod check_ins;
pub(crate) mod cohort;
pub(crate) mod file;
pub(crate) mod plan;
pub(crate) mod privacy;
pub(crate) mod reductions;
pub(crate) mod shape;
pub(crate) mod teeth;
pub(crate) mod time_and_state;
pub(crate) mod wear_log;
pub(crate) mod worn_trays;

use crate::rule::Rule;

/// The rules of every theme, in the order in which a record is looked at.
const THEMES: &[&[&Rule]] = &[
    file::RULES,
    shape::RULES,
    teeth::RULES,
    plan::RULES,
    attachments::RULES,
    reductions::RULES,
    worn_trays::RULES,
    wear_log::RULES,
    check_ins::RULES,
    time_and_state::RULES,
    privacy::RULES,
    cohort::RULES,
];

/// All rules, theme by theme.
pub fn all() -> impl Iterator<Item = &'static Rule> {
    THEMES.iter().flat_map(|theme| theme.iter().copied())
}

/// All rules, and after them those about waivers, which are not about records: they have no level to be set, and no place in
/// an edition.
pub fn every() -> impl Iterator<Item = &'static Rule> {
    all().chain(crate::waivers::RULES.iter().copied())
}

/// The rule of that name, also of those about waivers, which are not about records and so not among [`all`].
pub fn find(name: &str) -> Option<&'static Rule> {
    every().find(|rule| rule.name == name)
}

/// The name nearest to a misspelt one, if one is near.
pub fn nearest_name<'n>(name: &str, names: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    crate::nearest::nearest(name, names)
}
