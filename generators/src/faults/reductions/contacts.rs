//! Reductions at the wrong contact, before the wrong tray, or left out.

use oar_schema::record::{DoneReduction, Record};
use oar_schema::teeth::{Tooth, are_neighbours};
use serde_json::{Value, json};

use super::super::record_queries::{
    decimal, extracted, in_slot, last_moving, listed, longest, mistyped_up, natural, plain_contacts, slot, standing,
    trays_in,
};
use super::super::{Draft, FaultLocation};
use super::amounts::limits;
use super::entries::{counts, done, planned, same};
use crate::random::RandomStream;

/// Gives a planned reduction another contact, at the visits too. It has to be the only one at its contact, and the new one
/// has to have none.
pub(in super::super) fn relabel(draft: &mut Draft<'_>, (i, j): (usize, usize), to: [Tooth; 2]) -> Option<()> {
    let record = draft.clean;
    let from = record.series.get(i)?.interproximal_reductions.as_ref()?.get(j)?.between;
    if counts(record, from).0 != 1 || counts(record, to) != (0, 0) {
        return None;
    }
    let pair = json!(to.map(Tooth::fdi));
    draft.set(&format!("/series/{i}/interproximal_reductions/{j}/between"), pair.clone())?;
    for (k, l, _) in done(record).into_iter().filter(|(.., it)| same(it.between, from)) {
        draft.set(&format!("/appointments/{k}/interproximal_reductions/{l}/between"), pair.clone())?;
    }
    Some(())
}

/// Other pairs that one mistyped tooth makes of a contact, which do not touch: one of them twice, or a tooth too far.
fn apart(record: &Record, [one, other]: [Tooth; 2]) -> Vec<[Tooth; 2]> {
    let natural = natural(record);
    let further = |tooth: Tooth, from: Tooth| in_slot(tooth.arch(), slot(tooth) + (slot(tooth) - slot(from)).signum());
    let stands = |tooth: &Tooth| natural.contains(*tooth);
    let mut pairs = vec![[one, one], [other, other]];
    if stands(&one) && stands(&other) && slot(one) != slot(other) {
        pairs.extend(further(other, one).filter(stands).map(|tooth| [one, tooth]));
        pairs.extend(further(one, other).filter(stands).map(|tooth| [tooth, other]));
    }
    pairs
}

/// 11 and 23 for 11 and 21, or 21 twice: in the plan or at a visit.
pub(super) fn not_neighbours(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let planned = planned(record)
        .into_iter()
        .map(|(i, j, it)| (format!("/series/{i}/interproximal_reductions/{j}/between"), it.between));
    let done = done(record)
        .into_iter()
        .map(|(i, j, it)| (format!("/appointments/{i}/interproximal_reductions/{j}/between"), it.between));
    let all: Vec<_> = if stream.chance(0.5) { planned.collect() } else { done.collect() };
    let (pointer, between) = stream.one_of(&all)?.clone();
    let pair = *stream.one_of(&apart(record, between))?;
    draft.set(&pointer, json!(pair.map(Tooth::fdi)))?;
    Some(pointer.into())
}

/// The contact beside the planned one.
pub(super) fn reduction_unplanned(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let contacts = plain_contacts(record);
    let mut choices = Vec::new();
    for (i, j, reduction) in done(record) {
        let beside = |pair: &&[Tooth; 2]| {
            let shared = pair.iter().any(|tooth| reduction.between.contains(tooth));
            shared && !same(**pair, reduction.between) && counts(record, **pair) == (0, 0)
        };
        let contacts = contacts.iter().filter(beside).filter(|pair| is_small_at(draft, **pair, reduction));
        choices.extend(contacts.map(|pair| (format!("/appointments/{i}/interproximal_reductions/{j}/between"), *pair)));
    }
    let (pointer, pair) = stream.one_of(&choices)?.clone();
    draft.set(&pointer, json!(pair.map(Tooth::fdi)))?;
    Some(pointer.into())
}

/// Whether the amount of a reduction is usual at another contact.
fn is_small_at(draft: &Draft<'_>, between: [Tooth; 2], reduction: &DoneReduction) -> bool {
    i64::from(reduction.amount_mm.0) <= limits(draft, between)[0]
}

pub(super) fn reduction_outside_trays(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut choices = Vec::new();
    for (i, j, reduction) in planned(draft.clean) {
        let series = &draft.clean.series[i];
        let last = longest(series).max(last_moving(series, |_| true));
        let beyond = mistyped_up(reduction.before_tray).into_iter().filter(|tray| *tray > last && *tray <= 200);
        choices.extend(beyond.map(|tray| (format!("/series/{i}/interproximal_reductions/{j}/before_tray"), tray)));
    }
    let (pointer, tray) = stream.one_of(&choices)?.clone();
    draft.set(&pointer, tray)?;
    Some(pointer.into())
}

