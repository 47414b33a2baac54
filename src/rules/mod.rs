//! The rules, theme by theme.

pub(crate) mod attachments;
pub(crate) mod check_ins;
pub(crate) mod file;
pub(crate) mod plan;
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
];

/// All rules, theme by theme.
pub fn all() -> impl Iterator<Item = &'static Rule> {
    THEMES.iter().flat_map(|theme| theme.iter().copied())
}

/// The rule of that name.
pub fn find(name: &str) -> Option<&'static Rule> {
    all().find(|rule| rule.name == name)
}

/// The name of a rule near to a misspelt one.
pub fn nearest(name: &str) -> Option<&'static str> {
    crate::nearest::nearest(name, all().map(|rule| rule.name))
}
