//! Trays: how long the one that is in has been in, and how the series goes on.

use oar_schema::derived::course;
use oar_schema::record::{DecisionKind, Done};
use oar_schema::time::Date;

use crate::finding::{args, at};
use crate::review::signal::{Raising, signals};
use crate::review::view::{View, advanced, counted};

signals! {
    ThisWeek over_due;
    ThisWeek stalled;
    NextContact pace_slipping;
    NextContact rescan_due;
    NextContact ready_to_advance;
}

fn over_due(view: &View<'_>, raising: &mut Raising<'_>) {
    let Some(((place, worn), due)) = view.wearing().zip(view.due) else { return };
    let (days, least) = (view.today.days_since(due), view.limits.over_due_days as i32);
    let another = course::trays_left(view.record) != Some(0);
    if days >= least && another && !is_stalled(view) {
        let size = f64::from(days) / f64::from(least.max(1));
        let fields = vec![at!["worn", place, "from"], at!["prescription", "days_per_tray"]];
        raising.add(size, fields, args!["tray" = worn.tray, "series" = worn.series, "days" = days, "due" = due]);
    }
}

/// Days without an advance, and the day of the last one, or of the first tray.
fn without_advance(view: &View<'_>) -> Option<(i32, Date)> {
    let last = view.record.worn.iter().rev().find(|worn| advanced(worn)).and_then(|worn| worn.to);
    let since = last.max(view.tray_since()).or(view.record.worn.first().map(|worn| worn.from))?;
    Some((view.today.days_since(since), since))
}

fn is_stalled(view: &View<'_>) -> bool {
    let least = view.limits.stalled_days.max(2 * i64::from(view.record.prescription.days_per_tray));
    let held = view.due.is_some_and(|due| due >= view.today);
    let waits = course::trays_left(view.record) == Some(0);
    let long = without_advance(view).is_some_and(|(days, _)| i64::from(days) >= least);
    view.is_active() && !held && !waits && long
}

fn stalled(view: &View<'_>, raising: &mut Raising<'_>) {
    let Some((days, since)) = without_advance(view).filter(|_| is_stalled(view)) else { return };
    let size = f64::from(days) / view.limits.stalled_days.max(1) as f64;
    let Some((place, worn)) = view.current else { return };
    let fields = vec![at!["worn", place, "from"], at!["status", "state"]];
    raising.add(size, fields, args!["tray" = worn.tray, "days" = days, "since" = since]);
}

/// How many days longer the completed trays of the series, and the one that is in, have taken than prescribed.
fn slip(view: &View<'_>) -> Option<(i32, i32)> {
    let (_, worn) = view.current?;
    let prescribed = view.record.prescription.days_per_tray;
    let of_series = || view.record.worn.iter().filter(|one| one.series == worn.series);
    let days: i32 = of_series().filter_map(|one| one.to.map(|to| to.days_since(one.from))).sum();
    let mut done: Vec<i32> = of_series().filter(|one| advanced(one)).map(|one| one.tray).collect();
    done.sort_unstable();
    done.dedup();
    let over = course::days_over(view.record, view.today).unwrap_or(0);
    Some((days + over - prescribed * done.len() as i32, done.len() as i32))
}

fn pace_slipping(view: &View<'_>, raising: &mut Raising<'_>) {
    if !view.is_active() || course::trays_left(view.record).is_none_or(|left| left == 0) {
        return;
    }
    let Some((days, trays)) = slip(view) else { return };
    let Some(end) = course::projected_end(view.record, view.today) else { return };
    let least = view.limits.slip_days;
    if i64::from(days) >= least && trays > 0 {
        let size = f64::from(days) / least.max(1) as f64;
        let fields = vec![at!["worn"], at!["prescription", "days_per_tray"]];
        raising.add(size, fields, args!["days" = days, "trays" = trays, "done" = counted(trays, "tray"), "end" = end]);
    }
}

fn rescan_due(view: &View<'_>, raising: &mut Raising<'_>) {
    let Some((place, worn)) = view.wearing() else { return };
    let (Some(true), Some(left)) = (course::rescan_due(view.record), course::trays_left(view.record)) else { return };
    let Some((series_place, series)) = view.series else { return };
    let begun = view.record.worn.iter().find(|one| one.series == worn.series).map_or(worn.from, |one| one.from);
    let visits = view.record.visits.iter().flatten();
    let scanned = visits
        .filter(|visit| visit.attended && visit.on > begun)
        .any(|visit| visit.done.iter().flatten().any(|done| *done == Done::Rescan));
    if !scanned {
        let size = 1.0 + f64::from(course::RESCAN_TRAYS - left);
        let fields = vec![at!["worn", place, "tray"], at!["series", series_place, "trays"]];
        raising.add(
            size,
            fields,
            args!["left" = left, "series" = series.number, "tray" = worn.tray, "trays" = worn.tray + left],
        );
    }
}

fn ready_to_advance(view: &View<'_>, raising: &mut Raising<'_>) {
    let Some(((place, worn), due)) = view.wearing().zip(view.due) else { return };
    let over = view.today.days_since(due);
    let is_last = course::trays_left(view.record) == Some(0);
    if over < 0 || i64::from(over) >= view.limits.over_due_days || is_last {
        return;
    }
    let looked = view.last_with_tray();
    let may =
        looked.is_none_or(|(_, check_in)| matches!(check_in.decision.kind, DecisionKind::Advance | DecisionKind::Hold));
    if may {
        let fields = vec![at!["worn", place, "from"], at!["prescription", "days_per_tray"]];
        raising.add(1.0, fields, args!["tray" = worn.tray, "next" = worn.tray + 1, "due" = due]);
    }
}
