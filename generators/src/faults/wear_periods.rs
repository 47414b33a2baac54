//! Wear periods, as mistake-makers query them.

pub(super) use oar_schema::derived::arches::covers;
use oar_schema::record::WearPeriod;
use oar_schema::teeth::Arch;
use oar_schema::time::Date;

use super::Draft;

/// The wear periods that follow the one at `at` in its arches.
pub(super) fn followers(worn: &[WearPeriod], at: usize) -> Vec<usize> {
    let next = |arch: &Arch| (at + 1..worn.len()).find(|next| covers(worn[*next].arches, *arch));
    let mut all: Vec<usize> =
        Arch::ALL.iter().filter(|arch| covers(worn[at].arches, **arch)).filter_map(next).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// The wear periods that the next entry of the list follows at once, in the same arches.
pub(super) fn joints(draft: &Draft<'_>) -> Vec<usize> {
    let (worn, most) = (&draft.clean.wear_periods, draft.limits.days_without_tray);
    let at_once = |to: Date, next: &WearPeriod| (0..=most).contains(&i64::from(next.from.days_since(to)));
    let joined = |pair: &[WearPeriod]| {
        pair[0].arches == pair[1].arches && pair[0].to.is_some_and(|to| to > pair[0].from && at_once(to, &pair[1]))
    };
    worn.windows(2).enumerate().filter(|(_, pair)| joined(pair)).map(|(at, _)| at).collect()
}

/// The last day of a wear period; the export for one that lasts.
pub(super) fn last_day(draft: &Draft<'_>, worn: &WearPeriod) -> Date {
    worn.to.unwrap_or(draft.today())
}

/// Whether a wear period lasts on a day; on the day of a change both trays do.
pub(super) fn lasts_on(worn: &WearPeriod, day: Date) -> bool {
    worn.from <= day && worn.to.is_none_or(|to| day <= to)
}

/// Whether a visit or check-in lies between two days, the first one left out.
pub(super) fn is_seen_between(draft: &Draft<'_>, after: Date, to: Date) -> bool {
    let within = |day: Date| after < day && day <= to;
    draft.clean.appointments.iter().flatten().any(|visit| within(visit.on))
        || draft.clean.check_ins.iter().flatten().any(|check_in| within(check_in.at.written_date()))
}
