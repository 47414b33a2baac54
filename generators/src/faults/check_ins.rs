//! Mistakes of check-ins and visits.

use oar_schema::number::Hundredths;
use oar_schema::record::{
    Appointment, AppointmentReason, CheckIn, DecisionKind, FitGap, Procedure, WearEnd, WearPeriod,
};
use oar_schema::teeth::{Arch, Tooth};
use oar_schema::time::Date;
use serde_json::{Value, json};

use super::record_queries::longest;
use super::wear_periods::{followers, lasts_on};
use super::{Draft, FaultLocation, makers};
use crate::random::RandomStream;

makers! { "check_ins":
    Many check_in_out_of_order;
    Many check_in_for_other_tray;
    Part hold_without_days;
    Many step_back_without_tray;
    Many step_back_forward;
    Many decision_with_extra;
    Few gap_in_untreated_arch;
    Part gap_implausible;
    Many decision_contradicts_gaps;
    Many decision_not_followed;
    Many visit_out_of_order;
    Many missed_visit_with_work;
    Many visit_without_purpose;
    Many two_visits_same_day;
}

fn check_ins<'r>(draft: &Draft<'r>) -> &'r [CheckIn] {
    draft.clean.check_ins.as_deref().unwrap_or_default()
}

fn visits<'r>(draft: &Draft<'r>) -> &'r [Appointment] {
    draft.clean.appointments.as_deref().unwrap_or_default()
}

/// The check-ins that suit, by their places.
fn which(draft: &Draft<'_>, suits: impl Fn(&CheckIn) -> bool) -> Vec<usize> {
    check_ins(draft).iter().enumerate().filter(|(_, check_in)| suits(check_in)).map(|(at, _)| at).collect()
}

fn gaps(check_in: &CheckIn) -> &[FitGap] {
    check_in.fit_gaps.as_deref().unwrap_or_default()
}

/// Writes another decision; gives its place.
fn decide(draft: &mut Draft<'_>, at: usize, decision: Value) -> Option<String> {
    let pointer = format!("/check_ins/{at}/decision");
    draft.set(&pointer, decision)?;
    Some(pointer)
}

/// Two check-ins in each other's place, or the newest first.
fn check_in_out_of_order(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let all = check_ins(draft);
    let pairs = all.windows(2).enumerate().filter(|(_, pair)| pair[0].at < pair[1].at);
    let at = *stream.one_of(&pairs.map(|(at, _)| at).collect::<Vec<_>>())?;
    if stream.chance(0.3) && all[all.len() - 2].at < all[all.len() - 1].at {
        draft.tree.pointer_mut("/check_ins")?.as_array_mut()?.reverse();
        return Some("/check_ins/1/at".into());
    }
    draft.swap("/check_ins", at, at + 1)?;
    Some(format!("/check_ins/{}/at", at + 1).into())
}

/// The number of the tray before or after, or of the one that the plan would have on that day.
fn check_in_for_other_tray(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let worn = &draft.clean.wear_periods;
    let mut choices = Vec::new();
    for at in which(draft, |it| matches!(it.decision.kind, DecisionKind::Advance | DecisionKind::SeeInPerson)) {
        let check_in = &check_ins(draft)[at];
        let (day, series) = (check_in.at.written_date(), check_in.series);
        let planned = draft.clean.series.iter().find(|planned| planned.number == series)?;
        let most = longest(planned);
        let in_mouth =
            |tray: i32| worn.iter().any(|worn| (worn.series, worn.tray) == (series, tray) && lasts_on(worn, day));
        if in_mouth(check_in.tray) {
            let slips = [-2, -1, 1, 2, 3].map(|slip| check_in.tray + slip);
            choices.extend(
                slips.into_iter().filter(|tray| (1..=most).contains(tray) && !in_mouth(*tray)).map(|tray| (at, tray)),
            );
        }
    }
    let (at, tray) = *stream.one_of(&choices)?;
    let pointer = format!("/check_ins/{at}/tray");
    draft.set(&pointer, tray)?;
    Some(pointer.into())
}

/// A hold of which the export has no days.
fn hold_without_days(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let at = *stream.one_of(&which(draft, |check_in| check_in.decision.kind == DecisionKind::Hold))?;
    draft.remove(&format!("/check_ins/{at}/decision/days"))?;
    Some(format!("/check_ins/{at}/decision").into())
}

/// A step back of which the export has no tray, or the word below the right one in a list.
fn step_back_without_tray(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let real = which(draft, |check_in| check_in.decision.kind == DecisionKind::StepBack);
    let any = which(draft, |check_in| check_in.tray > 1);
    let at = *stream.one_of(if real.is_empty() { &any } else { &real })?;
    decide(draft, at, json!({"kind": DecisionKind::StepBack.as_str()})).map(FaultLocation::from)
}

