//! Numbers of trays and series: whether the plan has them, and whether one was passed over.

use oar_schema::record::WornRow;
use oar_schema::teeth::Arch;

use crate::case::Case;
use crate::finding::{Args, Path, args, at};
use crate::rule::Found;
use crate::rules::plan::{first_out_of_order, last_tray_told};
use crate::stretches::{self, backwards, covers, planned, trays};

/// Adds how many more entries have the same fault, if any has.
fn with_more(mut args: Args, more: usize) -> Args {
    if more > 0 {
        args.extend(args!["more" = more]);
    }
    args
}

/// The arch of a stretch in which the series has trays, but fewer, with their number; the one with the fewest if both do.
fn beyond_in(case: &Case<'_>, worn: &WornRow) -> Option<(Arch, i32)> {
    let series = planned(case, worn.series)?;
    if untreated(case, worn).is_some() {
        return None;
    }
    let treated = Arch::ALL.map(|arch| (arch, trays(series, arch)));
    let beyond = treated.into_iter().filter(|(arch, count)| {
        covers(worn.arches, *arch) && *count > 0 && stretches::is_beyond(case, series, *arch, worn.tray)
    });
    beyond.min_by_key(|(_, count)| *count)
}

/// Whether a rule tells that a stretch has the wrong tray or the wrong arches.
pub(super) fn is_minded(case: &Case<'_>, worn: &WornRow) -> bool {
    beyond_in(case, worn).is_some() || untreated(case, worn).is_some()
}

/// Once for each series: a count that was mistyped in the plan makes many trays look wrong.
pub(super) fn tray_beyond_series(case: &Case<'_>, found: &mut Found) {
    let mut told = 0u64;
    for (i, worn) in case[case.worn].iter().enumerate() {
        let Some((arch, count)) = beyond_in(case, worn).filter(|_| told & bit(worn.series) == 0) else { continue };
        told |= bit(worn.series);
        let same = |other: &&WornRow| other.series == worn.series && beyond_in(case, other).is_some();
        let more = case[case.worn][i + 1..].iter().filter(same).count();
        let args = args!["tray" = worn.tray, "series" = worn.series, "arch" = arch.as_str(), "count" = count];
        found.add(at!["worn", i, "tray"], with_more(args, more));
    }
}

/// The arch in which a stretch was worn though its series treats the other arch only. Where the series moves teeth of
/// that arch, its count of trays is told to be wrong.
pub(crate) fn untreated(case: &Case<'_>, worn: &WornRow) -> Option<Arch> {
    let series = planned(case, worn.series).filter(|series| stretches::longest(series) > 0)?;
    let untreated = |arch: &Arch| trays(series, *arch) == 0 && last_tray_told(case, series, *arch) == 0;
    Arch::ALL.into_iter().find(|arch| covers(worn.arches, *arch) && untreated(arch))
}

/// Once for each series: an export that does not know arches writes the same word everywhere.
pub(super) fn arch_not_treated(case: &Case<'_>, found: &mut Found) {
    let mut told = 0u64;
    for (i, worn) in case[case.worn].iter().enumerate() {
        let Some(arch) = untreated(case, worn).filter(|_| told & bit(worn.series) == 0) else { continue };
        told |= bit(worn.series);
        let same = |other: &&WornRow| other.series == worn.series && untreated(case, other) == Some(arch);
        let more = case[case.worn][i + 1..].iter().filter(same).count();
        let args = args!["arch" = arch.as_str(), "series" = worn.series];
        found.add(at!["worn", i, "arches"], with_more(args, more));
    }
}

/// The bit of a series, of which the format allows 0 to 50.
fn bit(series: i32) -> u64 {
    1u64.checked_shl(series as u32).unwrap_or(0)
}

/// A series is one cause however often it is named. A hole in the numbers of the plan is told with the plan.
pub(super) fn series_beyond_plan(case: &Case<'_>, found: &mut Found) {
    let last = case[case.series].iter().map(|series| series.number).max().unwrap_or(-1);
    let mut told = 0u64;
    for (list, i, series) in named_series(case).filter(|(_, _, series)| *series > last) {
        if first_out_of_order(case).is_some() {
            return;
        }
        if told & bit(series) != 0 {
            continue;
        }
        told |= bit(series);
        let more = named_series(case).filter(|(_, _, other)| *other == series).count() - 1;
        let place: Path = at![list, i, "series"];
        let args = match last {
            -1 => args!["series" = series],
            last => args!["series" = series, "last" = last],
        };
        found.add(place, with_more(args, more));
    }
}

