//! Numbers and days of series.

use oar_schema::time::Date;

use super::super::{Draft, FaultLocation};
use crate::random::RandomStream;

/// Two series that the export put the wrong way round.
pub(super) fn series_out_of_order(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let last = i32::try_from(draft.clean.series.len()).ok()? - 1;
    if last < 1 {
        return None;
    }
    let at = stream.whole(1, last) as usize;
    draft.swap("/series", at - 1, at)?;
    Some(format!("/series/{at}/number").into())
}

/// Numbers from some series on that are one too great, wherever that series is named: they count from 1, or one series was
/// deleted.
pub(super) fn series_number_skipped(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let last = i32::try_from(draft.clean.series.len()).ok()? - 1;
    if last < 0 {
        return None;
    }
    let from = stream.whole(0, last);
    for at in from..=last {
        draft.set(&format!("/series/{at}/number"), at + 1)?;
    }
    for list in ["wear_periods", "deliveries", "check_ins", "attachment_events"] {
        let entries = draft.get(&format!("/{list}")).and_then(|list| list.as_array()).cloned().unwrap_or_default();
        for (at, entry) in entries.iter().enumerate() {
            let series = entry["series"].as_i64().filter(|series| *series >= i64::from(from));
            if let Some(series) = series {
                draft.set(&format!("/{list}/{at}/series"), series + 1)?;
            }
        }
    }
    Some(format!("/series/{from}/number").into())
}

/// A day of a series that was mistyped or entered in the field beside it.
pub(super) fn series_dates_out_of_order(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut choices: Vec<(Vec<(String, Date)>, String)> = Vec::new();
    for (i, series) in draft.clean.series.iter().enumerate() {
        let at = |field: &str| format!("/series/{i}/{field}");
        let mut deliveries = draft.clean.deliveries.iter().flatten().enumerate();
        let delivery = deliveries.find(|(_, delivery)| delivery.series == series.number);
        let (Some(scanned), Some(ordered)) = (series.scanned_on, series.ordered_on) else { continue };
        if scanned < ordered {
            let swapped = vec![(at("scanned_on"), ordered), (at("ordered_on"), scanned)];
            choices.push((swapped, at("ordered_on")));
        }
        let Some((delivery, delivered)) = delivery.map(|(k, delivery)| (k, delivery.on)) else { continue };
        let late = delivered.plus_days(stream.whole(1, 20));
        if series.achieved.as_ref().is_none_or(|achieved| late <= achieved.on) && late <= draft.today() {
            choices.push((vec![(at("ordered_on"), late)], format!("/deliveries/{delivery}/on")));
        }
        if series.achieved.is_some() {
            let early = delivered.plus_days(-stream.whole(1, 20)).max(ordered);
            choices.push((vec![(at("achieved/on"), early)], at("achieved/on")));
        }
    }
    let (days, told) = stream.one_of(&choices)?.clone();
    for (pointer, day) in days {
        draft.set(&pointer, day.to_string())?;
    }
    Some(told.into())
}
