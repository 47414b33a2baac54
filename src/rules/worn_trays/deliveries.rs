//! Trays handed over: whether there are such trays, and whether they were there when they were worn.

use oar_schema::record::{DeliveryRow, WornEnd, WornRow};
use oar_schema::teeth::Arch;

use super::numbers;
use crate::case::Case;
use crate::finding::{args, at};
use crate::rule::Found;
use crate::stretches::{followers, in_place, in_plan, is_beyond, longest, planned};

/// Speaks of the first break only.
pub(super) fn delivery_out_of_order(case: &Case<'_>, found: &mut Found) {
    let deliveries = &case[case.deliveries];
    if let Some((before, i)) = case.first_break(deliveries.iter().map(|delivery| delivery.on)) {
        let args = args!["on" = deliveries[i].on, "earlier" = deliveries[before].on];
        found.add(at!["deliveries", i, "on"], args).related(at!["deliveries", before, "on"]);
    }
}

fn backwards(delivery: &DeliveryRow) -> bool {
    delivery.to_tray < delivery.from_tray
}

fn beyond(case: &Case<'_>, delivery: &DeliveryRow) -> Option<i32> {
    let series = planned(case, delivery.series).filter(|series| longest(series) > 0)?;
    let beyond = Arch::ALL.into_iter().all(|arch| is_beyond(case, series, arch, delivery.to_tray));
    (beyond && !backwards(delivery)).then_some(longest(series))
}

/// Whether no other rule minds the trays of a delivery.
fn is_plain(case: &Case<'_>, delivery: &DeliveryRow) -> bool {
    !backwards(delivery) && planned(case, delivery.series).is_some() && beyond(case, delivery).is_none()
}

pub(super) fn delivery_backwards(case: &Case<'_>, found: &mut Found) {
    for (i, delivery) in case[case.deliveries].iter().enumerate().filter(|(_, delivery)| backwards(delivery)) {
        let args = args!["to" = delivery.to_tray, "from" = delivery.from_tray];
        found.add(at!["deliveries", i, "to_tray"], args);
    }
}

pub(super) fn delivery_beyond_series(case: &Case<'_>, found: &mut Found) {
    for (i, delivery) in case[case.deliveries].iter().enumerate() {
        if let Some(count) = beyond(case, delivery) {
            let args = args!["to" = delivery.to_tray, "series" = delivery.series, "count" = count];
            found.add(at!["deliveries", i, "to_tray"], args);
        }
    }
}

/// Whether another rule minds the trays or the series of the delivery at `i`.
pub(crate) fn is_minded(case: &Case<'_>, i: usize) -> bool {
    let deliveries = &case[case.deliveries];
    !is_plain(case, &deliveries[i]) || (i..deliveries.len()).any(|later| shares_with(case, later, i))
}

/// Whether the later delivery is minded because of the earlier one.
fn shares_with(case: &Case<'_>, later: usize, earlier: usize) -> bool {
    overlap(case, later) == Some(earlier)
}

/// Whether the tray of a stretch was handed over, but only after it was worn.
pub(crate) fn comes_late(case: &Case<'_>, worn: &WornRow) -> bool {
    let mut handed = case[case.deliveries].iter().filter(|delivery| hands_over(delivery, worn)).peekable();
    handed.peek().is_some() && handed.all(|delivery| delivery.on > worn.from)
}

/// An earlier delivery that hands over a tray of the one at `i`.
fn overlap(case: &Case<'_>, i: usize) -> Option<usize> {
    let deliveries = &case[case.deliveries];
    let later = &deliveries[i];
    let shares = |earlier: &DeliveryRow| {
        let tray = later.from_tray.max(earlier.from_tray);
        earlier.on <= later.on && later.series == earlier.series && tray <= later.to_tray.min(earlier.to_tray)
    };
    let first = deliveries[..i].iter().position(shares)?;
    let all_plain = || deliveries.iter().map(|delivery| is_plain(case, delivery)).collect::<Vec<bool>>();
    let plain = case.once.plain_deliveries.get_or_init(all_plain);
    let found = (first..i).find(|earlier| plain[*earlier] && shares(&deliveries[*earlier]))?;
    (plain[i] && !was_replaced(case, later)).then_some(found)
}

