//! Mistakes about which tray was in the mouth: days, order, and numbers.

use oar_schema::record::{Arches, State, WearEnd, WearPeriod};
use oar_schema::teeth::Arch;
use oar_schema::time::{Date, Instant};
use oar_schema::zones::Zone;
use serde_json::Value;

use super::record_queries::longest;
use super::time_and_state::in_year;
use super::wear_periods::{covers, followers, is_seen_between, joints, last_day};
use super::{Draft, FaultLocation, makers};
use crate::random::RandomStream;

makers! { "worn_trays":
    Many worn_backwards;
    Many worn_out_of_order;
    Many worn_open_in_middle;
    Many ended_without_day;
    Many trays_overlap;
    Many no_tray_between;
    Many end_contradicts_next;
    Many worn_very_short;
    Many worn_very_long;
    Many tray_skipped;
    Many tray_beyond_series;
    Few arch_not_treated;
    Many series_beyond_plan;
}

fn set_day(draft: &mut Draft<'_>, pointer: &str, day: Date) -> Option<()> {
    draft.set(pointer, day.to_string())
}

/// The two days of a wear period in each other's place, or the year of the last one before that of the first.
fn worn_backwards(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let days = draft.clean.wear_periods.iter().enumerate();
    let days: Vec<_> =
        days.filter_map(|(at, worn)| Some((at, worn.from, worn.to.filter(|to| *to > worn.from)?))).collect();
    let (at, from, to) = *stream.one_of(&days)?;
    let pointer = format!("/wear_periods/{at}/to");
    if stream.chance(0.5) {
        set_day(draft, &pointer, from)?;
        set_day(draft, &format!("/wear_periods/{at}/from"), to)?;
    } else {
        let earlier = in_year(to, to.civil().0 - 1).filter(|day| *day < from)?;
        set_day(draft, &pointer, earlier)?;
    }
    Some(pointer.into())
}

/// A wear period that was entered late, and stands where it was entered.
fn worn_out_of_order(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let (worn, late) = (&draft.clean.wear_periods, stream.whole(1, 4) as usize);
    let places: Vec<usize> =
        (0..worn.len().checked_sub(late)?).filter(|at| worn[*at].from < worn[at + late].from).collect();
    let at = *stream.one_of(&places)?;
    let entry = draft.remove(&format!("/wear_periods/{at}"))?;
    draft.insert(&format!("/wear_periods/{}", at + late), entry)?;
    Some(format!("/wear_periods/{}/from", at + late).into())
}

/// A wear period that nobody closed when the next one was entered.
fn worn_open_in_middle(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let worn = &draft.clean.wear_periods;
    let places: Vec<usize> =
        (0..worn.len()).filter(|at| worn[*at].to.is_some() && !followers(worn, *at).is_empty()).collect();
    let at = *stream.one_of(&places)?;
    draft.remove(&format!("/wear_periods/{at}/to"))?;
    draft.remove(&format!("/wear_periods/{at}/ended"));
    Some(format!("/wear_periods/{at}").into())
}

/// How a wear period ended, without the day.
fn ended_without_day(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let worn = draft.clean.wear_periods.iter().enumerate();
    let places: Vec<usize> =
        worn.filter(|(_, worn)| worn.to.is_some() && worn.ended.is_some()).map(|(at, _)| at).collect();
    let at = *stream.one_of(&places)?;
    draft.remove(&format!("/wear_periods/{at}/to"))?;
    Some(format!("/wear_periods/{at}/ended").into())
}

/// The day of a change, mistyped in one of the two wear periods: a few days too late here, or too early there.
fn trays_overlap(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let at = *stream.one_of(&joints(draft))?;
    let (here, next) = (&draft.clean.wear_periods[at], &draft.clean.wear_periods[at + 1]);
    if stream.chance(0.5) {
        let days = last_day(draft, next).days_since(next.from).min(9);
        let to = next.from.plus_days(if days < 1 { return None } else { stream.whole(1, days) });
        set_day(draft, &format!("/wear_periods/{at}/to"), to)?;
    } else {
        let to = here.to?;
        let from = to.plus_days(-stream.whole(1, to.days_since(here.from).min(9)));
        set_day(draft, &format!("/wear_periods/{}/from", at + 1), from)?;
    }
    Some(format!("/wear_periods/{}/from", at + 1).into())
}

