//! The rules, theme by theme.

pub(crate) mod file;
pub(crate) mod shape;
pub(crate) mod worn_trays;

use crate::rule::Rule;

/// The rules of every theme, in the order in which a record is looked at.
const THEMES: &[&[&Rule]] = &[file::RULES, shape::RULES, worn_trays::RULES];

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