/// A step back to the same tray, as a hold is written by some, or to the next one, which stands in the field beside it.
fn step_back_forward(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let waits = |check_in: &CheckIn| matches!(check_in.decision.kind, DecisionKind::Hold | DecisionKind::StepBack);
    let at = *stream.one_of(&which(draft, waits))?;
    let tray = check_ins(draft)[at].tray + i32::from(stream.chance(0.4));
    let pointer = decide(draft, at, json!({"kind": DecisionKind::StepBack.as_str(), "to_tray": tray}))?;
    Some(format!("{pointer}/to_tray").into())
}

/// The days until the next tray, or its number, with a decision that needs neither.
fn decision_with_extra(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let at =
        *stream.one_of(&which(draft, |check_in| check_in.decision.days.or(check_in.decision.to_tray).is_none()))?;
    let (field, value) = if stream.chance(0.5) {
        ("days", draft.clean.prescription.change_interval_days)
    } else {
        ("to_tray", check_ins(draft)[at].tray + 1)
    };
    let pointer = format!("/check_ins/{at}/decision/{field}");
    draft.set(&pointer, value)?;
    Some(pointer.into())
}

/// The tooth above or below.
fn opposite(tooth: Tooth) -> Option<Tooth> {
    let (quadrant, position) = (tooth.fdi() / 10, tooth.fdi() % 10);
    Tooth::new([0, 4, 3, 2, 1].get(usize::from(quadrant)).filter(|quadrant| **quadrant > 0)? * 10 + position)
}

/// A quadrant that was mistyped, or gaps for both arches from a system that knows none.
fn gap_in_untreated_arch(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let one_arch = draft.clean.series.iter().filter(|series| (series.trays.upper == 0) != (series.trays.lower == 0));
    let treated =
        one_arch.map(|series| (series.number, if series.trays.upper == 0 { Arch::Lower } else { Arch::Upper }));
    let (series, arch) = *stream.one_of(&treated.collect::<Vec<_>>())?;
    let stands = |tooth: &Tooth| !draft.clean.dentition.absent.contains(tooth);
    let mut mirrored = Vec::new();
    for at in which(draft, |check_in| check_in.series == series) {
        let gaps = gaps(&check_ins(draft)[at]).iter().enumerate().filter(|(_, gap)| gap.tooth.arch() == arch);
        mirrored.extend(gaps.filter_map(|(g, gap)| Some((at, g, opposite(gap.tooth).filter(stands)?))));
    }
    let (at, gap, tooth) = *stream.one_of(&mirrored)?;
    if stream.chance(0.5) {
        let pointer = format!("/check_ins/{at}/fit_gaps/{gap}/tooth");
        draft.set(&pointer, tooth.fdi())?;
        return Some(pointer.into());
    }
    for (at, _, tooth) in mirrored.iter().filter(|(other, ..)| *other >= at) {
        let more = draft.get(&format!("/check_ins/{at}/fit_gaps"))?.as_array()?.len();
        draft.insert(&format!("/check_ins/{at}/fit_gaps/{more}"), json!({"tooth": tooth.fdi(), "gap_mm": 0}))?;
    }
    Some(format!("/check_ins/{at}/fit_gaps/{}/tooth", gaps(&check_ins(draft)[at]).len()).into())
}

/// A decimal point that was lost in one gap, or gaps in tenths of a millimetre.
fn gap_implausible(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut wide = Vec::new();
    let mut all = Vec::new();
    for (at, check_in) in check_ins(draft).iter().enumerate() {
        for (g, gap) in gaps(check_in).iter().enumerate() {
            let tenths = Hundredths(gap.gap_mm.0 * 10);
            all.push((format!("/check_ins/{at}/fit_gaps/{g}/gap_mm"), tenths));
            if i64::from(tenths.0) > draft.limits.widest_gap_mm {
                wide.push(all.len() - 1);
            }
        }
    }
    if all.iter().any(|(_, tenths)| tenths.0 > 2000) {
        return None;
    }
    let one = *stream.one_of(&wide)?;
    if stream.chance(0.5) {
        let (pointer, tenths) = &all[one];
        draft.set(pointer, serde_json::to_value(tenths).ok()?)?;
        return Some(pointer.clone().into());
    }
    for (pointer, tenths) in &all {
        draft.set(pointer, serde_json::to_value(tenths).ok()?)?;
    }
    Some(all[wide[0]].0.clone().into())
}

