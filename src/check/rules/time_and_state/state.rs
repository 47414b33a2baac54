//! The state of the treatment compared with the trays that were worn.

use oar_schema::record::{AppointmentReason, Procedure, State, WearEnd};

use super::goes_on;
use crate::check::args::{Args, args};
use crate::check::case::state::{open_tray, plainly_finished, trays_left};
use crate::check::case::wear_periods::{backwards, followers, longest};
use crate::check::rules::prelude::*;

pub(super) fn state_contradicts_trays(case: &Case<'_>, found: &mut Found) {
    let state = case.status.state;
    let worn = &case[case.wear_periods];
    if let Some((mut args, related)) = contradiction(case) {
        args.extend(args!["state" = state.as_str()]);
        found.add(at!["status", "state"], args).related.extend(related);
        return;
    }
    let ended = matches!(state, State::Finished | State::Discontinued | State::Fixed | State::Paused);
    if let Some(last) = worn.last()
        && ended
        && !backwards(last)
        && case.out_of_order(last.from, case.status.since)
    {
        let args = args!["state" = state.as_str(), "since" = case.status.since, "from" = last.from];
        found.add(at!["status", "since"], args).related(at!["wear_periods", worn.len() - 1, "from"]);
    }
}

/// How the state contradicts the list of worn trays, with the entry that shows it.
fn contradiction(case: &Case<'_>) -> Option<(Args, Option<Path>)> {
    let worn = &case[case.wear_periods];
    let open = open_tray(case);
    match case.status.state {
        State::Planned => {
            let first = worn.first()?;
            Some((args!["begun" = first.from], Some(at!["wear_periods", 0, "from"])))
        }
        State::Active | State::Finished if worn.is_empty() => Some((args!["never" = "worn"], None)),
        State::Active if worn.iter().all(|worn| worn.to.is_some()) => {
            let last = worn.last()?;
            let waits = matches!(last.ended, Some(WearEnd::Lost | WearEnd::Broken));
            let out = last.to.filter(|_| !waits)?;
            Some((args!["out" = out], Some(at!["wear_periods", worn.len() - 1])))
        }
        State::Paused | State::Finished | State::Discontinued | State::Fixed => {
            let open = open?;
            let args = args!["open_tray" = worn[open].tray, "open_series" = worn[open].series];
            Some((args, Some(at!["wear_periods", open])))
        }
        State::Active | State::Transferred => None,
    }
}

pub(super) fn finished_with_trays_left(case: &Case<'_>, found: &mut Found) {
    if let Some((planned, last)) = trays_left(case) {
        let trays = longest(planned);
        let mut args = args!["series" = planned.number, "trays" = trays];
        if last > 0 {
            args.extend(args!["last" = last]);
        }
        found.add(at!["status", "state"], args);
    }
}

pub(super) fn finished_without_retention(case: &Case<'_>, found: &mut Found) {
    if !plainly_finished(case) || case.retention.is_some() || trays_left(case).is_some() {
        return;
    }
    let kept = |done: &Procedure| matches!(done, Procedure::BondedRetainer | Procedure::RetainerDelivery);
    let told = case[case.appointments]
        .iter()
        .any(|visit| visit.reason == AppointmentReason::Retention || case[visit.procedures].iter().any(kept));
    if !told {
        found.add(at!["status", "state"], args!["since" = case.status.since]);
    }
}

pub(super) fn retention_before_finish(case: &Case<'_>, found: &mut Found) {
    let Some(retention) = &case.retention else { return };
    let (state, from) = (case.status.state, retention.from);
    let worn = &case[case.wear_periods];
    if goes_on(state) {
        let agrees = match state {
            State::Active => open_tray(case).is_some(),
            State::Planned => worn.is_empty(),
            _ => open_tray(case).is_none(),
        };
        if agrees && case.trusts(from) {
            found.add(at!["retention", "from"], args!["from" = from, "state" = state.as_str()]);
        }
        return;
    }
    let last = worn.iter().enumerate().filter_map(|(i, worn)| Some((i, worn.to?))).max_by_key(|(_, to)| *to);
    if let Some((i, to)) = last
        && case.out_of_order(to, from)
        && followers(worn, i).all(|n| worn[n].from >= to)
    {
        found.add(at!["retention", "from"], args!["from" = from, "to" = to]).related(at!["wear_periods", i, "to"]);
    }
}
