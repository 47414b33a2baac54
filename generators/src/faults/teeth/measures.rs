//! Widths and measurements that were mistyped, or taken on another scale.

use oar_schema::derived::{bolton_anterior, bolton_overall, irregularity_index};
use oar_schema::norms::{BOLTON_ANTERIOR, BOLTON_OVERALL, Measured, crown_widths};
use oar_schema::number::Hundredths;
use oar_schema::record::{Assessment, CrownWidth, CrownWidthRow};
use oar_schema::teeth::{Arch, Side, Tooth};
use serde_json::Value;

use super::super::record_queries::{decimal, listed, replaced, standing};
use super::super::{Draft, FaultLocation};
use crate::random::RandomStream;

/// The distance from a mean that a limit in hundredths of standard deviations allows.
fn allowed(norm: &Measured, sds: i64) -> i32 {
    (i64::from(norm.sd) * sds / 100) as i32
}

/// Whether a width is far from those of its tooth; never where none are published.
fn is_far_off(draft: &Draft<'_>, tooth: Tooth, width: i32) -> bool {
    let Some(norms) = crown_widths(tooth) else { return false };
    let sds = draft.limits.crown_width_sds;
    norms.iter().all(|norm| width < norm.mean - allowed(norm, sds))
        || norms.iter().all(|norm| width > norm.mean + allowed(norm, sds))
}

fn widths<'r>(draft: &Draft<'r>) -> &'r [CrownWidth] {
    draft.clean.dentition.crown_widths.as_deref().unwrap_or_default()
}

fn width_at(place: usize) -> String {
    format!("/dentition/crown_widths/{place}/width_mm")
}

/// The digits before and after the point changed places: 5.8 for 8.5.
fn swapped(width: i32) -> Option<i32> {
    let (whole, tenths) = (width / 100, width / 10 % 10);
    (whole < 10 && width % 10 == 0 && tenths > 0).then_some(tenths * 100 + whole * 10)
}

pub(super) fn crown_width_implausible(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let mistyped = |(at, row): (usize, &CrownWidth)| {
        let width = swapped(row.width_mm.0)?;
        is_far_off(draft, row.tooth, width).then_some((at, width))
    };
    let choices: Vec<_> = widths(draft).iter().enumerate().filter_map(mistyped).collect();
    let (at, width) = *stream.one_of(&choices)?;
    draft.set(&width_at(at), decimal(width))?;
    Some(width_at(at).into())
}

/// The places of the widths of a tooth on both sides, right and left.
fn pairs(draft: &Draft<'_>) -> Vec<[usize; 2]> {
    let made = replaced(draft.clean);
    let rows = widths(draft);
    let judged = |row: &CrownWidth| row.tooth.position() < 8 && !made.contains(row.tooth) && !row.tooth.is_primary();
    let mirrored = |one: Tooth, other: Tooth| {
        one.arch() == other.arch() && one.position() == other.position() && one.side() != other.side()
    };
    let right = rows.iter().enumerate().filter(|(_, row)| row.tooth.side() == Side::Right && judged(row));
    right
        .filter_map(|(at, row)| {
            Some([at, rows.iter().position(|other| judged(other) && mirrored(row.tooth, other.tooth))?])
        })
        .collect()
}

/// A whole millimetre too many or too few, or two.
pub(super) fn crown_widths_uneven(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let rows = widths(draft);
    let mut choices = Vec::new();
    for [right, left] in pairs(draft) {
        for (at, other) in [(right, left), (left, right)] {
            for by in [-200, -100, 100, 200] {
                let width = rows[at].width_mm.0 + by;
                let apart = i64::from((width - rows[other].width_mm.0).abs());
                if apart > draft.limits.crown_sides_mm && !is_far_off(draft, rows[at].tooth, width) {
                    choices.push((right, at, width));
                }
            }
        }
    }
    let (right, at, width) = *stream.one_of(&choices)?;
    draft.set(&width_at(at), decimal(width))?;
    Some(width_at(right).into())
}