/// The word beside the right one over a wide gap, or a gap that is mistyped.
fn decision_contradicts_gaps(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let (least, most) = (draft.limits.advance_gap_mm as i32, draft.limits.widest_gap_mm as i32);
    let stood = |gap: &FitGap| !gap.tooth.is_primary() && !draft.clean.dentition.absent.contains(&gap.tooth);
    let widest = |check_in: &CheckIn| gaps(check_in).iter().max_by_key(|gap| gap.gap_mm.0).cloned();
    let wide = |gap: FitGap| stood(&gap) && (least + 1..=most).contains(&gap.gap_mm.0);
    let waits = which(draft, |it| it.decision.kind != DecisionKind::Advance && widest(it).is_some_and(wide));
    if let Some(at) = stream.one_of(&waits).copied()
        && stream.chance(0.5)
    {
        let pointer = decide(draft, at, json!({"kind": DecisionKind::Advance.as_str()}))?;
        return Some(format!("{pointer}/kind").into());
    }
    let advances = which(draft, |it| it.decision.kind == DecisionKind::Advance && gaps(it).iter().any(stood));
    let at = *stream.one_of(&advances)?;
    let places: Vec<usize> =
        gaps(&check_ins(draft)[at]).iter().enumerate().filter(|(_, gap)| stood(gap)).map(|(g, _)| g).collect();
    let gap = Hundredths(stream.whole(least / 10 + 1, most / 10) * 10);
    let place = *stream.one_of(&places)?;
    draft.set(&format!("/check_ins/{at}/fit_gaps/{place}/gap_mm"), serde_json::to_value(gap).ok()?)?;
    Some(format!("/check_ins/{at}/decision/kind").into())
}

/// A check-in whose tray was followed by the next one, and nothing in between set its decision aside.
struct Followed {
    at: usize,
    /// The day from which a hold counts.
    due: Date,
    /// The day on which the next tray was there.
    on: Date,
}

fn followed(draft: &Draft<'_>, at: usize) -> Option<Followed> {
    let (all, worn) = (check_ins(draft), &draft.clean.wear_periods);
    let (check_in, day) = (&all[at], all[at].at.written_date());
    let of_tray =
        |worn: &WearPeriod| (worn.series, worn.tray) == (check_in.series, check_in.tray) && lasts_on(worn, day);
    let here = worn.iter().rposition(of_tray)?;
    let (to, next) = (worn[here].to?, followers(worn, here));
    let later = |n: &usize| worn[*n].series == check_in.series && worn[*n].tray > check_in.tray;
    let again = all.get(at + 1).is_some_and(|next| next.at.written_date() <= to);
    let seen = visits(draft).iter().any(|visit| visit.attended && day <= visit.on && visit.on <= to);
    let on = worn[*next.first()?].from.max(to);
    let due = worn[here].from.plus_days(draft.clean.prescription.change_interval_days).min(day);
    let plain = worn[here].ended == Some(WearEnd::Advanced) && next.iter().all(later) && !again && !seen;
    plain.then_some(Followed { at, due, on })
}

/// A hold or a step back that was entered for the wrong check-in, or with days of which one digit is wrong.
fn decision_not_followed(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let lags =
        |check_in: &CheckIn| gaps(check_in).iter().any(|gap| i64::from(gap.gap_mm.0) > draft.limits.fitting_gap_mm);
    let choices: Vec<Followed> = which(draft, lags).into_iter().filter_map(|at| followed(draft, at)).collect();
    let Followed { at, due, on } = *stream.one_of(&choices)?;
    let tray = check_ins(draft)[at].tray;
    if tray > 1 && stream.chance(0.4) {
        let to = tray - stream.whole(1, (tray - 1).min(2));
        let pointer = decide(draft, at, json!({"kind": DecisionKind::StepBack.as_str(), "to_tray": to}))?;
        return Some(format!("{pointer}/to_tray").into());
    }
    let days = on.days_since(due) + stream.whole(1, 20);
    let pointer = decide(draft, at, json!({"kind": DecisionKind::Hold.as_str(), "days": days.clamp(1, 365)}))?;
    Some(format!("{pointer}/days").into())
}

