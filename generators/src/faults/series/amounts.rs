//! How far teeth are moved: lost decimal points, lost amounts, turned signs.

use oar_schema::record::{Movement, Record, Series};
use oar_schema::teeth::Tooth;
use serde_json::Value;

use super::super::record_queries::{
    AXES, MESIAL, OCCLUSAL, ROTATION, axes, decimal, extracted, held, movement_at, movements, standing, totals,
};
use super::super::{Draft, FaultLocation};
use crate::random::RandomStream;

/// The greatest amounts that the format takes, in the order of [`AXES`].
const GREATEST: [i32; AXES.len()] = [2000, 2000, 2000, 18000, 9000, 9000];

/// Amounts that were lost on the way: left out, or written as 0.
pub(super) fn empty_movement(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let movements = movements(draft.clean);
    let (i, j, movement) = *stream.one_of(&movements)?;
    let at = movement_at(i, j);
    let left_out = stream.chance(0.5);
    for (axis, _) in AXES.iter().zip(axes(movement)).filter(|(_, amount)| *amount != 0) {
        let pointer = format!("{at}/{axis}");
        if left_out {
            draft.remove(&pointer)?;
        } else {
            draft.set(&pointer, 0)?;
        }
    }
    Some(at.into())
}

/// What a tray asks of a tooth on purpose.
fn usual(draft: &Draft<'_>, tooth: Tooth) -> [i64; AXES.len()] {
    let limits = draft.limits;
    let round = (tooth.kind().is_canine() || tooth.kind().is_premolar()) && standing(draft.clean).contains(tooth);
    let rotation = if round { limits.tray_rotation_round_deg } else { limits.tray_rotation_deg };
    let linear = limits.tray_linear_mm;
    [linear, linear, limits.tray_vertical_mm, rotation, limits.tray_tip_deg, limits.tray_torque_deg]
}

/// What a tray can do.
fn most(draft: &Draft<'_>) -> [i64; AXES.len()] {
    let (linear, turn) = (draft.limits.tray_most_mm, draft.limits.tray_most_rotation_deg);
    [linear, linear, linear, turn, turn, draft.limits.tray_most_torque_deg]
}

/// The axis along which a movement over some trays goes furthest beyond what one tray may ask for.
fn furthest(amounts: [i32; AXES.len()], trays: i32, per_tray: [i64; AXES.len()]) -> Option<usize> {
    let size = |axis: usize| i64::from(amounts[axis].abs());
    let beyond = (0..AXES.len()).filter(|axis| size(*axis) > per_tray[*axis] * i64::from(trays));
    beyond.reduce(|one, other| if size(other) * per_tray[one] > size(one) * per_tray[other] { other } else { one })
}

