//! How much a date weighs that is years from all others.

use crate::check::case::Case;
use crate::check::found::{Found, Stated};
use crate::check::path::Path;
use crate::check::rule::Rule;
use crate::check::settings::{FAR_OFF, InForce};

/// A date that is far off is reported once, by one rule, in place of all that compare it with others. Its finding weighs what
/// the heaviest of those would, so that a worse date never gets a milder verdict.
pub(super) fn raise(case: &mut Case<'_>, in_force: &InForce, applies: impl Fn(&Rule) -> bool, stated: &mut [Stated]) {
    case.trust_all();
    let mut found = Found::default();
    let others = in_force
        .running
        .iter()
        .filter(|(rule, _)| applies(rule) && rule.name != FAR_OFF && !case.is_marked(rule.unless));
    for (rule, check) in others.copied() {
        found.rule = Some(rule);
        check(case, &mut found);
    }
    let known: Vec<(&str, &Path)> = stated.iter().map(|stated| (stated.rule.name, &stated.path)).collect();
    let replaced: Vec<Stated> =
        found.stated.into_iter().filter(|other| !known.contains(&(other.rule.name, &other.path))).collect();
    for stated in stated.iter_mut().filter(|stated| stated.rule.name == FAR_OFF) {
        let of_it = replaced.iter().filter(|other| other.shares_entry(stated));
        stated.least_level = of_it.filter_map(|other| in_force.level(other.rule)).max();
    }
}
