//! The state of each arch, in words, when the arches differ.

use oar_schema::derived::arches::{OfArch, covers, in_arch};
use oar_schema::derived::course;
use oar_schema::record::{Record, WearPeriod};
use oar_schema::teeth::Arch;
use oar_schema::time::Date;

use super::Review;
use crate::text::counted;

/// How many days away a day is, or how many days past.
pub(super) fn away(days: i32) -> String {
    match days {
        0 => "today".to_owned(),
        1.. => format!("in {}", counted(days, "day")),
        _ => format!("{} ago", counted(-days, "day")),
    }
}

/// Each arch with its state; nothing when the arches do not differ.
pub(super) fn each(review: &Review) -> Vec<(Arch, String)> {
    review.values.per_arch.iter().flatten().map(|arch| (arch.arch, words(review, arch))).collect()
}

/// The same in one paragraph.
pub(super) fn paragraph(review: &Review) -> Option<String> {
    let [(_, upper), (_, lower)] = <[_; 2]>::try_from(each(review)).ok()?;
    Some(format!("The arches differ. Upper arch: {upper}. Lower arch: {lower}."))
}

/// When the later of two arches that differ will be finished, in words; nothing when they go together.
pub(super) fn later_end(review: &Review) -> Option<String> {
    let arches = review.values.per_arch.as_ref()?;
    if arches.iter().all(|arch| arch.tray.is_none() || arch.finished_on.is_some()) {
        return Some("none: no tray follows in either arch".to_owned());
    }
    let end = review.values.projected_end.map(|end| format!("{end}, when the later arch is finished"));
    Some(end.unwrap_or_else(|| "unknown".to_owned()))
}

fn words(review: &Review, arch: &OfArch) -> String {
    let record = &review.record;
    match in_arch(record, arch.arch) {
        Some(tray) => {
            let place = format!("tray {} of {}, series {}", tray.worn.tray, arch.trays, arch.series);
            format!("{place}, in since {}; {}", tray.worn.from, course_of(review, arch, tray.worn))
        }
        None => without(record, arch),
    }
}

/// What follows the current tray.
fn course_of(review: &Review, arch: &OfArch, worn: &WearPeriod) -> String {
    if let Some(day) = arch.finished_on {
        return format!("finished on {day}: no tray follows");
    }
    let due = course::due(&review.record, worn);
    let days = due.days_since(review.day);
    let on = format!("{due} ({})", away(days));
    let verb = if days < 0 { "was" } else { "is" };
    match arch.left {
        Some(left) if left > 0 => format!("{verb} due on {on}; {} left; {}", counted(left, "tray"), end(arch)),
        _ if days < 0 => format!("the last one, due until {on}"),
        _ => format!("the last one, until {on}"),
    }
}

fn end(arch: &OfArch) -> String {
    let unknown = "projected end unknown: no tray of this series has been completed in this arch yet";
    arch.projected_end.map_or(unknown.to_owned(), |end| format!("projected end {end}"))
}

/// An arch without a tray.
fn without(record: &Record, arch: &OfArch) -> String {
    let last = record.wear_periods.iter().rev().find(|worn| covers(worn.arches, arch.arch));
    let Some(last) = last else {
        return format!("no tray has been worn yet; series {} has {} for it", arch.series, counted(arch.trays, "tray"));
    };
    let until = last.to.map_or(String::new(), |to: Date| format!(", until {to}"));
    let finished = arch.finished_on.map_or(String::new(), |day| format!("; finished on {day}"));
    format!("no tray is in; the last was {} of {}, series {}{until}{finished}", last.tray, arch.trays, arch.series)
}

/// The tray in each arch and the number of trays, when the arches wear different ones: `upper 2/2`, `lower none`.
pub(super) fn apart(per_arch: Option<&[OfArch; 2]>) -> Option<[String; 2]> {
    let arches = per_arch.filter(|[upper, lower]| (upper.series, upper.tray) != (lower.series, lower.tray))?;
    Some(arches.map(|one| {
        let tray = one.tray.map_or("none".to_owned(), |tray| format!("{tray}/{}", one.trays));
        format!("{} {tray}", one.arch.as_str())
    }))
}

/// The day from which a wear period only waits: its tray is the last one of arches that are finished, so nothing is due.
pub(super) fn waits(review: &Review, worn: &WearPeriod) -> Option<Date> {
    let own = review.values.per_arch.iter().flatten().filter(|one| covers(worn.arches, one.arch));
    let since = own.map(|one| one.finished_on.filter(|_| (one.series, one.trays) == (worn.series, worn.tray)));
    since.collect::<Option<Vec<Date>>>()?.into_iter().max()
}

/// Whether two different wear periods of a list share a day, which is only possible in different arches. Two entries of the
/// same tray on the same days are one wear period in both arches.
pub(super) fn overlaps<'r>(worn: impl IntoIterator<Item = &'r WearPeriod>) -> bool {
    let (mut end, mut before) = (Date(i32::MIN), None);
    worn.into_iter().any(|worn| {
        let stretch = Some((worn.series, worn.tray, worn.from, worn.to));
        let shares = worn.from < end && stretch != before;
        end = end.max(worn.to.unwrap_or(Date(i32::MAX)));
        before = stretch;
        shares
    })
}
