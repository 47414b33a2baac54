//! Check-ins: what they observed, what they decided, and whether they took place.

use oar_schema::derived::arches::Tray;
use oar_schema::derived::course;
use oar_schema::number::Hundredths;
use oar_schema::record::{CheckIn, DecisionKind, FitGap, WearPeriod};
use oar_schema::teeth::Tooth;

use crate::check::args::args;
use crate::check::path::at;
use crate::review::signal::{Raising, signals};
use crate::review::view::{View, advanced};
use crate::text::counted;

signals! {
    Today visit_requested;
    ThisWeek lagging_tooth;
    ThisWeek hold_ignored;
    NextContact hold_running;
    ThisWeek check_in_overdue;
}

fn visit_requested(view: &View<'_>, raising: &mut Raising<'_>) {
    if !view.is_active() {
        return;
    }
    let asked = |(_, check_in): &(usize, &CheckIn)| check_in.decision.kind == DecisionKind::SeeInPerson;
    let Some((place, check_in)) = view.check_ins().rfind(asked) else { return };
    let on = check_in.at.written_date();
    let chairside = view.check_ins().skip(place + 1).any(|(_, later)| is_chairside(later));
    if view.visits_kept().any(|visit| visit >= on) || chairside {
        return;
    }
    let days = view.today.days_since(on);
    let fields = vec![at!["check_ins", place, "decision", "kind"]];
    raising.add(
        1.0 + f64::from(days),
        fields,
        args!["on" = on, "days" = days, "before" = counted(days, "day"), "tray" = check_in.tray],
    );
}

fn is_chairside(check_in: &CheckIn) -> bool {
    check_in.mode == oar_schema::record::CheckInMode::Chairside
}

/// The fit gap of a tooth at a check-in, with its index.
fn gap_of(check_in: &CheckIn, tooth: Tooth) -> Option<(usize, FitGap)> {
    let gaps = check_in.fit_gaps.as_deref().unwrap_or_default();
    gaps.iter().enumerate().find(|(_, gap)| gap.tooth == tooth).map(|(place, gap)| (place, gap.clone()))
}

fn lagging_tooth(view: &View<'_>, raising: &mut Raising<'_>) {
    let is_worn = |check_in: &CheckIn| view.worn_trays().any(|tray| tray.worn.series == check_in.series);
    let Some((place, latest)) = view.check_ins().next_back().filter(|(_, last)| is_worn(last)) else { return };
    let least = view.limits.lagging_gap_mm as i32;
    for (tooth, running) in course::lagging_teeth(view.record, least) {
        let Some((at_gap, now)) = gap_of(latest, tooth) else { continue };
        if i64::from(running) < view.limits.lagging_check_ins {
            continue;
        }
        let first = place + 1 - running as usize;
        let before = view.check_ins().nth(first).and_then(|(_, check_in)| gap_of(check_in, tooth));
        let before = before.map_or(now.gap_mm, |(_, gap)| gap.gap_mm);
        let trend = if running == 1 { "seen once" } else { trend(before, now.gap_mm) };
        let fields = vec![at!["check_ins", place, "fit_gaps", at_gap, "gap_mm"], at!["check_ins", first, "fit_gaps"]];
        let score = f64::from(now.gap_mm.0) / f64::from(least.max(1));
        let args = args![
            "tooth" = tooth,
            "gap" = now.gap_mm,
            "running" = running,
            "before" = before,
            "trend" = trend,
            "on" = latest.at.written_date(),
        ];
        raising.add(score, fields, args);
    }
}

/// Whether a fit gap grew or shrank by more than can be observed.
fn trend(before: Hundredths, now: Hundredths) -> &'static str {
    const SEEN: i32 = 10;
    match now.0 - before.0 {
        SEEN.. => "growing",
        ..=-10 => "shrinking",
        _ => "unchanged",
    }
}

/// The tray before a current one was changed before its hold was over.
fn hold_ignored(view: &View<'_>, raising: &mut Raising<'_>) {
    for tray in view.worn_trays() {
        let before = view.before(tray.place, tray.arches).next();
        if let Some(before) = before.filter(|before| advanced(before) && before.series == tray.worn.series) {
            hold_before(view, tray, before, raising);
        }
    }
}

fn hold_before(view: &View<'_>, tray: &Tray<'_>, before: &WearPeriod, raising: &mut Raising<'_>) {
    let worn = tray.worn;
    let holds = |check_in: &CheckIn| {
        let same = (check_in.series, check_in.tray) == (before.series, before.tray);
        same && check_in.decision.kind == DecisionKind::Hold && check_in.at.written_date() >= before.from
    };
    let Some((at_hold, hold)) = view.check_ins().rfind(|(_, check_in)| holds(check_in)) else { return };
    let later = view.check_ins().skip(at_hold + 1).any(|(_, later)| later.at.written_date() <= worn.from);
    let until = course::due(view.record, before);
    let early = until.days_since(worn.from);
    if early > 0 && !later {
        let fields = vec![at!["wear_periods", tray.place, "from"], at!["check_ins", at_hold, "decision"]];
        let args = args![
            "tray" = worn.tray,
            "before" = before.tray,
            "from" = worn.from,
            "until" = until,
            "days" = early,
            "early" = counted(early, "day"),
            "on" = hold.at.written_date(),
        ];
        raising.add(f64::from(early), fields, view.of_arch(tray, args));
    }
}

fn hold_running(view: &View<'_>, raising: &mut Raising<'_>) {
    for tray in view.worn_trays() {
        let Some((place, check_in)) = view.last_with_tray(tray) else { continue };
        let due = view.due(tray);
        if check_in.decision.kind == DecisionKind::Hold && due > view.today {
            let fields = vec![at!["check_ins", place, "decision"], at!["wear_periods", tray.place, "from"]];
            let days = due.days_since(view.today);
            let args = args![
                "tray" = tray.worn.tray,
                "until" = due,
                "days" = days,
                "left" = counted(days, "day"),
                "on" = check_in.at.written_date(),
            ];
            raising.add(1.0, fields, view.of_arch(tray, args));
        }
    }
}

fn check_in_overdue(view: &View<'_>, raising: &mut Raising<'_>) {
    let Some((place, _)) = view.wearing() else { return };
    let Some(every) = view.record.prescription.check_in_interval_days else { return };
    let last = view.check_ins().next_back();
    let first = view.record.wear_periods.first().map(|worn| worn.from);
    let seen = last.map(|(_, check_in)| check_in.at.written_date()).max(view.visits_kept().last());
    let Some(since) = seen.or(first) else { return };
    let days = view.today.days_since(since);
    let over = days - every;
    if i64::from(over) > view.limits.check_in_grace_days {
        let seen = last.map_or(at!["wear_periods", place, "from"], |(place, _)| at!["check_ins", place, "at"]);
        let fields = vec![at!["prescription", "check_in_interval_days"], seen];
        let score = f64::from(over) / f64::from(every.max(1));
        raising.add(score, fields, args!["days" = days, "since" = since, "every" = every, "over" = over]);
    }
}