/// Whether a wear period was left for the next tray or for an earlier one, so that no rule reports days without a tray.
fn went_on(worn: &WearPeriod) -> bool {
    matches!(worn.ended, Some(WearEnd::Advanced | WearEnd::SteppedBack))
}

/// Whether a wear period after that place is so long that it is noted: it stays where it is.
fn is_noted_after(draft: &Draft<'_>, at: usize) -> bool {
    draft.clean.wear_periods.iter().skip(at).any(|worn| last_day(draft, worn).days_since(worn.from) > most_days(draft))
}

/// A wear period that was lost, or one day of a change that is wrong.
fn no_tray_between(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let worn = &draft.clean.wear_periods;
    let joints = joints(draft);
    let places: Vec<usize> =
        joints.iter().copied().filter(|at| went_on(&worn[*at]) && worn[*at].series == worn[at + 1].series).collect();
    let at = *stream.one_of(&places)?;
    let (here, next, most) = (&worn[at], &worn[at + 1], draft.limits.days_without_tray as i32);
    match stream.whole(0, 2) {
        0 if joints.contains(&(at + 1))
            && went_on(next)
            && !is_noted_after(draft, at)
            && worn[at + 2].series == here.series =>
        {
            let days = worn[at + 2].from.days_since(here.to?);
            (days > most).then(|| draft.remove(&format!("/wear_periods/{}", at + 1)))??;
        }
        1 => {
            let room = here.to?.days_since(here.from) - 1;
            let days = if room > most { stream.whole(most + 1, room) } else { return None };
            set_day(draft, &format!("/wear_periods/{at}/to"), here.to?.plus_days(-days))?;
        }
        _ => {
            let end = worn.get(at + 2).map_or(last_day(draft, next), |after| after.from.min(last_day(draft, next)));
            let room = end.days_since(next.from) - 1;
            let days = if room > most { stream.whole(most + 1, room) } else { return None };
            set_day(draft, &format!("/wear_periods/{}/from", at + 1), next.from.plus_days(days))?;
        }
    }
    Some(format!("/wear_periods/{}/from", at + 1).into())
}

/// The wrong word for how a wear period ended, or a number that was not counted on.
fn end_contradicts_next(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let places: Vec<usize> = joints(draft).into_iter().filter(|at| went_on(&draft.clean.wear_periods[*at])).collect();
    let at = *stream.one_of(&places)?;
    let (here, next) = (&draft.clean.wear_periods[at], &draft.clean.wear_periods[at + 1]);
    let back = here.ended == Some(WearEnd::SteppedBack);
    let pointer = format!("/wear_periods/{at}/ended");
    let goes_on =
        draft.clean.wear_periods.get(at + 2).is_some_and(|after| after.series == here.series && after.tray > next.tray);
    if !back && here.series == next.series && goes_on && went_on(next) && stream.chance(0.4) {
        draft.set(&format!("/wear_periods/{}/tray", at + 1), here.tray)?;
        return Some(pointer.into());
    }
    let other = if back { WearEnd::Advanced } else { WearEnd::SteppedBack };
    let words = [other, WearEnd::Stopped, WearEnd::ReplacedBySeries];
    let fitting = if here.series == next.series { &words[..] } else { &words[..2] };
    draft.set(&pointer, stream.one_of(fitting)?.as_str())?;
    Some(pointer.into())
}

/// The longest days that a tray is worn without a word.
fn most_days(draft: &Draft<'_>) -> i32 {
    (draft.limits.longest_tray_days as i32).max(draft.clean.prescription.change_interval_days)
}

