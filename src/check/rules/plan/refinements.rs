//! Refinements, compared with the series before them.

use crate::check::case::plan::numbers_are_right;
use crate::check::case::refinements::{is_most, moved_and_undone};
use crate::check::rules::prelude::*;

pub(super) fn opposite_refinement(case: &Case<'_>, found: &mut Found) {
    if !numbers_are_right(case) {
        return;
    }
    for (i, pair) in case[case.series].windows(2).enumerate() {
        let (moved, undone) = moved_and_undone(case, i);
        if is_most(case, moved, undone) {
            let args = args!["undone" = undone, "moved" = moved, "series" = pair[1].number, "before" = pair[0].number];
            let before = if pair[0].achieved.is_some() {
                at!["series", i, "achieved", "movements"]
            } else {
                at!["series", i, "movements"]
            };
            found.add(at!["series", i + 1, "movements"], args).related(before);
        }
    }
}
