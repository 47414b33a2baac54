//! Mistakes about trays that were handed over.

use oar_schema::record::{Delivery, WearEnd, WearPeriod};

use super::record_queries::longest;
use super::{Draft, FaultLocation, makers};
use crate::random::RandomStream;

makers! { "worn_trays":
    Many delivery_out_of_order;
    Many delivery_backwards;
    Many delivery_beyond_series;
    Many delivery_overlaps;
    Many worn_before_delivery;
}

fn deliveries<'r>(draft: &Draft<'r>) -> &'r [Delivery] {
    draft.clean.deliveries.as_deref().unwrap_or_default()
}

fn hands_over(delivery: &Delivery, worn: &WearPeriod) -> bool {
    delivery.series == worn.series && (delivery.from_tray..=delivery.to_tray).contains(&worn.tray)
}

/// Two deliveries in the order in which they were entered, not in that of time.
fn delivery_out_of_order(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let pairs = deliveries(draft).windows(2).enumerate();
    let places: Vec<usize> = pairs.filter(|(_, pair)| pair[0].on < pair[1].on).map(|(at, _)| at).collect();
    let at = *stream.one_of(&places)?;
    draft.swap("/deliveries", at, at + 1)?;
    Some(format!("/deliveries/{}/on", at + 1).into())
}

/// The first and the last tray in each other's place.
fn delivery_backwards(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let places: Vec<_> = deliveries(draft)
        .iter()
        .enumerate()
        .filter(|(_, delivery)| delivery.from_tray < delivery.to_tray)
        .map(|(at, delivery)| (at, delivery.from_tray, delivery.to_tray))
        .collect();
    let (at, from, to) = *stream.one_of(&places)?;
    let pointer = format!("/deliveries/{at}/to_tray");
    draft.set(&pointer, from)?;
    draft.set(&format!("/deliveries/{at}/from_tray"), to)?;
    Some(pointer.into())
}

/// A number with a digit too many or with its digits in the wrong order, or trays that the plan no longer has.
fn delivery_beyond_series(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut choices = Vec::new();
    for (at, delivery) in deliveries(draft).iter().enumerate() {
        let series = draft.clean.series.iter().find(|series| series.number == delivery.series)?;
        let (to, most) = (delivery.to_tray, longest(series));
        let slips = [to * 10, to * 11, to % 10 * 10 + to / 10, most + stream.whole(1, 4)];
        choices.extend(slips.into_iter().filter(|tray| (most + 1..=200).contains(tray)).map(|tray| (at, tray)));
    }
    let (at, tray) = *stream.one_of(&choices)?;
    let pointer = format!("/deliveries/{at}/to_tray");
    draft.set(&pointer, tray)?;
    Some(pointer.into())
}

/// Whether no tray of a delivery was lost or broken before it.
fn is_first_of_its_trays(draft: &Draft<'_>, delivery: &Delivery) -> bool {
    let gone =
        |worn: &WearPeriod| matches!(worn.ended, Some(WearEnd::Lost | WearEnd::Broken)) && worn.from <= delivery.on;
    !draft.clean.wear_periods.iter().any(|worn| gone(worn) && hands_over(delivery, worn))
}

/// A delivery that was entered twice, or one that begins with trays of the one before it.
fn delivery_overlaps(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let all = deliveries(draft);
    let places: Vec<usize> = (0..all.len()).filter(|at| is_first_of_its_trays(draft, &all[*at])).collect();
    let at = *stream.one_of(&places)?;
    let before = at.checked_sub(1).map(|before| &all[before]).filter(|before| before.series == all[at].series);
    if let Some(before) = before
        && before.to_tray + 1 == all[at].from_tray
    {
        let from = before.to_tray - stream.whole(0, (before.to_tray - before.from_tray).min(2));
        let longer = Delivery { from_tray: from, ..all[at].clone() };
        if !is_first_of_its_trays(draft, &longer) {
            return None;
        }
        draft.set(&format!("/deliveries/{at}/from_tray"), from)?;
        return Some(format!("/deliveries/{at}").into());
    }
    let copy = draft.get(&format!("/deliveries/{at}"))?.clone();
    draft.insert(&format!("/deliveries/{}", at + 1), copy)?;
    Some(format!("/deliveries/{}", at + 1).into())
}

/// A delivery that was entered too late, or for fewer trays than were handed over.
fn worn_before_delivery(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let (all, worn) = (deliveries(draft), &draft.clean.wear_periods);
    let alone = |delivery: &&Delivery| {
        let of_it = |worn: &WearPeriod| {
            hands_over(delivery, worn) && all.iter().filter(|other| hands_over(other, worn)).count() > 1
        };
        !worn.iter().any(of_it)
    };
    let places: Vec<usize> = (0..all.len()).filter(|at| alone(&&all[*at])).collect();
    let at = *stream.one_of(&places)?;
    let delivery = &all[at];
    let (first, here) = worn.iter().enumerate().find(|(_, worn)| hands_over(delivery, worn))?;
    if stream.chance(0.5) {
        let latest = all.get(at + 1).map_or(draft.today(), |next| next.on);
        let late = here.from.plus_days(stream.whole(1, 35));
        if late > latest {
            return None;
        }
        draft.set(&format!("/deliveries/{at}/on"), late.to_string())?;
        return Some(format!("/wear_periods/{first}/from").into());
    }
    let last = worn.iter().filter(|worn| hands_over(delivery, worn)).map(|worn| worn.tray).max()?;
    let to = if last > delivery.from_tray { stream.whole(delivery.from_tray, last - 1) } else { return None };
    let missing = |worn: &&WearPeriod| hands_over(delivery, worn) && worn.tray > to;
    let first = worn.iter().position(|worn| missing(&worn))?;
    draft.set(&format!("/deliveries/{at}/to_tray"), to)?;
    Some(format!("/wear_periods/{first}/tray").into())
}