pub(super) fn delivery_overlaps(case: &Case<'_>, found: &mut Found) {
    let deliveries = &case[case.deliveries];
    for (i, later) in deliveries.iter().enumerate() {
        if let Some(e) = overlap(case, i) {
            let tray = later.from_tray.max(deliveries[e].from_tray);
            let args = args!["tray" = tray, "series" = later.series, "on" = deliveries[e].on];
            found.add(at!["deliveries", i], args).related(at!["deliveries", e]);
        }
    }
}

/// Whether a tray of the delivery had been lost or broken until then, so that it was handed over again. How a stretch
/// ended that nobody closed is not known, nor the tray of one that the plan does not have.
fn was_replaced(case: &Case<'_>, delivery: &DeliveryRow) -> bool {
    let worn = &case[case.worn];
    let is_left = |i: usize| match worn[i].ended {
        Some(WornEnd::Lost | WornEnd::Broken) => true,
        Some(_) => false,
        None => worn[i].to.is_none() && followers(worn, i).next().is_some(),
    };
    let is_of_it = |worn: &WornRow| hands_over(delivery, worn) || !in_plan(case, worn);
    (0..worn.len()).any(|i| worn[i].from <= delivery.on && is_of_it(&worn[i]) && is_left(i))
}

fn hands_over(delivery: &DeliveryRow, worn: &WornRow) -> bool {
    delivery.series == worn.series && (delivery.from_tray..=delivery.to_tray).contains(&worn.tray)
}

/// Once for each delivery whose day comes too late, and once for all trays that none hands over.
pub(super) fn worn_before_delivery(case: &Case<'_>, found: &mut Found) {
    let deliveries = &case[case.deliveries];
    if deliveries.is_empty() {
        return;
    }
    let mut near = 0;
    let mut told: Vec<Option<usize>> = Vec::new();
    let mut doubted: Option<Vec<bool>> = None;
    for (i, here) in case[case.worn].iter().enumerate() {
        let in_time = |delivery: &DeliveryRow| hands_over(delivery, here) && delivery.on <= here.from;
        if in_time(&deliveries[near]) {
            continue;
        }
        if let Some(place) = deliveries.iter().position(in_time) {
            near = place;
            continue;
        }
        let late = deliveries.iter().position(|delivery| hands_over(delivery, here));
        let doubted = doubted.get_or_insert_with(|| numbers::doubted(case));
        if !doubted[i] && case.trusts(here.from) && !told.contains(&late) && in_place(&case[case.worn], i) {
            told.push(late);
            tell_undelivered(case, found, i, late);
        }
    }
}

fn tell_undelivered(case: &Case<'_>, found: &mut Found, i: usize, late: Option<usize>) {
    let (deliveries, worn) = (&case[case.deliveries], &case[case.worn][i]);
    let args = args!["tray" = worn.tray, "from" = worn.from, "series" = worn.series];
    let Some(d) = late else {
        if (0..deliveries.len()).all(|i| is_plain(case, &deliveries[i]) && overlap(case, i).is_none()) {
            found.add(at!["worn", i, "tray"], args);
        }
        return;
    };
    let mut before = deliveries.iter().filter(|delivery| delivery.on <= worn.from);
    if !before.all(|delivery| is_plain(case, delivery)) {
        return;
    }
    let in_order = deliveries.get(d + 1).is_none_or(|next| deliveries[d].on <= next.on);
    if case.trusts(deliveries[d].on) && in_order {
        let args = [args, args!["on" = deliveries[d].on]].concat();
        found.add(at!["worn", i, "from"], args).related(at!["deliveries", d, "on"]);
    }
}