/// Widths of one arch that were measured on a picture of another scale.
pub(super) fn bolton_ratio_extreme(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let rows = widths(draft);
    let mut choices = Vec::new();
    for arch in Arch::ALL {
        for percent in [86, 88, 90, 92, 94, 106, 108, 110, 112, 114] {
            let scaled = |row: &CrownWidth| {
                let width = row.width_mm.0;
                if row.tooth.arch() == arch { (width * percent + 500) / 1000 * 10 } else { width }
            };
            let scaled: Vec<CrownWidthRow> =
                rows.iter().map(|row| CrownWidthRow { tooth: row.tooth, width_mm: Hundredths(scaled(row)) }).collect();
            if is_extreme(draft, &scaled) && are_sound(draft, &scaled) {
                choices.push(scaled);
            }
        }
    }
    let scaled = stream.one_of(&choices)?;
    for (at, row) in scaled.iter().enumerate() {
        draft.set(&width_at(at), decimal(row.width_mm.0))?;
    }
    Some("/dentition/crown_widths".into())
}

fn is_extreme(draft: &Draft<'_>, rows: &[CrownWidthRow]) -> bool {
    let ratios = [(bolton_anterior(rows), &BOLTON_ANTERIOR), (bolton_overall(rows), &BOLTON_OVERALL)];
    let off = |(ratio, norm): (Option<Hundredths>, &Measured)| {
        ratio.is_some_and(|ratio| (ratio.0 - norm.mean).abs() > allowed(norm, draft.limits.bolton_sds))
    };
    ratios.into_iter().any(off)
}

/// Whether each width by itself, and each pair, is as it can be.
fn are_sound(draft: &Draft<'_>, rows: &[CrownWidthRow]) -> bool {
    let uneven = |[right, left]: [usize; 2]| {
        let apart = i64::from((rows[right].width_mm.0 - rows[left].width_mm.0).abs());
        apart > draft.limits.crown_sides_mm
    };
    !rows.iter().any(|row| is_far_off(draft, row.tooth, row.width_mm.0)) && !pairs(draft).into_iter().any(uneven)
}

/// Crowding and contact offsets of an arch, in hundredths of a millimetre, where both were measured.
fn measured(assessment: &Assessment, arch: Arch) -> Option<(i32, &[Hundredths])> {
    let (crowding, offsets) = (assessment.crowding_mm.as_ref()?, assessment.contact_displacements_mm.as_ref()?);
    match arch {
        Arch::Upper => Some((crowding.upper?.0, offsets.upper.as_deref()?)),
        Arch::Lower => Some((crowding.lower?.0, offsets.lower.as_deref()?)),
    }
}

/// Whether all permanent teeth before the molars stand in an arch, and no primary one.
fn is_complete(draft: &Draft<'_>, arch: Arch) -> bool {
    let (standing, primary) = (standing(draft.clean), listed(draft.clean.dentition.primary.as_ref()));
    let here = |tooth: &Tooth| tooth.arch() == arch && tooth.position() <= 5;
    Tooth::all().filter(here).all(|tooth| standing.contains(tooth) != tooth.is_primary())
        && !primary.iter().any(|tooth| here(&tooth))
}

/// A lost decimal point, a wrong sign, or offsets in centimetres.
pub(super) fn assessment_disagrees(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let limits = draft.limits;
    let mut choices: Vec<(String, String, Value)> = Vec::new();
    for (i, assessment) in draft.clean.assessments.iter().flatten().enumerate() {
        for arch in Arch::ALL {
            let Some((crowding, offsets)) = measured(assessment, arch) else { continue };
            let Some(irregularity) = irregularity_index(offsets).map(|index| i64::from(index.0)) else { continue };
            let [room, contacts] = ["crowding_mm", "contact_displacements_mm"]
                .map(|list| format!("/assessments/{i}/{list}/{}", arch.as_str()));
            let short = |crowding: i32| (limits.crowding_when_aligned_mm + 1..=5000).contains(&i64::from(crowding));
            let in_centimetres: Vec<i32> = offsets.iter().map(|offset| offset.0 / 10).collect();
            let index: i64 = in_centimetres.iter().map(|offset| i64::from(offset.abs())).sum();
            let complete = is_complete(draft, arch);
            if complete && irregularity <= limits.aligned_irregularity_mm && short(crowding * 10) {
                choices.push((room.clone(), room.clone(), decimal(crowding * 10)));
            }
            if complete && short(crowding) && index <= limits.aligned_irregularity_mm {
                let offsets: Vec<Value> = in_centimetres.into_iter().map(decimal).collect();
                choices.push((contacts, room.clone(), offsets.into()));
            }
            if irregularity > limits.extreme_irregularity_mm && i64::from(crowding) > limits.space_when_irregular_mm {
                choices.push((room.clone(), room, decimal(-crowding)));
            }
        }
    }
    let (pointer, told, value) = stream.one_of(&choices)?.clone();
    draft.set(&pointer, value)?;
    Some(told.into())
}