/// A movement as it was mistyped: the edits, the amounts, and the number of its trays.
type Mistyped = (Vec<(&'static str, Value)>, [i32; AXES.len()], i32);

/// A lost decimal point, one millimetre or ten degrees more, or a tray without its first digit or with another one.
fn mistyped(movement: &Movement) -> Vec<Mistyped> {
    let (amounts, trays) = (axes(movement), movement.to_tray - movement.from_tray + 1);
    let mut all: Vec<Mistyped> = Vec::new();
    for axis in (0..AXES.len()).filter(|axis| amounts[*axis] != 0) {
        let digit = if axis <= OCCLUSAL { 100 } else { 1000 };
        for amount in [amounts[axis] * 10, amounts[axis] + digit * amounts[axis].signum()] {
            let mut other = amounts;
            other[axis] = amount;
            if amount.abs() <= GREATEST[axis] {
                all.push((vec![(AXES[axis], decimal(amount))], other, trays));
            }
        }
    }
    let (from, to) = (movement.from_tray, movement.to_tray);
    if to % 10 >= from && to >= 10 {
        all.push((vec![("to_tray", (to % 10).into())], amounts, to % 10 - from + 1));
    }
    if from < 10 && from + 10 <= to {
        all.push((vec![("from_tray", (from + 10).into())], amounts, to - from - 9));
    }
    all
}

/// Mistypes a movement so that `told` gives the axis at which that is found.
fn mistype(
    draft: &mut Draft<'_>,
    stream: &mut RandomStream,
    told: impl Fn(&Draft<'_>, (usize, &Movement), &Mistyped) -> Option<usize>,
) -> Option<FaultLocation> {
    let mut choices = Vec::new();
    for (i, j, movement) in movements(draft.clean) {
        for mistyped in mistyped(movement) {
            if let Some(axis) = told(draft, (i, movement), &mistyped) {
                choices.push((movement_at(i, j), mistyped.0, axis));
            }
        }
    }
    let (at, edits, axis) = stream.one_of(&choices)?.clone();
    for (field, value) in edits {
        draft.set(&format!("{at}/{field}"), value)?;
    }
    Some(format!("{at}/{}", AXES[axis]).into())
}

pub(super) fn moves_too_fast(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    mistype(draft, stream, |draft, (_, movement), (_, amounts, trays)| {
        let usual = furthest(*amounts, *trays, usual(draft, movement.tooth));
        usual.filter(|_| furthest(*amounts, *trays, most(draft)).is_none())
    })
}

pub(super) fn moves_impossibly_fast(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    mistype(draft, stream, |draft, _, (_, amounts, trays)| furthest(*amounts, *trays, most(draft)))
}

/// A total that looks slow, since it is spread over many trays.
pub(super) fn moves_very_far(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let limits = draft.limits;
    let far = [
        limits.far_along_mm,
        limits.far_across_mm,
        limits.far_vertical_mm,
        limits.far_rotation_deg,
        limits.far_tip_deg,
        limits.far_torque_deg,
    ];
    let round = |tooth: Tooth| tooth.kind().is_canine() || tooth.kind().is_premolar();
    mistype(draft, stream, |draft, (i, movement), (edits, amounts, trays)| {
        let axis = AXES.iter().position(|axis| edits.iter().any(|(field, _)| field == axis))?;
        let series = &draft.clean.series[i];
        let alone = series.movements.iter().filter(|other| other.tooth == movement.tooth).count() == 1;
        let slips = (axis == ROTATION && round(movement.tooth)) || axis == OCCLUSAL;
        let fits = axis != MESIAL && (!slips || held(series).contains(movement.tooth)) && alone;
        let slow = furthest(*amounts, *trays, usual(draft, movement.tooth)).is_none();
        (fits && slow && i64::from(amounts[axis].abs()) > far[axis]).then_some(axis)
    })
}

/// What a series reached where that was measured, otherwise what it planned, of one tooth.
fn reached(series: &Series, tooth: Tooth) -> [i32; AXES.len()] {
    let Some(achieved) = &series.achieved else { return totals(series, tooth) };
    let of_tooth = achieved.movements.iter().filter(|movement| movement.tooth == tooth);
    let amounts = of_tooth.map(|it| {
        [it.mesial_mm, it.facial_mm, it.occlusal_mm, it.rotation_deg, it.tip_deg, it.torque_deg]
            .map(|axis| axis.map_or(0, |value| value.0))
    });
    amounts.fold([0; AXES.len()], |sum, axes| std::array::from_fn(|axis| sum[axis] + axes[axis]))
}

/// Whether a refinement takes back most of what the series before it did, once its signs are turned.
fn takes_back(draft: &Draft<'_>, before: &Series, refinement: &Series) -> bool {
    let (mut moved, mut undone) = (0, 0);
    for tooth in Tooth::all() {
        let (reached, planned) = (reached(before, tooth), totals(refinement, tooth));
        for axis in 0..AXES.len() {
            let least = if axis <= OCCLUSAL { draft.limits.undone_least_mm } else { draft.limits.undone_least_deg };
            if i64::from(reached[axis].abs()) >= least {
                moved += 1;
                let goes_on = reached[axis].signum() == planned[axis].signum();
                undone += i64::from(goes_on && planned[axis].abs() * 2 >= reached[axis].abs());
            }
        }
    }
    undone >= draft.limits.undone_movements && undone * 2 > moved
}

/// Whether teeth of a series go so far along the arch that the other way they would not have the room.
fn needs_room(record: &Record, series: &Series) -> bool {
    let along = |tooth: Tooth| totals(series, tooth)[MESIAL].abs();
    !extracted(record).is_empty() || Tooth::all().map(along).max().unwrap_or_default() > 100
}

/// A refinement from a system with other signs.
pub(super) fn opposite_refinement(draft: &mut Draft<'_>, stream: &mut RandomStream) -> Option<FaultLocation> {
    let record = draft.clean;
    let pairs = record.series.windows(2).enumerate();
    let fits = |pair: &[Series]| takes_back(draft, &pair[0], &pair[1]) && !needs_room(record, &pair[1]);
    let choices: Vec<usize> = pairs.filter(|(_, pair)| fits(pair)).map(|(before, _)| before + 1).collect();
    let i = *stream.one_of(&choices)?;
    for (j, movement) in record.series[i].movements.iter().enumerate() {
        for (axis, amount) in AXES.iter().zip(axes(movement)).filter(|(_, amount)| *amount != 0) {
            draft.set(&format!("{}/{axis}", movement_at(i, j)), decimal(-amount))?;
        }
    }
    Some(format!("/series/{i}/movements").into())
}