/// A primary tooth that stands, for one beside it, or enamel taken off it that was planned so.
pub(super) fn reduction_in_primary_tooth(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let beside = beside_primary(record);
    let mut choices = Vec::new();
    for (i, j, reduction) in planned(record).into_iter().filter(|(.., it)| counts(record, it.between).0 == 1) {
        let usual = |pair: &&[Tooth; 2]| i64::from(reduction.amount_mm.0) <= limits(draft, **pair)[0];
        let treated = |pair: &&[Tooth; 2]| trays_in(&record.series[i], pair[0].arch()) > 0;
        choices.extend(beside.iter().filter(usual).filter(treated).map(|pair| (i, j, *pair)));
    }
    if let Some((i, j, pair)) = stream.one_of(&choices).copied() {
        relabel(draft, (i, j), pair)?;
        return Some(format!("/series/{i}/interproximal_reductions/{j}/between").into());
    }
    plan_at_primary(draft, stream, &beside)
}

/// The contacts of primary teeth that stand, at which nothing is taken off.
fn beside_primary(record: &Record) -> Vec<[Tooth; 2]> {
    let standing = standing(record).difference(extracted(record));
    let primary = listed(record.dentition.primary.as_ref()).intersection(standing);
    let near = |tooth: Tooth| standing.iter().filter(move |other| are_neighbours(tooth, *other, &standing));
    let pairs = primary.iter().flat_map(|tooth| near(tooth).map(move |other| [tooth, other]).collect::<Vec<_>>());
    pairs.filter(|pair| counts(record, *pair) == (0, 0)).collect()
}

/// Plans a reduction at one of some contacts, and has it done at a visit after the scan.
fn plan_at_primary(draft: &mut Draft<'_>, stream: &mut RandomStream, pairs: &[[Tooth; 2]]) -> Option<FaultLocation> {
    let mut choices = Vec::new();
    for (i, series) in draft.clean.series.iter().enumerate() {
        let since = series.scanned_on?;
        for (k, visit) in draft.clean.appointments.iter().flatten().enumerate() {
            let plain = visit.attended
                && visit.on >= since
                && visit.procedures.is_some()
                && visit.interproximal_reductions.is_none();
            let treated = pairs.iter().filter(|pair| plain && trays_in(series, pair[0].arch()) > 1);
            choices.extend(treated.map(|pair| (i, k, *pair)));
        }
    }
    let (i, k, pair) = *stream.one_of(&choices)?;
    let series = &draft.clean.series[i];
    let (count, procedures) = (
        series.interproximal_reductions.as_ref()?.len(),
        draft.clean.appointments.as_ref()?[k].procedures.as_ref()?.len(),
    );
    let tray = stream.whole(2, trays_in(series, pair[0].arch()));
    let (between, amount) = (json!(pair.map(Tooth::fdi)), decimal(stream.whole(1, 4) * 10));
    let at = format!("/series/{i}/interproximal_reductions/{count}");
    draft.insert(&at, json!({"between": between, "amount_mm": amount, "before_tray": tray}))?;
    draft.insert(&format!("/appointments/{k}/procedures/{procedures}"), "interproximal_reduction")?;
    draft.set(
        &format!("/appointments/{k}/interproximal_reductions"),
        json!([{"between": between, "amount_mm": amount}]),
    )?;
    Some(format!("{at}/between").into())
}

/// The planned reductions of a visit that the plan has once and that were done once: where each is in the visit and in the
/// plan, the tray before which it was to be done having been worn.
fn due(record: &Record, visit: usize) -> Option<Vec<(usize, (usize, usize))>> {
    let reductions = record.appointments.as_ref()?.get(visit)?.interproximal_reductions.as_ref()?;
    let all = planned(record);
    let place = |(l, it): (usize, &DoneReduction)| {
        let (i, j, planned) = *all.iter().find(|(.., planned)| same(planned.between, it.between))?;
        let number = record.series[i].number;
        let worn = record.wear_periods.iter().any(|worn| worn.series == number && worn.tray >= planned.before_tray);
        (counts(record, it.between) == (1, 1) && worn).then_some((l, (i, j)))
    };
    reductions.iter().enumerate().map(place).collect()
}

/// One contact that was left out at a visit, or all of them with the procedure.
pub(super) fn reduction_not_done(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let visits = record.appointments.as_ref().map_or(0, Vec::len);
    let choices: Vec<_> = (0..visits).filter_map(|at| Some((at, due(record, at)?))).collect();
    let (at, due) = stream.one_of(&choices)?;
    let series = due.first()?.1.0;
    if due.len() > 1 && stream.chance(0.6) {
        let (l, (i, j)) = *stream.one_of(due)?;
        draft.remove(&format!("/appointments/{at}/interproximal_reductions/{l}"))?;
        return Some(format!("/series/{i}/interproximal_reductions/{j}").into());
    }
    let place = draft.get(&format!("/appointments/{at}/procedures"))?.as_array()?.iter().position(is_reduction)?;
    if due.iter().any(|(_, (i, _))| *i != series) {
        return None;
    }
    let first = due.iter().map(|(_, (_, j))| *j).min()?;
    draft.remove(&format!("/appointments/{at}/procedures/{place}"))?;
    draft.remove(&format!("/appointments/{at}/interproximal_reductions"))?;
    Some(format!("/series/{series}/interproximal_reductions/{first}").into())
}

fn is_reduction(done: &Value) -> bool {
    done == "interproximal_reduction"
}
