//! The lists of the dentition compared with each other.

use oar_schema::teeth::{Tooth, ToothSet};

use super::Mouth;
use super::ages::{beside_successor, may_erupt};
use crate::check::rules::prelude::*;

/// The lists of the dentition.
#[derive(Clone, Copy, PartialEq, Eq)]
enum List {
    Absent,
    Primary,
    Implants,
    Pontics,
    Extracted,
    CrownWidths,
}

impl List {
    const ALL: [Self; 6] =
        [Self::Absent, Self::Primary, Self::Implants, Self::Pontics, Self::Extracted, Self::CrownWidths];

    fn name(self) -> &'static str {
        ["absent", "primary", "implants", "pontics", "extracted", "crown_widths"][self as usize]
    }

    /// The path to the tooth of an entry.
    fn path(self, entry: usize) -> Path {
        match self {
            Self::Extracted | Self::CrownWidths => at!["dentition", self.name(), entry, "tooth"],
            _ => at!["dentition", self.name(), entry],
        }
    }

    /// Calls `visit` with each tooth of the list.
    fn each(self, case: &Case<'_>, mut visit: impl FnMut(usize, Tooth)) {
        let dentition = &case.dentition;
        let teeth: &[Tooth] = match self {
            Self::Absent => &case[dentition.absent],
            Self::Primary => &case[dentition.primary],
            Self::Implants => &case[dentition.implants],
            Self::Pontics => &case[dentition.pontics],
            Self::Extracted => return each(&case[dentition.extracted], |row| row.tooth, visit),
            Self::CrownWidths => return each(&case[dentition.crown_widths], |row| row.tooth, visit),
        };
        teeth.iter().enumerate().for_each(|(i, tooth)| visit(i, *tooth));
    }

    /// Whether a tooth cannot be in both lists, `self` before `later` in the order of [`Self::ALL`].
    /// `permanent_tooth_in_primary` reports a permanent tooth among the primary ones.
    fn excludes(self, later: Self, case: &Case<'_>, tooth: Tooth) -> bool {
        match (self, later) {
            (Self::Absent, Self::Primary) | (Self::Primary, Self::Implants | Self::Pontics) => tooth.is_primary(),
            (Self::Implants, Self::Pontics) => true,
            (Self::Absent, Self::Extracted | Self::CrownWidths) => !may_erupt(case, tooth),
            _ => false,
        }
    }
}

fn each<T>(rows: &[T], tooth: impl Fn(&T) -> Tooth, mut visit: impl FnMut(usize, Tooth)) {
    rows.iter().enumerate().for_each(|(i, row)| visit(i, tooth(row)));
}

/// For each list the first entry that names a tooth, or [`NOWHERE`].
type Entries = [u8; List::ALL.len()];

/// Lists have at most 52 teeth.
const NOWHERE: u8 = u8::MAX;

pub(super) fn tooth_listed_twice(case: &Case<'_>, found: &mut Found) {
    let mut entries = [[NOWHERE; List::ALL.len()]; Tooth::COUNT];
    let mut told = ToothSet::new();
    for list in List::ALL {
        list.each(case, |i, tooth| {
            let entries = &mut entries[tooth.index()];
            if let Some(earlier) = contradiction(case, tooth, *entries, list)
                && told.insert(tooth)
            {
                tell(found, tooth, earlier, (list, i));
            }
            let entry = &mut entries[list as usize];
            *entry = (*entry).min(i as u8);
        });
    }
}

/// The earlier entry that the tooth's entry in `list` contradicts.
fn contradiction(case: &Case<'_>, tooth: Tooth, entries: Entries, list: List) -> Option<(List, usize)> {
    let entry = |list: List| Some(entries[list as usize]).filter(|entry| *entry != NOWHERE).map(usize::from);
    if let Some(same) = entry(list) {
        return Some((list, same));
    }
    let replaced = entry(List::Implants).or(entry(List::Pontics)).is_some();
    if replaced && matches!(list, List::Extracted | List::CrownWidths) {
        return None;
    }
    let earlier = List::ALL[..list as usize].iter().copied();
    earlier
        .filter_map(|earlier| Some((earlier, entry(earlier)?)))
        .find(|(earlier, _)| earlier.excludes(list, case, tooth))
}

fn tell(found: &mut Found, tooth: Tooth, (earlier, entry): (List, usize), (list, i): (List, usize)) {
    let args = if earlier == list {
        args!["tooth" = tooth, "twice" = list.name()]
    } else {
        args!["tooth" = tooth, "list" = earlier.name(), "other" = list.name()]
    };
    found.add(list.path(i), args).related(earlier.path(entry));
}

pub(super) fn primary_beside_successor(case: &Case<'_>, found: &mut Found) {
    let primary = &case[case.dentition.primary];
    let mut both = primary.iter().enumerate().filter(|(_, tooth)| beside_successor(case, **tooth));
    let Some((i, tooth)) = both.next() else { return };
    let Some(successor) = tooth.successor().filter(|_| !Mouth::of(case).has_slip_in_absent(case)) else { return };
    let stated = found.add(at!["dentition", "primary", i], args!["tooth" = *tooth, "successor" = successor]);
    for (other, _) in both {
        stated.related(at!["dentition", "primary", other]);
    }
}

pub(super) fn permanent_tooth_in_primary(case: &Case<'_>, found: &mut Found) {
    let primary = case[case.dentition.primary].iter().enumerate();
    let mut permanent = primary.filter(|(_, tooth)| !tooth.is_primary());
    let Some((i, tooth)) = permanent.next() else { return };
    let mut args = args!["tooth" = *tooth, "name" = tooth.name()];
    if let Some(meant) = tooth.predecessor() {
        args.extend(args!["meant" = meant]);
    }
    let stated = found.add(at!["dentition", "primary", i], args);
    for (other, _) in permanent {
        stated.related(at!["dentition", "primary", other]);
    }
}
