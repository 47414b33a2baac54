//! Trays: how long the current one has been in, and how the series progresses.

use oar_schema::derived::arches::{Tray, covers, per_arch};
use oar_schema::derived::course;
use oar_schema::record::{DecisionKind, Procedure, WearPeriod};
use oar_schema::teeth::Arch;
use oar_schema::time::Date;

use crate::check::args::args;
use crate::check::path::at;
use crate::review::signal::{Raising, signals};
use crate::review::view::{View, advanced};
use crate::text::counted;

signals! {
    ThisWeek overdue;
    ThisWeek stalled;
    NextContact behind_schedule;
    NextContact rescan_due;
    NextContact change_due;
}

fn overdue(view: &View<'_>, raising: &mut Raising<'_>) {
    for tray in view.worn_trays().filter(|tray| tray.left > 0 && !is_stalled(view, tray)) {
        let (worn, due) = (tray.worn, view.due(tray));
        let (days, least) = (view.today.days_since(due), view.limits.overdue_days as i32);
        if days >= least {
            let score = f64::from(days) / f64::from(least.max(1));
            let fields = vec![at!["wear_periods", tray.place, "from"], at!["prescription", "change_interval_days"]];
            let args = args!["tray" = worn.tray, "series" = worn.series, "days" = days, "due" = due];
            raising.add(score, fields, view.of_arch(tray, args));
        }
    }
}

/// Days without an advance in the arches of a tray, and the day of the last one, or of the first tray.
fn without_advance(view: &View<'_>, tray: &Tray<'_>) -> (i32, Date) {
    let last =
        view.before(view.record.wear_periods.len(), tray.arches).find(|worn| advanced(worn)).and_then(|worn| worn.to);
    let since = view.tray_since(tray).max(last.unwrap_or(Date(i32::MIN)));
    (view.today.days_since(since), since)
}

fn is_stalled(view: &View<'_>, tray: &Tray<'_>) -> bool {
    let least = view.limits.stalled_days.max(2 * i64::from(view.record.prescription.change_interval_days));
    let held = view.due(tray) >= view.today;
    let (days, _) = without_advance(view, tray);
    view.is_active() && !held && tray.left > 0 && i64::from(days) >= least
}

fn stalled(view: &View<'_>, raising: &mut Raising<'_>) {
    for tray in view.worn_trays().filter(|tray| is_stalled(view, tray)) {
        let (days, since) = without_advance(view, tray);
        let score = f64::from(days) / view.limits.stalled_days.max(1) as f64;
        let fields = vec![at!["wear_periods", tray.place, "from"], at!["status", "state"]];
        let args = args!["tray" = tray.worn.tray, "days" = days, "since" = since];
        raising.add(score, fields, view.of_arch(tray, args));
    }
}

/// How many days more than prescribed the completed trays of a tray's series, and the tray itself, have taken in an arch.
fn slip(view: &View<'_>, tray: &Tray<'_>, arch: Arch) -> (i32, i32) {
    let prescribed = view.record.prescription.change_interval_days;
    let own = |one: &&WearPeriod| one.series == tray.worn.series && covers(one.arches, arch);
    let of_series = || view.record.wear_periods.iter().filter(own);
    let days: i32 = of_series().filter_map(|one| one.to.map(|to| to.days_since(one.from))).sum();
    let mut done: Vec<i32> = of_series().filter(|one| advanced(one)).map(|one| one.tray).collect();
    done.sort_unstable();
    done.dedup();
    let over = view.today.days_since(view.due(tray)).max(0);
    (days + over - prescribed * done.len() as i32, done.len() as i32)
}

/// The projected end of an arch; of the treatment, when the arches do not differ.
fn end_of(view: &View<'_>, arch: Arch) -> Option<Date> {
    match per_arch(view.record, view.today) {
        Some(arches) => arches.iter().find(|one| one.arch == arch)?.projected_end,
        None => course::projected_end(view.record, view.today),
    }
}

fn behind_schedule(view: &View<'_>, raising: &mut Raising<'_>) {
    for tray in view.worn_trays().filter(|tray| tray.left > 0) {
        let arch = tray.longer_arch(view.record);
        let (days, trays) = slip(view, tray, arch);
        let Some(end) = end_of(view, arch) else { continue };
        let least = view.limits.slip_days;
        if i64::from(days) >= least && trays > 0 {
            let score = f64::from(days) / least.max(1) as f64;
            let fields = vec![at!["wear_periods"], at!["prescription", "change_interval_days"]];
            let args = args!["days" = days, "trays" = trays, "done" = counted(trays, "tray"), "end" = end];
            raising.add(score, fields, view.of_arch(tray, args));
        }
    }
}

fn rescan_due(view: &View<'_>, raising: &mut Raising<'_>) {
    let Some(leading) = view.worn_trays().next() else { return };
    let (place, worn) = (leading.place, leading.worn);
    let (Some(true), Some(left)) = (course::rescan_due(view.record), course::trays_left(view.record)) else { return };
    let Some((series_place, series)) = view.series else { return };
    let begun = view.record.wear_periods.iter().find(|one| one.series == worn.series).map_or(worn.from, |one| one.from);
    let visits = view.record.appointments.iter().flatten();
    let scanned = visits
        .filter(|visit| visit.attended && visit.on > begun)
        .any(|visit| visit.procedures.iter().flatten().any(|done| *done == Procedure::Scan));
    if !scanned {
        let score = 1.0 + f64::from(course::RESCAN_TRAYS - left);
        let fields = vec![at!["wear_periods", place, "tray"], at!["series", series_place, "trays"]];
        let args = args!["left" = left, "series" = series.number, "tray" = worn.tray, "trays" = worn.tray + left];
        raising.add(score, fields, view.of_arch(leading, args));
    }
}

fn change_due(view: &View<'_>, raising: &mut Raising<'_>) {
    for tray in view.worn_trays().filter(|tray| tray.left > 0) {
        let (number, due) = (tray.worn.tray, view.due(tray));
        let over = view.today.days_since(due);
        let goes_on = |kind| matches!(kind, DecisionKind::Advance | DecisionKind::Hold);
        let may = view.last_with_tray(tray).is_none_or(|(_, check_in)| goes_on(check_in.decision.kind));
        if may && over >= 0 && i64::from(over) < view.limits.overdue_days {
            let fields = vec![at!["wear_periods", tray.place, "from"], at!["prescription", "change_interval_days"]];
            let args = args!["tray" = number, "next" = number + 1, "due" = due];
            raising.add(1.0, fields, view.of_arch(tray, args));
        }
    }
}
