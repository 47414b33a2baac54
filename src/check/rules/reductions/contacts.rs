//! Which teeth touch on a day; missing teeth are skipped.

use oar_schema::teeth::{ToothSet, are_neighbours};
use oar_schema::time::Date;

use crate::check::case::Case;
use crate::check::case::enamel::Pair;

/// The quick answer for most contacts: permanent teeth side by side that both stand, in a mouth without primary teeth.
pub(super) fn plainly_neighbours(case: &Case<'_>, [one, other]: Pair) -> bool {
    let (low, high) = (one.min(other), one.max(other));
    let across = low.position() == 1 && high.position() == 1 && low.arch() == high.arch() && low != high;
    let beside = high.fdi() - low.fdi() == 1;
    let stand = case.standing.contains(one) && case.standing.contains(other);
    stand && (across || beside) && case[case.dentition.primary].is_empty()
}

/// Whether two teeth touch on a day. On the day of an extraction they may touch before it or after it.
pub(super) fn neighbours_on(case: &Case<'_>, between: Pair, day: Date) -> bool {
    touch(case, between, |extracted| extracted < day) || touch(case, between, |extracted| extracted <= day)
}

/// Whether two teeth touch on some day from the scan on; without one, from the start on.
pub(super) fn neighbours_from(case: &Case<'_>, between: Pair, scanned_on: Option<Date>) -> bool {
    let extractions = case[case.dentition.extracted].iter().map(|extraction| extraction.on);
    let start = scanned_on.unwrap_or(Date(i32::MIN));
    let later = extractions.filter(|day| *day > start);
    std::iter::once(start).chain(later).any(|day| neighbours_on(case, between, day))
}

/// Whether two teeth touch once the teeth are gone whose day of extraction says so. Teeth on implants, pontics and
/// teeth that follow a lost primary tooth may be listed as absent at the start: they may touch or be skipped.
fn touch(case: &Case<'_>, [one, other]: Pair, gone: impl Fn(Date) -> bool) -> bool {
    let mut fewer = case.standing;
    let mut crowns: ToothSet = case.standing;
    crowns.extend(case[case.dentition.implants].iter().copied());
    crowns.extend(case[case.dentition.pontics].iter().copied());
    let extracted = &case[case.dentition.extracted];
    crowns.extend(extracted.iter().filter(|extraction| gone(extraction.on)).filter_map(|gone| gone.tooth.successor()));
    for extraction in extracted.iter().filter(|extraction| gone(extraction.on)) {
        fewer.remove(extraction.tooth);
        crowns.remove(extraction.tooth);
    }
    are_neighbours(one, other, &fewer)
        || are_neighbours(one, other, &crowns)
        || are_neighbours(one, other, &without_doubtful(case, crowns))
}

/// The teeth without the primary ones whose successors are present too: another rule reports that one of the two is
/// missing.
fn without_doubtful(case: &Case<'_>, teeth: ToothSet) -> ToothSet {
    let mut fewer = teeth;
    for primary in &case[case.dentition.primary] {
        if primary.successor().is_some_and(|successor| case.standing.contains(successor)) {
            fewer.remove(*primary);
        }
    }
    fewer
}