/// The day of a change that is wrong in both wear periods, as where one is filled in from the other.
fn worn_very_short(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let least = (draft.limits.shortest_tray_days as i32).min(draft.clean.prescription.change_interval_days);
    let days = if least > 1 { stream.whole(1, least - 1) } else { 0 };
    let worn = &draft.clean.wear_periods;
    let suits = |at: &usize| {
        let (here, next) = (&worn[*at], &worn[at + 1]);
        let from = here.from.plus_days(days);
        let handed = draft.clean.deliveries.iter().flatten().all(|delivery| {
            delivery.on <= from
                || delivery.series != next.series
                || !(delivery.from_tray..=delivery.to_tray).contains(&next.tray)
        });
        let longer = last_day(draft, next).days_since(from) <= most_days(draft);
        let quiet = !is_seen_between(draft, here.from.plus_days(-1), next.from);
        here.ended == Some(WearEnd::Advanced) && next.from > from && handed && longer && quiet
    };
    let places: Vec<usize> = joints(draft).into_iter().filter(suits).collect();
    let at = *stream.one_of(&places)?;
    let changed = worn[at].from.plus_days(days);
    set_day(draft, &format!("/wear_periods/{at}/to"), changed)?;
    set_day(draft, &format!("/wear_periods/{}/from", at + 1), changed)?;
    Some(format!("/wear_periods/{at}/to").into())
}

/// A tray that is still in, though the patient has not been seen for months; or months before a refinement in which nobody
/// entered anything.
fn worn_very_long(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let worn = &draft.clean.wear_periods;
    if draft.clean.status.state == State::Active && worn.last().is_some_and(|worn| worn.to.is_none()) {
        return never_closed(draft, stream);
    }
    unentered_months(draft, stream)
}

/// Exports the record so late that the tray that is in has been there too long.
fn never_closed(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let worn = &draft.clean.wear_periods;
    let at = worn.len() - 1;
    if worn.iter().filter(|worn| worn.to.is_none()).count() > 1 || worn[at].arches != Arches::Both {
        return None;
    }
    let exported = draft.clean.source.exported_at;
    let day = worn[at].from.plus_days(most_days(draft) + stream.whole(1, 90)).max(draft.today());
    let zone = Zone::named(&draft.clean.patient.time_zone.0)?;
    let minute = (exported.seconds + i64::from(exported.offset_minutes) * 60).rem_euclid(86_400) / 60;
    let later: Instant = zone.instant(day, minute as i32);
    draft.set("/source/exported_at", later.to_string())?;
    Some(format!("/wear_periods/{at}").into())
}

/// Wear periods at the end of a series that became one, with what was looked at meanwhile left out.
fn unentered_months(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let (worn, joints) = (&draft.clean.wear_periods, joints(draft));
    let ends = |at: &usize| {
        let here = &worn[*at];
        here.ended == Some(WearEnd::ReplacedBySeries)
            && followers(worn, *at).iter().all(|n| worn[*n].series > here.series)
    };
    let places: Vec<usize> = (0..worn.len()).filter(ends).collect();
    let end = *stream.one_of(&places)?;
    let to = worn[end].to.filter(|_| !is_noted_after(draft, 0))?;
    let plain = |at: &usize| joints.contains(at) && worn[*at].series == worn[end].series && went_on(&worn[*at]);
    let begins = (0..end).rev().take_while(plain).find(|at| to.days_since(worn[*at].from) > most_days(draft))?;
    let (series, from) = (worn[begins].series, worn[begins].to?);
    for at in (begins + 1..=end).rev() {
        draft.remove(&format!("/wear_periods/{at}"))?;
    }
    set_day(draft, &format!("/wear_periods/{begins}/to"), to)?;
    draft.set(&format!("/wear_periods/{begins}/ended"), WearEnd::ReplacedBySeries.as_str())?;
    let tray = worn[begins].tray;
    let check_ins = draft.clean.check_ins.iter().flatten().enumerate();
    let unseen = check_ins.filter(|(_, check_in)| {
        check_in.series == series && check_in.tray != tray && check_in.at.written_date() >= from
    });
    for at in unseen.map(|(at, _)| at).collect::<Vec<_>>().into_iter().rev() {
        draft.remove(&format!("/check_ins/{at}"))?;
    }
    Some(format!("/wear_periods/{begins}").into())
}

