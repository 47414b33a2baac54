//! Trays handed over: whether there are such trays, and whether they were there when they were worn.

use oar_schema::record::{DeliveryRow, WornEnd, WornRow};

use crate::case::Case;
use crate::finding::{args, at};
use crate::rule::Found;
use crate::stretches::{in_place, in_plan, is_doubted, longest, planned};

/// Speaks of the first break only.
pub(super) fn delivery_out_of_order(case: &Case<'_>, found: &mut Found) {
    let deliveries = &case[case.deliveries];
    let late = deliveries.windows(2).position(|pair| pair[1].on < pair[0].on);
    if let Some(i) = late {
        let args = args!["on" = deliveries[i + 1].on, "earlier" = deliveries[i].on];
        found.add(at!["deliveries", i + 1, "on"], args).related(at!["deliveries", i, "on"]);
    }
}

fn backwards(delivery: &DeliveryRow) -> bool {
    delivery.to_tray < delivery.from_tray
}

fn beyond(case: &Case<'_>, delivery: &DeliveryRow) -> Option<i32> {
    let count = planned(case, delivery.series).map(longest).filter(|count| *count > 0)?;
    (delivery.to_tray > count && !backwards(delivery)).then_some(count)
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

pub(super) fn delivery_overlaps(case: &Case<'_>, found: &mut Found) {
    let deliveries = &case[case.deliveries];
    for (i, later) in deliveries.iter().enumerate().filter(|(_, later)| is_plain(case, later)) {
        let overlap = deliveries[..i].iter().position(|earlier| {
            let tray = later.from_tray.max(earlier.from_tray);
            let shared = later.series == earlier.series && tray <= later.to_tray.min(earlier.to_tray);
            shared && is_plain(case, earlier) && !was_replaced(case, later)
        });
        if let Some(e) = overlap {
            let tray = later.from_tray.max(deliveries[e].from_tray);
            let args = args!["tray" = tray, "series" = later.series, "on" = deliveries[e].on];
            found.add(at!["deliveries", i], args).related(at!["deliveries", e]);
        }
    }
}

/// Whether a tray of the delivery had been lost or broken until then, so that it was handed over again.
fn was_replaced(case: &Case<'_>, delivery: &DeliveryRow) -> bool {
    case[case.worn].iter().any(|worn| {
        let gone = matches!(worn.ended, Some(WornEnd::Lost | WornEnd::Broken)) && worn.from <= delivery.on;
        gone && hands_over(delivery, worn)
    })
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
    let worn = &case[case.worn];
    let mut near = 0;
    let mut told: Vec<Option<usize>> = Vec::new();
    for (i, here) in worn.iter().enumerate() {
        let in_time = |delivery: &DeliveryRow| hands_over(delivery, here) && delivery.on <= here.from;
        if in_time(&deliveries[near]) {
            continue;
        }
        if let Some(place) = deliveries.iter().position(in_time) {
            near = place;
            continue;
        }
        let late = deliveries.iter().position(|delivery| hands_over(delivery, here));
        if in_place(worn, i) && in_plan(case, here) && !is_doubted(case, i) && !told.contains(&late) {
            told.push(late);
            tell_undelivered(case, found, i, late);
        }
    }
}

fn tell_undelivered(case: &Case<'_>, found: &mut Found, i: usize, late: Option<usize>) {
    let (deliveries, worn) = (&case[case.deliveries], &case[case.worn][i]);
    let args = args!["tray" = worn.tray, "from" = worn.from, "series" = worn.series];
    let Some(d) = late else {
        if deliveries.iter().all(|delivery| is_plain(case, delivery)) {
            found.add(at!["worn", i, "tray"], args);
        }
        return;
    };
    let in_order = deliveries.get(d + 1).is_none_or(|next| deliveries[d].on <= next.on);
    if deliveries[d].on <= case.today && in_order {
        let args = [args, args!["on" = deliveries[d].on]].concat();
        found.add(at!["worn", i, "from"], args).related(at!["deliveries", d, "on"]);
    }
}
