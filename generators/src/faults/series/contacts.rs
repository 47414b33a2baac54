//! Neighbours that are planned into each other, and room that the plan does not use.

use oar_schema::number::Hundredths;
use oar_schema::record::{Movement, Record, Series};
use oar_schema::teeth::{Arch, Tooth, ToothSet};

use super::super::record_queries::{
    AXES, FACIAL, MESIAL, OCCLUSAL, ROTATION, axes, decimal, extracted, held, last_moving, movement_at, plain_contacts,
    slot, totals,
};
use super::super::reductions::{counts, planned, relabel};
use super::super::{Draft, FaultLocation};
use crate::random::RandomStream;

/// The place of `tip_deg` among [`AXES`].
const TIP: usize = 4;

/// How far two neighbours come nearer to each other along the arch, in hundredths of a millimetre.
fn approach([first, second]: [Tooth; 2], along: impl Fn(Tooth) -> i32) -> i32 {
    let (one, other) = (along(first), along(second));
    if first.side() != second.side() {
        one + other
    } else if first.position() < second.position() {
        other - one
    } else {
        one - other
    }
}

/// The most room that two neighbours can have in the first series.
fn room(draft: &Draft<'_>, series: &Series, between: [Tooth; 2], crowding: i32) -> i64 {
    let [one, other] = between.map(|tooth| totals(series, tooth).map(i64::from));
    let outward = (one[FACIAL] + other[FACIAL]).max(0) / 2;
    let past = (one[FACIAL] - other[FACIAL]).abs() + (one[OCCLUSAL] - other[OCCLUSAL]).abs();
    let turned = [ROTATION, TIP].map(|axis| one[axis].abs() + other[axis].abs()).iter().sum::<i64>();
    let by_other_axes = (outward * 40 + past * 50 + turned * 5) / 100;
    let same = |pair: [Tooth; 2]| pair == between || pair == [between[1], between[0]];
    let done =
        draft.clean.appointments.iter().flatten().flat_map(|visit| visit.interproximal_reductions.iter().flatten());
    let done: i32 = done.filter(|it| same(it.between)).map(|it| it.amount_mm.0).sum();
    let planned: i32 =
        series.interproximal_reductions.iter().flatten().filter(|it| same(it.between)).map(|it| it.amount_mm.0).sum();
    let midline = between[0].side() != between[1].side() && between[0].arch() == Arch::Upper;
    draft.limits.contact_tolerance_mm
        + if midline { draft.limits.midline_space_mm } else { 0 }
        + by_other_axes
        + i64::from(planned.max(done) - crowding.min(0))
}

/// The least crowding of an arch in any assessment.
fn least_crowding(record: &Record, arch: Arch) -> Option<i32> {
    let crowding = record.assessments.iter().flatten().filter_map(|assessment| assessment.crowding_mm.as_ref());
    let of_arch = crowding.filter_map(|it| if arch == Arch::Upper { it.upper } else { it.lower });
    of_arch.map(|crowding: Hundredths| crowding.0).min()
}

/// Whether a sign that is wrong by that much leaves the space of an extraction as it was, or rather not closed at all: a tooth
/// beside it that goes far.
fn leaves_spaces(record: &Record, tooth: Tooth, amount: i32) -> bool {
    let beside = |gone: Tooth| gone.arch() == tooth.arch() && (slot(gone) - slot(tooth)).abs() == 1;
    amount.abs() >= 250 || !extracted(record).iter().any(beside)
}

/// The place of the longest movement of two teeth along the arch, once one of them has another amount.
fn longest(series: &Series, between: [Tooth; 2]) -> Option<usize> {
    let along = |movement: &Movement| axes(movement)[MESIAL].abs();
    let movements = series.movements.iter().enumerate();
    let along_arch = movements.filter(|(_, it)| between.contains(&it.tooth) && along(it) != 0);
    along_arch.reduce(|one, other| if along(other.1) > along(one.1) { other } else { one }).map(|(j, _)| j)
}

