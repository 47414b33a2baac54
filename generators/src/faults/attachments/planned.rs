//! Attachments as the plan has them.

use oar_schema::record::{Attachment, Movement, Record, Series, Support};
use oar_schema::teeth::Tooth;
use serde_json::json;

use super::super::record_queries::{
    AXES, FACIAL, OCCLUSAL, ROTATION, axes, decimal, held, last_moving, mistyped_up, movement_at, totals, trays_in,
};
use super::super::{Draft, FaultLocation};
use crate::random::RandomStream;

/// Every planned attachment, by the place of its series and its own.
pub(super) fn attachments(record: &Record) -> Vec<(usize, usize, &Attachment)> {
    let series = record.series.iter().enumerate();
    let of = |(i, series): (usize, &'_ Series)| (i, series.attachments.as_ref().map_or(0, Vec::len));
    let places = series.map(of).flat_map(|(i, count)| (0..count).map(move |j| (i, j)));
    places.filter_map(|(i, j)| Some((i, j, record.series[i].attachments.as_ref()?.get(j)?))).collect()
}

fn at(i: usize, j: usize, field: &str) -> String {
    format!("/series/{i}/attachments/{j}/{field}")
}

pub(super) fn attachment_backwards(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let long: Vec<_> = attachments(draft.clean).into_iter().filter(|(.., it)| it.from_tray < it.to_tray).collect();
    let (i, j, attachment) = *stream.one_of(&long)?;
    draft.set(&at(i, j, "from_tray"), attachment.to_tray)?;
    draft.set(&at(i, j, "to_tray"), attachment.from_tray)?;
    Some(at(i, j, "to_tray").into())
}

/// The id of another attachment of the series.
pub(super) fn attachment_id_repeated(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let all = attachments(draft.clean);
    let (i, j, _) = *stream.one_of(&all)?;
    let others: Vec<_> = all.iter().filter(|(series, place, _)| *series == i && *place != j).collect();
    let (_, other, meant) = **stream.one_of(&others)?;
    draft.set(&at(i, j, "id"), meant.id.0.as_str())?;
    Some(at(i, j.max(other), "id").into())
}

pub(super) fn attachment_outside_trays(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut choices = Vec::new();
    for (i, j, attachment) in attachments(draft.clean) {
        let (series, arch) = (&draft.clean.series[i], attachment.tooth.arch());
        let last = trays_in(series, arch).max(last_moving(series, |tooth| tooth.arch() == arch));
        let beyond = mistyped_up(attachment.to_tray).into_iter().filter(|tray| *tray > last && *tray <= 200);
        choices.extend(beyond.map(|tray| (at(i, j, "to_tray"), tray)));
    }
    let (pointer, tray) = stream.one_of(&choices)?.clone();
    draft.set(&pointer, tray)?;
    Some(pointer.into())
}

/// The biting surface under the name that it has on other teeth.
pub(super) fn surface_not_on_tooth(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let all = attachments(draft.clean);
    let (i, j, attachment) = *stream.one_of(&all)?;
    let other = if attachment.tooth.kind().is_anterior() { "occlusal" } else { "incisal" };
    draft.set(&at(i, j, "surface"), other)?;
    Some(at(i, j, "surface").into())
}

/// Whether a movement is one that an attachment supports.
fn is_supported(movement: &Movement, support: Support) -> bool {
    let [mesial, facial, occlusal, rotation, tip, torque] = axes(movement);
    match support {
        Support::Mesial => mesial > 0,
        Support::Distal => mesial < 0,
        Support::Facial => facial > 0,
        Support::Lingual => facial < 0,
        Support::Extrusion => occlusal > 0,
        Support::Intrusion => occlusal < 0,
        Support::Rotation => rotation != 0,
        Support::Tip => tip != 0 || mesial != 0,
        Support::Torque => torque != 0 || facial != 0,
        Support::Anchorage => true,
    }
}

/// Another word, for a movement that the tooth does not make.
pub(super) fn attachment_without_purpose(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut choices = Vec::new();
    for (i, j, attachment) in attachments(draft.clean) {
        let there_for = attachment.supports.as_deref().unwrap_or_default();
        if there_for.is_empty() || there_for.contains(&Support::Anchorage) {
            continue;
        }
        let held = |movement: &&Movement| {
            movement.tooth == attachment.tooth
                && movement.from_tray <= attachment.to_tray
                && attachment.from_tray <= movement.to_tray
        };
        let made: Vec<&Movement> = draft.clean.series[i].movements.iter().filter(held).collect();
        let idle = Support::ALL
            .iter()
            .copied()
            .filter(|support| !made.iter().any(|movement| is_supported(movement, *support)));
        choices.extend(idle.map(|support| (at(i, j, "supports"), support)));
    }
    let (pointer, support) = stream.one_of(&choices)?.clone();
    draft.set(&pointer, json!([support.as_str()]))?;
    Some(pointer.into())
}

/// A canine or premolar without attachment that is turned by ten degrees too many, or a tooth that is lifted ten times as
/// far, both slowly enough.
pub(super) fn movement_without_attachment(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mut choices = Vec::new();
    for (i, series) in draft.clean.series.iter().enumerate().filter(|(_, series)| series.attachments.is_some()) {
        let held = held(series);
        for (j, movement) in series.movements.iter().enumerate().filter(|(_, it)| !held.contains(it.tooth)) {
            let first = |axis: usize| {
                let before = series.movements[..j].iter().filter(|other| other.tooth == movement.tooth);
                before.into_iter().all(|other| axes(other)[axis] == 0)
            };
            let slips = [(ROTATION, turned(draft, series, movement)), (OCCLUSAL, lifted(draft, series, movement))];
            for (axis, amount) in slips {
                choices.extend(
                    amount
                        .filter(|_| first(axis))
                        .map(|amount| (format!("{}/{}", movement_at(i, j), AXES[axis]), amount)),
                );
            }
        }
    }
    let (pointer, amount) = stream.one_of(&choices)?.clone();
    draft.set(&pointer, decimal(amount))?;
    Some(pointer.into())
}

fn is_round(tooth: Tooth) -> bool {
    tooth.kind().is_canine() || tooth.kind().is_premolar()
}

fn trays(movement: &Movement) -> i64 {
    i64::from(movement.to_tray - movement.from_tray) + 1
}

/// The rotation of a movement with ten degrees more, if its tooth then slips and is not turned too fast.
fn turned(draft: &Draft<'_>, series: &Series, movement: &Movement) -> Option<i32> {
    let rotation = axes(movement)[ROTATION];
    let more = rotation + 1000 * rotation.signum();
    let total = i64::from(totals(series, movement.tooth)[ROTATION] - rotation + more).abs();
    let slow = i64::from(more.abs()) <= draft.limits.tray_rotation_round_deg * trays(movement);
    let slips = is_round(movement.tooth) && total > draft.limits.unheld_rotation_deg;
    (rotation != 0 && slow && slips).then_some(more)
}

/// The extrusion of a movement without its decimal point, if its tooth then slips and is not lifted too fast.
fn lifted(draft: &Draft<'_>, series: &Series, movement: &Movement) -> Option<i32> {
    let occlusal = axes(movement)[OCCLUSAL];
    let more = occlusal * 10;
    let mut totals = totals(series, movement.tooth);
    totals[OCCLUSAL] += more - occlusal;
    let slow = i64::from(more) <= draft.limits.tray_vertical_mm * trays(movement);
    let slips = i64::from(totals[OCCLUSAL]) > draft.limits.unheld_extrusion_mm && -totals[FACIAL] < totals[OCCLUSAL];
    let near = i64::from(totals[OCCLUSAL]) <= draft.limits.far_vertical_mm;
    (occlusal > 0 && slow && slips && near).then_some(more)
}