/// Two visits in each other's place, or a missed one that was entered at the end.
fn visit_out_of_order(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let visits = visits(draft);
    let last = visits.last()?.on;
    let missed = visits.iter().enumerate().filter(|(_, visit)| !visit.attended && visit.on < last);
    let missed: Vec<usize> = missed.map(|(at, _)| at).collect();
    if let Some(at) = stream.one_of(&missed).copied()
        && stream.chance(0.5)
    {
        let visit = draft.remove(&format!("/appointments/{at}"))?;
        draft.insert(&format!("/appointments/{}", visits.len() - 1), visit)?;
        return Some(format!("/appointments/{}/on", visits.len() - 1).into());
    }
    let pairs = visits.windows(2).enumerate().filter(|(_, pair)| pair[0].on < pair[1].on);
    let at = *stream.one_of(&pairs.map(|(at, _)| at).collect::<Vec<_>>())?;
    draft.swap("/appointments", at, at + 1)?;
    Some(format!("/appointments/{}/on", at + 1).into())
}

/// A missed visit with what the appointment book had planned for it.
fn missed_visit_with_work(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let missed = visits(draft).iter().enumerate().filter(|(_, visit)| !visit.attended);
    let at = *stream.one_of(&missed.map(|(at, _)| at).collect::<Vec<_>>())?;
    let planned: &[Procedure] = match visits(draft)[at].reason {
        AppointmentReason::Start | AppointmentReason::Bonding => {
            &[Procedure::AttachmentBonding, Procedure::TrayDelivery]
        }
        AppointmentReason::Rescan => &[Procedure::Scan, Procedure::Photographs],
        AppointmentReason::Finish => &[Procedure::AttachmentRemoval, Procedure::Polishing],
        AppointmentReason::Retention => &[Procedure::Photographs, Procedure::BondedRetainer],
        _ => &[Procedure::Cleaning, Procedure::Polishing, Procedure::Radiograph],
    };
    let only_one = stream.chance(0.5);
    let needs_the_patient = |done: &&Procedure| !matches!(done, Procedure::Photographs | Procedure::TrayDelivery);
    let done: Vec<Procedure> = if only_one {
        planned.iter().copied().filter(|done| needs_the_patient(&done)).take(1).collect()
    } else {
        planned.to_vec()
    };
    draft.set(&format!("/appointments/{at}/procedures"), serde_json::to_value(done).ok()?)?;
    Some(format!("/appointments/{at}/attended").into())
}

/// Whether the record has nothing of a day but one visit.
fn has_only_a_visit(draft: &Draft<'_>, day: Date) -> bool {
    let clean = draft.clean;
    visits(draft).iter().filter(|visit| visit.on == day).count() == 1
        && !check_ins(draft).iter().any(|check_in| check_in.at.written_date() == day)
        && !clean.deliveries.iter().flatten().any(|delivery| delivery.on == day)
        && !clean.attachment_events.iter().flatten().any(|event| event.on == day)
        && !clean.assessments.iter().flatten().any(|assessment| assessment.on == day)
        && !clean.series.iter().any(|series| series.scanned_on == Some(day))
}

/// A missed appointment that counts as kept, or a visit whose entries stayed in another system.
fn visit_without_purpose(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let suits = |visit: &Appointment| {
        let plain = matches!(
            visit.reason,
            AppointmentReason::Review | AppointmentReason::Retention | AppointmentReason::Repair
        );
        plain && visit.interproximal_reductions.is_none() && has_only_a_visit(draft, visit.on)
    };
    let places = visits(draft).iter().enumerate().filter(|(_, visit)| suits(visit));
    let at = *stream.one_of(&places.map(|(at, _)| at).collect::<Vec<_>>())?;
    draft.set(&format!("/appointments/{at}/attended"), true)?;
    draft.set(&format!("/appointments/{at}/procedures"), json!([]))?;
    draft.remove(&format!("/appointments/{at}/note"));
    Some(format!("/appointments/{at}").into())
}

/// A visit that has an entry for each procedure, or was entered twice.
fn two_visits_same_day(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let visits = visits(draft);
    let alone = |visit: &Appointment| visits.iter().filter(|other| other.on == visit.on).count() == 1;
    let places = visits.iter().enumerate().filter(|(_, visit)| visit.attended && alone(visit));
    let at = *stream.one_of(&places.map(|(at, _)| at).collect::<Vec<_>>())?;
    let mut second = draft.get(&format!("/appointments/{at}"))?.clone();
    let members = second.as_object_mut()?;
    members.shift_remove("interproximal_reductions");
    let done = visits[at].procedures.as_deref().unwrap_or_default();
    if done.len() > 1 {
        let first = stream.whole(1, done.len() as i32 - 1) as usize;
        members.insert("procedures".to_owned(), serde_json::to_value(&done[first..]).ok()?);
        draft.set(&format!("/appointments/{at}/procedures"), serde_json::to_value(&done[..first]).ok()?)?;
    }
    draft.insert(&format!("/appointments/{}", at + 1), second)?;
    Some(format!("/appointments/{}/on", at + 1).into())
}