/// Every place that names a series, list by list.
fn named_series<'c>(case: &'c Case<'_>) -> impl Iterator<Item = (&'static str, usize, i32)> + 'c {
    let worn = case[case.worn].iter().enumerate().map(|(i, worn)| ("worn", i, worn.series));
    let deliveries = case[case.deliveries].iter().enumerate().map(|(i, it)| ("deliveries", i, it.series));
    let check_ins = case[case.check_ins].iter().enumerate().map(|(i, it)| ("check_ins", i, it.series));
    let events = case[case.attachment_events].iter().enumerate();
    worn.chain(deliveries).chain(check_ins).chain(events.map(|(i, it)| ("attachment_events", i, it.series)))
}

/// How far an arch has come: the series, and the furthest tray that was in the mouth there.
#[derive(Clone, Copy, Default)]
struct Reach {
    series: i32,
    /// None when it is not known, at the beginning and after an entry that another rule doubts.
    tray: Option<i32>,
    begun: bool,
    /// Whether the stretch before contradicts the one after it.
    doubted: bool,
}

impl Reach {
    /// The first tray that was passed over, if one was; then takes the stretch in.
    fn take(&mut self, worn: &WornRow, doubted: bool) -> Option<i32> {
        if worn.series != self.series {
            let next_series = self.begun && worn.series > self.series;
            self.tray = next_series.then_some(0);
        }
        let skipped = self.tray.filter(|tray| worn.tray > tray + 1).map(|tray| tray + 1);
        let furthest = self.tray.map_or(worn.tray, |tray| tray.max(worn.tray));
        let known = !doubted && !self.doubted;
        *self = Self { series: worn.series, tray: known.then_some(furthest), begun: known, doubted };
        skipped
    }
}

/// Gives each stretch before which trays were passed over, with the first of those trays.
fn each_skip(case: &Case<'_>, mut tell: impl FnMut(usize, i32)) {
    let mut reach = [Reach::default(); 2];
    for (i, here) in case[case.worn].iter().enumerate() {
        if !stretches::in_plan(case, here) {
            reach = <[Reach; 2]>::default();
            continue;
        }
        let arches = Arch::ALL.into_iter().zip(&mut reach).filter(|(arch, _)| covers(here.arches, *arch));
        if backwards(here) {
            arches.for_each(|(_, reach)| *reach = Reach::default());
            continue;
        }
        let doubted = stretches::contradiction(case, i).is_some() || !stretches::in_order(&case[case.worn], i);
        let skipped = arches.fold(None, |skipped: Option<i32>, (_, reach)| reach.take(here, doubted).or(skipped));
        let told = |first: &i32| doubted || super::is_after_gap(case, i) || is_entered_later(case, i, *first);
        if let Some(first) = skipped.filter(|first| !told(first)) {
            tell(i, first);
        }
    }
}

/// Whether the tray that was passed over before the stretch at `i` stands further down in the list, out of order.
fn is_entered_later(case: &Case<'_>, i: usize, tray: i32) -> bool {
    let worn = &case[case.worn];
    let same = |other: &WornRow| (other.series, other.tray) == (worn[i].series, tray);
    worn[i + 1..].iter().any(|other| same(other) && other.from < worn[i].from)
}

/// Which stretches have a number that another rule doubts.
pub(crate) fn doubted(case: &Case<'_>) -> Vec<bool> {
    let worn = &case[case.worn];
    let is_doubted = |i: usize| stretches::is_doubted(case, i) || !stretches::in_plan(case, &worn[i]);
    let mut doubted: Vec<bool> = (0..worn.len()).map(is_doubted).collect();
    each_skip(case, |i, _| doubted[i] = true);
    doubted
}

pub(super) fn tray_skipped(case: &Case<'_>, found: &mut Found) {
    each_skip(case, |i, first| tell_skipped(found, i, &case[case.worn][i], first));
}

fn tell_skipped(found: &mut Found, i: usize, here: &WornRow, first: i32) {
    let mut args = args!["tray" = here.tray, "series" = here.series, "first" = first];
    if first < here.tray - 1 {
        args.extend(args!["last" = here.tray - 1]);
    }
    found.add(at!["worn", i, "tray"], args);
}