/// A wear period that was lost, its days filled up from the next one.
fn tray_skipped(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let (worn, joints) = (&draft.clean.wear_periods, joints(draft));
    let counted = |at: usize| {
        let plain = worn[at].ended == Some(WearEnd::Advanced) && worn[at + 1].tray == worn[at].tray + 1;
        joints.contains(&at) && plain && worn[at].series == worn[at + 1].series
    };
    let suits = |at: &usize| {
        let (lost, next) = (&worn[at + 1], &worn[at + 2]);
        let longer = last_day(draft, next).days_since(lost.from) <= most_days(draft);
        let again = worn.iter().filter(|other| (other.series, other.tray) == (lost.series, lost.tray)).count() > 1;
        longer && !again && !is_noted_after(draft, *at) && !is_seen_between(draft, lost.from, next.from)
    };
    let places: Vec<usize> = joints
        .iter()
        .copied()
        .filter(|at| counted(*at) && joints.contains(&(at + 1)) && counted(at + 1))
        .filter(suits)
        .collect();
    let at = *stream.one_of(&places)?;
    set_day(draft, &format!("/wear_periods/{}/from", at + 2), worn[at + 1].from)?;
    draft.remove(&format!("/wear_periods/{}", at + 1))?;
    Some(format!("/wear_periods/{}/tray", at + 1).into())
}

/// A number with a digit too many.
fn tray_beyond_series(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut choices = Vec::new();
    for (at, worn) in draft.clean.wear_periods.iter().enumerate() {
        let series = draft.clean.series.iter().find(|series| series.number == worn.series)?;
        let most = longest(series);
        let slips = [worn.tray * 10, worn.tray * 11, worn.tray + 100, worn.tray * 10 + 1];
        choices.extend(slips.into_iter().filter(|tray| (most + 1..=200).contains(tray)).map(|tray| (at, tray)));
    }
    let (at, tray) = *stream.one_of(&choices)?;
    let pointer = format!("/wear_periods/{at}/tray");
    draft.set(&pointer, tray)?;
    Some(pointer.into())
}

/// The word for both arches where only one has trays: once, or everywhere, as from a system that does not know arches.
fn arch_not_treated(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let one_arch = draft.clean.series.iter().filter_map(|series| {
        let arch = Arch::ALL.into_iter().find(|arch| match arch {
            Arch::Upper => series.trays.upper == 0,
            Arch::Lower => series.trays.lower == 0,
        })?;
        Some((series.number, arch))
    });
    let (series, untreated) = *stream.one_of(&one_arch.collect::<Vec<_>>())?;
    let worn = &draft.clean.wear_periods;
    let free = |here: &WearPeriod| {
        let meets = |other: &WearPeriod| {
            let apart = other.to.is_some_and(|to| to <= here.from) || last_day(draft, here) <= other.from;
            covers(other.arches, untreated) && !apart
        };
        !worn.iter().any(meets)
    };
    let all: Vec<usize> = (0..worn.len()).filter(|at| worn[*at].series == series).collect();
    if all.is_empty() || !all.iter().all(|at| free(&worn[*at])) {
        return None;
    }
    let places = if stream.chance(0.5) { vec![*stream.one_of(&all)?] } else { all };
    for at in &places {
        draft.set(&format!("/wear_periods/{at}/arches"), Arches::Both.as_str())?;
    }
    Some(format!("/wear_periods/{}/arches", places[0]).into())
}

/// The number of a series that was counted one too far, or a list whose series are counted from 1.
fn series_beyond_plan(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let highest = draft.clean.series.iter().map(|series| series.number).max()?;
    let list = *stream.one_of(&["wear_periods", "deliveries", "check_ins"])?;
    let entries: Vec<&Value> = draft.get(&format!("/{list}"))?.as_array()?.iter().collect();
    let of_last = |at: &usize| entries[*at]["series"] == highest;
    let mut places: Vec<usize> = (0..entries.len()).filter(of_last).collect();
    if list == "wear_periods" {
        // The last tray stays: how far the series came is another matter.
        let furthest =
            draft.clean.wear_periods.iter().filter(|worn| worn.series == highest).map(|worn| worn.tray).max()?;
        places.retain(|at| draft.clean.wear_periods[*at].tray < furthest);
    }
    let all = highest == 0 && list != "wear_periods" && stream.chance(0.5);
    let places = if all { places } else { vec![*stream.one_of(&places)?] };
    let first = *places.first()?;
    for at in places {
        draft.set(&format!("/{list}/{at}/series"), highest + 1)?;
    }
    Some(format!("/{list}/{first}/series").into())
}