/// One sign along the arch that is wrong: the tooth goes toward its neighbour, which comes toward it.
pub(super) fn contact_squeezed(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let series = record.series.first()?;
    let contacts = plain_contacts(record);
    let mut choices = Vec::new();
    for (j, movement) in series.movements.iter().enumerate() {
        let (tooth, turned) = (movement.tooth, axes(movement)[MESIAL]);
        let along = |other: Tooth| totals(series, other)[MESIAL] - if other == tooth { 2 * turned } else { 0 };
        for between in contacts.iter().filter(|between| between.contains(&tooth)) {
            let Some(crowding) = least_crowding(record, tooth.arch()) else { continue };
            let rests = |other: &Tooth| other.position() == 8 && totals(series, *other) == [0; AXES.len()];
            let squeezed = i64::from(approach(*between, along)) > room(draft, series, *between, crowding);
            if turned != 0 && squeezed && leaves_spaces(record, tooth, turned) && !between.iter().any(rests) {
                choices.extend(longest(series, *between).map(|told| (j, -turned, told)));
            }
        }
    }
    let (j, amount, told) = *stream.one_of(&choices)?;
    draft.set(&format!("{}/{}", movement_at(0, j), AXES[MESIAL]), decimal(amount))?;
    Some(format!("{}/{}", movement_at(0, told), AXES[MESIAL]).into())
}

/// Enamel that is planned, and taken off, at the wrong contact, the teeth of which rest; or at a contact of two teeth whose
/// movements the export lost.
pub(super) fn space_unclosed(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let resting = at_resting_teeth(draft);
    if let Some((i, j, between)) = stream.one_of(&resting).copied() {
        relabel(draft, (i, j), between)?;
        return Some(format!("/series/{i}/interproximal_reductions/{j}/between").into());
    }
    let losable = at_losable_teeth(draft);
    let (i, j, between) = *stream.one_of(&losable)?;
    for (k, _) in moving(&draft.clean.series[i], between).into_iter().rev() {
        draft.remove(&movement_at(i, k))?;
    }
    Some(format!("/series/{i}/interproximal_reductions/{j}/between").into())
}

/// The movements of two teeth, with their places.
fn moving(series: &Series, between: [Tooth; 2]) -> Vec<(usize, &Movement)> {
    series.movements.iter().enumerate().filter(|(_, movement)| between.contains(&movement.tooth)).collect()
}

/// Planned reductions of a usual size, by the places of series and reduction, each with a contact whose teeth do not move from
/// that series on.
fn at_resting_teeth(draft: &Draft<'_>) -> Vec<(usize, usize, [Tooth; 2])> {
    let record = draft.clean;
    let contacts = plain_contacts(record);
    let mut choices = Vec::new();
    for (i, j, reduction) in planned(record) {
        let later = record.series[i..].iter().flat_map(|series| &series.movements);
        let moved: ToothSet = later.map(|movement| movement.tooth).collect();
        let usual = i64::from(reduction.amount_mm.0) <= draft.limits.contact_front_mm && reduction.amount_mm.0 > 0;
        let resting = contacts.iter().filter(|pair| usual && pair.iter().all(|tooth| !moved.contains(*tooth)));
        let once = counts(record, reduction.between).0 == 1;
        let free = resting.filter(|pair| once && counts(record, **pair) == (0, 0));
        choices.extend(free.map(|pair| (i, j, *pair)));
    }
    choices
}

/// Planned reductions between two teeth that move in that series alone from then on, that carry nothing, and without which
/// the trays of the series still move teeth to the last one.
fn at_losable_teeth(draft: &Draft<'_>) -> Vec<(usize, usize, [Tooth; 2])> {
    let record = draft.clean;
    let contacts = plain_contacts(record);
    let fits = |(i, between): (usize, [Tooth; 2])| {
        let series = &record.series[i];
        let plain = contacts.iter().any(|pair| *pair == between || *pair == [between[1], between[0]]);
        let carries = between.iter().any(|tooth| held(series).contains(*tooth));
        let later = record.series[i + 1..].iter().any(|series| !moving(series, between).is_empty());
        let others = last_moving(series, |tooth| !between.contains(&tooth));
        let far = moving(series, between).iter().any(|(_, it)| axes(it)[MESIAL].abs() > 100);
        plain && !carries && !later && !far && others == last_moving(series, |_| true)
    };
    let all = planned(record)
        .into_iter()
        .filter(|(.., it)| (1..=draft.limits.contact_front_mm).contains(&i64::from(it.amount_mm.0)));
    all.map(|(i, j, it)| (i, j, it.between)).filter(|(i, _, between)| fits((*i, *between))).collect()
}
