//! Refinements: whether a series takes back what the one before it did.

use oar_schema::teeth::Tooth;

use super::Case;
use super::plan::numbers_are_right;
use super::totals::ToothTotals;
use crate::check::marks::Mark;

/// How many of the six axes are in millimetres; the others are in degrees.
const IN_MM: usize = 3;

pub(crate) fn is_most(case: &Case<'_>, moved: i64, undone: i64) -> bool {
    undone >= case.limits.undone_movements && undone * 2 > moved
}

/// Whether the series at `i` takes back most of what the one before it did: its signs may be wrong, which is reported.
pub(crate) fn is_opposite(case: &Case<'_>, i: usize) -> bool {
    if !case.heeds(Mark::OppositeSeries) {
        return false;
    }
    let (moved, undone) = i.checked_sub(1).map_or((0, 0), |before| moved_and_undone(case, before));
    numbers_are_right(case) && is_most(case, moved, undone)
}

/// How many movements the series at `i` made, each tooth along each axis, and how many of them the next series takes back
/// by half or more.
pub(crate) fn moved_and_undone(case: &Case<'_>, i: usize) -> (i64, i64) {
    let (reached, planned) = (ToothTotals::reached(case, &case[case.series][i]), &case.totals[i + 1]);
    let least = |axis: usize| if axis < IN_MM { case.limits.undone_least_mm } else { case.limits.undone_least_deg };
    let (mut moved, mut undone) = (0, 0);
    for tooth in Tooth::all() {
        for (axis, (reached, planned)) in reached.at(tooth).into_iter().zip(planned.at(tooth)).enumerate() {
            let [reached, planned] = [reached, planned].map(i64::from);
            if reached.abs() >= least(axis) {
                moved += 1;
                undone += i64::from(reached.signum() == -planned.signum() && planned.abs() * 2 >= reached.abs());
            }
        }
    }
    (moved, undone)
}
