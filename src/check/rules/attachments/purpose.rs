//! Which movements attachments support, and which movements lack an attachment.

use oar_schema::record::{AttachmentRow, MovementRow, SeriesRow, Support};
use oar_schema::teeth::{Tooth, ToothSet};

use crate::check::case::attachments::names_unknown;
use crate::check::case::contacts::is_squeezed;
use crate::check::case::movements::{axes, moves_the_immovable, told_in_movements};
use crate::check::case::plan::trays_in;
use crate::check::case::refinements::is_opposite;
use crate::check::case::totals::ToothTotals;
use crate::check::rules::prelude::*;

/// Whether an attachment supports a movement. Tip belongs to movement along the arch, and torque to movement across
/// it: an attachment for the root supports both.
fn is_supported(movement: &MovementRow, support: Support) -> bool {
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

/// Whether a movement is of the tooth of an attachment, in a tray that holds it.
fn is_held(movement: &MovementRow, attachment: &AttachmentRow) -> bool {
    movement.tooth == attachment.tooth
        && movement.from_tray <= attachment.to_tray
        && attachment.from_tray <= movement.to_tray
}

/// Whether the plan says what an attachment supports, but its trays make no such movement with its tooth.
fn is_without_purpose(case: &Case<'_>, series: &SeriesRow, attachment: &AttachmentRow) -> bool {
    let supports = &case[attachment.supports];
    let held = |movement: &&MovementRow| is_held(movement, attachment);
    let mut movements = case[series.movements].iter().filter(held);
    !supports.is_empty()
        && !supports.contains(&Support::Anchorage)
        && !movements.any(|movement| supports.iter().any(|support| is_supported(movement, *support)))
}

/// Whether other rules report the attachments or the movements of a series.
fn is_reported(case: &Case<'_>, i: usize) -> bool {
    let series = &case[case.series][i];
    let wrong = |attachment: &AttachmentRow| {
        attachment.from_tray > attachment.to_tray
            || attachment.to_tray > trays_in(series, attachment.tooth.arch())
            || !case.standing.contains(attachment.tooth)
    };
    case[series.attachments].iter().any(wrong)
        || is_opposite(case, i)
        || moves_the_immovable(case, series)
        || told_in_movements(case, series, |_| true)
}

/// Whether an attachment for one direction along the arch is on a tooth that is squeezed against its neighbour. The
/// movement may have the wrong sign, which another rule reports.
fn may_go_the_other_way(case: &Case<'_>, i: usize, attachment: &AttachmentRow) -> bool {
    let along = |support: &Support| matches!(support, Support::Mesial | Support::Distal);
    case[attachment.supports].iter().any(along) && is_squeezed(case, i, attachment.tooth)
}

pub(super) fn attachment_without_purpose(case: &Case<'_>, found: &mut Found) {
    for (i, series) in case[case.series].iter().enumerate() {
        let attachments = case[series.attachments].iter().enumerate();
        let mut idle = attachments.filter(|(_, attachment)| {
            is_without_purpose(case, series, attachment) && !may_go_the_other_way(case, i, attachment)
        });
        let Some((j, attachment)) = idle.next().filter(|_| !is_reported(case, i)) else { continue };
        let supports: Vec<&str> = case[attachment.supports].iter().map(|support| support.as_str()).collect();
        let mut args = args![
            "id" = case.id(attachment.id),
            "tooth" = attachment.tooth,
            "supports" = supports.join(", "),
            "from" = attachment.from_tray,
            "to" = attachment.to_tray
        ];
        let others: Vec<usize> = idle.map(|(j, _)| j).collect();
        if !others.is_empty() {
            args.extend(args!["others" = others.len()]);
        }
        let stated = found.add(at!["series", i, "attachments", j, "supports"], args);
        for j in others {
            stated.related(at!["series", i, "attachments", j, "supports"]);
        }
    }
}

/// A movement for which the tray slips without an attachment.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Slip {
    Rotation,
    Extrusion,
}

/// The movement of a tooth over a series for which the tray slips, if any. A tooth that moves lingually as far as it
/// is extruded follows its arc.
fn slip(case: &Case<'_>, totals: &ToothTotals, tooth: Tooth) -> Option<Slip> {
    let [_, facial, occlusal, rotation, ..] = totals.at(tooth).map(i64::from);
    let round = tooth.kind().is_canine() || tooth.kind().is_premolar();
    if round && rotation.abs() > case.limits.unheld_rotation_deg {
        return Some(Slip::Rotation);
    }
    (occlusal > case.limits.unheld_extrusion_mm && -facial < occlusal).then_some(Slip::Extrusion)
}

pub(super) fn movement_without_attachment(case: &Case<'_>, found: &mut Found) {
    for (i, series) in case[case.series].iter().enumerate().filter(|(_, series)| series.attachments.is_some()) {
        let totals = &case.totals[i];
        let held: ToothSet = held(case, series);
        let slips = |tooth: &Tooth| !held.contains(*tooth) && slip(case, totals, *tooth).is_some();
        let mut teeth = case.moved.into_iter().filter(slips);
        let Some(tooth) = teeth.next().filter(|_| !is_told_of_attachments(case, i)) else { continue };
        let others = teeth.clone().count();
        let Some(slip) = slip(case, totals, tooth) else { continue };
        let [_, _, occlusal, rotation, ..] = totals.at(tooth).map(oar_schema::number::Hundredths);
        let mut args = match slip {
            Slip::Rotation => args!["rotation" = rotation.abs()],
            Slip::Extrusion => args!["extrusion" = occlusal],
        };
        args.extend(args!["tooth" = tooth, "series" = series.number]);
        if others > 0 {
            args.extend(args!["others" = others]);
        }
        let mut places = places(case, i, tooth, slip);
        if let Some(first) = places.next() {
            let stated = found.add(first, args);
            stated.related.extend(places);
            for other in teeth {
                stated.related.extend(
                    self::slip(case, totals, other).into_iter().flat_map(|slip| self::places(case, i, other, slip)),
                );
            }
        }
    }
}

/// Teeth with any attachment, whatever it supports, and teeth to which an elastic is attached. An attachment in other
/// trays than those that move its tooth is reported as one without a purpose.
fn held(case: &Case<'_>, series: &SeriesRow) -> ToothSet {
    let attachments = case[series.attachments].iter().map(|attachment| attachment.tooth);
    let elastics = case[series.elastics].iter().flat_map(|elastic| [elastic.upper_tooth, elastic.lower_tooth]);
    attachments.chain(elastics).collect()
}

/// Whether an attachment of the series may be meant for another tooth, or is missing from the plan. Other rules
/// report that.
fn is_told_of_attachments(case: &Case<'_>, i: usize) -> bool {
    let series = &case[case.series][i];
    let idle = |attachment: &AttachmentRow| is_without_purpose(case, series, attachment);
    case[series.attachments].iter().any(idle) || is_reported(case, i) || names_unknown(case, series)
}

/// The movements of a series for which the tray slips on that tooth.
fn places<'c>(case: &'c Case<'_>, i: usize, tooth: Tooth, slip: Slip) -> impl Iterator<Item = Path> + 'c {
    let movements = case[case[case.series][i].movements].iter().enumerate();
    movements.filter_map(move |(j, movement)| {
        let [_, _, occlusal, rotation, ..] = axes(movement);
        let (field, moves) =
            if slip == Slip::Rotation { ("rotation_deg", rotation != 0) } else { ("occlusal_mm", occlusal != 0) };
        (movement.tooth == tooth && moves).then(|| at!["series", i, "movements", j, field])
    })
}
