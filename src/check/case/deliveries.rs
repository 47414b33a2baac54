//! Trays handed over: which, when, and which deliveries a rule doubts.

use oar_schema::record::{DeliveryRow, WearEnd, WearPeriodRow};
use oar_schema::teeth::Arch;

use super::Case;
use super::wear_periods::{followers, in_plan, is_beyond, longest, planned};
use crate::check::marks::Mark;

pub(crate) fn is_backwards(delivery: &DeliveryRow) -> bool {
    delivery.to_tray < delivery.from_tray
}

pub(crate) fn beyond(case: &Case<'_>, delivery: &DeliveryRow) -> Option<i32> {
    let series = planned(case, delivery.series).filter(|series| longest(series) > 0)?;
    let beyond = Arch::ALL.into_iter().all(|arch| is_beyond(case, series, arch, delivery.to_tray));
    (beyond && !is_backwards(delivery)).then_some(longest(series))
}

/// Whether no other rule reports the trays of a delivery.
pub(crate) fn is_plain(case: &Case<'_>, delivery: &DeliveryRow) -> bool {
    if !case.heeds(Mark::Deliveries) {
        return true;
    }
    !is_backwards(delivery) && planned(case, delivery.series).is_some() && beyond(case, delivery).is_none()
}

/// Whether another rule reports the trays or the series of the delivery at `i`.
pub(crate) fn is_reported(case: &Case<'_>, i: usize) -> bool {
    if !case.heeds(Mark::Deliveries) {
        return false;
    }
    let deliveries = &case[case.deliveries];
    !is_plain(case, &deliveries[i]) || (i..deliveries.len()).any(|later| shares_with(case, later, i))
}

/// Whether the later delivery is reported because of the earlier one.
fn shares_with(case: &Case<'_>, later: usize, earlier: usize) -> bool {
    overlap(case, later) == Some(earlier)
}

/// Whether the tray of a wear period was handed over, but only after it was worn.
pub(crate) fn comes_late(case: &Case<'_>, worn: &WearPeriodRow) -> bool {
    if !case.heeds(Mark::LateDeliveries) {
        return false;
    }
    let mut handed = case[case.deliveries].iter().filter(|delivery| hands_over(delivery, worn)).peekable();
    handed.peek().is_some() && handed.all(|delivery| delivery.on > worn.from)
}

/// An earlier delivery that hands over a tray of the one at `i`.
pub(crate) fn overlap(case: &Case<'_>, i: usize) -> Option<usize> {
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

/// Whether a tray of the delivery had been lost or broken until then, so that it was handed over again. How a wear period
/// ended that nobody closed is not known, nor the tray of one that the plan does not have.
fn was_replaced(case: &Case<'_>, delivery: &DeliveryRow) -> bool {
    let worn = &case[case.wear_periods];
    let is_left = |i: usize| match worn[i].ended {
        Some(WearEnd::Lost | WearEnd::Broken) => true,
        Some(_) => false,
        None => worn[i].to.is_none() && followers(worn, i).next().is_some(),
    };
    let is_of_it = |worn: &WearPeriodRow| hands_over(delivery, worn) || !in_plan(case, worn);
    (0..worn.len()).any(|i| worn[i].from <= delivery.on && is_of_it(&worn[i]) && is_left(i))
}

pub(crate) fn hands_over(delivery: &DeliveryRow, worn: &WearPeriodRow) -> bool {
    delivery.series == worn.series && (delivery.from_tray..=delivery.to_tray).contains(&worn.tray)
}
