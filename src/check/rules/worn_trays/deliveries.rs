//! Deliveries: whether the plan has the trays, and whether they were there when they were worn.

use oar_schema::record::DeliveryRow;

use crate::check::case::deliveries::{beyond, hands_over, is_backwards, is_plain, overlap};
use crate::check::case::wear_periods::in_place;
use crate::check::case::worn_trays::doubted_trays;
use crate::check::rules::prelude::*;

/// Reports the first break only.
pub(super) fn delivery_out_of_order(case: &Case<'_>, found: &mut Found) {
    let deliveries = &case[case.deliveries];
    if let Some((before, i)) = case.first_break(deliveries.iter().map(|delivery| delivery.on)) {
        let args = args!["on" = deliveries[i].on, "earlier" = deliveries[before].on];
        found.add(at!["deliveries", i, "on"], args).related(at!["deliveries", before, "on"]);
    }
}

pub(super) fn delivery_backwards(case: &Case<'_>, found: &mut Found) {
    for (i, delivery) in case[case.deliveries].iter().enumerate().filter(|(_, delivery)| is_backwards(delivery)) {
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

/// Once for each delivery whose day comes too late, and once for all trays that none hands over.
pub(super) fn worn_before_delivery(case: &Case<'_>, found: &mut Found) {
    let deliveries = &case[case.deliveries];
    if deliveries.is_empty() {
        return;
    }
    let mut near = 0;
    let mut told: Vec<Option<usize>> = Vec::new();
    let mut doubted: Option<Vec<bool>> = None;
    for (i, here) in case[case.wear_periods].iter().enumerate() {
        let in_time = |delivery: &DeliveryRow| hands_over(delivery, here) && delivery.on <= here.from;
        if in_time(&deliveries[near]) {
            continue;
        }
        if let Some(place) = deliveries.iter().position(in_time) {
            near = place;
            continue;
        }
        let late = deliveries.iter().position(|delivery| hands_over(delivery, here));
        let doubted = doubted.get_or_insert_with(|| doubted_trays(case));
        if !doubted[i] && case.trusts(here.from) && !told.contains(&late) && in_place(&case[case.wear_periods], i) {
            told.push(late);
            tell_undelivered(case, found, i, late);
        }
    }
}

fn tell_undelivered(case: &Case<'_>, found: &mut Found, i: usize, late: Option<usize>) {
    let (deliveries, worn) = (&case[case.deliveries], &case[case.wear_periods][i]);
    let args = args!["tray" = worn.tray, "from" = worn.from, "series" = worn.series];
    let Some(d) = late else {
        if (0..deliveries.len()).all(|i| is_plain(case, &deliveries[i]) && overlap(case, i).is_none()) {
            found.add(at!["wear_periods", i, "tray"], args);
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
        found.add(at!["wear_periods", i, "from"], args).related(at!["deliveries", d, "on"]);
    }
}
